"""Our side of the published climate checks: n-year values, design temperatures, degree-days, a garage."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from sizing.climate.extremes import hours_behind, return_factor, return_maximum, return_minimum
from sizing.climate.normals import (
    DAYS_OF_MONTH,
    cooling_0_4_from_normals,
    heating_99_6_from_normals,
    mean_from_degree_days,
)
from sizing.climate.relations import ZERO_CELSIUS, annual_minimum_from_design
from sizing.climate.shelter import unheated_room
from sizing.climate.stations import PERIODS, monthly, stations
from sizing.tables import Row, load, numbers
from sizing.validation import Point, check, inside, within

Array = NDArray[np.float64]


@check("C01")
def factor_of_printed_periods(row: Row) -> Iterable[Point]:
    """Yield F at the periods that the tables print."""
    printed = load("climate_return_factors").select("check")
    for years, factor in zip(numbers(printed, "years"), numbers(printed, "factor"), strict=True):
        if years in PERIODS:
            yield within(row, f"n = {years:g} years", factor, float(return_factor(years)))


@check("C02")
def factor_of_the_mean(row: Row) -> Iterable[Point]:
    """Yield F at the period whose value is the mean."""
    yield inside(row, "n = 2.328 years", float(return_factor(2.328)))


@check("C03")
def n_year_values(row: Row) -> Iterable[Point]:
    """Yield, for every station, its printed n-year value that is nearest to its tolerance."""
    at = stations("check")
    years = np.array(PERIODS, float)
    cold = return_minimum(years, at.minimum[:, None], at.minimum_sd[:, None])
    hot = return_maximum(years, at.maximum[:, None], at.maximum_sd[:, None])
    ours = np.stack([cold, hot], axis=1) - ZERO_CELSIUS
    printed = at.printed - ZERO_CELSIUS
    margin = np.broadcast_to(0.05 + 0.05 * return_factor(years) + 0.05, ours.shape)
    for i, name in enumerate(at.names):
        side, period = np.unravel_index(np.argmax(np.abs(ours[i] - printed[i]) / margin[i]), ours[i].shape)
        value, near = float(printed[i, side, period]), float(margin[i, side, period])
        conditions = f"{name}, {('minimum', 'maximum')[side]} of 1 year in {PERIODS[period]}, °C"
        yield Point(conditions, round(value, 1), float(ours[i, side, period]), value - near, value + near)


@check("C04")
def order_of_design_values(row: Row) -> Iterable[Point]:
    """Yield how many stations break the order of the cold and of the hot values."""
    at = stations("check")
    cold = (at.minimum < at.heating_99_6) & (at.heating_99_6 < at.heating_99)
    hot = (at.maximum > at.cooling_0_4) & (at.cooling_0_4 > at.cooling_1) & (at.cooling_1 > at.cooling_2)
    yield inside(row, f"cold, {len(cold)} rows", float(np.sum(~cold)))
    yield inside(row, f"hot, {len(hot)} rows", float(np.sum(~hot)))


def _held(station_id: str, edition: str, quantity: str) -> Array:
    months = monthly(station_id, edition, quantity)
    if months is None:
        raise LookupError(f"{quantity} of {station_id} is not held")
    return months


@check("C05")
def means_of_yellowknife(row: Row) -> Iterable[Point]:
    """Yield the twelve monthly means beside the printed ones."""
    heating, cooling, printed = (
        _held("WMO 719360", "2021", name) for name in ("hdd_18_3", "cdd_18_3", "mean_printed")
    )
    ours = mean_from_degree_days(heating, cooling) - ZERO_CELSIUS
    for month in range(12):
        yield within(row, f"Yellowknife, month {month + 1}, °C", printed[month], ours[month])


@check("C06")
def two_bases(row: Row) -> Iterable[Point]:
    """Yield the largest gap between the means from base 65 °F and from base 50 °F."""
    gaps = []
    for held in load("climate_design_monthly").select("data", quantity="hdd_10"):
        where = (held["station_id"], held["design_edition"])
        first = mean_from_degree_days(_held(*where, "hdd_18_3"), _held(*where, "cdd_18_3"), DAYS_OF_MONTH)
        second = mean_from_degree_days(
            _held(*where, "hdd_10"), _held(*where, "cdd_10"), base=ZERO_CELSIUS + 10.0
        )
        gaps.append(np.max(np.abs(first - second)))
    yield inside(row, f"{len(gaps)} stations, 12 months each, K", float(np.max(gaps)))


@check("C07")
def hours_of_a_percentage(row: Row) -> Iterable[Point]:
    """Yield the hours behind the percentages of the handbook."""
    for percent, hours in ((0.4, 35.0), (1.0, 88.0), (2.0, 175.0)):
        yield within(row, f"{percent:g} %", hours, float(hours_behind(0.01 * percent)))


def _misfit(row: Row, deviation: Array, largest_w: float, largest: float) -> Iterable[Point]:
    count = f"{len(deviation)} rows"
    yield inside(row, f"W over {count}, K", float(np.sqrt(np.mean(deviation**2))), 0.0, largest_w)
    yield inside(row, f"largest of {count}, K", float(np.max(np.abs(deviation))), 0.0, largest)


@check("C08")
def minimum_from_design(row: Row) -> Iterable[Point]:
    """Yield misfit and worst station of M = T99.6 - 3.1 K."""
    at = stations("check")
    yield from _misfit(row, annual_minimum_from_design(at.heating_99_6) - at.minimum, 1.3, 3.0)


@check("C09")
def design_from_normals_cold(row: Row) -> Iterable[Point]:
    """Yield misfit and worst station of the cold design value from the cold month."""
    at = stations("check")
    deviation = heating_99_6_from_normals(at.cold_mean, at.cold_range) - at.heating_99_6
    yield from _misfit(row, deviation[np.isfinite(deviation)], 3.5, 9.0)


@check("C10")
def design_from_normals_hot(row: Row) -> Iterable[Point]:
    """Yield misfit and worst station of the hot design value from the warm month."""
    at = stations("check")
    deviation = cooling_0_4_from_normals(at.warm_mean, at.warm_range) - at.cooling_0_4
    yield from _misfit(row, deviation[np.isfinite(deviation)], 1.5, 5.0)


@check("C11")
def garage(row: Row) -> Iterable[Point]:
    """Yield the air of a garage with the standard's default factor."""
    inside_air = ZERO_CELSIUS + 20.0
    for outside, printed in ((-20.0, -4.0), (-30.0, -10.0)):
        ours = float(unheated_room(ZERO_CELSIUS + outside, inside_air, 0.6)) - ZERO_CELSIUS
        yield within(row, f"{outside:g} °C outside, °C", printed, ours)
