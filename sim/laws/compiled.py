"""The one door to numba: compile once, keep on disk under a name made of the source of every
compiled file.

So an edit in any of them compiles afresh; numba by itself looks only at the file of the outermost
loop.
"""

from __future__ import annotations

import hashlib
import math
import os
import tempfile
from pathlib import Path
from typing import Any

from numba import config
from numba import njit as _njit

TURN = 2.0 * math.pi
SNAP = 1e-9  # mm: two knots closer than this are one

_SIM = Path(__file__).resolve().parents[1]
SOURCES = (*sorted(_SIM.glob("laws/*.py")), *sorted(_SIM.glob("bore/kernels/*.py")))


def _folder() -> tuple[Path, bool]:
    """Where compiled code is kept, and whether it is: the user's cache, or else a folder that goes."""
    text = b"".join(path.read_bytes() for path in SOURCES)
    name = hashlib.blake2b(text, digest_size=8).hexdigest()
    try:
        home = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
        folder = home / "bore-buildup" / name
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder, True
    except (OSError, RuntimeError):
        pass
    return Path(tempfile.mkdtemp(prefix="bore-buildup-")), False


CACHE, KEPT = _folder()
config.CACHE_DIR = str(CACHE)


def njit(function: Any) -> Any:
    """Compile once, keep the result on disk, let go of the interpreter lock while running."""
    return _njit(cache=True, nogil=True, error_model="numpy")(function)


def compiled() -> bool:
    """Tell whether this machine holds the compiled engine of these sources already."""
    return any(CACHE.rglob("lay.lay_columns-*.nbi"))
