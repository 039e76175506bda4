"""Numbers evaluated elsewhere from the same equations, to catch a slip of typing; no independent evidence.

Every tolerance is half the last digit that is printed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sizing.physics import electrolyte as acid
from sizing.physics.electrolyte.acid import FARADAY
from sizing.tables import Row, load
from sizing.validation import electrolyte_rivals as rivals

KELVIN = 273.15


def half_digit(printed: str) -> float:
    mantissa, _, power = printed.partition("e")
    digits = len(mantissa.partition(".")[2]) - int(power or 0)
    return float(0.5 * 10.0**-digits) * (1.0 + 1e-6)


def agrees(ours: Any, printed: str, what: str = "") -> None:
    assert float(ours) == pytest.approx(float(printed), abs=half_digit(printed)), what


def strength(row: Row) -> float:
    if "wt_pct" in row:
        return float(row["wt_pct"]) / 100.0
    return float(acid.mass_fraction_from_specific_gravity(float(row["sg_25"])))


def kelvin(row: Row) -> float:
    return float(row["t_c"]) + KELVIN


def test_density() -> None:
    for row in load("electrolyte_density_points").rows:
        agrees(acid.density(strength(row), kelvin(row)), row["density_kg_m3"], str(row))


@pytest.mark.parametrize(
    ("percent", "celsius", "printed"),
    [
        *((0.0, t, rho) for t, rho in ((0, "999.840"), (15, "999.100"), (25, "997.045"), (60, "983.199"))),
        *((37.0, t, rho) for t, rho in ((-10, "1298.9"), (-20, "1306.2"), (-30, "1313.4"), (-50, "1327.9"))),
        (40.0, -40, "1348.1"),
    ],
)
def test_density_of_water_and_cold_acid(percent: float, celsius: float, printed: str) -> None:
    agrees(acid.density(percent / 100.0, celsius + KELVIN), printed)


def test_density_lines() -> None:
    table = load("electrolyte_density_ict_lines")
    percent, d0, d1 = (table.column(name) for name in ("wt_pct", "d0_g_cm3", "d1_g_cm3_k"))
    for w, celsius, printed in (
        (30, 0, "1232.4"),
        (37, -20, "1306.1"),
        (40, -30, "1339.5"),
        (50, 20, "1395.1"),
    ):
        line = np.interp(w, percent, d0) + np.interp(w, percent, d1) * (celsius + KELVIN)
        agrees(1000.0 * line, printed)


def test_one_acid_on_every_scale() -> None:
    for row in load("electrolyte_sg_scales").rows:
        w = acid.mass_fraction_from_specific_gravity(float(row["sg_25_25"]))
        reading = acid.density(w, np.array([273.15, 297.15, 299.15, 298.15])) / acid.density(0.0, 298.15)
        for name, ours in {
            "wt_pct": 100.0 * w,
            "molality": acid.molality(w),
            "molarity_25": 1e-3 * acid.concentration(w, 298.15),
            "sg_15_15": acid.density(w, 288.15) / acid.density(0.0, 288.15),
            "sg_20_20": acid.density(w, 293.15) / acid.density(0.0, 293.15),
            "kg_l_20": 1e-3 * acid.density(w, 293.15),
            "slope_0_25": 1e4 * (reading[0] - reading[3]) / 25.0,
            "slope_25": 1e4 * (reading[1] - reading[2]) / 2.0,
        }.items():
            agrees(ours, row[name], f"{name} of {row['sg_25_25']}")


def test_acid_balance() -> None:
    for row in load("electrolyte_acid_balance").rows:
        full = acid.mass_fraction_from_specific_gravity(float(row["sg_full"]))
        # the rows are whole millilitres in a battery of 60 Ah, printed to 0.01 ml/Ah
        volume = round(60.0 * float(row["acid_ml_ah"])) / 60.0
        mass = 1e-6 * volume * acid.density(full, 298.15)
        for charge in (100, 75, 50, 25, 0):
            left = acid.mass_fraction_after_discharge(full, mass, 1.0 - charge / 100.0)
            agrees(acid.specific_gravity(left), row[f"sg_{charge}"], str(row))


def test_ice_line() -> None:
    for row in load("electrolyte_freezing_ice_line").rows:
        w = strength(row)
        agrees(acid.molality(w), row["molality"])
        agrees(
            acid.thermodynamic_freezing_temperature(acid.molality(w)) - KELVIN, row["freezing_c"], str(row)
        )
        agrees(acid.freezing_temperature(w) - KELVIN, row["polynomial_c"], str(row))


@pytest.mark.parametrize(
    ("gravity", "printed"),
    [
        *(
            (1.05, "-3"),
            (1.08, "-6"),
            (1.10, "-8"),
            (1.12, "-10.6"),
            (1.14, "-14"),
            (1.155, "-17"),
            (1.16, "-18"),
        ),
        *((1.18, "-23"), (1.19, "-25.5"), (1.20, "-28.6"), (1.22, "-35.7"), (1.225, "-37.8"), (1.23, "-40")),
        *((1.24, "-45"), (1.25, "-51"), (1.26, "-58.6")),
    ],
)
def test_freezing_by_gravity(gravity: float, printed: str) -> None:
    m = acid.molality(acid.mass_fraction_from_specific_gravity(gravity))
    agrees(acid.thermodynamic_freezing_temperature(m) - KELVIN, printed)


def test_ice_fraction_on_the_thermodynamic_line() -> None:
    w = np.linspace(0.005, 0.353, 3481)
    line = acid.thermodynamic_freezing_temperature(acid.molality(w)) - KELVIN
    for row in load("electrolyte_freezing_ice_fraction").rows:
        liquid = float(np.interp(-float(row["t_c"]), -line, w))
        agrees(100.0 * liquid, row["line_wt_pct"], str(row))
        agrees(acid.specific_gravity(liquid), row["line_sg_25"], str(row))
        for gravity in ("1080", "1120", "1155", "1190", "1225"):
            start = acid.mass_fraction_from_specific_gravity(float(gravity) / 1000.0)
            agrees(max(1.0 - float(start) / liquid, 0.0), row[f"ice_from_{gravity}"], str(row))


def test_vapour_pressures() -> None:
    for celsius, ice, water in ((0.0, "611.154", "611.213"), (-40.0, "12.8443", "18.9121")):
        agrees(acid.ice_vapour_pressure(celsius + KELVIN), ice)
        agrees(acid.water_vapour_pressure(celsius + KELVIN), water)


def test_conductivity() -> None:
    for row in load("electrolyte_conductivity_points").rows:
        agrees(0.01 * acid.conductivity(strength(row), kelvin(row)), row["kappa_s_cm"], str(row))


def test_resistivity() -> None:
    for row in load("electrolyte_resistivity_points").rows:
        ours = 100.0 / acid.conductivity(strength(row), kelvin(row))
        agrees(ours, row["resistivity_ohm_cm"], str(row))
        agrees(ours * acid.conductivity(strength(row), 298.15) / 100.0, row["ratio_to_25c"], str(row))


def test_viscosity() -> None:
    for row in load("electrolyte_viscosity_points").rows:
        for column, relation in (("eta_vft", acid.viscosity_cold), ("eta_laliberte", acid.viscosity_warm)):
            if row[column].strip():
                agrees(1e3 * relation(strength(row), kelvin(row)), row[column], str(row))


def test_diffusivity() -> None:
    for row in load("electrolyte_diffusion_points").rows:
        c = 1e3 * float(row["c_mol_l"])
        agrees(1e9 * acid.diffusivity(c, kelvin(row)), row["d_recommended"], str(row))
        agrees(1e9 * rivals.diffusivity_linear(c, kelvin(row)), row["d_tiedemann"], str(row))
        if kelvin(row) >= KELVIN:
            agrees(1e9 * acid.diffusivity(c, kelvin(row)), row["d_umino"], str(row))


def test_rest_voltage() -> None:
    for row in load("electrolyte_ocv_points").rows:
        w = strength(row)
        agrees(acid.molality(w), row["molality"])
        if float(row["molality"]) <= 7.0:
            agrees(acid.open_circuit_voltage_warm_cell(w), row["cell_v_25"], str(row))
            agrees(6.0 * acid.open_circuit_voltage_warm_cell(w), row["battery_v_25"], str(row))
        if row["slope_mv_k"].strip():
            agrees(1e3 * acid.open_circuit_slope_cell(w), row["slope_mv_k"], str(row))
            agrees(6.0 * acid.open_circuit_voltage_cell(w, 273.15), row["battery_v_0"], str(row))
            agrees(6.0 * acid.open_circuit_voltage_cell(w, 255.15), row["battery_v_m18"], str(row))


def test_half_cells_and_cell_by_molality() -> None:
    cells = ((0.5, "1.88241"), (1, "1.92280"), (2, "1.97526"), (4, "2.05517"), (6, "2.12316"), (7, "2.15453"))
    for m, printed in cells:
        # a hair inside the range, whose end is 7 mol/kg
        agrees(acid.open_circuit_voltage_warm_cell(acid.mass_fraction_from_molality(m - 1e-9)), printed)
    positive, negative = acid.half_cell_voltages(acid.mass_fraction_from_molality(6.0))
    agrees(positive, "1.73389")
    agrees(negative, "-0.38876")


@pytest.mark.parametrize(
    ("molality", "kelvins", "acidic", "watery"),
    [
        (5.0, 298.15, "-20.8935", "-0.35845"),
        (2.0, 263.15, "-29.1324", "-0.09543"),
        (5.0, 233.15, "-27.7528", "-0.43780"),
    ],
)
def test_activities(molality: float, kelvins: float, acidic: str, watery: str) -> None:
    a, w = acid.log_activities(molality, kelvins)
    agrees(a, acidic)
    agrees(w, watery)


def test_water_activity() -> None:
    for row in load("electrolyte_water_activity").rows:
        for celsius in ("0", "25", "50"):
            ours = acid.water_activity(float(row["molality"]), float(celsius) + KELVIN)
            agrees(ours, row[f"aw_zeleznik_{celsius}"], str(row))


def test_thermodynamic_slopes() -> None:
    for row in load("electrolyte_ocv_slope_models").rows:
        m = acid.molality(strength(row))
        for column in ("25", "0", "m20", "m40", "50"):
            t = float(column.replace("m", "-")) + KELVIN
            agrees(1e3 * acid.thermodynamic_slope_cell(m, t), row[f"zeleznik_{column}"], f"{row}, {column}")


def test_thermodynamic_voltage_differences() -> None:
    differences = ((1, "-136.3", "-132.4"), (2, "-82.9", "-79.9"), (6, "68.2", "68.0"), (7, "98.5", "99.4"))
    for m, thermodynamic, curve in differences:
        w = acid.mass_fraction_from_molality(np.array([m - 1e-9, 4.0]))
        ours = acid.thermodynamic_voltage_cell(np.array([m, 4.0]), 298.15)
        agrees(1e3 * (ours[0] - ours[1]), thermodynamic)
        agrees(-1e3 * np.diff(acid.open_circuit_voltage_warm_cell(w))[0], curve)
    full = acid.molality(acid.mass_fraction_from_specific_gravity(1.28))
    cold = acid.thermodynamic_voltage_cell(full, np.array([298.15, 273.15, 253.15, 233.15, 323.15]))
    for ours, printed in zip(6e3 * (cold[1:] - cold[0]), ("-42", "-71", "-96", "51"), strict=True):
        agrees(ours, printed)


def test_stoichiometry_is_exact() -> None:
    assert pytest.approx(0.098079 * 3600.0 / FARADAY, rel=1e-12) == acid.ACID_PER_AMPERE_HOUR
    assert (
        pytest.approx(0.098079 / 0.018015, rel=1e-12)
        == acid.ACID_PER_AMPERE_HOUR / acid.WATER_PER_AMPERE_HOUR
    )


def test_rival_relations() -> None:
    for c, molality, viscosity in (
        (1000.0, "1.0411", "1.034"),
        (3000.0, "3.4044", ""),
        (2000.0, "", "1.244"),
        (4900.0, "6.1422", "2.224"),
    ):
        if molality:
            agrees(rivals.molality_from_molarity(c), molality)
        if viscosity:
            agrees(1e3 * rivals.viscosity_quadratic(c), viscosity)
    for current, printed in ((0.5, "1.229"), (2.0, "0.742"), (10.0, "0.264")):
        agrees(rivals.capacity_share(current, 0.0), printed)
