"""Two batteries of one batch do not die on the same day: life times a Weibull factor of mean 1."""

from __future__ import annotations

from math import gamma
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.physics.roots import find_root

Array = NDArray[np.float64]
Scalars = Array | float

SHAPES = (0.2, 200.0)  # bracket in which a shape is looked for


def _gamma(argument: Array) -> Array:
    return np.asarray(np.vectorize(gamma, otypes=[float])(argument))


def _valid(shape: Scalars) -> Array:
    k = np.asarray(shape, float)
    if np.any(k <= 0.0):
        raise ValueError("the shape of a Weibull law is above zero")
    return k


def life_factor(place: Scalars, shape: Scalars) -> Array:
    """Return by what a battery's life differs from the mean of its like.

    Parameters
    ----------
    place : share of batteries that die sooner, 0 to 1 [-]
    shape : k, of the Weibull law, above zero [-]

    Returns
    -------
    array : (-ln(1 - place))^(1/k)/Γ(1 + 1/k), of mean 1 [-]

    Raises
    ------
    ValueError : for a place outside 0 to 1, or a shape that is not above zero.

    Examples
    --------
    >>> life_factor(np.array([0.1, 0.5, 0.9]), 5.67).round(4)
    array([0.7271, 1.0136, 1.2527])
    """
    p, k = np.asarray(place, float), _valid(shape)
    if np.any((p < 0.0) | (p > 1.0)):
        raise ValueError("a place lies between 0 and 1")
    with np.errstate(divide="ignore"):
        return np.asarray((-np.log1p(-p)) ** (1.0 / k) * mean_over_scale(k) ** -1.0)


def mean_over_scale(shape: Scalars) -> Array:
    """Return the mean of a Weibull law over its scale.

    Parameters
    ----------
    shape : k, above zero [-]

    Returns
    -------
    array : Γ(1 + 1/k) [-]

    Raises
    ------
    ValueError : for a shape that is not above zero.

    Examples
    --------
    >>> mean_over_scale(5.67).round(4).item()
    0.9248
    """
    return _gamma(1.0 + 1.0 / _valid(shape))


def coefficient_of_variation(shape: Scalars) -> Array:
    """Return the standard deviation of a Weibull law over its mean.

    Parameters
    ----------
    shape : k, above zero [-]

    Returns
    -------
    array : sqrt(Γ(1 + 2/k)/Γ(1 + 1/k)² - 1) [-]

    Raises
    ------
    ValueError : for a shape that is not above zero.

    Examples
    --------
    >>> coefficient_of_variation(np.array([3.5, 5.67])).round(4)
    array([0.3165, 0.2041])
    """
    k = _valid(shape)
    return np.asarray(np.sqrt(_gamma(1.0 + 2.0 / k) / _gamma(1.0 + 1.0 / k) ** 2 - 1.0))


def shape_of_variation(coefficient: Scalars) -> Array:
    """Return the shape of a Weibull law of a given scatter.

    Parameters
    ----------
    coefficient : of variation, 0.01 to 10, NaN outside [-]

    Returns
    -------
    array : k [-]

    Examples
    --------
    >>> shape_of_variation(0.30).round(2).item()
    3.71
    """
    wanted = np.asarray(coefficient, float)
    return find_root(lambda k: coefficient_of_variation(k) - wanted, *SHAPES)


def _lives(lives: Scalars) -> Array:
    x = np.asarray(lives, float)
    if x.ndim != 1 or x.size < 2 or np.any(x <= 0.0) or np.ptp(x) == 0.0:
        raise ValueError("two or more lives above zero that are not all the same, along one axis")
    return x


def likeliest_shape(lives: Array) -> tuple[float, float]:
    """Return the shape and scale that make a sample of lives most likely, none of them cut off.

    Parameters
    ----------
    lives : two or more, above zero, any unit, shape (lives,) [a]

    Returns
    -------
    tuple : k with Σ x^k ln x/Σ x^k - 1/k = mean of ln x, and scale (mean of x^k)^(1/k) [-, a]

    Raises
    ------
    ValueError : for fewer than two lives, lives that are not above zero, or all the same.

    Notes
    -----
    Location 0. Lives of batteries that were removed while they still worked want censoring, which this has
    not.

    Examples
    --------
    >>> [round(value, 2) for value in likeliest_shape(np.array([1.9, 2.4, 3.0, 3.5, 4.2]))]
    [4.19, 3.31]
    """
    x = _lives(lives)
    relative = x / x.max()  # powers of 200 stay in range
    logarithm = np.log(relative)

    def slope(k: Array) -> Array:
        power = relative ** k[..., None]
        return np.asarray((power * logarithm).sum(-1) / power.sum(-1) - 1.0 / k - logarithm.mean())

    k = float(find_root(slope, *SHAPES))
    return k, float(x.max() * np.mean(relative**k) ** (1.0 / k))


def shape_interval(lives: Array, chance: float = 0.90) -> tuple[float, float]:
    """Return the interval of the shape that a sample of lives allows, by its profile likelihood.

    Parameters
    ----------
    lives : two or more, above zero, shape (lives,) [a]
    chance : that the interval holds the shape, between 0 and 1 [-]

    Returns
    -------
    tuple : least and largest shape whose likelihood is not worse than chance allows [-, -]

    Raises
    ------
    ValueError : for fewer than two lives, lives that are not above zero, or all the same.

    Examples
    --------
    >>> low, high = shape_interval(np.array([1.9, 2.4, 3.0, 3.5, 4.2]))
    >>> bool(low < 4.19 < high)
    True
    """
    x = _lives(lives)
    relative = x / x.max()
    best = likeliest_shape(x)[0]

    def likelihood(k: Array) -> Array:
        power = np.mean(relative ** k[..., None], axis=-1)
        each = np.log(k) - np.log(power) + (k - 1.0) * np.log(relative).mean()
        return np.asarray(x.size * each)

    # a chi-squared of one degree of freedom is the square of a normal score
    worst = likelihood(np.asarray(best)) - 0.5 * NormalDist().inv_cdf(0.5 + 0.5 * chance) ** 2
    ends = find_root(
        lambda k: likelihood(k) - worst, np.array([SHAPES[0], best]), np.array([best, SHAPES[1]])
    )
    return float(ends[0]), float(ends[1])
