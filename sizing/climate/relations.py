"""How cold and hot single years get, told from the design values that handbooks print.

Where a table prints the annual extremes themselves, use those; these relations are for places without. They
are least squares over the station rows of use ``fit`` in ``climate_places`` and ``climate_design_stations``
(``scripts/fit_extremes.py`` repeats them); the rows of use ``check`` judge them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

ZERO_CELSIUS = 273.15


@dataclass(frozen=True)
class Line:
    """A fitted relation in °C: intercept, slopes, and W, its root mean square misfit on the fit rows [K]."""

    intercept: float
    slopes: tuple[float, ...]
    misfit: float

    def __call__(self, *arguments: ArrayLike) -> Array:
        """Return the relation's value at these arguments, in its own units."""
        terms = (slope * np.asarray(x, float) for slope, x in zip(self.slopes, arguments, strict=True))
        return np.asarray(self.intercept + sum(terms), float)


# w = T99 - T99.6, v = T0.4 - T1; 56 rows
MINIMUM_BELOW_99_6 = Line(-3.1, (), 1.0)
MINIMUM_SD_BY_W = Line(0.65, (0.91,), 0.5)
MAXIMUM_ABOVE_0_4_BY_V = Line(1.07, (1.26,), 0.6)
MAXIMUM_SD_BY_V = Line(0.99, (0.42,), 0.36)
RANGE_OF_W = (1.0, 4.8)
"""Range of w in the fit [K]."""


def annual_minimum_from_design(heating_99_6: ArrayLike) -> Array:
    """Return the mean annual minimum that goes with a 99.6 % design temperature, M = T99.6 - 3.1 K.

    Parameters
    ----------
    heating_99_6 : temperature exceeded in 99.6 % of the hours, any shape [K]

    Returns
    -------
    array : mean over years of the coldest hour, of the same shape [K]

    Source: fitted here to 56 stations (W 1.0 K; on the 27 check rows 1.1 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(annual_minimum_from_design(231.15).round(2))
    228.05
    """
    return kelvin(heating_99_6) + MINIMUM_BELOW_99_6()


def annual_minimum_sd_from_design(heating_99_6: ArrayLike, heating_99: ArrayLike) -> Array:
    """Return the standard deviation over years of the annual minimum, s = 0.65 K + 0.91 (T99 - T99.6).

    Parameters
    ----------
    heating_99_6 : temperature exceeded in 99.6 % of the hours [K]
    heating_99 : temperature exceeded in 99 % of the hours, the warmer of the two [K]

    Returns
    -------
    array : standard deviation, of the broadcast shape [K]

    Range: T99 - T99.6 from 1.0 to 4.8 K in the fit.

    Raises ValueError where T99 is the colder one.

    Source: fitted here to 56 stations (W 0.5 K; check 0.6 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(annual_minimum_sd_from_design(231.15, 234.05).round(2))
    3.29
    """
    return MINIMUM_SD_BY_W(_gap(heating_99_6, heating_99))


def annual_maximum_from_design(cooling_0_4: ArrayLike, cooling_1: ArrayLike) -> Array:
    """Return the mean annual maximum that goes with design values, X = T0.4 + 1.07 K + 1.26 (T0.4 - T1).

    Parameters
    ----------
    cooling_0_4 : temperature exceeded in 0.4 % of the hours [K]
    cooling_1 : temperature exceeded in 1 % of the hours, the colder of the two [K]

    Returns
    -------
    array : mean over years of the hottest hour, of the broadcast shape [K]

    Raises ValueError where T0.4 is the colder one.

    Source: fitted here to 56 stations (W 0.6 K; check 0.7 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float((annual_maximum_from_design(316.55, 315.25) - 273.15).round(1))
    46.1
    """
    return kelvin(cooling_0_4) + MAXIMUM_ABOVE_0_4_BY_V(_gap(cooling_1, cooling_0_4))


def annual_maximum_sd_from_design(cooling_0_4: ArrayLike, cooling_1: ArrayLike) -> Array:
    """Return the standard deviation over years of the annual maximum, s_x = 0.99 K + 0.42 (T0.4 - T1).

    Parameters
    ----------
    cooling_0_4 : temperature exceeded in 0.4 % of the hours [K]
    cooling_1 : temperature exceeded in 1 % of the hours, the colder of the two [K]

    Returns
    -------
    array : standard deviation, of the broadcast shape [K]

    Raises ValueError where T0.4 is the colder one.

    Source: fitted here to 56 stations (W 0.36 K; check 0.26 K), ashrae_fundamentals_2009.

    Examples
    --------
    >>> float(annual_maximum_sd_from_design(316.55, 315.25).round(2))
    1.54
    """
    return MAXIMUM_SD_BY_V(_gap(cooling_1, cooling_0_4))


def _gap(colder: ArrayLike, warmer: ArrayLike) -> Array:
    gap = np.asarray(kelvin(warmer) - kelvin(colder), float)
    if np.any(gap < 0.0):
        raise ValueError("design temperatures are out of order")
    return gap


def kelvin(temperature: ArrayLike) -> Array:
    """Return temperatures as an array.

    Parameters
    ----------
    temperature : any [K]

    Returns
    -------
    array : the same [K]

    Raises
    ------
    ValueError : below absolute zero.

    Examples
    --------
    >>> kelvin([250.0, 300.0])
    array([250., 300.])
    """
    absolute = np.asarray(temperature, float)
    if np.any(absolute < 0.0):
        raise ValueError("a temperature below absolute zero")
    return absolute
