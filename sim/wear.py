"""Worn walls from parameters, and the wall as it stands before the first layer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from sim import gauge
from sim.form import Axis, polar
from sim.job import Gouge, Groove, Scene, Worn
from sim.wall import Array, Clock, Wall


class Shape(Protocol):
    """A worn wall about the drawing axis."""

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""

    @property
    def nodes(self) -> Array:
        """Depths [mm] between which the wall is straight, or near enough."""


@dataclass(frozen=True)
class WornShape:
    """A wall worn as the scene's parameters say; the wall at a face runs on past it.

    >>> from sim.job import Worn
    >>> oval = WornShape(Worn(diameter=80.0, out_of_round=1.0), (), (), 100.0)
    >>> oval.radius(np.array([0.0, np.pi / 2]), np.array([50.0, 50.0])).tolist()
    [40.5, 40.0]
    """

    worn: Worn
    gouges: tuple[Gouge, ...]
    grooves: tuple[Groove, ...]
    length: float

    @classmethod
    def of(cls, scene: Scene) -> WornShape:
        """The worn wall of a scene."""
        return cls(scene.worn, scene.gouge, scene.groove, scene.bore.length)

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""
        w, z = self.worn, np.clip(depth, 0.0, self.length)
        r = 0.5 * (w.diameter + w.taper * z / self.length)
        r = r + 0.5 * w.out_of_round * np.cos(clock - w.out_of_round_at) ** 2
        r = r + w.eccentric * 0.5 * (1.0 + np.cos(clock - w.eccentric_at))
        r = r + 0.5 * w.bell_entry * np.clip(1.0 - z / w.bell_entry_length, 0.0, 1.0) ** 2
        r = r + 0.5 * w.bell_far * np.clip(1.0 - (self.length - z) / w.bell_far_length, 0.0, 1.0) ** 2
        for groove in self.grooves:
            flank = 0.5 * groove.width - np.abs(z - groove.depth)
            r = r + np.clip(flank, 0.0, min(groove.deep, 0.5 * groove.width))
        for gouge in self.gouges:
            r = r + self._gouge(gouge, clock, z)
        return np.asarray(r)

    def _gouge(self, gouge: Gouge, clock: Array, z: Array) -> Array:
        away = np.mod(clock - gouge.at + math.pi, 2.0 * math.pi) - math.pi
        across = np.clip(away * 0.5 * self.worn.diameter / (0.5 * gouge.width), -1.0, 1.0)
        along = np.clip((z - gouge.depth) / (0.5 * gouge.length), -1.0, 1.0)
        return np.asarray(gouge.deep * np.cos(0.5 * np.pi * across) ** 2 * np.cos(0.5 * np.pi * along) ** 2)

    @property
    def nodes(self) -> Array:
        """Depths [mm] between which the wall is straight to some 1e-5 mm."""
        w, parts = self.worn, [np.linspace(0.0, self.length, 201)]
        if w.bell_entry:
            parts.append(np.linspace(0.0, min(w.bell_entry_length, self.length), 201))
        if w.bell_far:
            parts.append(np.linspace(max(self.length - w.bell_far_length, 0.0), self.length, 201))
        for groove in self.grooves:
            half, deep = 0.5 * groove.width, min(groove.deep, 0.5 * groove.width)
            ends = np.array([-half, -half + deep, half - deep, half])
            parts.append(groove.depth + ends)
        for gouge in self.gouges:
            parts.append(gouge.depth + np.linspace(-0.5, 0.5, 161) * gouge.length)
        return np.clip(np.concatenate(parts), 0.0, self.length)


@dataclass(frozen=True)
class AboutBar:
    """A shape given about a bar that is not on the drawing axis, read about the drawing axis."""

    shape: Shape
    bar: Axis

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] about the drawing axis at clock [rad] and depth [mm], broadcast together."""
        x0, y0 = self.bar.at(depth)
        sin, cos = np.sin(clock), np.cos(clock)
        r = self.shape.radius(clock, depth)
        for _ in range(30):
            x, y = r * sin - x0, -r * cos - y0
            off = self.shape.radius(np.arctan2(x, -y), depth) - np.hypot(x, y)
            r = r + off
            if float(np.abs(off).max()) < 1e-10:
                break
        return np.asarray(r)

    @property
    def nodes(self) -> Array:
        """As those of the shape."""
        return self.shape.nodes


def shape_of(scene: Scene) -> Shape:
    """The worn wall of a scene: through its readings, or by its parameters."""
    source = scene.readings
    if source is None:
        return WornShape.of(scene)
    wall = gauge.wall_from(source.found)
    if source.found.kind == "diameter" or not (source.bar_entry or source.bar_far):
        return wall
    entry, far = polar(source.bar_entry, source.bar_entry_at), polar(source.bar_far, source.bar_far_at)
    return AboutBar(wall, Axis(entry, far, scene.bore.length))


def worst_unseen(scene: Scene) -> Shape | None:
    """The worst wall that two-point readings allow; None where nothing is unseen.

    Where the original diameter is not given the final size stands for it.
    """
    source = scene.readings
    if source is None or source.found.kind != "diameter":
        return None
    return gauge.WorstUnseen(gauge.wall_from(source.found), scene.bore.original_diameter or scene.bore.final_diameter)


@dataclass(frozen=True)
class Bored:
    """A bored or finished surface: radius [mm] about a straight axis."""

    axis: Axis
    radius: float


def about(shape: Shape, clock: Array, depth: Array, torch: Axis) -> Array:
    """Radius [mm] of a worn shape about the torch axis, shape (n_clock, n_depth).

    Solved along each ray by fixed point: the offset of the axes is small beside the radius.
    """
    x0, y0 = torch.at(depth)
    sin, cos = np.sin(clock)[:, None], np.cos(clock)[:, None]
    wanted = shape.radius(clock[:, None], depth[None, :])
    if not (np.any(x0) or np.any(y0)):
        return wanted
    r = wanted.copy()
    for _ in range(30):
        x, y = x0 + r * sin, y0 - r * cos
        off = shape.radius(np.arctan2(x, -y), depth[None, :]) - np.hypot(x, y)
        r += off
        if float(np.abs(off).max()) < 1e-10:
            break
    return r


def ray_to(cylinder: Bored, clock: Array, depth: Array, torch: Axis) -> Array:
    """Distance [mm] from the torch axis to a cylinder along each clock ray, shape (n_clock, n_depth)."""
    xt, yt = torch.at(depth)
    xc, yc = cylinder.axis.at(depth)
    dx, dy = xt - xc, yt - yc
    sin, cos = np.sin(clock)[:, None], np.cos(clock)[:, None]
    along = dx * sin - dy * cos
    across = dx * cos + dy * sin
    return np.asarray(np.sqrt(cylinder.radius**2 - across**2) - along)


def start_wall(
    shape: Shape, clock: Clock, torch: Axis, bored: Bored | None, *, start: float, end: float, nodes: Array | None = None
) -> Wall:
    """The wall about the torch axis [mm] from depth `start` to `end`, worn and then pre-bored.

    Boring turns the wall to at least its radius; where the worn wall is already larger it stays. nodes: depths [mm] to
    use instead of the shape's own, see `few_nodes`.
    """
    nodes = np.concatenate([shape.nodes if nodes is None else nodes, [start, end]])
    depth = np.unique(np.round(nodes[(nodes >= start) & (nodes <= end)], 9))
    radius = about(shape, clock.angle, depth, torch)
    if bored is not None:
        radius = np.maximum(radius, ray_to(bored, clock.angle, depth, torch))
    return Wall.from_radius(clock, depth, radius)


def few_nodes(shape: Shape, bored: Bored | None, length: float, *, tolerance: float = 1e-3, spacing: float = 8.0) -> Array:
    """Depths [mm] of a few nodes between which worn and bored wall are straight to `tolerance` [mm]; for draws.

    Nodes are put in where the error is largest until none is larger, at least one each `spacing` [mm].
    """
    clock = np.asarray((np.arange(48) + 0.5) * (2.0 * math.pi / 48), dtype=np.float64)
    depth = np.unique(np.round(shape.nodes, 9))
    worn = shape.radius(clock[:, None], depth[None, :])
    maps = [worn] if bored is None else [worn, np.maximum(worn, bored.radius)]
    rows = np.concatenate(maps)
    kept = set(np.searchsorted(depth, np.linspace(depth[0], depth[-1], math.ceil(length / spacing) + 1)[1:-1]))
    kept |= {0, len(depth) - 1}
    while len(kept) < len(depth):
        at = np.array(sorted(kept))
        share = np.interp(np.arange(len(depth)), at, np.arange(len(at)))  # index between the nodes kept
        left = np.minimum(share.astype(int), len(at) - 2)
        part = (depth - depth[at[left]]) / (depth[at[left + 1]] - depth[at[left]])
        off = np.abs(rows[:, at[left]] * (1.0 - part) + rows[:, at[left + 1]] * part - rows).max(axis=0)
        if off.max() <= tolerance:
            break
        kept.add(int(np.argmax(off)))
    return np.asarray(depth[sorted(kept)])
