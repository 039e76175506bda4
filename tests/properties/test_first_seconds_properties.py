"""The first seconds of a start: energy, agreement with the steady solver, order, limits, and meters."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from sizing.inputs import Vehicle as Told
from sizing.physics.delivery import voltage_after
from sizing.physics.engine import friction_torque
from sizing.physics.pores import rested
from sizing.physics.starter import OperatingPoint, behind_cable, operating_point
from sizing.simulate.first_seconds import (
    Figures,
    Start,
    Trace,
    bad_cable,
    declared,
    energy,
    figures,
    initial_state,
    march,
    meter,
    plateau_span,
    posts_voltage,
    rates_of_change,
    start_of,
    thick_oil,
    trace_of,
    weak_battery,
)
from sizing.simulate.first_seconds.example import example_start
from sizing.simulate.label import unit_battery
from sizing.simulate.sampling import draw, parameters, quantile
from sizing.simulate.setup import vehicle_of

KELVIN = 273.15
AGREED = 0.10  # mean speed and current of transient and steady solver
CLOSED = 1e-3  # energy
READ_AT = 2.0  # s of cranking at which the steady battery is read: the middle of the plateau
ENGINES = (
    ("petrol", 0.4, 1, "0.5 kW"), ("petrol", 0.7, 2, "0.8 kW"), ("petrol", 1.0, 3, None),
    ("petrol", 2.0, 4, None), ("petrol", 2.5, 5, None), ("petrol", 3.0, 6, None), ("petrol", 4.7, 8, None),
    ("diesel", 0.45, 1, "0.8 kW"), ("diesel", 0.8, 2, "1.1 kW"), ("diesel", 1.5, 3, None),
    ("diesel", 2.0, 4, None), ("diesel", 2.4, 5, None), ("diesel", 3.0, 6, None), ("diesel", 6.5, 8, None),
)  # fmt: skip
CELSIUS = (0.0, -10.0, -18.0, -25.0, -30.0)
Case = tuple[str, float, int, str | None, float]
GRID: list[Case] = [(*engine, celsius) for engine in ENGINES for celsius in CELSIUS]


def middle(name: str) -> float:
    (row,) = (row for row in parameters() if row["name"] == name)
    return float(quantile(np.asarray(0.5), row))


@cache
def start_on_grid(fuel: str, litres: float, cylinders: int, power: str | None, celsius: float) -> Start:
    """Return a start with a battery of usual size, every uncertain parameter at its middle."""
    told = {"displacement": f"{litres} l", "cylinders": cylinders, "fuel": fuel}
    told |= {"starter_power": power} if power else {}
    samples = draw(4, 4, 1, fixed={row["name"]: middle(row["name"]) for row in parameters()})
    amperes = 150.0 + litres * (280.0 if fuel == "petrol" else 320.0)
    return start_of(
        vehicle_of(Told.model_validate(told), samples),
        unit_battery("flooded calcium").scaled(amperes / 100.0),
        charge=0.8,
        engine_temperature=celsius + KELVIN,
        battery_temperature=celsius + KELVIN,
    )


@cache
def seen(*case: Any) -> tuple[Trace, Figures]:
    trace = trace_of(start_on_grid(*case))
    return trace, figures(trace)


def steady(start: Start) -> OperatingPoint:
    """Return the steady cranking of the same start, by the solver that sizes batteries."""
    full = rested(start.charge, start.battery)

    def posts(current: NDArray[np.float64]) -> NDArray[np.float64]:
        drawn = current + start.aid_current
        return voltage_after(drawn, READ_AT, start.battery_temperature, start.battery, state=full)

    return operating_point(
        behind_cable(posts, start.cable_resistance),
        lambda speed: friction_torque(
            speed,
            start.viscosity,
            start.engine,
            scale=start.friction_scale,
            fading=start.friction_fading,
            oil_share_of_gas_term=start.oil_share_of_gas_term,
        ),
        start.starter,
        start.engine_temperature,
    )


@pytest.mark.parametrize("case", GRID, ids=lambda case: "-".join(str(part) for part in case))
def test_the_energy_of_a_start_closes(case: Case) -> None:
    parts = energy(seen(*case)[0])
    assert abs(parts.gap) < CLOSED
    heat = (parts.cable, parts.brushes, parts.copper, parts.friction)
    assert all(part > 0.0 for part in heat)


@pytest.mark.parametrize("case", GRID, ids=lambda case: "-".join(str(part) for part in case))
def test_mean_speed_and_current_agree_with_the_steady_solver_where_the_engine_turns_steadily(
    case: Case,
) -> None:
    trace, few = seen(*case)
    if not few.turns_steadily:
        # four cylinders and more turn steadily down to -18 °C at least
        _, _, cylinders, _, celsius = case
        assert cylinders < 4 or celsius < -18.0
        return
    point = steady(trace.start)
    assert few.mean_speed == pytest.approx(float(point.speed), rel=AGREED)
    assert few.mean_amperes == pytest.approx(float(point.current) + trace.start.aid_current, rel=AGREED)


def test_most_of_the_grid_turns_steadily() -> None:
    assert sum(seen(*case)[1].turns_steadily for case in GRID) >= 35


def test_against_a_general_integrator_on_the_same_equations() -> None:
    start = example_start()
    time, state = march(start, duration=1.0)
    exact = solve_ivp(
        rates_of_change, (0.0, 1.0), initial_state(start), args=(start,), rtol=1e-7, atol=1e-9, t_eval=time
    )
    ours, theirs = posts_voltage(state, start), posts_voltage(exact.y.T, start)
    assert np.abs(ours - theirs).max() < 1e-3
    assert np.abs(state[:, 1] - exact.y[1]).max() < 1e-2
    assert np.abs(state[:, 2] - exact.y[2]).max() < 0.2


@settings(max_examples=8, deadline=None)
@given(celsius=st.floats(-30.0, 30.0), amperes=st.floats(400.0, 900.0), finer=st.sampled_from([2.0, 4.0]))
def test_shorter_steps_change_hardly_anything(celsius: float, amperes: float, finer: float) -> None:
    start = example_start(celsius, amperes=amperes, stop_angle=2.2)
    usual, fine = (figures(trace_of(start, finer=each)) for each in (1.0, finer))
    assert usual.plateau_volts == pytest.approx(fine.plateau_volts, abs=0.005)
    assert usual.mean_speed == pytest.approx(fine.mean_speed, rel=1e-3)
    assert usual.dip_volts == pytest.approx(fine.dip_volts, abs=0.03)


@settings(max_examples=8, deadline=None)
@given(celsius=st.floats(-30.0, 20.0), colder=st.floats(3.0, 9.0))
def test_colder_is_slower_and_draws_more(celsius: float, colder: float) -> None:
    warm, cold = (figures(trace_of(example_start(t, stop_angle=2.2))) for t in (celsius, celsius - colder))
    assert cold.mean_speed < warm.mean_speed
    assert cold.plateau_volts < warm.plateau_volts
    assert cold.dip_volts < warm.dip_volts


@settings(max_examples=8, deadline=None)
@given(amperes=st.floats(350.0, 700.0), more=st.floats(1.1, 1.6), celsius=st.floats(-25.0, 10.0))
def test_a_larger_battery_holds_its_volts_better(amperes: float, more: float, celsius: float) -> None:
    small, large = (
        figures(trace_of(example_start(celsius, amperes=each, stop_angle=2.2)))
        for each in (amperes, more * amperes)
    )
    assert large.dip_volts > small.dip_volts
    assert large.plateau_volts > small.plateau_volts
    assert large.mean_speed > small.mean_speed


@pytest.mark.parametrize("celsius", [-25.0, -10.0, 10.0])
def test_what_nobody_publishes_moves_a_steady_start_no_more_than_is_said(celsius: float) -> None:
    start = example_start(celsius)
    usual = figures(trace_of(start))
    assert usual.turns_steadily
    for name, row in (
        ("inertia", "inertia_per_litre"),
        ("inductance", "motor_time_constant"),
        ("double_layer", "double_layer_cell"),
    ):
        for end in ("low", "high"):
            value = getattr(start, name) * declared(row, end) / declared(row)
            other = figures(trace_of(replace(start, **{name: value})))
            if other.turns_steadily:
                assert other.plateau_volts == pytest.approx(usual.plateau_volts, abs=0.2)
                assert other.mean_speed == pytest.approx(usual.mean_speed, rel=0.1)


@pytest.mark.parametrize("celsius", [-25.0, -10.0])
def test_each_fault_shows_in_its_own_way(celsius: float) -> None:
    start = example_start(celsius)
    starts = (start, weak_battery(start), thick_oil(start, 3.0), bad_cable(start))
    sound, weak, thick, cable = (figures(trace_of(each)) for each in starts)
    assert max(weak.mean_speed, thick.mean_speed, cable.mean_speed) < sound.mean_speed
    # battery: volts fall for hardly more amps; oil: amps; cable: volts at the posts stay
    assert weak.plateau_volts < sound.plateau_volts - 0.5
    assert weak.mean_amperes < thick.mean_amperes
    assert thick.mean_amperes > 1.15 * sound.mean_amperes
    assert thick.plateau_volts < sound.plateau_volts
    assert cable.plateau_volts > weak.plateau_volts + 0.5
    assert cable.dip_volts > sound.dip_volts > weak.dip_volts


def test_a_start_that_stops_short_of_the_top_stands_still_under_the_stall_current() -> None:
    start = example_start(-25.0, amperes=100.0)
    trace = trace_of(start)
    few = figures(trace)
    assert not few.breaks_away
    assert not few.turns_steadily
    assert abs(trace.speed[-1]) < 0.3
    assert trace.turned[-1] < start.stop_angle
    assert few.plateau_volts < 6.0


def battery_needed(stop_angle: float) -> float:
    """Return the amperes of the battery that just turns the crank once from that stop, to half a percent."""
    low, high = 100.0, 400.0
    for _ in range(9):
        middle_ = 0.5 * (low + high)
        trace = trace_of(example_start(-20.0, amperes=middle_, stop_angle=stop_angle), duration=1.0)
        low, high = (low, middle_) if trace.turned[-1] >= 2.0 * np.pi else (middle_, high)
    return high


def test_the_worst_stop_asks_for_as_large_a_battery_as_any_other() -> None:
    worst = example_start().stop_angle
    needed = [battery_needed(worst + share * np.pi) for share in (0.0, 0.125, 0.25, 0.5, 0.75, 0.9)]
    # it is found under a constant torque; a starter's own falls with speed, which shifts the worst a little
    assert needed[0] >= 0.95 * max(needed)
    assert min(needed) < 0.95 * needed[0]


@settings(max_examples=10, deadline=None)
@given(sampling=st.floats(0.02, 1.5))
def test_a_meter_never_reads_below_the_dip_nor_above_the_average(sampling: float) -> None:
    trace = sound_trace()
    read = meter(trace, sampling=sampling)
    assert trace.volts.min() <= read.minimum_hold
    assert read.average == pytest.approx(float(np.trapezoid(trace.volts, trace.time)) / 3.0, rel=1e-12)
    assert read.minimum_hold <= trace.volts.max()


def test_a_quick_meter_sees_the_dip_and_a_slow_one_the_average() -> None:
    trace = sound_trace()
    assert meter(trace, sampling=0.001).minimum_hold == pytest.approx(trace.volts.min(), abs=0.05)
    assert meter(trace, sampling=3.0).minimum_hold == pytest.approx(meter(trace).average, abs=1e-9)


@pytest.mark.parametrize("sampling", [0.0, -1.0, 3.5])
def test_a_reading_longer_than_the_trace_or_of_no_time_is_refused(sampling: float) -> None:
    with pytest.raises(ValueError, match="reading"):
        meter(sound_trace(), sampling=sampling)


def test_a_plateau_needs_more_than_a_second_and_spans_whole_compressions() -> None:
    with pytest.raises(ValueError, match="second"):
        figures(trace_of(example_start(), duration=0.9))
    trace = sound_trace()
    begin, end = plateau_span(trace)
    turned = np.interp([begin, end], trace.time, trace.turned)
    compressions = (turned[1] - turned[0]) / np.pi
    assert compressions == pytest.approx(np.round(compressions), abs=1e-6)


@pytest.mark.parametrize("name", ["inductance", "double_layer", "inertia", "viscosity"])
def test_impossible_starts_are_refused(name: str) -> None:
    for wrong in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match=name):
            replace(example_start(), **{name: wrong})


def test_a_negative_cable_is_refused() -> None:
    with pytest.raises(ValueError, match="cable"):
        replace(example_start(), cable_resistance=-1e-3)


@cache
def sound_trace() -> Trace:
    return trace_of(example_start())
