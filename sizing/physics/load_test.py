"""Half of the rated amperes for 15 seconds: a healthy battery keeps its volts, the more of them the warmer.

    U_15s >= U_min(T)        at I = CCA/2, or 3 C20/h where no amperes are printed

Passing proves little: a battery well below its cold-cranking amps still passes.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load, numbers

Array = NDArray[np.float64]
Scalars = Array | float

KELVIN = 273.15  # K
TIME = 15.0  # s, after which the voltage is read: practice_load_test.csv
SHARE = 0.5  # of the cold-cranking amps: practice_cca_thresholds, workshop_manual_sedan_2004
CAPACITIES_PER_HOUR = 3.0  # 1/h: 3 times the ampere-hours, in amperes; workshop_manual_crossover_2017
WARMEST = 343.15  # K, of the acid; above 21 °C the minimum stays


@cache
def _minima() -> tuple[Array, Array]:
    # the table judges batteries: what a reading is held against, and what the model is held against
    rows = load("practice_load_test").select("check")
    celsius, volts = numbers(rows, "t_c"), numbers(rows, "min_v")
    order = np.argsort(celsius)
    return celsius[order] + KELVIN, volts[order]


def load_current(cold_cranking: Scalars) -> Array:
    """Return the current of the test by the rated amperes.

    Parameters
    ----------
    cold_cranking : rated, above zero [A]

    Returns
    -------
    array : half of it [A]

    Raises
    ------
    ValueError : for a rating that is not above zero.

    Examples
    --------
    >>> load_current(520.0).item()
    260.0
    """
    return SHARE * _above_zero(cold_cranking)


def load_current_of_capacity(capacity_ah: Scalars) -> Array:
    """Return the current of the test by the capacity, where no amperes are printed.

    Parameters
    ----------
    capacity_ah : at 20 h, above zero [A h]

    Returns
    -------
    array : three times as many amperes [A]

    Raises
    ------
    ValueError : for a capacity that is not above zero.

    Examples
    --------
    >>> load_current_of_capacity(65.0).item()
    195.0
    """
    return CAPACITIES_PER_HOUR * _above_zero(capacity_ah)


def _above_zero(rating: Scalars) -> Array:
    value = np.asarray(rating, float)
    if np.any(value <= 0.0):
        raise ValueError("a rating is above zero")
    return value


def least_load_voltage(temperature: Scalars) -> Array:
    """Return the least voltage of a healthy battery after 15 s of the load test.

    Straight between the rows of ``practice_load_test.csv``, level above 21 °C.

    Parameters
    ----------
    temperature : of the battery, -18 to 70 °C, NaN outside [K]

    Returns
    -------
    array : a lower bound and no typical value [V]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Source: workshop_manual_sedan_2004 and six more manuals of four makers (read). Asks for a battery that
    rests at 12.4 V or more.

    Examples
    --------
    >>> least_load_voltage(np.array([255.15, 293.15, 303.15])).round(2)
    array([8.5 , 9.58, 9.6 ])
    """
    t = np.asarray(temperature, float)
    if np.any(t < 0.0):
        raise ValueError("a temperature below absolute zero")
    grid, volts = _minima()
    inside = (t >= grid[0] - 1e-9) & (t <= WARMEST)
    return np.where(inside, np.interp(t, grid, volts), np.nan)


def load_test_margin(temperature: Scalars, voltage: Scalars) -> Array:
    """Return by how much a battery passes the load test.

    Parameters
    ----------
    temperature : of the battery, -18 to 70 °C, NaN outside [K]
    voltage : after 15 s [V]

    Returns
    -------
    array : negative where it fails [V]

    Raises
    ------
    ValueError : below absolute zero.

    Examples
    --------
    >>> load_test_margin(294.15, 9.3).round(2).item()
    -0.3
    """
    return np.asarray(np.asarray(voltage, float) - least_load_voltage(temperature))


def loaded_voltage_of_product(rest_voltage: Scalars, product: Scalars) -> Array:
    """Return the voltage under the load test of a battery whose resistance times rating is known.

    U = U0 - R CCA/2

    Parameters
    ----------
    rest_voltage : U0 [V]
    product : R CCA, effective resistance over the 15 s times the rated amperes, not negative [V]

    Returns
    -------
    array : after 15 s [V]

    Raises
    ------
    ValueError : for a negative product.

    Examples
    --------
    >>> loaded_voltage_of_product(12.6, 6.6).round(1).item()
    9.3
    """
    rc = np.asarray(product, float)
    if np.any(rc < 0.0):
        raise ValueError("a resistance is not negative")
    return np.asarray(np.asarray(rest_voltage, float) - SHARE * rc)
