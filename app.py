"""The page: questions about a starter battery, each answered in one sentence first, with pictures.

It opens with ``streamlit run app.py``. One vehicle, place and battery are shared by all views.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from time import perf_counter

import streamlit as st

from sizing.page.parts import show_time
from sizing.page.state import begin

VIEWS = {
    "recommend": "Which battery",
    "check": "Battery in hand",
    "standing": "Standing idle",
    "trips": "Short trips",
    "life": "Heat and life",
    "start": "First three seconds",
    "climate": "Weather",
    "offers": "Offers",
    "changing": "Changing and jumping",
    "convert": "Label",
}


def view(name: str) -> Callable[[], None]:
    """Return what shows a view; its module is imported when it is first asked for."""

    def render() -> None:
        started = perf_counter()
        import_module(f"sizing.page.{name}").render()
        show_time(perf_counter() - started)

    # the page library tells views apart by the name of their function
    render.__name__ = name
    return render


def main() -> None:
    """Show the view that is asked for."""
    st.set_page_config(page_title="sizing: starter battery", layout="wide")
    begin()
    pages = [
        st.Page(view(name), title=title, url_path=name, default=name == "recommend")
        for name, title in VIEWS.items()
    ]
    st.navigation(pages, position="top").run()


main()
