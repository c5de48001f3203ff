"""The fewest turns of a kind that do."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from sim.job.scene import Scene
from sim.plan.many_cases import in_order
from sim.plan.odds.many_draws import NOMINAL, ManyDraws
from sim.plan.odds.spreads_of_job import away_from_plate
from sim.plan.search.kinds import DRAWS, SEARCH_COLUMNS, SEARCHED, Kind, Search, _radius_now
from sim.reference.arrays import Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up import layers
from sim.set_up.layers import Setting, wire_used
from sim.shop.run import figures

FEW = 24  # of them, on which every kind is sized


CHUNK = 25  # draws laid together


@dataclass(frozen=True)
class Sized:
    """A kind with its turns: what it costs, or why it cannot be (`fault`). slope: minimum gained a
    turn [mm].
    """

    kind: Kind
    turns: float
    wire: float
    arc_time: float
    price: float
    slope: float = 0.0
    fault: str = ""


def nominal(search: Search, kind: Kind) -> Sized:
    """The fewest turns with which the job as set leaves the minimum cut: no plan that is to be sure
    has fewer.

    By bisection over whole turns (a spiral: halves).
    """
    try:
        first, last, step = turns_range(search, kind)
        if first > last:
            return _cannot(kind, "the bead overlap range and the machine's feed leave no pitch")
        left: dict[int, float] = {}

        def spare(count: int) -> float:
            if count not in left:
                least = search.bench.least(search.planned(kind, count * step), [NOMINAL])[0]
                left[count] = (
                    -1e3 if math.isnan(least) else float(least) - search.scene.cut.minimum_cut
                )
            return left[count]

        guess = math.ceil(_mass_turns(search, kind) * 1.1 / step)
        high = fewest(lambda n: spare(n) >= 0.0, first, last, guess)
        if high is None:
            return _cannot(kind, "too little metal at the closest pitch allowed")
        far = max((n for n in left if n > high), default=min(high + max(last // 8, 2), last))
        slope = (spare(far) - spare(high)) / ((far - high) * step) if far > high else 0.0
        return replace(costed(search, kind, high * step), slope=max(slope, default("plan.slope")))
    except SceneError as fault:
        return _cannot(kind, str(fault))


def _mass_turns(search: Search, kind: Kind) -> float:
    """Turns a layer whose metal brings the mean wall just past the finish and the cut: by mass
    balance alone.
    """
    target, radius = search.like.finish.radius - search.scene.cut.minimum_cut, _radius_now(search)
    area, need = search.bead(kind).area, 0.5 * (radius**2 - target**2)
    return search.span(kind) * max(need, 0.0) / (kind.layers * area * 0.5 * (radius + target))


def fewest(works: Callable[[int], bool], first: int, last: int, guess: int) -> int | None:
    """The smallest number first..last that works, None when `last` does not: what works is taken to
    work above it.

    From a guess in growing strides, then by bisection: near the guess few are tried.

    >>> tried = []
    >>> fewest(lambda n: bool(tried.append(n)) or n >= 37, 1, 100, 35), tried
    (37, [35, 36, 38, 37])
    """
    bad, good, stride = first - 1, last + 1, 1
    at = min(max(guess, first), last)
    while good - bad > 1:
        if works(at):
            good = at
            at = max(good - stride, bad + 1) if bad < first else (bad + good) // 2
        else:
            bad = at
            at = min(bad + stride, good - 1) if good > last else (bad + good) // 2
        stride *= 2
    return good if good <= last else None


def sized(search: Search, start: Sized) -> Sized:
    """The fewest turns with which as many of a few draws clean up as must."""
    kind = start.kind
    first, last, step = turns_range(search, kind)
    guess = round(start.turns / step) + max(round(0.3 / start.slope / step), 1)
    steps = fewest(
        lambda n: _quantile(search, kind, n * step) >= 0.0,
        max(round(start.turns / step), first),
        last,
        guess,
    )
    if steps is None:
        return _cannot(kind, "too little metal at the closest pitch allowed")
    fault = _head_fault(search, search.planned(kind, steps * step))
    return _cannot(kind, fault) if fault else costed(search, kind, steps * step)


def _quantile(search: Search, kind: Kind, turns: float) -> float:
    """What as many of a few draws as must clean up leave at least, over the minimum cut [mm]."""
    least = _minima(search.bench, search.planned(kind, turns), SEARCHED[:FEW])
    part = 1.0 - search.wanted / DRAWS
    return float(np.quantile(least, part)) - search.scene.cut.minimum_cut


def _head_fault(search: Search, scene: Scene) -> str:
    """What keeps the head from laying a plan, or nothing."""
    try:
        f = figures(scene, SEARCH_COLUMNS)
    except SceneError as fault:
        return str(fault)
    if f.narrowest < search.allowed.smallest_bore:
        return f"the bore fills to {f.narrowest:.1f} mm and the head would not pass"
    if f.tip_clear < search.allowed.tip_clear:
        return f"humps leave {f.tip_clear:.1f} mm to the contact tip"
    return ""


def turns_range(search: Search, kind: Kind) -> tuple[int, int, float]:
    """Fewest and most turns in steps of one turn (a spiral: half a turn), and that step."""
    closest, widest = search.pitch_range(kind)
    step = 1.0 if kind.advance == "step" else 0.5
    span = search.span(kind)
    return (
        max(math.ceil(span / widest / step - 1e-6), 1),
        math.floor(span / max(closest, 1e-6) / step + 1e-6),
        step,
    )


def _cannot(kind: Kind, fault: str) -> Sized:
    return Sized(kind, math.nan, math.inf, math.inf, math.inf, fault=fault)


def costed(search: Search, kind: Kind, turns: float) -> Sized:
    """Wire, time and price of a kind at so many turns, and whether it keeps the rotation range."""
    scene = search.planned(kind, turns)
    settings = layers.settings(scene, search.like.radius)
    new = settings[len(search.kept) :]
    fault = _rotation_fault(search, new)
    if fault:
        return _cannot(kind, fault)
    wire, seconds = sum(wire_used(scene, s) for s in new), sum(map(layers.arc_time, new))
    away = max(away_from_plate(scene, s) for s in new) if scene.bead else 0.0
    price = search.price(wire, seconds, len(new)) * (1.0 + default("plan.away") * away)
    return Sized(kind, turns, wire, seconds, price)


def _rotation_fault(search: Search, settings: Sequence[Setting]) -> str:
    low, high = search.allowed.rotation
    rates = [s.rotation for s in settings]
    if min(rates) < low - 1e-9 or max(rates) > high + 1e-9:
        return (
            f"{min(rates) * 30 / math.pi:.2f} to {max(rates) * 30 / math.pi:.2f} rpm is outside "
            "the machine's rotation"
        )
    return ""


def minima_of(
    search: Search, kind: Kind, turns: float, indices: Sequence[int], executor: Executor
) -> Array:
    """Least stock per side [mm] of the draws named, -1000 where the bore closes or the plan cannot
    be laid.
    """
    scene, chosen = search.planned(kind, turns), list(indices)
    cases = [(search.bench, scene, chosen[k : k + CHUNK]) for k in range(0, len(chosen), CHUNK)]
    return np.concatenate(list(in_order(_minima, cases, executor)))


def _minima(bench: ManyDraws, scene: Scene, indices: Sequence[int]) -> Array:
    try:
        return np.nan_to_num(bench.least(scene, indices), nan=-1e3)
    except SceneError:
        return np.full(len(indices), -1e3)
