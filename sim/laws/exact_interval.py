"""Law of an exact interval: how far a share seen in so many draws may lie off."""

from __future__ import annotations

from dataclasses import dataclass

FORMULA = (
    "low = B(tail; k, n - k + 1), high = B(1 - tail; k + 1, n - k), B the quantile of the beta "
    "distribution"
)
SOURCE = "Clopper and Pearson, Biometrika 26 (1934) 404-413"
RANGE = {"level": (0.0, 1.0, "1")}
HOW_KNOWN = "published"


LEVEL = 0.95  # of every interval told


@dataclass(frozen=True)
class Interval:
    """low..high: an exact binomial interval."""

    low: float
    high: float


def clopper_pearson(cleans: int, draws: int, level: float = LEVEL) -> Interval:
    """Exact two-sided interval of a binomial probability. Clopper and Pearson, Biometrika 26 (1934)
    404-413.

    >>> i = clopper_pearson(0, 10)
    >>> i.low, round(i.high, 4)
    (0.0, 0.3085)
    """
    from scipy.special import betaincinv

    if not 0 <= cleans <= draws or draws < 1:
        raise ValueError(
            f"clopper_pearson: {cleans} of {draws}: must be 0 up to all of at least one draw"
        )
    tail = 0.5 * (1.0 - level)
    low = 0.0 if cleans == 0 else float(betaincinv(cleans, draws - cleans + 1, tail))
    high = 1.0 if cleans == draws else float(betaincinv(cleans + 1, draws - cleans, 1.0 - tail))
    return Interval(low, high)
