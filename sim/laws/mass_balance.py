"""Law of mass balance: the metal laid is the wire fed, less what is lost on the way."""

from __future__ import annotations

import math

FORMULA = "A = efficiency x pi / 4 x d^2 x wire feed / travel"
SOURCE = "conservation of mass"
RANGE = {"efficiency": (0.0, 1.0, "1")}
HOW_KNOWN = "derived"


PER_RADIAN = "q = A x R"


WIRE = "m = pi / 4 x d^2 x length x density / 10^6"


def wire_area(diameter: float) -> float:
    """Cross-section of the wire [mm2].

    >>> round(wire_area(1.2), 4)
    1.131
    """
    return math.pi / 4.0 * diameter**2


def deposited_area(
    wire_diameter: float, wire_feed: float, travel: float, efficiency: float
) -> float:
    """Bead cross-section [mm2] by mass balance; wire feed and travel in the same unit of speed.

    Conservation of mass; efficiency is deposited metal over wire fed.

    >>> round(deposited_area(1.0, 5000.0, 400.0, 1.0), 4)
    9.8175
    """
    return efficiency * wire_area(wire_diameter) * wire_feed / travel
