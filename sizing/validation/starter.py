"""Our side of the published starter and cable checks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sizing.physics.starter import (
    Starter,
    acceptance,
    behind_cable,
    circuit_resistance,
    cold_supply,
    current_for_torque,
    default_circuit_resistance,
    default_power,
    default_starter,
    fault_resistance,
    motor_current,
    pinion_speed,
    pinion_torque,
    stall_current,
    stall_torque,
    starter_from_free_and_locked_run,
)
from sizing.physics.starter.copper import REFERENCE_TEMPERATURE
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside

LITRE = 1e-3
KILOWATT = 1e3
MILLI = 1e-3
KELVIN = 273.15
WARM_CURRENT = 160.0  # A, at which the sound and the faulty circuit are looked at
RATING_COLD = -20.0  # °C


@check("S01")
def load_points(row: Row) -> Iterator[Point]:
    """Yield the loaded run of each judged starter, held at its torque and then at its current."""
    for printed in load("cranking_starter_three_point").select("check"):
        limits = acceptance(printed)
        starter = starter_from_free_and_locked_run(limits)
        current = current_for_torque(limits.load_torque, starter)
        name = f"{printed['id']} at {printed['load_v']} V"
        volts, t = limits.load_voltage, REFERENCE_TEMPERATURE
        yield inside(row, f"{name}; A at the torque", float(current), np.nan, float(limits.load_current))
        for held, at in (("torque", current), ("current", limits.load_current)):
            speed = float(pinion_speed(at, volts, starter, t) / limits.load_speed)
            yield inside(row, f"{name}; speed over its floor at the {held}", speed, 1.0, np.nan)
        torque = float(pinion_torque(limits.load_current, starter))
        yield inside(row, f"{name}; N m at the current", torque, float(limits.load_torque), np.nan)


def _stall(row: Row, printed: Row, starter: Starter) -> Iterator[Point]:
    """Yield the stall torque at the printed voltage, and at the printed current where that is the smaller."""
    floor = float(printed["nm_min"])
    drawn = motor_current(float(printed["v"]), 0.0, starter, REFERENCE_TEMPERATURE)
    at_voltage = float(pinion_torque(drawn, starter))
    yield inside(row, f"{printed['engine']}; {printed['v']} V; {drawn:.0f} A", at_voltage, floor, np.nan)
    if drawn > float(printed["a_high"]):
        at_current = float(pinion_torque(float(printed["a_high"]), starter))
        yield inside(row, f"{printed['engine']}; {printed['a_high']} A", at_current, floor, np.nan)


@check("S02")
def stall_petrol(row: Row) -> Iterator[Point]:
    """Yield the stall torque of a weak V8 starter, as the trucks' own power is not printed."""
    (usual,) = load("cranking_starter_power_by_engine").select("data", fuel="petrol V8")
    starter = default_starter(float(usual["power_low"]) * KILOWATT)
    for printed in load("cranking_starter_points").select("check", test="stall"):
        if printed["source"] in row["source"]:
            yield from _stall(row, printed, starter)


@check("S03")
def stall_diesel(row: Row) -> Iterator[Point]:
    """Yield the stall torque of the usual starter of a 7.3 L diesel."""
    low, high = default_power(7.3 * LITRE, 8, "diesel")
    (printed,) = load("cranking_starter_points").select(
        "check", test="stall", source="truck_manual_diesel_1996"
    )
    yield from _stall(row, printed, default_starter(float(np.sqrt(low * high))))


def _rating(item: str) -> float:
    (row,) = load("starter_rating").select("check", "data", item=item)
    return float(row["value"])


@check("S04")
def rating_example(row: Row) -> Iterator[Point]:
    """Yield the largest electrical power that becomes mechanical in the example of a rating."""
    starter = default_starter(_rating("example_power") * KILOWATT)
    supply = behind_cable(cold_supply(_rating("example_battery")), _rating("lead_resistance") * MILLI)
    t = _rating("example_temperature") + KELVIN
    current = np.linspace(0.0, 1.0, 1001) * stall_current(supply, starter, t)
    speed = pinion_speed(current[1:], supply(current[1:]), starter, t)
    torque = pinion_torque(current[1:], starter) + starter.idle_torque
    air_gap = speed * torque / np.asarray(starter.inner_efficiency)
    yield inside(row, "at -23 °C windings", float(np.max(air_gap)))


@check("S05")
def larger_battery(row: Row) -> Iterator[Point]:
    """Yield how much more the larger of two batteries does on the locked 0.8 kW starter."""
    starter = default_starter(_rating("smallest_power") * KILOWATT)
    t = RATING_COLD + KELVIN
    results = []
    for battery in ("smallest_largest_battery", "smallest_other_battery"):
        supply = behind_cable(cold_supply(_rating(battery)), _rating("lead_resistance") * MILLI)
        current = stall_current(supply, starter, t)
        results.append((current, supply(current), stall_torque(supply, starter, t)))
    for name, large, small in zip(("current", "voltage", "torque"), *results, strict=True):
        yield inside(row, f"stall {name}", float(large / small))


@check("S06")
def sound_circuit(row: Row) -> Iterator[Point]:
    """Yield the drop of the default circuit against the printed limits."""
    drop = default_circuit_resistance() * WARM_CURRENT
    limits = load("cranking_cable_limits").select("check")
    for item in ("positive cable and joints", "positive post to starter"):
        (high,) = numbers(tuple(limit for limit in limits if limit["item"] == item), "drop")
        yield inside(row, item, drop, 0.0, float(high))


@check("S07")
def faulty_circuit(row: Row) -> Iterator[Point]:
    """Yield how far a circuit at the printed limit is beyond where a fault begins."""
    (limit,) = load("cranking_cable_limits").select("check", item="whole circuit")
    resistance = circuit_resistance(float(limit["drop"]), WARM_CURRENT)
    yield inside(row, "whole circuit at its limit", float(resistance / fault_resistance()))


@check("S08")
def usual_power(row: Row) -> Iterator[Point]:
    """Yield the middle of the usual power against what is printed for three engines."""
    engines = {
        "1.6 L turbo I4 petrol 2013": ((1.6, 4, "petrol"),),
        "4.0 L I6 or 4.7 L V8 petrol": ((4.0, 6, "petrol"), (4.7, 8, "petrol")),
        "4.5 L I4 diesel": ((4.5, 4, "diesel"),),
    }
    for printed in load("cranking_starter_points").select("check"):
        if printed["engine"] not in engines or printed["test"] == "no load":
            continue
        for litres, cylinders, fuel in engines[printed["engine"]]:
            low, high = default_power(litres * LITRE, cylinders, fuel)
            power = float(np.sqrt(low * high)) / KILOWATT
            ends = float(printed["kw_low"]), float(printed["kw_high"])
            yield inside(row, f"{litres} L {fuel}; {cylinders} cylinders; kW", power, *ends)
