"""What a job is: the sections of a scene as plain values, each with its meaning, unit, range and default.

Inside: mm, rad, s, C. A field declared with `key` says what the scene file may hold; `sim.scene` reads and
writes files from these declarations alone.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass, field
from typing import Any

from sim.sources import default
from sim.units import KINDS, LISTS

REQUIRED, OPTIONAL, NOTHING = "required", "optional", "nothing"


class SceneError(ValueError):
    """Something in a person's input is wrong; the message is one sentence that says where, what and the way out."""


def key(
    kind: str,
    meaning: str,
    *,
    low: float | None = None,
    high: float | None = None,
    need: str = REQUIRED,
    known: str = "",
    choices: tuple[str, ...] = (),
    above: bool = False,
) -> Any:
    """A scene key: its kind (see sim.units), meaning, and range low..high in the first unit of the kind.

    need: REQUIRED, OPTIONAL (None when absent) or NOTHING (zero when absent); `known` names the default in
    sim.sources instead. above: `low` itself is refused. Text, choices and flags start empty, at the first
    choice, and at no.
    """
    told = dict(kind=kind, meaning=meaning, low=low, high=high, need=need, known=known, choices=choices, above=above)
    if kind in ("text", "choice", "flag", *LISTS):
        start: Any = {"text": "", "choice": (choices or ("",))[0], "flag": False}.get(kind, ())
        return field(default=start, metadata=told)
    if known:
        start = KINDS[kind][0].inside(default(known))
        return field(default=int(start) if kind == "integer" else start, metadata=told)
    if need == REQUIRED:
        return field(metadata=told)
    nothing: Any = 0 if kind == "integer" else 0.0
    return field(default=None if need == OPTIONAL else nothing, metadata=told)


BEFORE, BETWEEN, AFTER = STAGES = ("before the arc", "after a layer", "after the finish cut")
SIZE: dict[str, Any] = dict(low=0.0, high=2000.0, above=True)
PER_SIDE: dict[str, Any] = dict(low=0.0, high=50.0)
OFFSET: dict[str, Any] = dict(low=0.0, high=20.0, need=NOTHING)
MOVED: dict[str, Any] = dict(low=0.0, high=20.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class Title:
    """[job] what the job is called, and which units its sheets and screens use."""

    name: str = key("text", "what the job is called")
    note: str = key("text", "what it is there to show; say here if it is invented")
    units: str = key("choice", "units shown: mm or in; a file may mix both", choices=("mm", "in"))
    stage: str = key("choice", "where the job stands; remedies change only what is still to come", choices=STAGES)
    layers_done: int = key("integer", "layers laid so far; after the finish cut: layers laid before it", low=0, high=200, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class Bore:
    """[bore] the bore as the drawing wants it."""

    final_diameter: float = key("length", "final bore, nominal size on diameter", **SIZE)
    hole_code: str = key("text", "ISO 286 hole code such as H7; leave out when limits are given or none are")
    lower_limit: float | None = key("length", "smallest final bore allowed, on diameter", need=OPTIONAL, low=0.0, high=2000.0, above=True)
    upper_limit: float | None = key("length", "largest final bore allowed, on diameter", need=OPTIONAL, low=0.0, high=2000.0, above=True)
    length: float = key("length", "length of the bore from entry face to far face", low=0.0, high=1000.0, above=True)
    chamfer_entry: float = key("length", "mouth chamfer at the entry face, along the bore; not judged", low=0.0, high=50.0, known="bore.chamfer_entry")
    chamfer_far: float = key("length", "mouth chamfer at the far face, along the bore; not judged", low=0.0, high=50.0, known="bore.chamfer_far")
    location_zone: float = key("length", "location tolerance, diameter of the zone round the drawing axis", low=0.0, high=20.0, known="bore.location_zone")
    inclination: float = key("angle", "how far the bore runs downhill from the entry face: 0 horizontal, 90 vertical entry up, -90 entry down", low=-90.0, high=90.0, known="bore.inclination")
    top: float = key("clock", "where the top stands on the part's own clock (12 = its punch mark) while welding", low=0.0, high=12.0, known="bore.top")
    original_diameter: float | None = key("length", "bore when new, on diameter, if known", need=OPTIONAL, **SIZE)
    next_sizes: tuple[float, ...] = key("lengths", "larger final bores that would also do (oversize pin or bush), on diameter", **SIZE)
    outside_diameter: float | None = key("length", "outside of the boss or lug around the bore, on diameter, if known", need=OPTIONAL, low=0.0, high=5000.0, above=True)


@dataclass(frozen=True, kw_only=True)
class Worn:
    """[worn] the worn wall by parameters; each only takes metal away from the smallest diameter."""

    diameter: float = key("length", "smallest worn diameter, on diameter", **SIZE)
    out_of_round: float = key("length", "largest less smallest diameter of the oval, on diameter", need=NOTHING, **PER_SIDE)
    out_of_round_at: float = key("clock", "where the long axis of the oval points", low=0.0, high=12.0, need=NOTHING)
    taper: float = key("length", "how much wider the far face is than the entry, on diameter; negative: narrower", low=-50.0, high=50.0, need=NOTHING)
    bell_entry: float = key("length", "bell mouth at the entry face, extra on diameter", need=NOTHING, **PER_SIDE)
    bell_entry_length: float = key("length", "how deep the bell mouth at the entry reaches", low=0.0, high=500.0, above=True, known="worn.bell_entry_length")
    bell_far: float = key("length", "bell mouth at the far face, extra on diameter", need=NOTHING, **PER_SIDE)
    bell_far_length: float = key("length", "how deep the bell mouth at the far face reaches", low=0.0, high=500.0, above=True, known="worn.bell_far_length")
    eccentric: float = key("length", "wear to one side, per side at its deepest, nothing opposite", need=NOTHING, **PER_SIDE)
    eccentric_at: float = key("clock", "where the wear to one side is deepest", low=0.0, high=12.0, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class ReadingsSource:
    """[readings] the worn wall as gauged, instead of [worn]: a CSV beside the scene, or written into it.

    Besides the keys: `text` of the CSV, the readings `found` in it (sim.readings.Readings, at 20 C), what is to be `said`
    of them, and whether the part was `warm`.
    """

    file: str = key("text", "CSV with depth_mm, oclock and diameter_mm (two-point) or radius_mm (from a centred bar)")
    table: str = key("text", "the same CSV written here between three quotes, instead of a file", high=200000)
    error: float = key("length", "error of a reading, two standard deviations, where the CSV gives none", low=0.0, high=5.0, known="readings.error")
    gauge_expansion: float = key("expansion", "linear expansion of the gauge", low=0.0, high=50.0, known="readings.gauge_expansion")
    work_expansion: float = key("expansion", "linear expansion of the part", low=0.0, high=50.0, known="readings.work_expansion")
    bar_entry: float = key("length", "radius readings: bar axis at the entry face, offset per side from the drawing axis", **OFFSET)
    bar_entry_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    bar_far: float = key("length", "radius readings: bar axis at the far face, offset per side from the drawing axis", **OFFSET)
    bar_far_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    text: str = field(default="", compare=True)
    found: Any = field(default=None, compare=False)
    said: tuple[str, ...] = field(default=(), compare=False)
    warm: bool = field(default=False, compare=False)


@dataclass(frozen=True, kw_only=True)
class Gouge:
    """[[gouge]] a torn spot in the wall, smooth to its edges."""

    at: float = key("clock", "middle of the gouge", low=0.0, high=12.0)
    depth: float = key("length", "middle of the gouge, depth from the entry face", low=0.0, high=1000.0)
    length: float = key("length", "length along the bore", low=0.0, high=1000.0, above=True)
    width: float = key("length", "width around the bore, along the wall", low=0.0, high=1000.0, above=True)
    deep: float = key("length", "deepest, per side", low=0.0, high=50.0, above=True)


@dataclass(frozen=True, kw_only=True)
class Groove:
    """[[groove]] a groove right round, flat bottom and flanks at 45 degrees."""

    depth: float = key("length", "middle of the groove, depth from the entry face", low=0.0, high=1000.0)
    width: float = key("length", "width at the wall", low=0.0, high=200.0, above=True)
    deep: float = key("length", "depth per side", low=0.0, high=50.0, above=True)


@dataclass(frozen=True, kw_only=True)
class OilHole:
    """[[oil_hole]] a round hole in the wall; never judged."""

    at: float = key("clock", "middle of the hole", low=0.0, high=12.0)
    depth: float = key("length", "middle of the hole, depth from the entry face", low=0.0, high=1000.0)
    diameter: float = key("length", "diameter of the hole", low=0.0, high=200.0, above=True)
    clear: float = key("length", "margin round the hole that is not judged either, per side", need=NOTHING, **PER_SIDE)
    how: str = key("choice", "arc stopped at the hole, or hole plugged, welded over and re-drilled", choices=("weld around", "plug"))


@dataclass(frozen=True, kw_only=True)
class Keyway:
    """[[keyway]] a keyway in the wall; never judged, the arc is stopped at it."""

    at: float = key("clock", "middle of the keyway", low=0.0, high=12.0)
    width: float = key("length", "width around the bore, along the wall", low=0.0, high=200.0, above=True)
    from_depth: float = key("length", "where it begins, depth from the entry face", low=0.0, high=1000.0)
    to_depth: float = key("length", "where it ends, depth from the entry face", low=0.0, high=1000.0, above=True)
    clear: float = key("length", "margin round the keyway that is not judged either, per side", need=NOTHING, **PER_SIDE)
    how: str = key("choice", "arc stopped at the keyway, or plugged, welded over and cut again", choices=("weld around", "plug"))


@dataclass(frozen=True, kw_only=True)
class PreBore:
    """[pre_bore] bored to clean round metal before welding; leave the section out when nothing is bored first."""

    diameter: float = key("length", "pre-bore size, on diameter", **SIZE)


@dataclass(frozen=True, kw_only=True)
class Axes:
    """[axes] where the pre-bore, torch and finish axes pass the two faces, as offsets from the drawing axis.

    The finish axis is the pre-bore axis unless a finish offset is given (bar taken down, part moved).
    """

    pre_bore_entry: float = key("length", "pre-bore axis at the entry face, offset per side", **OFFSET)
    pre_bore_entry_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    pre_bore_far: float = key("length", "pre-bore axis at the far face, offset per side", **OFFSET)
    pre_bore_far_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    torch_entry: float = key("length", "torch axis at the entry face, offset per side", **OFFSET)
    torch_entry_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    torch_far: float = key("length", "torch axis at the far face, offset per side", **OFFSET)
    torch_far_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    finish_entry: float | None = key("length", "finish axis at the entry face, offset per side", **MOVED)
    finish_entry_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    finish_far: float | None = key("length", "finish axis at the far face, offset per side", **MOVED)
    finish_far_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class Wire:
    """[wire] the welding wire."""

    diameter: float = key("length", "wire diameter", low=0.5, high=4.0)
    efficiency: float = key("number", "deposition efficiency: metal laid over wire fed", low=0.5, high=1.0, known="wire.efficiency")
    density: float = key("density", "density of the metal laid", low=7000.0, high=9500.0, known="wire.density")
    feed_measured: bool = key("flag", "wire feed was weighed or counted over a minute, not read off a dial")


@dataclass(frozen=True, kw_only=True)
class Plate:
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


@dataclass(frozen=True, kw_only=True)
class Cut:
    """[cut] the finish cut."""

    minimum_cut: float = key("length", "least metal the finish cut must take everywhere, per side", low=0.0, high=5.0, known="cut.minimum_cut")
    finish_allowance: float = key("length", "left for the finishing pass, per side", low=0.0, high=5.0, known="cut.finish_allowance")
    nose_radius: float = key("length", "insert nose radius", low=0.05, high=3.0, known="cut.nose_radius")


@dataclass(frozen=True, kw_only=True)
class BoringBar:
    """[boring_bar] the bar that bores; leave the section out when it is not known: usual values are then assumed."""

    diameter: float | None = key("length", "bar diameter, on diameter; left out: half the final bore, within the usual", low=5.0, high=500.0, need=OPTIONAL)
    held: str = key("choice", "supported in a bearing either side of the bore, or overhung from one", choices=("supported", "overhung"))
    span: float | None = key("length", "supported: from bearing to bearing; left out: the usual clearance either side of the bore", low=10.0, high=20000.0, need=OPTIONAL)
    before: float | None = key("length", "supported: from the bearing on the entry side to the entry face; left out: bore in the middle of the span", low=0.0, high=20000.0, need=OPTIONAL)
    overhang: float | None = key("length", "overhung: from the bearing to the entry face; the tool stands out by its depth in the bore more", low=0.0, high=5000.0, need=OPTIONAL)
    speeds: tuple[float, ...] = key("rotations", "speeds the bar has, where it has only these", low=0.1, high=10000.0)
    speed_least: float | None = key("rotation", "slowest the bar turns", low=0.1, high=10000.0, need=OPTIONAL)
    speed_most: float | None = key("rotation", "fastest the bar turns", low=0.1, high=10000.0, need=OPTIONAL)
    feeds: tuple[float, ...] = key("lengths", "feeds per turn the bar has, where it has only these", low=0.005, high=5.0)
    feed_least: float | None = key("length", "least feed per turn", low=0.005, high=5.0, need=OPTIONAL)
    feed_most: float | None = key("length", "most feed per turn", low=0.005, high=5.0, need=OPTIONAL)
    power: float | None = key("power", "power of the drive; left out: power is not checked", low=0.05, high=200.0, need=OPTIONAL)
    efficiency: float = key("number", "part of that power that reaches the cut; 1 when the power is that at the spindle", low=0.3, high=1.0, known="boring_bar.efficiency")
    insert: str = key("choice", "what the tool is made of; rules the usual cutting speed", choices=("carbide", "high-speed steel"))
    cutting_speed: float | None = key("cutting speed", "cutting speed wished; left out: usual for the insert in weld metal", low=1.0, high=1000.0, need=OPTIONAL)
    rough_feed: float = key("length", "feed per turn wished for roughing", low=0.005, high=5.0, known="boring_bar.rough_feed")
    finish_feed: float = key("length", "feed per turn wished for the finishing pass", low=0.005, high=5.0, known="boring_bar.finish_feed")
    depth_most: float = key("length", "most depth of cut, per side", low=0.05, high=20.0, known="boring_bar.depth_most")
    entering_angle: float = key("angle", "entering angle of the cutting edge: 90 square to the bore", low=15.0, high=110.0, known="boring_bar.entering_angle")
    specific_force: float = key("pressure", "specific cutting force kc1.1 of the weld metal", low=500.0, high=6000.0, known="boring_bar.specific_force")
    force_exponent: float = key("number", "exponent mc of the specific cutting force", low=0.0, high=0.6, known="boring_bar.force_exponent")
    push_off: float = key("number", "radial force, which pushes the tool off the wall, over cutting force", low=0.05, high=2.0, known="boring_bar.push_off")


@dataclass(frozen=True, kw_only=True)
class Head:
    """[head] the welding head."""

    contact_tip: float = key("length", "contact-tip distance: contact tip to the wall", low=3.0, high=60.0, known="head.contact_tip")
    smallest_bore: float = key("length", "smallest bore the head enters, on diameter", low=5.0, high=1500.0, known="head.smallest_bore")
    reach: float | None = key("length", "how deep the head reaches from the entry face", low=1.0, high=3000.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """[gauge] the two-point bore gauge."""

    foot: float = key("length", "flat length of a foot along the bore", low=0.1, high=100.0, known="gauge.foot")


@dataclass(frozen=True, kw_only=True)
class Grid:
    """[grid] how finely the clock is divided."""

    columns: int = key("integer", "clock columns", low=16, high=20000, known="grid.columns")


@dataclass(frozen=True, kw_only=True)
class BoreOnBar:
    """[[bore_on_bar]] another bore on the same bar, sharing its axes; what is not given is as in [bore] and [worn]."""

    name: str = key("text", "what this bore is called")
    along: float = key("length", "from the entry face of the first bore to the entry face of this one, along the bar", low=0.0, high=20000.0, above=True)
    length: float | None = key("length", "length of this bore", low=0.0, high=1000.0, above=True, need=OPTIONAL)
    diameter: float | None = key("length", "smallest worn diameter of this bore, on diameter", need=OPTIONAL, **SIZE)
    out_of_round: float | None = key("length", "largest less smallest diameter of the oval, on diameter", need=OPTIONAL, **PER_SIDE)
    out_of_round_at: float | None = key("clock", "where the long axis of the oval points", low=0.0, high=12.0, need=OPTIONAL)
    eccentric: float | None = key("length", "wear to one side, per side at its deepest", need=OPTIONAL, **PER_SIDE)
    eccentric_at: float | None = key("clock", "where the wear to one side is deepest", low=0.0, high=12.0, need=OPTIONAL)


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
    overlap_most: float = key("number", "most bead overlap", low=-0.5, high=0.9, known="plan.overlap_most")
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
class Steel:
    """[steel] the steel of the part, as far as it is known."""

    name: str = key("text", "grade of the steel, such as S355J2; empty: unknown")
    group: str = key("text", "steel group of ISO/TR 15608, such as 1.2")
    aws_category: str = key("choice", "category of AWS D1.1 Table 3.3 for the least preheat", choices=("not given", "A", "B", "C"))
    thickness: float | None = key("length", "thickness that draws the heat off; left out: wall from the bore to the outside of the boss, if that is given", low=3.0, high=1000.0, need=OPTIONAL)
    carbon: float | None = key("percent", "carbon, from the certificate or a spark or file analysis; without it no carbon equivalent", low=0.0, high=2.1, above=True, need=OPTIONAL)
    silicon: float = key("percent", "silicon", low=0.0, high=4.0, need=NOTHING)
    manganese: float = key("percent", "manganese", low=0.0, high=20.0, need=NOTHING)
    chromium: float = key("percent", "chromium", low=0.0, high=30.0, need=NOTHING)
    molybdenum: float = key("percent", "molybdenum", low=0.0, high=10.0, need=NOTHING)
    vanadium: float = key("percent", "vanadium", low=0.0, high=5.0, need=NOTHING)
    nickel: float = key("percent", "nickel", low=0.0, high=30.0, need=NOTHING)
    copper: float = key("percent", "copper", low=0.0, high=5.0, need=NOTHING)
    boron: float = key("percent", "boron", low=0.0, high=0.1, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class Electrical:
    """[electrical] what the shop runs the arc at."""

    voltage: float | None = key("voltage", "arc voltage, read at the arc", low=8.0, high=60.0, need=OPTIONAL)
    current: float | None = key("current", "welding current", low=20.0, high=1000.0, need=OPTIONAL)
    thermal_efficiency: float = key("number", "thermal efficiency k of the process (EN 1011-1)", low=0.3, high=1.0, known="electrical.thermal_efficiency")


HYDROGEN = {"not given": None, "H2": 2.0, "H4": 4.0, "H5": 5.0, "H8": 8.0, "H10": 10.0, "H15": 15.0, "H16": 16.0}


@dataclass(frozen=True, kw_only=True)
class Heat:
    """[heat] how warm the part is while it is welded."""

    preheat: float | None = key("temperature", "preheat before the first layer; left out: the air's", low=-20.0, high=450.0, need=OPTIONAL)
    interpass: float | None = key("temperature", "the part is let cool to this before the next layer", low=0.0, high=500.0, need=OPTIONAL)
    air: float = key("temperature", "air round the part", low=-40.0, high=60.0, known="heat.air")
    hydrogen: str = key("choice", "hydrogen class of the wire: ml in 100 g of weld metal, at most", choices=tuple(HYDROGEN))


@dataclass(frozen=True, kw_only=True)
class Procedure:
    """[procedure] what the shop's qualified welding procedure allows; what is left out is not checked, and said so."""

    number: str = key("text", "number of the welding procedure")
    groups: str = key("text", "steel groups it holds for, such as 1.1, 1.2")
    positions: str = key("text", "weld positions it holds for, ISO 6947 or AWS names, such as PA, PF, PE or PK or 5G")
    wire_feed_least: float | None = key("feed", "least wire feed", low=0.5, high=30.0, need=OPTIONAL)
    wire_feed_most: float | None = key("feed", "most wire feed", low=0.5, high=30.0, need=OPTIONAL)
    voltage_least: float | None = key("voltage", "least arc voltage", low=8.0, high=60.0, need=OPTIONAL)
    voltage_most: float | None = key("voltage", "most arc voltage", low=8.0, high=60.0, need=OPTIONAL)
    current_least: float | None = key("current", "least current", low=20.0, high=1000.0, need=OPTIONAL)
    current_most: float | None = key("current", "most current", low=20.0, high=1000.0, need=OPTIONAL)
    travel_least: float | None = key("speed", "slowest travel", low=20.0, high=3000.0, need=OPTIONAL)
    travel_most: float | None = key("speed", "fastest travel", low=20.0, high=3000.0, need=OPTIONAL)
    heat_input_least: float | None = key("energy", "least heat input, thermal efficiency in it (EN 1011-1)", low=0.05, high=10.0, need=OPTIONAL)
    heat_input_most: float | None = key("energy", "most heat input, thermal efficiency in it (EN 1011-1)", low=0.05, high=10.0, need=OPTIONAL)
    arc_energy_least: float | None = key("energy", "least arc energy, no efficiency in it (AWS: 60 E I / S)", low=0.05, high=10.0, need=OPTIONAL)
    arc_energy_most: float | None = key("energy", "most arc energy, no efficiency in it (AWS: 60 E I / S)", low=0.05, high=10.0, need=OPTIONAL)
    preheat_least: float | None = key("temperature", "least preheat", low=-20.0, high=450.0, need=OPTIONAL)
    interpass_most: float | None = key("temperature", "most interpass temperature", low=0.0, high=500.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class DialPoint:
    """[[dial]] a point of the machine's dial tables, as timed in the shop: a mark with the rotation or the wire feed there."""

    mark: float = key("number", "what the dial stands at", low=-1000.0, high=100000.0)
    rotation: float | None = key("rotation", "rotation timed with the rotation dial there", low=0.001, high=100.0, need=OPTIONAL)
    wire_feed: float | None = key("feed", "wire feed counted with the wire dial there", low=0.1, high=30.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class HoldPoints:
    """[hold_points] what must be seen to before the arc is struck."""

    cracks_checked: bool = key("flag", "the bore was checked for cracks and none are left")
    cavity_vented: bool = key("flag", "hollow and closed sections are open, clean of oil and vented")
    work_lead_at_bore: bool = key("flag", "the work lead is at the bore, so that no current passes a bearing, pin or cylinder")
    load_blocked: bool = key("flag", "the load is blocked and stored energy (springs, pressure, raised parts) is let off")


@dataclass(frozen=True, kw_only=True)
class Rates:
    """[rates] the shop's own money and times; wire and hour are priced in [plan]. What is left out is usual, or not priced."""

    currency: str = key("text", "name of the money, put before every sum", high=12)
    gas_price: float | None = key("number", "price of a cubic metre of shielding gas, in your own money", low=0.0, high=1e6, need=OPTIONAL)
    fixed_price: float | None = key("number", "price of a job whatever its size: travel, inserts, crack check, in your own money", low=0.0, high=1e9, need=OPTIONAL)
    spool: float = key("mass", "wire on a spool", low=100.0, high=500000.0, known="rates.spool")
    gas_flow: float | None = key("flow", "shielding gas flow; left out: by the wire diameter", low=1.0, high=100.0, need=OPTIONAL)
    set_up_time: float | None = key("shop time", "set up and line up bar and head, a bore", low=0.0, high=10000.0, need=OPTIONAL)
    clean_time: float | None = key("shop time", "degrease, clean and make safe before welding, a bore", low=0.0, high=10000.0, need=OPTIONAL)
    measure_time: float | None = key("shop time", "measure cold and look for cracks, before and after, a bore", low=0.0, high=10000.0, need=OPTIONAL)
    tool_time: float | None = key("shop time", "set the tool and gauge, a boring pass", low=0.0, high=1000.0, need=OPTIONAL)
    preheat_time: float | None = key("shop time", "preheat, a bore", low=0.0, high=10000.0, need=OPTIONAL)
    cool_time: float | None = key("shop time", "cool slowly, waiting and not worked, a bore", low=0.0, high=100000.0, need=OPTIONAL)


@dataclass(frozen=True, kw_only=True)
class ReadingAfter:
    """[[reading_after]] readings taken after a layer, as they were written down; nothing here is ever changed."""

    layer: int = key("integer", "after which layer they were taken", low=1, high=200)
    taken: str = key("text", "when, by whom, with what")
    error: float = key("length", "error of a reading, two standard deviations, where the CSV gives none", low=0.0, high=5.0, known="readings.error")
    table: str = key("text", "the CSV: depth_mm, oclock, diameter_mm (two-point) or radius_mm (from a bar on the finish axis), bore_c, outside_c, touched (crest or valley)", high=200000)


STRAY: dict[str, Any] = dict(low=0.0, high=20.0, need=NOTHING)


@dataclass(frozen=True, kw_only=True)
class Known:
    """[update] what the readings after layers tell; worked out from [[reading_after]] by the program, not typed in."""

    layers: int = key("integer", "layers laid when the last readings were taken", low=1, high=200)
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


@dataclass(frozen=True, kw_only=True)
class Scene:
    """A whole job. Sections that may be left out are None, empty, or at their defaults."""

    job: Title
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
    axes: Axes
    bead: Plate | None = None
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
    reading_after: tuple[ReadingAfter, ...] = ()
    update: Known | None = None

    @property
    def layers(self) -> list[LayerPlan]:
        """Every layer by itself: repeats unrolled, start clock shifted and staggered layer by layer."""
        out: list[LayerPlan] = []
        for plan in self.layer:
            for k in range(plan.repeat):
                start = (plan.start_at + k * plan.shift) % (2.0 * math.pi)
                stagger = plan.stagger if k % 2 else 0.0
                out.append(dataclasses.replace(plan, repeat=1, start_at=start, stagger=stagger))
        return out


def keys_of(kind: type) -> list[dataclasses.Field[Any]]:
    """The fields of a section that a scene file may hold."""
    return [f for f in dataclasses.fields(kind) if "kind" in f.metadata]


SECTIONS: dict[str, tuple[type, bool, bool]] = {
    # name: (declaration, a list of them, may be missing as a whole)
    "job": (Title, False, False),
    "bore": (Bore, False, False),
    "worn": (Worn, False, False),
    "readings": (ReadingsSource, False, True),
    "gouge": (Gouge, True, True),
    "groove": (Groove, True, True),
    "oil_hole": (OilHole, True, True),
    "keyway": (Keyway, True, True),
    "pre_bore": (PreBore, False, True),
    "axes": (Axes, False, False),
    "wire": (Wire, False, False),
    "bead": (Plate, False, True),
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
    "update": (Known, False, True),
}
SHOP = ("steel", "electrical", "heat", "procedure", "dial", "hold_points", "boring_bar", "rates")
"""Sections for the machine and the paper: no stock rests on them, and a job without them is named as it was before."""

EITHER: dict[str, tuple[tuple[str, ...], ...]] = {
    "layer": (("pitch", "bead_overlap"), ("travel", "rotation", "turn_time")),
}
