"""The plain numbers a 3-D picture of the bore needs, small enough to send to a browser, and what
follows from them.

A picture is one map of stock per side for every stage of the job (worn, pre-bored, each layer), in
16 bits. The least stock of each cell is kept, so no valley is lost to the size of a picture, and
the sign of a cell is never rounded away. Where the wall stands follows from its stock and the two
axes, so no second map is sent.

World of the picture [mm]: x to 3 o'clock, y to 12 o'clock, z against the depth, so that the eye in
front of the entry face looks along -z.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.reference.arrays import TURN, Array

Flags = NDArray[np.bool_]


Levels = NDArray[np.int16]


Ints = NDArray[np.int32]


CUT_OPEN = math.radians(130.0)
"""How far a view is cut open at first."""


LAID = 0.05
"""Metal added [mm] from which a cell counts as covered by a layer."""


@dataclass(frozen=True)
class Mark:
    """A low spot as it is pointed at: stock [mm per side] at its deepest, its clock about the
    drawing axis and its ray about the torch axis [rad], its depth [mm], its extent, and its cause
    in words.
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
    step [mm]. edges (n_depth + 1,): depths between cells [mm]; clock cells are equal, from 12
    o'clock about the torch axis. judged (n_clock, n_depth): the cell is judged at least in part.
    before: the stage welding starts from. layers (n_stage,): number of the layer a stage adds, 0
    where it adds none. windows (n_stage,): cells along depth in half a pitch. torch, finish (4,):
    x, y of the axis at depth 0 [mm], y up, and their change per mm of depth. down (3,): direction
    of gravity in the world of the picture. tops: upper ends of the colour scales [mm].
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
