"""The random paths that weather is made of: one that follows the hours, one that turns with the months."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.climate.season import DAYS

Single = NDArray[np.float32]

HOURS = 24 * DAYS
SPELL = 60.0
"""Time constant of a spell [h]: daily means then follow each other with 0.77, as files and records show."""
SMOOTHING = 3.0
"""Second time constant of the path [h]; fitted to six stations by scripts/fit_weather.py."""
SLOW = (30.0, 0.35)
"""Time constant [d] and size [-] of what makes whole winter months cold or mild; chosen by hand, see docs."""


@cache
def path_constants() -> tuple[float, float, float]:
    """Return how wide the raw path is, its daily means within months of 30 days, and the steps of the path.

    The raw path is u' = a u + e, x' = b x + u' with unit e, a and b of the two time constants.

    Returns
    -------
    raw : standard deviation of the path [-]
    daily : of daily means within a month, over that of the path [-]
    step : of the step from hour to hour of the path with unit spread of daily means [-]

    Examples
    --------
    >>> raw, daily, step = path_constants()
    >>> round(daily, 3)
    0.883
    """
    a, b = np.exp(-1.0 / SPELL), np.exp(-1.0 / SMOOTHING)
    first, second = a + b, -a * b
    variance = (1.0 - second) / ((1.0 + second) * ((1.0 - second) ** 2 - first**2))
    days = 30
    correlation = np.ones(24 * (days + 1))
    correlation[1] = first / (1.0 - second)
    for lag in range(2, correlation.size):
        correlation[lag] = first * correlation[lag - 1] + second * correlation[lag - 2]
    apart = np.arange(-23, 24)
    weight = (24.0 - np.abs(apart)) / 24.0**2
    covariance = np.array([weight @ correlation[np.abs(apart + 24 * day)] for day in range(days)])
    later = np.arange(1, days)
    of_month = (days * covariance[0] + 2.0 * np.sum((days - later) * covariance[1:])) / days**2
    within = (covariance[0] - of_month) * days / (days - 1)
    step = np.sqrt(2.0 * (1.0 - correlation[1]) / within)
    return float(np.sqrt(variance)), float(np.sqrt(within)), float(step)


def random_paths(years: int, seed: int) -> tuple[Single, Single]:
    """Return the fast path, of unit spread of daily means within a month, and the slow one of unit variance.

    Parameters
    ----------
    years : how many, independent of each other [-]
    seed : of the random numbers [-]

    Returns
    -------
    fast : single precision, shape (365, 24, years) [-]
    slow : shape (365, years) [-]

    Examples
    --------
    >>> fast, slow = random_paths(3, seed=1)
    >>> fast.shape, slow.shape
    ((365, 24, 3), (365, 3))
    """
    rng = np.random.default_rng(seed)
    path = rng.standard_normal((HOURS, years), dtype=np.float32)
    raw, daily, _ = path_constants()
    a, b = np.float32(np.exp(-1.0 / SPELL)), np.float32(np.exp(-1.0 / SMOOTHING))
    # the start is drawn from where the path would be after a long time
    x = path[0] * np.float32(1.0 / daily)
    u = x * np.float32(1.0 - np.exp(-1.0 / SMOOTHING))
    path *= np.float32(1.0 / (raw * daily))
    for hour in range(1, HOURS):
        np.multiply(u, a, out=u)
        np.add(u, path[hour], out=u)
        np.multiply(x, b, out=x)
        np.add(x, u, out=x)
        path[hour] = x
    path[0] *= np.float32(raw)
    slow = rng.standard_normal((DAYS, years), dtype=np.float32)
    keep = np.float32(np.exp(-1.0 / SLOW[0]))
    slow[1:] *= np.sqrt(np.float32(1.0) - keep * keep)
    for day in range(1, DAYS):
        slow[day] += keep * slow[day - 1]
    return path.reshape(DAYS, 24, years), slow
