"""Readings of a battery in hand: what is read, what is set aside, and where a limit turns a reading."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.advice.condition_case import BEYOND_LABEL, measured_share, question_of, seasons
from sizing.advice.condition_faults import window_of
from sizing.inputs import Readings, Scenario, ScenarioError, demo_mapping, scenario_from_mapping

LIGHT = settings(max_examples=30, deadline=None)


def scenario(**readings: Any) -> Scenario:
    return scenario_from_mapping({**demo_mapping(), "readings": readings})


def told(question: Scenario) -> Readings:
    assert question.readings is not None
    return question.readings


@LIGHT
@given(volts=st.floats(1.0, 13.5))
def test_a_rest_voltage_is_read_as_typed_and_set_aside_only_when_it_is_too_much(volts: float) -> None:
    question = question_of(scenario(rest_voltage=f"{volts:.4f} V"))
    aside = [finding.about for finding in question.set_aside]
    assert ("rest_voltage" in aside) == (round(volts, 4) > 12.9)
    assert (question.taken.rest_voltage is None) == ("rest_voltage" in aside)


@LIGHT
@given(st.lists(st.floats(0.9, 1.45), min_size=0, max_size=8))
def test_six_gravities_in_range_are_read_and_nothing_else(cells: list[float]) -> None:
    right = len(cells) == 6 and all(1.0 <= cell <= 1.35 for cell in cells)
    if right:
        assert told(scenario(specific_gravity=cells)).specific_gravity == tuple(cells)
        return
    with pytest.raises(ScenarioError):
        scenario(specific_gravity=cells)


@LIGHT
@given(warm=st.floats(-19.0, 60.0), more=st.floats(0.5, 10.0))
def test_the_window_falls_with_warmth_and_without_a_temperature_holds_that_of_usual_ones(
    warm: float, more: float
) -> None:
    def window(**readings: str) -> tuple[float, float, float]:
        question = scenario(**readings)
        return window_of(question, told(question))

    low, high, at = window(battery_temperature=f"{warm} °C")
    lower, higher, _ = window(battery_temperature=f"{warm + more} °C")
    assert lower < low < high
    assert higher < high
    assert at == pytest.approx(warm + 273.15)
    widest = window(ripple="0.1 V")
    assert math.isnan(widest[2])
    usual = window(battery_temperature="20 °C")
    assert widest[0] <= usual[0] < usual[1] <= widest[1]


@LIGHT
@given(amperes=st.floats(100.0, 2400.0))
def test_amperes_are_set_aside_from_twice_the_label_on(amperes: float) -> None:
    question = scenario(measured_cold_cranking=f"{amperes} A", measured_standard="EN")
    label = question.battery
    assert label is not None
    share = measured_share(told(question), label)
    assert share == pytest.approx(amperes / 640.0)
    aside = [finding.about for finding in question_of(question).set_aside]
    assert ("measured_cold_cranking" in aside) == (share > BEYOND_LABEL)


def test_a_slip_in_another_standard_is_compared_in_that_of_the_label() -> None:
    question = scenario(measured_cold_cranking="640 A", measured_standard="DIN")
    label = question.battery
    assert label is not None
    # as many amperes by DIN, at the same cold to a higher voltage, are a stronger battery
    assert measured_share(told(question), label) > 1.2


@given(day=st.dates(date(2020, 1, 1), date(2035, 12, 31)), south=st.booleans())
def test_winter_and_autumn_lie_within_a_year_and_change_places_across_the_equator(
    day: date, south: bool
) -> None:
    found = seasons(day, -40.0 if south else 40.0)
    assert 0.0 <= found["years_to_winter"] < 1.0
    assert 0.1 < found["years_to_autumn"] < 1.3
    other = seasons(date(day.year, (day.month + 5) % 12 + 1, min(day.day, 28)), 40.0 if south else -40.0)
    assert other["years_to_winter"] == pytest.approx(found["years_to_winter"], abs=0.02)
