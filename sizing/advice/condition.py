"""Is the battery in hand finished, or was it just that cold: from readings to answers and their reasons."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import nan

import numpy as np

from sizing.advice.condition_answer import Band, Chances, Condition, Finding, Nights, Worth
from sizing.advice.condition_case import Question, question_of
from sizing.advice.condition_chances import Starts, start_curve
from sizing.advice.condition_faults import Weighed, findings, in_order, window_of
from sizing.advice.condition_next import confirmed_first, next_step
from sizing.advice.recommend import Estimate
from sizing.inputs import Scenario
from sizing.inputs.vocabulary import UNKNOWN
from sizing.physics.electrolyte import freezing_temperature
from sizing.simulate.condition import Condition as Weighted
from sizing.simulate.condition import Hidden, Interval, Readings, Subject, condition_of, posterior
from sizing.simulate.condition.judge import interval
from sizing.simulate.condition.outlook import HORIZONS
from sizing.simulate.condition.predict import cold_cranking
from sizing.simulate.condition.worth import loss
from sizing.simulate.standing_start import acid_of_charge

KEPT = 16  # expectations that are remembered: a page asks for the same battery with one reading more
DRAWS = 512  # of equal weight, for what is computed here
MONTHS = 12.0  # of a year
LEAST_DOUBT = 0.02  # expected loss below which there is hardly any doubt left to remove


def estimate(found: Interval, factor: float = 1.0) -> Estimate:
    """Return an interval as an estimate, times a factor."""
    value, low, high = (factor * x for x in (found.value, found.low, found.high))
    return Estimate(value, low, high, value)


def check(scenario: Scenario) -> Condition:
    """Return what is known of the battery in hand.

    Raises ScenarioError where there is no label, or nothing is known of the place's winter.
    """
    question = question_of(scenario)
    draws = posterior(question.subject, question.taken)
    weighed, now = condition_of(draws), Starts(question, draws.sample(DRAWS))
    expected = _expected(question.subject)
    chances, told = now.chances(), question.told
    found = findings(scenario, told, _weighed(question, now, weighed, chances))
    fine, unseen = in_order(told, found)
    worth = confirmed_first(_worth(weighed), found)
    blocked = question.reason if float(np.median(now.coldest.engine)) < question.limit else ""
    printed = _printed(scenario)
    share = _band(expected, weighed, "cold_cranking_left")
    return Condition(
        scenario=scenario,
        readings=told,
        place=question.subject.place.label,
        age=question.age if question.age_known else float(np.median(now.hidden.years)),
        age_known=question.age_known,
        kind=now.hidden.label.kind.name,
        standard=_standard(scenario),
        capacity=_band(expected, weighed, "capacity_left"),
        strength=share,
        amperes=_band(expected, weighed, "cold_cranking_left", printed),
        growth=_band(expected, weighed, "resistance_growth"),
        charge=_band(expected, weighed, "charge"),
        chances=chances,
        nights=_nights(question, now),
        findings=found,
        conflicts=(*question.set_aside, *_conflicts(weighed)),
        in_order=fine,
        unseen=unseen,
        window=window_of(scenario, told),
        code=question.code,
        worth=worth,
        months_left=_months(weighed),
        looked_months=round(MONTHS * float(HORIZONS[-1])),
        blocked=blocked,
        next_step=next_step(found, chances, worth, weighed, question),
        failing=weighed.chance_of_failing,
        reliable=weighed.reliable,
        curve=start_curve(Starts(question, expected.hidden), now),
    )


@dataclass(frozen=True)
class Expected:
    """What label and age alone let one expect, before any reading; names as of what the readings leave."""

    hidden: Hidden
    charge: Interval
    capacity_left: Interval
    resistance_growth: Interval
    cold_cranking_left: Interval


@lru_cache(maxsize=KEPT)
def _expected(subject: Subject) -> Expected:
    h = posterior(subject, Readings()).sample(DRAWS)
    amperes = cold_cranking(h.battery, h.cell_loss, h.label.test)
    return Expected(
        hidden=h,
        charge=interval(h.charge),
        capacity_left=interval(np.asarray(h.battery.capacity_left)),
        resistance_growth=interval(np.asarray(h.battery.resistance_growth)),
        cold_cranking_left=interval(amperes / h.label.cold_cranking[h.which_label]),
    )


def _band(before: Expected, now: Weighted, name: str, factor: float = 1.0) -> Band:
    return Band(*(estimate(getattr(found, name), factor) for found in (before, now)))


def _weighed(question: Question, now: Starts, weighed: Weighted, chances: Chances) -> Weighed:
    h = now.hidden
    return Weighed(
        charge=estimate(weighed.charge),
        capacity=estimate(weighed.capacity_left),
        strength=estimate(weighed.cold_cranking_left),
        growth=estimate(weighed.resistance_growth),
        chances=chances,
        faults=weighed.faults,
        failing=weighed.chance_of_failing,
        capacity_ah=_capacity_ah(h),
        freezing=_freezing(weighed.charge.value, h),
        limit=question.limit,
        reason=question.reason,
        night=question.tonight,
        night_told=question.basis == "told",
    )


def _capacity_ah(h: Hidden) -> float:
    own = np.asarray(h.battery.capacity_left) * h.label.capacity_ah[h.which_label]
    return float(np.median(own)) * h.subject.vehicle.batteries_in_parallel


def _freezing(charge: float, h: Hidden) -> float:
    """Return where the acid begins to freeze as charged [K]."""
    return float(np.median(freezing_temperature(acid_of_charge(np.array([charge]), h.battery))))


def _standard(scenario: Scenario) -> str:
    label = scenario.battery
    return label.standard if label is not None and label.standard != UNKNOWN else ""


def _printed(scenario: Scenario) -> float:
    """Return the amperes on the label; NaN where it prints none, or nobody knows their mark."""
    label = scenario.battery
    if label is None or label.cold_cranking is None or label.standard == UNKNOWN:
        return nan
    return label.cold_cranking


def _nights(question: Question, now: Starts) -> Nights:
    stated = now.coldest.stated
    value, low, high = (float(np.asarray(t)) for t in (stated.temperature, stated.low, stated.high))
    return Nights(question.tonight, question.basis, Estimate(value, low, high, value))


def _months(weighed: Weighted) -> Estimate:
    """Return the months left, infinite from the last one that was looked at."""
    last = MONTHS * float(HORIZONS[-1])
    value, low, high = (
        x if x < last else float("inf")
        for x in (weighed.months_left.value, weighed.months_left.low, weighed.months_left.high)
    )
    return Estimate(value, low, high, value)


def _worth(weighed: Weighted) -> tuple[Worth, ...]:
    """Return what further readings are worth, as shares of the loss that a wrong decision now brings."""
    doubt = max(float(loss(weighed.chance_of_failing)), LEAST_DOUBT)
    return tuple(
        Worth(each.name, min(each.gain / doubt, 1.0), each.clearing) for each in weighed.next_readings
    )


def _conflicts(weighed: Weighted) -> tuple[Finding, ...]:
    return tuple(
        Finding(each.name, f"cause.{each.cause.replace(' ', '_')}", {"cause_share": each.cause_chance})
        for each in weighed.conflicts
    )
