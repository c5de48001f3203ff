"""One bead: mass balance, cross-section, and what gravity does to it around the clock."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.wall import Array

HEIGHT_WIRE_FEED, HEIGHT_TRAVEL = 0.48, -0.30
GRAVITY_TRAVEL = (400.0, 450.0, 530.0, 600.0, 640.0)
GRAVITY_COEFFICIENT = (0.22, 0.23, 0.25, 0.27, 0.28)
GRAVITY_LEAST = 0.20


@dataclass(frozen=True)
class Bead:
    """A bead on a flat: a parabola of this width and height [mm], area 2/3 width height.

    Ding et al., Robotics and Computer-Integrated Manufacturing 31 (2015) 101-110: parabola and cosine both
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


def wire_area(diameter: float) -> float:
    """Cross-section of the wire [mm2].

    >>> round(wire_area(1.2), 4)
    1.131
    """
    return math.pi / 4.0 * diameter**2


def deposited_area(wire_diameter: float, wire_feed: float, travel: float, efficiency: float) -> float:
    """Bead cross-section [mm2] by mass balance; wire feed and travel in the same unit of speed.

    Conservation of mass; efficiency is deposited metal over wire fed.

    >>> round(deposited_area(1.0, 5000.0, 400.0, 1.0), 4)
    9.8175
    """
    return efficiency * wire_area(wire_diameter) * wire_feed / travel


def rescaled(measured: Bead, area: float, wire_feed_ratio: float, travel_ratio: float) -> Bead:
    """A measured bead taken to other settings: new area [mm2], ratios new to measured.

    h = h0 (wire feed ratio)^0.48 (travel ratio)^-0.30, fitted to 16 published ER70S-6 settings (rms 5.6 %);
    the width follows from the area.

    >>> rescaled(Bead(5.0, 1.8), 6.0, 1.0, 1.0)
    Bead(width=5.0, height=1.8)
    """
    height = measured.height * wire_feed_ratio**HEIGHT_WIRE_FEED * travel_ratio**HEIGHT_TRAVEL
    return Bead(1.5 * area / height, height)


def gravity_coefficient(travel: float) -> float:
    """Strength c of gravity on bead height at a travel speed [mm/s], dimensionless.

    Fit to the table behind a published bead-height model for beads around a ring, 1.0 mm wire, 400 to
    640 mm/min (Krinke 2023, rms 2.3 %). Outside that range the end slopes run on, and c is never below 0.20
    (common practice: the table falls off below 400 mm/min where the pool was too large to trust).

    >>> round(gravity_coefficient(400.0 / 60.0), 6), gravity_coefficient(1.0)
    (0.22, 0.2)
    """
    speed, xs, ys = travel * 60.0, GRAVITY_TRAVEL, GRAVITY_COEFFICIENT
    if speed <= xs[0]:
        c = ys[0] + (speed - xs[0]) * (ys[1] - ys[0]) / (xs[1] - xs[0])
    elif speed >= xs[-1]:
        c = ys[-1] + (speed - xs[-1]) * (ys[-1] - ys[-2]) / (xs[-1] - xs[-2])
    else:
        c = float(np.interp(speed, xs, ys))
    return max(c, GRAVITY_LEAST)


def climb(gravity_clock: Array, turning: int, inclination: float) -> Array:
    """How far the torch climbs, from +1 straight up to -1 straight down.

    gravity_clock [rad] from the top; turning +1 clockwise; inclination [rad] of the bore to the horizontal.
    Bead height over its flat height is exp(c climb), width the inverse.

    >>> climb(np.array([1.5, 4.5]) * np.pi / 3, 1, 0.0).round(3).tolist()
    [-1.0, 1.0]
    """
    return np.asarray(-turning * np.sin(gravity_clock) * math.cos(inclination))
