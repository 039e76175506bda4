"""The command ``climate``: from a place or a weather file to sentences, one JSON object and a picture."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import click
import numpy as np
import pytest
from click.testing import CliRunner

from sizing.advice.recommend import recommend
from sizing.climate import find
from sizing.climate.generate import hourly_years
from sizing.climate.year import year_of_place
from sizing.commands.climate import HELP, climate
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.report.climate_figures import year_figure
from sizing.report.climate_text import climate_object, plain_lines


def told(*arguments: str) -> str:
    result = CliRunner().invoke(climate, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def as_object(*arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(*arguments, "--json"))
    return found


def hourly_file(path: Path, years: int, *, head: str = "time,temperature (°C)") -> Path:
    """Write made-up hours of a cold place as a table."""
    lines = [head]
    for year, hours in enumerate(hourly_years(find("Winnipeg"), years, seed=3)):
        days = np.datetime64(f"{2001 + year}-01-01") + np.arange(366)
        kept = [str(day) for day in days if str(day)[5:] != "02-29" and str(day)[:4] == str(2001 + year)]
        stamps = (f"{day} {hour:02d}:00" for day in kept for hour in range(24))
        lines += [f"{t},{x - 273.15:.1f}" for t, x in zip(stamps, hours, strict=True)]
        if (2001 + year) % 4 == 0:
            at = next(i for i, line in enumerate(lines) if line.startswith(f"{2001 + year}-03-01"))
            lines[at:at] = [f"{2001 + year}-02-29 {hour:02d}:00,-9.0" for hour in range(24)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_without_a_word_an_invented_place_is_shown_and_said_to_be() -> None:
    text = told()
    assert "invented" in text
    assert as_object()["demo"] is True
    assert as_object("Winnipeg")["demo"] is False


def test_a_place_is_answered_with_its_published_nights() -> None:
    found = as_object("winipeg")
    assert found["name"] == "Winnipeg, CA"
    average, ten = found["nights"][0], found["nights"][2]
    # the mean annual minimum is printed as -35.4; the table's ten-year value is -38.5
    assert average["coldest_c"] == pytest.approx(-35.4, abs=0.01)
    assert ten["coldest_c"] == pytest.approx(-38.5, abs=0.1)
    assert average["low_c"] < average["coldest_c"] < average["high_c"]
    assert len(found["months"]["mean_c"]) == 12
    assert "-35 °C" in found["answer"]


def test_units_of_the_sentences_change_and_the_object_stays_in_celsius() -> None:
    metric, customary = as_object("Phoenix"), as_object("Phoenix", "--units", "US")
    assert "°F" in customary["answer"]
    assert metric["nights"] == customary["nights"]
    assert "°F" in told("Phoenix", "--units", "US")


def test_the_southern_summer_is_in_january() -> None:
    found = as_object("Alice Springs")
    assert found["months"] == {} or found["months"]["mean_c"][0] > found["months"]["mean_c"][6]
    punta = as_object("Punta Arenas")["months"]["mean_c"]
    assert punta[0] > punta[6]


def test_a_place_without_months_says_so_and_still_tells_its_nights() -> None:
    found = as_object("Santiago")
    assert found["months"] == {}
    assert found["equal_ageing_c"] is None
    assert any("no monthly temperatures" in line for line in found["details"])
    assert len(found["nights"]) == 5


def test_a_file_of_twelve_years_has_a_fit_beside_the_formula(tmp_path: Path) -> None:
    found = as_object(str(hourly_file(tmp_path / "station.csv", 12)))
    assert found["kind"] == "file"
    assert found["basis"] == "weather file"
    assert found["winters"] == 11
    fit = found["fit"][2]
    assert fit["low_c"] < fit["fitted_c"] < fit["high_c"]
    # eleven winters of a place whose own ten-year night is -38.5
    assert fit["fitted_c"] == pytest.approx(-38.5, abs=3.0)
    assert fit["formula_c"] == pytest.approx(fit["fitted_c"], abs=1.5)


def test_a_file_of_one_year_is_less_sure_than_a_place(tmp_path: Path) -> None:
    path = hourly_file(tmp_path / "logger.csv", 2)
    found = as_object(str(path))
    assert found["fit"] == []
    assert found["winters"] == 1
    place = as_object("Winnipeg")["nights"][2]
    night = found["nights"][2]
    assert night["high_c"] - night["low_c"] > place["high_c"] - place["low_c"]


def test_a_picture_is_written_as_svg_with_units(tmp_path: Path) -> None:
    path = tmp_path / "year.svg"
    told("Phoenix", "--picture", str(path))
    drawn = path.read_text(encoding="utf-8")
    assert drawn.startswith("<svg")
    assert "air temperature [°C]" in drawn
    assert "day of the year" in drawn


def test_the_figure_holds_few_rows_and_a_table_of_the_same_months() -> None:
    year = year_of_place(find("Winnipeg"))
    figure = year_figure(year)
    assert figure is not None
    assert len(json.dumps(figure.chart.to_dict())) < 150_000
    assert len(figure.table) == 12
    assert figure.sentence.endswith(".")


def test_sentences_and_object_tell_the_same_nights() -> None:
    year = year_of_place(find("Fairbanks"))
    text, held = "\n".join(plain_lines(year)), climate_object(year)
    for night in held["nights"]:
        assert f"{night['coldest_c']:.1f}".removesuffix(".0") in text


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("nothing of the kind\n", "neither EPW nor TMY3"),
        ("time,temp\n2001-01-01 00:00,5\n2001-01-01 01:00,5\n", "line 1, column 2"),
    ],
)
def test_a_damaged_file_is_one_line_with_its_place(tmp_path: Path, content: str, message: str) -> None:
    path = tmp_path / "file.csv"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(click.ClickException) as caught:
        climate.main([str(path)], standalone_mode=False)
    assert message in caught.value.format_message()
    assert "\n" not in caught.value.format_message()


def test_what_is_neither_place_nor_file_is_refused_with_what_is_near() -> None:
    with pytest.raises(ScenarioError, match="Yellowknife"):
        climate.main(["Yelowknive, DE"], standalone_mode=False)
    with pytest.raises(click.ClickException, match="cannot be read"):
        climate.main(["missing.epw"], standalone_mode=False)
    with pytest.raises(click.UsageError, match="ends with"):
        climate.main(["Winnipeg", "--picture", "year.png"], standalone_mode=False)
    with pytest.raises(click.UsageError, match="sensor 1"):
        climate.main(["Winnipeg", "--column", "temperature"], standalone_mode=False)


def test_columns_named_by_the_user(tmp_path: Path) -> None:
    path = hourly_file(tmp_path / "logger.csv", 1, head="when,sensor 1")
    found = as_object(str(path), "--column", "stamp=when", "--column", "temperature=sensor 1", "--unit", "C")
    assert any("'sensor 1'" in line for line in found["details"])


def test_the_help_tells_every_key_and_its_examples_run(tmp_path: Path) -> None:
    for key in as_object("Winnipeg"):
        assert re.search(rf"\b{key}\b", HELP), key
    examples = re.findall(r"^  sizing climate ?(.*)$", HELP, re.MULTILINE)
    assert len(examples) == 5
    assert told(*[word.strip('"') for word in examples[1].split()])


def test_a_scenario_takes_its_nights_from_a_weather_file(tmp_path: Path) -> None:
    path = hourly_file(tmp_path / "station.csv", 12)
    question = demo_mapping()
    question["place"] = {"weather_file": str(path)}
    answer = recommend(scenario_from_mapping(question))
    assert answer.place == "station"
    assert answer.night_basis == "weather file"
    # eleven winters of a place whose printed ten-year night is -38.5
    assert 228.0 < answer.night.value < 241.0
    question["place"] = {"weather_file": str(tmp_path / "missing.epw")}
    with pytest.raises(ScenarioError, match="weather_file"):
        recommend(scenario_from_mapping(question))
    question["place"] = {"weather_file": str(path), "name": "Winnipeg"}
    with pytest.raises(ScenarioError, match="exactly one of the four"):
        scenario_from_mapping(question)


def test_a_damaged_weather_file_is_a_fault_of_the_scenario(tmp_path: Path) -> None:
    path = tmp_path / "cut.csv"
    path.write_text("time,temp_c\n2001-01-01 00:00,5\n2001-01-01 01:00,x9\n", encoding="utf-8")
    question = demo_mapping()
    question["place"] = {"weather_file": str(path)}
    with pytest.raises(ScenarioError, match="line 3, column 2"):
        recommend(scenario_from_mapping(question))
