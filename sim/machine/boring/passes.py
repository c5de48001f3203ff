"""The boring passes of a judged job: what each one meets, what it takes, and what the bar does to
the bore.

Stock is read off the result's own wall: the first cut takes the crests. Depth of cut is per side,
sizes on diameter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.job.checks import final_limits
from sim.job.looked import read_after
from sim.job.sections.bore import BEFORE
from sim.laws.bar_deflection import left_standing
from sim.laws.cutting_force import cutting_force, cutting_time, power, rotation
from sim.laws.roughness import exact_roughness, mean_roughness
from sim.machine.boring.bar_and_metal import (
    Boring,
    Metal,
    boring_of,
    specific_force_at,
    speeds_it_can,
    welded_metal,
    worn_metal,
)
from sim.machine.boring.cuts import (
    FINISH,
    MOST_PASSES,
    NOWHERE,
    PRE_BORE,
    ROUGH,
    BoreAfter,
    Cuts,
    Over,
    Pass,
)
from sim.machine.boring.look_at import look_at, taken_for_granted
from sim.reference.arrays import Array
from sim.reference.defaults import default
from sim.shop.result import Result


def boring_cuts(result: Result) -> Cuts:
    """The boring passes of a result. Raises SceneError when the bar does not go into the bore or
    its bearings.

    >>> from sim.job.read import load
    >>> from sim.shop.run import simulate
    >>> [one.kind for one in boring_cuts(simulate(load("scenes/cleans_up.toml"))).passes]
    ['pre-bore', 'rough', 'rough', 'rough', 'finish']
    """
    scene = result.scene
    shop = boring_of(result)
    passes = _pre_bore(result, shop)
    metal = welded_metal(result)
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
        assumed=tuple(taken_for_granted(scene, shop)),
    )
    return replace(cuts, warnings=tuple(look_at(cuts)))


def _pre_bore(result: Result, shop: Boring) -> list[Pass]:
    if result.scene.pre_bore is None or read_after(result.scene):
        return []
    metal = worn_metal(result)
    if metal.crest >= metal.size:
        return []
    sizes = _steps(metal.crest, metal.size, _deepest(shop, metal.size, shop.tool.rough_feed))
    passes, _ = _run(metal, shop, [(PRE_BORE, size) for size in sizes])
    done = result.scene.job.stage != BEFORE
    return [replace(one, done=done) for one in passes]


def _after_weld(metal: Metal, shop: Boring) -> tuple[list[Pass], Array]:
    """Roughing and finishing passes, and the bend of the last one (n_clock, n_depth) [mm], nan
    where it cuts nothing.
    """
    rough = metal.size - shop.scene.cut.finish_allowance
    sizes: list[tuple[str, float]] = []
    if rough - metal.crest >= shop.smallest:
        sizes = [
            (ROUGH, size)
            for size in _steps(metal.crest, rough, _deepest(shop, rough, shop.tool.rough_feed))
        ]
    return _run(metal, shop, [*sizes, (FINISH, metal.size)])


def _steps(crest: float, size: float, deepest: float) -> list[float]:
    """Radii [mm] of equal passes from the crests to a size, none deeper than `deepest`."""
    count = min(max(math.ceil((size - crest) / deepest - 1e-9), 1), MOST_PASSES)
    return [crest + (size - crest) * (k + 1) / count for k in range(count)]


def _deepest(shop: Boring, radius: float, wished_feed: float) -> float:
    """Most depth of cut [mm per side]: as given or usual, or as the power allows; never less than
    the smallest useful.
    """
    tool = shop.tool
    if tool.power is None:
        return tool.depth_most
    turning, feed = speeds_it_can(shop, radius, wished_feed)
    held = (
        tool.power
        * tool.efficiency
        * 1000.0
        / (specific_force_at(shop, feed) * feed * turning * radius)
    )
    return max(min(tool.depth_most, held), shop.smallest)


def _run(
    metal: Metal, shop: Boring, sizes: Sequence[tuple[str, float]]
) -> tuple[list[Pass], Array]:
    """Passes one after the other, each on what the one before it left standing."""
    out, radius, crest = [], metal.radius, metal.crest
    bend = np.full(radius.shape, np.nan)
    for kind, size in sizes:
        one, bend = _pass(replace(metal, radius=radius, crest=crest), shop, kind, size)
        out.append(one)
        radius = np.where(np.isnan(bend), radius, size - bend)
        crest = min(size - one.bend.most, size) if one.depth.most > 0.0 else crest
    return out, bend


def _pass(metal: Metal, shop: Boring, kind: str, size: float) -> tuple[Pass, Array]:
    """One pass set to a radius [mm], and its bend (n_clock, n_depth) [mm], nan where it meets no
    metal.
    """
    tool = shop.tool
    wished_feed = tool.finish_feed if kind == FINISH else tool.rough_feed
    turning, feed = speeds_it_can(shop, size, wished_feed)
    kc, speed = specific_force_at(shop, feed), turning * size
    depth = np.where(metal.radius < size, size - metal.radius, np.nan)
    bend = left_standing(depth, tool.push_off * kc * feed, shop.bar.compliance(metal.depth))
    taken = _over(depth - bend, metal.weight)
    force = Over(*(cutting_force(one, feed, kc) for one in (taken.least, taken.mean, taken.most)))
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
        wished=rotation(shop.cutting_speed, 2.0 * size),
        feed=feed,
        wished_feed=wished_feed,
        cutting_speed=speed,
        time=cutting_time(metal.length + default("bar.run_out"), feed, turning),
        force=force,
        power=Over(
            *(power(f, speed, tool.efficiency) for f in (force.least, force.mean, force.most))
        ),
        bend=_over(bend, metal.weight),
        roughness=exact_roughness(feed, nose) if feed <= 2.0 * nose else math.nan,
        mean_roughness=mean_roughness(feed, nose) if feed <= 2.0 * nose else math.nan,
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


def _bore_after(metal: Metal, shop: Boring, last: Pass, bend: Array) -> BoreAfter:
    """The finished bore by the bend of the last pass (n_clock, n_depth) [mm per side]."""
    low, high = final_limits(shop.scene.bore)
    tolerance = high - low if high - low > 1e-9 else None
    cut = metal.judged & ~np.isnan(bend)
    if not cut.any():
        return BoreAfter(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, tolerance, metal.black)
    bend = np.where(cut, bend, np.nan)
    push = shop.tool.push_off * specific_force_at(shop, last.feed) * last.feed
    again = left_standing(bend, push, shop.bar.compliance(metal.depth))
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
    """Largest less smallest two-point diameter at one depth, worst depth [mm]; nan where either
    side is uncut.
    """
    there = np.isfinite(across)
    high = np.where(there, across, -np.inf).max(axis=0)
    low = np.where(there, across, np.inf).min(axis=0)
    held = there.any(axis=0)
    return float((high[held] - low[held]).max()) if held.any() else 0.0
