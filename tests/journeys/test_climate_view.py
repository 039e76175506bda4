"""The view of the weather, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 60.0  # s
VIEW = """
from sizing.page import climate
from sizing.page.state import begin

begin()
climate.render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(VIEW, default_timeout=LONG).run()
    assert not page.exception
    return page


def test_the_view_asks_answers_and_shows_a_picture_with_its_numbers() -> None:
    page = opened()
    assert page.title[0].value == "What weather must a battery stand here?"
    assert any("coldest hour of an average year" in each.value for each in page.subheader)
    assert len(page.get("vega_lite_chart")) == 1
    assert len(page.table) == 2
    assert any("What would help" in each.value for each in page.subheader)
    assert not page.error


def test_another_place_gives_another_answer() -> None:
    page = opened()
    before = [each.value for each in page.subheader]
    page.selectbox(key="climate.place").set_value("Singapore, SG").run()
    assert not page.exception
    after = [each.value for each in page.subheader]
    assert before != after
    assert any("Singapore" in each for each in after)


def test_a_place_without_months_has_nights_and_no_picture() -> None:
    page = opened()
    page.selectbox(key="climate.place").set_value("Santiago, CL").run()
    assert not page.exception
    assert not page.get("vega_lite_chart")
    assert len(page.table) == 1
