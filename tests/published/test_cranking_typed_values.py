"""Numbers evaluated elsewhere from the same equations, to catch a slip of typing; no independent evidence.

Every tolerance is half the last digit that the table prints.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from sizing.physics import engine as motor
from sizing.physics import oil as oils
from sizing.tables import Row, load, numbers

KELVIN = 273.15
RELATIONS = {
    "A published m=0": {"fading": 0.0},
    "A without oil in the gas term w=0": {"fading": 0.0, "oil_share_of_gas_term": 0.0},
    "C mixed terms fade m=0.5": {"fading": 0.5},
    "C mixed terms fade m=1": {"fading": 1.0},
}


def half_digit(printed: str) -> float:
    return float(0.5 * 10.0 ** -len(printed.partition(".")[2])) * (1.0 + 1e-9)


def celsius(column: str) -> float:
    return float(column.removeprefix("t_").replace("m", "-"))


def viscosity_factor_one() -> float:
    return 10.6e-6


@pytest.mark.parametrize("row", load("cranking_oil_vogel_evaluated").rows, ids=lambda row: row["oil"])
def test_published_oils_at_their_temperatures(row: Row) -> None:
    for column, printed in row.items():
        if column != "oil":
            ours = 1e6 * oils.published_kinematic_viscosity(celsius(column) + KELVIN, row["oil"])
            assert ours == pytest.approx(float(printed), abs=half_digit(printed)), column


@pytest.mark.parametrize("row", load("cranking_oil_default_grades").rows, ids=lambda row: row["grade"])
def test_curve_of_a_grade(row: Row) -> None:
    oil = oils.from_grade(row["grade"])
    assert float(oil.temperature_1) == pytest.approx(float(row["th1"]), abs=half_digit(row["th1"]))
    assert float(oil.consistency) * 1e3 == pytest.approx(float(row["K"]), abs=half_digit(row["K"]))
    for column in ("mu_20", "mu_0", "mu_m18", "mu_m30", "mu_m40"):
        t = celsius(column.removeprefix("mu_")) + KELVIN
        ours = 1e3 * float(oils.viscosity(t, oil))
        assert ours == pytest.approx(float(row[column]), abs=half_digit(row[column])), column


@pytest.mark.parametrize(
    "row", load("cranking_friction_reference").rows, ids=lambda row: "-".join(list(row.values())[:3])
)
def test_reference_evaluation_of_the_friction_relation(row: Row) -> None:
    engine = motor.reference_engine("petrol")
    warm = row["oil"] == "any"
    nu = (
        viscosity_factor_one()
        if warm
        else oils.published_kinematic_viscosity(float(row["temperature"]) + KELVIN, row["oil"])
    )
    speed = float(row["speed"]) * motor.RPM
    fmep = motor.friction_parts(speed, nu, engine, fading=0.0, mixed_floor=0.0).total / 1e3
    torque = motor.friction_torque(speed, nu, engine, scale=1.0, fading=0.0, mixed_floor=0.0)
    assert fmep == pytest.approx(float(row["fmep"]), abs=half_digit(row["fmep"]))
    assert torque == pytest.approx(float(row["torque"]), abs=half_digit(row["torque"]))


@pytest.mark.parametrize(
    "row", load("cranking_friction_parts").rows, ids=lambda row: f"{row['engine']}{row['temperature']}"
)
def test_parts_of_the_friction_relation(row: Row) -> None:
    nu = oils.published_kinematic_viscosity(float(row["temperature"]) + KELVIN, "10W-30")
    parts = motor.friction_parts(
        100.0 * motor.RPM, nu, motor.reference_engine(row["engine"]), fading=0.0, mixed_floor=0.0
    )
    listed = {field.name for field in fields(parts)} - {"turbulence", "roller_followers"}
    assert listed | {"engine", "temperature", "total"} == set(row)
    for name in listed:
        ours = float(getattr(parts, name)) / 1e3
        assert ours == pytest.approx(float(row[name]), abs=half_digit(row[name])), name
    assert float(parts.total) / 1e3 == pytest.approx(float(row["total"]), abs=half_digit(row["total"]))


@pytest.mark.parametrize(
    "row",
    [row for row in load("cranking_friction_models_compared").rows if row["model"] in RELATIONS],
    ids=lambda row: f"{row['engine']} {row['oil']} {row['model']}",
)
def test_variants_of_the_friction_relation(row: Row) -> None:
    engine, options = motor.reference_engine(row["engine"]), RELATIONS[row["model"]]
    for column in ("t_20", "t_0", "t_m18", "t_m30"):
        nu = oils.published_kinematic_viscosity(celsius(column) + KELVIN, row["oil"])
        ours = motor.friction_torque(100.0 * motor.RPM, nu, engine, scale=1.0, **options)
        assert ours == pytest.approx(float(row[column]), abs=half_digit(row[column])), column


@pytest.mark.parametrize(
    ("fading", "evaluated"),
    [(0.0, (52.8, 42.6, 35.0, 31.0)), (1.0, (20.9, 21.3, 22.3, 24.7))],
)
def test_torque_against_speed_at_minus_12(fading: float, evaluated: tuple[float, ...]) -> None:
    nu = oils.published_kinematic_viscosity(-12.0 + KELVIN, "10W-30")
    speeds = np.array([40.0, 60.0, 100.0, 200.0]) * motor.RPM
    engine = motor.reference_engine("petrol")
    ours = motor.friction_torque(speeds, nu, engine, scale=1.0, fading=fading, mixed_floor=0.0)
    assert ours == pytest.approx(evaluated, abs=0.05)


def test_angle_and_pressure_of_the_compression_peak() -> None:
    table = load("cranking_compression_peak")
    volume, ratio, exponent = (table.column(key) for key in ("cylinder", "compression_ratio", "exponent"))
    engine = motor.default_engine(volume * 1e-3, 1, "petrol", compression_ratio=ratio)
    peak = motor.compression_peak(engine, exponent=exponent)
    assert np.degrees(peak.angle) == pytest.approx(table.column("angle"), abs=0.051)
    assert peak.pressure / 1e5 == pytest.approx(table.column("peak_pressure"), abs=0.051)
    per_litre = peak.torque / volume
    assert per_litre == pytest.approx(table.column("per_litre"), abs=0.51)


@pytest.mark.parametrize(("name", "evaluated"), [("petrol", 5.3), ("diesel", 8.0)])
def test_lost_torque_of_the_reference_fours(name: str, evaluated: float) -> None:
    lost = motor.lost_torque(motor.reference_engine(name), compression_exponent=1.25, expansion_exponent=1.35)
    assert lost == pytest.approx(evaluated, abs=0.05)


def test_all_preheat_totals_follow_from_their_cylinders() -> None:
    rows = load("cranking_preheat_loads").select("data", kind="ceramic plug")
    low, high = motor.preheat_current(4, "ceramic plug")
    assert [float(low), float(high)] == sorted(numbers(rows, "total"))
