"""Text of a scene file to values within their range, and what is said when it does not fit."""

from __future__ import annotations

import dataclasses
import difflib
import json
import math
import unicodedata
from collections.abc import Mapping
from typing import Any

from sim.reference.errors import SceneError
from sim.reference.units import KINDS, LISTS, Unit

SCHEMA = 1


LONGEST_TEXT = 2000


SEVERAL_LINES = ("note", "table")  # other texts are one line


TURN = 2.0 * math.pi


def has_no_default(f: dataclasses.Field[Any]) -> bool:
    """Tell whether a key must be given."""
    return f.default is dataclasses.MISSING


def file_keys(f: dataclasses.Field[Any]) -> dict[str, Unit | None]:
    """The names under which a field may stand in a file, each with its unit."""
    kind = f.metadata["kind"]
    if kind not in KINDS:
        return {f.name: None}
    return {f.name + unit.suffix: unit for unit in KINDS[kind]}


def hint_for(key: str, allowed: Mapping[str, Any], fields: Mapping[str, Any]) -> str:
    """Wrong or missing unit suffix, or the nearest known key."""
    for field_name, f in fields.items():
        if key == field_name or (key.startswith(field_name + "_") and key not in allowed):
            suffixes = {u.suffix for units in KINDS.values() for u in units}
            has_unit = f.metadata["kind"] in KINDS and KINDS[f.metadata["kind"]][0].suffix
            if has_unit and key[len(field_name) :] in suffixes:
                return f": the unit is part of the name; write {' or '.join(file_keys(f))}."
    return nearest(key, allowed)


def nearest(word: str, known: Mapping[str, Any]) -> str:
    """The end of a sentence about an unknown name: what was meant, or what there is."""
    near = difflib.get_close_matches(word, list(known), 1, 0.5)
    return f"; did you mean {near[0]}?" if near else f"; known are {', '.join(sorted(known))}."


def plain_text(value: str, told: str, *, several_lines: bool) -> str:
    """Text as given, where it is no more than text: what moves a terminal's cursor or is half a
    letter raises SceneError.
    """
    for at, letter in enumerate(value, 1):
        kind = unicodedata.category(letter)
        if kind == "Cs" or (kind == "Cc" and not (letter in "\n\r\t" and several_lines)):
            what = "half a letter" if kind == "Cs" else f"U+{ord(letter):04X}, no letter"
            lines = "" if several_lines else " in one line"
            raise SceneError(f"{told}: must be plain text{lines}; take out sign {at} ({what}).")
    return value


def as_written(value: Any) -> str:
    """A value as it stands in the file, cut short where it is long."""
    try:
        text = json.dumps(value, default=str, ensure_ascii=False)
    except (RecursionError, ValueError):  # nested without end, a number of thousands of digits
        text = "..."
    text = text.encode("utf-8", "replace").decode("utf-8").replace("\x7f", "?")
    return text if len(text) <= 60 else text[:57] + "..."


def value_of(value: Any, key: str, unit: Unit | None, f: dataclasses.Field[Any], where: str) -> Any:
    """A value of the file inside: checked, in mm, rad, s, C. Raises SceneError."""
    kind, told = f.metadata["kind"], f"{where} {key} = {as_written(value)}"
    if kind == "text":
        most = int(f.metadata["high"] or LONGEST_TEXT)
        if not isinstance(value, str) or len(value) > most:
            raise SceneError(f"{told}: must be text in quotes, at most {most} letters.")
        return plain_text(value, told, several_lines=f.name in SEVERAL_LINES)
    if kind == "flag":
        if not isinstance(value, bool):
            raise SceneError(f"{told}: must be true or false.")
        return value
    if kind == "choice":
        if value not in f.metadata["choices"]:
            raise SceneError(
                f"{told}: must be one of {', '.join(map(as_written, f.metadata['choices']))}."
            )
        return value
    if kind in LISTS:
        most = 50 if kind == "lengths" else 100
        if not isinstance(value, list) or len(value) > most:
            raise SceneError(
                f"{told}: must be a list of at most {most} numbers{_in_unit(unit)}, as "
                "[81.0, 82.0]."
            )
        return tuple(_quantity(one, f"{where} {key} = {as_written(one)}", unit, f) for one in value)
    if kind == "clock" and isinstance(value, str):
        value = _clock_text(value, told)
    return _quantity(value, told, unit, f)


def _quantity(value: Any, told: str, unit: Unit | None, f: dataclasses.Field[Any]) -> Any:
    """A number in its range, taken inside."""
    kind = f.metadata["kind"]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise SceneError(f"{told}: must be a number{_in_unit(unit)}; write it without quotes.")
    if isinstance(value, float) and not math.isfinite(value):
        raise SceneError(
            f"{told}: must be a finite number{_in_unit(unit)}; put in the value you measured."
        )
    if kind == "integer" and value != int(value):
        raise SceneError(f"{told}: must be a whole number.")
    if abs(value) > 1e9:
        raise SceneError(f"{told}: far outside what a bore can be; {range_words(f, unit)}.")
    if unit is None:  # pragma: no cover - every numeric kind has a unit
        raise SceneError(f"{told}: has no unit.")
    inside = unit.inside(value)
    if not _in_range(inside, f):
        raise SceneError(f"{told}: {range_words(f, unit)}.")
    if kind == "integer":
        return int(value)
    return inside % TURN if kind == "clock" else float(inside)


def _in_range(inside: float, f: dataclasses.Field[Any]) -> bool:
    """Whether a value lies in the range of its key, given in the first unit of its kind."""
    first = KINDS[f.metadata["kind"]][0]
    low, high = f.metadata["low"], f.metadata["high"]
    at = inside / first.factor - first.offset
    slack = 1e-9 * (1.0 + abs(at))
    if low is not None and (at < low - slack or (f.metadata["above"] and at <= low)):
        return False
    return high is None or at <= high + slack


def _clock_text(value: str, told: str) -> float:
    """'9:30' as 9.5 hours."""
    hours, colon, minutes = value.partition(":")
    if not (
        colon and hours.strip().isdecimal() and minutes.strip().isdecimal() and int(minutes) < 60
    ):
        raise SceneError(f"{told}: must be a clock such as 9.5 or '9:30'.")
    return int(hours) + int(minutes) / 60.0


def _in_unit(unit: Unit | None) -> str:
    return f" in {unit.label}" if unit is not None and unit.label else ""


def range_words(f: dataclasses.Field[Any], unit: Unit | None) -> str:
    """'must be greater than 0 and at most 2000 mm' in the unit the person wrote."""
    low, high, kind = f.metadata["low"], f.metadata["high"], f.metadata["kind"]
    first = KINDS[kind][0]
    unit = unit or first

    def there(v: float) -> str:
        value = (v + first.offset) * first.factor / unit.factor - unit.offset
        return f"{value:.4g}"

    parts = []
    if low is not None:
        parts.append(("greater than " if f.metadata["above"] else "at least ") + there(low))
    if high is not None:
        parts.append("at most " + there(high))
    return "must be " + " and ".join(parts) + (f" {unit.label}" if unit.label else "")
