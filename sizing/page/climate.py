"""The view of the weather: how cold and hot a place gets, or what a weather file holds."""

from __future__ import annotations

import json
from collections.abc import Callable

import streamlit as st

from sizing.climate import UnknownPlaceError, find, names
from sizing.climate.readers import UNITS, WeatherFileError, decoded, read_weather_text
from sizing.climate.year import WeatherYear, year_of_file, year_of_place
from sizing.page.parts import bullets, show_figure
from sizing.page.state import literal, shared
from sizing.report.climate_figures import year_figure
from sizing.report.climate_text import (
    answer_sentence,
    climate_object,
    detail_sentences,
    help_lines,
    night_rows,
    say,
)
from sizing.units import System

DEMO = "Demo Frostvale, XX"
AS_NAMED = "as the column is named"
Asked = Callable[[], WeatherYear]
LARGEST = 40_000_000
"""Bytes of a file: thirty years of hours take about ten million."""


@st.cache_data(max_entries=40, show_spinner=False)
def year_at(place: str) -> WeatherYear:
    """Return the year of a place."""
    return year_of_place(find(place))


@st.cache_data(max_entries=10, show_spinner=False)
def year_in(data: bytes, name: str, unit: str) -> WeatherYear:
    """Return the year of a file."""
    return year_of_file(read_weather_text(decoded(data), name, unit=unit))


def render() -> None:
    """Show the view, opened at the place that all views share."""
    st.title(say("question"), anchor=False)
    inputs, answer = st.columns([1, 2], gap="large")
    with inputs:
        asked = _ask()
    with answer:
        try:
            year = asked()
        except WeatherFileError as error:
            st.error(literal(f"The file was not taken: {error}"))
            return
        except UnknownPlaceError as error:
            st.error(literal(str(error)))
            return
        _show(year, _system())


def _system() -> System:
    show = shared().get("show", {})
    return "US" if isinstance(show, dict) and show.get("units") == "US" else "metric"


def _place_shared() -> str:
    """Return the place of the shared question as the list has it, the invented one where it has none."""
    place = shared().get("place", {})
    name = place.get("name") if isinstance(place, dict) else None
    try:
        return find(str(name)).label if name else DEMO
    except UnknownPlaceError:
        return DEMO


def _ask() -> Asked:
    st.subheader("Where", anchor=False)
    places = sorted(names())
    here = _place_shared()
    place = st.selectbox(
        "Place", places, index=places.index(here) if here in places else 0, key="climate.place",
        help="The nearest in the list; several degrees lie between a valley and a coast.",
    )  # fmt: skip
    file = st.file_uploader(
        "Or a weather file instead", type=["epw", "csv", "txt"], key="climate.file",
        help="EPW, TMY3, or a table of hourly or daily temperatures with a line of column names.",
    )  # fmt: skip
    unit = st.selectbox("Unit of a table", [AS_NAMED, *UNITS], key="climate.unit")
    if file is None:
        return lambda: year_at(place or DEMO)
    told = "" if unit in (None, AS_NAMED) else unit
    return lambda: _year_of_upload(file.getvalue(), file.name.rpartition(".")[0], told)


def _year_of_upload(data: bytes, name: str, unit: str) -> WeatherYear:
    if len(data) > LARGEST:
        raise WeatherFileError(f"it is larger than {LARGEST // 1_000_000} MB")
    return year_in(data, name, unit)


def _show(year: WeatherYear, system: System) -> None:
    st.subheader(literal(answer_sentence(year, system)), anchor=False)
    demo = year.name == DEMO
    if demo:
        st.info(literal(say("demo")))
    st.markdown(bullets([literal(line) for line in detail_sentences(year, system)]))
    figure = year_figure(year, system)
    if figure is not None:
        show_figure(figure)
    st.subheader("What would help", anchor=False)
    st.markdown(bullets([literal(line) for line in help_lines(year)]))
    rows = night_rows(year, system)
    if rows:
        with st.expander("Numbers: the coldest nights"):
            st.table(rows, hide_index=True)
    text = json.dumps(climate_object(year, demo=demo, system=system), indent=2, allow_nan=False)
    st.download_button("The answer as JSON", text, "climate.json", "application/json")
