"""Label lines: whatever is typed, reading never fails and no number comes out of nowhere; round trips."""

from __future__ import annotations

import random
import re
import string

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sizing.advice.convert import Conversion, convert
from sizing.advice.label_points import same_test
from sizing.inputs import Battery, ScenarioError
from sizing.inputs.labels import LabelReading, read_line
from sizing.inputs.vocabulary import cold_test_of_mark
from sizing.physics.battery import type_names
from sizing.physics.rank import cold_cranking_of_rank, performance_rank, preferred_current, shown_rank
from sizing.tables import load

# Written here once more, by hand, so that a reader that has become too generous is found out
UNIT_OR_MARK = re.compile(
    r"A|AMPS?|AMPERES?|AH|A[.·]H|AMP.HOURS|AMPERE.HOURS|MINS?|MINUTES?|RC|R\.C\.?|RESERVE|RES ?CAP"
    r"|C\.?C\.?A\.?|SAE|J537|BCI|EN|ICC|IEC|BS|DIN|GOST|ГОСТ|TU|JIS|JISD5301|GB|GBT|AS|M?\.?C\.?A\.?|HCA|CRANK"
    r"|C20|K20|C5|C10|K10|HR|IEC60095|EN50342",
    re.IGNORECASE,
)
CODE = re.compile(r"[5-7][0-9]{2}[ .-]?[0-9]{3}[ .-]?[0-9]{3}|[5-7][0-9]{4}")
PIECES = [
    "12V", "12 V", "60Ah", "70 Ah", "540A(EN)", "540 A", "640", "EN", "SAE", "DIN", "CCA", "CCA 600", "RC",
    "RC 110", "110 min", "L2", "LN3", "55B24L", "N-55", "560 408 054", "56049", "group 34R", "24F", "MCA 800",
    "PHCA 900", "AGM", "EFB", "gel", "6V", "36Ah(5HR)", "C20", "K20 60", "70,5Ah", "1.000A", "-18°C", "W3",
    "207x175x190", "foo", "７０Ａｈ", "½", "٦٠Ah", "Ω", "(", ")", "/",
    "+", "\u200b", "\x00", "💥", "0", "99999 A",
]  # fmt: skip


def honest(line: str, reading: LabelReading) -> None:
    """Assert that each rating stands in the line, with a unit, a mark or a code that explains it."""
    for rating in reading.ratings:
        assert np.isfinite(rating.value)
        assert rating.value > 0.0
        pieces = rating.text.split()
        assert all(piece in reading.line for piece in pieces), line
        code = CODE.fullmatch(rating.text)
        if code:
            digits = re.sub(r"\D", "", rating.text)
            hundreds = {"5": 0, "6": 100, "7": 200}[digits[0]]
            expected = {"capacity": hundreds + int(digits[1:3]), "current": 10.0 * int(digits[-3:])}
            assert rating.value == expected[rating.family]
            continue
        numbers = [float(n.replace(",", ".")) for n in re.findall(r"[0-9]+(?:[.,][0-9]+)?", rating.text)]
        assert rating.value in numbers, line
        assert UNIT_OR_MARK.search(rating.text), line


@settings(max_examples=400, deadline=None)
@given(st.text(max_size=60))
@example("EN 50342-1")
@example("CCA" * 80)
@example("1e999A")
def test_any_text_is_read_and_no_number_invented(line: str) -> None:
    honest(line, read_line(line))


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=7), st.sampled_from(["", " ", "  ", ",", "\n"]))
def test_any_shuffle_of_labels_is_read_and_no_number_invented(pieces: list[str], glue: str) -> None:
    line = glue.join(pieces)
    honest(line, read_line(line))


def test_five_thousand_random_strings_never_fail_and_never_invent_a_number() -> None:
    rng = random.Random(20)
    letters = string.ascii_letters + string.digits * 3 + " " * 12 + "()/,.-+°;:=" + "éßΩ５½٣"
    for _ in range(5000):
        pieces = [
            rng.choice(PIECES) if rng.random() < 0.3 else "".join(rng.choices(letters, k=rng.randrange(9)))
            for _ in range(rng.randrange(7))
        ]
        line = rng.choice(["", " ", " "]).join(pieces)
        honest(line, read_line(line))


def test_random_digits_alone_are_no_rating_but_where_a_code_says_so() -> None:
    rng = random.Random(21)
    for _ in range(1000):
        line = " ".join(str(rng.randrange(10 ** rng.randrange(1, 8))) for _ in range(rng.randrange(1, 5)))
        reading = read_line(line)
        assert all(CODE.fullmatch(rating.text) for rating in reading.ratings), line


def test_random_labels_convert_or_are_refused_with_a_reason() -> None:
    rng = random.Random(22)
    answered = 0
    refused: list[ScenarioError] = []
    for _ in range(40):
        line = " ".join(rng.sample(PIECES, rng.randrange(1, 5)))
        try:
            found = convert(line)
        except ScenarioError as error:
            refused.append(error)
            continue
        answered += 1
        ordered(found)
    assert answered > 10
    assert all(fault.given and fault.accepted for error in refused for fault in error.faults)


def ordered(found: Conversion) -> None:
    """Assert that every value lies inside its interval and is a number."""
    for rating in found.ratings:
        interval = rating.interval
        assert 0.0 < interval.low <= interval.value * (1.0 + 1e-9), rating.key
        assert interval.value <= interval.high * (1.0 + 1e-9), rating.key
        assert np.isfinite(interval.high)
        if rating.printed:
            assert interval.high == pytest.approx(interval.low, rel=1e-6)


@pytest.mark.parametrize("mark", sorted(cold_test_of_mark()))
def test_a_label_comes_back_from_its_own_tests(mark: str) -> None:
    # random batteries, the same ones each time; amperes usual for the size in that standard, or nearly
    rng = random.Random(mark)
    kind, capacity, strong = rng.choice(type_names()), rng.uniform(36.0, 105.0), rng.uniform(0.85, 1.15)
    usual = convert(Battery(capacity=f"{capacity:.1f} Ah", type=kind))
    test = cold_test_of_mark()[mark]
    row = next((each for each in usual.ratings if same_test(each.test, test)), usual.rating("sae"))
    amperes = round(strong * row.interval.value)
    found = convert(f"{amperes} A {mark} {capacity:.1f}Ah {kind}")
    printed = [rating for rating in found.ratings if rating.printed]
    assert found.label.cold_cranking == amperes
    for rating in printed:
        label = amperes if rating.unit == "A" else round(capacity, 1)
        assert rating.interval.value == pytest.approx(label, rel=1e-3)
    assert any(rating.test == "c20_en" for rating in printed)
    alike = [rating for rating in found.ratings if rating.unit == "A" and same_test(rating.test, test)]
    for rating in alike:
        assert rating.interval.value == pytest.approx(amperes, rel=6e-3)
    ordered(found)


@pytest.mark.parametrize(
    "line", ["12V 60Ah 540A(EN) L2", "70Ah 300A DIN", "CCA 600 RC 110", "RC 90 500A SAE"]
)
def test_order_of_the_parts_does_not_matter(line: str) -> None:
    first = read_line(line)
    parts = [part.text for part in first.parts]
    rng = random.Random(23)
    for _ in range(6):
        rng.shuffle(parts)
        again = read_line(" ; ".join(parts))
        assert {(r.family, r.value, r.mark) for r in again.ratings} == {
            (r.family, r.value, r.mark) for r in first.ratings
        }


@pytest.mark.parametrize("amperes", [340, 540, 700])
def test_a_standard_that_is_not_known_widens_every_cold_interval(amperes: int) -> None:
    known = convert(Battery(cold_cranking=f"{amperes} A", standard="EN", capacity="60 Ah"))
    unknown = convert(Battery(cold_cranking=f"{amperes} A", capacity="60 Ah"))
    assert sum(unknown.meant.values()) == pytest.approx(1.0)
    for rating in known.ratings:
        if rating.unit == "A":
            wide, narrow = unknown.rating(rating.key).interval, rating.interval
            assert np.log(wide.high / wide.low) > np.log(narrow.high / narrow.low)


@pytest.mark.parametrize("line", ["540A EN 60Ah", "540A EN2 60Ah", "700A SAE", "60Ah", "LN3"])
def test_level_2_is_never_above_level_1(line: str) -> None:
    found = convert(line)
    one, two = found.rating("en1").interval, found.rating("en2").interval
    assert two.low <= one.low * (1.0 + 1e-9)
    assert two.value <= one.high * (1.0 + 1e-9)
    assert two.high <= one.high * (1.0 + 1e-9)


@given(st.floats(50.0, 1500.0), st.floats(20.0, 400.0))
def test_rank_rises_with_amperes_and_minutes_and_comes_back(amperes: float, minutes: float) -> None:
    rank = float(performance_rank(amperes, minutes))
    assert float(performance_rank(1.1 * amperes, minutes)) > rank
    assert float(performance_rank(amperes, 1.1 * minutes)) > rank
    assert float(cold_cranking_of_rank(rank, minutes)) == pytest.approx(amperes)
    step = 2.0 if rank < 50.0 else 5.0
    assert abs(float(shown_rank(rank)) - rank) <= 0.5 * step + 1e-9


@given(st.lists(st.floats(100.0, 1400.0), min_size=1, max_size=5))
def test_steps_are_fixed_points_near_and_rise(amperes: list[float]) -> None:
    current = np.sort(np.array(amperes))
    steps = preferred_current(current)
    assert steps.shape == current.shape
    assert np.all(np.diff(steps) >= 0.0)
    assert np.all(np.abs(steps - current) <= 25.0 + 1e-9)
    np.testing.assert_allclose(preferred_current(steps), steps)


def test_ranks_and_steps_refuse_or_pass_on_what_is_no_number() -> None:
    assert np.isnan(performance_rank(np.nan, 60.0))
    assert np.isnan(preferred_current(np.nan))
    with pytest.raises(ValueError, match="not negative"):
        performance_rank(-1.0, 60.0)
    with pytest.raises(ValueError, match="longer"):
        cold_cranking_of_rank(55.0, 0.0)


def test_every_mark_of_the_table_is_read() -> None:
    for mark in cold_test_of_mark():
        (rating,) = read_line(f"{mark} 600").ratings
        assert (rating.value, rating.test) == (600.0, cold_test_of_mark()[mark])


def test_every_case_and_group_of_the_tables_is_read() -> None:
    for row in load("ratings_cases_european").rows:
        if len(row["case"]) > 1:
            assert read_line(f"60Ah {row['case']}").facts.case == row["case"]
    for row in load("ratings_cases_bci").rows:
        for name in row["group"].split():
            assert read_line(f"group {name}").facts.group == row["group"]
    for row in load("ratings_jis_types").rows:
        assert read_line(row["type"]).facts.rank == int(row["rank"])
