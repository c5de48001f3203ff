"""A row of evidence: what somebody else published, what comes out here, and whether it holds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import cast

MEASURED = "measured"
STANDARD = "standard"
EXAMPLE = "worked example"
MATHEMATICS = "mathematics"
KINDS = (MEASURED, STANDARD, EXAMPLE, MATHEMATICS)
"""What a source is: metal somebody measured; a standard or code; an example worked by others; exact
algebra or geometry done without this program."""

Values = tuple[float, ...] | tuple[str, ...]
Ours = Callable[[], float | str | Sequence[float] | Sequence[str]]


@dataclass(frozen=True)
class Source:
    """A source by its name, its kind, and where in it or where to find it."""

    name: str
    kind: str
    where: str = ""


@dataclass(frozen=True)
class Row:
    """One quantity against one source.

    law: a file of `laws/`, or a part of the engine. published: one value or several of one table,
    in `unit`. within: how far ours may lie off, and why in words. known_miss: why a row that does
    not hold does not, empty for one that does. fitted: the law was fitted to this source, so it
    proves only the fit.
    """

    law: str
    quantity: str
    source: Source
    published: Values
    unit: str
    within: float
    why: str
    ours: Ours = field(repr=False)
    known_miss: str = ""
    fitted: bool = False
    relative: bool = False

    def worked(self) -> Compared:
        """Ours worked out now, beside the published values."""
        told = self.ours()
        values = (told,) if isinstance(told, float | int | str) else tuple(told)
        return Compared(self, cast(Values, values))


@dataclass(frozen=True)
class Compared:
    """A row with ours worked out."""

    row: Row
    ours: Values

    @property
    def differences(self) -> tuple[float, ...]:
        """Ours less published, value by value; of words 0 where alike, else 1."""
        pairs: zip[tuple[float | str, float | str]]
        pairs = zip(self.ours, self.row.published, strict=True)
        return tuple(
            float(a != b) if isinstance(a, str) or isinstance(b, str) else a - b for a, b in pairs
        )

    @property
    def allowed(self) -> tuple[float, ...]:
        """How far each value may lie off."""
        row = self.row
        return tuple(
            row.within * abs(one) if row.relative and not isinstance(one, str) else row.within
            for one in row.published
        )

    @property
    def worst(self) -> int:
        """Which value lies farthest off for what it may."""
        off = [
            abs(one) / may if may else abs(one)
            for one, may in zip(self.differences, self.allowed, strict=True)
        ]
        return off.index(max(off))

    @property
    def holds(self) -> bool:
        """Tell whether every value lies within."""
        pairs = zip(self.differences, self.allowed, strict=True)
        return all(abs(one) <= may for one, may in pairs)
