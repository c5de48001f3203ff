"""Law of the crown: between its two contacts a bead is the chord less c times the parabola that vanishes at both.

c follows from conserving the volume per radian in cylinder coordinates; it is the smaller root of a quadratic.
"""

from __future__ import annotations

import math

from sim.laws.compiled import njit

FORMULA = "r = chord - c x P, P = (z - za) x (zb - z); integral of r^2 = integral of old r^2 - 2 q"
SOURCE = "conservation of volume; never measured inside a bore"
RANGE = {"h / w": (0.0, 0.6, "1")}
HOW_KNOWN = "derived"


@njit
def conserving(q: float, w: float, ra: float, rb: float, square: float) -> float:
    """C [1/mm] that lays q [mm3/rad] between contacts `w` apart at radii ra, rb [mm]; nan where the
    bore is too small.

    square: integral of the old radius squared between the contacts [mm3].

    >>> round(9.0 * conserving(6e5, 6.0, 1e5, 1e5, 6e10), 4), math.isnan(conserving(600.0, 6.0, 10.0, 10.0, 600.0))
    (1.5, True)
    """
    known = 2 * q + w * (ra * ra + ra * rb + rb * rb) / 3 - square
    i_lp = (ra + rb) * w * w * w / 12
    i_pp = w**5 / 30
    disc = i_lp * i_lp - i_pp * known
    if disc <= 0.0:
        return math.nan
    return known / (i_lp + math.sqrt(disc))


@njit
def reaches_axis(c: float, w: float, slope: float, ra: float) -> bool:
    """Tell whether the crest would reach the axis of the bore.

    >>> reaches_axis(0.1, 6.0, 0.0, 41.0), reaches_axis(5.0, 6.0, 0.0, 41.0)
    (False, True)
    """
    return c * w > abs(slope) and 4 * c * ra <= (slope - c * w) ** 2
