"""The view of the first three seconds, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 60.0  # s


VIEW = """
from sizing.page import start
from sizing.page.state import begin

begin()
start.render()
"""
WITHOUT_BATTERY = """
from sizing.inputs import demo_mapping
from sizing.page import start
from sizing.page.state import fill
from sizing.report.form import flatten

question = demo_mapping()
del question["battery"]
fill(flatten(question))
start.render()
"""


def opened(script: str) -> AppTest:
    page = AppTest.from_string(script, default_timeout=LONG).run()
    assert not page.exception
    return page


def test_the_view_answers_in_a_sentence_with_two_pictures_and_numbers() -> None:
    page = opened(VIEW)
    assert "first three seconds" in page.title[0].value
    assert "posts fall to" in page.subheader[0].value
    assert any("invented" in info.value for info in page.info)
    assert len(page.get("vega_lite_chart")) == 6
    assert len(page.table) == 2
    assert not page.error


def test_a_stop_angle_is_taken_and_a_wrong_one_refused_with_what_is_accepted() -> None:
    page = opened(VIEW)
    page.text_input(key="start.stop_angle").set_value("60").run()
    assert any("60 degrees before the top" in text.value for text in page.markdown)
    page.text_input(key="start.stop_angle").set_value("far").run()
    assert not page.exception
    assert "from 0 to 720" in page.error[0].value
    assert "posts fall to" in page.subheader[0].value


def test_without_a_battery_the_view_says_what_is_missing() -> None:
    page = opened(WITHOUT_BATTERY)
    assert "battery" in page.error[0].value
    assert not page.subheader
