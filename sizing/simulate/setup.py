"""From what a person told to what the physics takes: vehicle, night and battery as samples."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.climate import (
    ColdestNight,
    Place,
    battery_time_constant,
    coldest_night,
    find_shelter,
    parked_minimum,
    swing_amplitude,
)
from sizing.climate.shelter import HOUSE
from sizing.inputs import Battery as Label
from sizing.inputs import Parking
from sizing.inputs import Vehicle as Told
from sizing.physics.engine import default_engine, minimum_speed, preheat_current
from sizing.physics.oil import Oil, from_data_sheet, from_grade
from sizing.physics.starter import default_power, default_starter, matched
from sizing.simulate.cold_start import LIGHTS_CURRENT, Vehicle
from sizing.simulate.sampling import Samples
from sizing.tables import load

Array = NDArray[np.float64]

GLOW = ("ceramic plug", "metal plug")


class UnknownStarterError(ValueError):
    """No starter is usual for such an engine: its power must be told."""


def known_parameters(vehicle: Told, label: Label | None) -> dict[str, float]:
    """Return the uncertain parameters that a person has told after all.

    Parameters
    ----------
    vehicle : as told [-]
    label : of the battery, or none [-]

    Returns
    -------
    dict : value by the name of the parameter [-]

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> known_parameters(demo_scenario().vehicle, None)
    {}
    """
    told = {
        "cable_resistance": vehicle.cable_resistance,
        "electronics_floor": vehicle.electronics_floor,
        "charge": label.charge if label is not None else None,
    }
    return {name: float(value) for name, value in told.items() if value is not None}


def oil_of(vehicle: Told, samples: Samples) -> Oil:
    """Return the oil in the sump: of its data sheet, or somewhere inside its grade.

    Parameters
    ----------
    vehicle : as told [-]
    samples : drawn [-]

    Returns
    -------
    Oil : fields of the samples' shape where the grade alone is known [-]

    Raises
    ------
    ValueError : when a data sheet contradicts itself.

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> from sizing.simulate.sampling import draw
    >>> oil_of(demo_scenario().vehicle, draw(8, 4, 1)).consistency.shape
    (8, 1)
    """
    sheet = vehicle.oil_data
    if sheet is None:
        return from_grade(vehicle.oil, position=samples["oil_position"])
    return from_data_sheet(
        sheet.kv40,
        sheet.kv100,
        sheet.cold_cranking_viscosity,
        sheet.cold_cranking_temperature,
        density_15=sheet.density,
    )


def _aid(vehicle: Told, samples: Samples) -> tuple[Array, Array]:
    """Return the current of the starting aid while cranking, and the charge it takes before."""
    place, time = samples["aid_current"], samples["aid_time"]
    if vehicle.preheat == "none":
        return np.zeros((1, 1)), np.zeros((1, 1))
    if vehicle.preheat == "glow":
        low = preheat_current(vehicle.cylinders, GLOW[0])[0]
        high = preheat_current(vehicle.cylinders, GLOW[1])[1]
        current = low + (high - low) * place
        return np.asarray(current), np.asarray(current * time)
    # an intake heater is off while the starter turns (common practice); its charge is gone all the same
    low, high = preheat_current(vehicle.cylinders, "grid heater")
    return np.zeros((1, 1)), np.asarray((low + (high - low) * place) * time)


def vehicle_of(vehicle: Told, samples: Samples) -> Vehicle:
    """Return engine, oil, starter and cables of a vehicle as told, with what is usual for the rest.

    A 24 V vehicle is computed as the 12 V one of the same power: its two batteries in series carry half that
    current at twice the voltage, so each needs half of the amperes found.

    Parameters
    ----------
    vehicle : as told [-]
    samples : drawn [-]

    Returns
    -------
    Vehicle : fields of the samples' shape [-]

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> from sizing.simulate.sampling import draw
    >>> vehicle_of(demo_scenario().vehicle, draw(8, 4, 1)).minimum_speed.shape
    (8, 1)
    """
    told = {
        name: getattr(vehicle, name)
        for name in ("bore", "stroke", "compression_ratio")
        if getattr(vehicle, name) is not None
    }
    engine = default_engine(vehicle.displacement, vehicle.cylinders, vehicle.fuel, vehicle.injection, **told)
    low, high = minimum_speed(vehicle.fuel, vehicle.injection, aid=vehicle.preheat != "none")
    speed = low + (high - low) * samples["minimum_speed"]
    power = _starter_power(vehicle, samples)
    starter = default_starter(power)
    if vehicle.gear_ratio is None:
        starter = matched(starter, power, speed * samples["starter_match"])
    else:
        starter = replace(starter, gear_ratio=vehicle.gear_ratio)
    current, charge = _aid(vehicle, samples)
    return Vehicle(
        engine=engine,
        oil=oil_of(vehicle, samples),
        starter=replace(starter, idle_torque=starter.idle_torque * samples["starter_idle"]),
        # at 24 V half the current over twice the voltage: a cable is felt a quarter as much
        cable_resistance=samples["cable_resistance"] * _cable_share(power) / vehicle.batteries_in_series**2,
        minimum_speed=speed,
        electronics_floor=samples["electronics_floor"],
        friction_factor=samples["friction_factor"],
        friction_fading=samples["friction_fading"],
        oil_share_of_gas_term=samples["oil_share_of_gas_term"],
        compression_exponent=samples["compression_exponent"],
        aid_current=current,
        preheat_charge=charge,
        lights_current=lights_of(vehicle),
    )


def lights_of(vehicle: Told) -> float:
    """Return the current of the lights that a reserve must still carry, by the size of the engine.

    Parameters
    ----------
    vehicle : as told [-]

    Returns
    -------
    float : 25 A from a litre on and for every diesel; table ``lights_by_engine`` [A]

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> lights_of(demo_scenario().vehicle)
    25.0
    """
    if vehicle.fuel == "diesel":
        return LIGHTS_CURRENT
    table = load("lights_by_engine")
    litres = vehicle.displacement * 1e3
    return float(np.interp(litres, table.column("displacement_l"), table.column("current_a")))


def _starter_power(vehicle: Told, samples: Samples) -> Array:
    if vehicle.starter_power is not None:
        return np.full((1, 1), vehicle.starter_power)
    low, high = default_power(vehicle.displacement, vehicle.cylinders, vehicle.fuel)
    if not np.isfinite(low):
        raise UnknownStarterError
    return np.asarray(low + (high - low) * samples["starter_power"])


@cache
def _cable_by_power() -> tuple[Array, Array]:
    table = load("starter_cable_by_power")
    return table.column("power_kw") * 1e3, table.column("share")


def _cable_share(power: Array) -> Array:
    # a larger starter gets thicker cables: the whole circuit of a heavy diesel has 0.75 mΩ
    return np.asarray(np.interp(power, *_cable_by_power()))


@dataclass(frozen=True)
class Night:
    """The night that matters: air outdoors, and what battery and engine have cooled to [K]."""

    stated: ColdestNight
    outdoor: Array
    battery: Array
    engine: Array


def night_of(
    place: Place,
    parking: Parking,
    samples: Samples,
    *,
    return_period: float,
    mass: float,
    battery: str,
    heater: bool,
    outdoor: Array | float | None = None,
) -> Night:
    """Return the temperatures of outdoor air, battery and engine in the night that matters.

    Parameters
    ----------
    place : found or stated [-]
    parking : shelter and sleeve [-]
    samples : drawn [-]
    return_period : of the night, one year in so many [a]
    mass : of the battery [kg]
    battery : its type [-]
    heater : whether a block heater is on before the start [-]
    outdoor : another outdoor minimum instead, for a curve over temperature [K]

    Returns
    -------
    Night : temperatures [K]

    Examples
    --------
    >>> from sizing.climate import find
    >>> from sizing.inputs import demo_scenario
    >>> from sizing.simulate.sampling import draw
    >>> place, parking = find("Winnipeg"), demo_scenario().place
    >>> night = night_of(place, parking, draw(8, 4, 1), return_period=10.0, mass=17.0,
    ...                  battery="AGM", heater=False)
    >>> bool(np.all(night.battery >= night.outdoor))
    True
    """
    stated = coldest_night(place, return_period)
    # a night of its own is exact: the spread belongs to the place's return value
    air = stated.temperature + stated.standard_error * samples["night"] if outdoor is None else outdoor
    shelter = find_shelter(parking.shelter)
    span = shelter.reduction
    middle = span.mode if span.mode is not None else 0.5 * (span.low + span.high)
    reduction = _three(samples["shelter"], span.low, middle, span.high)
    swing = shelter.swing.low + (shelter.swing.high - shelter.swing.low) * samples["shelter"]
    amplitude = swing_amplitude(place)
    day = amplitude.low + (amplitude.high - amplitude.low) * samples["swing"]
    lag = battery_time_constant(mass, battery, sleeve=parking.sleeve)
    slow = lag.low + (lag.high - lag.low) * samples["lag"]

    def parked(time_constant: Array) -> Array:
        return parked_minimum(air, day, time_constant, reduction=reduction, swing=swing, inside=HOUSE[1])

    engine = parked(samples["engine_lag"])
    if heater:
        engine = engine + samples["block_heater_rise"]
    return Night(
        stated=stated,
        outdoor=np.asarray(air, float) + np.zeros((1, 1)),
        battery=parked(slow),
        engine=np.asarray(engine),
    )


def _three(place: Array, low: float, middle: float, high: float) -> Array:
    """Return a value at a place of a range whose middle is its median."""
    return np.where(
        place < 0.5, low + (middle - low) * 2.0 * place, middle + (high - middle) * (2.0 * place - 1.0)
    )
