"""Scene in, Result out, in shop order: worn, pre-bored, laid, bored, judged."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.bore.cylinders import Bored
from sim.bore.low_spots import low_spots
from sim.bore.ripple import ripple
from sim.bore.stock import clock_error, judged_columns, judged_spans, least_stock, least_weld_left
from sim.job.scene import Scene
from sim.reference.defaults import default
from sim.reference.remarks import Remark, Tell
from sim.set_up.axes_and_areas import no_weld_areas, not_gauged, unjudged
from sim.set_up.layers import Setting, wire_used
from sim.set_up.layers import arc_time as layers_arc_time
from sim.shop.as_worn import worst_unseen
from sim.shop.deposit import BuiltUp, built_up
from sim.shop.finish import (
    check_head,
    gauge_range,
    interior,
    judged_where,
    mean_stock_of,
    narrowest_bore,
    stock_spread,
)
from sim.shop.look_at import beside_unseen, warnings
from sim.shop.low_spot_causes import Suspects
from sim.shop.ready_to_lay import all_events
from sim.shop.result import Layer, Result, tip_clear


def simulate(scene: Scene, *, progress: Tell | None = None) -> Result:
    """The job as planned: geometry and facts; `sim.plan.odds.verdict` decides. Raises SceneError
    when it cannot be done (metal or head does not fit, job too large).

    >>> from sim.job.read import load
    >>> round(simulate(load("scenes/cleans_up.toml")).stock.spot.value, 1)
    1.8
    """
    tell = progress or (lambda _: None)
    columns = clock_columns(scene)
    for attempt in range(3):
        build = built_up(scene, columns, tell)
        result = judged(build)
        check_head(result)
        if result.stock_error <= default("limit.clock_error") or attempt == 2:
            return _with_unseen(result, columns)
        columns *= 2
        tell(Remark("clock divided finer", columns=columns))
    raise AssertionError("unreachable")  # pragma: no cover


def _with_unseen(result: Result, columns: int) -> Result:
    """The result with the least stock that remains if all the wear the gauge cannot see is on the
    worst side.
    """
    worst = worst_unseen(result.scene)
    if worst is None:
        return result
    build = built_up(result.scene, columns, lambda _: None, worn=worst)
    least = least_stock(
        build.laid[-1].wall, build.finish, build.axes.torch, result.spans
    ).spot.value
    result = replace(result, unseen=least)
    return replace(result, warnings=(*result.warnings, *beside_unseen(result)))


def clock_columns(scene: Scene) -> int:
    """Clock columns: as the scene says, more where a column would be too wide along the wall."""
    around = math.pi * max(scene.worn.diameter, scene.bore.final_diameter)
    needed = 8 * math.ceil(around / default("limit.cell") / 8)
    if scene.grid.columns != int(default("grid.columns")):
        return scene.grid.columns
    return max(scene.grid.columns, needed)


def least_of(scene: Scene, columns: int) -> float:
    """Least stock per side [mm] as planned, on a given clock: for searches, no figures.

    Raises SceneError as `simulate` does.
    """
    build = built_up(scene, columns, lambda _: None)
    finish, spans = judged_where(build)
    return least_stock(build.laid[-1].wall, finish, build.axes.torch, spans).spot.value


@dataclass(frozen=True)
class Figures:
    """A job as planned in a few figures, lengths mm, stock per side: for comparing many; no
    verdict.

    error: of the minimum from the clock step; ripple: of the last layer, largest over the clock,
    nan with too few turns; wire [mm3]; arc_time [s]; tip_clear: least left to the contact tip;
    narrowest: smallest bore the head passes, on diameter.
    """

    minimum: float
    error: float
    poorest_tie_in: float
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
    """The job on a given clock, without low spots, causes or gauge readings. Raises SceneError as
    `simulate` does.

    >>> from sim.job.read import load
    >>> round(figures(load("scenes/cleans_up.toml"), 180).minimum, 1)
    1.8
    """
    build = built_up(scene, columns, lambda _: None)
    finish, spans = judged_where(build)
    torch, last = build.axes.torch, build.laid[-1].wall
    stock = least_stock(last, finish, torch, spans)
    error = clock_error(stock, build.start.clock, all_events(scene, build.settings))
    end = build.settings[-1]
    ripples = ripple(build.start, last, end.path, end.bead)
    worst = int(np.nanargmax(ripples)) if not np.isnan(ripples).all() else -1
    return Figures(
        minimum=stock.spot.value,
        error=error,
        poorest_tie_in=least_stock(build.poorest, finish, torch, spans).spot.value,
        ripple=float(ripples[worst]) if worst >= 0 else math.nan,
        ripple_clock=float(last.clock.angle[worst]) if worst >= 0 else math.nan,
        mean_stock=mean_stock_of(last, finish, torch, spans),
        weld_left=least_weld_left(build.start, finish, torch, spans).spot.value,
        wire=sum(wire_used(scene, s) for s in build.settings),
        arc_time=sum(map(layers_arc_time, build.settings)),
        tip_clear=min(
            tip_clear(scene, s, one.under)
            for s, one in zip(build.settings, build.laid, strict=True)
        ),
        narrowest=min(
            narrowest_bore(wall, torch, scene.bore.length)
            for wall in (build.start, *(one.wall for one in build.laid))
        ),
        settings=tuple(build.settings),
    )


def judged(build: BuiltUp) -> Result:
    """What a build-up comes to once bored, as planned: stock, low spots, layers, and what to look at."""
    scene, last = build.scene, build.laid[-1].wall
    clock, torch = build.start.clock, build.axes.torch
    finish, spans = judged_where(build)
    stock = least_stock(last, finish, torch, spans)
    spots = low_spots(last, finish, torch, spans)
    thin = [] if spots else low_spots(last, finish, torch, spans, level=scene.cut.minimum_cut)
    mean, percentiles = stock_spread(last, finish, build, spans)
    layers = _layers(build)
    why = Suspects.of(
        build.start, last, build.axes, finish, [s.path for s in build.settings], scene
    )
    result = Result(
        scene=scene,
        axes=build.axes,
        finish=finish,
        tie_in=build.tie_in,
        spans=spans,
        start=build.start,
        layers=tuple(layers),
        stock=stock,
        stock_error=clock_error(stock, clock, all_events(scene, build.settings)),
        poorest_tie_in=least_stock(build.poorest, finish, torch, spans),
        poorest_tie_in_wall=build.poorest,
        weld_left=least_weld_left(build.start, finish, torch, spans),
        mean_stock=mean,
        percentiles=percentiles,
        low_spots=tuple(replace(s, cause=why.of_spot(s)) for s in spots),
        thin_spots=tuple(replace(s, cause=why.of_spot(s)) for s in thin),
        warnings=(),
    )
    return replace(result, warnings=tuple(warnings(result)))


def _layers(build: BuiltUp) -> list[Layer]:
    scene = build.scene
    holes = unjudged(scene) + no_weld_areas(scene)
    out = []
    for setting, before, laid in zip(build.settings, build.before, build.laid, strict=True):
        after = laid.wall
        low, high = interior(setting, scene.bore.length)
        ripples = ripple(build.start, after, setting.path, setting.bead)
        worst = int(np.nanargmax(ripples)) if not np.isnan(ripples).all() else -1
        spans = judged_spans(after.clock, low, high, holes)
        if not judged_columns(spans).any():
            spans = judged_spans(
                after.clock, low, high, ()
            )  # the arc was off all over: the wall as it is
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
                gauge=gauge_range(after, low, high, scene.gauge.foot, not_gauged(scene)),
                valley=-2.0 * valley.spot.value,
                volume=volume,
                lost=volume - before.volume_to(after, 0.0, scene.bore.length),
            )
        )
    return out
