"""Results as JSON and its schema, from the declarations of their fields alone.

A name is that of the figure with the first unit of its kind; lengths in mm, angles in degrees,
clocks in hours. None, and what is not finite, stand as null.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Callable, Iterator, Mapping
from types import NoneType
from typing import Any

from sim.job.key import (
    FROM_TO,
    LEAST_MOST,
    ONE,
    OVER,
    PAIR,
    PARTS,
    RANGE,
    REMARKS,
    keys_of,
    names,
    outward,
)
from sim.reference.remarks import Remark
from sim.reference.sizes_in_words import Say
from sim.reference.units import LISTS
from sim.tell.remarks import lines, told

Own = Mapping[type, Callable[[Any], dict[str, Any]]]
"""How values are written that are not declared, by their type."""


Field = dataclasses.Field[Any]


def as_json(one: Any, say: Say, own: Own) -> dict[str, Any]:
    """A declared value as plain values; remarks in words, in the job's units."""
    if type(one) in own:
        return own[type(one)](one)
    return {
        name: value
        for f in keys_of(type(one))
        if not (f.metadata["left_out"] and getattr(one, f.name) is None)
        for name, value in zip(names(f), _values(f, getattr(one, f.name), say, own), strict=True)
    }


def _values(f: Field, value: Any, say: Say, own: Own) -> Iterator[Any]:
    kind, form = f.metadata["kind"], f.metadata["form"]
    if form == FROM_TO:
        yield from (outward(kind, v) for v in value)
    elif value is None:
        yield None
    elif kind == REMARKS:
        yield told(value, say) if isinstance(value, Remark) else lines(value, say)
    elif kind == PARTS:
        several = isinstance(value, tuple)
        yield [as_json(v, say, own) for v in value] if several else as_json(value, say, own)
    elif form == LEAST_MOST:
        yield {"min": outward(kind, value[0]), "max": outward(kind, value[1])}
    elif form == OVER:
        three = {"min": value.least, "mean": value.mean, "max": value.most}
        yield {name: outward(kind, v) for name, v in three.items()}
    elif isinstance(value, tuple):
        yield [outward(kind, v) for v in value]
    else:
        yield outward(kind, value)


def schema_of(kind: type, own: Mapping[type, dict[str, Any]]) -> dict[str, Any]:
    """The JSON Schema of a declared value; own: of values that are not declared."""
    if kind in own:
        return own[kind]
    hints, properties, may_lack = typing.get_type_hints(kind), {}, set()
    for f in keys_of(kind):
        means = {"description": f.metadata["meaning"]}
        for name in names(f):
            whole = _schema(f, hints[f.name], own)
            properties[name] = whole | means | f.metadata["also"]
            may_lack |= {name} if f.metadata["left_out"] else set()
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in may_lack],
        "additionalProperties": False,
    }


def _schema(f: Field, hint: Any, own: Mapping[type, dict[str, Any]]) -> dict[str, Any]:
    empty = NoneType in typing.get_args(hint)
    bare = next(one for one in typing.get_args(hint) if one is not NoneType) if empty else hint
    null = empty and not f.metadata["left_out"]
    if f.metadata["choices"]:
        return _chosen([*f.metadata["choices"], *([None] if null else [])])
    if f.metadata["kind"] == PARTS:
        listed = typing.get_origin(bare) is tuple
        inner = schema_of(typing.get_args(bare)[0] if listed else bare, own)
        whole = {"type": "array", "items": inner} if listed else inner
    elif f.metadata["form"] == ONE:
        whole = _schema_of_one(f, listed=f.metadata["kind"] in LISTED and hint is not Remark)
    else:
        whole = _schema_of_two(f)
    return {"anyOf": [whole, {"type": "null"}]} if null else whole


def _chosen(choices: list[Any]) -> dict[str, Any]:
    return {"enum": choices} if len(choices) > 1 else {"const": choices[0]}


LISTED = (REMARKS, "texts", "integers", *LISTS)


PLAIN = {
    REMARKS: "string",
    "text": "string",
    "texts": "string",
    "flag": "boolean",
    "integer": "integer",
    "integers": "integer",
    "keys": "object",
}


MAP = {"type": "array", "items": {"type": "array", "items": {"type": "number"}}}
"""Schema of a figure of kind "map": rows of numbers."""


def _schema_of_one(f: Field, *, listed: bool) -> dict[str, Any]:
    if f.metadata["kind"] == "map":
        return MAP
    plain = PLAIN.get(f.metadata["kind"])
    item = _number(f) if plain is None else {"type": plain}
    return {"type": "array", "items": item} if listed else item


def _schema_of_two(f: Field) -> dict[str, Any]:
    number = _number(f)
    if f.metadata["form"] in (LEAST_MOST, OVER):
        names_in = ("min", "max") if f.metadata["form"] == LEAST_MOST else ("min", "mean", "max")
        return {"type": "object", "properties": dict.fromkeys(names_in, number)}
    if f.metadata["form"] in (RANGE, PAIR):
        return {"type": "array", "items": number, "minItems": 2, "maxItems": 2}
    return number


def _number(f: Field) -> dict[str, Any]:
    return {"type": ["number", "null"] if f.metadata["endless"] else "number"}
