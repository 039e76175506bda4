"""How strong a starter an engine of this size usually has: a band, because makers differ."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.starter.motor import Scalars
from sizing.tables import load, numbers

Array = NDArray[np.float64]
Anchors = tuple[Array, Array, Array]

LITRE = 1e-3  # m3
KILOWATT = 1e3  # W
MANY_CYLINDERS = 8  # from here on petrol engines follow the rows of the V8
ROUNDING = 1e-9  # an engine at the very end of the range is inside it, however its litres were converted


def _usual(kind: str, displacement: float | None = None) -> list[tuple[float, float, float]]:
    """Return the published ranges of a kind of engine, each at the geometric middle of its displacements."""
    rows = load("cranking_starter_power_by_engine").select("data", fuel=kind)
    ends = np.array([numbers(rows, "displacement_low"), numbers(rows, "displacement_high")])
    # a class that names one end stands at that end; one that names none is placed by the other table
    ends = np.where(np.isnan(ends), ends[::-1], ends)
    middle = np.sqrt(ends[0] * ends[1])
    middle = np.where(np.isnan(middle), displacement, middle) if displacement is not None else middle
    return list(zip(middle, numbers(rows, "power_low"), numbers(rows, "power_high"), strict=True))


@cache
def _anchors(kind: str) -> Anchors:
    """Return displacement in L and low and high power in kW, sorted by displacement."""
    more = load("starter_power_more").select("data", fuel=kind)
    places = [float(row["displacement"]) for row in more if not row["power_low"]]
    points = _usual(kind, places[0] if places else None)
    points += [
        (float(row["displacement"]), float(row["power_low"]), float(row["power_high"]))
        for row in more
        if row["power_low"]
    ]
    if kind == "petrol V8":
        # an unusually small eight is an engine like any other of its size
        smallest = min(point[0] for point in points)
        points += [point for point in zip(*_anchors("petrol"), strict=True) if point[0] < smallest / 1.2]
    displacement, low, high = (np.array(column) for column in zip(*sorted(points), strict=True))
    return displacement, low, high


def default_power(displacement: Scalars, cylinders: int, fuel: str) -> tuple[Array, Array]:
    """Return the range of rated power of the starters usual for an engine.

    Interpolated between the middles of the usual classes, straight in the logarithms of both, so that there
    is neither gap nor jump between classes.

    Parameters
    ----------
    displacement : of the whole engine [m3]
    cylinders : their number; eight and more follow the rows of the V8 where petrol [-]
    fuel : "petrol" or "diesel" [-]

    Returns
    -------
    tuple of arrays : low and high rated power, NaN outside the displacements of the tables: 0.05 to 6.5 L
        petrol (8.5 L from eight cylinders on), 0.3 to 15 L diesel [W]

    Raises
    ------
    ValueError : for another fuel, or no cylinder.

    Notes
    -----
    Ranges recalled (recalled_starter_power); below 0.6 L and above 3.5 L petrol, below 1.5 L and above 7 L
    diesel common practice. A default with a wide spread: a starter's own plate overrides it.

    Examples
    --------
    >>> [round(float(end), -1) for end in default_power(2.0e-3, 4, "petrol")]
    [1010.0, 1370.0]
    """
    if fuel not in ("petrol", "diesel"):
        raise ValueError(f"no starter power is known for the fuel {fuel!r}")
    if cylinders < 1:
        raise ValueError("an engine has at least one cylinder")
    kind = "petrol V8" if fuel == "petrol" and cylinders >= MANY_CYLINDERS else fuel
    x = np.asarray(displacement, float)
    litres, low, high = (np.log(column) for column in _anchors(kind))
    with np.errstate(invalid="ignore", divide="ignore"):
        at = np.log(x / LITRE)
    at = np.where((at >= litres[0] - ROUNDING) & (at <= litres[-1] + ROUNDING), at, np.nan)
    return KILOWATT * np.exp(np.interp(at, litres, low)), KILOWATT * np.exp(np.interp(at, litres, high))
