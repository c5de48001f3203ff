"""The words of the trade, as this tool uses them."""

from __future__ import annotations

import streamlit as st

from sim.reference.glossary import found
from sim.screens.teach import large_type as screen


def show() -> None:
    """Every term with its meaning and where it is met; a field to look one up."""
    screen.head("Words of the trade")
    wanted = st.text_input(
        "Look up a word", key="glossary words", placeholder="valley, tie-in, wedge ..."
    )
    terms = found(wanted)
    if not terms:
        st.write("No such word here. Try a shorter one.")
    for one in terms:
        lines = [f"**{one.term}**  \n{one.meaning}"]
        if one.not_called:
            lines.append(f"Not called {one.not_called}.")
        st.markdown("  \n".join([*lines, f"*Where:* {one.where}"]))
