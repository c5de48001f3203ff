"""The overlap bench: two to five beads on a coupon or on a bore wall, live with the sliders."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import streamlit as st

from sim.pictures.charts.bench import bench_figure, pitch_figure, round_figure
from sim.reference.arrays import TURN
from sim.reference.errors import SceneError
from sim.reference.units import KINDS
from sim.screens.teach import large_type as screen
from sim.teach import bench_lessons
from sim.teach.bench import Coupon, Section, around_the_clock, closest_of, pitches, section
from sim.teach.bench_lessons import EYE, LESSONS, OPENS, explain, readings

PLAIN, WALL = "flat coupon", "bore wall"
SLIDERS = {
    "pitch": ("Pitch", 1.5, 8.0, 0.05),
    "width": ("Bead width", 2.0, 10.0, 0.1),
    "height": ("Bead height", 0.5, 4.0, 0.05),
    "cut": ("Last cut, above the bare wall, per side", 0.0, 5.0, 0.02),
}
"""Lengths on the bench: label, least, most and step [mm]."""
BORE = (40.0, 300.0, 0.5)
"""Bore before welding: least, most and step [mm on diameter]."""


def show() -> None:
    """The whole bench; moving a slider runs nothing else on the page."""
    big = screen.head("Overlap bench")
    st.write(
        "Lay a few beads side by side and look at the section. Choose what to see, then move "
        "anything."
    )
    _bench(big)


@st.fragment  # type: ignore[untyped-decorator]
def _bench(big: bool) -> None:
    titles = [one.title for one in LESSONS]
    st.pills("Show me", titles, key="bench lesson", on_change=_take_lesson)
    taught = next(
        (one for one in LESSONS if one.title == st.session_state.get("bench lesson")), None
    )
    if taught is not None:
        st.info(taught.see)
    left, right = st.columns([5, 2], gap="medium")
    with right:
        coupon = replace(_set_up(), closest=closest_of(st.session_state.get("scene")))
    with left:
        try:
            found = section(coupon)
        except SceneError as fault:
            st.error(str(fault))
            return
        _seen(found, big)
    _more(found, big)


def _take_lesson() -> None:
    """Set the bench up as the chosen lesson wants it; every slider starts anew."""
    taken = next(
        (one for one in LESSONS if one.title == st.session_state.get("bench lesson")), None
    )
    if taken is not None:
        st.session_state["bench"] = taken.coupon
        st.session_state["bench round"] = st.session_state.get("bench round", 0) + 1


def _set_up() -> Coupon:
    """The sliders, and the coupon they say."""
    held: Coupon = st.session_state.setdefault("bench", LESSONS[0].coupon)
    unit = KINDS["length"][1 if screen.units() == "in" else 0]
    stamp = f"{unit.label} {st.session_state.get('bench round', 0)}"
    where = st.radio(
        "Laid on a",
        [PLAIN, WALL],
        index=0 if held.diameter is None else 1,
        horizontal=True,
        key=f"bench where {stamp}",
    )
    said: dict[str, float] = {
        "beads": int(st.slider("Beads", 2, 5, held.beads, key=f"bench beads {stamp}"))
    }
    for name, (label, low, high, step) in SLIDERS.items():
        said[name] = _length(
            f"{label} [{unit.label}]",
            (low, high, step),
            float(getattr(held, name)),
            f"bench {name} {stamp}",
        )
    tie_in = st.slider(
        "Tie-in",
        0.0,
        1.0,
        held.tie_in,
        0.05,
        key=f"bench tie-in {stamp}",
        help="0: a bead does not wash up its neighbour; 1: up to its crest.",
    )
    coupon = replace(held, diameter=None, tie_in=tie_in, **said)  # type: ignore[arg-type]
    if where == WALL:
        size = _length(
            f"Bore before welding, on diameter [{unit.label}]",
            BORE,
            held.diameter or EYE,
            f"bench bore {stamp}",
        )
        hours = st.slider(
            "Clock position [o'clock]",
            0.0,
            12.0,
            held.clock * 6.0 / math.pi,
            0.25,
            key=f"bench clock {stamp}",
        )
        turning = st.radio(
            "Torch turns",
            ["clockwise", "counter-clockwise"],
            index=0 if held.turning > 0 else 1,
            key=f"bench turning {stamp}",
        )
        coupon = replace(
            coupon,
            diameter=size,
            clock=hours * math.pi / 6.0,
            turning=1 if turning == "clockwise" else -1,
        )
    return coupon


def _length(label: str, span: tuple[float, float, float], value: float, key: str) -> float:
    """A slider for a length [mm] in the page's unit."""
    unit = KINDS["length"][1 if screen.units() == "in" else 0]
    if unit.label == "mm":
        return float(st.slider(label, span[0], span[1], value, span[2], key=key))
    low, high, at = (round(v / unit.factor, 3) for v in (span[0], span[1], value))
    step = max(round(span[2] / unit.factor, 3), 0.001)
    return unit.inside(float(st.slider(label, low, high, at, step, format="%.3f", key=key)))


def _seen(found: Section, big: bool) -> None:
    """The section, and the few figures to read off it."""
    units = screen.units()
    why = {one.what: one for one in explain(found, units)}
    with st.container(horizontal=True):
        for name, value in readings(found, units):
            told = why[OPENS[name]]
            st.metric(name, value, help=f"{told.formula}  \n{told.inputs}", width="content")
    screen.shown(bench_figure(found, units), "overlap bench", big=big)
    st.markdown(bench_lessons.told(found, units))


def _more(found: Section, big: bool) -> None:
    """What a closer pitch buys, what the clock does, and where the numbers come from."""
    units, c = screen.units(), found.coupon
    names = ["What the pitch does", "Round the clock", "Where the numbers come from"]
    tabs = st.tabs(names, on_change="rerun", key="bench more")
    if tabs[0].open:
        with tabs[0]:
            spacings = np.linspace(0.5, 1.15, 27)
            screen.shown(
                pitch_figure(c, spacings, pitches(c, spacings), width=found.width, units=units),
                "what the pitch does",
                big=big,
            )
    if tabs[1].open:
        with tabs[1]:
            if c.diameter is None:
                st.write(
                    "A flat coupon lies still: gravity does the same everywhere. Lay the "
                    "beads on a bore wall to see the clock matter."
                )
            else:
                clocks = np.arange(48) * TURN / 48
                screen.shown(
                    round_figure(c, clocks, around_the_clock(c, clocks), units=units),
                    "round the clock",
                    big=big,
                )
    if tabs[2].open:
        with tabs[2]:
            screen.explained(explain(found, units))
