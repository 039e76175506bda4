"""The committed motor constants are what the script gives, and usual cable sections as tabulated."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np

from sizing.physics.starter import cable_resistance
from sizing.tables import load

SCRIPT = Path(__file__).parents[2] / "scripts" / "fit_starters.py"


def test_the_script_reproduces_the_committed_constants() -> None:
    lines = runpy.run_path(str(SCRIPT))["table"]().splitlines()
    body = [line.split(",") for line in lines if not line.startswith("#")]
    committed = load("starter_constants")
    assert body[0] == list(committed.rows[0])
    for number, name in enumerate(body[0]):
        if name in ("id", "source"):
            assert [cells[number] for cells in body[1:]] == [row[name] for row in committed.rows]
        else:
            ours = np.array([float(cells[number]) for cells in body[1:]])
            np.testing.assert_allclose(ours, committed.column(name), rtol=2e-3)


def test_milliohms_per_metre_of_usual_sections_are_typed_right() -> None:
    per_metre = 1e3 * cable_resistance(293.15, np.array([16e-6, 25e-6, 35e-6, 50e-6]), 1.0)
    np.testing.assert_allclose(per_metre, [1.08, 0.69, 0.49, 0.34], atol=0.005)
    assert abs(cable_resistance(253.15, 25e-6, 1.0) / cable_resistance(293.15, 25e-6, 1.0) - 0.84) < 0.005
