"""Ranges that tables declare, and where in them a case lies: low, middle, high at places 0, 0.5 and 1."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.tables import Row, load, numbers

Array = NDArray[np.float64]

RANGE = ("low", "middle", "high")
MIDDLE = 0.5


def between(place: ArrayLike, low: float, middle: float, high: float) -> Array:
    """Return the value at a place in a declared range: straight from low over the middle at 0.5 to high.

    Parameters
    ----------
    place : 0 to 1, any shape [-]
    low : at 0 [any unit]
    middle : at 0.5 [any unit]
    high : at 1 [any unit]

    Returns
    -------
    array : of the same shape, NaN outside 0 to 1 [same unit]

    Examples
    --------
    >>> between([0.0, 0.25, 1.0], 1.0, 2.0, 6.0)
    array([1. , 1.5, 6. ])
    """
    where = np.asarray(place, float)
    return np.asarray(np.interp(where, [0.0, 0.5, 1.0], [low, middle, high], left=np.nan, right=np.nan))


def numbers_of(row: Row, *columns: str) -> tuple[float, ...]:
    """Return cells of a row as numbers.

    Parameters
    ----------
    row : of a table
    columns : which cells

    Returns
    -------
    tuple : one number a column [unit of the column]

    Examples
    --------
    >>> numbers_of({"low": "1", "high": "2"}, "low", "high")
    (1.0, 2.0)
    """
    return tuple(float(numbers((row,), name)[0]) for name in columns)


def common(quantity: str, place: ArrayLike) -> Array:
    """Return a quantity of the table ``thermal_common`` at a place in its range.

    Parameters
    ----------
    quantity : heat_inside, comfort, sunlit or idling
    place : 0 to 1, any shape [-]

    Returns
    -------
    array : of the same shape [unit of the row]

    Raises ValueError, listing the names, for one that is not held.

    Examples
    --------
    >>> float(common("idling", 0.5))
    0.15
    """
    return between(place, *numbers_of(named("thermal_common", "quantity", quantity), *RANGE))


def named(table: str, column: str, name: str) -> Row:
    """Return the row of that name; ValueError, listing the names held, where there is none.

    Examples
    --------
    >>> named("thermal_shields", "shield", "box")["sleeve"]
    'none'
    """
    for row in load(table).rows:
        if row[column] == name:
            return row
    known = ", ".join(row[column] for row in load(table).rows)
    raise ValueError(f"no {column} named {name!r}; known are {known}")
