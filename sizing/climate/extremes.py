"""How cold the coldest night of one year in n is, from what the coldest nights of many years were like.

The annual minima (and maxima) of a place are taken as a Gumbel distribution given by their mean M and
standard deviation s over years, as the handbooks' tables of climatic design information print them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

EULER = 0.5772
"""Euler's constant as the formula prints it [-]; ashrae_fundamentals_2009 (recalled)."""
SCALE = np.sqrt(6.0) / np.pi
"""Scale of a Gumbel distribution over its standard deviation [-]."""
LONGEST_RETURN_PERIOD = 50.0
"""Longest return period that the tables print [a]; beyond it no temperature is given."""
AVERAGE_YEAR = float(1.0 / (1.0 - np.exp(-np.exp(-EULER))))
"""Return period whose value is the mean of the annual extremes, 2.33 [a]."""
SKEWNESS = 1.1395470994046486
"""Skewness of a Gumbel distribution for maxima, 12 √6 ζ(3)/π³ [-]."""
KURTOSIS = 5.4
"""Kurtosis of a Gumbel distribution [-], exact."""


def return_factor(years: ArrayLike) -> Array:
    """Return by how many standard deviations the n-year value lies beyond the mean extreme.

    F = -(√6/π) (0.5772 + ln ln(n/(n-1)))

    Parameters
    ----------
    years : return period n, above 1, any shape [a]

    Returns
    -------
    array : F, of the same shape [-]

    Range: the algebra of the Gumbel distribution holds for every n above 1; the tables print 5 to 50.

    Raises ValueError for n of 1 or less.

    Source: ASHRAE Handbook - Fundamentals 2009, table ``climate_return_factors`` / ashrae_fundamentals_2009.

    Examples
    --------
    >>> return_factor([5.0, 10.0, 20.0, 50.0]).round(4)
    array([0.7195, 1.3046, 1.8658, 2.5923])
    """
    n = np.asarray(years, float)
    if np.any(n <= 1.0):
        raise ValueError("a return period must be longer than 1 year")
    return np.asarray(-SCALE * (EULER + np.log(np.log(n / (n - 1.0)))), float)


def return_period(deviate: ArrayLike) -> Array:
    """Return the return period of a value that lies this many standard deviations beyond the mean extreme.

    n = 1/(1 - exp(-exp(-(0.5772 + π z/√6)))), the inverse of :func:`return_factor`.

    Parameters
    ----------
    deviate : z, (M - T)/s for cold or (T - M)/s for heat, any shape [-]

    Returns
    -------
    array : n, of the same shape [a]

    Range: as :func:`return_factor`; an answer beyond 50 years is algebra, not climate.

    Source: derived from the formula of ashrae_fundamentals_2009.

    Examples
    --------
    >>> return_period([0.0, 1.0, 2.0]).round(2)
    array([ 2.33,  6.94, 23.66])
    """
    z = np.asarray(deviate, float)
    # expm1 keeps the far tail exact, where 1 - exp(-x) loses its digits
    return np.asarray(-1.0 / np.expm1(-np.exp(-(EULER + z / SCALE))), float)


def return_minimum(years: ArrayLike, mean: ArrayLike, standard_deviation: ArrayLike) -> Array:
    """Return the temperature that the coldest hour of a year undercuts once in n years, T = M - F s.

    Parameters
    ----------
    years : return period n, above 1 and up to 50 [a]
    mean : M, of the annual minimum [K]
    standard_deviation : s, over years of the annual minimum [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range: 1 < n <= 50. The formula has no lower bound: it is a statistic, not physics.

    Raises ValueError for n outside the range, a temperature below absolute zero, a negative deviation.

    Source: ASHRAE Handbook - Fundamentals 2009 / ashrae_fundamentals_2009.

    Examples
    --------
    >>> (return_minimum([5.0, 50.0], 230.45, 3.2) - 273.15).round(1)
    array([-45., -51.])
    """
    m, s = _checked(mean, standard_deviation)
    return np.asarray(m - _printed_factor(years) * s, float)


def return_maximum(years: ArrayLike, mean: ArrayLike, standard_deviation: ArrayLike) -> Array:
    """Return the temperature that the hottest hour of a year exceeds once in n years, T = X + F s_x.

    Parameters
    ----------
    years : return period n, above 1 and up to 50 [a]
    mean : X, of the annual maximum [K]
    standard_deviation : s_x, over years of the annual maximum [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range, errors and source as :func:`return_minimum`.

    Examples
    --------
    >>> float((return_maximum(20.0, 318.95, 1.5) - 273.15).round(1))
    48.6
    """
    m, s = _checked(mean, standard_deviation)
    return np.asarray(m + _printed_factor(years) * s, float)


def return_period_of_minimum(temperature: ArrayLike, mean: ArrayLike, standard_deviation: ArrayLike) -> Array:
    """Return once in how many years a night as cold as this comes.

    Parameters
    ----------
    temperature : of the night, any shape [K]
    mean : M, of the annual minimum [K]
    standard_deviation : s, over years of the annual minimum [K]

    Returns
    -------
    array : return period, NaN beyond 50 years [a]

    Source: derived from the formula of ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(return_period_of_minimum(225.15, 230.45, 3.2).round(1))
    15.4
    """
    m, s = _checked(mean, standard_deviation)
    return _within_print(return_period((m - np.asarray(temperature, float)) / s))


def return_period_of_maximum(temperature: ArrayLike, mean: ArrayLike, standard_deviation: ArrayLike) -> Array:
    """Return once in how many years an hour as hot as this comes.

    Parameters
    ----------
    temperature : of the hour, any shape [K]
    mean : X, of the annual maximum [K]
    standard_deviation : s_x, over years of the annual maximum [K]

    Returns
    -------
    array : return period, NaN beyond 50 years [a]

    Source: derived from the formula of ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(return_period_of_maximum(318.95, 318.95, 1.5).round(2))
    2.33
    """
    m, s = _checked(mean, standard_deviation)
    return _within_print(return_period((np.asarray(temperature, float) - m) / s))


def chance_of_meeting(years: ArrayLike, span: ArrayLike) -> Array:
    """Return the chance that the n-year value comes at least once in some years, 1 - (1 - 1/n)^L.

    Parameters
    ----------
    years : return period n, above 1 [a]
    span : L, years looked at [a]

    Returns
    -------
    array : chance, of the broadcast shape [-]

    Raises ValueError for n of 1 or less or a negative span.

    Source: years taken as independent; ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(chance_of_meeting(10.0, 4.0).round(4))
    0.3439
    """
    n, length = np.asarray(years, float), np.asarray(span, float)
    if np.any(n <= 1.0) or np.any(length < 0.0):
        raise ValueError("a return period must be longer than 1 year, and a span not negative")
    return np.asarray(1.0 - (1.0 - 1.0 / n) ** length, float)


def sampling_error(years: ArrayLike, standard_deviation: ArrayLike, record: ArrayLike) -> Array:
    """Return the standard error of an n-year value whose M and s come from a record of N years.

    (s/√N) √(1 + γ F + (κ - 1) F²/4), with skewness γ = 1.1395 and kurtosis κ = 5.4 of the Gumbel
    distribution: the errors of M and of s grow with the record alike, and lie to the same side.

    Parameters
    ----------
    years : return period n, above 1 [a]
    standard_deviation : s, over years of the annual extreme [K]
    record : N, years on record [a]

    Returns
    -------
    array : standard error, of the broadcast shape [K]

    Range: large N; at N = 25 simulation agrees within 5 %.

    Raises ValueError for n of 1 or less.

    Source: derived here from the moments of the Gumbel distribution.

    Examples
    --------
    >>> float(sampling_error(10.0, 3.2, 25.0).round(2))
    1.34
    """
    factor = return_factor(years)
    shape = np.sqrt(1.0 + SKEWNESS * factor + 0.25 * (KURTOSIS - 1.0) * factor**2)
    return np.asarray(np.asarray(standard_deviation, float) / np.sqrt(np.asarray(record, float)) * shape)


def hours_behind(share: ArrayLike) -> Array:
    """Return how many hours of a year lie beyond a design temperature, 8760 times the share.

    Parameters
    ----------
    share : of the hours that are colder (or hotter), 0 to 1 [-]

    Returns
    -------
    array : hours in a year of 365 days [h]

    Source: ashrae_fundamentals_2009 (recalled).

    Examples
    --------
    >>> hours_behind([0.004, 0.01]).round()
    array([35., 88.])
    """
    return 8760.0 * np.asarray(share, float)


def _printed_factor(years: ArrayLike) -> Array:
    if np.any(np.asarray(years, float) > LONGEST_RETURN_PERIOD):
        raise ValueError(f"nothing is published beyond a return period of {LONGEST_RETURN_PERIOD:g} years")
    return return_factor(years)


def _within_print(years: Array) -> Array:
    return np.asarray(np.where(years <= LONGEST_RETURN_PERIOD, years, np.nan), float)


def _checked(mean: ArrayLike, standard_deviation: ArrayLike) -> tuple[Array, Array]:
    m, s = np.asarray(mean, float), np.asarray(standard_deviation, float)
    if np.any(m < 0.0) or np.any(s < 0.0):
        raise ValueError("a temperature below absolute zero, or a negative standard deviation")
    return m, s
