"""How fast the engine turns: the one current at which supply, starter and engine agree.

The supply is any function from current to the voltage at the starter's terminal, and the engine any
function from crank speed to the torque it takes, so that neither battery nor engine is known here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.roots import find_root
from sizing.physics.starter.copper import copper_factor
from sizing.physics.starter.motor import (
    Scalars,
    Starter,
    crank_speed,
    crank_torque,
    idle_current,
)

Array = NDArray[np.float64]
SupplyVoltage = Callable[[Array], Array]
LoadTorque = Callable[[Array], Array]

# width of the last bracket in current over the current; the speed then agrees to 1e-8 unless nearly stalled
RELATIVE = 1e-12


@dataclass(frozen=True)
class OperatingPoint:
    """Where starter and engine agree: current [A], crank speed [rad/s], voltage at the starter [V]."""

    current: Array
    speed: Array
    voltage: Array


def behind_cable(supply_voltage: SupplyVoltage, resistance: Scalars) -> SupplyVoltage:
    """Return the supply seen at the far end of a cable: V(I) − I R.

    Parameters
    ----------
    supply_voltage : at the battery's posts, from a current [V]
    resistance : of the whole circuit there and back [ohm]

    Returns
    -------
    callable : voltage at the starter, from a current [V]

    Raises
    ------
    ValueError : for a negative resistance.

    Examples
    --------
    >>> float(behind_cable(lambda current: 12.0 - 0.005 * current, 0.001)(np.array(100.0)))
    11.4
    """
    if np.any(np.asarray(resistance) < 0.0):
        raise ValueError("a cable cannot have a negative resistance")
    return lambda current: supply_voltage(current) - current * np.asarray(resistance)


def stall_current(supply_voltage: SupplyVoltage, starter: Starter, temperature: Scalars) -> Array:
    """Return the current of the locked starter: V(I) = V_br + I R.

    Parameters
    ----------
    supply_voltage : at the starter's terminal, from a current; must not rise with it, NaN where none [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : NaN where the supply cannot even bridge the brushes [A]

    Examples
    --------
    >>> stall_current(lambda i: 12.0 - 5e-3 * i, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(6)
    np.float64(1100.0)
    """
    resistance = starter.resistance * copper_factor(temperature)

    def left(current: Array) -> Array:
        voltage = supply_voltage(current)
        # a supply that has no answer at a large current cannot give it: as good as no voltage at all
        return np.where(np.isnan(voltage), -np.inf, voltage) - starter.brush_drop - current * resistance

    shape = np.broadcast(resistance, starter.brush_drop, starter.torque_constant).shape
    most = np.asarray(left(np.zeros(shape)) / resistance)
    # a supply that never sags gives exactly `most`; a hair beyond it, rounding cannot hide the change of sign
    return find_root(left, 0.0, np.where(most > 0.0, 1.000001 * most, np.nan), relative=RELATIVE)[()]


def stall_torque(supply_voltage: SupplyVoltage, starter: Starter, temperature: Scalars) -> Array:
    """Return the torque at the crankshaft that the locked starter gives, to compare with breakaway.

    Parameters
    ----------
    supply_voltage : at the starter's terminal, from a current; must not rise with it [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : NaN where the supply cannot even bridge the brushes [N m]

    Examples
    --------
    >>> stall_torque(lambda i: 12.0 - 5e-3 * i, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(0)
    np.float64(526.0)
    """
    return crank_torque(stall_current(supply_voltage, starter, temperature), starter)[()]


def operating_point(
    supply_voltage: SupplyVoltage, load_torque: LoadTorque, starter: Starter, temperature: Scalars
) -> OperatingPoint:
    """Return the steady cranking of a starter on an engine, for arrays of cases at once.

    Solved for the current between idling and stalling, where i η_g (η_i K I − T0) = T_load(ω(I)) with
    ω(I) = (V(I) − V_br − I R)/(i K).

    Parameters
    ----------
    supply_voltage : at the starter's terminal, from a current; must not rise with it [V]
    load_torque : that the engine takes at the crankshaft, from its speed in rad/s [N m]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    OperatingPoint : NaN where the locked starter does not exceed the load at standstill [A, rad/s, V]

    Notes
    -----
    The root is a stable one: the starter wins below its speed and loses above, because the search keeps a
    bracket on whose idle side the engine wins and on whose stall side the starter does. An engine whose
    torque falls with speed may have an unstable root as well; that one is never returned.
    Whether the engine breaks away is another question (its breakaway torque against `stall_torque`).

    Examples
    --------
    >>> one = Starter(5e-3, 1.2e-3, 50.0, 2.4)
    >>> point = operating_point(lambda i: 12.0 - 5e-3 * i, lambda w: 50.0 + 0.2 * w, one, 253.15)
    >>> bool(point.speed * 60 / (2 * np.pi) > 60)
    True
    """

    def excess(current: Array) -> Array:
        # at the stall end rounding may leave the speed a hair below standstill, where no load is defined
        speed = np.maximum(crank_speed(current, supply_voltage(current), starter, temperature), 0.0)
        return crank_torque(current, starter) - load_torque(speed)

    stall = stall_current(supply_voltage, starter, temperature)
    idle = idle_current(starter)
    turns = (idle < stall) & (crank_torque(stall, starter) > load_torque(np.zeros_like(stall)))
    # a hair below idling rounding cannot hide that the engine wins; without idle torque a hair above nothing
    low = np.maximum(idle * (1.0 - 1e-9), 1e-6 * stall)
    low, stall = np.where(turns, low, np.nan), np.where(turns, stall, np.nan)
    current = find_root(excess, low, stall, relative=RELATIVE)
    voltage = supply_voltage(current)
    return OperatingPoint(current, crank_speed(current, voltage, starter, temperature), voltage)
