"""1 The worn bore: its wall from parameters or readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.bore.axis import Axis, polar
from sim.bore.cylinders import Shape
from sim.bore.read_wall import WorstUnseen, wall_from
from sim.job.looked import Look, look, read_after
from sim.job.scene import Scene
from sim.job.sections.bore import Gouge, Groove, Worn
from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import pre_bore_axis


@dataclass(frozen=True)
class WornShape:
    """A wall worn as the scene's parameters say; the wall at a face runs on past it.

    >>> from sim.job.sections.bore import Worn
    >>> oval = WornShape(Worn(diameter=80.0, out_of_round=1.0), 100.0)
    >>> oval.radius(np.array([0.0, np.pi / 2]), np.array([50.0, 50.0])).tolist()
    [40.5, 40.0]
    """

    worn: Worn
    length: float

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""
        w, z = self.worn, np.clip(depth, 0.0, self.length)
        far = self.length - z
        r = 0.5 * (w.diameter + w.taper * z / self.length)
        r = r + 0.5 * w.out_of_round * np.cos(clock - w.out_of_round_at) ** 2
        r = r + w.eccentric * 0.5 * (1.0 + np.cos(clock - w.eccentric_at))
        r = r + 0.5 * w.bell_entry * np.clip(1.0 - z / w.bell_entry_length, 0.0, 1.0) ** 2
        return np.asarray(
            r + 0.5 * w.bell_far * np.clip(1.0 - far / w.bell_far_length, 0.0, 1.0) ** 2
        )

    @property
    def nodes(self) -> Array:
        """Depths [mm] between which the wall is straight to some 1e-5 mm."""
        w, parts = self.worn, [np.linspace(0.0, self.length, 201)]
        if w.bell_entry:
            parts.append(np.linspace(0.0, min(w.bell_entry_length, self.length), 201))
        if w.bell_far:
            parts.append(np.linspace(max(self.length - w.bell_far_length, 0.0), self.length, 201))
        return np.clip(np.concatenate(parts), 0.0, self.length)


@dataclass(frozen=True)
class Dug:
    """A wall with gouges and grooves cut into it; around [mm]: radius on which a gouge's width is
    measured.

    >>> from sim.job.sections.bore import Gouge, Worn
    >>> torn = Gouge(at=0.0, depth=50.0, length=10.0, width=5.0, deep=6.0)
    >>> wall = Dug(WornShape(Worn(diameter=80.0), 100.0), (torn,), (), 40.0, 100.0)
    >>> wall.radius(np.array([0.0, np.pi]), np.array([50.0, 50.0])).tolist()
    [46.0, 40.0]
    """

    shape: Shape
    gouges: tuple[Gouge, ...]
    grooves: tuple[Groove, ...]
    around: float
    length: float

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""
        z = np.clip(depth, 0.0, self.length)
        r = self.shape.radius(clock, depth)
        for groove in self.grooves:
            flank = 0.5 * groove.width - np.abs(z - groove.depth)
            r = r + np.clip(flank, 0.0, min(groove.deep, 0.5 * groove.width))
        for gouge in self.gouges:
            r = r + self._gouge(gouge, clock, z)
        return np.asarray(r)

    def _gouge(self, gouge: Gouge, clock: Array, z: Array) -> Array:
        away = np.mod(clock - gouge.at + math.pi, 2.0 * math.pi) - math.pi
        across = np.clip(away * self.around / (0.5 * gouge.width), -1.0, 1.0)
        along = np.clip((z - gouge.depth) / (0.5 * gouge.length), -1.0, 1.0)
        bell = np.cos(0.5 * np.pi * across) ** 2 * np.cos(0.5 * np.pi * along) ** 2
        return np.asarray(gouge.deep * bell)

    @property
    def nodes(self) -> Array:
        """As those of the wall, and where grooves and gouges bend."""
        parts = [self.shape.nodes]
        for groove in self.grooves:
            half, deep = 0.5 * groove.width, min(groove.deep, 0.5 * groove.width)
            ends = np.array([-half, -half + deep, half - deep, half])
            parts.append(groove.depth + ends)
        for gouge in self.gouges:
            parts.append(gouge.depth + np.linspace(-0.5, 0.5, 161) * gouge.length)
        return np.clip(np.concatenate(parts), 0.0, self.length)


@dataclass(frozen=True)
class LookedAt:
    """A wall with what was seen of it after the pre-bore: its axis about the shape's own, radius of
    `cut` [mm].

    shape: as read or worn; two_point: only sums of opposite radii were read. Where black was left
    and the wall opposite is bright, the sum is known and one of its parts, so the other is too.
    worst: the farthest out that the wall could stand where nobody measured the black. A patch that
    was measured stands as deep as that throughout.
    """

    shape: Shape
    look: Look
    axis: Axis
    cut: float
    two_point: bool
    worst: Shape | None = None

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""
        r, cut = self.shape.radius(clock, depth), self._cut(clock, depth)
        black = self.look.black(clock, depth)
        if self.two_point:
            across = self.look.black(clock + math.pi, depth)
            rest = 2.0 * r - self._cut(clock + math.pi, depth)
            r = np.where(
                black & ~across,
                np.maximum(r, rest),
                np.where(across & ~black, np.minimum(r, cut), r),
            )
        if self.worst is not None:
            beyond = np.maximum(r, self.worst.radius(clock, depth))
            r = np.where(self.look.open(clock, depth), beyond, r)
        deep = self.look.deep(clock, depth)
        return np.asarray(np.where(deep > 0.0, np.maximum(r, cut + deep), r))

    def _cut(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] of the cut about the shape's own axis."""
        x, y = self.axis.at(depth)
        sin, cos = np.sin(clock), np.cos(clock)
        along, across = x * sin - y * cos, x * cos + y * sin
        return np.asarray(np.sqrt(self.cut**2 - across**2) + along)

    @property
    def nodes(self) -> Array:
        """As those of the shape, and where patches begin and end."""
        return np.concatenate([self.shape.nodes, self.look.nodes])


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


def _own_axis(scene: Scene) -> Axis:
    """The axis that the worn shape is about: the bar radii were read from; the pre-bore's, gauged
    after it; the drawing's.
    """
    source, straight = scene.readings, Axis.straight(scene.bore.length)
    if source is None:
        return straight
    if source.found.kind == "diameter":
        return pre_bore_axis(scene) if read_after(scene) else straight
    entry, far = (
        polar(source.bar_entry, source.bar_entry_at),
        polar(source.bar_far, source.bar_far_at),
    )
    return Axis(entry, far, scene.bore.length)


def _about_drawing(scene: Scene, shape: Shape, worst: Shape | None = None) -> Shape:
    """A shape about its own axis with what was seen of it, about the drawing axis, gouges and
    grooves cut in.
    """
    known, own, bore = look(scene), _own_axis(scene), scene.bore
    if known is not None and scene.pre_bore is not None and not known.bright:
        two = scene.readings is not None and scene.readings.found.kind == "diameter"
        cut = pre_bore_axis(scene).less(own)
        shape = LookedAt(shape, known, cut, 0.5 * scene.pre_bore.diameter, two, worst)
    elif worst is not None:
        shape = worst
    if own != Axis.straight(bore.length):
        shape = AboutBar(shape, own)
    if scene.gouge or scene.groove:
        shape = Dug(shape, scene.gouge, scene.groove, 0.5 * scene.worn.diameter, bore.length)
    return shape


def shape_of(scene: Scene) -> Shape:
    """The wall of a scene before the pre-bore, or as read after it: through its readings, or by its
    parameters.
    """
    if scene.readings is None:
        return _about_drawing(scene, WornShape(scene.worn, scene.bore.length))
    return _about_drawing(scene, wall_from(scene.readings.found))


def least_diameter(scene: Scene) -> float:
    """The diameter [mm] that no wall read can lie inside of: the pre-bore's where that was gauged,
    else that when new.

    Where the original diameter is not given the final size stands for it.
    """
    if read_after(scene) and scene.pre_bore is not None:
        return scene.pre_bore.diameter
    return scene.bore.original_diameter or scene.bore.final_diameter


def worst_unseen(scene: Scene) -> Shape | None:
    """The worst wall that two-point readings and what was seen of it allow; None where nothing is
    unseen.
    """
    source, known = scene.readings, look(scene)
    if source is None or source.found.kind != "diameter" or (known is not None and known.bright):
        return None
    wall = wall_from(source.found)
    return _about_drawing(scene, wall, WorstUnseen(wall, least_diameter(scene)))
