"""Boring passes as plain values."""

from __future__ import annotations

from dataclasses import dataclass

from sim.job.key import OVER, figure
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


# fmt: off
# one declaration a line


@dataclass(frozen=True)
class Pass:
    """One boring pass."""

    kind: str = figure("text", "pre-bore, rough or finish")
    done: bool = figure("flag", "already behind us at the job's stage")
    met: float = figure("length", "smallest the tool meets, on diameter", name="met_diameter")
    size: float = figure("length", "what it is set to, on diameter", name="set_diameter")
    depth: Over = figure("length", "depth of cut, per side", form=OVER)
    round_change: float = figure("length", "largest change of that depth within a turn, per side", name="depth_change_round")
    along_change: float = figure("length", "largest change of it along the bore at one clock, per side", name="depth_change_along")
    interrupted: float = figure("number", "part of the tool's way without metal")
    thin: float = figure("number", "part of it with less metal than the smallest useful cut")
    turning: float = figure("rotation", "as the bar can", name="rotation")
    wished: float = figure("rotation", "for the cutting speed wished", name="rotation_wished")
    feed: float = figure("length", "per turn, as the bar can")
    wished_feed: float = figure("length", "per turn, as wished", name="feed_wished")
    cutting_speed: float = figure("cutting speed", "at the size set")
    time: float = figure("time", "in the cut")
    force: Over = figure("number", "newtons along the speed", name="force_n", form=OVER)
    power: Over = figure("number", "watts of the drive", name="power_w", form=OVER)
    bend: Over = figure("length", "metal left standing because the bar gives way, per side", form=OVER)
    roughness: float = figure("length", "height of the feed marks, theoretical; nan where they do not meet", endless=True)
    mean_roughness: float = figure("length", "Ra of the same", endless=True)


@dataclass(frozen=True)
class BoreAfter:
    """What the bar makes of the finished bore, from bending alone, over the judged wall that is cut."""

    size: float = figure("length", "mean diameter less the size set; negative: smaller", name="size_error")
    taper: float = figure("length", "far end less entry end, on diameter")
    waist: float = figure("length", "middle less the mean of the ends, on diameter; negative: narrower in the middle")
    out_of_round: float = figure("length", "largest less smallest two-point diameter at one depth")
    change: float = figure("length", "largest less smallest diameter of all")
    after_spring: float = figure("length", "the same after the pass is run once more at the same setting", name="change_after_spring_pass")
    tolerance: float | None = figure("length", "upper less lower limit of size; None when the drawing gives none")
    black: float = figure("number", "part of the judged wall that stays uncut")


# fmt: on


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
