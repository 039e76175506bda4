"""The view of the first three seconds of a start: its question, answer, pictures, and what would help."""

from __future__ import annotations

import json
import math

import streamlit as st

from sizing.advice.first_seconds import FirstSeconds, first_seconds
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.page.parts import bullets
from sizing.page.state import literal, shared
from sizing.report.start_figures import StartFigure, faults_figure, trace_figure
from sizing.report.start_text import (
    answer_sentence,
    comparison_lines,
    detail_sentences,
    help_sentence,
    say,
)

LARGEST_ANGLE = 720.0


def stop_angle(text: str) -> float | None:
    """Return a typed stop angle [rad]; None where nothing is typed. Raises ValueError for anything else.

    >>> stop_angle(" "), stop_angle("180") == math.pi
    (None, True)
    """
    if not text.strip():
        return None
    degrees = float(text)
    if not 0.0 <= degrees <= LARGEST_ANGLE:
        raise ValueError(text)
    return math.radians(degrees)


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str, angle: float | None) -> FirstSeconds:
    """Return the answer to a question written as JSON."""
    return first_seconds(scenario_from_mapping(json.loads(text)), stop_angle=angle)


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    st.title(say("page.question"), anchor=False)
    typed = st.text_input(say("page.stop"), key="start.stop_angle", max_chars=8)
    angle = None
    try:
        angle = stop_angle(typed)
    except ValueError:
        st.error(literal(f"Given {typed!r}; accepted: {say('page.wrong_stop')}"))
    try:
        answer = answer_to(json.dumps(question), angle)
    except ScenarioError as error:
        for fault in error.faults:
            st.error(literal(str(fault)))
        return
    _show(answer, demo=question == demo_mapping())


def _show(answer: FirstSeconds, *, demo: bool) -> None:
    st.subheader(answer_sentence(answer), anchor=False)
    if demo:
        st.info(say("demo"))
    st.markdown(bullets([literal(line) for line in detail_sentences(answer)]))
    for figure in (trace_figure(answer), faults_figure(answer)):
        _show_figure(figure)
    st.markdown(bullets([literal(line) for line in comparison_lines(answer)]))
    st.subheader(say("page.helps"), anchor=False)
    st.markdown(literal(help_sentence()))


def _show_figure(figure: StartFigure) -> None:
    st.subheader(figure.title, anchor=False)
    st.markdown(figure.sentence)
    words = f"{figure.title}. {figure.sentence}"
    for chart, height in figure.charts:
        st.altair_chart(chart, width="stretch", height=height, alt=words)
    with st.expander(f"Numbers: {figure.title[0].lower()}{figure.title[1:]}"):
        st.table(figure.table, hide_index=True)
