"""Our side of the published checks of charging."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sizing.physics.charging import HOUR, Acceptance, charge_step, charging_window, regulator_voltage
from sizing.physics.standing import DAY, KeyOffDraw, drawn_charge
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside, within

KELVIN = 273.15
ROOM = 20.0 + KELVIN
HEALTHY, SICK = (14.2, 14.5), (12.8, 15.3)  # V at 20 °C
HALF_EMPTY = Acceptance(100.0, 0.395, 0.72, 0.30)  # a battery that takes all of 20 A
NET, IDLE = 20.0, 0.5 * HOUR  # A and s
MOTORHOME_DRAW = 0.030  # A


@check("E31")
def _slope(row: Row) -> Iterable[Point]:
    printed = load("electrolyte_charging_voltage").select("check", version="hot market")
    kelvin = numbers(printed, "t_c") + KELVIN
    for name, position in (("low", 0.0), ("middle", 0.5), ("high", 1.0)):
        volts = regulator_voltage(kelvin, position)
        ours = 1e3 * float(volts[-1] - volts[0]) / float(kelvin[-1] - kelvin[0])
        yield inside(row, f"{name} limit", ours)


@check("Q01")
def _window(row: Row) -> Iterable[Point]:
    low, high = (float(end) for end in charging_window(ROOM))
    for volts in HEALTHY:
        yield Point(f"{volts} V", "healthy", (volts - low) / (high - low), 0.0, 1.0)
    below, above = ((volts - low) / (high - low) for volts in SICK)
    yield Point(f"{SICK[0]} V", "too low", below, float("-inf"), 0.0)
    yield Point(f"{SICK[1]} V", "too high", above, 1.0, float("inf"))


def _printed_window(source: str) -> tuple[float, float]:
    (printed,) = load("practice_charging_limits").select("check", source=source)
    return float(printed["low_v"]), float(printed["high_v"])


@check("Q02")
def _whole_vehicle(row: Row) -> Iterable[Point]:
    low, high = _printed_window(row["source"])
    for celsius in (-20.0, 20.0, 80.0):
        ours = float(regulator_voltage(celsius + KELVIN))
        yield inside(row, f"{celsius:g} °C", ours, low, high)


@check("Q03")
def _premium(row: Row) -> Iterable[Point]:
    low, high = _printed_window(row["source"])
    yield inside(row, "20 °C", float(regulator_voltage(ROOM)), low, high)


@check("Q04")
def _half_an_hour(row: Row) -> Iterable[Point]:
    done = charge_step(0.5, IDLE, 25.0 + KELVIN, 14.4, NET, HALF_EMPTY)
    yield within(row, row["conditions"], NET * IDLE / HOUR, float(done.stored + done.gassed))


@check("Q05")
def _motorhome(row: Row) -> Iterable[Point]:
    rules = load("practice_standing_rules").select("background", source=row["source"])
    weeks = np.array([float(rule["value"]) for rule in rules if rule["unit"] == "weeks"])
    for number in weeks:
        drawn = drawn_charge(7.0 * DAY * number, KeyOffDraw(MOTORHOME_DRAW)) / HOUR
        yield inside(row, f"{number:g} weeks", float(drawn))
