"""The drawings of the job sheet as plain lines, faces and words on paper, for PDF and HTML alike.

Paper coordinates: mm, x to the right, y down. Made to be read without colour: what stays black is hatched, stock stands
in figures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from sim import colour
from sim.finish import stock_along, stock_cells
from sim.report import Say
from sim.schedule import Schedule
from sim.simulate import Result
from sim.units import INCH, clock_text
from sim.wall import TURN, Array

Point = tuple[float, float]
INK, QUIET, PAPER = "#000000", "#4a4a4a", "#ffffff"
METAL = "#dcdcdc"
SMALL, PLAIN = 7.0, 8.5
NAMES = {"mm": "mm", "in": "inches"}


@dataclass(frozen=True)
class Face:
    """A line or, closed, a face: points [mm], colours of line and face ('' for none), thickness [mm], dashes [mm]."""

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
    """Shapes on a piece of paper, width x height [mm], first shape lowest; words: what it shows, for those who do not see it."""

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
    return Face(tuple((x + radius * math.sin(a), y - radius * math.cos(a)) for a in angles), closed=True, **how)  # type: ignore[arg-type]


def line(x: float, y: float, to_x: float, to_y: float, **how: object) -> Face:
    """A straight line."""
    return Face(((x, y), (to_x, to_y)), **how)  # type: ignore[arg-type]


def arrow(x: float, y: float, to_x: float, to_y: float, *, thick: float = 0.5) -> list[Shape]:
    """A line with a filled head at its end."""
    long = math.hypot(to_x - x, to_y - y)
    ux, uy = (to_x - x) / long, (to_y - y) / long
    head = [(to_x, to_y), *((to_x - 2.6 * ux - s * 1.0 * uy, to_y - 2.6 * uy + s * 1.0 * ux) for s in (1, -1))]
    return [line(x, y, to_x - 2.0 * ux, to_y - 2.0 * uy, thick=thick), Face(tuple(head), fill=INK, thick=0.1, closed=True)]


def hatching(x: float, y: float, width: float, height: float, *, step: float = 1.6, ink: str = INK, thick: float = 0.25) -> list[Shape]:
    """Lines at 45 degrees over a rectangle, clipped to it and in step with those of its neighbours."""
    out: list[Shape] = []
    first, last = math.ceil((x + y) / step), math.floor((x + width + y + height) / step)
    for k in range(first, last + 1):
        c = k * step
        a, b = max(x, c - y - height), min(x + width, c - y)
        if b - a > 0.05:
            out.append(line(a, c - a, b, c - b, ink=ink, thick=thick))
    return out


# ---- the bore with its frame --------------------------------------------------------------------------------------


def bore_drawing(result: Result, told: Schedule, width: float, height: float) -> Drawing:
    """Entry face with the clock, and the bore cut open with depth from the entry face."""
    shapes = [*_face_view(result, told, 0.5 * height, 0.5 * height + 1.0, 0.5 * height - 9.0), *_cut_open(result, told, height + 12.0, width - height - 16.0, height)]
    return Drawing(width, height, tuple(shapes), "Left: the entry face with its clock, as seen looking into the bore. Right: the bore cut open, depth from the entry face.")


def _face_view(result: Result, told: Schedule, x: float, y: float, radius: float) -> list[Shape]:
    """The entry face: boss, bore, clock, punch mark, top, turning, holes, the worst place."""
    bore = result.scene.bore
    outside = bore.outside_diameter or 1.7 * bore.final_diameter
    inner = max(min(radius * bore.final_diameter / outside, 0.8 * radius), 0.45 * radius)
    out: list[Shape] = [ring(x, y, radius, fill=METAL, thick=0.4), ring(x, y, inner, fill=PAPER, thick=0.6)]
    for hour in range(1, 13):
        s, c = math.sin(hour * TURN / 12), math.cos(hour * TURN / 12)
        out.append(line(x + inner * s, y - inner * c, x + (inner - 1.8) * s, y - (inner - 1.8) * c, thick=0.4))
        main = hour % 3 == 0
        out.append(Words(x + (radius + 4.0) * s, y - (radius + 4.0) * c + 1.4, str(hour), 11.0 if main else SMALL, "middle", main))
    out.append(Face(((x, y - radius + 0.5), (x - 1.4, y - radius + 3.5), (x + 1.4, y - radius + 3.5)), fill=INK, closed=True))
    out += [_sector(x, y, inner, radius, kept.clock) for kept in told.areas]
    out += _worst_mark(result, x, y, inner)
    return [*out, *_turning(told, x, y, inner), *_top(result, x, y, inner)]


def _sector(x: float, y: float, inner: float, outer: float, clock: tuple[float, float]) -> Face:
    """A stretch of the clock on the face, dark."""
    begin, long = clock[0], max((clock[1] - clock[0]) % TURN, 0.03)
    outer = inner + 0.35 * (outer - inner)
    angles = [begin + long * k / 12 for k in range(13)]
    points = [(x + r * math.sin(a), y - r * math.cos(a)) for r, way in ((inner, angles), (outer, angles[::-1])) for a in way]
    return Face(tuple(points), fill=QUIET, closed=True)


def _worst_mark(result: Result, x: float, y: float, inner: float) -> list[Shape]:
    clock = result.stock.spot.clock
    px, py = x + (inner + 0.2) * math.sin(clock), y - (inner + 0.2) * math.cos(clock)
    d = 1.5
    cross = [line(px - d, py - d, px + d, py + d, thick=0.7), line(px - d, py + d, px + d, py - d, thick=0.7)]
    return [ring(px, py, 2.2, fill=PAPER, thick=0.3), *cross]


def _turning(told: Schedule, x: float, y: float, inner: float) -> list[Shape]:
    """An arrow inside the bore the way the torch turns in the first layer."""
    way, r = 1.0 if told.layers[0].turning == "clockwise" else -1.0, 0.62 * inner
    angles = [way * math.radians(200.0 + 4.0 * k) for k in range(22)]
    points = [(x + r * math.sin(a), y - r * math.cos(a)) for a in angles]
    (ax, ay), (bx, by) = points[-2], points[-1]
    tip = (bx + 2.2 * (bx - ax) / math.hypot(bx - ax, by - ay), by + 2.2 * (by - ay) / math.hypot(bx - ax, by - ay))
    return [Face(tuple(points), thick=0.6), *arrow(bx, by, *tip)]


def _top(result: Result, x: float, y: float, inner: float) -> list[Shape]:
    """Which way is up while welding, in the middle of the bore."""
    bore = result.scene.bore
    tilt = math.degrees(bore.inclination)
    if abs(tilt) > 75.0:
        return [Words(x, y + 1.0, "vertical,", SMALL, "middle"), Words(x, y + 4.2, f"entry {'up' if tilt > 0 else 'down'}", SMALL, "middle")]
    s, c = math.sin(bore.top), math.cos(bore.top)
    long = 0.34 * inner
    return [*arrow(x - long * s, y + long * c, x + long * s, y - long * c), Words(x + 1.6, y + 5.5, "up", SMALL)]


def _cut_open(result: Result, told: Schedule, x: float, width: float, height: float) -> list[Shape]:
    """The axial section in outline: walls, faces, depth scale, where the layers run."""
    bore, both = result.scene.bore, _both(result)
    top, wall, clear = 6.0, 8.0, height - 2.0 * 8.0 - 6.0 - 14.0
    scale = width / bore.length
    out: list[Shape] = []
    for y in (top, top + wall + clear):
        out += [box(x, y, width, wall, fill=METAL, thick=0.5), *hatching(x, y, width, wall, ink=QUIET, thick=0.15)]
    middle = top + wall + 0.5 * clear
    out.append(line(x - 3.0, middle, x + width + 3.0, middle, thick=0.2, dash=(4.0, 1.0, 1.0, 1.0)))
    out += [Words(x, top - 2.0, "ENTRY FACE", PLAIN, "start", True), Words(x + width, top - 2.0, "FAR FACE", PLAIN, "end", True)]
    for kept in told.areas:
        a, b = (min(max(z, 0.0), bore.length) for z in kept.depth)
        out.append(box(x + a * scale, top + 0.6 * wall, max((b - a) * scale, 0.6), 0.4 * wall, fill=QUIET))
    out += _layer_runs(told, x, scale, top + wall, clear)
    return [*out, *_depth_ticks(both, bore.length, x, width, top + 2 * wall + clear, worst=result.stock.spot.depth)]


def _layer_runs(told: Schedule, x: float, scale: float, y: float, clear: float) -> list[Shape]:
    """An arrow for each layer from its first to its last turn, with its number, as many as there is room for."""
    room = max(int(clear / 4.2) - 1, 1)
    shown = told.layers if len(told.layers) <= room else told.layers[: max(room - 1, 1)]
    labels = [f"layer {row.number}, feed {row.feed}, starts at {clock_text(row.start_clock)}" for row in shown]
    out: list[Shape] = []
    lines = len(shown) + (len(shown) < len(told.layers))
    for k, (row, label) in enumerate(zip(shown, labels, strict=True)):
        at = y + clear * (k + 1) / (lines + 1)
        out += arrow(x + row.start_depth * scale, at, x + row.end_depth * scale, at)
        out += _label(x + 0.5 * (row.start_depth + row.end_depth) * scale, at, label)
    if lines > len(shown):
        first, last = shown[-1].number + 1, told.layers[-1].number
        middle = x + 0.5 * (shown[-1].start_depth + shown[-1].end_depth) * scale
        out += _label(middle, y + clear * lines / (lines + 1), f"layers {first} to {last}: see the settings")
    return out


def _label(x: float, y: float, text: str) -> list[Shape]:
    """Words on a white ground in the middle of a line."""
    half = 0.5 * len(text) * 1.55 + 1.0
    return [box(x - half, y - 2.0, 2.0 * half, 3.8, fill=PAPER, ink=""), Words(x, y + 1.1, text, SMALL, "middle")]


def _both(result: Result) -> tuple[Say, Say]:
    units = result.scene.job.units
    return Say(units), Say("mm" if units == "in" else "in")


def _bare(say: Say, mm: float, digits: int) -> str:
    return say.size(mm, digits).split()[0]


def _depth_steps(units: str, length: float, most: int = 6) -> list[float]:
    """Round depths [mm] along the bore, at most so many steps."""
    unit = INCH if units == "in" else 1.0
    steps = [unit * f * 10.0**p for p in range(-2, 4) for f in (1, 2, 2.5, 5)]
    step = next(one for one in steps if length / one <= most)
    return [k * step for k in range(int(length / step + 1e-9) + 1)]


def _depth_text(say: Say, depth: float, length: float) -> str:
    """A depth on a scale, with as many decimals as it needs."""
    unit = INCH if say.units == "in" else 1.0
    whole = abs(depth / unit - round(depth / unit)) < 1e-9 and length > 4.0 * unit
    return f"{depth / unit:.0f}" if whole else _bare(say, depth, 1)


def _depth_ticks(both: tuple[Say, Say], length: float, x: float, width: float, y: float, *, worst: float | None = None) -> list[Shape]:
    """A depth scale under a picture, in both units; a cross at the worst depth."""
    first, second = both
    out: list[Shape] = [line(x, y, x + width, y, thick=0.4)]
    steps = _depth_steps(first.units, length)
    for depth in steps:
        at = x + width * depth / length
        out += [line(at, y, at, y + 1.8, thick=0.4), Words(at, y + 5.4, _depth_text(first, depth, length), PLAIN, "middle", True)]
        out.append(Words(at, y + 8.6, _bare(second, depth, 1), SMALL, "middle", ink=QUIET))
    out.append(Words(x + 0.5 * width, y + 12.2, f"depth from the entry face, {NAMES[first.units]} (small: {NAMES[second.units]})", SMALL, "middle"))
    if worst is not None:
        at = x + width * min(max(worst, 0.0), length) / length
        out += [line(at - 1.3, y - 1.3, at + 1.3, y + 1.3, thick=0.7), line(at - 1.3, y + 1.3, at + 1.3, y - 1.3, thick=0.7)]
    return out


# ---- section at the worst clock ------------------------------------------------------------------------------------

DASHES = ((), (2.4, 1.0), (0.8, 0.8), (4.0, 1.0, 0.8, 1.0))


def section_drawing(result: Result, width: float, height: float) -> Drawing:
    """Stock per side along the clock of the worst place: start wall, layers, pessimist, finish cut; what stays black filled."""
    length = result.scene.bore.length
    clock = float(result.start.clock.angle[result.stock.spot.column])
    walls = [stock_along(wall, result.finish, result.axes.torch, clock, length) for wall in (*result.walls, result.pessimist_wall)]
    low = min(min(float(s.min()) for _, s in walls), -0.2)
    high = max(max(float(s.max()) for _, s in walls), 0.2)
    left, right, top, bottom = 19.0, 34.0, 3.0, 14.0
    w, h = width - left - right, height - top - bottom

    def at(depth: float, stock: float) -> Point:
        return left + w * depth / length, top + h * (high - stock) / (high - low)

    out: list[Shape] = [*_stock_faces(result, walls[-2], at), *_stock_ticks(_both(result), low, high, left, at)]
    names = ["before welding", *(f"after layer {k}" for k in range(1, len(result.walls)))]
    labels = [("finish cut", at(length, 0.0)[1], INK)]
    for k, (depth, stock) in enumerate(walls[:-1]):
        last = k == len(names) - 1
        out.append(Face(_thinned(depth, stock, at), thick=0.55 if last else 0.3, dash=() if last else DASHES[1 + k % 3]))
        labels.append((names[k], at(length, float(np.median(stock)))[1], INK))
    out.append(Face(_thinned(*walls[-1], at), thick=0.25, dash=(0.4, 0.8)))
    out += [line(*at(0.0, 0.0), *at(length, 0.0), thick=0.8), *_spread_labels(labels, left + w + 2.0, top, h)]
    out.append(Words(0.0, 2.2, "per side", SMALL))
    out += _depth_ticks(_both(result), length, left, w, top + h, worst=result.stock.spot.depth)
    first, second = _both(result)
    least = result.stock.spot.value
    words = f"Section at {clock_text(result.stock.spot.clock)} o'clock, where the least stock is: {first.size(least)} / {second.size(least)} per side. Thick level line: the finish cut. Grey: metal to bore off. Black: stays black. White: not judged. Dotted: the last layer with the poorest tie-in."
    return Drawing(width, height, tuple(out), words)


def _thinned(depth: Array, stock: Array, at: Callable[[float, float], Point]) -> tuple[Point, ...]:
    """The line on paper, without points that lie within a hair of the straight line between their neighbours."""
    points = [at(float(z), float(s)) for z, s in zip(depth, stock, strict=True)]
    kept = [points[0]]
    for k in range(1, len(points) - 1):
        (ax, ay), (bx, by), (cx, cy) = kept[-1], points[k], points[k + 1]
        if abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) > 0.02 * max(math.hypot(cx - ax, cy - ay), 1e-9):
            kept.append(points[k])
    return (*kept, points[-1])


def _stock_faces(result: Result, wall: tuple[Array, Array], at: Callable[[float, float], Point]) -> list[Shape]:
    """Metal to bore off as a grey face, what is missing as a black one, over the depths that are judged."""
    out: list[Shape] = []
    for begin, end in result.spans[result.stock.spot.column]:
        if end - begin < 1e-6:
            continue
        inside = (wall[0] > begin) & (wall[0] < end)
        depth = np.concatenate([[begin], wall[0][inside], [end]])
        stock = np.interp(depth, *wall)
        zero = (at(float(end), 0.0), at(float(begin), 0.0))
        above, below = (_thinned(depth, part, at) for part in (np.maximum(stock, 0.0), np.minimum(stock, 0.0)))
        out.append(Face((*above, *zero), fill=METAL, ink="", closed=True))
        if stock.min() < 0.0:
            out.append(Face((*below, *zero), fill=colour.BLACK_LEFT, ink=INK, thick=0.2, closed=True))
    return out


def _stock_ticks(both: tuple[Say, Say], low: float, high: float, x: float, at: Callable[[float, float], Point]) -> list[Shape]:
    """A scale of stock per side, both units on one line."""
    first, second = both
    unit = INCH if first.units == "in" else 1.0
    steps = [unit * f * 10.0**p for p in range(-3, 2) for f in (1, 2, 5)]
    step = next(one for one in steps if (high - low) / one <= 5.5)
    out: list[Shape] = []
    for k in range(math.ceil(low / step), math.floor(high / step) + 1):
        y = at(0.0, k * step)[1]
        out += [line(x - 1.5, y, x, y, thick=0.4), Words(x - 2.0, y + 0.4, _bare(first, k * step, 1), PLAIN, "end", True)]
        out.append(Words(x - 2.0, y + 3.0, _bare(second, k * step, 2), 6.5, "end", ink=QUIET))
    out.append(line(x, at(0.0, high)[1], x, at(0.0, low)[1], thick=0.4))
    return out


def _spread_labels(labels: Sequence[tuple[str, float, str]], x: float, top: float, height: float) -> list[Shape]:
    """Names beside the ends of their lines, moved apart where they would touch."""
    gap, out = 3.6, []
    taken = top - gap
    ordered = sorted(labels, key=lambda one: one[1])
    room = top + height - gap * (len(ordered) - 1)
    for k, (text, y, ink) in enumerate(ordered):
        taken = max(min(y, room + gap * k), taken + gap)
        out.append(Words(x, taken + 1.0, text, SMALL, "start", text == "finish cut", ink))
    return list(out)


# ---- the map unrolled --------------------------------------------------------------------------------------------------

CELLS = 144
ACROSS = 12


def map_drawing(result: Result, width: float, height: float) -> Drawing:
    """Unrolled map of stock per side: shaded by cell, hatched where it stays black, the least of every patch in figures."""
    bore = result.scene.bore
    left, top, bottom = 15.0, 6.0, 4.5
    w, h = width - left - 4.0, height - top - bottom
    rows = 4 * max(round(h / (w / CELLS) / 4), 4)
    depth = np.unique([0.0, *np.linspace(bore.chamfer_entry, bore.length - bore.chamfer_far, rows + 1), bore.length])
    cells = judged_cells(result, depth)
    frame = (left, top, w, h)
    out = [*_shades(result, cells, top + h * depth / bore.length, (left, w / CELLS)), box(left, top, w, h, thick=0.5)]
    out += [*_patch_figures(result, cells, depth, frame), *_map_frame(result, frame)]
    first, second = _both(result)
    cut = result.scene.cut.minimum_cut
    words = (
        f"Stock per side all round the bore, unrolled, seen from the entry face. Each figure is the least of its patch, {NAMES[first.units]} large, {NAMES[second.units]} small; "
        f"thick frame: the least of all. Black with stripes: stays black. Dots: less than the least cut of {first.size(cut)} / {second.size(cut)} per side. Darker: more to bore off. White: not judged."
    )
    return Drawing(width, height, tuple(out), words)


def judged_cells(result: Result, depth: Array) -> Array:
    """Least stock per side [mm] in cells of a map between these depths [mm], shape (CELLS, len(depth) - 1); nan where not judged."""
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, depth, CELLS)
    clock = result.layers[-1].wall.clock
    column = [clock.nearest((i + 0.5) * TURN / CELLS) for i in range(CELLS)]
    spans, hair = result.spans[column], 1e-6
    inside = (depth[:-1] >= spans[:, :, :1] - hair) & (depth[1:] <= spans[:, :, 1:] + hair)
    return np.where(inside.any(axis=1), cells, np.nan)


def _band(value: float, cut: float, high: float) -> int:
    """Shade of a cell: -3 not judged, -2 stays black, -1 thin, then 0 to 4 in fifths of the usual most."""
    if math.isnan(value):
        return -3
    if value < cut:
        return -2 if value < 0.0 else -1
    return min(int(5.0 * (value - cut) / max(high - cut, 1e-9)), 4)


def _shades(result: Result, cells: Array, y: Array, grid: tuple[float, float]) -> list[Shape]:
    """Cells of one shade side by side as one face; stripes over what stays black, dots over what is thin."""
    x0, dx = grid
    cut, high = result.scene.cut.minimum_cut, max(float(np.nanpercentile(cells, 97.0)), 0.1)
    scale = colour.stock_scale(0.0, high)
    shades = {k: "#{:02x}{:02x}{:02x}".format(*colour.mixed(scale, k / 7.0)) for k in range(5)}
    shades |= {-3: PAPER, -2: colour.BLACK_LEFT, -1: colour.NEUTRAL}
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
                over += [box(x0 + dx * (k + 0.3), place[1] + 0.3 * place[3], 0.4 * dx, 0.4 * place[3], fill=INK, ink="") for k in dots]
    return [*out, *over]


def _patch_figures(result: Result, cells: Array, depth: Array, frame: tuple[float, float, float, float]) -> list[Shape]:
    """The least of every patch in figures on white, in both units; the least of all in a thick frame."""
    x0, y0, w, h = frame
    first, second = _both(result)
    n, m = ACROSS, 4 if h > 32.0 else 3
    row = np.minimum((0.5 * (depth[1:] + depth[:-1]) * m / depth[-1]).astype(int), m - 1)
    least = np.array([[_least(cells[i * CELLS // n : (i + 1) * CELLS // n, row == j]) for j in range(m)] for i in range(n)])
    out: list[Shape] = []
    for i in range(n):
        for j in range(m):
            value = float(least[i, j])
            if math.isinf(value):
                continue
            x, y = x0 + (i + 0.5) * w / n, y0 + (j + 0.5) * h / m
            worst = value == least.min()
            out.append(box(x - 5.4, y - 3.7, 10.8, 7.0, fill=PAPER, ink=INK if worst else QUIET, thick=0.9 if worst else 0.15))
            out.append(Words(x, y - 0.3, _bare(first, value, 2), PLAIN, "middle", True))
            out.append(Words(x, y + 2.5, _bare(second, value, 2), 6.5, "middle", ink=QUIET))
    return out


def _least(cells: Array) -> float:
    held = cells[~np.isnan(cells)]
    return float(held.min()) if len(held) else math.inf


def _map_frame(result: Result, frame: tuple[float, float, float, float]) -> list[Shape]:
    """Clock over the map, depth beside it."""
    x, y, w, h = frame
    first, second = _both(result)
    length = result.scene.bore.length
    out: list[Shape] = []
    for hour in range(0, 13):
        at = x + w * hour / 12.0
        out += [line(at, y - 1.2, at, y, thick=0.4), Words(at, y - 2.0, str(hour or 12), PLAIN, "middle", hour % 3 == 0)]
    for depth in _depth_steps(first.units, length, 5 if h > 38.0 else 4):
        at = y + h * depth / length
        out += [line(x - 1.5, at, x, at, thick=0.4), Words(x - 2.0, at + 0.6, _depth_text(first, depth, length), PLAIN, "end", True)]
        out.append(Words(x - 2.0, at + 3.2, _bare(second, depth, 1), 6.5, "end", ink=QUIET))
    return out
