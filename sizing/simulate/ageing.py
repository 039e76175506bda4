"""What years do to a battery that still serves: a declared course, at the pace that simulated lives set.

The course and its spread are ours (``ageing_by_years.csv``); how many of its years a year in service counts
for, by type and climate, is computed from lives (``ageing_pace.csv``, ``scripts/make_ageing_pace.py``).
"""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.climate import Place
from sizing.tables import load, numbers

Array = NDArray[np.float64]

NINETY = NormalDist().inv_cdf(0.95)
LEAST_CAPACITY = 0.02
FREEZING = 273.15  # K
TEMPERATE = 283.15  # K: mean air of a year where nothing is known of the place's months
LAST_SERVING = 8.0  # years of the table: those that still serve look no older, the others have dropped out


@cache
def _columns() -> dict[str, Array]:
    table = load("ageing_by_years")
    return {name: table.column(name) for name in table.rows[0]}


@cache
def _paces(battery_type: str, kind: str) -> tuple[Array, Array]:
    rows = load("ageing_pace").select("data", type=battery_type)
    return numbers(rows, "mean_air") + FREEZING, numbers(rows, f"{kind}_pace")


def ageing_pace(battery_type: str, air: float, kind: str) -> float:
    """Return how many years of the table a year in service counts for.

    Parameters
    ----------
    battery_type : as in ``battery_types.csv`` [-]
    air : mean of a year outdoors [K]
    kind : growth, of the resistance, or left, of the capacity [-]

    Returns
    -------
    float : years of the table per year, linear between the climates of ``ageing_pace.csv`` [-]

    Examples
    --------
    >>> cold, hot = (ageing_pace("flooded calcium", air, "left") for air in (275.15, 298.15))
    >>> 2.0 * cold < hot
    True
    """
    return float(np.interp(air, *_paces(battery_type, kind)))


def years_serving(years: float, battery_type: str, air: float, kind: str) -> float:
    """Return the years of the table that a battery looks like which still serves at an age.

    Parameters
    ----------
    years : in service [a]
    battery_type : as in ``battery_types.csv`` [-]
    air : mean of a year outdoors [K]
    kind : growth, of the resistance, or left, of the capacity [-]

    Returns
    -------
    float : years of the table, no more than :data:`LAST_SERVING`: there simulated lives level off [a]

    Examples
    --------
    >>> years_serving(9.0, "flooded calcium", 297.0, "left")
    8.0
    """
    return min(years * ageing_pace(battery_type, air, kind), LAST_SERVING)


def mean_air(place: Place) -> float:
    """Return the mean air of a year at a place, a temperate one where its months are not known.

    Parameters
    ----------
    place : found or stated [-]

    Returns
    -------
    float : outdoors [K]

    Examples
    --------
    >>> from sizing.climate import find, place_from_coldest_night
    >>> round(mean_air(find("Phoenix")) - 273.15), mean_air(place_from_coldest_night(250.0)) == TEMPERATE
    (24, True)
    """
    mean = float(np.mean(place.normals.mean)) if place.normals is not None else np.nan
    return mean if np.isfinite(mean) else TEMPERATE


def _between(place: Array, years: Array | float, kind: str) -> Array:
    c = _columns()
    low, middle, high = (
        np.interp(years, c["years"], c[f"{kind}_{end}"]) for end in ("low", "middle", "high")
    )
    score = np.vectorize(NormalDist().inv_cdf, otypes=[float])(place) / NINETY
    # two half-normal sides meet in the middle, so that the printed 5, 50 and 95 % come out
    return np.asarray(
        np.where(score < 0.0, middle + (middle - low) * score, middle + (high - middle) * score)
    )


def resistance_growth(place: Array, years: Array | float) -> Array:
    """Return the share that age has added to the resistance.

    Parameters
    ----------
    place : share of batteries that have aged less, between 0 and 1 [-]
    years : of the table, which are years in service times :func:`ageing_pace` [a]

    Returns
    -------
    array : not negative; of ``ageing_by_years.csv`` (our judgement, its anchors there) [-]

    Examples
    --------
    >>> resistance_growth(np.array([0.05, 0.5, 0.95]), 4.0).round(2)
    array([0.1 , 0.25, 0.6 ])
    """
    return np.maximum(_between(place, years, "growth"), 0.0)


def capacity_left(place: Array, years: Array | float) -> Array:
    """Return the share of the capacity that age has left.

    Parameters
    ----------
    place : share of batteries that have less left, between 0 and 1 [-]
    years : of the table, which are years in service times :func:`ageing_pace` [a]

    Returns
    -------
    array : between 2 % and 1; of ``ageing_by_years.csv`` (our judgement) [-]

    Examples
    --------
    >>> capacity_left(np.array([0.05, 0.5, 0.95]), 4.0).round(2)
    array([0.55, 0.75, 0.9 ])
    """
    return np.clip(_between(place, years, "left"), LEAST_CAPACITY, 1.0)
