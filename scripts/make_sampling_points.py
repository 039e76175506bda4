"""Write the evenly spread points that every uncertain answer is sampled with.

Latin hypercubes whose columns are made nearly uncorrelated by ranked Gram-Schmidt steps (Owen 1994). At the
one or two hundred points that an answer can afford, Sobol points of so many dimensions leave pairs of columns
correlated by 0.4 and more, which would blur what widens an answer; these leave 0.02, at about the same
centred discrepancy. They are kept as a file because making them takes a tenth of an answer's time.

Run ``python scripts/make_sampling_points.py`` to write ``sizing/simulate/sampling_points.npz``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

DIMENSIONS = {4: 3, 8: 7, 16: 15, 32: 31, 64: 60, 128: 64}  # so many columns can be uncorrelated
ROUNDS = 10
FILE = Path(__file__).parents[1] / "sizing" / "simulate" / "sampling_points.npz"


def levels(count: int, dimensions: int, seed: int) -> Array:
    """Return a Latin hypercube of levels 0 to count - 1, columns nearly uncorrelated."""
    rng = np.random.default_rng(seed)
    middle = (count - 1) / 2.0
    x = np.argsort(rng.random((count, dimensions)), axis=0) - middle
    for _ in range(ROUNDS):
        for order in (range(dimensions), range(dimensions - 1, -1, -1)):
            done: list[int] = []
            for column in order:
                for other in done:
                    x[:, column] -= x[:, column] @ x[:, other] / (x[:, other] @ x[:, other]) * x[:, other]
                    x[:, column] = np.argsort(np.argsort(x[:, column])) - middle
                done.append(column)
    return np.asarray(x + middle)


def tables() -> dict[str, Array]:
    """Return the levels for every number of points, by that number."""
    return {
        str(count): levels(count, columns, 20250101 + count).astype(np.uint8)
        for count, columns in DIMENSIONS.items()
    }


if __name__ == "__main__":
    np.savez_compressed(FILE, allow_pickle=False, **tables())
