"""No-weld areas and where to start again beside them; rotation table."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.job.dials import dial_of
from sim.job.scene import Scene
from sim.job.sections.weld import LayerPlan
from sim.laws.weld_positions import Position, positions
from sim.machine.layer_row import Kept, LayerSettings, Range, Restart, TurnRow, TurnTable
from sim.reference.arrays import TURN
from sim.reference.remarks import Remark
from sim.reference.units import INCH
from sim.set_up.layers import Setting


def areas_of(scene: Scene) -> list[Kept]:
    """No-weld areas, holes and keyways of a scene, plugged ones too, on the part's clock."""
    out = [
        Kept("no-weld area", False, (a.from_at, a.to_at), (a.from_depth, a.to_depth))
        for a in scene.no_weld
    ]
    radius = 0.5 * scene.bore.final_diameter
    for hole in scene.oil_hole:
        half = min(0.5 * hole.diameter / radius, math.pi)
        depths = (hole.depth - 0.5 * hole.diameter, hole.depth + 0.5 * hole.diameter)
        out.append(Kept("oil hole", hole.how == "plug", _clocks(hole.at, half), depths))
    for way in scene.keyway:
        half = 0.5 * way.width / radius
        out.append(
            Kept("keyway", way.how == "plug", _clocks(way.at, half), (way.from_depth, way.to_depth))
        )
    return out


def _clocks(at: float, half: float) -> Range:
    return (at - half) % TURN, (at + half) % TURN


def sector_of(s: Setting) -> tuple[Kept, ...]:
    """Where a layer over part of the clock has its arc off."""
    if s.plan.only_from is None or s.plan.only_to is None:
        return ()
    depths = (float(s.path.depth.min()), float(s.path.depth.max()))
    return (
        Kept(
            "outside the part of the clock to be laid",
            False,
            (s.plan.only_to, s.plan.only_from),
            depths,
        ),
    )


def positions_of(scene: Scene, s: Setting) -> tuple[Position, ...]:
    """Weld positions of a layer on the part's clock; of a layer over part of the clock, those it
    passes through.
    """
    found = positions(scene.bore.inclination, s.path.turning)
    if len(found) == 1:
        return found
    top = scene.bore.top
    turned = [
        Position(p.iso, p.aws, p.way, (p.start + top) % TURN, (p.end + top) % TURN) for p in found
    ]
    return tuple(p for p in turned if _passes(p, s.plan))


def _passes(position: Position, plan: LayerPlan) -> bool:
    """Tell whether a layer's part of the clock meets a position."""
    if plan.only_from is None or plan.only_to is None:
        return True
    laid, held = (plan.only_to - plan.only_from) % TURN, (position.end - position.start) % TURN
    return (position.start - plan.only_from) % TURN < laid or (
        plan.only_from - position.start
    ) % TURN < held


def restart_of(scene: Scene, s: Setting) -> Restart:
    """Where to strike again: on the run-out of the stop, so that the hump of the start lies on its
    taper.
    """
    length = scene.process.taper_length
    against = "counter-clockwise" if s.plan.turning == "clockwise" else "clockwise"
    return Restart(length, length / s.radius, Remark("strike again", against=against))


def tables_of(scene: Scene, rows: Sequence[LayerSettings]) -> list[TurnTable]:
    """A table of rotation against diameter for every travel speed of the job."""
    by_travel: dict[float, list[int]] = {}
    for row in rows:
        by_travel.setdefault(round(row.travel, 9), []).append(row.number)
    sizes = [size for row in rows for size in (*row.diameters, row.mean_after)]
    return [
        TurnTable(v, tuple(n), tuple(_turn_rows(scene, v, min(sizes), max(sizes))))
        for v, n in by_travel.items()
    ]


def _turn_rows(scene: Scene, travel: float, low: float, high: float) -> list[TurnRow]:
    """Lines at round diameters from the largest the job passes through to the smallest."""
    steps = (
        (0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0)
        if scene.job.units == "in"
        else (0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
    )
    unit = INCH if scene.job.units == "in" else 1.0
    step = next(
        (one * unit for one in steps if (high - low) / (one * unit) <= 14.0), steps[-1] * unit
    )
    table, out = dial_of(scene.dial, "rotation"), []
    for k in range(math.ceil(high / step - 1e-9), math.floor(low / step + 1e-9) - 1, -1):
        rotation = 2.0 * travel / (k * step)
        out.append(
            TurnRow(
                k * step,
                rotation,
                TURN / rotation,
                None if table is None else table.mark_for(rotation),
            )
        )
    return out
