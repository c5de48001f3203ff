"""What is to be said, as facts: the engine remarks, `sim.tell.remarks` puts it into words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, init=False)
class Remark:
    """Something to be said: `what` it is, as named in the words of `sim.tell`, and its figures.

    Figures are plain values in mm, rad, s, C, or counts, names, other remarks or tuples of them;
    layer (from 1) and bore: the one it is about, where it is about one.

    >>> Remark("pitch wider than bead", layer=2, pitch=5.5, width=5.0)["pitch"]
    5.5
    """

    what: str
    layer: int | None
    bore: str
    figures: tuple[tuple[str, Any], ...]

    def __init__(
        self, what: str, *, layer: int | None = None, bore: str = "", **figures: Any
    ) -> None:
        object.__setattr__(self, "what", what)
        object.__setattr__(self, "layer", layer)
        object.__setattr__(self, "bore", bore)
        object.__setattr__(self, "figures", tuple(figures.items()))

    def __getitem__(self, name: str) -> Any:
        return dict(self.figures)[name]


Tell = Callable[[Remark], None]
"""Says what is going on, while it goes on."""
