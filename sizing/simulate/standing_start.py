"""Down to which charge a parked battery still starts its engine, at any temperature: a grid read many times.

A grid of charges and temperatures holds how many such batteries a start needs (:func:`needed_size`); where
that is one, the charge just suffices. The same grid answers for a battery of any other size.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.delivery import freezing_depletion
from sizing.physics.electrolyte import ice_fraction, open_circuit_voltage_cell, specific_gravity
from sizing.physics.electrolyte.acid import TEMPERATURE_RANGE
from sizing.physics.pores import Battery, mass_fraction_left
from sizing.simulate.cold_start import Vehicle, needed_size, start_demand

Array = NDArray[np.float64]
Scalars = Array | float

CHARGES = np.array([0.0, 0.08, 0.16, 0.28, 0.4, 0.55, 0.7, 0.85, 1.0])
STEP = 6.0  # K between the temperatures of the grid; the needed size is smooth in its logarithm
NEVER = 20.0  # ln of a size that no battery has
BEYOND = 3.0  # state of charge that stands for "not even full"
CELLS = 6.0
REST_TEMPERATURE = 298.15  # K, at which a rest voltage is judged


@dataclass(frozen=True)
class StartGrid:
    """Size that a start needs, by charge and temperature.

    temperatures : evenly spaced, cold to warm, shape (temperatures,) [K]
    log_size : of the needed size over the battery asked about, shape (charges, temperatures, ...) [-]
    """

    temperatures: Array
    log_size: Array


def start_grid(
    vehicle: Vehicle,
    battery: Battery,
    coldest: float,
    warmest: float,
    *,
    limit: float,
    time: Scalars,
    heater_rise: Scalars = 0.0,
) -> StartGrid:
    """Return the grid of a vehicle and its battery.

    Parameters
    ----------
    vehicle : fields of the samples' shape, two axes [-]
    battery : with its age, the same [-]
    coldest : lowest temperature that is asked for [K]
    warmest : highest one [K]
    limit : engine temperature below which no battery helps: colder is computed there [K]
    time : of cranking [s]
    heater_rise : by which the engine is warmer than the battery [K]

    Returns
    -------
    StartGrid : engine and battery at the same temperature but for the heater; not colder than -50 °C [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_from_capacity, battery_type
    >>> from sizing.physics.engine import default_engine
    >>> from sizing.physics.oil import from_grade
    >>> from sizing.physics.starter import default_starter
    >>> one = np.ones((1, 1))
    >>> car = Vehicle(default_engine(2e-3, 4, "petrol"), from_grade("5W-30"), default_starter(1100.0 * one),
    ...     1e-3 * one, 8.0 * one, 6.5 * one)
    >>> battery = battery_from_capacity(battery_type("AGM").shape, 600.0, "sae_j537_cca", 60.0)
    >>> grid = start_grid(car, battery, 253.15, 293.15, limit=233.15, time=5.0)
    >>> bool(grid.log_size[0, 0, 0, 0] > grid.log_size[-1, -1, 0, 0])
    True
    """
    low = max(coldest, TEMPERATURE_RANGE[0])
    count = max(2, int(np.ceil((max(warmest, low) - low) / STEP)) + 1)
    temperatures: Array = np.asarray(low + STEP * np.arange(count), float)
    t = np.asarray(temperatures[:, None, None], float)
    demand = start_demand(np.maximum(t + heater_rise, limit), vehicle)
    need = needed_size(demand, t, battery, charge=np.asarray(CHARGES[:, None, None, None], float), time=time)
    with np.errstate(divide="ignore", invalid="ignore"):
        logarithm = np.log(need.size)
    # nothing is enough where there is no number; the cold never asks for less than the warmth beside it
    return StartGrid(temperatures, np.where(np.isfinite(logarithm), np.minimum(logarithm, NEVER), NEVER))


def no_start_charge(grid: StartGrid, *, size: Scalars = 1.0) -> Array:
    """Return the charge below which it no longer starts, at each temperature of the grid.

    Parameters
    ----------
    grid : of vehicle and battery [-]
    size : of the battery over that of the grid, above zero, of the samples' shape [-]

    Returns
    -------
    array : state of charge, below 0 where even an empty one starts it, BEYOND where not even a full one
        does; shape (temperatures, ...) [-]

    Examples
    --------
    >>> sizes = np.log(np.linspace(2.0, 0.5, 9))[:, None, None, None] * np.ones((1, 2, 1, 1))
    >>> found = no_start_charge(StartGrid(np.array([260.0, 266.0]), sizes))
    >>> bool(0.5 < found[0, 0, 0] < 0.8)
    True
    """
    spare = grid.log_size - np.log(np.asarray(size, float))
    enough = spare <= 0.0
    # first charge of the grid that is enough, from empty up; the piece before it holds the crossing
    first = np.clip(enough.argmax(axis=0), 1, len(CHARGES) - 1)[None]
    below, above = (np.take_along_axis(spare, at, axis=0)[0] for at in (first - 1, first))
    z0, z1 = CHARGES[first[0] - 1], CHARGES[first[0]]
    slope = np.where(below - above > 1e-9, (below - above) / (z1 - z0), np.inf)
    crossing = z1 + above / slope
    # even empty it starts: carried on below zero, so that temperatures between are read smoothly
    crossing = np.where(enough[0], np.maximum(crossing, -BEYOND), crossing)
    return np.asarray(np.where(enough.any(axis=0), crossing, BEYOND))


def at_temperature(temperature: Array, grid: StartGrid, values: Array) -> Array:
    """Return values of a grid at other temperatures, straight between its own.

    Parameters
    ----------
    temperature : shape (days, ...), read at the grid's ends outside of it [K]
    grid : whose temperatures are meant [-]
    values : at each of them, shape (temperatures, ...) [-]

    Returns
    -------
    array : shape (days, ...) broadcast with the values' samples [-]

    Examples
    --------
    >>> grid = StartGrid(np.array([260.0, 266.0]), np.zeros((9, 2, 1, 1)))
    >>> at_temperature(np.full((1, 1, 1), 263.0), grid, np.array([1.0, 0.0])[:, None, None]).item()
    0.5
    """
    first, last = grid.temperatures[0], grid.temperatures[-1]
    place = (np.clip(temperature, first, last) - first) / STEP
    lower = np.minimum(place.astype(int), len(grid.temperatures) - 2)
    shape = np.broadcast_shapes(lower.shape[1:], values.shape[1:])
    index = np.broadcast_to(lower, (len(lower), *shape))
    table = np.broadcast_to(values, (len(values), *shape))
    low, high = (np.take_along_axis(table, index + n, axis=0) for n in (0, 1))
    return np.asarray(low + (place - lower) * (high - low))


def freezing_charge(temperature: Array, battery: Battery, *, ice: float = 0.0) -> Array:
    """Return the charge below which the acid begins to freeze: charge to acid to its freezing line.

    Parameters
    ----------
    temperature : of the battery; colder than -50 °C, where no acid is held, as at -50 °C [K]
    battery : its shape gives acid and its use [-]
    ice : share of its mass that shall be ice; none for the beginning [-]

    Returns
    -------
    array : state of charge; not above zero where even an empty one stays liquid [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3e5)
    >>> freezing_charge(np.array([258.15, 233.15]), battery).round(2)
    array([0.14, 0.66])
    """
    t = np.maximum(np.asarray(temperature, float), TEMPERATURE_RANGE[0])
    shape = battery.shape
    return np.asarray(
        1.0 - freezing_depletion(t, shape.full_mass_fraction, ice=ice) / np.asarray(shape.acid_use)
    )


def acid_of_charge(charge: Scalars, battery: Battery) -> Array:
    """Return the strength of the acid of a rested battery by its charge.

    Parameters
    ----------
    charge : state of charge, 0 to 1 [-]
    battery : its shape gives acid and its use [-]

    Returns
    -------
    array : mass fraction, by the exact acid balance [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3e5)
    >>> specific_gravity(acid_of_charge(np.array([1.0, 0.0]), battery)).round(3)
    array([1.28, 1.12])
    """
    left = 1.0 - (1.0 - np.asarray(charge, float)) * np.asarray(battery.shape.acid_use)
    return mass_fraction_left(left, battery.shape.full_mass_fraction)


def ice_of_charge(charge: Array, temperature: Array, battery: Battery) -> Array:
    """Return which share of a battery's acid is ice; colder than -50 °C as at -50 °C.

    Parameters
    ----------
    charge : state of charge, 0 to 1 [-]
    temperature : of the battery [K]
    battery : its shape gives acid and its use [-]

    Returns
    -------
    array : share of the acid's mass, NaN where too strong an acid freezes to hydrate [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3e5)
    >>> ice_of_charge(np.array([0.0, 1.0]), np.array([253.15, 253.15]), battery).round(2)
    array([0.27, 0.  ])
    """
    t = np.maximum(np.asarray(temperature, float), TEMPERATURE_RANGE[0])
    return ice_fraction(acid_of_charge(charge, battery), t)


def recharge_charge(battery: Battery, *, rest_voltage: float, gravity_drop: float | None) -> float:
    """Return the charge at which a top-up is due: at a rest voltage, or once the acid is so much weaker.

    Parameters
    ----------
    battery : its shape gives acid and its use [-]
    rest_voltage : at 25 °C [V]
    gravity_drop : of the specific gravity from full; None where nobody can reach the acid [-]

    Returns
    -------
    float : state of charge, the higher of both [-]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("flooded calcium").shape, 4e-3, 3e5)
    >>> 0.6 < recharge_charge(battery, rest_voltage=12.4, gravity_drop=0.040) < 0.8
    True
    """
    charges = np.linspace(0.0, 1.0, 1001)
    acid = acid_of_charge(charges, battery)
    voltage = CELLS * open_circuit_voltage_cell(acid, REST_TEMPERATURE)
    found = float(np.interp(rest_voltage, voltage, charges))
    if gravity_drop is not None:
        gravity = specific_gravity(acid)
        found = max(found, float(np.interp(gravity[-1] - gravity_drop, gravity, charges)))
    return found
