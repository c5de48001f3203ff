"""Law of the bead: a parabola on a flat, and the same bead at other settings of feed and travel."""

from __future__ import annotations

import math
from dataclasses import dataclass

HEIGHT_WIRE_FEED, HEIGHT_TRAVEL = 0.48, -0.30


FORMULA = (
    f"h = h0 x (wire feed / wire feed0)^{HEIGHT_WIRE_FEED:.2f} x (travel / "
    f"travel0)^{HEIGHT_TRAVEL:.2f}; w = 1.5 x A / h"
)
SOURCE = "parabola: Ding et al. 2015; exponents: 16 published ER70S-6 settings, rms 5.6 %"
RANGE = {"wire feed / wire feed0": (0.8, 1.25, "1"), "travel / travel0": (0.8, 1.25, "1")}
HOW_KNOWN = "published"


AWAY = (
    f"(wire feed)^{HEIGHT_WIRE_FEED:.2f} (travel)^{HEIGHT_TRAVEL:.2f}, 16 published ER70S-6 "
    "settings, rms 5.6 %"
)


AREA = "A = 2 / 3 x w x h"


BY_ASPECT = "w = sqrt(1.5 x A x aspect); h = w / aspect"
"""The same without a measured bead; the ratio of width to height is then assumed."""


@dataclass(frozen=True)
class Bead:
    """A bead on a flat: a parabola of this width and height [mm], area 2/3 width height.

    Ding et al., Robotics and Computer-Integrated Manufacturing 31 (2015) 101-110: parabola and
    cosine both fit measured gas-metal-arc beads.

    >>> Bead(width=6.0, height=3.0).area
    12.0
    >>> Bead.of_area(12.0, width=6.0).height
    3.0
    """

    width: float
    height: float

    @property
    def area(self) -> float:
        """Cross-section [mm2]."""
        return self.width * self.height * 2.0 / 3.0

    @classmethod
    def of_area(cls, area: float, *, width: float) -> Bead:
        """The bead of this area [mm2] and width [mm]."""
        return cls(width, 1.5 * area / width)

    @classmethod
    def of_aspect(cls, area: float, aspect: float) -> Bead:
        """The bead of this area [mm2] and ratio of width to height.

        >>> bead = Bead.of_aspect(6.0, 3.0)
        >>> round(bead.area, 12), round(bead.width / bead.height, 12)
        (6.0, 3.0)
        """
        width = math.sqrt(1.5 * area * aspect)
        return cls(width, width / aspect)


def rescaled(measured: Bead, area: float, wire_feed_ratio: float, travel_ratio: float) -> Bead:
    """A measured bead taken to other settings: new area [mm2], ratios new to measured.

    By FORMULA; the width follows from the area.

    >>> rescaled(Bead(5.0, 1.8), 6.0, 1.0, 1.0)
    Bead(width=5.0, height=1.8)
    """
    height = measured.height * wire_feed_ratio**HEIGHT_WIRE_FEED * travel_ratio**HEIGHT_TRAVEL
    return Bead(1.5 * area / height, height)
