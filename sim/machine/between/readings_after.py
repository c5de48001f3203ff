"""Readings after a layer: what they tell of the process, what stays unknown, and the layers left
planned again.

The engine lays the layers again with everything drawn from its spreads, and a gauge is put on every
wall drawn: what
readings and what they are to tell have in common is the fit, linear in a few means of the readings
(best linear estimate,
the step of a Kalman filter with the engine's own draws for the covariance). So bead to bead
scatter, a gauge that rides on
the highest crest, its error and what nobody measured all widen what is left unknown.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor

import numpy as np

from sim.bore.read_wall import Readings
from sim.job.readings_csv import decoded, read
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER, BETWEEN
from sim.job.sections.plan import Known, ReadingAfter
from sim.machine.between.fit import Fit, Flags, Told
from sim.machine.between.told import Estimate, Row, Update, as_it_is
from sim.plan.many_cases import threads
from sim.plan.odds.spreads import (
    EDGE,
    GRAVITY,
    LAID,
    LAW,
    POOL_RUN,
    SEEN,
    TIE_IN,
    TO_COME,
    TORCH,
    WIDTH,
)
from sim.plan.odds.verdict import decide
from sim.plan.recommend import recommend
from sim.plan.search.kinds import METAL, Tell
from sim.reference.arrays import Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.shop.ready_to_lay import Job


def update(
    scene: Scene, readings: bytes | str, *, layer: int | None = None, taken: str = "", replan: bool = True,
    executor: Executor | None = None, tell: Tell = lambda _: None,
) -> Update:  # fmt: skip
    """Take readings after a layer into a job, and plan the layers left again from the wall as it
    now is.

    readings: a CSV as `sim.job.readings_csv` reads it, with a column `touched` (crest or valley)
    where valleys were measured; layer:
    after which they were taken, else the last one laid; taken: when, by whom. Raises SceneError.
    """
    kept = with_readings(scene, readings, layer=layer, taken=taken)
    return told(kept, replan=replan, executor=executor, tell=tell)


def with_readings(
    scene: Scene,
    readings: bytes | str,
    *,
    layer: int | None = None,
    taken: str = "",
    name: str = "readings",
) -> Scene:
    """The scene with these readings added to those it holds; nothing it held is changed. Raises
    SceneError.
    """
    if scene.job.stage == AFTER:
        raise SceneError(
            f"{name}: the finish cut is taken: readings after a layer came before it; set "
            f'[job] stage to "{BETWEEN}".'
        )
    done = scene.job.layers_done if scene.job.stage == BETWEEN else 0
    layer = done if layer is None else layer
    count = len(scene.layers)
    if layer == 0:
        raise SceneError(
            f"{name}: after which layer? No layer is laid by [job] layers_done; give --layer."
        )
    if not 1 <= layer <= count:
        raise SceneError(
            f"{name}: layer = {layer}: the job has {count} layer{'s' * (count != 1)}; give "
            "the number of a layer it has, or add the layer that was laid."
        )
    text = readings if isinstance(readings, str) else decoded(readings, name)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    found = read(text.encode(), name=name, error=default("readings.error"), welded=True)
    _refuse_outside(found, scene.bore.length, name)
    if any(
        held.layer == layer and held.table.strip() == text.strip() and taken in ("", held.taken)
        for held in scene.reading_after
    ):
        raise SceneError(
            f"{name}: the same readings after layer {layer} are in the job already and would "
            "count twice; give new ones, or say with --taken when they were taken again."
        )
    one = ReadingAfter(layer=layer, taken=taken, table=text)
    job = dataclasses.replace(scene.job, stage=BETWEEN, layers_done=max(done, layer))
    return dataclasses.replace(
        scene, job=job, reading_after=(*scene.reading_after, one), update=None
    )


def _refuse_outside(found: Readings, length: float, name: str) -> None:
    outside = np.flatnonzero((found.depth < 0.0) | (found.depth > length))
    if len(outside):
        i = int(outside[0])
        raise SceneError(
            f"{name}: row {found.row[i]:.0f}: depth {found.depth[i]:.2f} mm lies outside the "
            f"bore (0 to {length:g} mm); "
            "measure from the entry face, and check that this is the bore."
        )


def told(
    scene: Scene,
    *,
    replan: bool = True,
    executor: Executor | None = None,
    tell: Tell = lambda _: None,
) -> Update:
    """What the readings held in a scene tell, worked out from all of them anew. Raises SceneError."""
    if not scene.reading_after:
        raise SceneError(
            "update: the job holds no readings after a layer; give them with `update SCENE "
            "READINGS.csv`."
        )
    if executor is None:
        with threads() as own:
            return told(scene, replan=replan, executor=own, tell=tell)
    tell("laying the layers as they may have come out")
    found = Fit.of(scene).update(scene)
    if not replan:
        return found
    tell("does it clean up as it is")
    found = dataclasses.replace(found, as_is=decide(as_it_is(found.scene), executor=executor))
    return (
        found
        if found.enough
        else dataclasses.replace(
            found, plan=recommend(found.scene, METAL, executor, tell=tell, beside=False)
        )
    )


def _held(job: Job) -> tuple[float, float]:
    margin = 2.5 * max(s.bead.width for s in job.settings) + 1.5 + 60.0
    return -margin, job.scene.bore.length + margin


def _update_of(scene: Scene, fit: Fit, used: Sequence[Flags], found: Told) -> Update:
    last = max(one.layer for one in fit.sets)
    before, spread_before = fit.x.mean(axis=0), np.sqrt(np.diag(fit.covariance))
    nominal = np.concatenate(
        [[1.0, 1.0, 0.0, scene.process.pool_run], np.zeros(SEEN - 5), [1.0], np.ones(last)]
    )
    spread = np.sqrt(np.diag(found.covariance))

    def estimate(k: int) -> Estimate:
        return Estimate(
            *(
                float(v)
                for v in (
                    nominal[k] + found.value[k],
                    spread[k],
                    nominal[k] + before[k],
                    spread_before[k],
                )
            )
        )

    seen = found.kinds
    out = Update(
        scene=dataclasses.replace(scene, update=_known(last, found, nominal)),
        layer=last,
        laid=estimate(LAID),
        area=estimate(TO_COME),
        tie_in=estimate(TIE_IN) if TIE_IN in seen else None,
        law=estimate(LAW) if LAW in seen else None,
        edge=estimate(EDGE) if EDGE in seen else None,
        width=estimate(WIDTH) if WIDTH in seen else None,
        gravity=estimate(GRAVITY) if GRAVITY in seen else None,
        pool_run=estimate(POOL_RUN) if POOL_RUN in seen else None,
        torch=tuple(estimate(k) for k in range(TORCH.start, TORCH.stop))
        if POOL_RUN in seen
        else (),
        rows=tuple(_rows(fit, used, found)),
        warm=tuple(one.warm for one in fit.sets if one.warm),
        by_layer=tuple(estimate(SEEN + k) for k in range(last)),
    )
    return out


def _known(last: int, found: Told, nominal: Array) -> Known:
    """What was found as the job file keeps it."""
    value, spread = nominal + found.value, np.sqrt(np.diag(found.covariance))
    kinds = [k for k in found.kinds if k < SEEN]
    some = found.covariance[np.ix_(kinds, kinds)] / np.outer(spread[kinds], spread[kinds])
    links = np.clip(some[np.tril_indices(len(kinds), -1)], -1.0, 1.0)
    tie_in, eccentric = TIE_IN in kinds, POOL_RUN in kinds
    return Known(
        layers=last,
        laid=_short(value[0]),
        laid_spread=_short(spread[0]),
        area=_short(value[1]),
        area_spread=_short(spread[1]),
        tie_in=min(max(_short(value[TIE_IN]), 0.0), 1.0) if tie_in else None,
        tie_in_spread=_short(spread[TIE_IN]) if tie_in else 0.0,
        pool_run=_short(value[POOL_RUN]) if eccentric else None,
        pool_run_spread=_short(spread[POOL_RUN]) if eccentric else 0.0,
        torch=tuple(_short(v) for v in value[TORCH]) if eccentric else (),
        torch_spread=tuple(_short(v) for v in spread[TORCH]) if eccentric else (),
        law=_short(value[LAW]) if LAW in kinds else None,
        law_spread=_short(spread[LAW]) if LAW in kinds else 0.0,
        edge=_short(value[EDGE]) if EDGE in kinds else None,
        edge_spread=_short(spread[EDGE]) if EDGE in kinds else 0.0,
        width=_short(value[WIDTH]) if WIDTH in kinds else None,
        width_spread=_short(spread[WIDTH]) if WIDTH in kinds else 0.0,
        gravity=_short(value[GRAVITY]) if GRAVITY in kinds else None,
        gravity_spread=_short(spread[GRAVITY]) if GRAVITY in kinds else 0.0,
        links=tuple(_short(v) for v in links),
    )


def _short(value: float) -> float:
    """A number short enough for a file, far finer than it is known."""
    return round(float(value), 5)


def _rows(fit: Fit, used: Sequence[Flags], found: Told) -> Iterator[Row]:
    for one, drawn, u, off, sd in zip(fit.sets, fit.y, used, found.off, found.sd, strict=True):
        for k in range(len(one.value)):
            yield Row(
                layer=one.layer, row=int(one.found.row[k]), depth=float(one.places.depth[k]), clock=float(one.places.clock[k]),
                touched="valley" if one.places.valley[k] else "crest", kind=one.found.kind, read=float(one.value[k]),
                expected=float(drawn[:, k].mean()), off=float(off[k]), sd=float(sd[k]), contradicts=not bool(u[k]),
            )  # fmt: skip
