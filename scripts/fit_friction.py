"""Set the level of cranking friction by the four-cylinder row of the breakaway rule, and write the constants.

The row asks for so many newton metres per litre to break away at the starting limit temperature, with oil at
the cold limit of its grade. The textbook's own example takes breakaway as three times the steady torque at
100 rev/min (recalled). So a third of the row sets the scale of the friction relation, and what is left of
the row over the steady torque sets the share of the peak of one compression.

Run it from the root of the repository: ``python scripts/fit_friction.py``.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sizing.physics.engine.compression import compression_peak
from sizing.physics.engine.defaults import reference_engine
from sizing.physics.engine.friction import CRANKING_SPEED, friction_parts
from sizing.physics.oil import from_grade, kinematic_viscosity
from sizing.tables import load, numbers

GRADE = "10W-30"
STEADY_SHARE = 1.0 / 3.0
HEADER = """# title: Constants of cranking friction that were fitted
# source: electrics_textbook_breakaway
# table: written by scripts/fit_friction.py
# units: reference_viscosity=m2/s, others=1
# status: derived
# use: data
# note: fitted to the four-cylinder row of cranking_breakaway_by_cylinders.csv and to no other
constant,value,fitted_to
"""


def constants() -> dict[str, tuple[float, str]]:
    """Return each constant with what it was fitted to."""
    oil = from_grade(GRADE)
    row = load("cranking_breakaway_by_cylinders").select("fit", cylinders="4")
    viscosity = float(kinematic_viscosity(oil.cold_limit, oil))
    found = {"reference_viscosity": (viscosity, f"{GRADE} at the cold limit of its grade (no fit)")}
    # the rule does not know the fuel, so the same row sets the level of both
    for fuel in ("petrol", "diesel"):
        engine = reference_engine(fuel)
        breakaway = numbers(row, "at_crank")[0] * 1e3 * engine.displacement
        pressure = friction_parts(CRANKING_SPEED, viscosity, engine).total
        unscaled = pressure * engine.displacement / (4.0 * np.pi)
        scale = STEADY_SHARE * breakaway / float(unscaled)
        share = (1.0 - STEADY_SHARE) * breakaway / float(compression_peak(engine).torque)
        found[f"friction_scale_{fuel}"] = (
            scale,
            f"a third of the row as steady torque of the {fuel} reference engine at 100 rev/min",
        )
        found[f"compression_share_{fuel}"] = (
            share,
            f"two thirds of the row over the peak of one compression of the {fuel} reference engine",
        )
    return found


def text() -> str:
    """Return the table as it stands in the repository."""
    lines = [f"{name},{value:.5g},{reason}\n" for name, (value, reason) in constants().items()]
    return HEADER + "".join(lines)


if __name__ == "__main__":
    target = Path(__file__).parent.parent / "sizing" / "tables" / "friction_constants.csv"
    target.write_text(text(), encoding="utf-8")
    print(text())
