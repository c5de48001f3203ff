"""Settings to carry to the bore: layer by layer in large figures, rotation table, procedure,
positions, heat, cautions.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from html import escape

import streamlit as st

from sim.job.change import digest
from sim.job.key import keys_of
from sim.job.scene import SECTIONS, Scene
from sim.machine.between.card import Card, cards_of
from sim.machine.layer_row import NOT_GIVEN, OUTSIDE, WITHIN, LayerSettings, Schedule
from sim.machine.layer_sheet import schedule
from sim.reference.cautions import CAUTIONS
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.screens import fields, memory
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.card import card_lines
from sim.tell.layer_checks import check_lines
from sim.tell.layer_heat import steel_lines, warming_lines
from sim.tell.layer_sheet import (
    after_cells,
    position_lines,
    restart_words,
    row_lines,
    schedule_note,
    table_cells,
    turn_cells,
)
from sim.tell.layer_sheet_basis import basis
from sim.tell.layer_sheet_json import STAMP, schedule_json

MARKS = {WITHIN: "✔ within", OUTSIDE: "✖ outside", NOT_GIVEN: "– not given"}
BIG = """<style>
.wide { overflow-x: auto; }
.settings { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
.settings th, .settings td { border: 1px solid; padding: 0.3rem 0.5rem; text-align: right; }
.settings th { font-size: 1rem; font-weight: 600; vertical-align: bottom; }
.settings td { font-size: 1.3rem; white-space: nowrap; }
.settings td.main { font-size: 1.9rem; font-weight: 700; }
.settings td.done { opacity: 0.75; }
</style>"""
SHOP = ("electrical", "heat", "steel", "procedure", "hold_points")


def show(result: Result) -> None:
    """Everything that is set on the machine, as figures to read with gloves on."""
    result, number = _bore(result)
    _given()
    try:
        told = schedule(result)
    except SceneError as fault:
        st.error(str(fault))
        return
    say = Say(result.scene.job.units)
    _stamp(told)
    st.subheader("Layer by layer")
    st.html(BIG + _layers(told, say))
    st.caption(
        "Bore on diameter, before the layer. Clock and turning as seen looking into the bore "
        "from the entry face."
    )
    after = st.container()
    for row in told.layers:
        _details(told, row, say)
    left, right = st.columns([2, 3])
    with left:
        _rotation(told, say)
    with right:
        _procedure(told, say)
        _positions(told)
    _heat(told, say)
    _cautions()
    told = told.carded(_cards(memory.job())[number])
    with after:
        _after(told, say)
    _take(told)


@st.cache_resource(
    max_entries=8,
    show_spinner="working out what the gauge may read ...",
    hash_funcs={Scene: digest},
)  # type: ignore[untyped-decorator]
def _cards(scene: Scene) -> tuple[tuple[Card, ...], ...]:
    return cards_of(memory.on_bar(scene))


def _after(told: Schedule, say: Say) -> None:
    """What to expect after each layer, and what the gauge then says to do."""
    st.subheader("After each layer")
    st.html(_plain(after_cells(told, say), "What to expect after each layer"))
    st.caption(
        "Sizes on diameter. What the gauge reads is the mean of a dozen crests, in 9 jobs of 10; "
        "the valley, as planned, is what has to clean up."
    )
    for card in told.cards:
        st.markdown("\n".join(_listed(card_lines(card, told.scene.job.units))))


def _listed(lines: Sequence[str]) -> list[str]:
    """Lines for the page: those that begin with a dash as a list."""
    return [line if line.startswith("- ") else f"\n{line}\n" for line in lines]


def _bore(result: Result) -> tuple[Result, int]:
    """The bore that is shown and its number: the page's, or the one chosen of those on the bar."""
    found: list[OnBar] = memory.on_bar(memory.job())
    if len(found) == 1:
        return result, 0
    names = [one.name for one in found]
    chosen = st.selectbox("Bore on the bar", names, key="settings bore")
    number = names.index(chosen)
    return found[number].result, number


def _given() -> None:
    """What the shop fills in, at hand."""
    with st.expander(
        "Fill in: volts and amps, preheat, steel, qualified procedure, hold points, dial tables"
    ):
        for section in SHOP:
            st.markdown(f"**{fields.TITLES[section]}**")
            fields.chosen(section, tuple(f.name for f in keys_of(SECTIONS[section][0])))
        st.markdown(f"**{fields.TITLES['dial']}**")
        st.caption(
            "Time a turn and count a minute of wire at a few marks of each dial; between "
            "them straight lines are drawn."
        )
        fields.listed("dial")


def _stamp(told: Schedule) -> None:
    if told.open_points:
        st.warning(f"**{STAMP}.** Still to be filled in: {'; '.join(told.open_points)}.")
    if told.verdict == OUTSIDE:
        st.error("Settings lie outside the qualified procedure; see *Against the procedure* below.")


def _layers(told: Schedule, say: Say) -> str:
    titles = (
        "Layer",
        "Seconds a turn",
        "rpm",
        "Rotation dial",
        "Wire feed",
        "Wire dial",
        "Feed per turn",
        "Bore before",
        "Start depth",
        "Start clock",
        "Turning",
        "Feeding",
    )
    rows = []
    for row, cells in zip(told.layers, table_cells(told, say), strict=True):
        layer, bore, rpm, seconds, dial, wire, wire_dial, pitch, start, clock, turning, feed, _ = (
            cells
        )
        rows.append(
            (
                row.done,
                (
                    layer,
                    seconds,
                    rpm,
                    dial,
                    wire,
                    wire_dial,
                    pitch,
                    bore,
                    start,
                    clock,
                    turning,
                    feed,
                ),
            )
        )
    keep = [k for k in range(len(titles)) if any(cells[k] != "-" for _, cells in rows)]
    body = "".join(
        _line([cells[k] for k in keep], [titles[k] for k in keep], done) for done, cells in rows
    )
    return _framed(_heads(titles[k] for k in keep), body, "Settings layer by layer")


def _framed(heads: str, body: str, name: str) -> str:
    """A table that is moved sideways by itself where the page is narrow."""
    table = f"<table class='settings'><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    return f"<div class='wide' role='region' aria-label='{escape(name)}' tabindex='0'>{table}</div>"


def _plain(lines: Sequence[Sequence[str]], name: str) -> str:
    """A table from its lines, titles first, columns without a figure left out."""
    titles, *rest = lines
    keep = [k for k in range(len(titles)) if any(line[k] != "-" for line in rest)]
    body = "".join(
        _line([line[k] for k in keep], [titles[k] for k in keep], False) for line in rest
    )
    return _framed(_heads(titles[k] for k in keep), body, name)


def _heads(titles: Iterable[str]) -> str:
    return "".join(f"<th scope='col'>{escape(title)}</th>" for title in titles)


def _line(cells: Sequence[str], titles: Sequence[str], done: bool) -> str:
    out = []
    for title, cell in zip(titles, cells, strict=True):
        kind = " ".join(
            ["main"] * (title in ("Seconds a turn", "rpm", "Rotation dial")) + ["done"] * done
        )
        out.append(f"<td class='{kind}'>{escape(cell)}</td>")
    return f"<tr>{''.join(out)}</tr>"


def _details(told: Schedule, row: LayerSettings, say: Say) -> None:
    mark = {OUTSIDE: " ✖ outside the procedure", WITHIN: " ✔ within the procedure", NOT_GIVEN: ""}[
        row.verdict
    ]
    first, *lines = row_lines(row, say)
    with st.expander(f"Layer {row.number}: what to expect and to watch{mark}"):
        st.markdown(first)
        st.markdown("\n".join(lines))
        st.markdown(f"**After a stop.** {restart_words(row, say)}")


def _rotation(told: Schedule, say: Say) -> None:
    for one in told.tables:
        st.subheader("Rotation table")
        st.caption(
            f"For a travel of {say.travel(one.travel)}, layers "
            f"{', '.join(map(str, one.layers))}: gauge the bore, then set its line."
        )
        st.html(_plain(turn_cells(one, say), "Rotation table"))


def _procedure(told: Schedule, say: Say) -> None:
    st.subheader("Against the procedure")
    if told.verdict == NOT_GIVEN:
        st.write("No range of a qualified procedure is given; fill in what yours allows, above.")
        return
    names = [check.what for check in told.layers[-1].checks]
    columns: dict[str, list[str]] = {"": names}
    for row in told.layers:
        held = {check.what: MARKS[check.verdict] for check in row.checks}
        columns[f"layer {row.number}"] = [held.get(name, "") for name in names]
    st.dataframe(columns, width="stretch", hide_index=True)
    for row in told.layers:
        for line in check_lines(row, say):
            if line.startswith("OUTSIDE"):
                st.markdown(f"- Layer {row.number}: {line}")


def _positions(told: Schedule) -> None:
    st.subheader("Positions round the clock")
    first, *lines = position_lines(told)
    st.markdown("\n".join([first, "", *lines]))


def _heat(told: Schedule, say: Say) -> None:
    st.subheader("Steel and preheat")
    lines = steel_lines(told.steel, say)[1:]
    for row in told.layers:
        lines += [f"- Layer {row.number}: {line}" for line in warming_lines(row.warming, say)]
    st.markdown("\n".join(lines))


def _cautions() -> None:
    st.subheader("Safety")
    st.markdown("\n".join(f"- **{title}.** {words}" for title, words in CAUTIONS))


def _take(told: Schedule) -> None:
    with st.expander("How each figure is known, and the settings to take away"):
        st.markdown("\n".join(f"- {what}: {how}." for what, how in basis(told)))
        st.download_button(
            "Settings (text)",
            schedule_note(told),
            "settings.txt",
            "text/plain",
            on_click="ignore",
            key="take settings",
        )
        text = json.dumps(schedule_json(told), indent=1, allow_nan=False)
        st.download_button(
            "Settings (JSON)",
            text,
            "settings.json",
            "application/json",
            on_click="ignore",
            key="take settings json",
        )
