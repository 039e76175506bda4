"""A year at a place or in a weather file, reduced to what a picture and a few sentences need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sizing.climate.extremes import AVERAGE_YEAR
from sizing.climate.generate import UnknownNormalsError, hourly_years, weather_model
from sizing.climate.gumbel import FEWEST, ReturnLevels, TooFewYearsError, return_levels
from sizing.climate.nights import ColdestNight, UnknownWinterError, coldest_night, night_of_minimum
from sizing.climate.places import ZERO_CELSIUS, Place
from sizing.climate.readers import Weather
from sizing.climate.record_extremes import annual_minimum_of_record, days_of_years, winters
from sizing.climate.season import DAYS, MONTH_OF_DAY
from sizing.climate.weather_statistics import equivalent_temperature, hours_below, over_months

Array = NDArray[np.float64]

PERIODS = (AVERAGE_YEAR, 5.0, 10.0, 20.0, 50.0)
"""Return periods that are shown [a]."""
YEARS = 200
"""Generated years behind a picture: the 5 % quantile of a day then rests on ten of them."""
WINDOW = 7
"""Days before and after a day of a file that count for its quantiles [d], our judgement."""
BAND = (0.05, 0.95)
COLD, HOT = ZERO_CELSIUS - 18.0, ZERO_CELSIUS + 35.0
"""Where hours are counted [K]: the temperature of the cold-cranking test, and heat that ages batteries."""


@dataclass(frozen=True, eq=False)
class DayBands:
    """The days of the year: quantiles and a sample, each of shape (365,) [K].

    low : undercut by the coldest hour of that day in 5 of 100 years
    high : exceeded by its hottest hour in 5 of 100
    mean : of the day
    sample_low, sample_high : coldest and hottest hour of the days of one single year
    """

    low: Array
    high: Array
    mean: Array
    sample_low: Array
    sample_high: Array


@dataclass(frozen=True, eq=False)
class MonthTable:
    """Means of daily minimum, mean and maximum, January to December, shape (12,) [K]."""

    low: Array
    mean: Array
    high: Array


@dataclass(frozen=True, eq=False)
class WeatherYear:
    """What is known of the weather of a place or of a file.

    name : as shown [-]
    kind : that of the place (``real``, ``invented``, ``stated``), or ``file`` [-]
    bands, months : None where nothing is held that a year could be made from
    nights : of :data:`PERIODS`, None where no winter is known
    levels : fit beside formula, of a file with enough winters
    winters : whole ones in a file [a]
    equal_ageing : constant temperature that ages a battery as the year does, twice as fast every 10 K [K]
    cold_hours, hot_hours : of a year below -18 and above 35 °C [h]
    notes : what was understood, assumed or is missing, a sentence each [-]
    """

    name: str
    kind: str
    bands: DayBands | None
    months: MonthTable | None
    nights: ColdestNight | None
    levels: ReturnLevels | None
    winters: int
    equal_ageing: float
    cold_hours: float
    hot_hours: float
    notes: tuple[str, ...]


def year_of_place(place: Place, *, seed: int = 0) -> WeatherYear:
    """Return the year of a place, from years made up from its normals.

    Parameters
    ----------
    place : of :func:`sizing.climate.find`
    seed : of the made-up years [-]

    Returns
    -------
    WeatherYear : without bands where no monthly means are held

    Examples
    --------
    >>> from sizing.climate import find
    >>> year = year_of_place(find("Winnipeg"))
    >>> bool(year.bands.low[15] < year.bands.mean[15] < year.bands.high[15])
    True
    """
    notes: tuple[str, ...] = ()
    nights, bands, months = None, None, None
    ageing = cold = hot = float("nan")
    try:
        nights = coldest_night(place, np.array(PERIODS))
    except UnknownWinterError as error:
        notes += (f"{error}.",)
    try:
        model = weather_model(place)
    except UnknownNormalsError as error:
        notes += (f"{error}; no year can be made up.",)
    else:
        hours = hourly_years(model, YEARS, seed=seed)
        days = hours.reshape(YEARS, DAYS, 24)
        low, high = np.asarray(days.min(axis=2), float), np.asarray(days.max(axis=2), float)
        mean = np.asarray(days.mean(axis=2, dtype=float), float)
        bands = _bands(low, high, mean, window=0)
        months = MonthTable(over_months(low), over_months(mean), over_months(high))
        ageing = equivalent_temperature(hours)
        cold, hot = hours_below(hours, COLD), 24.0 * DAYS - hours_below(hours, HOT)
        notes += model.guessed
    return WeatherYear(place.label, place.kind, bands, months, nights, None, 0, ageing, cold, hot, notes)


def year_of_file(weather: Weather) -> WeatherYear:
    """Return the year of a weather file, from what it holds and no more.

    Parameters
    ----------
    weather : of :func:`sizing.climate.readers.read_weather`

    Returns
    -------
    WeatherYear : coldest nights from its winters where there are enough

    Examples
    --------
    >>> hours = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
    >>> cold = 280.0 - 15.0 * np.cos(2.0 * np.pi * np.arange(8760) / 8760.0)
    >>> unknown = float("nan")
    >>> file = Weather("x", "EPW", unknown, unknown, unknown, hours, cold, cold, cold, True, 0, ())
    >>> year_of_file(file).nights.basis
    'typical year'
    """
    low, mean, high = (days_of_years(weather, part) for part in ("minimum", "temperature", "maximum"))
    months = MonthTable(*(_months(part) for part in (low, mean, high)))
    held, notes = winters(weather), weather.notes
    nights, levels = None, None
    try:
        nights = night_of_minimum(annual_minimum_of_record(weather), np.array(PERIODS))
    except TooFewYearsError as error:
        notes += (f"{error}.",)
    if held.minimum.size >= FEWEST:
        levels = return_levels(held.minimum, np.array(PERIODS))
    ageing = cold = hot = float("nan")
    if weather.hourly:
        ageing = equivalent_temperature(weather.temperature)
        per_year = 24.0 * DAYS / weather.temperature.size
        cold = per_year * float(np.count_nonzero(weather.temperature < COLD))
        hot = per_year * float(np.count_nonzero(weather.temperature > HOT))
    bands = _bands(low, high, mean, window=WINDOW)
    count = 0 if weather.typical else held.minimum.size
    return WeatherYear(weather.name, "file", bands, months, nights, levels, count, ageing, cold, hot, notes)


def _months(by_year: Array) -> Array:
    columns = [by_year[:, month == MONTH_OF_DAY].reshape(-1, 1) for month in range(12)]
    return np.array([_each_day(np.nanmean, column)[0] for column in columns])


def _each_day(reduce: Callable[..., Array], values: Array) -> Array:
    """Return what is found of each column, NaN where nothing is held of it."""
    found = np.full(values.shape[1], np.nan)
    held = np.isfinite(values).any(axis=0)
    found[held] = reduce(values[:, held], axis=0)
    return found


def _bands(low: Array, high: Array, mean: Array, *, window: int) -> DayBands:
    fullest = int(np.argmax(np.isfinite(low).sum(axis=1)))
    return DayBands(
        low=_each_day(partial(np.nanquantile, q=BAND[0]), _around(low, window)),
        high=_each_day(partial(np.nanquantile, q=BAND[1]), _around(high, window)),
        mean=_each_day(np.nanmean, _around(mean, window)),
        sample_low=low[fullest],
        sample_high=high[fullest],
    )


def _around(by_year: Array, window: int) -> Array:
    """Return the days together with those before and after, shape (years times days looked at, 365)."""
    if not window:
        return by_year
    return np.concatenate([np.roll(by_year, shift, axis=1) for shift in range(-window, window + 1)])
