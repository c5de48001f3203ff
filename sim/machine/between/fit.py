"""The fit of readings after layers: best linear estimate with the engine as its model."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.linalg import block_diag

from sim.bore.wall import Clock
from sim.job.scene import Scene
from sim.machine.between.gauge_on_draws import readings
from sim.machine.between.kalman import Kalman, Told
from sim.machine.between.sets import Flags, Set, means_of, off_law, sets_of, with_errors
from sim.plan.odds.draws import Draw
from sim.plan.odds.many_draws import NOMINAL, ManyDraws
from sim.plan.odds.strays import COLUMNS as TOLD
from sim.plan.odds.strays import EDGES, METAL, RADII, SEEN, VALLEYS, Column, column, columns
from sim.reference.arrays import Array, frozen
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import ALONE, Place
from sim.shop.ready_to_lay import Job, all_events, made_ready

DRAWS, COLUMNS, CHUNK = 400, 48, 100


ANOTHER_BORE = 6.0  # standard deviations from what the job as planned may give


ODD_ONE = 0.01  # chance that any row of good readings is called contradictory


@dataclass(frozen=True)
class Fit:
    """Draws of the layers laid as they may have come out.

    x (draws, SEEN + layers): what is to be told, and the bead area of each layer laid, as strayed
    from nominal; its columns are those of `sim.plan.odds.strays`. y: per set (draws, rows) what
    the gauge would read, its errors included [mm]; sets: the readings.
    """

    sets: tuple[Set, ...]
    x: Array
    y: tuple[Array, ...]

    @classmethod
    def of(cls, scene: Scene, draws: int = DRAWS, begin: int = 0, *, place: Place = ALONE) -> Fit:
        """Lay the layers of one bore read after, as often as asked; `place`: of it on its bar."""
        plain = dataclasses.replace(scene, update=None)
        last = max(one.layer for one in scene.reading_after)
        plain = dataclasses.replace(plain, layer=tuple(plain.layers[:last]))
        job = made_ready(plain, COLUMNS, place=place)
        sets = tuple(sets_of(scene, job.settings))
        bench = ManyDraws.of(
            job,
            Clock.even(COLUMNS, all_events(job.scene, job.settings)),
            range(begin, begin + draws),
            held=_held(job),
        )
        whole = _volume(bench, plain, [NOMINAL])[0]
        parts = [
            _drawn(bench, plain, sets, list(range(k, min(k + CHUNK, begin + draws))))
            for k in range(begin, begin + draws, CHUNK)
        ]
        x = np.concatenate([part[0] for part in parts])
        laid = column("laid")
        x[:, laid] = _laid_factor(bench, x[:, laid], whole) - 1.0
        y = [np.concatenate([part[1][k] for part in parts]) for k in range(len(sets))]
        return cls(
            sets,
            frozen(x),
            tuple(
                with_errors(one, read, scene.confidence.seed, k)
                for k, (one, read) in enumerate(zip(sets, y, strict=True))
            ),
        )

    def refuse_another(self, read: Sequence[Array]) -> None:
        """Raises SceneError where the readings cannot be of this bore."""
        for one, drawn, value in zip(self.sets, self.y, read, strict=True):
            off = float(np.median(value - drawn.mean(axis=0)))
            sd = float(np.median(drawn - drawn.mean(axis=0), axis=1).std())
            if abs(off) > ANOTHER_BORE * sd:
                raise SceneError(
                    f"readings after layer {one.layer}: they lie {abs(off):.2f} mm on "
                    f"{one.found.kind} {'over' if off > 0 else 'under'} what this bore can "
                    "be "
                    f"(about {float(np.median(drawn)):.2f} mm, give or take {2.0 * sd:.2f}): "
                    "another bore, another layer or another unit; check which they are of."
                )

    def robust(self, read: Sequence[Array]) -> tuple[list[Flags], Told]:
        """Which rows are used, and what they tell: the row that is oddest against all others is
        left out until none is odd.
        """
        used = [np.ones(len(value), dtype=bool) for value in read]
        rows, limit = sum(len(value) for value in read), self.oddest
        while True:
            found = self.told(read, used)
            odd = [
                np.where(u, np.abs(off) / sd, 0.0)
                for u, off, sd in zip(used, found.off, found.sd, strict=True)
            ]
            k = int(np.argmax([one.max() for one in odd]))
            if odd[k].max() <= limit:
                return used, found
            used[k][int(np.argmax(odd[k]))] = False
            if sum(int((~u).sum()) for u in used) > max(rows // 3, 1) or not used[k].any():
                named = ", ".join(
                    f"row {self.sets[j].found.row[i]:.0f}"
                    for j, u in enumerate(used)
                    for i in np.flatnonzero(~u)
                )
                raise SceneError(
                    f"readings after layer {self.sets[k].layer}: too many contradict each "
                    f"other ({named} and more); measure again."
                )

    @cached_property
    def oddest(self) -> float:
        """Standard deviations by which the oddest row of good readings is off, but for one job in a
        hundred.
        """
        kalman = self._kalman([np.ones(len(one.value), dtype=bool) for one in self.sets])
        y = self.strayed[:, self.x.shape[1] :]
        rest = y - (y @ kalman.means.T) @ kalman.gain[self.x.shape[1] :].T
        return float(np.quantile((np.abs(rest) / rest.std(axis=0)).max(axis=1), 1.0 - ODD_ONE))

    @cached_property
    def strayed(self) -> Array:
        """What is to be told and all rows as strayed from their means, (draws, told + rows)."""
        both = np.concatenate([self.x, *self.y], axis=1)
        return frozen(both - both.mean(axis=0))

    @cached_property
    def covariance(self) -> Array:
        """Covariance of what is to be told and all rows, over the draws."""
        return frozen(self.strayed.T @ self.strayed / (len(self.strayed) - 1))

    def told(self, read: Sequence[Array], used: Sequence[Flags]) -> Told:
        """The best linear estimate from the means of the rows used: the step of a Kalman filter."""
        kalman = self._kalman(used)
        told, mean = self.x.shape[1], self.x.mean(axis=0)
        strayed = np.concatenate(
            [value - drawn.mean(axis=0) for value, drawn in zip(read, self.y, strict=True)]
        )
        at = kalman.means @ strayed
        guess, left = (
            kalman.gain @ at,
            (self.covariance - kalman.gain @ kalman.common.T) * kalman.unsure(at, len(self.x)),
        )
        kinds = [*self._seen(used), *range(SEEN, told)]
        value, covariance = mean.copy(), np.diag(np.diag(self.covariance)[:told])
        value[kinds] += guess[kinds]
        covariance[np.ix_(kinds, kinds)] = left[np.ix_(kinds, kinds)]
        cuts = np.cumsum([len(one.value) for one in self.sets])[:-1]
        off, sd = (
            np.split(strayed - guess[told:], cuts),
            np.split(np.sqrt(np.maximum(np.diag(left)[told:], 1e-12)), cuts),
        )
        return Told(value, covariance, kinds, list(off), list(sd))

    def _kalman(self, used: Sequence[Flags]) -> Kalman:
        """The gain on the means of the rows used."""
        means = block_diag(
            *(
                means_of(one, drawn, u)
                for one, drawn, u in zip(self.sets, self.y, used, strict=True)
            )
        )
        common = self.covariance[:, self.x.shape[1] :] @ means.T
        of_means = means @ common[self.x.shape[1] :]
        return Kalman(
            means, common, common @ np.linalg.pinv(of_means, rcond=1e-9, hermitian=True), of_means
        )

    def _seen(self, used: Sequence[Flags]) -> list[int]:
        """Which of what is to be told the rows used can see."""
        both = list(zip(self.sets, used, strict=True))
        read = {
            METAL: True,
            VALLEYS: any((one.places.valley & u).any() for one, u in both),
            EDGES: any((one.at_edge & u).any() for one, u in both),
            RADII: any(one.eccentric and u.any() for one, u in both),
        }
        return columns(*(each.key for each in TOLD if read[each.seen_by]))


def _held(job: Job) -> tuple[float, float]:
    """Depths [mm] between which the wall is laid: the bore and what the gauge may reach past it."""
    margin = 2.5 * max(s.bead.width for s in job.settings) + 1.5 + 60.0
    return -margin, job.scene.bore.length + margin


def _volume(bench: ManyDraws, scene: Scene, indices: list[int]) -> Array:
    """Volume inside the wall after the last layer [mm3] of draws, nan where the bore closed."""
    out = np.full(len(indices), math.nan)
    for standing in bench.after_layers(scene, indices):
        if standing.layers == len(scene.layers):
            out[standing.place] = standing.volumes(len(bench.clock.angle), scene.bore.length)
    return out


def _laid_factor(bench: ManyDraws, volume: Array, nominal: float) -> Array:
    """Metal laid over metal planned, from volumes inside [mm3]; size of the bore before and metal
    count alike.
    """
    before = bench.start_volume(NOMINAL)
    return (before - volume) / (before - nominal)


def _drawn(
    bench: ManyDraws, scene: Scene, sets: Sequence[Set], indices: list[int]
) -> tuple[Array, list[Array]]:
    """What strays and what a gauge reads in these draws; the metal laid stands as the volume
    inside the wall after the last layer.
    """
    x = np.zeros((len(indices), SEEN + len(scene.layers)))
    y = [np.full((len(indices), len(one.value)), math.nan) for one in sets]
    for standing in bench.after_layers(scene, indices):
        for one, read in zip(sets, y, strict=True):
            if one.layer == standing.layers:
                read[standing.place] = readings(bench, standing, one.places) + off_law(
                    one, standing.drawn
                )
        if standing.layers == len(scene.layers):
            x[standing.place, column("laid")] = standing.volumes(
                len(bench.clock.angle), scene.bore.length
            )
    for row, drawn in enumerate(bench.scalars(scene, indices)):
        for each in TOLD:
            if each.drawn:
                x[row, columns(each.key)] = _strayed(each, drawn, scene)
        x[row, SEEN:] = drawn.area - 1.0
    if any(np.isnan(read).any() for read in y):
        raise SceneError(
            "readings: the layers as planned may close the bore, so no reading can be "
            "judged; check the layers."
        )
    return x, y


def _strayed(column: Column, drawn: Draw, scene: Scene) -> Any:
    """How far a draw has it from what was planned."""
    value = getattr(drawn, column.drawn)
    return value if column.off else value - column.planned(scene)
