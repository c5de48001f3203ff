"""Section and unrolled map, linked: a click in either or in the 3-D view moves the place of all three."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import streamlit as st

from sim.job.change import digest
from sim.pictures import linked as views
from sim.plan.odds.shown import HowOften
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, clock_text
from sim.screens import memory
from sim.shop.result import Result

KEY = "linked views"

BROWSER = Path(__file__).parent / "browser"

_component = st.components.v2.component(
    "bore_linked",
    html=(BROWSER / "linked.html").read_text(encoding="utf-8"),
    css=(BROWSER / "linked.css").read_text(encoding="utf-8"),
    js=(BROWSER / "linked.js").read_text(encoding="utf-8"),
)


def show(result: Result, often: HowOften | None) -> None:
    """Both views of a bore at the place chosen; often: the map shows how often instead of stock."""
    clock, depth, n = place(result)
    lines = views.section_lines(result, clock)
    levels = views.stock_levels(result) if often is None else _often_levels(often)
    unit = KINDS["length"][1 if memory.units() == "in" else 0]
    head: dict[str, Any] = {
        "stamp": digest(result.scene),
        "n": n,
        "place": {"clock": clock, "depth": depth},
        "unit": {
            "label": unit.label,
            "each": unit.factor,
            "digits": 3 if unit.label == "in" else 2,
        },
        "length": result.scene.bore.length,
        "cut": result.scene.cut.minimum_cut,
        "lines": lines,
        "shape": levels.shape,
        "colours": views.colours(),
        "said": place_words(result, clock, depth, lines, often),
        **_map_told(result, levels, often),
    }
    _component(data=views.block(head, levels), key=KEY, on_place_change=_placed)


def _often_levels(often: HowOften) -> Any:
    share = np.where(np.isnan(often.thin), views.NONE, np.round(1000.0 * often.thin))
    return share.astype(np.int16)


def _map_told(result: Result, levels: Any, often: HowOften | None) -> dict[str, Any]:
    """Title, scale and words of the map."""
    if often is not None:
        least = Say(memory.units()).size(result.scene.cut.minimum_cut)
        return {
            "often": True,
            "stops": views.OFTEN,
            "step": 0.001,
            "top": 1.0,
            "topSaid": "100 of 100",
            "mapTitle": f"Unrolled: left under {least}, or black",
            "mapSaid": f"most often {100 * float(np.nanmax(often.thin)):.0f} of 100 at one place",
        }
    top, stops = views.scale_of_levels(levels, result.scene.cut.minimum_cut)
    spot, say = result.stock.spot, Say(memory.units())
    return {
        "often": False,
        "stops": stops,
        "step": views.STEP,
        "top": top,
        "topSaid": say.size(top, 1),
        "mapTitle": "Unrolled: stock per side",
        "mapSaid": f"least {say.size(spot.value)} at {clock_text(spot.clock)} o'clock, "
        f"{say.size(spot.depth, 0)} deep",
    }


def place(result: Result) -> tuple[float, float, int]:
    """Clock [rad] and depth [mm] chosen, and the number of the click; the worst place of a job just
    opened.
    """
    kept = st.session_state.get("place")
    if kept is None or kept[0] != memory.opened():
        spot = result.stock.spot
        kept = st.session_state["place"] = (memory.opened(), spot.clock, spot.depth, 0)
    return kept[1], min(max(kept[2], 0.0), result.scene.bore.length), kept[3]


def put(clock: float, depth: float, n: int = 0) -> None:
    """Choose a place."""
    st.session_state["place"] = (memory.opened(), clock % (2.0 * math.pi), depth, n)


def _placed() -> None:
    taken(KEY)


def taken(key: str) -> None:
    """Take over the place clicked in a component."""
    told = st.session_state[key].get("place")
    if told:
        put(float(told["clock"]), float(told["depth"]), int(told["n"]))


def place_words(
    result: Result,
    clock: float,
    depth: float,
    lines: list[dict[str, Any]],
    often: HowOften | None,
) -> str:
    """Clock, depth, stock per side and what each layer brought, in one line."""
    say = Say(memory.units())
    walls = [line for line in lines if not line.get("poor")]
    stock = [views.stock_at(line, depth) for line in walls]
    last = stock[-1]
    found = f"{say.size(last)} to bore off" if last >= 0 else f"black, {say.size(-last)} short"
    parts = [f"{clock_text(clock)}, {say.size(depth, 0)} deep: {found} per side"]
    parts.append(f"{walls[0]['name']} {say.size(stock[0])}")
    for line, now, before in zip(walls[1:], stock[1:], stock, strict=False):
        parts.append(f"{line['name']} {'+' if now >= before else '−'}{say.size(abs(now - before))}")
    if often is not None:
        parts.append(_often_words(often, clock, depth))
    return " · ".join(parts).replace(" -", " −")


def _often_words(often: HowOften, clock: float, depth: float) -> str:
    n, m = often.thin.shape
    i = int(clock / (2.0 * math.pi) * n) % n
    j = min(int(np.searchsorted(often.edges, depth, side="right")) - 1, m - 1)
    thin, black = often.thin[i, j], often.black[i, j]
    if np.isnan(thin):
        return "not judged here"
    return f"black in {100 * black:.0f} of 100, too little left in {100 * thin:.0f}"
