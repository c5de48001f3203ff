"""Readings of a warm part brought to 20 C. ISO 1."""

from __future__ import annotations

import math

import numpy as np

from sim.reference.arrays import Array

WARM_AT, WARM_BETWEEN = 40.0, 5.0


REFERENCE = 20.0


def mean_wall_temperature(bore_c: Array, outside_c: Array, ratio: float) -> Array:
    """Area-mean temperature [C] of a ring with its bore and outside held at these, `ratio` outside
    over bore diameter.

    Steady radial conduction (logarithmic profile); the free ring grows with its area mean
    (thick-ring
    thermoelasticity).

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
