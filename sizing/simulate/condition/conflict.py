"""Which reading does not fit the others, and what would explain it: named, not averaged away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.likelihood import ROTATIONS, normal_share, rotation_chances, scaled
from sizing.simulate.condition.posterior import Posterior
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import constants, errors
from sizing.simulate.condition.weights import effective

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SURFACE = 0.08  # V of surface charge from which it explains a rest voltage
RISES = 2.0  # a cause explains a reading when that reading makes it so many times as likely
MISREAD = "misread"


@dataclass(frozen=True)
class Agreement:
    """How one reading fits the others.

    name : of the reading [-]
    tail : chance that the others leave for a reading as far off as this one [-]
    conflict : whether that is below the declared bound [-]
    cause : what explains a conflict best, empty without one [-]
    cause_chance : of that cause, given all readings [-]
    """

    name: str
    tail: float
    conflict: bool
    cause: str
    cause_chance: float


def causes(predictor: Predictor) -> Mapping[str, Flags]:
    """Return where each thing is so that can set readings at odds.

    Parameters
    ----------
    predictor : of the draws, under the circumstances of the readings [-]

    Returns
    -------
    mapping : flags by cause [-]

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> from sizing.simulate.condition.hidden import Hidden, first_places, label_draws
    >>> one = example_subject()
    >>> drawn = Hidden(one, label_draws(one), first_places(64, 1))
    >>> list(causes(Predictor(drawn, example_readings())))[:2]
    ['surface charge', 'weak cell']
    """
    hidden = predictor.hidden
    found = {
        "surface charge": predictor.surface > SURFACE,
        "weak cell": hidden.weak_cell,
        "cable": hidden.cable_added > 0.0,
        "control circuit": hidden.control_fault,
        "charging": hidden.charging_fault,
        "load": hidden.load_stays,
        "drained": hidden.overdrawn > 0.0,
    }
    if predictor.readings.measured_standard == "unknown":
        found["another standard"] = predictor.another_standard
    return found


def agreements(found: Posterior) -> tuple[Agreement, ...]:
    """Return how each reading fits the others, in the order of the readings.

    Parameters
    ----------
    found : posterior, given all readings [-]

    Returns
    -------
    tuple : empty where fewer than two readings are there [-]

    Notes
    -----
    Each reading is taken out in turn and predicted from the rest: the share of their predictions, error
    included, that lies farther out. A cause explains it when the reading makes it at least twice as likely
    and more likely than that it was misread.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> from sizing.simulate.condition.posterior import posterior
    >>> any(a.conflict for a in agreements(posterior(example_subject(), example_readings())))
    False
    """
    names = found.readings.given
    if len(names) < 2:
        return ()
    flags = causes(Predictor(found.hidden, found.readings))
    bound = constants()["conflict_bound"]
    result = []
    for name in names:
        without = found.weights_without(name)
        tail = _tail(found, name, without)
        conflict = tail < bound and effective(without) > 1.0
        cause, chance = _explained(found, name, without, flags) if conflict else ("", 0.0)
        result.append(Agreement(name, tail, conflict, cause, chance))
    return tuple(result)


def _tail(found: Posterior, name: str, weights: Array) -> float:
    predicted = found.predicted[name]
    if name == "rotation":
        said = rotation_chances(predicted)[ROTATIONS.index(found.readings.rotation)]
        return float(weights @ said)
    error = errors()[name]
    read = getattr(found.readings, name)
    if name == "specific_gravity":
        # the cell in the middle: one weak cell is a finding of its own and no conflict
        read = float(np.median(read))
    score = (scaled(np.asarray(read), error) - scaled(predicted, error)) / error.deviation
    below = float(weights @ np.nan_to_num(normal_share(score), nan=0.5))
    return 2.0 * min(below, 1.0 - below)


def _explained(found: Posterior, name: str, without: Array, flags: Mapping[str, Flags]) -> tuple[str, float]:
    chances = {cause: (float(found.weights @ so), float(without @ so)) for cause, so in flags.items()}
    rising = {cause: now for cause, (now, before) in chances.items() if now > RISES * before}
    rising[MISREAD] = _misread(found, name)
    best = max(rising, key=lambda cause: rising[cause])
    return best, rising[best]


def _misread(found: Posterior, name: str) -> float:
    """Return the chance that a reading means nothing, given all readings."""
    if name == "rotation":
        share = constants()["rotation_misjudged"] / len(ROTATIONS)
        return float(found.weights @ (share / np.exp(found.log_likelihood[name])))
    error = errors()[name]
    wide = np.diff(scaled(np.array([error.low, error.high]), error)).item()
    power = 6 if name == "specific_gravity" else 1
    nothing = (error.blunder / wide) ** power
    return float(np.minimum(found.weights @ (nothing / np.exp(found.log_likelihood[name])), 1.0))
