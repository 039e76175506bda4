"""The thick cables between battery and starter: every milliohm in them costs half a volt at 500 A."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.starter.copper import Scalars, copper_factor
from sizing.tables import load

Array = NDArray[np.float64]

MILLI = 1e-3


@cache
def default_circuit_resistance() -> float:
    """Return the resistance of a sound circuit there and back, that of the rating of starters.

    Returns
    -------
    float : from ``cranking_cable_limits.csv`` [ohm]

    Examples
    --------
    >>> default_circuit_resistance()
    0.001
    """
    (row,) = load("cranking_cable_limits").select("data", item="supply lead in the rating of starters")
    return float(row["resistance"]) * MILLI


@cache
def fault_resistance() -> float:
    """Return the resistance from which on a circuit counts as faulty.

    Returns
    -------
    float : from ``starter_cable.csv`` [ohm]

    Examples
    --------
    >>> fault_resistance()
    0.0025
    """
    (row,) = load("starter_cable").select("data", item="fault from")
    return float(row["value"]) * MILLI


@cache
def copper_resistivity() -> float:
    """Return the resistivity of copper at 20 °C.

    Returns
    -------
    float : from ``starter_cable.csv`` (recalled) [ohm m]

    Examples
    --------
    >>> copper_resistivity()
    1.72e-08
    """
    (row,) = load("starter_cable").select("data", item="resistivity at 20 degC")
    return float(row["value"])


def cable_resistance(temperature: Scalars, section: Scalars, length: Scalars) -> Array:
    """Return the resistance of a copper cable: ρ(T) l / A.

    Parameters
    ----------
    temperature : of the cable [K]
    section : area of copper [m2]
    length : there and back when the return is a cable too [m]

    Returns
    -------
    array : without joints and clamps; NaN outside the range of `copper_factor` [ohm]

    Raises
    ------
    ValueError : for a section not above zero or a negative length.

    Examples
    --------
    >>> (1e3 * cable_resistance(293.15, np.array([16e-6, 25e-6]), 1.0)).round(2)
    array([1.08, 0.69])
    """
    area, span = np.asarray(section, float), np.asarray(length, float)
    if np.any(area <= 0.0) or np.any(span < 0.0):
        raise ValueError("a cable has a section above zero and a length that is not negative")
    return np.asarray(copper_resistivity() * copper_factor(temperature) * span / area)


def circuit_resistance(voltage_drop: Scalars, current: Scalars) -> Array:
    """Return the resistance of a circuit from its measured drop while cranking: U / I.

    Parameters
    ----------
    voltage_drop : over the whole circuit, both cables [V]
    current : meanwhile, above zero [A]

    Returns
    -------
    array : of cables, joints, switches and clamps together [ohm]

    Raises
    ------
    ValueError : for a current that is not above zero or a negative drop.

    Examples
    --------
    >>> circuit_resistance(0.5, 160.0)
    np.float64(0.003125)
    """
    drop, i = np.asarray(voltage_drop, float), np.asarray(current, float)
    if np.any(i <= 0.0) or np.any(drop < 0.0):
        raise ValueError("a drop is measured at a current above zero and is not negative")
    return np.asarray(drop / i)[()]


def is_faulty(resistance: Scalars) -> NDArray[np.bool_]:
    """Return whether a cranking circuit resists so much that it counts as a fault.

    Parameters
    ----------
    resistance : of the whole circuit [ohm]

    Returns
    -------
    array : true from `fault_resistance` on [-]

    Examples
    --------
    >>> is_faulty(np.array([1.0e-3, 3.1e-3]))
    array([False,  True])
    """
    return np.asarray(np.asarray(resistance, float) >= fault_resistance())
