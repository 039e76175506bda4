"""The numbers behind the pictures: they agree with the answer, run the right way, and can be drawn."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sizing.advice.pictures import at_the_posts, chance_by_age, need_by_night, nights
from sizing.advice.recommend import recommend
from sizing.inputs import demo_scenario, scenario_from_mapping
from sizing.report.drawing import Figure
from sizing.report.figures import age_figure, need_figure, nights_figure, posts_figure

# The answer mixes nights within the standard error of the place; the curve takes each as exact,
# and is straight between nights 5 K apart
NEAR_THE_ANSWER = 0.05


def asked(night: str, **vehicle: Any) -> Any:
    """Return a question without a battery."""
    engine = {"displacement": "2.0 l", "cylinders": 4, "fuel": "petrol"} | vehicle
    return scenario_from_mapping({"schema": 1, "vehicle": engine, "place": {"coldest_night": night}})


@pytest.mark.parametrize("night", ["10 °C", "-10 °C", "-20 °C", "-30 °C"])
def test_the_curve_passes_through_the_answer(night: str) -> None:
    scenario = asked(night)
    answer, picture = recommend(scenario), need_by_night(scenario)
    there = np.interp(answer.night.value, picture.outdoor[::-1], picture.at_goal.value[::-1])
    assert there == pytest.approx(answer.minimum.cold_cranking.value, rel=1e-6)


def test_the_curve_passes_near_the_answer_of_a_place() -> None:
    scenario = demo_scenario()
    answer, picture = recommend(scenario), need_by_night(scenario)
    there = np.interp(answer.night.value, picture.outdoor[::-1], picture.at_goal.value[::-1])
    assert there == pytest.approx(answer.minimum.cold_cranking.value, rel=NEAR_THE_ANSWER)


def test_colder_asks_for_more_and_gives_less() -> None:
    need, posts = need_by_night(demo_scenario()), at_the_posts(demo_scenario(), 640.0)
    ends = np.isfinite(need.at_goal.value)
    assert np.all(np.diff(need.at_goal.value[ends]) > 0.0)
    assert np.all(need.when_new.value[ends] < need.at_goal.value[ends])
    assert np.all(np.diff(posts.needed.value[ends]) > 0.0)
    assert np.all(np.diff(posts.given.value[ends]) < 0.0)


def test_the_curve_ends_where_the_oil_is_too_stiff() -> None:
    picture = need_by_night(asked("-20 °C", oil="20W-50"))
    assert picture.limit_reason == "oil"
    assert np.all(np.isnan(picture.at_goal.value[picture.outdoor < picture.limit - 5.0]))
    assert np.all(np.isfinite(picture.at_goal.value[picture.outdoor > picture.limit]))


def test_chance_falls_with_age_and_is_the_wanted_one_at_the_age_to_reach() -> None:
    scenario = demo_scenario()
    answer = recommend(scenario)
    picture = chance_by_age(scenario, answer)
    assert picture is not None
    assert picture.in_hand is not None
    for chance in (picture.recommended, picture.in_hand):
        assert np.all(np.diff(chance) <= 0.0)
        assert np.all((chance >= 0.0) & (chance <= 1.0))
    reached = picture.recommended[picture.ages == scenario.goal.age_years]
    assert reached == pytest.approx(scenario.goal.chance, abs=1e-3)  # 4096 samples
    assert answer.in_hand is not None
    assert picture.in_hand[picture.ages == 4.0] == pytest.approx(answer.in_hand.chance_at_goal)


def test_rarer_nights_are_colder_and_the_chosen_one_is_the_answer_s() -> None:
    scenario = demo_scenario()
    goal = scenario.goal.model_copy(update={"return_period_years": 33.0})
    for question in (scenario, scenario.model_copy(update={"goal": goal})):
        picture = nights(question)
        assert picture is not None
        assert np.all(np.diff(picture.temperature.value) < 0.0)
        assert picture.temperature.value[picture.chosen] == recommend(question).night.value
    assert nights(asked("-20 °C")) is None


@settings(max_examples=12, deadline=None)
@given(
    night=st.integers(-55, 35),
    litres=st.floats(0.3, 0.9),
    fuel=st.sampled_from(["petrol", "diesel"]),
    oil=st.sampled_from(["0W-20", "5W-30", "15W-40", "20W-50"]),
    chance=st.sampled_from([0.5, 0.95, 0.995]),
)
def test_every_picture_can_be_drawn(night: int, litres: float, fuel: str, oil: str, chance: float) -> None:
    scenario = asked(f"{night} °C", displacement=f"{litres * 4:.2f} l", fuel=fuel, oil=oil)
    scenario = scenario.model_copy(update={"goal": scenario.goal.model_copy(update={"chance": chance})})
    answer = recommend(scenario)
    figures: list[Figure] = [need_figure(need_by_night(scenario), answer)]
    if np.isfinite(answer.minimum.cold_cranking.value):
        posts = at_the_posts(scenario, answer.minimum.cold_cranking.value)
        figures.append(posts_figure(posts, answer))
    ages = chance_by_age(scenario, answer)
    if ages is not None:
        figures.append(age_figure(ages, answer))
    for figure in figures:
        # what a browser reads holds neither NaN nor infinity
        assert json.dumps(figure.chart.to_dict(), allow_nan=False)
        assert all(cell for row in figure.table for cell in row.values())


def test_the_nights_can_be_drawn_in_both_systems() -> None:
    scenario = demo_scenario()
    picture, answer = nights(scenario), recommend(scenario)
    assert picture is not None
    shown = scenario.model_copy(update={"show": scenario.show.model_copy(update={"units": "US"})})
    metric, us = (nights_figure(picture, replace(answer, scenario=s)) for s in (scenario, shown))
    assert metric.table[0]["coldest night"].endswith("°C")
    assert us.table[0]["coldest night"].endswith("°F")
