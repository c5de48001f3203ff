"""The drawings of the job sheet as plain lines, faces and words on paper, for PDF and HTML alike.

Paper coordinates: mm, x to the right, y down. Made to be read without colour: what stays black is
hatched, stock stands in figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.reference.arrays import TURN
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH
from sim.shop.result import Result

Point = tuple[float, float]


INK, QUIET, PAPER = "#000000", "#4a4a4a", "#ffffff"


METAL = "#dcdcdc"


SMALL, PLAIN = 7.0, 8.5


NAMES = {"mm": "mm", "in": "inches"}


@dataclass(frozen=True)
class Face:
    """A line or, closed, a face: points [mm], colours of line and face ('' for none), thickness
    [mm], dashes [mm].
    """

    points: tuple[Point, ...]
    ink: str = INK
    thick: float = 0.3
    fill: str = ""
    dash: tuple[float, ...] = ()
    closed: bool = False


@dataclass(frozen=True)
class Words:
    """Words at a point [mm]: size [pt], anchor start, middle or end; y is the baseline."""

    x: float
    y: float
    text: str
    size: float = PLAIN
    anchor: str = "start"
    bold: bool = False
    ink: str = INK


Shape = Face | Words


@dataclass(frozen=True)
class Drawing:
    """Shapes on a piece of paper, width x height [mm], first shape lowest; words: what it shows,
    for those who do not see it.
    """

    width: float
    height: float
    shapes: tuple[Shape, ...]
    words: str


def box(x: float, y: float, width: float, height: float, **how: object) -> Face:
    """A rectangle; x, y is its upper left corner."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Face(corners, closed=True, **how)  # type: ignore[arg-type]


def ring(x: float, y: float, radius: float, **how: object) -> Face:
    """A circle."""
    angles = [k * TURN / 120 for k in range(120)]
    corners = tuple((x + radius * math.sin(a), y - radius * math.cos(a)) for a in angles)
    return Face(corners, closed=True, **how)  # type: ignore[arg-type]


def line(x: float, y: float, to_x: float, to_y: float, **how: object) -> Face:
    """A straight line."""
    return Face(((x, y), (to_x, to_y)), **how)  # type: ignore[arg-type]


def arrow(x: float, y: float, to_x: float, to_y: float, *, thick: float = 0.5) -> list[Shape]:
    """A line with a filled head at its end."""
    long = math.hypot(to_x - x, to_y - y)
    ux, uy = (to_x - x) / long, (to_y - y) / long
    head = [
        (to_x, to_y),
        *((to_x - 2.6 * ux - s * 1.0 * uy, to_y - 2.6 * uy + s * 1.0 * ux) for s in (1, -1)),
    ]
    return [
        line(x, y, to_x - 2.0 * ux, to_y - 2.0 * uy, thick=thick),
        Face(tuple(head), fill=INK, thick=0.1, closed=True),
    ]


def hatching(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    step: float = 1.6,
    ink: str = INK,
    thick: float = 0.25,
) -> list[Shape]:
    """Lines at 45 degrees over a rectangle, clipped to it and in step with those of its neighbours."""
    out: list[Shape] = []
    first, last = math.ceil((x + y) / step), math.floor((x + width + y + height) / step)
    for k in range(first, last + 1):
        c = k * step
        a, b = max(x, c - y - height), min(x + width, c - y)
        if b - a > 0.05:
            out.append(line(a, c - a, b, c - b, ink=ink, thick=thick))
    return out


def label_on(x: float, y: float, text: str) -> list[Shape]:
    """Words on a white ground in the middle of a line."""
    half = 0.5 * len(text) * 1.55 + 1.0
    return [
        box(x - half, y - 2.0, 2.0 * half, 3.8, fill=PAPER, ink=""),
        Words(x, y + 1.1, text, SMALL, "middle"),
    ]


def in_both_units(result: Result) -> tuple[Say, Say]:
    """How sizes are said in the job's units, and in the other ones."""
    units = result.scene.job.units
    return Say(units), Say("mm" if units == "in" else "in")


def bare_size(say: Say, mm: float, digits: int) -> str:
    """A size without its unit."""
    return say.size(mm, digits).split()[0]


def depth_steps(units: str, length: float, most: int = 6) -> list[float]:
    """Round depths [mm] along the bore, at most so many steps."""
    unit = INCH if units == "in" else 1.0
    steps = [unit * f * 10.0**p for p in range(-2, 4) for f in (1, 2, 2.5, 5)]
    step = next(one for one in steps if length / one <= most)
    return [k * step for k in range(int(length / step + 1e-9) + 1)]


def depth_text(say: Say, depth: float, length: float) -> str:
    """A depth on a scale, with as many decimals as it needs."""
    unit = INCH if say.units == "in" else 1.0
    whole = abs(depth / unit - round(depth / unit)) < 1e-9 and length > 4.0 * unit
    return f"{depth / unit:.0f}" if whole else bare_size(say, depth, 1)


def depth_ticks(
    both: tuple[Say, Say],
    length: float,
    x: float,
    width: float,
    y: float,
    *,
    worst: float | None = None,
) -> list[Shape]:
    """A depth scale under a picture, in both units; a cross at the worst depth."""
    first, second = both
    out: list[Shape] = [line(x, y, x + width, y, thick=0.4)]
    steps = depth_steps(first.units, length)
    for depth in steps:
        at = x + width * depth / length
        out += [
            line(at, y, at, y + 1.8, thick=0.4),
            Words(at, y + 5.4, depth_text(first, depth, length), PLAIN, "middle", True),
        ]
        out.append(Words(at, y + 8.6, bare_size(second, depth, 1), SMALL, "middle", ink=QUIET))
    out.append(
        Words(
            x + 0.5 * width,
            y + 12.2,
            f"depth from the entry face, {NAMES[first.units]} (small: {NAMES[second.units]})",
            SMALL,
            "middle",
        )
    )
    if worst is not None:
        at = x + width * min(max(worst, 0.0), length) / length
        out += [
            line(at - 1.3, y - 1.3, at + 1.3, y + 1.3, thick=0.7),
            line(at - 1.3, y + 1.3, at + 1.3, y - 1.3, thick=0.7),
        ]
    return out
