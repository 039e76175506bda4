"""How many years a battery lasts here, what the heat shield is worth, and what else would help."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sizing.advice.case import make_case, place_of
from sizing.advice.life_case import LifeCase, life_case
from sizing.advice.life_changes import Change, habits, shields
from sizing.advice.life_heat import HotDay, HoursByTemperature, hot_day, hours_by_temperature
from sizing.advice.life_seasons import Replacing, replacing
from sizing.advice.recommend import Estimate
from sizing.inputs import Life, Scenario
from sizing.physics.ageing import KINDS
from sizing.simulate.life.lives import ENDS, MONTHS, Lives, simulate
from sizing.simulate.sampling import INTERVAL, never_as_infinite

Array = NDArray[np.float64]

LIVES = 4096  # of each variant: the median is then known to about 1 %, and a difference of two far better
TENTHS = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Years:
    """Years in service: median, and those that 10 and 90 % of batteries do not reach [a]."""

    median: float
    p10: float
    p90: float


@dataclass(frozen=True)
class Variant:
    """A life with one thing changed, or the one asked about.

    change : what is different [-]
    years : in service [a]
    gained : median less that of the life asked about; ends: the same within single vehicles [month]
    lives : each of them [-]
    heat : hours by temperature [-]
    day : the hottest day [-]
    """

    change: Change
    years: Years
    gained: Estimate
    lives: Lives
    heat: HoursByTemperature
    day: HotDay

    @property
    def damage(self) -> dict[str, float]:
        """Mean share of each kind of wear in the damage at the end."""
        return dict(zip(KINDS, self.lives.shares.mean(axis=0).tolist(), strict=True))

    @property
    def no_starts(self) -> dict[str, list[float]]:
        """Share of all lives that ended with a no-start, by leading kind of wear and calendar month."""
        lives = self.lives
        failed = lives.ended_by == ENDS.index("start")
        return {
            kind: (
                np.bincount(lives.calendar_month[failed & (lives.cause == n)], minlength=MONTHS)
                / len(lives.months)
            ).tolist()
            for n, kind in enumerate(KINDS)
        }

    @property
    def ended(self) -> dict[str, float]:
        """Share of lives by how they ended."""
        counts = np.bincount(self.lives.ended_by, minlength=len(ENDS)) / len(self.lives.months)
        return dict(zip(ENDS, counts.tolist(), strict=True))


@dataclass(frozen=True)
class LifeAnswer:
    """How long a battery lasts.

    asked : the life asked about [-]
    shields : the same battery with other shields [-]
    others : with other changes, the most helpful first; empty where they were not asked for [-]
    sure_years : that it reaches with the wanted chance [a]
    replacing : when to replace one that still works [-]
    mean_outdoor : mean air outdoors over the years looked at [K]
    unstartable : why no battery starts the engine in the night of the goal: oil, ignition, or size where the
        engine may be turned but no size does it; empty where one does [-]
    limit : engine temperature below which no battery helps: colder mornings are reckoned with it [K]
    """

    scenario: Scenario
    place: str
    told: Life
    type: str
    asked: Variant
    shields: tuple[Variant, ...]
    others: tuple[Variant, ...]
    sure_years: float
    replacing: Replacing
    mean_outdoor: float
    unstartable: str
    limit: float

    @property
    def compared(self) -> tuple[Variant, ...]:
        """Every variant, the one asked about first, then the most helpful."""
        rest = sorted((*self.shields, *self.others), key=lambda variant: -variant.gained.value)
        return (self.asked, *rest)


def life(scenario: Scenario, *, wide: bool = True) -> LifeAnswer:
    """Return how long a battery lasts in this scenario.

    Parameters: ``wide`` also tries every other change; without it only shields are compared.

    Raises ScenarioError where place, vehicle or label do not allow an answer.
    """
    case = life_case(scenario)
    asked = _variant(Change("asked", "", scenario), case, None)
    known = _variants(shields(scenario), case, asked.lives)
    more = _variants(habits(scenario), case, asked.lives) if wide else ()
    label = scenario.battery
    return LifeAnswer(
        scenario=scenario,
        place=place_of(scenario).label,
        told=case.told,
        type=case.subject.kind,
        asked=asked,
        shields=known,
        others=tuple(sorted(more, key=lambda variant: -variant.gained.value)),
        sure_years=float(np.quantile(asked.lives.years, 1.0 - scenario.goal.chance, method="lower")),
        replacing=replacing(
            asked.lives,
            case.subject.latitude,
            case.told.breakdown_cost,
            label.age_years if label is not None else 0.0,
        ),
        mean_outdoor=float(case.subject.air.mean()),
        unstartable=_unstartable(scenario),
        limit=case.subject.limit,
    )


def _unstartable(scenario: Scenario) -> str:
    """Return why no battery starts the engine in the night of the goal, as a recommendation finds it."""
    case = make_case(scenario)
    if case.blocked:
        return case.blocked
    size = never_as_infinite(case.need(case.unit(scenario.goal.age_years)).size)
    return "size" if np.mean(np.isfinite(size)) < scenario.goal.chance else ""


def _variants(changes: Iterable[Change], case: LifeCase, asked: Lives) -> tuple[Variant, ...]:
    return tuple(_variant(change, _case_of(change, case), asked) for change in changes)


def _case_of(change: Change, case: LifeCase) -> LifeCase:
    """Return the case of a change; what it shares with the case asked about is not worked out again."""
    same = ("vehicle", "battery", "standing", "trips", "goal", "seed")
    if any(getattr(change.scenario, name) != getattr(case.scenario, name) for name in same):
        return life_case(change.scenario)
    shelter = change.scenario.place.shelter
    subject = case.subject if shelter == case.subject.shelter else replace(case.subject, shelter=shelter)
    return replace(case, scenario=change.scenario, told=change.told, subject=subject)


def _variant(change: Change, case: LifeCase, asked: Lives | None) -> Variant:
    conditions, months = case.conditions()
    lives = simulate(conditions, case.wear, LIVES, case.scenario.seed)
    p10, median, p90 = (float(q) / 12.0 for q in lives.quantiles(*TENTHS))
    return Variant(
        change=change,
        years=Years(median, p10, p90),
        gained=_gained(lives, asked if asked is not None else lives),
        lives=lives,
        heat=hours_by_temperature(months),
        day=hot_day(case.subject, case.told),
    )


def _gained(lives: Lives, asked: Lives) -> Estimate:
    """Return how far the medians lie apart; within single vehicles, which share their luck, for the ends."""

    def apart(which: NDArray[np.bool_]) -> float:
        return float(np.median(lives.months[which]) - np.median(asked.months[which]))

    by_vehicle = [apart(asked.lane == lane) for lane in np.unique(asked.lane)]
    low, middle, high = (float(q) for q in np.quantile(by_vehicle, INTERVAL))
    value = float(lives.quantiles(0.5)[0] - asked.quantiles(0.5)[0])
    return Estimate(value, min(low, value), max(high, value), middle)
