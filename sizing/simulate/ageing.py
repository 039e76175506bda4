"""What years do to a battery, as a declared distribution: it stands in until a model of life computes it."""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]

NINETY = NormalDist().inv_cdf(0.95)
LEAST_CAPACITY = 0.02


@cache
def _columns() -> dict[str, Array]:
    table = load("ageing_by_years")
    return {name: table.column(name) for name in table.rows[0]}


@cache
def ageing_pace(battery_type: str) -> float:
    """Return how many years of the table a year in service counts for.

    Parameters
    ----------
    battery_type : as in ``battery_types.csv`` [-]

    Returns
    -------
    float : years of the table per year [-]

    Examples
    --------
    >>> ageing_pace("flooded calcium")
    1.0
    """
    return float(load("battery_types").select("data", type=battery_type)[0]["ageing_pace"])


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


def resistance_growth(place: Array, years: Array | float, battery_type: str) -> Array:
    """Return the share that age has added to the resistance.

    Parameters
    ----------
    place : share of batteries that have aged less, between 0 and 1 [-]
    years : in service [a]
    battery_type : as in ``battery_types.csv`` [-]

    Returns
    -------
    array : not negative; of ``ageing_by_years.csv`` (our judgement, its anchors there) [-]

    Examples
    --------
    >>> resistance_growth(np.array([0.05, 0.5, 0.95]), 4.0, "flooded calcium").round(2)
    array([0.1 , 0.25, 0.6 ])
    """
    return np.maximum(_between(place, years * ageing_pace(battery_type), "growth"), 0.0)


def capacity_left(place: Array, years: Array | float, battery_type: str) -> Array:
    """Return the share of the capacity that age has left.

    Parameters
    ----------
    place : share of batteries that have less left, between 0 and 1 [-]
    years : in service [a]
    battery_type : as in ``battery_types.csv`` [-]

    Returns
    -------
    array : between 2 % and 1; of ``ageing_by_years.csv`` (our judgement) [-]

    Examples
    --------
    >>> capacity_left(np.array([0.05, 0.5, 0.95]), 4.0, "flooded calcium").round(2)
    array([0.55, 0.75, 0.9 ])
    """
    return np.clip(_between(place, years * ageing_pace(battery_type), "left"), LEAST_CAPACITY, 1.0)
