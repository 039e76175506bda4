"""What is said to people: never rounded to the unsafe side, never a hole, singular and plural right."""

from __future__ import annotations

import math
import re
import string
from collections import Counter
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.advice.recommend import Estimate, Recommendation, recommend
from sizing.inputs import demo_mapping, scenario_from_mapping
from sizing.report import words
from sizing.report.text import (
    answer_sentence,
    caution_lines,
    in_hand_sentences,
    lever_lines,
    reason_sentence,
    warning_sentences,
)
from sizing.tables import load

positive = st.floats(0.1, 5000.0)


@cache
def demo() -> Recommendation:
    return recommend(scenario_from_mapping(demo_mapping()))


def with_hand(**changes: Any) -> Recommendation:
    rec = demo()
    assert rec.in_hand is not None
    return replace(rec, in_hand=replace(rec.in_hand, **changes))


def same(value: float) -> Estimate:
    return Estimate(value, value, value, value)


@given(positive)
def test_what_is_asked_for_is_rounded_up_and_not_far(value: float) -> None:
    asked = float(words.amperes(value).split()[0])
    assert value <= asked * (1.0 + 1e-5)
    assert asked < value + 10.01
    time = float(words.minutes(value).split()[0])
    assert value <= time * (1.0 + 1e-5)
    assert time < value + 5.01
    assert value <= float(words.ampere_hours(value).split()[0]) * (1.0 + 1e-5)


@given(positive)
def test_what_is_to_spare_is_rounded_down(value: float) -> None:
    assert float(words.amperes_down(value).split()[0]) <= value * (1.0 + 1e-5)


@given(st.floats(0.0, 1.0))
def test_a_chance_is_said_no_surer_than_it_is(share: float) -> None:
    text = words.found_chance(share)
    number = float(re.search(r"\d+", text)[0])  # type: ignore[index] - each has a number
    assert abs(number - 100.0 * share) <= 1.0
    assert " 100 in 100" not in f" {text}"
    assert not text.startswith("0 ")


@given(st.integers(0, 150))
def test_one_is_singular_and_nothing_else_is(months: int) -> None:
    text = words.years(months / 12.0)
    assert (
        bool(re.fullmatch(r"(one (year|month)|half a year)", text)) == (not text.endswith("s")) or not months
    )


@given(st.floats(200.0, 310.0), st.sampled_from(["metric", "US"]))
def test_the_coldest_start_looked_at_is_never_a_plain_number(kelvin: float, units: Any) -> None:
    assert ("or colder" in words.coldest(kelvin, units)) == (kelvin <= 223.151)


def test_every_sentence_has_its_key_once_and_its_braces_closed() -> None:
    rows = load("messages").rows
    assert not [key for key, count in Counter(row["key"] for row in rows).items() if count > 1]
    for row in rows:
        names = [name for _, name, _, _ in string.Formatter().parse(row["text"]) if name is not None]
        assert all(name.isidentifier() for name in names), row["key"]
        assert row["text"] == row["text"].strip()
        assert "  " not in row["text"]


def test_every_reason_that_can_decide_has_its_sentence() -> None:
    ways = (
        "breakaway",
        "speed",
        "electronics",
        "reserve",
        "specification",
        "warmth",
        "starter",
        "battery",
        "ice",
    )
    for reason in ways:
        assert reason_sentence(replace(demo(), decided_by=reason)).endswith(".")
    for reason in ("oil", "ignition"):
        rec = replace(demo(), decided_by=reason, blocked=reason, heat_to=238.15)
        assert "-35 °C" in reason_sentence(rec)
        assert answer_sentence(rec).startswith("No battery alone starts this engine")
        assert "Warm the engine to -35 °C or more" in answer_sentence(rec)


@pytest.mark.parametrize(
    ("amperes", "said"),
    [(129.0, "120 A more"), (-129.0, "130 A less"), (4.0, "just the amperes"), (math.nan, "")],
)
def test_the_margin_in_amperes_is_said_on_its_side(amperes: float, said: str) -> None:
    text = " ".join(in_hand_sentences(with_hand(margin_amperes=amperes)))
    assert said in text
    assert bool(said) == ("amperes asked for" in text or "asked for at four years" in text)


@pytest.mark.parametrize(
    ("degrees", "said"),
    [
        (12.0, "12 degrees below that night"),
        (1.0, "1 degree below"),
        (-7.0, "stops short of that night by 7 degrees"),
        (0.2, "just its limit"),
    ],
)
def test_the_margin_in_degrees_is_said_on_its_side(degrees: float, said: str) -> None:
    rec = with_hand(margin_degrees=degrees, starts_down_to=same(240.0))
    assert said in " ".join(in_hand_sentences(rec))


def test_a_battery_that_never_starts_the_engine_is_said_to() -> None:
    never = same(math.inf)
    rec = with_hand(
        starts_down_to=never, starts_down_to_new=never, starts_down_to_goal=never, margin_degrees=-math.inf
    )
    assert "does not start this engine" in in_hand_sentences(rec)[0]
    worn = with_hand(starts_down_to=never, starts_down_to_goal=never, margin_degrees=-math.inf)
    assert "not even on a night of 25 °C at its age of three years" in in_hand_sentences(worn)[0]


def test_a_battery_that_is_known_no_colder_says_at_least() -> None:
    floor = same(223.15)
    rec = with_hand(
        starts_down_to=floor, starts_down_to_new=floor, starts_down_to_goal=floor, margin_degrees=16.0
    )
    text = " ".join(in_hand_sentences(rec))
    assert (
        "down to -50 °C or colder with 95 in 100: when new, at its age of three years and at four years"
        in text
    )
    assert "at least 16 degrees" in text
    assert any("not computed" in line for line in warning_sentences(rec))


def test_levers_are_told_by_the_difference_of_what_is_read() -> None:
    rec = demo()
    shown = float(words.amperes(rec.minimum.cold_cranking.value).split()[0])
    for line in lever_lines(rec):
        found = re.search(r"(\d+) A less \((\d+) A", line)
        if found:
            assert float(found[1]) + float(found[2]) == shown


def test_cautions_come_after_the_manual_and_belong_to_the_occasion() -> None:
    lines = caution_lines("frozen")
    assert lines[0] == "The vehicle's own manual goes first."
    assert any("frozen" in line for line in lines[1:])
    assert len(caution_lines("changing")) > len(lines)
    assert all(line.endswith(".") for line in lines)
