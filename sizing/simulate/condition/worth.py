"""Which further reading would settle it: expected loss of deciding now against deciding after it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.likelihood import scaled
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import Error, constants, errors

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST_GAIN = 0.002  # a smaller one is noise of the draws
OUTCOMES = 160  # readings that are imagined
SPREAD_OF_MEAN = 6.0**0.5  # six cells are read at once


@dataclass(frozen=True)
class NextReading:
    """What one further reading is worth.

    name : of the reading [-]
    gain : expected fall of the loss of a wrong decision, in batteries replaced a winter early [-]
    clearing : expected share of the doubt about where the fault sits that it takes away [-]
    wrong_after : chance of a wrong decision after it [-]
    effort : 1 owner with a meter, 2 owner with more, 3 workshop [-]
    """

    name: str
    gain: float
    clearing: float
    wrong_after: float
    effort: int


def replaces(chance_of_failing: Array | float) -> Flags:
    """Return whether a battery of such a chance is better replaced before the winter.

    Parameters
    ----------
    chance_of_failing : of the battery itself, in the winter [-]

    Returns
    -------
    array : where keeping it costs more than replacing it early [-]

    Examples
    --------
    >>> replaces(np.array([0.05, 0.5]))
    array([False,  True])
    """
    p = np.asarray(chance_of_failing)
    return np.asarray(constants()["wrong_keep_counts"] * p > 1.0 - p)


def loss(chance_of_failing: Array | float) -> Array:
    """Return the expected loss of the better decision.

    Parameters
    ----------
    chance_of_failing : of the battery itself, in the winter [-]

    Returns
    -------
    array : min(counts p, 1 - p), in batteries replaced a winter early [-]

    Examples
    --------
    >>> loss(np.array([0.0, 0.5, 1.0]))
    array([0. , 0.5, 0. ])
    """
    p = np.asarray(chance_of_failing, float)
    return np.minimum(constants()["wrong_keep_counts"] * p, 1.0 - p)


def wrong(chance_of_failing: Array | float) -> Array:
    """Return the chance that the better decision is the wrong one.

    Parameters
    ----------
    chance_of_failing : of the battery itself, in the winter [-]

    Returns
    -------
    array : p where it is kept, 1 - p where it is replaced [-]

    Examples
    --------
    >>> wrong(np.array([0.1, 0.9])).round(2)
    array([0.1, 0.1])
    """
    p = np.asarray(chance_of_failing, float)
    return np.where(replaces(p), 1.0 - p, p)


def next_readings(
    predictor: Predictor, fails: Flags, given: tuple[str, ...], *, faults: Mapping[str, Flags] | None = None
) -> tuple[NextReading, ...]:
    """Return what every reading that is not there would be worth, best first.

    Parameters
    ----------
    predictor : of draws of equal weight, under the circumstances of the further readings [-]
    fails : where the battery fails the winter, shape (draws,) [-]
    given : readings that are there already [-]
    faults : where each fault is so, shape (draws,) each [-]

    Returns
    -------
    tuple : each with its gain, which is never negative [-]

    Notes
    -----
    Expected value of sample information, nested: each of some draws says what would be read, and the other
    draws are weighed by it. A reading that leaves the decision as it is in every case gains nothing; it may
    still clear where a fault sits. Doubt is the sum over the faults of p (1 - p). Order: by gain, those
    without a gain that matters by what they clear.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> from sizing.simulate.condition.hidden import Hidden, first_places, label_draws
    >>> one = example_subject()
    >>> drawn = Predictor(Hidden(one, label_draws(one), first_places(256, 1)), example_readings())
    >>> broken = np.asarray(drawn.hidden.battery.resistance_growth) > 0.3
    >>> best = next_readings(drawn, broken, ())
    >>> best[0].gain >= best[-1].gain >= 0.0
    True
    """
    names = tuple(name for name in errors() if name not in given)
    sealed = predictor.hidden.label.kind.construction == "VRLA"
    names = tuple(name for name in names if not (sealed and name == "specific_gravity"))
    flags = np.stack([fails, *(faults or {}).values()]).astype(float)
    found = [
        _worth(name, predicted, flags, errors()[name], predictor.hidden.subject.seed)
        for name, predicted in predictor.values(names).items()
    ]
    return tuple(sorted(found, key=lambda each: (-max(each.gain, LEAST_GAIN), -each.clearing, each.effort)))


def _worth(name: str, predicted: Array, flags: Array, error: Error, seed: int) -> NextReading:
    rng = np.random.default_rng((seed, len(name), OUTCOMES))
    x = scaled(predicted, error)
    chosen = rng.choice(len(x), min(OUTCOMES, len(x)), replace=False)
    deviation = error.deviation / (SPREAD_OF_MEAN if name == "specific_gravity" else 1.0)
    low, high = scaled(np.array([error.low, error.high]), error)
    blunder = rng.random(len(chosen)) < error.blunder
    read = np.where(
        blunder | np.isnan(x[chosen]),
        rng.uniform(low, high, len(chosen)),
        x[chosen] + deviation * rng.standard_normal(len(chosen)),
    )
    z = (read[:, None] - x) / deviation
    sound = (1.0 - error.blunder) / (deviation * np.sqrt(2.0 * np.pi)) * np.exp(-0.5 * z * z)
    weights = np.nan_to_num(sound, nan=0.0) + error.blunder / (high - low)
    # a draw does not confirm itself
    weights[np.arange(len(chosen)), chosen] = 0.0
    chances = (weights @ flags.T) / weights.sum(axis=1, keepdims=True)
    after = chances[:, 0]
    doubts = chances[:, 1:]
    before = doubts.mean(axis=0)
    doubt = float((before * (1.0 - before)).sum())
    left = float((doubts * (1.0 - doubts)).sum(axis=1).mean())
    clearing = 1.0 - left / doubt if doubt > 0.0 else 0.0
    # against the mean of the same imagined readings, so that the noise of their choice is no gain
    gain = float(loss(after.mean())) - float(loss(after).mean())
    return NextReading(name, max(gain, 0.0), max(clearing, 0.0), float(wrong(after).mean()), error.effort)
