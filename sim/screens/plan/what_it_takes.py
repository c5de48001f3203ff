"""Estimate: wire, gas, time and money of the job, and a quick one from sizes alone."""

from __future__ import annotations

import streamlit as st

from sim.job.change import digest
from sim.job.scene import Scene
from sim.machine.quantities.line import Quantities
from sim.machine.quantities.quick import Estimate, quick_estimate
from sim.machine.quantities.takes import bar_quantities
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, typed
from sim.screens import memory
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.quantities import amount, estimate_note, line_words, money, sum_lines
from sim.tell.remarks import lines, told

LABELS = {
    "original": "size when new, on diameter",
    "worst": "largest worn size, on diameter",
    "length": "length of the bore",
}

LINE = 35  # height of a line of a table [px]


def show(result: Result) -> None:
    """Quantities of the job as it is, then the quick form."""
    st.subheader("This job")
    try:
        found: Quantities = _of_bar(
            memory.on_bar(memory.job()), memory.units(), digest(memory.job())
        )
        _table(found)
    except SceneError as fault:
        st.error(str(fault))
    st.subheader("From sizes alone")
    _form(result.scene.job.units)
    asked = st.session_state.get("quick estimate")
    if asked is not None:
        _quick(_estimated(*asked, memory.units()))


@st.cache_resource(max_entries=12, show_spinner="adding up ...", hash_funcs={list: lambda _: 0})  # type: ignore[untyped-decorator]
def _of_bar(on_bar: list[OnBar], units: str, scene: str) -> Quantities:
    """Quantities of all bores, kept by the digest of the scene and the units shown."""
    return bar_quantities(on_bar)


@st.cache_resource(max_entries=12, show_spinner=False, hash_funcs={Scene: digest})  # type: ignore[untyped-decorator]
def _estimated(sizes: tuple[float, float, float], holes: int, like: Scene, units: str) -> Estimate:
    """The quick estimate of sizes [mm] in the units shown. Raises SceneError."""
    return quick_estimate(*sizes, holes, like=like, units=units)


def _table(found: Quantities) -> None:
    units, say = found.scene.job.units, Say(found.scene.job.units)
    rows = []
    for row in found.rows:
        line = {
            "what": line_words(row, found),
            "low - likely - high": amount(row.amount, row.unit, units),
        }
        if found.money is not None:
            line["money"] = "" if row.money is None else money(row.money, found.currency)
        rows.append(line | {"where it comes from": told(row.basis, say)})
    st.dataframe(
        rows, hide_index=True, width="stretch", height=LINE * (len(rows) + 1) + 3
    )  # all of it, no scrolling
    for words in sum_lines(found):
        st.write(words)
    if found.missing:
        missing = "; ".join(lines(found.missing, say))
        st.caption(f"Not priced: {missing}. Type your own rates under The job.")
    for words in lines(found.notes, say):
        st.caption(words)


def _form(units: str) -> None:
    with st.form("quick estimate form"):
        columns = st.columns(4)
        label = KINDS["length"][1 if units == "in" else 0].label
        for column, (name, what) in zip(columns, LABELS.items(), strict=False):
            column.text_input(f"{what} [{label}]", key=f"quick {name}")
        columns[3].number_input("bores alike", 1, 1000, 1, key="quick holes")
        if st.form_submit_button("Estimate"):
            _make(units)


def _make(units: str) -> None:
    """Make the quick estimate, or say beside the form why not."""
    st.session_state.pop("quick estimate", None)
    try:
        sizes = [
            _millimetres(what, str(st.session_state[f"quick {name}"]), units)
            for name, what in LABELS.items()
        ]
        holes = int(st.session_state["quick holes"])
        with st.spinner("laying the beads ..."):
            asked = (tuple(sizes), holes, memory.job())
            _estimated(*asked, units)
            st.session_state["quick estimate"] = asked
    except SceneError as fault:
        st.error(str(fault))


def _millimetres(what: str, text: str, units: str) -> float:
    try:
        suffix, number = typed(text, "length", units)
    except ValueError as fault:
        raise SceneError(f"{what}: {fault}.") from None
    return next(u for u in KINDS["length"] if u.suffix == suffix).inside(number)


def _quick(made: Estimate) -> None:
    _table(made.quantities)
    say = Say(made.scene.job.units)
    with st.expander("All it assumed", expanded=True):
        st.markdown("\n".join(f"- {line}" for line in lines(made.assumed, say)))
        st.markdown("\n".join(f"- boring: {line}" for line in lines(made.cuts.assumed, say)))
    st.download_button(
        "Quick estimate (text)",
        estimate_note(made),
        "estimate.txt",
        "text/plain",
        key="take estimate",
        on_click="ignore",
    )
