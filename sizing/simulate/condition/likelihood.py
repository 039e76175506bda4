"""How well each draw explains each reading: normal errors, and a small share that mean nothing."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import SMALL_SIGNAL, Error, Readings, constants, errors

Array = NDArray[np.float64]

ROTATIONS = ("none", "slow", "normal")
_LOG_ROOT = 0.5 * np.log(2.0 * np.pi)


def scaled(value: Array, error: Error) -> Array:
    """Return a value on the scale on which its error is normal.

    Parameters
    ----------
    value : reading or prediction, in the reading's unit [-]
    error : of that reading [-]

    Returns
    -------
    array : as it is, or its logarithm, kept finite at nothing [-]

    Examples
    --------
    >>> scaled(np.array([1.0]), errors()["resistance"])
    array([0.])
    """
    x = np.asarray(value, float)
    return np.log(np.maximum(x, 1e-9)) if error.logarithmic else x


def log_density(read: Array | float, predicted: Array, error: Error) -> Array:
    """Return how likely a reading is for each prediction: sound, or a blunder.

    Parameters
    ----------
    read : in the reading's unit, of a shape that broadcasts [-]
    predicted : NaN where a draw predicts none [-]
    error : of that reading [-]

    Returns
    -------
    array : log[(1 - b) normal((read - predicted)/s)/s + b/(high - low)] on the scale of the error [-]

    Notes
    -----
    However far a reading lies off, it takes no more from a draw than the share of blunders allows.

    Examples
    --------
    >>> far, farther = log_density(np.array([9.0, 5.0]), np.array(12.5), errors()["rest_voltage"])
    >>> bool(abs(far - farther) < 1e-9)
    True
    """
    wide = np.diff(scaled(np.array([error.low, error.high]), error)).item()
    z = (scaled(np.asarray(read), error) - scaled(predicted, error)) / error.deviation
    sound = (1.0 - error.blunder) / error.deviation * np.exp(-0.5 * z * z - _LOG_ROOT)
    return np.asarray(np.log(np.where(np.isnan(sound), 0.0, sound) + error.blunder / wide))


def gravity_log_density(read: tuple[float, ...], sound: Array, low_cell: Array, error: Error) -> Array:
    """Return how likely six hydrometer readings are, whichever cell is the weak one.

    Parameters
    ----------
    read : of the six cells [-]
    sound : predicted reading of a sound cell [-]
    low_cell : by how much one cell is weaker [-]
    error : of one reading [-]

    Returns
    -------
    array : log of the mean over the cell that may be weak [-]

    Examples
    --------
    >>> six = (1.26, 1.26, 1.26, 1.20, 1.26, 1.26)
    >>> sound, weak = gravity_log_density(six, np.array(1.26), np.array([0.0, 0.06]),
    ...                                   errors()["specific_gravity"])
    >>> bool(weak > sound)
    True
    """
    cells = np.asarray(read)[:, None]
    well = log_density(cells, sound, error)
    weak = log_density(cells, sound - low_cell, error)
    each = well.sum(axis=0) - well + weak
    most = each.max(axis=0)
    return np.asarray(most + np.log(np.exp(each - most).mean(axis=0)))


@cache
def _normal() -> tuple[Array, Array]:
    grid = np.linspace(-6.0, 6.0, 1201)
    return grid, np.array([NormalDist().cdf(x) for x in grid])


def normal_share(score: Array) -> Array:
    """Return the share of a normal distribution below a score.

    Parameters
    ----------
    score : in standard deviations [-]

    Returns
    -------
    array : between 0 and 1, good to 1e-5 [-]

    Examples
    --------
    >>> normal_share(np.array([0.0, 1.6449])).round(3)
    array([0.5 , 0.95])
    """
    return np.interp(score, *_normal())


def rotation_chances(speed_ratio: Array) -> Array:
    """Return how likely an owner says that it did not turn, turned slowly, or as ever.

    Parameters
    ----------
    speed_ratio : speed over the one at which it fires, 0 where it does not turn [-]

    Returns
    -------
    array : chances of `ROTATIONS`, shape (3, draws) [-]

    Examples
    --------
    >>> rotation_chances(np.array([0.0, 1.2, 3.0])).argmax(axis=0)
    array([0, 1, 2])
    """
    c = constants()
    turns = speed_ratio > 0.0
    far = np.log(c["slow_speed_ratio"] / np.maximum(speed_ratio, 1e-3)) / c["slow_speed_spread"]
    slow = np.where(turns, normal_share(far), 0.0)
    said = np.stack([np.where(turns, 0.0, 1.0), slow, np.where(turns, 1.0 - slow, 0.0)])
    wrong = c["rotation_misjudged"]
    return np.asarray((1.0 - wrong) * said + wrong / len(ROTATIONS))


def log_likelihoods(predictor: Predictor, readings: Readings) -> Mapping[str, Array]:
    """Return the log likelihood of every reading that is there.

    Parameters
    ----------
    predictor : of the draws, under the circumstances of the readings [-]
    readings : in SI [-]

    Returns
    -------
    mapping : by the name of the reading, shape (draws,) each [-]

    Raises
    ------
    ValueError : for a resistance that is not of a small alternating signal, which is another quantity.

    Examples
    --------
    >>> from sizing.simulate.condition.example import example_readings, example_subject
    >>> from sizing.simulate.condition.hidden import Hidden, first_places, label_draws
    >>> one = example_subject()
    >>> drawn = Hidden(one, label_draws(one), first_places(64, 1))
    >>> list(log_likelihoods(Predictor(drawn, example_readings()), example_readings()))
    ['rest_voltage', 'resistance', 'lowest_cranking_voltage']
    """
    if readings.resistance is not None and readings.resistance_kind != SMALL_SIGNAL:
        raise ValueError("only a resistance read with a small alternating signal is understood")
    found = {}
    for name, predicted in predictor.values(readings.given).items():
        if name == "rotation":
            found[name] = np.log(rotation_chances(predicted)[ROTATIONS.index(readings.rotation)])
        elif name == "specific_gravity":
            assert readings.specific_gravity is not None
            found[name] = gravity_log_density(
                readings.specific_gravity, predicted, predictor.low_cell, errors()[name]
            )
        else:
            found[name] = log_density(getattr(readings, name), predicted, errors()[name])
    return found
