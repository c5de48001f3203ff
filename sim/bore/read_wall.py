"""Gauge readings of one bore, the smoothest wall through them, and what the gauge cannot see.

Two-point diameters fix only the even part of a section; metal does not grow, so with the original
diameter D0 known the unseen odd part is at most (D(theta) - D0)/2. Readings of a warm part are
brought to 20 C (ISO 1) and carry their range.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.reference.arrays import TURN, Array, Counts, frozen
from sim.reference.remarks import Remark

SAME_DEPTH = 0.05  # mm: readings closer than this lie at one station


@dataclass(frozen=True)
class Readings:
    """Readings of one bore, all arrays (n,): depth [mm], clock [rad], value [mm], error [mm, k =
    2], row in the file.

    kind is "diameter" (two-point; clock of one foot) or "radius" (from a centred bar). Temperatures
    [C] of bore, outside and gauge, nan where not given. how_read says how the file was taken; notes
    what was put right; valley (n,): read in a valley, not on crests, where the file has a column
    `touched`.
    """

    kind: str
    depth: Array
    clock: Array
    value: Array
    error: Array
    bore_c: Array
    outside_c: Array
    gauge_c: Array
    row: Array
    how_read: str
    notes: tuple[Remark, ...] = ()
    valley: NDArray[np.bool_] | None = None

    @property
    def stations(self) -> list[Counts]:
        """Indices of the readings at each station, by depth."""
        order = np.argsort(self.depth, kind="stable")
        cuts = np.flatnonzero(np.diff(self.depth[order]) > SAME_DEPTH) + 1
        return list(np.split(order, cuts))

    @property
    def radii(self) -> Array:
        """Values as radii [mm]."""
        return self.value * (0.5 if self.kind == "diameter" else 1.0)

    @property
    def period(self) -> float:
        """Clock angle [rad] after which the same place is read again: half a turn for a two-point
        gauge.
        """
        return math.pi if self.kind == "diameter" else TURN


@dataclass(frozen=True)
class ReadWall:
    """A wall through readings: per station a trigonometric series in clock, between stations
    monotone cubics.

    depth (s,): stations [mm]; series (s, 1 + 2 k): mean radius, then cosine and sine parts [mm] of
    `orders` (k,). Beyond the first and last station the wall runs on unchanged.
    """

    depth: Array
    series: Array
    orders: Array
    kind: str

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""
        from scipy.interpolate import PchipInterpolator

        z = np.clip(depth, self.depth[0], self.depth[-1])
        parts = PchipInterpolator(self.depth, self.series, axis=0)(z)
        r = parts[..., 0]
        for k, order in enumerate(self.orders):
            r = (
                r
                + parts[..., 1 + 2 * k] * np.cos(order * clock)
                + parts[..., 2 + 2 * k] * np.sin(order * clock)
            )
        return np.asarray(r)

    @property
    def nodes(self) -> Array:
        """Depths [mm] between which the wall is straight to some 1e-4 mm."""
        spans = [np.linspace(a, b, 41) for a, b in zip(self.depth, self.depth[1:], strict=False)]
        return np.concatenate(spans)


def wall_from(found: Readings) -> ReadWall:
    r"""The smoothest wall through the readings; two-point diameters give the even part only.

    Per station the series of least norm that meets every reading, high orders weighted by order
    squared.

    >>> from sim.job.readings_csv import read
    >>> two = read(b"depth_mm,oclock,diameter_mm\n0,12,80.4\n0,3,80\n9,12,80.4\n9,3,80\n", name="r.csv")
    >>> wall_from(two).radius(np.array([0.0, np.pi / 2]), np.array([5.0, 5.0])).round(6).tolist()
    [40.2, 40.0]
    """
    most = max(len(members) for members in found.stations)
    step = 2.0 if found.kind == "diameter" else 1.0
    orders = step * np.arange(1, most // 2 + 1, dtype=np.float64)
    series = [
        _series(found.clock[members], found.radii[members], orders) for members in found.stations
    ]
    depth = np.array([float(found.depth[members].mean()) for members in found.stations])
    return ReadWall(frozen(depth), frozen(np.array(series)), frozen(orders), found.kind)


def _series(clock: Array, value: Array, orders: Array) -> Array:
    """Mean, cosine and sine parts [mm] of the smoothest series through values (n,) [mm] at clock
    angles (n,) [rad].
    """
    mean = float(value.mean())
    weight = np.concatenate([[10.0], np.repeat(1.0 / np.maximum(orders, 1.0) ** 2, 2)])
    columns = [np.ones(len(clock))]
    for order in orders:
        columns += [np.cos(order * clock), np.sin(order * clock)]
    parts = (
        np.linalg.lstsq(np.stack(columns, axis=1) * weight, value - mean, rcond=1e-9)[0] * weight
    )
    parts[0] += mean
    return np.asarray(parts)


@dataclass(frozen=True)
class WorstUnseen:
    """The worst wall that two-point readings allow with the original diameter [mm] known.

    Metal does not grow: where the diameter is D one side may hold all of the wear, so its radius is
    at most D - original / 2 = D / 2 + (D - original) / 2. A bound at every clock at once, not one
    wall that could be.
    """

    wall: ReadWall
    original: float

    def radius(self, clock: Array, depth: Array) -> Array:
        """Largest radius possible [mm] at clock [rad] and depth [mm]."""
        seen = self.wall.radius(clock, depth)
        return np.asarray(seen + np.maximum(seen - 0.5 * self.original, 0.0))

    @property
    def nodes(self) -> Array:
        """As those of the wall read."""
        return self.wall.nodes


def unmet(found: Readings, wall: ReadWall) -> list[Remark]:
    """Readings that the wall does not meet within their error, by row."""
    off = np.abs(wall.radius(found.clock, found.depth) - found.radii) * (found.value / found.radii)
    return [
        Remark(
            "row off the wall",
            row=float(found.row[i]),
            off=float(off[i]),
            error=float(found.error[i]),
        )
        for i in np.flatnonzero(off > found.error + 1e-6)
    ]
