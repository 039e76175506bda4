"""The page: questions about a starter battery, each answered in one sentence first, with pictures.

It opens with ``streamlit run app.py``. One vehicle, place and battery are shared by all views.
"""

from __future__ import annotations

import streamlit as st

from sizing.page import recommend
from sizing.page.state import begin


def main() -> None:
    """Show the view that is asked for."""
    st.set_page_config(page_title="sizing: starter battery", layout="wide")
    begin()
    views = [st.Page(recommend.render, title="Which battery", url_path="recommend", default=True)]
    st.navigation(views, position="top").run()


main()
