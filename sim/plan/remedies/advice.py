"""What would make it clean up, for the stage the job is at: changes to the scene, each one simulated
and drawn; and what to measure or look at first.

Before the arc everything may change; after a layer only what is still to come; after the finish cut
a local weld or the next size. Every file of this folder lists its own: `FINDERS` by stage, `LOOKS`.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any

import sim.plan.remedies
from sim.bore.wall import one_thread
from sim.job.change import changed
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER
from sim.plan.odds.verdict import Decision, decide, worst_bore
from sim.plan.remedies.measure import Look
from sim.plan.remedies.search import Change, Finder, Option, Stands, lacking
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.set_up.layers import arc_time, wire_used
from sim.shop.judge import (
    CLEANS_UP,
    NO_BEAD,
    NOT_PROVEN,
    TOUCHES,
    UNSEEN,
    VERDICTS,
    WARM,
    Open,
)
from sim.shop.result import Result
from sim.shop.several_bores import OnBar, simulate_bar

RAISED = 0.02  # mm per side: less is no change worth drawing


CORRECTIONS = 4  # searches again where what was found is not sure enough


LAVISH = 0.1  # mm per side more than asked: worth another search


STEEPEST = 3.0  # most that what is planned may have to rise for what draws leave to rise by 1


@dataclass(frozen=True)
class Remedy:
    """One change that was simulated and drawn, and is as sure as asked: scene keys and values, the
    bores it gives, their verdict, what it costs more than the job as it stands.

    extra_wire [mm3], extra_time: arc time [s]; extra_cost: None without prices; into_base: the cut
    then runs into base metal in places; open: what stood open before and still does.
    """

    words: Remark
    change: Mapping[str, Any]
    on_bar: tuple[OnBar, ...]
    decided: Decision
    extra_wire: float
    extra_time: float
    extra_cost: float | None
    into_base: bool
    open: tuple[Open, ...]

    @property
    def result(self) -> Result:
        """The bore that then cleans up least often."""
        return worst_bore(self.on_bar, self.decided).result


@dataclass(frozen=True)
class Settle:
    """What to measure or look at. decides: by itself it settles the verdict, up or down."""

    what: Remark
    decides: bool


@dataclass(frozen=True)
class Advice:
    """What to look at, what decides first; remedies as sure as asked, cheapest first; without any,
    what binds.
    """

    settle: tuple[Settle, ...]
    remedies: tuple[Remedy, ...]
    binds: Remark | None


def remedies(scene: Scene, on_bar: Sequence[OnBar] | None = None) -> Advice:
    """Every remedy that fits the stage of the job, searched to what is asked, simulated and drawn on
    all its bores.

    Raises SceneError for a job that cannot be laid.
    """
    on_bar = tuple(simulate_bar(scene) if on_bar is None else on_bar)
    decided = decide(scene, [one.result for one in on_bar])
    now = Stands(scene, on_bar, decided)
    if decided.verdict == CLEANS_UP:
        return Advice((), (), Remark("nothing is needed"))
    finders = listed("FINDERS", scene.job.stage) if _metal_helps(now) else []
    with ThreadPoolExecutor(2) as pool:
        looks = pool.map(lambda find: _looked_at(now, find), listed("LOOKS"))
        tried = [one for some in pool.map(lambda find: _tried(now, find), finders) for one in some]
        near = _nearest(now, tried)
        if near is not None and not any(_sure(now, one) for one in tried):
            more = pool.map(lambda find: _on_top(now, near, find), finders)
            tried += [one for some in more for one in some]
        settle = [one for some in looks for one in some]
    settle = sorted(settle + _other_open(now), key=lambda one: not one.decides)
    sure = sorted((one for one in tried if _sure(now, one)), key=_price)
    return Advice(tuple(settle), tuple(sure), None if sure else _binds(now, settle, tried))


def listed(name: str, stage: str | None = None) -> list[Callable[[Stands], Iterator[Any]]]:
    """What every file of this folder lists under a name, for a stage where that goes by stage."""
    out: list[Callable[[Stands], Iterator[Any]]] = []
    for module in sorted(one.name for one in pkgutil.iter_modules(sim.plan.remedies.__path__)):
        mine = getattr(import_module(f"sim.plan.remedies.{module}"), name, ())
        out += mine.get(stage, ()) if isinstance(mine, dict) else mine
    return out


def _metal_helps(now: Stands) -> bool:
    """Tell whether a change of the job can better its verdict: not where only a measurement does."""
    by_change = any(one.what in (TOUCHES, UNSEEN) for one in now.decided.open)
    return now.decided.verdict != NOT_PROVEN or by_change


def _tried(now: Stands, find: Finder) -> list[Remedy]:
    """The changes of one finder, simulated and drawn; what cannot be done is left out."""
    with one_thread():
        found = [_aimed(now, option) for option in find(now)]
    return [one for one in found if one is not None]


def _on_top(now: Stands, first: Remedy, find: Finder) -> list[Remedy]:
    """The changes of one finder made on top of another change, both as one."""
    then = Stands(changed(now.scene, first.change), first.on_bar, first.decided)
    return [
        replace(
            second,
            words=Remark("two changes", first=first.words, second=second.words),
            change={**first.change, **second.change},
            extra_wire=first.extra_wire + second.extra_wire,
            extra_time=first.extra_time + second.extra_time,
            extra_cost=_cost(
                now.scene,
                first.extra_wire + second.extra_wire,
                first.extra_time + second.extra_time,
            ),
            into_base=first.into_base or second.into_base,
        )
        for second in _tried(then, find)
        if second.words.what != first.words.what
    ]


def _aimed(now: Stands, option: Option) -> Remedy | None:
    """The smallest change of a kind that is sure enough, as near as a few searches come; where none
    is, the last that was tried.
    """
    wanted, failed = now.asks, None
    sure: Remedy | None = None
    for _ in range(1 + CORRECTIONS):
        found = _made(now, option(wanted))
        last = sure or failed
        if found is None or (last is not None and found.change == last.change):
            break
        if _sure(now, found):
            sure = found
        else:
            failed = found
        if sure is not None and (failed is None or _spare(sure) < LAVISH):
            break
        wanted = _next(now, failed, sure)
    return sure or failed


def _made(now: Stands, change: Change) -> Remedy | None:
    try:
        return _simulated(now, change)
    except SceneError:
        return None


def _spare(one: Remedy) -> float:
    """How much more than asked [mm per side] a change leaves."""
    return -lacking(one.decided, one.on_bar[0].result.scene.cut.minimum_cut)


def _next(now: Stands, failed: Remedy | None, sure: Remedy | None) -> float:
    """Least stock as planned [mm per side] to seek next: at the rate at which what draws leave
    followed what was planned so far; between what failed and what was more than enough.
    """
    if failed is None:
        raise ValueError("_next: nothing failed")
    lacks, planned = -_spare(failed), failed.decided.least_stock.planned
    if sure is not None:
        room = sure.decided.least_stock.planned - planned
        share = lacks / (lacks + _spare(sure)) if lacks > 0.0 else 0.0
        return planned + room * max(share, 0.5)
    gained = lacking(now.decided, now.scene.cut.minimum_cut) - lacks
    rate = (planned - now.decided.least_stock.planned) / gained if gained > 0.0 else STEEPEST
    return planned + max(lacks * min(max(rate, 1.0), STEEPEST), RAISED)


def _simulated(now: Stands, change: Change) -> Remedy | None:
    """A change made, simulated and drawn, with what it costs more; None, and not drawn, where it
    raises no least stock and no touch is to be mended. Raises SceneError.
    """
    scene = changed(now.scene, change.keys)
    on_bar = tuple(simulate_bar(scene))
    raised = _planned(on_bar) > _planned(now.on_bar) + RAISED
    if not (raised or any(one.what == TOUCHES for one in now.decided.open)):
        return None
    decided = decide(scene, [one.result for one in on_bar])
    wire = _total(on_bar, wire_used) - _total(now.on_bar, wire_used)
    seconds = _seconds(on_bar) - _seconds(now.on_bar)
    before = {one.what for one in now.decided.open}
    return Remedy(
        change.words,
        change.keys,
        on_bar,
        decided,
        wire,
        seconds,
        _cost(scene, wire, seconds),
        _weld_left(on_bar) < min(0.0, _weld_left(now.on_bar) - 1e-9),
        tuple(one for one in decided.open if one.what in before),
    )


def _sure(now: Stands, one: Remedy) -> bool:
    """Tell whether a change cleans up as surely as asked: by itself, or but for what stood open
    before, and then no less sure than what it mends.
    """
    if one.decided.verdict == CLEANS_UP:
        return True
    left, before = ({o.what for o in d.open} for d in (one.decided, now.decided))
    fewer = left <= before and (now.decided.verdict != NOT_PROVEN or left < before)
    return one.decided.verdict == NOT_PROVEN and fewer


def _looked_at(now: Stands, find: Callable[[Stands], Iterator[Look]]) -> list[Settle]:
    """What one can say to look at, where it stands open or would decide."""
    out = []
    with one_thread():
        for look in find(now):
            try:
                then = decide(changed(now.scene, look.keys))
            except SceneError:
                continue
            decides = then.verdict == CLEANS_UP
            out += [Settle(look.what, decides)] if decides or look.open else []
    return out


def _other_open(now: Stands) -> list[Settle]:
    """What stands open beside that, and is closed as it says; where nothing else does, it decides."""
    opened, known = now.decided.open, (NO_BEAD, WARM, TOUCHES)
    only = now.decided.verdict == NOT_PROVEN and len({one.what for one in opened}) == 1
    return [Settle(_closing(one), decides=only) for one in opened if one.what not in known]


def _closing(one: Open) -> Remark:
    if one.clock is None or one.depth is None:
        return Remark("close it", matter=one.what, closes=one.closes)
    return Remark("close it there", matter=one.what, closes=one.closes, clock=one.clock, depth=one.depth)  # fmt: skip


def _price(one: Remedy) -> tuple[float, float]:
    """What remedies are ranked by: cost where prices are known, else wire; then arc time."""
    return (one.extra_wire if one.extra_cost is None else one.extra_cost, one.extra_time)


def _cost(scene: Scene, wire: float, seconds: float) -> float | None:
    prices = scene.plan
    if prices.wire_price is None and prices.hour_price is None:
        return None
    kilograms = wire * scene.wire.density / 1000.0
    return kilograms * (prices.wire_price or 0.0) + seconds / 3600.0 * (prices.hour_price or 0.0)


def _planned(on_bar: Sequence[OnBar]) -> float:
    return min(one.result.stock.spot.value for one in on_bar)


def _total(on_bar: Sequence[OnBar], of: Callable[..., float]) -> float:
    return sum(of(one.result.scene, s) for one in on_bar for s in one.result.settings)


def _seconds(on_bar: Sequence[OnBar]) -> float:
    return sum(arc_time(s) for one in on_bar for s in one.result.settings)


def _weld_left(on_bar: Sequence[OnBar]) -> float:
    return min(one.result.weld_left.spot.value for one in on_bar)


def _binds(now: Stands, settle: Sequence[Settle], tried: Sequence[Remedy]) -> Remark:
    """Why nothing within limits is sure enough."""
    if now.decided.verdict == NOT_PROVEN and settle:
        return Remark("only measuring helps")
    best = _nearest(now, tried)
    if best is not None:
        value = best.decided.clean_up_of_100.value
        return Remark("nearest change", change=best.words, value=value / 100.0)
    if now.scene.job.stage == AFTER:
        return Remark("add next sizes")
    return Remark("no change helps")


def _nearest(now: Stands, tried: Sequence[Remedy]) -> Remedy | None:
    """The best of the changes that better the verdict or what is left; None where none does."""
    best = max(tried, key=lambda one: _standing(one.decided), default=None)
    better = best is not None and _standing(best.decided) > _standing(now.decided)
    return best if better else None


def _standing(decided: Decision) -> tuple[int, float, float]:
    """How good a verdict is, for the nearest of those that fail."""
    least = decided.least_stock.typical
    return (-VERDICTS.index(decided.verdict), decided.clean_up_of_100.value, least)
