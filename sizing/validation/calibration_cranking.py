"""What friction and starters were fitted to: target, ours and residual, never a check."""

from __future__ import annotations

import numpy as np

from sizing.physics.engine import breakaway_torque, reference_engine
from sizing.physics.engine.compression import compression_peak
from sizing.physics.oil import from_grade, kinematic_viscosity
from sizing.tables import load, numbers

Entry = dict[str, str | float]
GRADE = "10W-30"  # of scripts/fit_friction.py


def residuals_friction() -> list[Entry]:
    """Return breakaway torque per litre of both reference engines beside the row that set its level.

    >>> [abs(float(entry["residual"])) < 0.01 for entry in residuals_friction()]
    [True, True]
    """
    oil = from_grade(GRADE)
    viscosity = kinematic_viscosity(oil.cold_limit, oil)
    (row,) = load("cranking_breakaway_by_cylinders").select("fit", cylinders="4")
    target = float(numbers((row,), "at_crank")[0])
    found: list[Entry] = []
    for fuel in ("petrol", "diesel"):
        engine = reference_engine(fuel)
        # the fit used the exponent of the default, so that nothing uncertain enters
        ours = float(breakaway_torque(viscosity, engine)) / (1e3 * float(np.asarray(engine.displacement)))
        found.append(
            {
                "quantity": "breakaway torque per litre, N m",
                "conditions": f"{fuel}, four cylinders, {GRADE} at its cold limit",
                "target": target,
                "ours": ours,
                "residual": ours - target,
                "source": row["source"],
            }
        )
    assert compression_peak is not None
    return found
