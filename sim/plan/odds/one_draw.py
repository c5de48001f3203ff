"""One draw of a job, laid and judged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, bored, ray_to
from sim.bore.lay import BoreClosed, Conditions, Laid, lay
from sim.bore.stock import Worst, least_of_parts
from sim.bore.wall import Wall
from sim.job.looked import read_after
from sim.job.scene import Scene
from sim.laws import edge_slump
from sim.laws.bead_shape import Bead
from sim.plan.odds.draws import Draw
from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import AxesOf
from sim.set_up.layers import Setting, conditions
from sim.shop.bored_clean import StartMap, pre_bored
from sim.shop.finish import still_black
from sim.shop.ready_to_lay import Job, closed, cut_before, edge_spans


def conditions_drawn(scene: Scene, setting: Setting, drawn: Draw) -> Conditions:
    """What rules every bead of a layer as a draw has it."""
    c = conditions(scene, setting, drawn.tie_in)
    return replace(
        c, gravity=c.gravity * drawn.gravity, pool_run=drawn.pool_run, fusion=drawn.fusion
    )


@dataclass(frozen=True)
class Outcome:
    """One draw laid and judged: least stock per side per column and in all [mm], and the wall it
    was read on.

    parts: finish cylinders with the depths judged against each, tighter where the draw leaves less
    than the engine finds: everywhere, and at free edges.
    """

    least: Worst
    wall: Wall
    torch: Axis
    parts: tuple[tuple[Bored, Array], ...]


def outcome(job: Job, drawn: Draw) -> Outcome:
    """The job as one draw makes it turn out: the same engine on the values drawn.

    The machine runs as planned: way and rotation are those of the job, whatever the draw. Raises
    SceneError when the metal drawn closes the bore.
    """
    axes = axes_drawn(job, drawn)
    *_, (wall, spans) = walls(job, drawn, axes)
    return came_out(job, drawn, axes, wall, spans)


def came_out(job: Job, drawn: Draw, axes: AxesOf, wall: Wall, spans: Array) -> Outcome:
    """One draw judged on its last wall, over the depths `spans` (n_clock, k, 2) [mm]."""
    parts = [(Bored(axes.finish, job.finish.radius - drawn.law), spans)]
    edges = job.edges if spans is job.spans else edge_spans(job.scene, spans, job.settings[-1])
    if drawn.edge and edges is not None:
        lost = drawn.law + edge_slump.lost(drawn.edge, len(job.settings))
        parts.append((Bored(axes.finish, job.finish.radius - lost), edges))
    return Outcome(least_of_parts(wall, axes.torch, parts), wall, axes.torch, tuple(parts))


def walls(job: Job, drawn: Draw, axes: AxesOf) -> Iterator[tuple[Wall, Array]]:
    """The wall before welding and after every layer as a draw has it, each with the depths judged
    then (n_clock, spans, 2) [mm].
    """
    wall = job.start if drawn.nominal else start_drawn(job, drawn, axes, job.read)
    spans = job.spans
    yield wall, spans
    for number, setting in enumerate(job.settings, 1):
        if cut_before(job.scene) == number:
            cut = Bored(axes.finish, job.finish.radius)
            spans = still_black(wall, cut, axes.torch, spans)
            wall = bored(wall, cut, axes.torch)
        wall = _lay_drawn(job, wall, setting, drawn, number).wall
        yield wall, spans


def axes_drawn(job: Job, drawn: Draw) -> AxesOf:
    """The axes as a draw has them; where no finish axis is given it is the pre-bore axis, and
    strays with it.
    """
    given = job.scene.axes
    follows = (given.finish_entry is None, given.finish_far is None)
    return AxesOf(
        drawn.moved(0, job.axes.pre_bore),
        drawn.moved(1, job.axes.torch),
        drawn.moved(2, job.axes.finish, follows),
    )


def start_drawn(job: Job, drawn: Draw, axes: AxesOf, read: StartMap) -> Wall:
    """The wall before welding as a draw has it, on the clock and depths of the wall as read.

    The worn wall is moved against the torch axis to first order, and one gauged after the pre-bore
    with the pre-bore axis it was gauged in: the torch is off by tenths of a millimetre, which
    leaves some micrometres on the flanks of a gouge, and nothing on a round wall. Knots are dropped
    to a micrometre.
    """
    radius = radius_drawn(job, drawn, axes, read)
    return Wall.from_radius(read.clock, read.depth, radius, tolerance=1e-3)


def radius_drawn(job: Job, drawn: Draw, axes: AxesOf, read: StartMap) -> Array:
    """Radius [mm] of the wall a draw starts from about its torch axis, (n_clock, n_depth)."""
    scene, angle = job.scene, read.clock.angle
    (x1, y1), (x0, y0) = axes.torch.at(read.depth), job.axes.torch.at(read.depth)
    toward = np.sin(angle)[:, None] * (x1 - x0) - np.cos(angle)[:, None] * (y1 - y0)
    radius = read.radius + _grown(read, drawn, outward=not read_after(scene)) - toward
    if read_after(scene) and scene.readings is not None and scene.readings.found.kind == "diameter":
        (x1, y1), (x0, y0) = axes.pre_bore.at(read.depth), job.axes.pre_bore.at(read.depth)
        radius = radius + np.sin(angle)[:, None] * (x1 - x0) - np.cos(angle)[:, None] * (y1 - y0)
    nominal = pre_bored(scene)
    if nominal is not None:
        cut = ray_to(
            Bored(axes.pre_bore, nominal.radius + drawn.size), angle, read.depth, axes.torch
        )
        radius = np.maximum(
            radius if read.stands is None else np.where(read.stands, radius, cut), cut
        )
    return np.asarray(radius)


def _grown(read: StartMap, drawn: Draw, *, outward: bool) -> Array:
    """How much larger [mm per side] a draw has the worn wall, within the room there is; black
    stands outward only.
    """
    if read.room is None:
        return drawn.grown(read.clock.angle)[:, None]
    odd = drawn.grown(read.clock.angle)[:, None] - drawn.size
    return np.asarray(drawn.size + np.clip(np.abs(odd) if outward else odd, -read.room, read.room))


def _lay_drawn(job: Job, wall: Wall, setting: Setting, drawn: Draw, number: int) -> Laid:
    k = number - 1
    area, width = float(drawn.area[k]), float(drawn.width[k])
    bead = Bead.of_area(setting.bead.area * area, width=setting.bead.width * width)
    ruled = conditions_drawn(job.scene, setting, drawn)
    try:
        noise = drawn.beads[k].on(setting.radius)
        return lay(wall, setting.path, bead, setting.q * area, ruled, noise=noise)
    except BoreClosed:
        raise closed(number) from None
