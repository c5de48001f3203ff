"""The clock test: three spaced turns in scrap pipe, width and height at eight clocks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.job.readings_csv import ReadingsError
from sim.laws.gravity import RANGE, gravity_coefficient
from sim.machine.test_pieces.pieces import HEIGHT, TRAVEL, WIDTH
from sim.machine.test_pieces.table import Column, Filled
from sim.reference.arrays import TURN, Array
from sim.reference.defaults import default
from sim.reference.remarks import Remark

TURNINGS = ("clockwise", "counter-clockwise")
CLOCK = {
    "turn": Column("integer", 1.0, 50.0),
    "turning": Column("", words=TURNINGS),
    "travel": TRAVEL,
    "oclock": Column("clock", 0.0, TURN),
    "width": Column("length", WIDTH.low, WIDTH.high, blank=True),
    "height": Column("length", HEIGHT.low, HEIGHT.high, blank=True),
}
EIGHT = tuple(1.5 * k or 12.0 for k in range(8))
"""Clocks [h] to read at."""

REACH = TURN / 16.0  # a reading speaks for half the way to the next of eight clocks
LEAST = 5  # places, below which a slope says nothing
RING = 0.10
"""How much of the coefficient one ring of beads may be off from the next day's, relative: assumed,
half the spread of the published law. It keeps one ring from standing for all."""
STANDS_OUT = 3.0  # standard errors from which a clock does not follow the law


@dataclass(frozen=True)
class ClockTest:
    """What a clock test tells: gravity coefficient as read and pooled with the published law, each
    with a standard deviation; places read; share of the clock nobody measured; clocks [rad] missing
    of the eight; what is to be said.
    """

    read: tuple[float, float]
    published: tuple[float, float]
    pooled: tuple[float, float]
    places: int
    extrapolated: float
    missing: tuple[float, ...]
    travel: float
    said: tuple[Remark, ...]

    @property
    def spread(self) -> float:
        """Spread of the pooled coefficient, relative."""
        return self.pooled[1] / self.pooled[0]


def clock_test(told: Filled) -> ClockTest:
    """What a clock test tells; blank places are left out. Raises ReadingsError."""
    n = told.numbers
    there = ~np.isnan(n["width"]) | ~np.isnan(n["height"])
    clocks = n["oclock"][there]
    if len(clocks) < LEAST or np.ptp(_climbing(told)[there]) < 0.5:
        raise ReadingsError(
            f"{told.name}: {len(clocks)} places with a width or a height: at least {LEAST}, of "
            "climbing and of going down, are needed to tell how gravity works."
        )
    travel = told.one("travel")
    slope, error, off = _fit(told)
    rings = len(set(n["turn"][there]))
    prior = gravity_coefficient(travel)
    known = (prior, default("spread.gravity") * prior)
    own = math.hypot(error, RING * prior)
    weights = (1.0 / known[1] ** 2, 1.0 / own**2)
    pooled = (weights[0] * prior + weights[1] * slope) / sum(weights)
    missing = tuple(
        at for at in (h * TURN / 12.0 % TURN for h in EIGHT) if _away(at, clocks) > REACH
    )
    return ClockTest(
        (slope, own),
        known,
        (max(pooled, 0.02), _spread(weights, off, known[1])),
        int(there.sum()),
        extrapolated(clocks),
        missing,
        travel,
        _said(rings, off, missing),
    )


def extrapolated(clocks: Array) -> float:
    """Share of the clock that neither the published table nor a reading speaks for.

    >>> round(extrapolated(np.array([])), 2), extrapolated(np.arange(8) * TURN / 8)
    (0.69, 0.0)
    """
    cells = (np.arange(1440) + 0.5) * (TURN / 1440)
    known = math.radians(RANGE["clock from 6"][1])
    open_ = np.array([_away(one, np.array([math.pi])) > known for one in cells])
    if len(clocks):
        open_ &= np.array([_away(one, clocks) > REACH for one in cells])
    return float(open_.mean())


def _away(at: float, clocks: Array) -> float:
    return float(np.abs(np.mod(clocks - at + math.pi, TURN) - math.pi).min())


def _climbing(told: Filled) -> Array:
    turning = np.where(np.array(told.words["turning"]) == TURNINGS[0], 1, -1)
    return np.asarray(-turning * np.sin(told.numbers["oclock"]))


def _fit(told: Filled) -> tuple[float, float, tuple[tuple[float, float], ...]]:
    """Slope of log height and less log width by climb, together; its standard error; clocks [rad]
    that do not follow, with how far off (log).
    """
    rise, up = [], []
    for column, sign, scatter in (
        ("height", 1.0, "spread.height"),
        ("width", -1.0, "spread.width"),
    ):
        told_of = ~np.isnan(told.numbers[column])
        if told_of.sum() < 3:
            continue
        x = _climbing(told)[told_of]
        y = sign * np.log(told.numbers[column][told_of])
        clocks = told.numbers["oclock"][told_of]
        up.append((x - x.mean(), y - y.mean(), clocks, default(scatter)))
        rise.append(float(((x - x.mean()) ** 2).sum()))
    across = np.concatenate([one[0] / one[3] for one in up])
    high = np.concatenate([one[1] / one[3] for one in up])
    slope = float(across @ high / (across @ across))
    left = high - slope * across
    more = max(1.0, math.sqrt(float(left @ left) / max(len(left) - len(up) - 1, 1)))
    return slope, more / math.sqrt(float(across @ across)), _off(up, slope)


def _off(
    up: list[tuple[Array, Array, Array, float]], slope: float
) -> tuple[tuple[float, float], ...]:
    """Clocks where the beads do not follow the law: beyond scatter, all readings there together."""
    out = []
    for at in (h * TURN / 12.0 % TURN for h in EIGHT):
        total, weight = 0.0, 0.0
        for x, y, clocks, scatter in up:
            near = np.abs(np.mod(clocks - at + math.pi, TURN) - math.pi) < REACH
            total += float((y - slope * x)[near].sum()) / scatter**2
            weight += int(near.sum()) / scatter**2
        if weight and abs(total / weight) * math.sqrt(weight) > STANDS_OUT:
            out.append((at, total / weight))
    return tuple(out)


def _spread(
    weights: tuple[float, float], off: tuple[tuple[float, float], ...], known: float
) -> float:
    """Standard deviation left: no less than the published law's where clocks do not follow it."""
    left = 1.0 / math.sqrt(sum(weights))
    return max(left, known) if off else left


def _said(
    rings: int, off: tuple[tuple[float, float], ...], missing: tuple[float, ...]
) -> tuple[Remark, ...]:
    out = [Remark("clock not read", clock=at) for at in missing]
    out += [Remark("clock does not follow", clock=at, taller=math.exp(by) - 1.0) for at, by in off]
    if rings < 3:
        out.append(Remark("fewer than three turns", turns=rings))
    return tuple(out)
