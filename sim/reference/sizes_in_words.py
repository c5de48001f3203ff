"""Sizes in words, in mm or inches; a figure with what it was worked out from."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

from sim.reference.units import INCH


@dataclasses.dataclass(frozen=True)
class Say:
    """Sizes in the job's units.

    >>> Say("in").size(INCH), Say("mm").size(-0.304, 2)
    ('1.000 in', '-0.30 mm')
    """

    units: str

    def size(self, mm: float, digits: int = 2) -> str:
        """A length; `digits` decimals of a millimetre, one more of an inch."""
        if self.units == "in":
            return f"{mm / INCH:.{digits + 1}f} in"
        return f"{mm:.{digits}f} mm"

    def area(self, mm2: float) -> str:
        """An area."""
        return f"{mm2 / INCH**2:.4f} in2" if self.units == "in" else f"{mm2:.2f} mm2"

    def travel(self, mm_per_s: float) -> str:
        """A travel speed."""
        per_minute = 60.0 * mm_per_s
        return (
            f"{per_minute / INCH:.1f} in/min" if self.units == "in" else f"{per_minute:.0f} mm/min"
        )

    def wire(self, mm_per_s: float) -> str:
        """A wire feed."""
        per_minute = 60.0 * mm_per_s
        return (
            f"{per_minute / INCH:.0f} in/min"
            if self.units == "in"
            else f"{per_minute / 1000:.2f} m/min"
        )

    def temperature(self, celsius: float) -> str:
        """A temperature."""
        return f"{celsius * 1.8 + 32.0:.0f} F" if self.units == "in" else f"{celsius:.0f} C"

    def energy(self, kj_per_mm: float) -> str:
        """Heat input or arc energy per length."""
        return f"{kj_per_mm * INCH:.1f} kJ/in" if self.units == "in" else f"{kj_per_mm:.2f} kJ/mm"

    def mass(self, gram: float) -> str:
        """A mass."""
        return f"{gram / 453.59237:.2f} lb" if self.units == "in" else f"{gram / 1000:.2f} kg"


@dataclasses.dataclass(frozen=True)
class Explained:
    """A number on the page: its name, its value in words, the formula, the formula with its inputs,
    how known, source.
    """

    what: str
    value: str
    formula: str
    inputs: str
    how_known: str
    source: str


def shown(given: Mapping[str, float], unit: str) -> str:
    """Inputs of a formula by the names they have in it, and their units; numbers to seven figures
    at most.

    >>> shown({"R": 41.5, "q": 249.0}, "mm, mm3/rad")
    'R = 41.5, q = 249 (mm, mm3/rad)'
    """
    return ", ".join(f"{name} = {value:.7g}" for name, value in given.items()) + f" ({unit})"
