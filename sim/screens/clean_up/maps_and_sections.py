"""Maps and sections: where the stock is, unrolled and cut open; a click on the map moves the
sections.
"""

from __future__ import annotations

import math
from typing import Any

import streamlit as st

from sim.job.change import digest
from sim.pictures.charts.drawn import Drawn
from sim.pictures.charts.maps import (
    add_touch_points,
    gauge_figure,
    ripple_figure,
    stock_figure,
    weld_figure,
)
from sim.pictures.charts.sections import cross_section, section
from sim.reference.units import KINDS, clock_text, oclock
from sim.screens import memory
from sim.shop.result import Result


def show(result: Result) -> None:
    """Every 2-D view of the job."""
    _clicked(result, st.session_state.get("picture stock map"))
    place = _place(result)
    form = st.radio(
        "Pictures are saved (camera mark above each) as",
        ["SVG", "PNG"],
        horizontal=True,
        key="form",
    ).lower()
    left, right = st.columns(2)
    with left:
        st.subheader("Stock per side, unrolled")
        drawn = stock_figure(result)
        add_touch_points(drawn, result)
        picture(drawn, "stock map", form, on_select="rerun", selection_mode=("points",))
    with right:
        st.subheader(f"Axial section at {clock_text(place[0])}")
        hours = st.slider(
            "Clock of the section [o'clock]", 0.0, 11.95, step=0.05, key="section clock"
        )
        picture(section(result, hours * math.pi / 6.0), "axial section", form)
    left, right = st.columns(2)
    with left:
        unit = KINDS["length"][1 if memory.units() == "in" else 0]
        st.subheader("Cross-section")
        most = unit.outside(result.scene.bore.length)
        depth = st.slider(
            f"Depth of the section [{unit.label}]",
            0.0,
            float(most),
            step=float(most) / 200,
            key="section depth",
        )
        picture(cross_section(result, unit.inside(depth)), "cross-section", form)
    with right:
        st.subheader("What the gauge says, and the valley")
        picture(gauge_figure(result), "gauge and valley", form)
    left, right = st.columns(2)
    with left:
        st.subheader("Ripple around the clock")
        picture(ripple_figure(result), "ripple", form)
    with right:
        st.subheader("Weld left under the finished surface")
        picture(weld_figure(result), "weld left", form)


def picture(drawn: Drawn, name: str, form: str = "svg", **more: Any) -> None:
    """One picture with its words and its data to take away."""
    config = {
        "toImageButtonOptions": {"format": form, "filename": name.replace(" ", "_"), "scale": 2},
        "displaylogo": False,
        "modeBarButtonsToRemove": ["select2d", "lasso2d", "autoScale2d"],
    }
    st.plotly_chart(
        drawn.figure,
        width="stretch",
        theme="streamlit",
        key=f"picture {name}",
        config=config,
        **more,
    )
    st.caption(drawn.words)
    st.download_button(
        f"Data of this picture (CSV): {name}",
        data=lambda: drawn.csv,
        file_name=f"{name.replace(' ', '_')}.csv",
        mime="text/csv",
        on_click="ignore",
        key=f"csv {name}",
        type="tertiary",
    )


def _place(result: Result) -> tuple[float, float]:
    """Clock [rad] and depth [mm] of the sections: the worst place of a new job, then where the user
    put them.
    """
    unit, state_of = KINDS["length"][1 if memory.units() == "in" else 0], st.session_state
    stamp, most = (digest(result.scene), unit.label), unit.outside(result.scene.bore.length)
    kept = state_of.get(
        "placed"
    )  # stamp, hours, depth [mm]; the sliders forget theirs while another tab is open
    if kept is None or kept[0][0] != stamp[0]:
        spot = result.stock.spot
        state_of["section clock"] = round(oclock(spot.clock) / 0.05) * 0.05 % 12.0
        state_of["section depth"] = float(min(max(unit.outside(spot.depth), 0.0), most))
    elif kept[0] != stamp or "section clock" not in state_of:
        state_of["section clock"] = kept[1]
        state_of["section depth"] = float(min(max(unit.outside(kept[2]), 0.0), most))
    clock, depth = state_of["section clock"], unit.inside(state_of["section depth"])
    state_of["placed"] = (stamp, clock, depth)
    return clock * math.pi / 6.0, depth


def _clicked(result: Result, told: Any) -> None:
    """Move the sections to the place clicked on the map."""
    points = told["selection"]["points"] if told else []
    if not points:
        return
    where = (float(points[0]["x"]), float(points[0]["y"]))
    if st.session_state.get("clicked") == (where, digest(result.scene)):
        return
    st.session_state["clicked"] = (where, digest(result.scene))
    st.session_state["section clock"] = round(where[0] / 0.05) * 0.05 % 12.0
    st.session_state["section depth"] = where[1]
