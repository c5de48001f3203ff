"""What a law was made for: a range for each quantity, and in which of them a case lies outside."""

from __future__ import annotations

from collections.abc import Mapping

from sim.reference.remarks import Remark

Range = Mapping[str, tuple[float, float, str]]
"""Quantity -> low, high, unit."""


def outside(
    made_for: Range, values: Mapping[str, float], *, hair: float = 0.0
) -> tuple[Remark, ...]:
    """In which respects these values lie outside what a law was made for, by more than a `hair`.

    >>> [one["name"] for one in outside({"travel": (400.0, 640.0, "mm/min")}, {"travel": 300.0})]
    ['travel']
    """
    out = []
    for name, value in values.items():
        low, high, unit = made_for[name]
        if not low - hair <= value <= high + hair:
            out.append(
                Remark("past a law", name=name, value=value, unit=unit, made_for=(low, high))
            )
    return tuple(out)
