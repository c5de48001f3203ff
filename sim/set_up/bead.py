"""The bead of a layer, from plate or aspect; how far it ties in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bore.ripple import steady_ripple, tie_in_from_pad
from sim.job.scene import Scene
from sim.laws.bead_shape import Bead, rescaled
from sim.laws.gravity import climb, gravity_coefficient, taller
from sim.laws.mass_balance import deposited_area, wire_area
from sim.reference.defaults import default


@dataclass(frozen=True)
class TieIn:
    """tie_in as laid, the poorest that is known, and whether somebody measured it."""

    nominal: float
    poorest: float
    measured: bool


def tie_in_of(scene: Scene) -> TieIn:
    """tie_in from a valley after a layer, a measured pad, or as given; the poorest is the low end
    of what is known.
    """
    known = scene.update
    if known is not None and known.tie_in is not None:
        return TieIn(known.tie_in, max(known.tie_in - known.tie_in_spread, 0.0), measured=True)
    pad, plate = scene.pad, scene.bead
    if pad is not None and plate is not None:
        taller = _taller_at(scene, pad.at)
        spacing, height = pad.pitch / plate.width * taller, plate.height * taller
        told = [
            tie_in_from_pad((pad.crest - pad.valley + k * pad.error) / height, spacing)
            for k in (0.0, 1.0)
        ]
        if steady_ripple(spacing, 0.0) - steady_ripple(spacing, 1.0) > pad.error / height:
            return TieIn(told[0], told[1], measured=True)
    if scene.process.tie_in_measured:
        return TieIn(scene.process.tie_in, scene.process.tie_in, measured=True)
    return TieIn(scene.process.tie_in, 0.0, measured=False)


def _taller_at(scene: Scene, gravity_clock: float | None) -> float:
    """Bead height over its flat height where a pad was welded; 1 flat."""
    if gravity_clock is None or scene.bead is None:
        return 1.0
    turning = 1 if scene.layer[0].turning == "clockwise" else -1
    c = (
        gravity_coefficient(scene.bead.travel)
        if scene.process.gravity is None
        else scene.process.gravity
    )
    return float(taller(c, climb(np.array([gravity_clock]), turning, scene.bore.inclination))[0])


def feed_factor(scene: Scene) -> float:
    """Wire fed over wire feed as set: from wire weighed or counted beside the measured bead, else
    1.

    Weighed: mass over density, wire section and time. Conservation of mass.
    """
    plate = scene.bead
    if plate is None or plate.wire_time is None:
        return 1.0
    length = plate.counted
    if plate.weighed is not None:
        length = plate.weighed / (scene.wire.density * wire_area(scene.wire.diameter))
    return float(length or 0.0) / plate.wire_time / plate.wire_feed


def feed_measured(scene: Scene) -> bool:
    """Tell whether somebody measured the wire feed."""
    return scene.wire.feed_measured or (scene.bead is not None and scene.bead.wire_time is not None)


def area_factor(scene: Scene) -> float:
    """Bead area laid over bead area by mass balance.

    1 unless nobody measured the wire feed and the measured bead is smaller than the mass balance
    says by more than the contradiction allowed: then the bead is believed.
    """
    ratio = contradiction(scene)
    believed = (
        ratio is not None
        and not feed_measured(scene)
        and ratio < 1.0 - default("limit.contradiction")
    )
    return ratio if believed and ratio is not None else 1.0


def told_factor(scene: Scene, number: int) -> float:
    """Bead area of a layer (from 1) over what wire and travel say, by readings after layers; 1
    without any.
    """
    known = scene.update
    if known is None:
        return 1.0
    return known.laid if number <= known.layers else known.area


def contradiction(scene: Scene) -> float | None:
    """2/3 w h of the measured bead over its area by mass balance; None without a measured bead."""
    plate, wire = scene.bead, scene.wire
    if plate is None:
        return None
    area = deposited_area(
        wire.diameter, plate.wire_feed * feed_factor(scene), plate.travel, wire.efficiency
    )
    return Bead(plate.width, plate.height).area / area


def bead_at(scene: Scene, wire_feed: float, travel: float, aspect: float | None = None) -> Bead:
    """The bead on a flat [mm] at a wire feed as set and travel [mm/s]: from the measured plate, or
    by aspect ratio.
    """
    wire, plate = scene.wire, scene.bead
    factor = area_factor(scene) * feed_factor(scene)
    area = deposited_area(wire.diameter, wire_feed, travel, wire.efficiency) * factor
    if plate is None:
        return Bead.of_aspect(area, aspect or default("bead.aspect"))
    on_plate = (
        deposited_area(wire.diameter, plate.wire_feed, plate.travel, wire.efficiency) * factor
    )
    measured = Bead.of_area(on_plate, width=plate.width)
    return rescaled(measured, area, wire_feed / plate.wire_feed, travel / plate.travel)
