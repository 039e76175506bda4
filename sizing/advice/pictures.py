"""The numbers behind the pictures: curves over nights and ages, reduced to a value and its interval.

The same questions as the answer's own, asked at many temperatures and ages. A value that does not exist (no
size of battery does it, the oil is too thick) is NaN, so that a curve ends there.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite, nan
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import Case, make_case
from sizing.advice.recommend import Recommendation
from sizing.climate import AVERAGE_YEAR, coldest_night
from sizing.inputs import Scenario
from sizing.inputs.vocabulary import cold_test_of_mark
from sizing.physics.pores import Battery
from sizing.physics.ratings import rate
from sizing.simulate.label import aged_battery, read_label, unit_battery
from sizing.simulate.sampling import INTERVAL

Array = NDArray[np.float64]

OUTDOOR = np.arange(293.15, 223.1, -5.0)  # K: nights looked at, warm to cold
AGES = np.arange(0.0, 11.0)  # a
RETURN_PERIODS = (AVERAGE_YEAR, 5.0, 10.0, 20.0, 50.0)  # a


@dataclass(frozen=True)
class Curve:
    """A value and the ends of its 90 % interval at each place of an axis; NaN where there is none."""

    value: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class NeedByNight:
    """Least rating that starts the engine, by how cold the night is.

    outdoor : air of the night, warm to cold [K]
    at_goal : rating at the wanted chance and age, in the shelf's standard [A]
    when_new : the same of a new battery [A]
    limit : night in which no battery helps any more without heat, NaN where none is met [K]
    limit_reason : ``oil`` or ``ignition`` [-]
    """

    outdoor: Array
    at_goal: Curve
    when_new: Curve
    limit: float
    limit_reason: str


@dataclass(frozen=True)
class AtThePosts:
    """Current that a start asks of the battery, and current that the battery gives at the voltage needed.

    outdoor : air of the night, warm to cold [K]
    needed : by the start [A]
    given : by the recommended battery at the goal's age and a winter's charge [A]
    given_new : by the same battery when new: median [A]
    moment : ``breakaway`` or ``turning``, the one that asks for the larger battery in that night [-]
    limit : night in which no battery helps any more without heat, NaN where none is met [K]
    limit_reason : ``oil`` or ``ignition`` [-]
    """

    outdoor: Array
    needed: Curve
    given: Curve
    given_new: Array
    moment: str
    limit: float
    limit_reason: str


@dataclass(frozen=True)
class Nights:
    """Coldest nights of a place.

    years : of which the night is the coldest in one, AVERAGE_YEAR first [a]
    temperature : of the outdoor air [K]
    chosen : place of the night that matters among them [-]
    """

    years: Array
    temperature: Curve
    chosen: int


@dataclass(frozen=True)
class ChanceByAge:
    """Chance of starting in the night that matters, and rating needed for the wanted one, by age.

    ages : of the battery [a]
    recommended : chance of the recommended battery, over all that varies or is unknown [-]
    in_hand : chance of the battery on the label; none without one [-]
    needed : least rating, in the shelf's standard [A]
    """

    ages: Array
    recommended: Array
    in_hand: Array | None
    needed: Curve


def need_by_night(scenario: Scenario) -> NeedByNight:
    """Return the least rating by night; the sample is the answer's own, each night taken as exact."""
    case = make_case(scenario, outdoor=OUTDOOR[:, None, None])
    per_unit = _unit_rating(case, scenario.shelf_standard) / case.batteries
    dead = case.night.engine < case.limit
    at_goal, when_new = (
        _needed(np.where(dead, inf, _size(case, case.unit(years))) * per_unit, scenario.goal.chance)
        for years in (scenario.goal.age_years, 0.0)
    )
    limit, reason = _limit(case)
    return NeedByNight(OUTDOOR, at_goal, when_new, limit, reason)


def _unit_rating(case: Case, mark: str) -> float:
    """Return what the battery of 100 A (EN) carries in a standard [A]."""
    return float(rate(unit_battery(case.kind.name), cold_test_of_mark()[mark]))


def _needed(amperes: Array, chance: float) -> Curve:
    """Return the quantiles that the answer itself uses, along the first axis."""
    # with infinities there is nothing to interpolate towards
    method: Literal["linear", "higher"] = "linear" if np.all(np.isfinite(amperes)) else "higher"
    value = np.quantile(amperes.reshape(len(amperes), -1), chance, axis=1, method=method)
    low, high = np.quantile(
        np.quantile(amperes, chance, axis=2, method=method), INTERVAL[::2], axis=1, method=method
    )
    return _curve(value, np.minimum(low, value), np.maximum(high, value))


def _curve(value: Array, low: Array, high: Array) -> Curve:
    return Curve(*(np.where(np.isfinite(x), x, nan) for x in (value, low, high)))


def _limit(case: Case) -> tuple[float, str]:
    """Return the night in which the engine's median temperature passes the limit, and why it is one."""
    engine = np.median(case.night.engine.reshape(len(OUTDOOR), -1), axis=1)
    if not engine[-1] < case.limit:
        return nan, case.limit_reason
    # np.interp wants rising places: cold to warm
    return float(np.interp(case.limit, engine[::-1], OUTDOOR[::-1])), case.limit_reason


def at_the_posts(scenario: Scenario, amperes: float) -> AtThePosts:
    """Return the currents of a start, and of a battery of so many amperes in the shelf's standard [A]."""
    case = make_case(scenario, outdoor=OUTDOOR[:, None, None])
    scale = amperes / _unit_rating(case, scenario.shelf_standard) * case.batteries
    moment = _moment(scenario)
    demand = case.demand
    current = demand.breakaway_current if moment == "breakaway" else demand.running_current
    alive = case.night.engine >= case.limit

    def given(years: float) -> Curve:
        need = case.need(case.unit(years))
        size = need.breakaway if moment == "breakaway" else need.running
        # a size of infinity: at the voltage needed the battery gives nothing
        return _spread(np.where(alive & np.isfinite(current), scale * current / size, nan))

    needed = _spread(np.where(alive, current, nan) * np.ones_like(case.night.outdoor))
    return AtThePosts(
        OUTDOOR, needed, given(scenario.goal.age_years), given(0.0).value, moment, *_limit(case)
    )


def _moment(scenario: Scenario) -> str:
    case = make_case(scenario)
    need = case.need(case.unit(scenario.goal.age_years))
    return "breakaway" if float(np.mean(need.breakaway >= need.running)) > 0.5 else "turning"


def _spread(values: Array) -> Curve:
    flat = values.reshape(len(values), -1)
    low, middle, high = np.quantile(flat, INTERVAL, axis=1)
    return Curve(middle, low, high)


def nights(scenario: Scenario) -> Nights | None:
    """Return the coldest nights of the place; None where its owner has stated the night."""
    place = make_case(scenario).place
    if place.stated is not None:
        return None
    goal = scenario.goal.return_period_years
    years = np.array(sorted({*RETURN_PERIODS, goal}))
    found = coldest_night(place, years)
    return Nights(years, Curve(found.temperature, found.low, found.high), int(np.searchsorted(years, goal)))


def chance_by_age(scenario: Scenario, answer: Recommendation) -> ChanceByAge | None:
    """Return the chances of the recommended battery and of the one in hand over ten years.

    None where no battery starts the engine in that night.
    """
    case = make_case(scenario)
    wanted = answer.minimum.cold_cranking.value
    if case.blocked or not isfinite(wanted):
        return None
    per_unit = _unit_rating(case, scenario.shelf_standard) / case.batteries
    needs = np.array([_size(case, case.unit(years)) * per_unit for years in AGES])
    in_hand = None
    if answer.in_hand is not None and scenario.battery is not None:
        read = read_label(scenario.battery, case.samples)
        own = [aged_battery(read.battery, read.kind, years, case.samples, air=case.air) for years in AGES]
        all_of_them = float(case.batteries)
        in_hand = _share(np.array([_size(case, battery.scaled(all_of_them)) for battery in own]) <= 1.0)
    return ChanceByAge(AGES, _share(needs <= wanted), in_hand, _needed(needs, scenario.goal.chance))


def _size(case: Case, battery: Battery) -> Array:
    """Return the size needed in the night itself, as the answer takes it."""
    size = case.need(battery).size
    return np.where(np.isnan(size), inf, size)


def _share(starts: NDArray[np.bool_]) -> Array:
    return np.asarray(np.mean(starts, axis=(1, 2)))
