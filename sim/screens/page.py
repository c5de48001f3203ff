"""The page: the job screen first, and the parts with tabs that open from it; only the open tab is
computed.
"""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from sim.plan.odds.verdict import worst_bore
from sim.reference.cautions import CAUTION
from sim.screens import fields, heading, memory, top
from sim.screens.clean_up import (
    in_the_round,
    maps_and_sections,
    readings,
    side_by_side,
    take_away,
    what_would_fix_it,
    where_it_comes_from,
)
from sim.screens.job import screen
from sim.screens.machine import between_layers, boring_cuts, job_sheet, settings, test_pieces
from sim.screens.plan import cases_in_a_table, how_sure, layers_to_lay, what_it_takes
from sim.screens.teach import evidence, guess_then_see, overlap_bench, turn_by_turn
from sim.screens.teach import words as glossary
from sim.shop.result import Result

JOB, TEACH = "The job", "Teach it"
Tabs = dict[str, Callable[[Result], None]]
PARTS: dict[str, Tabs] = {
    "Look closer": {
        "In the round": in_the_round.show,
        "Maps and sections": maps_and_sections.show,
        "What would fix it": what_would_fix_it.show,
        "All fields": lambda _: fields.show(),
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
        "Test pieces": test_pieces.show,
    },
    TEACH: {
        "Overlap bench": lambda _: overlap_bench.show(),
        "Turn by turn": turn_by_turn.show,
        "Guess, then see": lambda _: guess_then_see.show(),
        "Words": lambda _: glossary.show(),
        "Evidence": lambda _: evidence.show(),
    },
}


STYLE = """<style>
[data-testid="stMainBlockContainer"] { padding-top: 3.75rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * {
  color: inherit !important; opacity: 1 !important;
}
[data-testid="stBaseButton-primary"]:not(:disabled) {
  background-color: #1c5f8f; border-color: #1c5f8f; color: #ffffff;
}
</style>"""


def show() -> None:
    """The whole page."""
    st.set_page_config(page_title="Bore build-up", page_icon="⊚", layout="wide")
    st.html(STYLE + heading.STYLE)
    in_the_round.ready()
    memory.begin()
    part = top.show([JOB, *PARTS])
    st.session_state["page shows"] = memory.job()
    if part == JOB:
        st.html(f"<style>{screen.STYLE}</style>")
        screen.show()
    else:
        _tabbed(part)


def _tabbed(part: str) -> None:
    """A part with its tabs: the verdict in one line over them, or that it is still being checked."""
    found, why = memory.last_good(memory.job())
    if why:
        st.error(why)
    if found is None:
        fields.show()
        return
    old = bool(why or memory.faults())
    if old:
        st.warning(
            "The pictures show the last job that held; what does not hold is marked under "
            "*All fields*."
        )
    scene = memory.last_held()
    decided = memory.decided_before(scene)
    result = worst_bore(found, decided).result
    slot = st.empty()
    if part != TEACH:
        heading.panel(slot, result, decided, old=old)
    tabs(PARTS[part], result, key=f"tab {part}")
    st.caption(CAUTION)
    if decided is None and part != TEACH:
        decided = memory.decided(scene, lambda *_: heading.panel(slot, result, None, old=old))
        if worst_bore(found, decided).result is not result:
            st.rerun()
        heading.panel(slot, result, decided, old=old)


def tabs(drawn: Tabs, result: Result, *, key: str) -> None:
    """Tabs of which only the open one is drawn."""
    shown = st.tabs(list(drawn), on_change="rerun", key=key)
    for tab, draw in zip(shown, drawn.values(), strict=True):
        if tab.open:
            with tab:
                draw(result)
