"""Where new draws are proposed: kernels around those that count, on the quantities that readings inform."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import lgamma
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.hidden import rows
from sizing.simulate.condition.weights import effective, normalised, picked

Array = NDArray[np.float64]

KERNELS = 64
LEAST_WIDTH = 0.35  # of a kernel over the spread of its quantity
FREEDOM = 6.0  # of the kernels' t distribution: tails that no posterior outruns
FROM_PRIOR = 0.1  # share of a round that is still drawn from the prior
TEMPERED = 200.0  # effective draws that a tempered posterior must leave to build kernels on
INFORMED = 0.04  # Kullback-Leibler divergence from the prior beyond which a quantity is moved
SCORE_RANGE = (1e-7, 1.0 - 1e-7)


@dataclass(frozen=True)
class Proposal:
    """A mixture that draws are proposed from: kernels on some scores, the prior on the rest.

    columns : of the places that are moved [-]
    centres : scores, shape (kernels, columns) [-]
    width : of a kernel in each column [-]
    """

    columns: NDArray[np.int_]
    centres: Array
    width: Array

    def draw(self, count: int, seed: int) -> Array:
        """Return places."""
        rng = np.random.default_rng((seed, count, len(self.columns)))
        places = rng.random((count, len(rows())))
        moved = count - int(FROM_PRIOR * count)
        which = rng.integers(len(self.centres), size=moved)
        reach = np.sqrt(FREEDOM / rng.chisquare(FREEDOM, size=(moved, 1)))
        steps = self.width * reach * rng.standard_normal((moved, len(self.columns)))
        places[:moved, self.columns] = np.clip(places_of(self.centres[which] + steps), *SCORE_RANGE)
        return places

    def log_ratio(self, places: Array) -> Array:
        """Return the logarithm of its density over the prior's."""
        scores = scores_of(places[:, self.columns])
        x, c = scores / self.width, self.centres / self.width
        # squared distances by one product of matrices: the same as of differences, in a tenth of the time
        square = (x * x).sum(-1)[:, None] + (c * c).sum(-1) - 2.0 * x @ c.T
        d = len(self.columns)
        each = -0.5 * (FREEDOM + d) * np.log1p(np.maximum(square, 0.0) / FREEDOM)
        most = each.max(axis=1, keepdims=True)
        kernels = most[:, 0] + np.log(np.exp(each - most).mean(axis=1)) - np.log(self.width).sum()
        kernels += lgamma(0.5 * (FREEDOM + d)) - lgamma(0.5 * FREEDOM) - 0.5 * d * np.log(0.5 * FREEDOM)
        over = kernels + 0.5 * (scores * scores).sum(-1)
        return np.asarray(np.logaddexp(np.log(FROM_PRIOR), np.log1p(-FROM_PRIOR) + over))


@cache
def _score_table() -> tuple[Array, Array]:
    # nearly straight in the logarithm of the odds, so that a table of it is good to 1e-5 and quick
    scores = np.linspace(-5.3, 5.3, 2121)
    share = np.vectorize(NormalDist().cdf, otypes=[float])(scores)
    return scores, np.log(share / (1.0 - share))


def scores_of(places: Array) -> Array:
    """Return the standard normal scores of places.

    Parameters
    ----------
    places : between 0 and 1 [-]

    Returns
    -------
    array : of the same shape [-]

    Examples
    --------
    >>> scores_of(np.array([0.5, 0.95])).round(3)
    array([0.   , 1.645])
    """
    scores, odds = _score_table()
    p = np.clip(places, *SCORE_RANGE)
    return np.interp(np.log(p / (1.0 - p)), odds, scores)


def places_of(scores: Array) -> Array:
    """Return the places of standard normal scores.

    Parameters
    ----------
    scores : in standard deviations [-]

    Returns
    -------
    array : between 0 and 1, of the same shape [-]

    Examples
    --------
    >>> places_of(np.array([0.0, 1.645])).round(3)
    array([0.5 , 0.95])
    """
    return np.asarray(1.0 / (1.0 + np.exp(-np.interp(scores, *_score_table()))))


def tempered(logarithm: Array, log_prior: Array) -> Array:
    """Return weights of the likelihood to the highest power that leaves draws enough.

    Parameters
    ----------
    logarithm : of likelihood times prior over what was drawn from [-]
    log_prior : of the prior over that alone [-]

    Returns
    -------
    array : that sum to one [-]

    Examples
    --------
    >>> tempered(np.zeros(400), np.zeros(400)).sum().round(6)
    np.float64(1.0)
    """
    likelihood = logarithm - log_prior
    low, high = 0.0, 1.0
    if effective(normalised(logarithm)) >= TEMPERED:
        return normalised(logarithm)
    for _ in range(30):
        middle = 0.5 * (low + high)
        enough = effective(normalised(log_prior + middle * likelihood)) >= TEMPERED
        low, high = (middle, high) if enough else (low, middle)
    return normalised(log_prior + low * likelihood)


def proposal_around(places: Array, weights: Array) -> Proposal:
    """Return kernels around what the weights favour, in the columns that they inform; there may be none.

    Parameters
    ----------
    places : of all draws so far [-]
    weights : of them, that sum to one [-]

    Returns
    -------
    Proposal : to draw the next round from [-]

    Examples
    --------
    >>> even = np.full(512, 1.0 / 512)
    >>> proposal_around(np.random.default_rng(1).random((512, len(rows()))), even).width.shape
    (0,)
    """
    few = picked(weights, 1024)
    scores = scores_of(places[few])
    mean, deviation = scores.mean(axis=0), np.maximum(scores.std(axis=0), 1e-3)
    # how far a normal of that mean and deviation is from the standard one
    apart = 0.5 * (mean**2 + deviation**2 - 1.0) - np.log(deviation)
    (columns,) = np.nonzero(apart > INFORMED)
    d, count = len(columns), min(effective(weights), 1024.0)
    share = min((4.0 / ((d + 2.0) * count)) ** (1.0 / (d + 4.0)), 1.0)
    centres = scores[picked(np.full(len(few), 1.0 / len(few)), KERNELS)][:, columns]
    # drawn in towards the mean, so that the kernels do not widen what they stand for
    drawn_in = mean[columns] + np.sqrt(1.0 - 0.9 * share**2) * (centres - mean[columns])
    return Proposal(columns, drawn_in, np.maximum(share, LEAST_WIDTH) * deviation[columns])
