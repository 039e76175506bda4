"""The view of changing and jumping in Streamlit's own harness."""

from __future__ import annotations

import json

from streamlit.testing.v1 import AppTest

from sizing.advice.booster import booster
from sizing.inputs import demo_mapping, scenario_from_mapping
from sizing.report.booster_figures import booster_figure

SCRIPT = """
from sizing.page.state import begin
from sizing.page.changing import render
begin()
render()
"""


def opened() -> AppTest:
    page = AppTest.from_string(SCRIPT, default_timeout=60).run()
    assert not page.exception
    return page


def said(page: AppTest) -> str:
    return "\n".join(str(part.value) for part in (*page.subheader, *page.markdown, *page.error))


def test_the_view_shows_the_sheet_and_the_jump_start() -> None:
    text = said(opened())
    assert "earth clamp off first" in text
    assert "with the donor car" in text
    assert "Last clamp" in text
    assert "rinse with clean water" in text
    assert "Never charge or load\\-test" in text or "Never charge or load-test" in text


def test_the_sheet_follows_the_vehicle() -> None:
    page = opened()
    page.selectbox(key="replacing.position").set_value("boot").run()
    page.checkbox(key="replacing.positive_earth").set_value(True).run()
    assert not page.exception
    text = said(page)
    assert "vent hose" in text
    assert "earthed positive clamp last" in text


def test_ice_stops_the_jump_on_the_page_too() -> None:
    page = opened()
    page.text_input(key="booster.temperature").set_value("-30 °C").run()
    assert not page.exception
    assert "Do not jump it" in page.error[0].value
    assert "Last clamp" not in said(page)


def test_a_pack_is_asked_for_volts_at_a_current() -> None:
    page = opened()
    page.selectbox(key="booster.kind").set_value("pack").run()
    assert not page.exception
    assert "with the pack (300 A at 10 V)" in said(page)
    page.text_input(key="booster.pack_current").set_value("").run()
    assert "such as" in said(page)
    page.text_input(key="booster.pack_voltage").set_value("").run()
    page.text_input(key="booster.pack_peak").set_value("900 A").run()
    assert not page.exception
    assert "no cranking amps" in said(page)


def test_the_chart_names_its_axes_and_has_its_numbers() -> None:
    told = {"temperature": "-8 °C", "charge": "10 %"}
    figure = booster_figure(booster(scenario_from_mapping({**demo_mapping(), "booster": told})))
    spec = json.loads(figure.chart.to_json())
    titles = {layer["encoding"][side]["title"] for layer in spec["layer"] for side in ("x", "y")}
    assert titles == {"current of the starter [A]", "volts at the battery's posts [V]"}
    assert "what the start asks for" in json.dumps(spec)
    assert len(figure.table) > 8
    assert all(set(row) == set(figure.table[0]) for row in figure.table)
