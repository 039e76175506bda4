"""The question that all views of the page share, as it is held between two runs."""

from __future__ import annotations

from typing import Any

import streamlit as st

from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.report.form import Flat, entries_of, flatten, from_query, nested, question_of

MARKDOWN = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_{}[]<>#$~|:!"})
FIRST = "vehicle.displacement"  # an input of the main view: gone from the session while another view is shown


def literal(text: str) -> str:
    """Return text so that the page shows it letter by letter, whatever a person typed."""
    return text.translate(MARKDOWN)


def begin() -> None:
    """Fill the form on the first run: from the link, or with the invented demonstration."""
    if "base" in st.session_state:
        return
    fill(flatten(demo_mapping()))
    if st.query_params:
        take(nested(from_query(st.query_params.to_dict())), "link")


def take(mapping: dict[str, Any], what: str) -> None:
    """Fill the form with a question from outside, or keep what is there and say what is wrong with it."""
    try:
        scenario_from_mapping(mapping)
    except ScenarioError as error:
        st.session_state["refused"] = [f"The {what} was not taken. {fault}" for fault in error.faults]
        return
    st.session_state["refused"] = []
    fill(flatten(mapping))


def fill(flat: Flat) -> None:
    """Set every input to what a checked question says."""
    st.session_state["base"] = flat
    st.session_state.update(entries_of(flat))


def question() -> Flat:
    """Return the question as the inputs stand."""
    return question_of(st.session_state.to_dict(), st.session_state["base"])


def refill() -> None:
    """Put the question back into the inputs: Streamlit forgets them while another view is drawn."""
    if FIRST not in st.session_state:
        fill(st.session_state["base"])


def shared() -> dict[str, Any]:
    """Return the last accepted question, for views that do not ask for it themselves."""
    return nested(st.session_state["base"])
