"""Standing idle: charge is conserved, runs split; more draw, colder, older or smaller never lasts longer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from sizing.climate import find, find_shelter
from sizing.physics.battery import battery_from_capacity, battery_type, type_names
from sizing.physics.electrolyte import freezing_temperature
from sizing.physics.pores import Battery
from sizing.physics.standing import (
    MONTH,
    KeyOffDraw,
    asleep_current,
    charge_after,
    decay_mean,
    drawn_charge,
    mean_current,
    self_discharge_of_type,
    self_discharge_rate,
)
from sizing.simulate.sampling import draw
from sizing.simulate.standing import (
    HOUR,
    battery_temperature,
    hourly_current,
    hourly_decay,
    stand,
    stand_and_charge,
)
from sizing.simulate.standing_events import (
    Parked,
    Response,
    happened,
    response,
)
from sizing.simulate.standing_example import example_parked
from sizing.simulate.standing_inverse import acceptable_draw, needed_battery
from sizing.simulate.standing_start import (
    acid_of_charge,
    freezing_charge,
    ice_of_charge,
    no_start_charge,
)
from sizing.simulate.standing_weather import constant_weather, days_of_year, standing_weather

Array = NDArray[np.float64]

amperes = some.floats(0.0, 2.0)
charges = some.floats(0.0, 1.0)
kelvins = some.floats(225.0, 330.0)
CAPACITY = 60.0 * HOUR
BATTERY = battery_from_capacity(battery_type("flooded calcium").shape, 550.0, "sae_j537_cca", 60.0)


def course_of(hours: int, z: float, current: float, kelvin: float, rate: float) -> Array:
    temperature = kelvin + 8.0 * np.sin(np.arange(hours) / 4.0)
    return hourly_decay(np.clip(temperature, 224.0, 342.0), rate / MONTH)


@settings(max_examples=60, deadline=None)
@given(charges, amperes, kelvins, some.floats(0.0, 0.3), some.integers(1, 200))
def test_ampere_hours_are_conserved_also_through_empty(
    z: float, current: float, kelvin: float, rate: float, hours: int
) -> None:
    decay = course_of(hours, z, current, kelvin, rate)
    course = stand(z, CAPACITY, np.full(hours, current), decay)
    assert abs(float(course.imbalance)) < 1e-9
    assert float(course.drawn) >= -1e-12
    assert float(course.lost) >= -1e-12
    assert np.all((course.charge >= 0.0) & (course.charge <= 1.0))
    assert np.all(np.diff(course.charge, axis=0) <= 1e-12)


@settings(max_examples=40, deadline=None)
@given(charges, some.floats(0.0, 0.2), some.floats(0.0, 0.5), kelvins, some.integers(1, 120))
def test_ampere_hours_are_conserved_with_charging(
    z: float, current: float, given_in: float, kelvin: float, hours: int
) -> None:
    decay = course_of(hours, z, current, kelvin, 0.05)
    taken, into = np.full(hours, current), np.full(hours, given_in)
    course = stand_and_charge(z, CAPACITY, taken, decay, np.full(hours, kelvin), into)
    assert abs(float(course.imbalance)) < 1e-9
    assert np.all((course.charge >= 0.0) & (course.charge <= 1.0))
    # putting something in never hurts
    alone = stand(z, CAPACITY, taken, decay)
    assert np.all(course.charge - alone.charge >= -1e-9)


@settings(max_examples=40, deadline=None)
@given(charges, some.floats(0.0, 0.5), kelvins, some.integers(2, 150), some.data())
def test_a_run_split_in_two_ends_the_same(
    z: float, current: float, kelvin: float, hours: int, data: some.DataObject
) -> None:
    cut = data.draw(some.integers(1, hours - 1))
    awake = KeyOffDraw(current, awake_current=0.4, awake_time=5000.0, decaying_current=1.0, decaying_time=4e3)
    decay = course_of(hours, z, current, kelvin, 0.06)
    whole = stand(z, CAPACITY, hourly_current(hours, awake), decay)
    first = stand(z, CAPACITY, hourly_current(cut, awake), decay[:cut])
    then = hourly_current(hours - cut, awake, since=cut * HOUR)
    second = stand(first.charge[-1], CAPACITY, then, decay[cut:])
    assert float(second.charge[-1]) == pytest.approx(float(whole.charge[-1]), abs=1e-9)


def test_the_temperature_of_a_split_run_ends_the_same() -> None:
    air = 260.0 + 5.0 * np.sin(np.arange(60.0))
    whole = battery_temperature(air, 4.0 * HOUR, start=280.0)
    first = battery_temperature(air[:25], 4.0 * HOUR, start=280.0)
    second = battery_temperature(air[25:], 4.0 * HOUR, start=first[-1])
    np.testing.assert_allclose(second, whole[25:], rtol=1e-12)


def test_the_charge_is_that_of_a_general_solver() -> None:
    hours = 240
    temperature = 283.15 + 8.0 * np.sin(np.arange(hours) / 4.0)
    draw_of = KeyOffDraw(0.03, awake_current=0.3, awake_time=3600.0)
    current = hourly_current(hours, draw_of)
    course = stand(0.9, CAPACITY, current, hourly_decay(temperature, 0.12 / MONTH))

    def change(time: float, charge: Array) -> Array:
        hour = min(int(time / HOUR), hours - 1)
        rate = self_discharge_rate(temperature[hour], 0.12 / MONTH)
        return np.asarray(-rate * charge - current[hour] / CAPACITY)

    found = solve_ivp(change, (0.0, hours * HOUR), [0.9], max_step=HOUR, rtol=1e-9)
    assert float(course.charge[-1]) == pytest.approx(float(found.y[0, -1]), abs=1e-5)


def test_a_day_by_day_response_is_the_run_hour_by_hour() -> None:
    decay = hourly_decay(300.0 + 10.0 * np.sin(np.arange(24.0 * 60) / 4.0), 0.12 / MONTH)
    found = response(decay, CAPACITY).charge(0.8, 0.05)
    course = stand(0.8, CAPACITY, np.full(len(decay), 0.05), decay)
    np.testing.assert_allclose(found, course.charge[24::24], atol=1e-7)
    assert found[-1] == 0.0


@settings(max_examples=40, deadline=None)
@given(charges, some.floats(0.0, 1e7), some.floats(0.0, 1e-6), some.floats(-1.0, 1.0))
def test_one_step_adds_up(z: float, time: float, rate: float, current: float) -> None:
    end, lost = charge_after(z, time, rate, current, CAPACITY)
    assert z - current * time / CAPACITY - float(lost) == pytest.approx(float(end), abs=1e-8)


# --- key-off draw and self-discharge ---


def test_a_mean_is_weighed_by_time_and_not_the_middle_of_the_extremes() -> None:
    assert float(mean_current([0.02, 0.24], [555.0, 45.0])) == pytest.approx(0.0365)
    assert float(asleep_current(KeyOffDraw(0.02, 0.22, 45.0, 600.0))) == pytest.approx(0.0365)
    with pytest.raises(ValueError, match="durations"):
        mean_current([1.0], [0.0])
    with pytest.raises(ValueError, match="not negative"):
        asleep_current(KeyOffDraw(-0.1))
    with pytest.raises(ValueError, match="no longer"):
        asleep_current(KeyOffDraw(0.1, 0.1, 100.0, 50.0))


@given(some.floats(0.0, 1e6), some.floats(0.0, 1e6))
def test_more_time_takes_more(time: float, more: float) -> None:
    car = KeyOffDraw(0.02, 0.1, 40.0, 600.0, 0.5, 3000.0, 2.0, 5000.0)
    assert float(drawn_charge(time + more, car)) >= float(drawn_charge(time, car)) - 1e-9


@given(some.floats(223.15, 333.0))
def test_self_discharge_doubles_every_ten_kelvin(kelvin: float) -> None:
    ratio = self_discharge_rate(kelvin + 10.0, 1e-8) / self_discharge_rate(kelvin, 1e-8)
    assert float(ratio) == pytest.approx(2.0)


def test_self_discharge_says_nothing_outside_its_range_and_falls_with_charge() -> None:
    assert np.isnan(self_discharge_rate(np.array([200.0, 400.0]), 1e-8)).all()
    with pytest.raises(ValueError, match="absolute zero"):
        self_discharge_rate(-1.0, 1e-8)
    early, late = (float(charge_after(z, MONTH, 1e-8, 0.0, 1.0)[1]) for z in (1.0, 0.5))
    assert late == pytest.approx(0.5 * early)
    assert float(decay_mean(0.0)) == 1.0


def test_every_type_has_a_rate_of_its_own() -> None:
    assert all(0.0 < self_discharge_of_type(name)[0] * MONTH < 0.15 for name in type_names())


# --- freezing and starting ---


def test_freezing_goes_by_the_acid_and_too_strong_an_acid_freezes_warmer_again() -> None:
    line = freezing_charge(np.linspace(225.0, 272.0, 30), BATTERY)
    assert np.all(np.diff(line) <= 1e-9)
    # the charge found is the one whose own acid freezes there
    acid = acid_of_charge(freezing_charge(np.array([255.15]), BATTERY), BATTERY)
    assert float(freezing_temperature(acid)[0]) == pytest.approx(255.15, abs=0.1)
    assert float(freezing_temperature(0.50)) > float(freezing_temperature(0.38))


def test_ice_grows_with_cold_and_with_emptiness() -> None:
    colder = ice_of_charge(np.full(5, 0.1), np.array([270.0, 262.0, 254.0, 246.0, 238.0]), BATTERY)
    emptier = ice_of_charge(np.array([0.6, 0.4, 0.2, 0.0]), np.full(4, 250.0), BATTERY)
    assert np.all(np.diff(colder) >= 0.0)
    assert np.all(np.diff(emptier) >= 0.0)
    assert colder[0] == 0.0 < colder[-1]


def example(kelvin: float = 263.15, current: float = 0.03, days: int = 200, strength: float = 1.0) -> Parked:
    return example_parked(kelvin, current, days, strength)


def days_of(parked: Parked) -> float:
    return float(happened(parked, recharge=0.7, deep=0.2).days.item())


@settings(max_examples=30, deadline=None)
@given(some.floats(0.0, 0.5), some.floats(0.0, 0.5))
def test_more_draw_never_stands_longer(current: float, more: float) -> None:
    assert days_of(example(current=current + more)) <= days_of(example(current=current)) + 1e-9


@settings(max_examples=30, deadline=None)
@given(some.floats(235.0, 290.0), some.floats(0.0, 30.0))
def test_a_disconnected_battery_asked_to_start_in_more_cold_stands_no_longer(
    kelvin: float, less: float
) -> None:
    # at one draw; self-discharge itself is slower in the cold, so it is left at that of the warmer place
    warm = example(kelvin)
    cold = replace(warm, weather=constant_weather(max(kelvin - less, 233.15), 200))
    assert days_of(cold) <= days_of(warm) + 1e-9


@settings(max_examples=20, deadline=None)
@given(some.floats(0.3, 3.0), some.floats(1.0, 3.0))
def test_a_smaller_or_a_weaker_battery_never_stands_longer(size: float, times: float) -> None:
    base = example()
    assert days_of(replace(base, size=size)) <= days_of(replace(base, size=size * times)) + 1e-9
    assert days_of(example(strength=1.0 / times)) <= days_of(base) + 1e-9


def test_what_the_inverses_say_is_so() -> None:
    parked = example(days=120)
    most = float(acceptable_draw(parked, 60).item())
    assert (
        days_of(replace(parked, draw=0.99 * most)) > 60.0 > days_of(replace(parked, draw=1.02 * most)) - 1.0
    )
    heavy = replace(parked, draw=0.2)
    size = float(needed_battery(heavy, 60).item())
    assert days_of(replace(heavy, size=1.05 * size)) > 60.0
    assert days_of(replace(heavy, size=0.9 * size)) < 60.0


def test_a_battery_that_cannot_start_at_all_has_no_day() -> None:
    hopeless = example(strength=1e-3)
    assert days_of(hopeless) == 0.0
    assert float(acceptable_draw(hopeless, 10).item()) == 0.0
    assert not np.isfinite(needed_battery(example(strength=1e-6), 10)).any()


def test_the_charge_that_starts_falls_with_size_and_warmth() -> None:
    grid = example().grid
    small, large = no_start_charge(grid, size=0.8), no_start_charge(grid, size=1.6)
    assert np.all(large <= small)
    assert np.all(np.diff(small, axis=0) <= 1e-9)


def test_a_response_of_nothing_keeps_everything() -> None:
    kept = Response(np.ones((3, 1)), np.zeros((3, 1)))
    assert np.all(kept.charge(0.7, 5.0) == 0.7)


# --- weather ---


def test_a_leap_day_is_a_second_last_of_february() -> None:
    years, days = days_of_year(date(2023, 12, 31), 80)
    assert years[0] == 0
    assert years[1] == 1
    assert days.max() == 364
    assert list(days[58:62]) == [57, 58, 58, 59]


def test_a_shed_is_milder_at_night_and_indoors_never_freezes() -> None:
    samples = draw(8, 4, 1)
    options = {"years": 4, "seed": 1, "mass": 17.0, "battery": "AGM", "sleeve": "none"}
    open_air, shed = (
        standing_weather(find("Winnipeg"), date(2025, 12, 1), 60, find_shelter(name), samples, **options)
        for name in ("street", "detached garage")
    )
    assert float(shed.coldest.min()) > float(open_air.coldest.min())
    assert open_air.hourly.shape == (1440, 8, 4)
    assert np.all(open_air.coldest <= open_air.hourly.reshape(60, 24, 8, 4).mean(axis=1))


def test_the_shape_of_a_type_is_what_freezing_asks() -> None:
    flat = freezing_charge(np.array([263.15]), Battery(battery_type("AGM").shape, 4e-3, 3e5))
    assert 0.0 < float(flat[0]) < 0.3
