"""Files written whole or not at all, one by one or as a folder that belongs together."""

from __future__ import annotations

import hashlib
import os
import stat
import tempfile
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from glob import escape
from pathlib import Path
from typing import IO

from filelock import FileLock, Timeout

from sim.reference.errors import SceneError

LISTED = "SHA256SUMS"
"""What belongs in a folder: a line a file, as `sha256sum --check` reads it; written last."""

WAIT = 10.0  # seconds another process is given to finish writing the same file

Writer = Callable[[IO[bytes]], None]


def write_whole(path: Path, data: bytes, *, was: bytes | None = None) -> None:
    """Write a file whole or not at all; a link is followed, the file's permissions are kept.

    was: what the file held when it was read; another holding now is somebody else's work and is
    not written over. Raises SceneError with one sentence.
    """
    target = Path(os.path.realpath(path))
    try:
        if target.exists() and not stat.S_ISREG(target.stat().st_mode):
            target.write_bytes(data)  # a device or pipe stays what it is
            return
        with _alone(target):
            if was is not None and target.exists() and target.read_bytes() != was:
                raise SceneError(
                    f"{path}: was changed by somebody else since it was read and is left as it "
                    "is; run the same command again."
                )
            with _part(target) as part:
                part.write_bytes(data)
                _put(part, target)
    except OSError as fault:
        raise SceneError(
            f"{path}: cannot be written ({fault.strerror}); choose another place or free this one."
        ) from None


def write_folder(folder: Path, files: Mapping[str, Writer]) -> list[Path]:
    """Write files that belong together and, last, the list of them with their digests.

    While they are put in place the list is away: a folder without it, or one that
    `sha256sum --check SHA256SUMS` refuses, is a mix. Files of an older list that are no more are
    taken away; what no list named is left alone. Raises SceneError with one sentence.
    """
    listed = folder / LISTED
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _alone(listed):
            parts = {name: _fresh(folder / name) for name in files}
            try:
                with ThreadPoolExecutor(os.cpu_count() or 1, thread_name_prefix="files") as pool:
                    lines = list(pool.map(_written, parts.values(), files, files.values()))
                old = _named(listed)
                listed.unlink(missing_ok=True)
                for name, part in parts.items():
                    _put(part, folder / name)
                for name in old - set(files):
                    (folder / name).unlink(missing_ok=True)
                with _part(listed) as part:
                    part.write_text("".join(lines), "utf-8")
                    _put(part, listed)
            finally:
                for part in parts.values():
                    part.unlink(missing_ok=True)
    except OSError as fault:
        raise SceneError(
            f"{folder}: cannot be written to ({fault.strerror or fault}); choose another folder "
            "or free it."
        ) from None
    return [folder / name for name in files]


def _written(part: Path, name: str, writer: Writer) -> str:
    """The line of the list for a part just written."""
    with open(part, "wb") as out:
        writer(out)
    with open(part, "rb") as held:
        return f"{hashlib.file_digest(held, 'sha256').hexdigest()}  {name}\n"


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """No other process of this machine writes the target meanwhile; the lock dies with us."""
    mark = hashlib.sha256(str(target.absolute()).encode("utf-8", "surrogateescape")).hexdigest()
    user = os.getuid() if hasattr(os, "getuid") else "user"
    lock = Path(tempfile.gettempdir()) / f"bore-buildup-{user}-{mark[:16]}.lock"
    try:
        with FileLock(lock, timeout=WAIT):
            yield
    except Timeout:
        raise SceneError(
            f"{target}: another process is writing it; run the same command again."
        ) from None


def _fresh(target: Path) -> Path:
    """A new empty file beside the target; those a process that died left behind are cleared."""
    for left in target.parent.glob(f".{escape(target.name)}.*.part"):
        left.unlink(missing_ok=True)
    held, name = tempfile.mkstemp(".part", f".{target.name}.", target.parent)
    os.close(held)
    return Path(name)


@contextmanager
def _part(target: Path) -> Iterator[Path]:
    part = _fresh(target)
    try:
        yield part
    finally:
        part.unlink(missing_ok=True)


def _put(part: Path, target: Path) -> None:
    """On the disk first, then in the target's place, with the permissions it had or may have."""
    with open(part, "rb+") as held:
        os.fsync(held.fileno())
    mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o666 & ~_mask()
    os.chmod(part, mode)
    os.replace(part, target)
    if os.name == "posix":  # the folder's entry too
        held_folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(held_folder)
        finally:
            os.close(held_folder)


def _mask() -> int:
    """Permissions a new file does not get; asking for them needs setting them for a moment."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _named(listed: Path) -> set[str]:
    """Files an older list names; plain names alone count."""
    try:
        lines = listed.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return set()
    names = {line.partition("  ")[2] for line in lines}
    return {name for name in names if name and Path(name).name == name}
