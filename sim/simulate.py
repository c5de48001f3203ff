"""Scene in, Result out, in shop order: worn, pre-bored, laid, bored, judged."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from sim import cause, layup
from sim.bead import Bead
from sim.deposit import BoreClosed, Laid, lay, ripple
from sim.finish import (
    LowSpot,
    Worst,
    black_spans,
    bored,
    clock_error,
    judged_spans,
    least_of_parts,
    least_stock,
    least_weld_left,
    low_spots,
    stock_map,
)
from sim.form import Axis
from sim.job import AFTER, Scene, SceneError
from sim.layup import AxesOf, Setting, TieIn
from sim.scatter import Draw
from sim.scene import final_limits
from sim.sources import default
from sim.wall import Array, Clock, Wall, frozen
from sim.wear import Bored, Shape, about, few_nodes, ray_to, shape_of, start_wall, worst_unseen

CLEANS_UP, THIN, FALLS_SHORT, NOT_PROVEN = "cleans up", "thin", "falls short", "not proven"
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Layer:
    """What one layer did; lengths mm, see the docstrings of the engine for each figure.

    ripple and ripple_clock: largest over the clock, nan when the layer has too few turns; gauge: smallest and
    largest two-point reading on diameter; valley: deepest valley on diameter; both between the second turn from
    either end. under: wall radius met by the torch (n_clock, passes).
    """

    setting: Setting
    wall: Wall
    under: Array
    remelted: int
    mean_thickness: float
    ripple: float
    ripple_clock: float
    ripples: Array
    gauge: tuple[float, float]
    valley: float
    volume: float
    lost: float


@dataclass(frozen=True)
class Result:
    """A job judged. Stock is per side [mm]; `walls[0]` is the wall before welding, `walls[k]` after layer k."""

    scene: Scene
    axes: AxesOf
    finish: Bored
    tie_in: TieIn
    spans: Array
    start: Wall
    layers: tuple[Layer, ...]
    stock: Worst
    stock_error: float
    pessimist: Worst
    pessimist_wall: Wall
    weld_left: Worst
    mean_stock: float
    percentiles: tuple[float, float, float]
    low_spots: tuple[LowSpot, ...]
    thin_spots: tuple[LowSpot, ...]
    warnings: tuple[str, ...]
    unseen: float | None = None

    @property
    def walls(self) -> list[Wall]:
        """The wall before welding and after every layer."""
        return [self.start, *(layer.wall for layer in self.layers)]

    @property
    def verdict(self) -> str:
        """One of: cleans up, thin, falls short, not proven; see `judge`."""
        return judge(self)

    @property
    def settings(self) -> list[Setting]:
        """Every layer as the machine runs it."""
        return [layer.setting for layer in self.layers]


def judge(result: Result) -> str:
    """The verdict on the numbers given.

    Cleans up: the minimum less its error leaves at least the minimum cut; thin: metal everywhere but less than
    that; falls short: below zero. A plain yes also needs a measured bead, and metal everywhere even when the
    last layer's tie-in is the worst that is known, even when all wear a two-point gauge cannot see lies on the worst
    side, and readings of a cold part; else it is not proven.
    """
    least, pessimist = (one.spot.value - result.stock_error for one in (result.stock, result.pessimist))
    told = verdict_of(result.scene, least, pessimist)
    unseen = result.unseen is not None and result.unseen - result.stock_error < 0.0
    warm = result.scene.readings is not None and result.scene.readings.warm
    return NOT_PROVEN if told == CLEANS_UP and (unseen or warm) else told


def verdict_of(scene: Scene, least: float, pessimist: float) -> str:
    """The verdict on least stock per side [mm], its error taken off, of the model and of the pessimist."""
    if least < 0.0:
        return FALLS_SHORT
    if least < scene.cut.minimum_cut:
        return THIN
    if scene.bead is None or pessimist < 0.0:
        return NOT_PROVEN
    return CLEANS_UP


def simulate(scene: Scene, *, progress: Progress | None = None) -> Result:
    """Judge a job. Raises SceneError when it cannot be done (metal or head does not fit, job too large).

    >>> from sim.scene import load
    >>> simulate(load("scenes/cleans_up.toml")).verdict
    'cleans up'
    """
    tell = progress or (lambda _: None)
    columns = _columns(scene)
    for attempt in range(3):
        build = _built(scene, columns, tell)
        result = _judged(build)
        check_head(result)
        if result.stock_error <= default("limit.clock_error") or attempt == 2:
            return _with_unseen(result, columns)
        columns *= 2
        tell(f"clock divided finer: {columns} columns")
    raise AssertionError("unreachable")  # pragma: no cover


def _with_unseen(result: Result, columns: int) -> Result:
    """The result with the least stock that remains if all the wear the gauge cannot see is on the worst side."""
    worst = worst_unseen(result.scene)
    if worst is None:
        return result
    build = _built(result.scene, columns, lambda _: None, worn=worst)
    least = least_stock(build.laid[-1].wall, build.finish, build.axes.torch, result.spans).spot.value
    result = replace(result, unseen=least)
    return replace(result, warnings=(*result.warnings, *_unseen_warnings(result)))


def _unseen_warnings(result: Result) -> list[str]:
    if result.unseen is None or result.unseen > result.stock.spot.value - 0.005:
        return []
    whose = "" if result.scene.bore.original_diameter else " (the final size stands for the original one, which is not given)"
    return [
        f"A two-point gauge cannot see wear to one side: at worst the least stock is {result.unseen:.2f} mm per side{whose}; "
        "sweep the bore with an indicator from a centred bar."
    ]


@dataclass(frozen=True)
class _Build:
    """The wall built up, not yet judged."""

    scene: Scene
    axes: AxesOf
    tie_in: TieIn
    start: Wall
    settings: list[Setting]
    before: list[Wall]
    laid: list[Laid]
    pessimist: Wall
    cut: Wall | None
    finish: Bored
    spans: Array


def _columns(scene: Scene) -> int:
    """Clock columns: as the scene says, more where a column would be too wide along the wall."""
    around = math.pi * max(scene.worn.diameter, scene.bore.final_diameter)
    needed = 8 * math.ceil(around / default("limit.cell") / 8)
    if scene.grid.columns != int(default("grid.columns")):
        return scene.grid.columns
    return max(scene.grid.columns, needed)


@dataclass(frozen=True)
class StartMap:
    """A worn wall about the torch axis: radius (n_clock, n_depth) [mm] at columns and depths [mm]."""

    clock: Clock
    depth: Array
    radius: Array


@dataclass(frozen=True)
class Job:
    """A job ready to lay: everything that no draw changes.

    radius: mean wall radius before the first layer [mm]; spans (n_clock, k, 2): depths judged per column [mm].
    """

    scene: Scene
    axes: AxesOf
    tie_in: TieIn
    settings: list[Setting]
    radius: float
    start: Wall
    finish: Bored
    spans: Array
    few: Array | None = None

    @cached_property
    def nodes(self) -> Array:
        """Depths [mm] enough for the wall a draw starts from."""
        if self.few is not None:
            return self.few
        return few_nodes(shape_of(self.scene), layup.pre_bored(self.scene), self.scene.bore.length)

    @cached_property
    def edges(self) -> Array | None:
        """Depths judged at free edges (n_clock, k, 2) [mm], see `edge_spans`."""
        return edge_spans(self.scene, self.spans, self.settings[-1])

    @cached_property
    def read(self) -> StartMap:
        """The worn wall on this job's clock, past the faces as far as the widest bead drawn may reach."""
        wide = 4.0 * max(s.bead.width for s in self.settings)
        return self.read_on(self.start.clock, (self.start.start - wide, self.start.end + wide))

    def read_on(self, clock: Clock, held: tuple[float, float]) -> StartMap:
        """The worn wall as read, before any pre-bore, on a few depths between `held` [mm]."""
        depth = np.unique(np.concatenate([self.nodes, held]))
        radius = about(shape_of(self.scene), clock.angle, depth, self.axes.torch)
        return StartMap(clock, frozen(depth), frozen(radius))

    def same_start(self, scene: Scene) -> bool:
        """Tell whether another scene begins with the same wall."""
        mine = self.scene
        return all(getattr(mine, part) == getattr(scene, part) for part in ("bore", "worn", "readings", "gouge", "groove", "pre_bore", "axes", "update"))


def made_ready(scene: Scene, columns: int, like: Job | None = None, *, worn: Shape | None = None) -> Job:
    """A scene as the engine takes it, on a given clock. Raises SceneError when it cannot be laid.

    like: a job that begins with the same wall, for searches: what is known of that wall is used again, on a few nodes.
    worn: another worn wall than the scene's.
    """
    axes = layup.axes_of(scene)
    shape, pre_bore = worn or shape_of(scene), layup.pre_bored(scene)
    length = scene.bore.length
    if like is not None and like.same_start(scene):
        nodes, radius = like.nodes, like.radius
    else:
        rough = start_wall(shape, Clock.even(90), axes.torch, pre_bore, start=0.0, end=length)
        nodes, radius = None, rough.mean_radius(0.0, length)
    settings = layup.settings(scene, radius)
    _check_size(settings, columns)
    low, high = layup.wall_limits(settings, length)
    clock = Clock.even(columns, layup.clock_events(settings))
    start = start_wall(shape, clock, axes.torch, pre_bore, start=low, end=high, nodes=nodes)
    bore = scene.bore
    finish = Bored(axes.finish, 0.5 * final_limits(bore)[0])
    spans = judged_spans(clock, bore.chamfer_entry, bore.length - bore.chamfer_far, layup.unjudged(scene))
    return Job(scene, axes, layup.tie_in_of(scene), settings, radius, start, finish, spans, nodes)


def _built(scene: Scene, columns: int, tell: Progress, *, worn: Shape | None = None) -> _Build:
    job = made_ready(scene, columns, worn=worn)
    wall, walls, laid, cut = job.start, [], [], None
    for number, setting in enumerate(job.settings, 1):
        tell(f"layer {number} of {len(job.settings)}")
        if cut_before(scene) == number:
            cut = wall
            wall = bored(wall, job.finish, job.axes.torch)
        walls.append(wall)
        laid.append(_lay(scene, wall, setting, job.tie_in.nominal, number))
        wall = laid[-1].wall
    pessimist = _lay(scene, walls[-1], job.settings[-1], job.tie_in.pessimist, len(job.settings)).wall
    return _Build(scene, job.axes, job.tie_in, job.start, job.settings, walls, laid, pessimist, cut, job.finish, job.spans)


@dataclass(frozen=True)
class Outcome:
    """One draw laid and judged: least stock per side per column and in all [mm], and the wall it was read on.

    parts: finish cylinders with the depths judged against each, tighter where the draw leaves less than the engine
    finds: everywhere, and at free edges.
    """

    least: Worst
    wall: Wall
    torch: Axis
    parts: tuple[tuple[Bored, Array], ...]


def outcome(job: Job, drawn: Draw) -> Outcome:
    """The job as one draw makes it turn out: the same engine on the values drawn.

    The machine runs as planned: way and rotation are those of the job, whatever the draw. Raises SceneError when the
    metal drawn closes the bore.
    """
    axes = axes_drawn(job, drawn)
    wall = job.start if drawn.nominal else start_drawn(job, drawn, axes, job.read)
    spans = job.spans
    for number, setting in enumerate(job.settings, 1):
        if cut_before(job.scene) == number:
            cut = Bored(axes.finish, job.finish.radius)
            spans = _still_black(wall, cut, axes.torch, spans)
            wall = bored(wall, cut, axes.torch)
        wall = _lay_drawn(job, wall, setting, drawn, number).wall
    parts = [(Bored(axes.finish, job.finish.radius - drawn.law), spans)]
    edges = job.edges if spans is job.spans else edge_spans(job.scene, spans, job.settings[-1])
    if drawn.edge and edges is not None:
        lost = drawn.law + drawn.edge * len(job.settings)
        parts.append((Bored(axes.finish, job.finish.radius - lost), edges))
    return Outcome(least_of_parts(wall, axes.torch, parts), wall, axes.torch, tuple(parts))


def edge_spans(scene: Scene, spans: Array, last: Setting) -> Array | None:
    """The parts of `spans` within half a bead of a face without a run-off ring; None where both faces have one."""
    half, length = 0.5 * last.bead.width, scene.bore.length
    zones = [zone for zone, ring in (((0.0, half), scene.run_off.entry), ((length - half, length), scene.run_off.far)) if not ring]
    return np.concatenate([np.clip(spans, *zone) for zone in zones], axis=1) if zones else None


def axes_drawn(job: Job, drawn: Draw) -> AxesOf:
    """The axes as a draw has them; where no finish axis is given it is the pre-bore axis, and strays with it."""
    given = job.scene.axes
    follows = (given.finish_entry is None, given.finish_far is None)
    return AxesOf(
        drawn.moved(0, job.axes.pre_bore), drawn.moved(1, job.axes.torch), drawn.moved(2, job.axes.finish, follows)
    )


def start_drawn(job: Job, drawn: Draw, axes: AxesOf, read: StartMap) -> Wall:
    """The wall before welding as a draw has it, on the clock and depths of the wall as read.

    The worn wall is moved against the torch axis to first order: the torch is off by tenths of a millimetre, which
    leaves some micrometres on the flanks of a gouge, and nothing on a round wall. Knots are dropped to a micrometre.
    """
    scene, angle = job.scene, read.clock.angle
    (x1, y1), (x0, y0) = axes.torch.at(read.depth), job.axes.torch.at(read.depth)
    toward = np.sin(angle)[:, None] * (x1 - x0) - np.cos(angle)[:, None] * (y1 - y0)
    radius = read.radius + drawn.grown(angle)[:, None] - toward
    if scene.pre_bore is not None:
        cut = Bored(axes.pre_bore, 0.5 * scene.pre_bore.diameter + drawn.size)
        radius = np.maximum(radius, ray_to(cut, angle, read.depth, axes.torch))
    return Wall.from_radius(read.clock, read.depth, radius, tolerance=1e-3)


def _lay_drawn(job: Job, wall: Wall, setting: Setting, drawn: Draw, number: int) -> Laid:
    k = number - 1
    area, width = float(drawn.area[k]), float(drawn.width[k])
    bead = Bead.of_area(setting.bead.area * area, width=setting.bead.width * width)
    conditions = layup.conditions_drawn(job.scene, setting, drawn)
    try:
        noise = drawn.beads[k].on(setting.radius)
        return lay(wall, setting.path, bead, setting.q * area, conditions, noise=noise)
    except BoreClosed:
        raise closed(number) from None


def cut_before(scene: Scene) -> int:
    """Number of the layer before which the finish cut was taken (a local weld), 0 when none follows it."""
    done = scene.job.layers_done
    return done + 1 if scene.job.stage == AFTER and done < len(scene.layers) else 0


def least_of(scene: Scene, columns: int) -> tuple[float, float]:
    """Least stock per side [mm] of the model and of the pessimist, on a given clock: for searches, no figures.

    Raises SceneError as `simulate` does.
    """
    build = _built(scene, columns, lambda _: None)
    finish, spans = _judged_where(build)
    torch = build.axes.torch
    least = least_stock(build.laid[-1].wall, finish, torch, spans).spot.value
    return least, least_stock(build.pessimist, finish, torch, spans).spot.value


@dataclass(frozen=True)
class Figures:
    """A job in a few figures, lengths mm, stock per side: for comparing many.

    error: of the minimum from the clock step; ripple: of the last layer, largest over the clock, nan with too few
    turns; wire [mm3]; arc_time [s]; tip_clear: least left to the contact tip; narrowest: smallest bore the head passes,
    on diameter.
    """

    verdict: str
    minimum: float
    error: float
    pessimist: float
    ripple: float
    ripple_clock: float
    mean_stock: float
    weld_left: float
    wire: float
    arc_time: float
    tip_clear: float
    narrowest: float
    settings: tuple[Setting, ...]


def figures(scene: Scene, columns: int) -> Figures:
    """The job on a given clock, without low spots, causes or gauge readings. Raises SceneError as `simulate` does.

    >>> from sim.scene import load
    >>> figures(load("scenes/cleans_up.toml"), 180).verdict
    'cleans up'
    """
    build = _built(scene, columns, lambda _: None)
    finish, spans = _judged_where(build)
    torch, last = build.axes.torch, build.laid[-1].wall
    stock = least_stock(last, finish, torch, spans)
    pessimist = least_stock(build.pessimist, finish, torch, spans).spot.value
    error = clock_error(stock, build.start.clock, layup.clock_events(build.settings))
    end = build.settings[-1]
    ripples = ripple(build.start, last, end.path, end.bead)
    worst = int(np.nanargmax(ripples)) if not np.isnan(ripples).all() else -1
    return Figures(
        verdict=verdict_of(scene, stock.spot.value - error, pessimist - error),
        minimum=stock.spot.value,
        error=error,
        pessimist=pessimist,
        ripple=float(ripples[worst]) if worst >= 0 else math.nan,
        ripple_clock=float(last.clock.angle[worst]) if worst >= 0 else math.nan,
        mean_stock=_mean_stock(last, finish, torch, spans),
        weld_left=least_weld_left(build.start, finish, torch, spans).spot.value,
        wire=sum(layup.wire_used(scene, s) for s in build.settings),
        arc_time=sum(map(layup.arc_time, build.settings)),
        tip_clear=min(_tip_clear(scene, s, one.under) for s, one in zip(build.settings, build.laid, strict=True)),
        narrowest=min(_narrowest(wall, torch, scene.bore.length) for wall in (build.start, *(one.wall for one in build.laid))),
        settings=tuple(build.settings),
    )


def _mean_stock(wall: Wall, finish: Bored, torch: Axis, spans: Array, samples: int = 256) -> float:
    """Mean stock per side [mm] over the judged area, sampled along depth."""
    low, high = float(spans[:, :, 0].min()), float(spans.max())
    depth = low + (np.arange(samples) + 0.5) * (high - low) / samples
    inside = ((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1)
    weight = np.where(inside, wall.clock.span[:, None], 0.0)
    return float((weight * stock_map(wall, finish, torch, depth)).sum() / weight.sum())


def _tip_clear(scene: Scene, setting: Setting, under: Array) -> float:
    """Least distance left to the contact tip [mm] over the highest metal the torch passes in a layer."""
    if np.isnan(under).all():
        return scene.head.contact_tip
    return scene.head.contact_tip - (setting.radius - float(np.nanmin(under)))


def _narrowest(wall: Wall, torch: Axis, length: float) -> float:
    """Smallest bore [mm on diameter] about the torch axis between the faces."""
    spans = judged_spans(wall.clock, 0.0, length, ())
    return 2.0 * least_weld_left(wall, Bored(torch, 0.0), torch, spans).spot.value


def _judged_where(build: _Build) -> tuple[Bored, Array]:
    """The finish cylinder, and the depth ranges judged per column (n_clock, k, 2) [mm]."""
    if build.cut is None:
        return build.finish, build.spans
    return build.finish, _still_black(build.cut, build.finish, build.axes.torch, build.spans)


def _still_black(wall: Wall, finish: Bored, torch: Axis, spans: Array) -> Array:
    """What stayed black after the first cut and is still in question; everything when nothing did."""
    black = black_spans(wall, finish, torch, spans)
    return black if (black[:, :, 1] > black[:, :, 0]).any() else spans


def _check_size(settings: Sequence[Setting], columns: int) -> None:
    beads = sum(s.path.turns for s in settings) * columns
    if beads > default("limit.beads"):
        raise SceneError(
            f"job of {len(settings)} layers, {sum(s.path.turns for s in settings):.0f} turns at {columns} columns: "
            f"about {beads * 32 * 3 / 1e9:.0f} GB of sections, too large to hold; use a coarser [grid] columns or pitch."
        )


def _lay(scene: Scene, wall: Wall, setting: Setting, tie_in: float, number: int) -> Laid:
    try:
        return lay(wall, setting.path, setting.bead, setting.q, layup.conditions(scene, setting, tie_in))
    except BoreClosed:
        raise closed(number) from None


def closed(number: int) -> SceneError:
    """What to say when a layer does not fit into the bore."""
    return SceneError(
        f"layer {number}: closes the bore: the metal does not fit into what is left of it; "
        "lay fewer layers or a smaller bead."
    )


def _judged(build: _Build) -> Result:
    scene, last = build.scene, build.laid[-1].wall
    clock, torch = build.start.clock, build.axes.torch
    finish, spans = _judged_where(build)
    stock = least_stock(last, finish, torch, spans)
    spots = low_spots(last, finish, torch, spans)
    thin = [] if spots else low_spots(last, finish, torch, spans, level=scene.cut.minimum_cut)
    mean, percentiles = _spread(last, finish, build, spans)
    layers = _layers(build)
    why = cause.Suspects.of(build.start, last, build.axes, finish, [s.path for s in build.settings], scene)
    result = Result(
        scene=scene,
        axes=build.axes,
        finish=finish,
        tie_in=build.tie_in,
        spans=spans,
        start=build.start,
        layers=tuple(layers),
        stock=stock,
        stock_error=clock_error(stock, clock, layup.clock_events(build.settings)),
        pessimist=least_stock(build.pessimist, finish, torch, spans),
        pessimist_wall=build.pessimist,
        weld_left=least_weld_left(build.start, finish, torch, spans),
        mean_stock=mean,
        percentiles=percentiles,
        low_spots=tuple(replace(s, cause=why.of_spot(s)) for s in spots),
        thin_spots=tuple(replace(s, cause=why.of_spot(s)) for s in thin),
        warnings=(),
    )
    return replace(result, warnings=tuple(warnings(result)))


def _spread(wall: Wall, finish: Bored, build: _Build, spans: Array) -> tuple[float, tuple[float, float, float]]:
    """Mean stock per side and its 5th, 50th and 95th percentile over the judged area, sampled along depth."""
    low, high = float(spans[:, :, 0].min()), float(spans.max())
    n = int(min(max((high - low) / (0.05 * build.settings[-1].path.pitch), 200), 2000))
    depth = low + (np.arange(n) + 0.5) * (high - low) / n
    stock = stock_map(wall, finish, build.axes.torch, depth)
    inside = ((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1)
    weight = np.where(inside, wall.clock.span[:, None], 0.0).ravel()
    order = np.argsort(stock, axis=None)
    share = np.cumsum(weight[order])
    at = np.searchsorted(share, np.array([0.05, 0.5, 0.95]) * share[-1])
    ranked = stock.ravel()[order[np.minimum(at, len(order) - 1)]]
    return float(weight @ stock.ravel() / share[-1]), (float(ranked[0]), float(ranked[1]), float(ranked[2]))


def interior(setting: Setting, length: float) -> tuple[float, float]:
    """Depth range [mm] of a layer inside the bore without its first and last two turns."""
    low = max(float(setting.path.depth.min()), 0.0) + 2.0 * setting.path.pitch
    high = min(float(setting.path.depth.max()), length) - 2.0 * setting.path.pitch
    if high - low < setting.path.pitch:
        low, high = max(float(setting.path.depth.min()), 0.0), min(float(setting.path.depth.max()), length)
    if high - low < 1e-6:
        low, high = 0.0, length
    return low, high


def _layers(build: _Build) -> list[Layer]:
    scene = build.scene
    holes = layup.unjudged(scene) + layup.no_weld_areas(scene)
    out = []
    for setting, before, laid in zip(build.settings, build.before, build.laid, strict=True):
        after = laid.wall
        low, high = interior(setting, scene.bore.length)
        ripples = ripple(build.start, after, setting.path, setting.bead)
        worst = int(np.nanargmax(ripples)) if not np.isnan(ripples).all() else -1
        spans = judged_spans(after.clock, low, high, holes)
        valley = least_stock(after, Bored(build.axes.torch, 0.0), build.axes.torch, spans)
        volume = before.volume_to(after, after.start, after.end)
        out.append(
            Layer(
                setting=setting,
                wall=after,
                under=laid.under,
                remelted=int(laid.remelted.sum()),
                mean_thickness=before.mean_radius(low, high) - after.mean_radius(low, high),
                ripple=float(ripples[worst]) if worst >= 0 else math.nan,
                ripple_clock=float(after.clock.angle[worst]) if worst >= 0 else math.nan,
                ripples=ripples,
                gauge=gauge_range(after, low, high, scene.gauge.foot),
                valley=-2.0 * valley.spot.value,
                volume=volume,
                lost=volume - before.volume_to(after, 0.0, scene.bore.length),
            )
        )
    return out


def gauge_range(wall: Wall, low: float, high: float, foot: float) -> tuple[float, float]:
    """Smallest and largest reading [mm on diameter] of a two-point gauge with flat feet between two depths.

    The smallest radius under a foot at a clock plus the same opposite; the gauge cannot read nearer to the
    ends than half a foot.
    """
    half = min(0.5 * foot, 0.5 * (high - low))
    n = int(min(max((high - low - 2 * half) / 1.0, 1), 200))
    depth = np.linspace(low + half, high - half, n)
    one = wall.under_foot(depth, 2 * half)
    other = wall.clock.interpolate(one, wall.clock.angle + math.pi)
    return float((one + other).min()), float((one + other).max())


def warnings(result: Result) -> list[str]:
    """What a careful person would point at, one sentence each."""
    said = [] if result.scene.readings is None else list(result.scene.readings.said)
    return [*said, *_bead_warnings(result), *_layer_warnings(result), *_part_warnings(result)]


def _bead_warnings(result: Result) -> list[str]:
    scene, out = result.scene, []
    ratio = layup.contradiction(scene)
    if ratio is None:
        out.append("The bead was not measured: its width is assumed, so nothing here is proven; lay one on a plate.")
    elif abs(ratio - 1.0) > default("limit.contradiction"):
        believed = "the wire was measured, so it rules" if layup.feed_measured(scene) else (
            "nobody measured the wire feed, so the smaller of the two is used"
        )
        out.append(
            f"The measured bead holds {100 * ratio:.0f} % of the metal that wire feed and travel give: "
            f"{believed}; weigh or count a minute of wire and measure the bead again."
        )
    if not result.tie_in.measured:
        out.append("How far beads tie in was not measured: look at the pessimist's figure beside every minimum.")
    if scene.pad is not None and not result.tie_in.measured:
        out.append("The pad's pitch or its error leaves tie-in undecided: weld one at 0.85 to 0.9 of the bead width.")
    return out


def _layer_warnings(result: Result) -> list[str]:
    out: list[str] = []
    length = result.scene.bore.length
    for number, layer in enumerate(result.layers, 1):
        s = layer.setting
        if s.path.pitch > s.bead.width:
            out.append(f"Layer {number}: the pitch {s.path.pitch:.2f} mm is wider than the bead {s.bead.width:.2f} mm: bare wall stays between the beads.")
        if s.bead.area > default("limit.area"):
            out.append(f"Layer {number}: a bead of {s.bead.area:.1f} mm2 is more than holds on the climbing side (about {default('limit.area'):.0f} mm2).")
        inside = default("layer.inside") * s.bead.width - 1e-6
        low, high = float(s.path.depth.min()), float(s.path.depth.max())
        if (low < inside and not result.scene.run_off.entry) or (high > length - inside and not result.scene.run_off.far):
            out.append(f"Layer {number}: the bead centre comes nearer to a free face than a quarter of its width: metal is lost past the face; tack a run-off ring or start farther in.")
        turns = layer.under[:, ~np.isnan(layer.under).all(axis=0)]
        if turns.size:
            middle = turns[:, 2:-2] if turns.shape[1] > 5 else turns
            middle = middle[:, ~np.isnan(middle).all(axis=0)]
            swing = float(np.max(np.nanmax(middle, axis=0) - np.nanmin(middle, axis=0)))
            if swing > default("limit.tip_swing"):
                out.append(f"Layer {number}: the contact-tip distance changes by {swing:.1f} mm within a turn (up to {default('limit.tip_swing'):.0f} mm is usual).")
            clear = _tip_clear(result.scene, s, turns)
            if clear < default("limit.tip_clear"):
                hit = "the torch touches" if clear <= 0 else f"only {clear:.1f} mm is left to the contact tip"
                out.append(f"Layer {number}: metal stands high where the torch passes: {hit}; fewer closing turns or another start clock.")
    return out


def _part_warnings(result: Result) -> list[str]:
    scene, out = result.scene, []
    if abs(math.cos(scene.bore.inclination)) > 1e-6:
        speeds = [60.0 * s.travel for s in result.settings]
        if min(speeds) < 399.5 or max(speeds) > 640.5:
            out.append(f"Travel of {min(speeds):.0f} to {max(speeds):.0f} mm/min: gravity on the bead was measured from 400 to 640 mm/min; outside that it is extrapolated.")
        out.append("Gravity on the bead was measured to 55 degrees either side of 6 o'clock: 69 % of the clock is extrapolated.")
    if scene.pre_bore is not None and 0.5 * scene.pre_bore.diameter <= float(result.start.radius(np.array([0.0])).min()) - 1e-6:
        out.append("The pre-bore is smaller than the worn wall: it cuts nothing or not all round.")
    if scene.bore.outside_diameter is not None:
        widest = 2.0 * float(result.start.radius(np.linspace(0.0, scene.bore.length, 201)).max())
        ligament = 0.5 * (scene.bore.outside_diameter - widest)
        if ligament < default("ligament.least"):
            out.append(f"Only {ligament:.1f} mm of wall is left to the outside: it may burn through or draw; depth of fusion is about {scene.process.depth_of_fusion:.1f} mm.")
    if result.stock_error > default("limit.clock_error"):
        out.append(f"The clock step leaves an error of {result.stock_error:.3f} mm in the minimum; ask for more [grid] columns.")
    if result.weld_left.spot.value < 0.0:
        out.append("The finish cut runs into base metal in places: one side weld, the other base metal is a bad seat; see weld left.")
    if 2.0 / 3.0 * scene.cut.nose_radius > scene.cut.finish_allowance:
        out.append(f"A finishing pass of {scene.cut.finish_allowance:.2f} mm per side is thinner than two thirds of the nose radius {scene.cut.nose_radius:.2f} mm: the tool rubs.")
    return out


def check_head(result: Result) -> None:
    """Refuse a head that does not go into the bore as it fills, or out again. Raises SceneError."""
    smallest = result.scene.head.smallest_bore
    for number, wall in enumerate(result.walls):
        narrow = _narrowest(wall, result.axes.torch, result.scene.bore.length)
        if narrow < smallest:
            when = "before the first layer" if number == 0 else f"after layer {number}"
            raise SceneError(
                f"[head] smallest_bore = {smallest:g} mm: the bore is {narrow:.1f} mm {when}; "
                "the head would not pass; take a smaller head, fewer layers or thinner ones."
            )
