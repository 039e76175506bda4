"""The laws of one start, tabulated once so that a march over thousands of instants only looks them up.

Straight lines between points so close that they change no volt by a thousandth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import EMPTY, ohmic_resistance, rest_voltage
from sizing.physics.engine.gas import CYCLE, firing_interval, gas_torque_from_rest
from sizing.physics.pores import PORE_SPACES, State, rested
from sizing.simulate.first_seconds.model import rubbing_torque
from sizing.simulate.first_seconds.start import Start

Array = NDArray[np.float64]

ANGLE_STEP = np.radians(0.5)
BACK = np.radians(30.0)  # room below the stop angle, which a crank at rest can only touch
SPEED_STEP = 0.1  # rad/s
FASTEST = 100.0  # rad/s, beyond the free run of a starter
ACID_STEPS = 1000


@dataclass(frozen=True)
class Lookup:
    """Equidistant points from ``start`` on: value and rise to the next, per step."""

    start: float
    per_step: float
    value: list[float]
    rise: list[float]


def _lookup(start: float, step: float, value: Array) -> Lookup:
    return Lookup(start, 1.0 / step, value[:-1].tolist(), np.diff(value).tolist())


def gas_lookup(start: Start) -> Lookup:
    """Return the torque of the gas by angle turned: the first cycle from rest, then one firing interval.

    Parameters
    ----------
    start : of one vehicle [-]

    Returns
    -------
    Lookup : from a little before the stop angle to one interval after the first cycle [rad, N m]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> len(gas_lookup(example_start()).value)
    1862
    """
    points = int((CYCLE + firing_interval(start.engine) + BACK) / ANGLE_STEP) + 3
    turned = np.arange(points) * ANGLE_STEP - BACK
    torque = gas_torque_from_rest(turned, np.full(points, start.stop_angle), start.engine, start.gas)
    return _lookup(-float(BACK), float(ANGLE_STEP), torque)


def friction_lookup(start: Start) -> Lookup:
    """Return the torque of friction by speed.

    Parameters
    ----------
    start : of one vehicle [-]

    Returns
    -------
    Lookup : from standstill on [rad/s, N m]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> friction_lookup(example_start()).value[0]
    0.0
    """
    speed = np.arange(0.0, FASTEST, SPEED_STEP)
    return _lookup(0.0, SPEED_STEP, rubbing_torque(speed, start))


@dataclass(frozen=True)
class Supply:
    """Voltage and resistance of the battery by acid left where it reacts, at the bulk's own start."""

    emf: Lookup
    ohms: Lookup
    bulk: float
    sulfate: float


def supply_lookup(start: Start) -> Supply:
    """Return rest voltage by the acid left, and resistance by it at the charge it began with.

    Parameters
    ----------
    start : of one vehicle [-]

    Returns
    -------
    Supply : from empty pores to the acid at rest [-, V, ohm]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> supply = supply_lookup(example_start())
    >>> 12.0 < supply.emf.value[-1] < 12.8
    True
    """
    bulk = float(rested(start.charge, start.battery).bulk)
    left = np.linspace(EMPTY, 1.0 - bulk, ACID_STEPS + 1)
    pores = np.zeros((left.size, PORE_SPACES))
    pores[:, 0] = 1.0 - bulk - left
    state = State(np.full(left.size, bulk), pores)
    t, shape, step = start.battery_temperature, start.battery.shape, float(left[1] - left[0])
    rise = float(np.asarray(shape.sulfate_cover)) / float(np.asarray(shape.acid_use))
    return Supply(
        emf=_lookup(EMPTY, step, rest_voltage(state, t, start.battery)),
        ohms=_lookup(EMPTY, step, ohmic_resistance(state, t, start.battery)),
        bulk=bulk,
        sulfate=rise / (1.0 - rise * bulk),
    )
