"""Numbers of practice evaluated elsewhere from the same equations, and tables retyped from formulas."""

from __future__ import annotations

import numpy as np
import pytest

from sizing.physics.booster import (
    Source,
    in_parallel,
    lead_resistance,
    lead_section,
    source_current,
    source_voltage,
    wire_section,
)
from sizing.physics.charging_system import hot_market_window, managed_window
from sizing.physics.load_test import least_load_voltage
from sizing.physics.meters import cranking_resistance, fuse_current
from sizing.physics.rest_tables import charge_by_table, rest_table_names, voltage_by_table
from sizing.tables import Row, load

KELVIN = 273.15
ROOM = 293.15
PAIR, CURRENT = 3.5, 200.0  # m of one lead and A, of practice_jump_lead.csv


@pytest.mark.parametrize("row", load("practice_jump_lead").rows, ids=lambda row: f"{row['awg']} AWG")
def test_jump_leads_to_half_a_last_digit(row: Row) -> None:
    area = float(wire_section(float(row["awg"])))
    assert area * 1e6 == pytest.approx(float(row["area_mm2"]), abs=5e-4)
    pair = float(lead_resistance(ROOM, area, PAIR))
    assert 1e3 * pair / (2.0 * PAIR) == pytest.approx(float(row["mohm_per_m"]), abs=5e-5)
    assert pair * CURRENT == pytest.approx(float(row["drop_v"]), abs=5e-4)


def test_two_sources_side_by_side() -> None:
    leads = float(lead_resistance(ROOM, wire_section(4.0), PAIR))
    assert 1e3 * leads == pytest.approx(5.7, abs=0.05)
    flat, donor = Source(11.9, 15e-3), Source(12.6, 6e-3 + 5.7e-3)
    both = in_parallel([flat, donor])
    volts = float(source_voltage(CURRENT, both))
    assert float(both.open_voltage) == pytest.approx(12.29, abs=0.005)
    assert 1e3 * float(both.resistance) == pytest.approx(6.57, abs=0.005)
    assert volts == pytest.approx(10.98, abs=0.005)
    assert float(source_current(volts, donor)) == pytest.approx(138.6, abs=0.05)
    assert float(source_voltage(CURRENT, flat)) == pytest.approx(8.9, abs=0.05)


def test_half_a_volt_at_300_amperes_asks_for_leads_that_nobody_sells() -> None:
    assert 1e6 * float(lead_section(ROOM, 0.5 / 300.0, PAIR)) == pytest.approx(72.0, abs=0.5)
    assert float(wire_section(-1.0)) < 72e-6  # 2/0, far above what practice takes


def test_cranking_resistance_of_two_readings() -> None:
    assert 1e3 * float(cranking_resistance(12.6, 10.4, 150.0)) == pytest.approx(14.7, abs=0.05)


@pytest.mark.parametrize("row", load("practice_fuse_drop").rows, ids=lambda row: row["fuse"])
def test_current_through_a_fuse(row: Row) -> None:
    amperes = fuse_current(1e-3 * float(row["millivolt"]), 1e-3 * float(row["resistance_mohm"]))
    assert 1e3 * float(amperes) == pytest.approx(float(row["current_ma"]), rel=0.02)


def test_load_test_minima_beside_their_smooth_stand_in() -> None:
    rows = load("practice_load_test").rows
    celsius = np.array([float(row["t_c"]) for row in rows])
    smooth = 9.141 + 0.02983 * celsius - 0.000389 * celsius**2
    gap = np.abs(least_load_voltage(celsius + KELVIN) - smooth)
    assert gap.max() == pytest.approx(0.046, abs=0.0005)
    assert celsius[gap.argmax()] == 4.0


@pytest.mark.parametrize(
    ("name", "printed"),
    [("flooded", 0.69), ("AGM", 0.58), ("flooded rounded", 0.75), ("flooded counts from 10.5 V", 0.78)],
)
def test_the_same_voltage_in_every_table(name: str, printed: float) -> None:
    assert float(charge_by_table(12.40, name)) == pytest.approx(printed, abs=0.005)


def test_straight_lines_through_two_of_the_tables() -> None:
    charge = np.linspace(0.0, 1.0, 5)
    line = 11.876 + 0.764 * charge
    assert np.abs(voltage_by_table(charge, "flooded") - line).max() < 0.02
    agm = 11.75 + 1.08 * charge[1:]
    assert np.abs(voltage_by_table(charge[1:], "AGM") - agm).max() < 0.04 + 1e-9
    assert len(rest_table_names()) == 4


def test_gravity_and_rest_voltage_of_the_trade_table() -> None:
    rows = load("electrolyte_ocv_soc_trade").rows
    found = [float(row["rest_v"]) / 6.0 - float(row["sg"]) for row in rows]
    assert found == pytest.approx([0.843, 0.850, 0.850, 0.855, 0.862], abs=0.0005)


@pytest.mark.parametrize(
    "row",
    load("electrolyte_charging_voltage").select("check", version="hot market"),
    ids=lambda row: f"{row['t_c']} degC",
)
def test_the_hot_market_version_stands_higher(row: Row) -> None:
    low, high = hot_market_window(float(row["t_c"]) + KELVIN)
    # two straight lines through voltages of one decimal, and one rise for all temperatures
    assert float(low) == pytest.approx(float(row["low_v"]), abs=0.15)
    assert float(high) == pytest.approx(float(row["high_v"]), abs=0.15)


@pytest.mark.parametrize(("celsius", "volts"), [(-17.0, 16.0), (40.0, 14.48)])
def test_a_managed_car_is_given_room(celsius: float, volts: float) -> None:
    # at 40 °C its own 13.5 V lie inside the ordinary window, which stays allowed
    low, high = managed_window(celsius + KELVIN)
    assert float(high) == pytest.approx(volts, abs=0.005)
    assert low < 13.5 < high
