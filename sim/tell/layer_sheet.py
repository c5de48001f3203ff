"""What the settings say: a note that can be read aloud, and its tables."""

from __future__ import annotations

import math

from sim.laws.weld_positions import Position
from sim.machine.layer_row import NOT_GIVEN, Kept, LayerSettings, Schedule, TurnTable
from sim.reference.arrays import TURN
from sim.reference.cautions import CAUTIONS
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text
from sim.tell.card import card_lines
from sim.tell.layer_checks import check_lines
from sim.tell.layer_heat import heat_lines, steel_lines
from sim.tell.layer_sheet_basis import basis
from sim.tell.layer_sheet_json import STAMP, rpm_words
from sim.tell.remarks import told as words_of


def schedule_note(told: Schedule) -> str:
    """The settings in words and tables, in the job's units; sizes say on diameter or per side."""
    scene, say = told.scene, Say(told.scene.job.units)
    parts = [scene.job.name or "Unnamed job", ""]
    parts += [*_stamp_lines(told), ""] if told.open_points else []
    against = (
        "no range of a procedure given"
        if told.verdict == NOT_GIVEN
        else f"{told.verdict} the procedure {scene.procedure.number}".rstrip()
    )
    parts += [
        "Settings layer by layer (bore on diameter, clock as seen from the entry face; "
        f"{against}):",
        "",
    ]
    parts += layer_table(told, say)
    for row in told.layers:
        parts += ["", *row_lines(row, say)]
    for card in told.cards:
        parts += ["", *card_lines(card, scene.job.units)]
    for one in told.tables:
        parts += ["", *_table_lines(one, say)]
    parts += ["", *position_lines(told), "", *steel_lines(told.steel, say)]
    parts += ["", "After a stop:", f"- {restart_words(told.layers[0], say)}"]
    parts += ["", "How each figure is known:", *(f"- {what}: {how}." for what, how in basis(told))]
    parts += ["", "Safety:", *(f"- {title}: {words}" for title, words in CAUTIONS)]
    return "\n".join(parts) + "\n"


def bar_schedule_note(bores: list[tuple[str, float, Schedule]]) -> str:
    """The notes of every bore on the bar, one after the other."""
    if len(bores) == 1:
        return schedule_note(bores[0][2])
    say = Say(bores[0][2].scene.job.units)
    return "\n".join(
        f"== {name}, {say.size(along, 0)} along the bar ==\n{schedule_note(one)}"
        for name, along, one in bores
    )


def _stamp_lines(told: Schedule) -> list[str]:
    return [f"{STAMP}. Still to be filled in: {'; '.join(told.open_points)}."]


TABLE = (
    "layer",
    "bore",
    "rpm",
    "s a turn",
    "dial",
    "wire",
    "wire dial",
    "feed per turn",
    "start",
    "clock",
    "turning",
    "feeding",
    "procedure",
)


def table_cells(told: Schedule, say: Say) -> list[tuple[str, ...]]:
    """One line a layer, in the order of TABLE: what is set on the machine."""
    return [
        (
            f"{r.number}{' (done)' if r.done else ''}",
            say.size(r.diameter),
            rpm_words(r.rotation),
            f"{r.turn_time:.1f}"
            if r.round
            else f"{r.turn_time:.1f} ({r.turn_times[0]:.1f}-{r.turn_times[1]:.1f})",
            _dial(r.rotation_dial),
            say.wire(r.wire_feed),
            _dial(r.wire_dial),
            say.size(r.pitch),
            say.size(r.start_depth, 1),
            clock_text(r.start_clock),
            r.turning,
            r.feed,
            r.verdict,
        )
        for r in told.layers
    ]


def layer_table(told: Schedule, say: Say) -> list[str]:
    """The table of layers as plain text; columns without a figure left out."""
    return _columns([TABLE, *table_cells(told, say)])


def after_cells(told: Schedule, say: Say) -> list[tuple[str, ...]]:
    """What to expect after each layer, titles first; sizes on diameter."""
    lines: list[tuple[str, ...]] = [
        ("Layer", "Gauge reads", "Deepest valley", "Mean", "Arc on", "Wire", "Heat input")
    ]
    for r in told.layers:
        gauge = "-" if r.gauge is None else " to ".join(say.size(v) for v in r.gauge)
        heat = "-" if r.heat_input is None else say.energy(r.heat_input)
        lines.append(
            (
                str(r.number),
                gauge,
                say.size(r.valley),
                say.size(r.mean_after),
                f"{r.arc_time / 60.0:.0f} min",
                say.mass(r.wire),
                heat,
            )
        )
    return lines


def _columns(lines: list[tuple[str, ...]]) -> list[str]:
    keep = [k for k in range(len(lines[0])) if any(line[k] != "-" for line in lines[1:])]
    wide = [max(len(line[k]) for line in lines) for k in keep]
    return ["  ".join(line[k].rjust(w) for k, w in zip(keep, wide, strict=True)) for line in lines]


def _dial(mark: float | None) -> str:
    if mark is None:
        return "-"
    return (
        f"{mark:.2f}" if abs(mark) < 10.0 else f"{mark:.1f}" if abs(mark) < 100.0 else f"{mark:.0f}"
    )


def row_lines(r: LayerSettings, say: Say) -> list[str]:
    """A layer in words: how it is laid, then a line for each thing to watch or expect."""
    spiral = (
        f"spiral, closing turns {r.closing_start} at the start and {r.closing_end} at the end "
        "(feed off)"
    )
    way = (
        spiral
        if r.step_over is None
        else (
            f"full turns, each followed by a step of {say.size(r.pitch)} within "
            f"{math.degrees(r.step_over):.0f} degrees"
        )
    )
    out = [
        f"Layer {r.number}{' (laid already)' if r.done else ''}: {way}; from "
        f"{say.size(r.start_depth, 1)} to {say.size(r.end_depth, 1)} deep, "
        f"{r.turns:.1f} turns, arc on {r.arc_time / 60.0:.0f} min, wire {say.mass(r.wire)}"
        + (f", {r.arcs} arc starts." if r.arcs > 1 else "."),
    ]
    if not r.round:
        out.append(
            f"- Not round: {say.size(r.diameters[0])} to {say.size(r.diameters[1])} on "
            f"diameter, so the travel runs from {say.travel(r.travels[0])} to "
            f"{say.travel(r.travels[1])} "
            f"at that rotation; {r.turn_times[0]:.1f} to {r.turn_times[1]:.1f} s a turn "
            "would hold it there."
        )
    low, high = (say.size(v, 1) for v in r.tips)
    swing = "" if low == high else f", {low} to {high} over a turn"
    out.append(
        f"- Contact-tip distance {say.size(r.tip, 1)}{swing}, {say.size(r.tip_clear, 1)} "
        f"over the highest metal: contact tip {say.size(r.tip_radius, 1)} out "
        f"from the torch axis (per side); torch reach needed {say.size(r.reach, 0)} from the "
        "entry face."
    )
    if abs(r.fed / r.wire_feed - 1.0) > 0.005:
        out.append(f"- Wire really fed {say.wire(r.fed)} by the wire weighed or counted.")
    out += [f"- {_kept_words(one, say)}" for one in r.kept]
    out.append(
        f"- As planned the deepest valley is then {say.size(r.valley)}, the mean "
        f"{say.size(r.mean_after)} on diameter."
    )
    out += heat_lines(r, say)
    return [*out, *(f"- {line}" for line in check_lines(r, say))]


def _kept_words(k: Kept, say: Say) -> str:
    where = (
        f"{clock_text(k.clock[0])} to {clock_text(k.clock[1])}, {say.size(k.depth[0], 0)} to "
        f"{say.size(k.depth[1], 0)} deep"
    )
    return (
        f"{k.what.capitalize()} plugged, welded over and cut again: {where}."
        if k.plugged
        else f"Arc off at the {k.what}: {where}."
    )


def turn_cells(one: TurnTable, say: Say) -> list[tuple[str, ...]]:
    """A rotation table, titles first: bore on diameter, rpm, seconds a turn, dial."""
    lines: list[tuple[str, ...]] = [("Bore on diameter", "rpm", "Seconds a turn", "Rotation dial")]
    return [
        *lines,
        *(
            (say.size(r.diameter), rpm_words(r.rotation), f"{r.turn_time:.1f}", _dial(r.dial))
            for r in one.rows
        ),
    ]


def _table_lines(one: TurnTable, say: Say) -> list[str]:
    layers = ", ".join(map(str, one.layers))
    return [
        f"Rotation for a travel of {say.travel(one.travel)} (layers {layers}):",
        *_columns(turn_cells(one, say)),
    ]


def position_words(p: Position) -> str:
    """A stretch of the clock with its position."""
    if p.end - p.start >= TURN - 1e-9:
        return f"all round {p.way}, {p.iso} ({p.aws})"
    return f"{clock_text(p.start)} to {clock_text(p.end)} {p.way}, {p.iso} ({p.aws})"


def position_lines(told: Schedule) -> list[str]:
    """Weld positions round the clock: a heading, then a line for each set of layers."""
    iso, aws = told.whole_turn
    out = [f"Weld positions round the clock (a whole turn: ISO 6947 {iso}, AWS {aws}):"]
    same: dict[tuple[Position, ...], list[int]] = {}
    for row in told.layers:
        same.setdefault(row.positions, []).append(row.number)
    for found, numbers in same.items():
        out.append(
            f"- layers {', '.join(map(str, numbers))}: "
            + "; ".join(position_words(p) for p in found)
            + "."
        )
    return out


def restart_words(r: LayerSettings, say: Say) -> str:
    """Where to strike again after a stop."""
    rule = words_of(r.restart.rule, say)
    return (
        f"{rule[:1].upper()}{rule[1:]}: {say.size(r.restart.length, 1)} "
        f"along the wall, {math.degrees(r.restart.angle):.0f} degrees in layer {r.number}."
    )
