"""How long a vehicle may stand: days until it will not start or its battery freezes, and what would help."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor, isfinite

import numpy as np
from numpy.typing import NDArray

from sizing.advice.recommend import Estimate
from sizing.advice.standing_case import DAY, Setting, constant, recharge_due, setting_of
from sizing.advice.standing_end import Ending, StandingCurve, curve_of, ending_of, estimate
from sizing.advice.standing_remedies import Remedy, remedies
from sizing.advice.standing_upkeep import Upkeep, reserve_to_stand, upkeep_of
from sizing.inputs import Scenario, Standing
from sizing.simulate.standing_events import (
    Happened,
    frozen,
    happened,
    no_start_on_coldest,
)
from sizing.simulate.standing_inverse import acceptable_draw

Array = NDArray[np.float64]

KINDS = (
    "recharge due",
    "no start",
    "no start on the coldest day",
    "first ice",
    "harmful ice",
    "deep discharge",
)


@dataclass(frozen=True)
class Event:
    """Something that happens to a parked battery.

    kind : of KINDS [-]
    days : until then among the samples in which it happens at all [d]
    date : of the middle one; None where it never happens within the days looked at
    chance : that it happens within the time asked about [-]
    ever : share of the samples in which it happens within the days looked at [-]
    """

    kind: str
    days: Estimate
    date: date | None
    chance: float
    ever: float


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
    upkeep : charging before it, topping up, rule of the trade, ten degrees colder
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
    upkeep: Upkeep
    blocked: str
    remedies: tuple[Remedy, ...]
    curve: StandingCurve

    @property
    def charged(self) -> bool:
        """Whether something charges it while it stands."""
        return self.told.maintainer or self.told.panel is not None or self.told.drive_time is not None


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
    harmful = frozen(s.parked, ice=constant("harmful_ice")[1])
    times = (what.recharge_due, what.no_start, coldest, what.first_ice, harmful, what.deep_discharge)
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
        reserve_minutes=reserve_to_stand(s, asked, scenario.goal.chance),
        draw=estimate(np.asarray(s.parked.draw) / series),
        start=estimate(np.asarray(s.parked.start)),
        upkeep=upkeep_of(s),
        blocked=_blocked(s, asked),
        remedies=tuple(sorted(remedies(s, asked), key=lambda r: (r.chance, -r.days))),
        curve=curve_of(s.parked),
        end=ending_of(s, asked),
    )


def _event(kind: str, times: Array, parked_on: date, asked: int) -> Event:
    finite = times[np.isfinite(times)]
    if not finite.size:
        return Event(kind, Estimate(np.inf, np.inf, np.inf, np.inf), None, 0.0, 0.0)
    days = estimate(finite)
    when, within = parked_on + timedelta(days=floor(days.value)), float(np.mean(times <= asked))
    return Event(kind, days, when, within, finite.size / times.size)


def _first(what: Happened) -> str:
    """Return what comes first in most of the samples in which anything comes."""
    comes = np.isfinite(what.days)
    if np.mean(comes) < 0.5:
        return ""
    return "first ice" if np.mean((what.first_ice < what.no_start)[comes]) > 0.5 else "no start"


def _blocked(s: Setting, asked: int) -> str:
    coldest = float(np.median(s.parked.weather.expected[:asked].min(axis=0)))
    return s.case.limit_reason if coldest < s.case.limit else ""
