"""Law of arc ends: a hump where the arc starts on cold metal, a taper before it stops."""

from __future__ import annotations

import math

from sim.laws.compiled import njit

FORMULA = (
    "q = q0 x (1 + hump / h x (1 + cos(pi x since / hump length)) / 2) x min(1, until / taper "
    "length)"
)
SOURCE = "common practice, no source"
RANGE = {
    "hump": (0.8, 1.2, "mm"),
    "hump length": (10.0, 12.0, "mm"),
    "taper length": (5.0, 10.0, "mm"),
}
HOW_KNOWN = "assumed"


@njit
def with_ends(
    q: float, since: float, until: float, hump: float, hump_angle: float, taper_angle: float
) -> float:
    """Volume per radian near the ends of an arc; `since` its start, `until` its stop [rad], hump
    over bead height.

    >>> with_ends(10.0, 0.0, 1.0, 0.5, 0.2, 0.1), with_ends(10.0, 0.5, 0.05, 0.5, 0.2, 0.1)
    (15.0, 5.0)
    """
    if since < hump_angle:
        q *= 1.0 + hump * 0.5 * (1.0 + math.cos(math.pi * since / hump_angle))
    if until < taper_angle:
        q *= until / taper_angle
    return q
