"""How long a vehicle may stand: days until it will not start or its battery freezes, and what would help."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil, floor, isfinite, nan

import numpy as np
from numpy.typing import NDArray

from sizing.advice.recommend import Estimate
from sizing.advice.standing_case import DAY, Setting, constant, recharge_due, setting_of
from sizing.advice.standing_remedies import Remedy, remedies
from sizing.inputs import Scenario, Standing
from sizing.physics.battery import reserve_from_capacity
from sizing.physics.charge_sources import charging_time, constants
from sizing.physics.electrolyte import open_circuit_voltage_cell, specific_gravity
from sizing.physics.pores import Battery
from sizing.physics.standing import TEMPERATURE_RANGE, days_of_draw, rule_charge_ah
from sizing.simulate.sampling import INTERVAL
from sizing.simulate.standing import HOUR, hourly_current, stand
from sizing.simulate.standing_charged import stand_charged
from sizing.simulate.standing_events import (
    Happened,
    acceptable_draw,
    happened,
    needed_battery,
    no_start_on_coldest,
)
from sizing.simulate.standing_start import acid_of_charge, freezing_charge, ice_of_charge
from sizing.simulate.standing_weather import DAY_HOURS

Array = NDArray[np.float64]

KINDS = ("recharge due", "no start", "no start on the coldest day", "first ice", "deep discharge")
CHARGER = 6.0  # A of an ordinary household charger: trade custom
ROOM = 293.15  # K where one charges


@dataclass(frozen=True)
class Event:
    """Something that happens to a parked battery.

    kind : of KINDS [-]
    days : until then among the samples in which it happens at all [d]
    date : of the middle one; None where it never happens within the days looked at
    chance : that it happens within the time asked about [-]
    """

    kind: str
    days: Estimate
    date: date | None
    chance: float


@dataclass(frozen=True)
class StandingCurve:
    """Bands by day for a picture: 5, 50 and 95 % each, shape (3, days).

    charge, freezing, needed : states of charge [-]
    temperature : coldest of each day [K]
    rest_voltage : at that charge and temperature [V]
    """

    charge: Array
    freezing: Array
    needed: Array
    temperature: Array
    rest_voltage: Array


@dataclass(frozen=True)
class Ending:
    """What the days asked about leave, by the run hour by hour.

    taken_ah, lost_ah : drawn, and lost inside, median [A h]
    imbalance : largest error of the balance over all samples, relative to the capacity [-]
    charge, gravity, voltage : state of charge, specific gravity and rest voltage at the end [-, -, V]
    ice : largest share of ice meanwhile [-]
    lasting_loss : of capacity, low, middle, high; NaN without deep discharge [-]
    """

    taken_ah: float
    lost_ah: float
    imbalance: float
    charge: Estimate
    gravity: Estimate
    voltage: Estimate
    ice: Estimate
    lasting_loss: tuple[float, float, float]


@dataclass(frozen=True)
class StandingAnswer:
    """The whole answer; days count from the day it is parked.

    looked_at : how many days were looked at [d]
    asked : days that were asked about; those looked at where none were [d]
    days : to the first of no start and first ice, infinite where neither comes [d]
    first_event : no start or first ice, empty where neither comes [-]
    last_safe_day : until which it starts with the wanted chance and has no ice [d]
    acceptable_draw : with which it stands the days asked with the wanted chance [A]
    reserve_minutes : which battery would stand them as things are, infinite where none does [min]
    draw : mean asleep [A]
    start : state of charge when parked [-]
    end : what the days asked leave
    rule_days : by the trade's rule at 25 °C, for comparison [d]
    top_up_days : after which a full and disconnected battery is due for a charge, 5 % [d]
    charging_hours : of the charger of CHARGER amperes from the charge when parked to full [h]
    blocked : whether it gets colder than any battery helps, and why: oil, ignition or empty [-]
    """

    scenario: Scenario
    told: Standing
    place: str
    parked_on: date
    looked_at: int
    asked: int
    days: Estimate
    first_event: str
    events: tuple[Event, ...]
    last_safe_day: float
    acceptable_draw: float
    reserve_minutes: float
    draw: Estimate
    start: Estimate
    end: Ending
    rule_days: float
    top_up_days: float
    charging_hours: float
    blocked: str
    remedies: tuple[Remedy, ...]
    curve: StandingCurve


def estimate(values: Array) -> Estimate:
    """Return median and 90 % interval of samples, infinities counted as they are."""
    low, middle, high = (
        float(q) for q in np.quantile(np.asarray(values, float).ravel(), INTERVAL, method="inverted_cdf")
    )
    return Estimate(middle, low, high, middle)


def standing(scenario: Scenario) -> StandingAnswer:
    """Return what becomes of the battery on the label while its vehicle stands.

    Raises ScenarioError where there is no battery to ask about, or nothing is known of the temperature.
    """
    s = setting_of(scenario)
    looked = len(s.parked.weather.coldest)
    asked = looked if s.told.period is None else min(looked, ceil(s.told.period / DAY))
    recharge, deep = recharge_due(s), constant("deep_discharge")[1]
    what = happened(s.parked, recharge=recharge, deep=deep)
    coldest = no_start_on_coldest(s.parked, asked)
    times = (what.recharge_due, what.no_start, coldest, what.first_ice, what.deep_discharge)
    events = [_event(k, t, s.parked_on, asked) for k, t in zip(KINDS, times, strict=True)]
    wanted = 1.0 - scenario.goal.chance
    # amperes as a meter in the lead shows them: at 24 V half of those of the 12 V battery computed with
    series = scenario.vehicle.batteries_in_series
    safe = float(np.quantile(what.days, wanted, method="inverted_cdf"))
    return StandingAnswer(
        scenario=scenario,
        told=s.told,
        place=s.case.place.label,
        parked_on=s.parked_on,
        looked_at=looked,
        asked=asked,
        days=estimate(what.days),
        first_event=_first(what),
        events=tuple(sorted(events, key=lambda e: e.days.value)),
        last_safe_day=floor(safe) if isfinite(safe) else safe,
        acceptable_draw=float(np.quantile(acceptable_draw(s.parked, asked), wanted, method="inverted_cdf")),
        reserve_minutes=_reserve(s, asked, scenario.goal.chance),
        draw=estimate(np.asarray(s.parked.draw) / series),
        start=estimate(np.asarray(s.parked.start)),
        rule_days=_rule(s),
        top_up_days=_top_up(s, recharge, deep),
        charging_hours=_charging_hours(s),
        blocked=_blocked(s, asked),
        remedies=tuple(sorted(remedies(s, asked), key=lambda r: (r.chance, -r.days))),
        curve=_curve(s),
        end=_end(s, asked),
    )


def _event(kind: str, times: Array, parked_on: date, asked: int) -> Event:
    finite = times[np.isfinite(times)]
    if not finite.size:
        return Event(kind, Estimate(np.inf, np.inf, np.inf, np.inf), None, 0.0)
    days = estimate(finite)
    return Event(kind, days, parked_on + timedelta(days=floor(days.value)), float(np.mean(times <= asked)))


def _first(what: Happened) -> str:
    """Return what comes first in most of the samples in which anything comes."""
    comes = np.isfinite(what.days)
    if np.mean(comes) < 0.5:
        return ""
    return "first ice" if np.mean((what.first_ice < what.no_start)[comes]) > 0.5 else "no start"


def _end(s: Setting, asked: int) -> Ending:
    """Return charge, acid and balance over the days asked about, from the run hour by hour."""
    hours = asked * DAY_HOURS
    current = hourly_current(hours, s.draw)
    course = stand(s.case.samples["charge"], s.capacity, current, s.decay[:hours])
    daily = course.charge[DAY_HOURS::DAY_HOURS]
    if s.charging is not None:
        course = stand_charged(s.parked.start, s.stands, s.charging, days=asked)
        daily = course.charge[1:]
    charge, ah = course.charge[-1], s.capacity / HOUR / s.case.scenario.vehicle.batteries_in_series
    acid = acid_of_charge(charge, s.parked.battery)
    last = s.parked.weather.hourly[hours - 1]
    ice = np.nanmax(ice_of_charge(daily, s.parked.weather.coldest[:asked], s.parked.battery), axis=0)
    weeks = np.sum(daily < constant("deep_discharge")[1], axis=0) / 7.0
    loss, rates = float(np.median(weeks)), constant("lasting_loss_per_week")
    return Ending(
        taken_ah=float(np.median(course.drawn * ah)),
        lost_ah=float(np.median(course.lost * ah)),
        imbalance=float(np.max(np.abs(course.imbalance))),
        charge=estimate(charge),
        gravity=estimate(specific_gravity(acid)),
        voltage=estimate(_rest(charge, last, s.parked.battery)),
        ice=estimate(ice),
        lasting_loss=(_lasting(loss, rates[0]), _lasting(loss, rates[1]), _lasting(loss, rates[2])),
    )


def _lasting(weeks: float, rate: float) -> float:
    return 1.0 - (1.0 - rate) ** weeks if weeks > 0.0 else nan


def _rest(charge: Array, temperature: Array, battery: Battery) -> Array:
    warm = np.maximum(temperature, TEMPERATURE_RANGE[0])
    return np.asarray(6.0 * open_circuit_voltage_cell(acid_of_charge(charge, battery), warm))


def _reserve(s: Setting, asked: int, chance: float) -> float:
    """Return the reserve of the battery that would stand the days asked [min]."""
    size = float(np.quantile(needed_battery(s.parked, asked), chance, method="higher"))
    if not isfinite(size):
        return size
    if s.label.reserve_minutes is not None:
        return s.label.reserve_minutes * size
    capacity = float(np.median(s.read.capacity_ah)) * size
    return float(reserve_from_capacity(capacity, s.read.kind.construction))


def _rule(s: Setting) -> float:
    reserve = s.label.reserve_minutes
    if reserve is None:
        usual = reserve_from_capacity(float(np.median(s.read.capacity_ah)), s.read.kind.construction)
        reserve = float(usual)
    draw = float(np.median(s.parked.draw))
    if draw <= 0.0:
        return np.inf
    charge = float(np.median(s.case.samples["charge"]))
    return float(days_of_draw(rule_charge_ah(reserve * s.case.batteries, charge=charge), draw))


def _top_up(s: Setting, recharge: float, deep: float) -> float:
    """Return when a full battery that nothing draws from is due for a charge [d]."""
    alone = replace(s.parked, start=1.0, draw=0.0, held=None)
    due = happened(alone, recharge=recharge, deep=deep).recharge_due
    return float(np.quantile(due, INTERVAL[0], method="inverted_cdf"))


def _charging_hours(s: Setting) -> float:
    """Return how long a small charger takes to fill the battery before it is parked, in a room [h]."""
    start = s.case.samples["charge"]
    took = charging_time(
        ROOM, np.minimum(start, 1.0), constants()["full_enough"][1], CHARGER, s.stands.battery
    )
    return float(np.median(took)) / HOUR


def _blocked(s: Setting, asked: int) -> str:
    coldest = float(np.median(s.parked.weather.expected[:asked].min(axis=0)))
    return s.case.limit_reason if coldest < s.case.limit else ""


def _curve(s: Setting) -> StandingCurve:
    def bands(values: Array) -> Array:
        flat = np.asarray(values, float).reshape(len(values), -1)
        return np.asarray(np.quantile(flat, INTERVAL, axis=1))

    charge, weather = s.parked.charge, s.parked.weather
    return StandingCurve(
        charge=bands(charge),
        freezing=bands(np.maximum(freezing_charge(weather.coldest, s.parked.battery), 0.0)),
        needed=bands(np.minimum(s.parked.needed, 1.0)),
        temperature=bands(weather.coldest),
        rest_voltage=bands(_rest(charge, weather.coldest, s.parked.battery)),
    )
