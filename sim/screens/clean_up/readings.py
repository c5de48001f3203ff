"""Readings: typed or pasted into a table, or uploaded; and the form of the worn bore they give."""

from __future__ import annotations

import dataclasses
from typing import Any

import streamlit as st

from sim.job.read import from_mapping
from sim.job.sections.bore import ReadingsSource
from sim.job.write import to_text
from sim.reference.errors import SceneError
from sim.screens import memory
from sim.shop.as_worn_form import describe
from sim.shop.result import Result
from sim.tell.form import form_note

ROWS = 16


def show(result: Result) -> None:
    """The readings of the job, and what they say."""
    scene = memory.job()
    st.write(
        "Two-point diameters (the clock of one foot; a second foot stands opposite) or radii "
        "from a centred bar. Paste a table "
        "straight from a spreadsheet; columns are named with their unit, as in the template."
    )
    kind = st.radio("What was read", ["diameter", "radius"], horizontal=True, key="read kind")
    unit = memory.units()
    names = [f"depth_{unit}", "oclock", f"{kind}_{unit}", "bore_c", "outside_c"]
    left, right = st.columns(2)
    with left:
        st.markdown("**Typed in**")
        blank: dict[str, list[float | None]] = {name: [None] * ROWS for name in names}
        typed = st.data_editor(
            blank, num_rows="dynamic", width="stretch", key=f"readings {kind} {unit}"
        )
        st.button(
            "Use the typed readings", key="use typed", on_click=_use, args=(_csv(names, typed),)
        )
    with right:
        st.markdown("**Pasted or uploaded**")
        text = st.text_area(
            "CSV",
            _text(scene.readings, kind),
            height=240,
            key=f"pasted {st.session_state['round']} {kind} {unit}",
        )
        st.button("Use the pasted readings", key="use pasted", on_click=_use, args=(text,))
        file = st.file_uploader("A CSV of readings", type=None, max_upload_size=5, key="csv upload")
        if file is not None and st.session_state.get("csv taken") != file.file_id:
            st.session_state["csv taken"] = file.file_id
            _use_bytes(file.getvalue())
            st.rerun()
    if st.session_state.get("readings fault"):
        st.error(st.session_state["readings fault"])
    st.subheader("The form of the worn bore")
    st.text(form_note(result.scene, describe(result.scene)))


def _text(source: ReadingsSource | None, kind: str) -> str:
    """The readings of the job as they were given, or the titles to write them under."""
    unit = memory.units()
    return f"depth_{unit},oclock,{kind}_{unit}\n" if source is None else source.text


def _csv(names: list[str], typed: Any) -> str:
    """The typed table as CSV, rows without a reading left out."""
    columns = [list(typed[name]) for name in names]
    lines = [
        ",".join("" if cell is None or cell != cell else str(cell) for cell in row)
        for row in zip(*columns, strict=True)
        if row[2] is not None and row[2] == row[2]
    ]
    return "\n".join([",".join(names), *lines]) + "\n"


def _use_bytes(data: bytes) -> None:
    try:
        _use(data.decode("utf-8-sig"))
    except UnicodeDecodeError as fault:
        st.session_state["readings fault"] = (
            f"the readings: not UTF-8 text at byte {fault.start}; save them as CSV UTF-8."
        )


def _use(text: str) -> None:
    """Make these the readings of the job, or say why not; the job stays as it was."""
    import tomllib

    if not text.strip():
        st.session_state["readings fault"] = (
            "the readings: there are none; paste the table with its titles, or open another "
            "scene to do without."
        )
        return
    raw = tomllib.loads(to_text(dataclasses.replace(memory.job(), readings=None)))
    raw.pop("worn", None)
    raw["readings"] = {"table": text}
    try:
        memory.put(from_mapping(raw, name="this job"))
    except SceneError as fault:
        st.session_state["readings fault"] = str(fault)
        return
    st.session_state["readings fault"] = ""
