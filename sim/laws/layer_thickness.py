"""Law of layer thickness: how much a layer takes off the mean radius, by volume."""

from __future__ import annotations

import math

FORMULA = "t = R - sqrt(R^2 - 2 x q / pitch)"
SOURCE = "conservation of metal"
RANGE = {"2 x q / pitch / R^2": (0.0, 1.0, "1")}
HOW_KNOWN = "derived"


def square_left(radius: float, q: float, pitch: float) -> float:
    """Mean radius squared [mm2] after a layer of q [mm3/rad] at `pitch` [mm]; not above 0 where the
    bore closes.

    >>> square_left(5.0, 16.0, 2.0)
    9.0
    """
    return radius**2 - 2.0 * q / pitch


def radius_after(radius: float, q: float, pitch: float) -> float:
    """Mean radius [mm] after a layer; next to nothing where the bore closes.

    >>> radius_after(5.0, 16.0, 2.0)
    3.0
    """
    return math.sqrt(max(square_left(radius, q, pitch), 1e-6))


def thickness(radius: float, q: float, pitch: float) -> float:
    """Mean thickness [mm per side] of a layer of q [mm3/rad] on a wall of this mean radius [mm].

    >>> thickness(5.0, 16.0, 2.0)
    2.0
    """
    return radius - radius_after(radius, q, pitch)
