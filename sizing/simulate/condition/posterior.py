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
from functools import cached_property

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
from sizing.simulate.condition.moves import moved
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.proposal import Proposal, proposal_around, tempered
from sizing.simulate.condition.readings import Readings
from sizing.simulate.condition.weights import effective, normalised, picked

Array = NDArray[np.float64]

FIRST_DRAWS = 4096  # from the prior
LATER_DRAWS = 2048  # of every further round
ROUNDS = 5  # until enough count
MORE_ROUNDS = 7  # after these, while fewer count than are relied on
ENOUGH = 400.0  # effective draws at which no further round is needed
LEAST = 100.0  # fewer are not to be relied on
SWEEPS = 10  # of moves for a sample where not enough draws count


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
        """Return draws of equal weight, systematically picked, and moved where too few would be the same."""
        h = self.hidden
        drawn = Hidden(h.subject, h.label, h.places[picked(self.weights, count)])
        sweeps = 0 if self.effective_size >= ENOUGH else SWEEPS
        return moved(drawn, self.readings, sweeps)

    def predictor(self, count: int) -> Predictor:
        """Return the predictions of a sample under the same circumstances."""
        return Predictor(self.sample(count), self.readings)


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
        proposal = proposal_around(pool.places, tempered(logarithm, pool.log_prior))
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
