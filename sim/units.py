"""Units at the edge: what suffixes a scene key may bear, and how its value becomes mm, rad, s or C.

The only place that knows the size of an inch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

INCH = 25.4
POUND_KG = 0.45359237


@dataclass(frozen=True)
class Unit:
    """value inside = (value in the file + offset) * factor; `label` is how a person reads the unit."""

    suffix: str
    factor: float
    label: str
    offset: float = 0.0

    def inside(self, value: float) -> float:
        """From the file to mm, rad, s, C.

        >>> KINDS["length"][1].inside(2.0)
        50.8
        """
        return (value + self.offset) * self.factor

    def outside(self, value: float) -> float:
        """From mm, rad, s, C to the file, exact on the way back where a short number allows it.

        >>> KINDS["length"][1].outside(50.8)
        2.0
        """
        plain = value / self.factor - self.offset
        for digits in range(4, 17):
            short = round(plain, digits)
            if self.inside(short) == value:
                return short
        return plain


KINDS: dict[str, tuple[Unit, ...]] = {
    "length": (Unit("_mm", 1.0, "mm"), Unit("_in", INCH, "in")),
    "lengths": (Unit("_mm", 1.0, "mm"), Unit("_in", INCH, "in")),
    "speed": (Unit("_mm_per_min", 1.0 / 60.0, "mm/min"), Unit("_in_per_min", INCH / 60.0, "in/min")),
    "feed": (Unit("_m_per_min", 1000.0 / 60.0, "m/min"), Unit("_in_per_min", INCH / 60.0, "in/min")),
    "temperature": (Unit("_c", 1.0, "C"), Unit("_f", 5.0 / 9.0, "F", -32.0)),
    "angle": (Unit("_deg", math.pi / 180.0, "deg"),),
    "clock": (Unit("_oclock", math.pi / 6.0, "o'clock"),),
    "mass": (Unit("_g", 1.0, "g"), Unit("_lb", POUND_KG * 1000.0, "lb")),
    "time": (Unit("_s", 1.0, "s"),),
    "rotation": (Unit("_rpm", math.pi / 30.0, "rpm"),),
    "density": (Unit("_kg_per_m3", 1e-6, "kg/m3"), Unit("_lb_per_in3", POUND_KG * 1e3 / INCH**3, "lb/in3")),
    "number": (Unit("", 1.0, ""),),
    "integer": (Unit("", 1, ""),),
}
"""Kinds of quantity; the first unit of a kind is the one its range and default are given in.
Density inside is g/mm3."""


def oclock(angle: float) -> float:
    """Clock angle [rad] as hours, 0 up to 12.

    >>> oclock(math.pi)
    6.0
    """
    hours = (angle * 6.0 / math.pi) % 12.0
    return 0.0 if round(hours, 9) == 12.0 else hours
