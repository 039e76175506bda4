"""The view of heat and life: its question, the years, the shield's worth, and what else would help."""

from __future__ import annotations

import json
from typing import Any

import streamlit as st

from sizing.advice.life import LifeAnswer, life
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.inputs.life import LOCATIONS, SHIELDS
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.life_figures import life_figures
from sizing.report.life_json import life_object
from sizing.report.life_text import (
    OCCASIONS,
    answer_sentence,
    change_lines,
    heat_sentences,
    replace_sentences,
    sure_sentences,
    why_sentences,
)
from sizing.report.life_words import say
from sizing.report.text import caution_lines

# the form begins with the invented car in its cold valley, not with the hot place of the command's demo
DEMO_SAID = "This is the bundled demonstration: car, place and battery are invented."


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str, wide: bool) -> LifeAnswer:
    """Return the answer to a question written as JSON; wide with every other change."""
    return life(scenario_from_mapping(json.loads(text)), wide=wide)


def _ask(told: dict[str, Any]) -> dict[str, Any]:
    """Ask where it sits and how it is driven, beginning with what the shared question says of that."""
    places, shields = list(LOCATIONS), list(SHIELDS)
    first = {"location": told.get("location"), "shield": told.get("shield")}
    location = st.selectbox(
        say("page.location"),
        places,
        index=places.index(first["location"]) if first["location"] in places else 0,
        key="life.location",
    )
    shield = st.selectbox(
        say("page.shield"),
        shields,
        index=shields.index(first["shield"]) if first["shield"] in shields else 0,
        key="life.shield",
    )
    typed = {
        key: st.text_input(
            say(label), str(told.get(key, usual)), key=f"life.{key}", max_chars=20, placeholder=hint
        )
        for key, label, usual, hint in (
            ("trips_per_week", "page.trips", "14", ""),
            ("trip_minutes", "page.minutes", "33 min", ""),
            ("charging_voltage", "page.voltage", "", "such as 14.4 V"),
            ("breakdown_cost", "page.breakdown", "1", ""),
        )
    }
    sun = st.checkbox(say("page.sun"), bool(told.get("parked_in_sun", True)), key="life.sun")
    kept = {key: text.strip() for key, text in typed.items() if text.strip()}
    return {"location": location, "shield": shield, "parked_in_sun": sun, **kept}


def render() -> None:
    """Show the view for the vehicle, place and battery that all views share."""
    question = shared()
    st.title(say("page.question"), anchor=False)
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        told = question.get("life", {})
        asked = {**told, **_ask(told)}
    text = json.dumps({**question, "life": asked})
    with answer:
        try:
            found = answer_to(text, False)
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(str(fault)))
            return
        _show(found, text, demo=question == demo_mapping())


def _show(found: LifeAnswer, text: str, *, demo: bool) -> None:
    st.subheader(answer_sentence(found), anchor=False)
    if demo:
        st.info(DEMO_SAID)
    _listed("why", why_sentences(found))
    figures = life_figures(found)
    show_figure(figures[0])
    help_place = st.container()
    for figure in figures[1:]:
        show_figure(figure)
    _listed("heat", heat_sentences(found))
    _listed("replace", replace_sentences(found))
    _listed("sure", sure_sentences(found))
    with st.expander(say("heading.cautions")):
        st.markdown(bullets([literal(line) for line in caution_lines(*OCCASIONS)]))
    # the page stands before the other places, types and habits are tried: they take longer than the answer
    with help_place:
        st.subheader(say("heading.help"), anchor=False)
        with st.spinner(say("page.more")):
            wide = answer_to(text, True)
        st.markdown(bullets([literal(line) for line in change_lines(wide)]))
    st.download_button(
        "Answer as JSON",
        json.dumps(life_object(wide, demo=demo), indent=2, allow_nan=False),
        "life.json",
        "application/json",
    )


def _listed(name: str, lines: list[str]) -> None:
    st.subheader(say(f"heading.{name}"), anchor=False)
    st.markdown(bullets([literal(line) for line in lines]))
