"""The page: parts of the job, the verdict, then the tabs of that part; only the open tab is
computed.
"""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from sim.plan.odds.verdict import Decision, worst_bore
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say, told_in
from sim.screens import fields, memory, start
from sim.screens.clean_up import (
    in_the_round,
    maps_and_sections,
    readings,
    side_by_side,
    take_away,
    what_would_fix_it,
    where_it_comes_from,
)
from sim.screens.machine import between_layers, boring_cuts, job_sheet, settings
from sim.screens.plan import cases_in_a_table, how_sure, layers_to_lay, what_it_takes
from sim.screens.teach import guess_then_see, overlap_bench, turn_by_turn
from sim.screens.teach import words as glossary
from sim.shop.judge import CLEANS_UP, FALLS_SHORT
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.note import bar_note
from sim.tell.verdict import spot_lines, verdict_lines

MARKS = {
    "cleans up": "✔",
    "not proven": "?",
    "not sure enough": "≈",
    "thin": "≈",
    "falls short": "✖",
}
TEACH = "Teach it"
Tabs = dict[str, Callable[[Result], None]]
PARTS: dict[str, Tabs] = {
    "Will it clean up": {
        "In the round": in_the_round.show,
        "Maps and sections": maps_and_sections.show,
        "What would fix it": what_would_fix_it.show,
        "The job": lambda _: fields.show(),
        "Readings": readings.show,
        "Side by side": side_by_side.show,
        "Where it comes from": where_it_comes_from.show,
        "Take away": take_away.show,
    },
    "Plan it": {
        "Cases in a table": cases_in_a_table.show,
        "How sure": how_sure.show,
        "Layers to lay": layers_to_lay.show,
        "What it takes": what_it_takes.show,
    },
    "To the machine": {
        "Settings": settings.show,
        "Boring cuts": boring_cuts.show,
        "Job sheet": job_sheet.show,
        "Between layers": between_layers.show,
    },
    TEACH: {
        "Overlap bench": lambda _: overlap_bench.show(),
        "Turn by turn": turn_by_turn.show,
        "Guess, then see": lambda _: guess_then_see.show(),
        "Words": lambda _: glossary.show(),
    },
}


STYLE = """<style>
[data-testid="stMainBlockContainer"] { padding-top: 3.75rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * {
  color: inherit !important; opacity: 1 !important;
}
[data-testid="stSidebarUserContent"] { padding-top: 0.5rem; }
[data-testid="stBaseButton-primary"]:not(:disabled) {
  background-color: #1c5f8f; border-color: #1c5f8f; color: #ffffff;
}
</style>"""


def show() -> None:
    """The whole page."""
    st.set_page_config(page_title="Bore build-up", page_icon="⊚", layout="wide")
    st.html(STYLE)
    in_the_round.ready()
    memory.begin()
    start.show()
    part = part_chosen()
    found, why = memory.last_good(memory.job())
    if why:
        st.error(why)
    if found is None:
        fields.show()
        return
    if why or memory.faults():
        st.warning(
            "The pictures show the last job that held; what does not hold is marked under "
            "*The job*."
        )
    decided = memory.decided(memory.last_held())
    result = worst_bore(found, decided).result
    if part == TEACH:
        st.caption(f"The job on the page: {result.scene.job.name or 'unnamed'}; {decided.verdict}.")
    else:
        heading(found, result, decided)
    tabs(PARTS[part], result, key=f"tab {part}")
    st.caption(CAUTION)


def part_chosen() -> str:
    """Which part of the job is on the page; kept in the address, so that it can be sent on."""
    first = next(iter(PARTS))
    told = st.segmented_control(
        "Part of the job",
        list(PARTS),
        key="part",
        default=first,
        bind="query-params",
        label_visibility="collapsed",
    )
    return told or first


def tabs(drawn: Tabs, result: Result, *, key: str) -> None:
    """Tabs of which only the open one is drawn."""
    shown = st.tabs(list(drawn), on_change="rerun", key=key)
    for tab, draw in zip(shown, drawn.values(), strict=True):
        if tab.open:
            with tab:
                draw(result)


def heading(found: list[OnBar], result: Result, decided: Decision) -> None:
    """The verdict first, in words, with what it rests on beside it."""
    scene = result.scene
    st.header(scene.job.name or "Unnamed job")
    if scene.job.note:
        st.caption(scene.job.note)
    first, *more = verdict_lines(result, decided)
    box = {CLEANS_UP: st.success, FALLS_SHORT: st.error}.get(decided.verdict, st.warning)
    box(f"{MARKS[decided.verdict]} {first}")
    words, rests = st.columns([3, 2])
    with words:
        for line in more:
            st.write(line)
        for line in spot_lines(result.low_spots or result.thin_spots, Say(scene.job.units)):
            st.markdown(line)
        if len(found) > 1:
            st.text(bar_note(found, decided).split("\n\n")[0])
            st.caption(
                f"What follows is of the bore that cleans up least often, {decided.worst}; "
                "*Settings* and the job sheet hold every bore."
            )
    with rests:
        for line in result.warnings:
            st.markdown(f"▸ {told_in(line, scene.job.units)}")
