"""A weld on the low spot alone."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sim.job.sections.bore import AFTER
from sim.plan.remedies.search import Option, Stands, fixed, new_layers
from sim.reference.arrays import TURN
from sim.reference.remarks import Remark
from sim.reference.units import oclock
from sim.set_up.layers import layer_ends
from sim.shop.result import Result


def local_weld(now: Stands) -> Iterator[Option]:
    """After the finish cut: weld over what stayed black, over part of the clock where that will do,
    and bore again.
    """
    result = now.result
    spots, done = result.low_spots, now.scene.job.layers_done == len(now.scene.layers)
    if not (now.alone and spots and done):
        return
    width = result.settings[-1].bead.width
    ends = layer_ends(now.scene, now.scene.layer[-1], width)
    low = max(min(s.depth_from for s in spots) - 2.0 * width, ends[0])
    high = min(max(s.depth_to for s in spots) + 2.0 * width, ends[1])
    begin, end = _sector(result, margin=25.0 / result.finish.radius)
    if np.mod(end - begin, TURN) < 0.75 * TURN:
        sector = {
            "only_from_oclock": round(oclock(begin), 3),
            "only_to_oclock": round(oclock(end), 3),
        }
        words = Remark("local weld", begin=begin, end=end, first=low, last=high)
        yield fixed(words, new_layers(result, [(low, high)], **sector))
    yield fixed(Remark("weld right round", first=low, last=high), new_layers(result, [(low, high)]))


def _sector(result: Result, margin: float) -> tuple[float, float]:
    """The clock range [rad] that holds every low spot, with a margin, going clockwise."""
    n = 720
    marked = np.zeros(n, dtype=bool)
    for spot in result.low_spots:
        width = float(np.mod(spot.clock_to - spot.clock_from, TURN)) or TURN
        k = np.arange(
            math.floor(spot.clock_from / TURN * n),
            math.ceil((spot.clock_from + width) / TURN * n) + 1,
        )
        marked[k % n] = True
    columns = np.flatnonzero(marked)
    gap = np.diff(columns, append=columns[0] + n)
    widest = int(np.argmax(gap))
    begin = columns[(widest + 1) % len(columns)] * TURN / n - margin
    end = columns[widest] * TURN / n + margin
    return float(begin % TURN), float(end % TURN)


FINDERS = {AFTER: (local_weld,)}
"""Remedies of this file by the stage the job is at."""
