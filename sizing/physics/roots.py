"""Where does a curve cross zero: many bracketed roots at once, by the same few array operations.

SciPy's ``optimize.elementwise.find_root`` does the same; importing it takes a third of a second, which
a command-line answer cannot spare. A test holds this routine to SciPy's.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Three = tuple[Array, Array, Array]


def _next_share(points: Three, values: Three) -> Array:
    """Return where to look next, from the newest point (0) to the other end of the bracket (1).

    Inverse quadratic interpolation where the three points lie on a curve tame enough for it, else the middle.
    """
    (x1, x2, x3), (f1, f2, f3) = points, values
    with np.errstate(invalid="ignore", divide="ignore", over="ignore", under="ignore"):
        x = (x1 - x2) / (x3 - x2)
        y = (f1 - f2) / (f3 - f2)
        tame = (y**2 < x) & ((1.0 - y) ** 2 < 1.0 - x)
        curved = f1 / (f2 - f1) * f3 / (f2 - f3) + (x3 - x1) / (x2 - x1) * f1 / (f3 - f1) * f2 / (f3 - f2)
    return np.where(tame & np.isfinite(curved), curved, 0.5)


def find_root(
    function: Callable[[Array], Array],
    low: Array | float,
    high: Array | float,
    *,
    relative: float = 1e-10,
    most: int = 60,
) -> Array:
    """Return the root of a function in each bracket, by Chandrupatla's mix of bisection and interpolation.

    Each step keeps the half of the bracket in which the sign changes. The next point comes from inverse
    quadratic interpolation through the last three points where these lie on a curve tame enough, and
    from the middle of the bracket where they do not.

    Parameters
    ----------
    function : takes and returns arrays of the brackets' common shape [-]
    low, high : ends of the bracket, where the function has opposite signs [-]
    relative : width of the final bracket over the larger end [-]
    most : largest number of evaluations [-]

    Returns
    -------
    array : the root, NaN where the ends do not bracket one or the function is NaN on the way [-]

    Notes
    -----
    Where the ends bracket several roots, the one found has the ends' own change of sign across it.
    T. R. Chandrupatla, 1997, Advances in Engineering Software 28, 145 (recalled).

    Examples
    --------
    >>> find_root(lambda x: x**2 - np.array([2.0, 9.0]), 0.0, np.array([10.0, 10.0])).round(6)
    array([1.414214, 3.      ])
    """
    x1, x2 = np.broadcast_arrays(np.asarray(low, float), np.asarray(high, float))
    x1, x2, f1, f2 = (np.array(x, float) for x in np.broadcast_arrays(x1, x2, function(x1), function(x2)))
    bad = ~(np.sign(f1) * np.sign(f2) <= 0)
    best = np.where(np.abs(f1) < np.abs(f2), x1, x2)
    done = bad | (f1 == 0.0) | (f2 == 0.0)
    share = np.full(x1.shape, 0.5)
    for _ in range(most):
        if done.all():
            break
        x = np.where(done, best, x1 + share * (x2 - x1))
        f = np.asarray(function(x), float)
        bad |= np.isnan(f) & ~done
        same = np.sign(f) == np.sign(f1)
        # point 3 is the one given up: 1 is the newest, and 1 and 2 always enclose the change of sign
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, f
        best = np.where(done, best, np.where(np.abs(f1) < np.abs(f2), x1, x2))
        width = np.abs(x2 - x1)
        room = relative * np.maximum(np.abs(x1), np.abs(x2))
        done |= bad | (width <= room) | (f1 == 0.0)
        with np.errstate(invalid="ignore", divide="ignore"):
            least = np.minimum(0.5 * room / width, 0.5)
        share = np.clip(_next_share((x1, x2, x3), (f1, f2, f3)), least, 1.0 - least)
    return np.where(bad, np.nan, best)
