"""Our side of the published checks of practice: hydrometer, load test, drops, ripple."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sizing.physics.battery import battery_from_capacity, battery_type, type_names
from sizing.physics.charging_system import (
    alternator_line_limit,
    is_battery_excused,
    is_drop_faulty,
    ripple_class,
)
from sizing.physics.delivery import voltage_after
from sizing.physics.load_test import (
    TIME,
    load_current,
    load_current_of_capacity,
    load_test_margin,
    loaded_voltage_of_product,
)
from sizing.physics.meters import gravity_by_rule
from sizing.physics.pores import rested
from sizing.simulate.standing_start import recharge_charge
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within

KELVIN = 273.15
COLD_CRANKING = 600.0  # A (SAE) of the new batteries; capacity as usual for their type
PATHS = {
    "solenoid": "solenoid",
    "engine ground": "engine_ground",
    "battery terminals less starter terminals": "small_engine_circuit",
}
STEP = 0.01  # V below a limit
LINE = 30.0  # A at which the alternator's line is judged


@check("PR01")
def _hydrometer(row: Row) -> Iterable[Point]:
    ours = float(gravity_by_rule(1.250, (10.0 - 32.0) / 1.8 + KELVIN))
    yield within(row, "", float(row["low"]), ours)


@check("PR02")
def _weak_battery(row: Row) -> Iterable[Point]:
    volts = loaded_voltage_of_product(12.6, 6.6)
    ours = float(load_test_margin(20.0 + KELVIN, volts))
    yield Point(f"{float(volts):.2f} V", "below 0", ours, float("-inf"), float(np.nextafter(0.0, -1.0)))


@check("PR03")
def _minima(row: Row) -> Iterable[Point]:
    for name in type_names():
        kind = battery_type(name)
        capacity = COLD_CRANKING / kind.cold_cranking_per_ah
        battery = battery_from_capacity(kind.shape, COLD_CRANKING, "sae_j537_cca", capacity)
        charge = recharge_charge(battery, rest_voltage=12.4, gravity_drop=None)
        for printed in load("practice_load_test").select("check"):
            celsius, current = float(printed["t_c"]), float(load_current(COLD_CRANKING))
            ours = voltage_after(current, TIME, celsius + KELVIN, battery, state=rested(charge, battery))
            where = f"{name}, {celsius:g} °C, {100.0 * charge:.0f} % charged"
            yield inside(row, where, float(ours), float(printed["min_v"]), float("nan"))


@check("PR04")
def _by_amperes(row: Row) -> Iterable[Point]:
    for printed in load("practice_load_currents").select("check"):
        if printed["cca"] and printed["load"]:
            ours = float(load_current(float(printed["cca"])))
            yield within(row, f"{printed['case']}, {printed['cca']} A", float(printed["load"]), ours)


@check("PR05")
def _by_capacity(row: Row) -> Iterable[Point]:
    for printed in load("practice_load_currents").select("check"):
        if printed["c20"] and printed["load"]:
            ours = float(load_current_of_capacity(float(printed["c20"])))
            yield within(row, f"{printed['case']}, {printed['c20']} Ah", float(printed["load"]), ours)


@check("PR06")
def _slow_rotation(row: Row) -> Iterable[Point]:
    for volts in (12.5, 12.6):
        yield inside(row, f"{volts} V", float(is_battery_excused(volts)))


def _flagged(where: str, limit: float, below: bool, at: bool) -> Iterable[Point]:
    yield Point(f"{where}, {limit - STEP:g} V", "not flagged", float(below), 0.0, 0.0)
    yield Point(f"{where}, {limit:g} V", "flagged", float(at), 1.0, 1.0)


@check("PR07")
def _drops(row: Row) -> Iterable[Point]:
    for printed in load("practice_voltage_drop").select("check"):
        limit = float(printed["limit_v"])
        where = f"{printed['path']} ({printed['source']})"
        if printed["path"] in PATHS:
            below, at = is_drop_faulty(np.array([limit - STEP, limit]), PATHS[printed["path"]])
            yield from _flagged(where, limit, bool(below), bool(at))
        elif printed["path"] == "alternator output line":
            line = float(alternator_line_limit(LINE))
            yield from _flagged(where, limit, limit - STEP >= line, limit >= line)


@check("PR08")
def _ripple(row: Row) -> Iterable[Point]:
    limits = [float(printed["limit_v"]) for printed in load("practice_ripple").select("check")]
    fine, faulty = min(limits), max(limits)
    for volts, named, expected in (
        (fine, "fine", 0.0),
        (0.2, "doubtful", 1.0),
        (faulty, "faulty", 2.0),
        (0.5, "faulty", 2.0),
    ):
        yield Point(f"{volts:g} V", named, float(ripple_class(volts)), expected, expected)
