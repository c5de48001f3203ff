"""A bead on a flat plate is a parabola; how it grows with wire feed and travel."""

from __future__ import annotations

import math
from dataclasses import dataclass

HEIGHT_WIRE_FEED, HEIGHT_TRAVEL = 0.48, -0.30


@dataclass(frozen=True)
class Bead:
    """A bead on a flat: a parabola of this width and height [mm], area 2/3 width height.

    Ding et al., Robotics and Computer-Integrated Manufacturing 31 (2015) 101-110: parabola and
    cosine both
    fit measured gas-metal-arc beads.

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

    h = h0 (wire feed ratio)^0.48 (travel ratio)^-0.30, fitted to 16 published ER70S-6 settings (rms
    5.6 %);
    the width follows from the area.

    >>> rescaled(Bead(5.0, 1.8), 6.0, 1.0, 1.0)
    Bead(width=5.0, height=1.8)
    """
    height = measured.height * wire_feed_ratio**HEIGHT_WIRE_FEED * travel_ratio**HEIGHT_TRAVEL
    return Bead(1.5 * area / height, height)
