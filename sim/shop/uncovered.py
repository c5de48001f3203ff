"""What of a bore its readings do not speak for, and the reading that would settle most of it: facts, no words.

A reading speaks for so much depth either way and so much clock either way (see sim.sources: limit.reach_depth,
limit.reach_clock), a two-point reading for both of its ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bore.read_wall import Readings
from sim.job.looked import look
from sim.job.scene import Scene
from sim.reference.arrays import TURN, Array
from sim.reference.defaults import default

CLOCKS, DEPTHS = 144, 100  # cells round the whole clock and along the bore


EVERY = 6  # clock cells from one clock offered for the next reading to another: half an hour


@dataclass(frozen=True)
class Gap:
    """A part of the wall without readings: depth from..to [mm], clock from..to [rad, clockwise],
    `share` of the wall.

    Of a two-point gauge the clock is that of one foot, within half a turn: the other half is as
    little covered.
    """

    depth: tuple[float, float]
    clock: tuple[float, float]
    share: float


@dataclass(frozen=True)
class Uncovered:
    """What readings do not cover: gaps, largest first; their share of the wall; next_depth [mm],
    next_clock [rad]: where the reading that settles most should be taken, None when nothing is
    open; settles: its share of the wall.
    """

    gaps: tuple[Gap, ...] = ()
    share: float = 0.0
    next_depth: float | None = None
    next_clock: float | None = None
    settles: float = 0.0


def uncovered(scene: Scene) -> Uncovered:
    """What of the scene's bore its readings do not cover; nothing without readings, or where it was
    bright all over.

    >>> from sim.job.read import load
    >>> uncovered(load("scenes/readings_cold.toml")).share
    0.0
    """
    known = look(scene)
    if scene.readings is None or (known is not None and known.bright):
        return Uncovered()
    return gaps_of(scene.readings.found, scene.bore.length)


def gaps_of(found: Readings, length: float) -> Uncovered:
    """What of a bore of this length [mm] the readings found in it do not cover."""
    count = CLOCKS if found.period == TURN else CLOCKS // 2
    clock = np.asarray((np.arange(count) + 0.5) * (TURN / CLOCKS), dtype=np.float64)
    depth = np.asarray((np.arange(DEPTHS) + 0.5) * (length / DEPTHS), dtype=np.float64)
    covers = (
        np.einsum(
            "kc,kd->cd", *_reach(found.clock, found.depth, clock, depth, found.period, length)
        )
        > 0
    )
    bare = ~covers
    if not bare.any():
        return Uncovered()
    at, settles = _next(bare, clock, depth, found.period, length)
    gaps = _gaps(bare, found, length)
    return Uncovered(tuple(gaps), float(bare.mean()), at[0], at[1], settles)


def _reach(
    clocks: Array, depths: Array, clock: Array, depth: Array, period: float, length: float
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Which clock cells (k, n_clock) and depth cells (k, n_depth) each of k readings speaks for."""
    away = np.abs(np.mod(clock[None, :] - clocks[:, None] + 0.5 * period, period) - 0.5 * period)
    round_ = away <= math.radians(default("limit.reach_clock"))
    along = np.abs(depth[None, :] - depths[:, None]) <= default("limit.reach_depth") * length
    return round_.astype(np.int64), along.astype(np.int64)


def _next(
    bare: NDArray[np.bool_], clock: Array, depth: Array, period: float, length: float
) -> tuple[tuple[float, float], float]:
    """Depth [mm] and clock [rad] of the reading that settles most, and its share; of equals the one
    in their midst.
    """
    hours = np.asarray(np.arange(0.0, period - 1e-9, EVERY * TURN / CLOCKS), dtype=np.float64)
    places = np.asarray(np.linspace(0.0, length, 2 * DEPTHS // 5 + 1), dtype=np.float64)
    round_, _ = _reach(hours, np.zeros(len(hours)), clock, depth, period, length)
    _, along = _reach(np.zeros(len(places)), places, clock, depth, period, length)
    settled = round_ @ bare.astype(np.int64) @ along.T
    rows, columns = np.nonzero(settled == settled.max())
    turned = (
        hours[rows] * TURN / period
    )  # clocks as angles of a whole turn, so that their middle may lie across the seam
    off = np.angle(np.exp(1j * turned) / np.exp(1j * np.angle(np.exp(1j * turned).sum())))
    best = int(np.argmin(np.abs(off) + np.abs(columns - np.median(columns))))
    row, column = rows[best], columns[best]
    return (float(places[column]), float(hours[row])), float(settled.max() / bare.size)


def _gaps(bare: NDArray[np.bool_], found: Readings, length: float) -> list[Gap]:
    """Gaps, largest first: depths alike in what of their clock is bare taken together."""
    edges = [0, *(np.flatnonzero((bare[:, 1:] != bare[:, :-1]).any(axis=0)) + 1), bare.shape[1]]
    out = []
    for a, b in zip(edges, edges[1:], strict=False):
        low, high = a * length / DEPTHS, b * length / DEPTHS
        if bare[:, a].all():
            low, high = _to_readings(low, high, found.depth, length)
            out.append(Gap((low, high), (0.0, found.period), (b - a) / DEPTHS))
            continue
        for begin, end in _runs(bare[:, a]):
            share = (end - begin) / len(bare) * (b - a) / DEPTHS
            out.append(
                Gap(
                    (low, high),
                    (begin * TURN / CLOCKS, (end * TURN / CLOCKS) % found.period),
                    share,
                )
            )
    return sorted(out, key=lambda gap: -gap.share)


def _to_readings(low: float, high: float, read: Array, length: float) -> tuple[float, float]:
    """A range of depth without any reading in reach, as far as the readings on either side, or the
    faces.
    """
    middle = 0.5 * (low + high)
    before, after = read[read < middle], read[read > middle]
    return float(before.max(initial=0.0)), float(after.min(initial=length))


def _runs(cells: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Runs of clock cells as (first, past the last), across the seam where need be."""
    starts = np.flatnonzero(cells & ~np.roll(cells, 1))
    return [(int(s), int(s) + int(np.argmin(np.roll(cells, -s)))) for s in starts]
