"""Every discharge loosens the plates a little, and one deep discharge costs as much as many shallow ones.

The number of cycles N to the end follows three printed depths, straight in ln N between them; for shallow
cycles the charge that passes counts, whatever the depth: N = E/depth with E full equivalents. Between 30 %
and the depth of a standard's micro-cycle (17.5 %) the two meet on a straight line in ln N.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing.declared import usual
from sizing.tables import load, numbers

Array = NDArray[np.float64]
Scalars = Array | float

SHALLOW_DEPTH = 0.175  # en_50342_6_2015 (recalled): depth of its micro-cycle test; below throughput counts


@cache
def cycle_points() -> tuple[Array, Array]:
    """Return the depths at which cycles to the end of a flooded starter battery are printed, and the cycles.

    Returns
    -------
    tuple : depths rising, cycles [-, -]

    Notes
    -----
    Source: buchmann_bu_201 (recalled), by way of ``ageing_cycling.csv``. 13, 55 and 42 full equivalents:
    neither constant throughput nor one power of depth.

    Examples
    --------
    >>> [array.round(1).tolist() for array in cycle_points()]
    [[0.3, 0.5, 1.0], [139.6, 109.5, 13.4]]
    """
    rows = load("ageing_cycling").select("data")
    return numbers(rows, "depth"), numbers(rows, "cycles")


def cycles_to_end(depth: Scalars, *, shallow_equivalents: Scalars | None = None) -> Array:
    """Return how many cycles of a depth wear out a flooded starter battery.

    Parameters
    ----------
    depth : share of the capacity taken in each, above 0 to 1, NaN outside [-]
    shallow_equivalents : E, full discharges that shallow cycling adds up to; declared 42 to 139 [-]

    Returns
    -------
    array : N; infinite at no depth [-]

    Raises
    ------
    ValueError : for full equivalents that are not above zero.

    Notes
    -----
    Straight in ln N between 100, 50 and 30 % (buchmann_bu_201, recalled). Below 17.5 % N = E/depth; in
    print E runs from 42 (the row at 30 %) to 139 (a_a_55439a with J240 cycles). Temperature is left out.

    Examples
    --------
    >>> cycles_to_end(np.array([1.0, 0.5, 0.3, 0.01])).round(1)
    array([  13.4,  109.5,  139.6, 7600. ])
    """
    d = np.asarray(depth, float)
    equivalents = np.asarray(
        usual("shallow_equivalents") if shallow_equivalents is None else shallow_equivalents, float
    )
    if np.any(equivalents <= 0.0):
        raise ValueError("full equivalents are above zero")
    depths, cycles = cycle_points()
    deep = np.interp(d, depths, np.log(cycles))
    share = (d - SHALLOW_DEPTH) / (depths[0] - SHALLOW_DEPTH)
    edge = np.log(equivalents / SHALLOW_DEPTH)
    between = edge + (np.log(cycles[0]) - edge) * share
    with np.errstate(divide="ignore"):
        shallow = np.log(equivalents) - np.log(np.clip(d, 0.0, None))
    logarithm = np.where(d >= depths[0], deep, np.where(d >= SHALLOW_DEPTH, between, shallow))
    return np.where((d >= 0.0) & (d <= 1.0), np.exp(logarithm), np.nan)


def cycling_damage(
    depth: Scalars,
    cycles: Scalars = 1.0,
    *,
    factor: Scalars = 1.0,
    shallow_equivalents: Scalars | None = None,
) -> Array:
    """Return the damage that cycles of a depth do: each 1/N of the whole.

    Parameters
    ----------
    depth : share of the capacity taken in each, 0 to 1, NaN outside [-]
    cycles : how many, not negative [-]
    factor : of the type (``ageing_types.csv``) [-]
    shallow_equivalents : E, full discharges that shallow cycling adds up to [-]

    Returns
    -------
    array : damage, 1 worn out [-]

    Raises
    ------
    ValueError : for a negative number of cycles or factor.

    Examples
    --------
    >>> cycling_damage(np.array([0.0, 0.01, 1.0]), np.array([5.0, 2000.0, 1.0])).round(3)
    array([0.   , 0.263, 0.075])
    """
    n, k = np.asarray(cycles, float), np.asarray(factor, float)
    if np.any(n < 0.0) or np.any(k < 0.0):
        raise ValueError("neither a negative number of cycles nor a negative factor")
    return np.asarray(k * n / cycles_to_end(depth, shallow_equivalents=shallow_equivalents))


def throughput_damage(
    equivalents: Scalars, *, factor: Scalars = 1.0, shallow_equivalents: Scalars | None = None
) -> Array:
    """Return the damage of shallow cycling from the charge that passed.

    Parameters
    ----------
    equivalents : charge discharged over capacity, not negative [-]
    factor : of the type (``ageing_types.csv``) [-]
    shallow_equivalents : E, full discharges that shallow cycling adds up to [-]

    Returns
    -------
    array : factor x equivalents/E [-]

    Raises
    ------
    ValueError : for a negative charge or factor.

    Notes
    -----
    35 mA for 22 h a day take 4.3 full equivalents a year from 65 Ah.

    Examples
    --------
    >>> (throughput_damage(0.035 * 22.0 * 365.25 / 65.0) / 12.0).round(4).item()
    0.0047
    """
    q, k = np.asarray(equivalents, float), np.asarray(factor, float)
    whole = np.asarray(
        usual("shallow_equivalents") if shallow_equivalents is None else shallow_equivalents, float
    )
    if np.any(q < 0.0) or np.any(k < 0.0) or np.any(whole <= 0.0):
        raise ValueError("neither a negative charge nor a negative factor, and full equivalents above zero")
    return np.asarray(k * q / whole)


def micro_cycle_depth(current: Scalars, time: Scalars, capacity_ah: Scalars) -> Array:
    """Return the depth of one stop of a stop-start vehicle: loads while the engine stands, and the restart.

    Parameters
    ----------
    current : of the loads while it stands, not negative [A]
    time : for which it stands, not negative [s]
    capacity_ah : of the battery, above zero [A h]

    Returns
    -------
    array : (I t + restart)/C [-]

    Raises
    ------
    ValueError : for a negative current or time, or a capacity that is not above zero.

    Notes
    -----
    A restart takes ``restart_charge`` of ``ageing_uncertain.csv`` (some 300 A for a second at most).

    Examples
    --------
    >>> micro_cycle_depth(40.0, 30.0, 70.0).round(4).item()
    0.0053
    """
    i, t, c = (np.asarray(x, float) for x in (current, time, capacity_ah))
    if np.any(i < 0.0) or np.any(t < 0.0) or np.any(c <= 0.0):
        raise ValueError("current and time are not negative and a capacity is above zero")
    return np.asarray((i * t / 3600.0 + usual("restart_charge")) / c)
