"""The main view: which ratings must a battery carry for this engine in this place.

What is typed is read by the same rules as a scenario file.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import streamlit as st

from sizing.advice.case import place_of
from sizing.advice.pictures import at_the_posts, chance_by_age, need_by_night, nights
from sizing.advice.recommend import Recommendation, recommend
from sizing.climate import names
from sizing.inputs import Fault, ScenarioError, demo_mapping, read_mapping, scenario_from_mapping
from sizing.inputs.vocabulary import UNKNOWN
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, question, refill, take
from sizing.report.drawing import Figure
from sizing.report.figures import age_figure, need_figure, nights_figure, posts_figure
from sizing.report.form import (
    CHOICES,
    PERIODS,
    Flat,
    flatten,
    nested,
    query_of,
    to_toml,
)
from sizing.report.tables import ratings_table, temperatures_table
from sizing.report.text import (
    answer_sentence,
    assumed_lines,
    caution_lines,
    in_hand_sentences,
    interval_sentence,
    lever_lines,
    other_standards_sentence,
    reason_sentence,
    reminder_lines,
    type_sentence,
    warning_sentences,
    widest_lines,
)
from sizing.tables import sources
from sizing.units import SYSTEMS

QUESTION = "Which battery starts this engine on the coldest night?"
DONT_KNOW = "I don't know"
OWN_FILE = (
    "The file was not taken: it names a weather file, which this page does not read from a disk. "
    "Open that file in the view of the weather, and put its coldest night here."
)
CYLINDERS = tuple(range(1, 13))
CAUTIONS = {"changing": "Changing a battery", "charging": "Charging it", "frozen": "When it may be frozen"}


# --- what is computed, kept for the same question ---


@st.cache_data(max_entries=200, show_spinner=False)
def answer_to(text: str) -> Recommendation:
    """Return the answer to a question written as JSON."""
    return recommend(scenario_from_mapping(json.loads(text)))


@st.cache_data(max_entries=50, show_spinner=False)
def pictures_of(text: str) -> dict[str, Any]:
    """Return the numbers of the pictures."""
    answer = answer_to(text)
    scenario, rating = answer.scenario, answer.minimum.cold_cranking.value
    return {
        "posts": at_the_posts(scenario, rating) if rating < float("inf") else None,
        "need": need_by_night(scenario),
        "nights": nights(scenario),
        "age": chance_by_age(scenario, answer),
    }


# --- the form ---


class Form:
    """The inputs, each with a line below for what is wrong with it."""

    def __init__(self) -> None:
        """Begin with no input shown."""
        self.lines: dict[str, Any] = {}
        self.general: Any = st.empty()

    def text(self, key: str, label: str, **options: Any) -> None:
        """Ask for a quantity with its unit."""
        st.text_input(label, key=key, max_chars=60, **options)
        self.lines[key] = st.empty()

    def choice(self, key: str, label: str, *, unknown: str = "", **options: Any) -> None:
        """Ask for a word of a list; ``unknown`` is the word for nothing chosen."""
        words = list(CHOICES[key]())
        shown = {"": unknown, UNKNOWN: DONT_KNOW}
        st.selectbox(
            label,
            ["", *words] if unknown else words,
            key=key,
            format_func=lambda word: shown.get(word, word),
            **options,
        )
        self.lines[key] = st.empty()

    def say(self, faults: tuple[Fault, ...]) -> None:
        """Write each fault below its field, or above all of them."""
        for key in {fault.field for fault in faults}:
            texts = [literal(f"Given {f.given}; accepted: {f.accepted}") for f in faults if f.field == key]
            if key in self.lines:
                self.lines[key].error("  \n".join(texts))
            else:
                self.general.error("  \n".join(f"{literal(key)}: {text}" for text in texts))


def ask() -> Form:
    """Show the inputs that decide, with less common ones folded away."""
    st.subheader("Your vehicle and place", anchor=False)
    st.radio("Units shown", SYSTEMS, key="show.units", horizontal=True)
    form = Form()
    form.text("vehicle.displacement", "Engine size", help="With its unit: 2.0 l, 1998 cc or 350 cu in.")
    st.selectbox("Cylinders", CYLINDERS, key="vehicle.cylinders")
    form.choice("vehicle.fuel", "Fuel")
    form.choice("vehicle.oil", "Engine oil", unknown=f"{DONT_KNOW} (usual for the fuel)")
    st.selectbox(
        "Place", names(), key="place.name", index=None, accept_new_options=True,
        placeholder="Choose, or type a name", help="If yours is not held: the nearest with the same climate.",
    )  # fmt: skip
    form.lines["place.name"] = st.empty()
    form.text(
        "place.coldest_night", "or: coldest night outdoors", placeholder="such as -30 °C",
        help="If you know it, it is taken instead of the place.",
    )  # fmt: skip
    form.choice("place.shelter", "Parked overnight")
    st.checkbox("A block heater is on before the start", key="vehicle.block_heater")
    with st.expander("The battery in hand (optional)"):
        _ask_battery(form)
    with st.expander("What you want of it"):
        _ask_goal(form)
    return form


def _ask_battery(form: Form) -> None:
    st.checkbox("There is a battery with a label", key="battery")
    off = not st.session_state["battery"]
    form.text("battery.cold_cranking", "Cold-cranking amps", placeholder="such as 640 A", disabled=off)
    form.choice("battery.standard", "Mark beside the amps", disabled=off)
    form.choice("battery.type", "Type", disabled=off)
    form.text("battery.capacity", "Capacity", placeholder="such as 70 Ah", disabled=off)
    form.text("battery.reserve", "Reserve", placeholder="such as 110 min", disabled=off)
    form.text(
        "battery.age", "Age", placeholder=DONT_KNOW,
        help="Left empty it is taken as the age to reach; the picture by age shows all.", disabled=off,
    )  # fmt: skip


def _ask_goal(form: Form) -> None:
    form.text("goal.chance", "Wanted chance of starting", placeholder="95 %")
    form.text("goal.age", "Up to the age of", placeholder="4 years")
    st.selectbox(
        "In the coldest night of", list(PERIODS), key="goal.return_period", index=None,
        format_func=PERIODS.__getitem__, placeholder="as in the file, else 1 year in 10",
    )  # fmt: skip
    form.choice("goal.standard", "Mark on the shelf", unknown="as on the battery, else EN")
    form.choice("goal.case", "Largest case that fits", unknown="any")
    form.text("vehicle.maker_cold_cranking", "Amps that the vehicle's maker asks for", placeholder=DONT_KNOW)
    st.checkbox("The engine stops by itself at a halt (stop-start)", key="vehicle.stop_start")


def keep(flat: Flat) -> None:
    """Offer the question as a file and as a link, and take a file back."""
    with st.expander("Keep or open a question"):
        st.download_button(
            "Save as a scenario file",
            to_toml(nested(flat)),
            "scenario.toml",
            "application/toml",
            on_click="ignore",
        )
        st.caption(
            "The address of this page holds the whole question too: keep it as a bookmark, or pass it on."
        )
        st.file_uploader(
            "Open a scenario file", type="toml", max_upload_size=1, key="file", on_change=take_file
        )


def take_file() -> None:
    """Take the scenario file that was just chosen."""
    chosen = st.session_state["file"]
    if chosen is None:
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scenario.toml"
        path.write_bytes(chosen.getvalue())
        try:
            mapping = read_mapping(path)
        except ScenarioError as error:
            # the name that its owner knows, not that of the copy
            faults = [Fault(fault.field, repr(chosen.name), fault.accepted) for fault in error.faults]
            st.session_state["refused"] = [str(fault) for fault in faults]
            return
    place = mapping.get("place")
    if isinstance(place, dict) and "weather_file" in place:
        st.session_state["refused"] = [OWN_FILE]
        return
    take(mapping, f"file {chosen.name}")


# --- the answer ---


def answered(form: Form) -> tuple[str, Recommendation]:
    """Return the question and its answer; the last good ones where something typed is not accepted."""
    text = json.dumps(nested(question()))
    try:
        answer = answer_to(text)
    except ScenarioError as error:
        form.say(error.faults)
        st.session_state["stale"] = True
        text = st.session_state.get("good") or json.dumps(demo_mapping())
        return text, answer_to(text)
    st.session_state["stale"], st.session_state["good"] = False, text
    return text, answer


def show_answer(answer: Recommendation, text: str) -> None:
    """Say the answer in one sentence, then its interval, what decides it and what to mind."""
    for line in st.session_state.get("refused", []):
        st.error(literal(line))
    if st.session_state["stale"]:
        st.warning("Something typed was not accepted: this is still the answer to the question before.")
    st.subheader(answer_sentence(answer), anchor=False)
    st.markdown(f"{interval_sentence(answer)}\n\n{reason_sentence(answer)}")
    for line in warning_sentences(answer):
        st.warning(line)
    if json.loads(text) == demo_mapping():
        st.info(
            "So far this is an invented demonstration: no such car, place or battery exists. Put in your own."
        )


def show_hand(answer: Recommendation) -> None:
    """Say what the battery in hand does."""
    hand = in_hand_sentences(answer)
    if hand:
        st.subheader("The battery in hand", anchor=False)
        st.markdown(" ".join(hand))


def show_pictures(answer: Recommendation, text: str) -> None:
    """Draw what there is to draw."""
    with st.spinner("Drawing the pictures"):
        pictures = pictures_of(text)
    drawn: tuple[tuple[str, Callable[[Any, Recommendation], Figure]], ...] = (
        ("posts", posts_figure),
        ("need", need_figure),
        ("nights", nights_figure),
        ("age", age_figure),
    )
    for name, figure in drawn:
        if pictures[name] is not None:
            show_figure(figure(pictures[name], answer))


def show_rest(answer: Recommendation) -> None:
    """Say what would help, then details, sources and cautions."""
    if answer.levers:
        st.subheader("What would help most", anchor=False)
        st.markdown(bullets(lever_lines(answer)))
    st.subheader("Before you buy", anchor=False)
    st.markdown(bullets([type_sentence(answer), *reminder_lines(answer)]))
    st.subheader("Details", anchor=False)
    with st.expander("Ratings and temperatures"):
        st.table(ratings_table(answer), hide_index=True)
        st.markdown(other_standards_sentence(answer))
        st.table(temperatures_table(answer), hide_index=True)
    with st.expander("What was assumed, and what widens the answer"):
        st.markdown("Taken as usual, because nobody said otherwise:\n\n" + bullets(assumed_lines(answer)))
        st.markdown("What widens the answer most:\n\n" + bullets(widest_lines(answer)))
    with st.expander("Sources"):
        st.markdown(bullets([literal(line) for line in source_lines(answer)]))
    st.subheader("Cautions", anchor=False)
    for context, title in CAUTIONS.items():
        with st.expander(title, expanded=context == "frozen"):
            st.markdown(bullets(caution_lines(context)))


def source_lines(answer: Recommendation) -> list[str]:
    """Return where the climate of the place comes from, and where the rest is told."""
    place = place_of(answer.scenario)
    found = [f"{place.label}: {sources()[key]['author']}: {sources()[key]['title']}" for key in place.sources]
    return [
        *(found or [f"{place.label}: no published source; {place.status}"]),
        "Engine, oil, starter and battery: docs/theory and the tables of this project, each with its source",
        "Published values that the computation is checked against: sizing validate",
    ]


def render() -> None:
    """Show the view."""
    refill()
    st.title(QUESTION, anchor=False)
    top = st.container()
    left, right = st.columns([1, 2], gap="large")
    with left:
        form = ask()
        text, answer = answered(form)
        keep(flatten(json.loads(text)))
    with top:
        show_answer(answer, text)
    with right:
        show_hand(answer)
        show_pictures(answer, text)
        show_rest(answer)
    st.session_state["base"] = (
        flatten(json.loads(text)) if not st.session_state["stale"] else st.session_state["base"]
    )
    if json.loads(text) != demo_mapping():
        st.query_params.from_dict(query_of(flatten(json.loads(text))))
