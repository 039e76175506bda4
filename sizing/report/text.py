"""The answer in sentences: what to look for, why, what the battery in hand does, what helps, what to mind.

Command line and page say the same sentences; the texts stand in the table ``messages``.
"""

from __future__ import annotations

import math

from sizing.advice.case import few_reach_goal
from sizing.advice.coldest import COLDEST, WARMEST
from sizing.advice.levers import Lever
from sizing.advice.recommend import InHand, Recommendation
from sizing.inputs import Battery as Label
from sizing.inputs.vocabulary import UNKNOWN
from sizing.report.warnings import units_of, warning_sentences
from sizing.report.words import (
    AMPERE_STEP,
    ampere_hours,
    amperes,
    amperes_down,
    at_floor,
    chance,
    coldest,
    count,
    degrees,
    found_chance,
    has,
    listed,
    minutes,
    say,
    temperature,
    up,
    years,
)
from sizing.tables import load
from sizing.units import show

__all__ = [
    "answer_sentence",
    "assumed_lines",
    "caution_lines",
    "in_hand_sentences",
    "interval_sentence",
    "lever_lines",
    "other_standards_sentence",
    "reason_sentence",
    "reminder_lines",
    "type_sentence",
    "warning_sentences",
    "widest_lines",
]

AT_HAND = ("changing", "frozen")  # occasions that follow from the answer: a new battery, a full charge
HALF_DEGREE = 0.5  # K: less than this is said to be even


def night_phrase(rec: Recommendation) -> str:
    """Return the night that matters, as it stands in a sentence."""
    shown = temperature(rec.night.value, units_of(rec))
    if rec.night_basis == "stated":
        return say("night.stated", temperature=shown)
    return say("night.place", years=years(rec.scenario.goal.return_period_years), temperature=shown)


def _common(rec: Recommendation) -> dict[str, str]:
    """Return the words that most sentences of the answer share."""
    least, goal = rec.minimum, rec.scenario.goal
    return {
        "amperes": amperes(least.cold_cranking.value),
        "standard": least.standard,
        "minutes": minutes(least.reserve_minutes.value),
        "capacity": ampere_hours(least.capacity_ah.value),
        "batteries": count(least.batteries),
        "each": "" if least.batteries == 1 else f" in each of {count(least.batteries)} batteries",
        "night": night_phrase(rec),
        "chance": chance(goal.chance),
        "age": say("age.old", age=years(goal.age_years)) if goal.age_years else say("age.new"),
        "goal_age": years(goal.age_years),
        "at_goal": at_age(goal.age_years),
        "type": least.battery_type,
        "heat_to": temperature(rec.heat_to, units_of(rec)),
        "why": say(f"why.{rec.blocked}") if rec.blocked else "",
        "cause": say("cause.battery" if _battery_too_cold(rec) else "cause.starter", floor=_floor(rec)),
    }


def _floor(rec: Recommendation) -> str:
    return temperature(COLDEST, units_of(rec))


def _battery_too_cold(rec: Recommendation) -> bool:
    """Tell whether the battery may be colder than acid is known, in one night of twenty."""
    return rec.battery_temperature.low < COLDEST


def at_age(age: float) -> str:
    """Return an age as it stands after a verb.

    >>> at_age(4.0), at_age(0.0)
    ('at four years', 'when new')
    """
    return say("hand.goal", age=years(age)) if age else say("hand.when_new")


def answer_sentence(rec: Recommendation) -> str:
    """Return the answer in one sentence."""
    possible = math.isfinite(rec.minimum.cold_cranking.value) and math.isfinite(rec.minimum.capacity_ah.value)
    if rec.blocked:
        key = "answer.heat" if possible else "answer.none_heat"
    elif not possible:
        key = "answer.none"
    else:
        key = "answer.one" if rec.minimum.batteries == 1 else "answer.several"
    return say(key, **_common(rec))


def reason_sentence(rec: Recommendation) -> str:
    """Return what decides, in plain words."""
    aid = " without its starting aid" if rec.scenario.vehicle.preheat == "none" else ", preheated as it is,"
    preheating = "" if rec.scenario.vehicle.preheat == "none" else "preheating and "
    ice = f"{100.0 * rec.freezes_below:.0f} %"
    words = {"heat_to": _common(rec)["heat_to"], "floor": _floor(rec), "ice": ice}
    return say(f"reason.{rec.decided_by}", aid=aid, preheating=preheating, **words)


def interval_sentence(rec: Recommendation) -> str:
    """Return how far the answer could move if everything unknown were known."""
    cold = rec.minimum.cold_cranking
    key = "interval.amperes" if math.isfinite(cold.high) else "interval.open"
    if not math.isfinite(cold.median):
        key = "interval.none" if math.isfinite(cold.low) else "interval.never"
    return say(key, low=amperes(cold.low), high=amperes(cold.high), median=amperes(cold.median))


def other_standards_sentence(rec: Recommendation) -> str:
    """Return the amperes in the other standards; nothing where no size does it."""
    if not math.isfinite(rec.minimum.cold_cranking.value):
        return ""
    found = [f"{amperes(value)} {mark}" for mark, value in rec.minimum.others.items()]
    return say("others.list", list=listed(found))


def label_words(label: Label) -> str:
    """Return a battery's label in a few words.

    >>> from sizing.inputs import demo_scenario
    >>> label_words(demo_scenario().battery)
    '640 A (EN), 70 Ah'
    """
    parts = []
    if label.cold_cranking is not None:
        mark = f" ({label.standard})" if label.standard != UNKNOWN else ""
        parts.append(f"{show(label.cold_cranking, 'current')}{mark}")
    if label.capacity_ah is not None:
        parts.append(show(label.capacity_ah, "capacity"))
    if label.reserve_minutes is not None:
        parts.append(show(label.reserve_minutes, "reserve"))
    return ", ".join(parts)


def in_hand_sentences(rec: Recommendation) -> list[str]:
    """Return what the battery in hand does: its coldest nights, its chances, its margin."""
    hand, label = rec.in_hand, rec.scenario.battery
    if hand is None or label is None:
        return []
    units, found = units_of(rec), [_down_to(rec, hand, label)]
    now = hand.starts_down_to
    if _told(now.low) and _told(now.high) and round(now.high - now.low, 1) > 0.0:
        low, high = temperature(now.low, units), temperature(now.high, units)
        found.append(say("hand.interval", low=low, high=high))
    found += [say("warning.in_hand_blocked")] if rec.blocked else _chances(rec, hand, label)
    return found + _margins(rec, hand) + _estimated(hand)


def _told(kelvin: float) -> bool:
    return math.isfinite(kelvin) and not at_floor(kelvin)


def _down_to(rec: Recommendation, hand: InHand, label: Label) -> str:
    """Return down to which night the battery starts the engine: new, at its age, at the wanted one."""
    units, goal = units_of(rec), rec.scenario.goal
    words = {"label": label_words(label), "chance": chance(goal.chance)}
    if not math.isfinite(hand.starts_down_to_new.value):
        return say("hand.never", warmest=temperature(WARMEST, units), **words)
    at = {0.0: (say("hand.when_new"), hand.starts_down_to_new)}
    at.setdefault(label.age_years, (say("hand.aged", age=years(label.age_years)), hand.starts_down_to))
    at.setdefault(goal.age_years, (at_age(goal.age_years), hand.starts_down_to_goal))
    ages = [at[age] for age in sorted(at)]
    texts = [coldest(estimate.value, units) for _, estimate in ages]
    if len(set(texts)) == 1 and len(ages) > 1:
        return say("hand.all", now=texts[0], ages=listed([age for age, _ in ages]), **words)
    each = [f"{text} {age}" for text, (age, _) in zip(texts, ages, strict=True)]
    return say("hand.each", ages=listed(each), **words)


def _chances(rec: Recommendation, hand: InHand, label: Label) -> list[str]:
    night, goal = temperature(rec.night.value, units_of(rec)), rec.scenario.goal.age_years
    now, later = found_chance(hand.chance_of_start), found_chance(hand.chance_at_goal)
    key = "hand.chance_one" if goal == label.age_years else "hand.chance"
    return [say(key, night=night, now=now, goal=later, at_goal=at_age(goal))]


def _margins(rec: Recommendation, hand: InHand) -> list[str]:
    """Return the margin in amperes and in degrees, as far as there is one."""
    found, age = [], at_age(rec.scenario.goal.age_years)
    spare, warmer = hand.margin_amperes, hand.margin_degrees
    if math.isfinite(spare):
        shown = amperes_down(spare) if spare > 0.0 else amperes(-spare)
        key = "even" if shown == "0 A" else "more" if spare > 0.0 else "fewer"
        found.append(say(f"hand.{key}_amperes", amperes=shown, at_goal=age))
    if math.isfinite(warmer) and not rec.blocked:
        key = "more" if warmer >= HALF_DEGREE else "fewer" if warmer <= -HALF_DEGREE else "even"
        floor = "_floor" if key == "more" and at_floor(hand.starts_down_to.value) else ""
        found.append(say(f"hand.{key}_degrees{floor}", degrees=degrees(warmer, units_of(rec))))
    return found


def _estimated(hand: InHand) -> list[str]:
    return (
        [say("hand.estimated", list=listed([f"the {what}" for what in hand.estimated]))]
        if hand.estimated
        else []
    )


def lever_lines(rec: Recommendation) -> list[str]:
    """Return what would help, the most helpful first, in amperes."""
    return [lever_line(lever, rec) for lever in rec.levers]


def lever_line(lever: Lever, rec: Recommendation) -> str:
    """Return what one change does."""
    detail = lever.detail
    if lever.name == "earlier":
        detail = years(float(detail))
    what = say(f"lever.{lever.name}", detail=detail)
    needed = f"{amperes(lever.needed)} ({rec.minimum.standard})"
    if not math.isfinite(lever.needed):
        return say("lever.not_enough", what=what)
    if rec.blocked or not math.isfinite(rec.minimum.cold_cranking.value):
        return say("lever.enables", what=what, needed=needed)
    # between the two rounded figures, so that a reader's own subtraction agrees
    change = up(lever.needed, AMPERE_STEP) - up(lever.needed - lever.change, AMPERE_STEP)
    key = "less" if change < 0.0 else "more" if change > 0.0 else "same"
    return say(f"lever.{key}", what=what, change=amperes(abs(change)), needed=needed)


def widest_lines(rec: Recommendation) -> list[str]:
    """Return what widens the answer most; nothing where no size of battery does it."""
    if not math.isfinite(rec.minimum.cold_cranking.value):
        return []
    return [say("widest.share", what=what, share=f"{100.0 * share:.0f} %") for what, share in rec.widest]


def caution_lines(*occasions: str) -> list[str]:
    """Return the cautions for occasions such as ``changing`` or ``charging``; the manual goes first.

    >>> caution_lines("changing")[0]
    "The vehicle's own manual goes first."
    """
    rows = load("practice_cautions").rows
    found = [f"{row['caution']}." for row in rows if set(occasions) & set(row["when"].split("+"))]
    return [say("remind.manual"), *found]


def reminder_lines(rec: Recommendation) -> list[str]:
    """Return what amperes and minutes do not say: case, terminals, vent, batteries that work together."""
    found = [say("remind.case")]
    if few_reach_goal(rec.scenario):
        found.append(say("remind.few", age=years(rec.scenario.goal.age_years)))
    if rec.scenario.vehicle.batteries_in_parallel > 1:
        found.append(say("remind.parallel"))
    if rec.scenario.vehicle.batteries_in_series > 1:
        found.append(say("remind.series"))
    return found


def assumed_lines(rec: Recommendation) -> list[str]:
    """Return what was taken as usual because nobody said."""
    scenario = rec.scenario
    words = {
        **_common(rec),
        "oil": scenario.vehicle.oil,
        "fuel": scenario.vehicle.fuel,
        "period": years(scenario.goal.return_period_years),
    }
    skipped = {"vehicle.injection", "vehicle.preheat"} if scenario.vehicle.fuel == "petrol" else set()
    if rec.night_basis == "stated":
        skipped.add("goal.return_period")
    if scenario.vehicle.oil_data is not None:
        skipped.add("vehicle.oil")
    unsaid = [*scenario.assumed, *(["battery.charge"] if scenario.battery is None else [])]
    keys = [f"assumed.{key}" for key in unsaid if key not in skipped]
    if scenario.trips is not None:
        keys = ["assumed.trips" if key == "assumed.battery.charge" else key for key in keys]
    return [say(key, **words) for key in keys if has(key)]


def type_sentence(rec: Recommendation) -> str:
    """Return the least type."""
    return say("type.least", type=rec.minimum.battery_type)
