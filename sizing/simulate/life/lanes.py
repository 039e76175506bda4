"""Vehicles that stand for all that might be meant: each lane draws everything nobody told, once."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sizing.simulate.sampling import Samples, draw

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
