"""The motor itself: the more current it draws the harder it pulls, the faster it spins the less it draws.

A series-wound motor whose iron saturates, with brushes, an inner reduction and a pinion. All constants
are those seen at the pinion shaft, where workshop manuals test a starter; the ring gear follows after it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.starter.copper import copper_factor

Array = NDArray[np.float64]
Scalars = Array | float


@dataclass(frozen=True)
class Starter:
    """One starter, or an array of them; every field may be an array, and all must broadcast.

    Parameters
    ----------
    resistance : of windings and leads inside, at 20 °C [ohm]
    torque_constant : flux per current before saturation, as seen at the pinion [V s/A]
    saturation_current : at which the flux is half of what it would be unsaturated [A]
    idle_torque : that bearings, brushes and fan take at the pinion shaft [N m]
    brush_drop : over both brushes, whatever the current [V]
    inner_efficiency : share of the air-gap torque left behind iron losses and the inner reduction [-]
    gear_ratio : teeth of the ring gear over teeth of the pinion [-]
    gear_efficiency : of the mesh of pinion and ring gear [-]

    Raises
    ------
    ValueError : for a constant that no motor can have.

    Examples
    --------
    >>> Starter(5e-3, 1.2e-3, 48.0, 2.4).gear_ratio
    13.0
    """

    resistance: Scalars
    torque_constant: Scalars
    saturation_current: Scalars
    idle_torque: Scalars
    brush_drop: Scalars = 1.0
    inner_efficiency: Scalars = 0.75
    gear_ratio: Scalars = 13.0
    gear_efficiency: Scalars = 0.9

    def __post_init__(self) -> None:
        """Refuse the impossible."""
        for name in ("resistance", "torque_constant", "saturation_current", "gear_ratio"):
            if np.any(np.asarray(getattr(self, name)) <= 0.0):
                raise ValueError(f"{name} of a starter must be above zero")
        for name in ("idle_torque", "brush_drop"):
            if np.any(np.asarray(getattr(self, name)) < 0.0):
                raise ValueError(f"{name} of a starter must not be negative")
        for name in ("inner_efficiency", "gear_efficiency"):
            share = np.asarray(getattr(self, name))
            if np.any((share <= 0.0) | (share > 1.0)):
                raise ValueError(f"{name} of a starter must lie above 0 and not above 1")


@dataclass(frozen=True)
class Losses:
    """Where the power that enters a starter goes besides the engine; all in W."""

    brushes: Array
    copper: Array
    inner: Array
    idle: Array
    mesh: Array

    @property
    def total(self) -> Array:
        """All of them together."""
        return self.brushes + self.copper + self.inner + self.idle + self.mesh


def flux_constant(current: Scalars, starter: Starter) -> Array:
    """Return torque per current and back voltage per speed at the pinion: K = K_s I / (1 + I/I_sat).

    Parameters
    ----------
    current : through the motor [A]
    starter : any shape [-]

    Returns
    -------
    array : before inner losses [V s]

    Examples
    --------
    >>> flux_constant(np.array([50.0, 500.0]), Starter(5e-3, 1.2e-3, 50.0, 2.4)).round(4)
    array([0.03  , 0.0545])
    """
    i = np.asarray(current, float)
    return np.asarray(starter.torque_constant * i / (1.0 + i / starter.saturation_current))


def pinion_torque(current: Scalars, starter: Starter) -> Array:
    """Return the torque at the pinion shaft: T = η_i K I − T0.

    Parameters
    ----------
    current : through the motor [A]
    starter : any shape [-]

    Returns
    -------
    array : negative where the current does not even carry the idle torque [N m]

    Examples
    --------
    >>> pinion_torque(280.0, Starter(5e-3, 1.2e-3, 50.0, 2.4)).round(2)
    np.float64(8.29)
    """
    i = np.asarray(current, float)
    return np.asarray(starter.inner_efficiency * flux_constant(i, starter) * i - starter.idle_torque)


def crank_torque(current: Scalars, starter: Starter) -> Array:
    """Return the torque at the crankshaft: T_c = i η_g (η_i K I − T0).

    Parameters
    ----------
    current : through the motor [A]
    starter : any shape [-]

    Returns
    -------
    array : negative where the current does not even carry the idle torque [N m]

    Examples
    --------
    >>> crank_torque(280.0, Starter(5e-3, 1.2e-3, 50.0, 2.4)).round(0)
    np.float64(97.0)
    """
    return np.asarray(starter.gear_ratio * starter.gear_efficiency * pinion_torque(current, starter))


def pinion_speed(current: Scalars, voltage: Scalars, starter: Starter, temperature: Scalars) -> Array:
    """Return the speed of the pinion: ω = (V − V_br − I R) / K.

    Parameters
    ----------
    current : through the motor, above zero [A]
    voltage : at the starter's terminal [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : negative where the voltage is too small for that current [rad/s]

    Examples
    --------
    >>> pinion_speed(280.0, 8.0, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(1)
    np.float64(110.0)
    """
    i = np.asarray(current, float)
    resistance = starter.resistance * copper_factor(temperature)
    return np.asarray((voltage - starter.brush_drop - i * resistance) / flux_constant(i, starter))


def crank_speed(current: Scalars, voltage: Scalars, starter: Starter, temperature: Scalars) -> Array:
    """Return the speed of the crankshaft while the pinion drives it: pinion speed over gear ratio.

    Parameters
    ----------
    current : through the motor, above zero [A]
    voltage : at the starter's terminal [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : negative where the voltage is too small for that current [rad/s]

    Examples
    --------
    >>> crank_speed(280.0, 8.0, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(2)
    np.float64(8.46)
    """
    return np.asarray(pinion_speed(current, voltage, starter, temperature) / starter.gear_ratio)


def motor_current(voltage: Scalars, speed: Scalars, starter: Starter, temperature: Scalars) -> Array:
    """Return the current at a voltage and crank speed, from V = V_br + I R + K(I) ω in closed form.

    Parameters
    ----------
    voltage : at the starter's terminal [V]
    speed : of the crankshaft, not negative [rad/s]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    array : zero where the voltage does not bridge the brushes, NaN at a negative speed [A]

    Examples
    --------
    >>> motor_current(8.0, np.array([0.0, 10.0]), Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).round(0)
    array([1400.,  180.])
    """
    w = np.where(np.asarray(speed, float) >= 0.0, speed, np.nan) * starter.gear_ratio
    left = np.maximum(np.asarray(voltage, float) - starter.brush_drop, 0.0)
    resistance = starter.resistance * copper_factor(temperature)
    # (R/I_sat) I² + (R + K_s ω − left/I_sat) I − left = 0; the form that does not cancel for either sign of b
    a = resistance / starter.saturation_current
    b = resistance + starter.torque_constant * w - left / starter.saturation_current
    root = np.sqrt(b * b + 4.0 * a * left)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(b > 0.0, 2.0 * left / (b + root), (root - b) / (2.0 * a))[()]


def current_for_torque(torque: Scalars, starter: Starter) -> Array:
    """Return the current that gives a torque at the pinion, from T = η_i K I − T0 in closed form.

    Parameters
    ----------
    torque : at the pinion shaft, not below the negative idle torque [N m]
    starter : any shape [-]

    Returns
    -------
    array : NaN for a torque at which no current flows [A]

    Examples
    --------
    >>> current_for_torque(8.29, Starter(5e-3, 1.2e-3, 50.0, 2.4)).round(0)
    np.float64(280.0)
    """
    inside = np.asarray(torque, float) + starter.idle_torque
    inside = np.where(inside >= 0.0, inside, np.nan)
    b = inside / starter.saturation_current
    a = np.asarray(starter.inner_efficiency) * starter.torque_constant
    return np.asarray((b + np.sqrt(b * b + 4.0 * a * inside)) / (2.0 * a))


def idle_current(starter: Starter) -> Array:
    """Return the no-load current, which covers the idle torque and nothing else, whatever the voltage.

    Parameters
    ----------
    starter : any shape [-]

    Returns
    -------
    array : current at no torque at the pinion [A]

    Examples
    --------
    >>> idle_current(Starter(5e-3, 1.2e-3, 50.0, 2.4)).round(1)
    np.float64(84.8)
    """
    return current_for_torque(0.0, starter)


def losses(current: Scalars, voltage: Scalars, starter: Starter, temperature: Scalars) -> Losses:
    """Return where the power goes that enters at the terminal and does not reach the crankshaft.

    Parameters
    ----------
    current : through the motor, above zero [A]
    voltage : at the starter's terminal [V]
    starter : any shape [-]
    temperature : of the windings [K]

    Returns
    -------
    Losses : at brushes, copper, inner reduction and iron, idling, and the mesh of the gears [W]

    Examples
    --------
    >>> losses(280.0, 8.0, Starter(5e-3, 1.2e-3, 50.0, 2.4), 293.15).copper.round(1)
    np.float64(392.0)
    """
    i = np.asarray(current, float)
    w = pinion_speed(i, voltage, starter, temperature)
    shape = np.broadcast(i, w).shape
    idle = np.asarray(starter.idle_torque) * w
    return Losses(
        brushes=np.broadcast_to(starter.brush_drop * i, shape),
        copper=np.broadcast_to(i * i * starter.resistance * copper_factor(temperature), shape),
        inner=(1.0 - np.asarray(starter.inner_efficiency)) * flux_constant(i, starter) * i * w,
        idle=idle,
        mesh=(1.0 - np.asarray(starter.gear_efficiency)) * pinion_torque(i, starter) * w,
    )
