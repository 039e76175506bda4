"""The command ``sizing recommend``: demo, file, flags, JSON, and one line for each wrong field."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from sizing.cli import FLAGS, override, run
from sizing.inputs import json_schema

Captured = pytest.CaptureFixture[str]
MINE = [
    "recommend", "--displacement", "1.6 l", "--cylinders", "4", "--fuel", "petrol", "--coldest-night", "-25C",
]  # fmt: skip
FILE = """\
schema = 1

[vehicle]
displacement = "1.6 l"
cylinders = 4
fuel = "diesel"
oil = "5W-30"

[place]
name = "Winnipeg"
shelter = "carport"

[battery]
type = "AGM"
cold_cranking = "800 A"
standard = "EN"
reserve = "140 min"
capacity = "80 Ah"
age = "2 years"

[goal]
chance = "90 %"
age = "5 years"
"""


@pytest.fixture
def scenario_file(tmp_path: Path) -> str:
    path = tmp_path / "car.toml"
    path.write_text(FILE, encoding="utf-8")
    return str(path)


def told(capsys: Captured, *arguments: str) -> str:
    """Return what a command that works says; it complains about nothing."""
    assert run(arguments) == 0
    captured = capsys.readouterr()
    assert captured.err == ""
    return captured.out


def answered(capsys: Captured, *arguments: str) -> dict[str, Any]:
    """Return the object that a command answers."""
    found = json.loads(told(capsys, *arguments, "--json"), parse_constant=pytest.fail)
    assert isinstance(found, dict)
    return found


def complaints(capsys: Captured, *arguments: str) -> list[str]:
    """Return the lines of a command that is refused; it answers nothing."""
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "Traceback" not in captured.err
    return captured.err.splitlines()


def test_the_demo_needs_no_argument_and_says_that_it_is_invented(capsys: Captured) -> None:
    text = told(capsys, "recommend")
    first = text.splitlines()[0]
    assert re.match(r"Look for at least \d+ A \(EN\) and \d+ minutes \(\d+ Ah\); then it starts", first)
    assert "95 in 100, even when it is four years old." in first
    assert "invented car" in text
    assert "What would help most" in text
    assert "manual goes first" in text


def test_a_file_is_answered_with_every_key_of_the_contract(capsys: Captured, scenario_file: str) -> None:
    found = answered(capsys, "recommend", scenario_file)
    least = found["minimum"]
    assert least["cold_cranking_amps"]["standard"] == "EN"
    for part in (least["cold_cranking_amps"], least["reserve_minutes"], least["capacity_ah"]):
        assert 0.0 < part["low"] <= part["value"] <= part["high"]
        assert part["low"] <= part["median"] <= part["high"]
    assert least["type"] == "AGM"
    assert least["batteries"] == 1
    assert {"SAE", "DIN", "IEC"} <= set(least["other_standards"])
    assert found["coldest_night_c"] == found["coldest_night"]["value"] < -30.0
    for key in ("battery_temperature_c", "engine_temperature_c", "starts_down_to_c"):
        assert found[key]["low"] <= found[key]["value"] <= found[key]["high"]
    assert isinstance(found["decided_by"], str)
    assert found["answer"].startswith(("Look for", "No battery"))
    for key in ("warnings", "levers", "widest", "assumed"):
        assert isinstance(found[key], list)
    assert 0.0 <= found["chance_at_goal_age"] <= found["chance_of_start"] <= 1.0
    assert found["starts_down_to_new_c"]["value"] <= found["starts_down_to_goal_age_c"]["value"]
    assert set(found["margin"]) >= {"amperes", "degrees"}
    assert found["demo"] is None


def test_without_a_battery_nothing_is_said_of_one(capsys: Captured) -> None:
    found = answered(capsys, *MINE)
    assert not {"starts_down_to_c", "chance_of_start", "margin"} & set(found)
    assert "battery in hand" not in told(capsys, *MINE)


def test_margins_agree_with_what_they_stand_between(capsys: Captured, scenario_file: str) -> None:
    found = answered(capsys, "recommend", scenario_file, "--coldest-night", "-15C")
    amperes = 800.0 - found["minimum"]["cold_cranking_amps"]["value"]
    assert found["margin"]["amperes"] == pytest.approx(amperes, abs=0.11)
    degrees = found["coldest_night_c"] - found["starts_down_to_c"]["value"]
    assert found["margin"]["degrees"] == pytest.approx(degrees, abs=0.11)


def test_flags_go_before_the_file(capsys: Captured, scenario_file: str) -> None:
    found = answered(capsys, "recommend", scenario_file, "--standard", "SAE", "--place", "Lisbon")
    assert found["minimum"]["cold_cranking_amps"]["standard"] == "SAE"
    assert found["place"].startswith("Lisbon")


def test_a_place_flag_replaces_every_other_way_of_naming_one(capsys: Captured, scenario_file: str) -> None:
    assert answered(capsys, "recommend", scenario_file, "--coldest-night", "-12C")["coldest_night_c"] == -12.0
    near = ("--latitude", "38.7", "--longitude", "-9.1")
    assert answered(capsys, "recommend", scenario_file, *near)["place"].startswith("Lisbon")


@pytest.mark.parametrize("typed", ["-30C", "-30 °C", "−30 °C", "-30,0 °C", "-22F", "-22 °F", "243.15 K"])
def test_a_negative_temperature_may_be_typed_in_any_way(capsys: Captured, typed: str) -> None:
    assert answered(capsys, *MINE[:-1], typed)["coldest_night_c"] == -30.0


def test_a_value_may_follow_an_equals_sign(capsys: Captured) -> None:
    assert answered(capsys, *MINE[:-2], "--coldest-night=-30C")["coldest_night_c"] == -30.0


def test_nothing_of_the_demo_slips_into_a_question_of_ones_own(capsys: Captured) -> None:
    lines = complaints(capsys, "recommend", "--displacement", "5.7 l")
    fields = {line.split(" ")[0] for line in lines}
    assert fields == {"vehicle.cylinders", "vehicle.fuel", "place.name"}
    assert all("given nothing" in line for line in lines)
    assert complaints(capsys, "recommend", "--coldest-night", "-30C")
    assert complaints(capsys, "recommend", "--cold-cranking", "600A")


def test_the_demo_may_be_changed_on_purpose_and_says_so(capsys: Captured) -> None:
    text = told(capsys, "recommend", "--demo", "--coldest-night", "-10C")
    assert "in a night of -10 °C" in text.splitlines()[0]
    assert "yours are only: --coldest-night" in text
    assert answered(capsys, "recommend", "--demo", "--oil", "0W-30")["demo"]


def test_what_is_wanted_may_be_asked_of_the_demo(capsys: Captured) -> None:
    text = told(capsys, "recommend", "--chance", "80%", "--goal-age", "6 years", "--units", "US")
    assert "80 in 100, even when it is six years old." in text.splitlines()[0]
    assert "°F" in text.splitlines()[0]
    assert "°C" not in text
    assert "bundled demo" in text


def test_the_maker_is_never_undercut(capsys: Captured) -> None:
    found = answered(capsys, *MINE, "--maker-cold-cranking", "1200A", "--maker-standard", "EN")
    assert found["minimum"]["cold_cranking_amps"]["value"] == pytest.approx(1200.0)
    assert found["decided_by"] == "specification"


def test_the_same_seed_gives_the_same_answer(capsys: Captured) -> None:
    one, two = (told(capsys, *MINE, "--seed", "7", "--json") for _ in range(2))
    assert one == two
    other = json.loads(told(capsys, *MINE, "--seed", "8", "--json"))
    assert other["minimum"]["cold_cranking_amps"] != json.loads(one)["minimum"]["cold_cranking_amps"]


def test_an_engine_too_cold_for_its_oil_needs_heat(capsys: Captured) -> None:
    found = answered(capsys, *MINE[:-1], "-55C", "--oil", "20W-50")
    assert found["blocked_by"] == found["decided_by"] == "oil"
    assert found["answer"].startswith("No battery")
    assert found["heat_engine_to_c"] > -55.0


def test_where_no_size_does_it_null_comes_with_a_sentence(capsys: Captured) -> None:
    hopeless = ("--displacement", "6 l", "--starter-power", "0.2 kW")
    label = ("--cold-cranking", "200A", "--standard", "EN")
    found = answered(capsys, *MINE[:-1], "-34C", *hopeless, *label)
    amperes = found["minimum"]["cold_cranking_amps"]
    assert amperes["value"] is None
    assert amperes["sentence"]
    assert found["decided_by"] == "starter"
    assert found["margin"]["amperes"] is None
    assert "No size of battery" in found["answer"]


def test_a_case_too_small_is_told_with_one_that_is_not(capsys: Captured) -> None:
    warm = answered(capsys, *MINE[:-1], "10C", "--case", "LN6")
    assert not [line for line in warm["warnings"] if "case" in line]
    found = answered(capsys, *MINE, "--case", "LN0")
    assert re.search(r"LN0 case .* smallest listed case that can is LN[2-6]", " ".join(found["warnings"]))


def test_two_batteries_are_spoken_of_as_two(capsys: Captured) -> None:
    first = told(capsys, *MINE, "--system-voltage", "24 V").splitlines()
    assert first[0].startswith("Look for two batteries, each with at least")
    assert any("in series" in line for line in first)


WRONG = {
    "a unit of another kind": (["--displacement", "2 furlongs"], "vehicle.displacement"),
    "no unit": (["--displacement", "2000"], "vehicle.displacement"),
    "no whole number": (["--cylinders", "-4"], "vehicle.cylinders"),
    "an unknown fuel": (["--fuel", "coal"], "vehicle.fuel"),
    "an unknown oil": (["--oil", "5W-31"], "vehicle.oil"),
    "below absolute zero": (["--coldest-night", "-500 °C"], "place.coldest_night"),
    "not finite": (["--coldest-night", "nan °C"], "place.coldest_night"),
    "an unknown standard": (["--standard", "XYZ"], "battery.standard"),
    "lithium": (["--type", "lithium"], "battery.type"),
    "a chance beyond certainty": (["--chance", "110 %"], "goal.chance"),
    "an unknown case": (["--case", "Z9"], "goal.case"),
    "arithmetic": (["--cold-cranking", "9**9**9 A"], "battery.cold_cranking"),
    "two lines": (["--fuel", "petrol\ncoal"], "vehicle.fuel"),
}


@pytest.mark.parametrize(("flags", "field"), WRONG.values(), ids=WRONG)
def test_a_wrong_field_is_one_line(capsys: Captured, flags: list[str], field: str) -> None:
    lines = complaints(capsys, *MINE, *flags)
    assert len(lines) == 1
    assert re.match(rf"{re.escape(field)} \({flags[0]}\): given .+; accepted: .+", lines[0])


def test_every_wrong_field_is_told_at_once(capsys: Captured) -> None:
    lines = complaints(capsys, *MINE, "--oil", "water", "--chance", "2000%", "--age", "old")
    assert sorted(line.split(" ")[0] for line in lines) == ["battery.age", "goal.chance", "vehicle.oil"]


def test_an_unknown_place_names_the_nearest_spellings(capsys: Captured) -> None:
    (line,) = complaints(capsys, "recommend", "--demo", "--place", "Helsgrad")
    assert line.startswith("place.name (--place): given 'Helsgrad'; accepted: ")


def test_a_place_taken_for_another_spelling_is_said(capsys: Captured) -> None:
    assert "Wnnipeg is read as Winnipeg, CA." in told(capsys, "recommend", "--demo", "--place", "Wnnipeg")
    # a name that is part of the right one is another spelling all the same
    for typed, read in (("Fairbank", "Fairbanks, US"), ("Melborne", "Melbourne, AU")):
        assert f"{typed} is read as {read}." in told(capsys, "recommend", "--demo", "--place", typed)
    assert "is read as" not in told(capsys, "recommend", "--demo", "--place", "winnipeg")
    assert "is read as" not in told(capsys, "recommend", "--demo", "--place", "Winnipeg, Canada")
    near = told(capsys, "recommend", "--demo", "--latitude", "60", "--longitude", "-100")
    assert re.search(r"nearest place held is .*, \d+ km away", near)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "vehicle"),
        ("schema = ", "scenario file"),
        (FILE.replace('"2 years"', "2"), "battery.age"),
        (FILE.replace("[goal]", "[gaol]"), "gaol"),
        ('schema = 1\nvehicle = 3\nplace = "here"\n', "vehicle"),
    ],
)
def test_a_wrong_file_is_told_line_by_line(capsys: Captured, tmp_path: Path, content: str, said: str) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(content, encoding="utf-8")
    lines = complaints(capsys, "recommend", str(path), "--units", "US")
    assert any(said in line for line in lines)
    assert all("; accepted: " in line for line in lines)


def test_flags_do_not_hide_a_section_that_is_none(capsys: Captured, tmp_path: Path) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text('schema = 1\nvehicle = 3\n[place]\nname = "Lisbon"\n', encoding="utf-8")
    lines = complaints(capsys, "recommend", str(path), "--fuel", "petrol")
    assert [line.split(":")[0] for line in lines] == ["vehicle"]


@pytest.mark.parametrize(
    "arguments",
    [
        ["recommend", "nosuch.toml"],
        ["recommend", "."],
        ["recommend", "--demo", "car.toml"],
        ["recommend", "--fool"],
        ["recommend", "one.toml", "two.toml"],
        ["recommend", "--place"],
        ["recommned"],
    ],
)
def test_a_wrong_command_line_is_one_line(capsys: Captured, arguments: list[str]) -> None:
    assert len(complaints(capsys, *arguments)) == 1


def test_help_shows_examples_and_every_flag(capsys: Captured) -> None:
    text = told(capsys, "recommend", "--help")
    assert "Examples:" in text
    assert all(f"--{flag.name}" in text for flag in FLAGS)
    assert "sizing recommend mycar.toml" in text
    assert "Commands:" in told(capsys, "--help")
    assert "recommend" in told(capsys)


def test_every_flag_fills_a_field_of_the_scenario() -> None:
    schema = json_schema()
    for flag in FLAGS:
        section, _, key = flag.field.rpartition(".")
        properties = schema["properties"]
        if section:
            part = properties[section]
            name = json.dumps(part).split("#/$defs/")[1].split('"')[0]
            properties = schema["$defs"][name]["properties"]
        assert key in properties, flag.field


def test_a_file_is_not_changed_by_what_overrides_it() -> None:
    mapping = {"vehicle": {"oil_data": {"kv40": "60 mm2/s"}}, "place": {"latitude": 1, "longitude": 2}}
    found = override(mapping, {"vehicle.oil": "5W-30", "place.name": "Oslo", "battery.age": "1 year"})
    assert found == {
        "vehicle": {"oil": "5W-30"},
        "place": {"name": "Oslo"},
        "battery": {"age": "1 year"},
    }
    assert mapping["place"] == {"latitude": 1, "longitude": 2}
