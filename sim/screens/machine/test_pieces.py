"""Test pieces: the sheet to print, the CSV to fill in, what it tells, and into the job with it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import streamlit as st

from sim.job.files import decoded
from sim.job.shop_values import OWN, checked
from sim.machine.test_pieces import clock_test, kept, pieces
from sim.machine.test_pieces.table import Columns, Filled, filled
from sim.paper.test_piece import PIECES, empty_csv, sheet_of
from sim.paper.write import as_file
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.screens import memory
from sim.shop.result import Result
from sim.tell import test_pieces as words

NAMES = {"bead": "Bead on plate", "pad": "Pad of five beads", "clock": "Clock test"}
Way = tuple[Columns, Callable[[Filled], Any], Callable[[Any, Say], list[str]], Callable[[Any], Any]]
WAYS: dict[str, Way] = {
    "bead": (pieces.BEAD, pieces.bead_on_plate, words.bead_lines, kept.of_bead),
    "pad": (pieces.PAD, pieces.five_beads, words.pad_lines, kept.of_pad),
    "clock": (clock_test.CLOCK, clock_test.clock_test, words.clock_lines, kept.of_clock),
}


def show(_: Result) -> None:
    """One test piece at a time."""
    st.caption(
        "What a shop measures on its own scrap takes the place of what is assumed here; the job "
        "says whose values it rests on. A cut section is drawn on the engine's by "
        "`bore-buildup piece section`."
    )
    kind = st.selectbox("Test piece", list(NAMES), format_func=NAMES.__getitem__, key="piece kind")
    st.write(PIECES[kind].for_what)
    _blanks(kind)
    file = st.file_uploader("The CSV filled in", type=None, max_upload_size=5, key=f"piece {kind}")
    if file is not None:
        try:
            _told(kind, file.getvalue(), file.name)
        except SceneError as fault:
            st.error(str(fault))


def _blanks(kind: str) -> None:
    units = memory.units()
    left, right = st.columns(2)
    plain = dict(on_click="ignore", width="stretch")
    sheet = as_file([sheet_of(kind, units)], "pdf")
    left.download_button(
        "Sheet to print (PDF)", sheet, f"{kind}.pdf", "application/pdf", key="piece pdf", **plain
    )
    right.download_button(
        "CSV to fill in",
        empty_csv(kind, units),
        f"{kind}.csv",
        "text/csv",
        key="piece csv",
        **plain,
    )


def _told(kind: str, data: bytes, name: str) -> None:
    """What it tells, and the values to keep. Raises SceneError."""
    columns, read, lines, sections = WAYS[kind]
    found = read(filled(data, columns, name=name))
    for line in lines(found, Say(memory.units())):
        st.write(line)
    whose = st.text_input("Whose values: shop, wire, gas", key="piece whose", max_chars=200)
    before = st.file_uploader(
        "The shop's own values so far (TOML), where there are some",
        type=None,
        max_upload_size=1,
        key="piece values",
    )
    held = {} if before is None else _held(before.getvalue(), before.name)
    if not (whose or held):
        st.info("Say whose values they are, then they can be kept and taken into the job.")
        return
    values = kept.merged(held, sections(found), whose, "the shop's own values")
    left, right = st.columns(2)
    left.download_button(
        "Keep the values (TOML)",
        kept.as_text(values),
        "shop_values.toml",
        "application/toml",
        key="piece keep",
        on_click="ignore",
        width="stretch",
    )
    if right.button("Take them into the job", key="piece take", width="stretch"):
        memory.change({f"{s}.{k}": v for s, keys in values.items() for k, v in keys.items()})
        st.rerun()


def _held(data: bytes, name: str) -> kept.Sections:
    """The values kept so far. Raises SceneError."""
    try:
        return {k: v for k, v in checked(tomllib.loads(decoded(data, name=name)), name).items()
                if k == OWN or isinstance(v, dict)}  # fmt: skip
    except tomllib.TOMLDecodeError as fault:
        raise SceneError(f"{name}: not valid TOML: {fault}; mend that line.") from None
