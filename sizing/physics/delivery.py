"""What a battery delivers: how long a current flows, what it takes out, what the terminals show."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import loaded_voltage, terminal_voltage
from sizing.physics.electrolyte import mass_fraction_at_freezing
from sizing.physics.pores import MASS_LOST_PER_ACID, Battery, State, acid_left, depleted, rested
from sizing.physics.roots import find_root

Array = NDArray[np.float64]
Scalars = Array | float

HOUR = 3600.0
KELVIN = 273.15


def freezing_depletion(temperature: Scalars, full_mass_fraction: Scalars, *, ice: Scalars = 0.0) -> Array:
    """Return the depletion at which the mean acid of a battery reaches its freezing line.

    Parameters
    ----------
    temperature : of the battery [K]
    full_mass_fraction : strength of the full acid [-]
    ice : share of its mass that shall be ice, by the lever rule; none at the line itself [-]

    Returns
    -------
    array : share of exhaustible acid gone, 1 where the acid cannot freeze, 0 where it is frozen full [-]

    Examples
    --------
    >>> freezing_depletion(np.array([263.15, 233.15]), 0.372).round(2)
    array([0.64, 0.21])
    """
    w0 = np.asarray(full_mass_fraction)
    line = mass_fraction_at_freezing(np.minimum(np.asarray(temperature, float), KELVIN))
    line = line * (1.0 - np.asarray(ice))
    left = line * (1.0 - MASS_LOST_PER_ACID * w0) / (w0 * (1.0 - MASS_LOST_PER_ACID * line))
    return np.asarray(np.clip(1.0 - left, 0.0, 1.0))


def discharge_time(
    current: Scalars,
    stop_voltage: float,
    temperature: Scalars,
    battery: Battery,
    *,
    charge: Scalars = 1.0,
) -> Array:
    """Return how long a constant current flows until the voltage is down, or the acid begins to freeze.

    Parameters
    ----------
    current : discharge positive, above zero [A]
    stop_voltage : that ends the discharge [V]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : the shorter of both times; 0 where the voltage is below the limit at once [s]

    Notes
    -----
    The freezing line is a hard end (docs/theory/electrolyte.md): the mean acid may not cross it.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> hours = discharge_time(25.0, 10.5, np.array([298.15, 263.15]), battery) / 3600
    >>> bool(hours[1] < hours[0])
    True
    """
    i = np.asarray(current, float)
    start = rested(charge, battery)

    def above(log_time: Array) -> Array:
        then = depleted(start, i, np.exp(log_time), temperature, battery)
        return terminal_voltage(then, i, temperature, battery) - stop_voltage

    empty = np.log(np.asarray(battery.acid_charge) * battery.capacity_left / i)
    time = np.exp(find_root(above, empty - 18.0, empty))
    at_once = terminal_voltage(start, i, temperature, battery) <= stop_voltage
    time = np.where(at_once, 0.0, time)
    room = freezing_depletion(temperature, battery.shape.full_mass_fraction) - (1.0 - acid_left(start))
    frozen = np.maximum(room, 0.0) * np.exp(empty)
    return np.asarray(np.minimum(time, frozen))


def capacity_at(
    hours: Scalars, battery: Battery, *, temperature: Scalars = 298.15, stop_voltage: float = 10.5
) -> Array:
    """Return the capacity whose own current empties the battery in a given number of hours.

    Parameters
    ----------
    hours : of the discharge, 20 for the usual label [h]
    battery : any shape [-]
    temperature : of the battery [K]
    stop_voltage : that ends the discharge [V]

    Returns
    -------
    array : capacity in ampere-hours, capped where the acid would freeze [A h]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> capacity_at(5.0, battery) < capacity_at(20.0, battery)
    np.True_
    """
    h = np.asarray(hours, float)
    full = rested(1.0, battery)
    all_acid = np.asarray(battery.acid_charge) * battery.capacity_left / HOUR

    def above(capacity: Array) -> Array:
        i = capacity / h
        then = depleted(full, i, h * HOUR, temperature, battery)
        return terminal_voltage(then, i, temperature, battery) - stop_voltage

    capacity = find_root(above, 1e-6 * all_acid, all_acid)
    return np.asarray(
        np.minimum(capacity, freezing_depletion(temperature, battery.shape.full_mass_fraction) * all_acid)
    )


def capacity_at_current(
    current: Scalars, temperature: Scalars, battery: Battery, *, stop_voltage: float = 10.5
) -> Array:
    """Return the capacity that a full battery gives at a constant current.

    Parameters
    ----------
    current : discharge positive, above zero [A]
    temperature : of the battery [K]
    battery : any shape [-]
    stop_voltage : that ends the discharge [V]

    Returns
    -------
    array : current times time, capped where the acid would freeze [A h]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> warm, cold = capacity_at_current(25.0, np.array([298.15, 255.15]), battery)
    >>> bool(cold < 0.7 * warm)
    True
    """
    time = discharge_time(current, stop_voltage, temperature, battery)
    return np.asarray(np.asarray(current, float) * time / HOUR)


def voltage_after(
    current: Scalars, time: Scalars, temperature: Scalars, battery: Battery, *, state: State
) -> Array:
    """Return the terminal voltage after a constant current has flowed for a time from a state.

    Parameters
    ----------
    current : discharge positive [A]
    time : since the state [s]
    temperature : of the battery [K]
    battery : any shape [-]
    state : at the start [-]

    Returns
    -------
    array : voltage under that current [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> voltage_after(300.0, 10.0, 270.0, battery, state=rested(1.0, battery)) < 12.5
    np.True_
    """
    return terminal_voltage(
        depleted(state, current, time, temperature, battery), current, temperature, battery
    )


def voltage_by_current(
    time: Scalars, temperature: Scalars, battery: Battery, *, charge: Scalars = 1.0
) -> Callable[[Array], Array]:
    """Return the terminal voltage after a time from rest as a function of the current.

    Depletion is proportional to the current, so it is worked out once for one ampere: many currents, as
    a root asks for, then cost the voltage alone.

    Parameters
    ----------
    time : since rest [s]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at rest [-]

    Returns
    -------
    callable : voltage, from currents [V]

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> curve = voltage_by_current(10.0, 270.0, battery)
    >>> state = rested(1.0, battery)
    >>> bool(abs(curve(np.array(300.0)) - voltage_after(300.0, 10.0, 270.0, battery, state=state)) < 1e-9)
    True
    """
    start = rested(charge, battery)
    one = depleted(start, 1.0, time, temperature, battery)
    of_bulk = one.bulk - start.bulk
    of_all = of_bulk + one.pores.sum(-1)

    def voltage(current: Array) -> Array:
        bulk = start.bulk + current * of_bulk
        return loaded_voltage(1.0 - start.bulk - current * of_all, bulk, current, temperature, battery)

    return voltage


def voltage_under_profile(
    currents: Array, durations: Array, temperature: Scalars, battery: Battery, *, charge: Scalars = 1.0
) -> Array:
    """Return the terminal voltage at the end of each step of a current profile.

    Parameters
    ----------
    currents : of the steps in order, discharge positive, zero for a rest, shape (steps,) [A]
    durations : of the steps, not negative, shape (steps,) [s]
    temperature : of the battery [K]
    battery : any shape [-]
    charge : state of charge at the start [-]

    Returns
    -------
    array : under the current of each step, at its end, shape (steps, ...) [V]

    Raises
    ------
    ValueError : when currents and durations differ in number, or a duration is negative.

    Notes
    -----
    Exact for steps of constant current. Charging currents are refused: the cell here knows discharge only.

    Examples
    --------
    >>> from sizing.physics.battery import battery_type
    >>> battery = Battery(battery_type("AGM").shape, 4e-3, 3e5)
    >>> start_and_rest = voltage_under_profile(np.array([300.0, 0.0]), np.array([5.0, 60.0]), 260.0, battery)
    >>> bool(start_and_rest[1] > start_and_rest[0])
    True
    """
    flowing, lasting = np.asarray(currents, float), np.asarray(durations, float)
    if flowing.shape != lasting.shape or flowing.ndim != 1:
        raise ValueError("as many durations as currents, in order")
    if np.any(lasting < 0.0) or np.any(flowing < 0.0):
        raise ValueError("durations and discharge currents are not negative")
    state = rested(charge, battery)
    voltages = []
    for current, duration in zip(flowing, lasting, strict=True):
        state = depleted(state, current, duration, temperature, battery)
        voltages.append(terminal_voltage(state, current, temperature, battery))
    return np.stack(np.broadcast_arrays(*voltages))
