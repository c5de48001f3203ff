"""The spreads of a job, from its sections and its readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from sim.bore.read_wall import WorstUnseen, wall_from
from sim.job.looked import look
from sim.job.scene import Scene
from sim.job.sections.bore import PRE_BORED, PreBoreBlack, ReadingsSource
from sim.job.sections.plan import FromReadings
from sim.plan.odds.draws import Way
from sim.plan.odds.spreads import Seen, Spreads
from sim.plan.odds.strays import COLUMNS, SEEN, Column, columns
from sim.reference.arrays import TURN
from sim.reference.defaults import DEFAULTS
from sim.set_up.axes_and_areas import ALONE, Place
from sim.set_up.bead import TieIn, area_factor, tie_in_of
from sim.set_up.layers import Setting
from sim.shop.as_worn import least_diameter
from sim.shop.ready_to_lay import Job


def spreads_of(scene: Scene, layers: Sequence[Setting], place: Place = ALONE) -> Spreads:
    """How far everything may stray in this job: the scene's [spread], and what was measured and how
    well; `place` on its bar.
    """
    s, p, tie_in = scene.spread, scene.process, tie_in_of(scene)
    known = DEFAULTS["bead.aspect"]
    aspect = tuple(math.sqrt(ratio / known.value) for ratio in (known.low, known.high))
    return Spreads(
        common=_common(scene),
        shared=s.shared,
        height=s.height,
        along=s.along,
        along_length=s.along_length,
        width=s.width,
        bead_width=tuple(_width_error(scene, setting) for setting in layers),
        aspect=(1.0, 1.0) if scene.bead is not None else (aspect[0], aspect[1]),
        tie_in=tie_in.nominal,
        tie_in_spread=_tie_in_spread(scene, tie_in),
        gravity=s.gravity,
        pool_run=(
            p.pool_run
            if scene.update is None or scene.update.pool_run is None
            else scene.update.pool_run,
            s.pool_run,
        ),
        fusion=(p.depth_of_fusion, s.fusion),
        axes=(s.pre_bore_axis, s.torch_axis, s.finish_axis),
        crest=s.crest,
        seen=None if scene.update is None else _seen(scene.update),
        reading=s.reading if scene.readings is None else max(0.5 * scene.readings.error, s.reading),
        odd=unseen(scene),
        law=s.law,
        edge=s.edge,
        place=place,
    )


def spreads_in(job: Job) -> Spreads:
    """How far everything may stray in a job made ready, with its bore's place on the bar."""
    return spreads_of(job.scene, job.settings, job.place)


def _seen(known: FromReadings) -> Seen:
    """What is left to stray after readings, from the spreads and correlations kept in the scene."""
    seen = [column for column in COLUMNS if getattr(known, column.key) not in (None, ())]
    held = columns(*(column.key for column in seen))
    spread = np.array([value for column in seen for value in _left(known, column)])
    correlation = np.eye(len(held))
    correlation[np.tril_indices(len(held), -1)] = known.links
    correlation = np.tril(correlation) + np.tril(correlation, -1).T
    value, vector = np.linalg.eigh(correlation)
    rows = np.zeros((SEEN, SEEN))
    rows[np.ix_(held, held)] = spread[:, None] * vector * np.sqrt(np.maximum(value, 0.0))
    return Seen(known, tuple(map(tuple, rows.tolist())))


def _left(known: FromReadings, column: Column) -> list[float]:
    """Spreads left of what is told under a key of [update], as they are drawn."""
    spread = getattr(known, f"{column.key}_spread")
    if column.count > 1:
        return list(spread)
    return [spread / getattr(known, column.key) if column.relative else spread]


def unseen(scene: Scene) -> float:
    """Largest odd part [mm per side] of the wall that two-point readings cannot see; 0 where
    nothing is unseen.

    On average over the wall: metal does not grow, so no side holds more than all of the wear read
    there. Of a wall read after the pre-bore, the largest that it can be anywhere: a draw holds it
    to what was read place by place.
    """
    known = look(scene)
    if known is not None and known.bright:
        return 0.0
    patches = () if known is None else known.patches
    least = least_diameter(scene)
    return scene.spread.odd or _unseen(scene.readings, scene.bore.length, least, patches)


@lru_cache(16)
def _unseen(
    source: ReadingsSource | None, length: float, least: float, patches: tuple[PreBoreBlack, ...]
) -> float:
    if source is None or source.found.kind != "diameter":
        return 0.0
    wall = wall_from(source.found)
    worst = WorstUnseen(wall, least)
    clock = np.asarray((np.arange(72) + 0.5) * (TURN / 72.0), dtype=np.float64)[:, None]
    depth = np.linspace(0.0, length, 33)[None, :]
    if patches:
        at = [(patch.at, patch.depth) for patch in patches if patch.deep is None]
        clock, depth = np.array([one[0] for one in at]), np.array([one[1] for one in at])
    odd = worst.radius(clock, depth) - wall.radius(clock, depth)
    if not odd.size:
        return 0.0
    return float(odd.max() if source.of == PRE_BORED or patches else odd.mean())


def _common(scene: Scene) -> float:
    """Spread of the bead area of a layer; where the measured bead is believed, its own errors come
    on top.
    """
    plate = scene.bead
    if plate is None or area_factor(scene) == 1.0:
        return scene.spread.common
    return math.hypot(
        scene.spread.common, plate.width_error / plate.width, plate.height_error / plate.height
    )


def _tie_in_spread(scene: Scene, tie_in: TieIn) -> float | None:
    if not tie_in.measured:
        return None
    if scene.pad is None:
        return scene.spread.tie_in
    return max(abs(tie_in.nominal - tie_in.poorest), DEFAULTS["spread.tie_in"].low)


def _width_error(scene: Scene, setting: Setting) -> float:
    """Relative error of the bead width of a layer: as measured, and away from those settings by the
    law as well.

    The law's own spread is taken whole from a quarter more or less wire feed or travel on, in
    proportion before.
    """
    plate = scene.bead
    if plate is None:
        return 0.0
    return math.hypot(
        plate.width_error / plate.width, scene.spread.width_law * away_from_plate(scene, setting)
    )


def away_from_plate(scene: Scene, setting: Setting) -> float:
    """How far a layer's settings lie from those of the measured bead: 0 at them, 1 from a quarter
    away on.
    """
    plate = scene.bead
    if plate is None:
        return 1.0
    off = abs(math.log(setting.plan.wire_feed / plate.wire_feed)) + abs(
        math.log(setting.travel / plate.travel)
    )
    return min(off / math.log(1.25), 1.0)


def ways_of(layers: Sequence[Setting]) -> tuple[Way, ...]:
    """Turns and length along the wall of each layer."""
    return tuple(Way(s.path.turns, float(s.path.phi[-1]) * s.radius) for s in layers)
