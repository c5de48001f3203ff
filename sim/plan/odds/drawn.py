"""Draws of all bores of a job: laid on few columns, and again on more where it matters."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bore.stock import clock_error
from sim.job.scene import Scene
from sim.plan.many_cases import in_order
from sim.plan.odds.draws import draw
from sim.plan.odds.many_draws import ManyDraws
from sim.plan.odds.one_draw import outcome
from sim.plan.odds.spreads_of_job import spreads_in, ways_of
from sim.reference.arrays import Array
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import Place
from sim.shop.ready_to_lay import Job, all_events, cut_before, made_ready
from sim.shop.run import clock_columns

BLOCK = 25  # draws of one bore computed as one case


COLUMNS = 120  # clock columns a draw is first laid on


BOUND, LIKELY, LEFT = 1.5, 0.2, 0.003
"""A draw on few columns is off by at most, and usually by, this many times its own clock-step
error, and by this [mm] either way: measured on every shipped scene against twice the columns of its
result."""


@dataclass(frozen=True)
class BoreReady:
    """A bore of the job made ready for draws on a coarse clock and on that of its result."""

    scene: Scene
    place: Place

    @cached_property
    def fine(self) -> Job:
        """On the columns of its result."""
        return made_ready(self.scene, clock_columns(self.scene), place=self.place)

    @cached_property
    def coarse(self) -> Job:
        """On a few columns."""
        few = min(COLUMNS, clock_columns(self.scene))
        return made_ready(self.scene, few, place=self.place)


class Drawn:
    """Draws of all bores made so far: least stock per side and its clock-step error [mm], (bores,
    draws).
    """

    def __init__(self, parts: Sequence[BoreReady], cut: float) -> None:
        """Nothing drawn yet."""
        self.parts, self.cut = parts, cut
        self.least, self.error = np.zeros((len(parts), 0)), np.zeros((len(parts), 0))
        self.fine = np.zeros((len(parts), 0), dtype=bool)

    def upto(self, count: int, executor: Executor) -> Array:
        """Least stock per side less its clock-step error [mm] of draws 0..count-1, (bores, draws).

        All are laid on a few columns; those that may lie on either side of nothing left, or of the
        minimum cut, are laid again on the columns of the result.
        """
        done = self.least.shape[1]
        found = self._laid(
            [(k, range(done, count)) for k in range(len(self.parts))], executor, fine=False
        )
        self.least = np.hstack([self.least, np.array([one[0] for one in found])])
        self.error = np.hstack([self.error, np.array([one[1] for one in found])])
        self.fine = np.hstack([self.fine, np.zeros((len(self.parts), count - done), dtype=bool)])
        return self._again((0.0, self.cut), executor)

    def sharpened(self, executor: Executor) -> Array:
        """The same draws; those that may be the typical or the bad one are laid again as well,
        until those two are.
        """
        levels: Array | None = None
        while levels is None or self._in_doubt(levels).any():
            if levels is not None:
                self._again(levels, executor)
            likely = self.least - np.where(self.fine, 1.0, LIKELY) * self.error
            levels = np.percentile(
                np.nan_to_num(likely.min(axis=0), nan=-np.inf), (50.0, 5.0), method="lower"
            )
        return self.least - self.error

    def _again(self, levels: Iterable[float], executor: Executor) -> Array:
        again = [np.flatnonzero(row).tolist() for row in self._in_doubt(levels)]
        for k, (least, error) in enumerate(self._laid(list(enumerate(again)), executor, fine=True)):
            self.least[k, again[k]], self.error[k, again[k]], self.fine[k, again[k]] = (
                least,
                error,
                True,
            )
        return self.least - self.error

    def _in_doubt(self, levels: Iterable[float]) -> NDArray[np.bool_]:
        """Which draws on the coarse clock may lie on either side of a level, (bores, draws)."""
        low, high = self.least - BOUND * self.error - LEFT, self.least + LEFT
        doubt = np.zeros(low.shape, dtype=bool)
        for level in levels:
            doubt |= (low < level) & (high >= level)
        return np.asarray(doubt & ~self.fine)

    def _laid(
        self, wanted: Sequence[tuple[int, Sequence[int]]], executor: Executor, *, fine: bool
    ) -> list[tuple[Array, Array]]:
        """Least stock and error of the draws wanted of each bore."""
        jobs = [
            self.parts[k].fine if fine else self.parts[k].coarse
            for k, indices in wanted
            if len(indices)
        ]
        having = [indices for _, indices in wanted if len(indices)]
        cases = [
            (job, indices[k : k + BLOCK])
            for job, indices in zip(jobs, having, strict=True)
            for k in range(0, len(indices), BLOCK)
        ]
        parts = iter(in_order(looked, cases, executor))
        out = []
        for _, indices in wanted:
            mine = [next(parts) for _ in range(0, len(indices), BLOCK)]
            out.append(
                (np.concatenate([m[0] for m in mine]), np.concatenate([m[1] for m in mine]))
                if mine
                else (np.zeros(0), np.zeros(0))
            )
        return out


def looked(job: Job, indices: Sequence[int]) -> tuple[Array, Array]:
    """Least stock per side [mm] of the draws named, nan where the metal closes the bore, and their
    clock-step errors [mm].
    """
    if cut_before(job.scene):
        return _one_by_one(job, indices)
    draws = [int(k) for k in indices]
    bench = ManyDraws.of(job, job.start.clock, draws, held=job.held, once=True)
    return bench.looked(job.scene, draws)


def _one_by_one(job: Job, indices: Sequence[int]) -> tuple[Array, Array]:
    """As `looked`, for a job whose finish cut was taken before its last layers: what is judged
    differs from draw to draw.
    """
    least, error = np.full(len(indices), math.nan), np.zeros(len(indices))
    spreads, ways, seed = spreads_in(job), ways_of(job.settings), job.scene.confidence.seed
    for row, index in enumerate(indices):
        try:
            out = outcome(job, draw(spreads, ways, seed, int(index)))
        except SceneError:
            continue
        least[row] = out.least.spot.value
        error[row] = clock_error(out.least, out.wall.clock, all_events(job.scene, job.settings))
    return least, error
