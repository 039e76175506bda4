"""The temperatures of a parked battery over weeks: made-up or measured years of the place, or a constant."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place, Shelter, battery_time_constant
from sizing.climate.generate import hourly_years
from sizing.climate.lag import amplitude_left
from sizing.climate.normals import TYPICAL_COLD_RANGE
from sizing.climate.places import Normals
from sizing.climate.season import DAYS, seasonal_mean
from sizing.climate.shelter import HOUSE, unheated_room
from sizing.simulate.sampling import Samples
from sizing.simulate.standing import battery_temperature

Array = NDArray[np.float64]

DAY_HOURS = 24
LEAP_DAY = (2, 29)  # a year of weather has 365 days: the leap day is a second 28 February


@dataclass(frozen=True)
class Weather:
    """Temperatures of the battery while it stands.

    hourly : at the end of each hour, shape (hours, unknown, varies) [K]
    coldest : of each day, shape (days, unknown, varies) [K]
    expected : on the usual morning of each day, shape (days, unknown, 1) [K]
    """

    hourly: Array
    coldest: Array
    expected: Array


def constant_weather(temperature: float, days: int) -> Weather:
    """Return the weather of a room at one temperature.

    Parameters
    ----------
    temperature : of air and battery [K]
    days : how many [d]

    Returns
    -------
    Weather : of shape (..., 1, 1) [K]

    Examples
    --------
    >>> constant_weather(298.15, 2).coldest.shape
    (2, 1, 1)
    """
    daily = np.full((days, 1, 1), float(temperature))
    return Weather(np.full((days * DAY_HOURS, 1, 1), float(temperature)), daily, daily)


def days_of_year(start: date, days: int) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Return year, counted from that of the start, and day of the year of each day.

    Parameters
    ----------
    start : first day [-]
    days : how many [d]

    Returns
    -------
    tuple : years from 0, days from 0 to 364, both of shape (days,) [-]

    Examples
    --------
    >>> days_of_year(date(2024, 2, 28), 3)[1].tolist()
    [58, 58, 59]
    """
    found = [start + timedelta(days=n) for n in range(days)]
    years = np.array([each.year - start.year for each in found])
    usual = [each.replace(day=28) if (each.month, each.day) == LEAP_DAY else each for each in found]
    places = [(each.replace(year=2023) - date(2023, 1, 1)).days for each in usual]
    return years, np.array(places)


def made_up_air(place: Place, start: date, days: int, years: int, seed: int) -> Array:
    """Return hourly air outdoors from a day on, in so many made-up years.

    Parameters
    ----------
    place : with monthly normals [-]
    start : first day [-]
    days : how many [d]
    years : how many [-]
    seed : the same seed gives the same weather [-]

    Returns
    -------
    array : shape (24 days, 1, years) [K]

    Raises
    ------
    UnknownNormalsError : when nothing is held of the place's months.

    Examples
    --------
    >>> from sizing.climate import find
    >>> made_up_air(find("Winnipeg"), date(2025, 12, 30), 4, 2, 1).shape
    (96, 1, 2)
    """
    year, _ = days_of_year(start, days)
    made = np.asarray(hourly_years(place, years + int(year[-1]), seed=seed), float)
    return air_of_years(made.reshape(len(made), DAYS, DAY_HOURS), start, days, years)


def air_of_years(held: Array, start: date, days: int, years: int) -> Array:
    """Return hourly air outdoors from a day on, cut from whole years of weather.

    Parameters
    ----------
    held : years one after the other, shape (years held, 365, 24) [K]
    start : first day [-]
    days : how many [d]
    years : how many winters are wanted; those held are taken in turn where they are fewer [-]

    Returns
    -------
    array : shape (24 days, 1, years) [K]

    Examples
    --------
    >>> air_of_years(np.full((2, 365, 24), 270.0), date(2025, 12, 30), 4, 3).shape
    (96, 1, 3)
    """
    year, day = days_of_year(start, days)
    air = np.stack([held[(n + year) % len(held), day].reshape(-1) for n in range(years)], axis=-1)
    return air[:, None, :]


def usual_days(months: Normals, start: date, days: int) -> tuple[Array, Array]:
    """Return mean and coldest hour of the usual day outdoors, for each day from a day on.

    Parameters
    ----------
    months : normals of the place [-]
    start : first day [-]
    days : how many [d]

    Returns
    -------
    tuple : mean, coldest, of the smooth curves through the monthly normals, shape (days,) [K]

    Examples
    --------
    >>> from sizing.climate import find
    >>> mean, coldest = usual_days(find("Winnipeg").normals, date(2025, 10, 20), 100)
    >>> bool(np.all(coldest < mean))
    True
    """
    mean, high, low = (np.array(x, float) for x in (months.mean, months.maximum, months.minimum))
    mean = np.where(np.isnan(mean), 0.5 * (high + low), mean)
    low = np.where(np.isnan(low), mean - 0.5 * TYPICAL_COLD_RANGE[0], low)
    _, day = days_of_year(start, days)
    return seasonal_mean(mean)[day], seasonal_mean(low)[day]


def sheltered_air(air: Array, shelter: Shelter, place_in_range: Array) -> Array:
    """Return the air at the vehicle: a room follows the day's mean and keeps a share of its swing.

    Parameters
    ----------
    air : outdoors, of whole days, shape (hours, ...) [K]
    shelter : with its ranges of reduction and swing [-]
    place_in_range : where in those ranges this one lies, 0 to 1 [-]

    Returns
    -------
    array : broadcast shape (hours, ...) [K]

    Examples
    --------
    >>> from sizing.climate import find_shelter
    >>> float(sheltered_air(np.full((24, 1), 263.15), find_shelter("street"), np.array([0.5])).min())
    263.15
    """
    reduction, swing = shelter.reduction, shelter.swing
    b = reduction.low + (reduction.high - reduction.low) * place_in_range
    share = swing.low + (swing.high - swing.low) * place_in_range
    days = air.reshape(-1, DAY_HOURS, *air.shape[1:])
    mean = days.mean(axis=1, keepdims=True)
    room = unheated_room(mean, HOUSE[1], b) if reduction.low < 1.0 else mean
    local = room + share * (days - mean)
    return np.asarray(local.reshape(-1, *local.shape[2:]))


def standing_weather(
    place: Place,
    start: date,
    days: int,
    shelter: Shelter,
    samples: Samples,
    *,
    years: int,
    seed: int,
    mass: float,
    battery: str,
    sleeve: str,
    measured: Array | None = None,
) -> Weather:
    """Return the temperatures of a battery in a vehicle that stands from a day on.

    Parameters
    ----------
    place : with monthly normals [-]
    start : first day [-]
    days : how many [d]
    shelter : where it stands [-]
    samples : drawn [-]
    years : of weather, as many as there are varying samples [-]
    seed : the same seed gives the same weather [-]
    mass : of the battery [kg]
    battery : its type [-]
    sleeve : around it [-]
    measured : whole years of a record instead of made-up ones, shape (years held, 365, 24) [K]

    Returns
    -------
    Weather : of shape (..., unknown, varies) [K]

    Raises
    ------
    UnknownNormalsError : when nothing is held of the place's months.

    Examples
    --------
    >>> from sizing.climate import find, find_shelter
    >>> from sizing.simulate.sampling import draw
    >>> weather = standing_weather(find("Winnipeg"), date(2025, 12, 1), 10, find_shelter("street"),
    ...     draw(8, 4, 1), years=4, seed=1, mass=17.0, battery="AGM", sleeve="none")
    >>> weather.coldest.shape, weather.expected.shape
    ((10, 8, 4), (10, 8, 1))
    """
    lag = battery_time_constant(mass, battery, sleeve=sleeve)
    slow = lag.low + (lag.high - lag.low) * samples["lag"]
    if measured is None:
        outdoors = made_up_air(place, start, days, years, seed)
    else:
        outdoors = air_of_years(measured, start, days, years)
    hourly = battery_temperature(sheltered_air(outdoors, shelter, samples["shelter"]), slow)
    assert place.normals is not None  # without them no weather was made up
    mean, low = (x[:, None, None] for x in usual_days(place.normals, start, days))
    swing = shelter.swing.low + (shelter.swing.high - shelter.swing.low) * samples["shelter"]
    reduction = shelter.reduction
    b = reduction.low + (reduction.high - reduction.low) * samples["shelter"]
    room = unheated_room(mean, HOUSE[1], b) if reduction.low < 1.0 else mean
    expected = room - swing * (mean - low) * amplitude_left(slow)
    return Weather(hourly, day_minimum(hourly), np.asarray(expected))


def day_minimum(hourly: Array) -> Array:
    """Return the least of each day's 24 hours.

    Parameters
    ----------
    hourly : of whole days, shape (24 days, ...) [any unit]

    Returns
    -------
    array : shape (days, ...) [any unit]

    Examples
    --------
    >>> day_minimum(np.arange(48.0))
    array([ 0., 24.])
    """
    return np.asarray(hourly.reshape(-1, DAY_HOURS, *hourly.shape[1:]).min(axis=1))
