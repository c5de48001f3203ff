"""TOML in, Scene out."""

from __future__ import annotations

import dataclasses
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from sim.bore.read_wall import unmet, wall_from
from sim.job.checks import check
from sim.job.files import Beside, bytes_beside, scene_text, toml_of
from sim.job.key import REQUIRED, keys_of
from sim.job.readings_csv import at_20, read
from sim.job.readings_csv import check as check_readings
from sim.job.scene import EITHER, SECTIONS, Scene
from sim.job.sections.bore import Bore, ReadingsSource, Worn
from sim.job.shop_values import filled_in
from sim.job.values import (
    SCHEMA,
    as_written,
    file_keys,
    has_no_default,
    hint_for,
    nearest,
    value_of,
)
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark


def load(path: str | os.PathLike[str]) -> Scene:
    """Read and check a scene file. Raises SceneError with one sentence.

    >>> load("no_such_file.toml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    sim.reference.errors.SceneError: no_such_file.toml: there is no such file; check the name ...
    """
    path = Path(path)
    return parse(scene_text(path), name=str(path), beside=path.parent)


def parse(text: str, *, name: str = "scene", beside: Beside | None = None) -> Scene:
    """Read and check a scene given as TOML text; `beside`: where a readings file is. Raises
    SceneError with one sentence.
    """
    return from_mapping(toml_of(text, name), name=name, beside=beside)


def from_mapping(
    raw: Mapping[str, Any], *, name: str = "scene", beside: Beside | None = None
) -> Scene:
    """Check a scene given as nested mappings, as in the file. Raises SceneError with one sentence.

    A readings file is looked for `beside` the scene.
    """
    _check_schema(raw, name)
    for section in raw:
        if section != "schema" and section not in SECTIONS:
            raise SceneError(f"{name}: unknown section [{section}]{nearest(section, SECTIONS)}")
    raw = filled_in(raw, name, beside)
    values: dict[str, Any] = {}
    source = None
    if isinstance(raw.get("readings"), Mapping):
        if raw.get("worn"):
            raise SceneError(f"{name}: both [worn] and [readings] given; keep one of them.")
        source = _section(ReadingsSource, raw["readings"], "readings", name)
        source = _with_text(source, f"{name}: [readings]", beside)
        raw = {**raw, "worn": {"diameter_mm": worn_of(source).diameter}}
    for section, (kind, many, may_miss) in SECTIONS.items():
        given = raw.get(section)
        if given is None:
            if many and not may_miss:
                raise SceneError(f"{name}: no [[{section}]] given; at least one is needed.")
            values[section] = (
                () if many else (None if may_miss else _section(kind, {}, section, name))
            )
        elif many:
            values[section] = _list(kind, given, section, name)
        elif not isinstance(given, Mapping):
            raise SceneError(
                f"{name}: {section} = {as_written(given)}: must be a section [{section}] with "
                "keys under it."
            )
        else:
            values[section] = _section(kind, given, section, name)
    if source is not None:
        values["readings"] = _at_20(source, values["bore"], f"{name}: [readings]")
    scene = _bar_read(Scene(**values), name, beside)
    check(scene, name=name)
    return scene


def worn_of(source: ReadingsSource) -> Worn:
    """The worn bore as far as readings need one beside them: its smallest diameter."""
    return Worn(diameter=round(2.0 * float(source.found.radii.min()), 6))


def _bar_read(scene: Scene, name: str, beside: Beside | None) -> Scene:
    """The scene with the readings of the other bores of its bar in it. Readings belong to the bore
    they were taken in.
    """
    bores = []
    for k, one in enumerate(scene.bore_on_bar, 1):
        where = f"{name}: [bore_on_bar {k}]"
        if one.file or one.table:
            if one.sized:
                raise SceneError(f"{where} both readings and worn sizes given; keep one of them.")
            like = scene.readings or ReadingsSource()
            mine = dataclasses.replace(like, file=one.file, table=one.table, said=(), warm=False)
            bore = dataclasses.replace(scene.bore, length=one.length or scene.bore.length)
            one = dataclasses.replace(
                one, readings=_at_20(_with_text(mine, where, beside), bore, where)
            )
        elif scene.readings is not None and one.diameter is None:
            raise SceneError(
                f"{where} neither readings nor diameter given: readings belong to the bore "
                "they were taken in; "
                "gauge this one too (file or table), or give its smallest worn diameter."
            )
        bores.append(one)
    return dataclasses.replace(scene, bore_on_bar=tuple(bores))


def _with_text(source: ReadingsSource, where: str, beside: Beside | None) -> ReadingsSource:
    """The readings of a bore with the text of their CSV and the readings in it."""
    if bool(source.file) == bool(source.table):
        raise SceneError(f"{where} give exactly one of file and table.")
    told, data = f"{where} table", source.table.encode()
    if source.file:
        told = source.file
        if Path(source.file).name != source.file:
            raise SceneError(
                f"{where} file = {as_written(source.file)}: a plain file name; put the CSV "
                "beside the scene."
            )
        data = bytes_beside(
            source.file, beside, where, "put it there, or write the readings as table"
        )
    found = read(data, name=told, error=source.error)
    return dataclasses.replace(source, text=data.decode("utf-8-sig"), found=found)


def _at_20(source: ReadingsSource, bore: Bore, where: str) -> ReadingsSource:
    """The readings checked against the bore, brought to 20 C, and what is to be said of them."""
    said = check_readings(source.found, name=source.file or f"{where} table", length=bore.length)
    middle = 2.0 * float(np.median(source.found.radii))
    ratio = bore.outside_diameter / middle if bore.outside_diameter else default("readings.ratio")
    found, warm = at_20(
        source.found,
        gauge=source.gauge_expansion,
        work=source.work_expansion,
        ratio=max(ratio, 1.01),
        unsure=default("readings.temperature_error"),
    )
    said = [
        Remark("readings as written", how=found.how_read),
        *said,
        *([] if warm is None else [warm]),
        *unmet(found, wall_from(found)),
    ]
    return dataclasses.replace(source, found=found, said=tuple(said), warm=warm is not None)


def _check_schema(raw: Mapping[str, Any], name: str) -> None:
    schema = raw.get("schema")
    if schema is None:
        raise SceneError(f"{name}: schema is missing; put `schema = {SCHEMA}` in the first line.")
    if isinstance(schema, bool) or not isinstance(schema, int) or schema < 1:
        raise SceneError(
            f"{name}: schema = {as_written(schema)}: must be the whole number {SCHEMA}."
        )
    if schema > SCHEMA:
        raise SceneError(
            f"{name}: schema = {schema}: newer than this version reads ({SCHEMA}); update "
            "the program."
        )


def _list(kind: type, given: Any, section: str, name: str) -> tuple[Any, ...]:
    if not isinstance(given, list) or not all(isinstance(item, Mapping) for item in given):
        raise SceneError(
            f"{name}: {section} = {as_written(given)}: must be written as [[{section}]] with "
            "keys under it."
        )
    if not given and not SECTIONS[section][2]:
        raise SceneError(f"{name}: no [[{section}]] given; at least one is needed.")
    if len(given) > 200:
        raise SceneError(
            f"{name}: {len(given)} [[{section}]] given: at most 200; use `repeat` for layers alike."
        )
    return tuple(_section(kind, item, f"{section} {k}", name) for k, item in enumerate(given, 1))


def _section(kind: type, given: Mapping[str, Any], section: str, name: str) -> Any:
    where = f"{name}: [{section}]"
    fields = {f.name: f for f in keys_of(kind)}
    allowed = {key: (f.name, unit) for f in fields.values() for key, unit in file_keys(f).items()}
    values: dict[str, Any] = {}
    used: dict[str, str] = {}
    for key, value in given.items():
        if key not in allowed:
            raise SceneError(f"{where} unknown key '{key}'{hint_for(key, allowed, fields)}")
        field_name, unit = allowed[key]
        if field_name in used:
            raise SceneError(f"{where} both {used[field_name]} and {key} given; keep one of them.")
        used[field_name] = key
        values[field_name] = value_of(value, key, unit, fields[field_name], where)
    for f in fields.values():
        if f.name not in values and f.metadata.get("need") == REQUIRED and has_no_default(f):
            names = " or ".join(file_keys(f))
            raise SceneError(
                f"{where} {names} is missing; it is the {f.metadata['meaning'].split(',')[0]}."
            )
    for group in EITHER.get(section.split()[0], ()):
        there = [used[g] for g in group if g in used]
        if len(there) != 1:
            wanted = ", ".join(next(iter(file_keys(fields[g]))) for g in group)
            found = "none is given" if not there else "both are given: " + ", ".join(there)
            raise SceneError(f"{where} give exactly one of {wanted}; {found}.")
    return kind(**values)
