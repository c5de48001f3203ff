"""Readings after a layer, table by table, and what gauge and build-up law may be off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bore.read_wall import Readings
from sim.job import readings_csv
from sim.job.readings_csv import at_20
from sim.job.scene import Scene
from sim.job.sections.bore import ReadingsSource
from sim.job.sections.plan import ReadingAfter
from sim.machine.between.gauge_on_draws import Places
from sim.plan.odds.draws import Draw, reading_errors
from sim.reference.arrays import Array, frozen
from sim.reference.defaults import default
from sim.reference.remarks import Remark
from sim.set_up.layers import Setting

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Set:
    """One table of readings after a layer, at 20 C: own error, and common to the set that of the
    temperature.

    Both (rows,) [mm, one standard deviation]; at_edge (rows,): a valley within half a bead of a
    free face; top [rad].
    """

    layer: int
    found: Readings
    places: Places
    own: Array
    common: Array
    at_edge: Flags
    top: float
    warm: Remark | None

    @property
    def value(self) -> Array:
        """What was read [mm], at 20 C."""
        return self.found.value

    @property
    def means(self) -> Array:
        """What is told apart in the set, (rows, k): crests, valleys, valleys at free edges, and
        these on the sides against top and bottom, where gravity draws beads narrow; of radii also
        towards where, at which depth.
        """
        inner = self.places.valley & ~self.at_edge
        kinds = [
            np.where(which, 1.0, 0.0)
            for which in (~self.places.valley, inner, self.at_edge)
            if which.any()
        ]
        side = np.cos(
            (2.0 if self.places.diameter else 1.0) * (self.places.clock - self.top)
            - (0.0 if self.places.diameter else 0.5 * math.pi)
        )
        kinds += [np.where(which, side, 0.0) for which in (inner, self.at_edge) if which.any()]
        if not self.eccentric:
            return np.stack(kinds, axis=1)
        turn = [np.cos(self.places.clock), np.sin(self.places.clock)]
        if np.ptp(self.places.depth) > 1.0:
            deep = (self.places.depth - self.places.depth.mean()) / np.ptp(self.places.depth)
            turn += [turn[0] * deep, turn[1] * deep]
        return np.stack([*kinds, *turn], axis=1)

    @property
    def eccentric(self) -> bool:
        """Tell whether the set shows where the wall's centre is: radii at three clocks or more."""
        return not self.places.diameter and len(np.unique(np.round(self.places.clock, 2))) >= 3


def sets_of(scene: Scene, settings: Sequence[Setting]) -> list[Set]:
    """The readings of a scene, by table."""
    return [_set(scene, one, settings[one.layer - 1]) for one in scene.reading_after]


def _set(scene: Scene, one: ReadingAfter, setting: Setting) -> Set:
    raw = readings_csv.read(
        one.table.encode(),
        name=f"[[reading_after]] layer {one.layer}",
        error=one.error,
        welded=True,
    )
    middle = 2.0 * float(np.median(raw.radii))
    ratio = (
        scene.bore.outside_diameter / middle
        if scene.bore.outside_diameter
        else default("readings.ratio")
    )
    source = scene.readings or ReadingsSource()
    found, warm = at_20(
        raw,
        gauge=source.gauge_expansion,
        work=source.work_expansion,
        ratio=max(ratio, 1.01),
        unsure=default("readings.temperature_error"),
    )
    common = np.sqrt(np.maximum(found.error**2 - raw.error**2, 0.0))
    bore, half = scene.bore, 0.5 * setting.bead.width
    places = Places.of(
        found,
        scene.gauge.foot,
        setting.path.pitch,
        (bore.chamfer_entry, bore.length - bore.chamfer_far),
    )
    free = ((places.depth <= half) & (not scene.run_off.entry)) | (
        (places.depth >= bore.length - half) & (not scene.run_off.far)
    )
    return Set(
        one.layer,
        found,
        places,
        0.5 * raw.error,
        0.5 * common,
        free & places.valley,
        bore.top,
        Remark("readings warm", layer=one.layer, said=warm) if warm is not None else None,
    )


def off_law(one: Set, drawn: Sequence[Draw]) -> Array:
    """What the build-up law itself may be off, on what was read [mm], (draws, rows): crests one
    way, valleys another.
    """
    crest, valley, edge = (
        np.array([getattr(d, name) for d in drawn])[:, None] for name in ("crest", "law", "edge")
    )
    off = np.where(one.places.valley[None, :], valley, crest) + np.where(
        one.at_edge[None, :], edge * one.layer, 0.0
    )
    return np.asarray(off * (2.0 if one.places.diameter else 1.0))


def with_errors(one: Set, read: Array, seed: int, number: int) -> Array:
    """Readings with the errors a gauge and a warm part add."""
    plain = reading_errors(seed, number, (len(read), len(one.value) + 1))
    return frozen(read + one.own * plain[:, 1:] + one.common * plain[:, :1])


def means_of(one: Set, drawn: Array, used: Flags) -> Array:
    """What makes the means of a set out of its rows, (k, rows): least squares, rows that scatter
    more weighing less.
    """
    basis = one.means * used[:, None]
    basis = basis[:, np.abs(basis).sum(axis=0) > 0.0]
    strayed = drawn - drawn.mean(axis=0)
    weight = 1.0 / np.maximum((strayed - strayed.mean(axis=1, keepdims=True)).std(axis=0), 1e-6)
    return np.asarray(np.linalg.pinv(basis * weight[:, None], rcond=1e-6) * weight)
