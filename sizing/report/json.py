"""The answer as one object for scripts: °C, rounded to a tenth; null with a sentence where no number is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sizing.advice.levers import Lever
from sizing.advice.recommend import Estimate, InHand, Minimum, Recommendation
from sizing.report.text import (
    AT_HAND,
    answer_sentence,
    assumed_lines,
    caution_lines,
    in_hand_sentences,
    interval_sentence,
    lever_line,
    reason_sentence,
    reminder_lines,
    warning_sentences,
)
from sizing.report.words import at_floor, coldest, say
from sizing.units import shown
from sizing.validation import Outcome

ENDS = ("value", "low", "high", "median")


def number(value: float, digits: int = 1) -> float | None:
    """Return a number as it may stand in JSON, rounded; None where it is not finite.

    >>> number(517.04), number(float("inf"))
    (517.0, None)
    """
    return round(float(value), digits) + 0.0 if math.isfinite(value) else None


def celsius(kelvin: float) -> float | None:
    """Return a temperature [K] in °C, rounded; None where there is none.

    >>> celsius(243.15)
    -30.0
    """
    return number(shown(kelvin, "temperature")[0])


def _estimate(estimate: Estimate, sentence: str) -> dict[str, Any]:
    """Return a value with its interval; the sentence says what a null means."""
    found: dict[str, Any] = {end: number(getattr(estimate, end)) for end in ENDS}
    return found if None not in found.values() else {**found, "sentence": sentence}


def _temperature(estimate: Estimate) -> dict[str, Any]:
    return {end: celsius(getattr(estimate, end)) for end in ENDS}


def _coldest(estimate: Estimate) -> dict[str, Any]:
    """Return down to which night something starts; a sentence where the number alone would mislead."""
    found = _temperature(estimate)
    ends = [getattr(estimate, end) for end in ENDS]
    if None in found.values() or any(at_floor(end) for end in ends):
        found["sentence"] = say("json.coldest", words=coldest(estimate.value, "metric"))
    return found


def _minimum(least: Minimum) -> dict[str, Any]:
    return {
        "cold_cranking_amps": {
            **_estimate(least.cold_cranking, say("json.no_size")),
            "standard": least.standard,
        },
        "reserve_minutes": _estimate(least.reserve_minutes, say("json.no_size")),
        "capacity_ah": _estimate(least.capacity_ah, say("json.no_size")),
        "type": least.battery_type,
        "batteries": least.batteries,
        "other_standards": {mark: number(value) for mark, value in least.others.items()},
    }


def _lever(lever: Lever, rec: Recommendation) -> dict[str, Any]:
    return {
        "name": lever.name,
        "detail": lever.detail,
        "needed_amperes": number(lever.needed),
        "change_amperes": number(lever.change),
        "sentence": lever_line(lever, rec),
    }


def _in_hand(hand: InHand, rec: Recommendation) -> dict[str, Any]:
    margin: dict[str, Any] = {
        "amperes": number(hand.margin_amperes),
        "degrees": number(hand.margin_degrees),
    }
    if None in margin.values():
        margin["sentence"] = say("json.no_margin")
    return {
        "starts_down_to_c": _coldest(hand.starts_down_to),
        "starts_down_to_new_c": _coldest(hand.starts_down_to_new),
        "starts_down_to_goal_age_c": _coldest(hand.starts_down_to_goal),
        "chance_of_start": number(hand.chance_of_start, 3),
        "chance_at_goal_age": number(hand.chance_at_goal, 3),
        "margin": margin,
        "estimated_from_label": list(hand.estimated),
        "battery_in_hand": in_hand_sentences(rec),
    }


def recommendation_object(rec: Recommendation, *, demo: str = "") -> dict[str, Any]:
    """Return the answer as one object that JSON can carry: no infinity, no NaN.

    Parameters
    ----------
    rec : the answer [-]
    demo : what in it is invented, in a sentence; empty where nothing is [-]

    Returns
    -------
    dict : amperes, minutes, ampere-hours, °C; chances from 0 to 1 [-]
    """
    limit, heat = rec.case_limit, rec.heat_to
    found: dict[str, Any] = {
        "answer": answer_sentence(rec),
        "reason": reason_sentence(rec),
        "interval": interval_sentence(rec),
        "decided_by": rec.decided_by,
        "freezes_below_charge": round(rec.freezes_below, 3),
        "minimum": _minimum(rec.minimum),
        "place": None if rec.night_basis == "stated" else rec.place,
        "coldest_night_c": celsius(rec.night.value),
        "coldest_night": {**_temperature(rec.night), "basis": rec.night_basis, "within_fit": rec.within_fit},
        "battery_temperature_c": _temperature(rec.battery_temperature),
        "engine_temperature_c": _temperature(rec.engine_temperature),
        "blocked_by": rec.blocked or None,
        "heat_engine_to_c": celsius(heat),
        "case_limit_amperes": number(limit),
        "warnings": warning_sentences(rec),
        "reminders": reminder_lines(rec),
        "cautions": caution_lines(*AT_HAND),
        "levers": [_lever(lever, rec) for lever in rec.levers],
        "widest": [{"what": what, "share": number(share, 3)} for what, share in rec.widest],
        "assumed": list(rec.scenario.assumed),
        "assumptions": assumed_lines(rec),
        "demo": demo or None,
        "seed": rec.scenario.seed,
    }
    return found if rec.in_hand is None else {**found, **_in_hand(rec.in_hand, rec)}


def outcome_object(outcome: Outcome) -> Mapping[str, Any]:
    """Return one published check as an object; ours is null where no number came out."""
    published = outcome.published if isinstance(outcome.published, str) else significant(outcome.published)
    return {
        "id": outcome.id,
        "quantity": outcome.quantity,
        "conditions": outcome.conditions,
        "published": published,
        "ours": significant(outcome.ours),
        "tolerance": outcome.tolerance,
        "met": bool(outcome.met),
        "source": outcome.source,
        "status": outcome.status,
        "reason": outcome.miss_reason,
    }


def significant(value: float, digits: int = 6) -> float | None:
    """Return a number with so many digits that count; None where it is not finite.

    >>> significant(0.123456789), significant(float("nan"))
    (0.123457, None)
    """
    return float(f"{value:.{digits}g}") if math.isfinite(value) else None
