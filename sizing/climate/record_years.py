"""A measured record as whole years of hours, to stand in where years would otherwise be made up."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.climate.day_shapes import handbook_shape
from sizing.climate.normals import TYPICAL_COLD_RANGE
from sizing.climate.readers.record import Stamps, Weather
from sizing.climate.season import DAYS

Array = NDArray[np.float64]

DAY_HOURS = 24
LONGEST_GAP = 3
"""Days in a row whose minimum and maximum may be filled by straight lines [d], our judgement."""


def whole_years(weather: Weather) -> Array:
    """Return the whole years of a record hour by hour, leap days left out.

    Calendar years where there are any; else the first 365 days in a row, put into the order of a calendar
    year. Each day of a daily record keeps its own minimum and maximum, with one published shape of the day
    between them; of means alone the usual daily range of a cold month is laid around them.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    array : shape (years, 365, 24), without any year where the record holds none whole [K]

    Notes
    -----
    Source of the shape: table ``climate_diurnal_shapes`` (ashrae_rp_1363). Up to three missing days of a
    daily record are filled.

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2023-06-01T00"), np.datetime64("2025-02-01T00"))
    >>> air = np.linspace(260.0, 290.0, hours.size)
    >>> unknown = float("nan")
    >>> record = Weather("x", "hourly", unknown, unknown, unknown, hours, air, air, air, False, 0, ())
    >>> whole_years(record).shape
    (1, 365, 24)
    """
    day, air = _of_daily(weather) if weather.kind == "daily" else _of_hourly(weather)
    ordinary = ~_leap_days(day)
    day, air = day[ordinary], air[ordinary]
    whole = np.asarray(np.isfinite(air).all(axis=1), bool)
    year = day.astype("M8[Y]")
    calendar = [
        air[year == each] for each in np.unique(year) if np.count_nonzero(whole[year == each]) == DAYS
    ]
    if calendar:
        return np.array(calendar)
    run = _first_run(whole)
    if run is None:
        return np.empty((0, DAYS, DAY_HOURS))
    # from its own first day to the first of January, so that every day lies at its place of the year
    first = day[run]
    ordinal = int((first - first.astype("M8[Y]").astype("M8[D]")).astype(int))
    after_february = int((first.astype("M8[M]") - first.astype("M8[Y]").astype("M8[M]")).astype(int)) >= 2
    ordinal -= int(after_february and _is_leap(first))
    return np.roll(air[run : run + DAYS], ordinal, axis=0)[None]


def first_gap(weather: Weather) -> str:
    """Return in words why a daily record holds no whole year: its first gap longer than three days.

    >>> days = np.arange(np.datetime64("2023-01-01"), np.datetime64("2024-01-01"))
    >>> cold = np.where((days >= days[40]) & (days < days[50]), np.nan, 270.0)
    >>> record = Weather("x", "daily", 0.0, 0.0, 0.0, days, cold, cold, cold, False, 0, ())
    >>> first_gap(record)
    '10 days in a row from 2023-02-10 on without a temperature; up to 3 are filled'
    """
    missing = ~np.isfinite(weather.minimum + weather.maximum)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], missing, [False]]).astype(np.int8)))
    long = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > LONGEST_GAP]
    if not long:
        return "no 365 days in a row"
    begin, end = long[0]
    day = weather.time.astype("M8[D]")[begin]
    return f"{end - begin} days in a row from {day} on without a temperature; up to {LONGEST_GAP} are filled"


def _of_hourly(weather: Weather) -> tuple[Stamps, Array]:
    """Return the days of an hourly record that are whole, shape (days, 24)."""
    hour = weather.time.astype("M8[h]").astype(int) % DAY_HOURS
    begin = int(np.flatnonzero(hour == 0)[0])
    count = (weather.temperature.size - begin) // DAY_HOURS
    part = slice(begin, begin + count * DAY_HOURS)
    day = weather.time[part][::DAY_HOURS].astype("M8[D]")
    return day, weather.temperature[part].reshape(count, DAY_HOURS)


def _of_daily(weather: Weather) -> tuple[Stamps, Array]:
    """Return the days of a daily record with hours between their minimum and maximum, shape (days, 24)."""
    low, high = _filled(weather.minimum), _filled(weather.maximum)
    below = handbook_shape()
    if not np.any(high > low):
        # of means alone: a day whose mean is the file's
        usual, mean = TYPICAL_COLD_RANGE[0], float(below.mean())
        low, high = low - (1.0 - mean) * usual, high + mean * usual
    return weather.time.astype("M8[D]"), high[:, None] - below * (high - low)[:, None]


def _filled(values: Array) -> Array:
    """Return values with short gaps filled by straight lines, longer ones left."""
    missing = ~np.isfinite(values)
    if not missing.any() or missing.all():
        return values
    place = np.arange(values.size)
    straight = np.interp(place, place[~missing], values[~missing])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], missing, [False]]).astype(np.int8)))
    found = values.copy()
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        if end - begin <= LONGEST_GAP:
            found[begin:end] = straight[begin:end]
    return found


def _leap_days(day: Stamps) -> NDArray[np.bool_]:
    month = day.astype("M8[M]")
    of_month = (day - month.astype("M8[D]")).astype(int) + 1
    return np.asarray((month.astype(int) % 12 == 1) & (of_month == 29))


def _is_leap(day: np.datetime64) -> bool:
    year = day.astype("M8[Y]")
    return int(((year + 1).astype("M8[D]") - year.astype("M8[D]")).astype(int)) > DAYS


def _first_run(whole: NDArray[np.bool_]) -> int | None:
    """Return where the first 365 whole days in a row begin."""
    counted = np.concatenate([[0], np.cumsum(whole)])
    starts = np.flatnonzero(counted[DAYS:] - counted[:-DAYS] == DAYS)
    return int(starts[0]) if starts.size else None
