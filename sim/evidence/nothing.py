"""What nobody has measured, as far as could be read: no row can stand for it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Unmeasured:
    """What was never measured anywhere readable, the law it concerns, and what would close it."""

    what: str
    law: str
    closed_by: str


UNMEASURED: tuple[Unmeasured, ...] = (
    Unmeasured("ripple against pitch inside a bore", "tie_in", "readings after a layer"),
    Unmeasured(
        "beads farther than 55 degrees from 6 o'clock, 69 % of the clock", "gravity", "a clock test"
    ),
    Unmeasured("how far metal runs down before it freezes", "pool_run", "readings after a layer"),
    Unmeasured(
        "hump at an arc start and taper at its stop", "arc_ends", "heights along a bead on plate"
    ),
    Unmeasured("tie-in of this wire and gas", "tie_in", "a pad of five beads"),
    Unmeasured("metal lost at the free edge of a bore", "edge_slump", "readings at the faces"),
    Unmeasured("closing of a hub by overlay on its inside", "none: not computed", "a gauge"),
)
