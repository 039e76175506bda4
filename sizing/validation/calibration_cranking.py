"""What friction and starters were fitted to: target, ours and residual, never a check."""

from __future__ import annotations

from dataclasses import asdict

from sizing.physics.engine import breakaway_torque, reference_engine
from sizing.physics.oil import from_grade, kinematic_viscosity
from sizing.physics.starter import Starter
from sizing.physics.starter.acceptance import acceptance, surplus
from sizing.tables import load

Entry = dict[str, str | float]
GRADE = "10W-30"  # as in scripts/fit_friction.py
MOTOR = (
    "resistance",
    "torque_constant",
    "saturation_current",
    "idle_torque",
    "brush_drop",
    "inner_efficiency",
)
RUNS = {
    "free_current": "free current, limit over ours",
    "free_speed": "free speed, ours over limit",
    "load_current": "current under load, limit over ours",
    "load_speed": "speed under load, ours over limit",
    "lock_current": "locked current, limit over ours",
    "lock_torque": "locked torque, ours over limit",
}


def residuals_friction() -> list[Entry]:
    """Return breakaway torque per litre of both reference engines beside the row that set its level.

    >>> [abs(float(entry["residual"])) < 0.05 for entry in residuals_friction()]
    [True, True]
    """
    oil = from_grade(GRADE)
    viscosity = kinematic_viscosity(oil.cold_limit, oil)
    table = load("cranking_breakaway_by_cylinders")
    (row,) = table.select("fit", cylinders="4")
    found: list[Entry] = []
    for fuel in ("petrol", "diesel"):
        engine = reference_engine(fuel)
        ours = float(breakaway_torque(viscosity, engine) / engine.displacement) / 1e3
        conditions = f"{fuel}, 4 cylinders, {GRADE} at its cold limit"
        found.append(
            _entry(
                "breakaway torque per litre, N m", conditions, row["at_crank"], ours, table.header["source"]
            )
        )
    return found


def residuals_starters() -> list[Entry]:
    """Return each fitted motor beside its limits, run by run: 1 is just at the limit, more is better.

    >>> len(residuals_starters())
    18
    """
    constants = {row["id"]: row for row in load("starter_constants").select("data")}
    found: list[Entry] = []
    for row in load("cranking_starter_three_point").select("fit"):
        motor = Starter(**{name: float(constants[row["id"]][name]) for name in MOTOR})
        for run, ours in asdict(surplus(acceptance(row), motor)).items():
            found.append(
                _entry(RUNS[run], f"starter {row['id']}, {row['engine']}", "1", float(ours), row["source"])
            )
    return found


def _entry(quantity: str, conditions: str, target: str, ours: float, source: str) -> Entry:
    return {
        "quantity": quantity,
        "conditions": conditions,
        "target": float(target),
        "ours": ours,
        "residual": ours - float(target),
        "source": source,
    }
