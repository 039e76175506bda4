"""The view of short trips, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 60.0  # s
VIEW = """
from sizing.page import trips
from sizing.page.state import begin

begin()
trips.render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(VIEW, default_timeout=LONG).run()
    assert not page.exception
    return page


def test_the_view_answers_in_a_sentence_with_picture_numbers_and_what_would_help() -> None:
    page = opened()
    assert "get full" in page.title[0].value
    assert "settles at about" in page.subheader[0].value
    assert any("invented" in info.value for info in page.info)
    assert len(page.get("vega_lite_chart")) == 1
    assert len(page.table) == 1
    assert any("left on the coldest night" in text.value for text in page.markdown)
    assert not page.error


def test_longer_trips_change_the_answer_and_a_wrong_length_is_refused() -> None:
    page = opened()
    before = page.subheader[0].value
    page.text_input(key="trips.minutes").set_value("60 min").run()
    assert page.subheader[0].value != before
    page.text_input(key="trips.minutes").set_value("soon").run()
    assert "accepted" in page.error[0].value
    assert not page.exception
