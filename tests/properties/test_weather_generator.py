"""Made-up years keep normals, range and design values; half a year later is half a world away."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import gumbel_l

from sizing.climate import find
from sizing.climate.generate import (
    ANCHOR_ROUNDS,
    UnknownNormalsError,
    hourly_years,
    weather_model,
)
from sizing.climate.gumbel import TooFewYearsError, fitted_minimum, gumbel_of_minima, return_levels
from sizing.climate.places import Normals
from sizing.climate.readers import Weather
from sizing.climate.record_extremes import annual_minimum_of_record, winters
from sizing.climate.season import between_months, daily_sun, seasonal_mean
from sizing.climate.weather_paths import path_constants
from sizing.climate.weather_statistics import daily_means, daily_ranges, over_months, spread_of_monthly_means

Array = NDArray[np.float64]

PLACES = ("Winnipeg", "Singapore", "Bogota", "Phoenix", "Halley", "Eureka", "Miami", "Santiago")
WITH_MONTHS = [place for place in PLACES if place != "Santiago"]
MONTHS = st.lists(st.floats(230.0, 310.0), min_size=12, max_size=12)
UNKNOWN = float("nan")


@pytest.mark.parametrize("place", WITH_MONTHS)
def test_monthly_means_are_the_normals(place: str) -> None:
    years = 400
    model = weather_model(find(place))
    daily = daily_means(hourly_years(model, years, seed=11))
    error = 3.0 * spread_of_monthly_means(daily) / np.sqrt(years)
    assert np.all(np.abs(over_months(daily) - model.monthly) <= np.maximum(0.3, error))


@pytest.mark.parametrize("place", WITH_MONTHS)
def test_daily_ranges_are_the_normals(place: str) -> None:
    model = weather_model(find(place))
    ranges = over_months(daily_ranges(hourly_years(model, 100, seed=12)))
    sunny = over_months(model.swing[None, :]) > 0.05 * model.daily_range
    ratio = ranges / model.daily_range
    # where the sun stays away the range is weather alone, and may be too wide
    assert np.all(ratio > 0.9)
    assert np.all(ratio[sunny] < 1.15)
    assert np.sum(sunny) >= 4
    assert np.mean(ratio[sunny]) == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("place", ["Winnipeg", "Phoenix", "Chicago", "Lisbon"])
def test_design_values_come_out_of_other_years_than_those_solved_on(place: str) -> None:
    design = find(place).design
    assert design is not None
    hours = hourly_years(find(place), 200, seed=13)
    cold, hot = np.quantile(hours, [0.004, 0.996])
    # sampling of 200 years, and the bounds of the bend of the tail
    assert cold == pytest.approx(design.heating_99_6, abs=0.6)
    assert hot == pytest.approx(design.cooling_0_4, abs=0.6)


def test_the_same_seed_gives_the_same_years_and_another_gives_others() -> None:
    place = find("Winnipeg")
    first = hourly_years(place, 3, seed=5)
    np.testing.assert_array_equal(first, hourly_years(place, 3, seed=5))
    assert np.abs(first - hourly_years(place, 3, seed=6)).max() > 1.0


def test_half_a_year_later_on_the_other_half_of_the_earth_is_the_same_weather() -> None:
    north = find("Winnipeg")
    assert north.normals is not None
    held = north.normals

    def rolled(values: tuple[float, ...]) -> tuple[float, ...]:
        return values[6:] + values[:6]

    shifted = replace(
        held, mean=rolled(held.mean), maximum=rolled(held.maximum), minimum=rolled(held.minimum)
    )
    south = replace(north, latitude=-north.latitude, normals=shifted)
    years = 200
    here, there = (hourly_years(place, years, seed=21) for place in (north, south))
    for reduce in (np.min, np.max, np.mean):
        a, b = reduce(here, axis=1), reduce(there, axis=1)
        # chance of these years, and of the years that either was solved on
        chance = np.hypot(a.std(), b.std()) * np.sqrt(1.0 / years + 1.0 / ANCHOR_ROUNDS[-1][0])
        assert np.mean(a) == pytest.approx(np.mean(b), abs=4.0 * chance)
    spread_here, spread_there = np.std(here.min(axis=1)), np.std(there.min(axis=1))
    assert spread_here == pytest.approx(spread_there, rel=4.0 * np.sqrt(1.1 / years))
    np.testing.assert_allclose(
        over_months(daily_ranges(here)), np.roll(over_months(daily_ranges(there)), -6), rtol=0.05
    )


def test_a_place_without_any_season_has_weather_all_the_same() -> None:
    place = find("Singapore")
    flat = Normals((300.0,) * 12, (304.0,) * 12, (296.0,) * 12, "hourly", "", "")
    hours = hourly_years(replace(place, normals=flat, design=None), 20, seed=1)
    assert np.isfinite(hours).all()
    assert hours.mean() == pytest.approx(300.0, abs=0.3)


def test_a_place_without_months_is_refused_by_name() -> None:
    with pytest.raises(UnknownNormalsError, match="Santiago"):
        hourly_years(find("Santiago"), 1)
    with pytest.raises(ValueError, match="at least one year"):
        hourly_years(find("Winnipeg"), 0)


def test_the_path_is_as_wide_and_as_slow_as_its_constants_say() -> None:
    model = replace(weather_model(find("Winnipeg")), spread=np.ones(365), winter=np.zeros(365))
    still = replace(model, season=np.zeros(365), swing=np.zeros(365), warm=1.0, cold=1.0)
    hours = hourly_years(still, 200, seed=4)
    # the bent tails take a few percent off the unit spread of daily means
    daily = daily_means(hours)[:, 30:60]
    assert np.sqrt(np.mean(daily.var(axis=1, ddof=1))) == pytest.approx(0.97, abs=0.04)
    assert path_constants()[1] < 1.0


@given(MONTHS)
def test_the_season_keeps_any_twelve_means(months: list[float]) -> None:
    curve = seasonal_mean(months)
    lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    ends = np.cumsum([0, *lengths])
    means = [curve[a:b].mean() for a, b in pairwise(ends)]
    np.testing.assert_allclose(means, months, atol=1e-9)


@given(MONTHS)
def test_lines_between_months_stay_between_them(months: list[float]) -> None:
    daily = between_months(months)
    assert daily.min() >= min(months) - 1e-9
    assert daily.max() <= max(months) + 1e-9


@given(st.floats(-90.0, 90.0), st.integers(1, 365))
def test_the_sun_of_a_day_is_bounded(latitude: float, day: int) -> None:
    assert 0.0 <= float(daily_sun(latitude, day)) < 13.5


def record(values: Array, start: str) -> Weather:
    """Return a daily record."""
    days = np.datetime64(start) + np.arange(values.size)
    return Weather("x", "daily", UNKNOWN, UNKNOWN, UNKNOWN, days, values, values, values, False, 0, ())


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(5, 60))
def test_the_fit_of_minima_is_that_of_another_library(seed: int, years: int) -> None:
    minima = 240.0 - np.random.default_rng(seed).gumbel(0.0, 3.0, years)
    location, scale = gumbel_of_minima(minima)
    theirs = gumbel_l.fit(minima)
    assert (location, scale) == (pytest.approx(theirs[0], abs=1e-3), pytest.approx(theirs[1], rel=1e-3))


def test_the_interval_of_the_fit_covers_the_truth_as_often_as_it_says() -> None:
    rng = np.random.default_rng(8)
    truth = float(fitted_minimum(20.0, 240.0, 2.5))
    hits = 0
    for _ in range(60):
        levels = return_levels(240.0 - rng.gumbel(0.0, 2.5, 30), [20.0])
        hits += levels.low[0] <= truth <= levels.high[0]
    assert 46 <= hits <= 60


def test_one_cold_spell_at_new_year_counts_once() -> None:
    values = np.full(12 * 366, 280.0)
    new_year = (np.datetime64("2010-01-01") - np.datetime64("2004-07-01")).astype(int)
    values[: values.size // 365 * 365] -= 10.0 * np.cos(
        2 * np.pi * np.arange(values.size // 365 * 365) / 365.25 - np.pi
    )
    values[new_year - 3 : new_year + 3] = 240.0
    found = winters(record(values, "2004-07-01"))
    assert np.sum(found.minimum == 240.0) == 1


def test_a_southern_winter_lies_within_one_calendar_year() -> None:
    days = np.arange(15 * 365)
    values = 285.0 + 10.0 * np.cos(2.0 * np.pi * days / 365.25)
    found = winters(record(values, "2000-01-01"))
    assert found.begins[0] == 2000
    assert (
        annual_minimum_of_record(record(values + 0.01 * (days % 7), "2000-01-01")).record == found.begins.size
    )


def test_too_few_years_say_so() -> None:
    values = 280.0 - 10.0 * np.cos(2.0 * np.pi * np.arange(4 * 365) / 365.25)
    with pytest.raises(TooFewYearsError, match="10 are needed"):
        annual_minimum_of_record(record(values, "2000-07-01"))
    with pytest.raises(TooFewYearsError, match="3 winters are too few"):
        return_levels([240.0, 241.0, 244.0], [10.0])


def test_a_typical_year_is_less_sure_than_a_long_record() -> None:
    hours = np.arange(np.datetime64("2001-01-01T00"), np.datetime64("2002-01-01T00"))
    year = np.asarray(hourly_years(find("Winnipeg"), 1, seed=2)[0], float)
    typical = Weather("x", "EPW", 50.0, 0.0, 0.0, hours, year, year, year, True, 0, ())
    found = annual_minimum_of_record(typical)
    assert found.basis == "typical year"
    assert found.mean_error > 2.9
