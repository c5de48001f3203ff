"""Side by side: the case kept and the job as it is, at the same scale, with the differences in
words.
"""

from __future__ import annotations

import math

import streamlit as st

from sim.pictures.charts.drawn import same_scale
from sim.pictures.charts.maps import stock_figure
from sim.pictures.charts.sections import section
from sim.plan.odds.verdict import Decision, worst_bore
from sim.screens import memory
from sim.screens.clean_up.maps_and_sections import picture
from sim.shop.result import Result
from sim.tell.note import differences
from sim.tell.verdict import verdict_lines


def show(result: Result) -> None:
    """Keep a case, change something, see both."""
    st.button("Keep the present case for comparison", on_click=_keep, key="keep")
    kept = st.session_state.get("kept")
    if kept is None:
        st.write(
            "Keep the present case, change something under *The job* or take a remedy, and "
            "come back here."
        )
        return
    before = worst_bore(memory.on_bar(kept)).result
    for line in differences(before, result, (memory.decided(kept), memory.decided(memory.job()))):
        st.markdown(f"- {line}")
    pair(
        (before, result),
        (memory.decided(kept), memory.decided(memory.job())),
        ("The case kept", "The job as it is"),
        key="kept",
    )


def pair(
    results: tuple[Result, Result],
    decided: tuple[Decision, Decision],
    titles: tuple[str, str],
    *,
    key: str,
) -> None:
    """Two jobs beside each other: section at one clock and unrolled map, at the same scale."""
    clock = results[1].stock.spot.clock
    hours = st.slider(
        "Clock of both sections [o'clock]",
        0.0,
        11.95,
        round(clock * 6 / math.pi / 0.05) * 0.05 % 12.0,
        0.05,
        key=f"clock {key}",
    )
    sections = [section(one, hours * math.pi / 6.0) for one in results]
    maps = [stock_figure(one, n_clock=180, n_depth=150) for one in results]
    same_scale(sections)
    same_scale(maps)
    for k, (column, title) in enumerate(zip(st.columns(2), titles, strict=True)):
        with column:
            st.subheader(title)
            st.markdown(verdict_lines(results[k], decided[k])[0])
            picture(sections[k], f"section {key} {'ab'[k]}")
            picture(maps[k], f"map {key} {'ab'[k]}")


def _keep() -> None:
    st.session_state["kept"] = memory.job()
