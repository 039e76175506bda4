"""Our side of the published checks of wear."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sizing.physics.ageing import (
    corrosion_rate,
    cycles_to_end,
    cycling_damage,
    doubling,
    field_rates,
    shape_interval,
    shape_of_variation,
    usual,
)
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside, within

KELVIN = 273.15
WEEK = 7.0 * 86400.0  # s
LAB_AH = 60.0  # of the battery in the light-load test
FACTOR = 3.0  # within which two sources of cycles may differ


def _ratio(celsius: float, from_celsius: float) -> float:
    """Return life at the first temperature over life at the second."""
    return float(doubling(from_celsius + KELVIN, reference=celsius + KELVIN))


def _printed_lives(battery: str) -> dict[float, float]:
    rows = load("ageing_life_by_type").select("check", battery_type=battery)
    return dict(
        zip(numbers(rows, "temperature_c").tolist(), numbers(rows, "life_years").tolist(), strict=True)
    )


def _sealed(row: Row, warm: float) -> Point:
    lives = _printed_lives("sealed on float")
    low, high = float(row["low"]), float(row["high"])
    return Point(f"25 to {warm:g} °C", lives[25.0] / lives[warm], _ratio(25.0, warm), low, high)


@check("A01")
def _sealed_33(row: Row) -> Iterable[Point]:
    yield _sealed(row, 33.0)


@check("A02")
def _sealed_41(row: Row) -> Iterable[Point]:
    yield _sealed(row, 41.0)


@check("A03")
def _sealed_35(row: Row) -> Iterable[Point]:
    lives = _printed_lives("sealed")
    yield within(row, "25 to 35 °C", lives[25.0] / lives[35.0], _ratio(25.0, 35.0))


@check("A04")
def _gel(row: Row) -> Iterable[Point]:
    lives = _printed_lives("gel long-life family")
    for celsius in (25.0, 30.0):
        yield within(row, f"{celsius:g} °C", lives[celsius] / lives[20.0], _ratio(celsius, 20.0))


@check("A05")
def _shallow(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_cycle_life").select("check", battery="starter or leisure type")
    low, high = float(printed["cycles_low"]), float(printed["cycles_high"])
    ours = float(cycles_to_end(float(printed["depth"])))
    yield Point("30 %", f"{low:g} to {high:g}", ours, low / FACTOR, FACTOR * high)


@check("A07")
def _five_lives(row: Row) -> Iterable[Point]:
    lives = numbers(load("ageing_life_sample_5").select("check"), "life_years")
    low, high = shape_interval(lives)
    yield inside(row, "five lives", usual("scatter_shape"), low, high)


@check("A08")
def _five_variation(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_life_scatter").select("check", id="sample_5")
    coefficient = float(printed["sd_years"]) / float(printed["mean_years"])
    yield within(row, "five lives", float(printed["shape"]), float(shape_of_variation(coefficient)))


@check("A09")
def _light_load(row: Row) -> Iterable[Point]:
    facts = load("ageing_lab_life_tests").select("background", test="sae_j240")
    value = {fact["condition"].split(" (")[0]: float(fact["value"]) for fact in facts}
    minutes = value["discharge time"] + value["charge time"]
    cycles = (WEEK / 60.0 - 60.0 * value["weekly stand at least about"]) / minutes
    depth = value["discharge current"] * value["discharge time"] / 60.0 / LAB_AH
    baths = np.array([value["water bath since 1971"], value["added 2002; the main condition from 2007"]])
    weekly = cycling_damage(depth, cycles) + corrosion_rate(baths + KELVIN, field_rates()[1]) * WEEK
    yield inside(row, "41 and 75 °C", float(weekly[0] / weekly[1]))
