"""The fewest turns of a kind that do."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from sim.job.scene import Scene
from sim.plan.many_cases import in_order
from sim.plan.odds.many_draws import NOMINAL, ManyDraws
from sim.plan.odds.spreads_of_job import away_from_plate
from sim.plan.search.allowed import ROTATION, SMALLEST_BORE, TIP_CLEAR
from sim.plan.search.kinds import DRAWS, SEARCH_COLUMNS, SEARCHED, Kind, Search, radius_now
from sim.reference.arrays import Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up import layers
from sim.set_up.layers import Setting, wire_used
from sim.shop.run import figures

FEW = 24  # of them, on which every kind is sized


CHUNK = 25  # draws laid together


STEP = 0.05  # of a turn: turns are sought in these; rings are whole, travel takes up the rest


NEAR = 0.02  # mm: no fewer turns are sought where no more than this is left to spare


MARGIN = 0.4  # mm that a plan which is to be sure leaves over the job as set, as a first guess


@dataclass(frozen=True)
class Sized:
    """A kind with its turns: what it costs, or why it cannot be (`fault`: the limit that stops it,
    by its name, or another reason).
    """

    kind: Kind
    turns: float
    wire: float
    arc_time: float
    price: float
    fault: str = ""


def nominal(search: Search, kind: Kind) -> Sized:
    """The fewest turns with which the job as set leaves the minimum cut: no plan that is to be sure
    has fewer.
    """
    try:
        first, last = turns_range(search, kind)
        if first > last:
            return _cannot(kind, "no pitch left")

        def spare(count: int) -> float:
            least = search.bench.least(search.planned(kind, count * STEP), [NOMINAL])[0]
            return -1e3 if math.isnan(least) else float(least) - search.scene.cut.minimum_cut

        guess = math.ceil(_mass_turns(search, kind) * 1.1 / STEP)
        steps = fewest(spare, first, last, guess, gain(search, kind) * STEP)
        if steps is None:
            return _cannot(kind, "too little metal")
        return costed(search, kind, steps * STEP)
    except SceneError as fault:
        return _cannot(kind, str(fault))


def gain(search: Search, kind: Kind) -> float:
    """What a turn more adds to the wall on average [mm per side], by mass balance."""
    return kind.layers * search.bead(kind).area / search.span(kind)


def _mass_turns(search: Search, kind: Kind) -> float:
    """Turns a layer whose metal brings the mean wall just past the finish and the cut: by mass
    balance alone.
    """
    target, radius = search.like.finish.radius - search.scene.cut.minimum_cut, radius_now(search)
    area, need = search.bead(kind).area, 0.5 * (radius**2 - target**2)
    return search.span(kind) * max(need, 0.0) / (kind.layers * area * 0.5 * (radius + target))


def fewest(
    spare: Callable[[int], float], first: int, last: int, guess: int, each: float
) -> int | None:
    """The smallest number first..last that spares something, or one that spares no more than NEAR;
    None when `last` does not.

    spare: what is left [mm], taken to grow with the number; each: by about how much. From a guess
    by that, then by false position; every fourth time by halves.

    >>> tried = []
    >>> fewest(lambda n: tried.append(n) or 0.1 * (n - 36.5), 1, 100, 30, 0.2), tried
    (37, [30, 33, 37, 36])
    """
    bad, good, below, above = first - 1, last + 1, -math.inf, math.inf
    at, count = min(max(guess, first), last), 0
    while good - bad > 1:
        left, count = spare(at), count + 1
        if left < 0.0:
            bad, below = at, left
        else:
            good, above = at, left
            if left <= NEAR:
                break
        if count % 4 == 0 and max(-below, above) < math.inf:
            aim = 0.5 * (bad + good)
        elif max(-below, above) < math.inf:
            aim = bad + (good - bad) * (0.5 * NEAR - below) / (above - below)
        else:
            aim, each = at + (0.5 * NEAR - left) / each, 0.5 * each
        at = min(max(round(aim), bad + 1), good - 1)
    return good if good <= last else None


def sized(search: Search, start: Sized) -> Sized:
    """The fewest turns with which as many of a few draws clean up as must."""
    kind, each = start.kind, gain(search, start.kind) * STEP
    first, last = turns_range(search, kind)
    fewer = round(start.turns / STEP)
    steps = fewest(
        lambda n: _likely(search, kind, n * STEP),
        max(fewer, first),
        last,
        fewer + math.ceil(MARGIN / each),
        each,
    )
    if steps is None:
        return _cannot(kind, "too little metal")
    fault = _head_fault(search, search.planned(kind, steps * STEP))
    return _cannot(kind, fault) if fault else costed(search, kind, steps * STEP)


def _likely(search: Search, kind: Kind, turns: float) -> float:
    """What as many of all draws as must clean up leave at least, over the minimum cut [mm], by mean
    and standard deviation of a few: their own quantile would stand on the lowest one or two.
    """
    least = _minima(search.bench, search.planned(kind, turns), SEARCHED[:FEW])
    if least.min() < -1e2:  # a bore that closes
        return float(least.min())
    off = NormalDist().inv_cdf(1.0 - search.wanted / (DRAWS + 1))
    return float(least.mean() + off * least.std()) - search.scene.cut.minimum_cut


def _head_fault(search: Search, scene: Scene) -> str:
    """The limit that keeps the head from laying a plan, or nothing."""
    try:
        f = figures(scene, SEARCH_COLUMNS)
    except SceneError as fault:
        return str(fault)
    if f.narrowest < search.allowed.smallest_bore:
        return SMALLEST_BORE.what
    if f.tip_clear < search.allowed.tip_clear:
        return TIP_CLEAR.what
    return ""


def turns_range(search: Search, kind: Kind) -> tuple[int, int]:
    """Fewest and most turns, in steps of `STEP`; rings are whole at either end."""
    closest, widest = search.pitch_range(kind)
    span, whole = search.span(kind), round(1.0 / STEP) if kind.advance == "step" else 1
    part = STEP * whole
    first = max(math.ceil(span / widest / part - 1e-6), round(1.0 / part))
    return first * whole, math.floor(span / max(closest, 1e-6) / part + 1e-6) * whole


def _cannot(kind: Kind, fault: str) -> Sized:
    return Sized(kind, math.nan, math.inf, math.inf, math.inf, fault=fault)


def costed(search: Search, kind: Kind, turns: float) -> Sized:
    """Wire, time and price of a kind at so many turns, and whether it keeps the rotation range."""
    scene = search.planned(kind, turns)
    settings = layers.settings(scene, search.like.radius)
    new = settings[len(search.kept) :]
    if not _turns_as_fast(search, new):
        return _cannot(kind, ROTATION.what)
    wire, seconds = sum(wire_used(scene, s) for s in new), sum(map(layers.arc_time, new))
    away = max(away_from_plate(scene, s) for s in new) if scene.bead else 0.0
    price = search.price(wire, seconds, len(new)) * (1.0 + default("plan.away") * away)
    return Sized(kind, turns, wire, seconds, price)


def _turns_as_fast(search: Search, settings: Sequence[Setting]) -> bool:
    """Tell whether the machine turns as fast, and as slow, as these layers are laid."""
    low, high = search.allowed.rotation
    rates = [s.rotation for s in settings]
    return min(rates) >= low - 1e-9 and max(rates) <= high + 1e-9


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
