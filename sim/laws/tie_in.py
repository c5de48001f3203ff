"""Law of tie-in: how far a bead washes up the flank of a neighbour laid before it.

A pool reaches half a width to either side; towards a neighbour it reaches farther, the more the closer that lies: at
tie-in 1 to its crest, from the pitch of the tangent model on down.
"""

from __future__ import annotations

from sim.laws.compiled import njit

FALL_OFF = 0.262


FORMULA = f"farther = tie in x (gap - w / 2) x min(1, (w - gap) / ({FALL_OFF} x w))^2"
SOURCE = (
    "fall-off: 1 less the pitch over width of the tangent model, 0.738 (Ding et al. 2015); "
    "tie-in itself is measured on a pad"
)
RANGE = {"gap / w": (0.5, 1.0, "1"), "tie in": (0.0, 1.0, "1")}
HOW_KNOWN = "assumed"


@njit
def farther(gap: float, width: float, tie_in: float) -> float:
    """How much farther than half a width [mm] a pool reaches towards a neighbour `gap` [mm] away; 0
    outside RANGE.

    >>> round(farther(3.5, 5.0, 1.0), 9), farther(5.0, 5.0, 1.0), farther(2.5, 5.0, 1.0)
    (1.0, 0.0, 0.0)
    """
    if not 0.5 * width < gap < width:
        return 0.0
    share = min(1.0, ((width - gap) / (FALL_OFF * width)) ** 2)
    return tie_in * (gap - 0.5 * width) * share
