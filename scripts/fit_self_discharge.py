"""Fit the rates of sizing/tables/standing_types.csv: 20 °C level by battery and one factor per 10 K.

    python scripts/fit_self_discharge.py

Ordinary least squares on the logarithms of the rows of use ``fit`` in ageing_self_discharge.csv.
"""

from __future__ import annotations

import numpy as np

from sizing.tables import load, numbers


def fitted() -> tuple[dict[str, float], float]:
    """Return the rate at 20 °C by battery [percent per month], and the kelvins in which it doubles."""
    rows = load("ageing_self_discharge").select("fit")
    batteries = list(dict.fromkeys(row["battery"] for row in rows))
    warmer = (numbers(rows, "temperature_c") - 20.0) / 10.0
    columns = [[float(row["battery"] == name) for row in rows] for name in batteries]
    design = np.stack([*map(np.array, columns), warmer], axis=1)
    solution = np.linalg.lstsq(design, np.log(numbers(rows, "rate_low")), rcond=None)[0]
    levels = dict(zip(batteries, np.exp(solution[:-1]).tolist(), strict=True))
    return levels, float(10.0 * np.log(2.0) / solution[-1])


if __name__ == "__main__":
    rates, doubling = fitted()
    print(f"doubles every {doubling:.3f} K")
    for battery, rate in rates.items():
        print(f"{battery}: {rate:.3f} percent a month at 20 °C")
