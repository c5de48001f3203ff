"""A quantity as low, likely and high."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Guess:
    """A figure as low, likely and high.

    >>> Guess(1.0, 2.0, 4.0).times(3)
    Guess(low=3.0, likely=6.0, high=12.0)
    """

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Guess:
        """All three times a factor."""
        return Guess(self.low * factor, self.likely * factor, self.high * factor)

    def plus(self, other: Guess) -> Guess:
        """The sum of two figures that stray together."""
        return Guess(self.low + other.low, self.likely + other.likely, self.high + other.high)


def added(parts: Sequence[Guess]) -> Guess:
    """The sum of figures that stray independently: distances to low and high by the root of their
    squares.

    >>> added([Guess(7.0, 10.0, 13.0), Guess(6.0, 10.0, 14.0)])
    Guess(low=15.0, likely=20.0, high=25.0)
    """
    likely = sum(one.likely for one in parts)
    below = math.sqrt(sum((one.likely - one.low) ** 2 for one in parts))
    above = math.sqrt(sum((one.high - one.likely) ** 2 for one in parts))
    return Guess(likely - below, likely, likely + above)


def widened(likely: float, low: float, high: float) -> Guess:
    """A figure with relative distances below and above it.

    >>> widened(10.0, 0.1, 0.2)
    Guess(low=9.0, likely=10.0, high=12.0)
    """
    return Guess(likely * (1.0 - low), likely, likely * (1.0 + high))
