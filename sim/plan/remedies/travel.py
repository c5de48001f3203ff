"""Remedy in the settings: slower travel, a bigger bead."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from sim.job.sections.bore import BEFORE, BETWEEN
from sim.plan.remedies.search import (
    Change,
    Option,
    Stands,
    enough,
    open_entries,
    smallest,
    unit_of,
)
from sim.plan.search.allowed import Allowed
from sim.reference.remarks import Remark


def slower_travel(now: Stands) -> Iterator[Option]:
    """The fastest travel for the layers to come that leaves enough, no slower than a plan may go."""
    scene = now.scene
    first, split = open_entries(now.result)
    count = len(scene.layer) + (1 if split else 0)
    if first > count:
        return
    suffix = "_in_per_min" if unit_of(scene)[0] == "_in" else "_mm_per_min"
    unit = (unit_of(scene)[1] if suffix == "_in_per_min" else 1.0) / 60.0
    step = (0.2 if suffix == "_in_per_min" else 5.0) * unit
    speed = now.result.settings[-1].travel
    room = math.floor((speed - Allowed.of(scene).travel[0]) / step + 1e-6) * step
    if room < step:
        return

    def keys(slower: float) -> dict[str, Any]:
        told = round(math.floor((speed - slower) / step + 1e-6) * step / unit, 6)
        return split | {f"layer.{k}.travel{suffix}": told for k in range(first, count + 1)}

    def option(wanted: float) -> Change:
        found = smallest(lambda by: enough(scene, keys(by), wanted), 0.0, room, step=step)
        told = keys(room if found is None else found)
        to = told[f"layer.{count}.travel{suffix}"] * unit
        return Change(Remark("slower travel", travel=to, now=speed), told)

    yield option


FINDERS = {BEFORE: (slower_travel,), BETWEEN: (slower_travel,)}
"""Remedies of this file by the stage the job is at."""
