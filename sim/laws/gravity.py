"""What gravity does to a bead around the clock."""

from __future__ import annotations

import math

import numpy as np

from sim.reference.arrays import Array

GRAVITY_TRAVEL = (400.0, 450.0, 530.0, 600.0, 640.0)


GRAVITY_COEFFICIENT = (0.22, 0.23, 0.25, 0.27, 0.28)


GRAVITY_LEAST = 0.20


def gravity_coefficient(travel: float) -> float:
    """Strength c of gravity on bead height at a travel speed [mm/s], dimensionless.

    Fit to the table behind a published bead-height model for beads around a ring, 1.0 mm wire, 400
    to
    640 mm/min (Krinke 2023, rms 2.3 %). Outside that range the end slopes run on, and c is never
    below 0.20
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

    gravity_clock [rad] from the top; turning +1 clockwise; inclination [rad] of the bore to the
    horizontal.
    Bead height over its flat height is exp(c climb), width the inverse.

    >>> climb(np.array([1.5, 4.5]) * np.pi / 3, 1, 0.0).round(3).tolist()
    [-1.0, 1.0]
    """
    return np.asarray(-turning * np.sin(gravity_clock) * math.cos(inclination))
