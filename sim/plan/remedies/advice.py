"""What would make it clean up, for the stage the job is at: changes to the scene, each one
simulated.

Before the arc everything may change; after a layer only what is still to come; after the finish cut
a local weld or
the next size. The smallest change that works is found, not stepped to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

from sim.bore.wall import one_thread
from sim.job.change import changed
from sim.job.sections.bore import AFTER, BEFORE
from sim.plan.odds.verdict import Decision, decide
from sim.plan.remedies.axis_and_sizes import finish_axis, next_size, pre_bore
from sim.plan.remedies.layers import (
    closer_pitch,
    closing_turns,
    more_layers,
    partial_layer,
    start_shift,
    step_instead,
)
from sim.plan.remedies.local_weld import local_weld
from sim.plan.remedies.search import Change
from sim.reference.errors import SceneError
from sim.set_up.layers import arc_time, wire_used
from sim.shop.judge import CLEANS_UP, NO_BEAD, NOT_PROVEN
from sim.shop.result import Result
from sim.shop.run import simulate


@dataclass(frozen=True)
class Remedy:
    """One change that was simulated and drawn: scene keys and values, the result it gives, its
    verdict, what it costs more.

    extra_wire [mm3], extra_time: arc time [s]; both against the job as it stands.
    """

    words: str
    change: Mapping[str, Any]
    result: Result
    decided: Decision
    extra_wire: float
    extra_time: float

    @property
    def works(self) -> bool:
        """Cleans up, or would if the bead were measured."""
        only_bead = all(one.what == NO_BEAD for one in self.decided.open)
        return self.decided.verdict == CLEANS_UP or (
            self.decided.verdict == NOT_PROVEN and only_bead
        )


@dataclass(frozen=True)
class Advice:
    """Remedies, best first, and in words what binds when none works."""

    remedies: tuple[Remedy, ...]
    binds: str


def remedies(result: Result) -> Advice:
    """Every remedy that fits the stage of the job, simulated; best first (works, then least extra
    wire, then time).

    Remedies that do not reach a clean-up by themselves are listed after those that do.
    """
    scene = result.scene
    if decide(scene, [result]).verdict == CLEANS_UP:
        return Advice((), "no change needed: it cleans up")
    finders: list[Callable[[Result], Iterator[Change]]]
    if scene.job.stage == BEFORE:
        finders = [
            closer_pitch,
            more_layers,
            closing_turns,
            step_instead,
            start_shift,
            partial_layer,
            finish_axis,
            pre_bore,
            next_size,
        ]
    elif scene.job.stage == AFTER:
        finders = [local_weld, next_size]
    else:
        finders = [closer_pitch, more_layers, partial_layer, finish_axis, next_size]
    with ThreadPoolExecutor(2) as pool:
        found = [
            one for some in pool.map(lambda find: _tried(result, find), finders) for one in some
        ]
    better = [
        r for r in found if r.works or r.result.stock.spot.value > result.stock.spot.value + 0.02
    ]
    better.sort(
        key=lambda r: (
            not r.works,
            r.extra_wire if r.works else -r.result.stock.spot.value,
            r.extra_time,
        )
    )
    return Advice(tuple(better), "" if any(r.works for r in better) else _binds(result, better))


def _tried(result: Result, find: Callable[[Result], Iterator[Change]]) -> list[Remedy]:
    """The remedies of one finder, simulated; changes that cannot be done are left out."""
    out = []
    with one_thread():
        for words, change in find(result):
            try:
                after = simulate(changed(result.scene, change))
            except SceneError:
                continue
            if after.weld_left.spot.value < min(0.0, result.weld_left.spot.value - 1e-9):
                words += " (the cut then runs into base metal in places)"
            wire = _total(after, wire_used) - _total(result, wire_used)
            seconds = sum(map(arc_time, after.settings)) - sum(map(arc_time, result.settings))
            out.append(Remedy(words, change, after, decide(after.scene, [after]), wire, seconds))
    return out


def _total(result: Result, of: Callable[..., float]) -> float:
    return sum(of(result.scene, setting) for setting in result.settings)


def _binds(result: Result, found: list[Remedy]) -> str:
    """Why nothing within limits helps."""
    if result.scene.bead is None and result.stock.spot.value > result.scene.cut.minimum_cut:
        return (
            "nothing but a measured bead: lay one on a plate, measure width and height, and put "
            "them in [bead]"
        )
    if found:
        best = max(found, key=lambda r: r.result.stock.spot.value)
        return (
            f"no single change cleans it up; the nearest is: {best.words} "
            f"({best.result.stock.spot.value:.2f} mm per side)"
        )
    if result.scene.job.stage == AFTER:
        return (
            "a local weld does not reach the spot from here and no larger size is allowed; add "
            "next_sizes to [bore]"
        )
    return "no change within limits raises the least stock; more than one thing must change"
