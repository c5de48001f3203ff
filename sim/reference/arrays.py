"""Arrays of the engine: floats and counts, whole turns, made read-only."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


Counts = NDArray[np.int64]


TURN = 2.0 * math.pi


def frozen(array: NDArray[Any]) -> NDArray[Any]:
    """The same array, made read-only."""
    array.setflags(write=False)
    return array
