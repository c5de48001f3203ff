"""Remedies at the cut: another finish axis, another pre-bore, the next size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from sim.job.looked import done
from sim.job.sections.bore import AFTER, BEFORE, BETWEEN
from sim.plan.remedies.search import (
    Change,
    Option,
    Stands,
    enough,
    fixed,
    smallest,
    unit_of,
)
from sim.reference.remarks import Remark
from sim.reference.units import oclock
from sim.shop.several_bores import best_line


def finish_axis(now: Stands) -> Iterator[Option]:
    """The finish axis moved and tilted within its location zone so that the least stock of all
    bores is as large as it can be.
    """
    if now.scene.bore.location_zone <= 0.0:
        return
    line, _ = best_line(now.on_bar)
    suffix, inch = unit_of(now.scene)
    keys: dict[str, Any] = {}
    told: dict[str, float] = {}
    for end, depth in (("entry", 0.0), ("far", now.scene.bore.length)):
        x, y = (float(v) for v in line.at(depth))
        keys[f"axes.finish_{end}{suffix}"] = round(math.hypot(x, y) / inch, 4)
        keys[f"axes.finish_{end}_at_oclock"] = round(oclock(math.atan2(x, -y)), 3)
        told[end] = math.hypot(x, y)
        told[f"{end}_at"] = math.atan2(x, -y)
    yield fixed(
        Remark(
            "finish axis moved",
            entry=told["entry"],
            entry_at=told["entry_at"],
            far=told["far"],
            far_at=told["far_at"],
        ),
        keys,
    )


def pre_bore(now: Stands) -> Iterator[Option]:
    """The largest smaller pre-bore that leaves enough, and weld everywhere under the finished
    surface.
    """
    scene, (suffix, inch) = now.scene, unit_of(now.scene)
    if scene.pre_bore is None or done(scene):
        return
    step, size = (0.1 if suffix == "_mm" else 0.004 * inch), scene.pre_bore.diameter
    least = max(scene.worn.diameter, scene.bore.final_diameter + 2.0 * scene.cut.minimum_cut)
    room = math.floor((size - least) / step + 1e-6) * step
    if room < step:
        return

    def keys(less: float) -> dict[str, Any]:
        return {f"pre_bore.diameter{suffix}": round((size - less) / inch, 6)}

    def option(wanted: float) -> Change:
        found = smallest(lambda less: enough(scene, keys(less), wanted), 0.0, room, step=step)
        less = room if found is None else found
        return Change(Remark("smaller pre-bore", size=size - less, now=size), keys(less))

    yield option


def next_size(now: Stands) -> Iterator[Option]:
    """The smallest of the user's own larger sizes that leaves enough."""
    scene, (suffix, inch) = now.scene, unit_of(now.scene)
    sizes = sorted(s for s in scene.bore.next_sizes if s > scene.bore.final_diameter)
    if not sizes:
        return

    def keys(size: float) -> dict[str, Any]:
        out: dict[str, Any] = {f"bore.final_diameter{suffix}": round(size / inch, 9)}
        for limit in ("lower_limit", "upper_limit"):
            held = getattr(scene.bore, limit)
            if held is not None:
                more = size - scene.bore.final_diameter
                out[f"bore.{limit}{suffix}"] = round((held + more) / inch, 9)
        return out

    def option(wanted: float) -> Change:
        size = next((s for s in sizes if enough(scene, keys(s), wanted)), sizes[-1])
        return Change(Remark("next size", size=size), keys(size))

    yield option


FINDERS = {
    BEFORE: (finish_axis, pre_bore, next_size),
    BETWEEN: (finish_axis, next_size),
    AFTER: (next_size,),
}
"""Remedies of this file by the stage the job is at."""
