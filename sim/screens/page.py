"""The page: scene picker, verdict, axial section and map of stock per side."""

from __future__ import annotations

import math

import streamlit as st

from sim import chart, report
from sim.job import Scene, SceneError
from sim.scene import clock_text, digest, load, shipped
from sim.simulate import Result, simulate

MARKS = {"cleans up": "✔", "thin": "≈", "falls short": "✖", "not proven": "?"}
KINDS = {"cleans up": st.success, "thin": st.warning, "falls short": st.error, "not proven": st.warning}


@st.cache_resource(  # type: ignore[untyped-decorator]
    max_entries=16, show_spinner="laying the beads ...", hash_funcs={Scene: digest}
)
def judged(scene: Scene) -> Result:
    """The result of a scene, kept by what the scene says."""
    return simulate(scene)


def show() -> None:
    """The whole page."""
    st.set_page_config(page_title="Bore build-up", layout="wide")
    names = [path.stem for path in shipped()]
    choice = st.sidebar.selectbox("Job", names, format_func=lambda name: name.replace("_", " "), key="job")
    try:
        scene = load(next(path for path in shipped() if path.stem == choice))
        result = judged(scene)
    except SceneError as fault:
        st.error(str(fault))
        return
    st.header(scene.job.name)
    st.caption(scene.job.note)
    verdict(result)
    pictures(result)
    with st.expander("The whole note"):
        st.text(report.note(result))


def verdict(result: Result) -> None:
    """The verdict first, in words, with what it rests on beside it."""
    first, *more = report.verdict_lines(result)
    KINDS[result.verdict](f"{MARKS[result.verdict]} {first}")
    for line in more:
        st.write(line)
    say = report.Say(result.scene.job.units)
    for line in report.spot_lines(result.low_spots or result.thin_spots, say):
        st.markdown(line)
    for line in result.warnings:
        st.caption(line)


def pictures(result: Result) -> None:
    """Unrolled map and axial section."""
    left, right = st.columns(2)
    with left:
        st.subheader("Stock per side, unrolled")
        st.plotly_chart(chart.stock_figure(result), width="stretch", theme="streamlit", key="map")
    with right:
        st.subheader("Axial section")
        worst = round(result.stock.spot.clock * 12.0 / (2.0 * math.pi) * 4.0) / 4.0 % 12.0
        hours = st.slider("o'clock", 0.0, 11.75, worst, 0.25, key=f"clock of {digest(result.scene)}")
        angle = hours * math.pi / 6.0
        st.caption(f"at {clock_text(angle)} o'clock, enlarged across: depth runs along, stock per side up")
        st.plotly_chart(chart.section(result, angle), width="stretch", theme="streamlit", key="section")
    st.caption(report.CAUTION)
