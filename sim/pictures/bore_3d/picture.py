"""Result in, Picture out: the plain numbers a 3-D picture of the bore needs, small enough to send
to a browser.

A picture is one map of stock per side for every stage of the job (worn, pre-bored, each layer), in
16 bits. The
least stock of each cell is kept, so no valley is lost to the size of a picture, and the sign of a
cell is never
rounded away. Where the wall stands follows from its stock and the two axes, so no second map is
sent.

World of the picture [mm]: x to 3 o'clock, y to 12 o'clock, z against the depth, so that the eye in
front of the
entry face looks along -z.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis
from sim.bore.cylinders import bored
from sim.bore.low_spots import LowSpot
from sim.bore.stock import least_stock, stock_cells
from sim.bore.wall import Clock, Wall
from sim.reference.arrays import TURN, Array, frozen
from sim.shop.as_worn import shape_of
from sim.shop.bored_clean import start_wall
from sim.shop.ready_to_lay import cut_before
from sim.shop.result import Result

Flags = NDArray[np.bool_]


Levels = NDArray[np.int16]


Ints = NDArray[np.int32]


CLOCK_CELLS = 720


CELLS_PER_PITCH = 12


MOST_VALUES = 1_600_000
"""Values of all maps of a picture together; a job with many layers gets coarser cells."""


CUT_OPEN = math.radians(130.0)
"""How far a view is cut open at first."""


LAID = 0.05
"""Metal added [mm] from which a cell counts as covered by a layer."""


@dataclass(frozen=True)
class Mark:
    """A low spot as it is pointed at: stock [mm per side] at its deepest, its clock about the
    drawing axis and its
    ray about the torch axis [rad], its depth [mm], its extent, and its cause in words.
    """

    stock: float
    clock: float
    ray: float
    depth: float
    clock_from: float
    clock_to: float
    depth_from: float
    depth_to: float
    cause: str


@dataclass(frozen=True)
class Picture:
    """The numbers of a 3-D picture.

    stock (n_stage, n_clock, n_depth) int16: the least stock per side of a cell lies in [q, q + 1) *
    step [mm].
    edges (n_depth + 1,): depths between cells [mm]; clock cells are equal, from 12 o'clock about
    the torch axis.
    judged (n_clock, n_depth): the cell is judged at least in part. before: the stage welding starts
    from.
    layers (n_stage,): number of the layer a stage adds, 0 where it adds none.
    windows (n_stage,): cells along depth in half a pitch. torch, finish (4,): x, y of the axis at
    depth 0 [mm],
    y up, and their change per mm of depth. down (3,): direction of gravity in the world of the
    picture.
    tops: upper ends of the colour scales [mm].
    """

    name: str
    units: str
    length: float
    radius: float
    outside: float | None
    least_cut: float
    stages: tuple[str, ...]
    before: int
    layers: tuple[int, ...]
    windows: tuple[int, ...]
    edges: Array
    step: float
    stock: Levels
    judged: Flags
    torch: Array
    finish: Array
    down: Array
    marks: tuple[Mark, ...]

    @cached_property
    def digest(self) -> str:
        """A short name for everything the picture holds: equal for equal pictures only."""
        told = hashlib.blake2b(digest_size=12)
        for f in fields(self):
            value = getattr(self, f.name)
            told.update(f.name.encode())
            told.update(
                np.ascontiguousarray(value).tobytes()
                if isinstance(value, np.ndarray)
                else repr(value).encode()
            )
        return told.hexdigest()

    @property
    def last(self) -> int:
        """The last stage."""
        return len(self.stages) - 1

    @property
    def clock(self) -> Array:
        """Clock angles [rad] of the cell centres, shape (n_clock,)."""
        n = self.stock.shape[1]
        return np.asarray((np.arange(n) + 0.5) * (TURN / n))

    @property
    def depth(self) -> Array:
        """Depths [mm] of the cell centres, shape (n_depth,)."""
        return np.asarray(0.5 * (self.edges[:-1] + self.edges[1:]))

    def least(self, stage: int) -> Array:
        """Least stock per side [mm] of each cell, shape (n_clock, n_depth), to half a step."""
        return np.asarray((self.stock[stage] + 0.5) * self.step)

    def axis_at(self, axis: Array, depth: Array) -> Array:
        """x, y (y up) of an axis at depths [mm], shape (2, n)."""
        return np.stack([axis[0] + axis[2] * depth, axis[1] + axis[3] * depth])

    def wall_radius(self, stage: int) -> Array:
        """Radius [mm] of the wall about the torch axis, shape (n_clock, n_depth): the largest of
        each cell.
        """
        return self.radius_at(self.stock[stage])

    def radius_at(self, level: Levels) -> Array:
        """Radius [mm] about the torch axis where the stock is at `level`, both (n_clock, n_depth).

        The point on the clock ray whose distance from the finish axis is the finish radius less the
        stock.
        """
        off = self.axis_at(self.torch, self.depth) - self.axis_at(self.finish, self.depth)
        along = np.sin(self.clock)[:, None] * off[0] + np.cos(self.clock)[:, None] * off[1]
        distance = self.radius - (level + 0.5) * self.step
        return np.asarray(np.sqrt(along**2 - (off**2).sum(axis=0) + distance**2) - along)

    def points(self, stage: int) -> Array:
        """The wall at the cell centres in the world of the picture [mm], shape (n_clock, n_depth,
        3).
        """
        return self.points_at(self.stock[stage])

    def points_at(self, level: Levels) -> Array:
        """The points on every clock ray where the stock is at `level` (n_clock, n_depth), shape
        (..., 3) [mm].
        """
        r, axis = self.radius_at(level), self.axis_at(self.torch, self.depth)
        x = axis[0] + r * np.sin(self.clock)[:, None]
        y = axis[1] + r * np.cos(self.clock)[:, None]
        return np.stack([x, y, np.broadcast_to(-self.depth, r.shape)], axis=-1)

    def thickness(self, stage: int) -> Ints:
        """Metal added by this stage in steps, lowest place of a cell to lowest place, (n_clock,
        n_depth).
        """
        if stage == 0:
            return np.zeros(self.stock.shape[1:], dtype=np.int32)
        return np.asarray(self.stock[stage].astype(np.int32) - self.stock[stage - 1])

    def ripple(self, stage: int) -> Ints:
        """How far each cell lies below the highest within half a pitch along depth, in steps,
        (n_clock, n_depth).
        """
        from scipy.ndimage import maximum_filter1d

        q = self.stock[stage].astype(np.int32)
        return np.asarray(
            maximum_filter1d(q, 2 * self.windows[stage] + 1, axis=1, mode="nearest") - q
        )

    def left(self, stage: int, after: int) -> Levels:
        """What a stage's levels come to after a later one: a cut or a re-melt takes metal away,
        (n_clock, n_depth).
        """
        return np.asarray(self.stock[stage : after + 1].min(axis=0))

    def uppermost(self, stage: int) -> Ints:
        """Number of the layer that shows in each cell after a stage, 0 where none does, (n_clock,
        n_depth).
        """
        shows = np.zeros(self.stock.shape[1:], dtype=np.int32)
        inner = self.stock[stage].astype(np.int32)
        for k in range(stage, self.before, -1):
            outer = np.minimum(inner, self.stock[k - 1])
            shows[(shows == 0) & ((inner - outer) * self.step > LAID)] = self.layers[k]
            inner = outer
        return shows

    @cached_property
    def body(self) -> float:
        """Radius [mm] at which the part is drawn to end: as it is where that is known and near,
        else a plain ring.
        """
        widest = float(max(self.wall_radius(k).max() for k in (0, self.before)))
        ring = widest + max(6.0, 0.12 * widest)
        return ring if self.outside is None else min(max(self.outside, widest + 2.0), 1.6 * widest)

    @cached_property
    def worst(self) -> tuple[float, float]:
        """Clock ray [rad] and depth [mm] of the least stock after the last stage."""
        if self.marks:
            return self.marks[0].ray, self.marks[0].depth
        level = np.where(self.judged, self.stock[-1], np.iinfo(np.int16).max)
        i, j = divmod(int(level.argmin()), level.shape[1])
        return float(self.clock[i]), float(self.depth[j])

    @cached_property
    def upright(self) -> tuple[Array, Array, Array]:
        """How the part stands before the eye: up against gravity, ahead into the bore, and to the
        right of that.
        """
        up = -self.down
        ahead = np.array([0.0, 0.0, -1.0]) + up[2] * up
        if np.linalg.norm(ahead) < 0.2:
            ahead = np.array([0.0, 1.0, 0.0]) - up[1] * up
        ahead = ahead / np.linalg.norm(ahead)
        return up, ahead, np.cross(ahead, up)

    @cached_property
    def home(self) -> tuple[Array, float]:
        """Where the eye stands first, as a direction from the bore, and the middle of the cut
        [rad], towards the eye.

        Before the entry face, to the side and to the height from which the worst place is seen
        through the cut.
        """
        up, ahead, right = self.upright
        across = np.array([-math.sin(self.worst[0]), -math.cos(self.worst[0]), 0.0])
        side = -1.0 if across @ right < -1e-6 else 1.0
        height = min(max(0.25 + 0.3 * float(across @ up), -0.2), 0.5) + 0.25 * abs(float(up[2]))
        eye = math.cos(height) * (0.75 * side * right - 0.66 * ahead) + math.sin(height) * up
        five = math.radians(5.0)
        cut = round(math.atan2(eye[0], eye[1]) / five) * five % TURN
        return eye / np.linalg.norm(eye), cut

    @cached_property
    def tops(self) -> dict[str, float]:
        """Upper ends of the colour scales [mm]: stock, thickness, ripple; one scale for all stages."""
        stock = self.least(self.last)[self.judged]
        laid = [self.thickness(k) for k in range(len(self.stages)) if self.layers[k]]
        ripples = [self.ripple(k)[self.judged] for k in range(len(self.stages)) if self.layers[k]]
        return {
            "stock": nice(max(float(np.percentile(stock, 98)), 2.0 * self.least_cut, 0.1)),
            "thickness": nice(max(float(np.percentile(np.array(laid), 98)) * self.step, 0.1)),
            "ripple": nice(max(float(np.percentile(np.array(ripples), 98)) * self.step, 0.05)),
        }


def nice(value: float) -> float:
    """The next round number at or above a positive value, for the end of a scale.

    >>> nice(2.21), nice(0.83), nice(3.0)
    (2.5, 1.0, 3.0)
    """
    power = 10.0 ** math.floor(math.log10(value))
    for share in (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0):
        if share * power >= value * (1.0 - 1e-9):
            return round(share * power, 9)
    return round(10.0 * power, 9)


def picture(
    result: Result, *, most: int = MOST_VALUES, clock: int | None = None, whole: bool = False
) -> Picture:
    """The picture of a judged job; `most` bounds the values in all its maps together.

    clock: just so many clock cells, and as many depth cells as that leaves. whole: only cells
    judged all over count
    as judged, so that every cell holds its own least stock.

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
    owner = _owner(result.start, n_clock)
    inside = _overlap(result.spans, edges)
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


def _owner(wall: Wall, n_clock: int) -> NDArray[np.int64]:
    """Pairs (clock cell, column), shape (k, 2): every column in its cell, and the nearest for a
    cell without.
    """
    cell = np.minimum((wall.clock.angle * (n_clock / TURN)).astype(int), n_clock - 1)
    pairs = [np.stack([cell, np.arange(len(cell))], axis=1)]
    empty = np.setdiff1d(np.arange(n_clock), cell)
    if len(empty):
        nearest = [wall.clock.nearest((k + 0.5) * TURN / n_clock) for k in empty]
        pairs.append(np.stack([empty, np.array(nearest)], axis=1))
    return np.concatenate(pairs)


def _overlap(spans: Array, edges: Array) -> Array:
    """Judged length [mm] of each depth cell in each column, shape (n_column, n_depth)."""
    out = np.zeros((len(spans), len(edges) - 1))
    for k in range(spans.shape[1]):
        low = np.maximum(spans[:, k, :1], edges[:-1])
        out += np.clip(np.minimum(spans[:, k, 1:], edges[1:]) - low, 0.0, None)
    return out


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
