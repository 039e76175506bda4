"""The coldest nights of a measured record: winter by winter, fitted, and beside the handbooks' formula.

A winter belongs together: in the north years run from July to June for minima, in the south the calendar year
does. Which it is follows from the record itself, not from the calendar.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate import relations
from sizing.climate.extremes import return_minimum
from sizing.climate.places import AnnualMinimum, Normals, Place
from sizing.climate.readers.record import Weather
from sizing.climate.season import DAYS, MONTH_OF_DAY

Array = NDArray[np.float64]

FEWEST = 10
"""Winters from which a distribution is fitted, our judgement: below, chance rules the scale."""
WHOLE_WINTER = 0.95
"""Share of its days that a winter must have to count, our judgement."""
TYPICAL_YEAR_MISFIT = 2.9
"""By how much the 0.4 % quantile of a typical year misses the long record's [K], W over 18 files."""
RESAMPLES = 1000
BOOTSTRAP_SEED = 3
NEWTON_ROUNDS = 60


class TooFewYearsError(ValueError):
    """A record is too short for what is asked of it."""


@dataclass(frozen=True)
class Winters:
    """The coldest hour (or daily minimum) of each winter, shape (winters,) [K], and the year it begins in."""

    begins: NDArray[np.int64]
    minimum: Array


@dataclass(frozen=True)
class ReturnLevels:
    """n-year minima by two ways: a fit with its 90 % interval, and the handbooks' formula [K]."""

    return_period_years: Array
    fitted: Array
    low: Array
    high: Array
    formula: Array


def winters(weather: Weather) -> Winters:
    """Return the minimum of each whole winter of a record; a typical year is one winter.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    Winters : in order

    Examples
    --------
    >>> days = np.arange(np.datetime64("2001-01-01"), np.datetime64("2004-01-01"))
    >>> cold = 283.0 - 20.0 * np.cos(2.0 * np.pi * np.arange(days.size) / 365.25)
    >>> unknown = float("nan")
    >>> record = Weather("x", "daily", unknown, unknown, unknown, days, cold, cold, cold, False, 0, ())
    >>> winters(record).begins
    array([2001, 2002])
    """
    day = weather.time.astype("M8[D]")
    if weather.typical:
        return Winters(np.array([0]), np.array([np.nanmin(weather.minimum)]))
    month = day.astype("M8[M]").astype(int)
    # months since the beginning of the winter year: January in the south, July in the north
    shift = 0 if _southern(weather, month % 12) else 6
    year = 1970 + (month - shift) // 12
    held = np.isfinite(weather.minimum)
    years, of_year = np.unique(year[held], return_inverse=True)
    lowest = np.full(years.size, np.inf)
    np.minimum.at(lowest, of_year, weather.minimum[held])
    per_day = 24 if weather.hourly else 1
    whole = np.bincount(of_year) >= WHOLE_WINTER * 365 * per_day
    return Winters(years[whole], lowest[whole])


def _southern(weather: Weather, month: NDArray[np.int64]) -> bool:
    """Tell whether the coldest month lies between May and September."""
    held = np.isfinite(weather.minimum)
    sums = np.bincount(month[held], weather.minimum[held], minlength=12)
    counts = np.bincount(month[held], minlength=12)
    means = np.divide(sums, counts, out=np.full(12, np.inf), where=counts > 0)
    return bool(4 <= int(np.argmin(means)) <= 8)


def gumbel_of_minima(minima: ArrayLike) -> tuple[Array, Array]:
    """Return location and scale of the Gumbel distribution of minima, by maximum likelihood.

    For y = -minima the scale solves b = mean(y) - Σ y exp(-y/b)/Σ exp(-y/b); location = b ln mean(exp(-y/b)).

    Parameters
    ----------
    minima : one a year, shape (..., years), not all alike [K]

    Returns
    -------
    location : value undercut in 1 - exp(-1) of the years, shape (...) [K]
    scale : shape (...) [K]

    Source: textbook likelihood, from memory; the tests compare SciPy's fit.

    Examples
    --------
    >>> location, scale = gumbel_of_minima([240.0, 243.0, 238.0, 245.0, 241.0])
    >>> float(location.round(2)), float(scale.round(2))
    (242.62, 2.25)

    Raises ValueError where all minima are alike.
    """
    y = -np.asarray(minima, float)
    mean = y.mean(axis=-1, keepdims=True)
    y = y - mean
    if np.any(np.ptp(y, axis=-1) == 0.0):
        raise ValueError("minima that are all alike have no spread to fit")
    # the moments' scale is near the likelihood's; Newton on the logarithm of the scale keeps it positive
    log_scale = np.log(np.sqrt(6.0) / np.pi * y.std(axis=-1, keepdims=True))
    for _ in range(NEWTON_ROUNDS):
        scale = np.exp(log_scale)
        weight = np.exp(-(y - y.min(axis=-1, keepdims=True)) / scale)
        weight /= weight.sum(axis=-1, keepdims=True)
        first = np.sum(y * weight, axis=-1, keepdims=True)
        second = np.sum(y**2 * weight, axis=-1, keepdims=True)
        slope = scale + (second - first**2) / scale
        log_scale = log_scale - np.clip((scale + first) / slope, -0.5, 0.5)
    scale = np.exp(log_scale)
    least = y.min(axis=-1, keepdims=True)
    location = scale * np.log(np.mean(np.exp(-(y - least) / scale), axis=-1, keepdims=True)) - least
    return np.asarray((location - mean)[..., 0]), np.asarray(scale[..., 0])


def fitted_minimum(years: ArrayLike, location: ArrayLike, scale: ArrayLike) -> Array:
    """Return the value that minima fall below once in n years, location + scale ln(-ln(1 - 1/n)).

    Parameters
    ----------
    years : n, above 1 [a]
    location, scale : of :func:`gumbel_of_minima` [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Examples
    --------
    >>> float(fitted_minimum(10.0, 242.7, 2.16).round(2))
    237.84
    """
    n = np.asarray(years, float)
    return np.asarray(np.asarray(location, float) + np.asarray(scale, float) * np.log(-np.log1p(-1.0 / n)))


def return_levels(minima: ArrayLike, years: ArrayLike) -> ReturnLevels:
    """Return n-year minima by a fit with its 90 % interval, beside the handbooks' formula on mean and spread.

    The interval is that of 1000 records of the same length drawn from the fit and fitted again.

    Parameters
    ----------
    minima : one a winter, shape (winters,) [K]
    years : n, above 1 and up to 50, shape (periods,) [a]

    Returns
    -------
    ReturnLevels : of each period

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> levels = return_levels(245.0 - rng.gumbel(0.0, 2.5, 30), [10.0])
    >>> bool(levels.low[0] < levels.fitted[0] < levels.high[0])
    True

    Raises TooFewYearsError below ten winters.
    """
    values, n = np.asarray(minima, float), np.atleast_1d(np.asarray(years, float))
    if values.size < FEWEST:
        raise TooFewYearsError(f"{values.size} winters are too few for a fit: {FEWEST} are needed")
    location, scale = gumbel_of_minima(values)
    rng = np.random.default_rng(BOOTSTRAP_SEED)
    again = gumbel_of_minima(location - rng.gumbel(0.0, scale, (RESAMPLES, values.size)))
    drawn = fitted_minimum(n, again[0][:, None], again[1][:, None])
    low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
    formula = return_minimum(n, values.mean(), values.std(ddof=1))
    return ReturnLevels(n, fitted_minimum(n, location, scale), low, high, formula)


def annual_minimum_of_record(weather: Weather) -> AnnualMinimum:
    """Return mean and spread of the annual minimum as a file shows them, with their honest errors.

    Ten whole winters or more speak for themselves. Fewer hourly ones give the mean, and the spread by way of
    T99 and T99.6. One typical year, which lacks the tails, gives both by way of these two, 2.9 K uncertain.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    AnnualMinimum : of basis ``weather file`` or ``typical year``

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
    >>> cold = 280.0 - 15.0 * np.cos(2.0 * np.pi * np.arange(8760) / 8760.0)
    >>> unknown = float("nan")
    >>> year = Weather("x", "EPW", unknown, unknown, unknown, hours, cold, cold, cold, True, 0, ())
    >>> annual_minimum_of_record(year).basis
    'typical year'

    Raises TooFewYearsError for a daily record of less than ten winters.
    """
    held = winters(weather)
    count = held.minimum.size
    if count >= FEWEST:
        mean, spread = float(held.minimum.mean()), float(held.minimum.std(ddof=1))
        return AnnualMinimum(mean, spread, 0.0, 0.0, float(count), "weather file", True)
    if not weather.hourly:
        raise TooFewYearsError(
            f"{count} whole winters of daily values are too few: {FEWEST} are needed, or hourly values"
        )
    cold, next_cold = (float(x) for x in np.quantile(weather.temperature, [0.004, 0.01]))
    spread = float(relations.annual_minimum_sd_from_design(cold, next_cold))
    sd_error = relations.MINIMUM_SD_BY_W.misfit
    if weather.typical or not count:
        mean = float(relations.annual_minimum_from_design(cold))
        error = float(np.hypot(TYPICAL_YEAR_MISFIT, relations.MINIMUM_BELOW_99_6.misfit))
        return AnnualMinimum(mean, spread, error, sd_error, 1.0e9, "typical year", True)
    mean = float(held.minimum.mean())
    return AnnualMinimum(mean, spread, 0.0, sd_error, float(count), "weather file", True)


def place_of_record(weather: Weather) -> Place:
    """Return a weather file as a place: its months, and its winters with their honest errors.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    Place : of kind ``file``, for ``coldest_night`` and all that asks for a place

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
    >>> cold = 280.0 - 15.0 * np.cos(2.0 * np.pi * np.arange(8760) / 8760.0)
    >>> unknown = float("nan")
    >>> year = Weather("x", "EPW", unknown, unknown, unknown, hours, cold, cold, cold, True, 0, ())
    >>> place_of_record(year).recorded.basis
    'typical year'

    Raises TooFewYearsError for a daily record of less than ten winters.
    """
    low, mean, high = (_monthly(weather, part) for part in ("minimum", "temperature", "maximum"))
    kind = "hourly" if weather.hourly else "thermometer"
    return Place(
        name=weather.name,
        country="",
        kind="file",
        latitude=weather.latitude,
        longitude=weather.longitude,
        elevation=weather.elevation,
        normals=Normals(mean, high, low, kind, "", ""),
        design=None,
        extremes=None,
        stated=None,
        sources=(),
        edition="",
        status="file",
        note="",
        recorded=annual_minimum_of_record(weather),
    )


def _monthly(weather: Weather, part: str) -> tuple[float, ...]:
    by_year = days_of_years(weather, part)
    columns = [by_year[:, month == MONTH_OF_DAY] for month in range(12)]
    return tuple(
        float(np.mean(each[np.isfinite(each)])) if np.isfinite(each).any() else np.nan for each in columns
    )


def days_of_years(weather: Weather, part: str) -> Array:
    """Return a quantity of each day of each calendar year; 29 February is left out.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`
    part : ``minimum``, ``temperature`` for the mean, or ``maximum``

    Returns
    -------
    array : shape (years, 365), NaN where not held [K]

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
    >>> clock = 280.0 + np.tile(np.arange(24.0), 365)
    >>> unknown = float("nan")
    >>> year = Weather("x", "EPW", unknown, unknown, unknown, hours, clock, clock, clock, True, 0, ())
    >>> days_of_years(year, "maximum")[0, :2]
    array([303., 303.])
    """
    values: Array = getattr(weather, part)
    day = weather.time.astype("M8[D]")
    if weather.hourly:
        days, first = np.unique(day, return_index=True)
        reduce = {"minimum": np.minimum, "maximum": np.maximum, "temperature": np.add}[part]
        values = np.asarray(reduce.reduceat(values, first), float)
        if part == "temperature":
            values = values / np.diff(np.append(first, day.size))
        day = days
    year = day.astype("M8[Y]")
    of_year = (day - year.astype("M8[D]")).astype(int)
    leap = np.asarray((year + 1).astype("M8[D]") - year.astype("M8[D]")).astype(int) == 366
    kept = ~(leap & (of_year == 59))
    of_year = of_year - (leap & (of_year > 59))
    row = (year - year[0]).astype(int)
    found = np.full((int(row[-1]) + 1, DAYS), np.nan)
    found[row[kept], of_year[kept]] = values[kept]
    return found
