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
from sizing.physics.battery import (
    RESERVE_SPREAD,
    UNKNOWN_MARKET_SPREAD,
    BatteryType,
    battery_from_capacity,
    battery_from_reserve,
    battery_type,
    capacity_from_reserve,
)
from sizing.physics.cell import Battery
from sizing.physics.engine import default_engine, minimum_speed, preheat_current
from sizing.physics.oil import Oil, from_data_sheet, from_grade
from sizing.physics.ratings import capacity_at, rate
from sizing.physics.starter import default_power, default_starter, matched
from sizing.simulate.ageing import capacity_left, resistance_growth
from sizing.simulate.cold_start import Vehicle
from sizing.simulate.sampling import Samples
from sizing.tables import load, numbers

Array = NDArray[np.float64]

COMMON_TYPE = "flooded calcium"  # taken when nobody knows, with the wider spread of an unknown market
USUAL_CAPACITY = 60.0  # Ah of the battery whose mass sets the lag when none is given
FIVE_HOUR_SHARE = 0.80  # C5 over C20, flooded: ratings_rate_capacity.csv
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
    # an intake heater is switched off while the starter turns (common practice); its charge is gone all the same
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
    )


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
    """The night that matters: outdoors, and what engine and battery have cooled to; K, shape of the samples."""

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
    reduction = _three(samples["shelter"], span.low, span.mode if span.mode is not None else 0.5 * (span.low + span.high), span.high)
    swing = shelter.swing.low + (shelter.swing.high - shelter.swing.low) * samples["shelter"]
    amplitude = swing_amplitude(place)
    day = amplitude.low + (amplitude.high - amplitude.low) * samples["swing"]
    lag = battery_time_constant(mass, battery, sleeve=parking.sleeve)
    slow = lag.low + (lag.high - lag.low) * samples["lag"]
    around = {"reduction": reduction, "swing": swing, "inside": HOUSE[1]}
    engine = parked_minimum(air, day, samples["engine_lag"], **around)
    if heater:
        engine = engine + samples["block_heater_rise"]
    return Night(
        stated=stated,
        outdoor=np.asarray(air, float) + np.zeros((1, 1)),
        battery=parked_minimum(air, day, slow, **around),
        engine=np.asarray(engine),
    )


def _three(place: Array, low: float, middle: float, high: float) -> Array:
    """Return a value at a place of a range whose middle is its median."""
    return np.where(place < 0.5, low + (middle - low) * 2.0 * place, middle + (high - middle) * (2.0 * place - 1.0))


def aged_battery(battery: Battery, kind: BatteryType, years: float, samples: Samples) -> Battery:
    """Return a battery with the scatter of new ones and what so many years have done to it.

    Parameters
    ----------
    battery : as its label says [-]
    kind : its type [-]
    years : in service [a]
    samples : drawn [-]

    Returns
    -------
    Battery : of the samples' shape [-]

    Examples
    --------
    >>> from sizing.simulate.sampling import draw
    >>> unit = unit_battery("AGM")
    >>> aged_battery(unit, battery_type("AGM"), 4.0, draw(8, 4, 1)).resistance_growth.shape
    (8, 4)
    """
    own = samples["new_resistance"] * np.exp(kind.shape_spread * samples["type_resistance"])
    aged = battery.aged(
        resistance_growth(samples.places["resistance_growth"], years, kind.name),
        capacity_left(samples.places["capacity_left"], years, kind.name),
    )
    # scatter of a new battery is resistance that its label does not show; thin-plate scaling keeps the label's
    return replace(aged, resistance_growth=(1.0 + np.asarray(aged.resistance_growth)) * own - 1.0)


@cache
def unit_battery(name: str) -> Battery:
    """Return a battery of a type with 100 A (EN) and the ampere-hours that usually go with them.

    Parameters
    ----------
    name : of the type [-]

    Returns
    -------
    Battery : new; a larger one is so many of these in parallel [-]

    Examples
    --------
    >>> float(rate(unit_battery("AGM"), "en_50342_1_level_1").round(3))
    100.0
    """
    kind = battery_type(name)
    return battery_from_capacity(
        kind.shape, 100.0, "en_50342_1_level_1", 100.0 / kind.cold_cranking_per_ah
    )


def type_of(label_type: str) -> tuple[BatteryType, float]:
    """Return the type meant, and the spread of its amperes per ampere-hour.

    Parameters
    ----------
    label_type : as told, may be unknown [-]

    Returns
    -------
    tuple : type, standard deviation of the logarithm [-]

    Examples
    --------
    >>> type_of("unknown")[0].name
    'flooded calcium'
    """
    if label_type == "unknown":
        return battery_type(COMMON_TYPE), UNKNOWN_MARKET_SPREAD
    kind = battery_type(label_type)
    return kind, kind.cold_cranking_spread


@dataclass(frozen=True)
class Read:
    """A label as read: the battery it means, and what was estimated for want of print.

    battery : new; NaN where its ratings cannot belong to one battery [-]
    kind : its type [-]
    capacity_ah : at 20 h, printed or estimated [A h]
    reserve_misfit : simulated reserve over the printed one, NaN without [-]
    estimated : what was not printed [-]
    """

    battery: Battery
    kind: BatteryType
    capacity_ah: Array
    reserve_misfit: float
    estimated: tuple[str, ...]


def read_label(label: Label, samples: Samples) -> Read:
    """Return the battery that a label means, missing ratings estimated from the printed ones with their spread.

    Parameters
    ----------
    label : with at least one rating [-]
    samples : drawn [-]

    Returns
    -------
    Read : fields of the samples' shape [-]

    Raises
    ------
    ValueError : when the label prints no rating at all.

    Examples
    --------
    >>> from sizing.inputs import demo_scenario
    >>> from sizing.simulate.sampling import draw
    >>> read_label(demo_scenario().battery, draw(8, 4, 1)).capacity_ah.item()
    70.0
    """
    if not label.has_rating:
        raise ValueError("a label without a rating says nothing about a battery")
    kind, spread = type_of(label.type)
    estimated: list[str] = []
    capacity = _capacity(label, kind, spread, samples, estimated)
    cold, test = _cold_cranking(label, kind, spread, capacity, samples, estimated)
    if label.capacity_ah is None and label.reserve_minutes is not None:
        battery = battery_from_reserve(kind.shape, cold, test, label.reserve_minutes)
        capacity = capacity_at(20.0, battery)
    else:
        battery = _battery(kind.name, cold, test, capacity)
    misfit = float("nan")
    if label.reserve_minutes is not None and label.capacity_ah is not None:
        misfit = float(np.median(rate(battery, "rc_sae"))) / label.reserve_minutes
    return Read(battery, kind, capacity, misfit, tuple(estimated))


def _battery(name: str, cold: Array, test: str, capacity: Array) -> Battery:
    if cold.size == capacity.size == 1:
        return _printed_battery(name, cold.item(), test, capacity.item())
    return battery_from_capacity(battery_type(name).shape, cold, test, capacity)


@cache
def _printed_battery(name: str, cold: float, test: str, capacity: float) -> Battery:
    # a fully printed label means one battery, whatever is drawn: solved once for an answer's many questions
    return battery_from_capacity(battery_type(name).shape, cold, test, capacity)


def _capacity(
    label: Label, kind: BatteryType, spread: float, samples: Samples, estimated: list[str]
) -> Array:
    if label.capacity_ah is not None:
        share = FIVE_HOUR_SHARE if label.capacity_hours == 5 else 1.0
        return np.full((1, 1), label.capacity_ah / share)
    estimated.append("capacity")
    if label.reserve_minutes is not None:
        usual = capacity_from_reserve(label.reserve_minutes, kind.construction)
        return np.asarray(usual * np.exp(RESERVE_SPREAD * samples["label_capacity"]))
    assert label.cold_cranking is not None  # a label without any rating was refused before
    usual = label.cold_cranking / kind.cold_cranking_per_ah
    return np.asarray(usual * np.exp(spread * samples["label_capacity"]))


def _cold_cranking(
    label: Label, kind: BatteryType, spread: float, capacity: Array, samples: Samples, estimated: list[str]
) -> tuple[Array, str]:
    if label.cold_cranking is None:
        estimated.append("cold-cranking amps")
        usual = kind.cold_cranking_per_ah * capacity
        return np.asarray(usual * np.exp(spread * samples["label_cold_cranking"])), "en_50342_1_level_1"
    if label.cold_test:
        return np.full((1, 1), label.cold_cranking), label.cold_test
    estimated.append("standard")
    return _unmarked(label.cold_cranking, kind.name, samples), "en_50342_1_level_1"


def _unmarked(amperes: float, name: str, samples: Samples) -> Array:
    """Return EN amperes of a figure whose standard nobody knows: a weighted mixture of what it may be."""
    rows = load("unmarked_standard").rows
    edges = np.cumsum(numbers(rows, "weight"))
    which = np.searchsorted(edges, np.minimum(samples["label_standard"], edges[-1] - 1e-9), side="right")
    unit = unit_battery(name)
    factors = np.array([100.0 / float(rate(unit, row["test"])) for row in rows])
    spreads = numbers(rows, "spread")
    return np.asarray(amperes * factors[which] * np.exp(spreads[which] * samples["label_cold_cranking"]))


def mass_of(label: Label | None) -> float:
    """Return the mass of a battery: as told, or usual for its type and size.

    Parameters
    ----------
    label : or none [-]

    Returns
    -------
    float : with acid [kg]

    Examples
    --------
    >>> round(mass_of(None), 1)
    14.7
    """
    if label is not None and label.mass is not None:
        return label.mass
    kind = type_of(label.type if label is not None else "unknown")[0]
    capacity = label.capacity_ah if label is not None and label.capacity_ah else USUAL_CAPACITY
    return kind.mass_per_ah * capacity
