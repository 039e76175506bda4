"""Write the low-discrepancy points that every uncertain answer is sampled with.

They are SciPy's scrambled Sobol points, kept as a file because importing ``scipy.stats`` takes longer than
a whole answer of the command line. Run ``python scripts/make_sobol_points.py``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from scipy.stats import qmc

DIMENSIONS = 40
POWER = 9  # 512 points
FILE = Path(__file__).parents[1] / "sizing" / "simulate" / "sobol_points.npy"


def points() -> np.ndarray:
    """Return the points, shape (512, 40), each strictly between 0 and 1."""
    return np.asarray(qmc.Sobol(DIMENSIONS, scramble=True, rng=20250101).random_base2(POWER))


if __name__ == "__main__":
    np.save(FILE, points())
