"""What the whole job comes to: one set of draws, all bores of a bar in each of them, and the verdict they give.

Everything that speaks asks `decide`: the draws come from the job's seed alone, so that no two answers
differ by chance.
"""

from __future__ import annotations

import math
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field

import numpy as np

from sim.job.change import digest
from sim.job.scene import Scene
from sim.laws.exact_interval import LEVEL, Interval, clopper_pearson
from sim.plan.many_cases import spare
from sim.plan.odds.drawn import BoreReady, Drawn
from sim.reference.arrays import Array, frozen
from sim.reference.errors import SceneError
from sim.shop.judge import Evidence, Open, open_of, verdict_of
from sim.shop.result import Result
from sim.shop.several_bores import OnBar, bores, places, simulate_bar

FIRST_LOOK = 200  # draws before any figure is said; then twice as many at every look


KEPT = 512  # decisions remembered in this process


Progress = Callable[[int, int, float], None]


TIE_IN, ROUND_THE_CLOCK = "tie-in not measured", "bead shape past 55 degrees from 6 o'clock"


@dataclass(frozen=True)
class OutOf100:
    """How many of 100 jobs like this clean up: counted, an interval that is honest after stopping,
    what was asked; draws made.
    """

    value: float
    low: float
    high: float
    asked: float
    draws: int


@dataclass(frozen=True)
class LeastStock:
    """Least stock per side [mm]: as planned, in a typical run (half leave more), in a bad one (19
    in 20 leave more).
    """

    planned: float
    typical: float
    bad: float


@dataclass(frozen=True)
class BoreDecided:
    """One bore of the job by itself: `along` the bar [mm], how many of 100 clean up, and what
    stands open in it.
    """

    name: str
    along: float
    verdict: str
    clean_up_of_100: float
    least_stock: LeastStock
    open: tuple[Open, ...]


@dataclass(frozen=True)
class Decision:
    """The verdict on a job and what it stands on.

    bores: each by itself, in order; worst_at: number of the one that cleans up least often;
    rests_on: what the draws run on beyond what was measured; least (draws,): least stock per side
    of the whole job in each draw [mm], its clock-step error taken off, nan where the metal closes a
    bore; settled: no more draws would change the verdict, at the level told.
    """

    verdict: str
    clean_up_of_100: OutOf100
    least_stock: LeastStock
    open: tuple[Open, ...]
    bores: tuple[BoreDecided, ...]
    worst_at: int
    rests_on: tuple[str, ...]
    settled: bool
    least: Array = field(compare=False, repr=False)

    @property
    def worst(self) -> str:
        """Name of the bore that cleans up least often."""
        return self.bores[self.worst_at].name


def decide(
    scene: Scene,
    results: Sequence[Result] | None = None,
    *,
    draws: int | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> Decision:
    """The verdict on a whole job, all bores of its bar drawn together.

    results: of `simulate_bar`, where they are at hand; draws: exactly so many; None: 200, then
    twice as many at every look until the verdict is plain or [confidence] draws_most is reached.
    Each look takes its part of the error of the interval (Bonferroni), so that it holds after
    stopping. Remembered within this process. Raises SceneError for a job that cannot be laid.

    >>> from sim.job.read import load
    >>> decide(load("scenes/coarse_pitch.toml")).verdict
    'falls short'
    """
    if draws is not None and draws < 1:
        raise SceneError(f"draws = {draws}: at least 1 is needed; leave it out to stop by itself.")
    mark = (digest(scene), draws)
    known = _recall(mark)
    if known is not None:
        return known
    if executor is None:
        with spare() as own:
            return decide(scene, results, draws=draws, executor=own, progress=progress)
    if results is None:
        results = [one.result for one in simulate_bar(scene)]
    told = _decided(scene, results, draws, executor, progress)
    _remember(mark, told)
    return told


def known(scene: Scene) -> Decision | None:
    """The verdict on a job where this process has drawn it already."""
    return _recall((digest(scene), None))


def looks(first: int, most: int) -> list[int]:
    """Draws made at each look: `first`, then twice as many each time, up to `most`.

    >>> looks(200, 2000)
    [200, 400, 800, 1600, 2000]
    """
    out = [min(first, most)]
    while out[-1] < most:
        out.append(min(2 * out[-1], most))
    return out


def level_of_a_look(stops: Sequence[int]) -> float:
    """Level of the interval at each look, so that all of them together hold theirs (Bonferroni).

    >>> round(level_of_a_look([200, 400, 800, 1600, 2000]), 6)
    0.99
    """
    return 1.0 - (1.0 - LEVEL) / len(stops)


def plain(evidence: Evidence, level: float) -> bool:
    """Tell whether more draws would not change the verdict: no part that decides it lies in doubt
    at this level.
    """
    black = clopper_pearson(evidence.black, evidence.draws, level)
    clean = clopper_pearson(evidence.clean, evidence.draws, level)
    if black.low > 0.5:
        return True
    return not any(_holds(*one) for one in ((black, 0.5), (clean, 0.5), (clean, evidence.asked)))


def _holds(interval: Interval, value: float) -> bool:
    return interval.low <= value <= interval.high


def _decided(
    scene: Scene,
    results: Sequence[Result],
    draws: int | None,
    executor: Executor,
    progress: Progress | None,
) -> Decision:
    """Draw until the verdict is plain; see `decide`."""
    asked, cut, began = scene.confidence.asked, scene.cut.minimum_cut, time.monotonic()
    stops = (
        [draws]
        if draws is not None
        else looks(FIRST_LOOK, max(scene.confidence.draws_most, FIRST_LOOK))
    )
    level = level_of_a_look(stops)
    each = tuple(open_of(result) for result in results)
    opened = tuple(dict.fromkeys(one for some in each for one in some))
    drawn = Drawn(
        [
            BoreReady(one, place)
            for (_, _, one), place in zip(bores(scene), places(scene), strict=True)
        ],
        cut,
    )
    settled = False
    for stop in stops:
        least = drawn.upto(stop, executor)
        evidence = Evidence.of(least.min(axis=0), cut, asked, opened)
        settled = plain(evidence, level)
        if progress is not None:
            progress(stop, stops[-1], (time.monotonic() - began) * (stops[-1] / stop - 1.0))
        if settled:
            break
    least = drawn.sharpened(executor)
    names = [(name, along) for name, along, _ in bores(scene)]
    planned = [result.stock.spot.value for result in results]
    told = tuple(
        _bore(*name, Evidence.of(row, cut, asked, one), row, p)
        for name, one, row, p in zip(names, each, least, planned, strict=True)
    )
    interval = clopper_pearson(evidence.clean, evidence.draws, level)
    return Decision(
        verdict=verdict_of(evidence),
        clean_up_of_100=OutOf100(
            100.0 * evidence.clean / evidence.draws,
            100.0 * interval.low,
            100.0 * interval.high,
            100.0 * asked,
            evidence.draws,
        ),
        least_stock=_least_stock(min(planned), least.min(axis=0)),
        open=opened,
        bores=told,
        worst_at=min(
            range(len(told)), key=lambda k: (told[k].clean_up_of_100, told[k].least_stock.planned)
        ),
        rests_on=taken_for_granted(results),
        settled=settled,
        least=frozen(least.min(axis=0)),
    )


def _bore(name: str, along: float, evidence: Evidence, least: Array, planned: float) -> BoreDecided:
    value = 100.0 * evidence.clean / evidence.draws
    return BoreDecided(
        name, along, verdict_of(evidence), value, _least_stock(planned, least), evidence.open
    )


def _least_stock(planned: float, least: Array) -> LeastStock:
    """The three figures; a bore that closes counts as the least of all, nan where that would be the
    figure.
    """
    typical, bad = np.percentile(np.nan_to_num(least, nan=-np.inf), (50.0, 5.0), method="lower")
    return LeastStock(
        planned, *(float(v) if math.isfinite(v) else math.nan for v in (typical, bad))
    )


def taken_for_granted(results: Sequence[Result]) -> tuple[str, ...]:
    """What the verdict on these results rests on, in few words."""
    out = [TIE_IN] if any(not result.tie_in.measured for result in results) else []
    lies = any(
        abs(math.cos(result.scene.bore.inclination)) > 1e-6
        and result.scene.shop_values.extrapolated > 0.005
        for result in results
    )
    return tuple([*out, ROUND_THE_CLOCK] if lies else out)


def worst_bore(on_bar: Sequence[OnBar], decided: Decision | None = None) -> OnBar:
    """The bore that cleans up least often; where nothing was drawn that with the least stock per side as planned."""
    if decided is not None:
        return on_bar[decided.worst_at]
    return min(on_bar, key=lambda one: one.result.stock.spot.value)


_known: OrderedDict[tuple[str, int | None], Decision] = OrderedDict()


_lock = threading.Lock()


def _recall(mark: tuple[str, int | None]) -> Decision | None:
    with _lock:
        if mark in _known:
            _known.move_to_end(mark)
        return _known.get(mark)


def _remember(mark: tuple[str, int | None], told: Decision) -> None:
    with _lock:
        _known[mark] = told
        while len(_known) > KEPT:
            _known.popitem(last=False)
