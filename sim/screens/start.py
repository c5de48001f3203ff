"""Where a job comes from: a shipped scene, a scene file, or five answers."""

from __future__ import annotations

import streamlit as st

from sim.job.files import decoded, shipped
from sim.job.read import load, parse
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, typed
from sim.screens import memory
from sim.set_up.five_answers import quick_scene

LARGEST_MB = 5


def show() -> None:
    """Three ways to another job."""
    _shipped()
    _upload()
    _five_answers()
    st.caption(
        "This page is served by this machine to this machine only; nothing is sent anywhere."
    )


def _shipped() -> None:
    names = [path.stem for path in shipped()]
    with st.container(border=True):
        st.selectbox(
            "Shipped scenes (invented)",
            names,
            format_func=lambda n: n.replace("_", " "),
            key="choice",
        )
        st.button("Open this scene", on_click=_open, width="stretch", key="open")


def _open() -> None:
    name = st.session_state["choice"]
    memory.put(load(next(path for path in shipped() if path.stem == name)))


def _upload() -> None:
    with st.container(border=True):
        files = st.file_uploader(
            "Your scene file (.toml), and its readings (.csv) with it",
            accept_multiple_files=True,
            max_upload_size=LARGEST_MB,
            key="upload",
        )
        scenes = [file for file in files if not file.name.lower().endswith(".csv")]
        file = scenes[-1] if scenes else None
        taken = tuple(sorted(one.file_id for one in files))
        if file is not None and st.session_state.get("taken") != taken:
            st.session_state["taken"] = taken
            try:
                beside = {one.name: one.getvalue() for one in files}
                memory.put(
                    parse(decoded(file.getvalue(), name=file.name), name=file.name, beside=beside)
                )
                st.session_state["upload fault"] = ""
                st.rerun()
            except SceneError as fault:
                st.session_state["upload fault"] = str(fault)
        if st.session_state.get("upload fault"):
            st.error(st.session_state["upload fault"])


def _five_answers() -> None:
    unit = KINDS["length"][1 if memory.units() == "in" else 0]

    def shown(mm: float) -> str:
        return f"{unit.outside(mm):.6g}"

    with st.container(border=True), st.form("five answers", border=False):
        st.markdown("**A new bore in five answers**")
        asked = {
            "original": st.text_input(
                f"Original size, on diameter [{unit.label}]",
                shown(80.0) if unit.label == "mm" else "3",
            ),
            "worst": st.text_input(
                f"Worst size measured, on diameter [{unit.label}]",
                shown(81.5) if unit.label == "mm" else "3 1/16",
            ),
            "length": st.text_input(
                f"Length of the bore [{unit.label}]", shown(100.0) if unit.label == "mm" else "4"
            ),
            "final": st.text_input(
                f"Final size, on diameter [{unit.label}]",
                shown(80.0) if unit.label == "mm" else "3",
            ),
        }
        bead = st.text_input(
            f"Bead, width x height [{unit.label}], or leave empty: not measured", ""
        )
        far = st.checkbox("Sizes far from the original are right")
        if st.form_submit_button("First verdict", width="stretch"):
            _answered(asked, bead, far)
            if not st.session_state["answers fault"]:
                st.rerun()
        if st.session_state.get("answers fault"):
            st.error(st.session_state["answers fault"])


def _answered(asked: dict[str, str], bead: str, far: bool) -> None:
    st.session_state["answers fault"] = ""
    try:
        sizes = {name: _length(text) for name, text in asked.items()}
        parts = [part for part in bead.lower().replace("×", "x").split("x") if part.strip()]
        if len(parts) not in (0, 2):
            raise ValueError(f"'{bead}': give width x height such as 5 x 1.8, or leave it empty")
        measured = (_length(parts[0]), _length(parts[1])) if parts else None
        memory.put(quick_scene(**sizes, bead=measured, units=memory.units(), far=far))
    except ValueError as fault:
        st.session_state["answers fault"] = str(fault)


def _length(text: str) -> float:
    suffix, number = typed(text, "length", memory.units())
    return next(u for u in KINDS["length"] if u.suffix == suffix).inside(number)
