"""Law of waviness: what a trace along the bore says of bead ripple.

Bead ripple is waviness, not roughness: an ISO 16610-21 Gaussian filter of cut-off 2.5 mm keeps 24 % of a 4 mm wave.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.reference.arrays import Array

FORMULA = (
    "Wa = mean of |height|; Wq = sqrt(mean of height^2); Wt = highest - lowest; height less its "
    "least-squares line"
)
SOURCE = "ISO 21920-2"
RANGE = {"points": (2.0, 1e9, "1")}
HOW_KNOWN = "published"


@dataclass(frozen=True)
class Waviness:
    """Arithmetic mean height, root mean square height and total height [mm] of a profile about its
    line (ISO 21920-2).

    Called Wa, Wq and Wt here: the unfiltered profile of the beads, its least-squares line taken
    off.
    """

    wa: float
    wq: float
    wt: float


def waviness(height: Array) -> Waviness:
    """Parameters of evenly spaced heights (n,) [mm]; ISO 21920-2 definitions over the whole length.

    >>> told = waviness(10 * np.cos((np.arange(100000) + 0.5) * 2 * np.pi / 1000))
    >>> round(told.wa, 3), round(told.wq, 3), round(told.wt, 3)
    (6.366, 7.071, 20.0)
    """
    x = np.linspace(-1.0, 1.0, len(height))
    off = height - np.polyval(np.polyfit(x, height, 1), x)
    return Waviness(
        float(np.abs(off).mean()), math.sqrt(float((off**2).mean())), float(np.ptp(off))
    )
