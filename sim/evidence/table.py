"""All rows of evidence, and how they stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sim.evidence import beads, bore, heat, shop, sizes
from sim.evidence.row import MATHEMATICS, Compared, Row

ROWS: tuple[Row, ...] = (*beads.ROWS, *bore.ROWS, *heat.ROWS, *sizes.ROWS, *shop.ROWS)


@dataclass(frozen=True)
class Evidence:
    """Every row worked out."""

    rows: tuple[Compared, ...]

    @property
    def holding(self) -> tuple[Compared, ...]:
        """Those that hold."""
        return tuple(one for one in self.rows if one.holds)

    @property
    def missing(self) -> tuple[Compared, ...]:
        """Those that do not."""
        return tuple(one for one in self.rows if not one.holds)

    @property
    def as_known(self) -> bool:
        """Tell whether just those do not hold that are known not to."""
        return all(one.holds != bool(one.row.known_miss) for one in self.rows)

    @property
    def sources(self) -> tuple[str, ...]:
        """The sources by name."""
        return tuple(sorted({one.row.source.name for one in self.rows}))

    @property
    def laws(self) -> tuple[str, ...]:
        """The laws and parts, in the order of the rows."""
        return tuple(dict.fromkeys(one.row.law for one in self.rows))

    @property
    def only_mathematics(self) -> tuple[str, ...]:
        """Laws that nothing but mathematics stands behind: no metal, no standard, no example."""
        kinds = {law: {one.row.source.kind for one in self.of(law)} for law in self.laws}
        return tuple(law for law, found in kinds.items() if found == {MATHEMATICS})

    def of(self, law: str) -> tuple[Compared, ...]:
        """The rows of a law."""
        return tuple(one for one in self.rows if one.row.law == law)


def evidence(rows: Iterable[Row] = ROWS) -> Evidence:
    """Every row worked out now."""
    return Evidence(tuple(row.worked() for row in rows))
