"""Charged at more volts than usual, the grid rusts faster while it is charged.

Against the charging voltage of an ordinary vehicle at the same temperature,

    factor = 10^((max(U, U_min) - max(U_usual, U_min))/s)

with U_min the voltage at which a positive grid corrodes least and s the volts of one cell for ten times. The
usual voltage has the factor 1, as its effect is inside the rate that field lives set.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalars = Array | float

LEAST_CORROSION = 2.24  # V of a cell: middle of 2.20 to 2.28 V; shape of the curve recalled, no values known
PER_DECADE = 0.25  # V of a cell: middle of 0.2 to 0.3, berndt_handbook (recalled, low confidence)
VOLTAGE_RANGE = (2.0, 2.75)  # V of a cell that vehicles charge with, with room; our choice


def overcharge_factor(
    voltage_cell: Scalars, usual_cell: Scalars, *, per_decade: Scalars = PER_DECADE
) -> Array:
    """Return how many times faster than usual the grid corrodes while it is charged at a voltage.

    Parameters
    ----------
    voltage_cell : U, of one cell, 2.0 to 2.75 V, NaN outside [V]
    usual_cell : U_usual, of an ordinary vehicle at that temperature, the same range [V]
    per_decade : s, for ten times, above zero [V]

    Returns
    -------
    array : 1 at the usual voltage; below 1 where less is charged with [-]

    Raises
    ------
    ValueError : unless s is above zero.

    Notes
    -----
    A stand-in (Tafel) that handbooks use, berndt_handbook (recalled): the corrosion of lead-calcium-tin grids
    against potential is not at hand. Below U_min open circuit and light charging differ little here.

    Examples
    --------
    >>> overcharge_factor(np.array([14.0, 14.4, 15.2]) / 6.0, 14.0 / 6.0).round(2)
    array([1.  , 1.85, 6.31])
    """
    s = np.asarray(per_decade, float)
    if np.any(s <= 0.0):
        raise ValueError("volts for ten times are above zero")
    least, most = VOLTAGE_RANGE
    ours, usual = (np.asarray(u, float) for u in (voltage_cell, usual_cell))
    ours, usual = (np.where((u >= least) & (u <= most), u, np.nan) for u in (ours, usual))
    above = np.maximum(ours, LEAST_CORROSION) - np.maximum(usual, LEAST_CORROSION)
    return np.asarray(10.0 ** (above / s))
