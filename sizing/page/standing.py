"""The view of standing idle: its question, the answer, the chart by date, and what would help."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import streamlit as st

from sizing.advice.standing import StandingAnswer, standing
from sizing.commands.standing import DEMO
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.standing_figures import standing_figure
from sizing.report.standing_json import standing_object
from sizing.report.standing_text import (
    answer_sentence,
    assumed_lines,
    caution_sentences,
    detail_sentences,
    event_line,
    measure_lines,
    remedy_line,
)
from sizing.report.standing_words import say

SHELTERS = {
    "": "as in the main view",
    "open": "in the open",
    "garage": "garage or shed",
    "indoors": "indoors",
}
AWAKE = (
    "pulse_current",
    "pulse_time",
    "pulse_interval",
    "awake_current",
    "awake_time",
    "decaying_current",
    "decaying_time",
)
DAYS = 177  # of the demo: from late October to mid April


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str) -> StandingAnswer:
    """Return the answer to a question written as JSON."""
    return standing(scenario_from_mapping(json.loads(text)))


def _ask() -> dict[str, Any]:
    """Ask how it stands; what is left empty is taken as usual."""
    st.subheader("How it stands", anchor=False)
    draw = st.text_input(
        say("page.draw"), DEMO["draw"], key="standing.draw", max_chars=20, help=measure_lines()[1]
    )
    begin = st.date_input(say("page.from"), date.fromisoformat(DEMO["from"]), key="standing.from")
    days = st.number_input(say("page.days"), 1, 1095, DAYS, key="standing.days")
    starts = st.text_input(say("page.starts"), DEMO["starts_at"], key="standing.starts", max_chars=20)
    shelter = st.selectbox(
        say("page.shelter"), list(SHELTERS), index=2, format_func=SHELTERS.__getitem__, key="standing.shelter"
    )
    off = st.checkbox("The battery is disconnected", key="standing.disconnected")
    mains = st.checkbox("A maintainer on mains power", key="standing.maintainer")
    panel = st.text_input("Solar panel", "", key="standing.panel", max_chars=20, placeholder="such as 20 W")
    runs = st.text_input(
        say("page.runs"), "", key="standing.runs", max_chars=20, placeholder="such as 30 min"
    )
    often = (
        {
            "drive_every": st.text_input(say("page.every"), "4 weeks", key="standing.every", max_chars=20),
            "idle": st.checkbox(say("page.idle"), key="standing.idle"),
        }
        if runs.strip()
        else {}
    )
    with st.expander(say("page.awake")):
        awake = {
            key: st.text_input(say(f"page.{key}"), "", key=f"standing.{key}", max_chars=20).strip()
            for key in AWAKE
        }
    told = {
        "draw": draw,
        "from": begin.isoformat() if isinstance(begin, date) else "",
        "days": int(days),
        "starts_at": starts,
        "shelter": shelter,
        "panel": panel,
        "drive_minutes": runs,
        **often,
        **awake,
    }
    return {**{key: value for key, value in told.items() if value}, "disconnected": off, "maintainer": mains}


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    st.title(say("page.question"), anchor=False)
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        told = _ask()
    with answer:
        try:
            found = answer_to(json.dumps({**question, "standing": told}))
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(str(fault)))
            return
        _show(found, demo=question == demo_mapping())


def _show(found: StandingAnswer, *, demo: bool) -> None:
    st.subheader(answer_sentence(found), anchor=False)
    if demo:
        st.info(say("demo"))
    show_figure(standing_figure(found))
    sections = (
        ("remedies", [remedy_line(remedy, found) for remedy in found.remedies]),
        ("events", [event_line(event, found) for event in found.events]),
        ("details", detail_sentences(found)),
        ("assumed", assumed_lines(found)),
    )
    for name, lines in sections:
        if not lines:
            continue
        st.subheader(say(f"heading.{name}"), anchor=False)
        st.markdown(bullets([literal(line) for line in lines]))
    for name, lines in (("cautions", caution_sentences(found)), ("measure", measure_lines())):
        with st.expander(say(f"heading.{name}"), expanded=name == "cautions"):
            st.markdown(bullets([literal(line) for line in lines]))
    st.download_button(
        "Answer as JSON",
        json.dumps(standing_object(found, demo=demo), indent=2, allow_nan=False),
        "standing.json",
        "application/json",
    )
