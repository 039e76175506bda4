"""The line that oil sheets draw through two kinematic viscosities: good between them, misleading in the cold.

Drawn from 40 and 100 °C it gives at -30 °C less than half of what an oil with polymer shows at low shear, so
it serves temperatures near the two points only, and never sizes a battery.
"""

from __future__ import annotations

import numpy as np

from sizing.physics.oil.curve import Array, Scalars

OFFSET = 0.7  # mm2/s, d341_worked_sheet
# The line bends below it
VISCOSITY_FLOOR = 2.0e-6  # m2/s


def _height(kinematic_viscosity: Scalars) -> Array:
    """Return W = log10 log10(ν + 0.7), NaN below VISCOSITY_FLOOR."""
    nu = np.asarray(kinematic_viscosity, float)
    if np.any(nu <= 0.0):
        raise ValueError("the viscosity of an oil must be above zero")
    known = np.where(nu >= VISCOSITY_FLOOR, nu, np.nan)
    return np.asarray(np.log10(np.log10(1e6 * known + OFFSET)))


def walther_line(cold: tuple[Scalars, Scalars], warm: tuple[Scalars, Scalars]) -> tuple[Array, Array]:
    """Return A and B of log10 log10(ν + 0.7) = A − B log10 T through two points.

    Parameters
    ----------
    cold : temperature [K] and kinematic viscosity there [m2/s]
    warm : temperature [K] and kinematic viscosity there [m2/s]

    Returns
    -------
    tuple : A and B; NaN where a viscosity is below VISCOSITY_FLOOR [-]

    Raises
    ------
    ValueError : for a viscosity not above zero.

    Notes
    -----
    Source d341_worked_sheet, table cranking_oil_walther_example.

    Examples
    --------
    >>> a, b = walther_line((313.15, 32e-6), (373.15, 5.4e-6))
    >>> a.round(4), b.round(4)
    (np.float64(9.5308), np.float64(3.7466))
    """
    (t1, nu1), (t2, nu2) = cold, warm
    w1, w2 = _height(nu1), _height(nu2)
    b = (w2 - w1) / (np.log10(t1) - np.log10(t2))
    return np.asarray(w2 + b * np.log10(t2)), np.asarray(b)


def walther_viscosity(temperature: Scalars, a: Scalars, b: Scalars) -> Array:
    """Return the kinematic viscosity at low shear on such a line.

    Parameters
    ----------
    temperature : of the oil [K]
    a : A of the line [-]
    b : B of the line [-]

    Returns
    -------
    array : NaN where it would fall below VISCOSITY_FLOOR [m2/s]

    Raises
    ------
    ValueError : at or below absolute zero.

    Notes
    -----
    Source d341_worked_sheet.

    Examples
    --------
    >>> (walther_viscosity(353.15, *walther_line((313.15, 32e-6), (373.15, 5.4e-6))) * 1e6).round(2)
    np.float64(8.53)
    """
    t = np.asarray(temperature, float)
    if np.any(t <= 0.0):
        raise ValueError("a temperature at or below absolute zero")
    nu = 1e-6 * (10.0**10.0 ** (np.asarray(a) - np.asarray(b) * np.log10(t)) - OFFSET)
    return np.asarray(np.where(nu >= VISCOSITY_FLOOR, nu, np.nan))
