"""The best linear estimate: the gain on the means of readings, and what they tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.reference.arrays import Array


@dataclass(frozen=True)
class Told:
    """value (SEEN + layers,) and covariance of what is told, `kinds` those seen; per set how far
    rows are off, and may be (rows,).
    """

    value: Array
    covariance: Array
    kinds: list[int]
    off: list[Array]
    sd: list[Array]


@dataclass(frozen=True)
class Kalman:
    """means (k, rows): the means taken; common (told + rows, k): covariance with them; gain;
    of_means (k, k).
    """

    means: Array
    common: Array
    gain: Array
    of_means: Array

    def unsure(self, at: Array, draws: int) -> float:
        """What so many draws leave open of the gain, at these means, as a factor on the covariance
        left.
        """
        k = len(self.of_means)
        far = (
            1.0
            + (1.0 + float(at @ np.linalg.pinv(self.of_means, rcond=1e-9, hermitian=True) @ at))
            / draws
        )
        return far * (draws - 1) / (draws - k - 1)
