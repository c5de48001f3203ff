"""Law of one cut: speed, time, force and power."""

from __future__ import annotations

import math

FORMULA = "F = depth x feed x kc; kc = kc1.1 x h^-mc"
SOURCE = "Kienzle 1952"
RANGE = {"h": (0.05, 2.5, "mm")}
HOW_KNOWN = "published"


def rotation(cutting_speed: float, diameter: float) -> float:
    """Rotation [rad/s] that gives a cutting speed [mm/s] on a diameter [mm]; n = 1000 vc/(pi D) in
    rpm and m/min.

    >>> round(rotation(120e3 / 60.0, 80.0) * 30.0 / math.pi, 3)
    477.465
    """
    return 2.0 * cutting_speed / diameter


def cutting_time(length: float, feed: float, turning: float) -> float:
    """Time [s] to feed `length` [mm] at `feed` [mm per turn] and `turning` [rad/s]; t = L/(f n).

    >>> round(cutting_time(100.0, 0.15, rotation(2000.0, 80.0)) / 60.0, 5)
    1.39626
    """
    return length / feed * 2.0 * math.pi / turning


def specific_force(thickness: float, unit_force: float, exponent: float) -> float:
    """Specific cutting force kc [N/mm2] at a chip thickness [mm]; kc = kc1.1 h^-mc (Kienzle 1952).

    unit_force: kc1.1 [N/mm2], of a chip 1 mm wide and 1 mm thick; exponent: mc.

    >>> specific_force(1.0, 1990.0, 0.26)
    1990.0
    """
    if thickness <= 0.0:
        raise ValueError(f"specific_force: thickness = {thickness} mm: must be greater than 0")
    return float(unit_force * thickness**-exponent)


def cutting_force(depth: float, feed: float, kc: float) -> float:
    """Cutting force [N], along the speed: kc times the chip's section, depth of cut times feed.

    >>> round(cutting_force(3.0, 0.2, 3100.0), 6)
    1860.0
    """
    return depth * feed * kc


def power(force: float, cutting_speed: float, efficiency: float = 1.0) -> float:
    """Power [W] that the drive must give for a cutting force [N] at a cutting speed [mm/s]; P = F
    vc / efficiency.

    >>> round(power(1860.0, 2000.0, 0.8), 6)
    4650.0
    """
    return force * cutting_speed / 1000.0 / efficiency
