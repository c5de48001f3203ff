"""Many draws of one job laid together, for searches: their columns stand side by side in one wall.

The same engine on the same values as one draw at a time (`outcome`), on a clock that does not
change from plan to plan, so that the walls the draws start from are made once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sim.bore.cylinders import shift
from sim.bore.kernels.distance import extreme_draws
from sim.bore.kernels.lay import CLOSED, OVERFLOW, lay_draws
from sim.bore.stock import all_finite, clock_errors, judged_columns, judged_spans
from sim.bore.wall import Clock, Wall, over_columns
from sim.job.scene import Scene
from sim.job.sections.weld import LayerPlan
from sim.laws.edge_slump import lost
from sim.plan.odds.draws import (
    NODES,
    Draw,
    Way,
    bead_noise,
    draw_without_beads,
    nodes_along,
)
from sim.plan.odds.one_draw import axes_drawn, conditions_drawn, radius_drawn
from sim.plan.odds.spreads import Spreads
from sim.plan.odds.spreads_of_job import spreads_in, spreads_of
from sim.reference.arrays import TURN, Array, Counts
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import AxesOf, unjudged
from sim.set_up.layers import Setting
from sim.set_up.layers import settings as layers_settings
from sim.shop.bored_clean import StartMap
from sim.shop.ready_to_lay import Job, all_events, edge_spans

ROOM_FOR_NOISE = 30_000_000  # numbers kept: longer beads are drawn anew each time


NOMINAL = -1  # the draw in which nothing strays


@dataclass(frozen=True)
class Standing:
    """Walls side by side after so many layers: `place` (n,) in the list of draws asked for, and the
    draws.
    """

    layers: int
    wall: Wall
    place: Counts
    drawn: list[Draw]

    def of(self, rows: Counts, columns: int) -> Wall:
        """The walls of some of the draws, by row."""
        at = (np.asarray(rows)[:, None] * columns + np.arange(columns)).ravel()
        clock = Clock(self.wall.clock.angle[at], self.wall.clock.span[at])
        return Wall(clock, self.wall.knots[at], self.wall.coef[at], self.wall.count[at])

    def volumes(self, columns: int, length: float) -> Array:
        """Volume inside the wall per draw (n,) [mm3] from face to face."""
        square = self.wall.integrals(0.0, length)[:, 1].reshape(-1, columns)
        return np.asarray(0.5 * square @ self.wall.clock.span[:columns])


@dataclass(frozen=True)
class ManyDraws:
    """Walls that `draws` start from, columns of draw after draw, and what was drawn for beads.

    job: a job with that wall; starts: knots, coef, count; shifts (draws + 1, 4): torch axis less
    finish axis. The last is the nominal wall: `NOMINAL`. once: laid once, so that no bead noise is
    worth keeping.
    """

    job: Job
    clock: Clock
    draws: tuple[int, ...]
    starts: tuple[Array, Array, Counts]
    shifts: Array
    spans: Array
    once: bool = False
    _noise: dict[int, tuple[Array, Array, Array]] = field(default_factory=dict)
    _held: list[tuple[tuple[LayerPlan, ...], Standing]] = field(default_factory=list)

    @classmethod
    def of(
        cls,
        job: Job,
        clock: Clock,
        draws: Sequence[int],
        *,
        held: tuple[float, float],
        once: bool = False,
    ) -> ManyDraws:
        """Start walls of some draws (ascending) on a clock, between the depths `held` [mm]."""
        scene, bore, spreads = job.scene, job.scene.bore, spreads_in(job)
        drawn = [
            _scalars(spreads, len(job.settings), scene.confidence.seed, k)
            for k in (*draws, NOMINAL)
        ]
        axes = [axes_drawn(job, one) for one in drawn]
        start = starts_drawn(job, drawn, axes, job.read_on(clock, held))
        shifts = np.array([shift(one.torch, one.finish) for one in axes])
        spans = judged_spans(
            clock, bore.chamfer_entry, bore.length - bore.chamfer_far, unjudged(scene)
        )
        return cls(job, clock, tuple(draws), start.pieces, shifts, np.array(spans), once)

    def rows(self, indices: Sequence[int] | Counts) -> Counts:
        """Where the draws named stand among those held, (n,)."""
        at = np.searchsorted(self.draws, np.asarray(indices))
        return np.where(np.asarray(indices) == NOMINAL, len(self.draws), at)

    def least(self, scene: Scene, indices: Sequence[int]) -> Array:
        """Least stock per side [mm] of the draws named of a scene with the same start wall; nan
        where the bore closes.

        Raises SceneError when the scene cannot be laid at all.
        """
        last = None
        for standing in self.after_layers(scene, indices):
            last = standing
        return (
            np.full(len(indices), math.nan)
            if last is None
            else self.judged(scene, last, len(indices))
        )

    def after_layers(self, scene: Scene, indices: Sequence[int]) -> Iterator[Standing]:
        """The walls of the draws named after each layer in turn, of those whose bore is not closed;
        layers held are passed over.

        Raises SceneError when the scene cannot be laid at all.
        """
        settings = layers_settings(scene, self.job.radius)
        for setting in settings:
            self._refuse_wide(setting)
        spreads = spreads_of(scene, settings, self.job.place)
        alive = np.asarray(indices, dtype=np.int64)
        drawn = [_scalars(spreads, len(settings), scene.confidence.seed, int(k)) for k in alive]
        done, wall, place = self._begin(scene, alive)
        for number, setting in enumerate(settings[done:], done):
            wall, fine = self._laid(
                scene, setting, number, wall, [drawn[p] for p in place], spreads
            )
            place = place[fine]
            if not len(place):
                return
            yield Standing(number + 1, wall, place, [drawn[p] for p in place])

    def _refuse_wide(self, setting: Setting) -> None:
        """Refuse a bead whose pool could run off the wall held. Raises SceneError."""
        reach = 2.5 * setting.bead.width + 1.5
        low, high = float(self.starts[0][0, 0]), float(self.starts[0][0, self.starts[2][0]])
        if (
            setting.path.depth.min() - reach < low - 1e-6
            or setting.path.depth.max() + reach > high + 1e-6
        ):
            raise SceneError(
                f"a bead of {setting.bead.width:.1f} mm reaches farther past the faces than "
                "the search allows for."
            )

    def _start(self, indices: Counts) -> Wall:
        """The start walls of the draws named, side by side."""
        n = len(self.clock.angle)
        rows = (self.rows(indices)[:, None] * n + np.arange(n)).ravel()
        knots, coef, count = self.starts
        clock = Clock(
            np.tile(self.clock.angle, len(indices)), np.tile(self.clock.span, len(indices))
        )
        return Wall(clock, knots[rows], coef[rows], count[rows])

    def _laid(
        self,
        scene: Scene,
        setting: Setting,
        number: int,
        wall: Wall,
        drawn: list[Draw],
        spreads: Spreads,
    ) -> tuple[Wall, Array]:
        """A layer on the walls of these draws, and which of them did not close."""
        n, draws = len(self.clock.angle), len(drawn)
        area = np.array([d.area[number] for d in drawn])
        width = np.array([d.width[number] for d in drawn])
        conditions = [conditions_drawn(scene, setting, d) for d in drawn]
        square = wall.integrals(wall.start, wall.end)[:, 1].reshape(draws, n) @ self.clock.span
        radius = np.sqrt(square / (TURN * (wall.end - wall.start)))
        q, w = np.empty((draws, n)), np.empty((draws, n))
        for k, c in enumerate(conditions):
            q[k] = setting.q * area[k] * c.volume(self.clock.angle, radius[k])
            w[k] = setting.bead.width * width[k] * c.width(self.clock.angle, setting.path.turning)
        height = setting.bead.height * area / width
        each = np.array([c.rules(h, r) for c, h, r in zip(conditions, height, radius, strict=True)])
        noise = self._noise_of(spreads, setting, number, [d.index for d in drawn])
        step = spreads.along_length / NODES / setting.radius
        return _lay(wall, setting, (q.ravel(), w.ravel(), each), (*noise, step), draws)

    def _noise_of(
        self, spreads: Spreads, setting: Setting, number: int, indices: list[int]
    ) -> tuple[Array, Array, Array]:
        """Bead noise of a layer, a row a draw; kept from plan to plan, since a longer bead begins
        like a shorter one.
        """
        way = Way(setting.path.turns, float(setting.path.phi[-1]) * setting.radius)
        turns, nodes = int(way.turns) + 2, nodes_along(spreads, way) if spreads.along else 1
        kept = self._noise.get(number)
        if kept is None or kept[0].shape[1] < turns or kept[2].shape[1] < nodes:
            longer = Way(1.25 * way.turns, 1.25 * way.length)
            room = len(self.draws) * nodes_along(spreads, longer) * (1 + number)
            if self.once or room > ROOM_FOR_NOISE:
                return _rows(spreads, way, self.job.scene.confidence.seed, number, indices)
            kept = _rows(
                spreads, longer, self.job.scene.confidence.seed, number, [*self.draws, NOMINAL]
            )
            self._noise[number] = kept
        q_turn, w_turn, along = kept
        rows = self.rows(indices)
        return q_turn[rows, :turns].copy(), w_turn[rows, :turns].copy(), along[rows, :nodes].copy()

    def hold(self, scene: Scene) -> None:
        """Keep the walls of every draw after all layers of a scene: scenes with the same ones and
        more go on from there.
        """
        for standing in self.after_layers(scene, [*self.draws, NOMINAL]):
            if standing.layers == len(scene.layers):
                self._held.append((tuple(scene.layers), standing))

    def _begin(self, scene: Scene, indices: Counts) -> tuple[int, Wall, Counts]:
        """Layers that need not be laid again, the walls of the draws named after them, and which
        draws these are.
        """
        plans = tuple(scene.layers)
        held = next(
            (s for kept, s in self._held if plans[: len(kept)] == kept and len(plans) > len(kept)),
            None,
        )
        if held is None:
            return 0, self._start(indices), np.arange(len(indices))
        row = np.full(len(self.draws) + 1, -1)
        row[held.place] = np.arange(len(held.place))
        found = row[self.rows(indices)]
        place = np.flatnonzero(found >= 0)
        return held.layers, held.of(found[place], len(self.clock.angle)), place

    def scalars(self, scene: Scene, indices: Sequence[int]) -> list[Draw]:
        """The draws named without their bead noise."""
        settings = layers_settings(scene, self.job.radius)
        spreads = spreads_of(scene, settings, self.job.place)
        return [_scalars(spreads, len(settings), scene.confidence.seed, int(k)) for k in indices]

    def start_volume(self, index: int) -> float:
        """Volume inside the wall [mm3] that a draw starts from, from face to face."""
        standing = Standing(0, self._start(np.array([index])), np.zeros(1, dtype=np.int64), [])
        return float(standing.volumes(len(self.clock.angle), self.job.scene.bore.length)[0])

    def judged(self, scene: Scene, standing: Standing, draws: int) -> Array:
        """Least stock per side [mm] (draws,) of walls as they stand after the last layer; nan where
        the bore closed.
        """
        out = np.full(draws, math.nan)
        settings = layers_settings(scene, self.job.radius)
        if standing.layers == len(settings):
            out[standing.place] = self._judged(scene, settings, standing.wall, standing.drawn)
        return out

    def looked(self, scene: Scene, indices: Sequence[int]) -> tuple[Array, Array]:
        """As `least`, and how much lower [mm] each may lie than the columns show."""
        least, error = np.full(len(indices), math.nan), np.zeros(len(indices))
        settings = layers_settings(scene, self.job.radius)
        for standing in self.after_layers(scene, indices):
            if standing.layers == len(settings):
                value = self._by_column(scene, settings, standing.wall, standing.drawn)
                least[standing.place] = np.nanmin(value, axis=1)
                error[standing.place] = clock_errors(value, self.clock, all_events(scene, settings))
        return least, error

    def _judged(
        self, scene: Scene, settings: list[Setting], wall: Wall, drawn: list[Draw]
    ) -> Array:
        """Least stock per side [mm] of each draw."""
        return np.asarray(np.nanmin(self._by_column(scene, settings, wall, drawn), axis=1))

    def _by_column(
        self, scene: Scene, settings: list[Setting], wall: Wall, drawn: list[Draw]
    ) -> Array:
        """Least stock per side [mm] of each draw and column (draws, n_clock); nan where nothing is
        judged.
        """
        law, edge = (
            np.array([d.law for d in drawn])[:, None],
            np.array([d.edge for d in drawn])[:, None],
        )
        least = self._as_laid(wall, drawn, self.spans) - law
        edges = edge_spans(scene, self.spans, settings[-1])
        if edge.any() and edges is not None and (edges[:, :, 1] > edges[:, :, 0]).any():
            slumped = lost(edge, len(settings))
            least = np.fmin(least, self._as_laid(wall, drawn, edges) - law - slumped)
        return np.asarray(least)

    def _as_laid(self, wall: Wall, drawn: list[Draw], spans: Array) -> Array:
        """Least stock per side [mm] of each draw and column as laid, within `spans` (n_clock, k,
        2).
        """
        draws, n = len(drawn), len(self.clock.angle)
        shifts = self.shifts[self.rows([d.index for d in drawn])]
        out = np.empty((draws * n, 2))
        over_columns(
            extreme_draws,
            draws,
            wall.clock.angle,
            *wall.pieces,
            shifts,
            np.tile(spans, (draws, 1, 1)),
            out,
        )
        farthest = out[:, 0].reshape(draws, n)
        all_finite(farthest[:, judged_columns(spans)])
        return np.asarray(self.job.finish.radius - farthest)


def starts_drawn(job: Job, drawn: Sequence[Draw], axes: Sequence[AxesOf], read: StartMap) -> Wall:
    """The walls of these draws before welding side by side, each as `start_drawn` makes it."""
    angle, depth = read.clock.angle, read.depth
    radius = np.array(
        [radius_drawn(job, one, where, read) for one, where in zip(drawn, axes, strict=True)]
    )
    clock = Clock(np.tile(angle, len(drawn)), np.tile(read.clock.span, len(drawn)))
    return Wall.from_radius(clock, depth, radius.reshape(-1, len(depth)), tolerance=1e-3)


def _scalars(spreads: Spreads, layers: int, seed: int, index: int) -> Draw:
    """A draw without its bead noise."""
    if index == NOMINAL:
        nominal = draw_without_beads(spreads.off(), layers, seed, 0)
        return replace(nominal, index=NOMINAL)
    return draw_without_beads(spreads, layers, seed, index)


def _rows(
    spreads: Spreads, way: Way, seed: int, number: int, indices: Sequence[int]
) -> tuple[Array, Array, Array]:
    """Bead noise of the draws named, a row each; none for `NOMINAL`."""
    turns, nodes = int(way.turns) + 2, nodes_along(spreads, way) if spreads.along else 1
    q_turn, w_turn, along = (
        np.ones((len(indices), turns)),
        np.ones((len(indices), turns)),
        np.ones((len(indices), nodes)),
    )
    for row, k in enumerate(indices):
        if k != NOMINAL:
            bead = bead_noise(spreads, way, seed, k, number)
            q_turn[row], w_turn[row], along[row] = bead.q_turn, bead.w_turn, bead.q_along
    return q_turn, w_turn, along


def _lay(
    wall: Wall,
    setting: Setting,
    bead: tuple[Array, Array, Array],
    noise: tuple[Array, Array, Array, float],
    draws: int,
) -> tuple[Wall, Array]:
    """Lay on every draw's columns; the walls that did not close, and which they are."""
    passes = int(setting.path.turns) + 1
    n, rows = len(wall.count) // draws, len(wall.count)
    room = wall.coef.shape[1] + 2 * passes + 16
    while True:
        out = (
            np.empty((rows, room + 1)), np.empty((rows, room, 3)), np.zeros(rows, dtype=np.int64),
            np.empty((rows, passes)), np.zeros(rows, dtype=np.int64), np.zeros(rows, dtype=np.int64),
        )  # fmt: skip
        over_columns(
            lay_draws, draws, wall.clock.angle, *wall.pieces, setting.path.kernel, bead, noise, out
        )
        knots, coef, count, _, status, _ = out
        if not (status == OVERFLOW).any():
            break
        room *= 2
    fine = ~(status == CLOSED).reshape(draws, n).any(axis=1)
    keep = np.repeat(fine, n)
    most = int(count.max()) if fine.any() else 1
    clock = wall.clock if fine.all() else Clock(wall.clock.angle[keep], wall.clock.span[keep])
    if fine.all():
        return Wall(clock, knots[:, : most + 1].copy(), coef[:, :most].copy(), count), fine
    return Wall(clock, knots[keep, : most + 1], coef[keep, :most], count[keep]), fine
