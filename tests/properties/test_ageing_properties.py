"""Rates of wear: hotter, higher, deeper, emptier and longer is never gentler, and parts add up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from numpy.typing import NDArray

from sizing.physics.ageing import (
    MONTH,
    acid_mass,
    activation_energy,
    ageing_type,
    arrhenius,
    convexity_gain,
    corrosion_rate,
    cycle_points,
    cycles_to_end,
    cycling_damage,
    declared,
    doubling,
    equivalent_temperature,
    gassing_current,
    life_rules,
    linear_damage,
    mean_doubling,
    mean_weight,
    micro_cycle_depth,
    rest_rate,
    strength_after_loss,
    sulfate_after,
    sulfation_rate,
    throughput_damage,
    time_weight,
    top_up_interval,
    usual,
    water_damage,
    water_loss_rate,
)
from sizing.physics.battery import battery_from_capacity, battery_type, type_names

Array = NDArray[np.float64]

LIGHT = settings(max_examples=60, deadline=None)
kelvins = some.floats(224.0, 362.0)
steps = some.floats(6.0, 20.0)
charges = some.floats(0.0, 1.0)
depths = some.floats(1e-3, 1.0)
parts = some.floats(0.0, 1.5)
volts = some.floats(2.0, 2.6)
histories = some.lists(some.floats(230.0, 355.0), min_size=1, max_size=24).map(np.array)


# temperature


@LIGHT
@given(kelvins, some.floats(0.0, 30.0), steps)
def test_heat_never_slows_wear(kelvin: float, warmer: float, step: float) -> None:
    hot = min(kelvin + warmer, 363.0)
    assert doubling(hot, step=step) >= doubling(kelvin, step=step)
    assert arrhenius(hot, 50e3) >= arrhenius(kelvin, 50e3)
    assert corrosion_rate(hot, 1e-9, step=step) >= corrosion_rate(kelvin, 1e-9, step=step)
    assert sulfation_rate(hot, 0.5, step=step) >= sulfation_rate(kelvin, 0.5, step=step)
    assert gassing_current(hot, 2.3, 60.0, level=4e-3) >= gassing_current(kelvin, 2.3, 60.0, level=4e-3)


@LIGHT
@given(steps, kelvins)
def test_a_step_warmer_is_twice_as_fast(step: float, kelvin: float) -> None:
    if kelvin + step < 363.0:
        assert float(doubling(kelvin + step, step=step) / doubling(kelvin, step=step)) == pytest.approx(2.0)
    energy = float(activation_energy(kelvin, step))
    if kelvin + step < 363.0:
        ratio = arrhenius(kelvin + step, energy) / arrhenius(kelvin, energy)
        assert float(ratio) == pytest.approx(2.0, rel=1e-9)


@LIGHT
@given(histories, steps)
def test_swings_never_spare_a_battery(history: Array, step: float) -> None:
    equivalent = float(equivalent_temperature(history, step=step))
    assert history.mean() - 1e-9 <= equivalent <= history.max() + 1e-9
    assert float(convexity_gain(history, step=step)) >= 1.0 - 1e-12


@LIGHT
@given(histories, some.integers(1, 5))
def test_the_weight_of_an_hour_counts_as_that_many_hours(history: Array, many: int) -> None:
    repeated = np.append(np.repeat(history[:1], many), history[1:])
    weights = np.append(float(many), np.ones(history.size - 1))
    assert float(mean_doubling(history, weight=weights)) == pytest.approx(float(mean_doubling(repeated)))


@pytest.mark.parametrize(
    ("share", "height", "step"), [(0.05, 30.0, 10.0), (0.1, 30.0, 15.0), (0.5, 20.0, 10.0)]
)
def test_the_gain_of_two_levels_is_that_of_its_formula(share: float, height: float, step: float) -> None:
    levels, weights = np.array([293.15, 293.15 + height]), np.array([1.0 - share, share])
    exact = (1.0 + share * (2.0 ** (height / step) - 1.0)) / 2.0 ** (share * height / step)
    assert float(convexity_gain(levels, weight=weights, step=step)) == pytest.approx(exact, rel=1e-12)


def test_the_gain_of_a_sine_is_a_bessel_function() -> None:
    angle = 2.0 * np.pi * np.arange(8760) / 8760
    for amplitude in (5.0, 10.0, 20.0):
        gain = float(convexity_gain(293.15 + amplitude * np.sin(angle)))
        assert gain == pytest.approx(float(np.i0(amplitude * np.log(2.0) / 10.0)), rel=1e-9)


def test_wear_of_a_history_is_that_of_its_equivalent_temperature() -> None:
    rng = np.random.default_rng(3)
    history = rng.uniform(260.0, 330.0, (4, 200))
    damage = linear_damage(np.full(200, MONTH), 1.0 / corrosion_rate(history, 1e-9))
    equivalent = equivalent_temperature(history)
    np.testing.assert_allclose(damage, 200.0 * MONTH * corrosion_rate(equivalent, 1e-9), rtol=1e-12)


def test_every_printed_step_lies_in_the_declared_range() -> None:
    row = declared("corrosion_step")
    for rule in life_rules():
        assert float(row["low"]) <= rule.step_low <= rule.step_high <= float(row["high"])


# rest, cycling, sulfation


@LIGHT
@given(some.floats(0.0, 1.0), some.lists(some.floats(0.0, 1.0), max_size=3))
def test_rest_is_never_negative_and_never_counts_twice(field: float, explicit: list[float]) -> None:
    rest = float(rest_rate(field, *explicit))
    assert 0.0 <= rest <= field
    assert rest + sum(explicit) == pytest.approx(max(field, sum(explicit)))


@LIGHT
@given(depths, depths, some.floats(42.0, 139.0))
def test_a_deeper_cycle_never_wears_less(one: float, other: float, equivalents: float) -> None:
    shallow, deep = sorted((one, other))
    wear = cycling_damage(np.array([shallow, deep]), shallow_equivalents=equivalents)
    assert wear[1] >= wear[0] * (1.0 - 1e-12)


def test_the_curve_of_cycles_has_no_jump_and_passes_through_its_points() -> None:
    points, cycles = cycle_points()
    np.testing.assert_allclose(cycles_to_end(points), cycles, rtol=1e-12)
    edges = np.array([0.175, 0.3, 0.5])
    np.testing.assert_allclose(cycles_to_end(edges - 1e-9), cycles_to_end(edges), rtol=1e-6)


@LIGHT
@given(some.floats(1e-4, 0.17), some.floats(1.0, 1e4), some.floats(42.0, 139.0))
def test_shallow_cycles_count_by_charge_alone(depth: float, cycles: float, equivalents: float) -> None:
    by_cycle = float(cycling_damage(depth, cycles, shallow_equivalents=equivalents))
    by_charge = float(throughput_damage(depth * cycles, shallow_equivalents=equivalents))
    assert by_cycle == pytest.approx(by_charge, rel=1e-9)


def test_a_stop_of_no_time_takes_the_restart_alone() -> None:
    assert float(micro_cycle_depth(40.0, 0.0, 50.0)) == pytest.approx(usual("restart_charge") / 50.0)


@LIGHT
@given(charges, charges, some.floats(0.0, 1e7), some.floats(0.0, 1e7))
def test_emptier_and_longer_weighs_more(one: float, other: float, time: float, longer: float) -> None:
    low, high = sorted((one, other))
    assert time_weight(low, time) >= time_weight(high, time) >= 1.0
    assert time_weight(low, time + longer) >= time_weight(low, time)


@LIGHT
@given(charges, some.floats(3600.0, 1e7))
def test_the_mean_weight_of_a_spell_is_its_integral(charge: float, time: float) -> None:
    moments = (np.arange(1000) + 0.5) / 1000.0 * time
    mean = float((time_weight(charge, moments) - 1.0).mean())
    assert float(mean_weight(charge, time)) == pytest.approx(mean, rel=1e-9)


@LIGHT
@given(parts, parts, parts, charges, charges)
def test_sulfate_is_kept_or_charged_away(
    hard: float, back: float, formed: float, recovered: float, share: float
) -> None:
    stays, left = sulfate_after(hard, back, formed, recovered=recovered, hard_share=share)
    assert float(stays) == pytest.approx(hard + share * formed)
    assert -1e-12 <= float(left) <= back + formed + 1e-12
    whole = sum(map(float, sulfate_after(hard, back, formed, recovered=0.0, hard_share=share)))
    assert whole == pytest.approx(hard + back + formed)


# water


@LIGHT
@given(volts, volts, kelvins)
def test_a_higher_voltage_never_gasses_less(one: float, other: float, kelvin: float) -> None:
    low, high = sorted((one, other))
    assert water_loss_rate(kelvin, high, 60.0, level=4e-3) >= water_loss_rate(kelvin, low, 60.0, level=4e-3)


@LIGHT
@given(some.floats(0.15, 0.42), some.floats(3.0, 9.0), some.floats(0.0, 0.5))
def test_all_sulfuric_acid_stays(strength: float, mass: float, share: float) -> None:
    lost = share * mass * (1.0 - strength)
    after = float(strength_after_loss(strength, mass, lost))
    assert strength <= after <= 1.0
    assert after * (mass - lost) == pytest.approx(strength * mass, rel=1e-12)


def test_more_water_than_there_is_cannot_go() -> None:
    assert np.isnan(strength_after_loss(0.372, 1.0, 0.7))


@LIGHT
@given(some.floats(0.0, 3.0), some.floats(0.0, 3.0))
def test_plates_suffer_only_past_the_reserve_and_never_less_for_more(one: float, other: float) -> None:
    low, high = sorted((one, other))
    harm = water_damage(np.array([low, high]), 5.6, reserve_share=0.2, dry_share=0.2)
    assert harm[1] >= harm[0] >= 0.0
    assert harm[0] == 0.0 or low > 0.2 * 5.6


def test_topping_up_in_time_does_no_harm_and_late_does() -> None:
    rate_of_loss = float(water_loss_rate(313.15, 2.4, 60.0, level=20e-3))
    interval = float(top_up_interval(rate_of_loss, 5.6, reserve_share=0.2))
    late = [
        water_damage(rate_of_loss * interval * x, 5.6, reserve_share=0.2, dry_share=0.2) for x in (0.99, 1.5)
    ]
    assert late[0] == 0.0
    assert late[1] == pytest.approx(0.5)


def life_by_water(battery: str, kelvin: float, volts_12: float, hours_a_year: float) -> float:
    """Return the years until water alone has worn out a 60 Ah battery."""
    kind = ageing_type(battery)
    acid = battery_from_capacity(battery_type(battery).shape, 540.0, "sae_j537_cca", 60.0)
    mass = float(acid_mass(acid.acid_charge, acid.shape.full_mass_fraction))
    yearly = (
        hours_a_year
        * 3600.0
        * float(water_loss_rate(kelvin, volts_12 / 6.0, 60.0, level=kind.gassing, escape=kind.escape))
    )
    return (kind.reserve_share + kind.dry_share) * mass / yearly


@pytest.mark.parametrize("battery", type_names())
def test_water_ends_a_life_only_in_hot_over_charged_use(battery: str) -> None:
    assert life_by_water(battery, 303.15, 14.2, 400.0) > 20.0
    if ageing_type(battery).escape == 1.0:
        assert life_by_water(battery, 333.15, 15.5, 1000.0) < 5.0
