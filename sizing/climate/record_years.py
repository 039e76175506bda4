"""A measured record as whole years of hours, to stand in where years would otherwise be made up."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.climate.readers.record import Weather
from sizing.climate.season import DAYS

Array = NDArray[np.float64]

DAY_HOURS = 24


def whole_years(weather: Weather) -> Array:
    """Return the whole calendar years of an hourly record, leap days left out.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    array : shape (years, 365, 24), without any year where the record is daily or holds none whole [K]

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2023-06-01T00"), np.datetime64("2025-02-01T00"))
    >>> air = np.linspace(260.0, 290.0, hours.size)
    >>> unknown = float("nan")
    >>> record = Weather("x", "hourly", unknown, unknown, unknown, hours, air, air, air, False, 0, ())
    >>> whole_years(record).shape
    (1, 365, 24)
    """
    if weather.kind == "daily":
        return np.empty((0, DAYS, DAY_HOURS))
    day = weather.time.astype("M8[D]")
    year = day.astype("M8[Y]")
    month = day.astype("M8[M]")
    of_month = (day - month.astype("M8[D]")).astype(int) + 1
    leap = (month.astype(int) % 12 == 1) & (of_month == 29)
    found = []
    for each in np.unique(year):
        hours = weather.temperature[(year == each) & ~leap]
        if hours.size == DAYS * DAY_HOURS:
            found.append(hours.reshape(DAYS, DAY_HOURS))
    return np.array(found).reshape(-1, DAYS, DAY_HOURS)
