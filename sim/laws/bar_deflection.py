"""Law of the boring bar: how far it bends, and what metal that leaves standing."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


FORMULA = "y = F x a^2 x b^2 / (3 x E x I x L); I = pi x d^4 / 64"
SOURCE = "Euler-Bernoulli beam, point load; handbook formulas"
RANGE = {"L / d": (4.0, 60.0, "1")}
HOW_KNOWN = "published"


SUPPORTED, OVERHUNG = "supported", "overhung"


def second_moment(diameter: float) -> float:
    """Second moment of area [mm4] of a round bar: pi d^4/64.

    >>> round(second_moment(20.0))
    7854
    """
    return math.pi * diameter**4 / 64.0


@dataclass(frozen=True)
class Bar:
    """A round boring bar [mm]; its tool moves with the feed, so the load moves along the bore.

    held: supported (between two bearings `span` apart that let it tilt, the entry face `before`
    past the first) or overhung (built in at a bearing, `before` from it to the entry face). modulus
    [N/mm2].

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
        """How far the bar bends at the tool [mm] for each newton there, with the tool at depths
        [mm] in the bore.

        Supported: a^2 b^2/(3 E I L); overhung: x^3/(3 E I): Euler-Bernoulli beam, point load;
        handbook formulas.
        """
        stiffness = 3.0 * self.modulus * second_moment(self.diameter)
        out = self.before + np.asarray(depth, dtype=np.float64)
        if self.held == OVERHUNG:
            return np.asarray(np.maximum(out, 0.0) ** 3 / stiffness)
        a = np.clip(out, 0.0, self.span)
        return np.asarray(a**2 * (self.span - a) ** 2 / (stiffness * self.span))


def left_standing(depth: Array, push: float, compliance: Array) -> Array:
    """Metal left standing per side [mm] because the bar gives way, of a cut set `depth` [mm] deep.

    push: radial force for each mm of depth [N/mm]; compliance [mm/N]. The bar bends until the cut
    that is left pushes as hard as the bar: y = c k / (1 + c k) times the depth set. Derived; a
    static cut, no chatter.

    >>> left_standing(np.array([1.0]), 1000.0, np.array([1e-4])).round(4).tolist()
    [0.0909]
    """
    give = push * compliance
    return np.asarray(give / (1.0 + give) * depth)
