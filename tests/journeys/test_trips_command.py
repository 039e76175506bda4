"""The command ``trips``: from a scenario to sentences or one JSON object, and on to a recommendation."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from sizing.advice.case import make_case
from sizing.advice.recommend import recommend
from sizing.advice.trips import balance
from sizing.commands.trips import HELP, trips
from sizing.inputs import ScenarioError, scenario_from_mapping
from sizing.report.text import assumed_lines
from sizing.report.trips_figures import month_figure
from sizing.report.trips_text import balance_object

CAR = """
schema = 1
[vehicle]
displacement = "1.4 l"
cylinders = 4
fuel = "petrol"
oil = "5W-30"
[place]
coldest_night = "-20 °C"
[battery]
cold_cranking = "600 A"
standard = "EN"
capacity = "60 Ah"
age = "2 years"
"""


def told(*arguments: str) -> str:
    result = CliRunner().invoke(trips, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


def as_object(*arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(*arguments, "--json"))
    return found


@pytest.fixture
def car(tmp_path: Path) -> str:
    path = tmp_path / "car.toml"
    path.write_text(CAR, encoding="utf-8")
    return str(path)


def mapping(**section: Any) -> dict[str, Any]:
    return {**tomllib.loads(CAR), "trips": section}


def test_without_arguments_the_demo_is_answered_and_said_to_be_invented() -> None:
    text = told()
    assert text.startswith(("On these trips", "These trips"))
    assert "invented" in text
    assert "Never charge or" in text
    assert "assumption" in text


def test_a_file_is_answered_and_is_not_called_invented(car: str) -> None:
    found = as_object(car, "--minutes", "5min", "--temperature", "-10C")
    assert found["demo"] == ""
    assert found["minutes"] == 5.0
    assert found["outdoor_c"] == {"value": -10.0, "low": -10.0, "high": -10.0}
    assert "trips.loads" in found["assumed"]
    assert "trips.minutes" not in found["assumed"]


def test_the_keys_are_those_that_the_help_promises(car: str) -> None:
    found = as_object(car)
    promised = HELP.split("Keys of --json:")[1].split("Ends with")[0]
    for key in found:
        assert key in promised
    for name in ("settled_charge_percent", "winter_charge_percent"):
        ends = found[name]
        assert 0.0 <= ends["low"] <= ends["value"] <= ends["high"] <= 100.0
    assert found["cautions"]


def test_where_no_charging_is_needed_null_comes_with_a_sentence(car: str) -> None:
    found = as_object(car, "--minutes", "100min", "--temperature", "20C", "--trips-per-week", "14")
    assert found["charge_every_days"]["value"] is None
    assert "stays above" in found["charge_every_days"]["sentence"]
    assert found["chance_above_80_percent"] > 0.95
    assert found["answer"].startswith("These trips keep")


def test_loads_above_the_alternator_leave_no_drive_long_enough(car: str) -> None:
    found = as_object(car, "--loads", "70A", "--alternator", "60A")
    assert found["shortest_drive_minutes"]["value"] is None
    assert found["week_ah"]["stored"] < 0.0
    assert "loads" in [remedy["kind"] for remedy in found["remedies"]] or found["chance_flat"] > 0.5


def test_short_cold_trips_ask_for_a_charger_and_the_remedies_help(car: str) -> None:
    found = as_object(car, "--minutes", "4min", "--temperature", "-15C")
    days = found["charge_every_days"]
    assert 1.0 < days["low"] <= days["value"] < 60.0
    assert found["weekly_need_ah"]["value"] > 0.5
    gains = [remedy["gain_percent"] for remedy in found["remedies"]]
    assert gains == sorted(gains, reverse=True)
    assert gains[0] > 1.0
    # what is missing each week, given, keeps it: the sum of the week says the same as the course of it
    week = found["week_ah"]
    lacking = week["started"] + week["drawn"] + week["lost"] - week["stored"]
    assert found["weekly_need_ah"]["value"] == pytest.approx(lacking, abs=0.6)
    kept = as_object(car, "--minutes", "4min", "--temperature", "-15C", "--weekly-charge", "12Ah")
    assert kept["chance_above_80_percent"] > 0.9


@pytest.mark.parametrize(
    ("flags", "field"),
    [
        (("--minutes", "0min"), "trips.minutes"),
        (("--draw", "-1mA"), "trips.draw"),
        (("--draw", "25A"), "trips.draw"),
        (("--trips-per-week", "0"), "trips.trips_per_week"),
        (("--minutes", "300min", "--trips-per-week", "90"), "trips.minutes"),
        (("--weekly-charge", "much"), "trips.weekly_charge"),
    ],
)
def test_a_wrong_field_gets_one_line_that_says_what_is_accepted(
    car: str, flags: tuple[str, ...], field: str
) -> None:
    with pytest.raises(ScenarioError) as raised:
        CliRunner().invoke(trips, [car, *flags], catch_exceptions=False)
    (fault,) = raised.value.faults
    assert fault.field == field
    assert fault.accepted


def test_a_recommendation_counts_with_the_charge_of_the_trips() -> None:
    usual = make_case(scenario_from_mapping(tomllib.loads(CAR))).samples["charge"]
    short = make_case(scenario_from_mapping(mapping(minutes="5 min"))).samples["charge"]
    long = make_case(scenario_from_mapping(mapping(minutes="90 min"))).samples["charge"]
    assert np.median(short) < np.median(usual) < np.median(long)
    assert ((short >= 0.0) & (long <= 1.0)).all()


def test_a_recommendation_says_that_its_charge_is_that_of_the_trips() -> None:
    lines = assumed_lines(recommend(scenario_from_mapping(mapping(minutes="20 min"))))
    assert any("told trips" in line for line in lines)
    assert not any("60 to 95 %" in line for line in lines)


def test_a_charge_that_is_told_goes_before_that_of_the_trips() -> None:
    question = mapping(minutes="5 min")
    question["battery"]["charge"] = "90 %"
    assert make_case(scenario_from_mapping(question)).samples["charge"].item() == 0.9


def test_the_picture_says_what_the_answer_says() -> None:
    answer = balance(scenario_from_mapping(mapping(minutes="8 min")))
    figure = month_figure(answer)
    assert figure.table[0]["charge"] == "100 %"
    last = figure.chart.to_dict()
    assert "state of charge [%]" in json.dumps(last)
    assert (answer.month.low <= answer.month.middle).all()
    assert (answer.month.middle <= answer.month.high).all()
    assert answer.month.time[-1] == pytest.approx(28 * 86400.0)


def test_the_same_seed_gives_the_same_answer() -> None:
    first, second = (balance_object(balance(scenario_from_mapping(mapping()))) for _ in range(2))
    assert first == second
