"""The closed loop: `python -m tests.speed.closed_loop [--why] [--of WALL] [jobs] [first]`, from the
top of the project; prints as it goes.

WALL: bright (the worn bore was gauged across, and the pre-bored wall came out bright; the default),
read (readings of the pre-bored wall are given, and in half of the jobs it is black to one side),
sizes (one worn size, no readings). `--why`: the wire over the least taken apart.

`--update [jobs] [first]`: jobs of two to six layers, read after each layer and planned again.

Random jobs of one to six layers. A hidden process (`tests.speed.hidden`, its own laws and its own
draws, which stray as far as the planner is told) welds what the planner, who sees sizes, readings
and a measured bead only, has planned. Counted: first plans that clean up, and wire against the least-wire plan found in the same plan
space with the hidden process known. Beside it what two rules of thumb score. Exit 1 when a mark is
not met.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.job.change import changed
from sim.job.read import from_mapping
from sim.laws.exact_interval import clopper_pearson
from sim.machine.between.readings_after import update
from sim.machine.between.told import Update
from sim.plan.recommend import recommend
from sim.plan.search.offers import layers_of
from tests.speed.hidden import (
    Hidden,
    Part,
    TrueBead,
    draw_hidden,
    gauged,
    judged,
    least_stock,
    start,
    weld,
    wire_fed,
)

ASKED = 0.95
MARKS = {"sizes": (1.10, 1.30), "read": (1.10, 1.30), "bright": (1.05, 1.15)}
"""Wire over the least that is asked for: median and 90th percentile."""
Layers = list[dict[str, Any]]


@dataclass(frozen=True)
class Job:
    """One job: what it is, what is hidden, and the scene the planner sees."""

    number: int
    part: Part
    bead: TrueBead
    hidden: Hidden
    scene: Any


SIZES, BRIGHT, READ = "sizes", "bright", "read"
"""What the planner is told of the wall: one size; worn readings and a bright pre-bore; readings of
the pre-bored wall."""

SMALL: dict[str, Any] = {"build": (0.8, 4.0), "final": (55.0, 90.0), "length": (40.0, 60.0)}
"""Jobs of one to four layers and few turns, for what takes many."""

WIDTH_ERROR, HEIGHT_ERROR = 0.15, 0.08  # mm, one standard deviation, of the bead measured
GAUGE = 0.015  # mm on diameter, one standard deviation


def job(
    number: int,
    of: str = SIZES,
    *,
    series: int = 2024,
    build: tuple[float, float] = (0.8, 9.5),
    final: tuple[float, float] = (55.0, 130.0),
    length: tuple[float, float] = (40.0, 120.0),
) -> Job:
    """Job `number`: the same each time. build [mm per side], final, length [mm]: how large it may be."""
    rng = np.random.default_rng((series, number))
    travel = rng.uniform(410.0, 560.0)
    wire = float(rng.choice([0.9, 1.0, 1.2]))
    area = rng.uniform(5.5, 9.0)
    feed = area * travel / (0.96 * math.pi / 4.0 * wire**2) / 1000.0
    aspect = rng.uniform(2.4, 3.4)
    width = math.sqrt(1.5 * area * aspect)
    size = rng.uniform(*final)
    thick = rng.uniform(*build)
    part = Part(
        final=round(size, 1),
        pre_bore=round(size + 2.0 * thick, 1),
        length=round(rng.uniform(*length)),
        chamfer=1.0,
        inclination=float(rng.choice([0.0, 0.0, 0.0, 90.0])) * math.pi / 180.0,
        minimum_cut=0.25,
        wire_diameter=wire,
        efficiency=0.96,
        pocket=float(rng.choice([0.0, 0.0, rng.uniform(0.1, 0.5)])),
        pocket_at=(rng.uniform(0.0, 2.0 * math.pi), rng.uniform(15.0, 25.0)),
    )
    bead = TrueBead(width, feed, travel, rng.uniform(-0.78, -0.62))
    hidden = draw_hidden(rng)
    scene = _scene(part, bead, hidden, rng)
    if of == SIZES:
        return Job(number, part, bead, hidden, from_mapping(scene))
    part = _as_cut(part, np.random.default_rng((series, number, 1)), black=of == READ)
    wall = _told(part, hidden, of, np.random.default_rng((series, number, 2)))
    left_out = {"worn", "gouge", "pre_bore"}
    rest = {key: value for key, value in scene.items() if key not in left_out}
    return Job(number, part, bead, hidden, from_mapping(rest | wall))


def _as_cut(part: Part, rng: np.random.Generator, *, black: bool) -> Part:
    """The part with no spot torn deeper; half of those that may be are black to one side."""
    deep = float(rng.choice([0.0, rng.uniform(0.1, 0.6)])) if black else 0.0
    at, half = float(rng.uniform(0.0, 2.0 * math.pi)), float(rng.uniform(0.8, 1.6))
    return replace(part, pocket=0.0, black=deep, black_at=at, black_half=half)


def _told(part: Part, hidden: Hidden, of: str, rng: np.random.Generator) -> dict[str, Any]:
    """What is told of the wall: a dozen clocks at five depths, gauged across; worn, or as cut."""
    wall, z0 = start(part, hidden)
    at, wear = rng.uniform(0.0, 2.0 * math.pi), rng.uniform(0.3, 0.9)
    rows = ["depth_mm,oclock,diameter_mm"]
    for share in (0.06, 0.28, 0.5, 0.72, 0.94):
        for hours in range(6):
            depth, clock = share * part.length, hours * math.pi / 6.0
            if of == READ:
                size = gauged(wall, z0, depth, clock, over=0.5)
            else:  # worn to one side, less than the pre-bore took
                size = part.pre_bore - 1.0 + wear * abs(math.cos(clock - at))
            rows.append(f"{depth:.2f},{hours},{size + rng.normal(0.0, GAUGE):.3f}")
    table = "\n".join(rows) + "\n"
    read = {"table": table, "error_mm": 2.0 * GAUGE}
    cut: dict[str, Any] = {"diameter_mm": part.pre_bore}
    if of == READ:
        return {"readings": read | {"of": "pre-bored"}, "pre_bore": cut}
    return {"readings": read, "pre_bore": cut | {"looked": "bright"}}


def _scene(part: Part, bead: TrueBead, hidden: Hidden, rng: np.random.Generator) -> dict[str, Any]:
    """What the planner is given: sizes as read, the bead as measured on a plate with its errors,
    and how far this process strays where that is less than is usual.
    """
    area = (
        part.efficiency
        * hidden.volume[0]
        * math.pi
        / 4.0
        * part.wire_diameter**2
        * bead.wire_feed
        * 1000.0
        / bead.travel
    )
    half = 0.5 * bead.width
    low, high = 0.0, bead.width
    for _ in range(60):  # height of a circular segment of this width and area
        h = 0.5 * (low + high)
        r = (half**2 + h**2) / (2.0 * h)
        angle = math.atan2(half, r - h)
        low, high = (
            (h, high) if r * r * (angle - math.sin(angle) * math.cos(angle)) < area else (low, h)
        )
    raw: dict[str, Any] = {
        "schema": 1,
        "job": {"name": "closed loop", "note": "Invented."},
        "bore": {
            "far_from_original": True,  # small bores worn far are among them
            "final_diameter_mm": part.final,
            "length_mm": part.length,
            "inclination_deg": math.degrees(part.inclination),
        },
        "worn": {"diameter_mm": part.pre_bore - 0.4},
        "pre_bore": {"diameter_mm": part.pre_bore},
        "wire": {"diameter_mm": part.wire_diameter, "feed_measured": True},
        "bead": {
            "width_mm": round(bead.width + rng.normal(0.0, WIDTH_ERROR), 2),
            "height_mm": round(h + rng.normal(0.0, HEIGHT_ERROR), 2),
            "width_error_mm": WIDTH_ERROR,
            "height_error_mm": HEIGHT_ERROR,
            "wire_feed_m_per_min": bead.wire_feed,
            "travel_mm_per_min": bead.travel,
        },
        "spread": {
            "known": "what the hidden process strays by",
            # the power of travel is even within 0.08 of its own: at a quarter more or less travel
            "width_law": round(0.08 / math.sqrt(3.0) * math.log(1.25), 3),
            "gravity": 0.17,  # even from 0.17 to 0.31
        },
        "layer": [
            {
                "pitch_mm": 3.0,
                "wire_feed_m_per_min": bead.wire_feed,
                "travel_mm_per_min": bead.travel,
            }
        ],
    }
    if part.pocket:
        at, depth = part.pocket_at
        hours = at * 6.0 / math.pi
        raw["gouge"] = [
            {
                "at_oclock": hours,
                "depth_mm": depth,
                "length_mm": 24.0,
                "width_mm": 24.0,
                "deep_mm": part.pocket + 0.2,
            }
        ]
    return raw


# ---- plans
# ----------------------------------------------------------------------------------------------------------------


def layers_for(
    job: Job, count: int, pitch: float, travel: float, advance: str, closing: tuple[int, int]
) -> Layers:
    """Layers alike as the machine is set, from nominal numbers only."""
    bead, part = job.scene.bead, job.part
    feed = job.bead.wire_feed
    width = bead.width * (travel / job.bead.travel) ** -0.7
    area = part.efficiency * math.pi / 4.0 * part.wire_diameter**2 * feed * 1000.0 / travel
    radius, out = 0.5 * part.pre_bore, []
    for k in range(count):
        out.append({
            "pitch_mm": pitch, "travel_mm_per_min": travel, "seconds_per_turn": 2.0 * math.pi * radius / travel * 60.0,
            "wire_feed_m_per_min": feed, "start_depth_mm": 0.25 * width, "end_depth_mm": part.length - 0.25 * width,
            "closing_turns_start": closing[0], "closing_turns_end": closing[1], "advance": advance, "start_clock_h": (3.0 * k) % 12.0,
        })  # fmt: skip
        radius = math.sqrt(max(radius**2 - 2.0 * area * radius / pitch, 1.0))
    return out


def least_wire(job: Job, counts: range = range(1, 11)) -> float:
    """Wire [mm3] of the least-wire plan that the hidden process itself says cleans up, in the
    planner's plan space and within its limits.

    counts: how many layers it may have. Layers, travel, advance and closing turns on a grid, the
    pitch by bisection within the same bead overlap range.
    """
    best = math.inf
    for travel in sorted({*travel_range(job), job.bead.travel}, reverse=True):
        for advance, closing in (
            ("step", (0, 0)),
            ("spiral", (1, 1)),
            ("spiral", (2, 1)),
            ("spiral", (2, 2)),
        ):
            for count in counts:
                kind = Laid(job, count, travel, advance, closing)
                if wire_fed(kind.layers(kind.fewest), job.part.wire_diameter) >= best:
                    break
                found = _widest(kind, best)
                if found is not None:
                    best = found
    return best


OVERLAP = (0.15, 0.5)
"""Least and most bead overlap, as the planner is held to: no closer than half a width."""


def travel_range(job: Job) -> tuple[float, float]:
    """Slowest and fastest travel [mm/min], as the planner is held to."""
    level = job.part.inclination == 0.0
    low, high = 0.8 * job.bead.travel, 1.35 * job.bead.travel
    return (max(low, min(job.bead.travel, 400.0)), min(high, 640.0)) if level else (low, high)


@dataclass(frozen=True)
class Laid:
    """A kind of plan but for its turns, which are sought in twentieths."""

    job: Job
    count: int
    travel: float
    advance: str
    closing: tuple[int, int]

    @property
    def width(self) -> float:
        """Width of the bead [mm] as the planner knows it."""
        return float(self.job.scene.bead.width * (self.travel / self.job.bead.travel) ** -0.7)

    @property
    def span(self) -> float:
        """From the first bead to the last [mm]."""
        return self.job.part.length - 0.5 * self.width

    def _most(self, overlap: float) -> float:
        return self.span / ((1.0 - overlap) * self.width)

    @property
    def fewest(self) -> int:
        """Fewest twentieths of a turn that the least overlap allows; rings are whole."""
        turns = self._most(OVERLAP[0])
        return 20 * math.ceil(turns) if self.advance == "step" else math.ceil(20 * turns)

    @property
    def most(self) -> int:
        """Most twentieths of a turn that the most overlap allows; rings are whole."""
        turns = self._most(OVERLAP[1])
        return 20 * math.floor(turns) if self.advance == "step" else math.floor(20 * turns)

    def layers(self, twentieths: int) -> Layers:
        """The layers; of rings, travel makes up for the part of a ring within its range."""
        turns, travel = twentieths / 20.0, self.travel
        if self.advance == "step":
            low, high = travel_range(self.job)
            rings = float(round(turns))
            if travel * rings / turns > high:
                rings = float(math.floor(turns))
            elif travel * rings / turns < low:
                rings = float(math.ceil(turns))
            travel, turns = min(max(travel * rings / turns, low), high), rings
        pitch = self.span / turns + 1e-6
        return layers_for(self.job, self.count, pitch, travel, self.advance, self.closing)


def _widest(kind: Laid, best: float) -> float | None:
    """Wire at the fewest turns that clean up, None when there are none or they cost more than the
    best so far.
    """
    job, low, high = kind.job, kind.fewest, kind.most

    def wire(twentieths: int) -> float:
        return wire_fed(kind.layers(twentieths), job.part.wire_diameter)

    def works(twentieths: int) -> bool:
        left = least_stock(job.part, job.bead, job.hidden, kind.layers(twentieths))
        return left >= job.part.minimum_cut

    while high > low and wire(high) >= best:
        high -= 1
    if high < low or not works(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return wire(high) if wire(high) < best else None


def rule(job: Job, spacing: float, extra: float) -> Layers:
    """A rule of thumb: pitch so many widths, layers until the flat-plate thickness covers the
    build-up and `extra`.
    """
    bead, part = job.scene.bead, job.part
    area = (
        part.efficiency
        * math.pi
        / 4.0
        * part.wire_diameter**2
        * job.bead.wire_feed
        * 1000.0
        / job.bead.travel
    )
    thickness = area / (spacing * bead.width)
    count = max(math.ceil((0.5 * (part.pre_bore - part.final) + extra) / thickness - 1e-9), 1)
    return layers_for(job, count, spacing * bead.width, job.bead.travel, "spiral", (1, 1))


# ---- the count
# ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Count:
    """One job counted: stock left [mm], chance promised, wire and least wire [mm3], seconds; rules:
    stock and wire.
    """

    number: int
    layers: int
    stock: float
    promised: float
    wire: float
    least: float
    seconds: float
    rules: tuple[tuple[float, float], ...]

    @property
    def cleans(self) -> bool:
        """Tell whether the first plan cleans up."""
        return self.stock >= 0.25


def counted(one: Job, *, search: bool = True) -> Count:
    """Plan a job, weld it in the hidden process, and look for the least wire with that process
    known (`search`).
    """
    number = one.number
    began = time.monotonic()
    plan = recommend(one.scene, beside=False)
    seconds = time.monotonic() - began
    if plan.winner is None:
        return Count(number, 0, -math.inf, 0.0, math.nan, math.nan, seconds, ())
    layers = layers_of(plan.winner)
    stock = least_stock(one.part, one.bead, one.hidden, layers)
    rules = []
    for spacing, extra in ((2.0 / 3.0, 0.25), (0.5, 1.5)):
        simple = rule(one, spacing, extra)
        rules.append(
            (
                least_stock(one.part, one.bead, one.hidden, simple),
                wire_fed(simple, one.part.wire_diameter),
            )
        )
    wire = wire_fed(layers, one.part.wire_diameter)
    least = (
        min(least_wire(one), wire if stock >= one.part.minimum_cut else math.inf)
        if search
        else math.nan
    )
    return Count(
        number, len(layers), stock, plan.winner.probability, wire, least, seconds, tuple(rules)
    )


def run(jobs: int, first: int = 0, of: str = BRIGHT) -> Iterator[Count]:
    """Job after job, each told as it is done."""
    for number in range(first, first + jobs):
        one = counted(job(number, of))
        print(
            f"job {number:3d}: {one.layers} layers, "
            f"{'cleans up' if one.cleans else 'FALLS SHORT'} with {one.stock:+.2f} mm, "
            f"promised {one.promised:.3f}, "
            f"wire {one.wire / one.least:.3f} of the least, planned in {one.seconds:.1f} s",
            flush=True,
        )
        yield one


# ---- why more than the least
# ------------------------------------------------------------------------------------------------

OTHERS = 80  # other processes as the planner is told of, with another true bead behind the measured


def with_metal(layers: Layers, part: float) -> Layers:
    """The same layers with so much of their metal: all turn that much longer or shorter."""
    return [
        layer
        | {
            "seconds_per_turn": layer["seconds_per_turn"] * part,
            "travel_mm_per_min": layer["travel_mm_per_min"] / part,
        }
        for layer in layers
    ]


def others(one: Job) -> list[tuple[TrueBead, Hidden]]:
    """Processes and beads that this job might as well have had, for all that the planner sees."""
    out = []
    for k in range(OTHERS):
        rng = np.random.default_rng((2024, one.number, 5, k))
        width = one.scene.bead.width + rng.normal(0.0, WIDTH_ERROR)
        bead = replace(one.bead, width=width, travel_power=rng.uniform(-0.78, -0.62))
        out.append((bead, draw_hidden(rng)))
    return out


def enough(one: Job, layers: Layers, cases: list[tuple[TrueBead, Hidden]]) -> float:
    """Part of their metal with which as many as asked of the cases just clean up; of one, it."""

    def left(part: float) -> float:
        laid = with_metal(layers, part)
        least = [least_stock(one.part, bead, hidden, laid) for bead, hidden in cases]
        return float(np.quantile(least, 1.0 - ASKED)) - one.part.minimum_cut

    low, high = 0.6, 1.1
    for _ in range(8 if len(cases) > 1 else 14):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if left(middle) >= 0.0 else (middle, high)
    return high


def why(jobs: int, first: int, of: str) -> int:
    """Wire over the least, taken apart: over a plan of the same kind as sure as asked by the
    process itself; what being sure costs over what came; another kind, had one known what came.
    """
    for number in range(first, first + jobs):
        one = job(number, of)
        plan = recommend(one.scene, beside=False).winner
        if plan is None:
            continue
        layers = layers_of(plan)
        sure = enough(one, layers, others(one))
        came = enough(one, layers, [(one.bead, one.hidden)])
        whole = wire_fed(layers, one.part.wire_diameter) / least_wire(one)
        print(
            f"job {number:3d}: wire {whole:.3f} of the least = {1.0 / sure:.3f} over one as sure, "
            f"process known x {sure / came:.3f} for being sure x {whole * came:.3f} another kind",
            flush=True,
        )
    return 0


# ---- with readings after each layer
# ---------------------------------------------------------------------------------------

ANOTHER_UNDER = 0.85
"""Chance after the last layer planned under which another is laid: the last plan promised what is
asked on average over the readings still to come, so stopping above this keeps it, and a layer more
for every reading a little low would be waste."""


@dataclass(frozen=True)
class Updated:
    """One job welded with readings after each layer: as planned at first, and as it came out.

    least: wire of the least-wire plan of two to six layers, nothing hidden; least_any: of any
    number of layers.
    """

    number: int
    planned: int
    layers: int
    stock: float
    wire: float
    least: float
    least_any: float
    first: float
    seconds: float
    told: tuple[Update, ...]
    volume: float

    @property
    def cleans(self) -> bool:
        """Tell whether the job cleans up."""
        return self.stock >= 0.25


def read_after(one: Job, wall: np.ndarray, z0: float, layer: int, pitch: float) -> str:
    """A dozen crests as a two-point gauge reads them, the valleys beside them, and valleys at
    either mouth, as CSV.
    """
    rng = np.random.default_rng((one.hidden.seed, 77, layer))
    rows = ["depth_mm,oclock,diameter_mm,touched"]
    for share in (0.25, 0.5, 0.75):
        for hours in (0.5, 2.0, 3.5, 5.0):
            depth = share * one.part.length
            read = gauged(wall, z0, depth, hours * math.pi / 6.0) + rng.normal(0.0, GAUGE)
            rows.append(f"{depth:.2f},{hours},{read:.3f},crest")
            valley = gauged(
                wall, z0, depth, hours * math.pi / 6.0, valley=True, over=pitch
            ) + rng.normal(0.0, GAUGE)
            rows.append(f"{depth:.2f},{hours},{valley:.3f},valley")
    for depth in (one.part.chamfer, one.part.length - one.part.chamfer):
        for hours in (0.5, 2.0, 3.5, 5.0):
            read = gauged(
                wall,
                z0,
                depth,
                hours * math.pi / 6.0,
                valley=True,
                over=pitch,
                within=(one.part.chamfer, one.part.length - one.part.chamfer),
            )
            rows.append(f"{depth:.2f},{hours},{read + rng.normal(0.0, GAUGE):.3f},valley")
    return "\n".join(rows) + "\n"


def welded_with_readings(
    number: int, *, search: bool = True, least: int = 2, most: int = 6
) -> Updated | None:
    """Plan job `number`, weld a layer, read, plan again, until all is laid that the last plan asks;
    None when it is not of so many layers.
    """
    one = job(number)
    began = time.monotonic()
    plan = recommend(changed(one.scene, {"plan.read_between": True}), beside=False)
    if plan.winner is None or not least <= len(layers_of(plan.winner)) <= most:
        return None
    first, laid, told = layers_of(plan.winner), [], []
    wall, z0 = start(one.part, one.hidden)
    winner: Any = plan.winner
    scene = winner.scene
    while len(laid) < 12:
        number_now, planned = len(laid), layers_of(winner)
        laid.append(planned[number_now])
        weld(one.part, one.bead, one.hidden, wall, z0, number_now, laid[-1])
        told.append(
            update(
                scene,
                read_after(one, wall, z0, number_now + 1, laid[-1]["pitch_mm"]),
                layer=number_now + 1,
            )
        )
        now, last = told[-1], len(laid) == len(planned)
        if now.enough or (
            last
            and now.as_is is not None
            and now.as_is.clean_up_of_100.value >= 100 * ANOTHER_UNDER
        ):
            break
        again = None if now.plan is None else now.plan.winner
        if again is None and last:
            break
        winner, scene = (
            (winner, now.scene) if again is None else (again, again.scene)
        )  # no surer plan: on as planned before
    seconds = time.monotonic() - began
    stock, wire = judged(one.part, one.hidden, wall, z0), wire_fed(laid, one.part.wire_diameter)
    mine = wire if stock >= one.part.minimum_cut else math.inf
    best, of_any = (
        min(least_wire(one, counts), mine) if search else math.nan
        for counts in (range(2, 7), range(1, 11))
    )
    before = wire_fed(first, one.part.wire_diameter)
    return Updated(
        number,
        len(first),
        len(laid),
        stock,
        wire,
        best,
        of_any,
        before,
        seconds,
        tuple(told),
        float(one.hidden.volume[: len(laid)].mean()),
    )


def run_updated(jobs: int, first: int = 0) -> Iterator[Updated]:
    """So many jobs of two to six layers, each told as it is done."""
    number = first
    while jobs:
        one = welded_with_readings(number)
        number += 1
        if one is None:
            continue
        jobs -= 1
        factors = " ".join(f"{u.area.value:.3f}" for u in one.told)
        sure = " ".join(f"{u.as_is.clean_up_of_100.value / 100:.2f}" for u in one.told if u.as_is)
        print(
            f"job {one.number:3d}: {one.planned} layers planned, {one.layers} laid, "
            f"{'cleans up' if one.cleans else 'FALLS SHORT'} with {one.stock:+.2f} mm, "
            f"wire {one.wire / one.least:.3f} of the least ({one.wire / one.least_any:.3f} "
            f"of any number of layers; first plan {one.first / one.least:.3f}), factor "
            f"{one.volume:.3f} told {factors}, as it is {sure}, {one.seconds:.0f} s",
            flush=True,
        )
        yield one


def main_updated(jobs: int, first: int) -> int:
    """Jobs of two to six layers with readings after each; the table."""
    found = list(run_updated(jobs, first))
    clean, ratio = sum(u.cleans for u in found), np.array([u.wire / u.least for u in found])
    interval = clopper_pearson(clean, len(found))
    of_any = np.median([u.wire / u.least_any for u in found])
    print(
        f"\n{clean} of {len(found)} clean up ({100 * interval.low:.1f} to "
        f"{100 * interval.high:.1f} %); another layer than planned in "
        f"{sum(u.layers != u.planned for u in found)}"
    )
    print(
        f"wire over the least plan of two to six layers: median {np.median(ratio):.3f}, 90th "
        f"percentile {np.percentile(ratio, 90):.3f} (over the least of any number: "
        f"{of_any:.3f}); first plans {np.median([u.first / u.least for u in found]):.3f}"
    )
    z = np.array([(u.volume - u.told[-1].laid.value) / u.told[-1].laid.spread for u in found])
    print(
        "metal laid against what was told of it, in standard deviations: mean "
        f"{z.mean():+.2f}, spread {z.std():.2f}; within 1.96: "
        f"{100 * (np.abs(z) < 1.96).mean():.0f} %"
    )
    return 0 if clean >= ASKED * len(found) and np.median(ratio) <= 1.10 else 1


def main(arguments: list[str]) -> int:
    """Run the jobs asked for and print the tables."""
    if arguments[:1] == ["--update"]:
        return main_updated(
            int(arguments[1]) if len(arguments) > 1 else 40,
            int(arguments[2]) if len(arguments) > 2 else 0,
        )
    of, explain = BRIGHT, arguments[:1] == ["--why"]
    arguments = arguments[1:] if explain else arguments
    if arguments[:1] == ["--of"]:
        of, arguments = arguments[1], arguments[2:]
    jobs, first = (
        (int(arguments[0]) if arguments else 200),
        (int(arguments[1]) if len(arguments) > 1 else 0),
    )
    if explain:
        return why(jobs, first, of)
    counts = list(run(jobs, first, of))
    planned = [c for c in counts if math.isfinite(c.wire) and math.isfinite(c.least)]
    clean = sum(c.cleans for c in counts)
    ratio = np.array([c.wire / c.least for c in planned])
    interval = clopper_pearson(clean, len(counts))
    print(
        f"\n{clean} of {len(counts)} first plans clean up ({100 * interval.low:.1f} to "
        f"{100 * interval.high:.1f} %)"
    )
    print(
        f"wire over the least: median {np.median(ratio):.3f}, 90th percentile "
        f"{np.percentile(ratio, 90):.3f}; planned in "
        f"{np.median([c.seconds for c in counts]):.1f} s (median)"
    )
    for k, name in enumerate(("two thirds of the width", "half the width and 1.5 mm extra")):
        share = np.mean([c.rules[k][0] >= 0.25 for c in planned])
        print(
            f"{name}: {100 * share:.0f} % clean up, wire "
            f"{np.median([c.rules[k][1] / c.least for c in planned]):.3f} of the least "
            "(median)"
        )
    for low, high in ((0.0, 0.95), (0.95, 0.97), (0.97, 0.985), (0.985, 1.01)):
        band = [c for c in counts if low <= c.promised < high]
        if band:
            i = clopper_pearson(sum(c.cleans for c in band), len(band))
            print(
                f"promised {low:.3f} to {high:.3f}: {sum(c.cleans for c in band)} of "
                f"{len(band)} clean up ({100 * i.low:.0f} to {100 * i.high:.0f} %)"
            )
    met = (
        clean >= 0.92 * len(counts)  # 184 of 200: what chance allows at a true 95 of 100
        and np.median(ratio) <= MARKS[of][0]
        and np.percentile(ratio, 90) <= MARKS[of][1]
    )
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
