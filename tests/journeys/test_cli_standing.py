"""Somebody asks how long a vehicle may stand: demo, file, flags, JSON, wrong fields."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from sizing.advice.standing import KINDS
from sizing.commands.standing import standing
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping

FILE = """
schema = 1
[vehicle]
displacement = "2.0 l"
cylinders = 4
fuel = "petrol"
[place]
name = "Winnipeg"
[battery]
type = "flooded calcium"
cold_cranking = "550 A"
standard = "SAE"
capacity = "60 Ah"
reserve = "92 min"
age = "5 years"
[standing]
draw = "23 mA"
days = 30
starts_at = "100 %"
temperature = "25 °C"
"""


def asked(*arguments: str) -> Result:
    return CliRunner().invoke(standing, arguments, catch_exceptions=True)


@cache
def answered(*arguments: str) -> Mapping[str, Any]:
    found = asked(*arguments, "--json")
    assert found.exit_code == 0, found.output
    return dict(json.loads(found.output))


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "car.toml"
    path.write_text(FILE, encoding="utf-8")
    return str(path)


def test_the_demo_answers_and_says_that_it_is_invented() -> None:
    text = asked().output
    assert text.splitlines()[0].startswith("It will probably stand about")
    assert "invented car" in text
    assert "Never charge or load-test or jump-start a frozen battery" in text
    assert "The earth lead" in text
    assert "Wait at least an hour after locking" in text


def test_the_demo_in_json_has_what_scripts_count_on() -> None:
    found = answered()
    assert set(found["days"]) >= {"value", "low", "high"}
    assert found["days"]["low"] <= found["days"]["value"] <= found["days"]["high"]
    assert found["first_event"] == "first ice"
    assert {event["kind"] for event in found["events"]} == set(KINDS)
    for event in found["events"]:
        assert 0.0 <= event["chance"] <= 1.0
        assert event["date"] is None or date.fromisoformat(event["date"]) >= date(2025, 10, 20)
    assert found["demo"]
    # what the vehicle and self-discharge took is what is gone
    assert found["drawn_ah"] > found["self_discharge_ah"] > 0.0
    assert found["remedies"][0]["chance"] <= found["remedies"][-1]["chance"]


def test_a_file_with_a_constant_temperature_needs_no_weather(file: str) -> None:
    found = answered(file)
    assert found["first_event"] == "no start"
    assert found["asked_days"] == 30
    assert found["days"]["value"] > 30.0
    assert found["rule_days"] == pytest.approx(40.0, abs=0.1)
    assert found["demo"] is None
    # 23 mA for 30 days, to the hundredth
    assert found["drawn_ah"] == pytest.approx(0.023 * 24 * 30, abs=0.006)


@pytest.mark.parametrize(
    ("change", "shorter"),
    [
        (("--draw", "60mA"), True),
        (("--starts-at", "70%"), True),
        (("--temperature", "-20C"), True),
        (("--draw", "10mA"), False),
    ],
)
def test_flags_go_before_the_file(file: str, change: tuple[str, ...], shorter: bool) -> None:
    base, changed = answered(file)["days"]["value"], answered(file, *change)["days"]["value"]
    assert (changed < base) is shorter


def test_a_disconnected_battery_in_a_cool_place_outlasts_what_is_looked_at(file: str) -> None:
    found = answered(file, "--disconnected", "--temperature", "10C")
    assert found["days"]["value"] is None
    assert found["days"]["sentence"].startswith("null: neither")
    assert found["first_event"] is None
    assert found["answer"].startswith("Neither comes")
    assert found["drawn_ah"] == 0.0


def test_a_flat_battery_in_the_cold_is_frozen_before_anything_else(file: str) -> None:
    found = answered(file, "--starts-at", "20%", "--temperature", "-25C")
    assert found["days"]["value"] == 0.0
    assert found["ice_share"]["value"] > 0.0
    assert any("No threshold" in line for line in found["details"])


def test_to_on_the_command_line_replaces_days_in_the_file(file: str) -> None:
    found = answered(file, "--from", "2025-10-20", "--to", "2025-11-09")
    assert found["asked_days"] == 20
    assert found["parked_on"] == "2025-10-20"


@pytest.mark.parametrize(
    ("section", "field", "said"),
    [
        ({"draw": "-5 mA"}, "standing.draw", "from 0 mA to 20 A"),
        ({"draw": "25 A"}, "standing.draw", "from 0 mA to 20 A"),
        ({"draw": 28}, "standing.draw", "with its unit"),
        ({"from": "2025-10-20", "to": "2025-10-01"}, "standing.to", "a day after 2025-10-20"),
        ({"from": "20.10.2025"}, "standing.from", "2025-10-20"),
        ({"from": "2025-02-30"}, "standing.from", "year, month, day"),
        ({"to": "2026-04-15"}, "standing.from", "the day on which it is parked"),
        ({"days": 0}, "standing.days", "from 1 day to 1095 days"),
        ({"days": 20, "from": "2025-10-20", "to": "2025-12-01"}, "standing.days", "one of them"),
        ({"starts_at": "120 %"}, "standing.starts_at", "from 5 % to 100 %"),
        ({"shelter": "cellar"}, "standing.shelter", "open, garage, indoors"),
        ({"pulse_time": "20 min", "pulse_interval": "10 min"}, "standing.pulse_time", "pulse_interval"),
        ({"amps": 1}, "standing.amps", "no such key"),
    ],
)
def test_a_wrong_field_gets_one_clear_line(section: dict[str, Any], field: str, said: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        scenario_from_mapping({**demo_mapping(), "standing": section})
    (fault,) = caught.value.faults
    assert fault.field == field
    assert said in fault.accepted


def test_a_hot_shelf_is_topped_up_sooner(file: str) -> None:
    cool, hot = (answered(file, "--temperature", t)["top_up_days"] for t in ("20C", "40C"))
    # twice 10 K: a quarter of the time, but for nothing else that matters
    assert hot == pytest.approx(cool / 4.0, rel=0.02)
    assert 20.0 < hot < cool < 300.0
    assert any("top-up after" in line for line in answered(file)["details"])


def test_at_24_volts_the_lead_carries_the_same_amperes(tmp_path: Path) -> None:
    path = tmp_path / "truck.toml"
    text = FILE.replace('fuel = "petrol"', 'fuel = "diesel"\nsystem_voltage = "24 V"')
    path.write_text(text, encoding="utf-8")
    found = answered(str(path))
    assert found["draw_a"]["value"] == 0.023
    assert found["drawn_ah"] == pytest.approx(0.023 * 24 * 30, abs=0.006)


def test_a_maintainer_and_a_panel_never_hurt() -> None:
    base, mains, panel = answered(), answered("--maintainer"), answered("--panel", "20W")
    assert mains["days"]["value"] is None
    assert mains["end"]["charge"]["value"] > 0.9
    assert panel["end"]["charge"]["low"] >= base["end"]["charge"]["low"]
    assert (panel["days"]["value"] or 1e9) >= base["days"]["value"]


def test_a_panel_without_a_latitude_gets_one_line(tmp_path: Path) -> None:
    path = tmp_path / "night.toml"
    path.write_text(FILE.replace('name = "Winnipeg"', 'coldest_night = "-30 °C"'), encoding="utf-8")
    caught = asked(str(path), "--panel", "20W").exception
    assert isinstance(caught, ScenarioError)
    assert [fault.field for fault in caught.faults] == ["standing.panel"]
    assert "latitude" in str(caught)


def test_without_a_battery_it_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "none.toml"
    path.write_text(FILE[: FILE.index("[battery]")] + FILE[FILE.index("[standing]") :], encoding="utf-8")
    caught = asked(str(path)).exception
    assert isinstance(caught, ScenarioError)
    assert "a rating of the battery" in str(caught)


def test_one_night_does_not_tell_the_weather_of_months(tmp_path: Path) -> None:
    path = tmp_path / "night.toml"
    text = FILE.replace('name = "Winnipeg"', 'coldest_night = "-30 °C"').replace('temperature = "25 °C"', "")
    path.write_text(text, encoding="utf-8")
    caught = asked(str(path)).exception
    assert isinstance(caught, ScenarioError)
    assert caught.faults[0].field == "standing.temperature"


def test_another_spelling_of_the_place_is_said(file: str) -> None:
    text = Path(file).read_text(encoding="utf-8")
    assert "is read as" not in asked(file).output
    Path(file).write_text(text.replace("Winnipeg", "Fairbank"), encoding="utf-8")
    assert "Fairbank is read as Fairbanks, US." in asked(file).output


def test_a_place_without_months_is_told_so(file: str) -> None:
    text = Path(file).read_text(encoding="utf-8").replace("Winnipeg", "Munich")
    Path(file).write_text(text.replace('temperature = "25 °C"', ""), encoding="utf-8")
    caught = asked(file).exception
    assert isinstance(caught, ScenarioError)
    assert "no months are held of Munich, DE" in str(caught)


@pytest.mark.parametrize(
    "flags",
    [
        (),
        ("--maintainer",),
        ("--panel", "20W"),
        ("--drive-minutes", "45min", "--drive-every", "9 days"),
        ("--drive-minutes", "5min", "--drive-every", "3 days", "--idle", "--panel", "5W"),
        ("--draw", "2 A"),
        ("--disconnected",),
    ],
)
def test_ampere_hours_are_conserved_whatever_charges_it(file: str, flags: tuple[str, ...]) -> None:
    assert answered(file, "--temperature", "-5C", "--days", "90", *flags)["imbalance"] < 1e-6


def test_a_panel_under_a_roof_is_said_to_lie_in_the_open(file: str) -> None:
    found = answered(file, "--panel", "20W", "--shelter", "garage")
    assert any("under the open sky" in line for line in found["details"])


def test_help_has_examples_and_the_keys() -> None:
    text = asked("--help").output
    assert "sizing standing motorhome.toml" in text
    assert "first_event" in text


def test_a_drive_now_and_then_helps_some_and_idling_hardly(file: str) -> None:
    options = ("--temperature", "-5C", "--days", "60", "--draw", "20mA")
    alone = answered(file, *options)
    drive = answered(file, *options, "--drive-minutes", "60min", "--drive-every", "4 weeks")
    idle = answered(file, *options, "--drive-minutes", "10min", "--drive-every", "2 weeks", "--idle")
    assert alone["engine_runs"] is None
    assert drive["end"]["charge"]["value"] > idle["end"]["charge"]["value"] > alone["end"]["charge"]["value"]
    assert (drive["engine_runs"]["every_days"], drive["engine_runs"]["idle"]) == (28, False)
    assert drive["imbalance"] < 1e-6
    told = idle["engine_runs"]
    assert told["gain_ah"] == pytest.approx(told["stored_ah"] - told["start_ah"], abs=0.02)
    assert told["gain_ah"] < 0.25 * told["between_ah"]
    assert any("hardly anything" in line for line in idle["details"])
    assert any("closed garage" in line for line in idle["cautions"])
    # what is told is no longer offered, and what is not told is
    names = {remedy["name"]: remedy for remedy in alone["remedies"]}
    assert names["drive"]["gain_ah"] > names["idle"]["gain_ah"]
    assert "drive" not in {remedy["name"] for remedy in drive["remedies"]}


@pytest.mark.parametrize("section", [{"idle": True}, {"drive_every": "3 weeks"}])
def test_runs_without_their_minutes_get_one_line(section: dict[str, Any]) -> None:
    with pytest.raises(ScenarioError, match=r"standing\.drive_minutes: .*how long the engine runs"):
        scenario_from_mapping({**demo_mapping(), "standing": section})


def test_a_shop_is_told_its_shelf_at_40_degrees(file: str) -> None:
    shelf = answered(file)["shelf_days"]
    assert shelf["20 °C"] == pytest.approx(4.0 * shelf["40 °C"], rel=0.01)
    assert any("at 40 °C" in line for line in answered(file)["details"])


def test_an_older_battery_never_stands_longer(file: str) -> None:
    text = Path(file).read_text(encoding="utf-8")
    days = []
    for age in ("0 years", "3 years", "8 years"):
        Path(file).write_text(text.replace("5 years", age), encoding="utf-8")
        days.append(json.loads(asked(file, "--json").output)["days"]["value"])
    assert days == sorted(days, reverse=True)


def test_colder_weather_shortens_it_and_it_says_by_how_much(file: str) -> None:
    found = answered(file)
    assert found["days_10k_colder"] < found["days"]["value"]
    assert any("10 °C colder all the time" in line for line in found["details"])
    # self-discharge is left as it was, so the same at 15 °C is no shorter
    assert answered(file, "--temperature", "15C")["days"]["value"] >= found["days_10k_colder"]


def test_months_flat_leave_part_of_the_capacity(file: str) -> None:
    found = answered(file, "--days", "200", "--draw", "60mA")
    assert found["flat_weeks"] > 10.0
    assert 0.0 < found["lasting_loss"]["low"] < found["lasting_loss"]["high"] < 1.0
    assert any("are left, once it has been charged" in line for line in found["details"])


def test_the_course_by_the_week_falls_and_its_volts_with_it(file: str) -> None:
    course = answered(file)["course"]
    assert len(course) == 4
    for name in ("charge", "specific_gravity", "rest_volts"):
        values = [row[name] for row in course]
        assert values == sorted(values, reverse=True)


def test_harmful_ice_never_comes_before_the_first(file: str) -> None:
    found = answered(file, "--temperature", "-25C", "--draw", "60mA", "--days", "120")
    days = {event["kind"]: event["days"]["value"] for event in found["events"]}
    assert days["first ice"] < days["harmful ice"]


MOTORCYCLE = """
schema = 1
[vehicle]
displacement = "650 cc"
cylinders = 2
fuel = "petrol"
[place]
coldest_night = "-2 °C"
[battery]
type = "AGM"
cold_cranking = "190 A"
standard = "SAE"
capacity = "11 Ah"
age = "18 months"
[standing]
temperature = "5 °C"
"""


def test_a_small_draw_that_would_do_is_told_and_a_small_battery_wants_a_small_charger(tmp_path: Path) -> None:
    path = tmp_path / "motorcycle.toml"
    path.write_text(MOTORCYCLE, encoding="utf-8")
    found = answered(str(path), "--draw", "1mA", "--days", "200")
    assert 1e-4 < found["acceptable_draw_a"] < 1e-3
    text = " ".join(found["details"])
    assert "a draw of at most 0." in text
    assert "no draw is small enough" not in text
    assert "small charger" in text
    assert "charger of 6 A" not in text


def test_a_battery_that_carries_the_days_asked_is_not_told_that_none_does(file: str) -> None:
    found = answered(file, "--days", "5", "--draw", "2.5A", "--temperature", "25C")
    shorter = answered(file, "--days", "2", "--draw", "0.02A", "--temperature", "25C")
    assert any("no battery that fits" in line for line in found["details"])
    assert not any("no battery that fits" in line for line in shorter["details"])


def test_without_days_asked_nothing_is_said_about_what_would_carry_them(file: str, tmp_path: Path) -> None:
    path = tmp_path / "open.toml"
    path.write_text(FILE.replace("days = 30\n", ""), encoding="utf-8")
    open_end, asked_for = answered(str(path))["details"], answered(file)["details"]
    assert any("would do" in line for line in asked_for)
    assert not any("would do" in line or "would carry" in line for line in open_end)
    assert "Taken as usual" in asked(str(path)).output


def test_a_disconnected_battery_has_no_draw_to_speak_of(file: str) -> None:
    details = answered(file, "--disconnected")["details"]
    assert any("The battery is disconnected" in line for line in details)
    assert not any("0 mA" in line for line in details)


def test_what_comes_in_some_cases_alone_is_said_so(file: str) -> None:
    events = answered(file, "--draw", "3mA", "--days", "300", "--temperature", "10C")["events"]
    some = [event for event in events if "not always" in event["sentence"]]
    assert some
    assert all(event["date"] is not None and event["chance"] < 0.95 for event in some)
