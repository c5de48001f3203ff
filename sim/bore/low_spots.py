"""Low spots: connected places where the stock lies below a level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, shift
from sim.bore.stock import drawing_clock, ranges_beyond
from sim.bore.wall import Clock, Wall
from sim.reference.arrays import TURN, Array, Counts


@dataclass(frozen=True)
class LowSpot:
    """A connected patch of wall beyond the finish surface, across the clock seam.

    area [mm2]; stock [mm per side] at its deepest, there `at_clock`, `at_depth`; clock from..to
    [rad, clockwise]; depth from..to [mm]; cause in words.
    """

    area: float
    stock: float
    at_clock: float
    at_depth: float
    clock_from: float
    clock_to: float
    depth_from: float
    depth_to: float
    column: int
    cause: str = ""


def low_spots(
    wall: Wall, finish: Bored, torch: Axis, spans: Array, *, level: float = 0.0
) -> list[LowSpot]:
    """Connected patches where the stock per side is below `level` [mm], deepest first; exact along
    depth.
    """
    out, found = ranges_beyond(wall, finish.radius - level, shift(torch, finish.axis), spans)
    if not found.any():
        return []
    column = np.repeat(np.arange(len(found)), found)
    ranges = np.concatenate([out[i, :k] for i, k in enumerate(found) if k])
    spots = [
        _patch(wall, finish, torch, column[members], ranges[members])
        for members in _connected(column, ranges, found)
    ]
    return sorted(spots, key=lambda s: s.stock)


def _connected(column: Counts, ranges: Array, found: Counts) -> list[Counts]:
    """Indices of ranges that touch from column to column, across the seam."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first = np.concatenate([[0], np.cumsum(found)])
    n = len(found)
    pairs = []
    for i in range(n):
        j = (i + 1) % n
        a, b = np.arange(first[i], first[i + 1]), np.arange(first[j], first[j + 1])
        if len(a) and len(b) and i != j:
            touch = (ranges[a, 0][:, None] <= ranges[b, 1][None]) & (
                ranges[b, 0][None] <= ranges[a, 1][:, None]
            )
            p, q = np.nonzero(touch)
            pairs.append(np.stack([a[p], b[q]]))
    rows, cols = np.concatenate(pairs, axis=1) if pairs else np.zeros((2, 0), dtype=int)
    graph = coo_array((np.ones(len(rows)), (rows, cols)), shape=(len(column), len(column)))
    _, label = connected_components(graph, directed=False)
    order = np.argsort(label, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(label[order])) + 1)


def _patch(wall: Wall, finish: Bored, torch: Axis, column: Counts, ranges: Array) -> LowSpot:
    span = wall.clock.span[column]
    worst = int(np.argmax(ranges[:, 2]))
    depth = float(ranges[worst, 3])
    begin, end = _clock_range(wall.clock, np.unique(column))
    return LowSpot(
        area=float((span * (ranges[:, 1] - ranges[:, 0])).sum() * finish.radius),
        stock=float(finish.radius - ranges[worst, 2]),
        at_clock=drawing_clock(wall, int(column[worst]), depth, torch),
        at_depth=depth,
        clock_from=begin,
        clock_to=end,
        depth_from=float(ranges[:, 0].min()),
        depth_to=float(ranges[:, 1].max()),
        column=int(column[worst]),
    )


def _clock_range(clock: Clock, columns: Counts) -> tuple[float, float]:
    """Clock range [rad] that a patch's columns take up: the circle less its widest gap."""
    n = len(clock.angle)
    if len(columns) == n:
        return 0.0, TURN
    gap = np.mod(np.diff(columns, append=columns[0] + n), n + 1)
    last = int(np.argmax(gap))
    first_column, last_column = columns[(last + 1) % len(columns)], columns[last]
    begin = clock.angle[first_column] - 0.5 * clock.span[first_column]
    end = clock.angle[last_column] + 0.5 * clock.span[last_column]
    return float(np.mod(begin, TURN)), float(np.mod(end, TURN))
