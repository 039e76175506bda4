"""The battery in hand as one object for scripts: shares and chances from 0 to 1, null where there is none."""

from __future__ import annotations

import math
from typing import Any

from sizing.advice.condition_answer import Condition, Finding
from sizing.advice.recommend import Estimate
from sizing.report.check_details import (
    caution_sentences,
    conflict_sentences,
    detail_sentences,
    help_sentences,
    number_sentences,
    settle_sentences,
    worth_line,
)
from sizing.report.check_text import answers
from sizing.report.check_words import reading_name, say, sign, units_of
from sizing.units import shown

ENDS = ("value", "low", "high")


def _number(value: float, digits: int) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def _estimate(found: Estimate, digits: int = 3) -> dict[str, Any]:
    return {end: _number(getattr(found, end), digits) for end in ENDS}


def _celsius(kelvin: float) -> float:
    return round(shown(kelvin, "temperature")[0], 1)


def _strength(answer: Condition) -> dict[str, Any]:
    """Return amperes of the label's standard, and their share of the label."""
    found = _estimate(answer.amperes.now, 0)
    found |= {"standard": answer.standard or None, "share_of_label": _estimate(answer.strength.now)}
    return found if found["value"] is not None else {**found, "sentence": say("json.no_label")}


def _months(answer: Condition) -> dict[str, Any]:
    found = _estimate(answer.months_left, 1)
    beyond = say("json.beyond", looked=str(answer.looked_months))
    return {**found, "sentence": beyond} if None in found.values() else found


def _finding(finding: Finding, answer: Condition) -> dict[str, Any]:
    sentence = sign(finding, units_of(answer))
    return {"about": finding.about, "sure": finding.sure, "sentence": sentence}


def _conflicts(answer: Condition) -> list[dict[str, str]]:
    if not answer.conflicts:
        return []
    pairs = zip(answer.conflicts, conflict_sentences(answer), strict=True)
    return [{"reading": conflict.about, "sentence": sentence} for conflict, sentence in pairs]


def check_object(answer: Condition, *, demo: str) -> dict[str, Any]:
    """Return the answer as one object that JSON can carry.

    Parameters
    ----------
    answer : of check [-]
    demo : whole or changed where it is the invented demo, else empty [-]

    Returns
    -------
    dict : answers, shares, chances, months, amperes; temperatures in degrees Celsius [-]
    """
    chances, nights = answer.chances, answer.nights
    first = answer.worth[0] if answer.worth else None
    return {
        "answers": answers(answer),
        "capacity_left": _estimate(answer.capacity.now),
        "cold_cranking_left": _strength(answer),
        "resistance_growth": _estimate(answer.growth.now),
        "charge": _estimate(answer.charge.now),
        "before_readings": {
            "capacity_left": _estimate(answer.capacity.before),
            "share_of_label": _estimate(answer.strength.before),
            "charge": _estimate(answer.charge.before),
        },
        "chance_of_start": {
            name: round(getattr(chances, name), 3) for name in ("tonight", "this_winter", "next_summer")
        },
        "chance_if": {
            name: round(getattr(chances, name), 3)
            for name in ("tonight_full", "winter_full", "tonight_new", "winter_new")
        },
        "months_left": _months(answer),
        "next_reading": None
        if first is None
        else {
            "name": first.name,
            "title": reading_name(first.name),
            "settles": round(first.settles, 3),
            "sentence": worth_line(first),
        },
        "further_readings": [
            {"name": w.name, "settles": round(w.settles, 3), "clears": round(w.clears, 3)}
            for w in answer.worth
        ],
        "findings": [_finding(finding, answer) for finding in answer.findings],
        "in_order": list(answer.in_order),
        "conflicts": _conflicts(answer),
        "readings": list(answer.readings.told),
        "what_would_settle_it": settle_sentences(answer),
        "what_would_help": help_sentences(answer),
        "details": [*number_sentences(answer), *detail_sentences(answer)],
        "place": answer.place,
        "tonight_c": _celsius(nights.tonight),
        "coldest_night_c": {end: _celsius(getattr(nights.coldest, end)) for end in ENDS},
        "age_years": round(answer.age, 2),
        "cautions": caution_sentences(answer),
        "demo": say(f"demo.{demo}") if demo else None,
        "seed": answer.scenario.seed,
    }
