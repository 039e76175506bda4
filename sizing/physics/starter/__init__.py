"""What turns the engine: an electric motor with a small pinion on a large ring gear, and its cables."""

from sizing.physics.starter.motor import (
    Losses,
    Starter,
    copper_factor,
    crank_speed,
    crank_torque,
    flux_constant,
    idle_current,
    losses,
    motor_current,
    pinion_speed,
    pinion_torque,
)
from sizing.physics.starter.operating import (
    OperatingPoint,
    behind_cable,
    operating_point,
    stall_current,
    stall_torque,
)

__all__ = [
    "Losses",
    "OperatingPoint",
    "Starter",
    "behind_cable",
    "copper_factor",
    "crank_speed",
    "crank_torque",
    "flux_constant",
    "idle_current",
    "losses",
    "motor_current",
    "operating_point",
    "pinion_speed",
    "pinion_torque",
    "stall_current",
    "stall_torque",
]
