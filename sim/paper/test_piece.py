"""The sheet of a test piece: what to weld, what to read, blanks to write in; and the empty CSV."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sim.machine.test_pieces.clock_test import CLOCK, EIGHT, TURNINGS
from sim.machine.test_pieces.cut_section import SECTION, Sections
from sim.machine.test_pieces.pieces import BEAD, PAD
from sim.machine.test_pieces.table import Columns, blank
from sim.paper.blocks import A4, LETTER, Block, Cell, Figure, Lines, Sheet, Table, Tick, Ticks
from sim.paper.pen import INK, METAL, Drawing, Face, Shape, Words, line, ring
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.reference.version import VERSION


@dataclass(frozen=True)
class Piece:
    """A test piece: its title, what it is for, what to do, the columns of its CSV and its rows."""

    title: str
    for_what: str
    steps: tuple[str, ...]
    columns: Columns
    rows: tuple[dict[str, str], ...]


def _clock_rows() -> tuple[dict[str, str], ...]:
    return tuple(
        {"turn": str(turn), "turning": TURNINGS[0], "oclock": f"{at:g}"}
        for turn in (1, 2, 3)
        for at in EIGHT
    )


SETTINGS = "Set wire feed, travel, gas and contact-tip distance as for the job; write them down."

PIECES: dict[str, Piece] = {
    "bead": Piece(
        "Test piece: bead on plate",
        "Width and height of the bead: what every layer is laid by.",
        (
            "Take a plate as thick as the wall of the job, bright and flat, as cold as the job.",
            SETTINGS,
            "Weigh or count the wire of one minute at that wire feed.",
            "Weld one straight bead at least 100 mm (4 in) long; let it cool.",
            "Read width with a calliper and height with a depth gauge at four places, none "
            "within 20 mm (3/4 in) of start or stop.",
        ),
        BEAD,
        ({},) * 4,
    ),
    "pad": Piece(
        "Test piece: pad of five beads",
        "Tie-in: how deep the valley between two beads is left.",
        (
            "Weld the bead on plate first.",
            SETTINGS,
            "Weld five beads side by side, each laid in the same direction, at 0.8 to 0.95 of the "
            "bead's width; in the position it is meant for.",
            "Let it cool; read crests of beads 3 to 5 and the valleys between them above the "
            "plate, at the middle of their length.",
            "Leave the clock blank where the pad lay flat.",
        ),
        PAD,
        ({},) * 3,
    ),
    "clock": Piece(
        "Test piece: clock test",
        "How gravity draws the bead at each clock: three spaced turns in scrap pipe, about an hour.",
        (
            "Fix scrap pipe of about the job's bore, axis level; mark 12 o'clock on top.",
            SETTINGS,
            "Weld three full turns at least three bead widths apart, each in one direction; where "
            "the job turns both ways, weld three of each.",
            "Let the pipe cool between turns to the temperature of the job between layers.",
            "Read width and height at eight clocks; leave blank what cannot be read: it is used "
            "where measured, and said where not.",
        ),
        CLOCK,
        _clock_rows(),
    ),
    "section": Piece(
        "Test piece: cut section",
        "The beads as they are against the beads as they are reckoned, drawn on each other.",
        (
            "Saw across the pad, square to its beads; grind and etch.",
            "Photograph it square, with a scale in the picture, or trace it on film.",
            "Write points of the outline in order from toe to toe: x along the plate, y up from "
            "the plate; thirty or more, closer in the valleys.",
            "The first and the last point are where the outer beads meet the plate.",
        ),
        SECTION,
        (),
    ),
}


def sheet_of(kind: str, units: str) -> Sheet:
    """The sheet of a test piece to print, one page."""
    piece = PIECES[kind]
    return _sheet(piece.title, units, (*_page(piece, kind),))


def empty_csv(kind: str, units: str) -> str:
    """The CSV of a test piece to fill in.

    >>> empty_csv("pad", "mm").splitlines()[0]
    'pitch_mm,oclock,crest_mm,valley_mm'
    """
    return blank(PIECES[kind].columns, units, PIECES[kind].rows)


def _sheet(title: str, units: str, page: Sequence[Block]) -> Sheet:
    return Sheet(
        paper=LETTER if units == "in" else A4,
        title=title,
        bore="",
        note="Shop ______________________   wire and gas ______________________   by ____________",
        foot=f"Test piece, tool version {VERSION}. Estimates, not a welding procedure.",
        pages=(tuple(page),),
    )


def _page(piece: Piece, kind: str) -> Sequence[Block]:
    blocks: list[Block] = [
        Lines("What it is for", (piece.for_what,)),
        Ticks("What to do", tuple(Tick(step) for step in piece.steps)),
    ]
    if kind == "clock":
        blocks.append(Figure("Where to read", _clock_face()))
        blocks.append(_clock_table())
    elif piece.rows:
        names = tuple(column.replace("_", " ") for column in piece.columns)
        rows = tuple(tuple(Cell("") for _ in names) for _ in piece.rows)
        blocks.append(Table("What was read", names, rows))
    return [*blocks, Lines("", (CAUTION,), small=True)]


def _clock_table() -> Table:
    head = ("clock", *(f"turn {n} {what}" for n in (1, 2, 3) for what in ("width", "height")))
    rows = tuple((Cell(f"{at:g}"), *(Cell("") for _ in head[1:])) for at in EIGHT)
    return Table("What was read; travel ________, turning ________", head, rows)


def _clock_face() -> Drawing:
    """The pipe as seen looking in, its eight clocks."""
    x, y, radius = 90.0, 21.0, 14.0
    shapes: list[Shape] = [ring(x, y, radius, thick=0.8), ring(x, y, radius + 3.0, thick=0.3)]
    for at in EIGHT:
        angle = at * math.pi / 6.0
        sin, cos = math.sin(angle), math.cos(angle)
        shapes.append(
            line(
                x + (radius - 2.0) * sin,
                y - (radius - 2.0) * cos,
                x + radius * sin,
                y - radius * cos,
            )
        )
        shapes.append(
            Words(
                x + (radius - 5.5) * sin, y - (radius - 5.5) * cos + 1.0, f"{at:g}", 6.5, "middle"
            )
        )
    return Drawing(180.0, 42.0, tuple(shapes), "A pipe looked into, with eight clocks marked.")


def section_sheet(found: Sections, told: Sequence[str], units: str) -> Sheet:
    """A cut section and the engine's drawn on each other, one page."""
    return _sheet(
        "Cut section against the engine's",
        units,
        (
            Lines("", tuple(told)),
            Figure("Filled: the engine's section; line with dots: as cut", overlay(found, units)),
        ),
    )


def overlay(found: Sections, units: str) -> Drawing:
    """Both sections in one frame, to scale."""
    on = found.ours[found.ours[:, 1] > 1e-6]
    low = min(float(on[:, 0].min()), float(found.cut[:, 0].min())) - 2.0
    high = max(float(on[:, 0].max()), float(found.cut[:, 0].max())) + 2.0
    scale = min(180.0 / (high - low), 12.0)
    top = max(float(on[:, 1].max()), float(found.cut[:, 1].max()))
    ground = scale * top + 8.0

    def at(x: float, y: float) -> tuple[float, float]:
        return (scale * (x - low), ground - scale * y)

    step = max(len(on) // 600, 1)
    ours = [at(*p) for p in ((on[0, 0], 0.0), *on[::step], (on[-1, 0], 0.0))]
    cut = [at(*p) for p in found.cut]
    size = Say(units)
    shapes: list[Shape] = [
        Face(tuple(ours), fill=METAL, thick=0.3, closed=True),
        line(0.0, ground, scale * (high - low), ground, thick=0.5),
        Face(tuple(cut), ink=INK, thick=0.6),
        *(ring(x, y, 0.5, thick=0.3) for x, y in cut),
        line(0.0, ground + 5.0, scale * 5.0, ground + 5.0, thick=0.8),
        Words(scale * 5.0 + 2.0, ground + 6.0, size.size(5.0), 7.0),
    ]
    return Drawing(
        max(scale * (high - low), 60.0),
        ground + 9.0,
        tuple(shapes),
        "The engine's section of the beads, filled, and the cut section on it, a line with dots.",
    )
