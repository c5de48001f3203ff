"""What a law was made for: a range for each quantity, and in which of them a case lies outside."""

from __future__ import annotations

from collections.abc import Mapping

Range = Mapping[str, tuple[float, float, str]]
"""Quantity -> low, high, unit."""


def outside(made_for: Range, values: Mapping[str, float], *, hair: float = 0.0) -> tuple[str, ...]:
    """In which respects these values lie outside what a law was made for, by more than a `hair`.

    >>> outside({"travel": (400.0, 640.0, "mm/min")}, {"travel": 300.0})
    ('travel 300 mm/min (made for 400 to 640)',)
    """
    out = []
    for name, value in values.items():
        low, high, unit = made_for[name]
        if not low - hair <= value <= high + hair:
            out.append(f"{name} {value:.3g} {unit} (made for {low:g} to {high:g})")
    return tuple(out)
