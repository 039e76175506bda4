"""What is not known exactly, drawn once for every answer: few points, evenly spread, the same for one seed.

Parameters are declared in ``tables/uncertain_parameters.csv``. Those of kind *unknown* have one value for
this vehicle or place that nobody told us; those of kind *varies* differ between batteries and mornings. An
answer is computed for every pair of both, shape (unknown, varies): the chance of a start is the share of all
pairs, and the interval of an answer says where it would land if the unknown were known.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from sizing.tables import Row, load

Array = NDArray[np.float64]

INTERVAL = (0.05, 0.5, 0.95)  # every answer: a 90 % interval and its median


@dataclass(frozen=True)
class Samples:
    """Drawn values by name: shape (unknown, 1) or (1, varies), and their places in 0 to 1.

    values : by the name of the parameter [-]
    places : uniform scores of the same draws, for their influence [-]
    """

    values: Mapping[str, Array]
    places: Mapping[str, Array]

    def __getitem__(self, name: str) -> Array:
        """Return the drawn values of one parameter."""
        return self.values[name]


@cache
def _levels(count: int) -> Array:
    """Return the Latin hypercube of that many points, shape (count, dimensions)."""
    with as_file(files(__package__) / "sampling_points.npz") as path, np.load(path) as tables:
        if str(count) not in tables.files:
            raise ValueError(f"{count} points are not held; there are {', '.join(tables.files)}")
        return np.asarray(tables[str(count)], float)


def _places(count: int, dimensions: int, seed: int) -> Array:
    """Return points between 0 and 1: columns shuffled, mirrored and jittered by the seed."""
    rng = np.random.default_rng((seed, count))
    levels = _levels(count)
    blocks = [levels[:, rng.permutation(levels.shape[1])]]
    while sum(block.shape[1] for block in blocks) < dimensions:
        # further parameters take the same columns in another order of the points
        blocks.append(levels[rng.permutation(count)][:, rng.permutation(levels.shape[1])])
    chosen = np.hstack(blocks)[:, :dimensions]
    mirrored = rng.random(dimensions) < 0.5
    chosen = np.where(mirrored, count - 1.0 - chosen, chosen)
    # neither shuffling nor mirroring of columns brings correlations that the points do not have
    return np.asarray((chosen + rng.random(chosen.shape)) / count)


@cache
def parameters() -> tuple[Row, ...]:
    """Return the declared uncertain parameters.

    Returns
    -------
    tuple : rows of ``uncertain_parameters.csv`` [-]

    Examples
    --------
    >>> parameters()[0]["name"]
    'friction_factor'
    """
    return load("uncertain_parameters").rows


def quantile(place: Array, row: Row) -> Array:
    """Return the value of a declared distribution at a place between 0 and 1.

    Parameters
    ----------
    place : share of cases below the value [-]
    row : of ``uncertain_parameters.csv`` [-]

    Returns
    -------
    array : in the unit of the row [-]

    Raises
    ------
    ValueError : for a distribution that is not known.

    Examples
    --------
    >>> rows = {row["name"]: row for row in parameters()}
    >>> quantile(np.array([0.0, 0.5, 1.0]), rows["electronics_floor"]).round(2)
    array([6.  , 6.63, 7.5 ])
    """
    low, middle, high = (float(row[name] or "nan") for name in ("low", "middle", "high"))
    if row["distribution"] == "uniform":
        return low + (high - low) * place
    if row["distribution"] == "triangular":
        left = (middle - low) / (high - low)
        below = low + np.sqrt(place * (high - low) * (middle - low))
        above = high - np.sqrt((1.0 - place) * (high - low) * (high - middle))
        return np.where(place < left, below, above)
    score = np.vectorize(NormalDist().inv_cdf, otypes=[float])(place)
    if row["distribution"] == "normal":
        return np.asarray(middle + high * score)
    if row["distribution"] == "lognormal":
        return np.asarray(middle * np.exp(high * score))
    raise ValueError(f"unknown distribution {row['distribution']} of {row['name']}")


def draw(unknown: int, varies: int, seed: int, *, fixed: Mapping[str, float] | None = None) -> Samples:
    """Return samples of every declared parameter.

    Parameters
    ----------
    unknown : how many draws of what is unknown: 4, 8, 16, 32, 64 or 128 [-]
    varies : how many draws of what varies, one of the same numbers [-]
    seed : the same seed gives the same samples [-]
    fixed : values that are known after all, by name [-]

    Returns
    -------
    Samples : evenly spread points through the declared distributions [-]

    Raises
    ------
    ValueError : for a number of draws that is not held.

    Notes
    -----
    Latin hypercubes with nearly uncorrelated columns (owen_1994): ``scripts/make_sampling_points.py``.

    Examples
    --------
    >>> samples = draw(64, 16, 1)
    >>> samples["friction_factor"].shape, samples["charge"].shape
    ((64, 1), (1, 16))
    >>> bool(0.6 < samples["charge"].min() < samples["charge"].max() < 0.95)
    True
    """
    known = fixed or {}
    rows = parameters()
    counts = {"unknown": unknown, "varies": varies}
    points = {kind: _places(count, len(rows), seed) for kind, count in counts.items()}
    values: dict[str, Array] = {}
    places: dict[str, Array] = {}
    for column, row in enumerate(rows):
        name, kind = row["name"], row["kind"]
        if name in known:
            values[name] = np.full((1, 1), float(known[name]))
            continue
        place = points[kind][:, column]
        # the two kinds are crossed, so each lies along its own axis
        places[name] = place[:, None] if kind == "unknown" else place[None, :]
        values[name] = quantile(places[name], row)
    return Samples(values, places)


def never_as_infinite(needed: Array) -> Array:
    """Return what is needed with infinity where there is no number: nothing is enough there.

    Parameters
    ----------
    needed : any shape, NaN where nothing is enough [-]

    Returns
    -------
    array : the same, infinite there [-]

    Examples
    --------
    >>> never_as_infinite(np.array([1.0, np.nan, np.inf]))
    array([ 1., inf, inf])
    """
    return np.where(np.isnan(needed), np.inf, needed)


def quantiles_of_chance(needed: Array, chance: float) -> tuple[float, float, float, float]:
    """Return how much is needed for a chance of success, and where that would land if the unknown were known.

    Parameters
    ----------
    needed : what each pair of samples needs, shape (unknown, varies) [-]
    chance : wanted, between 0 and 1 [-]

    Returns
    -------
    tuple : value for that chance over all pairs; 5 %, 50 % and 95 % of the value over the unknown [-]

    Examples
    --------
    >>> quantiles_of_chance(np.arange(200.0).reshape(20, 10), 0.95)[0]
    190.0
    """
    # order statistics, not interpolated: some pairs may need infinitely much, and the chance is met
    value = float(np.quantile(needed, chance, method="higher"))
    each = np.quantile(needed, chance, axis=1, method="higher")
    low, middle, high = (float(q) for q in np.quantile(each, INTERVAL, method="inverted_cdf"))
    return value, min(low, value), middle, max(high, value)


def influences(answer: Array, samples: Samples, *, count: int = 3) -> tuple[tuple[str, float], ...]:
    """Return the parameters that widen an answer most, with the share of its variance they carry.

    Parameters
    ----------
    answer : of each pair, shape (unknown, varies), no NaN [-]
    samples : that it was computed from [-]
    count : how many to return [-]

    Returns
    -------
    tuple : pairs of what the parameter is in words, and its share between 0 and 1 [-]

    Notes
    -----
    Square of the correlation between the rank of the answer and the place of the parameter: the share that
    a monotone dependence explains. Ranks know what to do with an infinite need. Parameters with the
    same words are added up.

    Examples
    --------
    >>> samples = draw(64, 16, 1)
    >>> influences(samples["friction_factor"] * samples["charge"], samples)[0][0]
    'how much torque this engine takes to turn'
    """
    _, level, count_of = np.unique(answer, return_inverse=True, return_counts=True)
    # the mean rank of equal answers, so that those who need infinitely much share one place
    last = np.cumsum(count_of)
    rank = (last - 0.5 * (count_of - 1))[level].reshape(answer.shape)
    words = {row["name"]: row["words"] for row in parameters()}
    shares: dict[str, float] = {}
    for name, place in samples.places.items():
        x, y = (np.broadcast_to(a, answer.shape) for a in (place, rank))
        spread = float(np.std(x) * np.std(y))
        if spread > 0.0:
            r = float(np.mean((x - x.mean()) * (y - y.mean())) / spread)
            shares[words[name]] = shares.get(words[name], 0.0) + r * r
    ranked = sorted(shares.items(), key=lambda item: -item[1])
    return tuple(ranked[:count])
