"""A distribution fitted to the coldest nights of measured winters, beside the handbooks' formula."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.extremes import return_minimum

Array = NDArray[np.float64]

FEWEST = 10
"""Winters from which a distribution is fitted, our judgement: below, chance rules the scale."""
RESAMPLES = 1000
BOOTSTRAP_SEED = 3
NEWTON_ROUNDS = 60


class TooFewYearsError(ValueError):
    """A record is too short for what is asked of it."""


@dataclass(frozen=True)
class ReturnLevels:
    """n-year minima by two ways: a fit with its 90 % interval, and the handbooks' formula [K]."""

    return_period_years: Array
    fitted: Array
    low: Array
    high: Array
    formula: Array


def gumbel_of_minima(minima: ArrayLike) -> tuple[Array, Array]:
    """Return location and scale of the Gumbel distribution of minima, by maximum likelihood.

    For y = -minima the scale solves b = mean(y) - Σ y exp(-y/b)/Σ exp(-y/b); location = b ln mean(exp(-y/b)).

    Parameters
    ----------
    minima : one a year, shape (..., years), not all alike [K]

    Returns
    -------
    location : value undercut in 1 - exp(-1) of the years, shape (...) [K]
    scale : shape (...) [K]

    Source: textbook likelihood, from memory; the tests compare SciPy's fit.

    Examples
    --------
    >>> location, scale = gumbel_of_minima([240.0, 243.0, 238.0, 245.0, 241.0])
    >>> float(location.round(2)), float(scale.round(2))
    (242.62, 2.25)

    Raises ValueError where all minima are alike.
    """
    y = -np.asarray(minima, float)
    mean = y.mean(axis=-1, keepdims=True)
    y = y - mean
    if np.any(np.ptp(y, axis=-1) == 0.0):
        raise ValueError("minima that are all alike have no spread to fit")
    # the moments' scale is near the likelihood's; Newton on the logarithm of the scale keeps it positive
    log_scale = np.log(np.sqrt(6.0) / np.pi * y.std(axis=-1, keepdims=True))
    for _ in range(NEWTON_ROUNDS):
        scale = np.exp(log_scale)
        weight = np.exp(-(y - y.min(axis=-1, keepdims=True)) / scale)
        weight /= weight.sum(axis=-1, keepdims=True)
        first = np.sum(y * weight, axis=-1, keepdims=True)
        second = np.sum(y**2 * weight, axis=-1, keepdims=True)
        slope = scale + (second - first**2) / scale
        log_scale = log_scale - np.clip((scale + first) / slope, -0.5, 0.5)
    scale = np.exp(log_scale)
    least = y.min(axis=-1, keepdims=True)
    location = scale * np.log(np.mean(np.exp(-(y - least) / scale), axis=-1, keepdims=True)) - least
    return np.asarray((location - mean)[..., 0]), np.asarray(scale[..., 0])


def fitted_minimum(years: ArrayLike, location: ArrayLike, scale: ArrayLike) -> Array:
    """Return the value that minima fall below once in n years, location + scale ln(-ln(1 - 1/n)).

    Parameters
    ----------
    years : n, above 1 [a]
    location, scale : of :func:`gumbel_of_minima` [K]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Examples
    --------
    >>> float(fitted_minimum(10.0, 242.7, 2.16).round(2))
    237.84
    """
    n = np.asarray(years, float)
    return np.asarray(np.asarray(location, float) + np.asarray(scale, float) * np.log(-np.log1p(-1.0 / n)))


def return_levels(minima: ArrayLike, years: ArrayLike) -> ReturnLevels:
    """Return n-year minima by a fit with its 90 % interval, beside the handbooks' formula on mean and spread.

    The interval is that of 1000 records of the same length drawn from the fit and fitted again.

    Parameters
    ----------
    minima : one a winter, shape (winters,) [K]
    years : n, above 1 and up to 50, shape (periods,) [a]

    Returns
    -------
    ReturnLevels : of each period

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> levels = return_levels(245.0 - rng.gumbel(0.0, 2.5, 30), [10.0])
    >>> bool(levels.low[0] < levels.fitted[0] < levels.high[0])
    True

    Raises TooFewYearsError below ten winters.
    """
    values, n = np.asarray(minima, float), np.atleast_1d(np.asarray(years, float))
    if values.size < FEWEST:
        raise TooFewYearsError(f"{values.size} winters are too few for a fit: {FEWEST} are needed")
    location, scale = gumbel_of_minima(values)
    rng = np.random.default_rng(BOOTSTRAP_SEED)
    again = gumbel_of_minima(location - rng.gumbel(0.0, scale, (RESAMPLES, values.size)))
    drawn = fitted_minimum(n, again[0][:, None], again[1][:, None])
    low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
    formula = return_minimum(n, values.mean(), values.std(ddof=1))
    return ReturnLevels(n, fitted_minimum(n, location, scale), low, high, formula)
