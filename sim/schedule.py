"""Settings to carry to the bore: each layer on the bore as it then is, and how it stands to the qualified procedure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import maximum_filter

from sim import layup, metal
from sim.dial import dial_of
from sim.finish import bored
from sim.job import HYDROGEN, LayerPlan, Scene, SceneError
from sim.layup import Setting
from sim.metal import Composition, Cooling, Position, Preheat, Ring
from sim.simulate import Result, cut_before, interior
from sim.sources import DEFAULTS, default
from sim.units import INCH, KINDS
from sim.wall import TURN, Wall

WITHIN, OUTSIDE, NOT_GIVEN = "within", "outside", "not given"
Range = tuple[float, float]


@dataclass(frozen=True)
class Check:
    """One quantity of a layer against the qualified procedure.

    what; kind (see sim.units, or text); run: least and most that is run, None when the job does not give it; allowed:
    least and most of the procedure, None where it gives none; verdict: within, outside, not given; by: how far outside
    (same unit, a difference), 0 otherwise; words: what is missing or, for text, what lies outside.
    """

    what: str
    kind: str
    run: Range | None
    allowed: tuple[float | None, float | None]
    verdict: str
    by: float = 0.0
    words: str = ""


@dataclass(frozen=True)
class Kept:
    """Where the arc is off, or a plug is welded over: clock from..to [rad], depth from..to [mm], and which it is."""

    what: str
    plugged: bool
    clock: Range
    depth: Range


@dataclass(frozen=True)
class Restart:
    """Where to strike again after a stop: back along the bead by `length` [mm] = `angle` [rad], against the turning.

    rule: in words.
    """

    length: float
    angle: float
    rule: str


@dataclass(frozen=True)
class Warming:
    """The part as one lump of metal round the bore, an estimate: temperatures [C], times [s], inf for never.

    start, end: before and after the layer; passes: arc time after which it passes `until`, the interpass temperature, None
    when it does not or none is given; wait: before the next layer, likely; waits: least and most, from how much heat the
    surface loses; 0 when none.
    """

    start: float
    end: float
    until: float | None
    passes: float | None
    wait: float
    waits: Range


@dataclass(frozen=True)
class Row:
    """One layer as it is set and what it should come to. Lengths mm, times s, angles rad, travel mm/s, kJ/mm.

    number; done: already laid; diameter: mean on diameter before it, diameters: smallest and largest met (mean along a
    clock or a turn); round: they differ by less than the travel spread allowed; rotation [rad/s] and turn_time on the
    mean; rotations, turn_times: that would hold the travel at the largest and at the smallest diameter; travel on the
    mean, travels: at the rotation set; rotation_dial, wire_dial: marks, None without a dial table; wire_feed as set, fed:
    as it is counted; pitch: feed per turn; advance, step_over [rad], turning, feed; start_depth, end_depth, start_clock;
    closing_start, closing_end [turns]; turns; arcs: number of arc starts; arc_time; wire [g]; wire_length [mm];
    tip: contact-tip distance set, tip_radius: where the contact tip then stands from the torch axis, tips: least and most over a turn, tip_clear: least over a hump; reach: deepest the torch
    goes from the entry face; kept: where the arc is off; positions on the part's clock; gauge: smallest and largest
    reading expected on diameter (crests), valley: deepest on diameter, mean_after on diameter; restart; arc_energy,
    heat_input at the mean travel, heat_inputs least and most over the turn, cooling, warming: None without volts and amps;
    checks against the procedure.
    """

    number: int
    done: bool
    diameter: float
    diameters: Range
    round: bool
    rotation: float
    rotations: Range
    turn_time: float
    turn_times: Range
    travel: float
    travels: Range
    rotation_dial: float | None
    wire_dial: float | None
    wire_feed: float
    fed: float
    pitch: float
    advance: str
    step_over: float | None
    turning: str
    feed: str
    start_depth: float
    end_depth: float
    start_clock: float
    closing_start: int
    closing_end: int
    turns: float
    arcs: int
    arc_time: float
    wire: float
    wire_length: float
    tip: float
    tip_radius: float
    tips: Range
    tip_clear: float
    reach: float
    kept: tuple[Kept, ...]
    positions: tuple[Position, ...]
    gauge: Range
    valley: float
    mean_after: float
    restart: Restart
    arc_energy: float | None
    heat_input: float | None
    heat_inputs: Range | None
    cooling: Cooling | None
    warming: Warming | None
    checks: tuple[Check, ...]

    @property
    def verdict(self) -> str:
        """Against the procedure: outside if any check is, within if at least one is, else not given."""
        return _worst(self.checks)


@dataclass(frozen=True)
class TurnRow:
    """A line of a rotation table: bore on diameter [mm], rotation [rad/s], seconds per turn, dial mark or None."""

    diameter: float
    rotation: float
    turn_time: float
    dial: float | None


@dataclass(frozen=True)
class TurnTable:
    """Rotation against diameter at one travel speed [mm/s], for the layers named."""

    travel: float
    layers: tuple[int, ...]
    rows: tuple[TurnRow, ...]


@dataclass(frozen=True)
class SteelFacts:
    """What follows from the steel: None where the scene does not say enough.

    thickness [mm] and how it is known; carbon equivalents [%]; preheat by CET at the coldest layer, and by AWS D1.1 Table
    3.3 [C]; measure_at: how far from the bore the preheat is measured [mm]; said: what is missing or too cold.
    """

    thickness: float | None
    thickness_known: str
    ce: float | None
    cet: float | None
    pcm: float | None
    preheat: Preheat | None
    preheat_aws: float | None
    measure_at: float | None
    said: tuple[str, ...]


@dataclass(frozen=True)
class Schedule:
    """The settings of a whole job.

    scene; layers; tables of rotation; areas: no-weld areas and plugs; whole_turn: ISO and AWS name of a whole turn; steel;
    open_points: what must still be filled in before the settings may be called anything but figures; verdict against the
    procedure (within, outside, not given).
    """

    scene: Scene
    layers: tuple[Row, ...]
    tables: tuple[TurnTable, ...]
    areas: tuple[Kept, ...]
    whole_turn: tuple[str, str]
    steel: SteelFacts
    open_points: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """Against the procedure, of all layers together."""
        return _worst([check for row in self.layers for check in row.checks])


def _worst(checks: Sequence[Check]) -> str:
    told = {check.verdict for check in checks}
    return OUTSIDE if OUTSIDE in told else WITHIN if WITHIN in told else NOT_GIVEN


def schedule(result: Result) -> Schedule:
    """The settings of a job. Raises SceneError when a dial cannot give a rotation or wire feed.

    >>> from sim import load, simulate
    >>> told = schedule(simulate(load("scenes/cleans_up.toml")))
    >>> [(row.number, round(row.turn_time, 1)) for row in told.layers]
    [(1, 35.8), (2, 34.2)]
    """
    scene = result.scene
    areas = tuple(_areas(scene))
    rows = [_row(result, number, areas, warming) for number, warming in enumerate(_warmings(result), 1)]
    return Schedule(
        scene=scene,
        layers=tuple(rows),
        tables=tuple(_tables(scene, rows)),
        areas=areas,
        whole_turn=metal.whole_turn(scene.bore.inclination),
        steel=_steel(result),
        open_points=open_points(scene),
    )


def open_points(scene: Scene) -> tuple[str, ...]:
    """What is not filled in yet: while any is left, a sheet is stamped 'not a welding procedure'.

    >>> from sim.scene import load
    >>> open_points(load("scenes/cleans_up.toml"))[:2]
    ('steel of the part', 'number of the welding procedure')
    """
    held = scene.hold_points
    points = (
        (bool(scene.steel.name.strip()), "steel of the part"),
        (bool(scene.procedure.number.strip()), "number of the welding procedure"),
        (held.cracks_checked, "bore checked for cracks"),
        (held.cavity_vented, "hollow sections open, clean and vented"),
        (held.work_lead_at_bore, "work lead at the bore"),
        (held.load_blocked, "load blocked, stored energy let off"),
    )
    return tuple(words for done, words in points if not done)


# ---- one layer -----------------------------------------------------------------------------------------------------


def _row(result: Result, number: int, areas: tuple[Kept, ...], warming: Warming | None) -> Row:
    scene, layer = result.scene, result.layers[number - 1]
    s, plan, (low, high) = layer.setting, layer.setting.plan, _met(result, number)
    travels = (s.rotation * low, s.rotation * high)
    heats = _heats(scene, travels)
    heat = None if heats is None else _heats(scene, (s.travel, s.travel))[0]  # type: ignore[index]
    spiral, centre = plan.advance == "spiral", scene.head.contact_tip - s.radius
    return Row(
        number=number,
        done=number <= scene.job.layers_done,
        diameter=2.0 * s.radius,
        diameters=(2.0 * low, 2.0 * high),
        round=high - low <= default("limit.travel_spread") * s.radius,
        rotation=s.rotation,
        rotations=(s.travel / high, s.travel / low),
        turn_time=TURN / s.rotation,
        turn_times=(TURN * low / s.travel, TURN * high / s.travel),
        travel=s.travel,
        travels=travels,
        rotation_dial=_mark(scene, "rotation", s.rotation, number, s),
        wire_dial=_mark(scene, "wire feed", s.wire_feed, number, s),
        wire_feed=plan.wire_feed,
        fed=s.wire_feed,
        pitch=s.path.pitch,
        advance=plan.advance,
        step_over=None if spiral else plan.step_over,
        turning=plan.turning,
        feed=plan.feed,
        start_depth=float(s.path.depth[0]),
        end_depth=float(s.path.depth[-1]),
        start_clock=s.path.start_clock,
        closing_start=plan.closing_start if spiral else 0,
        closing_end=plan.closing_end if spiral else 0,
        turns=s.path.turns,
        arcs=len(s.path.arcs),
        arc_time=layup.arc_time(s),
        wire=layup.wire_used(scene, s) * scene.wire.density,
        wire_length=s.wire_feed * layup.arc_time(s),
        tip=scene.head.contact_tip,
        tip_radius=s.radius - scene.head.contact_tip,
        tips=(centre + low, centre + high),
        tip_clear=centre + (low if np.isnan(layer.under).all() else float(np.nanmin(layer.under))),
        reach=max(float(s.path.depth.max()), 0.0),
        kept=areas + _sector(s),
        positions=_positions(scene, s),
        gauge=layer.gauge,
        valley=layer.valley,
        mean_after=2.0 * layer.wall.mean_radius(*interior(s, scene.bore.length)),
        restart=_restart(scene, s),
        arc_energy=None if heat is None else heat / scene.electrical.thermal_efficiency,
        heat_input=heat,
        heat_inputs=heats,
        cooling=None if heat is None else metal.cooling_time(heat, _coldest(scene), _thickness(scene)[0]),
        warming=warming,
        checks=tuple(_checks(scene, s, travels, number)),
    )


SAMPLES = 8  # of the wall within a feed per turn


def _met(result: Result, number: int) -> Range:
    """Smallest and largest radius [mm] a layer's torch meets, ripple of the layer before averaged out over its pitch.

    Without the first and last three turns, where closing turns of the layer before stand on themselves, and without the
    edges of no-weld areas, where its humps and bare wall lie side by side.
    """
    under, s = result.layers[number - 1].under, result.settings[number - 1]
    wall, pitch = _before(result, number), result.settings[max(number - 2, 0)].path.pitch
    step = pitch / SAMPLES
    depth = np.arange(wall.start, wall.end, step)
    total = np.cumsum(np.pad(wall.radius(depth), ((0, 0), (1, 0))), axis=1)
    mean = (total[:, SAMPLES:] - total[:, :-SAMPLES]) / SAMPLES
    turned = np.mod(s.path.turning * (wall.clock.angle - s.path.start_clock), TURN)
    at = s.path.depth_at(turned[:, None] + TURN * np.arange(under.shape[1]))
    cell = np.rint((at - wall.start) / step - 0.5 * (SAMPLES - 1)).astype(int)
    radius = np.take_along_axis(mean, np.clip(cell, 0, mean.shape[1] - 1), axis=1)
    beside = math.ceil(len(wall.clock.angle) * result.scene.process.hump_length / (TURN * s.radius))
    off = maximum_filter(np.isnan(under), size=(2 * beside + 1, 3), mode=("wrap", "nearest"))
    radius = np.where(off if not off.all() else np.isnan(under), np.nan, radius)
    middle = radius[:, 3:-3] if under.shape[1] > 7 and not np.isnan(radius[:, 3:-3]).all() else radius
    if np.isnan(middle).all():
        return s.radius, s.radius
    return float(np.nanmin(middle)), float(np.nanmax(middle))


def _before(result: Result, number: int) -> Wall:
    """The wall a layer is laid on: that left by the layer before, or by the finish cut for a local weld."""
    wall = result.walls[number - 1]
    return bored(wall, result.finish, result.axes.torch) if cut_before(result.scene) == number else wall


def _heats(scene: Scene, travels: Range) -> Range | None:
    """Heat input [kJ/mm] by EN 1011-1 at the fastest and at the slowest travel [mm/s]; None without volts and amps."""
    e = scene.electrical
    if e.voltage is None or e.current is None:
        return None
    low, high = (metal.heat_input(e.voltage, e.current, v, e.thermal_efficiency) for v in (travels[1], travels[0]))
    return low, high


def _coldest(scene: Scene) -> float:
    """The coldest [C] the part may be when a bead is laid."""
    return scene.heat.air if scene.heat.preheat is None else scene.heat.preheat


def _told(scene: Scene, celsius: float) -> str:
    """A temperature in the job's units."""
    unit = KINDS["temperature"][1 if scene.job.units == "in" else 0]
    return f"{unit.outside(celsius):.0f} {unit.label}"


def _thickness(scene: Scene) -> tuple[float | None, str]:
    """Thickness [mm] that draws the heat off, and how it is known."""
    if scene.steel.thickness is not None:
        return scene.steel.thickness, "given in the scene"
    if scene.bore.outside_diameter is None:
        return None, "not given"
    bore = scene.worn.diameter if scene.pre_bore is None else scene.pre_bore.diameter
    return 0.5 * (scene.bore.outside_diameter - bore), "wall from the bore to the outside of the boss"


def _mark(scene: Scene, what: str, value: float, number: int, s: Setting) -> float | None:
    """The dial mark for a rotation [rad/s] or wire feed [mm/s]; None without a table. Raises SceneError outside it."""
    table = dial_of(scene.dial, what)
    if table is None:
        return None
    mark = table.mark_for(value)
    if mark is not None:
        return mark
    choices = KINDS["rotation" if what == "rotation" else "feed"]
    unit = choices[-1] if scene.job.units == "in" else choices[0]
    low, high = (unit.outside(v) for v in table.ends)
    nearest = min(max(value, table.ends[0]), table.ends[1])
    why = ""
    if what == "rotation":
        pace = KINDS["speed"][1 if scene.job.units == "in" else 0]
        why = f", a travel of {pace.outside(nearest * s.radius):.4g} {pace.label} on this bore"
    raise SceneError(
        f"layer {number}: {what} = {unit.outside(value):.4g} {unit.label}: the dial table gives {low:.4g} to {high:.4g}; "
        f"the nearest it can is {unit.outside(nearest):.4g} {unit.label}{why}: set that, or time the dial farther."
    )


def _areas(scene: Scene) -> list[Kept]:
    """No-weld areas, holes and keyways of a scene, plugged ones too, on the part's clock."""
    out = [Kept("no-weld area", False, (a.from_at, a.to_at), (a.from_depth, a.to_depth)) for a in scene.no_weld]
    radius = 0.5 * scene.bore.final_diameter
    for hole in scene.oil_hole:
        half = min(0.5 * hole.diameter / radius, math.pi)
        depths = (hole.depth - 0.5 * hole.diameter, hole.depth + 0.5 * hole.diameter)
        out.append(Kept("oil hole", hole.how == "plug", _clocks(hole.at, half), depths))
    for way in scene.keyway:
        half = 0.5 * way.width / radius
        out.append(Kept("keyway", way.how == "plug", _clocks(way.at, half), (way.from_depth, way.to_depth)))
    return out


def _clocks(at: float, half: float) -> Range:
    return (at - half) % TURN, (at + half) % TURN


def _sector(s: Setting) -> tuple[Kept, ...]:
    """Where a layer over part of the clock has its arc off."""
    if s.plan.only_from is None or s.plan.only_to is None:
        return ()
    depths = (float(s.path.depth.min()), float(s.path.depth.max()))
    return (Kept("outside the part of the clock to be laid", False, (s.plan.only_to, s.plan.only_from), depths),)


def _positions(scene: Scene, s: Setting) -> tuple[Position, ...]:
    """Weld positions of a layer on the part's clock; of a layer over part of the clock, those it passes through."""
    found = metal.positions(scene.bore.inclination, s.path.turning)
    if len(found) == 1:
        return found
    top = scene.bore.top
    turned = [Position(p.iso, p.aws, p.way, (p.start + top) % TURN, (p.end + top) % TURN) for p in found]
    return tuple(p for p in turned if _passes(p, s.plan))


def _passes(position: Position, plan: LayerPlan) -> bool:
    """Tell whether a layer's part of the clock meets a position."""
    if plan.only_from is None or plan.only_to is None:
        return True
    laid, held = (plan.only_to - plan.only_from) % TURN, (position.end - position.start) % TURN
    return (position.start - plan.only_from) % TURN < laid or (plan.only_from - position.start) % TURN < held


def _restart(scene: Scene, s: Setting) -> Restart:
    """Where to strike again: on the run-out of the stop, so that the hump of the start lies on its taper."""
    length = scene.process.taper_length
    against = "counter-clockwise" if s.plan.turning == "clockwise" else "clockwise"
    rule = (
        "note clock and depth at the stop; brush, and dress crater and crack away; turn back "
        f"{against} by this much along the bead, at the depth the torch had there, and strike on the run-out"
    )
    return Restart(length, length / s.radius, rule)


# ---- how warm the part gets --------------------------------------------------------------------------------------------


def _warmings(result: Result) -> list[Warming] | list[None]:
    """How warm the part gets in each layer, and the wait after it; None where volts and amps are not given."""
    scene, known, e = result.scene, DEFAULTS["heat.film"], result.scene.electrical
    if e.voltage is None or e.current is None:
        return [None for _ in result.layers]
    until = scene.heat.interpass if scene.heat.interpass is not None else scene.procedure.interpass_most
    power = e.thermal_efficiency * e.voltage * e.current
    times = [layup.arc_time(s) for s in result.settings]
    likely, slow, fast = (
        _chain(_ring(result, film), power, times, _coldest(scene), until) for film in (known.value, known.low, known.high)
    )
    return [replace(a, waits=(c.wait, b.wait)) for a, b, c in zip(likely, slow, fast, strict=True)]


def _chain(ring: Ring, power: float, times: Sequence[float], start: float, until: float | None) -> list[Warming]:
    """The layers of these arc times [s] one after the other at one power [W], each begun at `until` [C] at most."""
    out = []
    for time in times:
        end = ring.heated(start, power, time)
        passes = None if until is None or end <= until else ring.time_to(start, power, until)
        wait = 0.0 if until is None else ring.wait(end, until)
        out.append(Warming(start, end, until, passes, wait, (wait, wait)))
        start = end if until is None else min(end, until)
    return out


def _ring(result: Result, film: float) -> Ring:
    """The boss round the bore as a ring; its outside, where not given, by the usual ratio."""
    scene = result.scene
    inside = 2.0 * result.settings[0].radius
    return Ring.of(
        inside,
        scene.bore.outside_diameter or inside * default("readings.ratio"),
        scene.bore.length,
        density=scene.wire.density,
        specific_heat=default("heat.specific_heat"),
        film=film,
        air=scene.heat.air,
    )


# ---- against the procedure -------------------------------------------------------------------------------------------


def _checks(scene: Scene, s: Setting, travels: Range, number: int) -> list[Check]:
    """A layer against every range the procedure may give."""
    p, e, h = scene.procedure, scene.electrical, scene.heat
    heats = _heats(scene, travels)
    energies = None if heats is None else (heats[0] / e.thermal_efficiency, heats[1] / e.thermal_efficiency)
    volts = "the job gives no volts"
    both = "the job gives no volts and amps"
    out = [
        _check("wire feed", "feed", (s.wire_feed, s.wire_feed), (p.wire_feed_least, p.wire_feed_most)),
        _check("voltage", "voltage", _one(e.voltage), (p.voltage_least, p.voltage_most), volts),
        _check("current", "current", _one(e.current), (p.current_least, p.current_most), "the job gives no amps"),
        _check("travel", "speed", travels, (p.travel_least, p.travel_most)),
        _check("heat input (EN 1011-1)", "energy", heats, (p.heat_input_least, p.heat_input_most), both),
        _check("arc energy (AWS)", "energy", energies, (p.arc_energy_least, p.arc_energy_most), both),
        _check("preheat", "temperature", _one(h.preheat), (p.preheat_least, None), "the job gives no preheat"),
    ]
    if number > 1:
        out.append(_check("interpass", "temperature", _one(h.interpass), (None, p.interpass_most), "the job gives no interpass temperature"))
    return [*out, _position_check(scene, s), _group_check(scene)]


def _one(value: float | None) -> Range | None:
    return None if value is None else (value, value)


def _check(what: str, kind: str, run: Range | None, allowed: tuple[float | None, float | None], missing: str = "") -> Check:
    least, most = allowed
    if least is None and most is None:
        return Check(what, kind, run, allowed, NOT_GIVEN, words="the procedure gives no range")
    if run is None:
        return Check(what, kind, run, allowed, NOT_GIVEN, words=missing)
    under = 0.0 if least is None else least - run[0]
    over = 0.0 if most is None else run[1] - most
    by = max(under, over)
    slack = 1e-9 * max(abs(run[0]), abs(run[1]), 1.0)
    return Check(what, kind, run, allowed, OUTSIDE if by > slack else WITHIN, by=max(by, 0.0) if by > slack else 0.0)


def _position_check(scene: Scene, s: Setting) -> Check:
    listed = scene.procedure.positions
    if not listed.strip():
        return Check("position", "text", None, (None, None), NOT_GIVEN, words="the procedure lists no positions")
    missing = sorted({p.iso for p in _positions(scene, s)} - metal.main_positions(listed))
    words = f"{', '.join(missing)} not among {listed}" if missing else ""
    return Check("position", "text", None, (None, None), OUTSIDE if missing else WITHIN, words=words)


def _group_check(scene: Scene) -> Check:
    listed, mine = scene.procedure.groups, scene.steel.group
    if not listed.strip() or not mine.strip():
        missing = "the procedure lists no steel groups" if not listed.strip() else "the job gives no steel group"
        return Check("steel group", "text", None, (None, None), NOT_GIVEN, words=missing)
    good = metal.in_group(mine, listed)
    return Check("steel group", "text", None, (None, None), WITHIN if good else OUTSIDE, words="" if good else f"{mine} not among {listed}")


# ---- rotation table and steel ------------------------------------------------------------------------------------------


def _tables(scene: Scene, rows: Sequence[Row]) -> list[TurnTable]:
    """A table of rotation against diameter for every travel speed of the job."""
    by_travel: dict[float, list[int]] = {}
    for row in rows:
        by_travel.setdefault(round(row.travel, 9), []).append(row.number)
    sizes = [size for row in rows for size in (*row.diameters, row.mean_after)]
    return [TurnTable(v, tuple(n), tuple(_turn_rows(scene, v, min(sizes), max(sizes)))) for v, n in by_travel.items()]


def _turn_rows(scene: Scene, travel: float, low: float, high: float) -> list[TurnRow]:
    """Lines at round diameters from the largest the job passes through to the smallest."""
    steps = (0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0) if scene.job.units == "in" else (0.25, 0.5, 1.0, 2.0, 5.0, 10.0)
    unit = INCH if scene.job.units == "in" else 1.0
    step = next((one * unit for one in steps if (high - low) / (one * unit) <= 14.0), steps[-1] * unit)
    table, out = dial_of(scene.dial, "rotation"), []
    for k in range(math.ceil(high / step - 1e-9), math.floor(low / step + 1e-9) - 1, -1):
        rotation = 2.0 * travel / (k * step)
        out.append(TurnRow(k * step, rotation, TURN / rotation, None if table is None else table.mark_for(rotation)))
    return out


def _steel(result: Result) -> SteelFacts:
    """Carbon equivalents and preheat of the part, as far as the scene says enough."""
    scene, said = result.scene, []
    thickness, known = _thickness(scene)
    held = scene.steel
    metals = None
    if held.carbon is not None:
        metals = Composition(
            carbon=held.carbon, silicon=held.silicon, manganese=held.manganese, chromium=held.chromium,
            molybdenum=held.molybdenum, vanadium=held.vanadium, nickel=held.nickel, copper=held.copper, boron=held.boron,
        )  # fmt: skip
    asked = _asked_preheat(result, metals, thickness)
    table = None
    if held.aws_category != "not given" and thickness is not None and thickness >= 3.0:
        table = metal.minimum_preheat(held.aws_category, thickness)
    if metals is None:
        said.append("no analysis of the steel: no carbon equivalent and no preheat by it")
    elif asked is None:
        said.append("preheat by CET needs thickness, hydrogen class, volts and amps")
    cold = max([one for one in (None if asked is None else asked.temperature, table) if one is not None], default=None)
    if cold is not None and _coldest(scene) < cold - 0.5:
        part, asks = (_told(scene, one) for one in (_coldest(scene), cold))
        said.append(f"the part at {part} is colder than the preheat of {asks} these formulas ask for")
    return SteelFacts(
        thickness=thickness,
        thickness_known=known,
        ce=None if metals is None else metals.ce,
        cet=None if metals is None else metals.cet,
        pcm=None if metals is None else metals.pcm,
        preheat=asked,
        preheat_aws=table,
        measure_at=None if thickness is None else metal.where_to_measure(thickness),
        said=tuple(said),
    )


def _asked_preheat(result: Result, metals: Composition | None, thickness: float | None) -> Preheat | None:
    """The highest preheat by CET that any layer asks for."""
    hydrogen = HYDROGEN[result.scene.heat.hydrogen]
    if metals is None or thickness is None or hydrogen is None:
        return None
    found = []
    for s in result.settings:
        heats = _heats(result.scene, (s.travel, s.travel))
        if heats is not None:
            one = metal.preheat_by_cet(metals.cet, thickness, hydrogen, heats[0])
            found.append(Preheat(one.temperature, one.outside + metal.outside_cet(metals)))
    return max(found, key=lambda one: one.temperature, default=None)
