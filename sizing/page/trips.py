"""The view of short trips: its question, answer, picture, and what would help."""

from __future__ import annotations

import json
from typing import Any

import streamlit as st

from sizing.advice.trips import Balance, balance
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.text import caution_lines
from sizing.report.trips_figures import month_figure
from sizing.report.trips_text import (
    OCCASIONS,
    answer_sentence,
    night_sentences,
    remedy_lines,
    say,
    sure_sentences,
    week_sentences,
)

FIRST = {"trips_per_week": "10", "minutes": "10 min", "loads": "", "draw": "", "weekly_charge": ""}
LABELS = {
    "trips_per_week": "page.trips",
    "minutes": "page.minutes",
    "loads": "page.loads",
    "draw": "page.draw",
    "weekly_charge": "page.weekly",
}


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str) -> Balance:
    """Return the answer to a question written as JSON."""
    return balance(scenario_from_mapping(json.loads(text)))


def _asked(told: dict[str, Any]) -> dict[str, Any]:
    """Ask for the trips, beginning with what the shared question says of them."""
    columns = st.columns(len(LABELS), vertical_alignment="bottom")
    typed = {}
    for column, (key, label) in zip(columns, LABELS.items(), strict=True):
        first = str(told.get(key, FIRST[key]))
        typed[key] = column.text_input(say(label), value=first, key=f"trips.{key}", max_chars=40)
    return {key: text.strip() for key, text in typed.items() if text.strip()}


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    st.title(say("page.question"), anchor=False)
    told = question.get("trips", {})
    asked = {**told, **_asked(told)}
    try:
        answer = answer_to(json.dumps({**question, "trips": asked}))
    except ScenarioError as error:
        for fault in error.faults:
            st.error(literal(str(fault)))
        return
    st.subheader(answer_sentence(answer), anchor=False)
    if question == demo_mapping():
        st.info(say("demo"))
    st.markdown(bullets([literal(line) for line in week_sentences(answer)]))
    show_figure(month_figure(answer))
    for heading, lines in (
        ("night", night_sentences(answer)),
        ("help", remedy_lines(answer)),
        ("sure", sure_sentences(answer)),
    ):
        st.subheader(say(f"heading.{heading}"), anchor=False)
        st.markdown(bullets([literal(line) for line in lines]))
    with st.expander(say("heading.cautions")):
        st.markdown(bullets([literal(line) for line in caution_lines(*OCCASIONS)]))
