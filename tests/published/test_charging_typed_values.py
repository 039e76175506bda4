"""Numbers evaluated elsewhere from the same equations, and the sun beside a library."""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pytest

from sizing.physics.charging import HOUR, Acceptance, acceptance_current, charge_step, gassing_current
from sizing.physics.sun import DISTANCE, _series, declination, tilted_radiation
from sizing.tables import Row, load

KELVIN = 273.15
SCRIPT = Path(__file__).parents[2] / "scripts" / "fit_regulator.py"


@pytest.mark.parametrize(
    "row", load("electrolyte_gassing_points").rows, ids=lambda row: f"{row['cell_v']} V {row['t_c']} degC"
)
def test_gassing_points(row: Row) -> None:
    ours = 1e3 * gassing_current(float(row["t_c"]) + KELVIN, float(row["battery_v"]), 100.0)
    printed = float(row["gas_ma"])
    # three digits are printed: half of the last one
    digit = 10.0 ** (np.floor(np.log10(printed)) - 2)
    assert float(ours) == pytest.approx(printed, abs=0.5 * digit * (1.0 + 1e-9))


def test_gassing_doubles_every_eleven_and_a_half_kelvin() -> None:
    warm, cold = gassing_current(np.array([25.0, 25.0 - 11.55]) + KELVIN, 14.4, 60.0)
    assert warm / cold == pytest.approx(2.0, rel=0.005)  # printed: 11.6 K
    assert 1e3 * warm / 0.6 == pytest.approx(129.8, abs=0.05)


def test_the_acceptance_test_is_met_by_the_least_acceptance() -> None:
    battery = Acceptance(60.0, 0.372, 0.63, 0.10)
    later = charge_step(0.5, 600.0, KELVIN, 14.40, 1e3, battery)
    # fitted to: 1 % is what the charge taken meanwhile changes
    assert acceptance_current(KELVIN, later.charge, 14.40, battery) / 60.0 == pytest.approx(0.10, rel=0.01)


def test_half_an_hour_at_a_net_twenty_amperes_is_ten_ampere_hours() -> None:
    battery = Acceptance(100.0, 0.395, 0.72, 0.30)
    done = charge_step(0.5, 0.5 * HOUR, 298.15, 14.4, 20.0, battery)
    assert float(done.stored + done.gassed) == pytest.approx(10.0, abs=1e-12)


def test_the_lines_of_the_regulator_are_what_the_script_fits() -> None:
    rows = {row["limit"]: row for row in load("charging_regulator").rows}
    for limit, (at_20, slope) in runpy.run_path(str(SCRIPT))["lines"]().items():
        assert float(rows[limit]["at_20_v"]) == pytest.approx(at_20, abs=1e-9)
        assert float(rows[limit]["slope_mv_per_k"]) == pytest.approx(slope, abs=1e-9)


@pytest.mark.parametrize("day", [1, 80, 172, 355])
def test_the_sun_stands_where_a_library_has_it(day: int) -> None:
    pvlib = pytest.importorskip("pvlib")
    theirs = float(pvlib.solarposition.declination_spencer71(day))
    assert float(declination(day)) == pytest.approx(theirs, abs=1e-9)
    outside = float(pvlib.irradiance.get_extra_radiation(day, solar_constant=1361.0, method="spencer"))
    # coefficients are typed with six digits in both
    assert float(1361.0 * _series(day, DISTANCE)) == pytest.approx(outside, rel=1e-6)
    noon = outside * np.cos(np.radians(40.0) - theirs)
    assert float(tilted_radiation(day, 12.0, np.radians(40.0), 0.0)) == pytest.approx(noon, rel=1e-6)
