"""One start as the transient sees it: one battery, one cable, one starter, one engine, one stop angle."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from sizing.physics.engine import Engine, friction_scale
from sizing.physics.engine.gas import Charge, worst_stop_angle
from sizing.physics.oil import kinematic_viscosity
from sizing.physics.pores import Battery
from sizing.physics.starter import Starter
from sizing.simulate.cold_start import Vehicle
from sizing.tables import load

LITRE = 1e-3  # m3
CELLS = 6


@dataclass(frozen=True)
class Start:
    """Everything one start depends on; every number is one number.

    battery : with its age [-]
    charge : state of charge before it [-]
    battery_temperature : of its acid [K]
    aid_current : of glow plugs while cranking [A]
    cable_resistance : of the whole circuit [ohm]
    inductance : of windings and cables [H]
    double_layer : capacitance across the electrodes of the 12 V battery [F]
    starter : on this engine [-]
    engine : firing evenly [-]
    engine_temperature : of engine, oil and windings [K]
    viscosity : kinematic, of the oil at cranking shear [m2/s]
    friction_scale : on the friction relation [-]
    friction_fading : of mixed friction with viscosity [-]
    oil_share_of_gas_term : of one friction term [-]
    gas : how cylinders hold their charge [-]
    inertia : of engine and starter together, at the crank [kg m2]
    stop_angle : before the top of its compression at which one cylinder stands [rad]
    """

    battery: Battery
    charge: float
    battery_temperature: float
    aid_current: float
    cable_resistance: float
    inductance: float
    double_layer: float
    starter: Starter
    engine: Engine
    engine_temperature: float
    viscosity: float
    friction_scale: float
    friction_fading: float
    oil_share_of_gas_term: float
    gas: Charge
    inertia: float
    stop_angle: float

    def __post_init__(self) -> None:
        """Refuse the impossible."""
        for name in ("inductance", "double_layer", "inertia", "viscosity"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} of a start must be above zero")
        if not self.cable_resistance >= 0.0:
            raise ValueError("a cable cannot have a negative resistance")


@cache
def declared(name: str, place: str = "middle") -> float:
    """Return a value that nobody publishes and that is declared wide.

    Parameters
    ----------
    name : of a row of ``transient_parameters.csv`` [-]
    place : low, middle or high [-]

    Returns
    -------
    float : in the unit of the row [-]

    Examples
    --------
    >>> declared("intake_closing")
    50.0
    """
    (row,) = load("transient_parameters").select("data", name=name)
    return float(row[place])


def one_of(record: Any) -> Any:
    """Return a record whose every number is one number: the first, where it holds an array.

    Parameters
    ----------
    record : frozen, of numbers, words and further such records [-]

    Returns
    -------
    record : of the same class [-]

    Examples
    --------
    >>> from sizing.physics.starter import Starter
    >>> one_of(Starter(np.array([[5e-3]]), 1.2e-3, 50.0, 2.4)).resistance
    0.005
    """
    changes: dict[str, Any] = {}
    for field in fields(record):
        value = getattr(record, field.name)
        if is_dataclass(value):
            changes[field.name] = one_of(value)
        elif not isinstance(value, str):
            changes[field.name] = float(np.ravel(value)[0])
    return replace(record, **changes)


def start_of(
    vehicle: Vehicle,
    battery: Battery,
    *,
    charge: float,
    engine_temperature: float,
    battery_temperature: float,
    stop_angle: float | None = None,
) -> Start:
    """Return the start of a vehicle, what nobody publishes at the middle of its declared range.

    Parameters
    ----------
    vehicle : its fields one number each, or the first of an array taken [-]
    battery : likewise [-]
    charge : state of charge [-]
    engine_temperature : of engine, oil and starter [K]
    battery_temperature : of the battery [K]
    stop_angle : before the top of its compression at which one cylinder stands; the worst if not told [rad]

    Returns
    -------
    Start : ready to be simulated [-]

    Raises
    ------
    ValueError : where oil or starter are outside their range at that temperature.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> round(float(np.degrees(example_start().stop_angle)))
    130
    """
    car = one_of(vehicle)
    viscosity = float(kinematic_viscosity(engine_temperature, car.oil))
    if not np.isfinite(viscosity):
        raise ValueError("no viscosity of this oil is known at that temperature")
    engine = replace(car.engine, cylinders=int(car.engine.cylinders))
    exponent = float(car.compression_exponent)
    gas = Charge(
        exponent,
        exponent + declared("expansion_excess"),
        float(np.radians(declared("intake_closing"))),
        float(np.radians(declared("exhaust_opening"))),
    )
    friction = {"fading": car.friction_fading, "oil_share_of_gas_term": car.oil_share_of_gas_term}
    return Start(
        battery=one_of(battery),
        charge=charge,
        battery_temperature=battery_temperature,
        aid_current=float(car.aid_current),
        cable_resistance=float(car.cable_resistance),
        inductance=declared("motor_time_constant") * float(car.starter.resistance),
        double_layer=declared("double_layer_cell") / CELLS,
        starter=car.starter,
        engine=engine,
        engine_temperature=engine_temperature,
        viscosity=viscosity,
        friction_scale=float(car.friction_factor * friction_scale(engine.fuel, **friction)),
        friction_fading=float(car.friction_fading),
        oil_share_of_gas_term=float(car.oil_share_of_gas_term),
        gas=gas,
        inertia=declared("inertia_per_litre") * float(engine.displacement) / LITRE,
        stop_angle=worst_stop_angle(engine, gas) if stop_angle is None else stop_angle,
    )
