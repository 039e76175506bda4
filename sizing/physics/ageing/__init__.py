"""How a battery wears out: rates by kind, what they do to it, and how batteries differ."""

from __future__ import annotations

from sizing.physics.ageing.corrosion import corrosion_rate, field_rates, rest_rate
from sizing.physics.ageing.cycling import (
    cycle_points,
    cycles_to_end,
    cycling_damage,
    micro_cycle_depth,
    throughput_damage,
)
from sizing.physics.ageing.declared import declared, usual
from sizing.physics.ageing.rules import LifeRule, life_rules
from sizing.physics.ageing.scatter import (
    coefficient_of_variation,
    life_factor,
    likeliest_shape,
    mean_over_scale,
    shape_interval,
    shape_of_variation,
)
from sizing.physics.ageing.state import (
    CAPACITY_AT_END,
    KINDS,
    Damage,
    capacity_left,
    leading_kind,
    resistance_growth,
)
from sizing.physics.ageing.sulfation import mean_weight, sulfate_after, sulfation_rate, time_weight
from sizing.physics.ageing.temperature import (
    HALVING_STEP,
    MONTH,
    YEAR,
    activation_energy,
    arrhenius,
    convexity_gain,
    doubling,
    equivalent_temperature,
    linear_damage,
    mean_doubling,
)
from sizing.physics.ageing.types import AgeingType, ageing_type
from sizing.physics.ageing.water import (
    acid_mass,
    gassing_current,
    strength_after_loss,
    top_up_interval,
    water_damage,
    water_loss_rate,
    water_lost,
)

__all__ = [
    "CAPACITY_AT_END",
    "HALVING_STEP",
    "KINDS",
    "MONTH",
    "YEAR",
    "AgeingType",
    "Damage",
    "LifeRule",
    "acid_mass",
    "activation_energy",
    "ageing_type",
    "arrhenius",
    "capacity_left",
    "coefficient_of_variation",
    "convexity_gain",
    "corrosion_rate",
    "cycle_points",
    "cycles_to_end",
    "cycling_damage",
    "declared",
    "doubling",
    "equivalent_temperature",
    "field_rates",
    "gassing_current",
    "leading_kind",
    "life_factor",
    "life_rules",
    "likeliest_shape",
    "linear_damage",
    "mean_doubling",
    "mean_over_scale",
    "mean_weight",
    "micro_cycle_depth",
    "resistance_growth",
    "rest_rate",
    "shape_interval",
    "shape_of_variation",
    "strength_after_loss",
    "sulfate_after",
    "sulfation_rate",
    "throughput_damage",
    "time_weight",
    "top_up_interval",
    "usual",
    "water_damage",
    "water_loss_rate",
    "water_lost",
]
