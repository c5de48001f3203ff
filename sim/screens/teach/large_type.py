"""What the teaching screens share: type for a projector, numbers that open to their formula, the
mark of a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import streamlit as st

from sim.pictures.charts.drawn import Drawn, enlarge
from sim.reference.sizes_in_words import Explained
from sim.screens.clean_up.maps_and_sections import picture

LARGE, PROJECTED = 26, 22
"""Type of the page and of a picture [px] on a projector."""
STYLE = """<style>
[data-testid="stMetricValue"] { font-size: 1.6rem; }
[data-testid="stMetricLabel"] p { font-size: 1rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * {
  color: inherit !important; opacity: 1 !important;
}
</style>"""


def head(title: str) -> bool:
    """The title, and the switch for a projector, kept in the address of the page (`?big=true`):
    larger type everywhere.
    """
    st.html(STYLE)
    with st.container(
        horizontal=True, vertical_alignment="center", horizontal_alignment="distribute"
    ):
        st.header(title, width="content")
        big = st.toggle(
            "Big screen", key="big", bind="query-params", help="Larger type for a projector."
        )
    if big:
        st.html(f"<style>html {{ font-size: {LARGE}px !important; }}</style>")
    return bool(big)


def units() -> str:
    """Units shown: those chosen on the page, or those of its job."""
    job = st.session_state.get("scene")
    return str(st.session_state.get("units", "mm" if job is None else job.job.units))


def shown(drawn: Drawn, name: str, *, big: bool, **more: Any) -> None:
    """A picture with its words and data, its type as large as the page's."""
    if big:
        enlarge(drawn, PROJECTED)
    picture(drawn, name, **more)


def explained(numbers: Sequence[Explained]) -> None:
    """Numbers that open to their formula, the formula with the numbers in it, how it is known and
    the source.
    """
    for one in numbers:
        with st.expander(f"{one.what}: {one.value}"):
            st.code(one.formula, language=None, wrap_lines=True)
            st.write(one.inputs)
            st.caption(f"{one.how_known}: {one.source}")
