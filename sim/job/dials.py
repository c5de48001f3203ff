"""The machine's dials: tables of marks against rotation or wire feed, as timed in the shop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.job.sections.machine import DialPoint
from sim.reference.errors import SceneError


@dataclass(frozen=True)
class Dial:
    """One dial: `marks` ascending, and what it gives there (`values`), for what (rotation or wire
    feed).

    >>> dial = Dial("rotation", (1.0, 2.0, 4.0), (0.5, 1.0, 3.0))
    >>> dial.mark_for(2.0), dial.mark_for(3.5)
    (3.0, None)
    """

    what: str
    marks: tuple[float, ...]
    values: tuple[float, ...]

    @property
    def ends(self) -> tuple[float, float]:
        """Least and most it gives."""
        return min(self.values), max(self.values)

    def mark_for(self, value: float) -> float | None:
        """The mark that gives a value, straight between the points; None outside the table."""
        low, high = self.ends
        slack = 1e-9 * high
        if not low - slack <= value <= high + slack:
            return None
        order = np.argsort(self.values)
        return float(np.interp(value, np.array(self.values)[order], np.array(self.marks)[order]))


def tables(points: Sequence[DialPoint]) -> list[Dial]:
    """The dials that the points of a scene give: rotation and wire feed, each where any point names
    it.
    """
    out = []
    for what in ("rotation", "wire_feed"):
        held = sorted((p.mark, getattr(p, what)) for p in points if getattr(p, what) is not None)
        if held:
            out.append(
                Dial(what.replace("_", " "), tuple(m for m, _ in held), tuple(v for _, v in held))
            )
    return out


def dial_of(points: Sequence[DialPoint], what: str) -> Dial | None:
    """The dial for `rotation` or `wire feed`, None when the scene gives none."""
    return next((one for one in tables(points) if one.what == what), None)


def check(table: Dial, where: str) -> None:
    """Refuse a table that does not rise or fall all the way. Raises SceneError with one sentence."""
    steps = np.diff(table.values)
    if len(table.marks) < 2:
        raise SceneError(
            f"{where} {table.what}: one point only, at mark {table.marks[0]:g}; time it at "
            "two marks or more."
        )
    for k, (one, other) in enumerate(zip(table.marks, table.marks[1:], strict=False)):
        if one == other:
            raise SceneError(
                f"{where} {table.what}: mark {one:g} given twice; keep the one you trust."
            )
        if steps[k] == 0.0 or np.sign(steps[k]) != np.sign(steps[0]):
            raise SceneError(
                f"{where} {table.what}: between marks {one:g} and {other:g} it does not go "
                "on as before; a dial must rise or fall all the way: time those marks again."
            )
