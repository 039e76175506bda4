"""Where the battery's work went during a start: each part by its own law, so that the sum is a test."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from sizing.physics.engine.gas import gas_torque_from_rest
from sizing.physics.starter import copper_factor, flux_constant
from sizing.simulate.first_seconds.model import rubbing_torque, starter_torque
from sizing.simulate.first_seconds.trace import Trace

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Energy:
    """Where the work of the battery went until the end of a trace; all in J."""

    battery_work: float
    aid: float
    cable: float
    brushes: float
    copper: float
    inner: float
    idle: float
    mesh: float
    friction: float
    gas: float
    motion: float
    magnetic: float

    @property
    def spent(self) -> float:
        """Mechanical work and heat in each part, all but the battery's work itself."""
        return float(sum(getattr(self, field.name) for field in fields(self))) - self.battery_work

    @property
    def gap(self) -> float:
        """What is missing of the battery's work, over it [-]."""
        return (self.battery_work - self.spent) / self.battery_work


def energy(trace: Trace) -> Energy:
    """Return where the battery's work went: heat in cable, motor and gears, friction, gas, and motion.

    Parameters
    ----------
    trace : of a start [-]

    Returns
    -------
    Energy : each part by itself from the laws of its part, so that their sum is a test of the march [J]

    Notes
    -----
    Work done on the gas, and gas work that comes back, are the same entry; idle has bearings, brushes and fan
    of the motor, and whatever the one-way clutch does not pass on.

    Examples
    --------
    >>> from sizing.simulate.first_seconds.example import example_start
    >>> from sizing.simulate.first_seconds.trace import trace_of
    >>> abs(energy(trace_of(example_start())).gap) < 1e-3
    True
    """
    start, motor, i, w = trace.start, trace.start.starter, trace.state[:, 2], trace.speed
    pinion = w * motor.gear_ratio
    air_gap = flux_constant(i, motor) * i * pinion
    torque = starter_torque(i, start)
    passed, after_mesh = torque * w / motor.gear_efficiency, torque * w
    inner = (1.0 - np.asarray(motor.inner_efficiency)) * air_gap
    stops = np.full(w.shape, start.stop_angle)

    def total(power: Array) -> float:
        return float(np.trapezoid(power, trace.time))

    return Energy(
        battery_work=total(trace.volts * trace.amperes),
        aid=total(trace.volts * start.aid_current),
        cable=total(i**2 * start.cable_resistance),
        brushes=total(i * motor.brush_drop),
        copper=total(i**2 * motor.resistance * copper_factor(start.engine_temperature)),
        inner=total(inner),
        idle=total(air_gap - inner - passed),
        mesh=total(passed - after_mesh),
        friction=total(rubbing_torque(w, start) * w),
        gas=total(gas_torque_from_rest(trace.turned, stops, start.engine, start.gas) * w),
        motion=0.5 * start.inertia * float(w[-1] ** 2 - w[0] ** 2),
        magnetic=0.5 * start.inductance * float(i[-1] ** 2 - i[0] ** 2),
    )
