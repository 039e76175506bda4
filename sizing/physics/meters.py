"""What a meter, a clamp or a hydrometer shows, and what flows or lies behind it.

The mean of a current that comes in pulses stands in :func:`sizing.physics.standing.mean_current`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.physics.charging_system import workshop_limit
from sizing.physics.electrolyte import density
from sizing.physics.electrolyte.acid import TEMPERATURE_RANGE
from sizing.physics.roots import find_root

Array = NDArray[np.float64]
Scalars = Array | float

WATER_TEMPERATURE = 298.15  # K, of the water that a gravity is over
HYDROMETER_TEMPERATURE = 80.0  # °F, at which a hydrometer of the trade reads true: trade_hydrometer_rule
RULE_RANGE = (238.15, 333.15)  # K in which the rule is used
STRONGEST = 0.5  # mass fraction: more than any battery holds


def cranking_resistance(rest_voltage: Scalars, cranking_voltage: Scalars, current: Scalars) -> Array:
    """Return the resistance behind the posts, from two readings of one meter.

    R = (U_rest - U_crank)/I

    Parameters
    ----------
    rest_voltage : before [V]
    cranking_voltage : while the current flows, not above the rest voltage [V]
    current : of the starter, above zero [A]

    Returns
    -------
    array : of the battery, with whatever lies between it and the points of the two readings [ohm]

    Raises
    ------
    ValueError : for a current that is not above zero, or a voltage that rises while cranking.

    Notes
    -----
    A meter shows a mean over about 0.3 s, never the first dip.

    Examples
    --------
    >>> (1e3 * cranking_resistance(12.6, 10.4, 150.0)).round(1).item()
    14.7
    """
    rest, cranking, i = (np.asarray(x, float) for x in (rest_voltage, cranking_voltage, current))
    if np.any(i <= 0.0):
        raise ValueError("a cranking current is above zero")
    if np.any(cranking > rest):
        raise ValueError("no voltage rises above rest while cranking: one of the two readings is another's")
    return np.asarray((rest - cranking) / i)


def fuse_resistance(drop: Scalars, current: Scalars) -> Array:
    """Return the resistance of a fuse: U/I.

    Parameters
    ----------
    drop : across it, not negative [V]
    current : through it, above zero [A]

    Returns
    -------
    array : cold [ohm]

    Raises
    ------
    ValueError : for a current that is not above zero or a negative drop.

    Examples
    --------
    >>> (1e3 * fuse_resistance(1e-3, 0.130)).round(2).item()
    7.69
    """
    u, i = np.asarray(drop, float), np.asarray(current, float)
    if np.any(i <= 0.0) or np.any(u < 0.0):
        raise ValueError("a current above zero and a drop that is not negative")
    return np.asarray(u / i)


def fuse_current(drop: Scalars, resistance: Scalars) -> Array:
    """Return the current through a fuse from the drop across it: U/R, with nothing opened.

    Parameters
    ----------
    drop : across it, not negative [V]
    resistance : of a fuse of that make, kind and rating, above zero [ohm]

    Returns
    -------
    array : through it [A]

    Raises
    ------
    ValueError : for a resistance that is not above zero or a negative drop.

    Notes
    -----
    Only for fuses whose resistance is known: full-size 10 A about 7.7 mΩ, mini 15 A about 4.6 mΩ
    (``practice_fuse_drop.csv``).

    Examples
    --------
    >>> (1e3 * fuse_current(0.1e-3, 4.6e-3)).round().item()
    22.0
    """
    u, r = np.asarray(drop, float), np.asarray(resistance, float)
    if np.any(r <= 0.0) or np.any(u < 0.0):
        raise ValueError("a resistance above zero and a drop that is not negative")
    return np.asarray(u / r)


def clamp_current(reading: Scalars, turns: Scalars) -> Array:
    """Return the current in a wire that is looped through a clamp several times.

    I = reading/n

    Parameters
    ----------
    reading : of the clamp, zeroed before [A]
    turns : n, how many times the wire passes it, at least 1 [-]

    Returns
    -------
    array : in the wire [A]

    Raises
    ------
    ValueError : for less than one turn.

    Examples
    --------
    >>> clamp_current(0.28, 10).round(3).item()
    0.028
    """
    n = np.asarray(turns, float)
    if np.any(n < 1.0):
        raise ValueError("the wire passes the clamp at least once")
    return np.asarray(np.asarray(reading, float) / n)


def gravity_by_rule(reading: Scalars, temperature: Scalars) -> Array:
    """Return a hydrometer's reading as it would be at 80 °F, by the rule of the trade.

    SG_80F = reading + 0.004 (t - 80 °F)/(10 °F)

    Parameters
    ----------
    reading : of the hydrometer [-]
    temperature : of the acid, -35 to 60 °C, NaN outside [K]

    Returns
    -------
    array : specific gravity [-]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: trade_hydrometer_rule (read). For acid only: a voltmeter takes no such correction. For weak acid
    the true slope is smaller, see `mass_fraction_from_hydrometer`.

    Examples
    --------
    >>> gravity_by_rule(1.250, 260.928).round(3).item()
    1.222
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    inside = np.where((t >= RULE_RANGE[0]) & (t <= RULE_RANGE[1]), t, np.nan)
    fahrenheit = (inside - 273.15) * 1.8 + 32.0
    tens = (fahrenheit - HYDROMETER_TEMPERATURE) / 10.0
    return np.asarray(np.asarray(reading, float) + workshop_limit("gravity_per_10_degf") * tens)


def mass_fraction_from_hydrometer(reading: Scalars, temperature: Scalars) -> Array:
    """Return the strength of acid from a hydrometer's reading at its temperature, by the acid's density.

    ρ(w, T)/ρ_water(25 °C) = reading, solved for w

    Parameters
    ----------
    reading : density of the acid as it is over that of water at 25 °C [-]
    temperature : of the acid, -50 to 70 °C, NaN outside [K]

    Returns
    -------
    array : mass fraction of sulfuric acid, NaN where no acid up to half acid, half water reads so [-]

    Notes
    -----
    The acid thins less with heat than the rule of the trade says: about 0.0006 per K near 1.25.

    Examples
    --------
    >>> from sizing.physics.electrolyte import specific_gravity
    >>> specific_gravity(mass_fraction_from_hydrometer(1.250, 260.928)).round(3).item()
    1.226
    """
    seen, t = np.broadcast_arrays(np.asarray(reading, float), np.asarray(temperature, float))
    water = density(0.0, WATER_TEMPERATURE)
    inside = np.where((t >= TEMPERATURE_RANGE[0]) & (t <= TEMPERATURE_RANGE[1]), t, np.nan)
    return find_root(
        lambda w: density(w, inside) / water - seen, np.zeros(seen.shape), np.full(seen.shape, STRONGEST)
    )


def weak_cells(gravity: Array) -> NDArray[np.bool_]:
    """Return which cells of a battery stand so far below its best that they count as bad.

    Parameters
    ----------
    gravity : by cell along the last axis, all at one temperature [-]

    Returns
    -------
    array : true where a cell is more than 0.025 below the highest [-]

    Notes
    -----
    Source: tm_9_6140_200_14 (read).

    Examples
    --------
    >>> weak_cells(np.array([1.260, 1.265, 1.255, 1.260, 1.220, 1.260])).tolist()
    [False, False, False, False, True, False]
    """
    sg = np.asarray(gravity, float)
    best = sg.max(axis=-1, keepdims=True)
    # rounding of the last digit of what was typed is no difference between cells
    return np.asarray(best - sg > workshop_limit("gravity_between_cells") + 1e-9)
