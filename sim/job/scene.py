"""A job: its sections as one value."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

from sim.job.sections.bore import (
    Axes,
    Bore,
    BoreOnBar,
    Gouge,
    Groove,
    JobTitle,
    Keyway,
    OilHole,
    PreBore,
    PreBoreBlack,
    ReadingsSource,
    Worn,
)
from sim.job.sections.machine import (
    BoringBar,
    Cut,
    DialPoint,
    Electrical,
    Gauge,
    Grid,
    Heat,
    HoldPoints,
    Procedure,
    Rates,
    ShopValues,
    Steel,
)
from sim.job.sections.plan import Confidence, FromReadings, PlanLimits, ReadingAfter, Spread
from sim.job.sections.weld import Head, LayerPlan, MeasuredBead, NoWeld, Pad, Process, RunOff, Wire


@dataclass(frozen=True, kw_only=True)
class Scene:
    """A whole job. Sections that may be left out are None, empty, or at their defaults."""

    job: JobTitle
    bore: Bore
    worn: Worn
    wire: Wire
    layer: tuple[LayerPlan, ...]
    readings: ReadingsSource | None = None
    gouge: tuple[Gouge, ...] = ()
    groove: tuple[Groove, ...] = ()
    oil_hole: tuple[OilHole, ...] = ()
    keyway: tuple[Keyway, ...] = ()
    pre_bore: PreBore | None = None
    pre_bore_black: tuple[PreBoreBlack, ...] = ()
    axes: Axes
    bead: MeasuredBead | None = None
    pad: Pad | None = None
    process: Process
    run_off: RunOff
    no_weld: tuple[NoWeld, ...] = ()
    bore_on_bar: tuple[BoreOnBar, ...] = ()
    cut: Cut
    boring_bar: BoringBar | None = None
    head: Head
    gauge: Gauge
    grid: Grid
    spread: Spread
    confidence: Confidence
    plan: PlanLimits
    steel: Steel = Steel()
    electrical: Electrical = Electrical()
    heat: Heat = Heat()
    procedure: Procedure = Procedure()
    dial: tuple[DialPoint, ...] = ()
    hold_points: HoldPoints = HoldPoints()
    rates: Rates | None = None
    shop_values: ShopValues = ShopValues()
    reading_after: tuple[ReadingAfter, ...] = ()
    update: FromReadings | None = None
    update_on_bar: tuple[FromReadings, ...] = ()

    @property
    def layers(self) -> list[LayerPlan]:
        """Every layer by itself: repeats unrolled, start clock shifted and staggered layer by
        layer.
        """
        out: list[LayerPlan] = []
        for plan in self.layer:
            for k in range(plan.repeat):
                start = (plan.start_at + k * plan.shift) % (2.0 * math.pi)
                stagger = plan.stagger if k % 2 else 0.0
                out.append(dataclasses.replace(plan, repeat=1, start_at=start, stagger=stagger))
        return out


SECTIONS: dict[str, tuple[type, bool, bool]] = {
    # name: (declaration, a list of them, may be missing as a whole)
    "job": (JobTitle, False, False),
    "bore": (Bore, False, False),
    "worn": (Worn, False, False),
    "readings": (ReadingsSource, False, True),
    "gouge": (Gouge, True, True),
    "groove": (Groove, True, True),
    "oil_hole": (OilHole, True, True),
    "keyway": (Keyway, True, True),
    "pre_bore": (PreBore, False, True),
    "pre_bore_black": (PreBoreBlack, True, True),
    "axes": (Axes, False, False),
    "shop_values": (ShopValues, False, False),
    "wire": (Wire, False, False),
    "bead": (MeasuredBead, False, True),
    "pad": (Pad, False, True),
    "process": (Process, False, False),
    "layer": (LayerPlan, True, False),
    "run_off": (RunOff, False, False),
    "no_weld": (NoWeld, True, True),
    "bore_on_bar": (BoreOnBar, True, True),
    "cut": (Cut, False, False),
    "boring_bar": (BoringBar, False, True),
    "head": (Head, False, False),
    "gauge": (Gauge, False, False),
    "grid": (Grid, False, False),
    "spread": (Spread, False, False),
    "confidence": (Confidence, False, False),
    "plan": (PlanLimits, False, False),
    "steel": (Steel, False, False),
    "electrical": (Electrical, False, False),
    "heat": (Heat, False, False),
    "procedure": (Procedure, False, False),
    "dial": (DialPoint, True, True),
    "hold_points": (HoldPoints, False, False),
    "rates": (Rates, False, True),
    "reading_after": (ReadingAfter, True, True),
    "update": (FromReadings, False, True),
    "update_on_bar": (FromReadings, True, True),
}


SHOP = (
    "steel", "electrical", "heat", "procedure", "dial", "hold_points", "boring_bar", "rates",
    "shop_values",
)  # fmt: skip
"""Sections for the machine and the paper: no stock rests on them, and a job without them is named
as it was before.
"""


LATER = ("reading_after", "update", "update_on_bar", "pre_bore_black")
"""Sections added when jobs had been named already: empty they leave the digest of old jobs alone.
"""


EITHER: dict[str, tuple[tuple[str, ...], ...]] = {
    "layer": (("pitch", "bead_overlap"), ("travel", "rotation", "turn_time")),
}
