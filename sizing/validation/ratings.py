"""Our side of the published rating checks: new, full batteries of ordinary sizes, simulated."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.battery import battery_from_capacity, battery_type, type_names
from sizing.physics.delivery import HOUR, KELVIN, capacity_at, discharge_time, voltage_after
from sizing.physics.pores import Battery, rested
from sizing.physics.ratings import rate, rating_test
from sizing.physics.roots import find_root
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within

Array = NDArray[np.float64]
CAPACITIES = np.array([36.0, 45.0, 60.0, 80.0, 100.0])
FLOODED, AGM = "flooded calcium", "AGM"
SHAPES = (FLOODED, AGM)  # the other types share a shape; R12, R28, R29 and R30 run them all the same
HOURS = {"20 h": 20.0, "5 h": 5.0, "1 h": 1.0}


def _batteries(name: str, capacities: Array = CAPACITIES) -> Battery:
    kind = battery_type(name)
    amperes = kind.cold_cranking_per_ah * capacities
    return battery_from_capacity(kind.shape, amperes, "en_50342_1_level_1", capacities)


@cache
def _rates(name: str, test: str) -> Array:
    return rate(_batteries(name), test)


def _by_size(values: Array) -> Iterable[tuple[str, float]]:
    return ((f"{ah:.0f} Ah", float(v)) for ah, v in zip(CAPACITIES, values, strict=True))


def _share(name: str, hours: float, celsius: float, battery: Battery | None = None) -> float:
    one = battery or _batteries(name, np.array([60.0]))
    warm = capacity_at(hours, one)
    return float((capacity_at(hours, one, temperature=celsius + KELVIN) / warm)[0] * 100.0)


@check("R01")
def en_counting(row: Row) -> Iterable[Point]:
    """Seconds that the two stages of the EN test count for."""
    for level, printed in (("1", 90.0), ("2", 150.0)):
        first, _, last = rating_test(f"en_50342_1_level_{level}").steps
        yield within(row, f"level {level}", printed, first.duration / last.current + last.pass_time)


@check("R03")
def round_trip(row: Row) -> Iterable[Point]:
    """Label to battery to its own test to label, for every test that yields a cold rating."""
    tests = {r["test"] for r in load("ratings_tests").select("data", returns="rating", step="1")}
    for name in SHAPES:
        kind = battery_type(name)
        for test in sorted(tests - {"phca", "iec_60095_1_2006"}):
            amperes = rate(_batteries(name), test)
            again = battery_from_capacity(kind.shape, amperes, test, CAPACITIES)
            for quantity, ours, label in (
                (test, rate(again, test), amperes),
                (f"C20 after {test}", rate(again, "c20_en"), CAPACITIES),
            ):
                worst = int(np.argmax(np.abs(ours / label - 1.0)))
                yield within(
                    row, f"{name}, {quantity}, {CAPACITIES[worst]:.0f} Ah", float(label[worst]), ours[worst]
                )


@check("R05")
def sae_over_din_small(row: Row) -> Iterable[Point]:
    """SAE over DIN for a battery of 200 A DIN."""
    kind = battery_type(FLOODED)
    din, sae = (_rates(FLOODED, t) for t in ("din_43539_2", "sae_j537_cca"))
    ah = float(np.interp(200.0, din, CAPACITIES))
    small = battery_from_capacity(kind.shape, 200.0, "din_43539_2", ah)
    yield inside(row, f"flooded, {ah:.0f} Ah", float(rate(small, "sae_j537_cca")) / 200.0)
    assert np.all(sae > din)


@check("R06")
def about_one_point_seven(row: Row) -> Iterable[Point]:
    """EN and SAE over DIN against the rule of 1.7."""
    rules = {
        float(r["slope"]) for r in load("ratings_cca_conversions").select("check") if r["to"] == "EN or SAE"
    }
    for printed in rules:
        for test in ("en_50342_1_level_1", "sae_j537_cca"):
            for size, ours in _by_size(_rates(FLOODED, test) / _rates(FLOODED, "din_43539_2")):
                yield within(row, f"{test}, {size}", printed, ours)


@check("R07")
def old_iec_over_din(row: Row) -> Iterable[Point]:
    """Old IEC over DIN."""
    for size, ours in _by_size(_rates(FLOODED, "iec_95_1_old") / _rates(FLOODED, "din_43539_2")):
        yield inside(row, size, ours)


@check("R08")
def en_over_sae(row: Row) -> Iterable[Point]:
    """EN level 1 over SAE."""
    (rule,) = load("ratings_cca_conversions").select("check", **{"from": "SAE", "to": "EN"})
    for size, ours in _by_size(_rates(FLOODED, "en_50342_1_level_1") / _rates(FLOODED, "sae_j537_cca")):
        yield within(row, size, float(rule["slope"]), ours)


@check("R09")
def en_over_din(row: Row) -> Iterable[Point]:
    """EN level 1 over DIN."""
    (rule,) = load("ratings_cca_conversions").select("check", **{"from": "DIN", "to": "EN"})
    for size, ours in _by_size(_rates(FLOODED, "en_50342_1_level_1") / _rates(FLOODED, "din_43539_2")):
        yield within(row, size, float(rule["slope"]), ours)


@check("R10")
def charge_in_the_cold(row: Row) -> Iterable[Point]:
    """Charge that the EN test, run on to 6 V, takes out of a battery of 9 A per Ah."""
    kind = battery_type(FLOODED)
    battery = battery_from_capacity(kind.shape, 540.0, "en_50342_1_level_1", 60.0)
    first, _, last = rating_test("en_50342_1_level_1").steps
    seconds = discharge_time(last.current * 540.0, last.stop_voltage, last.temperature, battery)
    yield inside(row, "60 Ah, to 6.0 V at 0.6 x 540 A", float(seconds) * 0.6 * 540.0 / HOUR / 60.0 * 100.0)
    assert first.pass_voltage > last.stop_voltage


@check("R12")
def warm_over_cold(row: Row) -> Iterable[Point]:
    """CA over CCA for every type."""
    for name in type_names():
        for size, ours in _by_size(_rates(name, "ca_mca") / _rates(name, "sae_j537_cca")):
            yield inside(row, f"{name}, {size}", ours)


@check("R13")
def hot_over_cold(row: Row) -> Iterable[Point]:
    """Current at 26.7 degC over the cold rating, from 60 Ah."""
    for name in SHAPES:
        for (size, ours), ah in zip(
            _by_size(_rates(name, "hca") / _rates(name, "sae_j537_cca")), CAPACITIES, strict=True
        ):
            if ah >= 60.0:
                yield inside(row, f"{name}, {size}", ours)


@check("R14")
def severe_over_cold(row: Row) -> Iterable[Point]:
    """Current at -28.9 degC over the rating at -17.8 degC."""
    for name in SHAPES:
        for size, ours in _by_size(_rates(name, "sae_j537_severe") / _rates(name, "sae_j537_cca")):
            yield inside(row, f"{name}, {size}", ours)


def _reserve_of(name: str, capacity: float) -> float:
    return float(rate(_batteries(name, np.array([capacity])), "rc_en")[0])


@check("R17")
def reserve_of_55(row: Row) -> Iterable[Point]:
    """Reserve capacity of 55 Ah."""
    yield within(row, "55 Ah", 90.0, _reserve_of(FLOODED, 55.0))


@check("R18")
def capacity_from_minutes(row: Row) -> Iterable[Point]:
    """C20 over 0.60 RC between 75 and 120 minutes."""
    (rule,) = (r for r in load("ratings_rc_c20").select("check") if r["form"] == "C20 = factor RC")
    capacities = np.linspace(45.0, 75.0, 7)
    minutes = rate(_batteries(FLOODED, capacities), "rc_en")
    for ah, rc in zip(capacities, minutes, strict=True):
        if 75.0 <= rc <= 120.0:
            yield within(row, f"RC {rc:.0f} min", float(rule["factor"]), ah / rc)


@check("R19")
def printed_pairs(row: Row) -> Iterable[Point]:
    """Reserve capacity of two printed pairs."""
    for pair in load("ratings_rc_pairs").select("check"):
        ah = float(pair["c20_ah"])
        yield within(row, f"{ah:.0f} Ah", float(pair["rc_min"]), _reserve_of(FLOODED, ah))


@check("R21")
def five_hour_list(row: Row) -> Iterable[Point]:
    """C5 over C20 of a maker's size list."""
    for line in load("ratings_rate_capacity").select("check"):
        if line["battery"].startswith("size list"):
            ah = float(line["c20_ah"])
            ours = float(rate(_batteries(FLOODED, np.array([ah])), "c5_jis")[0]) / ah
            yield within(row, f"{ah:.0f} Ah", float(line["ratio"]), ours)


@check("R22")
def standby_rates(row: Row) -> Iterable[Point]:
    """C10 and C5 of a standby AGM, each to its own end voltage; its C20 ends at 10.8 V."""
    battery = _batteries(AGM, np.array([40.0]))
    twenty = capacity_at(20.0, battery, stop_voltage=10.8)
    for line in load("ratings_rate_capacity").select("check"):
        if line["battery"].startswith("AGM standby"):
            name = "c10_agm_sheet" if line["hours"] == "10" else "c5_agm_sheet"
            yield within(row, name, float(line["ratio"]), float((rate(battery, name) / twenty)[0]))


@check("R25")
def agm_twenty_hours(row: Row) -> Iterable[Point]:
    """Capacity of AGM at 20 h against temperature."""
    for line in load("ratings_capacity_temperature").select("check", rate="20 h"):
        celsius = float(line["temperature_c"])
        if celsius != 25.0:
            yield within(row, f"{celsius:g} degC", float(line["pct_low"]), _share(AGM, 20.0, celsius))


@check("R26")
def agm_two_hours(row: Row) -> Iterable[Point]:
    """Capacity of a small AGM at -10 degC."""
    yield inside(row, "12 Ah, 2 h", _share(AGM, 2.0, -10.0, _batteries(AGM, np.array([12.0]))))


@check("R27")
def capacity_band(row: Row) -> Iterable[Point]:
    """Capacity against temperature at three rates, flooded."""
    for line in load("ratings_capacity_band").select("check"):
        celsius = float(line["temperature_c"])
        ours = _share(FLOODED, HOURS[line["rate"]], celsius)
        yield inside(
            row, f"{line['rate']}, {celsius:g} degC", ours, float(line["pct_low"]), float(line["pct_high"])
        )


@check("R28")
def faster_is_colder(row: Row) -> Iterable[Point]:
    """Capacity left at -10 degC falls with the rate: smallest step between the three rates, points."""
    for name in type_names():
        shares = [_share(name, hours, -10.0) for hours in HOURS.values()]
        ours = float(np.min(-np.diff(shares)))
        yield Point(name, "falls", ours, float(np.nextafter(float(row["low"]), 1.0)), float("inf"))


def _load_voltage(battery: Battery, current: Array, celsius: float) -> Array:
    return voltage_after(current, 15.0, celsius + KELVIN, battery, state=rested(1.0, battery))


@check("R29")
def half_rating_held(row: Row) -> Iterable[Point]:
    """Voltage at half the cold-cranking amps after 15 s, against the printed minimum."""
    for line in load("practice_load_test").select("check"):
        celsius, least = float(line["t_c"]), float(line["min_v"])
        for name in type_names():
            battery = _batteries(name)
            ours = float(np.min(_load_voltage(battery, 0.5 * _rates(name, "sae_j537_cca"), celsius)))
            yield inside(row, f"{name}, {celsius:g} degC", ours, least, float("nan"))


@check("R30")
def three_c20_held(row: Row) -> Iterable[Point]:
    """Voltage at three times C20 after 15 s."""
    for name in type_names():
        ours = float(np.min(_load_voltage(_batteries(name), 3.0 * CAPACITIES, 21.0)))
        yield inside(row, name, ours)


@check("R31")
def effective_resistance(row: Row) -> Iterable[Point]:
    """Drop at -12 over 21 degC, from a source of 12.3 V, of a battery worn to the limit at 21 degC."""
    (line,) = load("ratings_load_test_ratio").select("check", t_c="-12")
    (limit,) = load("practice_load_test").select("check", t_c="21")
    for name in SHAPES:
        battery, current = _batteries(name), 0.5 * _rates(name, "sae_j537_cca")

        def above(growth: Array, battery: Battery = battery, current: Array = current) -> Array:
            return _load_voltage(battery.aged(growth, 1.0), current, 21.0) - float(limit["min_v"])

        worn = battery.aged(find_root(above, 0.0, np.full(CAPACITIES.shape, 9.0)), 1.0)
        cold, warm = (12.3 - _load_voltage(worn, current, t) for t in (-12.0, 21.0))
        yield within(row, name, float(line["ratio_e_123"]), float((cold / warm)[2]))


@check("R32")
def large_agm(row: Row) -> Iterable[Point]:
    """A large AGM of 1 100 A at half its rating."""
    kind = battery_type(AGM)
    battery = battery_from_capacity(kind.shape, 1100.0, "sae_j537_cca", 1100.0 / kind.cold_cranking_per_ah)
    yield inside(row, "550 A", float(_load_voltage(battery, np.array(550.0), 21.0)))


@check("R38")
def efb_ratio(row: Row) -> Iterable[Point]:
    """The type's default ratio, which no row of EFB was fitted to, against one printed battery."""
    (line,) = load("ratings_rows").select("check", source="product_page_efb_70")
    printed = float(line["cca_a"])
    yield within(row, "70 Ah", printed, battery_type("EFB").cold_cranking_per_ah * float(line["c20_ah"]))


@check("R39")
def charge_of_tests(row: Row) -> Iterable[Point]:
    """Charge that each cold test asks for, hours times rating."""
    names = {
        "SAE and JIS and AS": "sae_j537_cca",
        "EN level 1": "en_50342_1_level_1",
        "EN level 2": "en_50342_1_level_2",
        "DIN": "din_43539_2",
        "old IEC": "iec_95_1_old",
        "GB/T": "gb_t_5008_1",
    }
    for line in load("ratings_test_charge").rows:
        steps = rating_test(names[line["test"]]).steps
        seconds = [
            s.current * (s.pass_time if np.isnan(s.duration) else s.duration) for s in steps if s.current > 0
        ]
        yield within(row, line["test"], float(line["hours_times_rating"]), sum(seconds) / HOUR)


@check("R41")
def five_hours_agm(row: Row) -> Iterable[Point]:
    """C5 over C20 of AGM."""
    for size, ours in _by_size(_rates(AGM, "c5_jis") / CAPACITIES):
        yield inside(row, size, ours)


def _exponents(name: str) -> Iterable[tuple[str, float]]:
    """Return Peukert's exponent between the 20 h rate and 25 A, by size."""
    return _by_size(np.log(1200.0 / _rates(name, "rc_en")) / np.log(500.0 / CAPACITIES))


@check("E29")
def exponent_flooded(row: Row) -> Iterable[Point]:
    """Exponent of flooded batteries."""
    for size, ours in _exponents(FLOODED):
        yield inside(row, size, ours)


@check("R40")
def exponent_agm(row: Row) -> Iterable[Point]:
    """Exponent of AGM batteries."""
    for size, ours in _exponents(AGM):
        yield inside(row, size, ours)
