"""How values are declared: meaning, unit, range and default of what a scene holds; meaning, unit and
form of what is made of it.

Inside: mm, rad, s, C. A field declared with `key` says what the scene file may hold;
`sim.job.values` reads and writes files from these declarations alone. A field declared with
`figure` says what a result holds; its names in JSON stand here (`names`), `sim.tell.declared` writes
JSON and its schema from it alone.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import field
from typing import Any

from sim.reference.defaults import default
from sim.reference.units import KINDS, LISTS, oclock

REQUIRED, OPTIONAL, NOTHING = "required", "optional", "nothing"


ONE, RANGE, LEAST_MOST, FROM_TO = "one", "range", "least and most", "from and to"
OVER, PAIR = "least, mean and most", "pair"


PARTS, REMARKS = "parts", "remarks"
"""Kinds of a figure beside those of `sim.reference.units`: declared values within, and remarks."""


def key(
    kind: str,
    meaning: str,
    *,
    low: float | None = None,
    high: float | None = None,
    need: str = REQUIRED,
    known: str = "",
    choices: tuple[str, ...] = (),
    above: bool = False,
    later: bool = False,
) -> Any:
    """A scene key: its kind (see sim.units), meaning, and range low..high in the first unit of the
    kind.

    need: REQUIRED, OPTIONAL (None when absent) or NOTHING (zero when absent); `known` names the
    default in sim.sources instead. above: `low` itself is refused. Text, choices and flags start
    empty, at the first choice, and at no. later: added when jobs had been named already: at its
    default it leaves their digest alone.
    """
    told = dict(
        kind=kind, meaning=meaning, low=low, high=high, need=need, known=known, choices=choices,
        above=above, later=later,
    )  # fmt: skip
    if kind in ("text", "choice", "flag", *LISTS):
        start: Any = {"text": "", "choice": (choices or ("",))[0], "flag": False}.get(kind, ())
        return field(default=start, metadata=told)
    if known:
        start = KINDS[kind][0].inside(default(known))
        return field(default=int(start) if kind == "integer" else start, metadata=told)
    if need == REQUIRED:
        return field(metadata=told)
    nothing: Any = 0 if kind == "integer" else 0.0
    return field(default=None if need == OPTIONAL else nothing, metadata=told)


def figure(
    kind: str,
    meaning: str,
    *,
    name: str | None = None,
    form: str = ONE,
    endless: bool = False,
    left_out: bool = False,
    choices: tuple[Any, ...] = (),
    also: Mapping[str, Any] | None = None,
) -> Any:
    """A figure of a result: its kind, meaning, and how it stands in JSON.

    name: what it is called there, without its unit, where not as the field; form: ONE value, or
    two: a RANGE or a PAIR as a list, LEAST_MOST as an object, FROM_TO as two names; or three:
    least, mean and most OVER a way, as an object; endless: it may be infinite. None and what is
    not finite stand as null; left_out: None has no name there at all. choices: all that it may
    be; also: what its schema says beside that.
    """
    told = dict(
        kind=kind, meaning=meaning, name=name, form=form, endless=endless, left_out=left_out,
        choices=choices, also=also or {},
    )  # fmt: skip
    return field(metadata=told)


def old(now: str) -> dict[str, Any]:
    """What the schema says beside a figure that stays for one release."""
    return {"deprecated": True, "description": f"goes with the next release; use {now}"}


SIZE: dict[str, Any] = dict(low=0.0, high=2000.0, above=True)


PER_SIDE: dict[str, Any] = dict(low=0.0, high=50.0)


OFFSET: dict[str, Any] = dict(low=0.0, high=20.0, need=NOTHING)


MOVED: dict[str, Any] = dict(low=0.0, high=20.0, need=OPTIONAL)


def keys_of(kind: type) -> list[dataclasses.Field[Any]]:
    """The fields of a section that a scene file may hold, or the figures of a result."""
    return [f for f in dataclasses.fields(kind) if "kind" in f.metadata]


def names(f: dataclasses.Field[Any]) -> tuple[str, ...]:
    """The names of a figure in JSON: one, or two where it stands from and to.

    >>> held = dataclasses.make_dataclass("Held", [
    ...     ("depth", tuple, figure("length", "where it is held", form=FROM_TO)),
    ...     ("least", float, figure("length", "left, per side", name="least_stock"))])
    >>> [names(f) for f in keys_of(held)]
    [('from_depth_mm', 'to_depth_mm'), ('least_stock_mm',)]
    """
    kind, form, given = f.metadata["kind"], f.metadata["form"], f.metadata["name"]
    stem = f.name if given is None else given
    unit = KINDS[kind][0].suffix if kind in KINDS else ""
    if form == FROM_TO:
        return tuple(
            "_".join(part for part in (end, stem) if part) + unit for end in ("from", "to")
        )
    return (f"{stem}{unit}_range" if form == RANGE else f"{stem}{unit}".removeprefix("_"),)


def outward(kind: str, value: Any) -> Any:
    """A value in the first unit of its kind; not finite: None.

    >>> outward("speed", 7.5), outward("clock", math.pi), outward("time", math.inf)
    (450.0, 6.0, None)
    """
    if kind not in KINDS:
        return value
    if not math.isfinite(value):
        return None
    if kind in ("clock", "rotation"):
        return oclock(value) if kind == "clock" else rpm(value)
    unit = KINDS[kind][0]
    return value if unit.factor == 1.0 else value * (1.0 / unit.factor)


def rpm(rotation: float) -> float:
    """A rotation [rad/s] in turns a minute."""
    return rotation * 30.0 / math.pi
