"""A scene as the engine takes it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis, polar
from sim.bore.cylinders import Bored, Shape, about, ray_to
from sim.bore.stock import judged_columns, judged_spans
from sim.bore.wall import Clock, Wall
from sim.job.checks import final_limits
from sim.job.looked import look, read_after
from sim.job.on_bar import alone
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER
from sim.laws.edge_slump import REACH
from sim.reference.arrays import TURN, Array, frozen
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import ALONE, AxesOf, Place, axes_of, holes, unjudged
from sim.set_up.bead import TieIn, tie_in_of
from sim.set_up.layers import Setting, clock_events, wall_limits
from sim.set_up.layers import settings as layers_settings
from sim.shop.as_worn import shape_of, worst_unseen
from sim.shop.bored_clean import Mark, StartMap, few_nodes, pre_bored, start_wall


def marks(scene: Scene) -> list[Mark]:
    """Edges, flanks and floor of every gouge; edges and middle of every black patch."""
    around, out = 0.5 * scene.worn.diameter, []
    for gouge in scene.gouge:
        half = min(0.5 * gouge.width / around, math.pi)
        for part in (-1.0, -0.5, 0.0, 0.5, 1.0):
            deep = gouge.deep * math.cos(0.5 * math.pi * part) ** 2
            out.append(Mark(gouge.at + part * half, around + deep, gouge.depth))
    known = look(scene)
    if known is not None:
        for patch in known.patches:
            half = min(0.5 * patch.across / known.around, math.pi)
            out += [
                Mark(patch.at + part * half, known.around, patch.depth) for part in (-1.0, 0.0, 1.0)
            ]
    return out


def clock_marks(scene: Scene) -> Array:
    """Clock angles [rad] about the torch axis that need columns of their own, however many the
    clock has.

    Edges, flanks and floors of gouges; edges and middles of holes, keyways and areas not judged.
    """
    torch = axes_of(scene).torch
    out = []
    for one in marks(scene):
        (x0, y0), (x, y) = torch.at(one.depth), polar(one.radius, one.clock)
        out.append(math.atan2(x - float(x0), -(y - float(y0))))
    for area in [*holes(scene, arc_stops=True), *unjudged(scene)]:
        width = float(np.mod(area.clock[1] - area.clock[0], TURN)) or TURN
        out += [area.clock[0], area.clock[0] + 0.5 * width, area.clock[1]]
    return np.array(out)


def all_events(scene: Scene, layers: Sequence[Setting]) -> Array:
    """Every clock angle [rad] that has columns just before and just after it: `clock_events` and
    `clock_marks`.
    """
    return np.concatenate([clock_events(layers), clock_marks(scene)])


def edge_spans(scene: Scene, spans: Array, last: Setting) -> Array | None:
    """The parts of `spans` within half a bead of a face without a run-off ring; None where both
    faces have one.
    """
    half, length = REACH * last.bead.width, scene.bore.length
    zones = [
        zone
        for zone, ring in (
            ((0.0, half), scene.run_off.entry),
            ((length - half, length), scene.run_off.far),
        )
        if not ring
    ]
    return np.concatenate([np.clip(spans, *zone) for zone in zones], axis=1) if zones else None


@dataclass(frozen=True)
class Job:
    """A job ready to lay: everything that no draw changes.

    radius: mean wall radius before the first layer [mm]; spans (n_clock, k, 2): depths judged per
    column [mm]; place: of the bore on its bar.
    """

    scene: Scene
    axes: AxesOf
    tie_in: TieIn
    settings: list[Setting]
    radius: float
    start: Wall
    finish: Bored
    spans: Array
    few: Array | None = None
    place: Place = ALONE

    @cached_property
    def nodes(self) -> Array:
        """Depths [mm] enough for the wall a draw starts from."""
        if self.few is not None:
            return self.few
        scene, known = self.scene, look(self.scene)
        few = few_nodes(shape_of(scene), pre_bored(scene), scene.bore.length, marks=marks(scene))
        if known is None or known.bright:
            return few
        return np.unique(np.concatenate([few, np.clip(known.nodes, 0.0, scene.bore.length)]))

    @cached_property
    def edges(self) -> Array | None:
        """Depths judged at free edges (n_clock, k, 2) [mm], see `edge_spans`."""
        return edge_spans(self.scene, self.spans, self.settings[-1])

    @cached_property
    def read(self) -> StartMap:
        """The worn wall on this job's clock, as far as `held`."""
        return self.read_on(self.start.clock, self.held)

    @property
    def held(self) -> tuple[float, float]:
        """Depths [mm] from and to that a draw's wall holds: as far as the widest bead drawn may
        reach.
        """
        wide = 4.0 * max(s.bead.width for s in self.settings)
        return self.start.start - wide, self.start.end + wide

    def read_on(self, clock: Clock, held: tuple[float, float]) -> StartMap:
        """The worn wall as read, before any pre-bore, on a few depths between `held` [mm]."""
        depth = np.unique(np.concatenate([self.nodes, held]))
        scene, torch = self.scene, self.axes.torch
        radius = about(shape_of(scene), clock.angle, depth, torch)
        stands, room = None, None
        if look(scene) is not None and not read_after(scene):
            stands = _may_stand(scene, clock.angle, depth, radius, torch)
        worst = worst_unseen(scene) if look(scene) is not None or read_after(scene) else None
        if worst is not None:
            room = np.maximum(about(worst, clock.angle, depth, torch) - radius, 0.0)
        return StartMap(clock, frozen(depth), frozen(radius), stands, room)

    def same_start(self, scene: Scene) -> bool:
        """Tell whether another scene begins with the same wall."""
        mine = self.scene
        return all(getattr(mine, part) == getattr(scene, part) for part in SAME_START)


SAME_START = (
    "bore",
    "worn",
    "readings",
    "gouge",
    "groove",
    "pre_bore",
    "pre_bore_black",
    "axes",
    "update",
)


def _may_stand(
    scene: Scene, clock: Array, depth: Array, radius: Array, torch: Axis
) -> NDArray[np.bool_]:
    """Where worn metal may stand outside the pre-bore: where black was left, or where the sizes
    given say so after all.
    """
    known, cut = look(scene), pre_bored(scene)
    if known is None or cut is None:
        return np.ones(radius.shape, dtype=bool)
    x0, y0 = torch.at(depth)
    x, y = x0 + radius * np.sin(clock)[:, None], y0 - radius * np.cos(clock)[:, None]
    black = known.black(np.arctan2(x, -y), np.broadcast_to(depth, radius.shape))
    return np.asarray(black | (radius > ray_to(cut, clock, depth, torch) + 1e-6))


def made_ready(
    scene: Scene,
    columns: int,
    like: Job | None = None,
    *,
    worn: Shape | None = None,
    place: Place = ALONE,
) -> Job:
    """A scene as the engine takes it, on a given clock; of a bar the first bore.

    Raises SceneError when it cannot be laid.

    like: a job that begins with the same wall, for searches: what is known of that wall is used
    again, on a few nodes. worn: another worn wall than the scene's; place: of the bore on its bar,
    for draws.
    """
    scene = alone(scene)
    axes = axes_of(scene)
    shape, pre_bore = worn or shape_of(scene), pre_bored(scene)
    length = scene.bore.length
    if like is not None and like.same_start(scene):
        nodes, radius = like.nodes, like.radius
    else:
        rough = start_wall(
            shape,
            Clock.even(90, clock_marks(scene)),
            axes.torch,
            pre_bore,
            start=0.0,
            end=length,
        )
        nodes, radius = None, rough.mean_radius(0.0, length)
    settings = layers_settings(scene, radius)
    _check_size(settings, columns)
    low, high = wall_limits(settings, length)
    clock = Clock.even(columns, all_events(scene, settings))
    start = start_wall(shape, clock, axes.torch, pre_bore, start=low, end=high, nodes=nodes)
    bore = scene.bore
    finish = Bored(axes.finish, 0.5 * final_limits(bore)[0])
    spans = judged_spans(clock, bore.chamfer_entry, bore.length - bore.chamfer_far, unjudged(scene))
    if not judged_columns(spans).any():
        raise SceneError(
            "nothing of the bore is judged: chamfers, holes and areas not judged leave no wall "
            "between them; make them smaller."
        )
    return Job(scene, axes, tie_in_of(scene), settings, radius, start, finish, spans, nodes, place)


def cut_before(scene: Scene) -> int:
    """Number of the layer before which the finish cut was taken (a local weld), 0 when none follows
    it.
    """
    done = scene.job.layers_done
    return done + 1 if scene.job.stage == AFTER and done < len(scene.layers) else 0


def _check_size(settings: Sequence[Setting], columns: int) -> None:
    beads = sum(s.path.turns for s in settings) * columns
    if beads > default("limit.beads"):
        raise SceneError(
            f"job of {len(settings)} layers, {sum(s.path.turns for s in settings):.0f} turns "
            f"at {columns} columns: "
            f"about {beads * 32 * 3 / 1e9:.0f} GB of sections, too large to hold; use a "
            "coarser [grid] columns or pitch."
        )


def closed(number: int) -> SceneError:
    """What to say when a layer does not fit into the bore."""
    return SceneError(
        f"layer {number}: closes the bore: the metal does not fit into what is left of it; "
        "lay fewer layers or a smaller bead."
    )
