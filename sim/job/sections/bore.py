"""Sections of the bore: sizes, wear, readings, what is cut into it, pre-bore and axes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sim.job.key import MOVED, NOTHING, OFFSET, OPTIONAL, PER_SIDE, SIZE, key
from sim.reference.remarks import Remark

# fmt: off
# one declaration a line

BEFORE, BETWEEN, AFTER = STAGES = ("before the arc", "after a layer", "after the finish cut")


NOT_LOOKED, BRIGHT, BLACK_LEFT = LOOKS = ("not looked", "bright", "black left")


WORN, PRE_BORED = OF = ("worn", "pre-bored")


@dataclass(frozen=True, kw_only=True)
class JobTitle:
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
    far_from_original: bool = key("flag", "sizes more than 15 % off the original and the final size are right: a small bore worn far, a bush bored out", later=True)


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
    of: str = key("choice", "the wall that was read: worn, or as it stood after the pre-bore", choices=OF, later=True)
    error: float = key("length", "error of a reading, two standard deviations, where the CSV gives none", low=0.0, high=5.0, known="readings.error")
    gauge_expansion: float = key("expansion", "linear expansion of the gauge", low=0.0, high=50.0, known="readings.gauge_expansion")
    work_expansion: float = key("expansion", "linear expansion of the part", low=0.0, high=50.0, known="readings.work_expansion")
    bar_entry: float = key("length", "radius readings: bar axis at the entry face, offset per side from the drawing axis", **OFFSET)
    bar_entry_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    bar_far: float = key("length", "radius readings: bar axis at the far face, offset per side from the drawing axis", **OFFSET)
    bar_far_at: float = key("clock", "towards which clock", low=0.0, high=12.0, need=NOTHING)
    text: str = field(default="", compare=True)
    found: Any = field(default=None, compare=False)
    said: tuple[Remark, ...] = field(default=(), compare=False)
    warm: bool = field(default=False, compare=False)


@dataclass(frozen=True, kw_only=True)
class Gouge:
    """[[gouge]] a torn spot in the wall, smooth to its edges."""

    at: float = key("clock", "middle of the gouge", low=0.0, high=12.0)
    depth: float = key("length", "middle of the gouge, depth from the entry face", low=0.0, high=1000.0)
    length: float = key("length", "length along the bore", low=0.0, high=1000.0, above=True)
    width: float = key("length", "width around the bore, along the wall", low=0.0, high=1000.0, above=True)
    deep: float = key("length", "deepest, per side", low=0.0, high=50.0, above=True)
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


@dataclass(frozen=True, kw_only=True)
class Groove:
    """[[groove]] a groove right round, flat bottom and flanks at 45 degrees."""

    depth: float = key("length", "middle of the groove, depth from the entry face", low=0.0, high=1000.0)
    width: float = key("length", "width at the wall", low=0.0, high=200.0, above=True)
    deep: float = key("length", "depth per side", low=0.0, high=50.0, above=True)
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


@dataclass(frozen=True, kw_only=True)
class OilHole:
    """[[oil_hole]] a round hole in the wall; never judged."""

    at: float = key("clock", "middle of the hole", low=0.0, high=12.0)
    depth: float = key("length", "middle of the hole, depth from the entry face", low=0.0, high=1000.0)
    diameter: float = key("length", "diameter of the hole", low=0.0, high=200.0, above=True)
    clear: float = key("length", "margin round the hole that is not judged either, per side", need=NOTHING, **PER_SIDE)
    how: str = key("choice", "arc stopped at the hole, or hole plugged, welded over and re-drilled", choices=("weld around", "plug"))
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


@dataclass(frozen=True, kw_only=True)
class Keyway:
    """[[keyway]] a keyway in the wall; never judged, the arc is stopped at it."""

    at: float = key("clock", "middle of the keyway", low=0.0, high=12.0)
    width: float = key("length", "width around the bore, along the wall", low=0.0, high=200.0, above=True)
    from_depth: float = key("length", "where it begins, depth from the entry face", low=0.0, high=1000.0)
    to_depth: float = key("length", "where it ends, depth from the entry face", low=0.0, high=1000.0, above=True)
    clear: float = key("length", "margin round the keyway that is not judged either, per side", need=NOTHING, **PER_SIDE)
    how: str = key("choice", "arc stopped at the keyway, or plugged, welded over and cut again", choices=("weld around", "plug"))
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


@dataclass(frozen=True, kw_only=True)
class PreBore:
    """[pre_bore] bored to clean round metal before welding; leave the section out when nothing is bored first."""

    diameter: float = key("length", "pre-bore size, on diameter", **SIZE)
    looked: str = key("choice", "how it came out when somebody looked at it: bright all over, or black left in places", choices=LOOKS, later=True)


@dataclass(frozen=True, kw_only=True)
class PreBoreBlack:
    """[[pre_bore_black]] a black patch that the pre-bore left: there the worn wall stands outside it."""

    at: float = key("clock", "middle of the patch", low=0.0, high=12.0)
    depth: float = key("length", "middle of the patch, depth from the entry face", low=0.0, high=1000.0)
    across: float = key("length", "width around the bore, along the wall", low=0.0, high=2000.0, above=True)
    length: float | None = key("length", "length along the bore; left out: as its width", low=0.0, high=1000.0, above=True, need=OPTIONAL)
    deep: float | None = key("length", "deepest outside the pre-bore, per side, measured; left out: not known", low=0.0, high=50.0, above=True, need=OPTIONAL)
    bore: str = key("text", "name of the bore of the bar it is in; left out: the first bore", later=True)


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
class BoreOnBar:
    """[[bore_on_bar]] another bore on the same bar, sharing its axes; what is not given is as in [bore] and [worn], readings are its own."""

    name: str = key("text", "what this bore is called")
    along: float = key("length", "from the entry face of the first bore to the entry face of this one, along the bar", low=0.0, high=20000.0, above=True)
    length: float | None = key("length", "length of this bore", low=0.0, high=1000.0, above=True, need=OPTIONAL)
    diameter: float | None = key("length", "smallest worn diameter of this bore, on diameter", need=OPTIONAL, **SIZE)
    out_of_round: float | None = key("length", "largest less smallest diameter of the oval, on diameter", need=OPTIONAL, **PER_SIDE)
    out_of_round_at: float | None = key("clock", "where the long axis of the oval points", low=0.0, high=12.0, need=OPTIONAL)
    eccentric: float | None = key("length", "wear to one side, per side at its deepest", need=OPTIONAL, **PER_SIDE)
    eccentric_at: float | None = key("clock", "where the wear to one side is deepest", low=0.0, high=12.0, need=OPTIONAL)
    looked: str = key("choice", "how its pre-bore came out when somebody looked at it", choices=LOOKS, later=True)
    file: str = key("text", "CSV of the readings of this bore, instead of its sizes; error, expansions and bar as in [readings]", later=True)
    table: str = key("text", "the same CSV written here between three quotes, instead of a file", high=200000, later=True)
    readings: ReadingsSource | None = field(default=None, metadata={"later": True})

    @property
    def sized(self) -> bool:
        """Tell whether it has worn sizes of its own."""
        return any(getattr(self, name) is not None for name in BAR_SIZES)


BAR_SIZES = ("diameter", "out_of_round", "out_of_round_at", "eccentric", "eccentric_at")
