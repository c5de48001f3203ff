"""Law of cooling: time t8/5 of a run on plate."""

from __future__ import annotations

import math
from dataclasses import dataclass

FORMULA = "t = (6700 - 5 x T0) x Q x (1 / (500 - T0) - 1 / (800 - T0))"
SOURCE = (
    "EN 1011-2 Annex D, unalloyed and low-alloy steel, shape factors 1; the form for thick "
    "plate, 3-D flow"
)
RANGE = {"T0": (-273.0, 500.0, "C"), "Q": (0.0, 10.0, "kJ/mm")}
HOW_KNOWN = "published"


@dataclass(frozen=True)
class Cooling:
    """Time t8/5 [s] from 800 to 500 C, by which flow of heat (3-D or 2-D), and the transition
    thickness [mm].
    """

    time: float
    flow: str
    transition: float


def cooling_time(heat: float, preheat: float, thickness: float | None) -> Cooling:
    """Cooling time t8/5 of a run on plate, unalloyed and low-alloy steel, by EN 1011-2 Annex D
    (shape factors 1).

    heat [kJ/mm]; preheat [C] below 500; thickness [mm], None for thick. The flow is 3-D from the
    transition thickness on, 2-D below it. Raises ValueError outside 0 < heat and preheat < 500.

    >>> cooled = cooling_time(2.0, 200.0, 50.0)
    >>> round(cooled.time, 6), cooled.flow, round(cooled.transition, 1)
    (19.0, '3-D', 24.6)
    """
    if not (heat > 0.0 and preheat < 500.0):
        raise ValueError(
            f"heat = {heat} kJ/mm, preheat = {preheat} C: heat must be above 0 and preheat "
            "below 500"
        )
    near, far = 1.0 / (500.0 - preheat), 1.0 / (800.0 - preheat)
    three, two = 6700.0 - 5.0 * preheat, (4300.0 - 4.3 * preheat) * 1e5
    transition = math.sqrt(two / three * heat * (near + far))
    if thickness is None or thickness >= transition:
        return Cooling(three * heat * (near - far), "3-D", transition)
    return Cooling(two * (heat / thickness) ** 2 * (near**2 - far**2), "2-D", transition)
