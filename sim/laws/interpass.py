"""Law of waiting: the ring round the bore as one lump that loses heat to the air."""

from __future__ import annotations

import math
from dataclasses import dataclass

FORMULA = "T = T end + (T start - T end) x exp(-time / time constant)"
SOURCE = "lumped heat balance, exact for one temperature all through"
RANGE = {"film x thickness / conductivity": (0.0, 0.1, "1")}
HOW_KNOWN = "derived"


@dataclass(frozen=True)
class Ring:
    """The metal round the bore as one lump at one temperature: an estimate.

    mass [kg], area [m2] that loses heat, specific heat [J/(kg K)], film: heat lost per area and
    degree [W/(m2 K)], air [C].
    """

    mass: float
    area: float
    specific_heat: float
    film: float
    air: float

    @classmethod
    def of(
        cls,
        inside: float,
        outside: float,
        length: float,
        *,
        density: float,
        specific_heat: float,
        film: float,
        air: float,
    ) -> Ring:
        """A ring of these diameters and length [mm], density [g/mm3]; it loses heat at all its
        surfaces.
        """
        section = math.pi / 4.0 * (outside**2 - inside**2)
        area = 2.0 * section + math.pi * (outside + inside) * length
        return cls(section * length * density / 1000.0, area * 1e-6, specific_heat, film, air)

    @property
    def time_constant(self) -> float:
        """Time [s] in which what it is above the air falls to 1/e."""
        return self.mass * self.specific_heat / (self.film * self.area)

    def heated(self, start: float, power: float, time: float) -> float:
        """Temperature [C] after `power` [W] for `time` [s] from `start` [C]: lumped balance, exact.

        >>> ring = Ring(mass=10.0, area=0.1, specific_heat=500.0, film=20.0, air=20.0)
        >>> round(ring.heated(20.0, 1000.0, 1e9), 6)
        520.0
        """
        settles = self.air + power / (self.film * self.area)
        return settles + (start - settles) * math.exp(-time / self.time_constant)

    def time_to(self, start: float, power: float, until: float) -> float:
        """Time [s] after which `power` [W] brings it from `start` to `until` [C]; inf when it never
        does, 0 when it is there.
        """
        if start >= until:
            return 0.0
        settles = self.air + power / (self.film * self.area)
        if settles <= until:
            return math.inf
        return self.time_constant * math.log((settles - start) / (settles - until))

    def wait(self, start: float, until: float) -> float:
        """Time [s] to fall from `start` to `until` [C]; inf when that is not above the air, 0 when
        already there.
        """
        if start <= until:
            return 0.0
        if until <= self.air:
            return math.inf
        return self.time_constant * math.log((start - self.air) / (until - self.air))
