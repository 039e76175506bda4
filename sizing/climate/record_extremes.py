"""The coldest nights of a measured record: winter by winter, fitted, and beside the handbooks' formula.

A winter belongs together: in the north years run from July to June for minima, in the south the calendar year
does. Which it is follows from the record itself, not from the calendar.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.climate import relations
from sizing.climate.gumbel import FEWEST, TooFewYearsError
from sizing.climate.places import AnnualMinimum, Normals, Place
from sizing.climate.readers.record import Weather
from sizing.climate.season import DAYS, MONTH_OF_DAY

Array = NDArray[np.float64]

WHOLE_WINTER = 0.95
"""Share of its days that a winter must have to count, our judgement."""
TYPICAL_YEAR_MISFIT = 2.9
"""By how much the 0.4 % quantile of a typical year misses the long record's [K], W over 18 files."""


@dataclass(frozen=True)
class Winters:
    """The coldest hour (or daily minimum) of each winter, shape (winters,) [K], and the year it begins in."""

    begins: NDArray[np.int64]
    minimum: Array


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

    A daily record of less than ten winters has months only; the coldest night then follows from those, with
    the wide error of that way.

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
        recorded=_recorded(weather),
    )


def _recorded(weather: Weather) -> AnnualMinimum | None:
    try:
        return annual_minimum_of_record(weather)
    except TooFewYearsError:
        return None


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
