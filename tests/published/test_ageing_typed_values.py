"""Wear: tables worked out from our own equations are typed right, fitted constants come from their script."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import numpy as np
import pytest

from sizing.physics.ageing import (
    MONTH,
    Damage,
    activation_energy,
    arrhenius,
    capacity_left,
    coefficient_of_variation,
    cycle_points,
    doubling,
    gassing_current,
    life_factor,
    mean_over_scale,
    resistance_growth,
    time_weight,
    usual,
    water_loss_rate,
    water_lost,
)
from sizing.physics.ageing.weighted_throughput import (
    constants,
    corrosion_factor,
    corrosion_potential_cell,
    current_weight,
    cycling_loss,
    layer_after,
    poor_charges,
    voltage_cell,
)
from sizing.physics.roots import find_root
from sizing.tables import Row, load
from sizing.validation.calibration_ageing import residuals_ageing

ROOT = Path(__file__).parents[2]
KELVIN, HOUR, DAY = 273.15, 3600.0, 86400.0


def half_a_digit(text: str) -> float:
    """Return half of the last printed digit of a number."""
    return 0.5000001 * 10.0 ** -len(text.partition(".")[2])


def four_digits(printed: str) -> float:
    """Return half of the last of at most four printed digits, zeros before the first not counted."""
    digits = len(printed.replace(".", "").lstrip("0"))
    return 0.5000001 * 10.0 ** (np.floor(np.log10(float(printed))) + 1 - digits)


@pytest.mark.parametrize(
    "row", load("ageing_activation_energies").rows, ids=lambda r: r["step_k"] + r["from_c"]
)
def test_activation_energies(row: Row) -> None:
    ours = activation_energy(float(row["from_c"]) + KELVIN, float(row["step_k"])) / 1e3
    assert float(ours) == pytest.approx(float(row["ea_kj_per_mol"]), abs=half_a_digit(row["ea_kj_per_mol"]))


@pytest.mark.parametrize("row", load("ageing_relative_life").rows, ids=lambda r: r["temperature_c"])
def test_relative_lives(row: Row) -> None:
    kelvin = float(row["temperature_c"]) + KELVIN
    ours = {
        "half_per_8_3_k": doubling(kelvin, step=8.3),
        "half_per_10_k": doubling(kelvin, step=10.0),
        "half_per_15_k": doubling(kelvin, step=15.0),
        "arrhenius_36_kj": arrhenius(kelvin, 36e3),
        "arrhenius_50_kj": arrhenius(kelvin, 50e3),
        "arrhenius_65_kj": arrhenius(kelvin, 65e3),
    }
    for column, rate in ours.items():
        assert float(1.0 / rate) == pytest.approx(float(row[column]), abs=half_a_digit(row[column])), column


@pytest.mark.parametrize("row", load("ageing_gassing_current").rows, ids=lambda r: r["temperature_c"])
def test_gassing_currents(row: Row) -> None:
    for column, volts in (
        ("at_13_38_v", 13.38),
        ("at_14_0_v", 14.0),
        ("at_14_4_v", 14.4),
        ("at_14_8_v", 14.8),
    ):
        ours = gassing_current(float(row["temperature_c"]) + KELVIN, volts / 6.0, 100.0, level=0.020)
        assert 1e3 * float(ours) == pytest.approx(float(row[column]), abs=four_digits(row[column])), column


def test_water_of_an_ampere_hour() -> None:
    assert 1e3 * float(water_lost(1.0)) == pytest.approx(2.0165, abs=5e-5)
    assert 1e3 * float(water_lost(1.0)) / 6.0 == pytest.approx(0.33608, abs=5e-6)


@pytest.mark.parametrize(
    "row",
    load("ageing_water_loss_to_gassing").rows,
    ids=lambda r: f"{r['loss_g_per_ah']} g, {r['days']} d, {r['bath_c']} degC",
)
def test_water_loss_of_a_test_as_gassing(row: Row) -> None:
    hours = float(row["days"]) * 24.0
    lost = float(row["loss_g_per_ah"]) * 100.0  # g from a battery of 100 Ah
    mean = lost / (1e3 * float(water_lost(1.0))) / hours
    assert 1e3 * mean == pytest.approx(
        float(row["mean_gassing_ma_per_100ah"]), abs=four_digits(row["mean_gassing_ma_per_100ah"])
    )

    def excess(level: np.ndarray) -> np.ndarray:
        rate = water_loss_rate(float(row["bath_c"]) + KELVIN, 2.40, 100.0, level=level)
        return np.asarray(1e3 * rate * hours * HOUR - lost)

    level = 1e3 * float(find_root(excess, 1e-5, 1.0))
    printed = row["reference_ma_per_100ah"]
    assert level == pytest.approx(float(printed), abs=four_digits(printed))


@pytest.mark.parametrize(
    ("level", "volts", "celsius", "grams"),
    [
        (3e-3, 14.4, 50.0, 0.704),
        (20e-3, 14.4, 50.0, 4.69),
        (3e-3, 14.8, 60.0, 2.67),
        (3e-3, 14.0, 30.0, 0.102),
    ],
)
def test_water_of_four_hundred_hours_of_charging(
    level: float, volts: float, celsius: float, grams: float
) -> None:
    rate = water_loss_rate(celsius + KELVIN, volts / 6.0, 100.0, level=level)
    assert 10.0 * float(rate) * 400.0 * HOUR == pytest.approx(grams, abs=four_digits(f"{grams}"))


@pytest.mark.parametrize("row", load("ageing_weibull_shapes").rows, ids=lambda r: r["shape"])
def test_weibull_laws(row: Row) -> None:
    shape = float(row["shape"])
    ours = {
        "cv": coefficient_of_variation(shape),
        "mean_over_scale": mean_over_scale(shape),
        "q10_over_mean": life_factor(0.1, shape),
        "median_over_mean": life_factor(0.5, shape),
        "q90_over_mean": life_factor(0.9, shape),
    }
    for column, value in ours.items():
        assert float(value) == pytest.approx(float(row[column]), abs=half_a_digit(row[column])), column


def rest_potential_crosses() -> float:
    """Return the charge at which the potential at rest is where the growth law changes."""
    switch = constants()["u_switch"]
    return float(find_root(lambda z: corrosion_potential_cell(0.0, z) - switch, 0.0, 1.0))


EVALUATED = {
    ("charge voltage", "I/C = 0.1 per h; SOC 0.5"): lambda: voltage_cell(0.1, 0.5),
    ("charge voltage", "I/C = 0.1 per h; SOC 0.9"): lambda: voltage_cell(0.1, 0.9),
    ("discharge voltage", "discharge 0.1 per h; DOD 0.5"): lambda: voltage_cell(-0.1, 0.5),
    ("discharge voltage", "discharge 0.05 per h; DOD 0.8"): lambda: voltage_cell(-0.05, 0.2),
    ("corrosion potential at rest", "SOC 0.5"): lambda: corrosion_potential_cell(0.0, 0.5),
    ("SOC at which the rest potential is 1.74 V", "rest"): rest_potential_crosses,
    ("layer growth below the switch", "k_s = 1; from 1; one unit of time"): lambda: layer_after(1, 1, 1, 1.7),
    ("layer growth below the switch", "k_s = 1; from 2; one unit of time"): lambda: layer_after(2, 1, 1, 1.7),
    ("corrosion factor", "40 degC = 313.15 K"): lambda: corrosion_factor(313.15),
    ("incomplete-charge increment", "SOC_max 0.90"): lambda: poor_charges(0.90),
    ("incomplete-charge increment", "SOC_max 0.95"): lambda: poor_charges(0.95),
    ("incomplete-charge increment", "SOC_max 0.99"): lambda: poor_charges(0.99),
    ("f_SOC", "SOC_min 0.2; f_I 1; 720 h"): lambda: time_weight(0.2, 720.0 * HOUR),
    ("f_SOC", "SOC_min 0.5; f_I 1; 168 h"): lambda: time_weight(0.5, 168.0 * HOUR),
    ("f_SOC", "SOC_min 0.5; f_I 1; 720 h"): lambda: time_weight(0.5, 720.0 * HOUR),
    ("f_I", "n = 3.6; I = I_ref"): lambda: current_weight(1.0, 3.6),
    ("C_deg/C_deg_lim", "no wear"): lambda: cycling_loss(0.0),
    ("C_deg/C_deg_lim", "Z_w = Z_IEC"): lambda: cycling_loss(1.0),
    ("C_deg/C_deg_lim", "Z_w = 1.6 Z_IEC"): lambda: cycling_loss(1.6),
}


def test_every_point_of_the_model_of_weighted_throughput_is_worked_out() -> None:
    printed = [(row["quantity"], row["conditions"]) for row in load("ageing_schiffer_evaluated").rows]
    assert sorted(printed) == sorted(EVALUATED)


@pytest.mark.parametrize(
    "row", load("ageing_schiffer_evaluated").rows, ids=lambda r: r["quantity"] + r["conditions"]
)
def test_the_model_of_weighted_throughput(row: Row) -> None:
    ours = float(EVALUATED[row["quantity"], row["conditions"]]())
    assert ours == pytest.approx(float(row["value"]), abs=1e-5)


def test_growth_runs_on_straight_above_the_switch() -> None:
    assert float(layer_after(1.0, 1.0, 1.0, 1.80)) == 2.0


def test_what_was_fitted_comes_from_the_script() -> None:
    script = runpy.run_path(str(ROOT / "scripts" / "fit_ageing_shape.py"))
    at_end, exponent = script["growth"]()
    assert usual("growth_at_end") == pytest.approx(at_end, abs=0.005)
    assert usual("growth_exponent") == pytest.approx(exponent, abs=0.005)
    assert dict(zip(*cycle_points(), strict=True)) == pytest.approx(script["cycles"](), rel=1e-4)
    row = load("ageing_uncertain").select("data", name="scatter_shape")[0]
    for name, value in zip(("middle", "low", "high"), script["scatter"](), strict=True):
        assert float(row[name]) == pytest.approx(value, abs=0.005)


def test_fitted_rows_come_out_within_their_tolerance() -> None:
    found = list(residuals_ageing())
    starter = [entry for entry in found if entry.quantity.startswith("life ratio")]
    assert len(starter) == 3
    assert all(abs(entry.ours / entry.target - 1.0) < 0.02 for entry in starter)
    (shape,) = [entry for entry in found if entry.quantity == "Weibull shape"]
    assert shape.ours == pytest.approx(shape.target, abs=0.005)
    printed = load("ageing_cycle_life").select("fit", battery="starter flooded")
    cycles = [entry for entry in found if entry.quantity.startswith("cycles")]
    for row, entry in zip(printed, cycles, strict=True):
        assert float(row["cycles_low"]) <= entry.ours <= float(row["cycles_high"])


def test_the_level_of_sulfation_is_the_loss_that_standing_declares() -> None:
    """Four weeks at 10 % charge and 25 °C: what is lost for good is the declared share a week."""
    rows = {row["name"]: float(row["middle"]) for row in load("standing_constants").rows}
    weeks = 4.0
    weight = 0.5 * (float(time_weight(0.1, weeks * 7.0 * DAY)) - 1.0)
    damage = usual("sulfation_level_per_month") * weight * weeks * 7.0 * DAY / MONTH
    lost = 0.6 * usual("hard_share") * damage / weeks
    assert lost == pytest.approx(rows["lasting_loss_per_week"], rel=0.05)


def test_the_page_prints_the_constants_in_use() -> None:
    text = (ROOT / "docs" / "theory" / "ageing.md").read_text(encoding="utf-8")
    assert f"r1 = {usual('growth_at_end'):g}" in text
    assert f"p = {usual('growth_exponent'):g}" in text
    assert re.search(rf"E = {usual('shallow_equivalents'):g}\b", text)


def test_the_page_prints_the_capacity_that_goes_with_a_growth() -> None:
    text = (ROOT / "docs" / "theory" / "ageing.md").read_text(encoding="utf-8")
    life = np.linspace(0.0, 1.0, 1001)
    damage = Damage(rest=0.5 * life, corrosion=0.5 * life)
    for percent in (25, 50):
        left = float(np.interp(0.01 * percent, resistance_growth(damage), capacity_left(damage)))
        assert re.search(rf"\+{percent} % (comes )?with {100.0 * left:.0f} %", text)
