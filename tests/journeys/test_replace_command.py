"""Somebody changes a battery: the sheet for the terminal, for scripts and for the printer."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from sizing.advice.replacing import replacing
from sizing.cli import run
from sizing.commands.replace import replace
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.report.replacing_html import sheet_page
from sizing.report.replacing_text import cautions, steps
from sizing.tables import load, sources

HEAVY = """
schema = 1
[vehicle]
displacement = "6.0 l"
cylinders = 6
fuel = "diesel"
system_voltage = "24 V"
stop_start = true
[place]
coldest_night = "-20 °C"
[battery]
type = "AGM"
capacity = "105 Ah"
cold_cranking = "950 A"
standard = "EN"
mass = "31 kg"
[replacing]
position = "cabin"
heat_shield = false
"""


def asked(*arguments: str) -> Result:
    return CliRunner().invoke(replace, arguments, catch_exceptions=True)


def answered(*arguments: str) -> dict[str, Any]:
    found = asked(*arguments, "--json")
    assert found.exit_code == 0, found.output
    return dict(json.loads(found.output))


@pytest.fixture
def heavy(tmp_path: Path) -> str:
    path = tmp_path / "truck.toml"
    path.write_text(HEAVY, encoding="utf-8")
    return str(path)


def place_of(told: list[dict[str, str]], *words: str) -> int:
    """Return the number of the one step that says all of these words."""
    (found,) = (n for n, step in enumerate(told) if all(word in step["do"] for word in words))
    return found


def test_the_demo_is_a_sheet_in_order() -> None:
    text = asked().output
    assert "own manual goes first" in text.splitlines()[1]
    assert "invented" in text
    order = (
        "earth clamp off first", "positive clamp off", "heat shield or sleeve", "Lift it out",
        "Set the new battery", "Refit the heat shield", "earth clamp last", "Wash your hands",
    )  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert "hydrogen" in text[: places[0]]
    assert "rinse with clean water" in text
    assert "18 kg" in text


def test_a_heat_shield_that_nobody_told_of_is_spoken_of_as_one_that_may_be_there() -> None:
    untold, told = answered(), answered("--heat-shield")
    for sheet, words in ((untold, ", if it has one"), (told, "sleeve and keep it")):
        steps = [step["do"] for step in sheet["steps"] if "heat shield" in step["do"]]
        assert len(steps) == 2
        assert words in steps[0]
    assert "if it had one" in json.dumps(untold)
    assert "if it ha" not in json.dumps(told)
    assert "heat shield" not in json.dumps(answered("--no-heat-shield"))


def test_every_sheet_takes_the_earth_off_first_and_puts_it_on_last() -> None:
    for old in (False, True):
        found = answered("--positive-earth" if old else "--negative-earth")
        told = found["steps"]
        earth, other = ("positive", "negative") if old else ("negative", "positive")
        off, then = place_of(told, "off first", earth), place_of(told, f"Take the {other} clamp off")
        on = place_of(told, f"Put the {other} clamp on first", "last")
        assert off < then < on
        assert all(told[n]["reason"] for n in (off, then, on))
        warned = any("positive pole on the body" in line for line in found["cautions"])
        assert warned is old


def test_the_sheet_fits_the_vehicle(heavy: str) -> None:
    found = answered(heavy)
    assert {"heavy", "managed", "inside", "sealed", "series"} <= set(found["facts"])
    text = json.dumps(found, ensure_ascii=False)
    for words in ("two people", "31 kg", "vent hose", "Tell the vehicle of the new battery", "24 V"):
        assert words in text
    assert "heat shield" not in text
    # at 24 V the outer posts show both
    assert found["charging_volts"]["low"] > 26.0
    plain = answered()
    assert "vent hose" not in json.dumps(plain)
    assert "Tell the vehicle" not in json.dumps(plain)


def test_the_printed_page_stands_alone(tmp_path: Path) -> None:
    page = tmp_path / "sheet.html"
    assert asked("--html", str(page)).exit_code == 0
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert "@media print" in text
    assert "width=device-width" in text
    for beyond in ("<script", "http:", "https:", "url(", "@import", "<link", "<img"):
        assert beyond not in text
    sheet = replacing(scenario_from_mapping(demo_mapping()))
    assert text.count('class="done"') == len(steps(sheet))
    assert cautions(sheet)

    tags: list[str] = []

    class Nesting(HTMLParser):
        """Collects tags that are opened and closed."""

        def handle_starttag(self, tag: str, attrs: object) -> None:
            """Open."""
            if tag != "meta":
                tags.append(tag)

        def handle_endtag(self, tag: str) -> None:
            """Close what is open."""
            assert tags.pop() == tag

    Nesting().feed(text)
    assert not tags


def test_what_a_person_types_is_no_html() -> None:
    told = {**demo_mapping(), "place": {"name": "Demo Frostvale", "shelter": "street"}}
    page = sheet_page(replacing(scenario_from_mapping(told)), demo=True)
    assert "vehicle&#x27;s own manual" in page


def test_a_page_that_cannot_be_written_is_said_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["replace", "--html", str(tmp_path / "no" / "sheet.html")]) == 2
    complaint = capsys.readouterr().err
    assert "--html" in complaint
    assert len(complaint.strip().splitlines()) == 1


def test_a_wrong_position_is_named() -> None:
    found = asked("--position", "roof")
    assert isinstance(found.exception, ScenarioError)
    assert found.exception.faults[0].field == "replacing.position"


def test_pounds_where_the_owner_reads_pounds(tmp_path: Path) -> None:
    path = tmp_path / "truck.toml"
    path.write_text(HEAVY + '[show]\nunits = "US"\n', encoding="utf-8")
    text = asked(str(path)).output
    assert "69 lb" in text  # 68.3: what is lifted is rounded up
    assert "51 lb" in text


def test_every_reason_is_our_own_and_every_step_has_its_source() -> None:
    rows = load("messages_replacing").select("data", key="step")
    assert len(rows) > 20
    for row in rows:
        assert row["source"] in sources()
