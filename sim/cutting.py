"""One cut of a boring tool: speed, time, force, power, the roughness it leaves, and how far its bar bends.

Lengths mm, rotation rad/s, speeds mm/s, force N, power W, stress N/mm2. Depth of cut is per side, feed per turn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SUPPORTED, OVERHUNG = "supported", "overhung"
RA_OF_RZ = 4.0 / (9.0 * math.sqrt(3.0))  # mean deviation of a parabola over its height


def rotation(cutting_speed: float, diameter: float) -> float:
    """Rotation [rad/s] that gives a cutting speed [mm/s] on a diameter [mm]; n = 1000 vc/(pi D) in rpm and m/min.

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
    """Power [W] that the drive must give for a cutting force [N] at a cutting speed [mm/s]; P = F vc / efficiency.

    >>> round(power(1860.0, 2000.0, 0.8), 6)
    4650.0
    """
    return force * cutting_speed / 1000.0 / efficiency


def roughness(feed: float, nose: float) -> float:
    """Height [mm] of the marks of a nose of radius `nose` [mm] at a feed [mm per turn], near enough: f^2/(8 r).

    >>> round(roughness(0.2, 0.8) * 1000.0, 6)
    6.25
    """
    return feed**2 / (8.0 * nose)


def exact_roughness(feed: float, nose: float) -> float:
    """Height [mm] of the same marks exactly: r - sqrt(r^2 - f^2/4), while the feed is at most the nose diameter.

    Raises ValueError for a feed wider than the nose: its marks then do not meet on the nose.

    >>> round(exact_roughness(0.2, 0.8) * 1000.0, 4)
    6.2746
    """
    if feed > 2.0 * nose:
        raise ValueError(f"exact_roughness: feed = {feed} mm: wider than the nose of radius {nose} mm")
    return nose - math.sqrt(nose**2 - 0.25 * feed**2)


def mean_roughness(feed: float, nose: float) -> float:
    """Arithmetic mean deviation Ra [mm] of the same marks: f^2/(18 sqrt(3) r), of a row of parabolas; derived.

    >>> round(mean_roughness(0.2, 0.8) * 1000.0, 4)
    1.6038
    """
    return RA_OF_RZ * roughness(feed, nose)


def second_moment(diameter: float) -> float:
    """Second moment of area [mm4] of a round bar: pi d^4/64.

    >>> round(second_moment(20.0))
    7854
    """
    return math.pi * diameter**4 / 64.0


@dataclass(frozen=True)
class Bar:
    """A round boring bar [mm]; its tool moves with the feed, so the load moves along the bore.

    held: supported (between two bearings `span` apart that let it tilt, the entry face `before` past the first) or
    overhung (built in at a bearing, `before` from it to the entry face). modulus [N/mm2].

    >>> bar = Bar(40.0, SUPPORTED, 150.0, 400.0, 206000.0)
    >>> (1000.0 * bar.compliance(np.array([0.0, 50.0, 100.0]))).round(3).tolist()
    [0.045, 0.052, 0.045]
    """

    diameter: float
    held: str
    before: float
    span: float
    modulus: float

    def compliance(self, depth: Array) -> Array:
        """How far the bar bends at the tool [mm] for each newton there, with the tool at depths [mm] in the bore.

        Supported: a^2 b^2/(3 E I L); overhung: x^3/(3 E I): Euler-Bernoulli beam, point load; handbook formulas.
        """
        stiffness = 3.0 * self.modulus * second_moment(self.diameter)
        out = self.before + np.asarray(depth, dtype=np.float64)
        if self.held == OVERHUNG:
            return np.asarray(np.maximum(out, 0.0) ** 3 / stiffness)
        a = np.clip(out, 0.0, self.span)
        return np.asarray(a**2 * (self.span - a) ** 2 / (stiffness * self.span))


def left_standing(depth: Array, push: float, compliance: Array) -> Array:
    """Metal left standing per side [mm] because the bar gives way, of a cut set `depth` [mm] deep.

    push: radial force for each mm of depth [N/mm]; compliance [mm/N]. The bar bends until the cut that is left pushes
    as hard as the bar: y = c k / (1 + c k) times the depth set. Derived; a static cut, no chatter.

    >>> left_standing(np.array([1.0]), 1000.0, np.array([1e-4])).round(4).tolist()
    [0.0909]
    """
    give = push * compliance
    return np.asarray(give / (1.0 + give) * depth)
