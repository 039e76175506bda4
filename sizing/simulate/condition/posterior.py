"""What the readings leave possible: draws of the hidden state, weighed, and moved where too few count.

Draws from the prior are weighed by how likely they make the readings. Where readings are sharp or far off,
few draws carry the weight; then new ones are proposed around those few (kernels on the scores of the
quantities that the readings inform, a tenth still from the prior) and all are weighed together by what they
were drawn from (deterministic mixture). It goes on until enough count or the rounds are over, and says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.hidden import Hidden, Subject, first_places, label_draws
from sizing.simulate.condition.likelihood import log_likelihoods, normal_share
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import Readings

Array = NDArray[np.float64]

FIRST_DRAWS = 4096  # from the prior
LATER_DRAWS = 4096  # of every further round
ROUNDS = 4
ENOUGH = 400.0  # effective draws at which no further round is needed
LEAST = 100.0  # fewer are not to be relied on
KERNELS = 96
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
        places = first_places(count, seed)
        moved = rng.permutation(count)[: count - int(FROM_PRIOR * count)]
        which = rng.integers(len(self.centres), size=len(moved))
        scores = self.centres[which] + self.width * rng.standard_normal((len(moved), len(self.columns)))
        places[np.ix_(moved, self.columns)] = np.clip(_normal_cdf(scores), *SCORE_RANGE)
        return places

    def log_ratio(self, places: Array) -> Array:
        """Return the logarithm of its density over the prior's."""
        scores = _scores(places[:, self.columns])
        z = (scores[:, None, :] - self.centres) / self.width
        each = -0.5 * (z * z).sum(-1) - np.log(self.width).sum()
        most = each.max(axis=1, keepdims=True)
        kernels = most[:, 0] + np.log(np.exp(each - most).mean(axis=1))
        over = kernels + 0.5 * (scores * scores).sum(-1)
        return np.asarray(np.logaddexp(np.log(FROM_PRIOR), np.log1p(-FROM_PRIOR) + over))


def _scores(places: Array) -> Array:
    return np.asarray(np.vectorize(NormalDist().inv_cdf, otypes=[float])(np.clip(places, *SCORE_RANGE)))


def _normal_cdf(scores: Array) -> Array:
    return np.asarray(np.vectorize(NormalDist().cdf, otypes=[float])(scores))


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
    return np.minimum(found, len(weights) - 1)


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


def _proposal(places: Array, weights: Array) -> Proposal | None:
    """Return kernels around what the weights favour, in the columns that they inform."""
    few = picked(weights, 1024)
    scores = _scores(places[few])
    mean, deviation = scores.mean(axis=0), np.maximum(scores.std(axis=0), 1e-3)
    # how far a normal of that mean and deviation is from the standard one
    apart = 0.5 * (mean**2 + deviation**2 - 1.0) - np.log(deviation)
    (columns,) = np.nonzero(apart > INFORMED)
    if not len(columns):
        return None
    d, count = len(columns), min(effective(weights), 1024.0)
    share = min((4.0 / ((d + 2.0) * count)) ** (1.0 / (d + 4.0)), 1.0)
    centres = scores[picked(np.full(len(few), 1.0 / len(few)), KERNELS)][:, columns]
    # drawn in towards the mean, so that the kernels do not widen what they stand for
    drawn_in = mean[columns] + np.sqrt(1.0 - 0.9 * share**2) * (centres - mean[columns])
    return Proposal(columns, drawn_in, np.maximum(share, 0.25) * deviation[columns])


def posterior(
    subject: Subject, readings: Readings, *, draws: int = FIRST_DRAWS, rounds: int = ROUNDS
) -> Posterior:
    """Return what readings leave possible.

    Parameters
    ----------
    subject : battery and vehicle [-]
    readings : any subset, also none [-]
    draws : from the prior [-]
    rounds : of moving at most [-]

    Returns
    -------
    Posterior : `reliable` says whether enough draws count [-]

    Raises
    ------
    ValueError : for a label without rating, or a resistance of another kind than is understood.

    Notes
    -----
    Adaptive importance sampling with deterministic mixture weights: the density that a draw is weighed
    against is the mean of what all rounds drew from, by their numbers, so no round can spoil another.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> found = posterior(example_subject(), example_readings(), draws=512)
    >>> found.reliable
    True
    """
    label = label_draws(subject)
    pools = [first_places(draws, subject.seed)]
    proposals: list[Proposal] = []
    seen = [_weighed(Hidden(subject, label, pools[0]), readings)]
    for number in range(1, rounds + 1):
        places = np.concatenate(pools)
        log_prior = _log_prior(places, proposals, [len(pool) for pool in pools])
        logarithm = log_prior + _total(seen, len(places))
        if effective(normalised(logarithm)) >= ENOUGH:
            break
        proposal = _proposal(places, _tempered(logarithm, log_prior))
        if proposal is None:
            break
        proposals.append(proposal)
        pools.append(proposal.draw(LATER_DRAWS, subject.seed + 7919 * number))
        seen.append(_weighed(Hidden(subject, label, pools[-1]), readings))
    places = np.concatenate(pools)
    return Posterior(
        hidden=Hidden(subject, label, places),
        readings=readings,
        log_prior=_log_prior(places, proposals, [len(pool) for pool in pools]),
        log_likelihood={n: np.concatenate([s[0][n] for s in seen]) for n in readings.given},
        predicted={n: np.concatenate([s[1][n] for s in seen]) for n in readings.given},
        rounds=len(proposals),
    )


def _weighed(hidden: Hidden, readings: Readings) -> tuple[Mapping[str, Array], Mapping[str, Array]]:
    predictor = Predictor(hidden, readings)
    return log_likelihoods(predictor, readings), predictor.values(readings.given)


def _total(seen: list[tuple[Mapping[str, Array], Mapping[str, Array]]], count: int) -> Array:
    total = [sum(likelihood.values()) for likelihood, _ in seen]
    return np.concatenate([np.asarray(t) for t in total]) if seen[0][0] else np.zeros(count)


def _log_prior(places: Array, proposals: list[Proposal], counts: list[int]) -> Array:
    """Return the prior's density over the mixture of all rounds; the first round is the prior itself."""
    shares = np.log(np.array(counts) / sum(counts))
    terms = [np.full(len(places), shares[0])]
    terms += [share + each.log_ratio(places) for share, each in zip(shares[1:], proposals, strict=True)]
    return -np.asarray(np.logaddexp.reduce(np.stack(terms), axis=0))


def spread_of(score: Array) -> Array:
    """Return the two-sided tail of a normal score.

    Parameters
    ----------
    score : in standard deviations [-]

    Returns
    -------
    array : between 0 and 1 [-]

    Examples
    --------
    >>> spread_of(np.array([1.96])).round(2)
    array([0.05])
    """
    return np.asarray(2.0 * normal_share(-np.abs(score)))
