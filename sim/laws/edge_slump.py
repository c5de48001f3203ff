"""Law of the free edge: a bead over a face without a run-off ring is held on one side only, and slumps."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Slump = TypeVar("Slump", float, NDArray[np.float64])


FORMULA = "lost = slump x layers"
SOURCE = "assumed: laws that melt nothing away leave about this much less"
RANGE = {"slump": (0.0, 0.3, "mm"), "depth from the face / w": (0.0, 0.5, "1")}
HOW_KNOWN = "assumed"


REACH = RANGE["depth from the face / w"][1]
"""How far in from a free face it slumps, in bead widths."""


def lost(slump: Slump, layers: int) -> Slump:
    """Metal missing at a free edge [mm per side] after so many layers that slump [mm] each.

    >>> lost(0.25, 4)
    1.0
    """
    return slump * layers
