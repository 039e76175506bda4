"""Published rivals of the electrolyte relations in use: they only serve to compare."""

from __future__ import annotations

import math

from sizing.tables import load

WARM = 298.15  # K
# 1/K at the 20 h and 10 h rates (capacity_temperature_rule, read). Its row in the table
# electrolyte_capacity_temperature sets the battery shapes, so a check may not read it
# there; E30 compares two formulas and judges no shape.
SLOW_CAPACITY_RULE = 0.006


def molality_from_molarity(molarity: float) -> float:
    """Return mol/kg at 25 °C from mol/m3 by the old power series (bode_1977, recalled)."""
    c = 1e-6 * molarity
    return 1.00322e3 * c + 3.55e4 * c**2 + 2.17e6 * c**3 + 2.06e8 * c**4


def viscosity_quadratic(molarity: float) -> float:
    """Return Pa s at 25 °C from mol/m3 (chapman_newman_1968, read as quoted)."""
    return 0.89e-3 + 1.11e-7 * molarity + 3.29e-11 * molarity**2


def diffusivity_linear(molarity: float, temperature: float) -> float:
    """Return m2/s from mol/m3 and K (tiedemann_newman_1979, recalled)."""
    warm = (1.75 + 260e-6 * molarity) * 1e-9
    return warm * math.exp(2174.0 * (1.0 / WARM - 1.0 / temperature))


def capacity_share(current: float, warmth: float) -> float:
    """Return C/C10 at I/I10 and K above 25 °C (copetti_1993, recalled)."""
    return 1.67 / (1.0 + 0.67 * float(current**0.9)) * (1.0 + _photovoltaic_slope() * warmth)


def _photovoltaic_slope() -> float:
    (row,) = load("electrolyte_capacity_temperature").select("check", source="copetti_1993")
    return float(row["coefficient"])
