"""How much heat a battery holds and how much surface it has, from its mass and type."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.physics.thermal.declared import MIDDLE, named, numbers_of

Array = NDArray[np.float64]

SPECIFIC_HEAT = {"vented": "c_flooded", "VRLA": "c_agm"}  # rows of ageing_thermal_constants.csv
USUAL_MASS = {"vented": "mass_flooded", "VRLA": "mass_agm"}  # of 60 to 70 Ah, in the case of the same table


def heat_capacity(mass: ArrayLike, battery_type: str, place: ArrayLike = MIDDLE) -> Array:
    """Return the heat capacity of a battery, mass times specific heat of its construction.

    Parameters
    ----------
    mass : of the battery, positive [kg]
    battery_type : of the table ``battery_types``
    place : in the declared range of specific heat, 0 to 1 [-]

    Returns
    -------
    array : of the broadcast shape [J/K]

    Raises ValueError for a mass that is not positive or a type that is not held.

    Source: table ``ageing_thermal_constants`` (derived from lead, acid and plastic); one measured module lies
    lower (pesaran_keyser_2001, recalled).

    Examples
    --------
    >>> float(heat_capacity(17.5, "flooded calcium").round(0))
    18375.0
    """
    heavy = np.asarray(mass, float)
    if not np.all(heavy > 0.0):
        raise ValueError("a mass must be positive")
    low, high = _ends(SPECIFIC_HEAT[_construction(battery_type)])
    return np.asarray(heavy * (low + (high - low) * np.asarray(place, float)))


def case_area(mass: ArrayLike, battery_type: str) -> Array:
    """Return sides and top of the case of a battery of that mass.

    A case of 278 x 175 x 190 mm goes with the middle mass of 60 to 70 Ah; area goes with the 2/3 power.

    Parameters
    ----------
    mass : of the battery, positive [kg]
    battery_type : of the table ``battery_types``

    Returns
    -------
    array : of the shape of the mass [m2]

    Raises ValueError for a mass that is not positive or a type that is not held.

    Source: table ``ageing_thermal_constants``.

    Examples
    --------
    >>> float(case_area(17.5, "flooded calcium").round(4))
    0.2208
    """
    heavy = np.asarray(mass, float)
    if not np.all(heavy > 0.0):
        raise ValueError("a mass must be positive")
    usual = 0.5 * sum(_ends(USUAL_MASS[_construction(battery_type)]))
    whole = _ends("area_sides")[0] + _ends("area_top")[0]
    return np.asarray(whole * (heavy / usual) ** (2.0 / 3.0))


def _construction(battery_type: str) -> str:
    return named("battery_types", "type", battery_type)["construction"]


def _ends(identity: str) -> tuple[float, float]:
    low, high = numbers_of(named("ageing_thermal_constants", "id", identity), "low", "high")
    return low, high
