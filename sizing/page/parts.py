"""Parts that all views of the page are put together from."""

from __future__ import annotations

import streamlit as st

from sizing.report.drawing import Figure


def show_figure(figure: Figure) -> None:
    """Show a chart under a sentence, and the numbers behind it."""
    st.subheader(figure.title, anchor=False)
    st.markdown(figure.sentence)
    st.altair_chart(
        figure.chart, width="stretch", height=figure.height, alt=f"{figure.title}. {figure.sentence}"
    )
    with st.expander(f"Numbers: {figure.title[0].lower()}{figure.title[1:]}"):
        st.table(figure.table, hide_index=True)


def show_time(seconds: float) -> None:
    """Show how long a view took to answer and draw."""
    st.caption(f"Answered and drawn in {seconds:.1f} s; an answer already given is kept.")


def bullets(lines: list[str]) -> str:
    """Return lines as a list."""
    return "\n".join(f"- {line}" for line in lines)
