"""Make it sure: the cheapest change that brings the job over what is asked, what it costs, and two more."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from sim.job.change import digest
from sim.job.scene import Scene
from sim.plan.odds.verdict import Decision
from sim.plan.remedies.advice import Advice, Remedy
from sim.reference.sizes_in_words import Say
from sim.screens import memory
from sim.screens.job.checking import waited
from sim.shop.judge import CLEANS_UP, NOT_PROVEN
from sim.tell.remarks import told
from sim.tell.remedies import binds_lines, settle_lines
from sim.tell.verdict import of_100

OTHERS = 2  # ways shown beside the cheapest


def show(scene: Scene, decided: Decision, tick: Callable[[], None]) -> None:
    """The button, and what it found once it was pressed for this job."""
    st.session_state["lacks"] = decided.verdict != CLEANS_UP
    if decided.verdict == CLEANS_UP:
        return
    words = "What settles it" if decided.verdict == NOT_PROVEN else "Make it sure"
    slot = st.empty()
    if st.session_state.get("make sure") != digest(scene):
        slot.button(words, key="ask make sure", type="primary", on_click=_ask, width="stretch")
        return
    slot.button("trying changes ...", key="asked make sure", disabled=True, width="stretch")
    found: Advice = waited(("advice", digest(scene)), lambda: memory.advice(scene), tick)
    slot.empty()
    _found(found)


def waiting() -> None:
    """The button where it is likely to come, while the verdict is not known."""
    if st.session_state.get("lacks"):
        st.button("Make it sure", key="wait make sure", disabled=True, width="stretch")


def _ask() -> None:
    st.session_state["make sure"] = digest(memory.job())


def _found(found: Advice) -> None:
    say = Say(memory.units())
    settle = [line.removeprefix("- ") for line in settle_lines(found, say)]
    if settle:
        st.html("".join(f'<p class="settle">{line}</p>' for line in settle[:2]))
    if not found.remedies:
        for line in binds_lines(found, say):
            st.html(f'<p class="settle">{line.removeprefix("- ")}</p>')
        return
    first, *more = found.remedies
    with st.container(key="sure", gap=None):
        st.html(f"<p><b>Make it sure:</b> {told(first.words, say)}</p><p>{price(first, say)}</p>")
        with st.container(horizontal=True, gap="small"):
            st.button("Apply", key="apply 0", on_click=memory.change, args=(first.change,))
            if more:
                _others(more[:OTHERS], say)


def _others(more: list[Remedy], say: Say) -> None:
    with st.popover(f"{len(more)} more way{'s' * (len(more) > 1)}", key="more ways"):
        for number, one in enumerate(more, 1):
            st.markdown(f"**{told(one.words, say)}**: {price(one, say)}")
            st.button(
                f"Apply this ({number})",
                key=f"apply {number}",
                on_click=memory.change,
                args=(one.change,),
            )


def price(one: Remedy, say: Say) -> str:
    """What a change gives and costs: of 100, wire, arc time, money where prices are known."""
    density = one.on_bar[0].result.scene.wire.density
    parts = [f"{of_100(one.decided.clean_up_of_100.value)} of 100"]
    parts.append(f"{_signed(one.extra_wire)}{say.mass(abs(one.extra_wire) * density)} wire")
    parts.append(f"{_signed(one.extra_time)}{abs(one.extra_time) / 60:.0f} min arc")
    if one.extra_cost is not None:
        parts.append(f"{_signed(one.extra_cost)}{abs(one.extra_cost):.2f} money")
    if one.into_base:
        parts.append("the cut then runs into base metal in places")
    if one.open:
        parts.append(f"still open: {', '.join(o.what for o in one.open)}")
    return " · ".join(parts)


def _signed(value: float) -> str:
    return "+" if value >= 0 else "−"
