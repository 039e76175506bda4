"""Numbers on labels that follow from others by a printed rule: the Japanese performance rank, European steps.

The rank is one number for cold-cranking amps and reserve together, shown in steps; European labels prefer
amperes in steps too. Both rules are read from ``ratings_label_rules.csv``.
"""

from __future__ import annotations

import re
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.tables import load

Array = NDArray[np.float64]
Scalars = Array | float


@cache
def _rank_rule() -> dict[str, float]:
    rows = [row for row in load("ratings_label_rules").rows if row["scheme"] == "JIS rank"]
    return {row["part"]: float(row["value"]) for row in rows}


@cache
def _divisor() -> float:
    return next(value for part, value in _rank_rule().items() if part.startswith("divisor"))


@cache
def _rank_steps() -> tuple[float, float, float]:
    """Return where the step changes, the step below and the step from there on."""
    rule = _rank_rule()
    edge = next(float(part.split()[-1]) for part in rule if part.startswith("below"))
    return edge, rule[f"below {edge:g}"], rule[f"from {edge:g}"]


def performance_rank(cold_cranking: Scalars, reserve_minutes: Scalars) -> Array:
    """Return the performance rank of a Japanese type before it is shown in steps.

    Parameters
    ----------
    cold_cranking : by JIS D 5301 of 2006 [A]
    reserve_minutes : reserve capacity at 25 °C [min]

    Returns
    -------
    array : sqrt(CCA RC)/2.8 (japan_battery_association) [-]

    Raises
    ------
    ValueError : for negative amperes or minutes.

    Examples
    --------
    >>> performance_rank(370.0, 64.0).round(2).item()
    54.96
    """
    amperes, minutes = np.asarray(cold_cranking, float), np.asarray(reserve_minutes, float)
    if np.any(amperes < 0.0) or np.any(minutes < 0.0):
        raise ValueError("amperes and minutes of a label are not negative")
    return np.asarray(np.sqrt(amperes * minutes) / _divisor())


def cold_cranking_of_rank(rank: Scalars, reserve_minutes: Scalars) -> Array:
    """Return the amperes that a performance rank asks for beside a reserve capacity: a floor, no estimate.

    Parameters
    ----------
    rank : of the type [-]
    reserve_minutes : reserve capacity at 25 °C [min]

    Returns
    -------
    array : (2.8 rank)^2/RC [A]

    Raises
    ------
    ValueError : for minutes that are not above nought.

    Examples
    --------
    >>> cold_cranking_of_rank(54.96, 64.0).round(0).item()
    370.0
    """
    minutes = np.asarray(reserve_minutes, float)
    if np.any(minutes <= 0.0):
        raise ValueError("a reserve is longer than no time")
    return np.asarray((_divisor() * np.asarray(rank, float)) ** 2 / minutes)


def shown_rank(rank: Scalars) -> Array:
    """Return the rank as a type code shows it: the nearest step, of 2 below 50 and of 5 from there on.

    The source does not say whether it is rounded to the nearest step or down; nearest is our reading.

    Parameters
    ----------
    rank : before steps [-]

    Returns
    -------
    array : on a step [-]

    Examples
    --------
    >>> shown_rank(np.array([54.96, 47.2])).tolist()
    [55.0, 48.0]
    """
    edge, fine, coarse = _rank_steps()
    value = np.asarray(rank, float)
    step = np.where(value < edge, fine, coarse)
    return np.asarray(np.floor(value / step + 0.5) * step)


@cache
def _current_steps() -> tuple[Array, Array]:
    """Return the lower edges of the ranges of European amperes, and the step in each."""
    edges, steps = [0.0], []
    for row in load("ratings_label_rules").rows:
        if row["scheme"] == "EN steps":
            numbers = [float(number) for number in re.findall(r"[0-9]+", row["part"])]
            steps.append(float(row["value"]))
            if not row["part"].startswith("above"):
                edges.append(numbers[-1])
    return np.array(edges), np.array(steps)


def preferred_current(current: Scalars) -> Array:
    """Return the nearest of the preferred steps of European cold-cranking amps.

    Many catalogue labels are off these steps: a hint, never a test of validity.

    Parameters
    ----------
    current : by EN 50342-1 [A]

    Returns
    -------
    array : on a step counted from the lower edge of its range [A]

    Examples
    --------
    >>> preferred_current(np.array([195.0, 438.0, 545.0, 610.0, 830.0])).tolist()
    [200.0, 450.0, 540.0, 600.0, 850.0]
    """
    edges, steps = _current_steps()
    value = np.asarray(current, float)
    place = np.clip(np.searchsorted(edges, value, side="right") - 1, 0, edges.size - 1)
    low = edges[place]
    stepped = low + np.floor((value - low) / steps[place] + 0.5) * steps[place]
    # a step beyond the end of its range is the end itself
    ends = np.append(edges[1:], np.inf)
    return np.asarray(np.minimum(stepped, ends[place]))
