"""The layers to lay: the plan that cleans up as surely as asked at the least metal, time or cost.

A plan has a kind (layers, advance, settings, closing turns, start clock shift) and a number of turns. For each kind the
fewest turns are sought with which enough draws clean up; all kinds see the same draws (common random numbers). The
search is coarse and quick; what it finds is laid again on a finer clock with draws of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from sim import layup
from sim.bead import GRAVITY_TRAVEL, Bead
from sim.chance import Chance, chance, clopper_pearson
from sim.compare import compare
from sim.finish import least_weld_left
from sim.job import AFTER, BETWEEN, LayerPlan, PreBore, Scene, SceneError
from sim.layup import Setting
from sim.metal import arc_energy
from sim.scene import final_limits
from sim.simulate import Figures, Job, figures, made_ready
from sim.sources import default
from sim.stack import NOMINAL, Bench
from sim.sweep import in_order, threads
from sim.wall import Array

__all__ = ["Limits", "Offer", "Plan", "chance", "compare", "recommend"]

METAL, TIME, COST = AIMS = ("metal", "time", "cost")
SEARCH_COLUMNS, CONFIRM_COLUMNS, FINE_COLUMNS = 60, 120, 180
DRAWS, CONFIRM = 200, 300  # draws of the search; further draws, on a finer clock, that confirm the winner
FEW = 24  # of them, on which every kind is sized
TAIL = 30  # draws that clean up, but barely: with those that do not they are drawn again when the turns change a little
FINALISTS = 3
BATCH = 6  # kinds sized between two looks at the best
EXTRA_LAYERS = 2  # layers tried beyond the fewest possible
CHUNK = 25  # draws laid together
ROOM = 0.88  # of the most turns allowed, that layers after a lean one may take up at most
Tell = Callable[[str], None]


# ---- limits --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Limits:
    """Within what a plan is sought: ranges (low, high) in mm, mm/s, rad/s; see [plan] and [head]."""

    overlap: tuple[float, float]
    layers_most: int
    travel: tuple[float, float]
    wire_feed: tuple[float, float]
    rotation: tuple[float, float]
    pitch: tuple[float, float]
    tip_clear: float
    smallest_bore: float

    @classmethod
    def of(cls, scene: Scene) -> Limits:
        """The limits of a scene; without a range of its own, travel stays near the settings measured.

        Raises SceneError where a range asked for lies outside the qualified procedure's.
        """
        p, feed, travel = scene.plan, *_settings_known(scene)
        return cls(
            overlap=(p.overlap_least, p.overlap_most),
            layers_most=p.layers_most,
            travel=_within("travel", _given(p.travel_least, p.travel_most, _near(scene, travel)), _travel_qualified(scene)),
            wire_feed=_within("wire feed", _given(p.wire_feed_least, p.wire_feed_most, (feed, feed)), _feed_qualified(scene)),
            rotation=_given(p.rotation_least, p.rotation_most, _dialled(scene)),
            pitch=_given(p.pitch_least, p.pitch_most, (0.0, math.inf)),
            tip_clear=default("limit.tip_clear"),
            smallest_bore=scene.head.smallest_bore,
        )

    def relaxed(self) -> Iterator[tuple[str, Limits]]:
        """Each limit by itself taken away, with its name."""
        wide = (0.0, math.inf)
        yield "most bead overlap", replace(self, overlap=(self.overlap[0], 0.75))
        yield "least bead overlap", replace(self, overlap=(min(self.overlap[0], 0.0), self.overlap[1]))
        yield "most layers", replace(self, layers_most=2 * self.layers_most + 4)
        yield "travel speed", replace(self, travel=(0.5 * self.travel[0], 1.6 * self.travel[1]))
        yield "wire feed", replace(self, wire_feed=(0.6 * self.wire_feed[0], 1.6 * self.wire_feed[1]))
        yield "rotation of the machine", replace(self, rotation=wide)
        yield "feed per turn of the machine", replace(self, pitch=wide)
        yield "contact-tip distance over humps", replace(self, tip_clear=-math.inf)
        yield "smallest bore of the head", replace(self, smallest_bore=0.0)


def _given(low: float | None, high: float | None, usual: tuple[float, float]) -> tuple[float, float]:
    """A range as given; an end left out is the usual one, but no tighter than the end given."""
    if low is None and high is None:
        return usual
    least = min(usual[0], high if high is not None else usual[0]) if low is None else low
    most = max(usual[1], low if low is not None else usual[1]) if high is None else high
    return least, most


def _within(what: str, span: tuple[float, float], qualified: tuple[float, float]) -> tuple[float, float]:
    """The part of a range [mm/s] inside the qualified procedure's. Raises SceneError when there is none."""
    low, high = max(span[0], qualified[0]), min(span[1], qualified[1])
    if low > high * (1.0 + 1e-9):
        raise SceneError(
            f"plan: {what} {60 * span[0]:.0f} to {60 * span[1]:.0f} mm/min lies outside the qualified procedure's {60 * qualified[0]:.0f} to "
            f"{60 * qualified[1]:.0f} mm/min: give a range in [plan] inside it, or measure a bead there."
        )
    return low, high


def _feed_qualified(scene: Scene) -> tuple[float, float]:
    """Wire feeds [mm/s] inside the qualified procedure."""
    least, most = scene.procedure.wire_feed_least, scene.procedure.wire_feed_most
    return least or 0.0, math.inf if most is None else most


def _travel_qualified(scene: Scene) -> tuple[float, float]:
    """Travel speeds [mm/s] inside the qualified procedure, its heat input and arc energy among them where volts and amps are known."""
    p, e = scene.procedure, scene.electrical
    slowest, fastest = [p.travel_least or 0.0], [math.inf if p.travel_most is None else p.travel_most]
    if e.voltage is not None and e.current is not None:
        for part, least, most in (
            (e.thermal_efficiency, p.heat_input_least, p.heat_input_most),
            (1.0, p.arc_energy_least, p.arc_energy_most),
        ):
            at_one = part * arc_energy(e.voltage, e.current, 1.0)  # kJ/mm at 1 mm/s
            slowest += [at_one / most] if most else []
            fastest += [at_one / least] if least else []
    return max(slowest), min(fastest)


def _dialled(scene: Scene) -> tuple[float, float]:
    """Rotation [rad/s] within the user's dial table; any where there is none."""
    timed = [point.rotation for point in scene.dial if point.rotation is not None]
    return (min(timed), max(timed)) if len(timed) > 1 else (0.0, math.inf)


def _settings_known(scene: Scene) -> tuple[float, float]:
    """Wire feed and travel [mm/s] at which the bead is known: the measured plate's, else those of the last layer."""
    if scene.bead is not None:
        return scene.bead.wire_feed, scene.bead.travel
    plan = scene.layer[-1]
    radius = 0.5 * (scene.pre_bore.diameter if scene.pre_bore else scene.worn.diameter)
    return plan.wire_feed, layup.speeds(plan, radius)[0]


def _near(scene: Scene, travel: float) -> tuple[float, float]:
    """Travel speeds [mm/s] near a known one, and where gravity pulls, not beyond where its pull was measured."""
    low, high = travel * default("plan.slower"), travel * default("plan.faster")
    if math.cos(scene.bore.inclination) > 1e-6:
        low = max(low, min(travel, GRAVITY_TRAVEL[0] / 60.0))
        high = min(high, max(travel, GRAVITY_TRAVEL[-1] / 60.0))
    return low, high


# ---- kinds of plan -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Kind:
    """A plan but for its turns: layers, advance, wire feed and travel [mm/s], start shift [rad], closing turns.

    lean: turns of the first layer where it has fewer than the others, else 0.
    """

    layers: int
    advance: str
    wire_feed: float
    travel: float
    shift: float
    closing: tuple[int, int] = (1, 1)
    lean: float = 0.0


@dataclass(frozen=True)
class Search:
    """What every step of the search needs: the job, its limits, a job with the same wall, the draws' start walls.

    faults: why kinds could not be, as they were found; spare: a standard error more of the draws must clean up than asked.
    """

    scene: Scene
    limits: Limits
    by: str
    like: Job
    bench: Bench
    faults: list[str] = field(default_factory=list)
    spare: bool = True

    @property
    def wanted(self) -> int:
        """How many of all draws must clean up."""
        asked = self.scene.confidence.asked
        return enough_draws(asked, DRAWS) if self.spare else math.ceil(DRAWS * asked - 1e-9)

    @classmethod
    def of(cls, scene: Scene, limits: Limits, by: str) -> Search:
        """The search in a scene, within limits: the walls its draws start from are made here, once."""
        like = made_ready(_one_layer(scene), SEARCH_COLUMNS)
        feed, travel = limits.wire_feed[1], limits.travel[0]
        width = max(layup.bead_at(scene, feed, travel).width, *(s.bead.width for s in layup.settings(scene, like.radius)))
        starts = np.array([scene.layer[-1].start_at + 0.5 * math.pi * k for k in range(4)])
        margin = 2.5 * width + 1.5 + 60.0
        search = cls(scene, limits, by, like, Bench.of(like, SEARCH_COLUMNS, DRAWS, starts, margin=margin))
        if not search.kept:
            return search
        laid = replace(scene, layer=tuple(search.kept))
        search.bench.hold(laid)
        passed = figures(laid, SEARCH_COLUMNS).tip_clear  # the torch has passed over these humps
        return replace(search, limits=replace(limits, tip_clear=min(limits.tip_clear, passed)))

    @property
    def template(self) -> LayerPlan:
        """The layer whose direction, start clock and ends the plan keeps."""
        return self.scene.layer[-1]

    @property
    def kept(self) -> list[LayerPlan]:
        """Layers already laid."""
        return self.scene.layers[: self.scene.job.layers_done] if self.scene.job.stage == BETWEEN else []

    def bead(self, kind: Kind) -> Bead:
        """The bead of a kind on a flat."""
        return layup.bead_at(self.scene, kind.wire_feed, kind.travel)

    def span(self, kind: Kind) -> float:
        """Depth [mm] from the first to the last bead centre."""
        low, high = layup.layer_ends(self.scene, self.template, self.bead(kind).width)
        return high - low

    def pitch_range(self, kind: Kind) -> tuple[float, float]:
        """Closest and widest pitch [mm] within bead overlap and the machine."""
        width = self.bead(kind).width
        least, most = self.limits.overlap
        return max(width * (1.0 - most), self.limits.pitch[0]), min(width * (1.0 - least), self.limits.pitch[1])

    def pitch(self, kind: Kind, turns: float) -> float:
        """Pitch [mm] of so many turns, as a machine is set: a step a little long, so that no sliver is left over."""
        exact = self.span(kind) / turns
        return math.ceil(exact * 1000.0 - 1e-6) / 1000.0 if kind.advance == "step" else round(exact, 3)

    def planned(self, kind: Kind, turns: float) -> Scene:
        """The scene with the layers of a kind at so many turns."""
        kept = self.kept
        start = next_start(kept, self.template.shift) if kept else self.template.start_at
        layer = replace(
            self.template, repeat=kind.layers, pitch=self.pitch(kind, turns), bead_overlap=None, wire_feed=kind.wire_feed,
            travel=kind.travel, rotation=None, turn_time=None, advance=kind.advance, shift=kind.shift, stagger=0.0,
            start_at=start, closing_start=kind.closing[0], closing_end=kind.closing[1],
            only_from=None, only_to=None,
        )  # fmt: skip
        if not kind.lean:
            return replace(self.scene, layer=(*kept, layer))
        first = replace(layer, repeat=1, pitch=self.pitch(kind, kind.lean))
        others = replace(layer, repeat=kind.layers - 1, start_at=(start + kind.shift) % (2.0 * math.pi))
        return replace(self.scene, layer=(*kept, first, others))

    def price(self, wire: float, arc_time: float, layers: int) -> float:
        """What is to be least: wire [mm3], time [s] with what passes between layers, or cost."""
        hours = arc_time + layers * self.scene.plan.layer_time
        if self.by == METAL:
            return wire
        if self.by == TIME:
            return hours
        p = self.scene.plan
        return wire * self.scene.wire.density / 1000.0 * (p.wire_price or 0.0) + hours / 3600.0 * (p.hour_price or 0.0)


def next_start(kept: Sequence[LayerPlan], shift: float) -> float:
    """Start clock [rad] of the next layer: a quarter turn on from the last or more, where the fewest started, so that humps do not pile up.

    >>> layers = [LayerPlan(wire_feed=1.0, pitch=3.0, travel=7.0, start_at=a) for a in (0.0, math.pi, 0.0)]
    >>> round(next_start(layers, math.pi), 3)
    4.712
    """
    places = [(kept[-1].start_at + shift + k * 0.5 * math.pi) % (2.0 * math.pi) for k in range(4)]

    def there(place: float) -> int:
        return sum(math.cos(place - plan.start_at) > 0.75 for plan in kept)

    return min(places, key=there)


def kinds(search: Search) -> list[Kind]:
    """Kinds worth a look: layers from the fewest that could do, both advances, a few settings within the limits."""
    out: list[Kind] = []
    feed, travel = _settings_known(search.scene)
    for wire_feed in _values(search.limits.wire_feed, feed, 3):
        for speed in _values(search.limits.travel, travel, 3):
            kind = Kind(1, "step", wire_feed, speed, search.template.shift or 0.5 * math.pi)
            fewest = _fewest_layers(search, kind)
            for n in range(fewest, min(fewest + EXTRA_LAYERS, search.limits.layers_most) + 1):
                out.append(replace(kind, layers=n))
                out += [replace(kind, layers=n, advance="spiral", closing=c) for c in _closings(search.scene)]
    return out


def _closings(scene: Scene) -> list[tuple[int, int]]:
    """Closing turns worth a look: one at either end, two where the free edge needs them, none over a run-off ring."""
    ring = scene.run_off
    out = [(1, 1), (2, 1), (2, 2)]
    if ring.entry or ring.far:
        out.append((0 if ring.entry else 1, 0 if ring.far else 1))
    return out


def _values(span: tuple[float, float], known: float, count: int) -> list[float]:
    """The known value and a few more over a range, to whole mm/min."""
    low, high = span
    if high <= low:
        return [low]
    spread = [low * (high / low) ** (k / (count - 1)) for k in range(count)]
    if low <= known <= high:
        nearest = min(range(count), key=lambda k: abs(math.log(spread[k] / known)))
        spread[nearest] = known
    return [v if v == known else round(v * 60.0) / 60.0 for v in spread]


def _fewest_layers(search: Search, kind: Kind) -> int:
    """Fewest layers whose metal, at the closest pitch, could bring the mean wall past the finish and the cut."""
    bead, closest = search.bead(kind), search.pitch_range(kind)[0]
    target = search.like.finish.radius - search.scene.cut.minimum_cut
    radius, count = _radius_now(search), 0
    while radius > target and count < 60:
        radius, count = _after(radius, bead.area, closest), count + 1
    return max(count, 1)


def _radius_now(search: Search) -> float:
    """Mean wall radius [mm] after the layers already laid."""
    radius = search.like.radius
    if not search.kept:
        return radius
    for s in layup.settings(replace(search.scene, layer=tuple(search.kept)), radius):
        radius = _after(s.radius, s.area, s.path.pitch)
    return radius


def _after(radius: float, area: float, pitch: float) -> float:
    """Mean radius [mm] after a layer: t = R - sqrt(R^2 - 2 q/pitch), derived."""
    return math.sqrt(max(radius**2 - 2.0 * area * radius / pitch, 1e-6))


# ---- how many turns ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Sized:
    """A kind with its turns: what it costs, or why it cannot be (`fault`). slope: minimum gained a turn [mm]."""

    kind: Kind
    turns: float
    wire: float
    arc_time: float
    price: float
    slope: float = 0.0
    fault: str = ""


def nominal(search: Search, kind: Kind) -> Sized:
    """The fewest turns with which the job as set leaves the minimum cut: no plan that is to be sure has fewer.

    By bisection over whole turns (a spiral: halves).
    """
    try:
        first, last, step = turns_range(search, kind)
        if first > last:
            return _cannot(kind, "the bead overlap range and the machine's feed leave no pitch")
        left: dict[int, float] = {}

        def spare(count: int) -> float:
            if count not in left:
                least = search.bench.least(search.planned(kind, count * step), [NOMINAL])[0]
                left[count] = -1e3 if math.isnan(least) else float(least) - search.scene.cut.minimum_cut
            return left[count]

        guess = math.ceil(_mass_turns(search, kind) * 1.1 / step)
        high = fewest(lambda n: spare(n) >= 0.0, first, last, guess)
        if high is None:
            return _cannot(kind, "too little metal at the closest pitch allowed")
        far = max((n for n in left if n > high), default=min(high + max(last // 8, 2), last))
        slope = (spare(far) - spare(high)) / ((far - high) * step) if far > high else 0.0
        return replace(costed(search, kind, high * step), slope=max(slope, default("plan.slope")))
    except SceneError as fault:
        return _cannot(kind, str(fault))


def _mass_turns(search: Search, kind: Kind) -> float:
    """Turns a layer whose metal brings the mean wall just past the finish and the cut: by mass balance alone."""
    target, radius = search.like.finish.radius - search.scene.cut.minimum_cut, _radius_now(search)
    area, need = search.bead(kind).area, 0.5 * (radius**2 - target**2)
    return search.span(kind) * max(need, 0.0) / (kind.layers * area * 0.5 * (radius + target))


def fewest(works: Callable[[int], bool], first: int, last: int, guess: int) -> int | None:
    """The smallest number first..last that works, None when `last` does not: what works is taken to work above it.

    From a guess in growing strides, then by bisection: near the guess few are tried.

    >>> tried = []
    >>> fewest(lambda n: bool(tried.append(n)) or n >= 37, 1, 100, 35), tried
    (37, [35, 36, 38, 37])
    """
    bad, good, stride = first - 1, last + 1, 1
    at = min(max(guess, first), last)
    while good - bad > 1:
        if works(at):
            good = at
            at = max(good - stride, bad + 1) if bad < first else (bad + good) // 2
        else:
            bad = at
            at = min(bad + stride, good - 1) if good > last else (bad + good) // 2
        stride *= 2
    return good if good <= last else None


def sized(search: Search, start: Sized) -> Sized:
    """The fewest turns with which as many of a few draws clean up as must."""
    kind = start.kind
    first, last, step = turns_range(search, kind)
    guess = round(start.turns / step) + max(round(0.3 / start.slope / step), 1)
    steps = fewest(lambda n: _quantile(search, kind, n * step) >= 0.0, max(round(start.turns / step), first), last, guess)
    if steps is None:
        return _cannot(kind, "too little metal at the closest pitch allowed")
    fault = _head_fault(search, search.planned(kind, steps * step))
    return _cannot(kind, fault) if fault else costed(search, kind, steps * step)


def _quantile(search: Search, kind: Kind, turns: float) -> float:
    """What as many of a few draws as must clean up leave at least, over the minimum cut [mm]."""
    least = _minima(search.bench, search.planned(kind, turns), range(FEW))
    part = 1.0 - search.wanted / DRAWS
    return float(np.quantile(least, part)) - search.scene.cut.minimum_cut


def _head_fault(search: Search, scene: Scene) -> str:
    """What keeps the head from laying a plan, or nothing."""
    try:
        f = figures(scene, SEARCH_COLUMNS)
    except SceneError as fault:
        return str(fault)
    if f.narrowest < search.limits.smallest_bore:
        return f"the bore fills to {f.narrowest:.1f} mm and the head would not pass"
    if f.tip_clear < search.limits.tip_clear:
        return f"humps leave {f.tip_clear:.1f} mm to the contact tip"
    return ""


def turns_range(search: Search, kind: Kind) -> tuple[int, int, float]:
    """Fewest and most turns in steps of one turn (a spiral: half a turn), and that step."""
    closest, widest = search.pitch_range(kind)
    step = 1.0 if kind.advance == "step" else 0.5
    span = search.span(kind)
    return max(math.ceil(span / widest / step - 1e-6), 1), math.floor(span / max(closest, 1e-6) / step + 1e-6), step


def _cannot(kind: Kind, fault: str) -> Sized:
    return Sized(kind, math.nan, math.inf, math.inf, math.inf, fault=fault)


def costed(search: Search, kind: Kind, turns: float) -> Sized:
    """Wire, time and price of a kind at so many turns, and whether it keeps the rotation range."""
    scene = search.planned(kind, turns)
    settings = layup.settings(scene, search.like.radius)
    new = settings[len(search.kept) :]
    fault = _rotation_fault(search, new)
    if fault:
        return _cannot(kind, fault)
    wire, seconds = sum(layup.wire_used(scene, s) for s in new), sum(map(layup.arc_time, new))
    away = max(layup.away_from_plate(scene, s) for s in new) if scene.bead else 0.0
    price = search.price(wire, seconds, len(new)) * (1.0 + default("plan.away") * away)
    return Sized(kind, turns, wire, seconds, price)


def _rotation_fault(search: Search, settings: Sequence[Setting]) -> str:
    low, high = search.limits.rotation
    rates = [s.rotation for s in settings]
    if min(rates) < low - 1e-9 or max(rates) > high + 1e-9:
        return f"{min(rates) * 30 / math.pi:.2f} to {max(rates) * 30 / math.pi:.2f} rpm is outside the machine's rotation"
    return ""


def minima_of(search: Search, kind: Kind, turns: float, indices: Sequence[int], executor: Executor) -> Array:
    """Least stock per side [mm] of the draws named, -1000 where the bore closes or the plan cannot be laid."""
    scene, chosen = search.planned(kind, turns), list(indices)
    cases = [(search.bench, scene, chosen[k : k + CHUNK]) for k in range(0, len(chosen), CHUNK)]
    return np.concatenate(list(in_order(_minima, cases, executor)))


def _minima(bench: Bench, scene: Scene, indices: Sequence[int]) -> Array:
    try:
        return np.nan_to_num(bench.least(scene, indices), nan=-1e3)
    except SceneError:
        return np.full(len(indices), -1e3)


# ---- settling ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Settled:
    """A sized kind whose turns are settled on many draws: how many clean up, and its least stocks (n,) [mm]."""

    sized: Sized
    minima: Array
    cut: float

    @property
    def probability(self) -> float:
        """Part of the draws that clean up."""
        return float((self.minima >= self.cut).mean())


def enough_draws(asked: float, draws: int) -> int:
    """Draws that must clean up: the part asked and one standard error of it more, so that the truth is rarely less.

    >>> enough_draws(0.95, 200)
    194
    """
    return min(math.ceil(draws * asked + math.sqrt(draws * asked * (1.0 - asked)) - 1e-9), draws)


def settled(search: Search, start: Sized, executor: Executor) -> Settled | None:
    """The fewest turns with which as many of all draws clean up as must; None when the pitch cannot get there.

    Away from the first guess only the draws that left least there are drawn again: the others do not come near the cut.
    """
    kind, cut, wanted = start.kind, search.scene.cut.minimum_cut, search.wanted
    first, last, step = turns_range(search, kind)
    guess = round(start.turns / step)
    least = minima_of(search, kind, start.turns, range(DRAWS), executor)
    tail = np.argsort(least, kind="stable")[: int((least < cut).sum()) + TAIL].tolist()
    found = {guess: least}

    def works(count: int) -> bool:
        if count not in found:
            found[count] = least.copy()
            found[count][tail] = minima_of(search, kind, count * step, tail, executor)
        return int((found[count] >= cut).sum()) >= wanted

    steps = fewest(works, first, last, guess)
    while steps is not None and steps <= last:
        whole = least if steps == guess else minima_of(search, kind, steps * step, range(DRAWS), executor)
        if int((whole >= cut).sum()) >= wanted:
            return Settled(costed(search, kind, steps * step), whole, cut)
        steps += 1
    return None


def variations(search: Search, kind: Kind) -> list[Kind]:
    """The same kind with another start shift."""
    if kind.layers == 1:
        return []
    return [replace(kind, shift=shift) for shift in (0.0, 0.5 * math.pi, math.pi) if shift != kind.shift]


# ---- the answer ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Offer:
    """A plan simulated: the planned scene, its figures, and what the draws say.

    probability, interval (Clopper-Pearson, 95 %), draws and percentiles P5, P50, P95 of the least stock [mm];
    price: what the plan was to make least; flags: what in it is extrapolated or unproven; why: how it compares.
    """

    name: str
    scene: Scene
    figures: Figures
    probability: float
    interval: tuple[float, float]
    draws: int
    percentiles: tuple[float, float, float]
    wire: float
    arc_time: float
    price: float
    flags: tuple[str, ...]
    why: str = ""


@dataclass(frozen=True)
class Plan:
    """The winner and those beside it; without a winner, `binds`: the limits of which any one taken away gives a plan,
    and `nearest`: such a plan.
    """

    scene: Scene
    by: str
    asked: float
    winner: Offer | None
    runners_up: tuple[Offer, ...]
    rule_of_thumb: Offer | None
    binds: tuple[str, ...] = ()
    nearest: Offer | None = None
    chance: Chance | None = None


def recommend(
    scene: Scene, by: str = METAL, executor: Executor | None = None, *, tell: Tell = lambda _: None, beside: bool = True
) -> Plan:
    """The plan that cleans up with at least the asked confidence at the least metal, time or cost.

    beside: also the runners-up and the two-thirds rule. Raises SceneError for a job that cannot be planned.
    """
    if executor is None:
        with threads() as own:
            return recommend(scene, by, own, tell=tell, beside=beside)
    refuse(scene, by)
    if _past_reach(scene):
        return _without_reach(scene, by, executor, tell)
    scene = _with_pre_bore(scene)
    search = Search.of(scene, Limits.of(scene), by)
    best = found(search, executor, tell) or found(replace(search, spare=False), executor, tell)
    if not best:
        return _no_plan(search, executor, tell)
    winner, sure, others = _confirmed(search, best, executor, tell)
    if scene.plan.read_between and winner.sized.kind.layers > 1:
        winner, sure = _lean_first(search, (winner, sure), executor, tell)
    first = _with_chance(_offer(search, winner), sure)
    others = _distinct(search, winner, others) if beside else []
    offers = [_offer(search, one) for one in _front(winner, others)]
    runners = tuple(replace(one, why=_why(first, one, by)) for one in offers)
    return Plan(scene, by, scene.confidence.asked, first, runners, _two_thirds(search, first, executor) if beside else None, chance=sure)


def refuse(scene: Scene, by: str) -> None:
    """Refuse what cannot be planned. Raises SceneError with one sentence."""
    if by not in AIMS:
        raise SceneError(f"plan: by = {by}: must be one of {', '.join(AIMS)}.")
    if by == COST and scene.plan.wire_price is None and scene.plan.hour_price is None:
        raise SceneError("plan: by = cost: needs your own rates; give [plan] wire_price and hour_price.")
    if scene.job.stage == AFTER:
        raise SceneError("plan: the finish cut is taken: what is left is a local weld or the next size; run `simulate --remedies`.")


def _past_reach(scene: Scene) -> bool:
    """Tell whether the head cannot reach as deep as the layers go."""
    reach, (_, far) = scene.head.reach, layup.layer_ends(scene, scene.layer[-1], layup.bead_at(scene, *_settings_known(scene)).width)
    return reach is not None and far > reach + 1e-9


def _without_reach(scene: Scene, by: str, executor: Executor, tell: Tell) -> Plan:
    """No plan, because of the head's reach; the nearest is what a longer head would lay."""
    longer = recommend(replace(scene, head=replace(scene.head, reach=None)), by, executor, tell=tell, beside=False)
    name = f"reach of the head, {scene.head.reach:g} mm"
    if longer.winner is None:
        return replace(longer, scene=scene, nearest=None, binds=())
    nearest = replace(longer.winner, why=f"breaks only: {name}")
    return Plan(scene, by, scene.confidence.asked, None, (), None, (name,), nearest)


def _one_layer(scene: Scene) -> Scene:
    """The scene with one plain layer, to know the wall it starts from."""
    feed, travel = _settings_known(scene)
    layer = replace(
        scene.layer[-1], repeat=1, wire_feed=feed, travel=travel, rotation=None, turn_time=None, only_from=None, only_to=None
    )
    return replace(scene, layer=(layer,), job=replace(scene.job, layers_done=0))


def _with_pre_bore(scene: Scene) -> Scene:
    """The scene with the smallest pre-bore that leaves weld enough under the finished surface, where it is free.

    A larger pre-bore never needs less metal: no point of the wall is nearer the axis for it.
    """
    if not scene.plan.pre_bore_free:
        return scene
    least = final_limits(scene.bore)[1] + 2.0 * scene.plan.weld_left
    size = math.ceil(max(least, scene.bore.final_diameter) * 10.0 - 1e-9) / 10.0
    for _ in range(40):
        trial = replace(scene, pre_bore=PreBore(diameter=size))
        job = made_ready(_one_layer(trial), SEARCH_COLUMNS)
        if least_weld_left(job.start, job.finish, job.axes.torch, job.spans).spot.value >= scene.plan.weld_left - 1e-6:
            return trial
        size = round(size + 0.1, 3)
    raise SceneError(f"plan: no pre-bore up to {size:g} mm leaves {scene.plan.weld_left:g} mm of weld everywhere; check [axes].")


def found(search: Search, executor: Executor, tell: Tell) -> list[Settled]:
    """Settled plans within the limits, best first; empty when there is none."""
    tell("which kinds of plan could do")
    left = bounded(search, kinds(search), executor)
    best: list[Settled] = []
    while left and not best:
        pool, left = _sized(search, left, [], executor)
        near = [k for one in pool[:2] for k in neighbours(search, one.kind) if not _beside(k, [o.kind for o in pool])]
        pool, _ = _sized(search, bounded(search, near, executor), pool, executor)
        tell("settling the best of them")
        best = _settled(search, pool, executor)
    return sorted(best, key=lambda one: one.sized.price)


def bounded(search: Search, wanted: Sequence[Kind], executor: Executor) -> list[Sized]:
    """The kinds at their nominal turns, cheapest first; without those that cannot be."""
    cases = [(search, kind) for kind in dict.fromkeys(wanted)]
    return sorted(_sound(search, in_order(nominal, cases, executor)), key=lambda one: one.price)


def _sized(search: Search, bounds: list[Sized], pool: list[Sized], executor: Executor) -> tuple[list[Sized], list[Sized]]:
    """The kinds sized, with those of the pool, best first; and those passed over.

    A kind whose nominal turns already cost more than the best plan is passed over; batches are of one size, so that
    what is passed over does not hang on the number of workers.
    """
    passed: list[Sized] = []
    for k in range(0, len(bounds), BATCH):
        best = min((one.price for one in pool), default=math.inf)
        batch = bounds[k : k + BATCH]
        passed += [one for one in batch if one.price >= best]
        pool = pool + _sound(search, in_order(sized, [(search, one) for one in batch if one.price < best], executor))
    return sorted(pool, key=lambda one: one.price), passed


def _settled(search: Search, pool: list[Sized], executor: Executor) -> list[Settled]:
    """The finalists settled: two at least, and any that could still be cheaper or quicker."""
    best: list[Settled] = []
    for one in _finalists(pool):
        if len(best) < 2 or one.price < min(b.sized.price for b in best) or one.arc_time < min(b.sized.arc_time for b in best):
            now = settled(search, one, executor)
            best += [now] if now is not None and not now.sized.fault else []
    return best


def _sound(search: Search, found: Iterable[Sized]) -> list[Sized]:
    """Those without a fault; the faults of the others are kept."""
    out = []
    for one in found:
        if one.fault:
            search.faults.append(one.fault)
        else:
            out.append(one)
    return out


def _beside(kind: Kind, known: Sequence[Kind]) -> bool:
    """Tell whether a kind differs from a known one by less than 3 % of travel."""
    return any(replace(kind, travel=k.travel) == k and abs(math.log(kind.travel / k.travel)) < 0.03 for k in known)


def neighbours(search: Search, kind: Kind) -> list[Kind]:
    """The same kind with a start shift or a travel speed in between."""
    out = variations(search, kind)
    low, high = search.limits.travel
    if high > low:
        ratio = (high / low) ** 0.25
        out += [replace(kind, travel=round(min(max(kind.travel * f, low), high) * 60.0) / 60.0) for f in (1.0 / ratio, ratio)]
    return out


def _finalists(sizes: list[Sized]) -> list[Sized]:
    """The cheapest few, and the quickest and the least metal among the rest."""
    ranked = sorted(sizes, key=lambda one: one.price)
    out = ranked[:FINALISTS]
    for key in (lambda one: one.arc_time, lambda one: one.wire):
        rest = [one for one in ranked if one not in out]
        if rest:
            out.append(min(rest, key=key))
    return out


def _confirmed(search: Search, best: list[Settled], executor: Executor, tell: Tell) -> tuple[Settled, Chance, list[Settled]]:
    """The first plan whose further draws on a finer clock clean up often enough; and the plans that were passed over.

    One that just misses gets a turn more, twice at most, before the next is taken; when all miss the first is shown.
    """
    tell("confirming on a finer clock")
    shown: tuple[Settled, Chance] | None = None
    for place, one in enumerate(best):
        for _ in range(3):
            sure = _sure(search, one, executor)
            shown = shown or (one, sure)
            if sure.cleans >= math.ceil(search.scene.confidence.asked * sure.draws - 1e-9):
                return one, sure, best[place + 1 :]
            _, last, step = turns_range(search, one.sized.kind)
            if one.sized.turns + step > last * step:
                break
            turns = one.sized.turns + step
            minima = minima_of(search, one.sized.kind, turns, range(DRAWS), executor)
            one = Settled(costed(search, one.sized.kind, turns), minima, one.cut)
    if shown is None:
        raise ValueError("_confirmed: nothing to confirm")
    return *shown, best[1:]


def _lean_first(search: Search, found: tuple[Settled, Chance], executor: Executor, tell: Tell) -> tuple[Settled, Chance]:
    """The plan with its next layer at the turns that do if all comes out as set, and all margin in the layers after it.

    Readings tell how it came out before those are laid. They must keep room to be laid closer still, else the next layer is
    laid half as lean, or as the others.
    """
    as_planned, kind = found[0].sized, found[0].sized.kind
    least = nominal(search, kind)
    _, most, step = turns_range(search, kind)
    for lean in () if least.fault else (least.turns, step * round(0.5 * (least.turns + as_planned.turns) / step)):
        if lean >= as_planned.turns:
            continue
        one = settled(search, replace(as_planned, kind=replace(kind, lean=lean)), executor)
        if one is None or one.sized.fault or one.sized.turns > ROOM * most * step:
            continue
        now, sure, _ = _confirmed(search, [one], executor, tell)
        if sure.cleans >= math.ceil(search.scene.confidence.asked * sure.draws - 1e-9):
            return now, sure
    return found


def _sure(search: Search, one: Settled, executor: Executor) -> Chance:
    scene = search.planned(one.sized.kind, one.sized.turns)
    return chance(scene, CONFIRM, executor, columns=CONFIRM_COLUMNS, begin=DRAWS)


def _offer(search: Search, one: Settled) -> Offer:
    """A settled plan with its figures and what the search's draws say."""
    kind, scene = one.sized.kind, search.planned(one.sized.kind, one.sized.turns)
    cleans = int((one.minima >= one.cut).sum())
    interval = clopper_pearson(cleans, len(one.minima))
    p5, p50, p95 = np.percentile(one.minima, (5.0, 50.0, 95.0))
    return Offer(
        name=_name(search, kind, one.sized.turns),
        scene=scene,
        figures=figures(scene, FINE_COLUMNS),
        probability=cleans / len(one.minima),
        interval=(interval.low, interval.high),
        draws=len(one.minima),
        percentiles=(float(p5), float(p50), float(p95)),
        wire=one.sized.wire,
        arc_time=one.sized.arc_time,
        price=search.price(one.sized.wire, one.sized.arc_time, kind.layers),
        flags=tuple(_flags(search, scene, kind, one.sized.turns)),
    )


def _name(search: Search, kind: Kind, turns: float) -> str:
    more = "more " if search.kept else ""
    layers = f"1 {more}layer" if kind.layers == 1 else f"{kind.layers} {more}layers"
    lean = f" (the first {search.pitch(kind, kind.lean):.2f} mm)" if kind.lean else ""
    return f"{layers}, {kind.advance}, pitch {search.pitch(kind, turns):.2f} mm{lean}, travel {60 * kind.travel:.0f} mm/min"


def _with_chance(offer: Offer, sure: Chance) -> Offer:
    return replace(
        offer, probability=sure.probability, interval=(sure.interval.low, sure.interval.high), draws=sure.draws, percentiles=sure.percentiles
    )


def _distinct(search: Search, winner: Settled, best: list[Settled]) -> list[Settled]:
    """The plans that differ from the winner, and from each other, in what they are called."""
    seen = {_name(search, winner.sized.kind, winner.sized.turns)}
    out = []
    for one in best:
        name = _name(search, one.sized.kind, one.sized.turns)
        if name not in seen:
            seen.add(name)
            out.append(one)
    return out


def _front(winner: Settled, others: list[Settled]) -> list[Settled]:
    """Those no other beats in both wire and time, best first; the winner is not among them."""

    def beaten(one: Settled) -> bool:
        s = one.sized
        return any(
            o.sized.wire <= s.wire and o.sized.arc_time <= s.arc_time and o.sized.kind.layers <= s.kind.layers
            for o in [winner, *others]
            if o is not one
        )

    return [one for one in others if not beaten(one)][:4] or others[:2]


def _why(winner: Offer, other: Offer, by: str) -> str:
    """Why a plan lost to the winner."""
    wire, seconds = 100.0 * (other.wire / winner.wire - 1.0), 100.0 * (other.arc_time / winner.arc_time - 1.0)
    layers = len(other.figures.settings) - len(winner.figures.settings)
    parts = [f"{abs(wire):.1f} % {'more' if wire >= 0 else 'less'} wire", f"{abs(seconds):.1f} % {'more' if seconds >= 0 else 'less'} arc time"]
    if layers:
        parts.append(f"{abs(layers)} layer{'s' if abs(layers) > 1 else ''} {'more' if layers > 0 else 'fewer'}")
    if by == COST:
        parts.append(f"{100.0 * (other.price / winner.price - 1.0):+.1f} % cost")
    if other.probability < winner.scene.confidence.asked:
        parts.append("does not clean up often enough")
    elif other.price < winner.price:
        parts.append("settings farther from the measured bead's")
    return ", ".join(parts)


def _flags(search: Search, scene: Scene, kind: Kind, turns: float) -> Iterator[str]:
    """What in a plan rests on a corner nobody measured."""
    speed = 60.0 * kind.travel
    if scene.bead is None:
        yield "the bead was not measured: its width is assumed, so the plan is not proven"
    elif max(layup.away_from_plate(scene, s) for s in layup.settings(scene, search.like.radius)[len(search.kept) :]) > 0.0:
        yield "wire feed or travel differ from the measured bead's: width and height come from a power law (rms 5.6 %)"
    if math.cos(scene.bore.inclination) > 1e-6 and scene.process.gravity is None:
        if not GRAVITY_TRAVEL[0] - 0.5 <= speed <= GRAVITY_TRAVEL[-1] + 0.5:
            yield f"gravity on the bead at {speed:.0f} mm/min is run on past its table (400 to 640 mm/min)"
        yield "gravity on the bead was measured to 55 degrees from 6 o'clock: 69 % of the clock is extrapolated"
    if scene.bore_on_bar:
        yield "the plan is for the first bore; the other bores on the bar were not planned"
    if search.bead(kind).area > default("limit.area"):
        yield f"a bead of {search.bead(kind).area:.1f} mm2 may not hold on the climbing side (about {default('limit.area'):.0f} mm2)"
    if search.pitch(kind, turns) < 0.5 * search.bead(kind).width:
        yield "beads lie closer than half a width: the law of tie-in was compared with others from half a width up"
    if not layup.tie_in_of(scene).measured:
        yield "tie-in was not measured: anything from none to full was drawn"


def _two_thirds(search: Search, winner: Offer, executor: Executor) -> Offer | None:
    """What the two-thirds-of-width rule gives: pitch 2/3 of the bead width, as many layers as the mean needs."""
    feed, travel = _settings_known(search.scene)
    kind = Kind(1, search.template.advance, feed, travel, search.template.shift, (1, 1))
    pitch = 2.0 / 3.0 * search.bead(kind).width
    thickness = search.bead(kind).area / pitch
    needed = _radius_now(search) - search.like.finish.radius + search.scene.cut.minimum_cut
    kind = replace(kind, layers=max(math.ceil(needed / thickness - 1e-9), 1))
    turns = search.span(kind) / pitch
    try:
        minima = minima_of(search, kind, turns, range(DRAWS), executor)
        one = Settled(costed(search, kind, turns), minima, search.scene.cut.minimum_cut)
        offer = _offer(search, one)
    except SceneError:
        return None
    return replace(offer, name="two thirds of the bead width: " + offer.name, why=_why(winner, offer, search.by))


def _may_bind(search: Search, name: str) -> bool:
    """Tell whether a limit of the machine or the head stopped any kind; the others always may."""
    said = {"rotation of the machine": "rotation", "contact-tip distance over humps": "contact tip", "smallest bore of the head": "head would not pass"}
    return name not in said or any(said[name] in fault for fault in search.faults)


def _no_plan(search: Search, executor: Executor, tell: Tell) -> Plan:
    """Which limits bind: those of which one taken away gives a plan; and the cheapest plan that breaks only one."""
    beyond: list[tuple[str, Search, list[Sized]]] = []
    for name, limits in search.limits.relaxed():
        if limits != search.limits and _may_bind(search, name):
            tell(f"without the limit: {name}")
            other = Search.of(search.scene, limits, search.by)
            beyond.append((name, other, _sized(other, bounded(other, kinds(other), executor), [], executor)[0]))
    if search.template.start_depth is not None or search.template.end_depth is not None:
        layers = (*search.scene.layer[:-1], replace(search.template, start_depth=None, end_depth=None))
        other = Search.of(replace(search.scene, layer=layers), search.limits, search.by)
        pool, _ = _sized(other, bounded(other, kinds(other), executor), [], executor)
        beyond.append(("start and end depth of the layer", other, pool))
    ranked = sorted(((pool[0].price, name, other, pool[0]) for name, other, pool in beyond if pool), key=lambda one: one[:2])
    nearest = None
    for _, name, other, one in ranked:
        now = settled(other, one, executor)
        if now is not None:
            nearest = replace(_offer(other, now), why=f"breaks only: {name}")
            break
    binds = tuple(name for name, _, pool in beyond if pool)
    return Plan(search.scene, search.by, search.scene.confidence.asked, None, (), None, binds, nearest)


def layers_of(offer: Offer) -> list[dict[str, Any]]:
    """Each layer of a plan as a machine is set."""
    out = []
    done = offer.scene.job.layers_done if offer.scene.job.stage == BETWEEN else 0
    for number, s in enumerate(offer.figures.settings):
        spiral = s.plan.advance == "spiral"
        out.append(
            {
                "pitch_mm": s.path.pitch,
                "travel_mm_per_min": 60.0 * s.travel,
                "rotation_rpm": s.rotation * 30.0 / math.pi,
                "seconds_per_turn": 2.0 * math.pi / s.rotation,
                "wire_feed_m_per_min": 0.06 * s.plan.wire_feed,
                "start_depth_mm": float(s.path.depth[0]),
                "end_depth_mm": float(s.path.depth[-1]),
                "closing_turns_start": s.plan.closing_start if spiral else 0,
                "closing_turns_end": s.plan.closing_end if spiral else 0,
                "advance": s.plan.advance,
                "start_clock_h": (s.path.start_clock * 6.0 / math.pi) % 12.0,
                "turning": s.plan.turning,
                "turns": s.path.turns,
                "already_laid": number < done,
            }
        )
    return out
