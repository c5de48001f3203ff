"""The bore from the face and cut open."""

from __future__ import annotations

import math

from sim.machine.layer_row import Schedule
from sim.paper.pen import (
    INK,
    METAL,
    PAPER,
    PLAIN,
    QUIET,
    SMALL,
    Drawing,
    Face,
    Shape,
    Words,
    arrow,
    box,
    depth_ticks,
    hatching,
    in_both_units,
    label_on,
    line,
    ring,
)
from sim.reference.arrays import TURN
from sim.reference.units import clock_text
from sim.shop.result import Result


def bore_drawing(result: Result, told: Schedule, width: float, height: float) -> Drawing:
    """Entry face with the clock, and the bore cut open with depth from the entry face."""
    shapes = [
        *_face_view(result, told, 0.5 * height, 0.5 * height + 1.0, 0.5 * height - 9.0),
        *_cut_open(result, told, height + 12.0, width - height - 16.0, height),
    ]
    return Drawing(
        width,
        height,
        tuple(shapes),
        "Left: the entry face with its clock, as seen looking into the bore. Right: the bore "
        "cut open, depth from the entry face.",
    )


def _face_view(result: Result, told: Schedule, x: float, y: float, radius: float) -> list[Shape]:
    """The entry face: boss, bore, clock, punch mark, top, turning, holes, the worst place."""
    bore = result.scene.bore
    outside = bore.outside_diameter or 1.7 * bore.final_diameter
    inner = max(min(radius * bore.final_diameter / outside, 0.8 * radius), 0.45 * radius)
    out: list[Shape] = [
        ring(x, y, radius, fill=METAL, thick=0.4),
        ring(x, y, inner, fill=PAPER, thick=0.6),
    ]
    for hour in range(1, 13):
        s, c = math.sin(hour * TURN / 12), math.cos(hour * TURN / 12)
        out.append(
            line(
                x + inner * s,
                y - inner * c,
                x + (inner - 1.8) * s,
                y - (inner - 1.8) * c,
                thick=0.4,
            )
        )
        main = hour % 3 == 0
        out.append(
            Words(
                x + (radius + 4.0) * s,
                y - (radius + 4.0) * c + 1.4,
                str(hour),
                11.0 if main else SMALL,
                "middle",
                main,
            )
        )
    out.append(
        Face(
            ((x, y - radius + 0.5), (x - 1.4, y - radius + 3.5), (x + 1.4, y - radius + 3.5)),
            fill=INK,
            closed=True,
        )
    )
    out += [_sector(x, y, inner, radius, kept.clock) for kept in told.areas]
    out += _worst_mark(result, x, y, inner)
    return [*out, *_turning(told, x, y, inner), *_top(result, x, y, inner)]


def _sector(x: float, y: float, inner: float, outer: float, clock: tuple[float, float]) -> Face:
    """A stretch of the clock on the face, dark."""
    begin, long = clock[0], max((clock[1] - clock[0]) % TURN, 0.03)
    outer = inner + 0.35 * (outer - inner)
    angles = [begin + long * k / 12 for k in range(13)]
    points = [
        (x + r * math.sin(a), y - r * math.cos(a))
        for r, way in ((inner, angles), (outer, angles[::-1]))
        for a in way
    ]
    return Face(tuple(points), fill=QUIET, closed=True)


def _worst_mark(result: Result, x: float, y: float, inner: float) -> list[Shape]:
    clock = result.stock.spot.clock
    px, py = x + (inner + 0.2) * math.sin(clock), y - (inner + 0.2) * math.cos(clock)
    d = 1.5
    cross = [
        line(px - d, py - d, px + d, py + d, thick=0.7),
        line(px - d, py + d, px + d, py - d, thick=0.7),
    ]
    return [ring(px, py, 2.2, fill=PAPER, thick=0.3), *cross]


def _turning(told: Schedule, x: float, y: float, inner: float) -> list[Shape]:
    """An arrow inside the bore the way the torch turns in the first layer."""
    way, r = 1.0 if told.layers[0].turning == "clockwise" else -1.0, 0.62 * inner
    angles = [way * math.radians(200.0 + 4.0 * k) for k in range(22)]
    points = [(x + r * math.sin(a), y - r * math.cos(a)) for a in angles]
    (ax, ay), (bx, by) = points[-2], points[-1]
    tip = (
        bx + 2.2 * (bx - ax) / math.hypot(bx - ax, by - ay),
        by + 2.2 * (by - ay) / math.hypot(bx - ax, by - ay),
    )
    return [Face(tuple(points), thick=0.6), *arrow(bx, by, *tip)]


def _top(result: Result, x: float, y: float, inner: float) -> list[Shape]:
    """Which way is up while welding, in the middle of the bore."""
    bore = result.scene.bore
    tilt = math.degrees(bore.inclination)
    if abs(tilt) > 75.0:
        return [
            Words(x, y + 1.0, "vertical,", SMALL, "middle"),
            Words(x, y + 4.2, f"entry {'up' if tilt > 0 else 'down'}", SMALL, "middle"),
        ]
    s, c = math.sin(bore.top), math.cos(bore.top)
    long = 0.34 * inner
    return [
        *arrow(x - long * s, y + long * c, x + long * s, y - long * c),
        Words(x + 1.6, y + 5.5, "up", SMALL),
    ]


def _cut_open(result: Result, told: Schedule, x: float, width: float, height: float) -> list[Shape]:
    """The axial section in outline: walls, faces, depth scale, where the layers run."""
    bore, both = result.scene.bore, in_both_units(result)
    top, wall, clear = 6.0, 8.0, height - 2.0 * 8.0 - 6.0 - 14.0
    scale = width / bore.length
    out: list[Shape] = []
    for y in (top, top + wall + clear):
        out += [
            box(x, y, width, wall, fill=METAL, thick=0.5),
            *hatching(x, y, width, wall, ink=QUIET, thick=0.15),
        ]
    middle = top + wall + 0.5 * clear
    out.append(line(x - 3.0, middle, x + width + 3.0, middle, thick=0.2, dash=(4.0, 1.0, 1.0, 1.0)))
    out += [
        Words(x, top - 2.0, "ENTRY FACE", PLAIN, "start", True),
        Words(x + width, top - 2.0, "FAR FACE", PLAIN, "end", True),
    ]
    for kept in told.areas:
        a, b = (min(max(z, 0.0), bore.length) for z in kept.depth)
        out.append(
            box(x + a * scale, top + 0.6 * wall, max((b - a) * scale, 0.6), 0.4 * wall, fill=QUIET)
        )
    out += _layer_runs(told, x, scale, top + wall, clear)
    foot, worst = top + 2 * wall + clear, result.stock.spot.depth
    return [*out, *depth_ticks(both, bore.length, x, width, foot, worst=worst)]


def _layer_runs(told: Schedule, x: float, scale: float, y: float, clear: float) -> list[Shape]:
    """An arrow for each layer from its first to its last turn, with its number, as many as there is
    room for.
    """
    room = max(int(clear / 4.2) - 1, 1)
    shown = told.layers if len(told.layers) <= room else told.layers[: max(room - 1, 1)]
    labels = [
        f"layer {row.number}, feed {row.feed}, starts at {clock_text(row.start_clock)}"
        for row in shown
    ]
    out: list[Shape] = []
    lines = len(shown) + (len(shown) < len(told.layers))
    for k, (row, label) in enumerate(zip(shown, labels, strict=True)):
        at = y + clear * (k + 1) / (lines + 1)
        out += arrow(x + row.start_depth * scale, at, x + row.end_depth * scale, at)
        out += label_on(x + 0.5 * (row.start_depth + row.end_depth) * scale, at, label)
    if lines > len(shown):
        first, last = shown[-1].number + 1, told.layers[-1].number
        middle = x + 0.5 * (shown[-1].start_depth + shown[-1].end_depth) * scale
        out += label_on(
            middle, y + clear * lines / (lines + 1), f"layers {first} to {last}: see the settings"
        )
    return out
