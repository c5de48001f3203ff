"""Boring: the passes within the bar, what to look at, and what the bar does to the bore."""

from __future__ import annotations

import streamlit as st

from sim.job.change import digest
from sim.machine.boring.cuts import Cuts, Pass
from sim.machine.boring.passes import boring_cuts
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.reference.units import said
from sim.shop.result import Result
from sim.tell.boring import bore_lines, cuts_note, newtons
from sim.tell.quantities import in_time, marks
from sim.tell.remarks import lines


@st.cache_resource(
    max_entries=12,
    show_spinner="taking the cuts ...",
    hash_funcs={Result: lambda result: digest(result.scene)},
)  # type: ignore[untyped-decorator]
def cuts_of(result: Result, units: str) -> Cuts:
    """The passes of a result, kept by what its scene says and the units shown. Raises SceneError."""
    return boring_cuts(result)


def show(result: Result) -> None:
    """The passes, warnings, and the finished bore."""
    units, say = result.scene.job.units, Say(result.scene.job.units)
    try:
        cuts: Cuts = cuts_of(result, units)
    except SceneError as fault:
        st.error(str(fault))
        return
    st.write(_bar_words(cuts, units))
    for line in lines(cuts.warnings, say):
        st.warning(line)
    st.subheader("Passes")
    st.dataframe(
        [row(number, one, units) for number, one in enumerate(cuts.passes, 1)],
        hide_index=True,
        width="stretch",
    )
    st.caption(
        "Depths of cut and bend per side, sizes on diameter. In the cut "
        f"{in_time(cuts.time)} for the passes to come."
    )
    st.subheader("What the bar does to the bore, on diameter")
    st.markdown("\n".join(bore_lines(cuts)))
    with st.expander("Taken for granted"):
        st.markdown("\n".join(f"- {line}" for line in lines(cuts.assumed, say)))
    st.download_button(
        "Passes (text)",
        cuts_note(cuts),
        "boring_passes.txt",
        "text/plain",
        key="take cuts",
        on_click="ignore",
    )


def _bar_words(cuts: Cuts, units: str) -> str:
    bar = cuts.bar
    given = (
        "as given"
        if cuts.bar_given
        else "not given: usual values stand for it, see below; add it under *The job*"
    )
    return f"Bar {said(bar.diameter, 'length', units, 1)} on diameter, {bar.held}; {given}."


def row(number: int, one: Pass, units: str) -> dict[str, str]:
    """A pass as a line of the table."""

    def size(mm: float, digits: int = 2) -> str:
        return said(mm, "length", units, digits)

    return {
        "pass": f"{number} {one.kind}{', done' if one.done else ''}",
        "from, on diameter": size(one.met),
        "to, on diameter": size(one.size, 3),
        "cut per side": f"{size(one.depth.least)} to {size(one.depth.most)}",
        "no metal": f"{100 * one.interrupted:.0f} %",
        "too thin": f"{100 * one.thin:.0f} %",
        "rpm": f"{said(one.turning, 'rotation', units, 0)}",
        "speed": said(one.cutting_speed, "cutting speed", units, 0),
        "feed per turn": size(one.feed, 3),
        "time": in_time(one.time),
        "power, most": said(one.power.most, "power", units),
        "force, most": newtons(one.force.most, units),
        "bend per side, most": size(one.bend.most, 3),
        "feed marks": marks(one.roughness, units),
    }
