"""What the readings leave possible: draws of the hidden state, weighed, and moved where too few count.

Draws from the prior, among which rare faults are made less rare, are weighed by how likely they make the
readings. Where readings are sharp or far off, few draws carry the weight; then new ones are proposed around
those few (kernels on the scores of the quantities that the readings inform, a tenth still from the prior)
and all are weighed together by what they were drawn from (deterministic mixture). It goes on until enough
count or the rounds are over, and says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from math import lgamma
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.hidden import (
    Hidden,
    LabelDraws,
    Subject,
    label_draws,
    log_forced,
    places_with_faults,
    rows,
)
from sizing.simulate.condition.likelihood import log_likelihoods
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import Readings

Array = NDArray[np.float64]

FIRST_DRAWS = 4096  # from the prior
LATER_DRAWS = 2048  # of every further round
ROUNDS = 5  # until enough count
MORE_ROUNDS = 7  # after these, while fewer count than are relied on
ENOUGH = 400.0  # effective draws at which no further round is needed
LEAST = 100.0  # fewer are not to be relied on
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
        places[:moved, self.columns] = np.clip(_normal_cdf(self.centres[which] + steps), *SCORE_RANGE)
        return places

    def log_ratio(self, places: Array) -> Array:
        """Return the logarithm of its density over the prior's."""
        scores = _scores(places[:, self.columns])
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


def _scores(places: Array) -> Array:
    scores, odds = _score_table()
    p = np.clip(places, *SCORE_RANGE)
    return np.interp(np.log(p / (1.0 - p)), odds, scores)


def _normal_cdf(scores: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(-np.interp(scores, *_score_table()))))


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


@dataclass(frozen=True)
class Posterior:
    """Weighted draws of the hidden state, given readings.

    hidden : all draws of all rounds [-]
    readings : that they were weighed by [-]
    log_prior : logarithm of the prior's density over what the draws were drawn from [-]
    log_likelihood : of each reading, by its name [-]
    predicted : of each reading, by its name [-]
    rounds : of moving that it took [-]
    """

    hidden: Hidden
    readings: Readings
    log_prior: Array
    log_likelihood: Mapping[str, Array]
    predicted: Mapping[str, Array]
    rounds: int

    @cached_property
    def weights(self) -> Array:
        """Weight of each draw, given all readings; they sum to one [-]."""
        return normalised(self.log_prior + sum(self.log_likelihood.values()))

    def weights_without(self, name: str) -> Array:
        """Return the weights that all readings but one would give [-]."""
        others = (value for key, value in self.log_likelihood.items() if key != name)
        return normalised(self.log_prior + sum(others))

    @cached_property
    def effective_size(self) -> float:
        """How many equal draws these are worth [-]."""
        return effective(self.weights)

    @property
    def reliable(self) -> bool:
        """Whether enough draws count."""
        return self.effective_size >= LEAST

    def sample(self, count: int) -> Hidden:
        """Return draws of equal weight, systematically picked."""
        h = self.hidden
        return Hidden(h.subject, h.label, h.places[picked(self.weights, count)])

    def predictor(self, count: int) -> Predictor:
        """Return the predictions of a sample under the same circumstances."""
        return Predictor(self.sample(count), self.readings)


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


def _tempered(logarithm: Array, log_prior: Array) -> Array:
    """Return weights of the likelihood to the highest power that leaves draws enough."""
    likelihood = logarithm - log_prior
    low, high = 0.0, 1.0
    if effective(normalised(logarithm)) >= TEMPERED:
        return normalised(logarithm)
    for _ in range(30):
        middle = 0.5 * (low + high)
        enough = effective(normalised(log_prior + middle * likelihood)) >= TEMPERED
        low, high = (middle, high) if enough else (low, middle)
    return normalised(log_prior + low * likelihood)


def _proposal(places: Array, weights: Array) -> Proposal:
    """Return kernels around what the weights favour, in the columns that they inform; there may be none."""
    few = picked(weights, 1024)
    scores = _scores(places[few])
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


def posterior(
    subject: Subject, readings: Readings, *, draws: int = FIRST_DRAWS, rounds: int = ROUNDS
) -> Posterior:
    """Return what readings leave possible.

    Parameters
    ----------
    subject : battery and vehicle [-]
    readings : any subset, also none [-]
    draws : from the prior [-]
    rounds : of moving until enough count; more are added while fewer count than are relied on [-]

    Returns
    -------
    Posterior : `reliable` says whether enough draws count [-]

    Raises
    ------
    ValueError : for a label without rating, or a resistance of another kind than is understood.

    Notes
    -----
    Adaptive importance sampling with deterministic mixture weights: the density that a draw is weighed
    against is the mean of what all rounds drew from, by their numbers, so no round can spoil another. With
    no rounds the prior's draws alone are weighed.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> found = posterior(example_subject(), example_readings(), draws=512)
    >>> found.reliable
    True
    """
    label = label_draws(subject)
    pool = _Pool(subject, label, readings)
    pool.add(places_with_faults(draws, subject.seed)[0], None)
    for number in range(1, rounds + 1 + (MORE_ROUNDS if rounds else 0)):
        logarithm = pool.log_prior + pool.log_likelihood
        if effective(normalised(logarithm)) >= (ENOUGH if number <= rounds else LEAST):
            break
        proposal = _proposal(pool.places, _tempered(logarithm, pool.log_prior))
        pool.add(proposal.draw(LATER_DRAWS, subject.seed + 7919 * number), proposal)
    return Posterior(
        hidden=Hidden(subject, label, pool.places),
        readings=readings,
        log_prior=pool.log_prior,
        log_likelihood=pool.likelihoods,
        predicted=pool.predicted,
        rounds=len(pool.counts) - 1,
    )


class _Pool:
    """Draws of all rounds so far, each weighed by what all rounds drew from."""

    def __init__(self, subject: Subject, label: LabelDraws, readings: Readings) -> None:
        self.subject, self.label, self.readings = subject, label, readings
        self.places = np.empty((0, len(rows())))
        self.counts: list[int] = []
        self.proposals: list[Proposal] = []
        self.forced = np.empty(0)  # density of the first round over the prior's, for all places
        self.ratios: list[Array] = []  # of each later one over the prior's
        self.likelihoods: dict[str, Array] = {name: np.empty(0) for name in readings.given}
        self.predicted: dict[str, Array] = {name: np.empty(0) for name in readings.given}

    def add(self, places: Array, proposal: Proposal | None) -> None:
        predictor = Predictor(Hidden(self.subject, self.label, places), self.readings)
        values = predictor.values(self.readings.given)
        for name, found in log_likelihoods(predictor, self.readings).items():
            self.likelihoods[name] = np.concatenate([self.likelihoods[name], found])
            self.predicted[name] = np.concatenate([self.predicted[name], values[name]])
        for number, each in enumerate(self.proposals):
            self.ratios[number] = np.concatenate([self.ratios[number], each.log_ratio(places)])
        self.forced = np.concatenate([self.forced, log_forced(places)])
        self.places = np.concatenate([self.places, places])
        self.counts.append(len(places))
        if proposal is not None:
            self.proposals.append(proposal)
            self.ratios.append(proposal.log_ratio(self.places))

    @property
    def log_likelihood(self) -> Array:
        return np.asarray(sum(self.likelihoods.values(), np.zeros(len(self.places))))

    @property
    def log_prior(self) -> Array:
        """The prior's density over the mixture of all rounds."""
        shares = np.log(np.array(self.counts) / sum(self.counts))
        terms = [shares[0] + self.forced]
        terms += [share + ratio for share, ratio in zip(shares[1:], self.ratios, strict=True)]
        return -np.asarray(np.logaddexp.reduce(np.stack(terms), axis=0))
