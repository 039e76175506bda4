"""What must hold for any engine."""

from __future__ import annotations

import runpy
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.physics import engine as motor
from sizing.physics.engine.friction import MIXED_FLOOR, SPEED_RANGE, fitted, mixed_factor
from sizing.tables import load

LIGHT = settings(max_examples=40, deadline=None)
RPM = motor.RPM
# colder than about 0 °C: thinner oil lets the surfaces touch, and friction falls as it thickens
COLD_OIL = st.floats(300e-6, 0.4)
SPEEDS = st.floats(20.0 * RPM, 400.0 * RPM)
fuels = st.sampled_from(["petrol", "diesel"])
counts = st.integers(1, 12)
litres = st.floats(0.05, 15.0)
per_cylinder = st.floats(0.05, 1.2)  # litres, from the smallest single to fifteen litres of twelve


@LIGHT
@given(volume=litres, cylinders=counts, fuel=fuels, injection=st.sampled_from(["direct", "indirect"]))
def test_every_size_makes_an_engine(volume: float, cylinders: int, fuel: str, injection: str) -> None:
    engine = motor.default_engine(volume * 1e-3, cylinders, fuel, injection)
    swept = 0.25 * np.pi * engine.bore**2 * engine.stroke * cylinders
    assert swept == pytest.approx(volume * 1e-3, rel=1e-9)
    assert 2 <= engine.mains <= cylinders + 1
    for torque in (
        motor.friction_torque(100.0 * RPM, 2e-3, engine),
        motor.breakaway_torque(2e-3, engine),
    ):
        assert np.isfinite(torque)
        assert torque > 0.0


@LIGHT
@given(
    volume=per_cylinder,
    cylinders=counts,
    fuel=fuels,
    nu=COLD_OIL,
    factor=st.floats(1.001, 20.0),
    speed=SPEEDS,
)
def test_thicker_cold_oil_asks_more(
    *, volume: float, cylinders: int, fuel: str, nu: float, factor: float, speed: float
) -> None:
    engine = motor.default_engine(volume * cylinders * 1e-3, cylinders, fuel)
    for torque in (
        lambda x: motor.friction_torque(speed, x, engine),
        lambda x: motor.breakaway_torque(x, engine),
    ):
        assert torque(nu * factor) > torque(nu)


@LIGHT
@given(volume=st.floats(0.05, 7.0), cylinders=counts, fuel=fuels, factor=st.floats(1.001, 2.0), nu=COLD_OIL)
def test_a_larger_engine_asks_more(
    volume: float, cylinders: int, fuel: str, factor: float, nu: float
) -> None:
    small, large = (motor.default_engine(v * 1e-3, cylinders, fuel) for v in (volume, volume * factor))
    assert motor.breakaway_torque(nu, large) > motor.breakaway_torque(nu, small)
    assert motor.friction_torque(100.0 * RPM, nu, large) > motor.friction_torque(100.0 * RPM, nu, small)


@LIGHT
@given(ratio=st.floats(5.0, 22.0), step=st.floats(0.01, 3.0), nu=COLD_OIL)
def test_more_compression_asks_more(ratio: float, step: float, nu: float) -> None:
    low, high = (motor.default_engine(2e-3, 4, "petrol", compression_ratio=r) for r in (ratio, ratio + step))
    assert motor.compression_peak(high).torque > motor.compression_peak(low).torque
    assert motor.breakaway_torque(nu, high) > motor.breakaway_torque(nu, low)


@LIGHT
@given(nu=st.floats(5e-6, 0.4), fading=st.floats(0.0, 1.0), share=st.floats(0.7, 1.0))
def test_friction_is_bounded_down_to_standstill(nu: float, fading: float, share: float) -> None:
    engine = motor.reference_engine("diesel")
    speeds = np.linspace(0.0, 100.0 * RPM, 11)
    torque = motor.friction_torque(speeds, nu, engine, fading=fading, oil_share_of_gas_term=share)
    assert np.all(np.isfinite(torque))
    # with the mixed terms held below the floor, what is left of friction only grows with speed
    assert np.all(np.diff(torque) > 0.0)


@LIGHT
@given(nu=st.floats(5e-6, 0.4), fading=st.floats(0.0, 1.0), speed=SPEEDS)
def test_mixed_lubrication_never_lowers_friction(nu: float, fading: float, speed: float) -> None:
    assert mixed_factor(speed, nu, fading=fading) >= 1.0
    assert mixed_factor(speed, 10.6e-6, fading=fading) == pytest.approx(
        mixed_factor(speed, 10.6e-6, fading=0.0)
    )


def test_mixed_terms_keep_their_value_below_the_floor() -> None:
    assert mixed_factor(0.0, 1e-4) == mixed_factor(MIXED_FLOOR, 1e-4)
    assert mixed_factor(0.5 * MIXED_FLOOR, 1e-4, mixed_floor=0.0) > mixed_factor(MIXED_FLOOR, 1e-4)


@LIGHT
@given(fading=st.floats(0.0, 1.0), share=st.floats(0.0, 1.0))
def test_the_scale_keeps_the_level_where_it_is_known(fading: float, share: float) -> None:
    engine, nu = motor.reference_engine("petrol"), fitted("reference_viscosity")
    ours = motor.friction_torque(100.0 * RPM, nu, engine, fading=fading, oil_share_of_gas_term=share)
    assert ours == pytest.approx(motor.friction_torque(100.0 * RPM, nu, engine), rel=1e-9)


def test_outside_its_speeds_friction_is_unknown() -> None:
    engine = motor.reference_engine("petrol")
    torque = motor.friction_torque(np.array([-1.0, SPEED_RANGE[1] + 1.0, np.nan]), 1e-3, engine)
    assert np.all(np.isnan(torque))
    assert np.isnan(motor.friction_torque(10.0, np.nan, engine))


def test_friction_of_an_oil_without_viscosity_is_refused() -> None:
    with pytest.raises(ValueError, match="viscosity"):
        motor.friction_torque(10.0, 0.0, motor.reference_engine("petrol"))


def test_engines_speeds_and_oils_broadcast() -> None:
    cylinders = np.array([1, 4, 6, 8])
    engine = motor.default_engine(
        0.5e-3 * cylinders, cylinders, "petrol", compression_ratio=9.0 + 0.1 * cylinders
    )
    speeds, nu = np.linspace(50.0, 150.0, 3)[:, None, None] * RPM, np.array([1e-4, 5e-3])[:, None]
    torque = motor.friction_torque(speeds, nu, engine, fading=np.array([0.0, 0.5, 0.7, 1.0]))
    assert torque.shape == (3, 2, 4)
    one = motor.default_engine(3.0e-3, 6, "petrol", compression_ratio=9.6)
    assert torque[1, 1, 2] == pytest.approx(float(motor.friction_torque(100.0 * RPM, 5e-3, one, fading=0.7)))
    assert motor.breakaway_torque(nu, engine).shape == (2, 4)


@LIGHT
@given(angle=st.floats(-20.0, 20.0), exponent=st.floats(1.0, 1.4), ratio=st.floats(5.0, 22.0))
def test_what_compression_takes_expansion_gives_back(angle: float, exponent: float, ratio: float) -> None:
    engine = motor.default_engine(2e-3, 4, "diesel", compression_ratio=ratio)
    up, down = (motor.compression_torque(x, engine, exponent=exponent) for x in (-angle, angle))
    peak = motor.compression_peak(engine, exponent=exponent)
    assert up == pytest.approx(-down, abs=1e-9 * float(peak.torque))
    assert abs(up) <= peak.torque * (1.0 + 1e-9)
    lost = motor.lost_torque(engine, compression_exponent=exponent, expansion_exponent=exponent)
    assert lost == pytest.approx(0.0, abs=1e-9)


def test_open_valves_resist_nothing_and_the_cycle_repeats() -> None:
    engine = motor.reference_engine("petrol")
    angles = np.linspace(-np.pi, np.pi, 9)[1:-1]
    assert np.all(motor.compression_torque(angles + 2.0 * np.pi, engine) == 0.0)
    assert motor.compression_torque(angles + 4.0 * np.pi, engine) == pytest.approx(
        motor.compression_torque(angles, engine), abs=1e-9
    )


@LIGHT
@given(up=st.floats(1.0, 1.4), step=st.floats(0.001, 0.2))
def test_unequal_exponents_lose_torque(up: float, step: float) -> None:
    down = min(up + step, 1.4)
    lost = motor.lost_torque(
        motor.reference_engine("petrol"), compression_exponent=up, expansion_exponent=down
    )
    assert lost >= 0.0


def test_compression_peak_is_the_torque_at_its_angle_and_per_litre_of_cylinder() -> None:
    engine = motor.default_engine(np.array([0.1e-3, 12e-3]), np.array([1, 6]), "diesel")
    peak = motor.compression_peak(engine)
    assert peak.torque == pytest.approx(motor.compression_torque(-peak.angle, engine), rel=1e-9)
    per_volume = peak.torque / engine.cylinder_volume
    assert per_volume[0] == pytest.approx(per_volume[1], rel=1e-9)


@pytest.mark.parametrize("exponent", [0.9, 1.5])
def test_an_exponent_that_no_cranking_shows_is_unknown(exponent: float) -> None:
    peak = motor.compression_peak(motor.reference_engine("petrol"), exponent=exponent)
    assert np.isnan(peak.torque)
    assert np.isnan(peak.angle)


def test_thin_air_compresses_less() -> None:
    engine = motor.reference_engine("petrol")
    assert motor.compression_peak(engine, ambient_pressure=7e4).torque == pytest.approx(
        0.7 * motor.compression_peak(engine, ambient_pressure=1e5).torque
    )


def test_whatever_is_known_takes_the_place_of_the_usual() -> None:
    usual = motor.default_engine(2e-3, 4, "petrol")
    known = motor.default_engine(
        2e-3,
        4,
        "petrol",
        banks=2,
        bore=0.080,
        compression_ratio=12.5,
        valves_per_cylinder=2,
        valvetrain=motor.roller_valvetrain("OHV"),
    )
    assert known.stroke > usual.stroke
    assert (float(known.mains), float(known.valves), known.compression_ratio) == (3.0, 8.0, 12.5)
    assert known.main_diameter < usual.main_diameter
    parts = motor.friction_parts(10.0, 1e-3, known)
    assert parts.flat_followers == 0.0
    assert parts.roller_followers > 0.0
    by_stroke = motor.default_engine(2e-3, 4, "petrol", stroke=known.stroke)
    assert by_stroke.bore == pytest.approx(0.080)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"displacement": 1.0}, "displacement"),
        ({"displacement": np.nan}, "displacement"),
        ({"cylinders": 13}, "cylinders"),
        ({"cylinders": 2.5}, "cylinders"),
        ({"fuel": "steam"}, "fuel"),
        ({"injection": "magic"}, "injection"),
        ({"bore": 0.1, "stroke": 0.1}, "bore and stroke"),
        ({"compression_ratio": 1.0}, "compression_ratio"),
    ],
)
def test_an_impossible_engine_is_refused_by_its_field(change: dict[str, Any], field: str) -> None:
    known: dict[str, Any] = {"displacement": 2e-3, "cylinders": 4, "fuel": "petrol"}
    with pytest.raises(ValueError, match=f"^{field}"):
        motor.default_engine(**(known | change))


def test_an_unknown_valvetrain_and_a_bad_rod_are_refused() -> None:
    with pytest.raises(ValueError, match="valvetrain"):
        motor.flat_valvetrain("sleeve")
    with pytest.raises(ValueError, match="rod_ratio"):
        replace(motor.reference_engine("petrol"), rod_ratio=1.5)
    with pytest.raises(ValueError, match="bore"):
        replace(motor.reference_engine("petrol"), bore=0.0)


def test_a_diesel_turns_faster_without_its_aid_and_a_petrol_engine_has_none() -> None:
    for injection in ("direct", "indirect"):
        alone = motor.minimum_speed("diesel", injection)
        helped = motor.minimum_speed("diesel", injection, aid=True)
        assert alone[0] > helped[0]
        assert alone[1] > helped[1]
        assert alone[0] < alone[1]
    assert motor.minimum_speed("petrol", aid=True) == motor.minimum_speed("petrol")


def test_only_an_unaided_diesel_has_a_known_ignition_limit() -> None:
    assert motor.ignition_limit("diesel", "indirect") > motor.ignition_limit("diesel", "direct")
    assert np.isnan(motor.ignition_limit("diesel", aid=True))
    assert np.isnan(motor.ignition_limit("petrol"))


@pytest.mark.parametrize("function", [motor.minimum_speed, motor.ignition_limit])
def test_limits_of_an_unknown_engine_are_refused(function: Callable[..., object]) -> None:
    with pytest.raises(ValueError, match="fuel"):
        function("steam")
    with pytest.raises(ValueError, match="injection"):
        function("diesel", "magic")


def test_preheating_grows_with_the_cylinders_except_a_grid() -> None:
    for kind in motor.preheat_kinds():
        (low_4, high_4), (low_6, high_6) = (motor.preheat_current(n, kind) for n in (4, 6))
        assert low_4 <= high_4
        factor = 1.0 if kind == "grid heater" else 1.5
        assert (low_6, high_6) == (pytest.approx(low_4 * factor), pytest.approx(high_4 * factor))
    with pytest.raises(ValueError, match="preheat"):
        motor.preheat_current(4, "candle")


def test_the_fitting_script_reproduces_the_constants() -> None:
    script = Path(__file__).parents[2] / "scripts" / "fit_friction.py"
    values = runpy.run_path(str(script))["constants"]()
    for row in load("friction_constants").rows:
        assert values[row["constant"]][0] == pytest.approx(float(row["value"]), rel=5e-5)
    assert set(values) == {row["constant"] for row in load("friction_constants").rows}
