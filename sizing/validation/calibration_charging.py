"""What charging was fitted to: the limits of a regulator, and the level of acceptance."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sizing.physics.charging import (
    TEST_CHARGE,
    TEST_TEMPERATURE,
    TEST_VOLTAGE,
    Acceptance,
    acceptance_current,
    charge_step,
    charging_window,
)
from sizing.tables import load, numbers

KELVIN = 273.15
TEST_TIME = 600.0  # s
PLENTY = 1e3  # A: the test's source does not limit
Entry = dict[str, str | float]


def residuals_charging() -> list[Entry]:
    """Return one entry a fitted point: quantity, conditions, target, ours, residual, source.

    >>> max(abs(float(r["residual"])) for r in residuals_charging()) < 0.1
    True
    """
    return [*_regulator(), *_acceptance()]


def _entry(quantity: str, conditions: str, target: float, ours: float, source: str) -> Entry:
    return {
        "quantity": quantity,
        "conditions": conditions,
        "target": target,
        "ours": ours,
        "residual": ours - target,
        "source": source,
    }


def _regulator() -> Iterator[Entry]:
    rows = load("electrolyte_charging_voltage").select("fit", version="normal")
    window = charging_window(numbers(rows, "t_c") + KELVIN)
    for name, ours in zip(("low", "high"), window, strict=True):
        for row, volts in zip(rows, np.asarray(ours), strict=True):
            conditions = f"{name}, {row['t_c']} degC"
            yield _entry(
                "charging voltage, V", conditions, float(row[f"{name}_v"]), float(volts), row["source"]
            )


def _acceptance() -> Iterator[Entry]:
    (row,) = load("electrolyte_charge_acceptance").select("fit")
    least = float(row["value_low"])
    one = Acceptance(1.0, 0.372, 0.63, least)
    later = charge_step(TEST_CHARGE, TEST_TIME, TEST_TEMPERATURE, TEST_VOLTAGE, PLENTY, one)
    ours = float(acceptance_current(TEST_TEMPERATURE, later.charge, TEST_VOLTAGE, one))
    yield _entry("acceptance, A per Ah, least drawn", row["condition"], least, ours, row["source"])
