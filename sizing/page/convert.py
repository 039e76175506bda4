"""The view of a label: type what is printed, see how it is understood and what it means elsewhere."""

from __future__ import annotations

import json

import streamlit as st

from sizing.advice.convert import Conversion, convert
from sizing.inputs import ScenarioError
from sizing.inputs.vocabulary import marks_or_unknown, types_or_unknown
from sizing.page.parts import bullets
from sizing.page.state import literal
from sizing.report.convert_figures import SENTENCE, TITLE, chart, height
from sizing.report.convert_text import (
    DEMO,
    DEMO_LINE,
    answer_sentence,
    code_rows,
    code_sentences,
    compared_line,
    conversion_object,
    guess_lines,
    help_lines,
    rating_rows,
)

QUESTION = "What do the numbers on this label mean in every other standard?"
AS_READ = "as the label says"


@st.cache_data(max_entries=200, show_spinner=False)
def answer_to(line: str, given: tuple[tuple[str, str], ...]) -> Conversion:
    """Return the conversion of a label line."""
    return convert(line, dict(given))


def render() -> None:
    """Show the view."""
    st.title(QUESTION, anchor=False)
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        line, given = _ask()
    with answer:
        try:
            found = answer_to(line, given)
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(f"Given {fault.given}; accepted: {fault.accepted}"))
            return
        _show(found, demo=line == DEMO_LINE and not given)


def _ask() -> tuple[str, tuple[tuple[str, str], ...]]:
    """Ask for the line, and for what stands above it."""
    st.subheader("Your label", anchor=False)
    line = st.text_input(
        "All that is printed, in any order", DEMO_LINE, key="convert.line", max_chars=200,
        help="Such as 12V 60Ah 540A(EN) L2, 55B24L, 560 408 054 or CCA 600 RC 110.",
    )  # fmt: skip
    chosen = {
        "standard": st.selectbox(
            "Standard of the amperes", [AS_READ, *marks_or_unknown()], key="convert.standard",
            help="Unknown is an answer too: it widens every interval.",
        ),
        "type": st.selectbox("Type of battery", [AS_READ, *types_or_unknown()], key="convert.type"),
    }  # fmt: skip
    given = tuple((key, word) for key, word in chosen.items() if word and word != AS_READ)
    return line or "", given


def _show(found: Conversion, *, demo: bool) -> None:
    st.subheader(literal(answer_sentence(found)), anchor=False)
    if demo:
        st.info(literal(DEMO))
    _show_reading(found)
    st.subheader(TITLE, anchor=False)
    st.markdown(SENTENCE)
    st.altair_chart(chart(found), width="stretch", height=height(found), alt=f"{TITLE}. {SENTENCE}")
    st.subheader("What would help", anchor=False)
    st.markdown(bullets([literal(line) for line in help_lines(found)]))
    with st.expander("Numbers: every rating, and the published rule beside it"):
        st.table([_literal(row) for row in rating_rows(found)], hide_index=True)
    with st.expander("Codes: types, numbers, cases and groups"):
        st.table([_literal(row) for row in code_rows(found)], hide_index=True)
        st.markdown(bullets([literal(line) for line in code_sentences(found)]))
    text = json.dumps(conversion_object(found, demo=demo), indent=2, allow_nan=False)
    st.download_button("The answer as JSON", text, "label.json", "application/json")


def _show_reading(found: Conversion) -> None:
    """Show what each part was taken for, what was guessed, and what does not agree."""
    if found.reading is not None:
        parts = [
            {"Part": literal(part.text), "Taken for": literal(part.taken_for)} for part in found.reading.parts
        ]
        st.table(parts, hide_index=True)
        if found.reading.unread:
            st.warning(literal("Not understood, and not used: " + ", ".join(found.reading.unread)))
    for each in found.compared:
        (st.success if each.agrees else st.warning)(literal(compared_line(each)))
    guesses = guess_lines(found)
    if guesses:
        st.markdown("Guessed:\n\n" + bullets([literal(line) for line in guesses]))


def _literal(row: dict[str, str]) -> dict[str, str]:
    return {head: literal(text) for head, text in row.items()}
