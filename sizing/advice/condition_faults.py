"""Where a fault sits: what each reading alone says against its limit, causes before what they lead to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import nan

import numpy as np

from sizing.advice.condition_answer import ABOUT, Chances, Finding
from sizing.advice.recommend import Estimate
from sizing.inputs import Readings, Scenario
from sizing.physics.charging import charging_window
from sizing.physics.charging_system import (
    Ripple,
    drop_limit,
    is_battery_excused,
    is_drop_faulty,
    managed_window,
    ripple_class,
    side_of_window,
    workshop_limit,
)
from sizing.physics.load_test import least_load_voltage, load_test_margin

# From how much asleep one looks for a fault: 0.06 to 0.1 A (common practice); makers' limits differ
DOUBTFUL_DRAW, FAULTY_DRAW = 0.06, 0.10
USUAL_DRAW = 0.05  # A: trade's consensus an hour after locking (common practice)
LACKING = 0.75  # charge below which wear and lack of charge cannot be told apart: trade asks for 12.4 V
NEARLY_FULL = 0.9  # charge that a lacking one must be told apart from
FLAT = 0.40  # charge below which it is said to be flat, our judgement
LITTLE_CAPACITY = 0.5  # share left from which the ampere-hours are what is worn, our judgement
EITHER_WAY = (263.15, 303.15)  # K, of a regulator whose temperature nobody told
COLDEST_REGULATOR = 253.15  # K, from where the printed window is not known
HOUR = 3600.0
LIKELY, PERHAPS = (
    0.5,
    0.2,
)  # chance from which a fault that no reading shows by itself is said to be so, or may
Window = tuple[float, float, float]


@dataclass(frozen=True)
class Weighed:
    """What the readings together leave, as far as a fault hangs on it; shares and chances [-].

    faults : chance of each fault that the model knows, by its name [-]
    failing : chance that the battery itself fails the winter, worn or with a weak cell [-]
    capacity_ah : that are left [A h]
    freezing : of its acid as charged [K]
    limit, reason : engine temperature below which no battery helps, and why [K]
    night : air tonight, and whether somebody told it [K]
    """

    charge: Estimate
    capacity: Estimate
    strength: Estimate
    growth: Estimate
    chances: Chances
    faults: Mapping[str, float]
    failing: float
    capacity_ah: float
    freezing: float
    limit: float
    reason: str
    night: float
    night_told: bool


def window_of(scenario: Scenario, told: Readings) -> Window:
    """Return the charging voltages of a sound vehicle when it was read, and the temperature they are for.

    The temperature is NaN where nobody told one; the window is then as wide as -10 to 30 °C make it.
    """
    window = managed_window if scenario.vehicle.sensor_managed else charging_window
    known = told.battery_temperature if told.battery_temperature is not None else told.air_temperature
    ends = EITHER_WAY if known is None else (max(known, COLDEST_REGULATOR),) * 2
    low, high = window(np.array(ends))
    return float(low.min()), float(high.max()), nan if known is None else ends[0]


def _cells(told: Readings, w: Weighed) -> Iterator[Finding]:
    cells = told.specific_gravity
    limit = workshop_limit("gravity_between_cells")
    if cells is not None and max(cells) - min(cells) > limit:
        numbers = {
            "cell_number": float(cells.index(min(cells)) + 1),
            "spread_gravity": max(cells) - min(cells),
            "limit_gravity": limit,
        }
        yield Finding("cell", "cell.spread", numbers)
    elif w.faults["weak cell"] > PERHAPS:
        chance = w.faults["weak cell"]
        yield Finding("cell", "cell.likely", {"chance_share": chance}, sure=chance > LIKELY)


def _cables(told: Readings, w: Weighed) -> Iterator[Finding]:
    # a drop that was read tells more of the cables than what the other readings make likely
    read, posts = told.drop_positive is not None or told.drop_ground is not None, told.lowest_cranking_voltage
    if posts is not None and told.rotation in ("slow", "none") and bool(is_battery_excused(posts)):
        read = True
        yield Finding("cable", "cable.rotation", {"lowest_volts": posts})
    for key, path, drop in (
        ("positive", "positive_cable", told.drop_positive),
        ("ground", "engine_ground", told.drop_ground),
    ):
        if drop is not None and bool(is_drop_faulty(drop, path)):
            yield Finding("cable", f"cable.{key}", {"drop_volts": drop, "limit_volts": drop_limit(path)})
    chance = w.faults["cable"] + w.faults["control circuit"]
    if not read and chance > PERHAPS:
        yield Finding("cable", "cable.likely", {"chance_share": min(chance, 1.0)}, sure=chance > LIKELY)


def _alternator(told: Readings, window: Window) -> Iterator[Finding]:
    low, high, warm = window
    for loads, volts in (
        (0.0, told.charging_voltage_loads_off),
        (1.0, told.charging_voltage_loads_on),
    ):
        if volts is None:
            continue
        side = float(side_of_window(volts, (np.array(low), np.array(high))))
        numbers = {"volts": volts, "loads_onoff": loads, "battery_regulator": warm}
        if side < 0.0:
            yield Finding("alternator", "alternator.low", {**numbers, "low_volts": low})
        elif side > 0.0:
            yield Finding("alternator", "alternator.high", {**numbers, "high_volts": high})
    if told.ripple is None:
        return
    kind, numbers = int(ripple_class(told.ripple)), {"ripple_volts": told.ripple}
    if kind == Ripple.FAULTY:
        limit = {"limit_volts": workshop_limit("ripple_faulty_from")}
        yield Finding("alternator", "alternator.ripple", {**numbers, **limit})
    elif kind == Ripple.DOUBTFUL:
        yield Finding("alternator", "alternator.ripple_doubtful", numbers, sure=False)


def _load(told: Readings, w: Weighed) -> Iterator[Finding]:
    current = told.key_off_current
    if current is None or current < DOUBTFUL_DRAW:
        return
    days = w.capacity_ah * HOUR / current
    numbers = {"current_milliamperes": current, "empty_days": days, "limit_milliamperes": USUAL_DRAW}
    sure = current >= FAULTY_DRAW
    yield Finding("load", "load.high" if sure else "load.doubtful", numbers, sure=sure)


def _engine(told: Readings, w: Weighed) -> Iterator[Finding]:
    if w.reason and w.night < w.limit:
        yield Finding("engine", f"engine.{w.reason}", {"night_temperature": w.night})
    elif w.night_told and w.chances.tonight_new < LIKELY and told.rotation != "normal":
        numbers = {"night_temperature": w.night, "new_share": w.chances.tonight_new}
        yield Finding("engine", "engine.cold", numbers)


def _load_test(told: Readings, w: Weighed) -> Iterator[Finding]:
    volts, warm = told.load_test_voltage, told.battery_temperature
    if volts is None or warm is None or not float(load_test_margin(warm, volts)) < 0.0:
        return
    limit = float(least_load_voltage(warm))
    numbers = {"load_volts": volts, "limit_volts": limit, "battery_temperature": warm}
    # a battery that is not full falls below the limit without being worn
    yield Finding("battery", "battery.load", numbers, sure=w.charge.value >= LACKING)


def _battery(w: Weighed) -> Iterator[Finding]:
    worn = w.faults["worn"]
    if w.failing > PERHAPS:
        share = {"strength_share": w.strength.value, "resistance_share": 1.0 + w.growth.value}
        sure = worn > LIKELY
        yield Finding("battery", "battery.worn" if sure else "battery.worn_perhaps", share, sure=sure)
    if w.capacity.value < LITTLE_CAPACITY:
        yield Finding("battery", "battery.capacity", {"capacity_share": w.capacity.value}, sure=worn > LIKELY)


def _charge(w: Weighed) -> Iterator[Finding]:
    if w.charge.value >= LACKING:
        return
    key = "charge.low" if w.charge.value > FLAT else "charge.flat"
    numbers = {"charge_share": w.charge.value, "ice_temperature": w.freezing}
    yield Finding("charge", key, numbers, sure=w.charge.high < NEARLY_FULL)


def findings(scenario: Scenario, told: Readings, w: Weighed) -> tuple[Finding, ...]:
    """Return all that points to a fault, causes before what they lead to."""
    found = [
        *_cells(told, w),
        *_cables(told, w),
        *_alternator(told, window_of(scenario, told)),
        *_load(told, w),
        *_engine(told, w),
        *_load_test(told, w),
        *_battery(w),
        *_charge(w),
    ]
    if any(finding.key == "cable.rotation" for finding in found):
        # hardly any current left the battery: what only may be wear is none of this
        found = [finding for finding in found if finding.sure or finding.about != "battery"]
    return tuple(sorted(found, key=lambda finding: ABOUT.index(finding.about)))


def looked_at(told: Readings) -> set[str]:
    """Return what some reading looked at, of ABOUT."""
    looks = {
        "cell": (told.specific_gravity,),
        "cable": (told.drop_positive, told.drop_ground),
        "alternator": (told.charging_voltage_loads_off, told.charging_voltage_loads_on, told.ripple),
        "load": (told.key_off_current,),
        "battery": (
            told.resistance,
            told.measured_cold_cranking,
            told.lowest_cranking_voltage,
            told.load_test_voltage,
        ),
        "charge": (told.rest_voltage, told.specific_gravity),
    }
    return {about for about, values in looks.items() if any(value is not None for value in values)}


def in_order(told: Readings, found: tuple[Finding, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what was looked at and shows nothing, and what was not looked at; cells count as battery."""
    pointed, seen = {finding.about for finding in found}, looked_at(told)
    fine = tuple(about for about in ABOUT if about in seen and about not in pointed)
    unseen = tuple(about for about in ABOUT if about not in seen | pointed | {"engine", "cell"})
    return fine, unseen
