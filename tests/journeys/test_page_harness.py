"""The page in Streamlit's own harness: what it says first, what a change does, what a wrong entry does."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from sizing.advice.recommend import recommend
from sizing.inputs import demo_mapping, demo_scenario, load_scenario, scenario_from_mapping
from sizing.report.form import entries_of, flatten, from_query, nested, query_of, question_of, to_toml
from sizing.report.text import answer_sentence, caution_lines

ROOT = Path(__file__).parents[2]
PAGE = str(ROOT / "app.py")
TITLES = (
    "What the engine needs, and what the battery gives",
    "What must stand on the label",
    "The coldest nights of the place",
    "How long it lasts",
)


def opened(**query: str) -> AppTest:
    """Return the page as it first opens."""
    page = AppTest.from_file(PAGE, default_timeout=60)
    for key, value in query.items():
        page.query_params[key] = value
    return clean(page.run())


def clean(page: AppTest) -> AppTest:
    """Return the page when it has run without a traceback."""
    assert not page.exception
    return page


def answer(page: AppTest) -> str:
    """Return the sentence directly under the title."""
    return str(page.subheader[0].value)


def words(page: AppTest) -> str:
    """Return everything that the page says."""
    return "\n".join(str(part.value) for part in (*page.markdown, *page.subheader, *page.info, *page.warning))


def specs(page: AppTest) -> list[dict[str, Any]]:
    """Return the charts as they are handed to the browser."""
    return [json.loads(chart.proto.spec) for chart in page.get("vega_lite_chart")]


def axes(spec: dict[str, Any]) -> set[str]:
    """Return the titles of all axes of a chart."""
    found = set()
    for layer in spec["layer"]:
        found |= {layer["encoding"][side]["title"] for side in ("x", "y") if side in layer["encoding"]}
    return found


def test_it_opens_with_the_invented_demo_and_its_answer() -> None:
    page = opened()
    assert page.title[0].value.endswith("?")
    assert answer(page) == answer_sentence(recommend(demo_scenario()))
    assert any("invented demonstration" in info.value for info in page.info)
    assert not page.error


def test_another_night_changes_the_answer_and_ends_the_demonstration() -> None:
    page = opened()
    before = answer(page)
    page.text_input("place.coldest_night").set_value("-20 °C")
    clean(page.run())
    asked = demo_mapping()
    asked["place"] = {"coldest_night": "-20 °C", "shelter": "street"}
    assert answer(page) == answer_sentence(recommend(scenario_from_mapping(asked))) != before
    assert not any("invented demonstration" in info.value for info in page.info)
    assert TITLES[2] not in [head.value for head in page.subheader]  # a stated night has no others


@pytest.mark.parametrize(
    ("key", "typed", "accepted"),
    [
        ("vehicle.displacement", "two litres", "a volume with its unit"),
        ("vehicle.displacement", "2.0 A", "a volume with its unit"),
        ("place.coldest_night", "-30", "a temperature with its unit"),
        ("battery.cold_cranking", "9**9**9 A", "a current with its unit"),
        ("goal.chance", "200 %", "from 50 % to 99.5 %"),
    ],
)
def test_a_wrong_entry_gives_a_line_and_keeps_the_answer(key: str, typed: str, accepted: str) -> None:
    page = opened()
    before = answer(page)
    page.text_input(key).set_value(typed)
    clean(page.run())
    assert len(page.error) == 1
    assert accepted in page.error[0].value
    assert answer(page) == before
    assert any("not accepted" in warning.value for warning in page.warning)
    page.text_input(key).set_value(str(flatten(demo_mapping()).get(key, "")))
    clean(page.run())
    assert not page.error
    assert answer(page) == before


def test_the_last_good_answer_is_kept_not_the_first() -> None:
    page = opened()
    page.text_input("vehicle.displacement").set_value("1.4 l")
    clean(page.run())
    small = answer(page)
    page.text_input("vehicle.displacement").set_value("1.4")
    clean(page.run())
    assert answer(page) == small


def test_us_units_are_shown_everywhere() -> None:
    page = opened()
    page.radio("show.units").set_value("US")
    clean(page.run())
    assert "°F" in answer(page)
    assert "°C" not in words(page)
    assert all("°C" not in json.dumps(spec, ensure_ascii=False) for spec in specs(page))


def test_a_place_that_nobody_knows_is_told_with_the_nearest_spellings() -> None:
    page = opened(**{**query_of(flatten(demo_mapping())), "place.name": "Winnipegosis Falls"})
    assert len(page.error) == 1
    assert "Winnipeg, CA" in page.error[0].value
    assert answer(page) == answer_sentence(recommend(demo_scenario()))


def test_every_chart_has_axes_with_units_a_sentence_and_a_table() -> None:
    page = opened()
    drawn = specs(page)
    assert [head.value for head in page.subheader if head.value in TITLES] == list(TITLES)
    assert len(drawn) == len(TITLES)
    assert "coldest outdoor air of the night [°C]" in axes(drawn[0]) & axes(drawn[1])
    assert "current of all batteries [A]" in axes(drawn[0])
    assert "cold-cranking amps (EN) [A]" in axes(drawn[1])
    assert "coldest outdoor air [°C]" in axes(drawn[2])
    assert axes(drawn[3]) >= {"age of the battery [years]", "chance of starting [%]"}
    assert all(chart.proto.alt for chart in page.get("vega_lite_chart"))
    assert len(page.table) >= len(TITLES)
    numbered = [box.label for box in page.expander if box.label.startswith("Numbers: ")]
    assert len(numbered) == len(TITLES)


def test_charts_ask_nothing_of_the_network() -> None:
    for spec in specs(opened()):
        text = json.dumps({key: value for key, value in spec.items() if key != "$schema"})
        assert "://" not in text


def test_cautions_stand_where_hands_get_near_a_battery() -> None:
    said = words(opened())
    for context in ("changing", "charging", "frozen"):
        for line in caution_lines(context):
            assert line in said


def test_an_engine_whose_oil_is_too_stiff_gets_a_sentence_and_no_chance_by_age() -> None:
    page = opened(
        **{
            "schema": "1", "vehicle.displacement": "3.0 l", "vehicle.cylinders": "6",
            "vehicle.fuel": "diesel", "vehicle.oil": "15W-40", "place.coldest_night": "-45 °C",
        }
    )  # fmt: skip
    assert answer(page).startswith("No battery alone starts this engine")
    assert TITLES[3] not in [head.value for head in page.subheader]


def test_a_link_holds_the_whole_question() -> None:
    page = opened()
    page.checkbox("vehicle.stop_start").set_value(True)
    page.text_input("vehicle.displacement").set_value("1.6 l")
    clean(page.run())
    kept = {key: value[0] if isinstance(value, list) else value for key, value in page.query_params.items()}
    again = opened(**kept)
    assert again.text_input("vehicle.displacement").value == "1.6 l"
    assert again.checkbox("vehicle.stop_start").value
    assert answer(again) == answer(page)


def test_a_scenario_file_is_taken_and_keys_without_an_input_stay() -> None:
    page = opened()
    text = 'schema = 1\n[vehicle]\ndisplacement = "1.2 l"\ncylinders = 3\nfuel = "petrol"\nstroke = "80 mm"\n'
    text += '[place]\ncoldest_night = "-15 °C"\n'
    page.file_uploader[0].set_value(("mine.toml", text.encode(), "application/toml"))
    clean(page.run())
    assert page.text_input("vehicle.displacement").value == "1.2 l"
    assert page.text_input("place.coldest_night").value == "-15 °C"
    asked = json.loads(page.session_state["good"])
    assert asked["vehicle"]["stroke"] == "80 mm"
    assert not page.checkbox("battery").value


@pytest.mark.parametrize(
    "content", [b"not toml at all", b"\xff\xfe", b'schema = 1\n[vehicle]\ncolour = "red"\n']
)
def test_a_file_that_is_no_scenario_is_refused_in_a_line(content: bytes) -> None:
    page = opened()
    before = answer(page)
    page.file_uploader[0].set_value(("mine.toml", content, "application/toml"))
    clean(page.run())
    assert page.error
    assert answer(page) == before


def test_what_is_saved_opens_again(tmp_path: Path) -> None:
    flat = flatten(demo_mapping()) | {"vehicle.stop_start": True, "place.sleeve": "felt 5 mm"}
    path = tmp_path / "kept.toml"
    path.write_text(to_toml(nested(flat)), encoding="utf-8")
    assert load_scenario(path) == scenario_from_mapping(nested(flat))


def test_a_form_left_alone_asks_the_same_question() -> None:
    flat = flatten(demo_mapping())
    assert nested(question_of(entries_of(flat), flat)) == demo_mapping()
    assert scenario_from_mapping(nested(from_query(query_of(flat)))) == demo_scenario()


def test_an_unknown_age_is_taken_as_the_age_to_reach() -> None:
    page = opened()
    page.text_input("battery.age").set_value("")
    clean(page.run())
    assert json.loads(page.session_state["good"])["battery"]["age"] == "4 years"
