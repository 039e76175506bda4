"""What a workshop manual says about a starter, and the motor behind it.

A manual lists three runs of the bare starter: free, loaded, locked. They are limits of a good starter: it
draws no more than the printed current, turns at least as fast and pulls at least as hard. Read as one curve
they contradict themselves, so a motor is judged, and built, from them one-sided.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.starter.copper import REFERENCE_TEMPERATURE
from sizing.physics.starter.motor import (
    Scalars,
    Starter,
    current_for_torque,
    idle_current,
    motor_current,
    pinion_speed,
    pinion_torque,
)
from sizing.tables import Row, load

Array = NDArray[np.float64]

RPM = np.pi / 30.0  # rad/s
MILLI = 1e-3


@dataclass(frozen=True)
class Acceptance:
    """Printed limits of a bare starter at room temperature: V, A, rad/s and N m at the pinion shaft."""

    free_voltage: Scalars
    free_current: Scalars
    free_speed: Scalars
    lock_voltage: Scalars
    lock_current: Scalars
    lock_torque: Scalars
    load_voltage: Scalars = np.nan
    load_current: Scalars = np.nan
    load_speed: Scalars = np.nan
    load_torque: Scalars = np.nan


@dataclass(frozen=True)
class Surplus:
    """How much better than its limits a motor is: above 1 is better, below 1 breaks the limit."""

    free_current: Array
    free_speed: Array
    load_current: Array
    load_speed: Array
    lock_current: Array
    lock_torque: Array


def acceptance(row: Row) -> Acceptance:
    """Return one row of ``cranking_starter_three_point.csv`` in SI units.

    Examples
    --------
    >>> acceptance(load("cranking_starter_three_point").select("fit", id="A")[0]).lock_torque
    17.0
    """
    number = {key: float(row[key]) for key in row if key.startswith(("noload_", "load_", "lock_"))}
    return Acceptance(
        free_voltage=number["noload_v"],
        free_current=number["noload_a_max"],
        free_speed=number["noload_rpm_min"] * RPM,
        lock_voltage=number["lock_v"],
        lock_current=number["lock_a_max"],
        lock_torque=number["lock_nm_min"],
        load_voltage=number["load_v"],
        load_current=number["load_a"],
        load_speed=number["load_rpm_min"] * RPM,
        load_torque=number["load_nm"],
    )


def surplus(limits: Acceptance, starter: Starter) -> Surplus:
    """Return how much better than the printed limits a motor is, run by run.

    Parameters
    ----------
    limits : as printed [-]
    starter : any shape [-]

    Returns
    -------
    Surplus : limit over ours for a current, ours over the limit for a speed or torque [-]

    Notes
    -----
    The loaded run is held at the printed voltage and torque.

    Examples
    --------
    >>> from sizing.tables import load
    >>> limits = acceptance(load("cranking_starter_three_point").select("fit")[0])
    >>> bool(surplus(limits, Starter(5e-3, 1.2e-3, 50.0, 2.4)).lock_current > 0.5)
    True
    """
    t = REFERENCE_TEMPERATURE
    free = idle_current(starter)
    loaded = current_for_torque(limits.load_torque, starter)
    locked = motor_current(limits.lock_voltage, 0.0, starter, t)
    return Surplus(
        free_current=limits.free_current / free,
        free_speed=pinion_speed(free, limits.free_voltage, starter, t) / limits.free_speed,
        load_current=limits.load_current / loaded,
        load_speed=pinion_speed(loaded, limits.load_voltage, starter, t) / limits.load_speed,
        lock_current=limits.lock_current / locked,
        lock_torque=pinion_torque(locked, starter) / limits.lock_torque,
    )


@cache
def usual_surplus() -> dict[str, float]:
    """Return the geometric means over the fitted starters that stand in for what two runs do not tell.

    From ``starter_constants.csv``; efficiency and brush drop are as fixed in the fit.

    Returns
    -------
    dict : ``free_current``, ``free_speed``, ``lock_current`` (surplus over the limit),
        ``inner_efficiency`` [-];
        ``saturation_current`` [A]; ``brush_drop`` [V]

    Examples
    --------
    >>> 1.0 < usual_surplus()["lock_current"] < 1.5
    True
    """
    table = load("starter_constants")
    names = (
        "free_current",
        "free_speed",
        "lock_current",
        "saturation_current",
        "inner_efficiency",
        "brush_drop",
    )
    return {name: float(np.exp(np.mean(np.log(table.column(name))))) for name in names}


def starter_from_free_and_locked_run(limits: Acceptance) -> Starter:
    """Return the motor that a manual's free and locked runs describe, the loaded run unknown.

    Resistance from the locked run, R = (V_lock − V_br)/I_lock; flux and idle torque from the free run,
    K(I0) = (V0 − V_br − I0 R)/ω0 and T0 = η_i K I0. Iron saturates at the usual current of the fitted
    starters, or later where the floor of the locked torque demands more flux.

    Parameters
    ----------
    limits : as printed; the loaded run is not looked at [-]

    Returns
    -------
    Starter : with the default gears; NaN where no saturating motor can do both runs [-]

    Notes
    -----
    Margins of the two runs over their limits are those of the fitted starters (`usual_surplus`). The seven
    starters of known runs belong to petrol engines of 2.0 to 3.6 L; other sizes are extrapolation.

    Examples
    --------
    >>> one = starter_from_free_and_locked_run(Acceptance(11.0, 95.0, 262.0, 4.0, 680.0, 17.0))
    >>> bool(4e-3 < one.resistance < 7e-3)
    True
    """
    usual = usual_surplus()
    brush, share = usual["brush_drop"], usual["inner_efficiency"]
    locked = np.asarray(limits.lock_current) / usual["lock_current"]
    free = np.asarray(limits.free_current) / usual["free_current"]
    resistance = (limits.lock_voltage - brush) / locked
    speed = np.asarray(limits.free_speed) * usual["free_speed"]
    flux = (limits.free_voltage - brush - free * resistance) / speed
    idle_torque = share * flux * free
    # K(I_lock)/K(I0) = (I_lock/I0) (I0 + I_sat)/(I_lock + I_sat), solved for the I_sat that meets the floor
    rise = (limits.lock_torque + idle_torque) / (share * locked) / flux
    with np.errstate(divide="ignore", invalid="ignore"):
        demanded = locked * free * (rise - 1.0) / (locked - rise * free)
    reachable = rise * free < locked
    saturation = np.where(reachable, np.maximum(demanded, usual["saturation_current"]), np.nan)
    constant = flux * (free + saturation) / (free * saturation)
    return Starter(resistance, constant, saturation, idle_torque, brush, share)
