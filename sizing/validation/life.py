"""Our side of the published checks of how long batteries last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.advice.life_case import LifeCase, life_case
from sizing.inputs import Battery, Life
from sizing.physics.ageing import KINDS
from sizing.simulate.life.driver import reference_scenario
from sizing.simulate.life.lives import Lives, aged
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within

Array = NDArray[np.float64]

COUNT = 2048
STOP_START_PLACE, STOP_START_TYPES = "London", ("EFB", "AGM")  # a usual climate; types that such cars have
STOP_START_CAPACITY, STOP_START_MONTHS = "70 Ah", 24
SHIFTED = "Memphis"  # neither fitted nor judged, with a usual year between summer and winter


@cache
def _case(place: str) -> LifeCase:
    return life_case(reference_scenario(place))


@cache
def _lives(place: str, told: Life | None = None) -> Lives:
    return _case(place).lives(told, count=COUNT)


def _mean(place: str) -> float:
    return float(_lives(place).months.mean())


@check("L01")
def _phoenix(row: Row) -> Iterable[Point]:
    yield inside(row, "Phoenix", float(_lives("Phoenix").quantiles(0.5)[0]))


@check("L02")
def _germany(row: Row) -> Iterable[Point]:
    for place in ("London", "Stockholm"):
        yield inside(row, place, _mean(place))


@check("L03")
def _new_zealand(row: Row) -> Iterable[Point]:
    for place in ("San Francisco", "Melbourne"):
        yield inside(row, place, _mean(place))


@check("L04")
def _extreme_south(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_field_life").select("check", id="us_extreme_south")
    yield within(row, "Miami", float(printed["life_low"]), _mean("Miami"))


@check("L05")
def _extreme_north(row: Row) -> Iterable[Point]:
    yield inside(row, "International Falls", _mean("International Falls"))


@cache
def _life_at_mean(celsius: float) -> float:
    """Return the mean life where the annual mean of the air is so warm [month]."""
    case = _case(SHIFTED)
    air = case.subject.air
    shifted = air + np.float32(celsius + 273.15 - float(air.mean()))
    there = replace(case, subject=replace(case.subject, air=shifted))
    return float(there.lives(count=COUNT).months.mean())


def _per_ten_kelvin(cold: float, warm: float) -> float:
    return float((_life_at_mean(cold) / _life_at_mean(warm)) ** (10.0 / (warm - cold)))


@check("L06")
def _ambient(row: Row) -> Iterable[Point]:
    yield inside(row, "8 to 20 °C", _per_ten_kelvin(8.0, 20.0))


@check("L07")
def _ambient_wide(row: Row) -> Iterable[Point]:
    for cold in (5.0, 12.0, 19.0):
        yield inside(row, f"{cold:g} to {cold + 7.0:g} °C", _per_ten_kelvin(cold, cold + 7.0))


@check("L08")
def _trunk(row: Row) -> Iterable[Point]:
    for place in ("Phoenix", "Houston"):
        trunk = _case(place).told.model_copy(update={"location": "trunk"})
        gain = _lives(place, trunk).years - _lives(place).years
        yield inside(row, place, float(np.median(gain)))


@cache
def _fleet(place: str) -> tuple[Lives, ...]:
    told = _case(place).told
    drivers = load("life_fleet").select("data")
    return tuple(
        _lives(
            place,
            told.model_copy(
                update={
                    "trips_per_week": int(driver["trips_per_week"]),
                    "trip_time": 60.0 * float(driver["trip_minutes"]),
                }
            ),
        )
        for driver in drivers
    )


@check("L09")
def _corrosion(row: Row) -> Iterable[Point]:
    led = [lives.cause == KINDS.index("corrosion") for lives in _fleet("Houston")]
    yield inside(row, "fleet at Houston", float(np.mean(np.concatenate(led))))


@check("L10")
def _scatter(row: Row) -> Iterable[Point]:
    places = ("Chicago", "Houston", "San Francisco")
    months = np.concatenate([lives.months for place in places for lives in _fleet(place)])
    yield inside(row, ", ".join(places), float(months.std() / months.mean()))


@check("L12")
def _stop_start(row: Row) -> Iterable[Point]:
    (printed,) = load("ageing_failure_modes").select("check", id="micro_hybrid_capacity")
    usual = reference_scenario(STOP_START_PLACE)
    vehicle = usual.vehicle.model_copy(update={"stop_start": True})
    for kind in STOP_START_TYPES:
        label = Battery.model_validate({"type": kind, "capacity": STOP_START_CAPACITY})
        case = life_case(usual.model_copy(update={"vehicle": vehicle, "battery": label}))
        found = aged(case.conditions()[0], case.wear, COUNT, usual.seed, STOP_START_MONTHS)
        yield within(row, kind, float(printed["value"]) / 100.0, float(found.capacity_left.mean()))
