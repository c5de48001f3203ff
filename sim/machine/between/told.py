"""What readings after a layer told."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from sim.job.scene import Scene
from sim.plan.odds.verdict import Decision
from sim.plan.search.offers import Plan
from sim.plan.search.settle import SURE
from sim.reference.remarks import Remark


@dataclass(frozen=True)
class Found:
    """A value, its standard deviation, and both before the readings."""

    value: float
    spread: float
    before: float
    spread_before: float


@dataclass(frozen=True)
class ReadingAgainst:
    """One reading against what was expected: lengths mm, at 20 C, on diameter or as radius as it
    was read.

    layer after which it was taken; row in its CSV; expected before any reading; off: read less what
    all other readings together lead to expect; sd: how far that may be off by chance; contradicts:
    named, and not used; bore: which of a bar it was taken in, "" where there is one.
    """

    layer: int
    row: int
    depth: float
    clock: float
    touched: str
    kind: str
    read: float
    expected: float
    off: float
    sd: float
    contradicts: bool
    bore: str = ""


@dataclass(frozen=True)
class Update:
    """What readings after layers told. scene: the job with its readings and what they tell, ready
    to go on.

    layer: the last one read after; laid: metal of the layers laid over what was planned; area: bead
    area to come likewise; tie_in, pool_run [mm], torch (x, y at entry and far face [mm]): None
    where nothing that was read
    can see them; law, edge:
    how much farther out valleys lie than the build-up law says, and at free edges more a layer [mm
    per side]; width: of beads, in standard deviations of what was known; gravity: its coefficient
    as a factor;
    by_layer:
    bead area of each layer laid over what was planned. as_is: verdict on the bore with no more
    metal; plan: the layers left planned again, None when that was not asked or none is needed.
    warm: on warm readings; bore: of a bar, which was read; others: what readings of its other bores
    told, by themselves.
    """

    scene: Scene
    layer: int
    laid: Found
    area: Found
    tie_in: Found | None
    pool_run: Found | None
    torch: tuple[Found, ...]
    rows: tuple[ReadingAgainst, ...]
    warm: tuple[Remark, ...]
    law: Found | None = None
    edge: Found | None = None
    width: Found | None = None
    gravity: Found | None = None
    by_layer: tuple[Found, ...] = ()
    as_is: Decision | None = None
    plan: Plan | None = None
    bore: str = ""
    others: tuple[Update, ...] = ()

    @property
    def each(self) -> tuple[Update, ...]:
        """What the readings of every bore told by themselves."""
        return (self, *self.others)

    @property
    def all_rows(self) -> tuple[ReadingAgainst, ...]:
        """The readings of every bore."""
        return tuple(row for one in self.each for row in one.rows)

    @property
    def job(self) -> Scene:
        """The job to go on with: the layers left as planned again, or none where none is needed."""
        if self.enough:
            return as_it_is(self.scene)
        return (
            self.plan.winner.scene
            if self.plan is not None and self.plan.winner is not None
            else self.scene
        )

    @property
    def contradictory(self) -> tuple[ReadingAgainst, ...]:
        """Readings that the others contradict, in any bore."""
        return tuple(row for row in self.all_rows if row.contradicts)

    @property
    def enough(self) -> bool:
        """Tell whether the job as it now is cleans up as surely as asked, in every bore."""
        return self.as_is is not None and self.as_is.verdict in SURE


def as_it_is(scene: Scene) -> Scene:
    """The scene with the layers laid and no more."""
    return dataclasses.replace(scene, layer=tuple(scene.layers[: scene.job.layers_done]))
