"""How the air of a place changes with the time of year: season, the sun in a day, size of the weather.

Every day of the year has a mean, a swing by the sun, and a size of the weather on top. Days are counted
from 0 (1 January) in a year of 365; months are those of the calendar, so nothing here knows which is winter.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.normals import DAYS_OF_MONTH

Array = NDArray[np.float64]

DAYS = 365
SOLAR_CONSTANT = 1.361
"""Sun outside the air [kW/m2]; from memory."""
OBLIQUITY = np.radians(23.45)
"""Largest declination of the sun [rad]; textbook value, from memory."""
SHARE = (0.87, 23.9)
"""Highest share and scale of H0 R [-, kWh K/m2]; fitted to six typical years (climate_periodic_share)."""
SPREAD = (2.93, -0.1036, 0.2072)
"""Spread of daily means by level and season [K, -, -]; regression over 107 typical years (W 1.2 K)."""
LEAST_SPREAD = 1.0
"""Floor of that regression [K], our judgement: also the tropics have weather."""
DRIFT_FLOOR = 0.25
"""Share of the variance that is weather at the least, whatever the season's drift [-], our judgement."""
SEASONLESS = 4.0
"""Range of the monthly means below which winter and summer fade out as ideas [K], our judgement."""

MONTH_OF_DAY = np.repeat(np.arange(12), DAYS_OF_MONTH.astype(int))
MIDDLES = np.cumsum(DAYS_OF_MONTH) - 0.5 * DAYS_OF_MONTH
"""Middle of each month [d]."""


@cache
def _season_weights() -> Array:
    """Return the weights of the twelve monthly means in each day, shape (365, 12).

    Mean, five yearly harmonics and one wave of two months have twelve coefficients: one curve has exactly
    the twelve means. Its phase of two months is that of the months' middles.
    """
    angle = 2.0 * np.pi * (np.arange(DAYS) + 0.5) / DAYS
    waves = [np.ones(DAYS)]
    for k in range(1, 6):
        waves += [np.cos(k * angle), np.sin(k * angle)]
    waves.append(np.cos(6.0 * (angle - np.pi / 12.0)))
    basis = np.stack(waves, axis=1)
    monthly = np.stack([basis[month == MONTH_OF_DAY].mean(axis=0) for month in range(12)])
    return np.asarray(basis @ np.linalg.inv(monthly), float)


def seasonal_mean(monthly: ArrayLike) -> Array:
    """Return the mean of each day of the year: the smooth curve that has exactly the twelve monthly means.

    Parameters
    ----------
    monthly : means, January to December, shape (..., 12) [K]

    Returns
    -------
    array : of each day, shape (..., 365) [K]

    Source: algebra.

    Examples
    --------
    >>> curve = seasonal_mean([260.0, 262, 270, 278, 285, 290, 293, 291, 286, 279, 270, 263])
    >>> float(curve[:31].mean().round(9)), float(curve[31:59].mean().round(9))
    (260.0, 262.0)
    """
    return np.asarray(np.asarray(monthly, float) @ _season_weights().T, float)


def between_months(monthly: ArrayLike) -> Array:
    """Return a monthly quantity on each day: as given at mid-month, straight lines between, around the year.

    Parameters
    ----------
    monthly : January to December, shape (12,) [any unit]

    Returns
    -------
    array : of each day, shape (365,) [any unit]

    Examples
    --------
    >>> float(between_months([2.0] * 12)[200])
    2.0
    """
    middles = np.concatenate([[MIDDLES[-1] - DAYS], MIDDLES, [MIDDLES[0] + DAYS]])
    values = np.asarray(monthly, float)
    around = np.concatenate([values[-1:], values, values[:1]])
    return np.asarray(np.interp(np.arange(DAYS) + 0.5, middles, around), float)


def daily_sun(latitude: ArrayLike, day: ArrayLike) -> Array:
    """Return the sun's energy of a day on level ground without air.

    H0 = (24 h/π) 1.361 (cos φ cos δ sin ω + ω sin φ sin δ), ω = arccos(-tan φ tan δ),
    δ = 23.45° sin(2π (284 + n)/365)

    Parameters
    ----------
    latitude : φ, north of the equator, broadcast with the day [degree]
    day : n, of the year, 1 on 1 January [d]

    Returns
    -------
    array : energy [kWh/m2]

    Range: the whole Earth; polar night gives 0.

    Source: textbook formula, from memory.

    Examples
    --------
    >>> daily_sun(64.82, [16, 106, 197, 289]).round(2)
    array([ 0.3 ,  7.17, 11.03,  2.11])
    """
    phi = np.radians(np.asarray(latitude, float))
    delta = OBLIQUITY * np.sin(2.0 * np.pi * (284.0 + np.asarray(day, float)) / DAYS)
    half_day = np.arccos(np.clip(-np.tan(phi) * np.tan(delta), -1.0, 1.0))
    height = np.cos(phi) * np.cos(delta) * np.sin(half_day) + half_day * np.sin(phi) * np.sin(delta)
    return np.asarray(24.0 / np.pi * SOLAR_CONSTANT * np.maximum(height, 0.0), float)


def periodic_share(sun: ArrayLike, daily_range: ArrayLike) -> Array:
    """Return the share of a mean daily range that returns every day with the sun; the rest is weather.

    share = 0.87 (1 - exp(-H0 R/23.9))

    Parameters
    ----------
    sun : H0, of :func:`daily_sun` [kWh/m2]
    daily_range : R, mean of the month, of hourly readings [K]

    Returns
    -------
    array : share, 0 to 0.87 [-]

    Source: fitted to six typical years, table ``climate_periodic_share`` / tmy3_2008, cwec (W 0.11).

    Examples
    --------
    >>> periodic_share([0.30, 11.63], [7.6, 11.0]).round(2)
    array([0.08, 0.87])

    Raises ValueError for a negative range.
    """
    r = np.asarray(daily_range, float)
    if np.any(r < 0.0):
        raise ValueError("a daily range is not negative")
    highest, scale = SHARE
    return np.asarray(-highest * np.expm1(-np.asarray(sun, float) * r / scale), float)


def spread_of_daily_means(monthly: ArrayLike) -> Array:
    """Return the standard deviation of daily means within each month, the drift of the season included.

    σ_w = max(1.0, 2.93 - 0.1036 T + 0.2072 S), T in °C, S the standard deviation of the twelve means

    Parameters
    ----------
    monthly : means, January to December, shape (12,) [K]

    Returns
    -------
    array : σ_w of each month, shape (12,) [K]

    Source: regression over 107 typical years, W 1.2 K / tmy3_2008, cwec.

    Examples
    --------
    >>> spread_of_daily_means([273.15 + 10.0] * 12)[:2].round(2)
    array([1.89, 1.89])
    """
    mean = np.asarray(monthly, float)
    level, slope, by_season = SPREAD
    spread = level + slope * (mean - 273.15) + by_season * float(np.std(mean))
    return np.asarray(np.maximum(LEAST_SPREAD, spread), float)


def spread_without_drift(monthly: ArrayLike) -> Array:
    """Return the standard deviation of daily means about the season's own curve.

    σ_f = √max(σ_w² - D²/12, σ_w²/4), D = (T_next - T_previous)/2

    Parameters
    ----------
    monthly : means, January to December, shape (12,) [K]

    Returns
    -------
    array : σ_f of each month, shape (12,) [K]

    Source: algebra on :func:`spread_of_daily_means`.

    Examples
    --------
    >>> spread_without_drift([273.15 + 10.0] * 12)[:2].round(2)
    array([1.89, 1.89])
    """
    mean = np.asarray(monthly, float)
    variance = spread_of_daily_means(mean) ** 2
    drift = 0.5 * (np.roll(mean, -1) - np.roll(mean, 1))
    return np.asarray(np.sqrt(np.maximum(variance - drift**2 / 12.0, DRIFT_FLOOR * variance)), float)


def winterness(monthly: ArrayLike) -> Array:
    """Return how much of a winter month each month is: 1 in the coldest, 0 in the warmest, 0.5 if all alike.

    w = (T_warm - T)/(T_warm - T_cold), drawn to 0.5 in proportion where T_warm - T_cold is below 4 K

    Parameters
    ----------
    monthly : means, January to December, shape (12,) [K]

    Returns
    -------
    array : w of each month, shape (12,) [-]

    Examples
    --------
    >>> winterness([270.0] * 6 + [290.0] * 6)[5:7], winterness([300.0] * 12)[:2]
    (array([1., 0.]), array([0.5, 0.5]))
    """
    mean = np.asarray(monthly, float)
    middle, width = 0.5 * (mean.max() + mean.min()), max(float(np.ptp(mean)), SEASONLESS)
    return np.asarray(0.5 + (middle - mean) / width, float)
