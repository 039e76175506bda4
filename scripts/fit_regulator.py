"""Fit straight lines to the printed limits of a vehicle's charging voltage.

Run ``python scripts/fit_regulator.py`` to print the rows of ``sizing/tables/charging_regulator.csv``.
"""

from __future__ import annotations

import numpy as np

from sizing.tables import load, numbers

SOURCE = "workshop_manual_2018"
REFERENCE = 20.0  # degC


def lines() -> dict[str, tuple[float, float]]:
    """Return voltage at 20 °C [V] and slope [mV/K] of each limit."""
    rows = load("electrolyte_charging_voltage").select("fit", source=SOURCE, version="normal")
    celsius = numbers(rows, "t_c") - REFERENCE
    found = {}
    for limit in ("low", "high"):
        slope, at_20 = np.polyfit(celsius, numbers(rows, f"{limit}_v"), 1)
        found[limit] = (round(float(at_20), 3), round(1e3 * float(slope), 2))
    return found


if __name__ == "__main__":
    for limit, (at_20, slope) in lines().items():
        print(f"{limit},{at_20},{slope}")
