"""Scene files: found, read, written whole."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.reference.errors import SceneError
from sim.reference.shipped import shipped_folder

LARGEST_FILE, LARGEST_BESIDE = 1_000_000, 5_000_000


Beside = Path | Mapping[str, bytes]
"""Where files named in a scene are looked for: a folder, or uploaded files by name."""


SCENES = shipped_folder() / "scenes"


FIRST = "cleans_up"


def shipped() -> list[Path]:
    """The shipped scenes, the plainest first."""
    return sorted(SCENES.glob("*.toml"), key=lambda path: (path.stem != FIRST, path.stem))


def find_scene(name: str) -> Path:
    """A file as named, or else the shipped scene of that name."""
    path = Path(name)
    if (
        not os.path.exists(path)
        and path.suffix == ""
        and path.name == name
        and os.path.exists(SCENES / f"{name}.toml")
    ):
        return SCENES / f"{name}.toml"
    return path


def scene_text(path: Path) -> str:
    """The text of a scene file, or a SceneError that says why not."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise SceneError(f"{path}: this is a folder; give a scene file ending in .toml.")
        if not path.is_file():
            raise SceneError(f"{path}: not a plain file; give a scene file ending in .toml.")
        if size > LARGEST_FILE:
            raise SceneError(
                f"{path}: {size} bytes is too large for a scene (at most {LARGEST_FILE}); "
                "give a scene file."
            )
        data = path.read_bytes()
    except SceneError:
        raise
    except FileNotFoundError:
        raise SceneError(
            f"{path}: there is no such file; check the name or run `bore-buildup scenes`."
        ) from None
    except (OSError, ValueError) as fault:
        why = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise SceneError(
            f"{path}: cannot be read ({why}); check the name and the permissions."
        ) from None
    return decoded(data, name=str(path))


def decoded(data: bytes, *, name: str) -> str:
    """Bytes of a scene file as text. Raises SceneError for empty, binary or wrongly encoded files."""
    if len(data) > LARGEST_FILE:
        raise SceneError(
            f"{name}: {len(data)} bytes is too large for a scene (at most {LARGEST_FILE}); "
            "give a scene file."
        )
    if not data.strip():
        raise SceneError(
            f"{name}: the file is empty; start from a shipped scene (`bore-buildup scenes`)."
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise SceneError(
            f"{name}: not UTF-8 text at byte {fault.start}; save the scene as plain UTF-8 text."
        ) from None
    if "\0" in text:
        raise SceneError(f"{name}: a binary file, not text; give a scene file in TOML.")
    return text


def read_toml(path: Path) -> dict[str, Any]:
    """The sections of a TOML file, unchecked. Raises SceneError when it cannot be read."""
    return toml_of(scene_text(path), str(path))


def toml_of(text: str, name: str) -> dict[str, Any]:
    """A scene file's text as values. Raises SceneError."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise SceneError(f"{name}: not valid TOML: {fault}; mend that line.") from None
    except RecursionError:
        raise SceneError(f"{name}: nested too deeply to be a scene; use flat sections.") from None


def bytes_beside(file: str, beside: Beside | None, where: str, way_out: str) -> bytes:
    """The bytes of a file that a scene names. Raises SceneError with one sentence."""
    missing = f"{where} file = {file!r}: not found beside the scene; {way_out}."
    if isinstance(beside, Path):
        try:
            if not (beside / file).is_file():
                raise SceneError(missing)
            if (beside / file).stat().st_size > LARGEST_BESIDE:
                raise SceneError(f"{file}: larger than {LARGEST_BESIDE} bytes; give a smaller one.")
            return (beside / file).read_bytes()
        except OSError:
            raise SceneError(missing) from None
    if beside is None or file not in beside:
        raise SceneError(missing)
    return beside[file]
