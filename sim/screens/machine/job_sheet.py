"""The job sheet: what is still missing on it, the sheet to carry off as PDF or HTML, and how it
looks.
"""

from __future__ import annotations

import streamlit as st

from sim.job.change import digest
from sim.job.scene import Scene
from sim.machine.layer_sheet import open_points
from sim.paper.html import sheet_html
from sim.paper.job_sheet import sheets
from sim.paper.pdf import sheet_pdf
from sim.reference.errors import SceneError
from sim.screens import memory
from sim.shop.judge import CLEANS_UP
from sim.shop.result import Result
from sim.shop.several_bores import OnBar

TALL = 900


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=6,
    show_spinner="drawing the sheet ...",
    hash_funcs={Scene: lambda scene: (digest(scene), scene.job.units)},
)
def _files(scene: Scene) -> tuple[bytes, bytes]:
    """PDF and HTML of every bore on the bar. Raises SceneError."""
    on_bar: list[OnBar] = memory.on_bar(scene)
    told = sheets(on_bar, memory.decided(scene))
    return sheet_pdf(told), sheet_html(told).encode("utf-8")


def show(result: Result) -> None:
    """The sheet, and what must be filled in before its stamp goes."""
    scene = memory.in_units(memory.job())
    missing = open_points(scene)
    if missing:
        st.warning(
            "The settings are stamped NOT A WELDING PROCEDURE until these are filled in "
            f"under *Settings*: {'; '.join(missing)}."
        )
    verdict = memory.decided(scene).verdict
    if verdict != CLEANS_UP:
        st.warning(f"The sheet is stamped across its verdict: {verdict}.")
    try:
        pdf, html = _files(scene)
    except SceneError as fault:
        st.error(str(fault))
        return
    name = "".join(c if c.isalnum() else "_" for c in scene.job.name or "job")[:60]
    left, right = st.columns(2)
    keep = dict(on_click="ignore", width="stretch")
    left.download_button(
        "Job sheet (PDF)",
        pdf,
        f"{name}_sheet.pdf",
        "application/pdf",
        key="take sheet pdf",
        type="primary",
        **keep,
    )
    right.download_button(
        "Job sheet (HTML)", html, f"{name}_sheet.html", "text/html", key="take sheet html", **keep
    )
    st.caption(
        "Job, settings, order, readings form, cuts: up to three pages a bore, made to be "
        "read in black and white. The HTML says the same."
    )
    st.iframe(html.decode("utf-8"), height=TALL)
