"""How far a battery's resistance may rise until it no longer starts this engine: worked out once, read often.

The current and voltage that a start asks for do not know the battery (:func:`start_demand`). With r the
resistance over its new value, the voltage at the posts is V = E(acid) - I R r - activation(I r), so for
each temperature, charge and capacity left there is one r at which the posts are just where they must be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import activation_loss, ohmic_resistance, rest_voltage
from sizing.physics.electrolyte.acid import TEMPERATURE_RANGE
from sizing.physics.pores import Battery, acid_left, depleted, rested
from sizing.physics.roots import find_root
from sizing.simulate.cold_start import BREAKAWAY_TIME, Vehicle, start_demand

Array = NDArray[np.float64]
Scalars = Array | float

STEP = 5.0  # K between the temperatures of the table
CHARGES = np.array([0.30, 0.45, 0.60, 0.80, 1.0])
CAPACITIES = np.array([0.05, 0.2, 0.4, 0.7, 1.0])
LEAST, MOST = np.log(0.05), np.log(50.0)  # ln of a resistance that no battery has, either way


@dataclass(frozen=True)
class Starts:
    """Resistance over that of the new battery at which a start just fails, as its logarithm.

    temperatures : evenly spaced, cold to warm, shape (temperatures,) [K]
    log_most : shape (capacities, charges, temperatures, lanes); LEAST where nothing would do, MOST where
        even that does [-]
    """

    temperatures: Array
    log_most: Array


def start_limits(
    vehicle: Vehicle,
    battery: Battery,
    coldest: float,
    warmest: float,
    *,
    limit: float,
    time: Scalars,
    heater_rise: Scalars = 0.0,
) -> Starts:
    """Return how far the resistance of a battery may rise in each vehicle.

    Parameters
    ----------
    vehicle : fields of shape (lanes, 1) or less [-]
    battery : new, all that share the work as one; the same shapes [-]
    coldest : lowest temperature that is asked for [K]
    warmest : highest one [K]
    limit : engine temperature below which no battery helps: colder is computed there [K]
    time : of cranking [s]
    heater_rise : by which the engine is warmer than the battery [K]

    Returns
    -------
    Starts : engine and battery at one temperature but for the heater, not colder than -50 °C [-]

    Notes
    -----
    What a starting aid takes before cranking is gone from the charge, as in any other start.

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
    >>> starts = start_limits(car, battery, 253.15, 293.15, limit=233.15, time=5.0)
    >>> bool(starts.log_most[-1, -1, -1, 0] > starts.log_most[-1, -1, 0, 0] > 0.0)
    True
    """
    low = max(coldest, TEMPERATURE_RANGE[0])
    count = max(2, int(np.ceil((max(warmest, low) - low) / STEP)) + 1)
    temperatures = np.asarray(low + STEP * np.arange(count), float)
    t = temperatures[:, None, None]
    demand = start_demand(np.maximum(t + heater_rise, limit), vehicle)
    worn = battery.aged(0.0, CAPACITIES[:, None, None, None, None])
    held = np.asarray(battery.acid_charge) * battery.shape.acid_use * worn.capacity_left
    charge = np.maximum(CHARGES[:, None, None, None] - np.asarray(vehicle.preheat_charge) / held, 0.0)
    pairs = (
        (demand.breakaway_current, demand.breakaway_voltage, BREAKAWAY_TIME),
        (demand.running_current, demand.running_voltage, time),
    )
    both = [_log_most(current, voltage, length, t, charge, worn) for current, voltage, length in pairs]
    return Starts(temperatures, np.minimum(*both)[..., 0])


def _log_most(
    current: Array, voltage: Array, time: Scalars, temperature: Array, charge: Array, battery: Battery
) -> Array:
    """Return ln r at which the battery gives this current just at this voltage."""
    state = depleted(rested(charge, battery), current, time, temperature, battery)
    room = rest_voltage(state, temperature, battery) - voltage
    room = np.where(acid_left(state) > 0.0, room, -np.inf)
    ohmic = current * ohmic_resistance(state, temperature, battery)

    def spare(logarithm: Array) -> Array:
        r = np.exp(logarithm)
        return np.asarray(
            room - ohmic * r - activation_loss(current, temperature, battery.aged(r - 1.0, 1.0))
        )

    low, high = np.full(room.shape, LEAST), np.full(room.shape, MOST)
    # without a number (oil or starter outside their range) nothing is enough
    few, many = np.nan_to_num(spare(low), nan=-1.0) <= 0.0, spare(high) >= 0.0
    found = find_root(spare, low, high, relative=1e-4)
    return np.where(few, LEAST, np.where(many, MOST, np.nan_to_num(found, nan=LEAST)))


def most_growth(temperature: Array, charge: Array, starts: Starts) -> Array:
    """Return the growth of resistance up to which it starts, at each capacity of the table.

    Parameters
    ----------
    temperature : of battery and engine, last axis lanes; read at the table's ends outside of it [K]
    charge : state of charge, first axis as :data:`CAPACITIES`, last axis lanes [-]
    starts : of the vehicles [-]

    Returns
    -------
    array : share added to the resistance of the new battery, -1 and up, shape (capacities, ..., lanes) [-]

    Examples
    --------
    >>> starts = Starts(np.array([260.0, 265.0]), np.log(np.full((5, 5, 2, 3), 2.0)))
    >>> most_growth(np.full((12, 3), 262.0), np.full((5, 12, 3), 0.8), starts).shape
    (5, 12, 3)
    """
    first, last = starts.temperatures[0], starts.temperatures[-1]
    place = (np.clip(temperature, first, last) - first) / STEP
    at = np.minimum(place.astype(int), len(starts.temperatures) - 2)
    z = np.clip(charge, CHARGES[0], CHARGES[-1])
    spot = np.clip(np.searchsorted(CHARGES, z, side="right") - 1, 0, len(CHARGES) - 2)
    share = (z - CHARGES[spot]) / (CHARGES[spot + 1] - CHARGES[spot])
    shape = np.broadcast_shapes(at.shape, z.shape)
    capacity = np.arange(len(CAPACITIES)).reshape(-1, *(1,) * (len(shape) - 1))
    lane = np.arange(starts.log_most.shape[-1])

    def read(step_z: int, step_t: int) -> Array:
        return np.asarray(starts.log_most[capacity, spot + step_z, at + step_t, lane])

    warm = place - at
    lower = read(0, 0) + warm * (read(0, 1) - read(0, 0))
    upper = read(1, 0) + warm * (read(1, 1) - read(1, 0))
    return np.asarray(np.expm1(lower + share * (upper - lower)))
