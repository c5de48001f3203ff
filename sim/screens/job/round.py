"""The bore in 3-D on the job screen: stages by name, what it shows, and a click that answers back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import streamlit as st

from sim.job.change import digest
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.picture import Picture
from sim.pictures.linked import OFTEN
from sim.pictures.process.keeper import page
from sim.plan.odds.shown import HowOften
from sim.screens import memory
from sim.screens.clean_up.in_the_round import theme
from sim.screens.job import linked
from sim.screens.job.checking import forgotten, waited
from sim.shop.result import Result

KEY = "round view"

LONGEST = 40.0  # s the page of the view is waited for, beside everything else

MOST = 600_000  # values of all maps of the picture together

PLANNED, BAD, OFTEN_BLACK = "planned", "bad", "often"

CHOICES = (
    (PLANNED, "as planned"),
    (BAD, "a bad run (1 in 20)"),
    (OFTEN_BLACK, "how often a place stays black"),
)

BROWSER = Path(__file__).parent / "browser"

_component = st.components.v2.component(
    "bore_round",
    html=(BROWSER / "round.html").read_text(encoding="utf-8"),
    css=(BROWSER / "round.css").read_text(encoding="utf-8"),
    js=(BROWSER / "round.js").read_text(encoding="utf-8"),
)


def kind() -> str:
    """What the person wants to see: PLANNED, BAD or OFTEN_BLACK."""
    told = st.session_state.get(KEY)
    wanted = told.get("shows") if told is not None else None
    return wanted if wanted in dict(CHOICES) else PLANNED


def show(result: Result, often: HowOften | None, tick: Callable[[], None], *, held: bool) -> None:
    """The view of a bore; held: the hand is on the pitch, so the picture before stays."""
    if not held or "round told" not in st.session_state:
        st.session_state["round told"] = _told(result, tick)
    told = st.session_state["round told"]
    _component(
        data=told | {"shows": kind(), "often": _often(often), "theme": theme()},
        key=KEY,
        on_place_change=_placed,
        on_shows_change=_nothing,
    )


def _placed() -> None:
    linked.taken(KEY)


def _nothing() -> None:
    """What is chosen is read where it is needed."""


def _told(result: Result, tick: Callable[[], None]) -> dict[str, Any]:
    """The page of the view with its stages by name, or why there is none."""
    stamp = (digest(result.scene), result.stock.spot.value, memory.units())

    def made() -> tuple[Picture, Any]:
        drawn = picture(result, most=MOST)
        return drawn, page(drawn, keep="job screen", theme="light", wait=LONGEST)

    drawn, shown = waited(("round", stamp), made, tick)
    if shown.html is None:
        forgotten(("round", stamp))
    return {
        "stamp": repr(stamp),
        "html": shown.html,
        "reason": shown.reason,
        "stages": _stages(drawn),
        "choices": CHOICES,
    }


def _stages(drawn: Picture) -> list[dict[str, Any]]:
    names = {"worn bore": "worn", "pre-bored": "bored clean"}
    out = [
        {"name": names.get(name, name), "stage": k, "finished": False}
        for k, name in enumerate(drawn.stages)
    ]
    return [*out, {"name": "finished", "stage": drawn.last, "finished": True}]


def _often(often: HowOften | None) -> dict[str, Any] | None:
    if often is None:
        return None
    return {
        "shape": often.thin.shape,
        "share": np.round(np.nan_to_num(often.thin), 3).ravel().tolist(),
        "colours": OFTEN,
        "said": "how often too little is left, or black stays",
    }
