"""The wall of the bore about the torch axis, held as sections: one list of parabola pieces per
clock column.

Depth z [mm] runs from the entry face into the bore; the clock angle [rad] is 0 at 12 o'clock and
grows clockwise as seen looking into the bore. The clock is periodic: the seam is handled here and
nowhere else.
"""

from __future__ import annotations

import math
import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from sim.bore.kernels.pieces import integrate_columns, sample_columns, thin_columns
from sim.bore.kernels.read_off import foot_columns
from sim.reference.arrays import TURN, Array, Counts, frozen

SLIVER = math.radians(0.002)


BLOCK = 180  # columns: with fewer, waking a second thread costs more than it saves (measured)


_here = threading.local()


@cache
def cores() -> int:
    """Cores of the machine; asked once, since asking takes longer than a kernel on few columns."""
    return os.cpu_count() or 1


@cache
def _pool() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max(cores() - 1, 1), thread_name_prefix="columns")


@contextmanager
def one_thread() -> Iterator[None]:
    """Inside this block this thread runs its kernels itself: for sweeps that already keep every
    core busy.
    """
    before = getattr(_here, "alone", False)
    _here.alone = True
    try:
        yield
    finally:
        _here.alone = before


def alone() -> bool:
    """Tell whether this thread runs its kernels itself, see `one_thread`."""
    return bool(getattr(_here, "alone", False))


def over_columns(kernel: Callable[..., None], n_clock: int, *arguments: Any) -> None:
    """Run `kernel(first, last, *arguments)` over all columns, one block of them per thread, this
    thread included.
    """
    workers = 1 if alone() else min(cores(), n_clock // BLOCK)
    if workers <= 1:
        kernel(0, n_clock, *arguments)
        return
    edges = np.linspace(0, n_clock, workers + 1).astype(int)
    waiting = [
        _pool().submit(kernel, a, b, *arguments) for a, b in zip(edges[1:], edges[2:], strict=False)
    ]
    kernel(0, edges[1], *arguments)
    for job in waiting:
        job.result()


@dataclass(frozen=True)
class Clock:
    """Clock columns: `angle` (n,) [rad] at cell centres, ascending, and cell width `span` (n,)
    [rad].

    >>> Clock.even(4).angle.round(4).tolist()
    [0.7854, 2.3562, 3.927, 5.4978]
    """

    angle: Array
    span: Array

    @classmethod
    def even(cls, n: int, events: Array | None = None) -> Clock:
        """Equal cells, n of them from 12 o'clock, and at each clock angle in `events` [rad] a
        sliver on either side.

        The slivers hold the columns just before and just after an arc start or stop, so what jumps
        there is seen on both sides.
        """
        edges = np.arange(n) * (TURN / n)
        if events is not None and len(events):
            turned = np.unique(np.round(np.mod(events, TURN), 9))
            extra = np.concatenate([turned - SLIVER, turned, turned + SLIVER]) % TURN
            near = np.abs((edges[:, None] - turned[None, :] + math.pi) % TURN - math.pi).min(axis=1)
            edges = np.sort(np.concatenate([edges[near > 1.5 * SLIVER], extra]))
        span = np.diff(edges, append=edges[0] + TURN)
        keep = span > 1e-12
        centre = np.mod((edges + 0.5 * span)[keep], TURN)
        order = np.argsort(centre)
        return cls(frozen(centre[order]), frozen(span[keep][order]))

    def nearest(self, angle: float) -> int:
        """The column nearest to a clock angle [rad], across the seam."""
        away = np.abs(np.mod(self.angle - angle + math.pi, TURN) - math.pi)
        return int(np.argmin(away))

    def interpolate(self, values: Array, angle: Array) -> Array:
        """Values (n, ...) given at the columns, read at clock angles (k,) [rad], straight between
        columns.
        """
        n = len(self.angle)
        angle = np.mod(angle, TURN)
        after = np.searchsorted(self.angle, angle) % n
        before = (after - 1) % n
        gap = np.mod(self.angle[after] - self.angle[before], TURN)
        gap[gap == 0.0] = TURN
        share = np.mod(angle - self.angle[before], TURN) / gap
        share = share.reshape((-1,) + (1,) * (values.ndim - 1))
        return np.asarray(values[before] * (1.0 - share) + values[after] * share)


@dataclass(frozen=True)
class Wall:
    """Sections of the wall: on piece j of column i, r = c0 + c1 t + c2 t^2 [mm], t = z - knots[i,
    j] [mm].

    knots (n_clock, m + 1), coef (n_clock, m, 3), count (n_clock,): pieces in use per column.

    >>> wall = Wall.round(Clock.even(8), 40.0, -5.0, 105.0)
    >>> wall.radius(np.array([0.0, 50.0]))[3].tolist()
    [40.0, 40.0]
    >>> round(wall.mean_radius(0.0, 100.0), 9)
    40.0
    """

    clock: Clock
    knots: Array
    coef: Array
    count: Counts

    @classmethod
    def round(cls, clock: Clock, radius: float, start: float, end: float) -> Wall:
        """A plain cylinder about the torch axis from depth `start` to `end` [mm]."""
        flat = np.full((len(clock.angle), 2), radius)
        return cls.from_radius(clock, np.array([start, end]), flat)

    @classmethod
    def from_radius(
        cls, clock: Clock, depth: Array, radius: Array, *, tolerance: float = 1e-5
    ) -> Wall:
        """Straight pieces through radius (n_clock, n_depth) [mm] at ascending `depth` [mm].

        Knots are dropped where the section stays within `tolerance` [mm] of the points without
        them.
        """
        n, m = radius.shape
        if (n, m) != (len(clock.angle), len(depth)):
            raise ValueError(
                f"radius {radius.shape}: must be (clock, depth) = ({len(clock.angle)}, "
                f"{len(depth)})"
            )
        knots, coef = np.zeros((n, m)), np.zeros((n, m - 1, 3))
        count = np.zeros(n, dtype=np.int64)
        over_columns(
            thin_columns,
            n,
            np.ascontiguousarray(depth, dtype=float),
            np.ascontiguousarray(radius, dtype=float),
            tolerance,
            knots,
            coef,
            count,
        )
        most = int(count.max())
        return cls(
            clock,
            frozen(knots[:, : most + 1].copy()),
            frozen(coef[:, :most].copy()),
            frozen(count),
        )

    @property
    def pieces(self) -> tuple[Array, Array, Counts]:
        """What the kernels take: knots, coef, count."""
        return self.knots, self.coef, self.count

    @property
    def start(self) -> float:
        """First depth held [mm]."""
        return float(self.knots[0, 0])

    @property
    def end(self) -> float:
        """Last depth held [mm]."""
        return float(self.knots[0, self.count[0]])

    def radius(self, depth: Array) -> Array:
        """Radius [mm] of every column at ascending depths [mm], shape (n_clock, n_depth)."""
        out = np.empty((len(self.count), len(depth)))
        depth = np.ascontiguousarray(depth, dtype=float)
        over_columns(sample_columns, len(out), *self.pieces, depth, out)
        return out

    def sampled(self, n_clock: int, depth: Array) -> Array:
        """Radius map [mm], shape (n_clock, n_depth), at equal clock cells (centres) for pictures
        and files.
        """
        even = np.asarray((np.arange(n_clock) + 0.5) * (TURN / n_clock), dtype=np.float64)
        return self.clock.interpolate(self.radius(depth), even)

    def section(self, clock: float) -> tuple[Array, Array]:
        """Depth and radius [mm] of the column nearest to a clock angle [rad], fine enough to draw."""
        i = self.clock.nearest(clock)
        n = int(self.count[i])
        z, r = [], []
        for j in range(n):
            z0, z1 = self.knots[i, j], self.knots[i, j + 1]
            a, b, c = self.coef[i, j]
            t = np.linspace(0.0, z1 - z0, 2 if c == 0.0 else 9)
            z.append(z0 + t)
            r.append(a + t * (b + t * c))
        return np.concatenate(z), np.concatenate(r)

    def only(self, columns: Counts) -> Wall:
        """The same wall on some of its columns, a clock cell each as wide as before."""
        clock = Clock(frozen(self.clock.angle[columns]), frozen(self.clock.span[columns]))
        return Wall(
            clock,
            frozen(self.knots[columns]),
            frozen(self.coef[columns]),
            frozen(self.count[columns]),
        )

    def integrals(self, z0: float, z1: float) -> Array:
        """Integrals over depth z0..z1 of r [mm2] and r^2 [mm3] of every column, shape (n_clock, 2);
        exact.
        """
        out = np.empty((len(self.count), 2))
        over_columns(integrate_columns, len(out), *self.pieces, z0, z1, out)
        return out

    def mean_radius(self, z0: float, z1: float) -> float:
        """Mean radius [mm] over clock and depth z0..z1: of the circle that holds the same volume."""
        square = self.integrals(z0, z1)[:, 1]
        return math.sqrt(float(square @ self.clock.span) / (TURN * (z1 - z0)))

    def volume_inside(self, z0: float, z1: float) -> float:
        """Volume of the hole [mm3] between depths z0 and z1."""
        return 0.5 * float(self.integrals(z0, z1)[:, 1] @ self.clock.span)

    def volume_to(self, inner: Wall, z0: float, z1: float) -> float:
        """Metal [mm3] between this wall and a later, tighter one, between depths z0 and z1; exact."""
        if z1 <= z0:
            return 0.0
        between = self.integrals(z0, z1)[:, 1] - inner.integrals(z0, z1)[:, 1]
        return 0.5 * float(between @ self.clock.span)

    def under_foot(self, depth: Array, foot: float) -> Array:
        """Smallest radius [mm] under a flat gauge foot of length `foot` [mm] at each depth,
        (n_clock, n_depth).
        """
        out = np.empty((len(self.count), len(depth)))
        depth = np.ascontiguousarray(depth, dtype=float)
        over_columns(foot_columns, len(out), *self.pieces, depth, 0.5 * foot, out)
        return out
