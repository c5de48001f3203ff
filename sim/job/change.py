"""A job with one key changed; the digest that names a job."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
import tomllib
from collections.abc import Mapping
from typing import Any

import numpy as np

from sim.job.key import keys_of
from sim.job.read import from_mapping
from sim.job.scene import EITHER, LATER, SECTIONS, SHOP, Scene
from sim.job.values import file_keys, nearest
from sim.job.write import files_of, to_text
from sim.reference.errors import SceneError


def digest(scene: Scene) -> str:
    """A short name for what the scene says: equal for equal jobs, whatever units the file used.

    >>> from sim.job.read import load
    >>> len(digest(load("scenes/cleans_up.toml")))
    16
    """
    plain = _told(scene)
    plain["job"].pop("units")
    for section in (*SHOP, *LATER):
        held = getattr(scene, section)
        if not held or (section in SHOP and held == type(held)()):
            plain.pop(section)
    bores = plain["bore_on_bar"]
    for held in (plain["readings"], *bores, *(one.get("readings") for one in bores)):
        for key in ("file", "table", "text", "said"):
            (held or {}).pop(key, None)
    text = json.dumps(_rounded(plain), sort_keys=True)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


def _told(item: Any) -> Any:
    """A section as plain values, without later keys left at their defaults."""
    if dataclasses.is_dataclass(item):
        fields = dataclasses.fields(item)
        values = {f.name: (getattr(item, f.name), f) for f in fields}
        return {
            k: _told(v)
            for k, (v, f) in values.items()
            if not f.metadata.get("later") or v != f.default
        }
    return [_told(one) for one in item] if isinstance(item, tuple) else item


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
    """The scene with file keys changed, as `section.key` or `section.N.key` for the N-th of a list
    from 1.

    `layer.key` without a number changes every layer; a number one past the last adds an entry, a
    layer as a copy of the last. Raises SceneError as a file would.

    >>> from sim.job.read import load
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
    return from_mapping(raw, name=name, beside=files_of(scene))


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
    raise SceneError(
        f"{name}: '{dotted}' names nothing in the scene; write section.key or section.N.key "
        "with N from 1."
    )


def _set(target: dict[str, Any], section: str, key: str, value: Any) -> None:
    """Put a value in, and take away what it replaces: the same quantity in another unit, or its
    alternative.
    """
    fields = {f.name: f for f in keys_of(SECTIONS[section][0])}
    mine = next((n for n, f in fields.items() if key in file_keys(f)), None)
    groups = [g for g in EITHER.get(section, ()) if mine in g]
    for other in groups[0] if groups else (mine,):
        if other is not None:
            for old in file_keys(fields[other]):
                target.pop(old, None)
    if value is not None:
        target[key] = value
