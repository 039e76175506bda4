"""The command ``check``: from any subset of readings to four answers, with conflicts named."""

from __future__ import annotations

import json
import math
import re
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from sizing.advice.condition import check as answer_of
from sizing.commands.check import HELP, READING_KEYS, check
from sizing.inputs import ScenarioError, scenario_from_mapping
from sizing.report.check_json import check_object
from sizing.report.check_text import plain_lines
from sizing.tables import load

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
type = "flooded calcium"
cold_cranking = "600 A"
standard = "EN"
capacity = "65 Ah"
age = "4 years"
"""
# what testers of shops print, in any order of capitals
CODES = re.compile(
    r"\b((good|bad|weak|charge) battery|replace (the |this |your )?battery|(bad|dead) cell"
    r"|good.recharge|cell.replace|(re)?charge (and|&) re-?test|24.hour test"
    r"|test (passed|failed)|state of health)\b",
    re.IGNORECASE,
)
VERDICTS = {
    "good",
    "bad",
    "replace",
    "recharge",
    "pass",
    "passed",
    "fail",
    "failed",
    "ok",
    "okay",
    "dead",
    "healthy",
}
ABBREVIATIONS = {"AGM", "EFB", "EN", "SAE", "CCA", "DIN", "A", "V", "I", "JSON"}


def told(*arguments: str) -> str:
    result = CliRunner().invoke(check, list(arguments), catch_exceptions=False)
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


def question(battery: dict[str, Any] | None = None, **readings: Any) -> dict[str, Any]:
    mapping = tomllib.loads(CAR)
    mapping["battery"] |= battery or {}
    return {**mapping, "readings": readings}


def answered(battery: Any = None, **readings: Any) -> dict[str, Any]:
    return check_object(answer_of(scenario_from_mapping(question(battery, **readings))), demo="")


def sentences(found: dict[str, Any]) -> list[str]:
    lists = ("what_would_settle_it", "what_would_help", "details", "cautions")
    texts = [*found["answers"].values(), *(text for key in lists for text in found[key])]
    return [*texts, *(each["sentence"] for each in found["conflicts"] + found["findings"])]


def numbers(thing: Any) -> list[float]:
    if isinstance(thing, dict):
        return [number for value in thing.values() for number in numbers(value)]
    if isinstance(thing, list):
        return [number for value in thing for number in numbers(value)]
    return [float(thing)] if isinstance(thing, int | float) and not isinstance(thing, bool) else []


RESTED: dict[str, Any] = {"rest_voltage": "12.45 V", "hours_rested": "14 h", "battery_temperature": "20 °C"}


# --- the command ---


def test_without_arguments_the_demo_is_answered_and_said_to_be_invented() -> None:
    text = told()
    assert text.startswith("Tonight: ")
    assert "no such car, place, battery or reading exists" in text
    for heading in ("This winter: ", "Where the fault sits: ", "What to do next: ", "What would settle it"):
        assert heading in text
    assert "Never charge or load-test or jump-start a frozen battery" in text


def test_flags_without_a_file_leave_nothing_of_the_readings_of_the_demo() -> None:
    found = as_object("--rest-voltage", "12.5V", "--hours-rested", "12h")
    assert found["readings"] == ["rest_voltage", "hours_rested"]
    assert "only what you typed is yours" in found["demo"]


def test_a_file_is_answered_and_is_not_called_invented(car: str) -> None:
    found = as_object(car, "--rest-voltage", "12.45V", "--hours-rested", "12h")
    assert found["demo"] is None
    assert set(found["answers"]) == {"tonight", "winter", "fault", "next"}


def test_the_keys_are_those_that_the_help_promises(car: str) -> None:
    found = as_object(car)
    promised = HELP.split("Keys of --json:")[1]
    for key in found:
        assert re.search(rf"\b{key}\b", promised), key
    for name in ("capacity_left", "cold_cranking_left", "resistance_growth", "charge"):
        ends = found[name]
        assert ends["low"] <= ends["value"] <= ends["high"], name


def test_the_file_in_the_help_is_a_file_that_is_answered(car: str) -> None:
    block = HELP.split("for example:\n")[1].split("\n\n")[0]
    example = tomllib.loads("\n".join(line.strip() for line in block.splitlines()))
    found = answered(**example["readings"])
    assert found["readings"]
    assert found["next_reading"]["name"] not in found["readings"]


def test_every_reading_has_a_flag() -> None:
    flags = {name for option in check.params for name in option.opts}
    assert {f"--{key.replace('_', '-')}" for key in READING_KEYS} <= flags


def test_the_same_seed_gives_the_same_answer() -> None:
    assert answered(**RESTED) == answered(**RESTED)


# --- what is refused at the edge, with a line that says what to do ---


@pytest.mark.parametrize(
    ("readings", "field", "words"),
    [
        ({"rest_voltage": "13.9 V"}, "rest_voltage", "read it once"),
        ({"resistance": "0 mΩ", "resistance_kind": "small signal"}, "resistance", "0.5 mΩ"),
        ({"resistance": "5 mΩ"}, "resistance_kind", "unknown"),
        ({"measured_cold_cranking": "500 A"}, "measured_standard", "unknown"),
        ({"measured_cold_cranking": "0 A", "measured_standard": "EN"}, "measured_cold_cranking", "20 A"),
        ({"rest_voltage": "12.2 V", "lowest_cranking_voltage": "12.4 V"}, "lowest_cranking_voltage", "falls"),
        ({"rest_voltage": "12.2 V", "load_test_voltage": "12.4 V"}, "load_test_voltage", "falls"),
        ({"specific_gravity": [1.26] * 5}, "specific_gravity", "6 numbers"),
        ({"specific_gravity": [12.6] * 6}, "specific_gravity", "6 numbers"),
        ({"specific_gravity": "none"}, "specific_gravity", "6 numbers"),
        ({"rest_voltage": 12.4}, "rest_voltage", "with its unit"),
        ({"rotation": "funny"}, "rotation", "slow"),
        ({"restvoltage": "12.4 V"}, "restvoltage", "rest_voltage"),
    ],
)
def test_an_impossible_reading_gets_one_line_that_says_what_is_accepted(
    readings: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(ScenarioError) as raised:
        scenario_from_mapping(question(**readings))
    (fault,) = raised.value.faults
    assert fault.field == f"readings.{field}"
    assert words in fault.accepted


def test_without_a_label_the_label_is_asked_for() -> None:
    mapping = question(**RESTED)
    del mapping["battery"]
    with pytest.raises(ScenarioError) as raised:
        answer_of(scenario_from_mapping(mapping))
    assert raised.value.faults[0].field == "battery.cold_cranking"


def test_a_date_code_tells_the_age_and_its_decade_is_questioned() -> None:
    battery = {"date_code": "K-5"}
    mapping = question(battery, **RESTED, date="2026-01-15")
    del mapping["battery"]["age"]
    found = check_object(answer_of(scenario_from_mapping(mapping)), demo="")
    assert found["age_years"] == pytest.approx(0.25, abs=0.05)
    assert any("October of 2025" in line and "decade" in line for line in found["details"])
    with pytest.raises(ScenarioError) as raised:
        scenario_from_mapping(question({"date_code": "soon"}))
    assert raised.value.faults[0].field == "battery.date_code"


def test_the_day_of_the_readings_tells_how_far_the_winter_is() -> None:
    autumn, spring = (
        answered({"age": "6 years"}, **RESTED, date=day)["chance_of_start"]["this_winter"]
        for day in ("2025-12-20", "2025-04-01")
    )
    # a battery read in spring is most of a year older when it counts
    assert spring < autumn


# --- what is questioned in the answer ---


def conflicting(found: dict[str, Any]) -> set[str]:
    return {each["reading"] for each in found["conflicts"]}


def test_a_voltage_that_only_surface_charge_gives_is_questioned_and_charges_nothing() -> None:
    found = answered(rest_voltage="13.3 V", hours_rested="0.5 h")
    assert "rest_voltage" in conflicting(found)
    assert "surface charge" in " ".join(sentences(found))
    assert found["charge"] == answered()["charge"]


def test_amperes_beyond_twice_the_label_are_questioned_and_not_believed() -> None:
    found = answered(measured_cold_cranking="1300 A", measured_standard="EN")
    assert "measured_cold_cranking" in conflicting(found)
    share = found["cold_cranking_left"]["share_of_label"]
    assert share == answered()["cold_cranking_left"]["share_of_label"]


def test_a_resistance_of_another_kind_is_not_compared() -> None:
    found = answered(resistance="14 mΩ", resistance_kind="load")
    assert "resistance" in conflicting(found)
    assert found["resistance_growth"] == answered()["resistance_growth"]


def test_readings_that_agree_are_said_to_agree() -> None:
    found = answered({"age": "1 year"}, **RESTED, measured_cold_cranking="600 A", measured_standard="EN")
    assert not found["conflicts"]
    assert any("agree" in line for line in plain_lines(
        answer_of(scenario_from_mapping(question({"age": "1 year"}, **RESTED, ripple="0.03 V"))), demo=""
    ))  # fmt: skip


# --- facts of common practice, as ranges ---


def test_about_12_45_volts_rested_is_about_three_quarters_charged() -> None:
    found = answered(**RESTED)
    assert 0.65 <= found["charge"]["value"] <= 0.85
    assert found["charge"]["high"] - found["charge"]["low"] < 0.6


@pytest.mark.parametrize("amperes", ["500 A", "600 A"])
def test_an_old_one_of_much_resistance_that_cranks_slowly_is_for_another_before_winter(amperes: str) -> None:
    mapping = question(
        {"age": "5 years", "cold_cranking": amperes},
        **RESTED,
        resistance="12 mΩ",
        resistance_kind="small signal",
        rotation="slow",
    )
    mapping["place"]["coldest_night"] = "-28 °C"
    found = check_object(answer_of(scenario_from_mapping(mapping)), demo="")
    # what being slow costs hangs on the winter: here it is a cold one
    assert found["answers"]["next"].startswith("Put in another battery before the cold comes")
    assert "battery" in [each["about"] for each in found["findings"]]
    assert found["cold_cranking_left"]["share_of_label"]["value"] < 0.7


def test_a_fresh_strong_one_near_full_is_kept() -> None:
    found = answered(
        {"age": "1 year", "cold_cranking": "640 A"},
        rest_voltage="12.68 V",
        hours_rested="14 h",
        battery_temperature="20 °C",
        measured_cold_cranking="640 A",
        measured_standard="EN",
    )
    assert found["answers"]["next"].startswith("Keep it")
    assert found["chance_of_start"]["this_winter"] > 0.9


def test_a_sound_alternator_is_called_so_and_others_are_not() -> None:
    sound = answered(
        **RESTED, charging_voltage_loads_off="14.5 V", charging_voltage_loads_on="14.2 V", ripple="0.03 V"
    )
    assert "alternator" in sound["in_order"]
    assert not [each for each in sound["findings"] if each["about"] == "alternator"]
    for volts in ("12.8 V", "15.3 V"):
        found = answered(**RESTED, charging_voltage_loads_off=volts, charging_voltage_loads_on=volts)
        assert [each for each in found["findings"] if each["about"] == "alternator" and each["sure"]]
        assert found["answers"]["fault"].startswith("The fault sits in the charging")


def test_the_window_follows_the_cold_and_a_sensor_widens_it() -> None:
    cold = answered(battery_temperature="-20 °C", charging_voltage_loads_off="15.0 V")
    warm = answered(battery_temperature="40 °C", charging_voltage_loads_off="15.0 V")
    assert "alternator" in cold["in_order"]
    assert "alternator" not in warm["in_order"]
    mapping = question(battery_temperature="20 °C", charging_voltage_loads_off="12.9 V")
    mapping["vehicle"]["sensor_managed"] = True
    managed = check_object(answer_of(scenario_from_mapping(mapping)), demo="")
    assert "alternator" in managed["in_order"]
    assert any("sensor manages" in line for line in managed["details"])


@pytest.mark.parametrize(("ripple", "about"), [("0.05 V", 0), ("0.2 V", 1), ("0.3 V", 1)])
def test_ripple_is_fine_doubtful_or_a_fault(ripple: str, about: int) -> None:
    found = [each for each in answered(ripple=ripple)["findings"] if each["about"] == "alternator"]
    assert len(found) == about
    if ripple == "0.2 V":
        assert not found[0]["sure"]
    if ripple == "0.3 V":
        assert found[0]["sure"]


def test_slow_rotation_with_full_volts_at_the_posts_is_never_the_battery() -> None:
    found = answered(rest_voltage="12.7 V", lowest_cranking_voltage="12.5 V", rotation="slow")
    assert "not in the battery" in found["answers"]["fault"]
    assert found["answers"]["fault"].startswith("The fault sits in cables, control circuit or starter")
    assert "another battery" not in found["answers"]["next"]
    assert "battery" not in [each["about"] for each in found["findings"] if each["sure"]]
    assert found["next_reading"]["name"] in ("drop_positive", "drop_ground")


@pytest.mark.parametrize("key", ["drop_positive", "drop_ground"])
def test_a_drop_of_half_a_volt_flags_a_cable_and_less_does_not(key: str) -> None:
    def about(volts: str) -> list[str]:
        return [each["about"] for each in answered(**{key: volts})["findings"]]

    assert "cable" in about("0.5 V")
    assert "cable" not in about("0.49 V")


def test_a_cell_far_below_the_others_is_named() -> None:
    found = answered(specific_gravity=[1.26, 1.26, 1.255, 1.21, 1.26, 1.26], battery_temperature="20 °C")
    assert "cell 4" in found["answers"]["fault"]


def test_a_load_that_stays_on_is_the_fault() -> None:
    found = answered(key_off_current="0.6 A", rest_voltage="12.0 V", hours_rested="20 h")
    assert found["answers"]["fault"].startswith("The fault is a load that stays on")


def test_a_night_below_the_oil_is_no_fault_of_the_battery() -> None:
    mapping = question({"age": "1 year"}, **RESTED)
    mapping["place"]["coldest_night"] = "-48 °C"
    found = check_object(answer_of(scenario_from_mapping(mapping)), demo="")
    assert "no fault of the battery" in found["answers"]["winter"]
    assert found["chance_of_start"]["this_winter"] == 0.0


def test_volts_below_the_minimum_of_a_load_test_count_against_the_battery_only_when_it_is_charged() -> None:
    def found(rest: str, load: str) -> list[bool]:
        told = {**RESTED, "rest_voltage": rest, "load_test_voltage": load}
        signs = [each for each in answered(**told)["findings"] if "load test" in each["sentence"]]
        return [each["sure"] for each in signs]

    assert found("12.68 V", "9.3 V") == [True]
    assert found("12.68 V", "9.7 V") == []
    assert found("12.2 V", "9.3 V") == [False]


def test_a_flat_battery_read_in_deep_cold_is_thawed_before_anything_else() -> None:
    found = answered(rest_voltage="11.7 V", hours_rested="20 h", battery_temperature="-25 °C")
    assert found["answers"]["next"].startswith("Do not charge, load or jump it now")
    warm = answered(rest_voltage="11.7 V", hours_rested="20 h", battery_temperature="10 °C")
    assert not warm["answers"]["next"].startswith("Do not charge")


def test_without_any_reading_one_is_asked_for_first() -> None:
    found = answered()
    assert found["answers"]["next"].startswith("Read the ")
    assert found["next_reading"]["name"] in READING_KEYS
    assert found["next_reading"]["settles"] > 0.0
    assert "Nothing was read yet" in found["answers"]["fault"]


# --- directions ---


def test_less_voltage_at_rest_is_less_charge_and_no_better_chance() -> None:
    charge, tonight = [], []
    for volts in ("12.7 V", "12.5 V", "12.3 V", "12.1 V", "11.8 V"):
        found = answered(rest_voltage=volts, hours_rested="14 h", battery_temperature="20 °C")
        charge.append(found["charge"]["value"])
        tonight.append(found["chance_of_start"]["tonight"])
    assert charge == sorted(charge, reverse=True)
    assert tonight[0] > tonight[-1]


def test_an_older_battery_is_not_better() -> None:
    found = [answered({"age": f"{years} years"}, **RESTED) for years in (0, 2, 4, 6, 8)]
    for key in ("capacity_left", "months_left"):
        ends = [each[key]["low"] for each in found]
        assert ends == sorted(ends, reverse=True), key
    winter = [each["chance_of_start"]["this_winter"] for each in found]
    assert winter[0] >= winter[2] >= winter[4]


def test_fewer_amperes_on_the_slip_are_less_strength() -> None:
    shares = [
        answered(measured_cold_cranking=amperes, measured_standard="EN")["cold_cranking_left"]["value"]
        for amperes in ("600 A", "450 A", "300 A")
    ]
    assert shares == sorted(shares, reverse=True)


def test_a_reading_narrows_what_it_reads() -> None:
    found = answered(**RESTED, measured_cold_cranking="450 A", measured_standard="EN")
    before, now = found["before_readings"]["share_of_label"], found["cold_cranking_left"]["share_of_label"]
    assert now["high"] - now["low"] < before["high"] - before["low"]


# --- sentences ---


def test_no_sentence_is_a_verdict_of_one_word_or_a_code_of_a_tester() -> None:
    for row in load("messages_check").rows:
        assert not CODES.search(row["text"]), row["text"]
        shouted = set(re.findall(r"\b[A-Z]{2,}\b", row["text"])) - ABBREVIATIONS
        assert not shouted, row["key"]
        assert row["text"].casefold().strip(" .!") not in VERDICTS
        if row["key"].split(".")[0] in {"tonight", "winter", "next", "sign"}:
            for sentence in row["text"].split(". "):
                assert len(sentence.split()) >= 4, row["key"]


def test_words_of_testers_would_be_found() -> None:
    for words in ("REPLACE BATTERY", "Good battery", "GOOD-RECHARGE", "Bad cell", "Charge & retest"):
        assert CODES.search(words)


def test_every_sentence_of_the_table_is_said_somewhere() -> None:
    folder = Path(__file__).parents[2] / "sizing"
    code = "".join(path.read_text(encoding="utf-8") for path in folder.rglob("*.py"))
    for row in load("messages_check").rows:
        parts = row["key"].split(".")
        starts = [".".join(parts[:count]) for count in range(1, len(parts))]
        assert f'"{row["key"]}"' in code or any(f"{start}.{{" in code for start in starts), row["key"]


def test_a_percentage_of_the_label_is_called_trade_custom() -> None:
    text = " ".join(sentences(answered(measured_cold_cranking="330 A", measured_standard="EN")))
    assert "Trade custom, no standard: below 70 %" in text


def test_a_reading_of_strength_is_said_to_prove_nothing_about_capacity() -> None:
    text = " ".join(sentences(answered(measured_cold_cranking="600 A", measured_standard="EN")))
    assert "proves nothing about capacity" in text


def test_cautions_name_ice_gas_and_belts() -> None:
    text = " ".join(answered(**RESTED)["cautions"])
    for word in ("frozen", "hydrogen", "short circuit", "belts", "manual"):
        assert word in text


# --- any subset ---

SOME: dict[str, tuple[Any, ...]] = {
    "air_temperature": ("-35 °C", "-10 °C", "30 °C"),
    "rotation": ("normal", "slow", "none"),
    "rest_voltage": ("10.4 V", "11.7 V", "12.45 V", "13.1 V", "13.5 V"),
    "hours_rested": ("0 h", "3 h", "30 days"),
    "battery_temperature": ("-30 °C", "5 °C", "45 °C"),
    "resistance": ("2 mΩ", "7 mΩ", "60 mΩ"),
    "measured_cold_cranking": ("90 A", "450 A", "1900 A"),
    "lowest_cranking_voltage": ("4 V", "9.2 V", "10.3 V"),
    "cranking_current": ("90 A", "250 A", "900 A"),
    "load_test_voltage": ("6 V", "9.7 V"),
    "charging_voltage_loads_off": ("12.2 V", "14.3 V", "17 V"),
    "charging_voltage_loads_on": ("11.9 V", "14.1 V", "16 V"),
    "ripple": ("0 V", "0.15 V", "2 V"),
    "specific_gravity": ([1.265] * 6, [1.12, 1.2, 1.2, 1.2, 1.2, 1.2], [1.01] * 6, [1.34] * 6),
    "key_off_current": ("0 mA", "40 mA", "8 A"),
    "drop_positive": ("0 V", "0.3 V", "4 V"),
    "drop_ground": ("0 V", "0.7 V"),
}
WITH = {
    "resistance": ("resistance_kind", ("small signal", "load", "unknown")),
    "measured_cold_cranking": ("measured_standard", ("EN", "DIN", "CA", "unknown")),
}


VEHICLES: tuple[dict[str, Any], ...] = (
    {},
    {"fuel": "diesel", "displacement": "3.0 l", "cylinders": 6, "oil": "5W-40"},
    {"fuel": "diesel", "displacement": "6.7 l", "cylinders": 6, "system_voltage": "24 V", "oil": "15W-40"},
    {"batteries_in_parallel": 2, "sensor_managed": True},
    {"displacement": "0.3 l", "cylinders": 1, "block_heater": True},
)
PLACES: tuple[dict[str, Any], ...] = (
    {"coldest_night": "-20 °C"},
    {"coldest_night": "-55 °C"},
    {"coldest_night": "12 °C"},
    {"name": "Winnipeg"},
    {"name": "Phoenix"},
)


def some(rng: np.random.Generator, values: Any) -> Any:
    return values[int(rng.integers(len(values)))]


def subset(rng: np.random.Generator) -> dict[str, Any]:
    share = rng.uniform(0.05, 0.7)
    found = {key: some(rng, values) for key, values in SOME.items() if rng.random() < share}
    for reading, (word, words) in WITH.items():
        if reading in found:
            found[word] = some(rng, words)
    return found


def test_any_subset_of_readings_gives_four_answers_and_no_number_that_is_none() -> None:
    rng = np.random.default_rng(7)
    refused = 0
    for _ in range(40):
        readings = subset(rng)
        mapping = question(None, **readings)
        mapping["vehicle"] |= some(rng, VEHICLES)
        mapping["place"] = some(rng, PLACES)
        mapping["show"] = {"units": some(rng, ("metric", "US"))}
        mapping["battery"] |= {
            "age": some(rng, ("0 years", "3 years", "11 years")),
            "type": some(rng, ("flooded calcium", "AGM", "EFB", "unknown")),
            "standard": some(rng, ("EN", "SAE", "unknown")),
        }
        try:
            answer = answer_of(scenario_from_mapping(mapping))
        except ScenarioError:
            refused += 1
            continue
        found = check_object(answer, demo="")
        assert all(math.isfinite(number) for number in numbers(found)), readings
        assert all(0.0 <= chance <= 1.0 for chance in found["chance_of_start"].values())
        texts = [*sentences(found), *plain_lines(answer, demo="")]
        assert all("nan" not in text.split() and "{" not in text for text in texts), readings
        for name in ("capacity_left", "charge"):
            assert 0.0 <= found[name]["low"] <= found[name]["value"] <= found[name]["high"] <= 1.0
    assert refused < 20
