"""Scene files: TOML in, Scene out, and back; the only place where a person's input is checked."""

from __future__ import annotations

import dataclasses
import difflib
import hashlib
import json
import math
import os
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from sim import dial, gauge
from sim.job import (
    EITHER,
    NOTHING,
    OPTIONAL,
    REQUIRED,
    SECTIONS,
    SHOP,
    Bore,
    ReadingsSource,
    Scene,
    SceneError,
    keys_of,
)
from sim.limits import hole_limits
from sim.metal import main_positions
from sim.sources import DEFAULTS, default
from sim.units import KINDS, LISTS, Unit

SCHEMA = 1
LARGEST_FILE = 1_000_000
LONGEST_TEXT = 2000
Beside = Path | Mapping[str, bytes]
"""Where files named in a scene are looked for: a folder, or uploaded files by name."""
TURN = 2.0 * math.pi


def load(path: str | os.PathLike[str]) -> Scene:
    """Read and check a scene file. Raises SceneError with one sentence.

    >>> load("no_such_file.toml")
    Traceback (most recent call last):
        ...
    sim.job.SceneError: no_such_file.toml: there is no such file; check the name or run `bore-buildup scenes`.
    """
    path = Path(path)
    return parse(_text_of(path), name=str(path), beside=path.parent)


SCENES = Path(__file__).resolve().parent.parent / "scenes"
FIRST = "cleans_up"


def shipped() -> list[Path]:
    """The shipped scenes, the plainest first."""
    return sorted(SCENES.glob("*.toml"), key=lambda path: (path.stem != FIRST, path.stem))


def find_scene(name: str) -> Path:
    """A file as named, or else the shipped scene of that name."""
    path = Path(name)
    if not os.path.exists(path) and path.suffix == "" and path.name == name and os.path.exists(SCENES / f"{name}.toml"):
        return SCENES / f"{name}.toml"
    return path


def _text_of(path: Path) -> str:
    """The text of a scene file, or a SceneError that says why not."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise SceneError(f"{path}: this is a folder; give a scene file ending in .toml.")
        if not path.is_file():
            raise SceneError(f"{path}: not a plain file; give a scene file ending in .toml.")
        if size > LARGEST_FILE:
            raise SceneError(
                f"{path}: {size} bytes is too large for a scene (at most {LARGEST_FILE}); give a scene file."
            )
        data = path.read_bytes()
    except SceneError:
        raise
    except FileNotFoundError:
        raise SceneError(f"{path}: there is no such file; check the name or run `bore-buildup scenes`.") from None
    except (OSError, ValueError) as fault:
        why = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise SceneError(f"{path}: cannot be read ({why}); check the name and the permissions.") from None
    return decoded(data, name=str(path))


def decoded(data: bytes, *, name: str) -> str:
    """Bytes of a scene file as text. Raises SceneError for empty, binary or wrongly encoded files."""
    if len(data) > LARGEST_FILE:
        raise SceneError(f"{name}: {len(data)} bytes is too large for a scene (at most {LARGEST_FILE}); give a scene file.")
    if not data.strip():
        raise SceneError(f"{name}: the file is empty; start from a shipped scene (`bore-buildup scenes`).")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise SceneError(f"{name}: not UTF-8 text at byte {fault.start}; save the scene as plain UTF-8 text.") from None
    if "\0" in text:
        raise SceneError(f"{name}: a binary file, not text; give a scene file in TOML.")
    return text


def parse(text: str, *, name: str = "scene", beside: Beside | None = None) -> Scene:
    """Read and check a scene given as TOML text; `beside`: where a readings file is. Raises SceneError with one sentence."""
    return from_mapping(_toml(text, name), name=name, beside=beside)


def read_toml(path: Path) -> dict[str, Any]:
    """The sections of a TOML file, unchecked. Raises SceneError when it cannot be read."""
    return _toml(_text_of(path), str(path))


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise SceneError(f"{name}: not valid TOML: {fault}; mend that line.") from None
    except RecursionError:
        raise SceneError(f"{name}: nested too deeply to be a scene; use flat sections.") from None


def from_mapping(
    raw: Mapping[str, Any], *, name: str = "scene", beside: Beside | None = None, held: ReadingsSource | None = None
) -> Scene:
    """Check a scene given as nested mappings, as in the file. Raises SceneError with one sentence.

    A readings file is looked for `beside` the scene, or taken from readings already `held` under the same name.
    """
    _check_schema(raw, name)
    for section in raw:
        if section != "schema" and section not in SECTIONS:
            raise SceneError(f"{name}: unknown section [{section}]{nearest(section, SECTIONS)}")
    values: dict[str, Any] = {}
    source = None
    if isinstance(raw.get("readings"), Mapping):
        if raw.get("worn"):
            raise SceneError(f"{name}: both [worn] and [readings] given; keep one of them.")
        source = _with_text(_section(ReadingsSource, raw["readings"], "readings", name), name, beside, held)
        raw = dict(raw)
        raw["worn"] = {"diameter_mm": round(2.0 * float(source.found.radii.min()), 6)}
    for section, (kind, many, may_miss) in SECTIONS.items():
        given = raw.get(section)
        if given is None:
            if many and not may_miss:
                raise SceneError(f"{name}: no [[{section}]] given; at least one is needed.")
            values[section] = () if many else (None if may_miss else _section(kind, {}, section, name))
        elif many:
            values[section] = _list(kind, given, section, name)
        elif not isinstance(given, Mapping):
            raise SceneError(f"{name}: {section} = {_shown(given)}: must be a section [{section}] with keys under it.")
        else:
            values[section] = _section(kind, given, section, name)
    if source is not None:
        values["readings"] = _at_20(source, values["bore"], name)
    scene = Scene(**values)
    check(scene, name=name)
    return scene


def _with_text(source: ReadingsSource, name: str, beside: Beside | None, held: ReadingsSource | None) -> ReadingsSource:
    """The readings section with the text of its CSV and the readings in it."""
    if bool(source.file) == bool(source.table):
        raise SceneError(f"{name}: [readings] give exactly one of file and table.")
    where, data = f"{name}: [readings] table", source.table.encode()
    if source.file:
        where = source.file
        if Path(source.file).name != source.file:
            raise SceneError(f"{name}: [readings] file = {_shown(source.file)}: a plain file name; put the CSV beside the scene.")
        data = _beside(source.file, beside, held, name)
    found = gauge.read(data, name=where, error=source.error)
    return dataclasses.replace(source, text=data.decode("utf-8-sig"), found=found)


def _beside(file: str, beside: Beside | None, held: ReadingsSource | None, name: str) -> bytes:
    """The bytes of a readings file."""
    if held is not None and held.file == file:
        return held.text.encode()
    missing = f"{name}: [readings] file = {_shown(file)}: not found beside the scene; put it there, or write the readings as table."
    if isinstance(beside, Path):
        try:
            if not (beside / file).is_file():
                raise SceneError(missing)
            if (beside / file).stat().st_size > gauge.LARGEST:
                raise SceneError(f"{file}: larger than {gauge.LARGEST} bytes; give the readings only.")
            return (beside / file).read_bytes()
        except OSError:
            raise SceneError(missing) from None
    if beside is None or file not in beside:
        raise SceneError(missing)
    return beside[file]


def _at_20(source: ReadingsSource, bore: Bore, name: str) -> ReadingsSource:
    """The readings checked against the bore, brought to 20 C, and what is to be said of them."""
    said = gauge.check(source.found, name=source.file or f"{name}: [readings] table", length=bore.length)
    middle = 2.0 * float(np.median(source.found.radii))
    ratio = bore.outside_diameter / middle if bore.outside_diameter else default("readings.ratio")
    found, warm = gauge.at_20(
        source.found, gauge=source.gauge_expansion, work=source.work_expansion, ratio=max(ratio, 1.01),
        unsure=default("readings.temperature_error"),
    )
    said = [f"Readings: {found.how_read}.", *said, *([warm] if warm else []), *gauge.unmet(found, gauge.wall_from(found))]
    return dataclasses.replace(source, found=found, said=tuple(said), warm=bool(warm))


def _check_schema(raw: Mapping[str, Any], name: str) -> None:
    schema = raw.get("schema")
    if schema is None:
        raise SceneError(f"{name}: schema is missing; put `schema = {SCHEMA}` in the first line.")
    if isinstance(schema, bool) or not isinstance(schema, int) or schema < 1:
        raise SceneError(f"{name}: schema = {_shown(schema)}: must be the whole number {SCHEMA}.")
    if schema > SCHEMA:
        raise SceneError(f"{name}: schema = {schema}: newer than this version reads ({SCHEMA}); update the program.")


def _list(kind: type, given: Any, section: str, name: str) -> tuple[Any, ...]:
    if not isinstance(given, list) or not all(isinstance(item, Mapping) for item in given):
        raise SceneError(f"{name}: {section} = {_shown(given)}: must be written as [[{section}]] with keys under it.")
    if not given and not SECTIONS[section][2]:
        raise SceneError(f"{name}: no [[{section}]] given; at least one is needed.")
    if len(given) > 200:
        raise SceneError(f"{name}: {len(given)} [[{section}]] given: at most 200; use `repeat` for layers alike.")
    return tuple(_section(kind, item, f"{section} {k}", name) for k, item in enumerate(given, 1))


def _section(kind: type, given: Mapping[str, Any], section: str, name: str) -> Any:
    where = f"{name}: [{section}]"
    fields = {f.name: f for f in keys_of(kind)}
    allowed = {key: (f.name, unit) for f in fields.values() for key, unit in file_keys(f).items()}
    values: dict[str, Any] = {}
    used: dict[str, str] = {}
    for key, value in given.items():
        if key not in allowed:
            raise SceneError(f"{where} unknown key '{key}'{_hint(key, allowed, fields)}")
        field_name, unit = allowed[key]
        if field_name in used:
            raise SceneError(f"{where} both {used[field_name]} and {key} given; keep one of them.")
        used[field_name] = key
        values[field_name] = _value(value, key, unit, fields[field_name], where)
    for f in fields.values():
        if f.name not in values and f.metadata.get("need") == REQUIRED and _has_no_default(f):
            names = " or ".join(file_keys(f))
            raise SceneError(f"{where} {names} is missing; it is the {f.metadata['meaning'].split(',')[0]}.")
    for group in EITHER.get(section.split()[0], ()):
        there = [used[g] for g in group if g in used]
        if len(there) != 1:
            wanted = ", ".join(next(iter(file_keys(fields[g]))) for g in group)
            found = "none is given" if not there else "both are given: " + ", ".join(there)
            raise SceneError(f"{where} give exactly one of {wanted}; {found}.")
    return kind(**values)


def _has_no_default(f: dataclasses.Field[Any]) -> bool:
    return f.default is dataclasses.MISSING


def file_keys(f: dataclasses.Field[Any]) -> dict[str, Unit | None]:
    """The names under which a field may stand in a file, each with its unit."""
    kind = f.metadata["kind"]
    if kind not in KINDS:
        return {f.name: None}
    return {f.name + unit.suffix: unit for unit in KINDS[kind]}


def _hint(key: str, allowed: Mapping[str, Any], fields: Mapping[str, Any]) -> str:
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


def _shown(value: Any) -> str:
    text = json.dumps(value, default=str, ensure_ascii=False)
    return text if len(text) <= 60 else text[:57] + "..."


def _value(value: Any, key: str, unit: Unit | None, f: dataclasses.Field[Any], where: str) -> Any:
    kind, told = f.metadata["kind"], f"{where} {key} = {_shown(value)}"
    if kind == "text":
        most = int(f.metadata["high"] or LONGEST_TEXT)
        if not isinstance(value, str) or len(value) > most:
            raise SceneError(f"{told}: must be text in quotes, at most {most} letters.")
        return value
    if kind == "flag":
        if not isinstance(value, bool):
            raise SceneError(f"{told}: must be true or false.")
        return value
    if kind == "choice":
        if value not in f.metadata["choices"]:
            raise SceneError(f"{told}: must be one of {', '.join(map(_shown, f.metadata['choices']))}.")
        return value
    if kind in LISTS:
        most = 50 if kind == "lengths" else 100
        if not isinstance(value, list) or len(value) > most:
            raise SceneError(f"{told}: must be a list of at most {most} numbers{_in_unit(unit)}, as [81.0, 82.0].")
        return tuple(_quantity(one, f"{where} {key} = {_shown(one)}", unit, f) for one in value)
    if kind == "clock" and isinstance(value, str):
        value = _clock_text(value, told)
    return _quantity(value, told, unit, f)


def _quantity(value: Any, told: str, unit: Unit | None, f: dataclasses.Field[Any]) -> Any:
    """A number in its range, taken inside."""
    kind = f.metadata["kind"]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise SceneError(f"{told}: must be a number{_in_unit(unit)}; write it without quotes.")
    if not math.isfinite(value):
        raise SceneError(f"{told}: must be a finite number{_in_unit(unit)}; put in the value you measured.")
    if kind == "integer" and value != int(value):
        raise SceneError(f"{told}: must be a whole number.")
    if abs(value) > 1e9:
        raise SceneError(f"{told}: far outside what a bore can be; {_range(f, unit)}.")
    if unit is None:  # pragma: no cover - every numeric kind has a unit
        raise SceneError(f"{told}: has no unit.")
    inside = unit.inside(value)
    first = KINDS[kind][0]
    low, high = f.metadata["low"], f.metadata["high"]
    at = inside / first.factor - first.offset
    slack = 1e-9 * (1.0 + abs(at))
    if low is not None and (at < low - slack or (f.metadata["above"] and at <= low)):
        raise SceneError(f"{told}: {_range(f, unit)}.")
    if high is not None and at > high + slack:
        raise SceneError(f"{told}: {_range(f, unit)}.")
    if kind == "integer":
        return int(value)
    return inside % TURN if kind == "clock" else float(inside)


def _clock_text(value: str, told: str) -> float:
    """'9:30' as 9.5 hours."""
    hours, colon, minutes = value.partition(":")
    if not (colon and hours.strip().isdigit() and minutes.strip().isdigit() and int(minutes) < 60):
        raise SceneError(f"{told}: must be a clock such as 9.5 or '9:30'.")
    return int(hours) + int(minutes) / 60.0


def _in_unit(unit: Unit | None) -> str:
    return f" in {unit.label}" if unit is not None and unit.label else ""


def _range(f: dataclasses.Field[Any], unit: Unit | None) -> str:
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


# ---- what only the whole job can tell -----------------------------------------------------------------------


def final_limits(bore: Bore) -> tuple[float, float]:
    """Lower and upper limit of size [mm] of the finished bore: given, by ISO 286 code, or the nominal size.

    >>> final_limits(Bore(final_diameter=80.0, length=100.0, hole_code="H7"))
    (80.0, 80.03)
    """
    if bore.hole_code:
        return hole_limits(bore.hole_code, bore.final_diameter)
    low = bore.final_diameter if bore.lower_limit is None else bore.lower_limit
    high = max(low, bore.final_diameter) if bore.upper_limit is None else bore.upper_limit
    return low, high


def check(scene: Scene, *, name: str = "scene") -> None:
    """What only the whole job can tell is wrong. Raises SceneError with one sentence."""
    bore, length = scene.bore, scene.bore.length
    if bore.hole_code:
        if bore.lower_limit is not None or bore.upper_limit is not None:
            raise SceneError(f"{name}: [bore] both hole_code and limits given; keep one of them.")
        try:
            hole_limits(bore.hole_code, bore.final_diameter)
        except ValueError as fault:
            raise SceneError(f"{name}: [bore] hole_code = {_shown(bore.hole_code)}: {fault}") from None
    low, high = final_limits(bore)
    if high < low:
        raise SceneError(f"{name}: [bore] upper_limit = {high:.4f} mm: less than the lower limit {low:.4f} mm; swap them.")
    if abs(low - bore.final_diameter) > 5.0 or abs(high - bore.final_diameter) > 5.0:
        raise SceneError(f"{name}: [bore] limits {low:.3f}..{high:.3f} mm: more than 5 mm from final_diameter {bore.final_diameter:.3f} mm; give limits of size, not deviations.")
    if bore.chamfer_entry + bore.chamfer_far >= length:
        raise SceneError(f"{name}: [bore] chamfers of {bore.chamfer_entry:g} and {bore.chamfer_far:g} mm leave nothing of the length {length:g} mm; make them shorter.")
    if bore.outside_diameter is not None and bore.outside_diameter <= max(scene.worn.diameter, bore.final_diameter):
        raise SceneError(f"{name}: [bore] outside_diameter = {bore.outside_diameter:g} mm: not larger than the bore; give the outside of the boss, on diameter.")
    if scene.worn.diameter + scene.worn.taper <= 0.0:
        raise SceneError(f"{name}: [worn] taper = {scene.worn.taper:g} mm: closes the far end; give the change on diameter.")
    for kind in ("oil_hole", "gouge", "groove"):
        for k, item in enumerate(getattr(scene, kind), 1):
            if item.depth > length:
                raise SceneError(f"{name}: [{kind} {k}] depth = {item.depth:g} mm: deeper than the bore is long ({length:g} mm); measure from the entry face.")
    for k, way in enumerate(scene.keyway, 1):
        if way.to_depth <= way.from_depth or way.from_depth >= length:
            raise SceneError(f"{name}: [keyway {k}] from_depth {way.from_depth:g} to to_depth {way.to_depth:g} mm: must run inwards and begin inside the bore ({length:g} mm).")
    for k, area in enumerate(scene.no_weld, 1):
        if area.to_depth <= area.from_depth:
            raise SceneError(f"{name}: [no_weld {k}] to_depth = {area.to_depth:g} mm: must be deeper than from_depth {area.from_depth:g} mm.")
    if scene.pad is not None and scene.bead is None:
        raise SceneError(f"{name}: [pad] given without [bead]; measure the bead's width and height too.")
    if scene.job.layers_done > len(scene.layers):
        raise SceneError(f"{name}: [job] layers_done = {scene.job.layers_done}: the scene has only {len(scene.layers)} layers; add them or correct the count.")
    plate = scene.bead
    if plate is not None:
        if plate.weighed is not None and plate.counted is not None:
            raise SceneError(f"{name}: [bead] both weighed and counted given; keep the one you trust.")
        if (plate.weighed is None and plate.counted is None) != (plate.wire_time is None):
            raise SceneError(f"{name}: [bead] wire_time_s goes with weighed or counted wire; give both or neither.")
    if scene.pad is not None and scene.pad.valley >= scene.pad.crest:
        raise SceneError(f"{name}: [pad] valley = {scene.pad.valley:g} mm: must be lower than the crest {scene.pad.crest:g} mm; both are heights above the plate.")
    for k, plan in enumerate(scene.layer, 1):
        if (plan.only_from is None) != (plan.only_to is None):
            raise SceneError(f"{name}: [layer {k}] give both only_from_oclock and only_to_oclock, or neither.")
        if plan.start_depth is not None and plan.end_depth is not None and plan.start_depth == plan.end_depth and not plan.closing_start + plan.closing_end and plan.advance == "spiral":
            raise SceneError(f"{name}: [layer {k}] start_depth = end_depth = {plan.start_depth:g} mm: nothing to lay; give closing turns or a length.")
        for which, depth in (("start_depth", plan.start_depth), ("end_depth", plan.end_depth)):
            if depth is not None and not -60.0 <= depth <= length + 60.0:
                raise SceneError(f"{name}: [layer {k}] {which} = {depth:g} mm: more than 60 mm outside the bore (0 to {length:g} mm); measure from the entry face.")
    _check_plan(scene, name)
    _check_shop(scene, name)
    _check_bar(scene, name)
    _check_readings_after(scene, name)


def _check_bar(scene: Scene, name: str) -> None:
    """What is wrong with [boring_bar]. Raises SceneError with one sentence."""
    bar, length = scene.boring_bar, scene.bore.length
    if bar is None:
        return
    where = f"{name}: [boring_bar]"
    for what in ("speed", "feed"):
        least, most = getattr(bar, f"{what}_least"), getattr(bar, f"{what}_most")
        if getattr(bar, f"{what}s") and (least is not None or most is not None):
            raise SceneError(f"{where} both {what}s and {what}_least or {what}_most given; keep the list, or the range.")
        if least is not None and most is not None and least > most:
            raise SceneError(f"{where} {what}_least is more than {what}_most; swap them.")
    if bar.held == "overhung" and (bar.span is not None or bar.before is not None):
        raise SceneError(f"{where} span and before go with held = \"supported\"; give overhang, or change held.")
    if bar.held == "supported" and bar.overhang is not None:
        raise SceneError(f"{where} overhang goes with held = \"overhung\"; give span, or change held.")
    if bar.span is not None and bar.span < (bar.before or 0.0) + length:
        raise SceneError(f"{where} span = {bar.span:g} mm: the bore of {length:g} mm does not lie between the bearings; measure from bearing to bearing.")


def _check_plan(scene: Scene, name: str) -> None:
    """What is wrong with [confidence] and [plan]. Raises SceneError with one sentence."""
    if scene.confidence.asked > 0.999:
        raise SceneError(f"{name}: [confidence] asked = {scene.confidence.asked:g}: no plan is certain, beads and set-up have no hard limits; ask for at most 0.999.")
    for what in ("overlap", "travel", "wire_feed", "rotation", "pitch"):
        least, most = getattr(scene.plan, f"{what}_least"), getattr(scene.plan, f"{what}_most")
        if least is not None and most is not None and least > most:
            raise SceneError(f"{name}: [plan] {what}_least is more than {what}_most; swap them.")



def _check_shop(scene: Scene, name: str) -> None:
    """What is wrong with [procedure], [heat], [steel] and [[dial]]. Raises SceneError with one sentence."""
    asked, heat = scene.procedure, scene.heat
    for what in ("wire_feed", "voltage", "current", "travel", "heat_input", "arc_energy"):
        least, most = getattr(asked, f"{what}_least"), getattr(asked, f"{what}_most")
        if least is not None and most is not None and least > most:
            raise SceneError(f"{name}: [procedure] {what}_least is more than {what}_most; swap them.")
    try:
        main_positions(asked.positions)
    except ValueError as fault:
        raise SceneError(f"{name}: [procedure] positions = {_shown(asked.positions)}: {fault}.") from None
    if heat.interpass is not None and heat.interpass <= heat.air:
        raise SceneError(f"{name}: [heat] interpass = {heat.interpass:g} C: the part never cools below the air's {heat.air:g} C; give a higher temperature.")
    metals = sum(getattr(scene.steel, one) or 0.0 for one in ("carbon", "silicon", "manganese", "chromium", "molybdenum", "vanadium", "nickel", "copper", "boron"))
    if metals > 50.0:
        raise SceneError(f"{name}: [steel] the elements add up to {metals:g} %: more than half is no steel; give % of mass.")
    for k, point in enumerate(scene.dial, 1):
        if point.rotation is None and point.wire_feed is None:
            raise SceneError(f"{name}: [dial {k}] mark = {point.mark:g}: neither rotation nor wire_feed given; say what the dial gives there.")
    for table in dial.tables(scene.dial):
        dial.check(table, f"{name}: [[dial]]")


def _check_readings_after(scene: Scene, name: str) -> None:
    """What is wrong with [[reading_after]] and [update]. Raises SceneError with one sentence."""
    for k, one in enumerate(scene.reading_after, 1):
        if one.layer > len(scene.layers):
            raise SceneError(f"{name}: [reading_after {k}] layer = {one.layer}: the scene has {len(scene.layers)} layer{'s' * (len(scene.layers) != 1)}; correct the number or add the layers laid.")
        gauge.read(one.table.encode(), name=f"{name}: [reading_after {k}] table", error=one.error, welded=True)
    known = scene.update
    if known is None:
        return
    if not scene.reading_after:
        raise SceneError(f"{name}: [update] given without [[reading_after]]; it is worked out from readings: take it out and run `update`.")
    held = 2 + sum(one is not None for one in (known.tie_in, known.law, known.edge, known.width, known.gravity)) + (5 if known.torch else 0)
    whole = len(known.torch) in (0, 4) and len(known.torch_spread) == len(known.torch) and (known.pool_run is not None) == bool(known.torch)
    if not whole or len(known.links) != held * (held - 1) // 2:
        raise SceneError(f"{name}: [update] is not whole; take it out and run `update` on the readings again.")
    if known.layers > len(scene.layers):
        raise SceneError(f"{name}: [update] layers = {known.layers}: the scene has only {len(scene.layers)}; take [update] out and run `update` again.")


# ---- writing ----------------------------------------------------------------------------------------------


def to_text(scene: Scene, *, whole: bool = False) -> str:
    """The scene as a commented TOML file; reading it back gives the same scene.

    whole: readings from a file are written into it, so that the file stands alone.
    """
    if whole and scene.readings is not None and scene.readings.file:
        scene = dataclasses.replace(scene, readings=dataclasses.replace(scene.readings, file="", table=scene.readings.text))
    lines = [f"schema = {SCHEMA}"]
    for section, (kind, many, _) in SECTIONS.items():
        held: Any = None if section == "worn" and scene.readings is not None else getattr(scene, section)
        items = held if many else (() if held is None else (held,))
        for item in items:
            body = _lines(item, scene.job.units)
            if not body and not many:
                continue
            title = f"[[{section}]]" if many else f"[{section}]"
            what = (kind.__doc__ or "").split("]")[-1].strip().splitlines()
            comment = f"  # {what[0]}" if what and what[0] else ""
            lines += ["", title + comment, *body]
    return "\n".join(lines) + "\n"


def _lines(item: Any, units: str) -> list[str]:
    out = []
    for f in keys_of(type(item)):
        value = getattr(item, f.name)
        if value is None or (not _has_no_default(f) and value == f.default):
            continue
        out.append(f"{_written(f, value, units):<34} # {_comment(f, units)}")
    return out


def _unit_for(f: dataclasses.Field[Any], units: str) -> Unit | None:
    choices = KINDS.get(f.metadata["kind"])
    if choices is None:
        return None
    return choices[1] if units == "in" and len(choices) > 1 else choices[0]


def _written(f: dataclasses.Field[Any], value: Any, units: str) -> str:
    unit = _unit_for(f, units)
    if unit is None:
        if f.name == "table" and "\n" in value:
            return f'{f.name} = """\n{value.replace(chr(92), chr(92) * 2).replace(chr(34) * 3, "")}"""'
        shown = ("true" if value else "false") if isinstance(value, bool) else json.dumps(value, ensure_ascii=False)
        return f"{f.name} = {shown}"
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
    if f.metadata["kind"] in KINDS and (f.metadata["low"] is not None or f.metadata["high"] is not None):
        return f"{text}; {_range(f, _unit_for(f, units))[8:]}"
    return text


def save(scene: Scene, path: str | os.PathLike[str]) -> None:
    """Write the scene; the file is there whole or not at all. Raises SceneError when it cannot be written."""
    write_whole(Path(path), to_text(scene).encode("utf-8"))


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all. Raises SceneError with one sentence."""
    temporary = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".", suffix=".part", delete=False) as out:
            temporary = out.name
            out.write(data)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as fault:
        if temporary is not None and os.path.exists(temporary):
            os.unlink(temporary)
        raise SceneError(f"{path}: cannot be written ({fault.strerror}); choose another place or free this one.") from None


# ---- what a program wants to know ----------------------------------------------------------------------------


def digest(scene: Scene) -> str:
    """A short name for what the scene says: equal for equal jobs, whatever units the file used.

    >>> len(digest(load("scenes/cleans_up.toml")))
    16
    """
    plain = dataclasses.asdict(scene)
    plain["job"].pop("units")
    for section in (*SHOP, "reading_after", "update"):
        held = getattr(scene, section)
        if not held or (section in SHOP and held == type(held)()):
            plain.pop(section)
    for key in ("file", "table", "text", "said"):
        (plain["readings"] or {}).pop(key, None)
    text = json.dumps(_rounded(plain), sort_keys=True)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


def _rounded(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return _rounded(value.tolist())
    if isinstance(value, float):
        return None if math.isnan(value) else float(f"{value:.11g}") + 0.0
    if isinstance(value, dict):
        return {k: _rounded(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(v) for v in value]
    return value


def changed(scene: Scene, changes: Mapping[str, Any], *, name: str = "scene") -> Scene:
    """The scene with file keys changed, as `section.key` or `section.N.key` for the N-th of a list from 1.

    `layer.key` without a number changes every layer; a number one past the last adds an entry, a layer as a copy of
    the last. Raises SceneError as a file would.

    >>> scene = load("scenes/cleans_up.toml")
    >>> changed(scene, {"layer.pitch_mm": 3.25}).layer[0].pitch
    3.25
    """
    raw = tomllib.loads(to_text(scene))
    for dotted, value in changes.items():
        parts = dotted.split(".")
        if parts[0] not in SECTIONS:
            raise SceneError(f"{name}: unknown section in '{dotted}'{nearest(parts[0], SECTIONS)}")
        for target in _targets(raw, parts, dotted, name):
            _set(target, parts[0], parts[-1], value)
    return from_mapping(raw, name=name, held=scene.readings)


def _targets(raw: dict[str, Any], parts: list[str], dotted: str, name: str) -> list[dict[str, Any]]:
    section, many = parts[0], SECTIONS[parts[0]][1]
    if not many and len(parts) == 2:
        target: dict[str, Any] = raw.setdefault(section, {})
        return [target]
    if many and len(parts) == 2:
        return list(raw.get(section, []))
    items = raw.setdefault(section, []) if many else []
    if many and len(parts) == 3 and parts[1].isdigit() and 1 <= int(parts[1]) <= len(items) + 1:
        if int(parts[1]) > len(items):
            items.append({**items[-1], "repeat": 1} if section == "layer" and items else {})
        return [items[int(parts[1]) - 1]]
    raise SceneError(f"{name}: '{dotted}' names nothing in the scene; write section.key or section.N.key with N from 1.")


def _set(target: dict[str, Any], section: str, key: str, value: Any) -> None:
    """Put a value in, and take away what it replaces: the same quantity in another unit, or its alternative."""
    fields = {f.name: f for f in keys_of(SECTIONS[section][0])}
    mine = next((n for n, f in fields.items() if key in file_keys(f)), None)
    groups = [g for g in EITHER.get(section, ()) if mine in g]
    for other in (groups[0] if groups else (mine,)):
        if other is not None:
            for old in file_keys(fields[other]):
                target.pop(old, None)
    if value is not None:
        target[key] = value


def schema() -> dict[str, Any]:
    """JSON Schema of the scene file, made from the same declarations that read it."""
    sections: dict[str, Any] = {"schema": {"const": SCHEMA}}
    for section, (kind, many, _) in SECTIONS.items():
        keys: dict[str, Any] = {}
        required: list[str] = []
        for f in keys_of(kind):
            for key, unit in file_keys(f).items():
                keys[key] = _key_schema(f, unit, section)
            if _has_no_default(f) and len(file_keys(f)) == 1:
                required += file_keys(f)
        one = {"type": "object", "additionalProperties": False, "properties": keys, "required": required}
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
    told["type"] = "integer" if kind == "integer" else (["number", "string"] if kind == "clock" else "number")
    told["description"] += "; " + _range(f, unit) if f.metadata["low"] is not None else ""
    known = DEFAULTS.get(f.metadata["known"])
    if known is not None:
        told["description"] += f"; default {known.value:g} {known.unit} ({known.basis}: {known.source})"
    elif f.metadata["need"] == OPTIONAL:
        told["description"] += "; may be left out"
    elif f.metadata["need"] == NOTHING:
        told["description"] += "; nothing when left out"
    return told
