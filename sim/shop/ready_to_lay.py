"""A scene as the engine takes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from sim.bore.cylinders import Bored, Shape, about
from sim.bore.stock import judged_spans
from sim.bore.wall import Clock, Wall
from sim.job.checks import final_limits
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER
from sim.reference.arrays import Array, frozen
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up import layers
from sim.set_up.axes_and_areas import ALONE, AxesOf, Place, axes_of, unjudged
from sim.set_up.bead import TieIn, tie_in_of
from sim.set_up.layers import Setting, clock_events, wall_limits
from sim.shop.as_worn import shape_of
from sim.shop.bored_clean import few_nodes, pre_bored, start_wall

if TYPE_CHECKING:
    from sim.plan.odds.one_draw import StartMap


@dataclass(frozen=True)
class Job:
    """A job ready to lay: everything that no draw changes.

    radius: mean wall radius before the first layer [mm]; spans (n_clock, k, 2): depths judged per
    column [mm]; place: of
    the bore on its bar.
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
        return few_nodes(shape_of(self.scene), pre_bored(self.scene), self.scene.bore.length)

    @cached_property
    def edges(self) -> Array | None:
        """Depths judged at free edges (n_clock, k, 2) [mm], see `edge_spans`."""
        from sim.plan.odds.one_draw import edge_spans

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
        from sim.plan.odds.one_draw import StartMap

        depth = np.unique(np.concatenate([self.nodes, held]))
        radius = about(shape_of(self.scene), clock.angle, depth, self.axes.torch)
        return StartMap(clock, frozen(depth), frozen(radius))

    def same_start(self, scene: Scene) -> bool:
        """Tell whether another scene begins with the same wall."""
        mine = self.scene
        return all(
            getattr(mine, part) == getattr(scene, part)
            for part in (
                "bore",
                "worn",
                "readings",
                "gouge",
                "groove",
                "pre_bore",
                "axes",
                "update",
            )
        )


def made_ready(
    scene: Scene,
    columns: int,
    like: Job | None = None,
    *,
    worn: Shape | None = None,
    place: Place = ALONE,
) -> Job:
    """A scene as the engine takes it, on a given clock. Raises SceneError when it cannot be laid.

    like: a job that begins with the same wall, for searches: what is known of that wall is used
    again, on a few nodes.
    worn: another worn wall than the scene's; place: of the bore on its bar, for draws.
    """
    axes = axes_of(scene)
    shape, pre_bore = worn or shape_of(scene), pre_bored(scene)
    length = scene.bore.length
    if like is not None and like.same_start(scene):
        nodes, radius = like.nodes, like.radius
    else:
        rough = start_wall(shape, Clock.even(90), axes.torch, pre_bore, start=0.0, end=length)
        nodes, radius = None, rough.mean_radius(0.0, length)
    settings = layers.settings(scene, radius)
    _check_size(settings, columns)
    low, high = wall_limits(settings, length)
    clock = Clock.even(columns, clock_events(settings))
    start = start_wall(shape, clock, axes.torch, pre_bore, start=low, end=high, nodes=nodes)
    bore = scene.bore
    finish = Bored(axes.finish, 0.5 * final_limits(bore)[0])
    spans = judged_spans(clock, bore.chamfer_entry, bore.length - bore.chamfer_far, unjudged(scene))
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
