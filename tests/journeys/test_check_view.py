"""The view of the battery in hand, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 60.0  # s
VIEW = """
from sizing.page import check
from sizing.page.state import begin

begin()
check.render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(VIEW, default_timeout=LONG).run()
    assert not page.exception
    return page


def test_the_view_answers_on_four_axes_with_pictures_numbers_and_what_would_settle_it() -> None:
    page = opened()
    assert "just that cold" in page.title[0].value
    assert "tonight" in page.subheader[0].value
    text = " ".join(each.value for each in page.markdown)
    for axis in ("This winter", "Where the fault sits", "What to do next"):
        assert f"**{axis}.**" in text
    assert any("invented" in info.value for info in page.info)
    assert len(page.get("vega_lite_chart")) >= 2
    assert len(page.table) == len(page.get("vega_lite_chart"))
    headings = [each.value for each in page.subheader]
    assert "What would settle it" in headings
    assert "What would help" in headings
    assert not page.error


def test_another_reading_changes_the_answer_and_an_impossible_one_is_refused() -> None:
    page = opened()
    before = page.subheader[0].value
    page.text_input(key="check.rest_voltage").set_value("11.6 V").run()
    assert page.subheader[0].value != before
    assert any("only what you typed is yours" in info.value for info in page.info)
    page.text_input(key="check.rest_voltage").set_value("13.9 V").run()
    assert "at most 13.5 V" in page.error[0].value
    assert not page.exception


def test_a_reading_that_needs_a_word_gets_it_beside_it() -> None:
    page = opened()
    page.text_input(key="check.resistance").set_value("6 mΩ").run()
    assert "resistance" in page.error[0].value
    page.selectbox(key="check.resistance_kind").set_value("small signal").run()
    assert not page.error
    assert not page.exception


def test_with_nothing_read_the_view_says_what_to_read_first() -> None:
    page = opened()
    for box in page.text_input:
        box.set_value("")
    for choice in page.selectbox:
        choice.set_value("")
    page.run()
    assert not page.exception
    assert not page.error
    text = " ".join(each.value for each in page.markdown)
    assert "Nothing was read yet" in text
