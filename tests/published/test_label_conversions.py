"""Published conversions lie inside the stated spread, and codes say what their source prints."""

from __future__ import annotations

import pytest

from sizing.advice.convert import Conversion, convert
from sizing.advice.published import Rule, capacity_rules
from sizing.inputs import Battery
from sizing.inputs.labels import read_line
from sizing.inputs.labels.lexicon import etn_rules, stop_start_sizes
from sizing.tables import Row, load, numbers

KEYS = {"SAE": ("sae",), "EN": ("en1",), "EN or SAE": ("en1", "sae"), "old IEC": ("iec",)}
# one rule of thumb for all sizes cannot suit each: printed for ordinary cars of the time
DIN_AMPERES = (200.0, 250.0, 300.0, 350.0, 400.0)
AH_OF_DIN = 5.7  # A by DIN in one Ah: 9.4 A (EN) over 1.65


def of_din(amperes: float) -> Conversion:
    """Return what a flooded battery of so many amperes by DIN means."""
    capacity = f"{amperes / AH_OF_DIN:.0f} Ah"
    return convert(
        Battery(cold_cranking=f"{amperes} A", standard="DIN", capacity=capacity, type="flooded calcium")
    )


@pytest.mark.parametrize("amperes", DIN_AMPERES)
@pytest.mark.parametrize(
    "row", load("ratings_cca_conversions").select("check", **{"from": "DIN"}),
    ids=lambda row: f"{row['to']}-{row['source']}",
)  # fmt: skip
def test_published_rules_from_din_lie_inside_the_interval(row: Row, amperes: float) -> None:
    found = of_din(amperes)
    slopes = [float(row[name]) for name in ("slope", "slope_low", "slope_high") if row[name]]
    for key in KEYS[row["to"]]:
        interval = found.rating(key).interval
        ends = [slope * amperes + float(row["offset_a"]) for slope in slopes]
        # a printed range and ours must meet; a single printed figure must lie inside
        assert min(ends) <= interval.high
        assert max(ends) >= interval.low


def test_en_equals_sae_within_the_printed_spread() -> None:
    (row,) = load("ratings_cca_conversions").select("check", **{"from": "SAE", "to": "EN"})
    for amperes in (350, 540, 700):
        found = convert(f"{amperes}A SAE {amperes / 9.4:.0f}Ah flooded calcium").rating("en1").interval
        assert float(row["slope_low"]) * amperes <= found.value <= float(row["slope_high"]) * amperes
        assert found.low <= float(row["slope"]) * amperes <= found.high


@pytest.mark.parametrize("row", load("ratings_rc_pairs").select("check"), ids=lambda row: row["c20_ah"])
def test_printed_pairs_of_capacity_and_reserve_lie_inside_the_interval(row: Row) -> None:
    found = convert(f"{row['c20_ah']}Ah flooded calcium").rating("rc_sae").interval
    assert found.low <= float(row["rc_min"]) <= found.high


def test_printed_five_hour_capacities_lie_inside_the_interval() -> None:
    for row in load("ratings_rate_capacity").select("check", hours="5"):
        kind = "AGM" if row["battery"].startswith("AGM") else "flooded calcium"
        found = convert(f"{row['c20_ah']}Ah {kind}").rating("c5").interval
        assert found.low <= float(row["c_ah"]) <= found.high, row["battery"]


def test_warm_rules_meet_the_intervals() -> None:
    found = convert("600A SAE 64Ah flooded calcium")
    for key, quantity in (("ca", "CA over CCA"), ("hca", "HCA over CCA")):
        (row,) = load("ratings_warm_cranking").select("check", quantity=quantity)
        low, high = (600.0 * number for number in (float(row["ratio_low"]), float(row["ratio_high"])))
        interval = found.rating(key).interval
        assert low <= interval.high
        assert interval.low <= high


def test_the_typed_laws_give_the_evaluated_minutes() -> None:
    # evaluated from the same two constants: guards against a slip of typing, proves nothing else
    for row in load("ratings_rc_from_c20").rows:
        for construction, column in (("vented", "rc_vented_min"), ("VRLA", "rc_vrla_min")):
            rules: tuple[Rule, ...] = capacity_rules(
                "reserve", {"capacity": float(row["c20_ah"])}, construction
            )
            law = next(rule for rule in rules if construction in rule.words)
            assert law.low == pytest.approx(float(row[column]), abs=0.05)


def test_the_printed_type_number_is_read_exactly() -> None:
    reading = read_line("560 408 054")
    assert [(rating.value, rating.mark) for rating in reading.ratings] == [(60.0, ""), (540.0, "EN")]
    assert etn_rules()[1] * 30 == 300.0  # "030 is 300 A"


def test_the_old_five_digit_number_is_read_exactly() -> None:
    (rating,) = read_line("56049").ratings
    assert (rating.value, rating.family) == (60.0, "capacity")


def test_the_stop_start_letters_are_those_of_the_rule() -> None:
    sizes = {letter: "".join(size) for letter, size in stop_start_sizes().items()}
    assert sizes == {"K": "B19", "M": "B20", "N": "B24", "Q": "D23", "S": "D26", "T": "D31"}


@pytest.mark.parametrize(
    "row", load("practice_load_currents").select("check", case="flooded 75D23L")[:1],
    ids=lambda row: row["case"],
)  # fmt: skip
def test_a_printed_pair_lies_inside_what_its_type_alone_means(row: Row) -> None:
    found = convert("75D23L")
    for key, column in (("sae", "cca"), ("rc_sae", "rc_min")):
        interval = found.rating(key).interval
        assert interval.low <= float(numbers((row,), column)[0]) <= interval.high
