"""The smallest change that is enough."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from sim.job.change import changed
from sim.job.scene import Scene
from sim.job.sections.bore import BEFORE
from sim.reference.arrays import TURN
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, oclock
from sim.shop.result import Result
from sim.shop.run import least_of

SEARCH_COLUMNS = 360


SEARCH_MARGIN = 0.004  # mm, for what the coarser clock of a search may miss


Change = tuple[str, dict[str, Any]]


def enough(scene: Scene, change: Mapping[str, Any]) -> bool:
    """Tell whether the changed scene leaves the minimum cut as planned: for a search, no verdict."""
    try:
        return (
            least_of(changed(scene, change), SEARCH_COLUMNS)
            >= scene.cut.minimum_cut + SEARCH_MARGIN
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
    n = math.ceil((high - low) / step - 1e-9)
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


def _unit(scene: Scene) -> tuple[str, float]:
    """Suffix and size in mm of the job's length unit."""
    unit = KINDS["length"][1 if scene.job.units == "in" else 0]
    return unit.suffix, unit.factor


def _open_entries(result: Result) -> tuple[int, dict[str, Any]]:
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


def _thin(result: Result) -> list[Any]:
    """Everything below the minimum cut, black or thin."""
    from sim.bore.low_spots import low_spots

    wall = result.layers[-1].wall
    return low_spots(
        wall, result.finish, result.axes.torch, result.spans, level=result.scene.cut.minimum_cut
    )


def _new_layers(result: Result, ranges: list[tuple[float, float]], **more: Any) -> dict[str, Any]:
    """New [[layer]] entries like the last one, over these depths."""
    plan, number, (suffix, inch) = (
        result.scene.layer[-1],
        len(result.scene.layer),
        _unit(result.scene),
    )
    start = (plan.start_at + plan.repeat * plan.shift) % TURN
    change: dict[str, Any] = {}
    for k, (low, high) in enumerate(ranges, number + 1):
        first, last = (low, high) if plan.feed == "in" else (high, low)
        change |= {
            f"layer.{k}.repeat": 1,
            f"layer.{k}.start_depth{suffix}": round(first / inch, 4),
            f"layer.{k}.end_depth{suffix}": round(last / inch, 4),
            f"layer.{k}.start_at_oclock": round(oclock(start), 4),
        }
        change |= {f"layer.{k}.{key}": value for key, value in more.items()}
    return change


def _say(result: Result, depth: float) -> str:
    suffix, inch = _unit(result.scene)
    return f"{depth / inch:.3g} {suffix[1:]}"
