"""Where it comes from: every number with its formula, inputs and how it is known."""

from __future__ import annotations

import streamlit as st

from sim.screens import memory
from sim.shop.result import Result
from sim.tell.note import note
from sim.tell.where_from import assumptions, explain


def show(result: Result) -> None:
    """Formulas with the numbers in them, then everything that was assumed."""
    decided = memory.decided(memory.last_held())
    for one in explain(result, decided):
        with st.expander(f"{one.what}: {one.value}"):
            st.code(one.formula, language=None, wrap_lines=True)
            st.write(one.inputs)
            st.caption(f"{one.how_known}: {one.source}")
    st.subheader("What the answer rests on")
    rows = assumptions(result)
    st.dataframe(
        {
            name: [str(row[name]) if name != "value" else f"{row[name]:g}" for row in rows]
            for name in ("what", "value", "unit", "how_known", "source")
        },
        width="stretch",
        hide_index=True,
    )
    st.subheader("The whole note")
    st.text(note(result, decided))
