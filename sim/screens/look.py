"""In the round: the bore, each layer and the finish cut in 3-D."""

from __future__ import annotations

import streamlit as st

from sim.simulate import Result


def show(result: Result) -> None:
    """The 3-D view."""
    st.write("3-D comes here.")
