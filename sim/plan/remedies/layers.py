"""Remedies in the layers: closer pitch, more layers, closing turns, step, start, part of a layer."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from sim.plan.remedies.search import (
    Change,
    _new_layers,
    _open_entries,
    _say,
    _thin,
    _unit,
    enough,
    smallest,
)
from sim.set_up.layers import layer_ends
from sim.shop.result import Result


def closer_pitch(result: Result) -> Iterator[Change]:
    """The widest pitch for the layers to come that still cleans up."""
    scene, (suffix, inch) = result.scene, _unit(result.scene)
    first, split = _open_entries(result)
    count = len(scene.layer) + (1 if split else 0)
    if first > count:
        return
    now = result.settings[-1].path.pitch
    step = 0.05 if suffix == "_mm" else 0.002 * inch

    def change(closer: float) -> dict[str, Any]:
        pitch = round(math.floor((now - closer) / step + 1e-6) * step / inch, 6)
        return split | {f"layer.{k}.pitch{suffix}": pitch for k in range(first, count + 1)}

    found = smallest(lambda closer: enough(scene, change(closer)), 0.0, 0.5 * now, step=step)
    if found is not None:
        told = change(found)
        pitch = told[f"layer.{count}.pitch{suffix}"]
        yield f"closer pitch: {pitch:g} {suffix[1:]} instead of {now / inch:.4g} {suffix[1:]}", told


def more_layers(result: Result) -> Iterator[Change]:
    """The fewest further layers like the last that clean up, up to four."""
    scene, last = result.scene, len(result.scene.layer)
    repeat = scene.layer[-1].repeat
    found = smallest(
        lambda n: enough(scene, {f"layer.{last}.repeat": repeat + round(n)}), 0.0, 4.0, step=1.0
    )
    n = 1 if found is None else round(found)
    words = "one more layer" if n == 1 else f"{n} more layers"
    yield f"{words} like the last", {f"layer.{last}.repeat": repeat + n}


def closing_turns(result: Result) -> Iterator[Change]:
    """One closing turn at either end where a spiral has none."""
    bare = [
        k for k, p in enumerate(result.scene.layer, 1)
        if p.advance == "spiral" and (p.closing_start == 0 or p.closing_end == 0)
    ]  # fmt: skip
    if bare:
        keys = ("closing_start", "closing_end")
        yield (
            "a closing turn at each end of every layer",
            {f"layer.{k}.{key}": 1 for k in bare for key in keys},
        )


def step_instead(result: Result) -> Iterator[Change]:
    """Full turns with a step between them instead of a spiral."""
    if any(plan.advance == "spiral" for plan in result.scene.layer):
        yield "step instead of spiral: full turns, no wedge", {"layer.advance": "step"}


def start_shift(result: Result) -> Iterator[Change]:
    """The start moved by 90 degrees from layer to layer where it stays."""
    if result.scene.layer[-1].shift == 0.0 and len(result.scene.layers) > 1:
        yield "start clock moved 90 degrees from layer to layer", {"layer.shift_deg": 90.0}


def partial_layer(result: Result) -> Iterator[Change]:
    """A layer over the low spots only, when they take up less than two thirds of the length."""
    if not (result.low_spots or result.thin_spots):
        return
    reach = 1.5 * result.settings[-1].bead.width
    spots = result.thin_spots or _thin(result)
    low = max(
        min(s.depth_from for s in spots) - reach,
        layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)[0],
    )
    high = min(
        max(s.depth_to for s in spots) + reach,
        layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)[1],
    )
    for part in _ends_apart(result, low, high, reach):
        words = (
            f"a partial layer from {_say(result, part[0][0])} to {_say(result, part[0][1])} deep"
            if len(part) == 1
            else "partial layers at both ends"
        )
        yield words, _new_layers(result, part)


def _ends_apart(
    result: Result, low: float, high: float, reach: float
) -> Iterator[list[tuple[float, float]]]:
    """One range over all the spots, or one at either end where the middle is sound."""
    length = result.scene.bore.length
    if high - low < 0.67 * length:
        yield [(low, high)]
        return
    spots = result.thin_spots or _thin(result)
    near = [s.depth_to for s in spots if s.depth_to < 0.4 * length]
    far = [s.depth_from for s in spots if s.depth_from > 0.6 * length]
    if near and far and len(near) + len(far) == len(spots):
        yield [(low, max(near) + reach), (min(far) - reach, high)]
