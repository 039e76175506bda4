"""The view of standing idle in Streamlit's own harness."""

from __future__ import annotations

import json
from pathlib import Path

from streamlit.testing.v1 import AppTest

from sizing.advice.standing import standing
from sizing.inputs import demo_mapping, scenario_from_mapping
from sizing.report.standing_figures import standing_figure
from sizing.report.standing_text import answer_sentence

ROOT = Path(__file__).parents[2]
SCRIPT = """
from sizing.page.state import begin
from sizing.page.standing import render
begin()
render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(SCRIPT, default_timeout=60).run()
    assert not page.exception
    return page


def said(page: AppTest) -> str:
    return "\n".join(str(part.value) for part in (*page.subheader, *page.markdown, *page.error))


def test_the_view_answers_and_a_change_changes_it() -> None:
    page = opened()
    before = said(page)
    assert "then the acid of the emptied battery begins to freeze" in before
    assert "disconnect the battery" in before
    page.text_input(key="standing.draw").set_value("5 mA").run()
    assert not page.exception
    assert said(page) != before
    page.text_input(key="standing.draw").set_value("-5 mA").run()
    assert "from 0 mA to 20 A" in said(page)


def test_the_page_prints_how_long_a_changed_input_took() -> None:
    page = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    page.run()
    said = [str(caption.value) for caption in page.caption]
    assert any(text.startswith("Answered and drawn in ") for text in said)


def test_what_wakes_up_can_be_told() -> None:
    page = opened()
    for key, value in (("current", "0.24 A"), ("time", "60 s"), ("interval", "10 min")):
        page.text_input(key=f"standing.pulse_{key}").set_value(value)
    page.run()
    assert not page.exception
    # 28 mA and a tenth of 240 mA
    assert "The vehicle draws 52 mA on average" in said(page)


def test_a_drive_now_and_then_can_be_asked_for() -> None:
    page = opened()
    page.text_input(key="standing.runs").set_value("60 min").run()
    page.text_input(key="standing.every").set_value("2 weeks").run()
    assert not page.exception
    assert "Driving for 60 minutes every 14 days gives" in said(page)
    page.checkbox(key="standing.idle").set_value(True).run()
    assert "Idling for 60 minutes every 14 days gives" in said(page)
    assert "closed garage" in said(page)


def test_the_chart_shows_charge_freezing_and_start_by_date() -> None:
    told = {"draw": "28 mA", "from": "2025-10-20", "days": 100, "shelter": "garage"}
    found = standing(scenario_from_mapping({**demo_mapping(), "standing": told}))
    figure = standing_figure(found)
    spec = json.loads(figure.chart.to_json())
    titles = {layer["encoding"]["y"]["title"] for layer in spec["layer"] if "y" in layer["encoding"]}
    assert titles == {"state of charge [%]"}
    assert "first ice" in json.dumps(spec)
    assert figure.table
    assert "50 %" not in answer_sentence(found)
