"""Side by side: the case kept and the job as it is, at the same scale, with the differences in words."""

from __future__ import annotations

import math

import streamlit as st

from sim import chart, report
from sim.screens import state
from sim.screens.flat import picture
from sim.simulate import Result


def show(result: Result) -> None:
    """Keep a case, change something, see both."""
    st.button("Keep the present case for comparison", on_click=_keep, key="keep")
    kept = st.session_state.get("kept")
    if kept is None:
        st.write("Keep the present case, change something under *The job* or take a remedy, and come back here.")
        return
    before = report.worst_bore(state.on_bar(kept)).result
    for line in report.differences(before, result):
        st.markdown(f"- {line}")
    clock = result.stock.spot.clock
    hours = st.slider("Clock of both sections [o'clock]", 0.0, 11.95, round(clock * 6 / math.pi / 0.05) * 0.05 % 12.0, 0.05, key="both clock")
    sections = [chart.section(one, hours * math.pi / 6.0) for one in (before, result)]
    maps = [chart.stock_figure(one, n_clock=180, n_depth=150) for one in (before, result)]
    chart.same_scale(sections)
    chart.same_scale(maps)
    for k, (column, title) in enumerate(zip(st.columns(2), ("The case kept", "The job as it is"), strict=True)):
        with column:
            st.subheader(title)
            st.markdown(report.verdict_lines((before, result)[k])[0])
            picture(sections[k], f"section {('kept', 'now')[k]}")
            picture(maps[k], f"map {('kept', 'now')[k]}")


def _keep() -> None:
    st.session_state["kept"] = state.job()
