"""Copper resists less when it is cold, a sixth less at -20 °C than in a warm room."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scalars = Array | float

REFERENCE_TEMPERATURE = 293.15  # K, at which resistances are given
# recalled: copper_wire_definition (annealed copper near 20 °C)
COPPER_COEFFICIENT = 0.00393  # 1/K
# The straight line of copper's resistance is a description of ordinary temperatures only
COPPER_RANGE = (173.15, 473.15)  # K


def copper_factor(temperature: Scalars) -> Array:
    """Return the resistance of copper over its resistance at 20 °C: 1 + α (T − 293.15).

    Parameters
    ----------
    temperature : of the copper [K]

    Returns
    -------
    array : NaN outside COPPER_RANGE [-]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Coefficient recalled; source copper_wire_definition.

    Examples
    --------
    >>> copper_factor(253.15).round(3)
    np.float64(0.843)
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    known = (t >= COPPER_RANGE[0]) & (t <= COPPER_RANGE[1])
    return np.where(known, 1.0 + COPPER_COEFFICIENT * (t - REFERENCE_TEMPERATURE), np.nan)[()]
