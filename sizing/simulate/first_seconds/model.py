"""The equations of the first seconds: how volts, amperes and crank change from one instant to the next.

    dθ/dt = ω                                       J dω/dt = T_starter(I) − T_gas(θ) − T_friction(ω)
    L dI/dt = V − V_br − I (R_cable + R_motor) − K(I) i ω
    C dη/dt = I_b − 2 I0 sinh(η/b)                  V = E(acid) − I_b R(acid) − η,    I_b = I + I_aid
    dx_bulk/dt = I_f/Q,   dx_j/dt = (a_j I_f − x_j)/τ_j       I_f = 2 I0 sinh(η/b), what the acid pays

With C = 0 and L = 0 and a steady crank this is the steady cranking of starter and battery.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import CELLS, FARADAY, GAS, activation_loss, ohmic_resistance, rest_voltage
from sizing.physics.engine import friction_parts
from sizing.physics.engine.gas import gas_torque_from_rest
from sizing.physics.pores import PORE_SPACES, State, depleted, rested
from sizing.physics.starter import copper_factor, crank_torque, flux_constant
from sizing.simulate.first_seconds.start import Start

Array = NDArray[np.float64]
Scalars = Array | float

CREEP = 0.2  # rad/s, 2 rev/min: slower than this friction takes its direction little by little
PROBE = 100.0  # A, at which the exchange current is read from the public law of the reaction
PER_SECOND = 1.0  # s, over which the pace of the pore spaces is read
SLOTS = 5  # of the state before the pore spaces: turned, speed, current, polarisation, bulk


@dataclass(frozen=True)
class Reaction:
    """What the reaction asks for: I = 2 I0 sinh(η/b)."""

    exchange: float
    slope: float

    def current(self, polarisation: Scalars) -> Array:
        """Return the current that the reaction takes part in [A]."""
        return np.asarray(2.0 * self.exchange * np.sinh(np.asarray(polarisation) / self.slope))


@lru_cache(maxsize=256)
def reaction(start: Start) -> Reaction:
    """Return exchange current and slope of the battery's reaction at its temperature.

    Parameters
    ----------
    start : of one battery [-]

    Returns
    -------
    Reaction : with b = 6 s R T/F, and I0 from `activation_loss` [A, V]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> law = reaction(example_start())
    >>> loss = activation_loss(250.0, 255.15, example_start().battery)
    >>> law.current(loss).round(6).item()
    250.0
    """
    thermal = GAS * start.battery_temperature / FARADAY
    slope = CELLS * float(np.asarray(start.battery.shape.activation_slope)) * thermal
    loss = float(activation_loss(PROBE, start.battery_temperature, start.battery))
    return Reaction(PROBE / (2.0 * float(np.sinh(loss / slope))), slope)


@dataclass(frozen=True)
class Ladder:
    """Pace of the pore spaces: dx_j/dt = gain_j I_f − rate_j x_j, and of the bulk."""

    rate: Array
    gain: Array
    bulk: float


def _after(start: Start, state: State, current: float, time: float) -> State:
    return depleted(state, current, time, start.battery_temperature, start.battery)


@lru_cache(maxsize=256)
def ladder(start: Start) -> Ladder:
    """Return the pace of bulk and pore spaces, read from what `depleted` does in one second.

    Parameters
    ----------
    start : of one battery [-]

    Returns
    -------
    Ladder : rates and gains, shape (PORE_SPACES,) [1/s, 1/(A s)]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> bool((np.diff(ladder(example_start()).rate) > 0).all())
    True
    """
    full = State(np.asarray(0.0), np.ones(PORE_SPACES))
    kept = -np.expm1(np.log(_after(start, full, 0.0, PER_SECOND).pores))
    rate = -np.log1p(-kept) / PER_SECOND
    one = _after(start, State(np.asarray(0.0), np.zeros(PORE_SPACES)), 1.0, PER_SECOND)
    return Ladder(rate, one.pores * rate / kept, float(one.bulk) / PER_SECOND)


def initial_state(start: Start) -> Array:
    """Return the state at the instant at which the switch closes: at rest, the aid already on.

    Parameters
    ----------
    start : of one vehicle [-]

    Returns
    -------
    array : turned [rad], speed [rad/s], current [A], polarisation [V], bulk, pores, shape (14,) [-]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> initial_state(example_start()).shape
    (14,)
    """
    state = np.zeros(SLOTS + PORE_SPACES)
    state[3] = float(activation_loss(start.aid_current, start.battery_temperature, start.battery))
    state[4] = float(rested(start.charge, start.battery).bulk)
    return state


def acid_of(state: Array) -> State:
    """Return the acid of a state, or of a whole trace of them.

    Parameters
    ----------
    state : last axis as in `initial_state` [-]

    Returns
    -------
    State : of the cell [-]

    Examples
    --------
    >>> acid_of(np.zeros((7, 14))).pores.shape
    (7, 9)
    """
    return State(state[..., 4], state[..., SLOTS:])


def posts_voltage(state: Array, start: Start) -> Array:
    """Return the voltage at the battery's posts.

    Parameters
    ----------
    state : last axis as in `initial_state` [-]
    start : of one vehicle [-]

    Returns
    -------
    array : rest voltage of the acid, less ohmic loss and polarisation [V]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> one = example_start()
    >>> bool(12.0 < posts_voltage(initial_state(one), one) < 12.8)
    True
    """
    acid, t = acid_of(state), start.battery_temperature
    drawn = state[..., 2] + start.aid_current
    ohms = ohmic_resistance(acid, t, start.battery)
    return np.asarray(rest_voltage(acid, t, start.battery) - drawn * ohms - state[..., 3])


def starter_torque(current: Scalars, start: Start) -> Array:
    """Return the torque of the starter at the crank; its one-way clutch never holds the engine back.

    Parameters
    ----------
    current : through the motor [A]
    start : of one vehicle [-]

    Returns
    -------
    array : zero while the current does not carry the idle torque [N m]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> starter_torque(np.array([0.0, 400.0]), example_start()).round(0)
    array([  0., 186.])
    """
    return np.maximum(crank_torque(current, start.starter), 0.0)


def rubbing_torque(speed: Scalars, start: Start) -> Array:
    """Return the torque of friction, with its direction, the gas work that the relation has in it left out.

    Parameters
    ----------
    speed : of the crank, of either sign [rad/s]
    start : of one vehicle [-]

    Returns
    -------
    array : scale (fmep − pressure term) V/(4π) tanh(ω/0.2 rad/s) [N m]

    Notes
    -----
    The pressure term of gas-loaded rings and the gas work lost are one thing; here the gas is explicit.
    Source patton_1989, sandoval_2002 for the relation; bounded near standstill by its mixed floor.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> torque = rubbing_torque(np.array([-5.0, 0.0, 5.0]), example_start())
    >>> bool(torque[0] == -torque[2]), torque[1].item()
    (True, 0.0)
    """
    w = np.asarray(speed, float)
    parts = friction_parts(
        np.abs(w),
        start.viscosity,
        start.engine,
        fading=start.friction_fading,
        oil_share_of_gas_term=start.oil_share_of_gas_term,
    )
    level = (parts.total - parts.gas_pressure) * start.engine.displacement / (4.0 * np.pi)
    return np.asarray(start.friction_scale * level * np.tanh(w / CREEP))


def rates_of_change(time: float, state: Array, start: Start) -> Array:
    """Return how fast the state changes: the right-hand side of the first seconds, for any integrator.

    Parameters
    ----------
    time : since the switch closed; nothing depends on it [s]
    state : as in `initial_state`, shape (14,) [-]
    start : of one vehicle [-]

    Returns
    -------
    array : the equations at the head of this file, shape (14,) [1/s]

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> one = example_start()
    >>> change = rates_of_change(0.0, initial_state(one), one)
    >>> bool(change[2] > 1e5), change[1].item()
    (True, 0.0)
    """
    turned, speed, current, polarisation = state[:4]
    motor, pace = start.starter, ladder(start)
    reacting = float(reaction(start).current(polarisation))
    ohms = start.cable_resistance + motor.resistance * copper_factor(start.engine_temperature)
    back = flux_constant(current, motor) * motor.gear_ratio * speed
    gas = gas_torque_from_rest(turned, start.stop_angle, start.engine, start.gas)
    change = np.empty_like(state)
    change[0] = speed
    change[1] = (starter_torque(current, start) - gas - rubbing_torque(speed, start)) / start.inertia
    change[2] = (posts_voltage(state, start) - motor.brush_drop - current * ohms - back) / start.inductance
    change[3] = (current + start.aid_current - reacting) / start.double_layer
    change[4] = pace.bulk * reacting
    change[SLOTS:] = pace.gain * reacting - pace.rate * state[SLOTS:]
    return change
