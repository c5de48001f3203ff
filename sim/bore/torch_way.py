"""The way of the torch: depth against the angle turned, and where the arc burns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.reference.arrays import TURN, Array, frozen


@dataclass(frozen=True)
class Area:
    """A no-weld area: clock angles `clock` from..to [rad, clockwise], depths `depth` from..to [mm].

    With `hole_radius` [mm] and `wall_radius` [mm] given it is a round hole in the middle of that
    box.
    """

    clock: tuple[float, float]
    depth: tuple[float, float]
    hole_radius: float = 0.0
    wall_radius: float = 0.0


@dataclass(frozen=True)
class Path:
    """One layer's way: `phi` (k,) angle turned [rad] from 0, and `depth` (k,) [mm], straight in
    between.

    start_clock [rad]; turning +1 clockwise, -1 counter-clockwise as seen from the entry face; arcs
    (a, 2):
    angles turned at which the arc starts and stops; pitch [mm] feed per turn.

    >>> way = spiral(start=2.0, end=16.0, pitch=3.5, closing=(1, 1))
    >>> way.turns
    6.0
    """

    phi: Array
    depth: Array
    arcs: Array
    pitch: float
    start_clock: float = 0.0
    turning: int = 1

    @property
    def turns(self) -> float:
        """Turns made, arc on or off."""
        return float(self.phi[-1] / TURN)

    @property
    def angle_on(self) -> float:
        """Angle turned with the arc on [rad]."""
        return float((self.arcs[:, 1] - self.arcs[:, 0]).sum())

    @property
    def kernel(self) -> tuple[Array, Array, Array, float, int]:
        """What the kernels take."""
        return self.phi, self.depth, self.arcs, self.start_clock, self.turning

    def events(self) -> Array:
        """Clock angles [rad] at which the arc starts or stops or the advance changes."""
        turned = np.concatenate([self.arcs.ravel(), self.phi])
        return np.asarray(self.start_clock + self.turning * turned)

    def depth_at(self, phi: Array) -> Array:
        """Depth [mm] of the torch at angles turned [rad]."""
        return np.asarray(np.interp(phi, self.phi, self.depth))

    def until(self, turned: float) -> Path:
        """The way as far as an angle turned [rad]. An arc that still burns there has not stopped:
        no taper.

        >>> way = spiral(start=2.0, end=16.0, pitch=3.5).until(TURN)
        >>> way.turns, float(way.depth[-1])
        (1.0, 5.5)
        """
        end = min(max(turned, 0.0), float(self.phi[-1]))
        keep = self.phi < end
        phi = np.append(self.phi[keep] if keep.any() else 0.0, end)
        return replace(self, phi=frozen(phi), depth=frozen(self.depth_at(phi)))

    def without(self, areas: Sequence[Area]) -> Path:
        """The same way with the arc off inside the no-weld areas."""
        arcs = self.arcs
        for area in areas:
            arcs = _cut(arcs, self._inside(area))
        return replace(self, arcs=frozen(arcs))

    def _inside(self, area: Area) -> Array:
        """Angles turned between which the torch is over the area, shape (k, 2), ascending."""
        begin = area.clock[0] if self.turning > 0 else area.clock[1]
        width = float(np.mod(area.clock[1] - area.clock[0], TURN)) or TURN
        first = float(np.mod(self.turning * (begin - self.start_clock), TURN))
        found: list[tuple[float, float]] = []
        for k in range(-1, int(self.turns) + 2):
            enter = first + k * TURN
            leave = enter + width
            if leave <= 0.0 or enter >= self.phi[-1]:
                continue
            if area.hole_radius:
                found += self._over_hole(area, 0.5 * (enter + leave))
            else:
                found += self._within(max(enter, 0.0), min(leave, float(self.phi[-1])), area.depth)
        return np.array(_joined(found)).reshape(-1, 2)

    def _over_hole(self, area: Area, middle: float) -> list[tuple[float, float]]:
        depth = float(self.depth_at(np.array([middle]))[0])
        off = depth - 0.5 * (area.depth[0] + area.depth[1])
        if abs(off) >= area.hole_radius:
            return []
        half = math.sqrt(area.hole_radius**2 - off**2) / area.wall_radius
        return [(max(middle - half, 0.0), min(middle + half, float(self.phi[-1])))]

    def _within(
        self, enter: float, leave: float, depth: tuple[float, float]
    ) -> list[tuple[float, float]]:
        """Where between two angles the depth lies in the range: the advance is monotonic, so once."""
        inner = self.phi[(self.phi > enter) & (self.phi < leave)]
        nodes = np.concatenate([[enter], inner, [leave]])
        z = self.depth_at(nodes)
        found = []
        for p0, p1, z0, z1 in zip(nodes, nodes[1:], z, z[1:], strict=False):
            if z0 == z1:
                if depth[0] <= z0 <= depth[1]:
                    found.append((float(p0), float(p1)))
                continue
            a, b = sorted((p0 + (d - z0) / (z1 - z0) * (p1 - p0)) for d in depth)
            lo, hi = max(p0, a), min(p1, b)
            if hi > lo:
                found.append((float(lo), float(hi)))
        return found


def _joined(ranges: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Ascending ranges with those that touch made one."""
    out: list[tuple[float, float]] = []
    for lo, hi in sorted(ranges):
        if out and lo <= out[-1][1] + 1e-9:
            out[-1] = (out[-1][0], max(out[-1][1], hi))
        else:
            out.append((lo, hi))
    return out


def _cut(arcs: Array, off: Array) -> Array:
    """The arcs (a, 2) less the ranges `off` (k, 2)."""
    left = [(float(a), float(b)) for a, b in arcs]
    for lo, hi in off:
        after = []
        for a, b in left:
            if hi <= a or lo >= b:
                after.append((a, b))
                continue
            if lo > a:
                after.append((a, float(lo)))
            if hi < b:
                after.append((float(hi), b))
        left = after
    return np.array(left).reshape(-1, 2)


def spiral(
    start: float,
    end: float,
    pitch: float,
    *,
    closing: tuple[int, int] = (0, 0),
    start_clock: float = 0.0,
    turning: int = 1,
) -> Path:
    """A spiral from depth `start` to `end` [mm] (end < start: feed out), closing turns with the
    feed off first and last.
    """
    run = abs(end - start) / pitch * TURN
    lead, tail = closing[0] * TURN, closing[1] * TURN
    phi = np.array([0.0, lead, lead + run, lead + run + tail])
    depth = np.array([start, start, end, end], dtype=float)
    return _made(phi, depth, pitch, start_clock, turning)


def rings(
    start: float,
    end: float,
    pitch: float,
    *,
    step_over: float,
    start_clock: float = 0.0,
    turning: int = 1,
) -> Path:
    """Full turns with the feed off, then a step of one pitch within `step_over` [rad] at the start
    clock.

    The last step is shortened to end at `end`; every clock is passed at the first and at the last
    depth.
    """
    n = max(math.ceil(abs(end - start) / pitch - 1e-9), 0)
    sign = 1.0 if end >= start else -1.0
    levels = [start + sign * pitch * k for k in range(n)] + [end]
    phi, depth = [0.0], [start]
    for k in range(1, len(levels)):
        phi += [k * TURN, k * TURN + step_over]
        depth += [levels[k - 1], levels[k]]
    phi.append(len(levels) * TURN + (step_over if n else 0.0))
    depth.append(end)
    return _made(np.array(phi), np.array(depth), pitch, start_clock, turning)


def _made(phi: Array, depth: Array, pitch: float, start_clock: float, turning: int) -> Path:
    keep = np.concatenate([[True], np.diff(phi) > 0.0])
    phi, depth = phi[keep], depth[keep]
    arcs = np.array([[0.0, phi[-1]]])
    return Path(frozen(phi), frozen(depth), frozen(arcs), pitch, start_clock % TURN, turning)
