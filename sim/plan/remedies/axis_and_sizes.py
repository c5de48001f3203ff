"""Remedies at the cut: another finish axis, another pre-bore, the next size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from sim.bore.axis import Bores, best_axis
from sim.bore.stock import stock_cells
from sim.job.looked import done
from sim.plan.remedies.search import Change, _unit, enough, smallest
from sim.reference.units import clock_text, oclock
from sim.shop.result import Result


def finish_axis(result: Result) -> Iterator[Change]:
    """The finish axis moved and tilted within its location zone so that the least stock is as large
    as it can be.
    """
    zone = result.scene.bore.location_zone
    if zone <= 0.0:
        return
    edges = np.linspace(
        result.scene.bore.chamfer_entry,
        result.scene.bore.length - result.scene.bore.chamfer_far,
        41,
    )
    straight = _about_drawing(result)
    cells = stock_cells(result.layers[-1].wall, straight, result.axes.torch, edges, 72)
    length = result.scene.bore.length
    entry, far, _ = best_axis([Bores(cells, edges, 0.5 * zone, (0.0, length))], length)
    suffix, inch = _unit(result.scene)
    change: dict[str, Any] = {}
    for end, (x, y) in (("entry", entry), ("far", far)):
        change[f"axes.finish_{end}{suffix}"] = round(math.hypot(x, y) / inch, 4)
        change[f"axes.finish_{end}_at_oclock"] = round(oclock(math.atan2(x, -y)), 3)
    places = [
        f"{change[f'axes.finish_{end}{suffix}']:.3g} {suffix[1:]} per side towards "
        f"{clock_text(change[f'axes.finish_{end}_at_oclock'] * math.pi / 6)} at the {end} face"
        for end in ("entry", "far")
    ]
    yield f"finish axis moved within its zone: {places[0]}, {places[1]}", change


def _about_drawing(result: Result) -> Any:
    from sim.bore.axis import Axis
    from sim.bore.cylinders import Bored

    return Bored(Axis.straight(result.scene.bore.length), result.finish.radius)


def pre_bore(result: Result) -> Iterator[Change]:
    """The largest smaller pre-bore that cleans up and still leaves weld everywhere under the
    finished surface.
    """
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    if scene.pre_bore is None or done(scene):
        return
    step, now = (0.1 if suffix == "_mm" else 0.004 * inch), scene.pre_bore.diameter
    least = max(scene.worn.diameter, scene.bore.final_diameter + 2.0 * scene.cut.minimum_cut)

    def change(less: float) -> dict[str, Any]:
        return {f"pre_bore.diameter{suffix}": round((now - less) / inch, 6)}

    found = smallest(
        lambda less: enough(scene, change(less)), 0.0, max(now - least, 0.0), step=step
    )
    if found is not None:
        yield (
            f"pre-bore {(now - found) / inch:g} {suffix[1:]} on diameter instead of {now / inch:g}",
            change(found),
        )


def next_size(result: Result) -> Iterator[Change]:
    """The smallest of the user's own larger sizes that cleans up."""
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    for size in sorted(s for s in scene.bore.next_sizes if s > scene.bore.final_diameter):
        change: dict[str, Any] = {f"bore.final_diameter{suffix}": round(size / inch, 9)}
        for limit in ("lower_limit", "upper_limit"):
            held = getattr(scene.bore, limit)
            if held is not None:
                change[f"bore.{limit}{suffix}"] = round(
                    (held + size - scene.bore.final_diameter) / inch, 9
                )
        if enough(scene, change):
            yield f"the next size: {size / inch:g} {suffix[1:]} on diameter", change
            return
