"""Law of pool run: metal freezes below where the arc melts it, so more of it ends up at the bottom of a bore."""

from __future__ import annotations

import math

import numpy as np

from sim.reference.arrays import Array

FORMULA = "q / mean q = 1 - pool run / R x cos(clock) x cos(inclination)"
SOURCE = "conservation of metal along the wall; the length itself never measured in a bore"
RANGE = {"pool run": (0.0, 2.0, "mm")}
HOW_KNOWN = "derived"


def share(clock: Array, pool_run: float, radius: float, inclination: float) -> Array:
    """Volume per radian over its mean at gravity clocks [rad]; pool_run, radius [mm]; inclination
    [rad].

    >>> share(np.array([0.0, np.pi]), 1.0, 40.0, 0.0).tolist()
    [0.975, 1.025]
    """
    return np.asarray(1.0 - pool_run / radius * np.cos(clock) * math.cos(inclination))
