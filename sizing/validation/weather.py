"""Our side of the published weather checks: day shapes, generated years against files and normals."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sizing.climate import find
from sizing.climate.day_shapes import campbell_norman_weight, erbs_shape, handbook_shape
from sizing.climate.generate import ANCHOR_ROUNDS, hourly_years, weather_model
from sizing.climate.parked_sun import ABSORBED_DARK, ABSORBED_LIGHT, cabin_air_rise, sol_air_excess
from sizing.climate.places import ZERO_CELSIUS, Normals, Place
from sizing.climate.stations import MONTHS
from sizing.climate.weather_statistics import (
    daily_means,
    daily_ranges,
    equivalent_temperature,
    hours_below,
    lag_1_within_months,
    over_months,
    periodic_share_of_range,
    spread_of_monthly_means,
    spread_within_months,
)
from sizing.tables import Row, load
from sizing.validation import Point, check, inside, within

Array = NDArray[np.float64]

YEARS = 100
SEED = 2026
WITHOUT_MODEL = ("Burlington VT",)
"""Stations with a typical year but no place file."""
APRIL_TO_OCTOBER = range(3, 10)


@dataclass(frozen=True, eq=False)
class _Summary:
    """What 100 generated years of a place are like; shape (12,) for months, (years,) for years."""

    minima: Array
    maxima: Array
    means: Array
    equal_ageing: float
    below_m20: float
    above_35: float
    monthly_range: Array
    share: Array
    spread: Array
    lag_1: Array
    spread_of_means: Array
    worst_mean: float


@cache
def _summary(place: Place) -> _Summary:
    model = weather_model(place)
    hours = hourly_years(model, YEARS, seed=SEED)
    daily = daily_means(hours)
    spread_of_means = spread_of_monthly_means(daily)
    allowed = np.maximum(0.3, 3.0 * spread_of_means / np.sqrt(YEARS))
    return _Summary(
        minima=np.asarray(hours.min(axis=1), float),
        maxima=np.asarray(hours.max(axis=1), float),
        means=daily.mean(axis=1),
        equal_ageing=equivalent_temperature(hours),
        below_m20=hours_below(hours, ZERO_CELSIUS - 20.0),
        above_35=8760.0 - hours_below(hours, ZERO_CELSIUS + 35.0),
        monthly_range=over_months(daily_ranges(hours)),
        share=periodic_share_of_range(hours),
        spread=spread_within_months(daily),
        lag_1=lag_1_within_months(daily),
        spread_of_means=spread_of_means,
        worst_mean=float(np.max(np.abs(over_months(daily) - model.monthly) / allowed)),
    )


def _months(row: Row) -> Array:
    return np.array([float(row[month]) for month in MONTHS])


def _rms(deviation: Array) -> float:
    return float(np.sqrt(np.mean(np.square(deviation))))


@check("G01")
def mean_of_the_handbook_profile(row: Row) -> Iterable[Point]:
    """Yield the mean of the profile over a day."""
    yield within(row, "24 hours", 0.53625, float(handbook_shape().mean()))


@check("G02")
def harmonics_at_two_hours(row: Row) -> Iterable[Point]:
    """Yield the harmonic profile at its extremes."""
    for hour, printed in ((15.0, 0.525), (6.0, -0.451)):
        yield within(row, f"{hour:g} o'clock", printed, float(erbs_shape(hour)))


@check("G03")
def sum_of_the_harmonics(row: Row) -> Iterable[Point]:
    """Yield the sum of the harmonic profile over the day."""
    yield within(row, "hours 1 to 24", 0.0, float(erbs_shape(np.arange(1.0, 25.0)).sum()))


@check("G04")
def two_harmonics_before_noon(row: Row) -> Iterable[Point]:
    """Yield the temperature of the printed example."""
    weight = float(campbell_norman_weight(11.0))
    yield within(row, "30/10 °C at 11 h, °C", 25.08958, 30.0 * weight + 10.0 * (1.0 - weight))


@check("G05")
def profile_against_measured_days(row: Row) -> Iterable[Point]:
    """Yield the mean rms of the handbook's profile against the measured mean days, both about their means."""
    ours = handbook_shape()
    gaps = []
    for day in load("climate_typical_year_diurnal").select("check"):
        measured = np.array([float(day[f"h{hour:02d}"]) for hour in range(1, 25)])
        gaps.append(_rms((ours - ours.mean()) - (measured - measured.mean())))
    yield inside(row, f"{len(gaps)} mean days", float(np.mean(gaps)))


@check("G06")
def periodic_share(row: Row) -> Iterable[Point]:
    """Yield the misfit of the generated share of the range."""
    rows = load("climate_periodic_share").select("check")
    gaps = [_summary(find(each["station"])).share - _months(each) for each in rows]
    yield inside(row, f"{len(rows)} stations", _rms(np.concatenate(gaps)))


@check("G07")
def daily_range_against_files(row: Row) -> Iterable[Point]:
    """Yield generated over measured daily range, the mean of the stations, month by month."""
    rows = load("climate_typical_year_variability").select("check", quantity="mean_daily_range")
    rows = tuple(each for each in rows if each["station"] not in WITHOUT_MODEL)
    ratios = np.array([_summary(find(each["station"])).monthly_range / _months(each) for each in rows])
    for month, ratio in enumerate(ratios.mean(axis=0)):
        margin = 0.1 if month in APRIL_TO_OCTOBER else 0.3
        yield Point(f"month {month + 1}, {len(rows)} stations", 1.0, float(ratio), 1.0 - margin, 1.0 + margin)


@cache
def _us_place(station_id: str) -> Place:
    """Return a place of the daily files: its own normals, design values where the town has a place file."""
    (position,) = load("weather_us_positions").select("data", station_id=station_id)
    here = find(position["place"] or "Chicago")
    unknown = (float("nan"),) * 12
    normals = here.normals if position["place"] == "Seattle" else None
    if normals is None:
        top, bottom = (
            tuple(_months(row) + ZERO_CELSIUS)
            for word in ("max", "min")
            for row in load("climate_us_cities_daily").select(
                "data", station_id=station_id, quantity=f"normal_daily_{word}"
            )
        )
        normals = Normals(unknown, top, bottom, "thermometer", "1981-2010", "us_daily_ten_stations_2015")
    return replace(
        here,
        name=station_id,
        latitude=float(position["latitude"]),
        normals=normals,
        design=here.design if position["place"] else None,
    )


def _us_rows(quantity: str) -> dict[str, Array]:
    rows = load("climate_us_cities_daily").select("check", quantity=f"year_2014_15_{quantity}")
    return {row["station_id"]: _months(row) for row in rows}


@check("G08")
def spread_against_a_real_year(row: Row) -> Iterable[Point]:
    """Yield generated over measured spread of daily means, station by station."""
    for station, measured in _us_rows("sd_daily_mean").items():
        yield inside(row, station, _rms(_summary(_us_place(station)).spread) / _rms(measured))


@check("G09")
def spread_month_by_month(row: Row) -> Iterable[Point]:
    """Yield the misfit of the spread of daily means over all stations and months."""
    held = _us_rows("sd_daily_mean")
    gaps = [_summary(_us_place(station)).spread - measured for station, measured in held.items()]
    yield inside(row, f"{len(held)} stations, 12 months each", _rms(np.concatenate(gaps)))


@check("G10")
def persistence(row: Row) -> Iterable[Point]:
    """Yield the mean correlation of neighbouring days, estimated month by month in both."""
    held = _us_rows("lag1")
    ours = [_summary(_us_place(station)).lag_1.mean() for station in held]
    yield within(row, f"{len(held)} stations", float(np.mean(list(held.values()))), float(np.mean(ours)))


@check("G11")
def spread_of_the_monthly_mean(row: Row) -> Iterable[Point]:
    """Yield the rms over months of how much a month differs from year to year."""
    for name in ("Winnipeg", "Brandon", "Iqaluit"):
        (held,) = load("climate_normals").select("data", place=name, quantity="sd_of_monthly_mean")
        yield within(row, f"{name}, K", _rms(_months(held)), _rms(_summary(find(name)).spread_of_means))


def _world() -> list[Place]:
    """Return the places of the world file of use check that have design values and months."""
    rows = load("climate_places_world").select("check")
    places = [find(f"{row['place']}, {row['country']}") for row in rows if row["mean_01"].strip()]
    return [place for place in places if place.design and place.extremes and place.normals]


@check("G12")
def generated_extremes(row: Row) -> Iterable[Point]:
    """Yield the misfit of mean and spread of the annual minimum and maximum."""
    gaps = []
    for place in _world():
        ours, held = _summary(place), place.extremes
        if held is not None:
            gaps.append(
                (
                    ours.minima.mean() - held.minimum_mean,
                    ours.minima.std(ddof=1) - held.minimum_sd,
                    ours.maxima.mean() - held.maximum_mean,
                    ours.maxima.std(ddof=1) - held.maximum_sd,
                )
            )
    names, limits = ("M", "s", "X", "s_x"), (2.0, 1.2, 1.5, 0.7)
    for name, limit, deviation in zip(names, limits, np.array(gaps).T, strict=True):
        yield inside(row, f"W of {name} over {len(gaps)} places, K", _rms(deviation), 0.0, limit)


def _file_rows() -> tuple[Row, ...]:
    return load("climate_typical_year_hours").select("check")


@check("G13")
def annual_mean(row: Row) -> Iterable[Point]:
    """Yield the mean of generated years beside that of the file."""
    for held in _file_rows():
        ours = _summary(find(held["station"])).means.mean() - ZERO_CELSIUS
        yield within(row, f"{held['station']}, °C", float(held["mean"]), float(ours))


@check("G14")
def equal_ageing(row: Row) -> Iterable[Point]:
    """Yield the temperature of equal ageing beside that of the file."""
    for held in _file_rows():
        ours = _summary(find(held["station"])).equal_ageing - ZERO_CELSIUS
        yield within(row, f"{held['station']}, °C", float(held["t_equivalent"]), ours)


def _factor(conditions: str, printed: float, ours: float, factor: float) -> Point:
    return Point(conditions, printed, ours, printed / factor, printed * factor)


@check("G15")
def cold_hours(row: Row) -> Iterable[Point]:
    """Yield the hours below -20 °C."""
    for held in _file_rows():
        if held["station"] in ("Montreal", "Chicago"):
            ours = _summary(find(held["station"])).below_m20
            yield _factor(f"{held['station']}, h", float(held["below_m20"]), ours, 2.0)


@check("G16")
def hot_hours(row: Row) -> Iterable[Point]:
    """Yield the hours above 35 °C."""
    factors = {"Phoenix": 1.3, "Houston": 2.0}
    for held in _file_rows():
        if held["station"] in factors:
            ours = _summary(find(held["station"])).above_35
            yield _factor(f"{held['station']}, h", float(held["above_35"]), ours, factors[held["station"]])


@check("G17")
def a_dry_heat_ages_faster(row: Row) -> Iterable[Point]:
    """Yield 1 where Phoenix ages faster than Miami at a lower mean."""
    miami, phoenix = _summary(find("Miami")), _summary(find("Phoenix"))
    faster = phoenix.equal_ageing > miami.equal_ageing and phoenix.means.mean() < miami.means.mean()
    yield inside(row, "Phoenix against Miami", float(faster))


def _matrix(name: str) -> Array:
    rows = load("climate_wgen_matrices").select("background", matrix=name)
    return np.array([[float(row[f"column_{i}"]) for i in (1, 2, 3)] for row in rows])


@check("G18")
def matrix_of_yesterday(row: Row) -> Iterable[Point]:
    """Yield the largest gap between the printed A and M1 inv(M0)."""
    ours = _matrix("M1") @ np.linalg.inv(_matrix("M0"))
    yield inside(row, "A", float(np.max(np.abs(ours - _matrix("A")))))


@check("G19")
def matrix_of_chance(row: Row) -> Iterable[Point]:
    """Yield the largest gap between the printed B B' and M0 - A M1'."""
    ours = _matrix("M0") - _matrix("M1") @ np.linalg.inv(_matrix("M0")) @ _matrix("M1").T
    yield inside(row, "B B'", float(np.max(np.abs(ours - _matrix("B") @ _matrix("B").T))))


@check("G20")
def august_of_phoenix(row: Row) -> Iterable[Point]:
    """Yield the normals of August from the daily files."""
    for quantity, printed in (("normal_daily_max", 40.2), ("normal_daily_min", 28.2)):
        (held,) = load("climate_us_cities_daily").select("data", station_id="ICAO KPHX", quantity=quantity)
        yield within(row, f"{quantity}, °C", printed, float(_months(held)[7]))


@check("G21")
def other_hemisphere(row: Row) -> Iterable[Point]:
    """Yield what changes when a place is moved to the other half of the Earth and half a year."""
    north = find("Winnipeg")
    if north.normals is None:
        raise LookupError("no normals of Winnipeg")
    rolled = {
        name: getattr(north.normals, name)[6:] + getattr(north.normals, name)[:6]
        for name in ("mean", "maximum", "minimum")
    }
    mirrored = replace(north, latitude=-north.latitude, normals=replace(north.normals, **rolled))
    here, there = _summary(north), _summary(mirrored)
    for name in ("minima", "maxima", "means"):
        a, b = getattr(here, name), getattr(there, name)
        error = 4.0 * np.hypot(a.std(), b.std()) * np.sqrt(1.0 / YEARS + 1.0 / ANCHOR_ROUNDS[-1][0])
        yield Point(f"mean of annual {name}, K", 0.0, float(b.mean() - a.mean()), -error, error)


@check("G22")
def sol_air(row: Row) -> Iterable[Point]:
    """Yield the excess over air in full sun and at night."""
    cases = (("dark", 1000.0, ABSORBED_DARK, 48.1), ("light", 1000.0, ABSORBED_LIGHT, 22.1))
    for name, sun, absorbed, printed in (*cases, ("night", 0.0, ABSORBED_DARK, -3.9)):
        yield within(row, f"{name}, {sun:g} W/m2, K", printed, float(sol_air_excess(sun, absorbed)))


@check("G23")
def cabin_after_an_hour(row: Row) -> Iterable[Point]:
    """Yield the rise of the air in a closed cabin."""
    yield inside(row, "60 min, K", float(cabin_air_rise(3600.0)))


@check("G24")
def monthly_means(row: Row) -> Iterable[Point]:
    """Yield, for each place, the worst gap of a monthly mean over what is allowed."""
    for place in (*_world(), *(find(held["station"]) for held in _file_rows())):
        yield inside(row, place.label, _summary(place).worst_mean)
