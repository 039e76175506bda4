"""Our side of the published checks of standing idle."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.inputs import Vehicle as Told
from sizing.physics.battery import battery_from_capacity, battery_type, type_names
from sizing.physics.delivery import KELVIN
from sizing.physics.electrolyte import (
    density,
    freezing_temperature,
    mass_fraction_after_discharge,
    mass_fraction_from_specific_gravity,
    open_circuit_voltage_cell,
)
from sizing.physics.pores import Battery
from sizing.physics.standing import (
    MONTH,
    KeyOffDraw,
    asleep_current,
    charge_after,
    self_discharge_of_type,
    self_discharge_rate,
)
from sizing.physics.standing_rule import days_of_draw, rule_charge_ah, rule_limit
from sizing.simulate.cold_start import needed_size, start_demand
from sizing.simulate.setup import vehicle_of
from sizing.simulate.standing import HOUR, full_charge
from sizing.simulate.standing_start import STEP, acid_of_charge, no_start_charge, start_grid
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside, within
from sizing.validation.warm import medians

Array = NDArray[np.float64]

TYPE = "flooded calcium"
WARM = 25.0 + KELVIN
COLD = -18.0 + KELVIN
CRANKED = 5.0  # s of a usual start
RULE_DAYS = 40.0
TRADE_ACID = (1.265, 1.120)  # full and empty, of the trade's own table of gravity (tm_5_4210_230)
WARRANTY, END_OF_LIFE = 0.50, 0.40  # buchmann_2004 and buchmann_bu_905a, ageing_state_with_age.csv


def _month(kind: str, celsius: float) -> float:
    """Return what a full battery of a type loses in its first month [percent]."""
    rate = self_discharge_rate(celsius + KELVIN, self_discharge_of_type(kind)[0])
    return float(100.0 * charge_after(1.0, MONTH, rate, 0.0, 1.0)[1])


@check("Z02")
def _calcium(row: Row) -> Iterable[Point]:
    for celsius in (10.0, 20.0):
        yield inside(row, f"flooded calcium, {celsius:g} °C", _month(TYPE, celsius))


@check("Z03")
def _sealed(row: Row) -> Iterable[Point]:
    for celsius in (20.0, 25.0):
        yield inside(row, f"AGM, {celsius:g} °C", _month("AGM", celsius))


@check("Z04")
def _any_type(row: Row) -> Iterable[Point]:
    for kind in type_names():
        yield inside(row, f"{kind}, 25 °C", _month(kind, 25.0))


@check("Z05")
def _per_ten_kelvin(row: Row) -> Iterable[Point]:
    for kind in type_names():
        for celsius in (0.0, 10.0, 20.0, 30.0):
            ratio = _month(kind, celsius + 10.0) / _month(kind, celsius)
            yield within(row, f"{kind}, {celsius:g} to {celsius + 10.0:g} °C", 2.0, ratio)


@check("Z06")
def _forty_days(row: Row) -> Iterable[Point]:
    for minutes in (25.0, 90.0, 100.0, 130.0, 160.0, 240.0):
        days = days_of_draw(rule_charge_ah(minutes), rule_limit(minutes))
        yield within(row, f"{minutes:g} min", RULE_DAYS, float(days))


@check("Z07")
def _days_by_reserve(row: Row) -> Iterable[Point]:
    for printed in load("ageing_standing_days").select("data"):
        charge = rule_charge_ah(float(printed["rc_min"]))
        for milliamperes in (25, 35, 75, 100):
            days = float(days_of_draw(charge, milliamperes * 1e-3))
            where = f"{printed['rc_min']} min, {milliamperes} mA"
            yield within(row, where, float(printed[f"at_{milliamperes}_ma"]), days)


@check("Z08")
def _days_of_charge(row: Row) -> Iterable[Point]:
    for printed in load("practice_days_of_standing").select("check"):
        for charge in (20, 24, 30):
            days = float(days_of_draw(float(charge), float(printed["current_ma"]) * 1e-3))
            where = f"{charge} Ah, {printed['current_ma']} mA"
            # 5e-3 is half the last digit: what is printed as .335 may have been rounded either way
            yield within(row, where, float(printed[f"days_{charge}_ah"]), days)


@check("Z09")
def _telematics(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_key_off_draw").select("check", id="telematics_2001")
    for column, minutes in (("low_ma", 10.0), ("high_ma", 9.0)):
        pulse = float(printed[column])
        mean = asleep_current(KeyOffDraw(0.0, pulse * 1e-3, 45.0, minutes * 60.0))
        yield inside(row, f"{pulse:g} mA every {minutes:g} min", float(mean) * 1e3)


@check("Z10")
def _fuses(row: Row) -> Iterable[Point]:
    for printed in load("practice_fuse_drop").select("check"):
        ours = 1e3 * float(printed["millivolt"]) / float(printed["current_ma"])
        where = f"{printed['fuse']}, {printed['millivolt']} mV"
        yield within(row, where, float(printed["resistance_mohm"]), ours)


@check("Z11")
def _same_voltage(row: Row) -> Iterable[Point]:
    trade = load("electrolyte_ocv_soc_trade").select("check")
    agm = load("practice_rest_voltage").select("check", type="AGM")
    tables = (("trade table", trade, "rest_v", 69.0), ("AGM table", agm, "v_low", 58.0))
    for name, rows, column, printed in tables:
        charge, volts = numbers(rows, "soc_pct"), numbers(rows, column)
        order = np.argsort(volts)
        yield within(row, name, printed, float(np.interp(12.40, volts[order], charge[order])))


def _rest_voltage(charge: float, kind: str) -> float:
    battery = Battery(battery_type(kind).shape, 4e-3, 3e5)
    return float(6.0 * open_circuit_voltage_cell(acid_of_charge(charge, battery), WARM))


def _printed_voltages(row: Row, source: str, ours: dict[str, float]) -> Iterable[Point]:
    for printed in load("practice_rest_voltage").select("check", source=source):
        low, high = float(printed["v_low"]), float(printed["v_high"] or printed["v_low"])
        yield inside(row, f"{printed['soc_pct']} %", ours[printed["soc_pct"]], low, high)


@check("Z12")
def _strong_acid(row: Row) -> Iterable[Point]:
    ours = {f"{charge}": _rest_voltage(charge / 100.0, TYPE) for charge in (100, 75)}
    return _printed_voltages(row, "maker_lexicon", ours)


@check("Z13")
def _trade_acid(row: Row) -> Iterable[Point]:
    full, empty = (float(mass_fraction_from_specific_gravity(sg)) for sg in TRADE_ACID)
    ours = {}
    for charge in (100, 75, 50, 25):
        # straight in charge between the two strengths, as the trade's table is within 0.002 of gravity
        acid = empty + (full - empty) * charge / 100.0
        ours[f"{charge}"] = float(6.0 * open_circuit_voltage_cell(acid, WARM))
    return _printed_voltages(row, "meter_forum_post", ours)


@check("Z14")
def _agm(row: Row) -> Iterable[Point]:
    ours = {f"{charge}": _rest_voltage(charge / 100.0, "AGM") for charge in (100, 75, 50, 25)}
    return _printed_voltages(row, "powersports_owner_manual", ours)


def _flat_freezing(millilitres: Array | float, gravity: float = 1.280) -> Array:
    """Return where an empty battery freezes by its acid per Ah and the gravity of its full acid [°C]."""
    full = mass_fraction_from_specific_gravity(gravity)
    mass = np.asarray(millilitres) * 1e-6 * density(full, WARM)
    return freezing_temperature(mass_fraction_after_discharge(full, mass, 1.0)) - KELVIN


@check("Z15")
def _flat(row: Row) -> Iterable[Point]:
    for printed in load("electrolyte_acid_balance").select("check"):
        millilitres, gravity = float(printed["acid_ml_ah"]), float(printed["sg_full"])
        if (printed["acid_ml_ah"], gravity) in (("10.00", 1.280), ("11.67", 1.280), ("13.33", 1.270)):
            ours = float(_flat_freezing(millilitres, gravity))
            yield inside(row, f"{millilitres:g} ml/Ah, {gravity:.3f} full", ours)


@check("Z16")
def _flat_acid(row: Row) -> Iterable[Point]:
    (printed,) = load("practice_standing_rules").select("check", rule="discharged battery can freeze at")
    volumes = np.linspace(8.0, 16.0, 801)
    freezing = _flat_freezing(volumes)
    yield inside(row, "", float(np.interp(-float(printed["value"]), -freezing, volumes)))


@check("Z17")
def _refused(row: Row) -> Iterable[Point]:
    (printed,) = load("electrolyte_freezing_refused").select("background", sg="1.155")
    claimed = float(printed["freezing_c"])
    ours = float(freezing_temperature(mass_fraction_from_specific_gravity(1.155)) - KELVIN)
    least = claimed + float(row["tolerance"])
    yield Point(f"printed {claimed:g}", f"warmer than {least:g}", ours, least, 0.0)


@cache
def standing_by_rule(identity: str, worn: str) -> float:
    """Return the days at 25 °C with reserve/4 mA of a battery that is just sufficient at -18 °C.

    ``identity`` is a row of ``cranking_fitted_batteries.csv``, ``worn`` is new, warranty or end of life. The
    engine is the median one of its size; of the battery so much is taken, alike in parallel, that a full one
    just starts it at -18 °C.
    """
    (row,) = load("cranking_fitted_batteries").select("check", id=identity)
    litres = 0.5 * (float(row["litres_low"]) + float(row["litres_high"]))
    told = {"displacement": f"{litres} l", "cylinders": int(row["cylinders"]), "fuel": row["fuel"]}
    vehicle = vehicle_of(Told.model_validate(told), medians())
    kind = battery_type(TYPE)
    capacity, reserve = float(row["capacity_low"]), float(row["reserve_min"])
    new = battery_from_capacity(kind.shape, float(row["cca_low"]), "sae_j537_cca", capacity)
    battery = new.aged(*wear(worn))
    demand = start_demand(np.full((1, 1), COLD), vehicle)
    size = needed_size(demand, COLD, battery, charge=1.0, time=CRANKED).size.item()
    enough = battery.scaled(size)
    grid = start_grid(vehicle, enough, WARM, WARM + STEP, limit=COLD, time=CRANKED)
    left = max(no_start_charge(grid)[0].item(), 0.0)
    given = (1.0 - left) * float(full_charge(enough)) / HOUR
    return float(days_of_draw(given, rule_limit(reserve * size)))


def wear(worn: str) -> tuple[float, float]:
    """Return what has been added to the resistance and is left of the capacity in a state of wear.

    >>> wear("new")
    (0.0, 1.0)
    """
    table = load("ageing_by_years")
    growth, left = table.column("growth_middle"), table.column("left_middle")
    if worn == "new":
        return 0.0, 1.0
    if worn == "warranty":
        return WARRANTY, float(np.interp(WARRANTY, growth, left))
    return float(np.interp(-END_OF_LIFE, -left, growth)), END_OF_LIFE


CARS = ("k16", "u18", "e20", "e27")  # flooded, with reserve, capacity and SAE amperes in print


def _by_rule(row: Row, worn: str) -> Iterable[Point]:
    for identity in CARS:
        yield within(row, identity, RULE_DAYS, standing_by_rule(identity, worn))


@check("Z18")
def _rule_at_replacement(row: Row) -> Iterable[Point]:
    return _by_rule(row, "warranty")


@check("Z19")
def _rule_at_end_of_life(row: Row) -> Iterable[Point]:
    return _by_rule(row, "end of life")
