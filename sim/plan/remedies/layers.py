"""Remedies in the layers: closer pitch, more layers, closing turns, step, start, part of a layer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from sim.bore.low_spots import LowSpot, low_spots
from sim.job.sections.bore import BEFORE, BETWEEN
from sim.plan.remedies.search import (
    Change,
    Option,
    Stands,
    enough,
    fixed,
    new_layers,
    open_entries,
    smallest,
    unit_of,
)
from sim.reference.remarks import Remark
from sim.set_up.layers import closest_pitch, layer_ends
from sim.shop.judge import TOUCHES

MOST_MORE = 4  # further layers tried


def closer_pitch(now: Stands) -> Iterator[Option]:
    """The widest pitch for the layers to come that leaves enough, no closer than the procedure
    allows.
    """
    scene, (suffix, inch) = now.scene, unit_of(now.scene)
    first, split = open_entries(now.result)
    count = len(scene.layer) + (1 if split else 0)
    if first > count:
        return
    last = now.result.settings[-1]
    pitch, step = last.path.pitch, 0.05 if suffix == "_mm" else 0.002 * inch
    closest = math.ceil(closest_pitch(scene, last.bead.width) / step - 1e-6) * step
    if pitch - closest < step:
        return

    def keys(closer: float) -> dict[str, Any]:
        told = round(math.floor((pitch - closer) / step + 1e-6) * step / inch, 6)
        return split | {f"layer.{k}.pitch{suffix}": told for k in range(first, count + 1)}

    def option(wanted: float) -> Change:
        room = pitch - closest
        found = smallest(lambda by: enough(scene, keys(by), wanted), 0.0, room, step=step)
        told = keys(room if found is None else found)
        to = told[f"layer.{count}.pitch{suffix}"] * inch
        return Change(Remark("closer pitch", pitch=to, now=pitch), told)

    yield option


def more_layers(now: Stands) -> Iterator[Option]:
    """The fewest further layers like the last that leave enough, up to four."""
    last, repeat = len(now.scene.layer), now.scene.layer[-1].repeat

    def keys(n: int) -> dict[str, Any]:
        return {f"layer.{last}.repeat": repeat + n}

    def option(wanted: float) -> Change:
        counts = range(1, MOST_MORE + 1)
        n = next((n for n in counts if enough(now.scene, keys(n), wanted)), 1)
        words = Remark("one more layer") if n == 1 else Remark("more layers", count=n)
        return Change(words, keys(n))

    yield option


def closing_turns(now: Stands) -> Iterator[Option]:
    """One closing turn at either end where a spiral has none."""
    bare = [
        k for k, p in enumerate(now.scene.layer, 1)
        if p.advance == "spiral" and (p.closing_start == 0 or p.closing_end == 0)
    ]  # fmt: skip
    if bare:
        ends = ("closing_start", "closing_end")
        yield fixed(Remark("closing turns"), {f"layer.{k}.{end}": 1 for k in bare for end in ends})


def fewer_closing_turns(now: Stands) -> Iterator[Option]:
    """One closing turn at either end where the torch touches metal that more of them piled up."""
    many = {
        f"layer.{k}.{end}": 1
        for k, plan in enumerate(now.scene.layer, 1)
        for end in ("closing_start", "closing_end")
        if getattr(plan, end) > 1
    }
    if many and any(one.what == TOUCHES for one in now.decided.open):
        yield fixed(Remark("fewer closing turns"), many)


def step_instead(now: Stands) -> Iterator[Option]:
    """Full turns with a step between them instead of a spiral."""
    if any(plan.advance == "spiral" for plan in now.scene.layer):
        yield fixed(Remark("step instead of spiral"), {"layer.advance": "step"})


def start_shift(now: Stands) -> Iterator[Option]:
    """The start moved by 90 degrees from layer to layer where it stays."""
    if now.scene.layer[-1].shift == 0.0 and len(now.scene.layers) > 1:
        yield fixed(Remark("start moved"), {"layer.shift_deg": 90.0})


def partial_layer(now: Stands) -> Iterator[Option]:
    """A layer over the low spots only, when they take up less than two thirds of the length."""
    result = now.result
    spots = _short(now)
    if not now.alone or not spots:
        return
    width = result.settings[-1].bead.width
    reach, ends = 1.5 * width, layer_ends(now.scene, now.scene.layer[-1], width)
    low = max(min(s.depth_from for s in spots) - reach, ends[0])
    high = min(max(s.depth_to for s in spots) + reach, ends[1])
    for part in _ends_apart(spots, result.scene.bore.length, (low, high), reach):
        words = (
            Remark("partial layer", first=part[0][0], last=part[0][1])
            if len(part) == 1
            else Remark("partial layers at both ends")
        )
        yield fixed(words, new_layers(result, part))


def _short(now: Stands) -> list[LowSpot]:
    """Everything that leaves less as planned than the verdict asks for, black or not."""
    result, cut = now.result, now.scene.cut.minimum_cut
    level = cut + now.asks - now.decided.least_stock.planned
    if not math.isfinite(level):
        return []
    wall = result.layers[-1].wall
    return low_spots(wall, result.finish, result.axes.torch, result.spans, level=level)


def _ends_apart(
    spots: Sequence[LowSpot], length: float, whole: tuple[float, float], reach: float
) -> Iterator[list[tuple[float, float]]]:
    """One range over all the spots, or one at either end where the middle is sound."""
    low, high = whole
    if high - low < 0.67 * length:
        yield [(low, high)]
        return
    near = [s.depth_to for s in spots if s.depth_to < 0.4 * length]
    far = [s.depth_from for s in spots if s.depth_from > 0.6 * length]
    if near and far and len(near) + len(far) == len(spots):
        yield [(low, max(near) + reach), (min(far) - reach, high)]


FINDERS = {
    BEFORE: (
        closer_pitch,
        more_layers,
        closing_turns,
        fewer_closing_turns,
        step_instead,
        start_shift,
        partial_layer,
    ),
    BETWEEN: (closer_pitch, more_layers, partial_layer),
}
"""Remedies of this file by the stage the job is at."""
