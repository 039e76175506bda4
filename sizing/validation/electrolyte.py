"""Our side of the published electrolyte checks."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from sizing.physics import electrolyte as acid
from sizing.physics.roots import find_root
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within
from sizing.validation.electrolyte_rivals import (
    SLOW_CAPACITY_RULE,
    capacity_share,
    diffusivity_linear,
    molality_from_molarity,
    viscosity_quadratic,
)

Array = NDArray[np.float64]
KELVIN = 273.15
WARM = 298.15  # K
FAHRENHEIT_80 = (80.0 - 32.0) / 1.8 + KELVIN
MOLARITIES = (1000.0, 3000.0, 4900.0)  # mol/m3
VISCOUS_MOLARITIES = (1000.0, 2000.0, 4900.0)
DIFFUSING_FROM = 1.0  # mol/l, in which E21 is judged
MOLALITIES = np.array([1.0, 2.0, 3.0, 5.0, 6.0, 7.0])  # mol/kg, against 4 mol/kg
GRAVITIES = (1.10, 1.15, 1.20, 1.25, 1.30)
COLDER = np.array([298.15, 273.15, 253.15, 233.15])  # K


def mass_fraction_from_gravity(gravity: float, temperature: float) -> float:
    """Return the strength of acid from its density over that of water, both at this temperature [K]."""
    water = acid.density(0.0, temperature)
    return float(find_root(lambda w: acid.density(w, temperature) / water - gravity, 0.0, 0.5))


def mass_fraction_from_molarity(molarity: float) -> float:
    """Return the strength of acid of a molarity [mol/m3] at 25 °C."""
    return float(find_root(lambda w: acid.concentration(w, WARM) - molarity, 0.0, 0.5))


def _fahrenheit(printed: str) -> float:
    return (float(printed) - 32.0) / 1.8


def _freezing_c(mass_fraction: float) -> float:
    return float(acid.freezing_temperature(mass_fraction)) - KELVIN


@check("E01")
def stoichiometry(row: Row) -> Iterable[Point]:
    """Acid and water of the cell reaction, and water of gassing, per ampere-hour."""
    yield within(row, "acid", 3.6595, 1e3 * acid.ACID_PER_AMPERE_HOUR)
    yield within(row, "water formed", 0.6722, 1e3 * acid.WATER_PER_AMPERE_HOUR)
    yield within(row, "water gassed", 0.3361, 1e3 * acid.GASSING_WATER_PER_AMPERE_HOUR)


@check("E02")
def molality_of_molarity(row: Row) -> Iterable[Point]:
    """Molality through our density against the old power series."""
    for c in MOLARITIES:
        ours = acid.molality(mass_fraction_from_molarity(c))
        yield within(row, f"{c / 1000:g} mol/l", molality_from_molarity(c), float(ours))


@check("E03")
def hydrometer_correction(row: Row) -> Iterable[Point]:
    """Mean fall of the reading with temperature."""
    w = acid.mass_fraction_from_specific_gravity(1.28)
    cold, hot = (acid.density(w, t + KELVIN) / acid.density(0.0, WARM) for t in (-18.0, 49.0))
    yield within(row, row["conditions"], float(row["low"]), float(cold - hot) / 67.0)


@check("E04")
def gravity_of_charge(row: Row) -> Iterable[Point]:
    """Gravity at part charge, the acid volume from the two ends."""
    table = load("electrolyte_sg_soc")
    full, empty = (
        acid.mass_fraction_from_specific_gravity(float(r["sg_low"]))
        for charge in ("100", "0")
        for r in table.select("data", source=row["source"], soc_pct=charge)
    )
    mass = find_root(lambda m: acid.mass_fraction_after_discharge(full, m, 1.0) - empty, 0.0125, 0.1)
    for line in table.select("check", source=row["source"]):
        left = acid.mass_fraction_after_discharge(full, mass, 1.0 - float(line["soc_pct"]) / 100.0)
        ours = float(acid.specific_gravity(left))
        yield within(row, f"{line['soc_pct']} %", float(line["sg_low"]), ours)


def _handbook_freezing(row: Row, low: float, high: float) -> Iterable[Point]:
    for line in load("electrolyte_freezing_handbook").select("check"):
        if low <= float(line["sg_15_15"]) <= high:
            ours = _freezing_c(mass_fraction_from_gravity(float(line["sg_15_15"]), 15.0 + KELVIN))
            yield within(row, f"SG {line['sg_15_15']}", float(line["freezing_c"]), ours)


@check("E05")
def handbook_freezing(row: Row) -> Iterable[Point]:
    """Freezing of ordinary acid, handbook."""
    return _handbook_freezing(row, 1.05, 1.20)


@check("E06")
def handbook_freezing_strong(row: Row) -> Iterable[Point]:
    """Freezing near the eutectic, handbook."""
    return _handbook_freezing(row, 1.25, 1.25)


def _manual_freezing(row: Row, low: float, high: float) -> Iterable[Point]:
    for line in load("electrolyte_freezing_tm_5_1185").select("check"):
        if low <= float(line["sg_80f"]) <= high:
            ours = _freezing_c(mass_fraction_from_gravity(float(line["sg_80f"]), FAHRENHEIT_80))
            yield within(row, f"SG {line['sg_80f']}", _fahrenheit(line["freezing_f"]), ours)


@check("E07")
def manual_freezing(row: Row) -> Iterable[Point]:
    """Freezing of ordinary acid, army manual."""
    return _manual_freezing(row, 1.10, 1.25)


@check("E08")
def manual_freezing_full(row: Row) -> Iterable[Point]:
    """Freezing of a full battery, army manual."""
    return _manual_freezing(row, 1.28, 1.28)


@check("E09")
def freezing_by_mass(row: Row) -> Iterable[Point]:
    """Freezing of acid by mass."""
    for line in load("electrolyte_freezing_by_mass").select("check"):
        percent = float(line["wt_pct"])
        yield within(row, f"{percent:g} %", float(line["freezing_c"]), _freezing_c(percent / 100.0))


@check("E11")
def activity_of_water(row: Row) -> Iterable[Point]:
    """Water activity against a second model."""
    for line in load("electrolyte_water_activity").select("check"):
        m = float(line["molality"])
        for celsius in ("0", "25", "50"):
            ours = acid.water_activity(m, float(celsius) + KELVIN)
            yield within(
                row, f"{m:g} mol/kg, {celsius} degC", float(line[f"aw_pitzer_{celsius}"]), float(ours)
            )


@check("E12")
def optimistic_table_refused(row: Row) -> Iterable[Point]:
    """SG 1.225 freezes well above what a trade table promises, by the ice line and by thermodynamics."""
    w = acid.mass_fraction_from_specific_gravity(1.225)
    yield inside(row, "polynomial", _freezing_c(float(w)))
    ours = acid.thermodynamic_freezing_temperature(acid.molality(w))
    yield inside(row, "thermodynamic", float(ours) - KELVIN)


def _classical(highest: float) -> Iterable[Row]:
    return (
        line
        for line in load("electrolyte_conductivity_kohlrausch").select("check")
        if float(line["wt_pct"]) <= highest
    )


@check("E13")
def classical_conductivity(row: Row) -> Iterable[Point]:
    """Conductivity at 18 degC, S/cm."""
    for line in _classical(40.0):
        ours = float(acid.conductivity(float(line["wt_pct"]) / 100.0, 18.0 + KELVIN)) / 100.0
        yield within(row, f"{line['wt_pct']} %", float(line["kappa_18_s_cm"]), ours)


@check("E14")
def classical_slope(row: Row) -> Iterable[Point]:
    """Mean slope of the conductivity from 18 to 26 degC over its value at 18 degC."""
    for line in _classical(30.0):
        cold, warm = acid.conductivity(float(line["wt_pct"]) / 100.0, np.array([18.0, 26.0]) + KELVIN)
        yield within(row, f"{line['wt_pct']} %", float(line["alpha_per_k"]), float((warm / cold - 1.0) / 8.0))


@check("E15")
def dilute_conductivity(row: Row) -> Iterable[Point]:
    """Conductivity of dilute acid, mS/cm; each strength has its own tolerance."""
    for line in load("electrolyte_conductivity_dilute").select("check"):
        ours = 10.0 * acid.conductivity(float(line["wt_pct"]) / 100.0, 20.0 + KELVIN)
        own = {**row, "tolerance": line["tolerance_pct"], "tolerance_unit": "%"}
        yield within(own, f"{line['wt_pct']} %", float(line["kappa_20_ms_cm"]), float(ours))


@check("E16")
def strongest_conductor(row: Row) -> Iterable[Point]:
    """Strength at which acid of 18 degC conducts best, percent by mass."""
    percent = np.linspace(20.0, 40.0, 401)
    best = percent[np.argmax(acid.conductivity(percent / 100.0, 18.0 + KELVIN))]
    yield within(row, row["conditions"], float(row["low"]), float(best))


@check("E17")
def resistivity_in_the_cold(row: Row) -> Iterable[Point]:
    """Resistivity at -40 over 30 degC."""
    warm, cold = acid.conductivity(
        acid.mass_fraction_from_specific_gravity(1.25), np.array([30.0, -40.0]) + KELVIN
    )
    yield within(row, row["conditions"], float(row["low"]), float(warm / cold))


@check("E19")
def viscosity_joins(row: Row) -> Iterable[Point]:
    """Cold fits against the warm relation where both hold, mPa s."""
    for line in load("electrolyte_viscosity_points").select("check"):
        celsius = float(line["t_c"])
        if 0.0 <= celsius <= 20.0:
            state = float(line["wt_pct"]) / 100.0, celsius + KELVIN
            warm, cold = (1e3 * float(f(*state)) for f in (acid.viscosity_warm, acid.viscosity_cold))
            yield within(row, f"{line['wt_pct']} %, {celsius:g} degC", warm, cold)


@check("E20")
def viscosity_warm(row: Row) -> Iterable[Point]:
    """Viscosity at 25 degC against a quadratic, mPa s."""
    for c in VISCOUS_MOLARITIES:
        ours = acid.viscosity(mass_fraction_from_molarity(c), WARM)
        yield within(row, f"{c / 1000:g} mol/l", 1e3 * viscosity_quadratic(c), 1e3 * float(ours))


@check("E21")
def diffusivities(row: Row) -> Iterable[Point]:
    """Diffusivity against the linear relation, 1e-9 m2/s."""
    for line in load("electrolyte_diffusion_points").select("check", in_measured_range="yes"):
        c, celsius = 1000.0 * float(line["c_mol_l"]), float(line["t_c"])
        if 1000.0 * DIFFUSING_FROM <= c <= 5000.0:
            theirs, ours = (
                diffusivity_linear(c, celsius + KELVIN),
                float(acid.diffusivity(c, celsius + KELVIN)),
            )
            yield within(row, f"{c / 1000:g} mol/l, {celsius:g} degC", 1e9 * theirs, 1e9 * ours)


@check("E22")
def trade_rest_voltages(row: Row) -> Iterable[Point]:
    """Rest voltage of six cells."""
    for line in load("electrolyte_ocv_soc_trade").select("check", source=row["source"]):
        w = acid.mass_fraction_from_specific_gravity(float(line["sg"]))
        ours = 6.0 * float(acid.open_circuit_voltage_warm_cell(w))
        yield within(row, f"SG {line['sg']}", float(line["rest_v"]), ours)


@check("E23")
def half_cells_sum(row: Row) -> Iterable[Point]:
    """Positive less negative plate less the cell, mV."""
    for m in np.linspace(0.5, 7.0, 14):
        w = acid.mass_fraction_from_molality(m)
        positive, negative = acid.half_cell_voltages(w)
        ours = 1e3 * float(positive - negative - acid.open_circuit_voltage_warm_cell(w))
        yield within(row, f"{m:g} mol/kg", float(row["low"]), ours)


@check("E24")
def voltage_differences(row: Row) -> Iterable[Point]:
    """Differences of the rest voltage against thermodynamics, mV."""
    m = np.append(MOLALITIES, 4.0)
    theirs = 1e3 * acid.thermodynamic_voltage_cell(m, WARM)
    ours = 1e3 * acid.open_circuit_voltage_warm_cell(acid.mass_fraction_from_molality(m))
    for one, printed, value in zip(MOLALITIES, theirs - theirs[-1], ours - ours[-1], strict=False):
        yield within(row, f"{one:g} mol/kg", float(printed), float(value))


@check("E25")
def handbook_cell(row: Row) -> Iterable[Point]:
    """One handbook cell."""
    yield within(
        row, row["conditions"], float(row["low"]), float(acid.open_circuit_voltage_cell(0.21, 288.15))
    )


def _slopes(row: Row, column: str) -> Iterable[Point]:
    for line in load("electrolyte_ocv_slope_models").select("check"):
        if GRAVITIES[0] <= float(line["sg_25"]) <= GRAVITIES[-1]:
            w = acid.mass_fraction_from_specific_gravity(float(line["sg_25"]))
            ours = 1e3 * float(acid.open_circuit_slope_cell(w))
            yield within(row, f"SG {line['sg_25']}", float(line[column]), ours)


@check("E26")
def slope_of_one_model(row: Row) -> Iterable[Point]:
    """Handbook slope against the ion interaction model, mV/K."""
    return _slopes(row, "pitzer_25")


@check("E27")
def slope_of_another_model(row: Row) -> Iterable[Point]:
    """Handbook slope against the free-energy model, mV/K."""
    return _slopes(row, "zeleznik_25")


@check("E28")
def falls_in_the_cold(row: Row) -> Iterable[Point]:
    """Smallest fall of six cells between two temperatures on the way from 25 to -40 degC, mV."""
    strictly = float(np.nextafter(float(row["low"]), 1.0))
    for gravity in GRAVITIES:
        w = acid.mass_fraction_from_specific_gravity(gravity)
        for name, volts in (
            ("handbook slope", acid.open_circuit_voltage_cell(w, COLDER)),
            ("thermodynamic", acid.thermodynamic_voltage_cell(acid.molality(w), COLDER)),
        ):
            ours = float(np.min(-np.diff(6e3 * volts)))
            yield Point(f"SG {gravity:.2f}, {name}", "falls", ours, strictly, float("inf"))


@check("E30")
def cold_capacity_rules(row: Row) -> Iterable[Point]:
    """The rule for slow rates against the photovoltaic model, both formulas as printed."""
    printed = capacity_share(1.0, -25.0) / capacity_share(1.0, 0.0)
    yield within(row, row["conditions"], printed, 1.0 - 25.0 * SLOW_CAPACITY_RULE)
