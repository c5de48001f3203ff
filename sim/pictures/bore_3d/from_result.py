"""Result in, Picture out: the least stock of every cell at every stage."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis
from sim.bore.cylinders import bored
from sim.bore.low_spots import LowSpot
from sim.bore.stock import columns_of_cells, judged_length, least_stock, stock_cells
from sim.bore.wall import Clock, Wall
from sim.pictures.bore_3d.picture import Flags, Mark, Picture
from sim.reference.arrays import Array, frozen
from sim.shop.as_worn import shape_of
from sim.shop.bored_clean import start_wall
from sim.shop.ready_to_lay import cut_before
from sim.shop.result import Result

CLOCK_CELLS = 720


CELLS_PER_PITCH = 12


MOST_VALUES = 1_600_000
"""Values of all maps of a picture together; a job with many layers gets coarser cells."""


def picture(
    result: Result, *, most: int = MOST_VALUES, clock: int | None = None, whole: bool = False
) -> Picture:
    """The picture of a judged job; `most` bounds the values in all its maps together.

    clock: just so many clock cells, and as many depth cells as that leaves. whole: only cells
    judged all over count as judged, so that every cell holds its own least stock.

    >>> from sim import load, simulate
    >>> seen = picture(simulate(load("scenes/cleans_up.toml")))
    >>> seen.stages[-1], bool((seen.stock[-1] >= 0).all())
    ('layer 2', True)
    """
    scene, bore = result.scene, result.scene.bore
    stages = _stages(result)
    walls = [wall for _, _, wall in stages]
    pitches = [layer.setting.path.pitch for layer in result.layers]
    ends = (bore.chamfer_entry, bore.chamfer_far)
    n_clock, edges = _cells(bore.length, ends, min(pitches), most // len(walls), clock)
    n_clock = min(n_clock, len(result.start.clock.angle) // 8 * 8)
    stock, judged = _stock(result, walls, edges, n_clock, whole)
    step = max(0.001, math.ceil(float(np.abs(stock).max()) / 32.0) * 0.001)
    cell, before = float(np.median(np.diff(edges))), 0 if result.scene.pre_bore is None else 1
    return Picture(
        name=scene.job.name,
        units=scene.job.units,
        length=bore.length,
        radius=result.finish.radius,
        outside=None if bore.outside_diameter is None else 0.5 * bore.outside_diameter,
        least_cut=scene.cut.minimum_cut,
        stages=tuple(name for name, _, _ in stages),
        before=before,
        layers=tuple(number for _, number, _ in stages),
        windows=tuple(
            math.ceil(0.5 * pitches[max(number - 1, 0)] / cell) for _, number, _ in stages
        ),
        edges=frozen(edges),
        step=step,
        stock=frozen(np.floor(stock / step).astype(np.int16)),
        judged=frozen(judged),
        torch=_line(result.axes.torch),
        finish=_line(result.finish.axis),
        down=_down(bore.inclination, bore.top),
        marks=tuple(_mark(spot, result.start.clock) for spot in result.low_spots),
    )


def _stages(result: Result) -> list[tuple[str, int, Wall]]:
    """Name, number of the layer added (0: none) and wall of every stage, from the worn bore on."""
    scene = result.scene
    out = [("worn bore", 0, result.start)]
    if scene.pre_bore is not None:
        clock, length = result.start.clock, scene.bore.length
        worn = start_wall(shape_of(scene), clock, result.axes.torch, None, start=0.0, end=length)
        out = [("worn bore", 0, worn), ("pre-bored", 0, result.start)]
    for number, layer in enumerate(result.layers, 1):
        if cut_before(scene) == number:
            out.append(("cut", 0, bored(out[-1][2], result.finish, result.axes.torch)))
        out.append((f"layer {number}", number, layer.wall))
    return out


def _cells(
    length: float, chamfers: tuple[float, float], pitch: float, most: int, clock: int | None
) -> tuple[int, Array]:
    """Number of clock cells and depth edges [mm]; the judged part begins and ends on an edge."""
    n_depth = max(length / pitch * CELLS_PER_PITCH, 60.0)
    n_clock = float(clock or CLOCK_CELLS)
    too_many = n_clock * n_depth / most
    if too_many > 1.0:
        n_clock = float(clock or max(n_clock / math.sqrt(too_many), 90.0))
        n_depth = most / n_clock
    cell = length / n_depth
    ends = [0.0, chamfers[0], length - chamfers[1], length]
    parts = [
        np.linspace(a, b, math.ceil((b - a) / cell - 1e-9) + 1)[:-1]
        for a, b in zip(ends, ends[1:], strict=False)
        if b > a
    ]
    return int(n_clock) // 8 * 8, np.concatenate([*parts, [length]])


def _stock(
    result: Result, walls: Sequence[Wall], edges: Array, n_clock: int, only_whole: bool
) -> tuple[Array, Flags]:
    """Least stock [mm] of every cell at every stage, (n_stage, n_clock, n_depth), and which cells
    are judged.

    A cell judged in part, beside a hole or a keyway, takes its stock from that part alone, or is
    left out.
    """
    torch = result.axes.torch
    stock = np.stack([stock_cells(wall, result.finish, torch, edges, n_clock) for wall in walls])
    owner = columns_of_cells(result.start.clock, n_clock)
    inside = judged_length(result.spans, edges)
    whole = inside >= np.diff(edges) - 1e-9
    judged, all_of = (
        np.zeros((n_clock, len(edges) - 1), bool),
        np.ones((n_clock, len(edges) - 1), bool),
    )
    np.logical_or.at(judged, owner[:, 0], (inside > 1e-9)[owner[:, 1]])
    np.logical_and.at(all_of, owner[:, 0], whole[owner[:, 1]])
    if only_whole:
        return stock, judged & all_of
    part = judged & ~all_of
    if part.any():
        for k, wall in enumerate(walls):
            _take_part(stock[k], part, result, wall, edges, owner)
    return stock, judged


def _take_part(
    stock: Array, part: Flags, result: Result, wall: Wall, edges: Array, owner: NDArray[np.int64]
) -> None:
    """Put the least stock of the judged part into the cells that are judged in part."""
    mine = np.isin(owner[:, 0], np.flatnonzero(part.any(axis=1)))
    cells, columns = owner[mine].T
    few = wall.only(columns)
    for j in np.flatnonzero(part.any(axis=0)):
        spans = np.clip(result.spans[columns], edges[j], edges[j + 1])
        if not (spans[:, :, 1] > spans[:, :, 0]).any():
            continue
        value = least_stock(few, result.finish, result.axes.torch, spans).value
        least = np.full(len(part), np.inf)
        np.fmin.at(least, cells, value)
        stock[part[:, j], j] = least[part[:, j]]


def _line(axis: Axis) -> Array:
    """x, y at depth 0 and their change per mm of depth, y up."""
    x, y = axis.at(np.array([0.0, 1.0]))
    return frozen(np.array([x[0], -y[0], x[1] - x[0], y[0] - y[1]]))


def _down(inclination: float, top: float) -> Array:
    """Direction of gravity in the world of the picture; the bore runs downhill by `inclination`
    [rad].

    >>> _down(0.0, 0.0).tolist(), _down(math.pi / 2, 0.0).round(9).tolist()
    ([-0.0, -1.0, -0.0], [-0.0, -0.0, -1.0])
    """
    flat = math.cos(inclination)
    return frozen(np.array([-flat * math.sin(top), -flat * math.cos(top), -math.sin(inclination)]))


def _mark(spot: LowSpot, clock: Clock) -> Mark:
    return Mark(
        stock=spot.stock,
        clock=spot.at_clock,
        ray=float(clock.angle[spot.column]),
        depth=spot.at_depth,
        clock_from=spot.clock_from,
        clock_to=spot.clock_to,
        depth_from=spot.depth_from,
        depth_to=spot.depth_to,
        cause=spot.cause,
    )
