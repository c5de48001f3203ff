"""How likely the job is to clean up when nothing turns out exactly as set: draws counted, with an
exact interval.
"""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cache

import numpy as np

from sim.bore.stock import beyond, clock_error
from sim.job.scene import Scene
from sim.laws.exact_interval import LEVEL, Interval, clopper_pearson
from sim.plan.many_cases import Progress, in_order, threads
from sim.plan.odds.draws import draw
from sim.plan.odds.one_draw import Outcome, outcome
from sim.plan.odds.spreads import GROUPS, Spreads
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.reference.arrays import TURN, Array, frozen
from sim.reference.errors import SceneError
from sim.set_up.layers import clock_events
from sim.shop.ready_to_lay import Job, closed, made_ready

COLUMNS = 360


BATCH = 50  # draws between two looks


BLOCK = 10  # draws computed as one case


CELLS = (72, 40)  # of the map: clock, depth


SHARES_DRAWS = 100


SHARES_COLUMNS = 90


ERRORS_SEEN = 40  # draws whose clock-step error is looked at


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
    """Draws of one job, counted.

    minima (n,): least stock per side of each draw [mm], nan where the metal closes the bore;
    cleans: draws that leave
    at least the minimum cut everywhere; interval: Clopper-Pearson at 95 %; error: of a minimum from
    the clock step [mm],
    the largest seen; below_zero, below_cut (n_clock, n_depth): part of the draws with stock below
    zero, or below the
    minimum cut, in cells of clock (equal, from 12 o'clock) and depth (`edges` [mm]); shares: which
    spread matters most.
    """

    scene: Scene
    asked: float
    minima: Array
    cleans: int
    interval: Interval
    decided: str
    error: float
    edges: Array
    below_zero: Array
    below_cut: Array
    shares: tuple[Share, ...] = ()

    @property
    def draws(self) -> int:
        """How many draws were made."""
        return len(self.minima)

    @property
    def probability(self) -> float:
        """Part of the draws that clean up."""
        return self.cleans / self.draws

    @property
    def percentiles(self) -> tuple[float, float, float]:
        """P5, P50 and P95 of the least stock per side [mm]; a closed bore counts as the least of
        all.
        """
        p5, p50, p95 = np.percentile(
            np.nan_to_num(self.minima, nan=float(np.nanmin(self.minima))), (5.0, 50.0, 95.0)
        )
        return float(p5), float(p50), float(p95)


ENOUGH, TOO_LITTLE, OPEN = "at least what is asked", "less than what is asked", "not decided"


@dataclass(frozen=True)
class Drawn:
    """What one draw gave: least stock [mm] (nan: bore closed), clock-step error [mm], ranges below
    zero and below the cut.

    A range is (column, depth from, depth to), shape (k, 3).
    """

    least: float
    error: float
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


def _drawn(job: Job, spreads: Spreads, index: int, look: bool) -> Drawn:
    """One draw; look: also at its clock-step error."""
    cut = job.scene.cut.minimum_cut
    try:
        out = outcome(job, draw(spreads, ways_of(job.settings), job.scene.confidence.seed, index))
    except SceneError:
        return Drawn(math.nan, 0.0, _none(), _none())
    least, error = out.least.spot.value, 0.0
    if look:
        error = clock_error(out.least, out.wall.clock, clock_events(job.settings))
    return Drawn(least, error, _below(out, 0.0), _below(out, cut))


def _below(out: Outcome, level: float) -> Array:
    """Ranges of one draw where the stock per side is below `level` [mm]."""
    if out.least.spot.value >= level:
        return _none()
    return frozen(
        np.concatenate(
            [beyond(out.wall, finish, out.torch, spans, level) for finish, spans in out.parts]
        )
    )


def block(scene: Scene, columns: int, first: int, last: int, begin: int = 0) -> list[Drawn]:
    """Draws first..last-1 of a scene, of those from `begin`; stands at the top of the module so
    that another process could run it.
    """
    job = made_ready(scene, columns)
    spreads = spreads_of(scene, job.settings)
    return [
        _drawn(job, spreads, index, index - begin < ERRORS_SEEN) for index in range(first, last)
    ]


def minima(
    scene: Scene,
    columns: int,
    first: int,
    last: int,
    without: str = "",
    executor: Executor | None = None,
) -> Array:
    """Least stock per side [mm] of draws first..last-1, one spread switched off if named; nan: the
    bore closes.
    """
    cases = [(scene, columns, k, min(k + BLOCK, last), without) for k in range(first, last, BLOCK)]
    if executor is None:
        return np.concatenate([_minima(*case) for case in cases])
    return np.concatenate(list(in_order(_minima, cases, executor)))


def _minima(scene: Scene, columns: int, first: int, last: int, without: str) -> Array:
    job = made_ready(scene, columns)
    spreads = spreads_of(scene, job.settings)
    if without:
        spreads = spreads.without(without)
    return np.array(
        [drawn_least(job, spreads, index, scene.confidence.seed) for index in range(first, last)]
    )


def chance(
    scene: Scene,
    draws: int | None = None,
    executor: Executor | None = None,
    *,
    columns: int = COLUMNS,
    begin: int = 0,
    shares: bool = False,
    progress: Progress | None = None,
) -> Chance:
    """Probability that the job leaves at least the minimum cut everywhere, from repeated draws.

    draws: exactly so many; None: after every 50 draws the exact interval is looked at, and no more
    are made once it
    lies wholly above or wholly below what is asked, or [confidence] draws_most is reached. Each
    look uses the level
    1 - 0.05/looks, so that all looks together are wrong at most 5 times in 100 (Bonferroni). begin:
    index of the first
    draw; shares: also which spread matters most. Raises SceneError when the job cannot be laid.

    >>> from sim.job.read import load
    >>> found = chance(load("scenes/end_wedge.toml"), 20, columns=60)
    >>> found.cleans, found.draws, found.interval.low
    (0, 20, 0.0)
    """
    if draws is not None and draws < 1:
        raise SceneError(f"draws = {draws}: at least 1 is needed; leave it out to stop by itself.")
    if executor is None:
        with threads() as own:
            return chance(
                scene, draws, own, columns=columns, begin=begin, shares=shares, progress=progress
            )
    job = made_ready(scene, columns)
    found, decided = _until_decided(scene, draws, executor, (columns, begin), progress)
    least = np.array([one.least for one in found])
    if np.isnan(least).all():
        raise closed(len(job.settings))
    cleans = int((least >= scene.cut.minimum_cut).sum())
    edges = np.linspace(
        scene.bore.chamfer_entry, scene.bore.length - scene.bore.chamfer_far, CELLS[1] + 1
    )
    return Chance(
        scene=scene,
        asked=scene.confidence.asked,
        minima=frozen(least),
        cleans=cleans,
        interval=clopper_pearson(cleans, len(least)),
        decided=decided,
        error=max(one.error for one in found),
        edges=frozen(edges),
        below_zero=_map(job, [one.below_zero for one in found], edges),
        below_cut=_map(job, [one.below_cut for one in found], edges),
        shares=variance_shares(scene, executor) if shares else (),
    )


def _until_decided(
    scene: Scene,
    draws: int | None,
    executor: Executor,
    how: tuple[int, int],
    progress: Progress | None,
) -> tuple[list[Drawn], str]:
    """Draws in order until enough, and what they decide; how: clock columns, index of the first
    draw.
    """
    columns, begin = how
    most = draws if draws is not None else scene.confidence.draws_most
    looks = math.ceil(most / BATCH)
    cases = (
        (scene, columns, begin + k, begin + min(k + BLOCK, most), begin)
        for k in range(0, most, BLOCK)
    )
    found: list[Drawn] = []
    began = time.monotonic()
    for part in in_order(block, cases, executor):
        found += part
        if progress is not None:
            progress(
                len(found), most, (time.monotonic() - began) / len(found) * (most - len(found))
            )
        if len(found) % BATCH == 0 or len(found) == most:
            decided = _decision(scene, found, 1.0 - (1.0 - LEVEL) / (looks if draws is None else 1))
            if draws is None and decided != OPEN:
                break
    return found, decided


def _decision(scene: Scene, found: list[Drawn], level: float) -> str:
    cleans = sum(one.least >= scene.cut.minimum_cut for one in found)
    interval = clopper_pearson(cleans, len(found), level)
    if interval.low >= scene.confidence.asked:
        return ENOUGH
    return TOO_LITTLE if interval.high < scene.confidence.asked else OPEN


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
) -> tuple[Share, ...]:
    """Part of each spread in the variance of the minimum, largest first.

    Each spread is switched off in turn, held at its nominal value, with every other value drawn as
    before (common
    random numbers); its part is the variance of the change that makes, over the sum of them all.
    Where the spreads
    simply add up that is each one's share of the variance.
    """
    spreads = spreads_of(scene, made_ready(scene, columns).settings)
    all_on = minima(scene, columns, 0, draws, executor=executor)
    names = [name for name in GROUPS if spreads.without(name) != spreads]
    off = {name: minima(scene, columns, 0, draws, name, executor) for name in names}
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
