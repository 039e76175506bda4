"""A battery cools later than the air, and less: one heat capacity behind its surface and perhaps a sleeve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.tables import Row, TableError, load, numbers

Array = NDArray[np.float64]

DAY = 86400.0
DAILY = 2.0 * np.pi / DAY
"""Angular frequency of the daily wave [rad/s]."""
BARE_AT_REST = (2.5 * 3600.0, 5.5 * 3600.0)
"""Time constant of a bare flooded battery of 17.5 kg in a parked vehicle: low, high [s].

2.4 to 3.3 h from heat capacity and surface (``ageing_thermal_constants``); up to 5.4 h is left by the clause
that 20 h suffice (iec_charge_retention_clause); a tray and a closed bay slow it."""
REFERENCE_MASS = 17.5
"""Middle of 16 to 19 kg for 60 to 70 Ah flooded [kg] (``ageing_thermal_constants``)."""
REFERENCE_AREA = 0.20
"""Exposed surface of such a battery [m2] (``ageing_thermal_constants``: sides 0.172, top 0.049)."""
SPECIFIC_HEAT = {"vented": "c_flooded", "VRLA": "c_agm"}
"""Row of ``ageing_thermal_constants`` for the constructions of ``battery_types``."""


@dataclass(frozen=True)
class Range:
    """Ends of a declared range of an uncertain quantity, and its most likely value where one is declared."""

    low: float
    high: float
    mode: float | None = None


def sleeves() -> tuple[str, ...]:
    """Return the names of the sleeves held.

    >>> sleeves()[0]
    'none'
    """
    return tuple(row["sleeve"] for row in load("climate_sleeves").rows)


def amplitude_left(time_constant: ArrayLike, *, frequency: float = DAILY) -> Array:
    """Return what a heat capacity leaves of the amplitude of a wave, 1/√(1 + (ωτ)²).

    Parameters
    ----------
    time_constant : τ, not negative, any shape [s]
    frequency : ω, of the daily wave unless said otherwise [rad/s]

    Returns
    -------
    array : share of the amplitude, of the same shape [-]

    Raises ValueError for a negative time constant.

    Source: exact solution of dT/dt = (T_air - T)/τ.

    Examples
    --------
    >>> amplitude_left([2.5 * 3600, 5.4 * 3600]).round(4)
    array([0.8367, 0.5775])
    """
    return np.asarray(1.0 / np.hypot(1.0, frequency * _time(time_constant)), float)


def lag(time_constant: ArrayLike, *, frequency: float = DAILY) -> Array:
    """Return by how much a heat capacity comes after a wave, atan(ωτ)/ω.

    Parameters
    ----------
    time_constant : τ, not negative, any shape [s]
    frequency : ω, of the daily wave unless said otherwise [rad/s]

    Returns
    -------
    array : delay, of the same shape [s]

    Raises ValueError for a negative time constant.

    Source: exact solution of dT/dt = (T_air - T)/τ.

    Examples
    --------
    >>> (lag([2.5 * 3600, 5.4 * 3600]) / 3600).round(3)
    array([2.214, 3.648])
    """
    return np.asarray(np.arctan(frequency * _time(time_constant)) / frequency, float)


def time_constant(
    heat_capacity: ArrayLike,
    area: ArrayLike,
    film: ArrayLike,
    *,
    resistance: ArrayLike = 0.0,
    covered: ArrayLike = 1.0,
) -> Array:
    """Return the time constant of a battery as one heat capacity, τ = C/(U A).

    U = c/(1/h + r) + (1 - c) h: a sleeve of thermal resistance r covers the share c of the surface.

    Parameters
    ----------
    heat_capacity : C, mass times specific heat [J/K]
    area : A, exposed surface [m2]
    film : h, convection and radiation at the surface [W/m2/K]
    resistance : r, thickness over conductivity of a sleeve, 0 for none [m2 K/W]
    covered : c, share of the surface under the sleeve [-]

    Returns
    -------
    array : time constant, of the broadcast shape [s]

    Raises ValueError unless heat capacity, area and film are positive and the resistance is not negative.

    Source: series of film and layer, textbook.

    Examples
    --------
    >>> (time_constant(18900.0, 0.20, 8.0, resistance=[0.0, 0.125]) / 3600).round(2)
    array([3.28, 6.56])
    """
    c, a, h, r, share = (np.asarray(x, float) for x in (heat_capacity, area, film, resistance, covered))
    if not (np.all(c > 0.0) and np.all(a > 0.0) and np.all(h > 0.0) and np.all(r >= 0.0)):
        raise ValueError("heat capacity, area and film must be positive, and a resistance not negative")
    return np.asarray(c / (a * (share / (1.0 / h + r) + (1.0 - share) * h)), float)


def battery_time_constant(
    mass: float, battery_type: str = "flooded calcium", *, sleeve: str = "none"
) -> Range:
    """Return the declared range of a parked battery's time constant, by mass, type and sleeve [s].

    The bare range of a 17.5 kg flooded battery (:data:`BARE_AT_REST`) gives a range of the film coefficient;
    heat capacity grows with the mass, the surface with its 2/3 power.

    Parameters
    ----------
    mass : of the battery [kg]
    battery_type : of the table ``battery_types``; its construction tells the specific heat
    sleeve : of the table ``climate_sleeves``

    Returns
    -------
    Range : low and high end [s]

    Raises ValueError for a mass that is not positive, a type or a sleeve that is not held.

    Examples
    --------
    >>> bare, foam = (battery_time_constant(17.5, sleeve=s) for s in ("none", "foam 10 mm"))
    >>> round(bare.low / 3600, 2), round(bare.high / 3600, 2), round(foam.high / 3600, 1)
    (2.5, 5.5, 12.8)
    """
    if not mass > 0.0:
        raise ValueError("a mass must be positive")
    row = named("climate_sleeves", "sleeve", sleeve)
    construction = named("battery_types", "type", battery_type)["construction"]
    flooded, own = (_specific_heat(SPECIFIC_HEAT[kind]) for kind in ("vented", construction))
    film = REFERENCE_MASS * flooded / (REFERENCE_AREA * np.array(BARE_AT_REST))
    layer = 0.001 * float(row["thickness"]) / float(row["conductivity"]) if row["conductivity"] else 0.0
    covered = np.array([float(row["covered_low"]), float(row["covered_high"])])
    area = REFERENCE_AREA * (mass / REFERENCE_MASS) ** (2.0 / 3.0)
    low, high = time_constant(mass * own, area, film, resistance=layer, covered=covered)
    return Range(float(low), float(high))


def _specific_heat(name: str) -> float:
    row = load("ageing_thermal_constants").select("data", id=name)
    return float(0.5 * (numbers(row, "low")[0] + numbers(row, "high")[0]))


def named(table: str, column: str, name: str) -> Row:
    """Return the row of that name; ValueError, listing the names held, where there is none.

    >>> named("climate_sleeves", "sleeve", "none")["sleeve"]
    'none'
    """
    try:
        return load(table).select("data", **{column: name})[0]
    except TableError:
        known = ", ".join(row[column] for row in load(table).rows)
        raise ValueError(f"no {column} named {name!r}; known are {known}") from None


def _time(time_constant: ArrayLike) -> Array:
    tau = np.asarray(time_constant, float)
    if np.any(tau < 0.0):
        raise ValueError("a time constant is not negative")
    return tau
