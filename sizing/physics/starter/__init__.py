"""What turns the engine: an electric motor with a small pinion on a large ring gear, and its cables."""

from sizing.physics.starter.acceptance import (
    Acceptance,
    Surplus,
    acceptance,
    starter_from_free_and_locked_run,
    surplus,
)
from sizing.physics.starter.cable import (
    cable_resistance,
    circuit_resistance,
    copper_resistivity,
    default_circuit_resistance,
    fault_resistance,
    is_faulty,
)
from sizing.physics.starter.copper import copper_factor
from sizing.physics.starter.defaults import (
    cold_supply,
    default_starter,
    gears,
    largest_allowed_battery,
    largest_power,
    rated_power,
    rating_conditions,
    reference_starters,
    scaled,
)
from sizing.physics.starter.motor import (
    Losses,
    Starter,
    crank_speed,
    crank_torque,
    current_for_torque,
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
from sizing.physics.starter.power import (
    default_power,
)

__all__ = [
    "Acceptance",
    "Losses",
    "OperatingPoint",
    "Starter",
    "Surplus",
    "acceptance",
    "behind_cable",
    "cable_resistance",
    "circuit_resistance",
    "cold_supply",
    "copper_factor",
    "copper_resistivity",
    "crank_speed",
    "crank_torque",
    "current_for_torque",
    "default_circuit_resistance",
    "default_power",
    "default_starter",
    "fault_resistance",
    "flux_constant",
    "gears",
    "idle_current",
    "is_faulty",
    "largest_allowed_battery",
    "largest_power",
    "losses",
    "motor_current",
    "operating_point",
    "pinion_speed",
    "pinion_torque",
    "rated_power",
    "rating_conditions",
    "reference_starters",
    "scaled",
    "stall_current",
    "stall_torque",
    "starter_from_free_and_locked_run",
    "surplus",
]
