"""The bar, its speeds, and the metal a cut meets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.bore.cylinders import Bored, about
from sim.bore.stock import black_spans, judged_spans, least_weld_left, stock_map
from sim.bore.wall import Clock, Wall
from sim.job.checks import final_limits
from sim.job.scene import Scene
from sim.job.sections.machine import BoringBar
from sim.laws.bar_deflection import OVERHUNG, Bar
from sim.laws.cutting_force import rotation, specific_force
from sim.reference.arrays import Array, frozen
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.units import KINDS
from sim.set_up import axes_and_areas
from sim.shop.as_worn import shape_of
from sim.shop.ready_to_lay import clock_marks
from sim.shop.result import Result


@dataclass(frozen=True)
class Boring:
    """What the passes are run with; allowance and nose [mm]; wished cutting speed [mm/s]."""

    scene: Scene
    tool: BoringBar
    bar: Bar
    smallest: float
    cutting_speed: float


def boring_of(result: Result) -> Boring:
    """What the passes of a result are run with: as given, else as usual. Raises SceneError."""
    scene = result.scene
    tool = scene.boring_bar or BoringBar()
    usual = KINDS["cutting speed"][0].inside(default(usual_cutting_speed(tool)))
    return Boring(
        scene,
        tool,
        _bar(result, tool),
        default("bar.smallest") * scene.cut.nose_radius,
        tool.cutting_speed or usual,
    )


def usual_cutting_speed(tool: BoringBar) -> str:
    """The default that stands for a cutting speed not given, by its name."""
    return "bar.carbide" if tool.insert == "carbide" else "bar.high_speed_steel"


def _bar(result: Result, tool: BoringBar) -> Bar:
    """The bar as given, else as usual. Raises SceneError when it does not fit."""
    length, final = result.scene.bore.length, result.scene.bore.final_diameter
    narrow = min(2.0 * _crest(wall, result) for wall in (result.start, result.layers[-1].wall))
    usual = min(max(default("bar.share") * final, default("bar.thinnest")), default("bar.thickest"))
    diameter = tool.diameter or usual
    if diameter >= narrow:
        raise SceneError(
            f"[boring_bar] diameter = {diameter:g} mm: does not go into the bore, "
            f"{narrow:.1f} mm at its narrowest; take a thinner bar."
        )
    if tool.held == OVERHUNG:
        before = default("bar.clearance") if tool.overhang is None else tool.overhang
        return Bar(diameter, tool.held, before, 0.0, default("bar.modulus"))
    span = (
        length + (tool.before or default("bar.clearance")) + default("bar.clearance")
        if tool.span is None
        else tool.span
    )
    before = 0.5 * (span - length) if tool.before is None else tool.before
    return Bar(diameter, tool.held, before, span, default("bar.modulus"))


def _crest(wall: Wall, result: Result) -> float:
    """Smallest distance of the wall from the finish axis between the faces [mm]."""
    spans = judged_spans(wall.clock, 0.0, result.scene.bore.length, ())
    return least_weld_left(
        wall, Bored(result.finish.axis, 0.0), result.axes.torch, spans
    ).spot.value


def nearest(
    wished: float, listed: Sequence[float], least: float | None, most: float | None
) -> float:
    """What a machine can, nearest to what is wished: of a list by ratio, else within a range.

    >>> nearest(300.0, (100.0, 250.0, 400.0), None, None), nearest(300.0, (), None, 200.0)
    (250.0, 200.0)
    """
    if listed:
        return min(listed, key=lambda one: abs(math.log(one / wished)))
    return min(max(wished, least or 0.0), most or math.inf)


@dataclass(frozen=True)
class Metal:
    """A wall sampled about the axis of a cut: distance (n_clock, n_depth) [mm], nan over holes;
    judged likewise.

    size: radius that the last pass is set to [mm]; black: part of the judged wall beyond it, exact
    along depth.
    """

    clock: Clock
    depth: Array
    radius: Array
    judged: Array
    length: float
    crest: float
    size: float
    black: float = 0.0

    @property
    def weight(self) -> Array:
        """Part of the tool's way in each cell (n_clock, n_depth); sums to 1."""
        share = self.clock.span / self.clock.span.sum()
        return np.asarray(np.broadcast_to(share[:, None] / len(self.depth), self.radius.shape))


def _depths(length: float, pitch: float) -> Array:
    """Depths at cell centres [mm], a twentieth of a pitch apart or nearly so."""
    n = int(min(max(length / (0.05 * pitch), 200), 1200))
    return np.asarray((np.arange(n) + 0.5) * length / n)


def welded_metal(result: Result) -> Metal:
    """The wall after the last layer about the finish axis, with the size the drawing wants in the
    middle of its limits.
    """
    scene, wall = result.scene, result.layers[-1].wall
    depth = _depths(scene.bore.length, result.settings[-1].path.pitch)
    radius = result.finish.radius - stock_map(wall, result.finish, result.axes.torch, depth)
    holes = judged_spans(
        wall.clock, 0.0, scene.bore.length, axes_and_areas.holes(scene, arc_stops=True)
    )
    radius[np.logical_not(_inside(depth, holes))] = np.nan
    size = 0.25 * sum(final_limits(scene.bore))
    judged = frozen(_inside(depth, result.spans))
    crest, black = _crest(wall, result), _black(wall, result, size)
    return Metal(wall.clock, depth, frozen(radius), judged, scene.bore.length, crest, size, black)


def _black(wall: Wall, result: Result, size: float) -> float:
    """Part of the judged wall that lies beyond a radius [mm] about the finish axis, exact along
    depth.
    """
    beyond = black_spans(wall, Bored(result.finish.axis, size), result.axes.torch, result.spans)
    black, whole = (
        float((spans[:, :, 1] - spans[:, :, 0]).sum(axis=1) @ wall.clock.span)
        for spans in (beyond, result.spans)
    )
    return black / whole


def _inside(depth: Array, spans: Array) -> Array:
    """Which depths of each column lie in its spans, shape (n_clock, n_depth)."""
    return np.asarray(((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1))


def worn_metal(result: Result) -> Metal:
    """The worn wall about the pre-bore axis."""
    scene = result.scene
    clock = Clock.even(360, clock_marks(scene))
    depth = _depths(scene.bore.length, 5.0)
    radius = about(shape_of(scene), clock.angle, depth, result.axes.pre_bore)
    size = 0.5 * (scene.pre_bore.diameter if scene.pre_bore else 0.0)
    everywhere = np.ones(radius.shape, dtype=bool)
    return Metal(
        clock,
        depth,
        frozen(radius),
        frozen(everywhere),
        scene.bore.length,
        float(radius.min()),
        size,
    )


def speeds_it_can(shop: Boring, radius: float, wished_feed: float) -> tuple[float, float]:
    """Rotation [rad/s] and feed [mm per turn] that the bar can, nearest to those wished."""
    tool = shop.tool
    wished = rotation(shop.cutting_speed, 2.0 * radius)
    turning = nearest(wished, tool.speeds, tool.speed_least, tool.speed_most)
    return turning, nearest(wished_feed, tool.feeds, tool.feed_least, tool.feed_most)


def specific_force_at(shop: Boring, feed: float) -> float:
    """Specific cutting force [N/mm2] at a feed [mm per turn]."""
    thickness = feed * math.sin(shop.tool.entering_angle)
    return specific_force(thickness, shop.tool.specific_force, shop.tool.force_exponent)
