"""What a parked battery feels of a cold night: a garage is warmer, and a battery cools later than the air.

Outdoor minimum -> air at the vehicle (street, carport, garage) -> battery, which follows the daily swing as
one heat capacity. Uncertain factors are ranges in tables, to be sampled by whoever computes chances.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.climate.lag import Range, amplitude_left, named
from sizing.climate.nights import cold_month
from sizing.climate.normals import TYPICAL_COLD_RANGE
from sizing.climate.places import Place
from sizing.tables import load

Array = NDArray[np.float64]

HOUSE = (291.15, 293.15, 295.15)
"""Air of a heated house: low, usual, high [K]; 20 °C is the standard's convention, ±2 K our judgement."""
SWING_SHARE = (0.2, 1.0)
"""Amplitude of the swing around the coldest night over half the daily range of the cold month [-].

Our judgement: in the sunless north that range is mostly weather, and little of it is a day's swing; a clear
night farther south has all of it."""


@dataclass(frozen=True)
class Shelter:
    """Where a vehicle stands at night: reduction factor b and the share of the daily swing left [-]."""

    name: str
    reduction: Range
    swing: Range


def shelters() -> tuple[str, ...]:
    """Return the names of the shelters held.

    >>> shelters()
    ('street', 'carport', 'attached garage', 'detached garage')
    """
    return tuple(row["shelter"] for row in load("climate_shelters").rows)


def find_shelter(name: str) -> Shelter:
    """Return a shelter with its declared ranges, from the table ``climate_shelters``.

    >>> find_shelter("attached garage").reduction.mode
    0.6

    Raises ValueError, listing the names, for one that is not held.
    """
    row = named("climate_shelters", "shelter", name)
    low, mode, high, least, most = (
        float(row[key]) for key in ("b_low", "b_mode", "b_high", "swing_low", "swing_high")
    )
    return Shelter(name, Range(low, high, mode), Range(least, most))


def unheated_room(outdoor_mean: ArrayLike, inside: ArrayLike, reduction: ArrayLike) -> Array:
    """Return the air of an unheated room beside a heated one, T = T_in - b (T_in - T_out).

    A house is heated and not cooled: outdoors warmer than T_in makes the room as warm as outdoors.

    Parameters
    ----------
    outdoor_mean : outdoor air, mean of one or two days [K]
    inside : air of the heated house [K]
    reduction : b, 0 is as warm as the house, 1 as cold as outdoors [-]

    Returns
    -------
    array : temperature, of the broadcast shape [K]

    Range: 0 <= b <= 1, NaN outside; steady, so no shorter than a day.

    Raises ValueError below absolute zero.

    Source: EN 12831, default reduction factors / en_12831 (recalled).

    Examples
    --------
    >>> (unheated_room([253.15, 243.15, 308.15], 293.15, 0.6) - 273.15).round(6)
    array([ -4., -10.,  35.])
    """
    outside, house, b = (np.asarray(x, float) for x in (outdoor_mean, inside, reduction))
    if np.any(outside < 0.0) or np.any(house < 0.0):
        raise ValueError("a temperature below absolute zero")
    house = np.maximum(house, outside)
    return np.asarray(np.where((b >= 0.0) & (b <= 1.0), house - b * (house - outside), np.nan), float)


def local_air(
    outdoor_minimum: ArrayLike,
    amplitude: ArrayLike,
    *,
    reduction: ArrayLike = 1.0,
    swing: ArrayLike = 1.0,
    inside: ArrayLike = HOUSE[1],
) -> tuple[Array, Array]:
    """Return mean and minimum of the air at the parked vehicle around the coldest night.

    The outdoor day swings by its amplitude A about a mean of T_min + A; a room follows that mean by
    :func:`unheated_room` and keeps a share d of the swing: minimum = mean - d A.

    Parameters
    ----------
    outdoor_minimum : coldest outdoor air of the night [K]
    amplitude : A, of the daily swing around that night [K]
    reduction : b, 1 outdoors [-]
    swing : d, share of the daily swing left, 1 outdoors [-]
    inside : air of the house the room leans on [K]

    Returns
    -------
    mean : of the local air over that day, of the broadcast shape [K]
    minimum : of the local air in that night, of the broadcast shape [K]

    Raises ValueError for a negative amplitude or below absolute zero.

    Source: en_12831 (recalled) for b; the rest algebra.

    Examples
    --------
    >>> [float((t - 273.15).round(2)) for t in local_air(243.15, 4.0, reduction=0.6, swing=0.2)]
    [-7.6, -8.4]
    """
    a = np.asarray(amplitude, float)
    if np.any(a < 0.0):
        raise ValueError("an amplitude is not negative")
    mean = unheated_room(np.asarray(outdoor_minimum, float) + a, inside, reduction)
    return mean, np.asarray(mean - np.asarray(swing, float) * a, float)


def parked_minimum(
    outdoor_minimum: ArrayLike,
    amplitude: ArrayLike,
    time_constant: ArrayLike,
    *,
    reduction: ArrayLike = 1.0,
    swing: ArrayLike = 1.0,
    inside: ArrayLike = HOUSE[1],
) -> Array:
    """Return the lowest temperature of a parked battery (or engine) around the coldest night.

    T = mean - d A/√(1 + (ωτ)²), with mean, d and A as in :func:`local_air`. It comes some hours after the
    coldest hour of the air (:func:`lag`); a start before that finds the battery warmer, and so does one after
    a drive on the day before: what is left of a warm engine bay is not counted.

    Parameters
    ----------
    outdoor_minimum : coldest outdoor air of the night [K]
    amplitude : A, of the daily swing around that night [K]
    time_constant : τ, of the battery in its vehicle [s]
    reduction : b, 1 outdoors [-]
    swing : d, share of the daily swing left, 1 outdoors [-]
    inside : air of the house the room leans on [K]

    Returns
    -------
    array : temperature, of the broadcast shape; never below the outdoor minimum [K]

    Range: a cold spell of more than a day; a single cold night after mild days leaves the battery warmer.

    Raises ValueError for a negative amplitude or time constant, or below absolute zero.

    Source: exact for one heat capacity in a periodic day.

    Examples
    --------
    >>> float((parked_minimum(243.15, 5.0, 4.0 * 3600) - 273.15).round(2))
    -28.45
    """
    options = {"reduction": reduction, "swing": swing, "inside": inside}
    mean, lowest = local_air(outdoor_minimum, amplitude, **options)
    return np.asarray(mean - (mean - lowest) * amplitude_left(time_constant), float)


def swing_amplitude(place: Place) -> Range:
    """Return the declared range of the daily swing's amplitude around the coldest night of a place [K].

    0.2 to 1.0 of half the daily range of the cold month; without monthly values, of that of 55 stations.

    >>> from sizing.climate.lookup import find
    >>> round(swing_amplitude(find("Winnipeg")).high, 2)
    4.55
    """
    month = cold_month(place.normals) if place.normals else None
    half = 0.5 * (month.daily_range if month else TYPICAL_COLD_RANGE[0])
    return Range(SWING_SHARE[0] * half, SWING_SHARE[1] * half)
