"""Plans settled on draws, and confirmed on others."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from sim.plan.many_cases import in_order
from sim.plan.odds.verdict import Decision, decide
from sim.plan.search.kinds import (
    SEARCHED,
    Kind,
    Search,
    enough_draws,
    kinds,
    neighbours,
)
from sim.plan.search.turns import (
    STEP,
    Sized,
    costed,
    fewest,
    gain,
    minima_of,
    nominal,
    sized,
    turns_range,
)
from sim.reference.arrays import Array
from sim.reference.remarks import Remark, Tell
from sim.shop.judge import CLEANS_UP, NOT_PROVEN

SURE = (CLEANS_UP, NOT_PROVEN)  # verdicts with as many draws as asked


TAIL = 30  # draws that clean up, but barely: with those that do not they are drawn again when the turns change a little


FINALISTS = 3


BATCH = 6  # kinds sized between two looks at the best


ROUNDS = 2  # looks at kinds beside the best two


MOST_OF = 0.8


ROOM = 0.88  # of the most turns allowed, that layers after a lean one may take up at most


@dataclass(frozen=True)
class Settled:
    """A sized kind whose turns are settled on many draws: how many clean up, and its least stocks
    (n,) [mm].
    """

    sized: Sized
    minima: Array
    cut: float

    @property
    def probability(self) -> float:
        """Part of the draws that clean up."""
        return float((self.minima >= self.cut).mean())


def settled(search: Search, start: Sized, executor: Executor) -> Settled | None:
    """The fewest turns with which as many of all draws clean up as must; None when the pitch cannot
    get there.

    Away from the first guess only the draws that left least there are drawn again: the others do
    not come near the cut.
    """
    kind, cut = start.kind, search.scene.cut.minimum_cut
    first, last = turns_range(search, kind)
    guess = round(start.turns / STEP)
    least = minima_of(search, kind, start.turns, SEARCHED, executor)
    tail = np.argsort(least, kind="stable")[: int((least < cut).sum()) + TAIL].tolist()

    def spare(count: int) -> float:
        now = least.copy()
        if count != guess:
            again = [SEARCHED[k] for k in tail]
            now[tail] = minima_of(search, kind, count * STEP, again, executor)
        return _spare(search, now)

    steps = fewest(spare, first, last, guess, gain(search, kind) * STEP)
    while steps is not None and steps <= last:
        whole = (
            least if steps == guess else minima_of(search, kind, steps * STEP, SEARCHED, executor)
        )
        if _spare(search, whole) >= 0.0:
            return Settled(costed(search, kind, steps * STEP), whole, cut)
        steps += 1
    return None


def _spare(search: Search, least: Array) -> float:
    """What as many draws as must clean up leave at least, over the minimum cut [mm]."""
    short = len(least) - search.wanted
    return float(np.partition(least, short)[short]) - search.scene.cut.minimum_cut


def found(search: Search, executor: Executor, tell: Tell) -> list[Settled]:
    """Settled plans within the limits, best first; empty when there is none."""
    tell(Remark("which kinds of plan could do"))
    left = bounded(search, kinds(search), executor)
    best: list[Settled] = []
    while left and not best:
        pool, left = sized_in_turn(search, left, [], executor)
        for _ in range(ROUNDS):
            seen = [one.kind for one in pool]
            near = [
                k for one in pool[:2] for k in neighbours(search, one.kind) if not _beside(k, seen)
            ]
            pool, _ = sized_in_turn(search, bounded(search, near, executor), pool, executor)
        tell(Remark("settling the best of them"))
        best = _settled(search, pool, executor)
    return sorted(best, key=lambda one: one.sized.price)


def bounded(search: Search, wanted: Sequence[Kind], executor: Executor) -> list[Sized]:
    """The kinds at their nominal turns, cheapest first; without those that cannot be."""
    cases = [(search, kind) for kind in dict.fromkeys(wanted)]
    return sorted(_sound(search, in_order(nominal, cases, executor)), key=lambda one: one.price)


def sized_in_turn(
    search: Search, bounds: list[Sized], pool: list[Sized], executor: Executor
) -> tuple[list[Sized], list[Sized]]:
    """The kinds sized, with those of the pool, best first; and those passed over.

    A kind whose nominal turns already cost more than the best plan is passed over, or would with
    most of the least that any kind yet needed on top to be sure; batches are of one size, so that
    what is passed over does not hang on the number of workers.
    """
    passed: list[Sized] = []
    on_top = math.inf
    for k in range(0, len(bounds), BATCH):
        best = min((one.price for one in pool), default=math.inf)
        most = best / (1.0 + MOST_OF * on_top) if math.isfinite(on_top) else best
        batch = bounds[k : k + BATCH]
        passed += [one for one in batch if one.price >= most]
        batch = [one for one in batch if one.price < most]
        found = list(in_order(sized, [(search, one) for one in batch], executor))
        pool = pool + _sound(search, found)
        for bound, one in zip(batch, found, strict=True):
            on_top = min(on_top, one.price / bound.price - 1.0)
    return sorted(pool, key=lambda one: one.price), passed


def _settled(search: Search, pool: list[Sized], executor: Executor) -> list[Settled]:
    """The finalists settled: two at least, and any that could still be cheaper or quicker."""
    best: list[Settled] = []
    for one in _finalists(pool):
        if (
            len(best) < 2
            or one.price < min(b.sized.price for b in best)
            or one.arc_time < min(b.sized.arc_time for b in best)
        ):
            now = settled(search, one, executor)
            best += [now] if now is not None and not now.sized.fault else []
    return best


def _sound(search: Search, found: Iterable[Sized]) -> list[Sized]:
    """Those without a fault; the faults of the others are kept."""
    out = []
    for one in found:
        if one.fault:
            search.faults.append(one.fault)
        else:
            out.append(one)
    return out


def _beside(kind: Kind, known: Sequence[Kind]) -> bool:
    """Tell whether a kind differs from a known one by less than 3 % of travel."""
    return any(
        replace(kind, travel=k.travel) == k and abs(math.log(kind.travel / k.travel)) < 0.03
        for k in known
    )


def _finalists(sizes: list[Sized]) -> list[Sized]:
    """The cheapest few, and the quickest and the least metal among the rest; of those that differ in
    start clock alone the cheapest.
    """
    ranked: list[Sized] = []
    for one in sorted(sizes, key=lambda one: one.price):
        if all(replace(one.kind, shift=o.kind.shift) != o.kind for o in ranked):
            ranked.append(one)
    out = ranked[:FINALISTS]
    for key in (lambda one: one.arc_time, lambda one: one.wire):
        rest = [one for one in ranked if one not in out]
        if rest:
            out.append(min(rest, key=key))
    return out


def confirmed(
    search: Search, best: list[Settled], executor: Executor, tell: Tell
) -> tuple[Settled, Decision, list[Settled]]:
    """The first plan that is sure enough by the draws that decide; and the plans that were passed
    over.

    One that just misses gets what it lacks, twice at most, before the next is taken; when all miss
    the first is shown.
    """
    tell(Remark("confirming by the draws that decide"))
    shown: tuple[Settled, Decision] | None = None
    for place, one in enumerate(best):
        for _ in range(3):
            sure = _sure(search, one, executor)
            shown = shown or (one, sure)
            if sure.verdict in SURE:
                return one, sure, best[place + 1 :]
            kind, turns = one.sized.kind, one.sized.turns + _more(search, one, sure)
            if turns > turns_range(search, kind)[1] * STEP:
                break
            minima = minima_of(search, kind, turns, SEARCHED, executor)
            one = Settled(costed(search, kind, turns), minima, one.cut)
    if shown is None:
        raise ValueError("_confirmed: nothing to confirm")
    return *shown, best[1:]


def _more(search: Search, one: Settled, sure: Decision) -> float:
    """How many turns more a plan needs that was not sure enough by the draws that decide."""
    least, asked = np.sort(np.nan_to_num(sure.least, nan=-1e3)), search.scene.confidence.asked
    short = len(least) - enough_draws(asked, len(least))
    wanting = search.scene.cut.minimum_cut - float(least[short])
    return STEP * max(math.ceil(wanting / gain(search, one.sized.kind) / STEP), 1)


def lean_first(
    search: Search, found: tuple[Settled, Decision], executor: Executor, tell: Tell
) -> tuple[Settled, Decision]:
    """The plan with its next layer at the turns that do if all comes out as set, and all margin in
    the layers after it.

    Readings tell how it came out before those are laid. They must keep room to be laid closer
    still, else the next layer is laid half as lean, or as the others.
    """
    as_planned, kind = found[0].sized, found[0].sized.kind
    least = nominal(search, kind)
    most, step = turns_range(search, kind)[1] * STEP, 1.0 if kind.advance == "step" else STEP
    for lean in (
        ()
        if least.fault
        else (
            step * math.ceil(least.turns / step - 1e-6),
            step * round(0.5 * (least.turns + as_planned.turns) / step),
        )
    ):
        if lean >= as_planned.turns:
            continue
        one = settled(search, replace(as_planned, kind=replace(kind, lean=lean)), executor)
        if one is None or one.sized.fault or one.sized.turns > ROOM * most:
            continue
        now, sure, _ = confirmed(search, [one], executor, tell)
        if sure.verdict in SURE:
            return now, sure
    return found


def _sure(search: Search, one: Settled, executor: Executor) -> Decision:
    return decide(search.in_all(one.sized.kind, one.sized.turns), executor=executor)
