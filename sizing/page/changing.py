"""The view of changing and jumping: the sheet to print, and whether a jump start works here."""

from __future__ import annotations

import json
from typing import Any

import streamlit as st

from sizing.advice.booster import BoosterAnswer, booster
from sizing.advice.replacing import Sheet, replacing
from sizing.commands.booster import DEMO
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.inputs.replacing import POSITIONS
from sizing.inputs.vocabulary import marks_or_unknown
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report import replacing_text
from sizing.report.booster_figures import booster_figure
from sizing.report.booster_text import (
    answer_sentence,
    booster_object,
    caution_sentences,
    detail_sentences,
    order_lines,
    say,
)
from sizing.report.replacing_html import sheet_page

KINDS = {"car": "a donor car with leads", "pack": "a jump-start pack"}
PACK = {"pack_voltage": "10 V", "pack_current": "300 A", "pack_peak": "", "pack_temperature": "10 °C"}


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str) -> BoosterAnswer:
    """Return the answer to a question written as JSON."""
    return booster(scenario_from_mapping(json.loads(text)))


def _text(name: str, key: str, first: str) -> str:
    return st.text_input(say(f"page.{name}"), first, key=f"booster.{key}", max_chars=20) or ""


def _ask() -> dict[str, Any]:
    """Ask what helps; what is left empty is taken as usual."""
    kind = st.selectbox(say("page.kind"), list(KINDS), format_func=KINDS.__getitem__, key="booster.kind")
    told = {
        "kind": kind,
        "temperature": _text("temperature", "temperature", DEMO["temperature"]),
        "charge": _text("charge", "charge", DEMO["charge"]),
    }
    if kind == "car":
        told |= {"donor_cold_cranking": _text("donor", "donor_cold_cranking", DEMO["donor_cold_cranking"])}
        marks = list(marks_or_unknown())
        told["donor_standard"] = st.selectbox(
            say("page.standard"), marks, index=marks.index(DEMO["donor_standard"]), key="booster.standard"
        )
        told |= {key: _text(key[5:], key, DEMO[key]) for key in ("lead_section", "lead_length")}
    else:
        names = {"pack_voltage": "volts", "pack_current": "amperes", "pack_peak": "peak"}
        told |= {key: _text(names.get(key, key), key, first) for key, first in PACK.items()}
    return {key: value for key, value in told.items() if value}


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    demo = question == demo_mapping()
    st.title(say("page.question"), anchor=False)
    _render_sheet(question, demo=demo)
    st.header(say("page.jump"), anchor=False)
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        told = _ask()
    with answer:
        try:
            found = answer_to(json.dumps({**question, "booster": told}))
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(str(fault)))
            return
        _show_jump(found, demo=demo)


def _render_sheet(question: dict[str, Any], *, demo: bool) -> None:
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        position = st.selectbox("Where the battery sits", list(POSITIONS), key="replacing.position")
        old = st.checkbox("Old vehicle with its positive pole on the body", key="replacing.positive_earth")
        shield = st.checkbox("It has a heat shield or sleeve", value=True, key="replacing.heat_shield")
    told = {"position": position, "positive_earth": old, "heat_shield": shield}
    with answer:
        _show_sheet(replacing(scenario_from_mapping({**question, "replacing": told})), demo=demo)


def _show_sheet(sheet: Sheet, *, demo: bool) -> None:
    steps = replacing_text.steps(sheet)
    st.subheader(literal(replacing_text.say("intro")), anchor=False)
    if demo:
        st.info(replacing_text.say("demo"))
    st.markdown(literal(replacing_text.vehicle_line(sheet)))
    st.download_button("The sheet, to print", sheet_page(sheet, demo=demo), "changing.html", "text/html")
    with st.expander(replacing_text.say("heading.cautions"), expanded=True):
        st.markdown(bullets([literal(line) for line in replacing_text.cautions(sheet)]))
    with st.expander(replacing_text.say("heading.steps"), expanded=True):
        lines = [
            f"{number}. {literal(step.do)}" + (f" *{literal(step.reason)}*" if step.reason else "")
            for number, step in enumerate(steps, 1)
        ]
        st.markdown("\n".join(lines))
    with st.expander(replacing_text.say("heading.record")):
        st.markdown(bullets([literal(line) for line in replacing_text.records(sheet)]))


def _show_jump(found: BoosterAnswer, *, demo: bool) -> None:
    show = st.error if found.refused else st.subheader
    show(literal(answer_sentence(found)))
    if demo:
        st.info(say("demo"))
    with st.expander(say("heading.cautions"), expanded=True):
        st.markdown(bullets([literal(line) for line in caution_sentences()]))
    if not found.refused and not found.blocked:
        show_figure(booster_figure(found))
    st.subheader(say("heading.details"), anchor=False)
    st.markdown(bullets([literal(line) for line in detail_sentences(found)]))
    order = order_lines(found)
    if order:
        st.subheader(say("heading.order"), anchor=False)
        st.markdown("\n".join(f"{number}. {literal(line)}" for number, line in enumerate(order, 1)))
    st.download_button(
        "Answer as JSON",
        json.dumps(booster_object(found, demo=demo), indent=2, allow_nan=False),
        "booster.json",
        "application/json",
    )
