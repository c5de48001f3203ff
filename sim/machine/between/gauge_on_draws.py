"""What a gauge would read on many walls that stand side by side: two-point diameters and radii, on
crests or in valleys.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bore.kernels.distance import extreme_columns
from sim.bore.read_wall import Readings
from sim.bore.torch_way import Area
from sim.bore.wall import Wall, over_columns
from sim.plan.odds.many_draws import ManyDraws, Standing
from sim.reference.arrays import TURN, Array


@dataclass(frozen=True)
class Places:
    """Where readings are taken: depth [mm], clock [rad], in a valley or not, all (rows,).

    diameter: two-point, else radius from a bar on the finish axis; foot: flat length of a gauge
    foot, or for an indicator and for valleys the length [mm] felt over for the highest or lowest
    place; within: depths [mm] between which valleys are looked for.
    """

    depth: Array
    clock: Array
    valley: NDArray[np.bool_]
    diameter: bool
    foot: float
    pitch: float
    within: tuple[float, float] = (-math.inf, math.inf)

    @classmethod
    def of(cls, found: Readings, foot: float, pitch: float, within: tuple[float, float]) -> Places:
        """The places of readings after a layer of this pitch [mm]."""
        valley = np.zeros(len(found.depth), dtype=bool) if found.valley is None else found.valley
        return cls(found.depth, found.clock, valley, found.kind == "diameter", foot, pitch, within)

    @classmethod
    def usual(cls, length: float, foot: float, pitch: float, areas: Sequence[Area] = ()) -> Places:
        """Twelve two-point readings: at three depths, at four clocks each; none with a foot over an
        area that is not welded, unless nothing else is left.
        """
        depth = np.repeat(np.array([0.25, 0.5, 0.75]) * length, 4)
        clock = np.tile(np.arange(4) * 0.25 * math.pi, 3)
        bare = np.zeros(12, dtype=bool)
        for at in (clock, clock + math.pi):
            bare |= np.array([_over(areas, c, d, foot) for c, d in zip(at, depth, strict=True)])
        if not bare.all():
            depth, clock = depth[~bare], clock[~bare]
        return cls(depth, clock, np.zeros(len(depth), dtype=bool), True, foot, pitch)


def _over(areas: Sequence[Area], clock: float, depth: float, foot: float) -> bool:
    """Tell whether a foot stands over an area."""
    return any(
        (clock - one.clock[0]) % TURN <= (one.clock[1] - one.clock[0]) % TURN
        and one.depth[0] - foot <= depth <= one.depth[1] + foot
        for one in areas
    )


def readings(bench: ManyDraws, standing: Standing, places: Places) -> Array:
    """What a gauge reads [mm] on the walls of these draws, shape (draws, rows), without any error
    of its own.
    """
    columns = len(bench.clock.angle)
    depths, which = np.unique(places.depth, return_inverse=True)
    felt = places.foot if places.diameter else places.pitch
    crest = standing.wall.under_foot(depths, felt)
    valley = _lowest(standing.wall, depths, places) if places.valley.any() else crest
    out = np.empty((len(standing.place), len(places.depth)))
    shifts = bench.shifts[bench.rows([one.index for one in standing.drawn])]
    for row, (at, clock) in enumerate(zip(which, places.clock, strict=True)):
        column = (valley if places.valley[row] else crest)[:, at].reshape(-1, columns).T
        near = bench.clock.interpolate(column, np.array([clock]))[0]
        if places.diameter:
            out[:, row] = near + bench.clock.interpolate(column, np.array([clock + math.pi]))[0]
        else:
            x, y = (
                shifts[:, 0] + shifts[:, 2] * places.depth[row],
                shifts[:, 1] + shifts[:, 3] * places.depth[row],
            )
            out[:, row] = near + x * math.sin(clock) - y * math.cos(clock)
    return out


def _lowest(wall: Wall, depths: Array, places: Places) -> Array:
    """Largest radius [mm] within half a pitch of each depth, (columns, depths)."""
    out, one = np.empty((len(wall.count), len(depths))), np.empty((len(wall.count), 2))
    for k, depth in enumerate(depths):
        low, high = depth - 0.5 * places.pitch, depth + 0.5 * places.pitch
        inside = max(low, min(places.within[0], depth)), min(high, max(places.within[1], depth))
        spans = np.tile(np.array([[inside]]), (len(wall.count), 1, 1))
        over_columns(
            extreme_columns, len(out), wall.clock.angle, *wall.pieces, np.zeros(4), spans, 1.0, one
        )
        out[:, k] = one[:, 0]
    return out
