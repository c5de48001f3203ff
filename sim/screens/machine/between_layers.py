"""Between the layers: readings after a layer in, what they say, the rest planned again, the cards,
the record.
"""

from __future__ import annotations

import dataclasses
import datetime
import json
from typing import Any

import streamlit as st

from sim.job.change import digest
from sim.job.on_bar import names
from sim.job.scene import Scene
from sim.job.sections.bore import BETWEEN
from sim.machine.between.card import Card, after_layer_cards
from sim.machine.between.readings_after import told, with_readings
from sim.machine.between.record import Record, as_mapping, came_out
from sim.machine.between.told import ReadingAgainst, Update
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, clock_text
from sim.reference.version import VERSION
from sim.screens import memory
from sim.shop.result import Result
from sim.tell.between import contradictory_lines, rest_lines, update_lines
from sim.tell.card import card_lines
from sim.tell.record import came_json, record_note


def show(result: Result) -> None:
    """Readings after a layer, and everything that follows from them."""
    scene = memory.job()
    _ask(scene)
    if st.session_state.get("between fault"):
        st.error(st.session_state["between fault"])
    if scene.reading_after:
        _says(scene)
    st.subheader("After-layer cards")
    st.caption(
        "What the gauge after a layer says to do next, allowing for normal shop variation. "
        "Mean of a dozen crest readings, on diameter."
    )
    _cards(scene)
    st.subheader("Record")
    _record(scene)


# ---- readings in
# --------------------------------------------------------------------------------------------------------


def _ask(scene: Scene) -> None:
    st.subheader("Readings after a layer")
    st.write(
        "Two-point diameters (the gauge rides on crests) or radii swept from a bar on the "
        "finish axis; `touched` says crest or valley. "
        "Readings stay in the job: new ones are added, none is replaced."
    )
    done = scene.job.layers_done if scene.job.stage == BETWEEN else 0
    left, right = st.columns([3, 2])
    with left:
        st.text_area(
            "Pasted readings (CSV)",
            _blank(),
            height=220,
            key=f"after pasted {st.session_state['round']}",
        )
    with right:
        count = len(scene.layers)
        st.number_input(
            "After which layer",
            1,
            count,
            min(max(done, 1), count),
            key=f"after layer {st.session_state['round']}",
        )
        if scene.bore_on_bar:
            st.selectbox(
                "In which bore", names(scene), key=f"after bore {st.session_state['round']}"
            )
        st.text_input("When, by whom, with what", key=f"after taken {st.session_state['round']}")
        st.file_uploader(
            "Or a CSV",
            type=None,
            max_upload_size=5,
            key=f"after upload {st.session_state['round']}",
        )
    st.button("Take these readings into the job", key="after take", on_click=_take, type="primary")


def _blank() -> str:
    unit = memory.units()
    return f"depth_{unit},oclock,diameter_{unit},touched\n"


def _take() -> None:
    """Put the readings given into the job, or say why not; the job stays as it was."""
    kept, turn = st.session_state, st.session_state["round"]
    file, layer, taken = (
        kept.get(f"after upload {turn}"),
        int(kept[f"after layer {turn}"]),
        str(kept[f"after taken {turn}"]),
    )
    bore = str(kept.get(f"after bore {turn}", ""))
    data: str | bytes = file.getvalue() if file is not None else str(kept[f"after pasted {turn}"])
    try:
        scene = with_readings(memory.job(), data, layer=layer, taken=taken, bore=bore)
        memory.put(told(scene, replan=False).scene)
    except SceneError as fault:
        st.session_state["between fault"] = str(fault)
        return
    st.session_state["between fault"] = ""


# ---- what they say
# ------------------------------------------------------------------------------------------------------


@st.cache_resource(
    max_entries=8,
    show_spinner="laying the layers as they may have come out ...",
    hash_funcs={Scene: digest},
)  # type: ignore[untyped-decorator]
def _told(scene: Scene) -> Update:
    return told(scene, replan=False)


@st.cache_resource(
    max_entries=8, show_spinner="planning the rest again ...", hash_funcs={Scene: digest}
)  # type: ignore[untyped-decorator]
def _replanned(scene: Scene) -> Update:
    return told(scene)


@st.cache_resource(
    max_entries=8, show_spinner="working out the cards ...", hash_funcs={Scene: digest}
)  # type: ignore[untyped-decorator]
def _drawn(scene: Scene) -> tuple[Card, ...]:
    return after_layer_cards(scene)


def _says(scene: Scene) -> None:
    try:
        found: Update = _told(scene)
    except SceneError as fault:
        st.error(str(fault))
        return
    st.subheader("What they say")
    shown = dataclasses.replace(found, scene=memory.in_units(found.scene))
    for line in contradictory_lines(shown):
        st.warning(line)
    for line in update_lines(shown):
        if line not in contradictory_lines(shown):
            st.markdown(f"▸ {line}")
    with st.expander("Every reading against what was expected"):
        st.dataframe([_line(row) for row in found.all_rows], width="stretch", hide_index=True)
    st.subheader("The rest, planned again")
    if st.button("Plan the rest from the wall as it now is", key="after plan"):
        st.session_state["replanned"] = digest(scene)
    if st.session_state.get("replanned") == digest(scene):
        _rest(_replanned(scene))


def _line(row: ReadingAgainst) -> dict[str, Any]:
    """A reading as a row of the table, in the page's units."""
    unit = KINDS["length"][1 if memory.units() == "in" else 0]

    def size(mm: float) -> float:
        return round(unit.outside(mm), 4 if unit.label == "in" else 3)

    return {
        **({"bore": row.bore} if row.bore else {}),
        "after layer": row.layer, "row": row.row, f"depth [{unit.label}]": size(row.depth),
        "clock": clock_text(row.clock), "touched": row.touched,
        "on diameter or radius": row.kind, f"expected [{unit.label}]": size(row.expected),
        f"read [{unit.label}]": size(row.read),
        f"against the others [{unit.label}]": size(row.off), "used": not row.contradicts,
    }  # fmt: skip


def _rest(found: Update) -> None:
    shown = dataclasses.replace(found, scene=memory.in_units(found.scene))
    for line in rest_lines(shown):
        st.write(line)
    words = "Apply: no more layers" if found.enough else "Apply the plan for the rest"
    st.button(
        words,
        key="after replan take",
        on_click=memory.put,
        args=(found.job,),
        disabled=not found.enough and (found.plan is None or found.plan.winner is None),
    )


# ---- cards and record
# ---------------------------------------------------------------------------------------------------


def _cards(scene: Scene) -> None:
    if st.button("Work out the cards", key="after cards"):
        st.session_state["carded"] = digest(scene)
    if st.session_state.get("carded") != digest(scene):
        return
    try:
        cards: tuple[Card, ...] = _drawn(scene)
    except SceneError as fault:
        st.error(str(fault))
        return
    for card in cards:
        with st.container(border=True):
            first, *more = card_lines(card, memory.units())
            st.markdown(f"**{first}**")
            st.markdown("\n".join(line if line.startswith("- ") else f"\n{line}" for line in more))


def _record(scene: Scene) -> None:
    notes = st.text_area("Notes to keep with the record", key="record notes", height=80)
    date = st.text_input("Date", datetime.date.today().isoformat(), key="record date")
    try:
        held = Record(scene, date, notes)
        came = came_out(held)
    except SceneError as fault:
        st.error(str(fault))
        return
    if came.layers:
        st.text(record_note(dataclasses.replace(held, scene=memory.in_units(scene)), came))
    else:
        st.caption("No readings after a layer are in the job yet: nothing to compare.")
    text = json.dumps(
        as_mapping(held, VERSION, came_json(came)), indent=1, ensure_ascii=False, allow_nan=False
    )
    name = "".join(c if c.isalnum() else "_" for c in scene.job.name or "job")[:60]
    st.download_button(
        "Record of the job (JSON)",
        text,
        f"{name}_record.json",
        "application/json",
        key="take record",
        on_click="ignore",
    )
