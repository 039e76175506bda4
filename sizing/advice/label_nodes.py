"""What is not printed on a label, spread over a few weighted points instead of many random ones.

The points carry scores of the same declared parameters that every other answer draws; the label is read by
the same function.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Battery as Label
from sizing.simulate.sampling import INTERVAL, Samples
from sizing.tables import load, numbers

Array = NDArray[np.float64]

POINTS = {1: 15, 2: 9, 3: 5}  # points along each axis, by the number of axes
SCORES = 200  # points of the normal spread around each


@dataclass(frozen=True)
class Nodes:
    """Points of what is unknown, with their weights of sum one.

    samples : scores, shape (points, 1) [-]
    weights : of the points [-]
    """

    samples: Samples
    weights: Array


def _scores(count: int) -> Array:
    inverse = NormalDist().inv_cdf
    return np.array([inverse((place + 0.5) / count) for place in range(count)])


def nodes_of(label: Label) -> Nodes:
    """Return the points of what a label does not print.

    >>> nodes_of(Label(cold_cranking="540A", standard="EN", capacity="60Ah")).weights.size
    1
    >>> nodes_of(Label(cold_cranking="540A", capacity="60Ah")).weights.size
    36
    """
    unmarked = label.cold_cranking is not None and not label.cold_test
    spread = {
        "label_cold_cranking": label.cold_cranking is None or unmarked,
        "label_capacity": label.capacity_ah is None
        and (label.reserve_minutes is None or label.cold_cranking is None),
    }
    axes = sum(spread.values()) + unmarked
    # where nothing is spread one point with a score of nought does
    scores = [_scores(POINTS[axes]) if wide else np.zeros(1) for wide in spread.values()]
    weights = [np.full(axis.size, 1.0 / axis.size) for axis in scores]
    standards, standard_weights = np.array([0.5]), np.ones(1)
    if unmarked:
        standard_weights = numbers(load("unmarked_standard").rows, "weight")
        standards = np.cumsum(standard_weights) - 0.5 * standard_weights
    grid = np.meshgrid(*scores, standards, indexing="ij")
    weight = np.einsum("i,j,k->ijk", *weights, standard_weights / standard_weights.sum())
    names = (*spread, "label_standard")
    values = {name: axis.reshape(-1, 1) for name, axis in zip(names, grid, strict=True)}
    return Nodes(Samples(values, {}), weight.ravel())


def mixture_interval(values: Array, weights: Array, spread: float) -> tuple[float, float, float]:
    """Return 5 %, 50 % and 95 % of weighted points, each spread by a standard deviation of its logarithm.

    >>> [round(end) for end in mixture_interval(np.array([100.0]), np.ones(1), 0.05)]
    [92, 100, 109]
    """
    scores = _scores(SCORES) if spread > 0.0 else np.zeros(1)
    every = (values[:, None] * np.exp(spread * scores)).ravel()
    weight = np.repeat(weights / scores.size, scores.size)
    order = np.argsort(every)
    share = np.cumsum(weight[order]) - 0.5 * weight[order]
    low, middle, high = np.interp(INTERVAL, share / weight.sum(), every[order])
    return float(low), float(middle), float(high)
