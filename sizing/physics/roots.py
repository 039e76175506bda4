"""Where does a curve cross zero: many bracketed roots at once, by the same few array operations.

SciPy's ``optimize.elementwise.find_root`` does the same; importing it takes a third of a second, which
a command-line answer cannot spare. A test holds this routine to SciPy's.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def find_root(
    function: Callable[[Array], Array],
    low: Array | float,
    high: Array | float,
    *,
    relative: float = 1e-10,
    most: int = 60,
) -> Array:
    """Return the root of a function in each bracket, by the Illinois form of false position with bisection.

    Parameters
    ----------
    function : takes and returns arrays of the brackets' common shape
    low, high : ends of the bracket, where the function has opposite signs [-]
    relative : width of the final bracket over the larger end [-]
    most : largest number of evaluations [-]

    Returns
    -------
    array : the root, NaN where the ends do not bracket one or the function is NaN there [-]

    Examples
    --------
    >>> find_root(lambda x: x**2 - np.array([2.0, 9.0]), 0.0, np.array([10.0, 10.0])).round(6)
    array([1.414214, 3.      ])
    """
    a, b = np.broadcast_arrays(np.asarray(low, float), np.asarray(high, float))
    fa, fb = function(a), function(b)
    a, b, fa, fb = (np.array(x, float) for x in np.broadcast_arrays(a, b, fa, fb))
    bad = ~(np.sign(fa) * np.sign(fb) <= 0)
    for step in range(most):
        # every third step bisects, so that a curve flat on one side cannot stall the bracket
        with np.errstate(invalid="ignore", divide="ignore"):
            x = (a * fb - b * fa) / (fb - fa)
        middle = 0.5 * (a + b)
        inside = (x > np.minimum(a, b)) & (x < np.maximum(a, b))
        x = np.where(inside & (step % 3 != 2), x, middle)
        fx = function(x)
        bad |= np.isnan(fx)
        same = np.sign(fx) == np.sign(fa)
        exact = fx == 0.0
        # Illinois: halve the value at the end that stays, so that both ends move
        fb = np.where(same, 0.5 * fb, fx)
        fa = np.where(same, fx, 0.5 * fa)
        a, b = np.where(same, x, a), np.where(same, b, x)
        a, b = np.where(exact, x, a), np.where(exact, x, b)
        if np.all(bad | (np.abs(b - a) <= relative * np.maximum(np.abs(a), np.abs(b)))):
            break
    root = 0.5 * (a + b)
    return np.where(bad, np.nan, root)
