"""The line over every screen: name of the job and what the page is for, the parts, units, undo, open, save."""

from __future__ import annotations

import re
from html import escape
from pathlib import Path

import streamlit as st

from sim.job.saved import text_that_reads_back
from sim.screens import memory, start

STYLE = Path(__file__).with_name("top.css").read_text(encoding="utf-8")

PROJECTOR = Path(__file__).with_name("projector.css").read_text(encoding="utf-8")

FOR = "Will the build-up clean up at the final bore?"


def show(parts: list[str]) -> str:
    """The line; gives the part of the page that is chosen."""
    st.html(f"<style>{STYLE}</style>")
    with st.container(key="top", horizontal=True, gap="small"):
        name = memory.job().job.name or "Unnamed job"
        st.html(f'<div class="jobname"><h1>{escape(name)}</h1><span>{FOR}</span></div>')
        part = _part(parts)
        if part == parts[0]:
            _projector()
        _units()
        _undo()
        with st.popover("Open a job", key="open what"):
            start.show()
        _save(name)
    return part


def _part(parts: list[str]) -> str:
    """Which part of the page is shown; kept in the address, so that it can be sent on."""
    told = st.segmented_control(
        "Part of the page",
        parts,
        key="part",
        default=parts[0],
        required=True,
        bind="query-params",
        label_visibility="collapsed",
        width="content",
    )
    return told or parts[0]


def _projector() -> None:
    """The switch for a projector: picture and pitch fill the screen; kept in the address."""
    big = st.toggle("Projector", key="projector", bind="query-params")
    if big:
        st.html(f"<style>{PROJECTOR}</style>")


def _units() -> None:
    st.radio(
        "Units shown",
        ["mm", "in"],
        key="units",
        horizontal=True,
        index=0 if memory.job().job.units == "mm" else 1,
        label_visibility="collapsed",
    )


def _undo() -> None:
    st.button(
        "↶",
        key="undo",
        on_click=memory.back,
        disabled=not memory.can_go_back(),
        help="Undo the last change",
    )
    st.button(
        "↷", key="redo", on_click=memory.on_again, disabled=not memory.can_go_on(), help="Redo it"
    )


def _save(name: str) -> None:
    st.download_button(
        "Save",
        data=lambda: text_that_reads_back(memory.job(), whole=True),
        file_name=f"{file_name(name)}.toml",
        mime="application/toml",
        on_click="ignore",
        key="save job",
        help="The whole job as a scene file.",
    )


def file_name(name: str) -> str:
    """A name for a file that says which job it holds.

    >>> file_name("Ramp hinge eye, ferry berth 2")
    'Ramp_hinge_eye_ferry_berth_2'
    """
    return re.sub(r"\W+", "_", name).strip("_")[:60] or "job"
