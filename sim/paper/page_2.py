"""Page 2: settings and cards, layer by layer."""

from __future__ import annotations

from collections.abc import Sequence

from sim.job.scene import Scene
from sim.machine.between.card import ANOTHER, ASK, GO_ON, Card
from sim.machine.layer_row import OUTSIDE, WITHIN, LayerSettings, Schedule
from sim.paper.blocks import (
    BAD,
    GOOD,
    Block,
    Both,
    Cell,
    Lines,
    Stamp,
    Table,
    in_both,
    temperature_in_both,
    temperatures_in_both,
)
from sim.paper.work import Work, cut_short
from sim.reference.arrays import TURN
from sim.reference.cautions import CAUTIONS
from sim.reference.units import clock_text
from sim.tell.card import band_words
from sim.tell.layer_checks import check_lines
from sim.tell.layer_sheet import position_words, restart_words
from sim.tell.layer_sheet_json import STAMP, rpm_words
from sim.tell.remarks import lines

LAYERS_ACROSS = 6


def second_page(work: Work) -> tuple[Block, ...]:
    """Settings, where each figure is from, and what is to be heeded."""
    told = work.told
    return (
        Stamp(BAD, STAMP)
        if told.open_points
        else Stamp(
            GOOD,
            f"Settings to procedure {cut_short(told.scene.procedure.number, 40)}, steel "
            f"{cut_short(told.scene.steel.name, 30)}",
        ),
        *_to_fill_in(told.open_points),
        *_settings(work),
        *_cards(work),
        Lines("At the machine", tuple(_at_the_machine(work)), small=True),
        Lines("Safety", tuple(f"{title}: {words}" for title, words in CAUTIONS), small=True),
    )


def _to_fill_in(points: Sequence[str]) -> list[Table]:
    """Blanks for what is not known yet."""
    if not points:
        return []
    cells = [[Cell(point), Cell("")] for point in points]
    if len(cells) % 2:
        cells.append([Cell("-"), Cell("-")])
    rows = tuple((*one, *other) for one, other in zip(cells[::2], cells[1::2], strict=True))
    head = ("Still to be filled in", "what, name, date", "", "what, name, date")
    return [Table("", head, rows, wide=(1.6, 0.9, 2.1, 0.9))]


def _settings(work: Work) -> list[Table]:
    """Figures to set, a column a layer, at most six beside each other."""
    both, rows = Both.of(work.result), work.told.layers
    out = []
    for k in range(0, len(rows), LAYERS_ACROSS):
        part = rows[k : k + LAYERS_ACROSS]
        head = ("", *(f"LAYER {r.number}{' (laid)' if r.done else ''}" for r in part))
        lines = _setting_lines(part, both, work)
        out.append(
            Table(
                "Settings, layer by layer" if k == 0 else "",
                head,
                tuple((Cell(name, more), *cells) for name, more, cells in lines),
                big=True,
            )
        )
    return out


def _cards(work: Work) -> list[Block]:
    """What the gauge says to do after each layer, a row a layer."""
    if not work.cards:
        return []
    both = Both.of(work.result)
    rows = [_card_row(card, both) for card in work.cards]
    head = (
        "gauge, mean of a dozen crests, on diameter",
        "9 jobs in 10 read",
        "GO ON (after the last: bore)",
        "ASK before the next layer",
        "LAY ANOTHER",
        "next layer: one turn takes",
    )
    hangs = (
        ""
        if all(c.hangs for c in work.cards)
        else "The least stock lies at a free end, where the gauge does not reach. "
    )
    told = work.cards[0]
    for_all = "What they say is judged for all bores of the bar. " if told.bore else ""
    return [
        Table("After-layer cards", head, tuple(rows), wide=(1.5, 1.3, 1.2, 1.0, 1.0, 1.0)),
        Lines(
            "",
            (
                f"{hangs}{for_all}Ask: a layer may be left out, or the rest laid closer; `update` says "
                "which. Crests that stray carry the gauge, so a job reads smaller "
                f"than as set. Estimates allowing for normal shop variation, "
                f"{100 * told.asked:g} of 100 to clean up. Restart after a stop: as in the "
                "settings.",
            ),
            small=True,
        ),
    ]


def _card_row(card: Card, both: Both) -> tuple[Cell, ...]:
    """A card as a row: what reads as expected, and the sizes at which to do something else."""
    last, seconds = card.layer == card.layers, card.turn_time
    if seconds is None:
        turn = Cell("-")
    elif seconds[1] - seconds[0] >= 0.05:
        turn = Cell(f"{seconds[0]:.1f} to {seconds[1]:.1f} s")
    else:
        turn = Cell(f"{seconds[1]:.1f} s")
    return (
        Cell(f"AFTER LAYER {card.layer}", "then bore" if last else f"then layer {card.layer + 1}"),
        both.span(*card.expected),
        *(_band_cell(card, do, both) for do in (GO_ON, ASK, ANOTHER)),
        turn,
    )


def _band_cell(card: Card, do: str, both: Both) -> Cell:
    """The readings at which one thing is to be done, in both units."""
    bands = [band for band in card.bands if band.do == do]
    first, second = (
        "; ".join(band_words(band, say) for band in bands) or "no size"
        for say in (both.first, both.second)
    )
    return Cell(first, "" if second == first else second)


def _gauged(part: Sequence[LayerSettings], both: Both, cards: Sequence[Card]) -> list[Cell]:
    """What the gauge should read after each layer, as on its card; nothing where there is none."""
    expected = {card.layer: card.expected for card in cards}
    return [both.span(*expected[r.number]) if r.number in expected else Cell("") for r in part]


def _setting_lines(
    part: Sequence[LayerSettings], both: Both, work: Work
) -> list[tuple[str, str, list[Cell]]]:
    """Name, small print and a cell for each layer, line by line; lines without any figure left out."""
    lines = [
        ("Bore before", "mean, on diameter", [both.cell(r.diameter) for r in part]),
        ("ROTATION", "turns a minute", [Cell(f"{rpm_words(r.rotation)} rpm") for r in part]),
        (
            "ONE TURN TAKES",
            "seconds; in brackets if not round",
            [
                Cell(
                    f"{r.turn_time:.1f} s",
                    "" if r.round else f"({r.turn_times[0]:.1f} to {r.turn_times[1]:.1f} s)",
                )
                for r in part
            ],
        ),
        ("Rotation dial", "mark", [_mark(r.rotation_dial) for r in part]),
        ("WIRE FEED", "as set", [both.other("wire", r.wire_feed) for r in part]),
        ("Wire dial", "mark", [_mark(r.wire_dial) for r in part]),
        ("FEED PER TURN", "pitch", [both.cell(r.pitch) for r in part]),
        ("START", "depth from the entry face, clock", [_start(r, both) for r in part]),
        ("End", "depth from the entry face", [both.cell(r.end_depth, 1) for r in part]),
        (
            "Turning, feed",
            "seen from the entry face",
            [Cell(r.turning, f"feed {r.feed}, {r.advance}") for r in part],
        ),
        (
            "Closing turns",
            "feed off, at start and end",
            [Cell(f"{r.closing_start} and {r.closing_end}") for r in part],
        ),
        (
            "Turns in all",
            "arc on",
            [Cell(f"{r.turns:.1f}", f"{r.arc_time / 60.0:.0f} min") for r in part],
        ),
        ("Contact tip to wall", "contact-tip distance", [both.cell(r.tip, 1) for r in part]),
        ("Torch reach needed", "from the entry face", [both.cell(r.reach, 0) for r in part]),
        ("RESTART: turn back", "along the wall, after a stop", [_back(r, both) for r in part]),
        *_heat_rows(part, both, work.result.scene),
        (
            "GAUGE SHOULD READ",
            "mean of a dozen crests, on diameter",
            _gauged(part, both, work.cards),
        ),
        ("Deepest valley", "on diameter", [both.cell(r.valley) for r in part]),
    ]
    return [one for one in lines if any(cell.first for cell in one[2])]


def _mark(mark: float | None) -> Cell:
    return Cell("" if mark is None else f"{mark:.2f}")


def _start(r: LayerSettings, both: Both) -> Cell:
    first = f"{both.first.size(r.start_depth, 1)} at {clock_text(r.start_clock)}"
    return Cell(first, both.second.size(r.start_depth, 1))


def _back(r: LayerSettings, both: Both) -> Cell:
    degrees = r.restart.angle / TURN * 360.0
    return Cell(
        both.first.size(r.restart.length, 1),
        f"{both.second.size(r.restart.length, 1)}, {degrees:.0f} degrees",
    )


def _heat_rows(
    part: Sequence[LayerSettings], both: Both, scene: Scene
) -> list[tuple[str, str, list[Cell]]]:
    """Volts, amps, heat input and the procedure, where given."""
    e, out = scene.electrical, []
    if e.voltage is not None and e.current is not None:
        heats = [
            " / ".join(say.energy(r.heat_input or 0.0) for say in (both.first, both.second))
            for r in part
        ]
        out.append(
            (
                "Volts, amps",
                "heat input EN 1011-1, estimate",
                [Cell(f"{e.voltage:g} V {e.current:g} A", heat) for heat in heats],
            )
        )
    if any(r.verdict in (WITHIN, OUTSIDE) for r in part):
        out.append(
            (
                "Qualified procedure",
                "of the ranges given",
                [Cell(r.verdict.upper() if r.verdict == OUTSIDE else r.verdict) for r in part],
            )
        )
    return out


def _at_the_machine(work: Work) -> list[str]:
    """Restart, areas without weld, positions, what lies outside the procedure."""
    told, both, scene = work.told, Both.of(work.result), work.result.scene
    out = [f"After a stop: {in_both(restart_words(told.layers[0], both.first))}"]
    for one in told.areas:
        where = (
            f"{clock_text(one.clock[0])} to {clock_text(one.clock[1])}, "
            f"{both.text(one.depth[0], 0)} to {both.text(one.depth[1], 0)} deep"
        )
        out.append(
            f"{one.what.capitalize()} plugged, welded over and cut again: {where}."
            if one.plugged
            else f"ARC OFF at the {one.what}: {where}."
        )
    iso, aws = told.whole_turn
    round_clock = "; ".join(position_words(p) for p in told.layers[0].positions)
    out.append(
        f"Weld positions round the clock, layer 1 (whole turn ISO 6947 {iso}, AWS {aws}): "
        f"{round_clock}."
    )
    for row in told.layers:
        outside = [line for line in check_lines(row, both.first) if line.startswith("OUTSIDE")]
        out += [f"Layer {row.number}: {in_both(line)}" for line in outside]
    out += _preheat(told, both, scene)
    return [
        *out,
        "Brush every layer bright before the next. Gauge on the crests, cold or with the "
        f"part's temperature written beside it. Travel {_pace(told, both)} at the wall.",
    ]


def _pace(told: Schedule, both: Both) -> str:
    """The travel speeds of the job, both units."""
    pairs = dict.fromkeys(
        (both.first.travel(r.travel), both.second.travel(r.travel)) for r in told.layers
    )
    return ", ".join(f"{a} / {b}" for a, b in pairs)


def _preheat(told: Schedule, both: Both, scene: Scene) -> list[str]:
    """Preheat and interpass temperature, where given."""
    out, heat, steel = [], scene.heat, told.steel
    if heat.preheat is not None:
        where = (
            ""
            if steel.measure_at is None
            else f", measured {both.text(steel.measure_at, 0)} from the bore"
        )
        out.append(f"Preheat {temperature_in_both(heat.preheat, both)}{where}.")
    limit = heat.interpass if heat.interpass is not None else scene.procedure.interpass_most
    if limit is not None:
        out.append(
            f"Interpass: let it cool to {temperature_in_both(limit, both)} before the next layer."
        )
    said = map(temperatures_in_both, lines(steel.said, both.first))
    return [*out, *(f"{line[:1].upper()}{line[1:]}." for line in said)]
