"""How likely the job is to clean up when nothing turns out exactly as set: draws counted, with an
exact interval.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.bore.stock import beyond
from sim.job.scene import Scene
from sim.laws.exact_interval import Interval
from sim.plan.many_cases import Progress, in_order, threads
from sim.plan.odds.drawn import COLUMNS
from sim.plan.odds.draws import draw
from sim.plan.odds.one_draw import Outcome, outcome
from sim.plan.odds.spreads import Spreads
from sim.plan.odds.spreads_of_job import spreads_in, spreads_of, ways_of
from sim.plan.odds.strays import GROUPS
from sim.plan.odds.verdict import Decision, decide
from sim.reference.arrays import TURN, Array, frozen
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import ALONE, Place
from sim.shop.ready_to_lay import Job, closed, made_ready
from sim.shop.run import clock_columns
from sim.shop.several_bores import bores, places

MAPPED = 200  # draws that are looked at for where they are low


BLOCK = 10  # draws computed as one case


CELLS = (72, 40)  # of the map: clock, depth


SHARES_DRAWS = 100


SHARES_COLUMNS = 90


@dataclass(frozen=True)
class Share:
    """One spread: its part 0..1 in the variance of the minimum, and the standard deviation [mm] it
    causes alone.
    """

    name: str
    share: float
    sd: float


@dataclass(frozen=True)
class Chance:
    """The draws that decide a job, looked at closer.

    decided: the verdict and its draws; edges: depths [mm] of the map's cells; below_zero, below_cut
    (n_clock, n_depth): part of the draws with stock below zero, or below the minimum cut, in cells
    of clock (equal, from 12 o'clock) and depth, in the bore that cleans up least often; shares:
    which spread matters most there.
    """

    scene: Scene
    decided: Decision
    edges: Array
    below_zero: Array
    below_cut: Array
    shares: tuple[Share, ...] = ()

    @property
    def asked(self) -> float:
        """Part of the draws that shall clean up."""
        return self.scene.confidence.asked

    @property
    def minima(self) -> Array:
        """Least stock per side of the whole job in each draw [mm], nan where the metal closes a
        bore.
        """
        return self.decided.least

    @property
    def draws(self) -> int:
        """How many draws were made."""
        return self.decided.clean_up_of_100.draws

    @property
    def cleans(self) -> int:
        """Draws that leave at least the minimum cut everywhere."""
        return round(self.probability * self.draws)

    @property
    def probability(self) -> float:
        """Part of the draws that clean up."""
        return self.decided.clean_up_of_100.value / 100.0

    @property
    def interval(self) -> Interval:
        """Exact interval of the probability, honest after stopping."""
        return Interval(
            self.decided.clean_up_of_100.low / 100.0, self.decided.clean_up_of_100.high / 100.0
        )

    @property
    def percentiles(self) -> tuple[float, float, float]:
        """P5, P50 and P95 of the least stock per side [mm]; a closed bore counts as the least of
        all.
        """
        least = np.nan_to_num(self.minima, nan=float(np.nanmin(self.minima)))
        return (
            self.decided.least_stock.bad,
            self.decided.least_stock.typical,
            float(np.percentile(least, 95.0)),
        )


@dataclass(frozen=True)
class Drawn:
    """Where one draw is low: ranges below zero and below the minimum cut; (column, depth from,
    depth to), shape (k, 3).
    """

    below_zero: Array
    below_cut: Array


@cache
def _none() -> Array:
    return frozen(np.zeros((0, 3)))


def drawn_least(job: Job, spreads: Spreads, index: int, seed: int) -> float:
    """Least stock per side [mm] of one draw; nan when its metal closes the bore."""
    try:
        return outcome(job, draw(spreads, ways_of(job.settings), seed, index)).least.spot.value
    except SceneError:
        return math.nan


def _drawn(job: Job, spreads: Spreads, index: int) -> Drawn:
    """One draw; where the metal closes the bore nothing is told of it."""
    try:
        out = outcome(job, draw(spreads, ways_of(job.settings), job.scene.confidence.seed, index))
    except SceneError:
        return Drawn(_none(), _none())
    return Drawn(_below(out, 0.0), _below(out, job.scene.cut.minimum_cut))


def _below(out: Outcome, level: float) -> Array:
    """Ranges of one draw where the stock per side is below `level` [mm]."""
    if out.least.spot.value >= level:
        return _none()
    return frozen(
        np.concatenate(
            [beyond(out.wall, finish, out.torch, spans, level) for finish, spans in out.parts]
        )
    )


def block(job: Job, first: int, last: int) -> list[Drawn]:
    """Where draws first..last-1 are low."""
    spreads = spreads_in(job)
    return [_drawn(job, spreads, index) for index in range(first, last)]


def minima(
    scene: Scene,
    columns: int,
    first: int,
    last: int,
    without: str = "",
    executor: Executor | None = None,
    place: Place = ALONE,
) -> Array:
    """Least stock per side [mm] of draws first..last-1, one spread switched off if named; nan: the
    bore closes.
    """
    cases = [
        (scene, columns, k, min(k + BLOCK, last), without, place) for k in range(first, last, BLOCK)
    ]
    if executor is None:
        return np.concatenate([_minima(*case) for case in cases])
    return np.concatenate(list(in_order(_minima, cases, executor)))


def _minima(scene: Scene, columns: int, first: int, last: int, without: str, place: Place) -> Array:
    job = made_ready(scene, columns, place=place)
    spreads = spreads_in(job).without(without) if without else spreads_in(job)
    return np.array(
        [drawn_least(job, spreads, index, scene.confidence.seed) for index in range(first, last)]
    )


def chance(
    scene: Scene,
    draws: int | None = None,
    executor: Executor | None = None,
    *,
    shares: bool = False,
    progress: Progress | None = None,
) -> Chance:
    """How often the job leaves at least the minimum cut everywhere, by the draws that decide it,
    and where it does not.

    draws: exactly so many; None: as many as the verdict takes. shares: also which spread matters
    most. Raises SceneError when the job cannot be laid.

    >>> from sim.job.read import load
    >>> found = chance(load("scenes/end_wedge.toml"), 20)
    >>> found.cleans, found.draws, found.interval.low
    (0, 20, 0.0)
    """
    if executor is None:
        with threads() as own:
            return chance(scene, draws, own, shares=shares, progress=progress)
    decided = decide(scene, draws=draws, executor=executor, progress=progress)
    (_, _, bore), place = bores(scene)[decided.worst_at], places(scene)[decided.worst_at]
    job = made_ready(bore, min(COLUMNS, clock_columns(bore)), place=place)
    if np.isnan(decided.least).all():
        raise closed(len(job.settings))
    most = min(MAPPED, len(decided.least))
    cases = ((job, k, min(k + BLOCK, most)) for k in range(0, most, BLOCK))
    found = [one for part in in_order(block, cases, executor) for one in part]
    edges = np.linspace(
        bore.bore.chamfer_entry, bore.bore.length - bore.bore.chamfer_far, CELLS[1] + 1
    )
    return Chance(
        scene=scene,
        decided=decided,
        edges=frozen(edges),
        below_zero=_map(job, [one.below_zero for one in found], edges),
        below_cut=_map(job, [one.below_cut for one in found], edges),
        shares=variance_shares(bore, executor, place=place) if shares else (),
    )


def _map(job: Job, ranges: list[Array], edges: Array) -> Array:
    """Part of the draws in which each cell of clock and depth holds a low range, shape CELLS."""
    n_clock, n_depth = CELLS
    cell = np.minimum((job.start.clock.angle * (n_clock / TURN)).astype(int), n_clock - 1)
    count = np.zeros(CELLS)
    for one in ranges:
        if len(one):
            seen = np.zeros((n_clock, n_depth + 1))
            column = cell[one[:, 0].astype(int)]
            first = np.clip(np.searchsorted(edges, one[:, 1], side="right") - 1, 0, n_depth - 1)
            last = np.clip(np.searchsorted(edges, one[:, 2], side="left") - 1, first, n_depth - 1)
            np.add.at(seen, (column, first), 1.0)
            np.add.at(seen, (column, last + 1), -1.0)
            count += np.cumsum(seen, axis=1)[:, :-1] > 0.5
    return frozen(count / len(ranges))


def variance_shares(
    scene: Scene,
    executor: Executor | None = None,
    *,
    draws: int = SHARES_DRAWS,
    columns: int = SHARES_COLUMNS,
    place: Place = ALONE,
) -> tuple[Share, ...]:
    """Part of each spread in the variance of the minimum, largest first.

    Each spread is switched off in turn, held at its nominal value, with every other value drawn as
    before (common random numbers); its part is the variance of the change that makes, over the sum
    of them all. Where the spreads simply add up that is each one's share of the variance.
    """
    spreads = spreads_of(scene, made_ready(scene, columns).settings)
    all_on = minima(scene, columns, 0, draws, executor=executor, place=place)
    names = [name for name in GROUPS if spreads.without(name) != spreads]
    off = {name: minima(scene, columns, 0, draws, name, executor, place) for name in names}
    return shares_of(all_on, off)


def shares_of(all_on: Array, off: Mapping[str, Array]) -> tuple[Share, ...]:
    """Shares from minima (n,) with every spread on, and with each one off on the same draws.

    >>> x, y = np.array([1.0, -1.0, 1.0, -1.0]), np.array([2.0, 2.0, -2.0, -2.0])
    >>> [(s.name, s.share) for s in shares_of(x + y, {"x": y, "y": x})]
    [('y', 0.8), ('x', 0.2)]
    """
    variance = {name: float(np.nanvar(all_on - without)) for name, without in off.items()}
    whole = sum(variance.values())
    shares = [
        Share(name, v / whole if whole > 0.0 else 0.0, math.sqrt(v)) for name, v in variance.items()
    ]
    return tuple(sorted(shares, key=lambda s: -s.share))
