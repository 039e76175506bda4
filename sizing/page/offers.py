"""The view of offers: a row of inputs an offer, the best buy, what a year of service costs, and why."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from sizing.advice.offers import Comparison, compare
from sizing.commands.offers import DEMO, DEMO_BUYING
from sizing.inputs import ScenarioError, demo_mapping, scenario_from_mapping
from sizing.inputs.fields import column
from sizing.inputs.offers import MOST
from sizing.inputs.vocabulary import marks_or_unknown, types_or_unknown
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.offers_figures import cost_figure, credit_figure, life_figure
from sizing.report.offers_json import offers_object
from sizing.report.offers_text import answer_sentence, offer_rows, sections
from sizing.report.offers_words import say

TEXTS = (
    "name", "price", "fitting", "deposit", "free_months", "total_months", "months_on_shelf", "cold_cranking",
    "capacity", "reserve", "credit_price", "claim_price",
)  # fmt: skip
CHOICES: Mapping[str, Callable[[], Mapping[str, Any]]] = {
    "type": types_or_unknown,
    "standard": marks_or_unknown,
    "credit_from": lambda: column("warranty_forms", "words"),
}
FLAGS = ("proof_needed", "clock_restarts")
USUAL = {"type": "unknown", "standard": "unknown", "credit_from": "purchase"}
ROWS = (
    ("name", "price", "fitting", "deposit"),
    ("free_months", "total_months", "months_on_shelf", "proof_needed"),
    ("type", "cold_cranking", "standard", "capacity"),
    ("reserve", "credit_from", "credit_price", "claim_price"),
    ("clock_restarts",),
)
BUYING = ("horizon", "failure_cost", "claims_made")
KEPT = "offers_kept"  # rows as typed: the inputs forget them while another view is shown

Offer = dict[str, Any]


@st.cache_data(max_entries=50, show_spinner=False)
def answer_to(text: str) -> Comparison:
    """Return the answer to a question written as JSON."""
    return compare(scenario_from_mapping(json.loads(text)))


def _input(key: str, place: int, first: Offer) -> Any:
    """Ask for one field of an offer."""
    label, name = say(f"page.{key}"), f"offers.{place}.{key}"
    if key in FLAGS:
        return st.checkbox(label, value=first.get(key) is True, key=name)
    if key in CHOICES:
        words = list(CHOICES[key]())
        told = str(first.get(key, USUAL[key]))
        return st.selectbox(label, words, index=words.index(told) if told in words else 0, key=name)
    return st.text_input(label, value=str(first.get(key, "")), max_chars=80, key=name).strip()


def _ask_offer(place: int, first: Offer) -> Offer:
    """Ask for one offer; what is left empty is not said."""
    typed: Offer = {}
    # as it is typed now, before the input below is drawn
    name = str(st.session_state.get(f"offers.{place}.name", first.get("name", "")))
    with st.expander(say("page.offer", number=str(place), name=literal(name)).removesuffix(": ")):
        for row in ROWS:
            for key, column_ in zip(row, st.columns(len(ROWS[0])), strict=False):
                with column_:
                    typed[key] = _input(key, place, first)
    said = {key: typed[key] for key in TEXTS if typed[key]}
    said |= {key: typed[key] for key in CHOICES if typed[key] != USUAL[key] or key in first}
    # an empty row is no offer, whatever its choices say
    return said | {key: True for key in FLAGS if typed[key]} if set(said) & set(TEXTS) else {}


def _ask(question: dict[str, Any]) -> dict[str, Any]:
    """Ask for the offers and for how one buys; begin with those of the scenario, else with invented ones."""
    own = question.get("offers")
    kept = st.session_state.get(KEPT)
    first = kept[1] if kept is not None and kept[0] == own else own or [dict(offer) for offer in DEMO]
    count = st.number_input(say("page.count"), 1, MOST, len(first), key="offers.count")
    rows = [_ask_offer(n + 1, first[n] if n < len(first) else {}) for n in range(int(count))]
    st.session_state[KEPT] = (own, rows)
    return {
        "offers": [row for row in rows if row],
        "buying": _ask_buying(question.get("buying", DEMO_BUYING)),
    }


def _ask_buying(first: dict[str, Any]) -> dict[str, Any]:
    """Ask over which time is compared, and what a failure costs besides."""
    typed = {}
    for place, key in zip(st.columns(len(BUYING)), BUYING, strict=True):
        value = str(first.get(key, DEMO_BUYING[key]))
        typed[key] = place.text_input(say(f"page.{key}"), value, key=f"buying.{key}", max_chars=20).strip()
    told = first.get("old_handed_in", True) is True
    handed = st.checkbox(say("page.old_handed_in"), value=told, key="buying.old_handed_in")
    return {**first, **{key: value for key, value in typed.items() if value}, "old_handed_in": handed}


def render() -> None:
    """Show the view for the vehicle and place that all views share."""
    question = shared()
    st.title(say("page.question"), anchor=False)
    above = st.container()
    st.subheader(say("heading.offers"), anchor=False)
    asked = _ask(question)
    with above:
        if not asked["offers"]:
            st.info(say("page.none"))
            return
        try:
            answer = answer_to(json.dumps({**question, **asked}))
        except ScenarioError as error:
            for fault in error.faults:
                st.error(literal(str(fault)))
            return
        demo = question == demo_mapping() and "offers" not in question
        _show_answer(answer, demo=demo)
    _show_reasons(answer)
    st.download_button(
        say("page.json"),
        json.dumps(offers_object(answer, demo=demo), indent=2, allow_nan=False),
        "offers.json",
        "application/json",
    )


def _has_costs(answer: Comparison) -> bool:
    return any(each.costs is not None for each in answer.offers)


def _show_answer(answer: Comparison, *, demo: bool) -> None:
    """Show the answer, what each offer costs, and whether it is strong enough."""
    st.subheader(literal(answer_sentence(answer)), anchor=False)
    if demo:
        st.info(say("demo"))
    if _has_costs(answer):
        show_figure(cost_figure(answer))
    rows = [{key: literal(cell) for key, cell in row.items()} for row in offer_rows(answer)]
    st.table(rows, hide_index=True)


def _show_reasons(answer: Comparison) -> None:
    """Show why, what would help, credits and lives, and what all of it rests on."""
    for heading, lines in sections(answer):
        if heading == "claims" and _has_costs(answer):
            show_figure(credit_figure(answer))
            show_figure(life_figure(answer))
        if heading in ("why", "help"):
            st.subheader(say(f"heading.{heading}"), anchor=False)
            st.markdown(bullets([literal(line) for line in lines]))
        else:
            with st.expander(say(f"heading.{heading}"), expanded=heading == "cautions"):
                st.markdown(bullets([literal(line) for line in lines]))
