"""1 The worn bore: its wall from parameters or readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.bore.axis import Axis, polar
from sim.bore.cylinders import Shape
from sim.bore.read_wall import WorstUnseen, wall_from
from sim.job.scene import Scene
from sim.job.sections.bore import Gouge, Groove, Worn
from sim.reference.arrays import Array


@dataclass(frozen=True)
class WornShape:
    """A wall worn as the scene's parameters say; the wall at a face runs on past it.

    >>> from sim.job.sections.bore import Worn
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
        r = (
            r
            + 0.5 * w.bell_far * np.clip(1.0 - (self.length - z) / w.bell_far_length, 0.0, 1.0) ** 2
        )
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
        return np.asarray(
            gouge.deep * np.cos(0.5 * np.pi * across) ** 2 * np.cos(0.5 * np.pi * along) ** 2
        )

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
    wall = wall_from(source.found)
    if source.found.kind == "diameter" or not (source.bar_entry or source.bar_far):
        return wall
    entry, far = (
        polar(source.bar_entry, source.bar_entry_at),
        polar(source.bar_far, source.bar_far_at),
    )
    return AboutBar(wall, Axis(entry, far, scene.bore.length))


def worst_unseen(scene: Scene) -> Shape | None:
    """The worst wall that two-point readings allow; None where nothing is unseen.

    Where the original diameter is not given the final size stands for it.
    """
    source = scene.readings
    if source is None or source.found.kind != "diameter":
        return None
    return WorstUnseen(
        wall_from(source.found), scene.bore.original_diameter or scene.bore.final_diameter
    )
