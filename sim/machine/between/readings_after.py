"""Readings after a layer: what they tell of the process, what stays unknown, and the layers left
planned again.

The engine lays the layers again with everything drawn from its spreads, and a gauge is put on every
wall drawn: what readings and what they are to tell have in common is the fit, linear in a few means
of the readings (best linear estimate, the step of a Kalman filter with the engine's own draws for
the covariance). So bead to bead scatter, a gauge that rides on the highest crest, its error and
what nobody measured all widen what is left unknown.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from typing import Any

import numpy as np

from sim.bore.read_wall import Readings
from sim.job.on_bar import length_of, names, number_of
from sim.job.readings_csv import decoded, read
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER, BETWEEN
from sim.job.sections.plan import FromReadings, ReadingAfter
from sim.machine.between.fit import Fit
from sim.machine.between.kalman import Told
from sim.machine.between.sets import Flags
from sim.machine.between.told import Found, ReadingAgainst, Update, as_it_is
from sim.plan.many_cases import threads
from sim.plan.odds.strays import COLUMNS, SEEN, Column, columns, planned
from sim.plan.odds.verdict import decide
from sim.plan.recommend import recommend
from sim.plan.search.kinds import METAL
from sim.reference.arrays import Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark, Tell
from sim.shop.several_bores import bores, places


def update(
    scene: Scene,
    readings: bytes | str,
    *,
    layer: int | None = None,
    taken: str = "",
    bore: str = "",
    replan: bool = True,
    executor: Executor | None = None,
    tell: Tell = lambda _: None,
) -> Update:
    """Take readings after a layer into a job, and plan the layers left again from the wall as it
    now is.

    readings: a CSV as `sim.job.readings_csv` reads it, with a column `touched` (crest or valley)
    where valleys were measured; layer:
    after which they were taken, else the last one laid; taken: when, by whom; bore: of a bar, the name
    of the bore they were taken in, else the first. Raises SceneError.
    """
    kept = with_readings(scene, readings, layer=layer, taken=taken, bore=bore)
    return told(kept, replan=replan, executor=executor, tell=tell)


def with_readings(
    scene: Scene,
    readings: bytes | str,
    *,
    layer: int | None = None,
    taken: str = "",
    bore: str = "",
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
    number = number_of(scene, bore, f"{name}:")
    bore = bore if number else ""
    _refuse_outside(found, length_of(scene, number), name)
    if any(
        held.layer == layer
        and held.bore == bore
        and held.table.strip() == text.strip()
        and taken in ("", held.taken)
        for held in scene.reading_after
    ):
        raise SceneError(
            f"{name}: the same readings after layer {layer} are in the job already and would "
            "count twice; give new ones, or say with --taken when they were taken again."
        )
    one = ReadingAfter(layer=layer, taken=taken, table=text, bore=bore)
    job = dataclasses.replace(scene.job, stage=BETWEEN, layers_done=max(done, layer))
    return dataclasses.replace(
        scene, job=job, reading_after=(*scene.reading_after, one), update=None, update_on_bar=()
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
    """What the readings held in a scene tell, worked out anew from all of them. Raises
    SceneError.
    """
    if not scene.reading_after:
        raise SceneError(
            "update: the job holds no readings after a layer; give them with `update SCENE "
            "READINGS.csv`."
        )
    if executor is None:
        with threads() as own:
            return told(scene, replan=replan, executor=own, tell=tell)
    tell(Remark("laying the layers as they may have come out"))
    found = _found_in_each(scene)
    if not replan:
        return found
    tell(Remark("does it clean up as it is"))
    found = dataclasses.replace(found, as_is=decide(as_it_is(found.scene), executor=executor))
    return (
        found
        if found.enough
        else dataclasses.replace(
            found, plan=recommend(found.scene, METAL, executor, tell=tell, beside=False)
        )
    )


def _found_in_each(scene: Scene) -> Update:
    """What the readings of every bore tell, each by those taken in it; all of it in the scene."""
    told, on_bar = list[Update](), len(scene.bore_on_bar) > 0
    for (name, _, one), place in zip(bores(scene), places(scene), strict=True):
        if one.reading_after:
            found = found_by(Fit.of(one, place=place), one)
            rows = tuple(dataclasses.replace(row, bore=name) for row in found.rows)
            told.append(dataclasses.replace(found, bore=name, rows=rows) if on_bar else found)
    if not on_bar:
        return told[0]
    kept = dict[int, FromReadings | None](
        (number_of(scene, one.bore, "update:"), one.scene.update) for one in told
    )
    others = [
        dataclasses.replace(known, bore=names(scene)[number])
        for number, known in kept.items()
        if number and known is not None
    ]
    whole = dataclasses.replace(scene, update=kept.get(0), update_on_bar=tuple(others))
    last = max(one.layer for one in told)
    return dataclasses.replace(told[0], scene=whole, layer=last, others=tuple(told[1:]))


def found_by(fit: Fit, scene: Scene) -> Update:
    """What the readings of a scene tell by a fit. Raises SceneError where they cannot be of this
    bore, or contradict each other too much.
    """
    read = [one.value for one in fit.sets]
    fit.refuse_another(read)
    used, told = fit.robust(read)
    last = max(one.layer for one in fit.sets)
    nominal = _nominal(scene, last)
    found = _found(fit, told, nominal)
    estimates: dict[str, Any] = {
        column.key: column.told(_seen(found, column, told)) for column in COLUMNS
    }
    return Update(
        scene=dataclasses.replace(scene, update=_known(last, told, nominal)),
        layer=last,
        rows=tuple(_rows(fit, used, told)),
        warm=tuple(one.warm for one in fit.sets if one.warm is not None),
        by_layer=tuple(found[SEEN:]),
        **estimates,
    )


def _seen(values: Sequence[Any], column: Column, told: Told) -> list[Any] | None:
    """The values of a column, by where they stand; None where the readings did not see it."""
    at = columns(column.key)
    return [values[k] for k in at] if set(at) <= set(told.kinds) else None


def _nominal(scene: Scene, layers: int) -> Array:
    """What is to be told when all comes out as planned, (SEEN + layers,)."""
    return np.array([*planned(scene), *(1.0,) * layers])


def _found(fit: Fit, told: Told, nominal: Array) -> list[Found]:
    """Everything that is to be told, seen or not, in the order of the fit's columns."""
    columns = (
        nominal + told.value,
        np.sqrt(np.diag(told.covariance)),
        nominal + fit.x.mean(axis=0),
        np.sqrt(np.diag(fit.covariance))[: len(nominal)],
    )
    return [Found(*(float(v) for v in row)) for row in zip(*columns, strict=True)]


def _known(last: int, told: Told, nominal: Array) -> FromReadings:
    """What was found as the job file keeps it."""
    value, spread = nominal + told.value, np.sqrt(np.diag(told.covariance))
    kinds = [k for k in told.kinds if k < SEEN]
    some = told.covariance[np.ix_(kinds, kinds)] / np.outer(spread[kinds], spread[kinds])
    links = np.clip(some[np.tril_indices(len(kinds), -1)], -1.0, 1.0)
    values, spreads = list(map(_short, value)), list(map(_short, spread))
    kept: dict[str, Any] = {}
    for column in COLUMNS:
        low, high = column.within
        here = _seen(values, column, told)
        kept[column.key] = column.told(here and [min(max(one, low), high) for one in here])
        left = column.told(_seen(spreads, column, told))
        kept[f"{column.key}_spread"] = 0.0 if left is None else left
    return FromReadings(layers=last, links=tuple(map(_short, links)), **kept)


def _short(value: float) -> float:
    """A number short enough for a file, far finer than it is known."""
    return round(float(value), 5)


def _rows(fit: Fit, used: Sequence[Flags], found: Told) -> Iterator[ReadingAgainst]:
    for one, drawn, u, off, sd in zip(fit.sets, fit.y, used, found.off, found.sd, strict=True):
        for k in range(len(one.value)):
            yield ReadingAgainst(
                layer=one.layer,
                row=int(one.found.row[k]),
                depth=float(one.places.depth[k]),
                clock=float(one.places.clock[k]),
                touched="valley" if one.places.valley[k] else "crest",
                kind=one.found.kind,
                read=float(one.value[k]),
                expected=float(drawn[:, k].mean()),
                off=float(off[k]),
                sd=float(sd[k]),
                contradicts=not bool(u[k]),
            )
