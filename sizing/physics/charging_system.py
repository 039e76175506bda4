"""Does the alternator charge as it should: volts against the cold, ripple on them, and volts lost on the way.

A reading is judged by its place against a window or limit, never by a word: the words are for whoever shows
it. Windows are straight lines in temperature; what a car with a managed alternator does lies in a wider one.
"""

from __future__ import annotations

from enum import IntEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging import charging_window
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float
Window = tuple[Array, Array]

KELVIN = 273.15  # K
PATHS = ("positive_cable", "solenoid", "engine_ground", "small_engine_circuit", "post_to_case")


class Ripple(IntEnum):
    """How much alternating voltage stands on the battery of a running engine."""

    FINE = 0
    DOUBTFUL = 1
    FAULTY = 2


@cache
def workshop_limit(name: str) -> float:
    """Return an adopted limit of the trade.

    Parameters
    ----------
    name : as in ``workshop_limits.csv`` [-]

    Returns
    -------
    float : in the unit of its row [V, A, °C or -]

    Raises
    ------
    TableError : for a name that is not there.

    Examples
    --------
    >>> workshop_limit("ripple_faulty_from")
    0.3
    """
    (row,) = load("workshop_limits").select("data", limit=name)
    return float(row["value"])


def hot_market_window(temperature: Scalars) -> Window:
    """Return the lowest and highest charging voltage of a vehicle built for hot countries.

    Parameters
    ----------
    temperature : at the regulator, -20 to 80 °C, NaN outside [K]

    Returns
    -------
    tuple : low, high [V, V]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: workshop_manual_2018 (read): 0.2 V above the normal version at its low end and 0.3 V at its high
    one.

    Examples
    --------
    >>> [v.round(1).item() for v in hot_market_window(293.15)]
    [13.8, 15.0]
    """
    low, high = charging_window(temperature)
    return low + workshop_limit("hot_market_low"), high + workshop_limit("hot_market_high")


def managed_window(temperature: Scalars) -> Window:
    """Return the voltages that a sound vehicle with a battery sensor may show while it runs.

    U_high = larger of the ordinary high end and 16.0 V at -17 °C falling to 13.5 V at 40 °C; U_low constant.

    Parameters
    ----------
    temperature : at the regulator, -20 to 80 °C, NaN outside [K]

    Returns
    -------
    tuple : low, high [V, V]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Such a car leaves the ordinary window on purpose: it lets the battery rest, and pushes it now and then.
    Source of the high end: maker_power_module (read); of the low end: recalled_practice, so that hardly more
    than a broken charging system lies outside.

    Examples
    --------
    >>> [v.round(1).item() for v in managed_window(256.15)]
    [12.2, 16.0]
    """
    ordinary = charging_window(temperature)[1]
    warm, cold = (workshop_limit(f"managed_{end}") + KELVIN for end in ("warm", "cold"))
    at_warm, at_cold = (workshop_limit(f"managed_high_{end}") for end in ("warm", "cold"))
    pushed = at_warm + (at_cold - at_warm) / (cold - warm) * (np.asarray(temperature, float) - warm)
    # between the two printed temperatures only: colder than that it is pushed no harder
    high = np.maximum(ordinary, np.minimum(pushed, at_cold))
    return ordinary - ordinary + workshop_limit("managed_low"), np.asarray(high)


def side_of_window(voltage: Scalars, window: Window) -> Array:
    """Return on which side of a window a reading lies.

    Parameters
    ----------
    voltage : read at the battery's posts [V]
    window : low and high end [V]

    Returns
    -------
    array : -1 below, 0 inside or on an end, 1 above, NaN where the window or the reading is [-]

    Examples
    --------
    >>> side_of_window(np.array([12.8, 14.3, 15.3]), charging_window(293.15))
    array([-1.,  0.,  1.])
    """
    u, (low, high) = np.asarray(voltage, float), window
    side = np.where(u < low, -1.0, np.where(u > high, 1.0, 0.0))
    return np.where(np.isnan(u + low + high), np.nan, side)


def beyond_window(voltage: Scalars, window: Window) -> Array:
    """Return by how much a reading lies outside of a window.

    Parameters
    ----------
    voltage : read at the battery's posts [V]
    window : low and high end [V]

    Returns
    -------
    array : negative below, 0 inside, positive above, NaN where the window is [V]

    Examples
    --------
    >>> beyond_window(np.array([13.0, 14.2]), (np.array(13.5), np.array(14.5)))
    array([-0.5,  0. ])
    """
    u, (low, high) = np.asarray(voltage, float), window
    return np.asarray(np.minimum(u - low, 0.0) + np.maximum(u - high, 0.0))


def ripple_class(voltage: Scalars) -> NDArray[np.int64]:
    """Return the class of an alternating voltage on the battery, engine at 1500 rev/min with loads on.

    Parameters
    ----------
    voltage : alternating, root mean square, battery full, not negative [V]

    Returns
    -------
    array : values of `Ripple` [-]

    Raises
    ------
    ValueError : for a negative or unknown voltage.

    Notes
    -----
    Printed limits run from 0.05 to 0.3 V; below 0.1 V is fine and 0.3 V and more is a fault (trade_custom).
    A weak battery raises ripple by itself.

    Examples
    --------
    >>> ripple_class(np.array([0.05, 0.2, 0.3])).tolist()
    [0, 1, 2]
    """
    u = np.asarray(voltage, float)
    if not np.all(u >= 0.0):
        raise ValueError("an alternating voltage is not negative")
    edges = np.array([workshop_limit("ripple_fine_below"), workshop_limit("ripple_faulty_from")])
    return np.asarray(np.searchsorted(edges, u, side="right"))


def drop_limit(path: str) -> float:
    """Return the voltage from which on the drop along a path counts as a fault.

    Parameters
    ----------
    path : one of PATHS [-]

    Returns
    -------
    float : while cranking, but for post_to_case [V]

    Raises
    ------
    ValueError : for another path.

    Examples
    --------
    >>> drop_limit("engine_ground")
    0.5
    """
    if path not in PATHS:
        raise ValueError(f"the paths are {', '.join(PATHS)}")
    return workshop_limit(f"drop_{path}")


def is_drop_faulty(drop: Scalars, path: str) -> NDArray[np.bool_]:
    """Return whether the drop along a path counts as a fault.

    Parameters
    ----------
    drop : measured from end to end of the path, not negative [V]
    path : one of PATHS [-]

    Returns
    -------
    array : true from the limit on [-]

    Raises
    ------
    ValueError : for a negative drop, or another path.

    Notes
    -----
    Source: workshop_manual_van_2005, engine_manual_wsg_1068, small_engine_procedure, trade_training (read).

    Examples
    --------
    >>> is_drop_faulty(np.array([0.49, 0.5]), "solenoid")
    array([False,  True])
    """
    u = np.asarray(drop, float)
    if np.any(u < 0.0):
        raise ValueError("a drop is read with the leads the right way round: it is not negative")
    return np.asarray(u >= drop_limit(path))


def alternator_line_limit(current: Scalars) -> Array:
    """Return the drop from which on the line between alternator and battery counts as faulty.

    U = 0.3 V I/(30 A)

    Parameters
    ----------
    current : that the alternator gives meanwhile, above zero [A]

    Returns
    -------
    array : proportional to the current [V]

    Raises
    ------
    ValueError : for a current that is not above zero.

    Notes
    -----
    Source: workshop_manual_2018 (read): 0.3 V at 30 A.

    Examples
    --------
    >>> alternator_line_limit(np.array([30.0, 60.0]))
    array([0.3, 0.6])
    """
    i = np.asarray(current, float)
    if np.any(i <= 0.0):
        raise ValueError("a line is judged while current flows")
    return np.asarray(workshop_limit("alternator_line_drop") * i / workshop_limit("alternator_line_current"))


def is_battery_excused(posts_voltage: Scalars) -> NDArray[np.bool_]:
    """Return whether an engine that turns slowly, or not at all, does so through no fault of the battery.

    Parameters
    ----------
    posts_voltage : at the battery's posts while the key is held at start [V]

    Returns
    -------
    array : true from 12.5 V on: cables, control circuit or starter; false says nothing either way [-]

    Notes
    -----
    Source: workshop_manual_coupe_2004 (read).

    Examples
    --------
    >>> is_battery_excused(np.array([9.0, 12.5]))
    array([False,  True])
    """
    return np.asarray(np.asarray(posts_voltage, float) >= workshop_limit("excused_posts"))
