"""What self-discharge was fitted to: the rows of the handbook beside the model, never a check."""

from __future__ import annotations

from collections.abc import Iterable

from sizing.physics.delivery import KELVIN
from sizing.physics.standing import MONTH, self_discharge_rate
from sizing.tables import load
from sizing.validation.calibration import Residual


def residuals_self_discharge() -> Iterable[Residual]:
    """Yield every fitted rate beside the level of its battery carried by a factor 2 per 10 K."""
    rows = load("ageing_self_discharge").select("fit")
    levels = {row["battery"]: float(row["rate_low"]) for row in rows if row["temperature_c"] == "20"}
    for row in rows:
        celsius = float(row["temperature_c"])
        rate = levels[row["battery"]] / 100.0 / MONTH
        ours = float(100.0 * MONTH * self_discharge_rate(celsius + KELVIN, rate))
        printed = float(row["rate_low"])
        where = f"{row['battery']}, {celsius:g} °C"
        yield Residual("self-discharge a month, %", where, printed, ours, 0.1 * printed, row["source"])
