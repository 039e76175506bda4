"""Somebody with a flat battery asks whether a jump start works: demo, file, flags, JSON, wrong fields."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from sizing.cli import run
from sizing.commands.booster import HELP, booster
from sizing.inputs import ScenarioError
from sizing.report.booster_text import caution_sentences, section_words

FILE = """
schema = 1
[vehicle]
displacement = "3.0 l"
cylinders = 6
fuel = "diesel"
[place]
coldest_night = "-20 °C"
[battery]
type = "AGM"
cold_cranking = "850 A"
standard = "EN"
capacity = "95 Ah"
age = "5 years"
[booster]
temperature = "-5 °C"
charge = "10 %"
donor_cold_cranking = "500 A"
donor_standard = "EN"
lead_section = "10 mm2"
lead_length = "4 m"
"""


def asked(*arguments: str) -> Result:
    return CliRunner().invoke(booster, arguments, catch_exceptions=True)


def answered(*arguments: str) -> dict[str, Any]:
    found = asked(*arguments, "--json")
    assert found.exit_code == 0, found.output
    return dict(json.loads(found.output))


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "car.toml"
    path.write_text(FILE, encoding="utf-8")
    return str(path)


def test_the_demo_says_whether_who_and_in_what_order() -> None:
    text = asked().output
    assert text.splitlines()[0].startswith("Yes: with the donor car")
    assert "are invented: a demonstration" in text
    order = [text.index(f"{name} clamp:") for name in ("First", "Second", "Third", "Last")]
    assert order == sorted(order)
    assert text.index("Never charge or load-test or jump-start a frozen battery") < order[0]
    assert "away from its battery" in text
    assert "10 to 15 s" in text


def test_a_frozen_battery_is_refused_before_anything_is_said(file: str) -> None:
    text = asked(file, "--temperature", "-20C", "--charge", "10%").output
    assert text.splitlines()[0].startswith("Do not jump it")
    assert "First clamp" not in text
    found = answered(file, "--temperature", "-20C", "--charge", "10%")
    assert found["refused"] == "frozen"
    assert found["chance_of_start"]["with_booster"] is None
    assert found["chance_of_start"]["alone"] is None
    assert 0.0 <= found["chance_of_start"]["thawed"] <= 1.0
    assert found["needed_rating_a"] is None
    assert found["order_of_clamps"] == []
    assert found["frozen_chance"] > 0.9
    assert found["battery_c"] < found["freezes_below_c"]


def test_a_charge_that_nobody_told_can_be_ice_too(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(FILE.replace('charge = "10 %"\n', ""), encoding="utf-8")
    found = answered(str(path), "--temperature", "-15C")
    assert found["charge"]["low"] < 0.1
    assert found["charge"]["high"] > 0.3
    assert found["refused"] == "frozen"
    assert 0.05 <= found["frozen_chance"] <= 0.95
    assert any("hydrometer" in line for line in found["details"])


def test_thin_leads_and_small_donors_do_less(file: str) -> None:
    found = answered(file)
    assert found["refused"] is None
    base = found["chance_of_start"]["with_booster"]
    assert base >= found["chance_of_start"]["alone"]
    strong = answered(file, "--donor-cold-cranking", "1000A", "--lead-section", "50mm2")
    assert strong["chance_of_start"]["with_booster"] > base
    assert strong["lead_milliohm"]["value"] < found["lead_milliohm"]["value"]
    # one who follows the answer gets what was asked for
    wanted = f"{found['needed_rating_a']['value']:.0f} A"
    enough = answered(file, "--donor-cold-cranking", wanted)
    assert enough["chance_of_start"]["with_booster"] >= 0.93


def test_leads_that_are_thick_enough_are_thick_enough(file: str) -> None:
    donor = ("--donor-cold-cranking", "900A")
    area = answered(file, *donor)["needed_lead_mm2"]["value"]
    assert area is not None
    enough = answered(file, *donor, "--lead-section", f"{max(area * 1.02, 4.0):.1f}mm2")
    assert enough["chance_of_start"]["with_booster"] >= 0.945


def test_a_gauge_replaces_the_section_of_the_file(file: str) -> None:
    by_gauge, by_area = answered(file, "--lead-gauge", "4"), answered(file, "--lead-section", "21.15mm2")
    assert by_gauge["lead_milliohm"]["value"] == pytest.approx(by_area["lead_milliohm"]["value"], abs=0.01)


def test_a_pack_by_volts_at_a_current_and_by_its_peak(file: str) -> None:
    told = answered(file, "--kind", "pack", "--pack-voltage", "9V", "--pack-current", "400A")
    assert told["rating_a"] == {"value": 400.0, "low": 400.0, "high": 400.0}
    assert told["needed_lead_mm2"] is None
    peak = answered(file, "--kind", "pack", "--pack-peak", "1000A")
    assert peak["rating_a"]["high"] > 2.0 * peak["rating_a"]["low"]
    assert peak["rating_a"]["high"] <= 500.0
    assert any("no cranking amps" in line for line in peak["details"])
    cold = answered(file, "--kind", "pack", "--pack-voltage", "9V", "--pack-current", "400A",
                    "--pack-temperature", "-15C")  # fmt: skip
    assert cold["chance_of_start"]["with_booster"] < told["chance_of_start"]["with_booster"]


def test_a_pack_colder_than_it_may_be_is_not_tried(file: str) -> None:
    found = answered(file, "--kind", "pack", "--pack-peak", "1000A", "--pack-temperature", "-25C")
    assert found["refused"] == "cold pack"
    assert found["answer"].startswith("Not with this pack")
    assert found["chance_of_start"]["with_booster"] is None


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        (("--kind", "pack"), "booster.pack_voltage"),
        (("--kind", "pack", "--pack-voltage", "9V"), "booster.pack_current"),
        (("--lead-length", "100m"), "booster.lead_length"),
        (("--pack-peak", "900A"), "booster.pack_peak"),
        (("--charge", "-5%"), "booster.charge"),
        (("--kind", "windmill"), "booster.kind"),
    ],
)
def test_wrong_fields_are_named(file: str, arguments: tuple[str, ...], field: str) -> None:
    found = asked(file, *arguments)
    assert isinstance(found.exception, ScenarioError)
    assert found.exception.faults[0].field == field


def test_a_vehicle_of_24_volts_is_sent_elsewhere(tmp_path: Path) -> None:
    path = tmp_path / "truck.toml"
    path.write_text(FILE.replace("[place]", 'system_voltage = "24 V"\n[place]'), encoding="utf-8")
    found = asked(str(path))
    assert isinstance(found.exception, ScenarioError)
    assert "two 12 V boosters in series none" in str(found.exception.faults[0])


def test_no_battery_no_answer(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    head, _, rest = FILE.partition("[battery]")
    path.write_text(head + "[booster]" + rest.partition("[booster]")[2], encoding="utf-8")
    found = asked(str(path))
    assert isinstance(found.exception, ScenarioError)
    assert found.exception.faults[0].field == "battery.capacity"


def test_a_diesel_without_heat_is_told_so(file: str, tmp_path: Path) -> None:
    path = tmp_path / "cold.toml"
    path.write_text(FILE.replace('fuel = "diesel"', 'fuel = "diesel"\npreheat = "none"'), encoding="utf-8")
    found = answered(str(path), "--temperature", "-14C", "--charge", "60%")
    assert found["blocked_by"] in {"ignition", "oil"}
    assert "Warm the engine first" in found["answer"] or "heat" in found["answer"]


def test_the_command_is_found_and_its_examples_are_flags_it_knows(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["booster", "--help"]) == 0
    shown = capsys.readouterr().out
    for word in HELP.split():
        if word.startswith("--"):
            assert word.rstrip(":,.") in shown


def test_cautions_begin_with_the_manual_and_the_ice() -> None:
    manual, frozen, *others = caution_sentences()
    assert "manual" in manual
    assert "frozen" in frozen
    assert any("hydrogen" in line for line in others)
    assert any("bare engine metal" in line for line in others)


def test_sections_are_said_upwards() -> None:
    assert section_words(21.1e-6) == "22 mm² (3 AWG)"
    assert section_words(1e-9) == "1 mm² (17 AWG)"
    assert section_words(60e-6) == "60 mm² (2/0 AWG)"
    assert section_words(400e-6) == "400 mm²"
