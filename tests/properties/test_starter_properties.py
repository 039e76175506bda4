"""What must hold for any starter, supply and engine."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from sizing.physics.starter import (
    Starter,
    behind_cable,
    cable_resistance,
    cold_supply,
    copper_factor,
    crank_speed,
    crank_torque,
    current_for_torque,
    default_power,
    default_starter,
    flux_constant,
    idle_current,
    is_faulty,
    largest_power,
    losses,
    motor_current,
    operating_point,
    pinion_torque,
    rated_power,
    reference_starters,
    scaled,
    stall_current,
    stall_torque,
    starter_from_free_and_locked_run,
    surplus,
)
from sizing.physics.starter.acceptance import acceptance
from sizing.tables import load

light = settings(max_examples=60, deadline=None)

cases = st.tuples(
    st.floats(9.0, 13.0), st.floats(2e-3, 3e-2), st.floats(0.0, 100.0), st.floats(0.0, 3.0)
)  # source V and ohm, engine N m and N m s
starters = st.builds(
    Starter,
    resistance=st.floats(1e-3, 2e-2),
    torque_constant=st.floats(2e-4, 5e-3),
    saturation_current=st.floats(10.0, 300.0),
    idle_torque=st.floats(0.1, 6.0),
    brush_drop=st.floats(0.0, 2.0),
    inner_efficiency=st.floats(0.5, 1.0),
    gear_ratio=st.floats(8.0, 20.0),
    gear_efficiency=st.floats(0.8, 1.0),
)
temperatures = st.floats(230.0, 320.0)
electromotive = st.floats(9.0, 13.0)
source_resistances = st.floats(2e-3, 3e-2)


def thevenin(volts, ohms):
    return lambda current: volts - ohms * current


def engine(breakaway, slope):
    return lambda speed: breakaway + slope * speed


@given(starters, temperatures, st.floats(2.0, 13.0))
@light
def test_current_and_torque_fall_with_speed_and_rise_with_voltage(starter, temperature, voltage) -> None:
    assume(voltage > starter.brush_drop + 0.1)
    speed = np.linspace(0.0, 40.0, 60)
    current = motor_current(voltage, speed, starter, temperature)
    assert np.all(np.diff(current) < 0.0)
    assert np.all(np.diff(crank_torque(current, starter)) < 0.0)
    assert np.all(motor_current(voltage + 0.1, speed, starter, temperature) > current)


@given(starters, temperatures, st.floats(2.0, 13.0), st.floats(0.0, 40.0))
@light
def test_current_and_speed_are_each_others_inverse(starter, temperature, voltage, speed) -> None:
    assume(voltage > starter.brush_drop + 0.1)
    current = motor_current(voltage, speed, starter, temperature)
    back = crank_speed(current, voltage, starter, temperature)
    assert back == pytest.approx(speed, rel=1e-8, abs=1e-6)


@given(starters, st.floats(0.0, 60.0))
@light
def test_torque_and_current_are_each_others_inverse(starter, torque) -> None:
    assert pinion_torque(current_for_torque(torque, starter), starter) == pytest.approx(
        torque, rel=1e-9, abs=1e-9
    )
    assert pinion_torque(idle_current(starter), starter) == pytest.approx(0.0, abs=1e-9)


@given(starters)
@light
def test_flux_is_half_the_straight_line_at_saturation_and_never_exceeds_its_limit(starter) -> None:
    half = flux_constant(starter.saturation_current, starter)
    assert half == pytest.approx(0.5 * starter.torque_constant * starter.saturation_current)
    far = flux_constant(np.array([1e3, 1e5, 1e9]), starter)
    assert np.all(far <= starter.torque_constant * starter.saturation_current)


@given(starters, temperatures, cases)
@light
def test_operating_point_agrees_with_brentq_and_balances_its_energy(starter, temperature, case) -> None:
    volts, ohms, breakaway, slope = case
    supply, load_torque = thevenin(volts, ohms), engine(breakaway, slope)
    stall = stall_current(supply, starter, temperature)
    assert stall == pytest.approx(
        (volts - starter.brush_drop) / (ohms + starter.resistance * copper_factor(temperature)), rel=1e-9
    )
    assume(idle_current(starter) < 0.95 * stall)
    assume(crank_torque(stall, starter) > 1.05 * breakaway)
    point = operating_point(supply, load_torque, starter, temperature)

    def excess(current):
        speed = crank_speed(current, supply(current), starter, temperature)
        return float(crank_torque(current, starter) - load_torque(speed))

    current = brentq(excess, 0.999 * float(idle_current(starter)), float(stall), xtol=1e-13, rtol=1e-14)
    assert point.current == pytest.approx(current, rel=1e-10)
    assert point.speed == pytest.approx(
        float(crank_speed(current, supply(current), starter, temperature)), rel=1e-8
    )
    delivered = load_torque(point.speed) * point.speed
    lost = losses(point.current, point.voltage, starter, temperature)
    assert min(float(getattr(lost, field.name)) for field in fields(lost)) >= -1e-9
    assert point.voltage * point.current == pytest.approx(delivered + lost.total, rel=1e-8)


@given(starters, temperatures, cases)
@light
def test_more_supply_never_gives_less(starter, temperature, case) -> None:
    volts, ohms, breakaway, slope = case
    volts_up = volts + np.array([0.0, 0.2, 0.5])
    point = operating_point(thevenin(volts_up, ohms), engine(breakaway, slope), starter, temperature)
    speed = np.where(np.isnan(point.speed), 0.0, point.speed)
    assert np.all(np.diff(speed) >= -1e-9)
    torque = stall_torque(thevenin(volts, ohms * np.array([1.0, 0.7, 0.4])), starter, temperature)
    assert np.all(np.diff(torque) > 0.0)


@given(starters, temperatures, electromotive, source_resistances)
@light
def test_it_does_not_turn_an_engine_that_resists_more_than_the_locked_starter_pulls(
    starter, temperature, volts, ohms
) -> None:
    supply = thevenin(volts, ohms)
    locked = stall_torque(supply, starter, temperature)
    assume(locked > 1.0)
    resisting = locked * np.array([0.99, 1.01, np.nan])
    point = operating_point(supply, engine(resisting, 0.0), starter, temperature)
    for quantity in (point.current, point.speed, point.voltage):
        np.testing.assert_array_equal(np.isnan(quantity), [False, True, True])


@given(starters, temperatures, st.floats(20.0, 80.0), st.floats(0.0, 8.0))
@light
def test_with_an_engine_whose_torque_falls_the_root_is_the_stable_one(
    starter, temperature, level, fading
) -> None:
    supply = thevenin(12.0, 8e-3)

    def falling(speed):
        return level * (1.0 + fading / (1.0 + speed)) + 0.2 * speed

    assume(stall_torque(supply, starter, temperature) > 1.02 * falling(0.0))
    speed = operating_point(supply, falling, starter, temperature).speed

    def pull(w):
        # torque of starter at a crank speed, by its own route: voltage and current from each other
        def short(current):
            return float(motor_current(supply(current), w, starter, temperature)) - current

        high = float(stall_current(supply, starter, temperature))
        return float(crank_torque(brentq(short, 0.0, high, xtol=1e-10), starter))

    step = max(1e-3 * float(speed), 1e-6)
    assert pull(float(speed) - step) > falling(float(speed) - step)
    assert pull(float(speed) + step) < falling(float(speed) + step)


@given(starters, temperatures, st.integers(1, 4), st.integers(1, 5))
@light
def test_arrays_of_cases_are_the_cases_one_by_one(starter, temperature, rows, columns) -> None:
    volts = 11.0 + np.linspace(0.0, 1.5, rows)[:, None]
    breakaway = np.linspace(5.0, 90.0, columns)
    many = operating_point(thevenin(volts, 6e-3), engine(breakaway, 0.3), starter, temperature)
    assert many.speed.shape == (rows, columns)
    for row in range(rows):
        for column in range(columns):
            one = operating_point(
                thevenin(volts[row, 0], 6e-3), engine(breakaway[column], 0.3), starter, temperature
            )
            np.testing.assert_allclose(many.speed[row, column], one.speed, rtol=1e-8)


def test_a_supply_without_an_answer_at_large_currents_still_has_a_stall_current() -> None:
    starter = default_starter(1000.0)
    whole = stall_current(thevenin(12.0, 0.01), starter, 253.15)
    part = stall_current(lambda i: np.where(i < 900.0, 12.0 - 0.01 * i, np.nan), starter, 253.15)
    assert part == pytest.approx(float(whole), rel=1e-9)
    assert np.isnan(stall_current(lambda i: np.nan * i, starter, 253.15))
    assert np.isnan(stall_current(thevenin(0.5, 0.01), starter, 253.15))


def test_without_idle_torque_and_load_the_motor_runs_away_but_stays_defined() -> None:
    starter = replace(default_starter(1000.0), idle_torque=0.0)
    point = operating_point(thevenin(12.0, 0.01), engine(20.0, 0.5), starter, 253.15)
    assert np.isfinite(point.speed)


@pytest.mark.parametrize("name", [field.name for field in fields(Starter)])
def test_constants_that_no_motor_has_are_refused(name: str) -> None:
    with pytest.raises(ValueError, match=name):
        replace(default_starter(1000.0), **{name: np.array([1.0, -1.0])})


def test_temperatures_outside_the_range_of_copper_are_nan_and_impossible_ones_refused() -> None:
    assert np.isnan(copper_factor(np.array([100.0, 600.0]))).all()
    with pytest.raises(ValueError, match="absolute zero"):
        copper_factor(-1.0)


@given(st.floats(0.2, 8.0), starters)
@light
def test_scaling_multiplies_current_and_torque_at_the_same_voltage_and_speed(factor, starter) -> None:
    speed = np.linspace(0.0, 30.0, 7)
    larger = scaled(starter, factor)
    current, other = (motor_current(9.0, speed, one, 260.0) for one in (starter, larger))
    np.testing.assert_allclose(other, factor * current, rtol=1e-9)
    np.testing.assert_allclose(
        crank_torque(other, larger), factor * crank_torque(current, starter), rtol=1e-9, atol=1e-9
    )


def test_rated_power_is_the_power_that_the_allowed_battery_gives() -> None:
    one = Starter(5.6e-3, 0.95e-3, 67.0, 2.4)
    rated = rated_power(one)
    larger = largest_power(behind_cable(cold_supply(600.0), 1e-3), one, 253.15)
    smaller = largest_power(behind_cable(cold_supply(150.0), 1e-3), one, 253.15)
    assert smaller < rated < larger
    assert reference_starters().resistance.shape == (3,)


@given(st.sampled_from(["petrol", "diesel"]), st.integers(1, 12))
@light
def test_default_power_rises_with_displacement_without_jumps(fuel: str, cylinders: int) -> None:
    litres = np.geomspace(0.3, 6.5, 4000)
    low, high = default_power(litres * 1e-3, cylinders, fuel)
    assert np.all(low < high)
    for end in (low, high):
        step = np.diff(np.log(end)) / np.diff(np.log(litres))
        assert np.all((step >= 0.0) & (step < 1.5))


def test_default_power_outside_its_tables_is_nan_and_unknown_fuels_are_refused() -> None:
    outside = np.array([0.04e-3, 20e-3, -1.0, 0.0])
    assert np.isnan(default_power(outside, 4, "petrol")).all()
    assert np.isfinite(default_power(np.array([0.05e-3, 6.5e-3]), 4, "petrol")).all()
    assert np.isfinite(default_power(np.array([0.3e-3, 15e-3]), 4, "diesel")).all()
    with pytest.raises(ValueError, match="fuel"):
        default_power(2e-3, 4, "steam")
    with pytest.raises(ValueError, match="cylinder"):
        default_power(2e-3, 0, "petrol")


def test_default_starter_takes_overrides_and_refuses_no_power() -> None:
    power = np.array([100.0, 1000.0, 9000.0])
    np.testing.assert_array_equal(np.isnan(default_starter(power).resistance), [True, False, True])
    assert default_starter(1000.0, gear_ratio=11.0).gear_ratio == 11.0
    assert default_starter(1000.0, gear_efficiency=0.85).gear_efficiency == 0.85
    with pytest.raises(ValueError, match="above zero"):
        default_starter(0.0)


def test_a_motor_built_from_two_runs_meets_the_floor_of_its_locked_torque() -> None:
    for row in load("cranking_starter_three_point").rows:
        limits = acceptance(row)
        better = surplus(limits, starter_from_free_and_locked_run(limits))
        assert better.lock_torque >= 1.0 - 1e-9
        assert better.free_speed > 1.0
        assert better.lock_current > 1.0


def test_cables_resist_more_when_longer_thinner_or_warmer() -> None:
    assert np.all(np.diff(cable_resistance(253.15, 35e-6, np.array([0.0, 1.0, 2.0]))) > 0.0)
    assert np.all(np.diff(cable_resistance(253.15, np.array([50e-6, 35e-6, 25e-6]), 1.0)) > 0.0)
    assert np.all(np.diff(cable_resistance(np.array([230.0, 250.0, 300.0]), 25e-6, 1.0)) > 0.0)
    assert not is_faulty(1.0e-3)
    with pytest.raises(ValueError, match="section"):
        cable_resistance(293.15, 0.0, 1.0)
    with pytest.raises(ValueError, match="negative"):
        behind_cable(thevenin(12.0, 0.01), -1e-3)
