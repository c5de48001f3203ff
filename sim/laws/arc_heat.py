"""Arc energy and heat input per length. EN 1011-1, ISO/TR 18491."""

from __future__ import annotations


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
