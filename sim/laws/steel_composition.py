"""Law of carbon equivalents: a steel by its elements."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from sim.laws.ranges import outside
from sim.reference.remarks import Remark

FORMULA = "CE = C + Mn / 6 + (Cr + Mo + V) / 5 + (Ni + Cu) / 15"
SOURCE = "EN 1011-2 C.2 and C.3; Pcm: Ito and Bessyo, AWS D1.1"
RANGE = {
    "carbon": (0.05, 0.32, "%"), "silicon": (0.0, 0.8, "%"), "manganese": (0.5, 1.9, "%"),
    "chromium": (0.0, 1.5, "%"),
    "molybdenum": (0.0, 0.75, "%"), "vanadium": (0.0, 0.18, "%"), "nickel": (0.0, 2.5, "%"),
    "copper": (0.0, 0.7, "%"),
    "boron": (0.0, 0.005, "%"),
}  # fmt: skip
HOW_KNOWN = "published"

"""RANGE: steels that CET holds for, by element (from memory)."""


@dataclass(frozen=True, kw_only=True)
class Composition:
    """A steel by its elements [% of mass]; what is not given is zero."""

    carbon: float
    silicon: float = 0.0
    manganese: float = 0.0
    chromium: float = 0.0
    molybdenum: float = 0.0
    vanadium: float = 0.0
    nickel: float = 0.0
    copper: float = 0.0
    boron: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no share of a steel."""
        held = [getattr(self, f.name) for f in fields(self)]
        if not all(math.isfinite(v) and v >= 0.0 for v in held) or sum(held) > 100.0:
            raise ValueError(
                f"{self}: every element must be 0 or more, and all of them at most 100 %"
            )

    @property
    def ce(self) -> float:
        """Carbon equivalent of the International Institute of Welding (EN 1011-2 C.2, method A)
        [%].

        >>> round(Composition(carbon=0.17, silicon=0.45, manganese=1.65, vanadium=0.17, nickel=0.29).ce, 2)
        0.5
        """
        metals = (self.chromium + self.molybdenum + self.vanadium) / 5.0
        return self.carbon + self.manganese / 6.0 + metals + (self.nickel + self.copper) / 15.0

    @property
    def cet(self) -> float:
        """Carbon equivalent CET of EN 1011-2 C.3 (method B) [%]."""
        light = (self.manganese + self.molybdenum) / 10.0
        return self.carbon + light + (self.chromium + self.copper) / 20.0 + self.nickel / 40.0

    @property
    def pcm(self) -> float:
        """Cracking parameter Pcm (Ito and Bessyo; AWS D1.1) [%]."""
        twentieths = (self.manganese + self.copper + self.chromium) / 20.0
        rest = self.nickel / 60.0 + self.molybdenum / 15.0 + self.vanadium / 10.0 + 5.0 * self.boron
        return self.carbon + self.silicon / 30.0 + twentieths + rest


def outside_cet(steel: Composition) -> tuple[Remark, ...]:
    """In which elements a steel lies outside those that EN 1011-2 C.3 was made for."""
    return outside(RANGE, {name: getattr(steel, name) for name in RANGE})
