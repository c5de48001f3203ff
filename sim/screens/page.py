"""The page: parts of the job, the verdict, then the tabs of that part; only the open tab is computed."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from sim import report
from sim.bar import OnBar, worst_verdict
from sim.screens import (
    bench,
    between,
    boring,
    cases,
    estimate,
    exercises,
    fix,
    flat,
    gauged,
    glossary,
    inputs,
    look,
    paper,
    planned,
    settings,
    side,
    start,
    state,
    sure,
    take,
    turns,
    where,
)
from sim.simulate import CLEANS_UP, FALLS_SHORT, Result

MARKS = {"cleans up": "✔", "thin": "≈", "falls short": "✖", "not proven": "?"}
TEACH = "Teach it"
Tabs = dict[str, Callable[[Result], None]]
PARTS: dict[str, Tabs] = {
    "Will it clean up": {
        "In the round": look.show,
        "Maps and sections": flat.show,
        "What would fix it": fix.show,
        "The job": lambda _: inputs.show(),
        "Readings": gauged.show,
        "Side by side": side.show,
        "Where it comes from": where.show,
        "Take away": take.show,
    },
    "Plan it": {
        "Cases in a table": cases.show,
        "How sure": sure.show,
        "Layers to lay": planned.show,
        "What it takes": estimate.show,
    },
    "To the machine": {
        "Settings": settings.show,
        "Boring cuts": boring.show,
        "Job sheet": paper.show,
        "Between layers": between.show,
    },
    TEACH: {
        "Overlap bench": lambda _: bench.show(),
        "Turn by turn": turns.show,
        "Guess, then see": lambda _: exercises.show(),
        "Words": lambda _: glossary.show(),
    },
}


STYLE = """<style>
[data-testid="stMainBlockContainer"] { padding-top: 3.75rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * { color: inherit !important; opacity: 1 !important; }
[data-testid="stSidebarUserContent"] { padding-top: 0.5rem; }
[data-testid="stBaseButton-primary"]:not(:disabled) { background-color: #1c5f8f; border-color: #1c5f8f; color: #ffffff; }
</style>"""


def show() -> None:
    """The whole page."""
    st.set_page_config(page_title="Bore build-up", page_icon="⊚", layout="wide")
    st.html(STYLE)
    look.ready()
    state.begin()
    start.show()
    part = part_chosen()
    found, why = state.last_good(state.job())
    if why:
        st.error(why)
    if found is None:
        inputs.show()
        return
    if why or state.faults():
        st.warning("The pictures show the last job that held; what does not hold is marked under *The job*.")
    result = report.worst_bore(found).result
    if part == TEACH:
        st.caption(f"The job on the page: {result.scene.job.name or 'unnamed'}; on the numbers given: {worst_verdict(found)}.")
    else:
        heading(found, result)
    tabs(PARTS[part], result, key=f"tab {part}")
    st.caption(report.CAUTION)


def part_chosen() -> str:
    """Which part of the job is on the page; kept in the address, so that it can be sent on."""
    first = next(iter(PARTS))
    told = st.segmented_control(
        "Part of the job", list(PARTS), key="part", default=first, bind="query-params", label_visibility="collapsed"
    )
    return told or first


def tabs(drawn: Tabs, result: Result, *, key: str) -> None:
    """Tabs of which only the open one is drawn."""
    shown = st.tabs(list(drawn), on_change="rerun", key=key)
    for tab, draw in zip(shown, drawn.values(), strict=True):
        if tab.open:
            with tab:
                draw(result)


def heading(found: list[OnBar], result: Result) -> None:
    """The verdict first, in words, with what it rests on beside it."""
    scene = result.scene
    st.header(scene.job.name or "Unnamed job")
    if scene.job.note:
        st.caption(scene.job.note)
    first, *more = report.verdict_lines(result)
    verdict = worst_verdict(found)
    plain = st.success if sure.enough(state.job()) else st.warning  # a yes that is not as sure as asked is not green
    box = {CLEANS_UP: plain, FALLS_SHORT: st.error}.get(verdict, st.warning)
    box(f"{MARKS[verdict]} {first}")
    words, rests = st.columns([3, 2])
    with words:
        for line in more:
            st.write(line)
        st.write(sure.in_short(state.job()))
        for line in report.spot_lines(result.low_spots or result.thin_spots, report.Say(scene.job.units)):
            st.markdown(line)
        if len(found) > 1:
            st.text(report.bar_note(found).split("\n\n")[0])
            st.caption(f"What follows is of the bore with the least stock, {report.worst_bore(found).name}; *Settings* and the job sheet hold every bore.")
    with rests:
        for line in result.warnings:
            st.markdown(f"▸ {report.told_in(line, scene.job.units)}")
