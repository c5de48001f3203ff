"""Sections of the plan and of what came after: spreads, confidence, limits, readings after layers."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from sim.job.key import NOTHING, OPTIONAL, key

# fmt: off
# one declaration a line


@dataclass(frozen=True, kw_only=True)
class Spread:
    """[spread] how far things stray from what was set or measured: one standard deviation unless it says otherwise."""

    known: str = key("text", "how the spreads given here are known")
    common: float = key("number", "bead area of a whole layer: wire feed, dial and efficiency together, relative", low=0.0, high=0.15, known="spread.common")
    shared: float = key("number", "part of that variance that all layers of the job have in common", low=0.0, high=1.0, known="spread.shared")
    height: float = key("number", "bead height from turn to turn, relative", low=0.0, high=0.15, known="spread.height")
    along: float = key("number", "bead height along the bead, relative", low=0.0, high=0.15, known="spread.along")
    along_length: float = key("length", "distance along the bead at which that has mostly changed (correlation 1/e)", low=1.0, high=200.0, known="spread.along_length")
    width: float = key("number", "bead width from turn to turn, relative", low=0.0, high=0.15, known="spread.width")
    width_law: float = key("number", "bead width away from the settings of the measured bead, relative", low=0.0, high=0.15, known="spread.width_law")
    tie_in: float = key("number", "tie-in when it was measured; unmeasured it is anything from 0 to 1", low=0.0, high=0.5, known="spread.tie_in")
    gravity: float = key("number", "gravity coefficient, relative", low=0.0, high=0.5, known="spread.gravity")
    pool_run: float = key("length", "pool run: anything within this of the nominal, either way", low=0.0, high=5.0, known="spread.pool_run")
    fusion: float = key("length", "depth of fusion, per side", low=0.0, high=2.0, known="spread.fusion")
    pre_bore_axis: float = key("length", "setting up the pre-bore axis: in each direction at each face, per side", low=0.0, high=5.0, known="spread.pre_bore_axis")
    torch_axis: float = key("length", "setting up the torch axis: in each direction at each face, per side", low=0.0, high=5.0, known="spread.torch_axis")
    finish_axis: float = key("length", "setting up the finish axis against the pre-bore axis: in each direction at each face, per side", low=0.0, high=5.0, known="spread.finish_axis")
    reading: float = key("length", "sizes read before welding, all together, on diameter", low=0.0, high=2.0, known="spread.reading")
    law: float = key("length", "the build-up law itself, which nobody has measured inside a bore: least stock, per side", low=0.0, high=1.0, known="spread.law")
    edge: float = key("length", "most that a free edge slumps a layer, beyond the build-up law: within half a bead of a face, per side", low=0.0, high=1.0, known="spread.edge")
    crest: float = key("length", "crests as the gauge meets them against the build-up law: all together, per side", low=0.0, high=1.0, known="spread.crest")
    odd: float = key("length", "largest out-of-round part that two-point readings cannot see, per side", low=0.0, high=10.0, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class Confidence:
    """[confidence] how sure the shop wants to be, and how the draws are made."""

    asked: float = key("number", "probability of clean-up asked for", low=0.5, high=1.0, known="confidence.asked")
    seed: int = key("integer", "starts the random numbers: same seed, same draws", low=0, high=1000000000, known="confidence.seed")
    draws_most: int = key("integer", "draws after which no more are made", low=100, high=100000, known="confidence.draws_most")


@dataclass(frozen=True, kw_only=True)
class PlanLimits:
    """[plan] within what a plan is sought; a range left out is not a limit of its own."""

    overlap_least: float = key("number", "least bead overlap: (w - pitch)/w", low=-0.5, high=0.9, known="plan.overlap_least")
    overlap_most: float = key("number", "most bead overlap; never past half, or what the qualified procedure allows", low=-0.5, high=0.9, known="plan.overlap_most")
    layers_most: int = key("integer", "most layers", low=1, high=40, known="plan.layers_most")
    travel_least: float | None = key("speed", "slowest travel allowed (qualified procedure)", low=20.0, high=3000.0, need=OPTIONAL)
    travel_most: float | None = key("speed", "fastest travel allowed", low=20.0, high=3000.0, need=OPTIONAL)
    wire_feed_least: float | None = key("feed", "least wire feed allowed (qualified procedure)", low=0.5, high=30.0, need=OPTIONAL)
    wire_feed_most: float | None = key("feed", "most wire feed allowed", low=0.5, high=30.0, need=OPTIONAL)
    rotation_least: float | None = key("rotation", "slowest rotation of the machine", low=0.001, high=100.0, need=OPTIONAL)
    rotation_most: float | None = key("rotation", "fastest rotation of the machine", low=0.001, high=100.0, need=OPTIONAL)
    pitch_least: float | None = key("length", "least feed per turn of the machine", low=0.1, high=60.0, need=OPTIONAL)
    pitch_most: float | None = key("length", "most feed per turn of the machine", low=0.1, high=60.0, need=OPTIONAL)
    pre_bore_free: bool = key("flag", "the pre-bore size may be chosen too")
    weld_left: float = key("length", "least weld left under the finished surface, per side, where the pre-bore is free", low=0.0, high=20.0, known="plan.weld_left")
    read_between: bool = key("flag", "readings are taken after each layer: the next layer is laid lean, the rest carries the margin and is planned again")
    layer_time: float = key("time", "between layers: cleaning, measuring, setting", low=0.0, high=36000.0, known="plan.layer_time")
    wire_price: float | None = key("number", "price of a kilogram of wire laid, in your own money", low=0.0, high=1e6, need=OPTIONAL)
    hour_price: float | None = key("number", "price of an hour, in your own money", low=0.0, high=1e6, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class ReadingAfter:
    """[[reading_after]] readings taken after a layer, as they were written down; nothing here is ever changed."""

    layer: int = key("integer", "after which layer they were taken", low=1, high=200)
    taken: str = key("text", "when, by whom, with what")
    error: float = key("length", "error of a reading, two standard deviations, where the CSV gives none", low=0.0, high=5.0, known="readings.error")
    table: str = key("text", "the CSV: depth_mm, oclock, diameter_mm (two-point) or radius_mm (from a bar on the finish axis), bore_c, outside_c, touched (crest or valley)", high=200000)
    bore: str = key("text", "name of the bore of the bar they were taken in; left out: the first bore", later=True)


STRAY: dict[str, Any] = dict(low=0.0, high=20.0, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class FromReadings:
    """[update] what the readings after layers tell; worked out from [[reading_after]] by the program, not typed in."""

    layers: int = key("integer", "layers laid in this bore when the last readings were taken", low=0, high=200)
    laid: float = key("number", "metal of the layers laid over what was planned, so that the wall is as read", low=0.3, high=3.0)
    laid_spread: float = key("number", "one standard deviation left of it", **STRAY)
    area: float = key("number", "bead area of the layers to come over what wire and travel say", low=0.3, high=3.0)
    area_spread: float = key("number", "one standard deviation left of it, beside what differs from layer to layer", **STRAY)
    tie_in: float | None = key("number", "tie-in, where a valley was measured", low=0.0, high=1.0, need=OPTIONAL)
    tie_in_spread: float = key("number", "one standard deviation left of it", **STRAY)
    pool_run: float | None = key("length", "pool run, where radii were read", low=-5.0, high=10.0, need=OPTIONAL)
    pool_run_spread: float = key("length", "one standard deviation left of it", **STRAY)
    torch: tuple[float, ...] = key("lengths", "torch axis off where it was set, where radii were read: to 3 and to 6 o'clock at the entry face, then at the far face, per side", low=-20.0, high=20.0)
    torch_spread: tuple[float, ...] = key("lengths", "one standard deviation left of each", low=0.0, high=20.0)
    law: float | None = key("length", "how much farther out valleys lie than the build-up law says, where valleys were measured, per side", low=-5.0, high=5.0, need=OPTIONAL)
    law_spread: float = key("length", "one standard deviation left of it, per side", **STRAY)
    edge: float | None = key("length", "how much a free edge slumps a layer beyond that, where valleys were measured there, per side", low=-5.0, high=5.0, need=OPTIONAL)
    edge_spread: float = key("length", "one standard deviation left of it, per side", **STRAY)
    width: float | None = key("number", "bead width against what was known of it, in standard deviations, where valleys were measured", low=-8.0, high=8.0, need=OPTIONAL)
    width_spread: float = key("number", "one standard deviation left of it", **STRAY)
    gravity: float | None = key("number", "gravity coefficient over what was known of it, where valleys were measured", low=-3.0, high=5.0, need=OPTIONAL)
    gravity_spread: float = key("number", "one standard deviation left of it", **STRAY)
    links: tuple[float, ...] = key("numbers", "how these hang together: their correlations, row by row below the diagonal", low=-1.0, high=1.0)
    bore: str = key("text", "name of the bore of the bar the readings were taken in; left out: the first bore", later=True)

    @property
    def elsewhere(self) -> FromReadings:
        """What of it holds in another bore of the bar: what all bores share, not how its layers
        came out; where the torch stood and how far the pool ran stay with the bore that was read.
        """
        kept = [
            name not in ("pool_run", "torch")
            for name in told_keys()
            for _ in range(_count(getattr(self, name)))
        ]
        known = np.zeros((len(kept), len(kept)))
        known[np.tril_indices(len(kept), -1)] = self.links
        links = known[np.ix_(kept, kept)][np.tril_indices(sum(kept), -1)]
        return replace(
            self,
            layers=0,
            pool_run=None,
            pool_run_spread=0.0,
            torch=(),
            torch_spread=(),
            links=tuple(float(one) for one in links),
            bore="",
        )


def told_keys() -> list[str]:
    """What [update] tells, in the order of its links."""
    names = [each.name for each in fields(FromReadings)]
    return [name for name in names if f"{name}_spread" in names]


def _count(value: Any) -> int:
    """How many values are told under a key."""
    return len(value) if isinstance(value, tuple) else int(value is not None)
