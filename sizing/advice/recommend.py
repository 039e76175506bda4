"""What a replacement must carry, and what the battery in hand can do: ratings with interval and reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.advice.cases import case_limit
from sizing.advice.coldest import coldest_starts
from sizing.advice.deciding import battery_too_cold, deciding_start, freezes_below, ice_decides, warm_enough
from sizing.advice.impossible import impossible
from sizing.advice.levers import Lever, levers
from sizing.advice.stand_days import size_to_stand
from sizing.inputs import Scenario
from sizing.inputs.vocabulary import cold_test_of_mark
from sizing.physics.battery import reserve_from_capacity
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.cold_start import Need, needed_reserve
from sizing.simulate.label import Read, aged_battery, read_label, unit_battery
from sizing.simulate.sampling import INTERVAL, influences, never_as_infinite, quantiles_of_chance

Array = NDArray[np.float64]

UNIT_EN = 100.0  # A (EN) of the unit battery
LARGEST_BATTERY = 1500.0  # A (EN): more than any single 12 V starter battery of the lists carries
NEVER_LARGER = ("starter", "battery")  # where no size of battery does it
RESERVE_CHANCE = 0.5  # the start is asked for with the user's chance, half an hour of lights with an even one
SHOWN = ("EN", "SAE", "DIN", "IEC", "JIS", "CA")


@dataclass(frozen=True)
class Estimate:
    """A value with its 90 % interval and median, in the unit its owner says."""

    value: float
    low: float
    high: float
    median: float


@dataclass(frozen=True)
class Minimum:
    """Least ratings of each battery.

    cold_cranking : in the shelf's standard, infinite where no size does it [A]
    standard : mark of that standard [-]
    others : value in the other standards by mark [A]
    reserve_minutes : at 25 A [min]
    capacity_ah : at 20 h [A h]
    battery_type : least type [-]
    batteries : how many such batteries there are [-]
    """

    cold_cranking: Estimate
    standard: str
    others: Mapping[str, float]
    reserve_minutes: Estimate
    capacity_ah: Estimate
    battery_type: str
    batteries: int


@dataclass(frozen=True)
class InHand:
    """What the battery on the label can do.

    starts_down_to : outdoor temperature of the coldest start at its age [K]
    starts_down_to_new : the same, new [K]
    starts_down_to_goal : the same, at the goal's age [K]
    chance_of_start : in the night that matters, at its age [-]
    chance_at_goal : the same at the goal's age [-]
    margin_amperes : its rating over the least one, in its own standard; NaN without a rating of its own [A]
    margin_degrees : between the night and the coldest start at its age [K]
    estimated : ratings that the label does not print [-]
    reserve_misfit : simulated reserve over the printed one, NaN without [-]
    """

    starts_down_to: Estimate
    starts_down_to_new: Estimate
    starts_down_to_goal: Estimate
    chance_of_start: float
    chance_at_goal: float
    margin_amperes: float
    margin_degrees: float
    estimated: tuple[str, ...]
    reserve_misfit: float


@dataclass(frozen=True)
class Recommendation:
    """The whole answer; temperatures in K.

    decided_by : breakaway, speed, electronics, reserve, ice, standing, specification, warmth, oil, ignition,
        starter or battery, which is too cold itself [-]
    blocked : why no battery helps without heat, or empty [-]
    heat_to : least engine temperature for a start where that is so, else NaN [K]
    limit : engine temperature below which no battery helps, and its reason, oil or ignition [K]
    case_limit : largest rating of the case that fits, in the shelf's standard, NaN without a case [A]
    freezes_below : charge below which the battery's acid begins to freeze on that night [-]
    widest : what widens the answer most, with its share of the spread [-]
    """

    scenario: Scenario
    place: str
    night: Estimate
    night_basis: str
    within_fit: bool
    battery_temperature: Estimate
    engine_temperature: Estimate
    minimum: Minimum
    decided_by: str
    blocked: str
    heat_to: float
    limit: tuple[float, str]
    case_limit: float
    in_hand: InHand | None
    levers: tuple[Lever, ...]
    freezes_below: float
    widest: tuple[tuple[str, float], ...]


def recommend(scenario: Scenario) -> Recommendation:
    """Return the least ratings for a scenario and, when it has a battery, what that one can do.

    Raises ScenarioError when the place is not known or the label's ratings cannot belong to one battery.
    """
    case = make_case(scenario)
    unit = case.unit(scenario.goal.age_years)
    need = case.need(unit)
    amperes = never_as_infinite(need.size) * UNIT_EN / case.batteries
    minimum, decided = _minimum(case, unit, need, amperes)
    hand = _in_hand(case, minimum) if scenario.battery is not None and scenario.battery.has_rating else None
    return Recommendation(
        scenario=scenario,
        place=case.place.label,
        night=_night(case),
        night_basis=case.night.stated.basis,
        within_fit=case.night.stated.within_fit,
        battery_temperature=_spread(case.night.battery),
        engine_temperature=_spread(case.night.engine),
        minimum=minimum,
        decided_by=decided,
        blocked=case.blocked,
        heat_to=case.limit if case.blocked else nan,
        limit=(case.limit, case.limit_reason),
        case_limit=_case_limit(case),
        in_hand=hand,
        levers=levers(scenario, minimum.cold_cranking.value, UNIT_EN * _per_unit(case, minimum.standard)),
        freezes_below=freezes_below(case, unit),
        widest=influences(amperes, case.samples),
    )


def _night(case: Case) -> Estimate:
    night = case.night.stated
    value, low, high = (float(np.asarray(t)) for t in (night.temperature, night.low, night.high))
    return Estimate(value, low, high, value)


def _spread(values: Array) -> Estimate:
    low, middle, high = (float(q) for q in np.quantile(values, INTERVAL, method="inverted_cdf"))
    return Estimate(middle, low, high, middle)


def _per_unit(case: Case, mark: str) -> float:
    """Return the rating in a standard of a battery of one ampere EN of the case's type."""
    return _unit_rating(case.kind.name, cold_test_of_mark()[mark]) / UNIT_EN


@cache
def _unit_rating(kind: str, test: str) -> float:
    return float(rate(unit_battery(kind), test))


def _minimum(case: Case, unit: Battery, need: Need, amperes: Array) -> tuple[Minimum, str]:
    goal, car = case.scenario.goal, case.scenario.vehicle
    mark = case.scenario.shelf_standard
    en = Estimate(*_ordered(quantiles_of_chance(amperes, goal.chance)))
    decided = deciding_start(need, goal.chance)
    if not isfinite(en.value):
        decided = "battery" if battery_too_cold(case) else "starter"
    elif warm_enough(case.scenario, case, en.value / UNIT_EN * case.batteries):
        decided = "warmth"

    usual = UNIT_EN / case.kind.cold_cranking_per_ah
    size = needed_reserve(
        case.demand,
        case.night.battery,
        unit,
        charge=case.charge(unit),
        preheat_charge=case.vehicle.preheat_charge,
        lights=case.vehicle.lights_current,
    )
    capacity = Estimate(
        *_ordered(quantiles_of_chance(never_as_infinite(size) * usual / case.batteries, RESERVE_CHANCE))
    )
    standing = _capacity_to_stand(case, unit, max(en.value / UNIT_EN, 1.0) * case.batteries)
    # the larger battery of the two is what decides, measured in ampere-hours of the type's usual ratio
    settled = decided in ("starter", "battery", "warmth")
    if not settled and capacity.value > en.value / case.kind.cold_cranking_per_ah:
        decided = "ice" if ice_decides(case, unit) else "reserve"
    largest = max(capacity.value, en.value / case.kind.cold_cranking_per_ah)
    if standing is not None and standing.value > largest:
        capacity, decided = standing, "standing" if decided not in NEVER_LARGER else decided

    factor = _per_unit(case, mark)
    cold = _scaled(en, factor)
    told = car.maker_cold_cranking
    if told is not None:
        maker = (
            told / _per_unit(case, car.maker_standard if car.maker_standard != "unknown" else mark) * factor
        )
        if maker > cold.value:
            cold, decided = Estimate(maker, cold.low, max(cold.high, maker), cold.median), "specification"
    capacity = _at_least(capacity, car.maker_capacity_ah)
    reserve = _reserve(capacity, case)
    reserve = _at_least(reserve, car.maker_reserve_minutes)
    if case.blocked:
        decided = case.blocked
    others = {m: cold.value / factor * _per_unit(case, m) for m in SHOWN if m != mark}
    return (
        Minimum(cold, mark, others, reserve, capacity, case.kind.name, case.batteries),
        decided,
    )


def _capacity_to_stand(case: Case, unit: Battery, usual: float) -> Estimate | None:
    """Return the ampere-hours that stand as long as asked and then start; None where it is not asked."""
    time = case.scenario.goal.stand_days
    if time is None:
        return None
    size = size_to_stand(case, unit, time, usual=usual if isfinite(usual) else 1.0)
    capacity = size * UNIT_EN / case.kind.cold_cranking_per_ah / case.batteries
    return Estimate(*_ordered(quantiles_of_chance(capacity, case.scenario.goal.chance)))


def _ordered(four: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    value, low, middle, high = four
    return value, low, high, middle


def _scaled(estimate: Estimate, factor: float) -> Estimate:
    return Estimate(*(x * factor for x in (estimate.value, estimate.low, estimate.high, estimate.median)))


def _at_least(estimate: Estimate, told: float | None) -> Estimate:
    if told is None or told <= estimate.value:
        return estimate
    return Estimate(told, estimate.low, max(estimate.high, told), estimate.median)


def _reserve(capacity: Estimate, case: Case) -> Estimate:
    law = (
        float(reserve_from_capacity(x, case.kind.construction))
        for x in (capacity.value, capacity.low, capacity.high, capacity.median)
    )
    return Estimate(*law)


def _case_limit(case: Case) -> float:
    """Return the largest rating listed for the case that fits, in the shelf's standard."""
    name = case.scenario.goal.case
    if not name:
        return nan
    limit = case_limit(name)
    return limit.amperes / _per_unit(case, limit.mark) * _per_unit(case, case.scenario.shelf_standard)


def _in_hand(case: Case, minimum: Minimum) -> InHand:
    label = case.scenario.battery
    assert label is not None  # the caller has looked
    read = read_label(label, case.samples)
    if not np.all(np.isfinite(np.asarray(read.battery.resistance) + np.asarray(read.battery.acid_charge))):
        raise impossible(label, "battery.cold_cranking")
    goal = case.scenario.goal

    def chance(years: float) -> float:
        battery = aged_battery(read.battery, read.kind, years, case.samples, air=case.air).scaled(
            float(case.batteries)
        )
        size = never_as_infinite(case.need(battery).size)
        return 0.0 if case.blocked else float(np.mean(size <= 1.0))

    ages = tuple({0.0, label.age_years, goal.age_years})
    down = {years: Estimate(*found) for years, found in coldest_starts(case.scenario, ages).items()}
    now = down[label.age_years]
    return InHand(
        starts_down_to=now,
        starts_down_to_new=down[0.0],
        starts_down_to_goal=down[goal.age_years],
        chance_of_start=chance(label.age_years),
        chance_at_goal=chance(goal.age_years),
        margin_amperes=_margin(case, read, minimum),
        margin_degrees=float(np.asarray(case.night.stated.temperature)) - now.value,
        estimated=read.estimated,
        reserve_misfit=read.reserve_misfit,
    )


def _margin(case: Case, read: Read, minimum: Minimum) -> float:
    label = case.scenario.battery
    if label is None or label.cold_cranking is None or not label.cold_test:
        return nan
    own = float(rate(unit_battery(read.kind.name), label.cold_test)) / UNIT_EN
    return label.cold_cranking - minimum.cold_cranking.value / _per_unit(case, minimum.standard) * own
