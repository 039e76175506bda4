"""Scenario files as people leave them: missing, folders, broken, enormous, or right."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import pytest

from sizing.inputs import ScenarioError, load_scenario

ROOT = Path(__file__).parents[2]
GOOD = """
schema = 1
[vehicle]
displacement = "2.0 l"
cylinders = 4
fuel = "petrol"
oil = "5W-30"
[place]
coldest_night = "−30 °C"
[battery]
type = "AGM"
cold_cranking = "760 A"
standard = "EN"
reserve = "120 min"
capacity = "70 Ah"
age = "3 years"
[goal]
chance = "95 %"
age = "4 years"
"""


def complaint(path: Path | str) -> str:
    """Return the single line that is said about a file."""
    with pytest.raises(ScenarioError) as caught:
        load_scenario(path)
    (fault,) = caught.value.faults
    assert fault.field == "scenario file"
    assert "\n" not in str(fault)
    assert fault.given == repr(str(path))
    return str(fault)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_a_file_is_read(tmp_path: Path, encoding: str) -> None:
    file = tmp_path / "car.toml"
    file.write_text(GOOD, encoding=encoding)
    scenario = load_scenario(file)
    assert scenario.place.coldest_night == pytest.approx(243.15)
    assert scenario.battery is not None
    assert (scenario.battery.cold_cranking, scenario.battery.reserve_minutes) == (760.0, 120.0)


def test_a_missing_file(tmp_path: Path) -> None:
    assert "a file that exists" in complaint(tmp_path / "none.toml")


def test_a_folder(tmp_path: Path) -> None:
    assert "not a folder" in complaint(tmp_path)


def test_a_name_that_cannot_be() -> None:
    assert "can be read" in complaint("a\0b.toml")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (GOOD.replace('"2.0 l"', "2.0 l").encode(), "at line 4, column"),
        (GOOD.replace('fuel = "petrol"', 'fuel = "petrol').encode(), "at line 6, column"),
        (b"schema = 1\nschema = 1\n", "at line 2"),
        ("schema = 1 # café".encode("latin-1"), "UTF-8 (byte 16 is not)"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"#" * 200_000, "at most 100 kB"),
        (b"schema = " + b"9" * 5_000, "beyond measure"),
        (b"a = " + b"[" * 50_000, "quotation marks"),
    ],
)
def test_what_is_not_a_scenario_file(tmp_path: Path, content: bytes, words: str) -> None:
    file = tmp_path / "car.toml"
    file.write_bytes(content)
    assert words in complaint(file)


@pytest.mark.parametrize("number", ["inf", "nan", "-inf", "true", "2020-01-01", "[1]", "1e400"])
def test_numbers_that_are_none(tmp_path: Path, number: str) -> None:
    file = tmp_path / "car.toml"
    file.write_text(GOOD.replace('"95 %"', number), encoding="utf-8")
    with pytest.raises(
        ScenarioError, match=r"^goal\.chance: given .*; accepted: .*a number such as"
    ) as caught:
        load_scenario(file)
    assert len(caught.value.faults) == 1


def test_the_published_schema_is_current() -> None:
    script = runpy.run_path(str(ROOT / "scripts" / "make_scenario_schema.py"))
    published = (ROOT / "docs" / "scenario.schema.json").read_text(encoding="utf-8")
    assert published == script["text"]()
    assert json.loads(published)["title"] == "Scenario"
