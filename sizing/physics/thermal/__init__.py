"""The heat of a battery: what carries it to and fro, what a shield changes, what a repeated day leaves."""

from __future__ import annotations

from sizing.physics.thermal.case import case_area, heat_capacity
from sizing.physics.thermal.convexity import (
    equivalent_excess,
    gain_of_normal,
    gain_of_sine,
    gain_of_two_levels,
)
from sizing.physics.thermal.covering import Covering, covering, shields
from sizing.physics.thermal.declared import common
from sizing.physics.thermal.exposure import Exposure, exposure_of, locations
from sizing.physics.thermal.heat_transfer import (
    air_conductivity,
    air_viscosity,
    forced_convection,
    natural_convection,
    radiation_coefficient,
)
from sizing.physics.thermal.layers import box_resistance, covered_coefficient, layer_resistance, share_let_in
from sizing.physics.thermal.periodic import Cycle, mean_of_doubling, periodic_cycle
from sizing.physics.thermal.radiation import (
    linear_coefficient,
    radiation_resistance,
    radiative_flux,
    shield_temperatures,
)

__all__ = [
    "Covering",
    "Cycle",
    "Exposure",
    "air_conductivity",
    "air_viscosity",
    "box_resistance",
    "case_area",
    "common",
    "covered_coefficient",
    "covering",
    "equivalent_excess",
    "exposure_of",
    "forced_convection",
    "gain_of_normal",
    "gain_of_sine",
    "gain_of_two_levels",
    "heat_capacity",
    "layer_resistance",
    "linear_coefficient",
    "locations",
    "mean_of_doubling",
    "natural_convection",
    "periodic_cycle",
    "radiation_coefficient",
    "radiation_resistance",
    "radiative_flux",
    "share_let_in",
    "shield_temperatures",
    "shields",
]
