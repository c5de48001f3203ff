"""What would fix it: remedies the engine has simulated, taken into the job with one click and out
again with one.
"""

from __future__ import annotations

import streamlit as st

from sim.screens import memory
from sim.shop.result import Result
from sim.tell.note import remedy_lines


def show(result: Result) -> None:
    """The remedies for the stage the job is at."""
    st.write(
        f"The job stands {result.scene.job.stage}"
        + (f" {result.scene.job.layers_done}." if result.scene.job.layers_done else ".")
    )
    found = memory.advice(result)
    if found.binds:
        st.info(found.binds[:1].upper() + found.binds[1:] + ".")
    lines = remedy_lines(result, found)
    for number, (one, line) in enumerate(zip(found.remedies, lines, strict=False)):
        with st.container(border=True):
            words, press = st.columns([5, 1], vertical_alignment="center")
            words.markdown(("✔ " if one.works else "✖ ") + line.removeprefix("- "))
            press.button(
                "Apply",
                key=f"take {number}",
                on_click=memory.change,
                args=(one.change,),
                width="stretch",
            )
    st.button(
        "Go back to the job before",
        on_click=memory.back,
        disabled=not memory.can_go_back(),
        key="fix back",
    )
