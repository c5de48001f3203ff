"""From a scene to what the engine takes: axes, areas, and each layer's bead, way and volume per radian."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from sim import gauge
from sim.bead import Bead, climb, deposited_area, gravity_coefficient, rescaled, wire_area
from sim.deposit import Conditions, steady_ripple, tie_in_from_pad
from sim.form import Axis, polar
from sim.job import Bore, Known, LayerPlan, ReadingsSource, Scene, SceneError
from sim.path import Area, Path, rings, spiral
from sim.scatter import EDGE, GRAVITY, LAID, LAW, POOL_RUN, SEEN, TIE_IN, TO_COME, WIDTH, Draw, Seen, Spreads, Way
from sim.sources import DEFAULTS, default
from sim.wall import TURN, Array
from sim.wear import Bored


@dataclass(frozen=True)
class AxesOf:
    """The axes of a job, each about the drawing axis."""

    pre_bore: Axis
    torch: Axis
    finish: Axis


@dataclass(frozen=True)
class TieIn:
    """tie_in as laid, as the pessimist lays the last layer, and whether somebody measured it."""

    nominal: float
    pessimist: float
    measured: bool


@dataclass(frozen=True)
class Setting:
    """One layer as the machine runs it.

    bead on a flat [mm]; q [mm3/rad]; radius: mean wall radius before the layer [mm]; travel [mm/s];
    rotation [rad/s]; wire_feed [mm/s] really fed (plan.wire_feed is as set); area [mm2] by mass balance.
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


def axes_of(scene: Scene) -> AxesOf:
    """Pre-bore, torch and finish axis of a scene."""
    a, length = scene.axes, scene.bore.length
    pre_bore = Axis(
        polar(a.pre_bore_entry, a.pre_bore_entry_at), polar(a.pre_bore_far, a.pre_bore_far_at), length
    )
    torch = Axis(polar(a.torch_entry, a.torch_entry_at), polar(a.torch_far, a.torch_far_at), length)
    if scene.update is not None and scene.update.torch:
        x0, y0, x1, y1 = scene.update.torch
        torch = Axis((torch.entry[0] + x0, torch.entry[1] + y0), (torch.far[0] + x1, torch.far[1] + y1), length)
    entry = pre_bore.entry if a.finish_entry is None else polar(a.finish_entry, a.finish_entry_at)
    far = pre_bore.far if a.finish_far is None else polar(a.finish_far, a.finish_far_at)
    return AxesOf(pre_bore, torch, Axis(entry, far, length))


def pre_bored(scene: Scene) -> Bored | None:
    """The pre-bored surface, or None when nothing is bored first."""
    if scene.pre_bore is None:
        return None
    return Bored(axes_of(scene).pre_bore, 0.5 * scene.pre_bore.diameter)


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
        out.append(Area((way.at - half, way.at + half), (way.from_depth - clear, way.to_depth + clear)))
    return [_about_torch(scene, area) for area in out]


def no_weld_areas(scene: Scene) -> list[Area]:
    """Everywhere the arc is off: no-weld areas, and holes and keyways that are welded around."""
    given = [Area((a.from_at, a.to_at), (a.from_depth, a.to_depth)) for a in scene.no_weld]
    return [_about_torch(scene, area) for area in given] + holes(scene, arc_stops=True)


def unjudged(scene: Scene) -> list[Area]:
    """Everything left out of the judgement: holes and keyways with their margins, areas declared so."""
    given = [Area((a.from_at, a.to_at), (a.from_depth, a.to_depth)) for a in scene.no_weld if a.not_judged]
    return [_about_torch(scene, area) for area in given] + holes(scene, arc_stops=False)


def _about_torch(scene: Scene, area: Area, at: float | None = None) -> Area:
    """The area with its clock read about the torch axis at its middle (or at a depth) instead of the drawing axis."""
    x0, y0 = axes_of(scene).torch.at(0.5 * (area.depth[0] + area.depth[1]) if at is None else at)
    radius = 0.5 * scene.bore.final_diameter

    def seen(angle: float) -> float:
        x, y = polar(radius, angle)
        return math.atan2(x - float(x0), -(y - float(y0))) % TURN

    return Area((seen(area.clock[0]), seen(area.clock[1])), area.depth, area.hole_radius, area.wall_radius)


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


def conditions_drawn(scene: Scene, setting: Setting, drawn: Draw) -> Conditions:
    """What rules every bead of a layer as a draw has it."""
    c = conditions(scene, setting, drawn.tie_in)
    return replace(c, gravity=c.gravity * drawn.gravity, pool_run=drawn.pool_run, fusion=drawn.fusion)


def tie_in_of(scene: Scene) -> TieIn:
    """tie_in from a valley after a layer, a measured pad, or as given; the pessimist takes the low end of what is known."""
    known = scene.update
    if known is not None and known.tie_in is not None:
        return TieIn(known.tie_in, max(known.tie_in - known.tie_in_spread, 0.0), measured=True)
    pad, plate = scene.pad, scene.bead
    if pad is not None and plate is not None:
        taller = _taller_at(scene, pad.at)
        spacing, height = pad.pitch / plate.width * taller, plate.height * taller
        told = [tie_in_from_pad((pad.crest - pad.valley + k * pad.error) / height, spacing) for k in (0.0, 1.0)]
        if steady_ripple(spacing, 0.0) - steady_ripple(spacing, 1.0) > pad.error / height:
            return TieIn(told[0], told[1], measured=True)
    if scene.process.tie_in_measured:
        return TieIn(scene.process.tie_in, scene.process.tie_in, measured=True)
    return TieIn(scene.process.tie_in, 0.0, measured=False)


def _taller_at(scene: Scene, gravity_clock: float | None) -> float:
    """Bead height over its flat height where a pad was welded; 1 flat."""
    if gravity_clock is None or scene.bead is None:
        return 1.0
    turning = 1 if scene.layer[0].turning == "clockwise" else -1
    c = gravity_coefficient(scene.bead.travel) if scene.process.gravity is None else scene.process.gravity
    return float(np.exp(c * climb(np.array([gravity_clock]), turning, scene.bore.inclination)[0]))


def feed_factor(scene: Scene) -> float:
    """Wire fed over wire feed as set: from wire weighed or counted beside the measured bead, else 1.

    Weighed: mass over density, wire section and time. Conservation of mass.
    """
    plate = scene.bead
    if plate is None or plate.wire_time is None:
        return 1.0
    length = plate.counted
    if plate.weighed is not None:
        length = plate.weighed / (scene.wire.density * wire_area(scene.wire.diameter))
    return float(length or 0.0) / plate.wire_time / plate.wire_feed


def feed_measured(scene: Scene) -> bool:
    """Tell whether somebody measured the wire feed."""
    return scene.wire.feed_measured or (scene.bead is not None and scene.bead.wire_time is not None)


def area_factor(scene: Scene) -> float:
    """Bead area laid over bead area by mass balance.

    1 unless nobody measured the wire feed and the measured bead is smaller than the mass balance says by
    more than the contradiction allowed: then the bead is believed.
    """
    ratio = contradiction(scene)
    believed = ratio is not None and not feed_measured(scene) and ratio < 1.0 - default("limit.contradiction")
    return ratio if believed and ratio is not None else 1.0


def told_factor(scene: Scene, number: int) -> float:
    """Bead area of a layer (from 1) over what wire and travel say, by readings after layers; 1 without any."""
    known = scene.update
    if known is None:
        return 1.0
    return known.laid if number <= known.layers else known.area


def contradiction(scene: Scene) -> float | None:
    """2/3 w h of the measured bead over its area by mass balance; None without a measured bead."""
    plate, wire = scene.bead, scene.wire
    if plate is None:
        return None
    area = deposited_area(wire.diameter, plate.wire_feed * feed_factor(scene), plate.travel, wire.efficiency)
    return Bead(plate.width, plate.height).area / area


def bead_at(scene: Scene, wire_feed: float, travel: float, aspect: float | None = None) -> Bead:
    """The bead on a flat [mm] at a wire feed as set and travel [mm/s]: from the measured plate, or by aspect ratio."""
    wire, plate = scene.wire, scene.bead
    factor = area_factor(scene) * feed_factor(scene)
    area = deposited_area(wire.diameter, wire_feed, travel, wire.efficiency) * factor
    if plate is None:
        return Bead.of_aspect(area, aspect or default("bead.aspect"))
    on_plate = deposited_area(wire.diameter, plate.wire_feed, plate.travel, wire.efficiency) * factor
    measured = Bead.of_area(on_plate, width=plate.width)
    return rescaled(measured, area, wire_feed / plate.wire_feed, travel / plate.travel)


def settings(scene: Scene, radius: float) -> list[Setting]:
    """Every layer in order, from the mean wall radius before the first [mm].

    The mean radius before each further layer follows from volume: t = R - sqrt(R^2 - 2 q/pitch), derived.
    Raises SceneError when the metal does not fit.
    """
    out: list[Setting] = []
    areas = no_weld_areas(scene)
    for number, plan in enumerate(scene.layers, 1):
        setting = _setting(scene, plan, radius, number, areas)
        out.append(setting)
        left = radius**2 - 2.0 * setting.q / setting.path.pitch
        if left <= (0.5 * setting.bead.height) ** 2:
            raise SceneError(
                f"layer {number}: closes the bore: a mean radius of {radius:.1f} mm cannot take "
                f"{setting.q / setting.path.pitch / radius:.1f} mm of metal; lay fewer layers or a smaller bead."
            )
        radius = math.sqrt(left)
    return out


def _setting(scene: Scene, plan: LayerPlan, radius: float, number: int, areas: Sequence[Area]) -> Setting:
    travel, rotation = speeds(plan, radius)
    bead = bead_at(scene, plan.wire_feed, travel)
    bead = Bead.of_area(bead.area * told_factor(scene, number), width=bead.width)
    if bead.width > radius:
        raise SceneError(
            f"layer {number}: a bead {bead.width:.1f} mm wide in a bore of {2 * radius:.1f} mm: at most half the "
            "diameter; lower the wire feed or travel faster."
        )
    pitch = plan.pitch if plan.pitch is not None else bead.width * (1.0 - (plan.bead_overlap or 0.0))
    gravity = gravity_coefficient(travel) if scene.process.gravity is None else scene.process.gravity
    path = _path(scene, plan, bead, pitch, number).without([*areas, *_outside_sector(scene, plan)])
    deepest, reach = float(path.depth.max()), scene.head.reach
    if reach is not None and deepest > reach + 1e-9:
        raise SceneError(
            f"layer {number}: reaches {deepest:.1f} mm deep: past the head's reach of {reach:.1f} mm; "
            "weld from both faces or take a longer head."
        )
    q = bead.area * radius
    return Setting(plan, bead, path, q, radius, travel, rotation, plan.wire_feed * feed_factor(scene), gravity)


def _outside_sector(scene: Scene, plan: LayerPlan) -> list[Area]:
    """Where a layer over part of the clock has its arc off."""
    if plan.only_from is None or plan.only_to is None:
        return []
    everywhere = (-1e6, 1e6)
    return [_about_torch(scene, Area((plan.only_to, plan.only_from), everywhere), at=0.5 * scene.bore.length)]


def speeds(plan: LayerPlan, radius: float) -> tuple[float, float]:
    """Travel [mm/s] and rotation [rad/s] on a wall of this radius, from whichever is given."""
    if plan.travel is not None:
        return plan.travel, plan.travel / radius
    rotation = plan.rotation if plan.rotation is not None else TURN / float(plan.turn_time or 1.0)
    return rotation * radius, rotation


def layer_ends(scene: Scene, plan: LayerPlan, width: float) -> tuple[float, float]:
    """Depth [mm] of the bead centre nearest the entry face and nearest the far face, before any stagger."""
    inside, overrun = default("layer.inside") * width, default("layer.overrun") * width
    length = scene.bore.length
    low = plan.start_depth if plan.feed == "in" else plan.end_depth
    high = plan.end_depth if plan.feed == "in" else plan.start_depth
    if low is None:
        low = -overrun if scene.run_off.entry else inside
    if high is None:
        high = length + overrun if scene.run_off.far else length - inside
    return low, high


def _path(scene: Scene, plan: LayerPlan, bead: Bead, pitch: float, number: int) -> Path:
    low, high = layer_ends(scene, plan, bead.width)
    begin, end = (low, high) if plan.feed == "in" else (high, low)
    begin += plan.stagger * pitch * (1.0 if end > begin else -1.0)
    if (end - begin) * (1.0 if plan.feed == "in" else -1.0) < 0.0:
        raise SceneError(
            f"layer {number}: runs from {begin:.2f} to {end:.2f} mm with feed = \"{plan.feed}\"; "
            "swap start_depth and end_depth or the feed."
        )
    turning = 1 if plan.turning == "clockwise" else -1
    if plan.advance == "step":
        return rings(begin, end, pitch, step_over=plan.step_over, start_clock=plan.start_at, turning=turning)
    closing = (plan.closing_start, plan.closing_end)
    return spiral(begin, end, pitch, closing=closing, start_clock=plan.start_at, turning=turning)


def spreads_of(scene: Scene, layers: Sequence[Setting]) -> Spreads:
    """How far everything may stray in this job: the scene's [spread], and what was measured and how well."""
    s, p, tie_in = scene.spread, scene.process, tie_in_of(scene)
    known = DEFAULTS["bead.aspect"]
    aspect = tuple(math.sqrt(ratio / known.value) for ratio in (known.low, known.high))
    return Spreads(
        common=_common(scene),
        shared=s.shared,
        height=s.height,
        along=s.along,
        along_length=s.along_length,
        width=s.width,
        bead_width=tuple(_width_error(scene, setting) for setting in layers),
        aspect=(1.0, 1.0) if scene.bead is not None else (aspect[0], aspect[1]),
        tie_in=tie_in.nominal,
        tie_in_spread=_tie_in_spread(scene, tie_in),
        gravity=s.gravity,
        pool_run=(p.pool_run if scene.update is None or scene.update.pool_run is None else scene.update.pool_run, s.pool_run),
        fusion=(p.depth_of_fusion, s.fusion),
        axes=(s.pre_bore_axis, s.torch_axis, s.finish_axis),
        crest=s.crest,
        seen=None if scene.update is None else _seen(scene.update),
        reading=s.reading if scene.readings is None else max(0.5 * scene.readings.error, s.reading),
        odd=s.odd or unseen(scene.readings, scene.bore),
        law=s.law,
        edge=s.edge,
    )


def _seen(known: Known) -> Seen:
    """What is left to stray after readings, from the spreads and correlations kept in the scene."""
    held = [LAID, TO_COME] + [TIE_IN] * (known.tie_in is not None) + ([POOL_RUN, 4, 5, 6, 7] if known.torch else [])
    held += [LAW] * (known.law is not None) + [EDGE] * (known.edge is not None)
    held += [WIDTH] * (known.width is not None) + [GRAVITY] * (known.gravity is not None)
    torch = known.torch_spread or (0.0,) * 4
    every = (
        known.laid_spread / known.laid, known.area_spread / known.area, known.tie_in_spread, known.pool_run_spread, *torch,
        known.law_spread, known.edge_spread, known.width_spread, known.gravity_spread,
    )  # fmt: skip
    spread = np.array([every[k] for k in held])
    correlation = np.eye(len(held))
    correlation[np.tril_indices(len(held), -1)] = known.links
    correlation = np.tril(correlation) + np.tril(correlation, -1).T
    value, vector = np.linalg.eigh(correlation)
    rows = np.zeros((SEEN, SEEN))
    rows[np.ix_(held, held)] = spread[:, None] * vector * np.sqrt(np.maximum(value, 0.0))
    return Seen(known.layers, tuple(map(tuple, rows.tolist())), known.tie_in is not None, bool(known.torch), known.law, known.edge, known.width, known.gravity)


@lru_cache(16)
def unseen(source: ReadingsSource | None, bore: Bore) -> float:
    """Largest odd part [mm per side] of the wear that two-point readings cannot see; 0 where nothing is unseen.

    On average over the wall: metal does not grow, so no side holds more than all of the wear read there.
    """
    if source is None or source.found.kind != "diameter":
        return 0.0
    wall = gauge.wall_from(source.found)
    worst = gauge.WorstUnseen(wall, bore.original_diameter or bore.final_diameter)
    clock = np.asarray((np.arange(72) + 0.5) * (TURN / 72.0), dtype=np.float64)[:, None]
    depth = np.linspace(0.0, bore.length, 33)[None, :]
    return float((worst.radius(clock, depth) - wall.radius(clock, depth)).mean())


def _common(scene: Scene) -> float:
    """Spread of the bead area of a layer; where the measured bead is believed, its own errors come on top."""
    plate = scene.bead
    if plate is None or area_factor(scene) == 1.0:
        return scene.spread.common
    return math.hypot(scene.spread.common, plate.width_error / plate.width, plate.height_error / plate.height)


def _tie_in_spread(scene: Scene, tie_in: TieIn) -> float | None:
    if not tie_in.measured:
        return None
    if scene.pad is None:
        return scene.spread.tie_in
    return max(abs(tie_in.nominal - tie_in.pessimist), DEFAULTS["spread.tie_in"].low)


def _width_error(scene: Scene, setting: Setting) -> float:
    """Relative error of the bead width of a layer: as measured, and away from those settings by the law as well.

    The law's own spread is taken whole from a quarter more or less wire feed or travel on, in proportion before.
    """
    plate = scene.bead
    if plate is None:
        return 0.0
    return math.hypot(plate.width_error / plate.width, scene.spread.width_law * away_from_plate(scene, setting))


def away_from_plate(scene: Scene, setting: Setting) -> float:
    """How far a layer's settings lie from those of the measured bead: 0 at them, 1 from a quarter away on."""
    plate = scene.bead
    if plate is None:
        return 1.0
    off = abs(math.log(setting.plan.wire_feed / plate.wire_feed)) + abs(math.log(setting.travel / plate.travel))
    return min(off / math.log(1.25), 1.0)


def ways_of(layers: Sequence[Setting]) -> tuple[Way, ...]:
    """Turns and length along the wall of each layer."""
    return tuple(Way(s.path.turns, float(s.path.phi[-1]) * s.radius) for s in layers)


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
