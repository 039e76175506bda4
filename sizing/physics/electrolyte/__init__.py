"""The acid of a lead-acid battery: strength, freezing, movement and rest voltage."""

from __future__ import annotations

from sizing.physics.electrolyte.acid import (
    ACID_PER_AMPERE_HOUR,
    GASSING_WATER_PER_AMPERE_HOUR,
    WATER_PER_AMPERE_HOUR,
    concentration,
    density,
    mass_fraction_after_discharge,
    mass_fraction_from_molality,
    mass_fraction_from_specific_gravity,
    molality,
    specific_gravity,
)
from sizing.physics.electrolyte.activity import (
    log_activities,
    standard_slope,
    thermodynamic_freezing_temperature,
    thermodynamic_slope_cell,
    thermodynamic_voltage_cell,
    water_activity,
)
from sizing.physics.electrolyte.freezing import freezing_temperature, ice_fraction, mass_fraction_at_freezing
from sizing.physics.electrolyte.transport import (
    conductivity,
    diffusivity,
    viscosity,
    viscosity_cold,
    viscosity_warm,
)
from sizing.physics.electrolyte.vapour import ice_vapour_pressure, water_vapour_pressure
from sizing.physics.electrolyte.voltage import (
    half_cell_voltages,
    open_circuit_slope_cell,
    open_circuit_voltage_cell,
    open_circuit_voltage_warm_cell,
)

__all__ = [
    "ACID_PER_AMPERE_HOUR",
    "GASSING_WATER_PER_AMPERE_HOUR",
    "WATER_PER_AMPERE_HOUR",
    "concentration",
    "conductivity",
    "density",
    "diffusivity",
    "freezing_temperature",
    "half_cell_voltages",
    "ice_fraction",
    "ice_vapour_pressure",
    "log_activities",
    "mass_fraction_after_discharge",
    "mass_fraction_at_freezing",
    "mass_fraction_from_molality",
    "mass_fraction_from_specific_gravity",
    "molality",
    "open_circuit_slope_cell",
    "open_circuit_voltage_cell",
    "open_circuit_voltage_warm_cell",
    "specific_gravity",
    "standard_slope",
    "thermodynamic_freezing_temperature",
    "thermodynamic_slope_cell",
    "thermodynamic_voltage_cell",
    "viscosity",
    "viscosity_cold",
    "viscosity_warm",
    "water_activity",
    "water_vapour_pressure",
]
