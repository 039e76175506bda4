"""Workshop facts: windows, limits, load test, meters, tables of rest voltage, date codes."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from sizing.inputs.date_code import DateCodeError, Month, date_code_months
from sizing.physics.charging import charging_window
from sizing.physics.charging_system import (
    PATHS,
    Ripple,
    alternator_line_limit,
    beyond_window,
    drop_limit,
    hot_market_window,
    is_battery_excused,
    is_drop_faulty,
    managed_window,
    ripple_class,
    side_of_window,
)
from sizing.physics.electrolyte import specific_gravity
from sizing.physics.load_test import (
    least_load_voltage,
    load_current,
    load_current_of_capacity,
    load_test_margin,
    loaded_voltage_of_product,
)
from sizing.physics.meters import (
    clamp_current,
    cranking_resistance,
    fuse_current,
    fuse_resistance,
    gravity_by_rule,
    mass_fraction_from_hydrometer,
    weak_cells,
)
from sizing.physics.rest_tables import charge_by_table, rest_table_names, voltage_by_table

kelvins = some.floats(253.16, 353.1)
volts = some.floats(8.0, 18.0)


@given(kelvins)
def test_windows_lie_in_order(t: float) -> None:
    low, high = charging_window(t)
    hot_low, hot_high = hot_market_window(t)
    managed_low, managed_high = managed_window(t)
    assert managed_low < low < hot_low < hot_high
    assert high < hot_high
    # whoever manages charging is given more room on both sides, never less
    assert managed_high >= high


@given(kelvins, volts)
def test_side_and_distance_agree(t: float, u: float) -> None:
    window = charging_window(t)
    side, beyond = float(side_of_window(u, window)), float(beyond_window(u, window))
    assert np.sign(beyond) == side
    assert window[0] <= u - beyond + 1e-9
    assert u - beyond <= window[1] + 1e-9


@pytest.mark.parametrize("window", [charging_window, hot_market_window, managed_window])
def test_no_window_outside_the_printed_temperatures(window: object) -> None:
    assert callable(window)
    low, high = window(np.array([240.0, 293.15, 360.0]))
    assert np.isnan(low[[0, 2]]).all()
    assert np.isnan(high[[0, 2]]).all()
    assert np.isfinite(low[1] + high[1])
    assert np.isnan(side_of_window(14.0, window(240.0)))
    with pytest.raises(ValueError, match="absolute zero"):
        window(-1.0)


@given(some.floats(0.0, 2.0), some.floats(0.0, 2.0))
def test_more_ripple_is_never_finer(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert ripple_class(low) <= ripple_class(high)
    assert ripple_class(np.array([low, high])).shape == (2,)


def test_classes_of_ripple_change_at_their_limits() -> None:
    assert [Ripple(int(c)) for c in ripple_class(np.array([0.0999, 0.1, 0.2999, 0.3]))] == [
        Ripple.FINE, Ripple.DOUBTFUL, Ripple.DOUBTFUL, Ripple.FAULTY,
    ]  # fmt: skip
    for impossible in (-0.1, float("nan")):
        with pytest.raises(ValueError, match="negative"):
            ripple_class(impossible)


@pytest.mark.parametrize("path", PATHS)
def test_a_drop_is_flagged_at_its_limit(path: str) -> None:
    limit = drop_limit(path)
    assert is_drop_faulty(np.array([0.0, limit - 1e-6, limit]), path).tolist() == [False, False, True]
    with pytest.raises(ValueError, match="right way round"):
        is_drop_faulty(-0.1, path)


def test_an_unknown_path_is_refused() -> None:
    with pytest.raises(ValueError, match="paths are"):
        drop_limit("radiator hose")


@given(some.floats(1.0, 200.0))
def test_the_line_of_the_alternator_is_a_resistance(i: float) -> None:
    assert float(alternator_line_limit(i)) / i == pytest.approx(0.010)


def test_a_line_is_judged_under_current() -> None:
    with pytest.raises(ValueError, match="current flows"):
        alternator_line_limit(0.0)


@given(some.floats(0.0, 12.499))
def test_below_its_limit_the_battery_is_not_excused(u: float) -> None:
    assert not is_battery_excused(u)


@given(some.floats(255.15, 343.15), some.floats(255.15, 343.15))
def test_the_least_load_voltage_rises_with_temperature(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert least_load_voltage(low) <= least_load_voltage(high)
    assert 8.5 <= float(least_load_voltage(low)) <= 9.6
    assert float(load_test_margin(low, least_load_voltage(low))) == 0.0


def test_the_load_test_has_its_range() -> None:
    assert np.isnan(least_load_voltage(np.array([254.0, 344.0]))).all()
    with pytest.raises(ValueError, match="absolute zero"):
        least_load_voltage(-1.0)
    for current in (load_current, load_current_of_capacity):
        with pytest.raises(ValueError, match="above zero"):
            current(0.0)


@given(some.floats(11.0, 13.0), some.floats(0.0, 12.0))
def test_half_of_the_product_is_lost(rest: float, product: float) -> None:
    assert float(loaded_voltage_of_product(rest, product)) == pytest.approx(rest - 0.5 * product)


def test_no_negative_product() -> None:
    with pytest.raises(ValueError, match="not negative"):
        loaded_voltage_of_product(12.6, -1.0)


@given(some.floats(1e-4, 0.1), some.floats(1e-3, 0.02))
def test_a_fuse_read_both_ways(drop: float, resistance: float) -> None:
    assert float(fuse_resistance(drop, fuse_current(drop, resistance))) == pytest.approx(resistance)


def test_impossible_readings_are_questioned() -> None:
    with pytest.raises(ValueError, match="rises above rest"):
        cranking_resistance(12.2, 12.4, 150.0)
    with pytest.raises(ValueError, match="above zero"):
        cranking_resistance(12.4, 10.0, 0.0)
    for wrong in ((-1e-3, 5e-3), (1e-3, 0.0)):
        with pytest.raises(ValueError, match="not negative"):
            fuse_current(*wrong)
        with pytest.raises(ValueError, match="not negative"):
            fuse_resistance(*wrong)
    with pytest.raises(ValueError, match="at least once"):
        clamp_current(1.0, 0.0)


@given(some.integers(1, 20), some.floats(0.0, 10.0))
def test_a_wire_looped_through_a_clamp(turns: int, amperes: float) -> None:
    assert float(clamp_current(amperes * turns, turns)) == pytest.approx(amperes, abs=1e-12)


@given(some.floats(1.08, 1.30), some.floats(243.15, 318.15))
def test_rule_and_physics_of_the_hydrometer_agree_in_sign(reading: float, t: float) -> None:
    rule = float(gravity_by_rule(reading, t))
    acid = float(specific_gravity(mass_fraction_from_hydrometer(reading, t)))
    warm = 299.82
    assert (rule < reading) is (t < warm - 1e-6) or abs(t - warm) < 0.01
    if np.isfinite(acid) and abs(t - 298.15) > 5.0:
        assert (acid < reading) is (t < 298.15)


def test_the_hydrometer_has_its_range() -> None:
    assert np.isnan(gravity_by_rule(1.25, np.array([230.0, 340.0]))).all()
    assert np.isnan(mass_fraction_from_hydrometer(np.array([0.9, 1.6]), 298.15)).all()
    with pytest.raises(ValueError, match="absolute zero"):
        gravity_by_rule(1.25, -1.0)


@given(some.lists(some.floats(1.1, 1.3), min_size=6, max_size=6))
def test_the_best_cell_is_never_weak(cells: list[float]) -> None:
    weak = weak_cells(np.array(cells))
    assert not weak[int(np.argmax(cells))]
    assert weak.any() == (max(cells) - min(cells) > 0.025 + 1e-9)


@pytest.mark.parametrize("name", rest_table_names())
def test_tables_of_rest_voltage_rise_and_come_back(name: str) -> None:
    charge = np.linspace(0.25, 1.0, 16)
    found = voltage_by_table(charge, name)
    assert (np.diff(found) > 0.0).all()
    assert charge_by_table(found, name) == pytest.approx(charge)
    assert np.isnan(charge_by_table(np.array([9.0, 14.0]), name)).all()


@given(
    some.dates(date(2015, 1, 1), date(2035, 12, 31)),
    some.sampled_from("ABCDEFGHJKLM"),
    some.integers(0, 9),
    some.sampled_from(["", "-", "/", " "]),
)
def test_a_stamp_of_one_digit_means_two_decades(today: date, letter: str, digit: int, between: str) -> None:
    months = date_code_months(f"{letter}{between}{digit}", today)
    assert len(months) == 2
    assert months[0].year - months[1].year == 10
    assert months[0] <= Month(today.year, today.month)
    assert 0.0 <= months[0].age_years(today) < 10.0
    number = months[0].month
    assert date_code_months(f"{number}-{digit}", today) == months


@pytest.mark.parametrize(
    "stamp", ["I-5", "13-4", "0-4", "K", "5", "K-2040", "105", "", "K-5-1", "N3", "K-1980"]
)
def test_what_is_no_date_code(stamp: str) -> None:
    with pytest.raises(DateCodeError, match="date code"):
        date_code_months(stamp, date(2026, 1, 15))


def test_more_digits_leave_one_decade() -> None:
    today = date(2026, 1, 15)
    assert date_code_months("k-15", today) == date_code_months("10/2015", today) == (Month(2015, 10),)
    assert date_code_months("A6", today)[0] == Month(2026, 1)
    assert date_code_months("B6", today)[0] == Month(2016, 2)
