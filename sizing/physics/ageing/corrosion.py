"""The grid that carries the positive plate rusts away from within, and heat makes it faster.

    corrosion(T) = b 2^((T - 25 °C)/step)        b damage a second at 25 °C, 1 worn out

and the part of ordinary wear that does not know temperature is the rest: vibration, mass shed from plates.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.ageing.temperature import HALVING_STEP, MONTH, doubling
from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float


@cache
def field_rates() -> tuple[float, float]:
    """Return the two rates that field lives set: rest, and corrosion at 25 °C.

    Returns
    -------
    tuple : rest, corrosion, damage a second of a reference driver's battery [1/s, 1/s]

    Notes
    -----
    Source: ``ageing_rates.csv``, whose header says what they were fitted to.

    Examples
    --------
    >>> rest, corrosion = field_rates()
    >>> 0.0 <= rest * MONTH < 0.05 and 0.0 < corrosion * MONTH < 0.05
    True
    """
    rows = {row["name"]: float(row["per_month"]) for row in load("ageing_rates").select("data")}
    return rows["rest"] / MONTH, rows["corrosion"] / MONTH


def corrosion_rate(temperature: Scalars, rate_25: Scalars, *, step: Scalars = HALVING_STEP) -> Array:
    """Return the damage a second that corrosion of the positive grid does.

    Parameters
    ----------
    temperature : of the battery, -50 to 90 °C, NaN outside [K]
    rate_25 : b, at 25 °C, not negative [1/s]
    step : in which the rate doubles, above zero [K]

    Returns
    -------
    array : b 2^((T - 298.15 K)/step) [1/s]

    Raises
    ------
    ValueError : below absolute zero, for a negative rate, or a step that is not above zero.

    Notes
    -----
    Grid corrosion is probably still the most frequent general cause of failure (ruetschi_2004, quotation).
    No factor of voltage: its shape is known (a minimum near 2.20 to 2.28 V a cell, exponential above) but no
    values are, so its mean over the fleet is inside b. For a history of temperatures multiply b by
    ``mean_doubling``.

    Examples
    --------
    >>> corrosion_rate(np.array([298.15, 308.15]), 1e-9)
    array([1.e-09, 2.e-09])
    """
    b = np.asarray(rate_25, float)
    if np.any(b < 0.0):
        raise ValueError("a rate of damage is not negative")
    return np.asarray(b * doubling(temperature, step=step))


def rest_rate(field_rate: Scalars, *explicit: Scalars) -> Array:
    """Return the rest of ordinary wear when modes that are followed on their own are taken out of it.

    Parameters
    ----------
    field_rate : a, of the whole life of ordinary drivers, not negative [1/s]
    explicit : of each mode that is followed on its own, for the reference driver [1/s]

    Returns
    -------
    array : max(a - Σ explicit, 0) [1/s]

    Raises
    ------
    ValueError : for a negative rate.

    Notes
    -----
    Field lives already hold ordinary cycling and under-charge: without this they count twice. A rest of 0
    means that the explicit modes are as large as the field allows, or larger.

    Examples
    --------
    >>> rest_rate(3.0, 1.0, 0.5).item(), rest_rate(3.0, 4.0).item()
    (1.5, 0.0)
    """
    a = np.asarray(field_rate, float)
    out = sum((np.asarray(rate, float) for rate in explicit), np.zeros_like(a))
    if np.any(a < 0.0) or any(np.any(np.asarray(rate) < 0.0) for rate in explicit):
        raise ValueError("a rate of damage is not negative")
    return np.asarray(np.maximum(a - out, 0.0))
