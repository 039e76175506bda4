"""The coldest night of a place: its temperature, and how sure that number is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate import normals, relations
from sizing.climate.extremes import AVERAGE_YEAR, return_factor, return_minimum, sampling_error
from sizing.climate.places import AnnualMinimum, Normals, Place

Array = NDArray[np.float64]

RECORD_YEARS = 25.0
"""Years behind a printed M and s [a]: the editions cover 25 or 26 years (recalled for most)."""
NORMAL_ERROR = 0.61
"""Standard error of a winter monthly mean [K]: two tables of a place differ by up to 1 K (taken as 90 %)."""
THERMOMETER_EXCESS = (1.0, 0.25)
"""By how much a thermometer that keeps extremes shows a wider day than hourly readings: 0.6 to 1.4 K."""
FIT_COUNTRIES = ("CA", "US")
"""Where nearly all stations of the fit stand."""
MISFIT_ELSEWHERE = 5.0
"""Spread of M from normals outside the fit's range or countries [K], our judgement: half as much again."""
NINETY = 1.6448536269514722
"""Half width of a 90 % interval over the standard error [-]."""


class UnknownWinterError(ValueError):
    """Nothing is held of a place from which a coldest night could be told."""


@dataclass(frozen=True)
class ColdMonth:
    """Mean and mean daily range (hourly kind) of the coldest month, with standard errors [K]."""

    mean: float
    daily_range: float
    mean_error: float
    range_error: float


@dataclass(frozen=True)
class ColdestNight:
    """Outdoor air in the coldest night of one year in n: best value, standard error and 90 % interval [K].

    All arrays have the shape of ``return_period_years`` [a]. ``basis`` is that of :class:`AnnualMinimum`, or
    ``stated`` for a night that its owner gave.
    """

    return_period_years: Array
    temperature: Array
    standard_error: Array
    basis: str
    within_fit: bool

    @property
    def low(self) -> Array:
        """Cold end of the 90 % interval [K]."""
        return self.temperature - NINETY * self.standard_error

    @property
    def high(self) -> Array:
        """Warm end of the 90 % interval [K]."""
        return self.temperature + NINETY * self.standard_error


def cold_month(monthly: Normals) -> ColdMonth | None:
    """Return the coldest month of monthly normals, None where no mean follows from them.

    A mean that is not held is taken as (maximum + minimum)/2, a daily range that is not held as that of the
    stations of the fit, with their spread.

    >>> from sizing.climate import find
    >>> cold_month(find("Winnipeg").normals).mean < 260.0
    True
    """
    mean, top, bottom = (np.array(x) for x in (monthly.mean, monthly.maximum, monthly.minimum))
    mean = np.where(np.isnan(mean), 0.5 * (top + bottom), mean)
    if np.isnan(mean).any():
        return None
    month = int(np.argmin(mean))
    daily, error = float(top[month] - bottom[month]), 0.0
    if np.isnan(daily):
        daily, error = normals.TYPICAL_COLD_RANGE
    elif monthly.daily_range != "hourly":
        # a thermometer's day is wider than the hourly readings that the relations were fitted to
        daily, error = max(daily - THERMOMETER_EXCESS[0], 0.0), THERMOMETER_EXCESS[1]
    return ColdMonth(float(mean[month]), daily, NORMAL_ERROR, error)


def annual_minimum(place: Place) -> AnnualMinimum:
    """Return mean and standard deviation of the coldest hour of a year, from the best that is held.

    Parameters
    ----------
    place : with a record of its own, or else annual extremes, design values or monthly normals

    Returns
    -------
    AnnualMinimum : with the standard error that the way it was found leaves

    Source: ashrae_fundamentals_2009 (tables); else the relations fitted here to those tables.

    Examples
    --------
    >>> from sizing.climate.lookup import find
    >>> annual_minimum(find("Winnipeg")).basis, annual_minimum(find("Iqaluit")).basis
    ('annual extremes', 'monthly normals')

    Raises UnknownWinterError where nothing of the kind is held.
    """
    if place.recorded:
        return place.recorded
    extremes, design = place.extremes, place.design
    if extremes and np.isfinite(extremes.minimum_mean + extremes.minimum_sd):
        return AnnualMinimum(
            extremes.minimum_mean, extremes.minimum_sd, 0.0, 0.0, RECORD_YEARS, "annual extremes", True
        )
    if design and np.isfinite(design.heating_99_6 + design.heating_99):
        return _from_design(design.heating_99_6, design.heating_99)
    month = cold_month(place.normals) if place.normals else None
    if month is None:
        raise UnknownWinterError(
            f"{place.label}: no winter temperatures are held; give the coldest night instead"
        )
    return _from_month(month, place)


def _from_design(heating_99_6: float, heating_99: float) -> AnnualMinimum:
    low, high = relations.RANGE_OF_W
    return AnnualMinimum(
        mean=float(relations.annual_minimum_from_design(heating_99_6)),
        standard_deviation=float(relations.annual_minimum_sd_from_design(heating_99_6, heating_99)),
        mean_error=relations.MINIMUM_BELOW_99_6.misfit,
        sd_error=relations.MINIMUM_SD_BY_W.misfit,
        record=RECORD_YEARS,
        basis="design values",
        within_fit=low <= heating_99 - heating_99_6 <= high,
    )


def _from_month(month: ColdMonth, place: Place) -> AnnualMinimum:
    by_mean, by_range = normals.MINIMUM_BY_NORMALS.slopes
    covered = bool(normals.within_fit(place.latitude, month.mean, month.daily_range))
    covered = covered and place.country in FIT_COUNTRIES
    misfit = normals.MINIMUM_BY_NORMALS.misfit if covered else MISFIT_ELSEWHERE
    return AnnualMinimum(
        mean=float(normals.annual_minimum_from_normals(month.mean, month.daily_range)),
        standard_deviation=float(normals.annual_minimum_sd_from_normals(month.mean, month.daily_range)),
        mean_error=float(
            np.sqrt(misfit**2 + (by_mean * month.mean_error) ** 2 + (by_range * month.range_error) ** 2)
        ),
        sd_error=normals.MINIMUM_SD_BY_NORMALS_MISFIT,
        record=RECORD_YEARS,
        basis="monthly normals",
        within_fit=covered,
    )


def coldest_night(place: Place, return_period_years: ArrayLike = AVERAGE_YEAR) -> ColdestNight:
    """Return the outdoor air in the coldest night of one year in n, with its 90 % interval.

    T = M - F s; the errors of M and s from the way they were found, and from the 25 years they rest on, are
    taken as independent and normal. The interval is about this value, not about the nights of single years.
    Not in it: how far a yard lies from the station, and how the climate changes.

    Parameters
    ----------
    place : of :func:`sizing.climate.lookup.find`, or of ``place_from_coldest_night``
    return_period_years : n, above 1 and up to 50, any shape; the average year if not given [a]

    Returns
    -------
    ColdestNight : arrays of the shape of the return period; a stated night is the same for every n

    Range: 1 < n <= 50.

    Source: ASHRAE Handbook - Fundamentals 2009 / ashrae_fundamentals_2009.

    Examples
    --------
    >>> from sizing.climate.lookup import find
    >>> night = coldest_night(find("Winnipeg, CA"), [5.0, 10.0, 20.0])
    >>> (night.temperature - 273.15).round(1), (night.high - night.low).round(1)
    (array([-37.1, -38.5, -39.9]), array([2.4, 3.3, 4.2]))

    Raises ValueError for n outside the range, UnknownWinterError where nothing is held.
    """
    years = np.asarray(return_period_years, float)
    if place.stated:
        # the period is checked all the same, so that a wrong one never passes in silence
        return_minimum(years, place.stated.temperature, 0.0)
        shape = np.ones_like(years)
        stated = place.stated
        return ColdestNight(years, stated.temperature * shape, stated.standard_error * shape, "stated", True)
    return night_of_minimum(annual_minimum(place), years)


def night_of_minimum(minimum: AnnualMinimum, return_period_years: ArrayLike) -> ColdestNight:
    """Return the coldest night of one year in n from mean and spread of the annual minimum.

    Parameters
    ----------
    minimum : of :func:`annual_minimum`, or of a measured record
    return_period_years : n, above 1 and up to 50, any shape [a]

    Returns
    -------
    ColdestNight : arrays of the shape of the return period

    Range, source and errors as :func:`coldest_night`.

    Examples
    --------
    >>> known = AnnualMinimum(237.75, 2.4, 0.0, 0.0, 25.0, "annual extremes", True)
    >>> float((night_of_minimum(known, 10.0).temperature - 273.15).round(1))
    -38.5
    """
    years = np.asarray(return_period_years, float)
    temperature = return_minimum(years, minimum.mean, minimum.standard_deviation)
    record = sampling_error(years, minimum.standard_deviation, minimum.record)
    error = np.sqrt(minimum.mean_error**2 + (return_factor(years) * minimum.sd_error) ** 2 + record**2)
    return ColdestNight(years, temperature, np.asarray(error), minimum.basis, minimum.within_fit)
