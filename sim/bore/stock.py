"""Wall and finish cylinder in; stock per side, weld left and low spots out.

Stock per side = finish radius less the distance of the wall from the finish axis: positive is metal
to bore off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, shift
from sim.bore.kernels.distance import beyond_columns, cell_columns, extreme_columns
from sim.bore.torch_way import Area
from sim.bore.wall import Clock, Wall, over_columns
from sim.reference.arrays import TURN, Array, Counts, frozen


@dataclass(frozen=True)
class Spot:
    """The worst place of a quantity: value [mm], depth [mm], clock on the drawing axis [rad], and
    its column.
    """

    value: float
    depth: float
    clock: float
    column: int


@dataclass(frozen=True)
class Worst:
    """Worst value per column (n_clock,) [mm] and its depth [mm]; nan where a column has nothing
    judged.
    """

    value: Array
    depth: Array
    spot: Spot


def judged_spans(clock: Clock, start: float, end: float, holes: Sequence[Area]) -> Array:
    """Depth ranges judged per column, shape (n_clock, k, 2) [mm], unused ones empty: `start`..`end`
    less the holes.
    """
    per_column: list[list[tuple[float, float]]] = [[(start, end)] for _ in clock.angle]
    for hole in holes:
        for i, (lo, hi) in _hole_depths(clock, hole):
            per_column[i] = [part for span in per_column[i] for part in _less(span, lo, hi)]
    most = max(1, max(len(spans) for spans in per_column))
    out = np.zeros((len(per_column), most, 2))
    for i, spans in enumerate(per_column):
        for k, span in enumerate(spans):
            out[i, k] = span
    return frozen(out)


def _less(span: tuple[float, float], lo: float, hi: float) -> list[tuple[float, float]]:
    if hi <= span[0] or lo >= span[1]:
        return [span]
    return [part for part in ((span[0], lo), (hi, span[1])) if part[1] > part[0]]


def _hole_depths(clock: Clock, hole: Area) -> list[tuple[int, tuple[float, float]]]:
    """Columns that pass through a hole, each with the depths it takes away."""
    begin, width = hole.clock[0], float(np.mod(hole.clock[1] - hole.clock[0], TURN)) or TURN
    inside = np.mod(clock.angle - begin, TURN)
    out = []
    for i in np.flatnonzero(inside <= width):
        lo, hi = hole.depth
        if hole.hole_radius:
            off = (inside[i] - 0.5 * width) * hole.wall_radius
            half = math.sqrt(max(hole.hole_radius**2 - off**2, 0.0))
            middle = 0.5 * (lo + hi)
            lo, hi = middle - half, middle + half
        if hi > lo:
            out.append((int(i), (lo, hi)))
    return out


def _farthest(wall: Wall, spans: Array, off: Array, sign: float) -> tuple[Array, Array]:
    out = np.empty((len(wall.count), 2))
    over_columns(extreme_columns, len(out), wall.clock.angle, *wall.pieces, off, spans, sign, out)
    all_finite(out[judged_columns(spans), 0])
    return out[:, 0], out[:, 1]


def judged_columns(spans: Array) -> NDArray[np.bool_]:
    """Which columns (n_clock,) have anything judged in `spans` (n_clock, k, 2) [mm]."""
    return np.asarray((spans[:, :, 1] > spans[:, :, 0]).any(axis=1))


def columns_of_cells(clock: Clock, n_clock: int) -> NDArray[np.int64]:
    """Pairs (clock cell, column), shape (k, 2), of equal clock cells from 12 o'clock: every column
    in its cell, and the nearest for a cell without.
    """
    cell = np.minimum((clock.angle * (n_clock / TURN)).astype(int), n_clock - 1)
    pairs = [np.stack([cell, np.arange(len(cell))], axis=1)]
    empty = np.setdiff1d(np.arange(n_clock), cell)
    if len(empty):
        nearest = [clock.nearest((k + 0.5) * TURN / n_clock) for k in empty]
        pairs.append(np.stack([empty, np.array(nearest)], axis=1))
    return np.concatenate(pairs)


def judged_length(spans: Array, edges: Array) -> Array:
    """Judged length [mm] of each depth cell between `edges` [mm] in each column, shape (n_column,
    n_depth).
    """
    out = np.zeros((len(spans), len(edges) - 1))
    for k in range(spans.shape[1]):
        low = np.maximum(spans[:, k, :1], edges[:-1])
        out += np.clip(np.minimum(spans[:, k, 1:], edges[1:]) - low, 0.0, None)
    return out


def judged_cells(spans: Array, clock: Clock, edges: Array, n_clock: int) -> NDArray[np.bool_]:
    """Which cells have anything judged in `spans` (n_column, k, 2) [mm], shape (n_clock, n_depth).

    >>> whole = np.array([[[0.0, 10.0]]] * 4)
    >>> bool(judged_cells(whole, Clock.even(4), np.linspace(0.0, 10.0, 3), 12).all())
    True
    """
    cell, column = columns_of_cells(clock, n_clock).T
    out = np.zeros((n_clock, len(edges) - 1), dtype=bool)
    np.logical_or.at(out, cell, (judged_length(spans, edges) > 1e-9)[column])
    return out


def all_finite(distance: Array) -> None:
    """Raise RuntimeError where a judged distance is not a number: no verdict rests on it."""
    if not np.isfinite(distance).all():
        wrong = int((~np.isfinite(distance)).sum())
        raise RuntimeError(
            f"a fault of ours: the wall is not finite in {wrong} of {distance.size} columns judged"
        )


def least_stock(wall: Wall, finish: Bored, torch: Axis, spans: Array) -> Worst:
    """Smallest stock per side [mm] of every column, and the worst of all; exact along depth."""
    distance, depth = _farthest(wall, spans, shift(torch, finish.axis), 1.0)
    return _worst(wall, finish.radius - distance, depth, torch)


def least_weld_left(start: Wall, finish: Bored, torch: Axis, spans: Array) -> Worst:
    """Least weld left under the finished surface [mm per side]: how far the wall before welding
    lies outside it.
    """
    distance, depth = _farthest(start, spans, shift(torch, finish.axis), -1.0)
    return _worst(start, distance - finish.radius, depth, torch)


def _worst(wall: Wall, value: Array, depth: Array, torch: Axis) -> Worst:
    if np.isnan(value).all():
        raise ValueError("nothing of the bore is judged")
    i = int(np.nanargmin(value))
    clock = drawing_clock(wall, i, float(depth[i]), torch)
    return Worst(frozen(value), frozen(depth), Spot(float(value[i]), float(depth[i]), clock, i))


def least_of_parts(wall: Wall, torch: Axis, parts: Sequence[tuple[Bored, Array]]) -> Worst:
    """Smallest stock per side [mm] of every column over parts of the wall, each judged against a
    cylinder of its own.

    The first part holds every depth judged; the others lie within it.
    """
    finish, spans = parts[0]
    distance, depth = _farthest(wall, spans, shift(torch, finish.axis), 1.0)
    value = finish.radius - distance
    for tighter, held in parts[1:]:
        far, at = _farthest(wall, held, shift(torch, tighter.axis), 1.0)
        lower = tighter.radius - far < value
        value[lower], depth[lower] = tighter.radius - far[lower], at[lower]
    return _worst(wall, value, depth, torch)


def drawing_clock(wall: Wall, column: int, depth: float, torch: Axis) -> float:
    """Clock angle [rad] about the drawing axis of the wall at a column and depth."""
    x0, y0 = torch.at(np.array([depth]))
    angle = wall.clock.angle[column]
    j = int(np.searchsorted(wall.knots[column, : wall.count[column]], depth, side="right")) - 1
    a, b, c = wall.coef[column, max(j, 0)]
    t = depth - wall.knots[column, max(j, 0)]
    r = a + t * (b + t * c)
    return (
        math.atan2(float(x0[0]) + r * math.sin(angle), -(float(y0[0]) - r * math.cos(angle))) % TURN
    )


def clock_error(worst: Worst, clock: Clock, events: Array) -> float:
    """How much lower the true minimum may lie than the columns show [mm].

    Half the second difference of the column minima, largest over the columns within 0.1 mm of the
    worst; it bounds both a smooth valley and a kink between columns. Differences are not taken
    across arc starts and stops, where a column stands on either side.
    """
    return float(clock_errors(worst.value[None, :], clock, events)[0])


def clock_errors(value: Array, clock: Clock, events: Array) -> Array:
    """As `clock_error`, of column minima (draws, n_clock) [mm]: one error a draw, (draws,)."""
    n = len(clock.angle)
    before, after = np.roll(value, 1, axis=1), np.roll(value, -1, axis=1)
    left = np.mod(clock.angle - np.roll(clock.angle, 1), TURN)
    right = np.mod(np.roll(clock.angle, -1) - clock.angle, TURN)
    with np.errstate(invalid="ignore", divide="ignore"):
        straight = (before * right + after * left) / (left + right)
        bend = np.abs(straight - value)
        near = value <= np.nanmin(value, axis=1, keepdims=True) + 0.1
    crossing = np.zeros(n, dtype=bool)
    for event in np.unique(np.round(np.mod(events, TURN), 9)):
        k = int(np.searchsorted(clock.angle, event)) % n
        crossing[[k, k - 1]] = True
    usable = near & ~crossing & ~np.isnan(bend)
    return np.asarray(0.5 * np.where(usable, bend, 0.0).max(axis=1))


def stock_map(wall: Wall, finish: Bored, torch: Axis, depth: Array) -> Array:
    """Stock per side [mm], shape (n_clock, n_depth), at every column and the given depths; negative
    will not clean up.
    """
    off = shift(torch, finish.axis)
    r = wall.radius(depth)
    x = r * np.sin(wall.clock.angle)[:, None] + off[0] + off[2] * depth
    y = -r * np.cos(wall.clock.angle)[:, None] + off[1] + off[3] * depth
    return np.asarray(finish.radius - np.hypot(x, y))


def stock_along(
    wall: Wall, finish: Bored, torch: Axis, clock: float, length: float
) -> tuple[Array, Array]:
    """Depth and stock per side [mm], from face to face, of the column nearest to a torch clock
    [rad], fine enough to draw.
    """
    depth, radius = wall.section(clock)
    faces = np.array([0.0, length])
    inside = (depth > 0.0) & (depth < length)
    ends = np.interp(faces, depth, radius)
    depth = np.concatenate([faces[:1], depth[inside], faces[1:]])
    radius = np.concatenate([ends[:1], radius[inside], ends[1:]])
    angle = float(wall.clock.angle[wall.clock.nearest(clock)])
    off = shift(torch, finish.axis)
    x = radius * math.sin(angle) + off[0] + off[2] * depth
    y = -radius * math.cos(angle) + off[1] + off[3] * depth
    return depth, np.asarray(finish.radius - np.hypot(x, y))


def black_spans(wall: Wall, finish: Bored, torch: Axis, spans: Array) -> Array:
    """The parts of `spans` (n_clock, k, 2) [mm] where the wall lies beyond the finish cylinder."""
    out, found = ranges_beyond(wall, finish.radius, shift(torch, finish.axis), spans)
    most = max(1, int(found.max()))
    kept = np.zeros((len(found), most, 2))
    for i, k in enumerate(found):
        kept[i, :k] = out[i, :k, :2]
    return frozen(kept)


def ranges_beyond(wall: Wall, limit: float, off: Array, spans: Array) -> tuple[Array, Counts]:
    """Depth ranges beyond a distance, see `beyond_columns`, with room enough."""
    cap = 8
    while True:
        out = np.zeros((len(wall.count), cap, 4))
        found = np.zeros(len(wall.count), dtype=np.int64)
        over_columns(
            beyond_columns,
            len(found),
            wall.clock.angle,
            *wall.pieces,
            off,
            spans,
            limit,
            out,
            found,
        )
        if not (found < 0).any():
            return out, found
        cap *= 4


def beyond(wall: Wall, finish: Bored, torch: Axis, spans: Array, level: float) -> Array:
    """Every judged range where the stock per side is below `level` [mm]: column, depth from and to,
    shape (k, 3).
    """
    out, found = ranges_beyond(wall, finish.radius - level, shift(torch, finish.axis), spans)
    column = np.repeat(np.arange(len(found)), found)
    ranges = out[np.arange(out.shape[1]) < found[:, None]]
    return frozen(np.column_stack([column, ranges[:, :2]]))


def stock_cells(wall: Wall, finish: Bored, torch: Axis, edges: Array, n_clock: int) -> Array:
    """Smallest stock per side [mm] in every cell of a coarse map, shape (n_clock, len(edges) - 1).

    edges: ascending depths [mm]; clock cells are equal, from 12 o'clock. The minimum of what is
    merged is kept, so no valley is lost to the size of a picture; a cell without a column of its
    own takes the nearest.
    """
    return _least_cells(wall, finish.radius - _cells(wall, finish, torch, edges, 1.0), n_clock)


def weld_left_cells(start: Wall, finish: Bored, torch: Axis, edges: Array, n_clock: int) -> Array:
    """Least weld left under the finished surface [mm per side] in every cell of a coarse map, as
    `stock_cells`.
    """
    return _least_cells(start, _cells(start, finish, torch, edges, -1.0) - finish.radius, n_clock)


def _cells(wall: Wall, finish: Bored, torch: Axis, edges: Array, sign: float) -> Array:
    """Largest (sign +1) or smallest distance from the finish axis per column and depth cell [mm]."""
    out = np.empty((len(wall.count), len(edges) - 1))
    edges = np.ascontiguousarray(edges, dtype=float)
    over_columns(
        cell_columns,
        len(out),
        wall.clock.angle,
        *wall.pieces,
        shift(torch, finish.axis),
        edges,
        sign,
        out,
    )
    return out


def _least_cells(wall: Wall, values: Array, n_clock: int) -> Array:
    """The least value of the columns in each of `n_clock` equal clock cells."""
    cell = np.minimum((wall.clock.angle * (n_clock / TURN)).astype(int), n_clock - 1)
    out = np.full((n_clock, values.shape[1]), np.inf)
    np.minimum.at(out, cell, values)
    for k in np.flatnonzero(np.isinf(out[:, 0])):
        out[k] = values[wall.clock.nearest((k + 0.5) * TURN / n_clock)]
    return out
