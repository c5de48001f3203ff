"""Sections of the weld: wire, bead, pad, process, layers, run-off, no-weld areas, head."""

from __future__ import annotations

from dataclasses import dataclass

from sim.job.key import OPTIONAL, key

# fmt: off
# one declaration a line


@dataclass(frozen=True, kw_only=True)
class Wire:
    """[wire] the welding wire."""

    diameter: float = key("length", "wire diameter", low=0.5, high=4.0)
    efficiency: float = key("number", "deposition efficiency: metal laid over wire fed", low=0.5, high=1.0, known="wire.efficiency")
    density: float = key("density", "density of the metal laid", low=7000.0, high=9500.0, known="wire.density")
    feed_measured: bool = key("flag", "wire feed was weighed or counted over a minute, not read off a dial")


@dataclass(frozen=True, kw_only=True)
class MeasuredBead:
    """[bead] a bead laid on a plate and measured, at its settings; leave the section out when nobody measured."""

    width: float = key("length", "bead width", low=0.5, high=40.0)
    height: float = key("length", "bead height", low=0.2, high=20.0)
    wire_feed: float = key("feed", "wire feed when it was laid", low=0.5, high=30.0)
    travel: float = key("speed", "travel speed when it was laid", low=20.0, high=3000.0)
    width_error: float = key("length", "error of the width measured", low=0.0, high=5.0, known="bead.width_error")
    height_error: float = key("length", "error of the height measured", low=0.0, high=5.0, known="bead.height_error")
    weighed: float | None = key("mass", "wire weighed: used up in wire_time at that wire feed", low=1.0, high=10000.0, need=OPTIONAL)
    counted: float | None = key("length", "wire counted: length run out in wire_time at that wire feed", low=100.0, high=100000.0, need=OPTIONAL)
    wire_time: float | None = key("time", "how long the wire was weighed or counted", low=5.0, high=3600.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class Pad:
    """[pad] five beads side by side at 0.8 to 0.95 of the width, welded in position and measured; sets tie-in."""

    pitch: float = key("length", "distance from bead to bead", low=0.3, high=40.0)
    crest: float = key("length", "height of the crests above the plate, beads 3 to 5", low=0.1, high=20.0)
    valley: float = key("length", "height of the valleys above the plate, between beads 3 and 5", low=0.0, high=20.0)
    at: float | None = key("clock", "where on the gravity clock it was welded, torch turning as in the job; left out: flat", low=0.0, high=12.0, need=OPTIONAL)
    error: float = key("length", "error of that measurement, per side", low=0.0, high=5.0, known="pad.error")


@dataclass(frozen=True, kw_only=True)
class Process:
    """[process] what the metal does; everything here has a default that says how it is known."""

    tie_in: float = key("number", "how far a bead washes up its neighbour's flank: 0 not at all, 1 to its crest", low=0.0, high=1.0, known="process.tie_in")
    tie_in_measured: bool = key("flag", "tie_in was measured (a pad, or a valley after a layer)")
    depth_of_fusion: float = key("length", "how deep a bead re-melts what it lies on, per side", low=0.0, high=10.0, known="process.depth_of_fusion")
    gravity: float | None = key("number", "gravity coefficient of bead height; leave out to take it from the travel speed", low=0.0, high=1.0, need=OPTIONAL)
    pool_run: float = key("length", "how far below the arc the metal freezes along the wall", low=-5.0, high=10.0, known="process.pool_run")
    hump: float = key("length", "extra height at an arc start, per side", low=0.0, high=5.0, known="process.hump")
    hump_length: float = key("length", "length of that hump along the bead", low=0.1, high=50.0, known="process.hump_length")
    taper_length: float = key("length", "run-out before an arc stop along the bead", low=0.0, high=50.0, known="process.taper_length")


@dataclass(frozen=True, kw_only=True)
class LayerPlan:
    """[[layer]] one layer, or several alike; give pitch or bead_overlap, and one of travel, rotation, turn_time."""

    repeat: int = key("integer", "how many layers alike", low=1, high=40, known="layer.repeat")
    pitch: float | None = key("length", "feed per turn", low=0.2, high=60.0, need=OPTIONAL)
    bead_overlap: float | None = key("number", "share of the bead width that the next bead covers: (w - pitch)/w", low=-0.5, high=0.9, need=OPTIONAL)
    wire_feed: float = key("feed", "wire feed", low=0.5, high=30.0)
    travel: float | None = key("speed", "travel speed at the wall", low=20.0, high=3000.0, need=OPTIONAL)
    rotation: float | None = key("rotation", "rotation of the torch", low=0.02, high=100.0, need=OPTIONAL)
    turn_time: float | None = key("time", "time for one turn", low=0.5, high=3600.0, need=OPTIONAL)
    advance: str = key("choice", "spiral (feed all the way) or step (full turns with a step between)", choices=("spiral", "step"))
    step_over: float = key("angle", "angle within which a step is made", low=1.0, high=180.0, known="layer.step_over")
    start_depth: float | None = key("length", "bead centre of the first turn; left out: a quarter width inside the face, past it with a run-off ring", low=-100.0, high=1100.0, need=OPTIONAL)
    end_depth: float | None = key("length", "bead centre of the last turn; left out: likewise at the other face", low=-100.0, high=1100.0, need=OPTIONAL)
    turning: str = key("choice", "rotation seen from the entry face", choices=("clockwise", "counter-clockwise"))
    feed: str = key("choice", "in (entry to far face) or out", choices=("in", "out"))
    only_from: float | None = key("clock", "arc on only from this clock, going clockwise", low=0.0, high=12.0, need=OPTIONAL)
    only_to: float | None = key("clock", "to this clock", low=0.0, high=12.0, need=OPTIONAL)
    start_at: float = key("clock", "where the first layer of this entry starts", low=0.0, high=12.0, known="layer.start_at")
    shift: float = key("angle", "start moved clockwise by this from layer to layer", low=-360.0, high=360.0, known="layer.shift")
    stagger: float = key("number", "start moved along the bore by this part of a pitch, every other layer", low=-1.0, high=1.0, known="layer.stagger")
    closing_start: int = key("integer", "turns with the feed off at the start (spiral)", low=0, high=5, known="layer.closing_start")
    closing_end: int = key("integer", "turns with the feed off at the end (spiral)", low=0, high=5, known="layer.closing_end")


@dataclass(frozen=True, kw_only=True)
class RunOff:
    """[run_off] rings tacked to the faces so that beads may run past them."""

    entry: bool = key("flag", "run-off ring at the entry face")
    far: bool = key("flag", "run-off ring at the far face")


@dataclass(frozen=True, kw_only=True)
class NoWeld:
    """[[no_weld]] an area where the arc is off."""

    from_at: float = key("clock", "where it begins, going clockwise", low=0.0, high=12.0)
    to_at: float = key("clock", "where it ends, going clockwise", low=0.0, high=12.0)
    from_depth: float = key("length", "where it begins, depth from the entry face", low=-100.0, high=1100.0)
    to_depth: float = key("length", "where it ends, depth from the entry face", low=-100.0, high=1100.0)
    not_judged: bool = key("flag", "leave the area out of the judgement")
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


@dataclass(frozen=True, kw_only=True)
class Head:
    """[head] the welding head."""

    contact_tip: float = key("length", "contact-tip distance: contact tip to the wall", low=3.0, high=60.0, known="head.contact_tip")
    smallest_bore: float = key("length", "smallest bore the head enters, on diameter", low=5.0, high=1500.0, known="head.smallest_bore")
    reach: float | None = key("length", "how deep the head reaches from the entry face", low=1.0, high=3000.0, need=OPTIONAL)
