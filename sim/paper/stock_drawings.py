"""Drawings of the stock."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from sim.bore.stock import stock_along, stock_cells
from sim.paper.pen import (
    INK,
    METAL,
    NAMES,
    PAPER,
    PLAIN,
    QUIET,
    SMALL,
    Drawing,
    Face,
    Point,
    Shape,
    Words,
    bare_size,
    box,
    depth_steps,
    depth_text,
    depth_ticks,
    hatching,
    in_both_units,
    line,
)
from sim.pictures.colours import BLACK_LEFT, NEUTRAL, mixed, stock_scale
from sim.reference.arrays import TURN, Array
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH, clock_text
from sim.shop.result import Result

DASHES = ((), (2.4, 1.0), (0.8, 0.8), (4.0, 1.0, 0.8, 1.0))


def section_drawing(result: Result, width: float, height: float) -> Drawing:
    """Stock per side along the clock of the worst place: start wall, layers, poorest tie-in, finish
    cut; what stays black filled.
    """
    length = result.scene.bore.length
    clock = float(result.start.clock.angle[result.stock.spot.column])
    walls = [
        stock_along(wall, result.finish, result.axes.torch, clock, length)
        for wall in (*result.walls, result.poorest_tie_in_wall)
    ]
    low = min(min(float(s.min()) for _, s in walls), -0.2)
    high = max(max(float(s.max()) for _, s in walls), 0.2)
    left, right, top, bottom = 19.0, 34.0, 3.0, 14.0
    w, h = width - left - right, height - top - bottom

    def at(depth: float, stock: float) -> Point:
        return left + w * depth / length, top + h * (high - stock) / (high - low)

    out: list[Shape] = [
        *_stock_faces(result, walls[-2], at),
        *_stock_ticks(in_both_units(result), low, high, left, at),
    ]
    names = ["before welding", *(f"after layer {k}" for k in range(1, len(result.walls)))]
    labels = [("finish cut", at(length, 0.0)[1], INK)]
    for k, (depth, stock) in enumerate(walls[:-1]):
        last = k == len(names) - 1
        out.append(
            Face(
                _thinned(depth, stock, at),
                thick=0.55 if last else 0.3,
                dash=() if last else DASHES[1 + k % 3],
            )
        )
        labels.append((names[k], at(length, float(np.median(stock)))[1], INK))
    out.append(Face(_thinned(*walls[-1], at), thick=0.25, dash=(0.4, 0.8)))
    out += [
        line(*at(0.0, 0.0), *at(length, 0.0), thick=0.8),
        *_spread_labels(labels, left + w + 2.0, top, h),
    ]
    out.append(Words(0.0, 2.2, "per side", SMALL))
    out += depth_ticks(
        in_both_units(result), length, left, w, top + h, worst=result.stock.spot.depth
    )
    first, second = in_both_units(result)
    least = result.stock.spot.value
    words = (
        f"Section at {clock_text(result.stock.spot.clock)} o'clock, where the least stock is: "
        f"{first.size(least)} / {second.size(least)} per side. Thick level line: the finish cut. "
        "Grey: metal to bore off. Black: stays black. White: not judged. Dotted: the last layer "
        "with poor tie-in."
    )
    return Drawing(width, height, tuple(out), words)


def _thinned(depth: Array, stock: Array, at: Callable[[float, float], Point]) -> tuple[Point, ...]:
    """The line on paper, without points that lie within a hair of the straight line between their
    neighbours.
    """
    points = [at(float(z), float(s)) for z, s in zip(depth, stock, strict=True)]
    kept = [points[0]]
    for k in range(1, len(points) - 1):
        (ax, ay), (bx, by), (cx, cy) = kept[-1], points[k], points[k + 1]
        if abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) > 0.02 * max(
            math.hypot(cx - ax, cy - ay), 1e-9
        ):
            kept.append(points[k])
    return (*kept, points[-1])


def _stock_faces(
    result: Result, wall: tuple[Array, Array], at: Callable[[float, float], Point]
) -> list[Shape]:
    """Metal to bore off as a grey face, what is missing as a black one, over the depths that are
    judged.
    """
    out: list[Shape] = []
    for begin, end in result.spans[result.stock.spot.column]:
        if end - begin < 1e-6:
            continue
        inside = (wall[0] > begin) & (wall[0] < end)
        depth = np.concatenate([[begin], wall[0][inside], [end]])
        stock = np.interp(depth, *wall)
        zero = (at(float(end), 0.0), at(float(begin), 0.0))
        above, below = (
            _thinned(depth, part, at) for part in (np.maximum(stock, 0.0), np.minimum(stock, 0.0))
        )
        out.append(Face((*above, *zero), fill=METAL, ink="", closed=True))
        if stock.min() < 0.0:
            out.append(Face((*below, *zero), fill=BLACK_LEFT, ink=INK, thick=0.2, closed=True))
    return out


def _stock_ticks(
    both: tuple[Say, Say], low: float, high: float, x: float, at: Callable[[float, float], Point]
) -> list[Shape]:
    """A scale of stock per side, both units on one line."""
    first, second = both
    unit = INCH if first.units == "in" else 1.0
    steps = [unit * f * 10.0**p for p in range(-3, 2) for f in (1, 2, 5)]
    step = next(one for one in steps if (high - low) / one <= 5.5)
    out: list[Shape] = []
    for k in range(math.ceil(low / step), math.floor(high / step) + 1):
        y = at(0.0, k * step)[1]
        out += [
            line(x - 1.5, y, x, y, thick=0.4),
            Words(x - 2.0, y + 0.4, bare_size(first, k * step, 1), PLAIN, "end", True),
        ]
        out.append(Words(x - 2.0, y + 3.0, bare_size(second, k * step, 2), 6.5, "end", ink=QUIET))
    out.append(line(x, at(0.0, high)[1], x, at(0.0, low)[1], thick=0.4))
    return out


def _spread_labels(
    labels: Sequence[tuple[str, float, str]], x: float, top: float, height: float
) -> list[Shape]:
    """Names beside the ends of their lines, moved apart where they would touch."""
    gap, out = 3.6, []
    taken = top - gap
    ordered = sorted(labels, key=lambda one: one[1])
    room = top + height - gap * (len(ordered) - 1)
    for k, (text, y, ink) in enumerate(ordered):
        taken = max(min(y, room + gap * k), taken + gap)
        out.append(Words(x, taken + 1.0, text, SMALL, "start", text == "finish cut", ink))
    return list(out)


CELLS = 144


ACROSS = 12


def map_drawing(result: Result, width: float, height: float) -> Drawing:
    """Unrolled map of stock per side: shaded by cell, hatched where it stays black, the least of
    every patch in figures.
    """
    bore = result.scene.bore
    left, top, bottom = 15.0, 6.0, 4.5
    w, h = width - left - 4.0, height - top - bottom
    rows = 4 * max(round(h / (w / CELLS) / 4), 4)
    depth = np.unique(
        [
            0.0,
            *np.linspace(bore.chamfer_entry, bore.length - bore.chamfer_far, rows + 1),
            bore.length,
        ]
    )
    cells = judged_cells(result, depth)
    frame = (left, top, w, h)
    out = [
        *_shades(result, cells, top + h * depth / bore.length, (left, w / CELLS)),
        box(left, top, w, h, thick=0.5),
    ]
    out += [*_patch_figures(result, cells, depth, frame), *_map_frame(result, frame)]
    first, second = in_both_units(result)
    cut = result.scene.cut.minimum_cut
    words = (
        "Stock per side all round the bore, unrolled, seen from the entry face. Each figure "
        f"is the least of its patch, {NAMES[first.units]} large, {NAMES[second.units]} "
        "small; "
        "thick frame: the least of all. Black with stripes: stays black. Dots: less than "
        f"the least cut of {first.size(cut)} / {second.size(cut)} per side. Darker: more to "
        "bore off. White: not judged."
    )
    return Drawing(width, height, tuple(out), words)


def judged_cells(result: Result, depth: Array) -> Array:
    """Least stock per side [mm] in cells of a map between these depths [mm], shape (CELLS,
    len(depth) - 1); nan where not judged.
    """
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, depth, CELLS)
    clock = result.layers[-1].wall.clock
    column = [clock.nearest((i + 0.5) * TURN / CELLS) for i in range(CELLS)]
    spans, hair = result.spans[column], 1e-6
    inside = (depth[:-1] >= spans[:, :, :1] - hair) & (depth[1:] <= spans[:, :, 1:] + hair)
    return np.where(inside.any(axis=1), cells, np.nan)


def _band(value: float, cut: float, high: float) -> int:
    """Shade of a cell: -3 not judged, -2 stays black, -1 thin, then 0 to 4 in fifths of the usual
    most.
    """
    if math.isnan(value):
        return -3
    if value < cut:
        return -2 if value < 0.0 else -1
    return min(int(5.0 * (value - cut) / max(high - cut, 1e-9)), 4)


def _shades(result: Result, cells: Array, y: Array, grid: tuple[float, float]) -> list[Shape]:
    """Cells of one shade side by side as one face; stripes over what stays black, dots over what is
    thin.
    """
    x0, dx = grid
    cut, high = result.scene.cut.minimum_cut, max(float(np.nanpercentile(cells, 97.0)), 0.1)
    scale = stock_scale(0.0, high)
    shades = {k: "#{:02x}{:02x}{:02x}".format(*mixed(scale, k / 7.0)) for k in range(5)}
    shades |= {-3: PAPER, -2: BLACK_LEFT, -1: NEUTRAL}
    out: list[Shape] = []
    over: list[Shape] = []
    for j in range(cells.shape[1]):
        bands = np.array([_band(float(v), cut, high) for v in cells[:, j]])
        edges = [0, *(np.flatnonzero(np.diff(bands)) + 1).tolist(), len(bands)]
        for begin, end in zip(edges, edges[1:], strict=False):
            place = (x0 + begin * dx, float(y[j]), (end - begin) * dx, float(y[j + 1] - y[j]))
            band = int(bands[begin])
            out.append(box(*place[:3], place[3] + 0.02, fill=shades[band], ink=""))
            if band == -2:
                over += hatching(*place, step=1.8, ink=PAPER, thick=0.45)
            elif band == -1:
                dots = [k for k in range(begin, end) if (k + j) % 2 == 0]
                over += [
                    box(
                        x0 + dx * (k + 0.3),
                        place[1] + 0.3 * place[3],
                        0.4 * dx,
                        0.4 * place[3],
                        fill=INK,
                        ink="",
                    )
                    for k in dots
                ]
    return [*out, *over]


def _patch_figures(
    result: Result, cells: Array, depth: Array, frame: tuple[float, float, float, float]
) -> list[Shape]:
    """The least of every patch in figures on white, in both units; the least of all in a thick
    frame.
    """
    x0, y0, w, h = frame
    first, second = in_both_units(result)
    n, m = ACROSS, 4 if h > 32.0 else 3
    row = np.minimum((0.5 * (depth[1:] + depth[:-1]) * m / depth[-1]).astype(int), m - 1)
    least = np.array(
        [
            [_least(cells[i * CELLS // n : (i + 1) * CELLS // n, row == j]) for j in range(m)]
            for i in range(n)
        ]
    )
    out: list[Shape] = []
    for i in range(n):
        for j in range(m):
            value = float(least[i, j])
            if math.isinf(value):
                continue
            x, y = x0 + (i + 0.5) * w / n, y0 + (j + 0.5) * h / m
            worst = value == least.min()
            out.append(
                box(
                    x - 5.4,
                    y - 3.7,
                    10.8,
                    7.0,
                    fill=PAPER,
                    ink=INK if worst else QUIET,
                    thick=0.9 if worst else 0.15,
                )
            )
            out.append(Words(x, y - 0.3, bare_size(first, value, 2), PLAIN, "middle", True))
            out.append(Words(x, y + 2.5, bare_size(second, value, 2), 6.5, "middle", ink=QUIET))
    return out


def _least(cells: Array) -> float:
    held = cells[~np.isnan(cells)]
    return float(held.min()) if len(held) else math.inf


def _map_frame(result: Result, frame: tuple[float, float, float, float]) -> list[Shape]:
    """Clock over the map, depth beside it."""
    x, y, w, h = frame
    first, second = in_both_units(result)
    length = result.scene.bore.length
    out: list[Shape] = []
    for hour in range(0, 13):
        at = x + w * hour / 12.0
        out += [
            line(at, y - 1.2, at, y, thick=0.4),
            Words(at, y - 2.0, str(hour or 12), PLAIN, "middle", hour % 3 == 0),
        ]
    for depth in depth_steps(first.units, length, 5 if h > 38.0 else 4):
        at = y + h * depth / length
        out += [
            line(x - 1.5, at, x, at, thick=0.4),
            Words(x - 2.0, at + 0.6, depth_text(first, depth, length), PLAIN, "end", True),
        ]
        out.append(Words(x - 2.0, at + 3.2, bare_size(second, depth, 1), 6.5, "end", ink=QUIET))
    return out
