"""Take away: the scene, the report, the data and the meshes."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import streamlit as st

from sim.job.change import digest
from sim.job.saved import text_that_reads_back
from sim.screens import memory
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.csv_files import write_csv
from sim.tell.note import bar_note
from sim.tell.result_json import bar_as_json

FORMATS = ("stl", "ply", "obj", "3mf")


def show(result: Result) -> None:
    """Everything that can be carried off."""
    name = "".join(c if c.isalnum() else "_" for c in result.scene.job.name or "job")[:60]
    left, right = st.columns(2)
    with left:
        st.subheader("Words and numbers")
        found: list[OnBar] = memory.on_bar(memory.job())
        decided = memory.decided(memory.last_held())
        keep = dict(on_click="ignore", width="stretch")
        st.download_button(
            "Scene file (TOML)",
            text_that_reads_back(memory.job(), whole=True),
            f"{name}.toml",
            "application/toml",
            key="take scene",
            **keep,
        )
        st.download_button(
            "Report (text)",
            bar_note(found, decided),
            f"{name}.txt",
            "text/plain",
            key="take note",
            **keep,
        )
        st.download_button(
            "Result (JSON)", json.dumps(bar_as_json(found, decided), indent=1, allow_nan=False),
            f"{name}.json", "application/json",
            key="take json", **keep,
        )  # fmt: skip
        st.download_button(
            "Maps, layers, low spots (CSV, zipped)",
            lambda: _csv(result),
            f"{name}_csv.zip",
            "application/zip",
            key="take csv",
            **keep,
        )
    with right:
        st.subheader("Meshes")
        _meshes(result, name)


def _csv(result: Result) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        return _zipped(write_csv(result, Path(folder)))


def _zipped(paths: list[Path]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in paths:
            archive.write(path, path.name)
    return out.getvalue()


def _meshes(result: Result, name: str) -> None:
    form = st.selectbox("Format", FORMATS, key="mesh format")
    sizes = ["180 x 250", "360 x 500", "720 x 1000"]
    fine = st.select_slider("Clock x depth cells", sizes, value=sizes[1], key="mesh fine")
    stamp = (digest(result.scene), form, fine)
    if st.button("Make the meshes", key="make meshes", width="stretch"):
        # only here: the first page is not to wait for it
        from sim.pictures.solids_of_job import solids_of

        n_clock, n_depth = (int(v) for v in fine.split(" x "))
        st.session_state["mesh job"] = (stamp, solids_of(result, n_clock, n_depth), {})
    work = st.session_state.get("mesh job")
    if work is not None and work[0] == stamp:
        _one_more(result, *work)
    made = st.session_state.get("meshes")
    if made is not None and made[0] == stamp:
        st.download_button(
            f"Meshes ({form.upper()}, zipped, {len(made[1]) / 1e6:.1f} MB)",
            made[1],
            f"{name}_{form}.zip",
            "application/zip",
            on_click="ignore",
            width="stretch",
            key="take meshes",
        )
    st.caption("Worn part, each layer's metal, finished bore: closed solids in mm.")


def _one_more(
    result: Result,
    stamp: tuple[str, str, str],
    coming: Iterator[tuple[str, Any]],
    done: dict[str, Any],
) -> None:
    """Make the next solid and come back for the one after, so that the work shows progress and can
    be stopped.
    """
    from sim.bore.solid_files import export

    st.progress(len(done) / (len(result.walls) + 1), f"{len(done)} solids made")
    if st.button("Stop", key="stop meshes"):
        st.session_state.pop("mesh job", None)
        st.rerun()
    following = next(coming, None)
    if following is not None:
        done[following[0]] = following[1]
        st.rerun()
    with tempfile.TemporaryDirectory() as folder:
        st.session_state["meshes"] = (stamp, _zipped(list(export(done, folder, stamp[1]))))
    st.session_state.pop("mesh job", None)
    st.rerun()
