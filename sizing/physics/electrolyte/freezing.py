"""When the acid turns to slush, and how much of it is ice: weak acid freezes early, a flat battery first."""

from __future__ import annotations

from functools import cache

import numpy as np

from sizing.physics.electrolyte.acid import (
    KELVIN,
    TEMPERATURE_RANGE,
    Array,
    Scalars,
    in_range,
    temperature_in_range,
)
from sizing.tables import load

# Ice line t(W) in °C, W in percent: polynomial of the thermodynamic line (zeleznik_1991, murphy_koop_2005),
# derived, 0.2 K below 30 % and 0.4 K to 35.3 %
ICE_LINE = (-0.230937672, -0.0753986804, 0.0111090202, -8.08816812e-4, 2.47838354e-5, -2.84747864e-7)
ICE_LINE_RANGE = (0.0, 0.353)
STRONG_RANGE = (0.353, 0.5967)


def _ice_line(mass_fraction: Array) -> Array:
    percent = 100.0 * mass_fraction
    return np.asarray(KELVIN + np.polyval((*ICE_LINE[::-1], 0.0), percent))


@cache
def _strong_side() -> tuple[Array, Array]:
    table = load("electrolyte_freezing_high_side")
    return table.column("wt_pct") / 100.0, table.column("freezing_c") + KELVIN


def freezing_temperature(mass_fraction: Scalars) -> Array:
    """Return the temperature at which the acid begins to freeze.

    Parameters
    ----------
    mass_fraction : of sulfuric acid, 0 to 0.5967 [-]

    Returns
    -------
    array : NaN outside the range [K]

    Notes
    -----
    To 35.3 % the ice line, where the water of the acid is in balance with ice (zeleznik_1991): 2 K to 28 %,
    4 K to 34 %. Above, straight between recalled points of `electrolyte_freezing_high_side`, 5 to 8 K: never
    promise anything below -60 °C. Too strong an acid freezes earlier again.

    Examples
    --------
    >>> (freezing_temperature(np.array([0.10, 0.20, 0.30])) - 273.15).round(2)
    array([ -4.63, -14.23, -35.32])
    """
    w = in_range(mass_fraction, (ICE_LINE_RANGE[0], STRONG_RANGE[1]))
    strengths, temperatures = _strong_side()
    strong = np.interp(w, strengths, temperatures)
    return np.where(w <= ICE_LINE_RANGE[1], _ice_line(np.minimum(w, ICE_LINE_RANGE[1])), strong)


@cache
def _ice_grid() -> tuple[Array, Array]:
    w = np.linspace(*ICE_LINE_RANGE, 3531)
    t = _ice_line(w)
    return t[::-1], w[::-1]


def mass_fraction_at_freezing(temperature: Scalars) -> Array:
    """Return the strength whose ice line lies at a temperature: weaker acid is partly frozen there.

    Parameters
    ----------
    temperature : of the acid, -50 to 0 °C [K]

    Returns
    -------
    array : NaN outside the range [-]

    Notes
    -----
    Inverse of the ice line through a grid of 0.0001 in strength.

    Examples
    --------
    >>> mass_fraction_at_freezing(np.array([263.15, 233.15])).round(3)
    array([0.167, 0.313])
    """
    t = temperature_in_range(temperature, (TEMPERATURE_RANGE[0], KELVIN))
    temperatures, w = _ice_grid()
    return np.asarray(np.interp(t, temperatures, w))


def ice_fraction(mass_fraction: Scalars, temperature: Scalars) -> Array:
    """Return which share of the acid's mass is ice, by the lever rule 1 - w/w_line(T).

    Parameters
    ----------
    mass_fraction : of the whole acid, 0 to 0.5 [-]
    temperature : of the acid, -50 to +70 °C [K]

    Returns
    -------
    array : 0 where it is liquid, NaN outside the range and where too strong an acid freezes to hydrate [-]

    Raises
    ------
    ValueError : below absolute zero.

    Notes
    -----
    Above the eutectic. What share breaks a case is not published: show the share beside any verdict.

    Examples
    --------
    >>> ice_fraction(np.array([0.172, 0.372]), 253.15).round(2)
    array([0.27, 0.  ])
    """
    w = in_range(mass_fraction, (0.0, 0.5))
    t = temperature_in_range(temperature)
    line = mass_fraction_at_freezing(np.minimum(t, KELVIN))
    # stronger acid than the line is liquid, and so is any acid above 0 °C
    with np.errstate(divide="ignore", invalid="ignore"):
        share = 1.0 - w / line
    icy = (t < KELVIN) & (w < line)
    unknown = np.isnan(w + t) | ((w > ICE_LINE_RANGE[1]) & (t < freezing_temperature(w)))
    return np.where(unknown, np.nan, np.where(icy, share, 0.0))
