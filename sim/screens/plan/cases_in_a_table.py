"""Cases in a table: one or two quantities of the job varied, every case simulated; two of them as
pictures side by side.
"""

from __future__ import annotations

import dataclasses
import tempfile
from pathlib import Path
from typing import Any

import streamlit as st

from sim.job.change import changed, digest
from sim.job.key import keys_of
from sim.job.scene import SECTIONS, Scene
from sim.pictures.charts.cases import cases_figure, cases_stock
from sim.plan.compare import Table, Value, compare, title, values_of
from sim.plan.odds.verdict import worst_bore
from sim.reference.errors import SceneError
from sim.reference.units import oclock
from sim.screens import fields, memory
from sim.screens.clean_up.maps_and_sections import picture
from sim.screens.clean_up.side_by_side import pair
from sim.shop.result import Result
from sim.tell import plan
from sim.tell.chance import table_csv
from sim.tell.note import differences
from sim.tell.plan import valued

USUAL = (
    "layer.pitch", "layer.bead_overlap", "layer.repeat", "layer.travel", "layer.wire_feed",
    "layer.advance", "layer.closing_start",
    "layer.closing_end", "layer.shift", "pre_bore.diameter", "axes.finish_entry", "axes.finish_far",
    "axes.torch_entry", "axes.torch_far",
)  # fmt: skip
NOMINAL = {"as planned only: no verdict": True, "the verdict on each": False}
NOTHING = "nothing else"
FROM_NOTHING = {"length": "0,0.25,0.5,1", "number": "0,0.25,0.5,1", "angle": "0,90,180"}


def show(result: Result) -> None:
    """Choose what to vary, simulate every case, look at the table, the charts and two of the cases."""
    st.write(
        "Vary one or two quantities and put the cases side by side. Values: a list `3.0, "
        "3.4, 4.1` or a range `from:to:step` such as `3.0:4.2:0.2`."
    )
    vary, nominal = _asked(memory.job())
    stamp = (digest(memory.job()), repr(vary), nominal)
    if st.button("Simulate the cases", key="simulate cases", type="primary", disabled=not vary):
        _simulated(vary, nominal, stamp)
    kept = memory.kept(
        "cases",
        stamp,
        "What follows is of an earlier choice or an earlier job; simulate the cases again "
        "for this one.",
    )
    if kept is not None:
        _told(*kept)


def _asked(scene: Scene) -> tuple[dict[str, list[Value]], bool]:
    """The quantities chosen with their values, and whether no verdict is asked for."""
    known = quantities()
    first, second, third = st.columns(3)
    vary: dict[str, list[Value]] = {}
    faults = []
    for column, word, names in ((first, "Vary", list(known)), (second, "and", [NOTHING, *known])):
        with column:
            dotted = st.selectbox(
                word,
                names,
                format_func=lambda d: d if d == NOTHING else known[d][0],
                key=f"vary {word}",
            )
            if dotted != NOTHING:
                key = known[dotted][1]
                text = st.text_input(
                    f"Values: {known[dotted][0]}",
                    suggested(scene, dotted),
                    key=f"values {word} {key}",
                )
                try:
                    vary[key] = values_of(key, text)
                except SceneError as fault:
                    faults.append(str(fault))
    for sentence in faults:
        st.error(sentence)
    with third:
        nominal = NOMINAL[
            st.selectbox("What is asked of each case", list(NOMINAL), key="case draws")
        ]
    return ({} if faults else vary), nominal


def quantities() -> dict[str, tuple[str, str]]:
    """Everything that can be varied, the usual first: label and scene key (in the page's unit) by
    section.name.
    """
    found: dict[str, tuple[str, str]] = {}
    for section, (kind, _, _) in SECTIONS.items():
        for f in keys_of(kind):
            if section not in (
                "job",
                "readings",
                "reading_after",
                "update",
                "update_on_bar",
            ) and f.metadata["kind"] not in ("text", "lengths"):
                unit = fields.unit_of(f)
                title = fields.TITLES.get(section, section.replace("_", " ").capitalize())
                key = f"{section}.{f.name}{unit.suffix if unit else ''}"
                found[f"{section}.{f.name}"] = (f"{title}: {fields.label_of(f, unit)}", key)
    return {d: found[d] for d in USUAL} | {d: told for d, told in found.items() if d not in USUAL}


def suggested(scene: Scene, dotted: str) -> str:
    """Values to begin with: round about what the job has."""
    section, name = dotted.split(".")
    kind, many, _ = SECTIONS[section]
    f = next(one for one in keys_of(kind) if one.name == name)
    held = getattr(scene, section)
    item = (held[-1] if held else None) if many else held
    if f.metadata["kind"] == "choice":
        return ",".join(f.metadata["choices"])
    if f.metadata["kind"] == "flag":
        return "true,false"
    return around(f, getattr(item, name, None))


def around(f: dataclasses.Field[Any], value: float | None) -> str:
    """A few numbers about a value inside what the key allows, in the page's unit."""
    unit = fields.unit_of(f)
    if value is None:
        shown = 0.0
    elif f.metadata["kind"] == "clock":
        shown = oclock(value)
    else:
        shown = unit.outside(value) if unit else value
    if f.metadata["kind"] == "integer":
        low = f.metadata["low"] or 0
        return ",".join(str(k) for k in range(max(int(shown) - 2, int(low)), int(shown) + 3))
    if f.name == "bead_overlap":
        return "0.2:0.5:0.05"
    if not shown:
        return FROM_NOTHING.get(f.metadata["kind"], "")
    return ",".join(f"{shown * part:.4g}" for part in (0.8, 0.9, 1.0, 1.1, 1.2))


def _simulated(vary: dict[str, list[Value]], nominal: bool, stamp: tuple[Any, ...]) -> None:
    """Simulate, with what is done kept: a click elsewhere stops it, the next try goes on from
    there.
    """
    bar = st.progress(0.0, "simulating ...")

    def tell(done: int, whole: int, left: float) -> None:
        bar.progress(done / whole, f"{done} of {whole} cases, about {left:.0f} s left")

    folder = st.session_state.setdefault("cases kept", tempfile.TemporaryDirectory(prefix="cases"))
    scene, resume = memory.job(), Path(folder.name) / "cases.jsonl"
    memory.worked_out(
        "cases",
        stamp,
        lambda: (compare(scene, vary, nominal=nominal, progress=tell, resume=resume), scene),
    )
    bar.empty()


def _told(table: Table, scene: Scene) -> None:
    """Charts, the table, and two cases side by side."""
    units = memory.units()
    names = plan.quantities(table)
    left, right = st.columns(2)
    with left:
        picture(cases_stock(table, units), "least stock of the cases")
    with right:
        what = st.selectbox(
            "Beside it", names, format_func=lambda n: title(n, units)[0], key="beside stock"
        )
        picture(cases_figure(table, what, units), "cases")
    st.dataframe(plan.shown(table, units), width="stretch", hide_index=True)
    keep: dict[str, Any] = dict(on_click="ignore")
    a, b = st.columns(2)
    a.download_button(
        "The table (CSV, mm)", table_csv(table), "cases.csv", "text/csv", key="take cases", **keep
    )
    b.caption(
        "Least stock is per side, as planned and with poor tie-in of the last layer; "
        "wire and time are estimates by mass balance."
    )
    _two(table, scene)


def _two(table: Table, scene: Scene) -> None:
    """Two chosen cases, simulated and drawn at the same scale."""
    good = [k for k, row in enumerate(table.rows) if row["fault"] is None]
    if len(good) < 2:
        return
    st.subheader("Two cases side by side, at the same scale")

    def named(k: int) -> str:
        return ", ".join(valued(v, table.rows[k][v]) for v in table.varied)

    left, right = st.columns(2)
    one = left.selectbox("Left", good, format_func=named, key="left case")
    other = right.selectbox("Right", good, index=len(good) - 1, format_func=named, key="right case")
    cases = [changed(scene, {v: table.rows[k][v] for v in table.varied}) for k in (one, other)]
    try:
        results = tuple(worst_bore(memory.on_bar(case)).result for case in cases)
        decided = (memory.decided(cases[0]), memory.decided(cases[1]))
    except SceneError as fault:
        st.error(str(fault))
        return
    for line in differences(results[0], results[1], decided):
        st.markdown(f"- {line}")
    pair((results[0], results[1]), decided, (named(one), named(other)), key="cases")
