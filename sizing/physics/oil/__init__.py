"""How thick an oil is at cranking shear, from its grade or its data sheet."""

from sizing.physics.oil.curve import (
    TEMPERATURE_2,
    TEMPERATURE_RANGE,
    Oil,
    density,
    kinematic_viscosity,
    published_kinematic_viscosity,
    through_three_points,
    through_two_points,
    viscosity,
)
from sizing.physics.oil.grades import (
    POSITION_RANGE,
    find_grade,
    from_data_sheet,
    from_grade,
    grades,
    high_shear_ratio,
)
from sizing.physics.oil.walther import walther_line, walther_viscosity

__all__ = [
    "POSITION_RANGE",
    "TEMPERATURE_2",
    "TEMPERATURE_RANGE",
    "Oil",
    "density",
    "find_grade",
    "from_data_sheet",
    "from_grade",
    "grades",
    "high_shear_ratio",
    "kinematic_viscosity",
    "published_kinematic_viscosity",
    "through_three_points",
    "through_two_points",
    "viscosity",
    "walther_line",
    "walther_viscosity",
]
