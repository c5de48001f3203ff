"""The record of a job: scene, readings before, between and after, planned against come out, as one
file.

JSON: `record` (its version), `tool_version`, `date`, `notes`, `scene` (the scene file, whole),
`finished` (the CSV of the finished bore), and what followed from them when it was written.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from sim.job import readings_csv
from sim.job.checks import final_limits
from sim.job.on_bar import number_of
from sim.job.read import parse
from sim.job.readings_csv import check as check_readings
from sim.job.saved import text_that_reads_back
from sim.job.scene import Scene
from sim.job.sections.bore import BEFORE
from sim.job.values import plain_text
from sim.machine.between.card import Card, bar_cards
from sim.machine.between.readings_after import told
from sim.machine.between.told import Found, Update
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.reference.whole_files import write_whole
from sim.shop.several_bores import bores, places

RECORD = 1


LARGEST = 10_000_000


@dataclass(frozen=True)
class Record:
    """A job as it was done: `finished` is the CSV of readings of the finished bore, empty when
    there are none.
    """

    scene: Scene
    date: str
    notes: str = ""
    finished: str = ""


@dataclass(frozen=True)
class LayerRead:
    """A layer against what was planned: mean of the readings after it, planned (give or take
    `spread`) and read [mm].

    kind: diameter or radius; rows used; metal: bead area of the layer over what was planned; bore:
    of a bar, which was read.
    """

    layer: int
    kind: str
    touched: str
    rows: int
    planned: float
    read: float
    metal: Found
    bore: str = ""


@dataclass(frozen=True)
class Offered:
    """Values for the shop's next job, by scene key, and why; offering changes nothing."""

    changes: Mapping[str, Any]
    why: tuple[Remark, ...]


@dataclass(frozen=True)
class Came:
    """Planned against come out: layers read after; the finished bore: smallest, largest [mm on
    diameter], within limits; cards of the layers gauged, as they were before any reading.
    """

    layers: tuple[LayerRead, ...]
    finished: tuple[float, float] | None
    limits: tuple[float, float]
    offered: Offered
    update: Update | None
    cards: tuple[Card, ...] = ()

    @property
    def in_limits(self) -> bool | None:
        """Tell whether the finished bore as read keeps its limits of size; None when it was not
        read.
        """
        if self.finished is None:
            return None
        return self.limits[0] <= self.finished[0] and self.finished[1] <= self.limits[1]


def came_out(record: Record) -> Came:
    """What the readings of a record say against the plan. Raises SceneError."""
    found = told(record.scene, replan=False) if record.scene.reading_after else None
    return Came(
        layers=() if found is None else tuple(row for one in found.each for row in _layers(one)),
        finished=None if not record.finished else _finished(record),
        limits=final_limits(record.scene.bore),
        offered=Offered({}, ()) if found is None else offered(found),
        update=found,
        cards=() if found is None else _cards(record.scene),
    )


def _cards(scene: Scene) -> tuple[Card, ...]:
    """The cards of the layers and bores that were read, as they were before any reading."""
    job = dataclasses.replace(scene.job, stage=BEFORE, layers_done=0)
    plain = dataclasses.replace(scene, job=job, reading_after=(), update=None, update_on_bar=())
    read = sorted({number_of(scene, one.bore, "record:") for one in scene.reading_after})
    layers = sorted({one.layer for one in scene.reading_after})
    return _cards_before(plain, tuple(layers), tuple(read))


@lru_cache(8)
def _cards_before(plain: Scene, layers: tuple[int, ...], read: tuple[int, ...]) -> tuple[Card, ...]:
    parts = [
        (name, one, place)
        for (name, _, one), place in zip(bores(plain), places(plain), strict=True)
    ]
    return tuple(card for some in bar_cards(parts, only=layers, of=read) for card in some)


def _layers(found: Update) -> list[LayerRead]:
    out = []
    kinds = dict.fromkeys((row.layer, row.kind, row.touched) for row in found.rows)
    for layer, kind, touched in sorted(kinds):
        rows = [
            row
            for row in found.rows
            if (row.layer, row.kind, row.touched) == (layer, kind, touched) and not row.contradicts
        ]
        if rows:
            planned, read = (
                float(np.mean([getattr(row, name) for row in rows]))
                for name in ("expected", "read")
            )
            out.append(
                LayerRead(
                    layer,
                    kind,
                    touched,
                    len(rows),
                    planned,
                    read,
                    found.by_layer[layer - 1],
                    found.bore,
                )
            )
    return out


def _finished(record: Record) -> tuple[float, float]:
    """Smallest and largest reading of the finished bore [mm on diameter]."""
    found = readings_csv.read(
        record.finished.encode(),
        name="readings of the finished bore",
        error=default("readings.error"),
    )
    check_readings(found, name="readings of the finished bore", length=record.scene.bore.length)
    size = 2.0 * found.radii
    low, high = float(size.min()), float(size.max())
    final = record.scene.bore.final_diameter
    if abs(0.5 * (low + high) - final) > 0.1 * final:
        raise SceneError(
            f"readings of the finished bore: they lie {abs(0.5 * (low + high) - final):.2f} "
            f"mm on diameter from the final size {final:g} mm: another bore or another unit; "
            "check which they are of."
        )
    return low, high


def offered(found: Update) -> Offered:
    """Values the readings suggest for the next job with this bead: a factor on the metal, tie-in,
    pool run.

    The metal follows wire and efficiency by mass balance: the factor goes on the efficiency and, at
    the same width, on the height of the measured bead. Nothing is offered that the readings have
    not moved by more than what is left unknown. Of a bar the bore whose readings tell most speaks.
    """
    found = min(found.each, key=lambda one: one.area.spread)
    scene, changes, why = found.scene, dict[str, Any](), list[Remark]()
    f = found.area
    if abs(f.value - 1.0) > f.spread:
        efficiency = scene.wire.efficiency * f.value
        why.append(Remark("metal against wire and travel", value=f.value, spread=2.0 * f.spread))
        if efficiency <= 1.0:
            changes["wire.efficiency"] = round(efficiency, 4)
        else:
            why.append(Remark("more than all the wire fed"))
        if scene.bead is not None and efficiency <= 1.0:
            changes["bead.height_mm"] = round(scene.bead.height * f.value, 3)
    if found.tie_in is not None and found.tie_in.spread < 0.8 * found.tie_in.spread_before:
        changes |= {
            "process.tie_in": round(min(max(found.tie_in.value, 0.0), 1.0), 3),
            "process.tie_in_measured": True,
            "spread.tie_in": round(found.tie_in.spread, 3),
        }
        why.append(
            Remark("valleys give a tie-in", value=found.tie_in.value, spread=found.tie_in.spread)
        )
    run = found.pool_run
    if run is not None and run.spread < 0.8 * run.spread_before:
        changes |= {
            "process.pool_run_mm": round(run.value, 2),
            "spread.pool_run_mm": round(math.sqrt(3.0) * run.spread, 2),
        }
        why.append(Remark("radii give a pool run", value=run.value, spread=run.spread))
    return Offered(changes, tuple(why))


def as_mapping(record: Record, version: str, came: Mapping[str, Any]) -> dict[str, Any]:
    """A record as plain values; came: what followed when it was written, for people and other
    programs.
    """
    return {
        "record": RECORD,
        "tool_version": version,
        "date": record.date,
        "notes": record.notes,
        "scene": text_that_reads_back(record.scene, whole=True),
        "finished": record.finished,
        "came_out": dict(came),
    }


def write(path: Path, told_as: Mapping[str, Any]) -> None:
    """Write a record; the file is there whole or not at all. Raises SceneError when it cannot be
    written.
    """
    write_whole(
        path,
        (json.dumps(told_as, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8"),
    )


def read(path: Path) -> Record:
    """The record in a file. Raises SceneError with one sentence.

    >>> read(Path("no_such_record.json"))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    sim.reference.errors.SceneError: no_such_record.json: cannot be read (No such file ...
    """
    try:
        if path.stat().st_size > LARGEST:
            raise SceneError(
                f"{path}: larger than {LARGEST} bytes; give a record this program wrote."
            )
        data = path.read_bytes()
    except OSError as fault:
        raise SceneError(
            f"{path}: cannot be read ({fault.strerror}); check the name and the permissions."
        ) from None
    return parsed(data, name=str(path))


def parsed(data: bytes, *, name: str) -> Record:
    """The record in the bytes of a file. Raises SceneError with one sentence."""
    try:
        raw = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise SceneError(f"{name}: not a record (JSON); give a file that `record` wrote.") from None
    version = raw.get("record") if isinstance(raw, dict) else None
    if isinstance(version, bool) or not isinstance(version, int):
        raise SceneError(
            f"{name}: not a record: `record` with its version is missing; give a file that "
            "`record` wrote."
        )
    if version > RECORD:
        raise SceneError(
            f"{name}: record = {version}: written by a newer version than this one reads "
            f"({RECORD}); update the program."
        )
    held = {key: raw.get(key, "") for key in ("date", "notes", "scene", "finished")}
    if (
        version < 1
        or not all(isinstance(value, str) for value in held.values())
        or not held["scene"]
    ):
        raise SceneError(
            f"{name}: the record is damaged: date, notes, scene and finished must be text; "
            "take another copy."
        )
    for key in ("date", "notes", "finished"):
        plain_text(held[key], f"{name}: {key}", several_lines=key != "date")
    return Record(**{**held, "scene": parse(held["scene"], name=f"{name}: scene")})


def noted(record: Record, more: str) -> Record:
    """The record with a note added to those it has."""
    return dataclasses.replace(
        record, notes="\n".join(part for part in (record.notes, more) if part)
    )
