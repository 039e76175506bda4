"""The command ``start``: from a scenario to sentences or one JSON object."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from sizing.advice.first_seconds import first_seconds
from sizing.commands.first_seconds import HELP, start
from sizing.inputs import (
    Fault,
    ScenarioError,
    demo_mapping,
    demo_scenario,
    load_scenario,
    scenario_from_mapping,
)
from sizing.report.start_figures import faults_figure, trace_figure
from sizing.report.start_text import start_object

CAR = """
schema = 1
[vehicle]
displacement = "2.0 l"
cylinders = 4
fuel = "petrol"
oil = "5W-30"
[place]
coldest_night = "-20 °C"
[battery]
cold_cranking = "640 A"
standard = "EN"
capacity = "70 Ah"
charge = "80 %"
"""


def told(*arguments: str) -> str:
    result = CliRunner().invoke(start, list(arguments), catch_exceptions=False)
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


def test_without_arguments_the_demo_is_answered_and_said_to_be_invented() -> None:
    text = told()
    assert text.startswith("The engine breaks away")
    assert "invented" in text
    assert "never charged nor jumped" in text


def test_a_file_is_answered_and_is_not_called_invented(car: str) -> None:
    assert "invented" not in told(car)


def test_every_key_of_the_object_is_in_the_help(car: str) -> None:
    found = as_object(car)
    keys = set(found) - {"demo"}
    assert not [key for key in keys if key not in HELP]
    assert {"average", "minimum_hold", "sampling_s"} == set(found["meter"])
    assert found["breaks_away"] is True
    assert len(found["time_s"]) == len(found["volts"]) == len(found["amperes"]) == len(found["rpm"]) > 200
    assert found["time_s"][0] == 0.0
    assert found["time_s"][-1] == 3.0
    assert min(found["volts"]) == pytest.approx(found["dip_volts"], abs=0.05)


def test_the_same_start_is_compared_with_each_fault(car: str) -> None:
    found = {each["name"]: each for each in as_object(car)["comparison"]}
    assert list(found) == ["sound", "weak battery", "thick oil", "bad cable"]
    sound = found["sound"]
    assert all(each["mean_rpm"] < sound["mean_rpm"] for name, each in found.items() if name != "sound")
    assert found["weak battery"]["plateau_volts"] < sound["plateau_volts"] - 0.5
    assert found["thick oil"]["mean_amperes"] > 1.15 * sound["mean_amperes"]
    assert found["bad cable"]["plateau_volts"] > found["weak battery"]["plateau_volts"] + 0.5
    assert found["bad cable"]["dip_volts"] > sound["dip_volts"] + 0.5


def test_flags_go_before_the_file(car: str) -> None:
    cold, warm = as_object(car), as_object(car, "--coldest-night", "0C")
    assert warm["engine_c"] > cold["engine_c"] + 15.0
    assert warm["mean_rpm"] > cold["mean_rpm"]
    assert as_object(car, "--charge", "50%")["plateau_volts"] < cold["plateau_volts"]
    assert as_object(car, "--oil", "0W-20")["mean_amperes"] < cold["mean_amperes"]
    assert as_object(car, "--cable-resistance", "4 mΩ")["mean_rpm"] < cold["mean_rpm"]


def test_another_spelling_of_the_place_is_said(tmp_path: Path) -> None:
    for typed, said in (("Melborne", True), ("melbourne", False)):
        path = tmp_path / f"{typed}.toml"
        path.write_text(TRUCK.replace("Winnipeg", typed), encoding="utf-8")
        assert (f"{typed} is read as Melbourne, AU." in told(str(path))) is said


def test_a_stop_angle_is_taken(car: str) -> None:
    found = as_object(car, "--stop-angle", "45")
    assert found["stop_angle_deg"] == 45.0
    assert found["worst_stop_angle_deg"] == pytest.approx(130.0, abs=10.0)


def test_a_stop_angle_beyond_a_cycle_is_refused(car: str) -> None:
    result = CliRunner().invoke(start, [car, "--stop-angle", "800"])
    assert result.exit_code == 2
    assert "0" in result.output
    assert "720" in result.output


def without_battery() -> dict[str, Any]:
    mapping = demo_mapping()
    del mapping["battery"]
    return mapping


def test_a_scenario_without_a_battery_says_so() -> None:
    with pytest.raises(ScenarioError) as caught:
        first_seconds(scenario_from_mapping(without_battery()))
    (fault,) = caught.value.faults
    assert isinstance(fault, Fault)
    assert fault.field == "battery.cold_cranking"


@pytest.mark.parametrize(
    ("field", "section", "told"),
    [
        ("vehicle.starter_power", "vehicle", {"starter_power": "12 kW"}),
        ("place.coldest_night", "place", {"coldest_night": "-60 °C"}),
        ("battery.cold_cranking", "battery", {"cold_cranking": "2400 A", "capacity": "6 Ah"}),
    ],
)
def test_what_cannot_be_computed_is_refused_by_its_field(
    field: str, section: str, told: dict[str, str]
) -> None:
    mapping = demo_mapping()
    kept = {} if section == "place" else mapping[section]
    mapping[section] = {**kept, **told}
    with pytest.raises(ScenarioError) as caught:
        first_seconds(scenario_from_mapping(mapping))
    assert [fault.field for fault in caught.value.faults] == [field]


def test_too_cold_an_engine_is_shown_after_warming_and_says_so() -> None:
    mapping = demo_mapping()
    mapping["place"] = {"coldest_night": "-48 °C"}
    answer = first_seconds(scenario_from_mapping(mapping))
    assert answer.blocked
    assert answer.engine_temperature > answer.outdoor + 5.0
    assert any("has been warmed" in line for line in start_object(answer)["details"])


def test_a_battery_of_two_in_series_carries_half_the_amperes() -> None:
    mapping = demo_mapping()
    mapping["place"] = {"coldest_night": "-10 °C"}
    one = first_seconds(scenario_from_mapping(mapping))
    mapping["vehicle"] = {**mapping["vehicle"], "system_voltage": "24 V", "batteries_in_parallel": 1}
    two = first_seconds(scenario_from_mapping(mapping))
    assert (one.share, two.share) == (1.0, 0.5)
    assert start_object(two)["mean_amperes"] < 0.6 * start_object(one)["mean_amperes"]


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


def test_at_24_volts_it_is_said_whose_volts_are_told(car: str, tmp_path: Path) -> None:
    path = tmp_path / "truck.toml"
    path.write_text(TRUCK, encoding="utf-8")
    assert "those of one 12 V battery; the vehicle has two in series" in told(str(path))
    assert "in series" not in told(car)
    answer = first_seconds(load_scenario(str(path)))
    chart, _ = faults_figure(answer).charts[0]
    assert "of one battery [V]" in json.dumps(chart.to_dict())
    # the same power at twice the volts: a cable of four times the resistance loses twice the volts
    assert "(20 mΩ in the circuit)" in told(str(path))
    assert "(5 mΩ in the circuit)" in told(car)


def test_a_crank_that_stands_is_not_told_by_amps_or_speed(tmp_path: Path) -> None:
    path = tmp_path / "truck.toml"
    path.write_text(TRUCK, encoding="utf-8")
    text = told(str(path))
    assert "does not break away" in text
    assert " 0 A more" not in text
    assert "0 % slower" not in text
    assert "A standing crank does not tell it" in text


def test_charts_have_three_panels_over_one_time_and_every_fault() -> None:
    answer = first_seconds(demo_scenario())
    for figure, names in ((trace_figure(answer), 1), (faults_figure(answer), 4)):
        drawn = [chart.to_dict() for chart, _ in figure.charts]
        assert len(drawn) == 3
        assert len(figure.table) == names
        text = json.dumps(drawn)
        assert all(unit in text for unit in ("[V]", "[A]", "[rev/min]", "[s]"))
        assert "level I" in text
