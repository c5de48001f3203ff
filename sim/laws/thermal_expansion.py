"""Law of thermal expansion: a size read warm, brought to 20 C."""

from __future__ import annotations

import math

import numpy as np

from sim.reference.arrays import Array

FORMULA = "D20 = D x (1 + a gauge x (T gauge - 20)) / (1 + a work x (T work - 20))"
SOURCE = "ISO 1; mean of a ring: steady radial conduction"
RANGE = {"T work": (0.0, 150.0, "C")}
HOW_KNOWN = "published"


WARM_AT, WARM_BETWEEN = 40.0, 5.0


REFERENCE = 20.0


def mean_wall_temperature(bore_c: Array, outside_c: Array, ratio: float) -> Array:
    """Area-mean temperature [C] of a ring with its bore and outside held at these, `ratio` outside
    over bore diameter.

    Steady radial conduction (logarithmic profile); the free ring grows with its area mean
    (thick-ring thermoelasticity).

    >>> round(float(mean_wall_temperature(np.array(120.0), np.array(70.0), 2.0)), 2)
    89.4
    """
    share = 1.0 / (2.0 * math.log(ratio)) - 1.0 / (ratio**2 - 1.0)
    return np.asarray(outside_c + (bore_c - outside_c) * share)


def is_warm(bore_c: Array, outside_c: Array) -> bool:
    """Tell whether no tolerance may be judged: above 40 C, or more than 5 C from bore to outside
    (common practice).
    """
    with np.errstate(invalid="ignore"):
        return bool((bore_c > WARM_AT).any() or (np.abs(bore_c - outside_c) > WARM_BETWEEN).any())


def to_20(gauge: float, gauge_c: Array, work: float, work_c: Array) -> Array:
    """Size at 20 C over size as read: gauge, work: linear expansion [1/K] of each at temperatures
    [C].

    >>> round(80.0 * float(to_20(11.5e-6, np.array(20.0), 11.5e-6, np.array(70.0))), 4)
    79.954
    """
    return np.asarray((1.0 + gauge * (gauge_c - REFERENCE)) / (1.0 + work * (work_c - REFERENCE)))
