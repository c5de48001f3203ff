"""How sure: the job drawn again and again with everything straying as it may; how often it cleans
up, and what matters.
"""

from __future__ import annotations

import json

import streamlit as st

from sim.job.change import digest
from sim.job.key import keys_of
from sim.job.scene import Scene
from sim.job.sections.plan import Spread
from sim.pictures.charts.cases import chance_map, minima_figure, shares_figure
from sim.plan.odds.chance import Chance, chance
from sim.screens import fields, memory
from sim.screens.clean_up.maps_and_sections import picture
from sim.shop.judge import CLEANS_UP
from sim.shop.result import Result
from sim.tell.chance import chance_json, chance_lines


def show(result: Result) -> None:
    """Draw until the interval is narrow enough for the verdict; show the chance, where it falls
    short, and why.
    """
    st.write(
        "Wire feed, beads, tie-in, gravity, axes and readings are never quite what was set. "
        "The whole job is laid some hundreds of times, each allowing for normal shop variation, to see how "
        "many of 100 find metal everywhere at the last cut."
    )
    with st.expander("How sure the shop wants to be, and its normal variation"):
        st.caption(
            "One standard deviation each unless it says otherwise; every default says how it "
            "is known."
        )
        fields.chosen("confidence", ("asked", "seed", "draws_most"))
        fields.chosen("spread", tuple(f.name for f in keys_of(Spread)))
    drawn = memory.job()
    stamp = digest(drawn)
    if st.button("Check", key="draw chance", type="primary"):
        _drawn(stamp, drawn)
    found = memory.kept(
        "chance",
        stamp,
        "What follows is of the job as it was before the last change; check again for this one.",
    )
    if found is not None:
        _told(found)


def _drawn(stamp: str, scene: Scene) -> None:
    bar = st.progress(0.0, "checking ...")

    def tell(done: int, most: int, left: float) -> None:
        bar.progress(
            done / most,
            f"{done} jobs, at most {most}; about {left:.0f} s at most; it stops when the "
            "verdict is plain",
        )

    memory.worked_out("chance", stamp, lambda: chance(scene, shares=True, progress=tell))


def _told(found: Chance) -> None:
    box = st.success if found.decided.verdict == CLEANS_UP else st.warning
    first, *more = chance_lines(found, memory.units())
    box(first)
    for line in more:
        st.write(line)
    left, right = st.columns(2)
    with left:
        st.subheader("Least stock, job by job")
        picture(minima_figure(found, memory.units()), "least stock, job by job")
    with right:
        st.subheader("How often each place is low")
        picture(chance_map(found, memory.units()), "chance of a low spot")
    st.subheader("What matters most")
    picture(shares_figure(found, memory.units()), "shares of the variance")
    st.download_button(
        "How sure (JSON, mm)",
        json.dumps(chance_json(found), indent=1),
        "how_sure.json",
        "application/json",
        on_click="ignore",
        key="take chance",
    )
