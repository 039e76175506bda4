"""Our side of the published checks of oil, friction, compression, breakaway and starting limits."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import fields

import numpy as np

from sizing.physics import engine as motor
from sizing.physics import oil as oils
from sizing.physics.engine.friction import VISCOSITY_0
from sizing.physics.oil.grades import HOT
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside, within

KELVIN = 273.15
KPA = 1e3
LITRE = 1e-3
CYLINDER = 0.5 * LITRE  # of the engines on which the breakaway rule is compared; per litre it hardly matters


def _multigrades() -> Iterable[tuple[str, Row, Row]]:
    limits = {row["grade"]: row for row in load("cranking_j300_limits").select("data")}
    for row in load("cranking_oil_grades").select("data"):
        if row["cold_class"]:
            yield row["grade"], limits[row["cold_class"]], limits[row["hot_class"]]


def _half_digit(printed: str) -> float:
    return float(0.5 * 10.0 ** -len(printed.partition(".")[2]))


def _as_printed(conditions: str, printed: str, ours: float) -> Point:
    margin = _half_digit(printed)
    return Point(conditions, float(printed), ours, float(printed) - margin, float(printed) + margin)


@check("K01")
def _cold_limit(row: Row) -> Iterable[Point]:
    for grade, cold, _ in _multigrades():
        temperature = float(cold["ccs_temperature"]) + KELVIN
        ours = oils.viscosity(temperature, oils.from_grade(grade)) / (1e-3 * float(cold["ccs_max"]))
        yield within(row, grade, 1.0, float(ours))


@check("K02")
def _hot_class(row: Row) -> Iterable[Point]:
    for grade, _, hot in _multigrades():
        oil = oils.from_grade(grade)
        thin = oils.kinematic_viscosity(HOT, oil)
        low, high = float(hot["kv100_min"]), float(hot["kv100_below"])
        # from cranking shear back to the low shear of the class, by the ratio of the class
        ours = thin / oils.high_shear_ratio(0.5e-6 * (low + high)) * 1e6
        yield inside(row, grade, float(ours), low, high)


def _high_temperature(row: Row, usual: bool) -> Iterable[Point]:
    names = {line["grade"] for line in load("cranking_oil_default_grades").select("background")}
    for grade, _, hot in _multigrades():
        if (grade in names) is usual:
            ours = 1e3 * oils.viscosity(150.0 + KELVIN, oils.from_grade(grade)) / float(hot["hths_min"])
            yield inside(row, grade, float(ours))


@check("K03")
def _usual_at_high_temperature(row: Row) -> Iterable[Point]:
    return _high_temperature(row, usual=True)


@check("K19")
def _others_at_high_temperature(row: Row) -> Iterable[Point]:
    return _high_temperature(row, usual=False)


def _worked_line(status: str) -> Iterable[Point]:
    (printed,) = load("cranking_oil_walther_example").select("check", status=status)
    offset = float(printed["offset"])
    a, b = oils.walther_line((40.0 + offset, 32e-6), (100.0 + offset, 5.4e-6))
    yield _as_printed("A", printed["a"], float(a))
    yield _as_printed("B", printed["b"], float(b))
    for column, celsius in (("nu_80", 80.0), ("nu_0", 0.0), ("nu_m20", -20.0), ("nu_m30", -30.0)):
        if printed[column]:
            ours = 1e6 * float(oils.walther_viscosity(celsius + offset, a, b))
            yield _as_printed(f"{celsius:g} °C in mm2/s", printed[column], ours)


@check("K04")
def _worked_line_as_printed(row: Row) -> Iterable[Point]:
    return _worked_line(row["status"])


@check("K05")
def _worked_line_exact_kelvin(row: Row) -> Iterable[Point]:
    return _worked_line(row["status"])


@check("K06")
def _product_sheets(row: Row) -> Iterable[Point]:
    oil = oils.from_grade("5W-30")
    for sheet in load("cranking_oil_products").select("check"):
        ours = oils.viscosity(float(sheet["ccs_temperature"]) + KELVIN, oil)
        yield inside(row, sheet["product"], 1e-3 * float(sheet["ccs_low"]) / float(ours))


@check("K07")
def _warm_friction(row: Row) -> Iterable[Point]:
    for identity in ("T5", "T6a", "T6b"):
        (printed,) = load("cranking_friction_measured").select("check", id=identity)
        litres, rpm = (
            float(re.findall(pattern, printed[key])[0])
            for pattern, key in ((r"([\d.]+) L", "engine"), (r"(\d+) rpm", "conditions"))
        )
        engine = motor.default_engine(litres * LITRE, 4, "diesel")
        ours = motor.friction_parts(rpm * motor.RPM, VISCOSITY_0, engine, fading=0.0, mixed_floor=0.0).total
        conditions = f"{printed['engine']}; {printed['conditions']}"
        yield inside(row, conditions, float(ours) / KPA / float(printed["value_low"]))


@check("K08")
def _rising_with_speed(row: Row) -> Iterable[Point]:
    speeds = np.linspace(60.0, 200.0, 8) * motor.RPM
    oil = oils.from_grade("10W-30")
    for litres in (3.4, 5.8):
        engine = motor.default_engine(litres * LITRE, 6, "petrol", banks=1, compression_ratio=4.38)
        # without the speed floor, so that the shape of the relation itself is judged
        cold, milder = (
            motor.friction_torque(
                speeds, oils.kinematic_viscosity(celsius + KELVIN, oil), engine, mixed_floor=0.0
            )
            for celsius in (-12.0, -2.0)
        )
        yield inside(row, f"{litres} L; smallest step in N m", float(np.diff(cold).min()))
        steeper = (cold[-1] - cold[0]) - (milder[-1] - milder[0])
        yield inside(row, f"{litres} L; rise at -12 °C less rise at -2 °C in N m", float(steeper))


@check("K09")
def _piston_share(row: Row) -> Iterable[Point]:
    oil, engine = oils.from_grade("10W-30"), motor.reference_engine("petrol")
    for celsius in (-18.0, -6.0, 6.0):
        nu = oils.kinematic_viscosity(celsius + KELVIN, oil)
        parts = motor.friction_parts(motor.CRANKING_SPEED, nu, engine)
        yield inside(row, f"{celsius:g} °C", float(100.0 * parts.piston_assembly / parts.total))


@check("K10")
def _cold_demand(row: Row) -> Iterable[Point]:
    engine = motor.reference_engine("petrol")
    for position in oils.POSITION_RANGE:
        oil = oils.from_grade("10W-30", position=position)
        cold, warm = (
            motor.friction_torque(motor.CRANKING_SPEED, oils.kinematic_viscosity(t + KELVIN, oil), engine)
            for t in (-18.0, 27.0)
        )
        yield inside(row, f"oil at {100 * position:.0f} % of its cold limit", float(cold / warm))


def _breakaway(row: Row) -> Iterable[Point]:
    oil = oils.from_grade("10W-30")
    nu = oils.kinematic_viscosity(oil.cold_limit, oil)
    for rule in load("cranking_breakaway_by_cylinders").select("check", status=row["status"]):
        count = float(rule["cylinders"])
        engine = motor.default_engine(count * CYLINDER, count, "petrol", compression_ratio=10.0)
        ours = motor.breakaway_torque(nu, engine) / (count * CYLINDER / LITRE)
        yield within(row, f"{count:g} cylinders", float(rule["at_crank"]), float(ours))


@check("K11")
def _breakaway_few_cylinders(row: Row) -> Iterable[Point]:
    return _breakaway(row)


@check("K12")
def _breakaway_many_cylinders(row: Row) -> Iterable[Point]:
    return _breakaway(row)


@check("K13")
def _compression_peak(row: Row) -> Iterable[Point]:
    rows = load("cranking_compression_peak").select("check")
    volume, ratio, exponent = (numbers(rows, key) for key in ("cylinder", "compression_ratio", "exponent"))
    engine = motor.default_engine(volume * LITRE, 1, "petrol", compression_ratio=ratio)
    peaks = motor.compression_peak(engine, exponent=exponent).torque
    for printed, v, r, n, ours in zip(rows, volume, ratio, exponent, peaks, strict=True):
        yield within(row, f"{v:g} L; ratio {r:g}; exponent {n:g}", float(printed["peak_torque"]), float(ours))


@check("K14")
def _lost_work(row: Row) -> Iterable[Point]:
    engine = motor.reference_engine("petrol")
    lost = motor.lost_torque(engine, compression_exponent=1.25, expansion_exponent=1.25)
    yield within(row, "closed form", 0.0, float(lost))
    angles = np.linspace(-np.pi, np.pi, 2001)
    mean = np.trapezoid(motor.compression_torque(angles, engine), angles)
    yield within(row, "torque summed over a cycle", 0.0, float(mean))


@check("K15")
def _gas_is_largest(row: Row) -> Iterable[Point]:
    engine = motor.default_engine(5.0 * LITRE, 8, "petrol")
    oil = oils.from_grade("5W-30")
    for celsius in (0.0, -18.0, -30.0):
        nu = oils.kinematic_viscosity(celsius + KELVIN, oil)
        parts = motor.friction_parts(motor.CRANKING_SPEED, nu, engine)
        largest = max(float(getattr(parts, field.name)) for field in fields(parts))
        share = largest / float(parts.total)
        steady = float(motor.friction_torque(motor.CRANKING_SPEED, nu, engine))
        gas = float(motor.breakaway_torque(nu, engine)) - steady
        yield inside(row, f"{celsius:g} °C", gas / (share * steady))


@check("K16")
def _minimum_speed(row: Row) -> Iterable[Point]:
    (printed,) = load("cranking_minimum_speeds").select("check", source="sae_j2438")
    ours = np.mean(motor.minimum_speed("diesel", "direct", aid=False)) / motor.RPM
    yield inside(row, printed["engine"], float(ours), float(printed["low"]), float(printed["high"]))


@check("K17")
def _unaided_start(row: Row) -> Iterable[Point]:
    ours = motor.ignition_limit("diesel", "direct") - KELVIN
    for application in (
        "heavy diesel: users expect unaided start to",
        "10.8 L diesel industrial; unaided",
        "10.8 L diesel marine; unaided",
    ):
        (printed,) = load("cranking_limit_temperatures").select("check", application=application)
        yield within(row, application, float(printed["temperature_cold"]), ours)
