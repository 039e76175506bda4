"""The command ``life``: from a scenario to years, the worth of a shield, and when to replace."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from click.testing import CliRunner

from sizing.advice.life import LifeAnswer
from sizing.advice.life import life as answer_of
from sizing.commands.life import HELP, life
from sizing.inputs import ScenarioError, scenario_from_mapping
from sizing.report.life_figures import life_figures
from sizing.report.life_json import life_object
from sizing.report.life_text import answer_sentence, heat_sentences, plain_lines

CAR = """
schema = 1
[vehicle]
displacement = "1.6 l"
cylinders = 4
fuel = "petrol"
[place]
name = "Phoenix"
[battery]
type = "flooded calcium"
cold_cranking = "560 A"
standard = "EN"
capacity = "60 Ah"
age = "2 years"
[life]
shield = "none"
trips_per_week = 12
trip_minutes = "20 min"
"""


def answer(**life: Any) -> LifeAnswer:
    mapping = tomllib.loads(CAR)
    return answer_of(scenario_from_mapping({**mapping, "life": {**mapping["life"], **life}}), wide=False)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Return what the command prints for the car above, asked for once."""
    path = tmp_path_factory.mktemp("life") / "car.toml"
    path.write_text(CAR, encoding="utf-8")
    result = CliRunner().invoke(life, [str(path), "--json"], catch_exceptions=False)
    told: dict[str, Any] = json.loads(result.output)
    return told


@pytest.fixture(scope="module")
def narrow() -> LifeAnswer:
    """Return the same answer without the changes beyond shields."""
    return answer()


def test_without_arguments_the_demo_is_answered_and_said_to_be_invented() -> None:
    result = CliRunner().invoke(life, [], catch_exceptions=False)
    assert result.output.startswith("In the engine bay without any shield")
    assert "invented" in result.output
    assert "manual goes first" in result.output


def test_years_stand_in_order_for_every_variant(found: dict[str, Any]) -> None:
    for variant in found["variants"]:
        years = variant["years"]
        assert 0.5 < years["p10"] < years["median"] < years["p90"] < 20.0
        interval = variant["months_gained_interval"]
        assert interval["low"] <= variant["months_gained"] <= interval["high"]


def test_the_variant_asked_about_comes_first_and_gains_nothing(found: dict[str, Any]) -> None:
    first = found["variants"][0]
    assert first["kind"] == "asked"
    assert first["months_gained"] == 0.0
    assert first["years"] == found["years"]
    assert first["settings"]["shield"] == "none"
    gains = [variant["months_gained"] for variant in found["variants"][1:]]
    assert gains == sorted(gains, reverse=True)


def test_shields_places_types_and_habits_are_compared(found: dict[str, Any]) -> None:
    kinds = {variant["kind"] for variant in found["variants"]}
    assert {"shield", "location", "type", "larger", "voltage", "charging", "garage", "longer"} <= kinds
    shields = {v["settings"]["shield"] for v in found["variants"] if v["kind"] == "shield"}
    assert {"sleeve", "reflective"} <= shields
    gained = {v["settings"]["location"]: v["months_gained"] for v in found["variants"]}
    assert gained["trunk"] > 0.0


TRUCK = """
schema = 1
[vehicle]
displacement = "12.8 l"
cylinders = 6
fuel = "diesel"
oil = "15W-40"
system_voltage = "24 V"
[place]
name = "Winnipeg"
[battery]
type = "flooded calcium"
cold_cranking = "1150 A"
standard = "EN"
capacity = "225 Ah"
"""
YAKUTSK = """
schema = 1
[vehicle]
displacement = "3.0 l"
cylinders = 6
fuel = "diesel"
oil = "5W-40"
[place]
name = "Yakutsk"
shelter = "detached garage"
[battery]
type = "AGM"
cold_cranking = "850 A"
standard = "EN"
capacity = "95 Ah"
"""


@pytest.fixture(scope="module")
def unstartable() -> LifeAnswer:
    """Return the life of a battery with an engine that no battery starts in the hardest nights."""
    return answer_of(scenario_from_mapping(tomllib.loads(YAKUTSK)), wide=False)


def test_months_gained_add_up_to_the_medians_told(found: dict[str, Any]) -> None:
    truck = life_object(answer_of(scenario_from_mapping(tomllib.loads(TRUCK))))
    for told in (found, truck):
        for variant in told["variants"]:
            # both ends of the sum are rounded to 0.01 years
            gained = 12.0 * (variant["years"]["median"] - told["years"]["median"])
            assert variant["months_gained"] == pytest.approx(gained, abs=0.13)


def test_where_no_battery_starts_the_engine_that_is_said_first(unstartable: LifeAnswer) -> None:
    lines = plain_lines(unstartable)
    assert lines[0].startswith("No battery starts this engine on the coldest mornings here without heat")
    assert life_object(unstartable)["unstartable"] == "oil"
    why = lines[lines.index("Why") + 1]
    assert "does not start" in why
    assert not any("wears it out most" in line for line in lines)


def test_a_life_of_days_is_told_as_less_than_a_month(unstartable: LifeAnswer) -> None:
    text = " ".join(plain_lines(unstartable))
    assert "gone after less than a month" in text
    assert "does not reach a whole month" in text
    assert "no months" not in text


def test_an_engine_that_starts_is_not_said_to_be_unstartable(narrow: LifeAnswer) -> None:
    assert life_object(narrow)["unstartable"] is None
    assert plain_lines(narrow)[0].startswith("In the engine bay")


def test_what_is_taken_as_usual_is_told_in_words_beside_its_key(narrow: LifeAnswer) -> None:
    (line,) = [line for line in plain_lines(narrow) if "Taken as usual" in line]
    assert "parked in the sun (life.parked_in_sun)" in line
    assert "life.shield" not in line  # it was told
    trunk = [line for line in plain_lines(answer(location="trunk")) if "Taken as usual" in line]
    assert "life.position" not in trunk[0]  # only an engine bay has a front corner


def test_shares_of_wear_and_of_ends_add_up_to_one(found: dict[str, Any]) -> None:
    for name in ("causes", "led_by", "ended_by"):
        assert sum(found[name].values()) == pytest.approx(1.0, abs=1e-3)
    assert sum(found["hours_by_temperature"]["hours"]) == pytest.approx(8760.0, rel=1e-4)
    survival = found["survival_by_month"]
    assert survival[0] == 1.0
    assert all(a >= b for a, b in pairwise(survival))


def test_the_keys_are_those_that_the_help_promises(found: dict[str, Any]) -> None:
    promised = HELP.split("Keys of --json:")[1].split("Ends with")[0]
    for key in found:
        assert key in promised
    assert set(found["variants"][0]) <= set(
        promised.replace(",", " ").replace("[", " ").replace("]", " ").split()
    )


def test_a_season_is_named_before_which_it_is_better_replaced(found: dict[str, Any]) -> None:
    told = found["replace"]
    assert told["before"]["season"] in ("winter", "summer")
    assert told["before"]["chance_of_failing"] > told["chance_bound"]
    # the battery of the scenario is two years old
    assert {season["age_years"] for season in told["battery_in_hand"]} == {2}
    chances = [s["chance_of_failing"] for s in told["seasons"] if s["season"] == "summer"]
    assert chances == sorted(chances)


def test_where_a_breakdown_costs_nothing_waiting_is_never_dearer() -> None:
    told = life_object(answer(breakdown_cost="0"))["replace"]
    assert told["before"] is None
    assert told["planned_months"] is None


def test_no_number_of_degrees_is_promised_for_a_shield(narrow: LifeAnswer) -> None:
    text = " ".join(plain_lines(narrow))
    assert "no number of degrees" in text
    # what a shield does is told with the day, the place and the use that it was computed for
    assert "hottest day looked at" in text
    assert answer(location="trunk").shields == ()


def test_degrees_behind_a_shield_stand_with_their_range(narrow: LifeAnswer) -> None:
    (told,) = [line for line in heat_sentences(narrow) if line.startswith("That day it would reach")]
    low, high = re.findall(r"(\d+) °C", told)[1:3]
    assert int(low) < int(high)
    day = life_object(narrow)["variants"][1]
    assert day["highest_battery_c_interval"]["low"] < day["highest_battery_c"]
    assert day["highest_battery_c"] < day["highest_battery_c_interval"]["high"]


SLOW = {"position": "behind the engine", "trips_per_week": 28, "trip_minutes": "300 min"}


@pytest.mark.parametrize("shield", ["none", "sleeve and reflective"])
def test_a_sleeve_that_harms_is_said_to_whatever_is_asked_about(shield: str) -> None:
    assert any("does harm" in line for line in heat_sentences(answer(shield=shield, **SLOW)))


def test_a_sleeve_that_helps_is_not_said_to_harm_beside_a_better_shield() -> None:
    assert not any("does harm" in line for line in heat_sentences(answer(shield="sleeve and reflective")))


def test_a_no_start_is_told_by_cause_and_month(found: dict[str, Any]) -> None:
    by_cause = found["no_start_by_cause_and_calendar_month"].values()
    whole = [sum(shares) for shares in zip(*by_cause, strict=True)]
    assert whole == pytest.approx(found["chance_of_no_start_by_calendar_month"], abs=1e-3)


@pytest.mark.parametrize(("kind", "words"), [("AGM", "an AGM"), ("flooded calcium", "a flooded")])
def test_the_article_goes_with_the_type(kind: str, words: str, narrow: LifeAnswer) -> None:
    assert f" {words} " in answer_sentence(replace(narrow, type=kind))


def test_a_shield_in_a_cooler_place_gains_less(narrow: LifeAnswer) -> None:
    mapping = {**tomllib.loads(CAR), "place": {"name": "Winnipeg"}}
    cold = answer_of(scenario_from_mapping(mapping), wide=False)
    assert cold.asked.years.median > narrow.asked.years.median
    assert cold.asked.damage["corrosion"] < narrow.asked.damage["corrosion"]


def test_every_figure_has_a_sentence_units_and_a_table(narrow: LifeAnswer) -> None:
    figures = life_figures(narrow)
    assert len(figures) >= 4
    for figure in figures:
        assert figure.sentence
        assert figure.table
        assert figure.chart.to_dict()


@pytest.mark.parametrize(
    ("section", "field"),
    [
        ({"location": "roof"}, "life.location"),
        ({"shield": "magic"}, "life.shield"),
        ({"trips_per_week": 0}, "life.trips_per_week"),
        ({"trip_minutes": "-5 min"}, "life.trip_minutes"),
        ({"charging_voltage": "24 V"}, "life.charging_voltage"),
        ({"sheild": "none"}, "life.sheild"),
    ],
)
def test_a_wrong_field_gets_one_line_that_says_what_is_accepted(section: dict[str, Any], field: str) -> None:
    with pytest.raises(ScenarioError) as raised:
        answer(**section)
    (fault,) = raised.value.faults
    assert fault.field == field
    assert fault.accepted
