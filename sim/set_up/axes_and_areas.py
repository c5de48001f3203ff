"""Axes of a job; holes, keyways and no-weld areas about the torch."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.bore.axis import Axis, polar
from sim.bore.torch_way import Area
from sim.job.scene import Scene
from sim.job.sections.weld import LayerPlan
from sim.reference.arrays import TURN, Array


def pre_bore_axis(scene: Scene) -> Axis:
    """The pre-bore axis of a scene about the drawing axis."""
    a = scene.axes
    entry, far = (
        polar(a.pre_bore_entry, a.pre_bore_entry_at),
        polar(a.pre_bore_far, a.pre_bore_far_at),
    )
    return Axis(entry, far, scene.bore.length)


@dataclass(frozen=True)
class AxesOf:
    """The axes of a job, each about the drawing axis."""

    pre_bore: Axis
    torch: Axis
    finish: Axis


def axes_of(scene: Scene) -> AxesOf:
    """Pre-bore, torch and finish axis of a scene."""
    a, length = scene.axes, scene.bore.length
    pre_bore = pre_bore_axis(scene)
    torch = Axis(polar(a.torch_entry, a.torch_entry_at), polar(a.torch_far, a.torch_far_at), length)
    if scene.update is not None and scene.update.torch:
        x0, y0, x1, y1 = scene.update.torch
        torch = Axis(
            (torch.entry[0] + x0, torch.entry[1] + y0),
            (torch.far[0] + x1, torch.far[1] + y1),
            length,
        )
    entry = pre_bore.entry if a.finish_entry is None else polar(a.finish_entry, a.finish_entry_at)
    far = pre_bore.far if a.finish_far is None else polar(a.finish_far, a.finish_far_at)
    return AxesOf(pre_bore, torch, Axis(entry, far, length))


def holes(scene: Scene, *, arc_stops: bool) -> list[Area]:
    """Oil holes and keyways: where the arc stops, or (with their margins) what is never judged."""
    out = []
    radius = 0.5 * scene.bore.final_diameter
    for hole in scene.oil_hole:
        if arc_stops and hole.how == "plug":
            continue
        size = 0.5 * hole.diameter + (0.0 if arc_stops else hole.clear)
        half = min(size / radius, math.pi)
        out.append(
            Area(
                (hole.at - half, hole.at + half),
                (hole.depth - size, hole.depth + size),
                hole_radius=size,
                wall_radius=radius,
            )
        )
    for way in scene.keyway:
        if arc_stops and way.how == "plug":
            continue
        clear = 0.0 if arc_stops else way.clear
        half = (0.5 * way.width + clear) / radius
        out.append(
            Area((way.at - half, way.at + half), (way.from_depth - clear, way.to_depth + clear))
        )
    return [_about_torch(scene, area) for area in out]


def no_weld_areas(scene: Scene) -> list[Area]:
    """Everywhere the arc is off: no-weld areas, and holes and keyways that are welded around."""
    given = [Area((a.from_at, a.to_at), (a.from_depth, a.to_depth)) for a in scene.no_weld]
    return [_about_torch(scene, area) for area in given] + holes(scene, arc_stops=True)


def not_gauged(scene: Scene) -> list[Area]:
    """Where no gauge foot reads the build-up: everywhere the arc is off, and as far beside it round
    the clock as the humps of its starts and the tapers of its stops reach.
    """
    reach = max(scene.process.hump_length, scene.process.taper_length)
    out = []
    for area in no_weld_areas(scene):
        half = 0.5 * ((area.clock[1] - area.clock[0]) % TURN)
        middle = area.clock[0] + half
        half = min(half + reach / (0.5 * scene.bore.final_diameter), math.pi - 1e-9)
        out.append(replace(area, clock=(middle - half, middle + half)))
    return out


def unjudged(scene: Scene) -> list[Area]:
    """Everything left out of the judgement: holes and keyways with their margins, areas declared
    so.
    """
    given = [
        Area((a.from_at, a.to_at), (a.from_depth, a.to_depth))
        for a in scene.no_weld
        if a.not_judged
    ]
    return [_about_torch(scene, area) for area in given] + holes(scene, arc_stops=False)


def _about_torch(scene: Scene, area: Area, at: float | None = None) -> Area:
    """The area with its clock read about the torch axis at its middle (or at a depth) instead of
    the drawing axis.
    """
    x0, y0 = axes_of(scene).torch.at(0.5 * (area.depth[0] + area.depth[1]) if at is None else at)
    radius = 0.5 * scene.bore.final_diameter

    def seen(angle: float) -> float:
        x, y = polar(radius, angle)
        return math.atan2(x - float(x0), -(y - float(y0))) % TURN

    return Area(
        (seen(area.clock[0]), seen(area.clock[1])), area.depth, area.hole_radius, area.wall_radius
    )


def outside_sector(scene: Scene, plan: LayerPlan) -> list[Area]:
    """Where a layer over part of the clock has its arc off."""
    if plan.only_from is None or plan.only_to is None:
        return []
    everywhere = (-1e6, 1e6)
    return [
        _about_torch(
            scene, Area((plan.only_to, plan.only_from), everywhere), at=0.5 * scene.bore.length
        )
    ]


@dataclass(frozen=True)
class Place:
    """Where a bore lies on its bar: its number from 0, and its faces as parts of the line from the
    entry face of the first bore to the far face of the last. A bore alone is the whole line.
    """

    number: int = 0
    entry: float = 0.0
    far: float = 1.0

    def offsets(self, ends: Array) -> Array:
        """Offsets (axes, 4) [mm] at the bore's faces, x and y each, of straight lines off by `ends`
        (axes, 4) at the line's ends.

        >>> Place(1, 0.5, 1.0).offsets(np.array([[0.0, 0.2, 0.4, 0.6]])).tolist()
        [[0.2, 0.4, 0.4, 0.6]]
        """
        first, last = ends[:, :2], ends[:, 2:]
        return np.hstack([(1.0 - at) * first + at * last for at in (self.entry, self.far)])


ALONE = Place()
