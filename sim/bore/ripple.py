"""Ripple of a layer, the tie-in a pad shows, and waviness of the built-up wall along the bore."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from sim.bore.kernels.read_off import ripple_columns
from sim.bore.lay import Conditions, lay
from sim.bore.torch_way import Path, spiral
from sim.bore.wall import Clock, Wall, over_columns
from sim.laws.bead_shape import Bead
from sim.laws.waviness import Waviness, waviness
from sim.reference.arrays import Array


def ripple(base: Wall, after: Wall, path: Path, bead: Bead, *, leave_out: int = 3) -> Array:
    """Ripple [mm] of a layer per column, shape (n_clock,), nan where it has too few turns.

    Mean over the turns, those within `leave_out` pitches of either end of the way left out and
    closing turns with them, of crest minus the deeper neighbouring valley; the base wall is taken
    off first. The crest is looked for a quarter width behind the torch line.
    """
    out = np.full(len(after.count), math.nan)
    if np.ptp(path.depth) < (2 * leave_out + 2) * path.pitch:
        return out  # some clocks would have two turns, others none: the largest of them would be anything
    over_columns(
        ripple_columns,
        len(out),
        after.clock.angle,
        after.pieces,
        base.pieces,
        path.kernel,
        0.25 * min(bead.width, path.pitch),
        leave_out * path.pitch,
        out,
    )
    return out


def steady_ripple(spacing: float, tie_in: float, *, radius: float = 1e6) -> float:
    """Ripple over bead height of many beads side by side at pitch over width `spacing`; flat unless
    radius [mm].

    Laid by the engine itself, width 5 and height 1.8 mm.

    >>> round(steady_ripple(0.5, 0.5), 3)
    0.154
    """
    bead = Bead(5.0, 1.8)
    pitch = spacing * bead.width
    base = Wall.round(Clock.even(1), radius, -20.0, 20.0 + 40 * pitch)
    way = spiral(0.0, 40 * pitch, pitch)
    laid = lay(base, way, bead, bead.area * radius, Conditions(tie_in=tie_in, fusion=bead.height))
    return float(ripple(base, laid.wall, way, bead, leave_out=15)[0]) / bead.height


@lru_cache(256)
def tie_in_from_pad(ripple_over_height: float, spacing: float) -> float:
    """tie_in in 0..1 that leaves this steady ripple (over bead height) at pitch over width
    `spacing`.

    Solved on the engine by bisection; the end of the range is returned when the ripple lies beyond
    it.

    >>> round(tie_in_from_pad(steady_ripple(0.8, 0.3), 0.8), 6)
    0.3
    """
    low, high = 0.0, 1.0
    if ripple_over_height >= steady_ripple(spacing, low):
        return low
    if ripple_over_height <= steady_ripple(spacing, high):
        return high
    for _ in range(40):
        middle = 0.5 * (low + high)
        if steady_ripple(spacing, middle) > ripple_over_height:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def waviness_at(
    wall: Wall, clock: float, low: float, high: float, *, points: int = 4001
) -> Waviness:
    """Waviness of the wall along one clock [rad] between two depths [mm]."""
    column = wall.clock.nearest(clock)
    one = wall.radius(np.linspace(low, high, points))[column]
    return waviness(-one)
