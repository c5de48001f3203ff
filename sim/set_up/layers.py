"""Each layer's bead, way and volume per radian."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.bore.lay import Conditions
from sim.bore.torch_way import Area, Path, rings, spiral
from sim.job.scene import Scene
from sim.job.sections.weld import LayerPlan
from sim.laws.bead_shape import Bead
from sim.laws.gravity import gravity_coefficient
from sim.laws.layer_thickness import square_left
from sim.laws.mass_balance import wire_area
from sim.reference.arrays import TURN, Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import no_weld_areas, outside_sector
from sim.set_up.bead import bead_at, feed_factor, told_factor


@dataclass(frozen=True)
class Setting:
    """One layer as the machine runs it.

    bead on a flat [mm]; q [mm3/rad]; radius: mean wall radius before the layer [mm]; travel [mm/s];
    rotation [rad/s]; wire_feed [mm/s] really fed (plan.wire_feed is as set); area [mm2] by mass
    balance.
    """

    plan: LayerPlan
    bead: Bead
    path: Path
    q: float
    radius: float
    travel: float
    rotation: float
    wire_feed: float
    gravity: float

    @property
    def area(self) -> float:
        """Bead area [mm2] on the wall as it is met."""
        return self.q / self.radius

    @property
    def spacing(self) -> float:
        """Pitch over bead width."""
        return self.path.pitch / self.bead.width


def conditions(scene: Scene, setting: Setting, tie_in: float) -> Conditions:
    """What rules every bead of a layer of this scene."""
    p, known = scene.process, scene.update
    return Conditions(
        tie_in=tie_in,
        fusion=p.depth_of_fusion,
        gravity=setting.gravity,
        pool_run=p.pool_run if known is None or known.pool_run is None else known.pool_run,
        inclination=scene.bore.inclination,
        gravity_turn=-scene.bore.top,
        hump=p.hump,
        hump_length=p.hump_length,
        taper_length=p.taper_length,
    )


def settings(scene: Scene, radius: float) -> list[Setting]:
    """Every layer in order, from the mean wall radius before the first [mm].

    The mean radius before each further layer follows from volume: `sim.laws.layer_thickness`.
    Raises SceneError when the metal does not fit.
    """
    out: list[Setting] = []
    areas = no_weld_areas(scene)
    for number, plan in enumerate(scene.layers, 1):
        setting = _setting(scene, plan, radius, number, areas)
        out.append(setting)
        left = square_left(radius, setting.q, setting.path.pitch)
        if left <= (0.5 * setting.bead.height) ** 2:
            raise SceneError(
                f"layer {number}: closes the bore: a mean radius of {radius:.1f} mm cannot take "
                f"{setting.q / setting.path.pitch / radius:.1f} mm of metal; lay fewer "
                "layers or a smaller bead."
            )
        radius = math.sqrt(left)
    return out


def _setting(
    scene: Scene, plan: LayerPlan, radius: float, number: int, areas: Sequence[Area]
) -> Setting:
    travel, rotation = speeds(plan, radius)
    bead = bead_at(scene, plan.wire_feed, travel)
    bead = Bead.of_area(bead.area * told_factor(scene, number), width=bead.width)
    if bead.width > radius:
        raise SceneError(
            f"layer {number}: a bead {bead.width:.1f} mm wide in a bore of {2 * radius:.1f} "
            "mm: at most half the "
            "diameter; lower the wire feed or travel faster."
        )
    pitch = (
        plan.pitch if plan.pitch is not None else bead.width * (1.0 - (plan.bead_overlap or 0.0))
    )
    gravity = (
        gravity_coefficient(travel) if scene.process.gravity is None else scene.process.gravity
    )
    path = _path(scene, plan, bead, pitch, number).without([*areas, *outside_sector(scene, plan)])
    deepest, reach = float(path.depth.max()), scene.head.reach
    if reach is not None and deepest > reach + 1e-9:
        raise SceneError(
            f"layer {number}: reaches {deepest:.1f} mm deep: past the head's reach of "
            f"{reach:.1f} mm; "
            "weld from both faces or take a longer head."
        )
    q = bead.area * radius
    return Setting(
        plan, bead, path, q, radius, travel, rotation, plan.wire_feed * feed_factor(scene), gravity
    )


def speeds(plan: LayerPlan, radius: float) -> tuple[float, float]:
    """Travel [mm/s] and rotation [rad/s] on a wall of this radius, from whichever is given."""
    if plan.travel is not None:
        return plan.travel, plan.travel / radius
    rotation = plan.rotation if plan.rotation is not None else TURN / float(plan.turn_time or 1.0)
    return rotation * radius, rotation


def layer_ends(scene: Scene, plan: LayerPlan, width: float) -> tuple[float, float]:
    """Depth [mm] of the bead centre nearest the entry face and nearest the far face, before any
    stagger.
    """
    inside, overrun = default("layer.inside") * width, default("layer.overrun") * width
    length = scene.bore.length
    low = plan.start_depth if plan.feed == "in" else plan.end_depth
    high = plan.end_depth if plan.feed == "in" else plan.start_depth
    if low is None:
        low = -overrun if scene.run_off.entry else inside
    if high is None:
        high = length + overrun if scene.run_off.far else length - inside
    return low, high


def most_overlap(scene: Scene) -> float:
    """Most bead overlap, (width - pitch)/width, beads may be laid with: half, or what the qualified
    procedure allows.
    """
    allowed = scene.procedure.overlap_most
    return default("limit.overlap") if allowed is None else allowed


def closest_pitch(scene: Scene, width: float) -> float:
    """Closest pitch [mm] of beads of a width on a flat [mm]."""
    return width * (1.0 - most_overlap(scene))


def _path(scene: Scene, plan: LayerPlan, bead: Bead, pitch: float, number: int) -> Path:
    low, high = layer_ends(scene, plan, bead.width)
    begin, end = (low, high) if plan.feed == "in" else (high, low)
    begin += plan.stagger * pitch * (1.0 if end > begin else -1.0)
    if (end - begin) * (1.0 if plan.feed == "in" else -1.0) < 0.0:
        raise SceneError(
            f'layer {number}: runs from {begin:.2f} to {end:.2f} mm with feed = "{plan.feed}"; '
            "swap start_depth and end_depth or the feed."
        )
    turning = 1 if plan.turning == "clockwise" else -1
    if plan.advance == "step":
        return rings(
            begin, end, pitch, step_over=plan.step_over, start_clock=plan.start_at, turning=turning
        )
    closing = (plan.closing_start, plan.closing_end)
    return spiral(begin, end, pitch, closing=closing, start_clock=plan.start_at, turning=turning)


def wire_used(scene: Scene, setting: Setting) -> float:
    """Wire fed [mm3] over the layer while the arc burns: feed times time."""
    return wire_area(scene.wire.diameter) * setting.wire_feed * arc_time(setting)


def arc_time(setting: Setting) -> float:
    """Time with the arc on [s]."""
    return setting.path.angle_on / setting.rotation


def wall_limits(layers: Sequence[Setting], length: float) -> tuple[float, float]:
    """Depths [mm] that a wall must hold so that every pool of every layer lies on it."""
    margin = max(2.5 * s.bead.width for s in layers) + 1.5
    low = min(float(s.path.depth.min()) for s in layers)
    high = max(float(s.path.depth.max()) for s in layers)
    return min(low, 0.0) - margin, max(high, length) + margin


def clock_events(layers: Sequence[Setting]) -> Array:
    """Clock angles [rad] where any layer's arc starts or stops or its advance changes."""
    return np.concatenate([s.path.events() for s in layers])
