"""What a job takes, line by line, as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from sim.job.scene import Scene
from sim.machine.quantities.guess import Guess
from sim.reference.remarks import Remark

MATERIAL, WORK, WAIT = "material", "work", "waiting"


METAL = ("wire", "gas", "arc", "between", "bore")  # lines that hang on how much metal is laid


@dataclass(frozen=True)
class Line:
    """One line of the estimate, for the whole job.

    name: wire, spools, gas, arc, between, interpass, set_up, clean, measure, preheat, cool,
    pre_bore, bore, tool, fixed; kind: a quantity of material, time worked or time waited; amount in
    `unit`: g, mm3, s, spools or job; basis: where the figure comes from; money: None where there is
    no rate for it.
    """

    name: str
    kind: str
    amount: Guess
    unit: str
    basis: Remark
    money: Guess | None = None


@dataclass(frozen=True)
class Quantities:
    """An estimate, for `holes` bores alike.

    work: hours that somebody works [s]; elapsed: work and waiting [s]; money: sum of what has a
    rate, None when nothing has; short: part of the draws (of `draws`) that leave less than the
    minimum cut somewhere, which a layer more mends; missing: what could not be priced; notes: how
    the figures are meant.
    """

    scene: Scene
    holes: int
    rows: tuple[Line, ...]
    work: Guess
    elapsed: Guess
    money: Guess | None
    currency: str
    short: float
    draws: int
    missing: tuple[Remark, ...]
    notes: tuple[Remark, ...]

    def of(self, name: str) -> Line | None:
        """The line of that name, None when the job has none."""
        return next((row for row in self.rows if row.name == name), None)
