"""What a place's cold and hot spells are like, guessed from its monthly means alone.

The relations are least squares over the station rows of use ``fit`` that have monthly data (55 stations,
mostly of Canada and the United States; ``scripts/fit_extremes.py`` repeats them). Single stations lie up to
10 K off, for reasons that no monthly mean shows: use printed design values where there are any.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.relations import ZERO_CELSIUS, Line, annual_minimum_sd_from_design, kelvin

Array = NDArray[np.float64]

DEGREE_DAY_BASE = ZERO_CELSIUS + 55.0 / 3.0
"""Base of the degree-days printed as 18.3 °C: 65 °F exactly [K]."""
DAYS_OF_MONTH = np.array([31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0])


# mean and mean daily range (hourly kind) of the cold or the warm month; 55 rows
HEATING_99_6_BY_NORMALS = Line(-8.51, (1.14, -0.62), 3.3)
HEATING_99_BY_NORMALS = Line(-5.77, (1.13, -0.62), 2.7)
MINIMUM_BY_NORMALS = Line(-8.92, (1.12, -0.95), 3.5)
COOLING_0_4_BY_NORMALS = Line(4.72, (0.79, 0.89), 0.8)
COOLING_1_BY_NORMALS = Line(2.96, (0.84, 0.80), 0.7)
MAXIMUM_BY_NORMALS = Line(9.85, (0.69, 0.89), 1.1)
MINIMUM_SD_BY_NORMALS_MISFIT = 0.87
"""W of s found from normals by way of T99 and T99.6, on the same 55 rows [K]."""
TYPICAL_COLD_RANGE = (8.35, 2.05)
"""Mean and standard deviation over those rows of the daily range of the cold month [K]."""

FIT_RANGES = {
    "latitude": (25.0, 69.0),
    "cold_mean": (ZERO_CELSIUS - 27.5, ZERO_CELSIUS + 20.5),
    "cold_range": (4.0, 13.0),
}
"""Range of the fit rows: latitude north [degree], mean [K] and daily range [K] of the cold month."""


def mean_from_degree_days(
    heating: ArrayLike, cooling: ArrayLike, days: ArrayLike = DAYS_OF_MONTH, *, base: float = DEGREE_DAY_BASE
) -> Array:
    """Return the mean temperature of a month from its degree-days, which are sums over daily means.

    T = base - (HDD - CDD)/N

    Parameters
    ----------
    heating : heating degree-days of the month, any shape [K d]
    cooling : cooling degree-days of the month [K d]
    days : N, days in the month (28 for February) [d]
    base : temperature from which both are counted, 65 °F unless said otherwise [K]

    Returns
    -------
    array : mean temperature, of the broadcast shape [K]

    Raises ValueError for negative degree-days.

    Source: algebra on the tables of ashrae_fundamentals_2009.

    Examples
    --------
    >>> float((mean_from_degree_days(946.0, 0.0, 31.0) - 273.15).round(2))
    -12.18
    """
    hot, cold = np.asarray(cooling, float), np.asarray(heating, float)
    if np.any(hot < 0.0) or np.any(cold < 0.0):
        raise ValueError("degree-days are not negative")
    return np.asarray(base - (cold - hot) / np.asarray(days, float), float)


def heating_99_6_from_normals(cold_mean: ArrayLike, cold_range: ArrayLike) -> Array:
    """Return the 99.6 % design temperature from the cold month, T99.6 = -8.51 °C + 1.14 t_c - 0.62 r_c.

    Parameters
    ----------
    cold_mean : t_c, mean of the coldest month [K]
    cold_range : r_c, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range: :data:`FIT_RANGES`, mostly Canada and the United States; see :func:`within_fit`. Mountain valleys
    are up to 9 K colder, arctic coasts and deserts up to 7 K milder.

    Source: fitted here to 55 stations (W 3.3 K; check 3.0 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float((heating_99_6_from_normals(250.61, 8.4) - 273.15).round(1))
    -39.4
    """
    return _from_normals(HEATING_99_6_BY_NORMALS, cold_mean, cold_range)


def heating_99_from_normals(cold_mean: ArrayLike, cold_range: ArrayLike) -> Array:
    """Return the 99 % design temperature from the cold month, T99 = -5.77 °C + 1.13 t_c - 0.62 r_c.

    Parameters
    ----------
    cold_mean : t_c, mean of the coldest month [K]
    cold_range : r_c, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range and source as :func:`heating_99_6_from_normals` (W 2.7 K; check 2.3 K).

    Examples
    --------
    >>> float((heating_99_from_normals(250.61, 8.4) - 273.15).round(1))
    -36.4
    """
    return _from_normals(HEATING_99_BY_NORMALS, cold_mean, cold_range)


def annual_minimum_from_normals(cold_mean: ArrayLike, cold_range: ArrayLike) -> Array:
    """Return the mean annual minimum from the cold month, M = -8.92 °C + 1.12 t_c - 0.95 r_c.

    Parameters
    ----------
    cold_mean : t_c, mean of the coldest month [K]
    cold_range : r_c, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : mean over years of the coldest hour, of the broadcast shape [K]

    Range and source as :func:`heating_99_6_from_normals` (W 3.5 K; check 2.9 K).

    Examples
    --------
    >>> float((annual_minimum_from_normals(250.61, 8.4) - 273.15).round(1))
    -42.1
    """
    return _from_normals(MINIMUM_BY_NORMALS, cold_mean, cold_range)


def annual_minimum_sd_from_normals(cold_mean: ArrayLike, cold_range: ArrayLike) -> Array:
    """Return s of the annual minimum from the cold month, by way of T99.6 and T99.

    Parameters
    ----------
    cold_mean : t_c, mean of the coldest month [K]
    cold_range : r_c, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : standard deviation, of the broadcast shape [K]

    Range and source as :func:`heating_99_6_from_normals` (W 0.87 K): little more than the mean over stations.

    Examples
    --------
    >>> float(annual_minimum_sd_from_normals(250.61, 8.4).round(2))
    3.35
    """
    cold, cooler = (
        heating_99_6_from_normals(cold_mean, cold_range),
        heating_99_from_normals(cold_mean, cold_range),
    )
    return annual_minimum_sd_from_design(cold, cooler)


def cooling_0_4_from_normals(warm_mean: ArrayLike, warm_range: ArrayLike) -> Array:
    """Return the 0.4 % design temperature from the warm month, T0.4 = 4.72 °C + 0.79 t_h + 0.89 r_h.

    Parameters
    ----------
    warm_mean : t_h, mean of the warmest month [K]
    warm_range : r_h, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range: t_h 12 to 36 °C, r_h 4.5 to 15.2 K in the fit.

    Source: fitted here to 55 stations (W 0.8 K; check 1.2 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float((cooling_0_4_from_normals(290.39, 10.4) - 273.15).round(1))
    27.6
    """
    return _from_normals(COOLING_0_4_BY_NORMALS, warm_mean, warm_range)


def cooling_1_from_normals(warm_mean: ArrayLike, warm_range: ArrayLike) -> Array:
    """Return the 1 % design temperature from the warm month, T1 = 2.96 °C + 0.84 t_h + 0.80 r_h.

    Parameters
    ----------
    warm_mean : t_h, mean of the warmest month [K]
    warm_range : r_h, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range and source as :func:`cooling_0_4_from_normals` (W 0.7 K; check 1.0 K).

    Examples
    --------
    >>> float((cooling_1_from_normals(290.39, 10.4) - 273.15).round(1))
    25.8
    """
    return _from_normals(COOLING_1_BY_NORMALS, warm_mean, warm_range)


def annual_maximum_from_normals(warm_mean: ArrayLike, warm_range: ArrayLike) -> Array:
    """Return the mean annual maximum from the warm month, X = 9.85 °C + 0.69 t_h + 0.89 r_h.

    Parameters
    ----------
    warm_mean : t_h, mean of the warmest month [K]
    warm_range : r_h, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array : mean over years of the hottest hour, of the broadcast shape [K]

    Range and source as :func:`cooling_0_4_from_normals` (W 1.1 K; check 1.9 K).

    Examples
    --------
    >>> float((annual_maximum_from_normals(290.39, 10.4) - 273.15).round(1))
    31.0
    """
    return _from_normals(MAXIMUM_BY_NORMALS, warm_mean, warm_range)


def within_fit(latitude: ArrayLike, cold_mean: ArrayLike, cold_range: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether a cold month lies within the range of the stations that the relations were fitted to.

    Parameters
    ----------
    latitude : north of the equator [degree]
    cold_mean : t_c, mean of the coldest month [K]
    cold_range : r_c, mean daily range of that month, of hourly readings [K]

    Returns
    -------
    array of bool : of the broadcast shape; an answer outside must say so

    Examples
    --------
    >>> within_fit([64.8, -33.4], 250.61, 8.4)
    array([ True, False])
    """
    given = {"latitude": latitude, "cold_mean": cold_mean, "cold_range": cold_range}
    parts = [(np.asarray(x, float), *FIT_RANGES[key]) for key, x in given.items()]
    inside = np.broadcast_arrays(*((x >= low) & (x <= high) for x, low, high in parts))
    return np.asarray(np.all(inside, axis=0), bool)


def _from_normals(line: Line, mean: ArrayLike, daily_range: ArrayLike) -> Array:
    spread = np.asarray(daily_range, float)
    if np.any(spread < 0.0):
        raise ValueError("a daily range is not negative")
    return ZERO_CELSIUS + line(kelvin(mean) - ZERO_CELSIUS, spread)
