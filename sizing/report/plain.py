"""The whole answer for a terminal: the sentence first, then why, the numbers, the battery, what helps."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable

from sizing.advice.recommend import Estimate, Recommendation
from sizing.report.text import (
    AT_HAND,
    answer_sentence,
    assumed_lines,
    caution_lines,
    in_hand_sentences,
    interval_sentence,
    lever_lines,
    other_standards_sentence,
    reason_sentence,
    reminder_lines,
    type_sentence,
    warning_sentences,
    widest_lines,
)
from sizing.report.warnings import units_of
from sizing.report.words import ampere_hours, amperes, minutes, say, temperature

BULLET = "  - "


def _span(estimate: Estimate, shown: Callable[[float], str]) -> str:
    """Return a value with its 90 % interval."""
    ends = {name: shown(getattr(estimate, name)) for name in ("value", "low", "high")}
    if not math.isfinite(estimate.value) or ends["low"] == ends["high"]:
        return ends["value"]
    return say("row.span" if math.isfinite(estimate.high) else "row.one_sided", **ends)


def number_rows(rec: Recommendation) -> list[tuple[str, str]]:
    """Return the numbers of the answer as rows of a table: what, and value with interval."""
    units, least = units_of(rec), rec.minimum

    def degrees(kelvin: float) -> str:
        return temperature(kelvin, units)

    mark = f" {least.standard}" if math.isfinite(least.cold_cranking.value) else ""
    return [
        (say("row.cold_cranking"), f"{_span(least.cold_cranking, amperes)}{mark}"),
        (say("row.reserve"), _span(least.reserve_minutes, minutes)),
        (say("row.capacity"), _span(least.capacity_ah, ampere_hours)),
        *([] if rec.night_basis == "stated" else [(say("row.place"), rec.place)]),
        (say("row.night"), _span(rec.night, degrees)),
        (say("row.battery"), _span(rec.battery_temperature, degrees)),
        (say("row.engine"), _span(rec.engine_temperature, degrees)),
    ]


def _wrapped(text: str, width: int | None, first: str = "", later: str = "") -> str:
    if width is None:
        return first + text
    return textwrap.fill(text, width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)


def answer_lines(rec: Recommendation, *, demo: str = "", width: int | None = None) -> list[str]:
    """Return the whole answer, line by line.

    Parameters
    ----------
    rec : the answer [-]
    demo : what in it is invented, in a sentence; empty where nothing is [-]
    width : of the terminal; None for one sentence a line [characters]

    Returns
    -------
    list : lines, the answer's sentence first [-]
    """
    rows = number_rows(rec)
    column = max(len(name) for name, _ in rows)
    table = [f"  {name:<{column}}  {value}" for name, value in rows]
    sections: list[tuple[str, list[str]]] = [
        ("why", [reason_sentence(rec), interval_sentence(rec)]),
        ("in_hand", in_hand_sentences(rec)),
        ("levers", lever_lines(rec)),
        ("widest", widest_lines(rec)),
        ("warnings", warning_sentences(rec)),
        ("reminders", [type_sentence(rec), other_standards_sentence(rec), *reminder_lines(rec)]),
        ("cautions", caution_lines(*AT_HAND)),
        ("assumed", assumed_lines(rec)),
    ]
    lines = [_wrapped(answer_sentence(rec), width)]
    lines += ["", _wrapped(demo, width)] if demo else []
    for name, sentences in sections:
        told = [sentence for sentence in sentences if sentence]
        if told:
            lines += ["", say(f"heading.{name}")]
            lines += [_wrapped(sentence, width, BULLET, " " * len(BULLET)) for sentence in told]
        if name == "why":
            lines += ["", say("heading.numbers"), *table]
    return lines
