"""What a starter has to turn: the engine, its friction, its compression and what a start asks for."""

from sizing.physics.engine.compression import (
    CompressionPeak,
    compression_peak,
    compression_torque,
    lost_torque,
)
from sizing.physics.engine.defaults import (
    DISPLACEMENT_RANGE,
    default_engine,
    reference_engine,
    usual_banks,
)
from sizing.physics.engine.demand import (
    breakaway_torque,
    ignition_limit,
    minimum_speed,
    preheat_current,
    preheat_kinds,
)
from sizing.physics.engine.friction import (
    CRANKING_SPEED,
    RPM,
    FrictionParts,
    friction_parts,
    friction_scale,
    friction_torque,
)
from sizing.physics.engine.geometry import (
    Engine,
    Valvetrain,
    flat_valvetrain,
    roller_valvetrain,
)

__all__ = [
    "CRANKING_SPEED",
    "DISPLACEMENT_RANGE",
    "RPM",
    "CompressionPeak",
    "Engine",
    "FrictionParts",
    "Valvetrain",
    "breakaway_torque",
    "compression_peak",
    "compression_torque",
    "default_engine",
    "flat_valvetrain",
    "friction_parts",
    "friction_scale",
    "friction_torque",
    "ignition_limit",
    "lost_torque",
    "minimum_speed",
    "preheat_current",
    "preheat_kinds",
    "reference_engine",
    "roller_valvetrain",
    "usual_banks",
]
