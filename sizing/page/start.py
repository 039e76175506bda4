"""The view of the first three seconds of a start: its question, answer, pictures, and what would help."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sizing.advice.first_seconds import FirstSeconds, first_seconds
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.report.start_figures import StartFigure, faults_figure, trace_figure
from sizing.report.start_text import (
    answer_sentence,
    comparison_lines,
    detail_sentences,
    help_sentence,
    say,
)

MARKDOWN = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_{}[]<>#$~|:!"})
LARGEST_ANGLE = 720.0


def literal(text: str) -> str:
    """Return text so that a page shows it letter by letter.

    >>> literal("a_b")
    'a\\\\_b'
    """
    return text.translate(MARKDOWN)


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


def render(st: Any, mapping: Mapping[str, Any] | None = None) -> None:
    """Show the view for a scenario's mapping; for the bundled, invented demonstration without one.

    ``st`` is the page library, given so that nothing else has to load it.
    """
    question = dict(mapping) if mapping is not None else demo_mapping()
    st.header(say("page.question"), anchor=False)
    typed = st.text_input(say("page.stop"), key="start.stop_angle", max_chars=8)
    try:
        angle = stop_angle(typed or "")
    except ValueError:
        st.error(literal(f"Given {typed!r}; accepted: {say('page.wrong_stop')}"))
        angle = None
    try:
        answer = first_seconds(scenario_from_mapping(question), stop_angle=angle)
    except ScenarioError as error:
        for fault in error.faults:
            st.error(literal(str(fault)))
        return
    _show(st, answer, demo=question == demo_mapping())


def _show(st: Any, answer: FirstSeconds, *, demo: bool) -> None:
    st.subheader(answer_sentence(answer), anchor=False)
    if demo:
        st.info(say("demo"))
    st.markdown(_bullets(detail_sentences(answer)))
    for figure in (trace_figure(answer), faults_figure(answer)):
        _show_figure(st, figure)
    st.markdown(_bullets(comparison_lines(answer)))
    st.subheader(say("page.helps"), anchor=False)
    st.markdown(literal(help_sentence()))


def _bullets(lines: list[str]) -> str:
    return "\n".join(f"- {literal(line)}" for line in lines)


def _show_figure(st: Any, figure: StartFigure) -> None:
    st.subheader(figure.title, anchor=False)
    st.markdown(figure.sentence)
    words = f"{figure.title}. {figure.sentence}"
    st.altair_chart(figure.chart, width="stretch", height=figure.height, alt=words)
    with st.expander(f"Numbers: {figure.title[0].lower()}{figure.title[1:]}"):
        st.table(figure.table, hide_index=True)
