"""What would fix it: remedies the engine has simulated, taken into the job with one click and out
again with one.
"""

from __future__ import annotations

import streamlit as st

from sim.reference.sizes_in_words import Say
from sim.screens import memory
from sim.shop.result import Result
from sim.tell.remedies import binds_lines, remedy_lines, settle_lines


def show(result: Result) -> None:
    """What settles it, and the remedies for the stage the job is at."""
    st.write(
        f"The job stands {result.scene.job.stage}"
        + (f" {result.scene.job.layers_done}." if result.scene.job.layers_done else ".")
    )
    found, say = memory.advice(memory.last_held()), Say(memory.units())
    for line in settle_lines(found, say):
        st.markdown(line)
    for line in binds_lines(found, say):
        words = line.removeprefix("- ")
        st.info(words[:1].upper() + words[1:])
    lines = remedy_lines(found, say)
    for number, (one, line) in enumerate(zip(found.remedies, lines, strict=True)):
        with st.container(border=True):
            told, press = st.columns([5, 1], vertical_alignment="center")
            told.markdown("✔ " + line.removeprefix("- "))
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
