"""The committed rates of wear are where the script's misfit to field lives is least."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np

from sizing.tables import load

SCRIPT = Path(__file__).parents[2] / "scripts" / "fit_life.py"


def test_no_rates_beside_the_committed_ones_fit_better() -> None:
    script = runpy.run_path(str(SCRIPT))
    cases = script["prepare"]()
    printed = np.array([float(row["life_low"]) for row, _ in script["places"]()])
    held = {row["name"]: float(row["per_month"]) for row in load("ageing_rates").select("data")}
    rates = np.array([held["rest"], held["corrosion"]])

    def misfit(changed: np.ndarray) -> float:
        return float(np.sum(np.log(script["mean_lives"](changed, cases)[:, 0] / printed) ** 2))

    best = misfit(rates)
    for change in ((0.0, 0.0006), (0.0, -0.0006), (0.0005, 0.0)):
        assert misfit(rates + np.array(change)) > best
    # two numbers through three rows: within 12 percent each
    assert best < 3.0 * np.log(1.12) ** 2
