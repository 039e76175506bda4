"""The view of the battery in hand: what was read of it, four answers, pictures, and what would settle it."""

from __future__ import annotations

import json
from typing import Any

import streamlit as st

from sizing.advice.condition import check
from sizing.advice.condition_answer import Condition
from sizing.commands.check import DEMO, DEMO_BATTERY
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.inputs.readings import KINDS, ROTATIONS
from sizing.inputs.vocabulary import marks_or_unknown
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.check_details import (
    caution_sentences,
    conflict_sentences,
    detail_sentences,
    help_sentences,
    number_sentences,
    settle_sentences,
)
from sizing.report.check_figures import bands_figure, start_figure, worth_figure
from sizing.report.check_json import check_object
from sizing.report.check_text import AXES, answers
from sizing.report.check_words import say

FIRST = ("air_temperature", "rest_voltage", "hours_rested", "battery_temperature", "lowest_cranking_voltage")
MORE = ("measured_cold_cranking", "resistance", "cranking_current", "load_test_voltage", "specific_gravity")
CHARGING = ("charging_voltage_loads_off", "charging_voltage_loads_on", "ripple")
CABLES = ("drop_positive", "drop_ground", "key_off_current")
WORDS = {
    "rotation": list(ROTATIONS),
    "measured_standard": list(marks_or_unknown()),
    "resistance_kind": list(KINDS),
}
AFTER = {"measured_cold_cranking": "measured_standard", "resistance": "resistance_kind"}
PLACEHOLDERS = {
    "air_temperature": "such as -14 °C",
    "rest_voltage": "such as 12.45 V",
    "hours_rested": "such as 12 h",
    "battery_temperature": "such as 5 °C",
    "lowest_cranking_voltage": "such as 9.6 V",
    "measured_cold_cranking": "such as 480 A",
    "resistance": "such as 4.8 mΩ",
    "cranking_current": "such as 180 A",
    "load_test_voltage": "such as 9.7 V",
    "specific_gravity": "such as 1.260 1.265 1.260 1.260 1.265 1.260",
    "charging_voltage_loads_off": "such as 14.4 V",
    "charging_voltage_loads_on": "such as 14.2 V",
    "ripple": "such as 0.04 V",
    "key_off_current": "such as 28 mA",
    "drop_positive": "such as 0.3 V",
    "drop_ground": "such as 0.2 V",
}
LONGEST = 80


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str) -> Condition:
    """Return the answer to a question written as JSON."""
    return check(scenario_from_mapping(json.loads(text)))


def _first(key: str, told: dict[str, Any]) -> str:
    value = told.get(key, "")
    return " ".join(f"{part:.3f}" for part in value) if isinstance(value, list) else str(value)


def _text(key: str, told: dict[str, Any]) -> dict[str, str]:
    """Ask for one reading, and for the word that it means nothing without."""
    how = say(f"reading.{key}.how") if key not in ("hours_rested", "battery_temperature") else None
    found = {
        key: st.text_input(
            say(f"page.{key}"), _first(key, told), key=f"check.{key}", max_chars=LONGEST,
            placeholder=PLACEHOLDERS[key], help=how,
        )
    }  # fmt: skip
    if key in AFTER:
        found |= _choice(AFTER[key], told)
    return found


def _choice(key: str, told: dict[str, Any]) -> dict[str, str]:
    words = ["", *WORDS[key]]
    chosen = st.selectbox(
        say(f"page.{key}"), words, index=words.index(_first(key, told)), key=f"check.{key}",
        format_func=lambda word: word or say("page.dont_know"),
    )  # fmt: skip
    return {key: chosen}


def _ask(told: dict[str, Any]) -> dict[str, Any]:
    """Ask what was read; what is left empty is not known."""
    st.subheader(say("page.inputs"), anchor=False)
    st.caption(say("page.left_empty"))
    found = _choice("rotation", told)
    for key in FIRST:
        found |= _text(key, told)
    for heading, keys in (("more", MORE), ("charging", CHARGING), ("cables", CABLES)):
        with st.expander(say(f"page.{heading}")):
            for key in keys:
                found |= _text(key, told)
    return {key: value.strip() for key, value in found.items() if value.strip()}


def _told(found: dict[str, Any]) -> dict[str, Any]:
    """Leave out the words of readings that are not there."""
    alone = {word for reading, word in AFTER.items() if reading not in found}
    return {key: value for key, value in found.items() if key not in alone}


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    invented = question == demo_mapping()
    if invented:
        question = {**question, "battery": {**question["battery"], **DEMO_BATTERY}}
    told = question.get("readings", DEMO if invented else {})
    st.title(say("page.question"), anchor=False)
    top = st.container()
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        read = _told(_ask(told))
    demo = ("whole" if read == DEMO else "changed") if invented else ""
    with top:
        try:
            found = answer_to(json.dumps({**question, "readings": read}))
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(str(fault)))
            return
        _answer(found, demo=demo)
    with answer:
        _show(found, demo=demo)


def _answer(found: Condition, *, demo: str) -> None:
    """Say the four answers, tonight's first."""
    texts = answers(found)
    st.subheader(literal(texts[AXES[0]]), anchor=False)
    if demo:
        st.info(say(f"demo.{demo}"))
    st.markdown("\n\n".join(f"**{say(f'axis.{axis}')}.** {literal(texts[axis])}" for axis in AXES[1:]))


def _show(found: Condition, *, demo: str) -> None:
    """Draw the pictures, and say what would settle it, what would help, and what to mind."""
    show_figure(bands_figure(found))
    show_figure(start_figure(found))
    _lines("settle", settle_sentences(found))
    worth = worth_figure(found)
    if worth is not None:
        show_figure(worth)
    _lines("help", help_sentences(found))
    _lines("numbers", [*conflict_sentences(found), *number_sentences(found)])
    with st.expander(say("heading.details")):
        st.markdown(bullets([literal(line) for line in detail_sentences(found)]))
    with st.expander(say("heading.cautions"), expanded=True):
        st.markdown(bullets([literal(line) for line in caution_sentences(found)]))
    st.download_button(
        "Answer as JSON",
        json.dumps(check_object(found, demo=demo), indent=2, allow_nan=False),
        "check.json",
        "application/json",
    )


def _lines(heading: str, lines: list[str]) -> None:
    st.subheader(say(f"heading.{heading}"), anchor=False)
    st.markdown(bullets([literal(line) for line in lines]))
