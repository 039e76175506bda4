"""What the sun adds to a parked vehicle: its skin against the air, the air inside with the windows shut."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.tables import load, numbers

Array = NDArray[np.float64]

ABSORBED_DARK, ABSORBED_LIGHT = 0.052, 0.026
"""α/h_o of a dark and of a light surface [m2 K/W]; ashrae_sol_air (recalled)."""
SKY_LOSS = 3.9
"""ε ΔR/h_o of a surface facing the sky [K]; ashrae_sol_air (recalled)."""


def sol_air_excess(irradiance: ArrayLike, absorbed: ArrayLike) -> Array:
    """Return by how much the sol-air temperature of a level surface lies above the air.

    T_sa - T = (α/h_o) E - ε ΔR/h_o

    Parameters
    ----------
    irradiance : E, of sun on the surface, any shape [W/m2]
    absorbed : α/h_o, :data:`ABSORBED_DARK` or :data:`ABSORBED_LIGHT` [m2 K/W]

    Returns
    -------
    array : excess, negative at night [K]

    Range: surfaces that cannot lose heat inwards; the skin of a vehicle shows about half of it by day.

    Source: ashrae_sol_air (recalled).

    Examples
    --------
    >>> sol_air_excess([1000.0, 0.0], ABSORBED_DARK).round(1)
    array([48.1, -3.9])

    Raises ValueError for a negative irradiance.
    """
    sun = np.asarray(irradiance, float)
    if np.any(sun < 0.0):
        raise ValueError("an irradiance is not negative")
    return np.asarray(np.asarray(absorbed, float) * sun - SKY_LOSS, float)


def cabin_air_rise(time: ArrayLike) -> Array:
    """Return by how much the air of a closed cabin in the sun has warmed, as one study measured it.

    Parameters
    ----------
    time : since it was shut, any shape [s]

    Returns
    -------
    array : rise, straight between the measured points [K]

    Range: 0 to 90 min, clear sky, air of 22 to 36 °C; NaN outside.

    Source: table ``climate_parked_sun`` / null_2003.

    Examples
    --------
    >>> float(cabin_air_rise(3600.0).round(1))
    23.9

    Raises ValueError for a negative time.
    """
    since = np.asarray(time, float)
    if np.any(since < 0.0):
        raise ValueError("a time since is not negative")
    rows = load("climate_parked_sun").select("data", quantity="cabin_air_rise")
    minutes = np.array([float(row["conditions"].split()[1]) for row in rows])
    at, rise = np.concatenate([[0.0], 60.0 * minutes]), np.concatenate([[0.0], numbers(rows, "value")])
    return np.asarray(np.interp(since, at, rise, right=np.nan), float)
