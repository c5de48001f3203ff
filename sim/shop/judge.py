"""5 The verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sim.job.looked import look, open_patches, read_after, state
from sim.job.sections.bore import BLACK_LEFT, NOT_LOOKED
from sim.reference.arrays import Array
from sim.shop.uncovered import uncovered

if TYPE_CHECKING:
    from sim.job.scene import Scene
    from sim.shop.result import Result


CLEANS_UP, NOT_PROVEN, NOT_SURE, THIN, FALLS_SHORT = (
    "cleans up", "not proven", "not sure enough", "thin", "falls short"
)  # fmt: skip


VERDICTS = (CLEANS_UP, NOT_PROVEN, NOT_SURE, THIN, FALLS_SHORT)  # best first


@dataclass(frozen=True)
class Open:
    """Something no draw speaks for, so that a yes cannot be given: what, and what would close it,
    in few words.

    least: stock per side [mm] that would be left if it came out at its worst; clock [rad], depth
    [mm]: where; layer: in which layer. None where that says nothing.
    """

    what: str
    closes: str
    least: float | None = None
    clock: float | None = None
    depth: float | None = None
    layer: int | None = None


NO_BEAD, WARM, UNSEEN, TOUCHES, UNCOVERED, BLACK = (
    "bead not measured",
    "part warm when gauged",
    "wear the gauge cannot see",
    "torch touches",
    "part of the wall nobody read",
    "black left by the pre-bore, depth not known",
)


@dataclass(frozen=True)
class Evidence:
    """Draws of the whole job counted: how many stay black somewhere, how many leave at least the
    minimum cut everywhere.

    asked: part of the draws that shall; open: what no draw speaks for.
    """

    draws: int
    black: int
    clean: int
    asked: float
    open: tuple[Open, ...] = ()

    def __post_init__(self) -> None:
        """Refuse counts that cannot be."""
        if (
            self.draws < 1
            or self.black < 0
            or self.clean < 0
            or self.black + self.clean > self.draws
        ):
            raise ValueError(
                f"Evidence: {self.black} black and {self.clean} clean of {self.draws} draws"
            )

    @classmethod
    def of(
        cls, least: Array, cut: float, asked: float, stands_open: Sequence[Open] = ()
    ) -> Evidence:
        """Least stock per side (n,) [mm] of draws against the minimum cut; a draw that is nan (the
        bore closes) is black.

        >>> Evidence.of(np.array([0.3, 0.1, -0.2, np.nan]), 0.25, 0.95)
        Evidence(draws=4, black=2, clean=1, asked=0.95, open=())
        """
        black = int(np.count_nonzero(~(least >= 0.0)))
        return cls(
            len(least),
            black,
            int(np.count_nonzero(least >= max(cut, 0.0))),
            asked,
            tuple(stands_open),
        )


def verdict_of(evidence: Evidence) -> str:
    """The verdict, asked in this order.

    falls short: more than half the draws stay black somewhere; thin: no more than half leave the
    minimum cut; not sure enough: fewer leave it than asked and one standard error of the draws; not
    proven: something stands open; else it cleans up.

    >>> verdict_of(Evidence(200, 0, 199, 0.95)), verdict_of(Evidence(200, 0, 191, 0.95))
    ('cleans up', 'not sure enough')
    """
    p = evidence.clean / evidence.draws
    if 2 * evidence.black > evidence.draws:
        return FALLS_SHORT
    if 2 * evidence.clean <= evidence.draws:
        return THIN
    if p - math.sqrt(p * (1.0 - p) / evidence.draws) < evidence.asked:
        return NOT_SURE
    return NOT_PROVEN if evidence.open else CLEANS_UP


def open_of(found: Result) -> tuple[Open, ...]:
    """What stands open in a job as planned: everything a yes still needs that no draw speaks for."""
    scene, out = found.scene, []
    if scene.bead is None:
        out.append(Open(NO_BEAD, "lay a bead on a plate, measure its width and height"))
    if scene.readings is not None and scene.readings.warm:
        out.append(Open(WARM, "gauge the part again when it is cold"))
    if found.unseen is not None and found.unseen - found.stock_error < 0.0:
        out.append(
            Open(
                UNSEEN,
                f"sweep the bore with an indicator from a centred bar{_or_look(scene)}",
                least=found.unseen,
            )
        )
    out += [*_not_looked_at(scene)]
    out += [
        Open(TOUCHES, "fewer closing turns or another start clock", layer=number)
        for number in found.touches
    ]
    return tuple(out)


def _or_look(scene: Scene) -> str:
    """The other way to close it, where there is a pre-bored wall that nobody looked at."""
    if scene.pre_bore is None or read_after(scene) or state(scene) != NOT_LOOKED:
        return ""
    return ", or say how the pre-bore came out: bright or black left"


def _not_looked_at(scene: Scene) -> list[Open]:
    """Wall that nobody read, and black left by the pre-bore that nobody measured."""
    bare, out = uncovered(scene), []
    if bare.gaps:
        out.append(
            Open(
                UNCOVERED,
                f"read it there{_or_look(scene)}",
                clock=bare.next_clock,
                depth=bare.next_depth,
            )
        )
    if state(scene) == BLACK_LEFT and look(scene) is None:
        out.append(Open(BLACK, "say where it is and how deep"))
    for patch in open_patches(scene):
        out.append(Open(BLACK, "measure how deep it is", clock=patch.at, depth=patch.depth))
    return out
