"""Torque of the gas around the crank from a standstill: signs, periods, and what is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.physics.engine import Engine, compression_peak, default_engine, lost_torque
from sizing.physics.engine.gas import (
    CYCLE,
    Charge,
    firing_interval,
    gas_torque_from_rest,
    run_up_torque,
    worst_stop_angle,
)

IDEAL = Charge(1.25, 1.35, 0.0, np.radians(30.0))
USUAL = Charge(1.25, 1.35, np.radians(50.0), np.radians(50.0))
FOUR = default_engine(2e-3, 4, "petrol")
CYLINDERS = st.sampled_from([1, 2, 3, 4, 5, 6, 8, 12])
ANGLE = st.floats(0.0, CYCLE, allow_nan=False)


@settings(max_examples=30, deadline=None)
@given(cylinders=CYLINDERS, stop=ANGLE)
def test_at_rest_there_is_no_gas_torque_wherever_it_stopped(cylinders: int, stop: float) -> None:
    engine = default_engine(cylinders * 4e-4, cylinders, "petrol")
    assert gas_torque_from_rest(0.0, stop, engine, USUAL).item() == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(cylinders=CYLINDERS, stop=ANGLE, turned=ANGLE)
def test_after_a_cycle_it_repeats_every_firing_interval(cylinders: int, stop: float, turned: float) -> None:
    engine = default_engine(cylinders * 4e-4, cylinders, "petrol")
    later = CYCLE + turned + np.array([0.0, 1.0, 3.0]) * firing_interval(engine)
    torque = gas_torque_from_rest(later, np.full(3, stop), engine, USUAL)
    assert torque == pytest.approx(torque[0], abs=1e-6)


def test_an_ideal_single_reaches_the_peak_of_compression() -> None:
    single = default_engine(5e-4, 1, "petrol")
    turned = CYCLE + np.linspace(0.0, CYCLE, 7201)
    torque = gas_torque_from_rest(turned, np.full(turned.size, np.pi), single, IDEAL)
    assert torque.max() == pytest.approx(float(compression_peak(single).torque), rel=1e-4)


def test_equal_exponents_and_late_valves_lose_almost_nothing_and_unequal_ones_what_the_formula_says() -> None:
    turned = CYCLE + (np.arange(14400) + 0.5) * CYCLE / 14400
    lost = float(lost_torque(FOUR, compression_exponent=1.25, expansion_exponent=1.35))
    even = Charge(1.25, 1.25, 0.0, np.radians(30.0))
    means = [gas_torque_from_rest(turned, np.full(turned.size, 1.0), FOUR, c).mean() for c in (even, IDEAL)]
    assert means[0] == pytest.approx(0.0, abs=0.01 * lost)
    # what the opening exhaust valve lets in and out near the bottom is not in the formula
    assert means[1] == pytest.approx(lost, rel=0.03)


@settings(max_examples=20, deadline=None)
@given(stop=st.floats(20.0, 130.0), less=st.floats(1.0, 19.0))
def test_a_stop_on_the_way_up_is_the_easier_the_nearer_to_the_top(stop: float, less: float) -> None:
    single = default_engine(5e-4, 1, "petrol")
    low, high = (gas_peak(single, angle) for angle in (stop - less, stop))
    assert low <= high + 1e-9


def gas_peak(engine: Engine, stop_degrees: float) -> float:
    """Return the largest torque until the first top."""
    turned = np.linspace(0.0, np.radians(stop_degrees), 400)
    stops = np.full(turned.size, np.radians(stop_degrees))
    return float(gas_torque_from_rest(turned, stops, engine, USUAL).max())


@pytest.mark.parametrize("cylinders", [1, 2, 3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("fuel", ["petrol", "diesel"])
def test_the_worst_stop_is_the_worst_of_all(cylinders: int, fuel: str) -> None:
    engine = default_engine(cylinders * 5e-4, cylinders, fuel)
    worst = worst_stop_angle(engine, USUAL)
    others = np.linspace(0.0, firing_interval(engine), 37)
    # the worst is found to a degree, which changes the torque by less than a hundredth
    assert run_up_torque(worst, engine, USUAL) >= run_up_torque(others, engine, USUAL).max() * 0.99


@settings(max_examples=20, deadline=None)
@given(factor=st.floats(1.1, 3.0))
def test_torque_grows_with_size_and_with_compression(factor: float) -> None:
    larger = default_engine(2e-3 * factor, 4, "petrol")
    tighter = default_engine(2e-3, 4, "petrol", compression_ratio=10.0 * factor**0.5)
    stop = np.radians(130.0)
    base = run_up_torque(stop, FOUR, USUAL)
    assert run_up_torque(stop, larger, USUAL) == pytest.approx(factor * base, rel=1e-9)
    assert run_up_torque(stop, tighter, USUAL) > base


@pytest.mark.parametrize(
    "wrong",
    [(0.9, 1.3, 0.8, 0.8), (1.3, 1.2, 0.8, 0.8), (1.2, 1.3, -0.1, 0.8), (1.2, 1.3, 0.8, 0.1)],
)
def test_impossible_charges_are_refused(wrong: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"exponent|valves"):
        Charge(*wrong)
