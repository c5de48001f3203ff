"""The job in shop order: five steps, each with its two or three figures, what it needs, and the rest on asking."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape

import streamlit as st

from sim.job.looked import read_after, state
from sim.job.scene import Scene
from sim.job.sections.bore import BLACK_LEFT, NOT_LOOKED
from sim.screens import fields, memory
from sim.screens.job import pitch
from sim.shop.result import Result


@dataclass(frozen=True)
class Step:
    """A step of the shop: its name, how it is known, what it needs (nothing: ""), the sections
    behind "more".
    """

    name: str
    known: str
    needs: str
    sections: tuple[str, ...]


def show(scene: Scene, result: Result) -> None:
    """The five steps, then what belongs to none of them."""
    steps = (
        (_worn(scene), _worn_figures),
        (_bored_clean(scene), _bored_clean_figures),
        (_bead(scene, result), _bead_figures),
        (_layers(result), lambda one: _layer_figures(one, result)),
        (_finish(scene), _finish_figures),
    )
    for number, (step, figures) in enumerate(steps, 1):
        _step(number, step, figures, scene)
    _more("more of the job", OTHERS, 6)


OTHERS = (
    "job", "spread", "confidence", "plan", "steel", "electrical", "heat", "procedure", "dial",
    "hold_points", "grid",
)  # fmt: skip


def _step(number: int, step: Step, figures: Callable[[Scene], None], scene: Scene) -> None:
    with st.container(key=f"step {number}", gap=None):
        mark = f'<b class="needs">! {escape(step.needs)}</b>' if step.needs else ""
        with st.container(horizontal=True, key=f"step head {number}", gap="small"):
            st.html(
                f'<h2 class="step"><span class="n">{number}</span>{escape(step.name)}'
                f"<i>{mark or escape(step.known)}</i></h2>"
            )
            _more("more", step.sections, number)
        figures(scene)


def _more(label: str, sections: tuple[str, ...], number: int) -> None:
    """The rest of a step, made when it is opened."""
    held = any(where.split(".")[0] in sections for where in memory.faults())
    name = f"{label} !" if held else label
    with st.popover(name, key=f"more {number}", on_change="rerun", type="tertiary") as rest:
        if rest.open:
            fields.folds(sections)


def _side_by_side(*figures: tuple[str, str]) -> None:
    columns = st.columns(len(figures), gap="small")
    for column, (dotted, label) in zip(columns, figures, strict=True):
        with column:
            fields.one(dotted, label)
    for dotted, label in figures:
        if dotted in memory.faults():
            st.error(f"{label}: {memory.faults()[dotted]}")


def _worn(scene: Scene) -> Step:
    known = "by sizes" if scene.readings is None else "from readings"
    return Step(
        "Worn bore",
        known,
        "",
        ("worn", "gouge", "groove", "oil_hole", "keyway", "bore_on_bar", "gauge"),
    )


def _worn_figures(scene: Scene) -> None:
    if scene.readings is not None:
        count = len(scene.readings.found.depth) if scene.readings.found is not None else 0
        _side_by_side(("bore.length", "length"), ("bore.original_diameter", "new, ⌀"))
        st.caption(f"{count} readings: see Readings under Look closer.")
        return
    _side_by_side(
        ("worn.diameter", "worn ⌀"), ("worn.out_of_round", "oval"), ("bore.length", "length")
    )


def _bored_clean(scene: Scene) -> Step:
    needs = {NOT_LOOKED: "look", BLACK_LEFT: "black left"}.get(state(scene), "")
    if scene.pre_bore is None or read_after(scene):
        needs = ""
    known = "not bored first" if scene.pre_bore is None else "bright all round"
    return Step("Bored clean", known, needs, ("pre_bore", "pre_bore_black", "axes"))


def _bored_clean_figures(scene: Scene) -> None:
    if scene.pre_bore is None:
        fields.adding("pre_bore", "bore it clean first")
        return
    _side_by_side(("pre_bore.diameter", "pre-bore, ⌀"), ("pre_bore.looked", "bright?"))


def _bead(scene: Scene, result: Result) -> Step:
    needs = "measure a bead" if scene.bead is None else ""
    known = "measured on a plate" + ("" if result.tie_in.measured else "; tie-in is not")
    return Step("Bead", known, needs, ("bead", "pad", "wire", "process"))


def _bead_figures(scene: Scene) -> None:
    if scene.bead is None:
        fields.adding("bead", "type in a measured bead")
        return
    figures = [("bead.width", "width"), ("bead.height", "height")]
    _side_by_side(*figures, ("bead.travel", "at"))


def _layers(result: Result) -> Step:
    plans = result.scene.layer
    ways = {plan.advance for plan in plans}
    known = f"{sum(plan.repeat for plan in plans)} × {' and '.join(sorted(ways))}"
    if result.scene.job.layers_done:
        known += f", {result.scene.job.layers_done} laid"
    return Step("Layers", known, "", ("layer", "run_off", "no_weld", "head"))


def _layer_figures(scene: Scene, result: Result) -> None:
    handle = pitch.handle_of(scene, result)
    if handle is not None:
        with st.container(key="pitch box"):
            pitch.show(scene, handle, st.session_state.get("pitch fault", ""))
    number = handle.entries[0] if handle is not None else len(scene.layer)
    plan = scene.layer[min(number, len(scene.layer)) - 1]
    given = next(n for n in ("travel", "rotation", "turn_time") if getattr(plan, n) is not None)
    stem = f"layer.{min(number, len(scene.layer))}"
    _side_by_side(
        (f"{stem}.repeat", "layers"),
        (f"{stem}.{given}", given.replace("_", " ")),
        (f"{stem}.wire_feed", "wire"),
    )


def _finish(scene: Scene) -> Step:
    return Step("Finish cut", scene.bore.hole_code, "", ("bore", "cut", "boring_bar", "rates"))


def _finish_figures(scene: Scene) -> None:
    _side_by_side(("bore.final_diameter", "final, ⌀"), ("cut.minimum_cut", "least cut a side"))
