"""Vehicles that stand for all that might be meant: each lane draws everything nobody told, once."""

from __future__ import annotations

from collections.abc import Mapping
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from sizing.simulate.sampling import Samples, draw, quantile
from sizing.tables import load

Array = NDArray[np.float64]

LANES = 64


def lanes_of(seed: int, *, fixed: Mapping[str, float] | None = None) -> Samples:
    """Return one draw of every declared parameter for each lane, unknown and varying ones side by side.

    Parameters
    ----------
    seed : the same seed gives the same lanes [-]
    fixed : values that are known after all, by name [-]

    Returns
    -------
    Samples : each of shape (lanes, 1); told ones of shape (1, 1) [-]

    Examples
    --------
    >>> lanes_of(1)["charge"].shape, lanes_of(1)["friction_factor"].shape
    ((64, 1), (64, 1))
    """
    samples = draw(LANES, LANES, seed, fixed=fixed)
    # lives are many and see their lane's weather: pairs of unknown and varying instead of the whole cross
    values = {name: value.reshape(-1, 1) for name, value in samples.values.items()}
    places = {name: np.asarray(place.reshape(-1, 1)) for name, place in samples.places.items()}
    return Samples(values, places)


def lane_places(table: str, seed: int) -> dict[str, Array]:
    """Return places between 0 and 1 for each lane and each parameter of a table, evenly spread.

    Parameters
    ----------
    table : with the columns of ``uncertain_parameters.csv`` [-]
    seed : the same seed gives the same places, whatever other parameters there are [-]

    Returns
    -------
    dict : shape (lanes,) by the name of the parameter [-]

    Examples
    --------
    >>> places = lane_places("ageing_uncertain", 1)["corrosion_step"]
    >>> bool(abs(places.mean() - 0.5) < 0.01)
    True
    """
    places = {}
    for row in load(table).select("data"):
        rng = np.random.default_rng((seed, crc32(row["name"].encode())))
        places[row["name"]] = (rng.permutation(LANES) + rng.random(LANES)) / LANES
    return places


def lane_values(table: str, seed: int) -> dict[str, Array]:
    """Return values of each parameter of a table for each lane.

    Parameters
    ----------
    table : with the columns of ``uncertain_parameters.csv`` [-]
    seed : the same seed gives the same values [-]

    Returns
    -------
    dict : shape (lanes,) by the name of the parameter, in the unit of its row [-]

    Examples
    --------
    >>> step = lane_values("ageing_uncertain", 1)["corrosion_step"]
    >>> bool(8.0 < step.min() < step.max() < 15.0)
    True
    """
    places = lane_places(table, seed)
    return {row["name"]: quantile(places[row["name"]], row) for row in load(table).select("data")}
