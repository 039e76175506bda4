"""What many hourly years are like: how days differ and follow each other, hours beyond a limit."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.places import ZERO_CELSIUS
from sizing.climate.season import DAYS, MONTH_OF_DAY

Array = NDArray[np.float64]
Hours = NDArray[np.float64] | NDArray[np.float32]


def by_day(hours: Hours) -> Hours:
    """Return years of hours as days: shape (years, 365, 24).

    >>> by_day(np.zeros((2, 8760))).shape
    (2, 365, 24)
    """
    return hours.reshape(-1, DAYS, 24)


def over_months(daily: ArrayLike) -> Array:
    """Return the mean over years and over the days of each month.

    Parameters
    ----------
    daily : a quantity of each day, shape (years, 365) [any unit]

    Returns
    -------
    array : January to December, shape (12,) [any unit]

    Examples
    --------
    >>> over_months(np.ones((3, 365)))[:2]
    array([1., 1.])
    """
    of_day = np.asarray(daily, float).mean(axis=0)
    return np.array([of_day[month == MONTH_OF_DAY].mean() for month in range(12)])


def daily_means(hours: Hours) -> Array:
    """Return the mean of every day.

    Parameters
    ----------
    hours : temperatures, shape (years, 8760) [K]

    Returns
    -------
    array : shape (years, 365) [K]

    Examples
    --------
    >>> daily_means(np.full((1, 8760), 280.0))[0, :2]
    array([280., 280.])
    """
    return np.asarray(by_day(hours).mean(axis=2, dtype=float), float)


def daily_ranges(hours: Hours) -> Array:
    """Return hottest less coldest hour of every day.

    Parameters
    ----------
    hours : temperatures, shape (years, 8760) [K]

    Returns
    -------
    array : shape (years, 365) [K]

    Examples
    --------
    >>> float(daily_ranges(np.tile(np.arange(24.0), 365)[None, :])[0, 0])
    23.0
    """
    days = by_day(hours)
    return np.asarray(days.max(axis=2) - days.min(axis=2), float)


def spread_within_months(daily: ArrayLike) -> Array:
    """Return the standard deviation of daily means within each month, the root mean square over years.

    Parameters
    ----------
    daily : mean of each day, shape (years, 365) [K]

    Returns
    -------
    array : January to December, shape (12,) [K]

    Examples
    --------
    >>> float(spread_within_months(np.tile([1.0, -1.0], 365)[None, :365])[0].round(2))
    1.02
    """
    values = np.asarray(daily, float)
    months = (values[:, month == MONTH_OF_DAY] for month in range(12))
    return np.array([np.sqrt(np.mean(np.var(one, axis=1, ddof=1))) for one in months])


def lag_1_within_months(daily: ArrayLike) -> Array:
    """Return how much of a daily mean is left the next day, estimated in each single month as files are.

    Parameters
    ----------
    daily : mean of each day, shape (years, 365) [K]

    Returns
    -------
    array : mean over years of the correlation, January to December, shape (12,) [-]

    Range: an estimate from 30 days is about (1 + 4 ρ)/30 too low, in files and here alike.

    Examples
    --------
    >>> float(lag_1_within_months(np.tile([1.0, -1.0], 365)[None, :365])[0].round(3))
    -0.968
    """
    values = np.asarray(daily, float)
    found = []
    for month in range(12):
        one = values[:, month == MONTH_OF_DAY]
        one = one - one.mean(axis=1, keepdims=True)
        found.append(np.mean(np.sum(one[:, 1:] * one[:, :-1], axis=1) / np.sum(one**2, axis=1)))
    return np.array(found)


def spread_of_monthly_means(daily: ArrayLike) -> Array:
    """Return the standard deviation over years of the mean of each month.

    Parameters
    ----------
    daily : mean of each day, shape (years, 365), at least two years [K]

    Returns
    -------
    array : January to December, shape (12,) [K]

    Examples
    --------
    >>> spread_of_monthly_means([[1.0] * 365, [3.0] * 365])[:2].round(3)
    array([1.414, 1.414])
    """
    values = np.asarray(daily, float)
    return np.array([values[:, month == MONTH_OF_DAY].mean(axis=1).std(ddof=1) for month in range(12)])


def periodic_share_of_range(hours: Hours) -> Array:
    """Return span of the mean day over the mean daily range, month by month and averaged over years.

    Parameters
    ----------
    hours : temperatures, shape (years, 8760) [K]

    Returns
    -------
    array : January to December, shape (12,) [-]

    Examples
    --------
    >>> float(periodic_share_of_range(np.tile(np.arange(24.0), 365)[None, :])[0])
    1.0
    """
    days, found = by_day(hours), []
    for month in range(12):
        one = days[:, month == MONTH_OF_DAY]
        spans = np.ptp(one.mean(axis=1, dtype=float), axis=1)
        found.append(np.mean(spans) / np.mean(one.max(axis=2) - one.min(axis=2)))
    return np.array(found)


def equivalent_temperature(temperature: ArrayLike) -> float:
    """Return the constant temperature of equal ageing when the rate doubles every 10 K.

    T_eq = 10 log2(mean of 2^(T/10))

    Parameters
    ----------
    temperature : of each hour, any shape [K]

    Returns
    -------
    float : temperature [K]

    Source: derived, as table ``climate_typical_year_hours`` has it.

    Examples
    --------
    >>> round(equivalent_temperature([283.15, 303.15]), 2)
    296.37
    """
    tens = (np.asarray(temperature, float) - ZERO_CELSIUS) / 10.0
    return float(ZERO_CELSIUS + 10.0 * np.log2(np.mean(np.exp2(tens))))


def hours_below(hours: Hours, limit: float) -> float:
    """Return the mean number of hours of a year below a temperature.

    Parameters
    ----------
    hours : temperatures, shape (years, hours of the year) [K]
    limit : temperature [K]

    Returns
    -------
    float : hours of a year [h]

    Examples
    --------
    >>> hours_below(np.array([[1.0, 2.0, 3.0]]), 2.5)
    2.0
    """
    return float(np.count_nonzero(hours < limit) / hours.shape[0])
