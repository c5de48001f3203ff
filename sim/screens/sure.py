"""How sure: the job drawn again and again with everything straying as it may; how often it cleans up, and what matters."""

from __future__ import annotations

import json

import streamlit as st

from sim import chart, plan_note
from sim.chance import Chance, chance
from sim.job import Scene, SceneError, Spread, keys_of
from sim.scene import digest
from sim.screens import inputs, state
from sim.screens.flat import picture
from sim.simulate import Result


def show(result: Result) -> None:
    """Draw until the interval is narrow enough for the verdict; show the chance, where it falls short, and why."""
    st.write(
        "Wire feed, beads, tie-in, gravity, axes and readings are never quite what was set. Each draw lays the whole job with all of them "
        "straying at once, and looks whether the last cut finds metal everywhere."
    )
    with st.expander("How sure the shop wants to be, and how far things stray"):
        st.caption("One standard deviation each unless it says otherwise; every default says how it is known.")
        inputs.chosen("confidence", ("asked", "seed", "draws_most"))
        inputs.chosen("spread", tuple(f.name for f in keys_of(Spread)))
    stamp = digest(state.job())
    if st.button("Draw", key="draw chance", type="primary"):
        _drawn(stamp)
    if st.session_state.get("chance fault"):
        st.error(st.session_state["chance fault"])
    kept = st.session_state.get("chance")
    if kept is None:
        return
    if kept[0] != stamp:
        st.info("What follows is of the job as it was before the last change; draw again for this one.")
    _told(kept[1])


def in_short(scene: Scene) -> str:
    """How sure the verdict is, for beside it; where to ask when nobody drew yet."""
    kept = st.session_state.get("chance")
    if kept is None or kept[0] != digest(scene):
        return "How often it would clean up with beads, readings and axes straying as they do: ask under *Plan it*, *How sure*."
    found: Chance = kept[1]
    i = found.interval
    return f"Drawn {found.draws} times with everything straying: cleans up in {100 * found.probability:.0f} of 100 (exact interval {100 * i.low:.0f} to {100 * i.high:.0f}; asked {100 * found.asked:g})."


def _drawn(stamp: str) -> None:
    st.session_state["chance fault"] = ""
    bar = st.progress(0.0, "drawing ...")

    def tell(done: int, most: int, left: float) -> None:
        bar.progress(
            done / most, f"{done} draws, at most {most}; about {left:.0f} s at most; it stops when the verdict is plain"
        )

    try:
        st.session_state["chance"] = (stamp, chance(state.job(), shares=True, progress=tell))
    except SceneError as fault:
        st.session_state["chance fault"] = str(fault)
    st.rerun()  # the line beside the verdict speaks of it


def _told(found: Chance) -> None:
    box = st.success if found.probability >= found.asked and found.scene.bead is not None else st.warning
    first, *more = plan_note.chance_lines(found, state.units())
    box(first)
    for line in more:
        st.write(line)
    left, right = st.columns(2)
    with left:
        st.subheader("Least stock of the draws")
        picture(chart.minima_figure(found, state.units()), "least stock of the draws")
    with right:
        st.subheader("How often each place is low")
        picture(chart.chance_map(found, state.units()), "chance of a low spot")
    st.subheader("Which spread matters most")
    picture(chart.shares_figure(found, state.units()), "shares of the variance")
    st.download_button(
        "How sure (JSON, mm)",
        json.dumps(plan_note.chance_json(found), indent=1),
        "how_sure.json",
        "application/json",
        on_click="ignore",
        key="take chance",
    )
