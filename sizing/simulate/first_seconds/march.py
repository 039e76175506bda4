"""From instant to instant: crank, current and double layer by a fourth-order step, the acid exactly.

Acid changes slowly beside the crank. Its pore spaces follow their exact exponentials under the current of
each step, and the voltage they leave is carried half a step ahead: second order, and stable at any step.
"""

from __future__ import annotations

from collections.abc import Callable
from math import sinh

import numpy as np
from numpy.typing import NDArray

from sizing.physics.cell import COLLAPSE, EMPTY
from sizing.physics.engine.gas import CYCLE, firing_interval
from sizing.physics.starter import copper_factor
from sizing.simulate.first_seconds.model import (
    CREEP,
    SLOTS,
    Ladder,
    initial_state,
    ladder,
    reaction,
    rubbing_torque,
)
from sizing.simulate.first_seconds.start import Start
from sizing.simulate.first_seconds.tables import Supply, friction_lookup, gas_lookup, supply_lookup

Array = NDArray[np.float64]
Quick = tuple[float, float, float, float]
Slope = Callable[[float, float, float, float, float, float], Quick]

STEP = 2e-3  # s, over which the acid is advanced
RUSH, RUSH_STEP = 0.1, 0.5e-3  # s, of the first rush and of the steps in it
STABLE = 1.0  # quick steps over the fastest time constant; a fourth-order step bears 2.7
DURATION = 3.0  # s


def _slope(start: Start) -> Slope:
    """Return the quick part of the equations as a function of plain numbers, its laws looked up."""
    gas, rub, motor, law = gas_lookup(start), friction_lookup(start), start.starter, reaction(start)
    below, turn, whole = -gas.start, gas.per_step, CYCLE
    interval = firing_interval(start.engine)
    g0, g1, f0, f1, fast = gas.value, gas.rise, rub.value, rub.rise, rub.per_step
    wires = float(start.cable_resistance + motor.resistance * copper_factor(start.engine_temperature))
    flux, knee, ratio = float(motor.torque_constant), float(motor.saturation_current), float(motor.gear_ratio)
    brushes, idle, inner = float(motor.brush_drop), float(motor.idle_torque), float(motor.inner_efficiency)
    geared, aid = ratio * float(motor.gear_efficiency), start.aid_current
    twice, b = 2.0 * law.exchange, law.slope
    per_inertia, per_inductance = 1.0 / start.inertia, 1.0 / start.inductance
    per_farad = 1.0 / start.double_layer

    def slope(turned: float, speed: float, current: float, layer: float, emf: float, ohms: float) -> Quick:
        at = ((turned if turned < whole else whole + (turned - whole) % interval) + below) * turn
        j = int(at)
        torque = g0[j] + (at - j) * g1[j]
        at = (speed if speed >= 0.0 else -speed) * fast
        j = int(at)
        friction = f0[j] + (at - j) * f1[j]
        k = flux * current / (1.0 + current / knee)
        pull = inner * k * current - idle
        drawn = current + aid
        return (
            speed,
            ((geared * pull if pull > 0.0 else 0.0) - torque - (friction if speed >= 0.0 else -friction))
            * per_inertia,
            (emf - drawn * ohms - layer - brushes - current * wires - k * ratio * speed) * per_inductance,
            (drawn - twice * sinh(layer / b)) * per_farad,
        )

    return slope


def _step(slope: Slope, y: Quick, h: float, emf: float, ohms: float) -> Quick:
    """Return the quick part one step later, by the classical fourth-order formula."""
    a, w, i, n = y
    half = 0.5 * h
    a1, w1, i1, n1 = slope(a, w, i, n, emf, ohms)
    a2, w2, i2, n2 = slope(a + half * a1, w + half * w1, i + half * i1, n + half * n1, emf, ohms)
    a3, w3, i3, n3 = slope(a + half * a2, w + half * w2, i + half * i2, n + half * n2, emf, ohms)
    a4, w4, i4, n4 = slope(a + h * a3, w + h * w3, i + h * i3, n + h * n3, emf, ohms)
    sixth = h / 6.0
    return (
        a + sixth * (a1 + 2.0 * (a2 + a3) + a4),
        w + sixth * (w1 + 2.0 * (w2 + w3) + w4),
        i + sixth * (i1 + 2.0 * (i2 + i3) + i4),
        n + sixth * (n1 + 2.0 * (n2 + n3) + n4),
    )


class _Acid:
    """Bulk and pore spaces of one battery under a current that is constant over each step."""

    def __init__(self, supply: Supply, pace: Ladder, state: Array) -> None:
        self.supply, self.pace = supply, pace
        self.bulk, self.pores = float(state[4]), state[SLOTS:].tolist()
        self.left = self.before = 1.0 - self.bulk - sum(self.pores)

    def set_step(self, step: float) -> None:
        """Take the exact exponentials of that step."""
        kept = np.exp(-self.pace.rate * step)
        gain = -self.pace.gain / self.pace.rate * np.expm1(-self.pace.rate * step)
        self.kept, self.gain, self.used = kept.tolist(), gain.tolist(), self.pace.bulk * step
        self.before = self.left

    def advance(self, reacting: float) -> None:
        """Let a current flow for one step."""
        self.bulk += self.used * reacting
        self.pores = [k * x + g * reacting for k, x, g in zip(self.kept, self.pores, self.gain, strict=True)]
        self.before, self.left = self.left, 1.0 - self.bulk - sum(self.pores)

    def voltage_ahead(self) -> tuple[float, float]:
        """Return rest voltage and resistance half a step ahead."""
        supply, left = self.supply, 1.5 * self.left - 0.5 * self.before
        emf, ohms = supply.emf, supply.ohms
        beyond = COLLAPSE * (EMPTY - left) if left < EMPTY else 0.0
        at = max(left - emf.start, 0.0) * emf.per_step
        j = min(int(at), len(emf.value) - 1)
        sulfate = 1.0 + supply.sulfate * (self.bulk - supply.bulk)
        return (
            emf.value[j] + (at - j) * emf.rise[j] - beyond,
            (ohms.value[j] + (at - j) * ohms.rise[j]) * sulfate,
        )


def _pace(start: Start) -> Callable[[Quick, float], float]:
    """Return the fastest rate of the quick part [1/s]: of current, double layer or creeping friction."""
    motor, law = start.starter, reaction(start)
    wires = float(start.cable_resistance + motor.resistance * copper_factor(start.engine_temperature))
    knee, back = float(motor.saturation_current), float(motor.torque_constant) * float(motor.gear_ratio)
    creeping = float(rubbing_torque(4.0 * CREEP, start)) / (start.inertia * CREEP)
    layer, least = 1.0 / (law.slope * start.double_layer), 2.0 * law.exchange

    def pace(y: Quick, ohms: float) -> float:
        # dV/dI of the back voltage: steep while a free-running motor draws little
        rising = back * abs(y[1]) / (1.0 + y[2] / knee) ** 2
        electric = (wires + ohms + rising) / start.inductance
        slow = creeping if abs(y[1]) < 4.0 * CREEP else 0.0
        return max(electric, (y[2] + least) * layer, slow)

    return pace


def march(start: Start, *, duration: float = DURATION, finer: float = 1.0) -> tuple[Array, Array]:
    """Return the states of a start at every instant, from the closing of the switch on.

    Parameters
    ----------
    start : of one vehicle [-]
    duration : for which the switch is closed [s]
    finer : how many times shorter every step is than usual [-]

    Returns
    -------
    tuple : times, shape (n,), and states as in `initial_state`, shape (n, 14) [s, -]

    Notes
    -----
    Ours: laws tabulated, exact exponentials of the pore spaces, as many quick steps in each of 2 ms as its
    fastest rate asks for.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> time, state = march(example_start())
    >>> bool(state[-1, 0] > 4 * np.pi)
    True
    """
    slope, pace, law = _slope(start), _pace(start), reaction(start)
    y0 = initial_state(start)
    acid = _Acid(supply_lookup(start), ladder(start), y0)
    quick: Quick = (float(y0[0]), float(y0[1]), float(y0[2]), float(y0[3]))
    times, states, begun = [0.0], [[*quick, acid.bulk, *acid.pores]], 0.0
    rush = min(RUSH, duration)
    for span, wanted in ((rush, RUSH_STEP / finer), (duration - rush, STEP / finer)):
        count = int(np.ceil(span / wanted - 1e-9))
        h = span / max(count, 1)
        acid.set_step(h)
        for number in range(1, count + 1):
            emf, ohms = acid.voltage_ahead()
            reacting = sinh(quick[3] / law.slope)
            parts = int(h * pace(quick, ohms) / STABLE * finer) + 1
            for _ in range(parts):
                quick = _step(slope, quick, h / parts, emf, ohms)
            # twice the exchange current times the mean of both ends
            acid.advance(law.exchange * (reacting + sinh(quick[3] / law.slope)))
            times.append(begun + number * h)
            states.append([*quick, acid.bulk, *acid.pores])
        begun += span
    return np.array(times), np.array(states)
