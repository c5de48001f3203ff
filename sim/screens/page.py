"""The page: verdict first, then the tabs; only the open tab is computed."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from sim import report
from sim.bar import OnBar, worst_verdict
from sim.screens import fix, flat, gauged, inputs, look, side, start, state, take, where
from sim.simulate import CLEANS_UP, FALLS_SHORT, Result

MARKS = {"cleans up": "✔", "thin": "≈", "falls short": "✖", "not proven": "?"}
TABS: dict[str, Callable[[Result], None]] = {
    "In the round": look.show,
    "Maps and sections": flat.show,
    "What would fix it": fix.show,
    "The job": lambda _: inputs.show(),
    "Readings": gauged.show,
    "Side by side": side.show,
    "Where it comes from": where.show,
    "Take away": take.show,
}


STYLE = """<style>
[data-testid="stMainBlockContainer"] { padding-top: 2.5rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * { color: inherit !important; opacity: 1 !important; }
[data-testid="stSidebarUserContent"] { padding-top: 0.5rem; }
</style>"""


def show() -> None:
    """The whole page."""
    st.set_page_config(page_title="Bore build-up", page_icon="⊚", layout="wide")
    st.html(STYLE)
    look.ready()
    state.begin()
    start.show()
    found, why = state.last_good(state.job())
    if why:
        st.error(why)
    if found is None:
        inputs.show()
        return
    if why or state.faults():
        st.warning("The pictures show the last job that held; what does not hold is marked under *The job*.")
    result = report.worst_bore(found).result
    heading(found, result)
    tabs = st.tabs(list(TABS), on_change="rerun", key="tab")
    for tab, draw in zip(tabs, TABS.values(), strict=True):
        if tab.open:
            with tab:
                draw(result)
    st.caption(report.CAUTION)


def heading(found: list[OnBar], result: Result) -> None:
    """The verdict first, in words, with what it rests on beside it."""
    scene = result.scene
    st.header(scene.job.name or "Unnamed job")
    if scene.job.note:
        st.caption(scene.job.note)
    first, *more = report.verdict_lines(result)
    verdict = worst_verdict(found)
    box = {CLEANS_UP: st.success, FALLS_SHORT: st.error}.get(verdict, st.warning)
    box(f"{MARKS[verdict]} {first}")
    words, rests = st.columns([3, 2])
    with words:
        for line in more:
            st.write(line)
        for line in report.spot_lines(result.low_spots or result.thin_spots, report.Say(scene.job.units)):
            st.markdown(line)
        if len(found) > 1:
            st.text(report.bar_note(found).split("\n\n")[0])
    with rests:
        for line in result.warnings:
            st.markdown(f"▸ {line}")
