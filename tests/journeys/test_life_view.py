"""The view of heat and life, opened without a browser."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

LONG = 120.0  # s
VIEW = """
from sizing.page import life
from sizing.page.state import begin

begin()
life.render()
"""


def test_the_view_answers_and_follows_its_inputs() -> None:
    page = AppTest.from_string(VIEW, default_timeout=LONG).run()
    assert not page.exception
    assert "battery last" in page.title[0].value
    before = page.subheader[0].value
    assert "one in ten is gone after" in before
    assert any("invented" in info.value for info in page.info)
    assert len(page.get("vega_lite_chart")) >= 4
    assert any("trunk" in text.value for text in page.markdown)
    assert not page.error
    page.selectbox(key="life.location").set_value("trunk").run()
    assert page.subheader[0].value != before
    page.text_input(key="life.trip_minutes").set_value("soon").run()
    assert "accepted" in page.error[0].value
    assert not page.exception
