"""A weld on the low spot alone."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sim.plan.remedies.search import Change, _new_layers, _say
from sim.reference.arrays import TURN
from sim.reference.units import clock_text, oclock
from sim.set_up.layers import layer_ends
from sim.shop.result import Result


def local_weld(result: Result) -> Iterator[Change]:
    """After the finish cut: weld over what stayed black, over part of the clock where that will do,
    and bore again.
    """
    if not result.low_spots or result.scene.job.layers_done != len(result.scene.layers):
        return
    reach = 2.0 * result.settings[-1].bead.width
    low, high = (
        min(s.depth_from for s in result.low_spots) - reach,
        max(s.depth_to for s in result.low_spots) + reach,
    )
    ends = layer_ends(result.scene, result.scene.layer[-1], result.settings[-1].bead.width)
    span = (max(low, ends[0]), min(high, ends[1]))
    begin, end = _sector(result, margin=25.0 / result.finish.radius)
    if np.mod(end - begin, TURN) < 0.75 * TURN:
        sector = {
            "only_from_oclock": round(oclock(begin), 3),
            "only_to_oclock": round(oclock(end), 3),
        }
        words = (
            f"local weld from {clock_text(begin)} to {clock_text(end)}, {_say(result, span[0])} "
            f"to {_say(result, span[1])} deep, and re-bore"
        )
        yield words, _new_layers(result, [span], **sector)
    yield (
        f"weld right round from {_say(result, span[0])} to {_say(result, span[1])} deep, and "
        "re-bore",
        _new_layers(result, [span]),
    )


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
