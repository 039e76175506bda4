"""Over ice there is less vapour than over undercooled water: their ratio says when acid begins to freeze."""

from __future__ import annotations

import numpy as np

from sizing.physics.electrolyte.acid import Array, Scalars, temperature_in_range

VAPOUR_RANGE = (123.15, 332.0)  # K, of the vapour pressure of liquid water, undercooled below 273.15 K
TRIPLE_POINT = 273.16  # K of water: ice exists below

# murphy_koop_2005 (recalled), Pa
ICE_VAPOUR = (9.550426, -5723.265, 3.53068, -0.00728332)
WATER_VAPOUR = (54.842763, -6763.22, -4.210, 0.000367)
WATER_VAPOUR_COLD = (53.878, -1331.22, -9.44523, 0.014025)


def _vapour(coefficients: tuple[float, ...], t: Array) -> Array:
    a, b, c, d = coefficients
    return np.asarray(a + b / t + c * np.log(t) + d * t)


def ice_vapour_pressure(temperature: Scalars) -> Array:
    """Return the vapour pressure over ice, ln p = 9.550426 - 5723.265/T + 3.53068 ln T - 0.00728332 T.

    Parameters
    ----------
    temperature : of the ice, 123.15 to 273.16 K [K]

    Returns
    -------
    array : NaN outside the range [Pa]

    Notes
    -----
    Source: murphy_koop_2005 (recalled).

    Examples
    --------
    >>> ice_vapour_pressure(233.15).round(4)
    np.float64(12.8443)
    """
    t = temperature_in_range(temperature, (VAPOUR_RANGE[0], TRIPLE_POINT))
    return np.asarray(np.exp(_vapour(ICE_VAPOUR, t)))


def water_vapour_pressure(temperature: Scalars) -> Array:
    """Return the vapour pressure over liquid water, also undercooled.

    ln p = f(T) + tanh[0.0415 (T - 218.8)] g(T), f and g of the form a + b/T + c ln T + d T.

    Parameters
    ----------
    temperature : of the water, 123.15 to 332 K [K]

    Returns
    -------
    array : NaN outside the range [Pa]

    Notes
    -----
    Source: murphy_koop_2005 (recalled).

    Examples
    --------
    >>> water_vapour_pressure(233.15).round(4)
    np.float64(18.9121)
    """
    t = temperature_in_range(temperature, VAPOUR_RANGE)
    cold = np.tanh(0.0415 * (t - 218.8)) * _vapour(WATER_VAPOUR_COLD, t)
    return np.asarray(np.exp(_vapour(WATER_VAPOUR, t) + cold))
