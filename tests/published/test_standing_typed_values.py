"""Standing: derived tables typed right; the page's comparison with the trade's rule is what is computed."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

from sizing.physics.standing import MONTH, self_discharge_of_type, self_discharge_rate
from sizing.tables import load
from sizing.validation.calibration_standing import residuals_self_discharge
from sizing.validation.standing import CARS, standing_by_rule

ROOT = Path(__file__).parents[2]
WEAR = ("new", "warranty", "end of life")


@pytest.mark.parametrize("row", load("ageing_self_discharge_by_temperature").rows, ids=lambda r: r["battery"])
def test_rates_carried_to_other_temperatures(row: dict[str, str]) -> None:
    # printed to three digits
    for celsius in (0, 10, 25, 30, 40):
        ours = self_discharge_rate(celsius + 273.15, float(row["at_20_c"]))
        assert float(ours) == pytest.approx(float(row[f"at_{celsius}_c"]), rel=2e-3)


def test_the_rates_in_use_are_those_of_the_fit() -> None:
    levels, doubling = runpy.run_path(str(ROOT / "scripts" / "fit_self_discharge.py"))["fitted"]()
    assert doubling == pytest.approx(10.0, rel=1e-6)
    for row in load("standing_types").rows:
        assert 100.0 * MONTH * self_discharge_of_type(row["type"])[0] == pytest.approx(
            levels[row["fitted_to"]]
        )


def test_every_fitted_row_comes_out() -> None:
    found = list(residuals_self_discharge())
    assert len(found) == 10
    assert all(abs(residual.ours / residual.target - 1.0) < 1e-9 for residual in found)


def test_the_page_prints_what_the_rule_and_the_model_give() -> None:
    text = (ROOT / "docs" / "theory" / "standing.md").read_text(encoding="utf-8")
    for car in CARS:
        (line,) = re.findall(rf"^\| {car}, .*$", text, re.MULTILINE)
        printed = [float(cell) for cell in line.split("|")[2:5]]
        assert printed == pytest.approx([standing_by_rule(car, worn) for worn in WEAR], abs=0.11)
