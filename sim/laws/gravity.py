"""Law of gravity on a bead: climbing it is narrow and high, going down wide and low."""

from __future__ import annotations

import math

import numpy as np

from sim.laws.ranges import outside
from sim.reference.arrays import Array

FORMULA = "height / flat height = exp(c x climb)"
SOURCE = (
    "fit to the table behind a published bead-height model (Krinke 2023), 400 to 640 mm/min; 69 "
    "% of the clock extrapolated"
)
RANGE = {"travel": (400.0, 640.0, "mm/min"), "clock from 6": (0.0, 55.0, "deg")}
HOW_KNOWN = "published"


WIDTH = "w = flat w / exp(c x climb)"


GRAVITY_TRAVEL = (400.0, 450.0, 530.0, 600.0, 640.0)


TRAVEL_KNOWN = (GRAVITY_TRAVEL[0] / 60.0, GRAVITY_TRAVEL[-1] / 60.0)
"""Least and most travel [mm/s] at which gravity on a bead was measured."""


GRAVITY_COEFFICIENT = (0.22, 0.23, 0.25, 0.27, 0.28)


GRAVITY_LEAST = 0.20


def gravity_coefficient(travel: float) -> float:
    """Strength c of gravity on bead height at a travel speed [mm/s], dimensionless.

    Fit to the table behind a published bead-height model for beads around a ring, 1.0 mm wire, 400
    to 640 mm/min (Krinke 2023, rms 2.3 %). Outside that range the end slopes run on, and c is never
    below 0.20 (common practice: the table falls off below 400 mm/min where the pool was too large
    to trust).

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

    >>> climb(np.array([1.5, 4.5]) * np.pi / 3, 1, 0.0).round(3).tolist()
    [-1.0, 1.0]
    """
    return np.asarray(-turning * np.sin(gravity_clock) * math.cos(inclination))


def taller(c: float, climbing: Array) -> Array:
    """Bead height over its flat height where the torch climbs so far (see `climb`); c: gravity
    coefficient.

    >>> taller(0.25, np.array([0.0, 1.0])).round(3).tolist()
    [1.0, 1.284]
    """
    return np.asarray(np.exp(c * climbing))


def wider(c: float, climbing: Array) -> Array:
    """Bead width over its flat width: the inverse of `taller`, since the area stays.

    >>> wider(0.25, np.array([0.0, 1.0])).round(3).tolist()
    [1.0, 0.779]
    """
    return np.asarray(np.exp(-c * climbing))


def run_on(travel: float) -> bool:
    """Tell whether gravity at a travel speed [mm/s] is run on past its table.

    >>> run_on(440.0 / 60.0), run_on(300.0 / 60.0)
    (False, True)
    """
    return bool(outside({"travel": RANGE["travel"]}, {"travel": 60.0 * travel}, hair=0.5))
