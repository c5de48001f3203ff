"""Law of heat from the arc: energy and heat input for each millimetre of bead."""

from __future__ import annotations

FORMULA = "Q = k x U x I / v / 1000"
SOURCE = "EN 1011-1; arc energy: AWS form 60 E I / S"
RANGE = {"k": (0.6, 1.0, "1")}
HOW_KNOWN = "published"


def arc_energy(volts: float, amps: float, travel: float) -> float:
    """Arc energy per length [kJ/mm], no efficiency in it: the AWS form 60 E I / S, travel [mm/s].

    >>> round(arc_energy(24.0, 200.0, 6.0), 9)
    0.8
    """
    return volts * amps / travel / 1000.0


def heat_input(volts: float, amps: float, travel: float, efficiency: float) -> float:
    """Heat input Q = k U I / v [kJ/mm] by EN 1011-1; `efficiency` is k of the process (0.8
    gas-metal-arc).

    >>> round(heat_input(24.0, 200.0, 6.0, 0.8), 9)
    0.64
    """
    return efficiency * arc_energy(volts, amps, travel)
