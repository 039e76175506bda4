"""Typed quantities: round trips, spellings, and nothing but QuantityError for whatever is typed."""

from __future__ import annotations

import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.tables import load
from sizing.units import SYSTEMS, QuantityError, kinds, parse, show, shown

ROWS = load("units_accepted").rows
PAIRS = [(row["kind"], row["unit"]) for row in ROWS]
INSIDE = {"K": "kelvin", "A h": "ampere * hour", "a": "year", "min": "minute", "m3": "meter ** 3"} | {
    "m2/s": "meter ** 2 / second", "kg/m3": "kilogram / meter ** 3", "Pa s": "pascal * second"} | {
    "1": "dimensionless", "deg": "degree", "m2": "meter ** 2"}  # fmt: skip


REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize("row", ROWS, ids=[f"{kind} {unit}" for kind, unit in PAIRS])
@pytest.mark.parametrize("number", [1.0, 40.0])
def test_every_factor_is_that_of_the_units_library(row: dict[str, str], number: float) -> None:
    inside = INSIDE.get(kinds()[row["kind"]].inside, kinds()[row["kind"]].inside)
    if row["kind"] == "temperature difference":
        inside = "delta_degC"
    theirs = REGISTRY.Quantity(number, row["pint"]).to(inside).magnitude
    assert parse(f"{number} {row['unit']}", row["kind"], "field") == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("row", ROWS, ids=[f"{kind} {unit}" for kind, unit in PAIRS])
def test_every_spelling_is_read(row: dict[str, str]) -> None:
    expected = parse(f"20 {row['unit']}", row["kind"], "field")
    for spelling in [row["unit"], *row["spellings"].split("|")]:
        for text in (f"20 {spelling}", f"20{spelling}", f"  20.0  {spelling} ", f"+2e1 {spelling}"):
            assert parse(text, row["kind"], "field") == expected


@given(st.sampled_from(PAIRS), st.floats(0.01, 1e6))
def test_a_typed_number_round_trips(pair: tuple[str, str], number: float) -> None:
    kind, unit = pair
    rules = kinds()[kind].units[unit]
    value = parse(f"{number!r} {unit}", kind, "field")
    back = value * rules.denominator / rules.numerator - rules.offset
    assert back == pytest.approx(number, rel=1e-9, abs=1e-9)


@given(st.sampled_from(sorted(kinds())), st.floats(0.0, 1e4), st.sampled_from(SYSTEMS))
def test_what_is_shown_can_be_typed_back(kind: str, value: float, system: str) -> None:
    text = show(value, kind, system, decimals=9)
    assert parse(text, kind, "field") == pytest.approx(value, rel=1e-6, abs=1e-4)
    number, unit = shown(value, kind, system)
    assert parse(f"{number!r} {unit}", kind, "field") == pytest.approx(value, rel=1e-9, abs=1e-9)


TYPED = st.one_of(
    st.text(max_size=80),
    st.text(alphabet="0123456789.,'eE+-− _ACFhΩm%°inf", max_size=12),
    st.builds("{} {}".format, st.floats(), st.sampled_from([unit for _, unit in PAIRS])),
)
OTHER = st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.binary(), st.lists(st.integers()))


@given(st.one_of(TYPED, OTHER), st.sampled_from(sorted(kinds())))
def test_anything_typed_is_a_finite_number_or_a_one_line_error(typed: object, kind: str) -> None:
    try:
        value = parse(typed, kind, "capacity")
    except QuantityError as error:
        message = str(error)
        assert re.fullmatch("capacity: given .*; accepted: .*", message)
    else:
        assert math.isfinite(value)
        assert value >= kinds()[kind].minimum


@pytest.mark.parametrize(
    ("typed", "kind", "value"),
    [
        ("-18°C", "temperature", 255.15),
        ("\u221218 °C", "temperature", 255.15),
        ("-18 ℃", "temperature", 255.15),
        ("-18 ºc", "temperature", 255.15),
        ("5,7 l", "volume", 5.7e-3),
        ("0,500 l", "volume", 0.5e-3),
        (",5 l", "volume", 0.5e-3),
        ("350 cubic inches", "volume", 350 * 0.0254**3),
        ("70 ah", "capacity", 70.0),
        ("1.5 h", "reserve", 90.0),
        ("6 months", "age", 0.5),
        ("1.2 mΩ", "resistance", 1.2e-3),
        ("1.2 m\u2126", "resistance", 1.2e-3),
        ("10.5:1", "ratio", 10.5),
        (10.5, "ratio", 10.5),
        ("95", "share", 0.95),
        ("5 F", "temperature difference", 5 / 1.8),
    ],
)
def test_what_people_type(typed: object, kind: str, value: float) -> None:
    assert parse(typed, kind, "field") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("9**9**9 A", "current"),
        ("1 2 A", "current"),
        ("1,200 A", "current"),
        ("1'200 A", "current"),
        ("1 200 A", "current"),
        ("1.200.000 A", "current"),
        ("nan A", "current"),
        ("inf A", "current"),
        ("1e999 A", "current"),
        ("600", "current"),
        (600, "current"),
        (True, "share"),
        ("MA", "current"),
        ("5 MA", "current"),
        ("5 MΩ", "resistance"),
        ("5 C", "capacity"),
        ("5 F", "current"),
        ("-300 °C", "temperature"),
        ("-1 K", "temperature"),
        ("", "temperature"),
        ("2.0 l\n3.0 l", "volume"),
        ("400-500 A", "current"),
        ("\ud800", "current"),
    ],
)
def test_what_is_refused(typed: object, kind: str) -> None:
    with pytest.raises(QuantityError):
        parse(typed, kind, "field")


def test_a_missing_unit_is_asked_for() -> None:
    with pytest.raises(
        QuantityError, match=r"^capacity: given '70'; accepted: a capacity with its unit"
    ) as caught:
        parse("70", "capacity", "capacity")
    assert (caught.value.field, caught.value.given) == ("capacity", "70")


def test_separators_of_thousands_are_named() -> None:
    with pytest.raises(QuantityError, match="without separators of thousands"):
        parse("1,200 A", "current", "cold_cranking")


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (243.15, "temperature", "metric", "-30 °C"),
        (243.15, "temperature", "US", "-22 °F"),
        (273.14, "temperature", "metric", "0 °C"),
        (10.0, "temperature difference", "US", "18 °F"),
        (18.0, "mass", "US", "39.7 lb"),
        (1.0, "age", "US", "1 year"),
        (0.5, "age", "metric", "0.5 years"),
        (100.0, "reserve", "metric", "100 min"),
        (1.5e-3, "resistance", "US", "1.5 mΩ"),
        (math.nan, "current", "US", "unknown"),
    ],
)
def test_what_is_shown(value: float, kind: str, system: str, text: str) -> None:
    assert show(value, kind, system) == text
