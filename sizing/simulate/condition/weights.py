"""Weights of draws: how many they are worth, and which ones a sample of equal weight takes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def effective(weights: Array) -> float:
    """Return how many equal draws weighted ones are worth.

    Parameters
    ----------
    weights : not negative [-]

    Returns
    -------
    float : (sum w)^2 / sum w^2 [-]

    Examples
    --------
    >>> effective(np.array([1.0, 1.0, 0.0]))
    2.0
    """
    return float(weights.sum() ** 2 / (weights**2).sum())


def normalised(logarithm: Array) -> Array:
    """Return weights that sum to one from their logarithms.

    Parameters
    ----------
    logarithm : of the weights, any constant apart [-]

    Returns
    -------
    array : of the same shape [-]

    Examples
    --------
    >>> normalised(np.log([1.0, 3.0]))
    array([0.25, 0.75])
    """
    weights = np.exp(logarithm - logarithm.max())
    return np.asarray(weights / weights.sum())


def picked(weights: Array, count: int) -> NDArray[np.int_]:
    """Return which draws a systematic sample of weighted ones picks.

    Parameters
    ----------
    weights : that sum to one [-]
    count : of the sample [-]

    Returns
    -------
    array : numbers of the draws, rising, shape (count,) [-]

    Examples
    --------
    >>> picked(np.array([0.5, 0.0, 0.5]), 4)
    array([0, 0, 2, 2])
    """
    at = (np.arange(count) + 0.5) / count
    found = np.searchsorted(np.cumsum(weights), at)
    return np.asarray(np.minimum(found, len(weights) - 1))
