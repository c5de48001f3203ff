"""Boring passes as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from sim.job.scene import Scene
from sim.job.sections.machine import BoringBar
from sim.laws.bar_deflection import Bar
from sim.reference.remarks import Remark

PRE_BORE, ROUGH, FINISH = "pre-bore", "rough", "finish"


MOST_PASSES = 99


@dataclass(frozen=True)
class Over:
    """How a figure ranges over one pass: least, mean and most where the tool cuts."""

    least: float
    mean: float
    most: float


NOWHERE = Over(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Pass:
    """One boring pass.

    kind: pre-bore, rough or finish; done: already behind us at the job's stage; met, size: smallest
    diameter the tool
    meets and the one it is set to [mm on diameter]; depth of cut [mm per side]; round_change,
    along_change: largest
    change of that depth within a turn and along the bore at one clock [mm per side]; interrupted:
    part of the tool's
    way without metal, thin: part with less metal than the smallest useful cut; turning, wished
    [rad/s]: as the bar can,
    and for the cutting speed wished; feed, wished_feed [mm per turn]; cutting_speed [mm/s]; time
    [s]; force [N] along
    the speed; power [W] of the drive; bend [mm per side]: metal left standing because the bar gives
    way; roughness,
    mean_roughness [mm]: height and Ra of the feed marks, theoretical.
    """

    kind: str
    done: bool
    met: float
    size: float
    depth: Over
    round_change: float
    along_change: float
    interrupted: float
    thin: float
    turning: float
    wished: float
    feed: float
    wished_feed: float
    cutting_speed: float
    time: float
    force: Over
    power: Over
    bend: Over
    roughness: float
    mean_roughness: float


@dataclass(frozen=True)
class BoreAfter:
    """What the bar makes of the finished bore, from bending alone [mm on diameter], over the judged
    wall that is cut.

    size: mean diameter less the size set (negative: smaller); taper: far end less entry end; waist:
    middle less the
    mean of the ends (negative: narrower in the middle); out_of_round: largest less smallest
    two-point diameter at one
    depth; change: largest less smallest diameter of all; after_spring: the same after the pass is
    run once more at the
    same setting; tolerance: upper less lower limit of size, None when the drawing gives none;
    black: part of the judged
    wall that stays uncut.
    """

    size: float
    taper: float
    waist: float
    out_of_round: float
    change: float
    after_spring: float
    tolerance: float | None
    black: float


@dataclass(frozen=True)
class Cuts:
    """Every pass in order, what the last one leaves, and what is to be said.

    bar: as assumed or given; bar_given: whether the scene has one; given: its section, or all usual
    values;
    smallest: smallest useful cut [mm per side]; allowance: left for the finishing pass [mm per
    side]; warnings: what to look at; assumed: what is taken for granted.
    """

    scene: Scene
    given: BoringBar
    bar_given: bool
    bar: Bar
    passes: tuple[Pass, ...]
    bore: BoreAfter
    smallest: float
    allowance: float
    warnings: tuple[Remark, ...]
    assumed: tuple[Remark, ...]

    @property
    def time(self) -> float:
        """Time in the cut [s] of the passes still to come."""
        return sum(one.time for one in self.passes if not one.done)
