"""The job, field by field: every input with its unit, meaning and range; what does not hold is said
beside it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from typing import Any

import streamlit as st

from sim.job.change import changed
from sim.job.checks import check
from sim.job.key import keys_of
from sim.job.looked import state
from sim.job.scene import EITHER, SECTIONS, Scene
from sim.job.sections.bore import BLACK_LEFT, BRIGHT, NOT_LOOKED
from sim.job.values import file_keys
from sim.reference.defaults import DEFAULTS
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, LISTS, Unit, oclock, typed, usual_unit
from sim.screens import memory

TITLES = {
    "job": "Job", "bore": "Finished bore", "worn": "Worn wall", "gouge": "Gouges",
    "groove": "Grooves",
    "oil_hole": "Oil holes", "keyway": "Keyways", "pre_bore": "Pre-bore",
    "pre_bore_black": "Black left by the pre-bore", "axes": "Axes", "wire": "Wire",
    "bead": "Measured bead", "pad": "Five-bead pad", "process": "What the metal does",
    "layer": "Layers",
    "run_off": "Run-off rings", "no_weld": "No-weld areas", "bore_on_bar": "Other bores on the bar",
    "cut": "Finish cut",
    "boring_bar": "Boring bar", "rates": "Your rates and times", "head": "Welding head",
    "gauge": "Gauge", "grid": "Clock columns",
    "spread": "Normal shop variation", "confidence": "How sure", "plan": "Limits of a plan",
    "steel": "Steel of the part", "electrical": "Volts and amps", "heat": "Preheat and interpass",
    "procedure": "Qualified procedure", "dial": "Dial tables", "hold_points": "Hold points",
}  # fmt: skip
ADDED: dict[str, dict[str, Any]] = {
    "gouge": {"at_oclock": 6.0, "depth_mm": 10.0, "length_mm": 10.0, "width_mm": 10.0, "deep_mm": 1.0},
    "groove": {"depth_mm": 10.0, "width_mm": 5.0, "deep_mm": 1.0},
    "oil_hole": {"at_oclock": 12.0, "depth_mm": 10.0, "diameter_mm": 6.0, "clear_mm": 13.0},
    "keyway": {"at_oclock": 6.0, "width_mm": 10.0, "from_depth_mm": 0.0, "to_depth_mm": 10.0, "clear_mm": 13.0},
    "no_weld": {"from_at_oclock": 5.0, "to_at_oclock": 7.0, "from_depth_mm": 0.0, "to_depth_mm": 10.0},
    "pre_bore_black": {"at_oclock": 6.0, "depth_mm": 10.0, "across_mm": 20.0},
    "bore_on_bar": {"along_mm": 200.0},
    "boring_bar": {"diameter_mm": 40.0}, "rates": {"spool_g": 15000.0},
    "pre_bore": {}, "bead": {}, "pad": {}, "layer": {},
}  # fmt: skip


SHORT = " short"  # what tells a field on the job screen from the same one among all fields


def show() -> None:
    """Every section of the job in a fold of its own."""
    st.write(
        'Lengths may be typed as `3.2`, `3,2`, `1/8 in`, `0.125"` or `5 thou`; without a '
        "unit the page's is meant. "
        "An empty field takes the default named under it."
    )
    _came_out()
    black_asked = state(memory.job()) == BLACK_LEFT  # it stands at the top then
    folds(section for section in SECTIONS if section != "pre_bore_black" or not black_asked)


def folds(sections: Iterable[str], mark: str = "") -> None:
    """Sections of the job, each in a fold of its own; mark: told apart from the same fields
    elsewhere on the page.
    """
    for section in sections:
        if section in ("readings", "reading_after", "update", "update_on_bar") or (
            section == "worn" and memory.job().readings is not None
        ):
            continue  # they have tabs of their own
        kind, many, may_miss = SECTIONS[section]
        held = getattr(memory.job(), section)
        marked = any(key == section or key.startswith(f"{section}.") for key in memory.faults())
        title = TITLES.get(section, section.replace("_", " ").capitalize())
        if many:
            title += f" ({len(held)})"
        with st.expander(title + ("  — a field does not hold" if marked else ""), expanded=marked):
            _section(section, kind, held, many=many, may_miss=may_miss, mark=mark)


CAME_OUT = {
    NOT_LOOKED: "not looked yet",
    BRIGHT: "came out bright",
    BLACK_LEFT: "black patches left",
}


def _came_out() -> None:
    """What somebody saw of the pre-bored wall, first of all fields: it settles more than any other."""
    scene = memory.job()
    if scene.pre_bore is None:
        return
    key = f"came out #{st.session_state['round']}"
    st.radio(
        "How did the pre-bore come out?",
        list(CAME_OUT),
        index=list(CAME_OUT).index(state(scene)),
        format_func=lambda one: CAME_OUT[one],
        horizontal=True,
        key=key,
        on_change=_looked,
        args=(key,),
        help="Look all round, face to face. Bright: nowhere is the wall smaller than the pre-bore.",
    )
    if state(scene) == BLACK_LEFT:
        listed("pre_bore_black")


def _looked(key: str) -> None:
    _try({"pre_bore.looked": st.session_state[key]}, "pre_bore")


def _section(
    section: str, kind: type, held: Any, *, many: bool, may_miss: bool, mark: str = ""
) -> None:
    items = list(held) if many else ([] if held is None else [held])
    for number, item in enumerate(items, 1):
        dotted = f"{section}.{number}" if many else section
        if many:
            st.markdown(f"**{section.replace('_', ' ')} {number}**")
        _fields(kind, item, dotted, mark)
        if may_miss or (many and len(items) > 1):
            st.button(
                "take out", key=f"out of {dotted}", on_click=_take_out, args=(section, number, many)
            )
    if many or held is None:
        st.button(
            f"add {section.replace('_', ' ')}",
            key=f"add {section}",
            on_click=_add,
            args=(section, many),
        )
    for where, why in memory.faults().items():
        if where == section or where.removeprefix(f"{section}.").isdigit():
            st.error(why)


def _fields(kind: type, item: Any, dotted: str, mark: str = "") -> None:
    """The fields of one section side by side, three to a row."""
    columns = st.columns(3)
    for k, f in enumerate(keys_of(kind)):
        if "kind" in f.metadata:
            with columns[k % 3]:
                _field(f, getattr(item, f.name), f"{dotted}.{f.name}", mark=mark)


def listed(section: str) -> None:
    """A section of which there may be several, for a screen that needs it at hand."""
    kind, many, may_miss = SECTIONS[section]
    _section(section, kind, getattr(memory.job(), section), many=many, may_miss=may_miss)


def chosen(section: str, names: tuple[str, ...]) -> None:
    """A few fields of a section of which there is one, for a screen that needs them at hand."""
    kind = SECTIONS[section][0]
    fields = {f.name: f for f in keys_of(kind)}
    columns = st.columns(min(3, len(names)))
    for k, name in enumerate(names):
        with columns[k % len(columns)]:
            _field(fields[name], getattr(getattr(memory.job(), section), name), f"{section}.{name}")


def one(dotted: str, label: str) -> None:
    """One field by its place in the job, such as `layer.1.travel`, under a short name of its own;
    whoever shows it says what does not hold.
    """
    section, *number, name = dotted.split(".")
    f = next(f for f in keys_of(SECTIONS[section][0]) if f.name == name)
    held = getattr(memory.job(), section)
    item = held[int(number[0]) - 1] if number else held
    unit = unit_of(f)
    named = f"{label} [{unit.label}]" if unit is not None and unit.label else label
    _field(f, getattr(item, name), dotted, label=named, mark=SHORT)


def adding(section: str, label: str) -> None:
    """A button that puts a section with usual values into the job."""
    many = SECTIONS[section][1]
    st.button(label, key=f"adding {section}", on_click=_add, args=(section, many))


def label_of(f: dataclasses.Field[Any], unit: Unit | None) -> str:
    """Name of a field as a person reads it, with its unit, and whether it is on diameter or per
    side.
    """
    name, meaning = f.name.replace("_", " "), str(f.metadata["meaning"])
    for measure in ("on diameter", "per side"):
        if measure in meaning:
            name += f", {measure}"
    return f"{name} [{unit.label}]" if unit is not None and unit.label else name


def unit_of(f: dataclasses.Field[Any]) -> Unit | None:
    """The unit a field is shown in."""
    kind = f.metadata["kind"]
    return usual_unit(kind, memory.units()) if kind in KINDS else None


def text_of(f: dataclasses.Field[Any], value: Any) -> str:
    """A value as its field shows it."""
    unit = unit_of(f)
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "; ".join(f"{unit.outside(v):.10g}" for v in value) if unit is not None else ""
    if unit is None:
        return str(value)
    if f.metadata["kind"] == "clock":
        return f"{oclock(value):.6g}"
    return f"{unit.outside(value):.10g}"


def _field(
    f: dataclasses.Field[Any], value: Any, dotted: str, *, label: str = "", mark: str = ""
) -> None:
    key = f"{dotted} #{st.session_state['round']} {memory.units()}{mark}"
    unit, kind, told = unit_of(f), f.metadata["kind"], _help(f)
    label = label or label_of(f, unit)
    ask: dict[str, Any] = dict(key=key, help=told, on_change=_changed, args=(key, dotted, f))
    if kind == "flag":
        st.checkbox(label, value=bool(value), **ask)
    elif kind == "choice":
        choices = list(f.metadata["choices"])
        st.selectbox(label, choices, index=choices.index(value), **ask)
    else:
        st.text_input(label, value=text_of(f, value), **ask)
    if mark != SHORT and dotted in memory.faults():  # a short field is too narrow for a sentence
        st.error(memory.faults()[dotted])


def _help(f: dataclasses.Field[Any]) -> str:
    known = DEFAULTS.get(f.metadata.get("known", ""))
    text = str(f.metadata["meaning"])
    return (
        f"{text}. Default {known.value:g} {known.unit}: {known.basis} ({known.source})."
        if known
        else text
    )


def _changed(key: str, dotted: str, f: dataclasses.Field[Any]) -> None:
    """Take what was typed into the job, or say beside the field why not; the job stays as it was."""
    try:
        wanted = _wanted(f, dotted, st.session_state[key])
        scene = changed(memory.job(), wanted, name="this job")
    except (SceneError, ValueError) as fault:
        memory.faults()[dotted] = str(fault)
        return
    memory.faults().pop(dotted, None)
    twin = key.removesuffix(SHORT) if key.endswith(SHORT) else key + SHORT
    if twin in st.session_state:
        st.session_state[twin] = st.session_state[key]
    memory.remembered()
    st.session_state["scene"] = scene
    memory.unsaid()


def _wanted(f: dataclasses.Field[Any], dotted: str, value: Any) -> dict[str, Any]:
    """The change that a typed value asks for, as scene keys. Raises ValueError."""
    stem, kind = dotted.rpartition(".")[0], f.metadata["kind"]
    if kind not in KINDS:
        return {dotted: value}
    first = next(iter(file_keys(f)))
    if not value.strip():
        other = [g for g in EITHER.get(stem.split(".")[0], ()) if f.name in g]
        if other:
            raise ValueError(
                f"give one of {', '.join(other[0]).replace('_', ' ')}: type it there instead "
                "of emptying this."
            )
        return {f"{stem}.{first}": None}
    if kind in LISTS:
        told = [
            typed(part, LISTS[kind], memory.units()) for part in value.split(";") if part.strip()
        ]
        unit = next((u for u in KINDS[kind] if told and u.suffix == told[0][0]), KINDS[kind][0])
        return {f"{stem}.{f.name}{unit.suffix}": [number for _, number in told]}
    suffix, number = typed(value, kind, memory.units())
    return {
        f"{stem}.{f.name}{suffix}": int(number)
        if kind == "integer" and number == int(number)
        else number
    }


def _add(section: str, many: bool) -> None:
    scene, mm = memory.job(), dict(ADDED.get(section, {}))
    if section == "pre_bore":
        mm = {"diameter_mm": scene.worn.diameter + scene.worn.out_of_round + 0.5}
    elif section == "bead":
        first = scene.layer[0]
        mm = {
            "width_mm": 5.0,
            "height_mm": 1.8,
            "wire_feed_m_per_min": first.wire_feed * 0.06,
            "travel_mm_per_min": 440.0,
        }
    elif section == "pad":
        mm = {"pitch_mm": 4.25, "crest_mm": 2.1, "valley_mm": 1.4}
    where = f"{section}.{len(getattr(scene, section)) + 1}" if many else section
    if section == "layer":
        mm = {"repeat": 1}
    if section == "dial":
        _try(_dial_added(scene), where)
        return
    _try({f"{where}.{key}": value for key, value in mm.items()}, where)


def _dial_added(scene: Scene) -> dict[str, Any]:
    """One point past the last of the dial tables, or two to begin with, since one alone is no
    table.
    """
    if not scene.dial:
        return {
            "dial.1.mark": 1.0,
            "dial.1.rotation_rpm": 0.5,
            "dial.2.mark": 10.0,
            "dial.2.rotation_rpm": 5.0,
        }
    last, where = max(scene.dial, key=lambda point: point.mark), f"dial.{len(scene.dial) + 1}"
    out = {f"{where}.mark": last.mark + 1.0}
    for name, first in (("rotation", "rotation_rpm"), ("wire_feed", "wire_feed_m_per_min")):
        value = getattr(last, name)
        if value is not None:
            out[f"{where}.{first}"] = 1.1 * KINDS["rotation" if name == "rotation" else "feed"][
                0
            ].outside(value)
    return out


def _try(changes: dict[str, Any], where: str) -> None:
    try:
        memory.change(changes)
    except SceneError as fault:
        memory.faults()[where] = str(fault)


def _take_out(section: str, number: int, many: bool) -> None:
    scene: Scene = memory.job()
    held = getattr(scene, section)
    left: Any = tuple(item for k, item in enumerate(held, 1) if k != number) if many else None
    without = dataclasses.replace(scene, **{section: left})
    try:
        check(without, name="this job")
    except SceneError as fault:
        memory.faults()[section] = str(fault)
        return
    memory.put(without)
