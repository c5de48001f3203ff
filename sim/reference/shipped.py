"""What the tool is shipped with, beside its code: scenes, the page's script and its settings."""

from __future__ import annotations

import os
from pathlib import Path

_SIM = Path(__file__).resolve().parents[1]


def shipped_folder() -> Path:
    """The folder that holds them: inside an installed copy, or the top of a checkout.

    >>> (shipped_folder() / "scenes" / "cleans_up.toml").is_file()
    True
    """
    inside = _SIM / "shipped"
    return inside if (inside / "app.py").is_file() else _SIM.parent


def python_path() -> str:
    """PYTHONPATH with which another Python finds this very copy of the program."""
    return os.pathsep.join(p for p in (str(_SIM.parent), os.environ.get("PYTHONPATH", "")) if p)
