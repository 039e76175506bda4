"""Our side of the checks of a battery in hand, and its study of calibration for the page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import numpy as np

from sizing.inputs import Battery as Label
from sizing.physics.delivery import KELVIN
from sizing.simulate.condition import Posterior, Readings, Subject, condition_of, posterior
from sizing.simulate.condition.example import example_subject
from sizing.simulate.condition.study import Study, simulated_study
from sizing.tables import Row
from sizing.validation import Point, check, inside

DAY = 86400.0
WARM, MILD = 25.0 + KELVIN, 20.0 + KELVIN
FREEZING = KELVIN  # air of the slow morning
TRADE_ACID = 1.265
STUDIED, STUDIED_SET = 5000, 2000
OWNERS_SET = ("rest_voltage", "resistance", "lowest_cranking_voltage")


def _label(amperes: float, capacity_ah: float) -> Label:
    told = {"type": "flooded calcium", "cold_cranking": f"{amperes} A", "standard": "EN"}
    return Label.model_validate({**told, "capacity": f"{capacity_ah} Ah"})


def _battery(amperes: float, capacity_ah: float, years: float) -> Subject:
    return replace(example_subject(years), label=_label(amperes, capacity_ah))


@check("CO01")
def _three_quarters(row: Row) -> Iterable[Point]:
    subject = replace(example_subject(), full_gravity=TRADE_ACID)
    found = posterior(subject, Readings(rest_voltage=12.45, rested=DAY, battery_temperature=WARM))
    yield inside(row, "12.45 V", float(found.weights @ found.hidden.charge))


@check("CO02")
def _worn(row: Row) -> Iterable[Point]:
    slow = Readings(
        rest_voltage=12.5,
        rested=DAY / 2.0,
        battery_temperature=MILD,
        air_temperature=FREEZING,
        resistance=12e-3,
        rotation="slow",
    )
    for amperes, capacity in ((500.0, 55.0), (600.0, 62.0)):
        found = condition_of(posterior(_battery(amperes, capacity, 4.5), slow))
        yield inside(row, f"{amperes:g} A, 4.5 years", found.chance_of_failing)


@check("CO03")
def _fresh(row: Row) -> Iterable[Point]:
    for amperes, capacity, resistance in ((600.0, 62.0, 4.7e-3), (700.0, 74.0, 4.0e-3)):
        full = Readings(rest_voltage=12.7, rested=DAY / 2.0, battery_temperature=MILD, resistance=resistance)
        found = condition_of(posterior(_battery(amperes, capacity, 0.5), full))
        yield inside(row, f"{amperes:g} A, {1e3 * resistance:g} mΩ", found.chance_of_failing)


@check("CO04")
def _not_the_battery(row: Row) -> Iterable[Point]:
    def apart(told: Readings) -> float:
        faults = condition_of(posterior(example_subject(4.0), told)).faults
        return faults["cable"] + faults["control circuit"] - faults["worn"] - faults["weak cell"]

    before = apart(Readings())
    for rotation in ("slow", "none"):
        told = Readings(lowest_cranking_voltage=12.5, rotation=rotation, air_temperature=MILD)
        yield inside(row, f"rotation {rotation}", apart(told) - before)


@check("CO05")
def _bad_cell(row: Row) -> Iterable[Point]:
    for below, low, high in ((0.030, 0.5, np.nan), (0.020, np.nan, 0.5)):
        told = Readings(specific_gravity=(1.25,) * 5 + (1.25 - below,), battery_temperature=WARM)
        found = posterior(example_subject(4.0), told)
        yield inside(
            row, f"{below:.3f} below", float(found.weights @ found.hidden.weak_cell), low=low, high=high
        )


def _charging_fault(told: Readings) -> float:
    found: Posterior = posterior(example_subject(), replace(told, battery_temperature=MILD))
    return float(found.weights @ found.hidden.charging_fault)


@check("CO06")
def _healthy_charging(row: Row) -> Iterable[Point]:
    for volts in (14.2, 14.5):
        told = Readings(charging_voltage_loads_off=volts, charging_voltage_loads_on=volts, ripple=0.03)
        yield inside(row, f"{volts:g} V", _charging_fault(told))


@check("CO07")
def _outside_the_window(row: Row) -> Iterable[Point]:
    for volts in (12.8, 15.3):
        told = Readings(charging_voltage_loads_off=volts, charging_voltage_loads_on=volts)
        yield inside(row, f"{volts:g} V", _charging_fault(told))


@check("CO08")
def _little_ripple(row: Row) -> Iterable[Point]:
    yield inside(row, "0.05 V", _charging_fault(Readings(ripple=0.05)))


@check("CO09")
def _much_ripple(row: Row) -> Iterable[Point]:
    for volts in (0.3, 0.5):
        yield inside(row, f"{volts:g} V", _charging_fault(Readings(ripple=volts)))


@cache
def _studies() -> tuple[Study, Study]:
    return simulated_study(STUDIED), simulated_study(STUDIED_SET, names=OWNERS_SET)


def study_lines() -> tuple[str, ...]:
    """Return the lines of the page that tell how well the answers hold on simulated batteries."""
    drawn, owners = _studies()
    heads = ("readings", "batteries", *drawn.coverage, "hits", "false alarms")
    lines = [
        "Batteries are drawn from the prior, read with the declared errors and judged as if unknown: an",
        "invented battery of unknown age in a vehicle and a winter that are invented too. *Covered* is the",
        "share of true values inside the 90 % intervals; *hits* the share replaced of the batteries that",
        "would fail the winter, *false alarms* the share replaced of the others, both by the declared bound",
        "(being stranded counts four batteries). It tests the arithmetic, not whether real batteries are",
        "spread as the prior says.",
        "",
        f"| {' | '.join(heads)} |",
        f"|{'---|' * len(heads)}",
    ]
    names = ", ".join(name.replace("_", " ") for name in OWNERS_SET)
    for words, study in (("one to four of all, drawn", drawn), (names, owners)):
        covered = " | ".join(f"{100.0 * share:.1f} %" for share in study.coverage.values())
        rates = f"{100.0 * study.hit_rate:.0f} % | {100.0 * study.false_alarm_rate:.0f} %"
        lines.append(f"| {words} | {study.count} | {covered} | {rates} |")
    lines += [
        "",
        f"{100.0 * drawn.failing:.0f} % of these batteries fail the winter. Told chance of starting on the",
        "coldest night and the share that does:",
        "",
        "| told | started | batteries |",
        "|---|---|---|",
    ]
    lines += [
        f"| {100.0 * told:.0f} % | {100.0 * so:.0f} % | {count} |" for told, so, count in drawn.reliability
    ]
    return tuple(lines)
