"""The boring passes of a judged job: what each one meets, what it takes, and what the bar does to the bore.

Stock is read off the result's own wall: the first cut takes the crests. Depth of cut is per side, sizes on diameter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim import cutting, layup
from sim.cutting import OVERHUNG, Bar
from sim.finish import black_spans, judged_spans, least_weld_left, stock_map
from sim.job import BEFORE, BoringBar, Scene, SceneError, keys_of
from sim.scene import final_limits
from sim.simulate import Result
from sim.sources import DEFAULTS, default
from sim.units import KINDS, said
from sim.wall import Array, Clock, Wall, frozen
from sim.wear import Bored, about, shape_of

PRE_BORE, ROUGH, FINISH = "pre-bore", "rough", "finish"
MOST_PASSES = 99


@dataclass(frozen=True)
class Over:
    """How a figure ranges over one pass: least, mean and most where the tool cuts."""

    least: float
    mean: float
    most: float


NOWHERE = Over(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Pass:
    """One boring pass.

    kind: pre-bore, rough or finish; done: already behind us at the job's stage; met, size: smallest diameter the tool
    meets and the one it is set to [mm on diameter]; depth of cut [mm per side]; round_change, along_change: largest
    change of that depth within a turn and along the bore at one clock [mm per side]; interrupted: part of the tool's
    way without metal, thin: part with less metal than the smallest useful cut; turning, wished [rad/s]: as the bar can,
    and for the cutting speed wished; feed, wished_feed [mm per turn]; cutting_speed [mm/s]; time [s]; force [N] along
    the speed; power [W] of the drive; bend [mm per side]: metal left standing because the bar gives way; roughness,
    mean_roughness [mm]: height and Ra of the feed marks, theoretical.
    """

    kind: str
    done: bool
    met: float
    size: float
    depth: Over
    round_change: float
    along_change: float
    interrupted: float
    thin: float
    turning: float
    wished: float
    feed: float
    wished_feed: float
    cutting_speed: float
    time: float
    force: Over
    power: Over
    bend: Over
    roughness: float
    mean_roughness: float


@dataclass(frozen=True)
class BoreAfter:
    """What the bar makes of the finished bore, from bending alone [mm on diameter], over the judged wall that is cut.

    size: mean diameter less the size set (negative: smaller); taper: far end less entry end; waist: middle less the
    mean of the ends (negative: narrower in the middle); out_of_round: largest less smallest two-point diameter at one
    depth; change: largest less smallest diameter of all; after_spring: the same after the pass is run once more at the
    same setting; tolerance: upper less lower limit of size, None when the drawing gives none; black: part of the judged
    wall that stays uncut.
    """

    size: float
    taper: float
    waist: float
    out_of_round: float
    change: float
    after_spring: float
    tolerance: float | None
    black: float


@dataclass(frozen=True)
class Cuts:
    """Every pass in order, what the last one leaves, and what is to be said.

    bar: as assumed or given; bar_given: whether the scene has one; given: its section, or all usual values;
    smallest: smallest useful cut [mm per side]; allowance: left for the finishing pass [mm per side]; warnings and
    assumed: sentences, in the job's units.
    """

    scene: Scene
    given: BoringBar
    bar_given: bool
    bar: Bar
    passes: tuple[Pass, ...]
    bore: BoreAfter
    smallest: float
    allowance: float
    warnings: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def time(self) -> float:
        """Time in the cut [s] of the passes still to come."""
        return sum(one.time for one in self.passes if not one.done)


def boring_cuts(result: Result) -> Cuts:
    """The boring passes of a result. Raises SceneError when the bar does not go into the bore or its bearings.

    >>> from sim.scene import load
    >>> from sim.simulate import simulate
    >>> [one.kind for one in boring_cuts(simulate(load("scenes/cleans_up.toml"))).passes]
    ['pre-bore', 'rough', 'rough', 'rough', 'finish']
    """
    scene = result.scene
    shop = _shop(result)
    passes = _pre_bore(result, shop)
    metal = _welded(result)
    cut, left = _after_weld(metal, shop)
    passes += cut
    bore = _bore_after(metal, shop, cut[-1], left)
    cuts = Cuts(
        scene=scene,
        given=shop.tool,
        bar_given=scene.boring_bar is not None,
        bar=shop.bar,
        passes=tuple(passes),
        bore=bore,
        smallest=shop.smallest,
        allowance=scene.cut.finish_allowance,
        warnings=(),
        assumed=tuple(_assumed(scene, shop)),
    )
    return replace(cuts, warnings=tuple(_warnings(cuts)))


# ---- the bar --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Shop:
    """What the passes are run with; allowance and nose [mm]; wished cutting speed [mm/s]."""

    scene: Scene
    tool: BoringBar
    bar: Bar
    smallest: float
    cutting_speed: float


def _shop(result: Result) -> _Shop:
    scene = result.scene
    tool = scene.boring_bar or BoringBar()
    name = "bar.carbide" if tool.insert == "carbide" else "bar.high_speed_steel"
    usual = KINDS["cutting speed"][0].inside(default(name))
    return _Shop(
        scene, tool, _bar(result, tool), default("bar.smallest") * scene.cut.nose_radius, tool.cutting_speed or usual
    )


def _bar(result: Result, tool: BoringBar) -> Bar:
    """The bar as given, else as usual. Raises SceneError when it does not fit."""
    length, final = result.scene.bore.length, result.scene.bore.final_diameter
    narrow = min(2.0 * _crest(wall, result) for wall in (result.start, result.layers[-1].wall))
    usual = min(max(default("bar.share") * final, default("bar.thinnest")), default("bar.thickest"))
    diameter = tool.diameter or usual
    if diameter >= narrow:
        raise SceneError(
            f"[boring_bar] diameter = {diameter:g} mm: does not go into the bore, {narrow:.1f} mm at its narrowest; take a thinner bar."
        )
    if tool.held == OVERHUNG:
        before = default("bar.clearance") if tool.overhang is None else tool.overhang
        return Bar(diameter, tool.held, before, 0.0, default("bar.modulus"))
    span = length + (tool.before or default("bar.clearance")) + default("bar.clearance") if tool.span is None else tool.span
    before = 0.5 * (span - length) if tool.before is None else tool.before
    return Bar(diameter, tool.held, before, span, default("bar.modulus"))


def _crest(wall: Wall, result: Result) -> float:
    """Smallest distance of the wall from the finish axis between the faces [mm]."""
    spans = judged_spans(wall.clock, 0.0, result.scene.bore.length, ())
    return least_weld_left(wall, Bored(result.finish.axis, 0.0), result.axes.torch, spans).spot.value


def nearest(wished: float, listed: Sequence[float], least: float | None, most: float | None) -> float:
    """What a machine can, nearest to what is wished: of a list by ratio, else within a range.

    >>> nearest(300.0, (100.0, 250.0, 400.0), None, None), nearest(300.0, (), None, 200.0)
    (250.0, 200.0)
    """
    if listed:
        return min(listed, key=lambda one: abs(math.log(one / wished)))
    return min(max(wished, least or 0.0), most or math.inf)


# ---- the metal a pass meets ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Metal:
    """A wall sampled about the axis of a cut: distance (n_clock, n_depth) [mm], nan over holes; judged likewise.

    size: radius that the last pass is set to [mm]; black: part of the judged wall beyond it, exact along depth.
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


def _welded(result: Result) -> _Metal:
    """The wall after the last layer about the finish axis, with the size the drawing wants in the middle of its limits."""
    scene, wall = result.scene, result.layers[-1].wall
    depth = _depths(scene.bore.length, result.settings[-1].path.pitch)
    radius = result.finish.radius - stock_map(wall, result.finish, result.axes.torch, depth)
    holes = judged_spans(wall.clock, 0.0, scene.bore.length, layup.holes(scene, arc_stops=True))
    radius[np.logical_not(_inside(depth, holes))] = np.nan
    size = 0.25 * sum(final_limits(scene.bore))
    judged = frozen(_inside(depth, result.spans))
    crest, black = _crest(wall, result), _black(wall, result, size)
    return _Metal(wall.clock, depth, frozen(radius), judged, scene.bore.length, crest, size, black)


def _black(wall: Wall, result: Result, size: float) -> float:
    """Part of the judged wall that lies beyond a radius [mm] about the finish axis, exact along depth."""
    beyond = black_spans(wall, Bored(result.finish.axis, size), result.axes.torch, result.spans)
    black, whole = (float((spans[:, :, 1] - spans[:, :, 0]).sum(axis=1) @ wall.clock.span) for spans in (beyond, result.spans))
    return black / whole


def _inside(depth: Array, spans: Array) -> Array:
    """Which depths of each column lie in its spans, shape (n_clock, n_depth)."""
    return np.asarray(((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1))


def _worn(result: Result) -> _Metal:
    """The worn wall about the pre-bore axis."""
    scene, clock = result.scene, Clock.even(360)
    depth = _depths(scene.bore.length, 5.0)
    radius = about(shape_of(scene), clock.angle, depth, result.axes.pre_bore)
    size = 0.5 * (scene.pre_bore.diameter if scene.pre_bore else 0.0)
    everywhere = np.ones(radius.shape, dtype=bool)
    return _Metal(clock, depth, frozen(radius), frozen(everywhere), scene.bore.length, float(radius.min()), size)


# ---- passes ---------------------------------------------------------------------------------------------------------


def _pre_bore(result: Result, shop: _Shop) -> list[Pass]:
    if result.scene.pre_bore is None:
        return []
    metal = _worn(result)
    if metal.crest >= metal.size:
        return []
    sizes = _steps(metal.crest, metal.size, _deepest(shop, metal.size, shop.tool.rough_feed))
    passes, _ = _run(metal, shop, [(PRE_BORE, size) for size in sizes])
    done = result.scene.job.stage != BEFORE
    return [replace(one, done=done) for one in passes]


def _after_weld(metal: _Metal, shop: _Shop) -> tuple[list[Pass], Array]:
    """Roughing and finishing passes, and the bend of the last one (n_clock, n_depth) [mm], nan where it cuts nothing."""
    rough = metal.size - shop.scene.cut.finish_allowance
    sizes: list[tuple[str, float]] = []
    if rough - metal.crest >= shop.smallest:
        sizes = [(ROUGH, size) for size in _steps(metal.crest, rough, _deepest(shop, rough, shop.tool.rough_feed))]
    return _run(metal, shop, [*sizes, (FINISH, metal.size)])


def _steps(crest: float, size: float, deepest: float) -> list[float]:
    """Radii [mm] of equal passes from the crests to a size, none deeper than `deepest`."""
    count = min(max(math.ceil((size - crest) / deepest - 1e-9), 1), MOST_PASSES)
    return [crest + (size - crest) * (k + 1) / count for k in range(count)]


def _deepest(shop: _Shop, radius: float, wished_feed: float) -> float:
    """Most depth of cut [mm per side]: as given or usual, or as the power allows; never less than the smallest useful."""
    tool = shop.tool
    if tool.power is None:
        return tool.depth_most
    turning, feed = _speeds(shop, radius, wished_feed)
    held = tool.power * tool.efficiency * 1000.0 / (_kc(shop, feed) * feed * turning * radius)
    return max(min(tool.depth_most, held), shop.smallest)


def _speeds(shop: _Shop, radius: float, wished_feed: float) -> tuple[float, float]:
    """Rotation [rad/s] and feed [mm per turn] that the bar can, nearest to those wished."""
    tool = shop.tool
    wished = cutting.rotation(shop.cutting_speed, 2.0 * radius)
    turning = nearest(wished, tool.speeds, tool.speed_least, tool.speed_most)
    return turning, nearest(wished_feed, tool.feeds, tool.feed_least, tool.feed_most)


def _kc(shop: _Shop, feed: float) -> float:
    thickness = feed * math.sin(shop.tool.entering_angle)
    return cutting.specific_force(thickness, shop.tool.specific_force, shop.tool.force_exponent)


def _run(metal: _Metal, shop: _Shop, sizes: Sequence[tuple[str, float]]) -> tuple[list[Pass], Array]:
    """Passes one after the other, each on what the one before it left standing."""
    out, radius, crest = [], metal.radius, metal.crest
    bend = np.full(radius.shape, np.nan)
    for kind, size in sizes:
        one, bend = _pass(replace(metal, radius=radius, crest=crest), shop, kind, size)
        out.append(one)
        radius = np.where(np.isnan(bend), radius, size - bend)
        crest = min(size - one.bend.most, size) if one.depth.most > 0.0 else crest
    return out, bend


def _pass(metal: _Metal, shop: _Shop, kind: str, size: float) -> tuple[Pass, Array]:
    """One pass set to a radius [mm], and its bend (n_clock, n_depth) [mm], nan where it meets no metal."""
    tool = shop.tool
    wished_feed = tool.finish_feed if kind == FINISH else tool.rough_feed
    turning, feed = _speeds(shop, size, wished_feed)
    kc, speed = _kc(shop, feed), turning * size
    depth = np.where(metal.radius < size, size - metal.radius, np.nan)
    bend = cutting.left_standing(depth, tool.push_off * kc * feed, shop.bar.compliance(metal.depth))
    taken = _over(depth - bend, metal.weight)
    force = Over(*(cutting.cutting_force(one, feed, kc) for one in (taken.least, taken.mean, taken.most)))
    nose, met = shop.scene.cut.nose_radius, ~np.isnan(depth)
    one = Pass(
        kind=kind,
        done=False,
        met=2.0 * metal.crest,
        size=2.0 * size,
        depth=replace(_over(depth, metal.weight), most=max(size - metal.crest, 0.0)),
        round_change=_change(depth, 0),
        along_change=_change(depth, 1),
        interrupted=float(metal.weight[~met].sum()),
        thin=float(metal.weight[met & (np.nan_to_num(depth) < shop.smallest - 1e-9)].sum()),
        turning=turning,
        wished=cutting.rotation(shop.cutting_speed, 2.0 * size),
        feed=feed,
        wished_feed=wished_feed,
        cutting_speed=speed,
        time=cutting.cutting_time(metal.length + default("bar.run_out"), feed, turning),
        force=force,
        power=Over(*(cutting.power(f, speed, tool.efficiency) for f in (force.least, force.mean, force.most))),
        bend=_over(bend, metal.weight),
        roughness=cutting.exact_roughness(feed, nose) if feed <= 2.0 * nose else math.nan,
        mean_roughness=cutting.mean_roughness(feed, nose) if feed <= 2.0 * nose else math.nan,
    )
    return one, bend


def _over(values: Array, weight: Array) -> Over:
    """Least, mean and most of what is not nan."""
    there = ~np.isnan(values)
    if not there.any():
        return NOWHERE
    held, share = values[there], weight[there]
    return Over(float(held.min()), float(held @ share / share.sum()), float(held.max()))


def _change(depth: Array, axis: int) -> float:
    """Largest change of the depth of cut along one axis [mm]; no metal counts as nothing to cut."""
    full = np.nan_to_num(depth)
    return float((full.max(axis=axis) - full.min(axis=axis)).max())


# ---- what the bar does to the bore -----------------------------------------------------------------------------------


def _bore_after(metal: _Metal, shop: _Shop, last: Pass, bend: Array) -> BoreAfter:
    """The finished bore by the bend of the last pass (n_clock, n_depth) [mm per side]."""
    low, high = final_limits(shop.scene.bore)
    tolerance = high - low if high - low > 1e-9 else None
    cut = metal.judged & ~np.isnan(bend)
    if not cut.any():
        return BoreAfter(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, tolerance, metal.black)
    bend = np.where(cut, bend, np.nan)
    push = shop.tool.push_off * _kc(shop, last.feed) * last.feed
    again = cutting.left_standing(bend, push, shop.bar.compliance(metal.depth))
    across = bend + metal.clock.interpolate(bend, metal.clock.angle + math.pi)
    entry, middle, far = (_mean(bend[:, part], metal.weight[:, part]) for part in _thirds(cut))
    return BoreAfter(
        size=-2.0 * _mean(bend, metal.weight),
        taper=-2.0 * (far - entry),
        waist=-2.0 * (middle - 0.5 * (entry + far)),
        out_of_round=_largest_round(across),
        change=2.0 * float(np.nanmax(bend) - np.nanmin(bend)),
        after_spring=2.0 * float(np.nanmax(again) - np.nanmin(again)),
        tolerance=tolerance,
        black=metal.black,
    )


def _mean(values: Array, weight: Array) -> float:
    return _over(values, weight).mean


def _thirds(cut: Array) -> tuple[slice, slice, slice]:
    """The entry, middle and far tenth of the depths that are cut."""
    there = np.flatnonzero(cut.any(axis=0))
    first, n = int(there[0]), int(there[-1] - there[0] + 1)
    wide = max(n // 10, 1)
    begins = (first, first + (n - wide) // 2, first + n - wide)
    return tuple(slice(b, b + wide) for b in begins)  # type: ignore[return-value]


def _largest_round(across: Array) -> float:
    """Largest less smallest two-point diameter at one depth, worst depth [mm]; nan where either side is uncut."""
    there = np.isfinite(across)
    high = np.where(there, across, -np.inf).max(axis=0)
    low = np.where(there, across, np.inf).min(axis=0)
    held = there.any(axis=0)
    return float((high[held] - low[held]).max()) if held.any() else 0.0


# ---- words ----------------------------------------------------------------------------------------------------------


def _warnings(cuts: Cuts) -> list[str]:
    coming = [one for one in cuts.passes if not one.done]
    kinds = [[one for one in coming if one.kind == kind] for kind in dict.fromkeys(one.kind for one in coming)]
    last = [held[-1] for held in kinds]
    return [*_speed_warnings(cuts, last), *(line for held in kinds for line in _depth_warnings(cuts, held)), *_bar_warnings(cuts)]


def _speed_warnings(cuts: Cuts, last: Sequence[Pass]) -> list[str]:
    """What the bar cannot run or feed, and the nearest it can; `last`: the last pass of each kind."""
    units, off, out = cuts.scene.job.units, default("limit.speed_off"), []
    slow = [one for one in last if abs(one.turning / one.wished - 1.0) > off]
    if slow:
        told = (
            f"{said(one.wished, 'rotation', units, 0)} ({one.kind}, {said(one.wished * 0.5 * one.size, 'cutting speed', units, 0)} on {said(one.size, 'length', units)}; "
            f"nearest it can: {said(one.turning, 'rotation', units, 0)}, {said(one.cutting_speed, 'cutting speed', units, 0)})"
            for one in slow
        )
        out.append(f"The bar cannot run {', '.join(told)}.")
    coarse = [one for one in last if abs(one.feed / one.wished_feed - 1.0) > off]
    if coarse:
        told = (f"{said(one.wished_feed, 'length', units, 3)} ({one.kind}; nearest it can: {said(one.feed, 'length', units, 3)})" for one in coarse)
        out.append(f"The bar cannot feed, per turn, {', '.join(told)}.")
    for one in last:
        if math.isnan(one.roughness):
            out.append(f"{one.kind.capitalize()}: a feed of {said(one.feed, 'length', units, 3)} per turn is wider than the nose: it leaves a thread, not a bore; feed less or take a larger nose.")
    return out


def _depth_warnings(cuts: Cuts, held: Sequence[Pass]) -> list[str]:
    units, name, out = cuts.scene.job.units, held[0].kind.capitalize(), []
    least = said(cuts.smallest, "length", units)
    most = max(one.depth.most for one in held)
    if held[-1].kind == FINISH and most < cuts.smallest - 1e-9:
        out.append(f"{name}: {said(most, 'length', units)} per side is thinner than the tool can take ({least}, two thirds of its nose radius): it rubs; leave more or take a smaller nose.")
    elif held[-1].kind != ROUGH and held[-1].thin > 0.005:
        out.append(f"{name}: {100 * held[-1].thin:.0f} % of the last pass is thinner than the tool can take ({least} per side): it rubs there.")
    if held[-1].kind == FINISH and held[-1].interrupted > 0.005:
        out.append(f"{name}: {100 * held[-1].interrupted:.0f} % of the pass meets no metal: black wall, holes or keyways.")
    power = cuts.given.power
    worst = max(held, key=lambda one: one.power.most)
    if power is not None and worst.power.most > power * (1.0 + 1e-6):
        fits = worst.depth.most * power / worst.power.most
        out.append(
            f"{name}: needs {said(worst.power.most, 'power', units)}, the drive has {said(power, 'power', units)}: at most "
            f"{said(fits, 'length', units)} per side at this feed and speed; feed less or turn slower."
        )
    if len(held) >= MOST_PASSES:
        out.append(f"{name}: more than {MOST_PASSES} passes; the bar is too weak for this much metal.")
    return out


def _bar_warnings(cuts: Cuts) -> list[str]:
    units, bore, out = cuts.scene.job.units, cuts.bore, []
    reach = cuts.bar.before + cuts.scene.bore.length
    if cuts.bar.held == OVERHUNG and reach > default("limit.overhang") * cuts.bar.diameter:
        out.append(f"The bar stands out {said(reach, 'length', units, 0)} at the far face, {reach / cuts.bar.diameter:.1f} times its diameter: past about {default('limit.overhang'):.0f} it chatters; support it or take a thicker one.")
    if bore.tolerance is None:
        return out
    finish = cuts.passes[-1]
    if 2.0 * finish.bend.most > bore.tolerance:
        out.append(
            f"Finish: the bar bends {said(finish.bend.most, 'length', units, 3)} per side at most, {said(2.0 * finish.bend.most, 'length', units, 3)} on diameter, "
            f"more than the tolerance of {said(bore.tolerance, 'length', units, 3)} on diameter: set the size by a trial cut, take less, or run the pass again at the same setting."
        )
    if bore.change > bore.tolerance:
        out.append(
            f"Finish: bending alone changes the diameter by {said(bore.change, 'length', units, 3)} over the bore, more than the tolerance of "
            f"{said(bore.tolerance, 'length', units, 3)}; after one more pass at the same setting by {said(bore.after_spring, 'length', units, 3)}."
        )
    return out


def _assumed(scene: Scene, shop: _Shop) -> list[str]:
    """What was not given, one line each with how it is known."""
    tool, units, out = shop.tool, scene.job.units, []
    if scene.boring_bar is None:
        out.append("No boring bar given: usual values stand for it.")
    if tool.diameter is None:
        out.append(_line("bar diameter", said(shop.bar.diameter, "length", units, 1), "bar.share"))
    if (tool.overhang if tool.held == OVERHUNG else tool.span) is None:
        what = "bearing to entry face" if tool.held == OVERHUNG else "span from bearing to bearing"
        size = shop.bar.before if tool.held == OVERHUNG else shop.bar.span
        out.append(_line(what, said(size, "length", units, 0), "bar.clearance"))
    if not tool.speeds and tool.speed_least is None and tool.speed_most is None:
        out.append("speeds: the bar is taken to run any (assumed).")
    if not tool.feeds and tool.feed_least is None and tool.feed_most is None:
        out.append("feeds: the bar is taken to have any (assumed).")
    if tool.power is None:
        out.append("power: none given, so not checked.")
    if tool.cutting_speed is None:
        name = "bar.carbide" if tool.insert == "carbide" else "bar.high_speed_steel"
        out.append(_line("cutting speed", said(shop.cutting_speed, "cutting speed", units, 0), name))
    usual = BoringBar()
    for f in keys_of(BoringBar):
        value = getattr(tool, f.name)
        if f.metadata["known"] and value == getattr(usual, f.name):
            digits = 3 if f.metadata["kind"] == "length" else 2
            out.append(_line(f.name.replace("_", " "), said(value, f.metadata["kind"], units, digits), f.metadata["known"]))
    out.append(_line("bar's modulus", said(shop.bar.modulus, "pressure", units, 0), "bar.modulus"))
    out.append("bearings and tool do not give; the cut is steady, no chatter (assumed).")
    return out


def _line(what: str, value: str, name: str) -> str:
    known = DEFAULTS[name]
    return f"{what} {value} ({known.basis}: {known.source})."
