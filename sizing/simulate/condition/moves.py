"""Draws of equal weight that came from too few: moved on, each by itself, as the readings allow."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.hidden import Hidden
from sizing.simulate.condition.likelihood import log_likelihoods
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.proposal import places_of, scores_of
from sizing.simulate.condition.readings import Readings

Array = NDArray[np.float64]

SHARES = (0.05, 0.2, 0.6)  # of its quantities that a draw moves at once
STEPS = (0.2, 0.6, 1.0)  # 1 draws a quantity anew from the prior


def moved(hidden: Hidden, readings: Readings, sweeps: int) -> Hidden:
    """Return draws moved on so that they spread over all that the readings leave possible.

    Parameters
    ----------
    hidden : draws of equal weight from the posterior [-]
    readings : that they are held to [-]
    sweeps : how often each draw is offered a move [-]

    Returns
    -------
    Hidden : as many draws, of the same posterior [-]

    Notes
    -----
    Metropolis steps that leave the prior as it is: a score x is offered sqrt(1 - b^2) x + b xi, xi standard
    normal, and the offer is taken with the ratio of the likelihoods. What no reading informs is taken always.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> from sizing.simulate.condition.hidden import first_places, label_draws
    >>> one = example_subject()
    >>> same = Hidden(one, label_draws(one), np.repeat(first_places(4, 1), 16, axis=0))
    >>> len(np.unique(moved(same, example_readings(), 4).charge)) > 4
    True
    """
    if not sweeps:
        return hidden
    rng = np.random.default_rng((hidden.subject.seed, sweeps))
    places = hidden.places
    total = _total(hidden, readings)
    for _ in range(sweeps):
        count = (len(places), 1)
        active = rng.random(places.shape) < rng.choice(SHARES, size=count)
        step = rng.choice(STEPS, size=count)
        offer = np.sqrt(1.0 - step**2) * scores_of(places) + step * rng.standard_normal(places.shape)
        offered = np.where(active, places_of(offer), places)
        then = _total(Hidden(hidden.subject, hidden.label, offered), readings)
        taken = np.log(rng.random(len(places))) < then - total
        places = np.where(taken[:, None], offered, places)
        total = np.where(taken, then, total)
    return Hidden(hidden.subject, hidden.label, places)


def _total(hidden: Hidden, readings: Readings) -> Array:
    likelihoods = log_likelihoods(Predictor(hidden, readings), readings)
    return np.asarray(sum(likelihoods.values(), np.zeros(len(hidden.places))))
