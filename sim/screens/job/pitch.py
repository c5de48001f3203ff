"""Pitch and bead overlap: one handle with two readings, which layers it moves, and how far it goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from sim.job.change import changed, digest
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER
from sim.plan.remedies.search import open_entries
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, Unit
from sim.screens import memory
from sim.shop.result import Result

KEY = "pitch handle"

STEP = {"mm": 0.05, "in": 0.002}

BROWSER = Path(__file__).parent / "browser"

_component = st.components.v2.component(
    "bore_pitch",
    html=(BROWSER / "pitch.html").read_text(encoding="utf-8"),
    css=(BROWSER / "pitch.css").read_text(encoding="utf-8"),
    js=(BROWSER / "pitch.js").read_text(encoding="utf-8"),
)


@dataclass(frozen=True)
class Handle:
    """Where the handle stands: pitch and bead width of the first layer still to come, and how far it
    goes [mm]; the numbers of the [[layer]] entries it moves; what splits a laid layer off.
    """

    pitch: float
    width: float
    least: float
    most: float
    entries: tuple[int, ...]
    split: Mapping[str, Any]


def handle_of(scene: Scene, result: Result) -> Handle | None:
    """The handle of a job; None where no layer is still to come."""
    if scene.job.stage == AFTER:
        return None
    first, split = open_entries(result)
    if first > len(scene.layer) and not split:
        return None
    plans = scene.layer[min(first, len(scene.layer)) - 1 :]
    held = (plans[0].pitch, plans[0].bead_overlap)
    same = [k for k, plan in enumerate(plans) if (plan.pitch, plan.bead_overlap) == held]
    done = sum(plan.repeat for plan in scene.layer[: first - 1]) if not split else 0
    setting = result.settings[min(done, len(result.settings) - 1)]
    pitch, width = setting.path.pitch, setting.bead.width
    least = width * (1.0 - max(scene.plan.overlap_most, 1.0 - pitch / width))
    return Handle(pitch, width, least, max(width, pitch), tuple(first + k for k in same), split)


def pitched(scene: Scene, handle: Handle, value: float, units: str) -> Scene:
    """The job at another pitch, in `units`. Raises SceneError."""
    suffix = "_in" if units == "in" else "_mm"
    keys = {f"layer.{k}.pitch{suffix}": value for k in handle.entries}
    return changed(scene, {**handle.split, **keys}, name="this job")


def show(scene: Scene, handle: Handle, fault: str = "") -> None:
    """The handle itself."""
    unit, units = length_unit(), memory.units()
    live = moving(scene)
    step = STEP[units]
    _component(
        data={
            "of": digest(scene),
            "n": 0 if live is None else live["n"],
            "pitch": round(unit.outside(handle.pitch), 6),
            "width": unit.outside(handle.width),
            "least": step * -(-unit.outside(handle.least) // step),
            "most": step * (unit.outside(handle.most) // step),
            "step": step,
            "unit": unit.label,
            "digits": 3 if units == "in" else 2,
            "fault": fault,
        },
        key=KEY,
        on_live_change=_nothing,
        on_let_go_change=_let_go,
    )


def length_unit() -> Unit:
    """The unit of length on the page."""
    return KINDS["length"][1 if memory.units() == "in" else 0]


def moving(scene: Scene) -> dict[str, Any] | None:
    """Where the hand holds the handle now, {pitch, n}; None where it does not, or held another job."""
    told = st.session_state.get(KEY)
    live = None if told is None else told.get("live")
    if not live or live["n"] <= st.session_state.get("pitch done", 0):
        return None
    return live if live["of"] == digest(scene) else None


def _nothing() -> None:
    """What is held is read where it is needed."""


def _let_go() -> None:
    """Take the pitch into the job, or say why not."""
    told = st.session_state[KEY]["let_go"]
    st.session_state["pitch fault"] = ""
    if not told:
        return
    live = st.session_state[KEY].get("live")
    st.session_state["pitch done"] = live["n"] if live else 0
    scene = memory.job()
    try:
        handle = handle_of(scene, memory.on_bar(scene)[0].result)
        if handle is not None:
            memory.put(pitched(scene, handle, float(told["pitch"]), memory.units()))
    except SceneError as fault:
        st.session_state["pitch fault"] = str(fault)
