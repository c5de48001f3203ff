"""Law of preheat: against cold cracks by CET, and the least by a table."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.laws.ranges import outside
from sim.reference.remarks import Remark

FORMULA = "Tp = 697 x CET + 160 x tanh(d / 35) + 62 x HD^0.35 + (53 x CET - 32) x Q - 328"
SOURCE = "EN 1011-2 C.3 (as quoted in secondary copies); AWS D1.1:2015 Table 3.3; ISO 13916"
RANGE = {
    "CET": (0.2, 0.5, "%"),
    "thickness": (10.0, 90.0, "mm"),
    "hydrogen": (1.0, 20.0, "ml/100 g"),
    "heat input": (0.5, 4.0, "kJ/mm"),
}
HOW_KNOWN = "published"
"""RANGE: besides a yield strength up to 1000 N/mm2."""


THICKNESSES = (20.0, 38.1, 65.0)


MINIMUM_PREHEAT: dict[str, tuple[float, float, float, float]] = {
    "A": (0.0, 65.0, 110.0, 150.0),
    "B": (0.0, 10.0, 65.0, 110.0),
    "C": (10.0, 65.0, 110.0, 150.0),
}
"""AWS D1.1:2015 Table 3.3 [C], up to and including 20, 38 (1 1/2 in), 65 mm and over; by steel and
process; C from memory.
"""


@dataclass(frozen=True)
class Preheat:
    """Preheat [C] by a formula, and in which respects the case lies outside what the formula was
    made for.
    """

    temperature: float
    outside: tuple[Remark, ...]


def preheat_by_cet(cet: float, thickness: float, hydrogen: float, heat: float) -> Preheat:
    """Preheat [C] against cold cracks by EN 1011-2 C.3: CET [%], thickness [mm], hydrogen [ml/100
    g], heat [kJ/mm].

    Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328. A figure at or below the
    air's means none. It holds where the part's CET is at least 0.03 above that of the weld metal;
    else take the weld metal's plus 0.03.

    >>> told = preheat_by_cet(0.30, 25.0, 5.0, 1.0)
    >>> round(told.temperature, 1), told.outside
    (72.0, ())
    """
    given = {"CET": cet, "thickness": thickness, "hydrogen": hydrogen, "heat input": heat}
    told = (
        697.0 * cet
        + 160.0 * math.tanh(thickness / 35.0)
        + 62.0 * hydrogen**0.35
        + (53.0 * cet - 32.0) * heat
        - 328.0
    )
    return Preheat(told, outside(RANGE, given))


def minimum_preheat(category: str, thickness: float) -> float:
    """Least preheat and interpass temperature [C] of AWS D1.1:2015 Table 3.3, thickness of the
    thickest part [mm].

    Category A: mild steels, electrodes that are not low-hydrogen; B: mild and 345 MPa steels with
    low-hydrogen processes (gas-metal-arc is one); C: stronger steels. Raises ValueError for another
    category or under 3 mm.

    >>> minimum_preheat("B", 25.0)
    10.0
    """
    if category not in MINIMUM_PREHEAT or thickness < 3.0:
        raise ValueError(
            f"category {category!r}, thickness {thickness:g} mm: the table has A, B, C from 3 mm on"
        )
    return MINIMUM_PREHEAT[category][sum(thickness > limit for limit in THICKNESSES)]


def where_to_measure(thickness: float) -> float:
    """How far from the joint [mm] the preheat is measured, by ISO 13916: 4 t, at most 50; over 50
    mm thick: 75.

    >>> where_to_measure(10.0), where_to_measure(20.0), where_to_measure(60.0)
    (40.0, 50.0, 75.0)
    """
    return 75.0 if thickness > 50.0 else min(4.0 * thickness, 50.0)
