"""The job as it stands, what its verdict lacks, and the smallest change that gives it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.job.change import changed
from sim.job.scene import Scene
from sim.job.sections.bore import BEFORE
from sim.plan.odds.verdict import FIRST_LOOK, Decision
from sim.reference.arrays import TURN
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.reference.units import KINDS, oclock
from sim.shop.result import Result
from sim.shop.run import least_of
from sim.shop.several_bores import OnBar, bores

SEARCH_COLUMNS = 360


SEARCH_MARGIN = 0.004  # mm, for what the coarser clock of a search may miss


@dataclass(frozen=True)
class Stands:
    """The job as it stands: every bore of its bar as planned, and the verdict on it."""

    scene: Scene
    on_bar: tuple[OnBar, ...]
    decided: Decision

    @property
    def result(self) -> Result:
        """The bore that cleans up least often."""
        return self.on_bar[self.decided.worst_at].result

    @property
    def alone(self) -> bool:
        """Tell whether it is the only bore on its bar."""
        return len(self.on_bar) == 1

    @property
    def asks(self) -> float:
        """Least stock as planned [mm per side] at which enough draws should leave the minimum cut."""
        cut = self.scene.cut.minimum_cut
        return self.decided.least_stock.planned + max(
            lacking(self.decided, cut), *(-one.least for one in self.decided.open if one.least is not None), 0.0
        )  # fmt: skip


@dataclass(frozen=True)
class Change:
    """A change to the scene, in words and as file keys with their values."""

    words: Remark
    keys: Mapping[str, Any]


Option = Callable[[float], Change]
"""The smallest change of its kind that leaves so much [mm per side] as planned; where none does, the
largest there is."""


Finder = Callable[[Stands], Iterator[Option]]


def lacking(decided: Decision, cut: float) -> float:
    """How much more [mm per side] the draws would have to leave for as many as asked, and a standard
    error more, to leave the minimum cut; negative where they leave more, infinite where too many
    bores close.
    """
    least = np.sort(np.nan_to_num(decided.least, nan=-math.inf))
    part = sure_part(decided.clean_up_of_100.asked / 100.0, FIRST_LOOK)
    return cut - float(least[math.floor(len(least) * (1.0 - part) + 1e-9)])


def sure_part(asked: float, draws: int) -> float:
    """The least part of so many draws that is no less than asked by a standard error of its own.

    >>> sure_part(0.95, 200), sure_part(1.0, 200)
    (0.965, 1.0)
    """
    enough = next(
        n for n in range(math.ceil(asked * draws - 1e-9), draws + 1)
        if n / draws - math.sqrt(n / draws * (1.0 - n / draws) / draws) >= asked
    )  # fmt: skip
    return enough / draws


def enough(scene: Scene, keys: Mapping[str, Any], wanted: float) -> bool:
    """Tell whether every bore of the changed scene leaves so much [mm per side] as planned: for a
    search, no verdict.
    """
    try:
        return all(
            least_of(one, SEARCH_COLUMNS) >= wanted + SEARCH_MARGIN
            for _, _, one in bores(changed(scene, keys))
        )
    except SceneError:
        return False


def smallest(
    works: Callable[[float], bool], low: float, high: float, *, step: float
) -> float | None:
    """The smallest value between low and high that works, to a multiple of `step`; None when high
    does not.

    By bisection: what works at a value is taken to work above it.

    >>> smallest(lambda v: v > 0.31, 0.0, 1.0, step=0.05)
    0.35
    """
    n = math.floor((high - low) / step + 1e-9)
    if n < 1 or not works(low + n * step):
        return None
    bad, good = 0, n
    while good - bad > 1:
        middle = (bad + good) // 2
        if works(low + middle * step):
            good = middle
        else:
            bad = middle
    return round(low + good * step, 9)


def fixed(what: Remark, keys: Mapping[str, Any]) -> Option:
    """A change of one size."""
    change = Change(what, keys)
    return lambda _: change


def unit_of(scene: Scene) -> tuple[str, float]:
    """Suffix and size in mm of the job's length unit."""
    unit = KINDS["length"][1 if scene.job.units == "in" else 0]
    return unit.suffix, unit.factor


def open_entries(result: Result) -> tuple[int, dict[str, Any]]:
    """Number of the first [[layer]] entry that may still change, and the keys that split it off
    what is laid.
    """
    done = result.scene.job.layers_done if result.scene.job.stage != BEFORE else 0
    number = 0
    for plan in result.scene.layer:
        number += 1
        if done < plan.repeat:
            break
        done -= plan.repeat
    else:
        return len(result.scene.layer) + 1, {}
    if done == 0:
        return number, {}
    if number < len(result.scene.layer):
        return number + 1, {}
    start = (plan.start_at + done * plan.shift) % TURN
    split = {f"layer.{number}.repeat": done, f"layer.{number + 1}.repeat": plan.repeat - done}
    return number + 1, split | {f"layer.{number + 1}.start_at_oclock": oclock(start)}


def new_layers(result: Result, ranges: list[tuple[float, float]], **more: Any) -> dict[str, Any]:
    """New [[layer]] entries like the last one, over these depths."""
    plan, number = result.scene.layer[-1], len(result.scene.layer)
    suffix, inch = unit_of(result.scene)
    start = (plan.start_at + plan.repeat * plan.shift) % TURN
    keys: dict[str, Any] = {}
    for k, (low, high) in enumerate(ranges, number + 1):
        first, last = (low, high) if plan.feed == "in" else (high, low)
        keys |= {
            f"layer.{k}.repeat": 1,
            f"layer.{k}.start_depth{suffix}": round(first / inch, 4),
            f"layer.{k}.end_depth{suffix}": round(last / inch, 4),
            f"layer.{k}.start_at_oclock": round(oclock(start), 4),
        }
        keys |= {f"layer.{k}.{key}": value for key, value in more.items()}
    return keys
