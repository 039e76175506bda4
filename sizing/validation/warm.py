"""Our side of the published checks of warm cranking: engine, starter, cable and battery together.

Steady cranking at the median of every uncertain parameter, where an answer's samples would give a spread.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Vehicle as Told
from sizing.physics.battery import battery_from_capacity, battery_type
from sizing.physics.delivery import KELVIN, voltage_after
from sizing.physics.engine import friction_scale, friction_torque
from sizing.physics.oil import kinematic_viscosity
from sizing.physics.pores import rested
from sizing.physics.ratings import rate
from sizing.physics.starter import behind_cable, operating_point
from sizing.simulate.label import unit_battery
from sizing.simulate.sampling import Samples, draw, parameters, quantile
from sizing.simulate.setup import vehicle_of
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside

Array = NDArray[np.float64]

RPM = np.pi / 30.0  # rad/s of one turn a minute
TYPE = "flooded calcium"
BATTERY_TEMPERATURE = 20.0 + KELVIN
WARM = (20.0, 90.0)  # degC of the engine: room and working temperature
CRANKED = 3.0  # s of cranking at which current, speed and voltage are read
UNIT = 100.0  # A (EN) of the unit battery


@dataclass(frozen=True)
class Cranking:
    """Steady cranking: current [A], speed of the crank [rev/min], voltage at the battery's posts [V]."""

    current: float
    speed: float
    voltage: float


@cache
def medians() -> Samples:
    """Return every uncertain parameter at the middle of its distribution."""
    middle = np.array(0.5)
    return draw(4, 4, 1, fixed={row["name"]: float(quantile(middle, row)) for row in parameters()})


def cranking(case: str, celsius: float) -> Cranking:
    """Return the steady cranking of a case of ``warm_cases.csv`` with its engine at a temperature."""
    (row,) = load("warm_cases").select("data", case=case)
    told = Told.model_validate(
        {
            "displacement": f"{row['litres']} l",
            "cylinders": int(row["cylinders"]),
            "fuel": row["fuel"],
            "oil": row["oil"],
        }
    )
    vehicle = vehicle_of(told, medians())
    temperature = celsius + KELVIN
    viscosity = kinematic_viscosity(temperature, vehicle.oil)
    friction = {"fading": vehicle.friction_fading, "oil_share_of_gas_term": vehicle.oil_share_of_gas_term}
    scale = vehicle.friction_factor * friction_scale(vehicle.engine.fuel, **friction)

    # so many unit batteries in parallel have the printed amperes, and the ampere-hours usual with them
    size = float(row["cca_sae"]) / float(rate(unit_battery(TYPE), "sae_j537_cca"))
    kind = battery_type(TYPE)
    battery = battery_from_capacity(
        kind.shape, size * UNIT, "en_50342_1_level_1", size * UNIT / kind.cold_cranking_per_ah
    )
    full = rested(1.0, battery)

    def posts(current: Array) -> Array:
        return voltage_after(current, CRANKED, BATTERY_TEMPERATURE, battery, state=full)

    point = operating_point(
        behind_cable(posts, vehicle.cable_resistance),
        lambda speed: friction_torque(speed, viscosity, vehicle.engine, scale=scale, **friction),
        vehicle.starter,
        temperature,
    )
    return Cranking(point.current.item(), point.speed.item() / RPM, posts(point.current).item())


def _current(row: Row, case: str) -> Iterable[Point]:
    table = load("cranking_warm_currents")
    (printed,) = table.select("check", engine=case, kind="maximum", source=row["source"])
    for celsius in WARM:
        ours = cranking(case, celsius).current
        yield inside(row, f"{case} petrol, {celsius:g} °C", ours, None, float(printed["high"]))


@check("W01")
def _four(row: Row) -> Iterable[Point]:
    return _current(row, "4-cylinder")


@check("W02")
def _six(row: Row) -> Iterable[Point]:
    return _current(row, "6-cylinder")


@check("W03")
def _eight(row: Row) -> Iterable[Point]:
    return _current(row, "8-cylinder")


@check("W04")
def _rolling_diesel(row: Row) -> Iterable[Point]:
    yield inside(row, "4.5 l, 0 °C", cranking("4.5 l diesel", 0.0).current)


@check("W05")
def _voltage(row: Row) -> Iterable[Point]:
    ours = cranking("4-cylinder", 20.0).voltage
    for printed in load("cranking_acceptance_voltages").select("check"):
        least = numbers((printed,), "voltage")[0]
        yield inside(row, f"{printed['conditions']}, {printed['kind']}", ours, least, float("nan"))


def _speed(row: Row, engine: str, *cases: str) -> Iterable[Point]:
    (printed,) = load("cranking_minimum_speeds").select("check", engine=engine)
    for case in cases:
        for celsius in WARM:
            ours = cranking(case, celsius).speed
            yield inside(row, f"{case}, {celsius:g} °C", ours, float(printed["low"]), float(printed["high"]))


@check("W06")
def _petrol_speed(row: Row) -> Iterable[Point]:
    return _speed(row, "petrol V8 and I6 usual", "6-cylinder", "8-cylinder")


@check("W07")
def _diesel_speed(row: Row) -> Iterable[Point]:
    return _speed(row, "diesel V8 7.3 L usual", "7.3 l diesel")
