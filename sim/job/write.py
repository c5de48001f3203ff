"""Scene out as TOML with every key commented; the JSON Schema of a scene."""

from __future__ import annotations

import dataclasses
from typing import Any

import tomli_w

from sim.job.key import NOTHING, OPTIONAL, keys_of
from sim.job.scene import SECTIONS, Scene
from sim.job.values import SCHEMA, TURN, file_keys, has_no_default, range_words
from sim.reference.defaults import DEFAULTS
from sim.reference.units import KINDS, LISTS, Unit, usual_unit


def to_text(scene: Scene, *, whole: bool = False) -> str:
    """The scene as a commented TOML file; reading it back gives the same scene.

    whole: readings from a file are written into it, so that the file stands alone.
    """
    if whole:
        scene = _whole(scene)
    lines = [f"schema = {SCHEMA}"]
    for section, (kind, many, _) in SECTIONS.items():
        held: Any = (
            None if section == "worn" and scene.readings is not None else getattr(scene, section)
        )
        items = held if many else (() if held is None else (held,))
        title = f"[[{section}]]" if many else f"[{section}]"
        bodies = [_lines(item, scene.job.units) for item in items]
        for body in bodies if many else filter(None, bodies):
            lines += ["", title + _what(kind), *body]
    return "\n".join(lines) + "\n"


def _what(kind: type) -> str:
    """What a section means, as the comment beside its title."""
    what = (kind.__doc__ or "").split("]")[-1].strip().splitlines()
    return f"  # {what[0]}" if what and what[0] else ""


def _whole(scene: Scene) -> Scene:
    """The scene with readings from files written into it."""
    source, bores = scene.readings, []
    if source is not None and source.file:
        source = dataclasses.replace(source, file="", table=source.text)
    for one in scene.bore_on_bar:
        if one.readings is not None and one.file:
            one = dataclasses.replace(one, file="", table=one.readings.text)
        bores.append(one)
    return dataclasses.replace(scene, readings=source, bore_on_bar=tuple(bores))


def files_of(scene: Scene) -> dict[str, bytes]:
    """The files of readings that a scene was read with, by name."""
    sources = [scene.readings, *(one.readings for one in scene.bore_on_bar)]
    return {one.file: one.text.encode() for one in sources if one is not None and one.file}


def _lines(item: Any, units: str) -> list[str]:
    out = []
    for f in keys_of(type(item)):
        value = getattr(item, f.name)
        if value is None or (not has_no_default(f) and value == f.default):
            continue
        out.append(f"{_written(f, value, units):<34} # {_comment(f, units)}")
    return out


def _unit_for(f: dataclasses.Field[Any], units: str) -> Unit | None:
    kind = f.metadata["kind"]
    return usual_unit(kind, units) if kind in KINDS else None


def _written(f: dataclasses.Field[Any], value: Any, units: str) -> str:
    unit = _unit_for(f, units)
    if unit is None:
        lines = "\r" not in value if isinstance(value, str) else False
        return tomli_w.dumps({f.name: value}, multiline_strings=lines).rstrip("\n")
    if f.metadata["kind"] == "integer":
        return f"{f.name} = {value}"
    if f.metadata["kind"] in LISTS:
        numbers = [unit.outside(one) for one in value]
        if not all(unit.inside(n) == one for n, one in zip(numbers, value, strict=True)):
            unit = KINDS[f.metadata["kind"]][0]
            numbers = [unit.outside(one) for one in value]
        return f"{f.name}{unit.suffix} = {numbers!r}"
    number = unit.outside(value)
    if not _same(unit, number, value, f):
        unit = KINDS[f.metadata["kind"]][0]
        number = unit.outside(value)
    return f"{f.name}{unit.suffix} = {float(number)!r}"


def _same(unit: Unit, number: float, value: float, f: dataclasses.Field[Any]) -> bool:
    back = unit.inside(number)
    return (back % TURN if f.metadata["kind"] == "clock" else back) == value


def _comment(f: dataclasses.Field[Any], units: str) -> str:
    text = str(f.metadata["meaning"])
    if f.metadata["choices"]:
        return f"{text} ({' | '.join(f.metadata['choices'])})"
    if f.metadata["kind"] in KINDS and (
        f.metadata["low"] is not None or f.metadata["high"] is not None
    ):
        return f"{text}; {range_words(f, _unit_for(f, units))[8:]}"
    return text


def schema() -> dict[str, Any]:
    """JSON Schema of the scene file, made from the same declarations that read it."""
    sections: dict[str, Any] = {"schema": {"const": SCHEMA}}
    for section, (kind, many, _) in SECTIONS.items():
        keys: dict[str, Any] = {}
        required: list[str] = []
        for f in keys_of(kind):
            for key, unit in file_keys(f).items():
                keys[key] = _key_schema(f, unit, section)
            if has_no_default(f) and len(file_keys(f)) == 1:
                required += file_keys(f)
        one = {
            "type": "object",
            "additionalProperties": False,
            "properties": keys,
            "required": required,
        }
        sections[section] = {"type": "array", "items": one} if many else one
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "scene",
        "type": "object",
        "additionalProperties": False,
        "required": ["schema", "bore", "wire", "layer"],
        "oneOf": [{"required": ["worn"]}, {"required": ["readings"]}],
        "properties": sections,
    }


def _key_schema(f: dataclasses.Field[Any], unit: Unit | None, section: str) -> dict[str, Any]:
    told: dict[str, Any] = {"description": f.metadata["meaning"]}
    kind = f.metadata["kind"]
    if kind == "flag":
        return told | {"type": "boolean"}
    if kind == "text":
        return told | {"type": "string"}
    if kind == "choice":
        return told | {"enum": list(f.metadata["choices"])}
    if kind in LISTS:
        return told | {"type": "array", "items": {"type": "number"}}
    told["type"] = (
        "integer" if kind == "integer" else (["number", "string"] if kind == "clock" else "number")
    )
    told["description"] += "; " + range_words(f, unit) if f.metadata["low"] is not None else ""
    known = DEFAULTS.get(f.metadata["known"])
    if known is not None:
        told["description"] += (
            f"; default {known.value:g} {known.unit} ({known.basis}: {known.source})"
        )
    elif f.metadata["need"] == OPTIONAL:
        told["description"] += "; may be left out"
    elif f.metadata["need"] == NOTHING:
        told["description"] += "; nothing when left out"
    return told
