"""Sections of the cut and the machine: finish cut, bar, gauge, steel, heat, procedure, dials, rates."""

from __future__ import annotations

from dataclasses import dataclass

from sim.job.key import NOTHING, OPTIONAL, key

# fmt: off
# one declaration a line


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
class Gauge:
    """[gauge] the two-point bore gauge."""

    foot: float = key("length", "flat length of a foot along the bore", low=0.1, high=100.0, known="gauge.foot")


@dataclass(frozen=True, kw_only=True)
class Grid:
    """[grid] how finely the clock is divided."""

    columns: int = key("integer", "clock columns", low=16, high=20000, known="grid.columns")


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
    overlap_most: float | None = key("number", "most bead overlap: (w - pitch)/w; past half only where it was qualified", low=0.0, high=0.75, need=OPTIONAL, later=True)
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
class ShopValues:
    """[shop_values] the shop's own test pieces that this job rests on."""

    file: str = key("text", "TOML file of the shop's own values, beside the scene; it is read while `whose` is not given")
    whose: str = key("text", "whose values they are: shop, wire, gas")
    pieces: str = key("text", "the test pieces they come from")
    wire_diameter: float | None = key("length", "wire the test pieces were welded with", low=0.5, high=4.0, need=OPTIONAL)
    clock_read: int = key("integer", "places read on the clock test behind the gravity coefficient", low=0, high=10000, need=NOTHING)
    extrapolated: float = key("number", "share of the clock at which nobody measured a bead: neither the published table nor the clock test", low=0.0, high=1.0, known="shop_values.extrapolated")
