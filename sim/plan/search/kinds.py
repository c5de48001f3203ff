"""Kinds of plan, and the search they share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from sim.bore.wall import Clock
from sim.job.scene import Scene
from sim.job.sections.bore import BETWEEN
from sim.job.sections.weld import LayerPlan
from sim.laws.bead_shape import Bead
from sim.laws.layer_thickness import radius_after
from sim.plan.odds.many_draws import ManyDraws
from sim.plan.search.allowed import Allowed, settings_known
from sim.set_up.bead import bead_at
from sim.set_up.layers import layer_ends, settings
from sim.shop.ready_to_lay import Job, clock_marks, made_ready
from sim.shop.run import figures
from sim.shop.several_bores import bores, places

METAL, TIME, COST = AIMS = ("metal", "time", "cost")


SEARCH_COLUMNS, FINE_COLUMNS = 60, 180


DRAWS = 200  # draws of the search


EXTRA_LAYERS = 2  # layers tried beyond the fewest possible


SEARCHED = range(
    1_000_000, 1_000_000 + DRAWS
)  # which: none of those that decide, a plan is not sought and confirmed by the same


@dataclass(frozen=True)
class Kind:
    """A plan but for its turns: layers, advance, wire feed and travel [mm/s], start shift [rad],
    closing turns.

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
    """What every step of the search needs: the job, its limits, a job with the same wall, the
    draws' start walls.

    faults: why kinds could not be, as they were found; spare: a standard error more of the draws
    must clean up than asked; whole: the job with all bores of its bar, `at` the number of the one
    that is searched.
    """

    scene: Scene
    allowed: Allowed
    by: str
    like: Job
    bench: ManyDraws
    faults: list[str] = field(default_factory=list)
    spare: bool = True
    whole: Scene = field(kw_only=True)
    at: int = 0

    @property
    def wanted(self) -> int:
        """How many of all draws must clean up."""
        asked = self.scene.confidence.asked
        return enough_draws(asked, DRAWS) if self.spare else math.ceil(DRAWS * asked - 1e-9)

    @classmethod
    def of(cls, whole: Scene, allowed: Allowed, by: str, at: int = 0) -> Search:
        """The search in one bore of a job, within limits: the walls its draws start from are made
        here, once.
        """
        scene, place = bores(whole)[at][2], places(whole)[at]
        like = made_ready(with_one_layer(scene), SEARCH_COLUMNS, place=place)
        feed, travel = allowed.wire_feed[1], allowed.travel[0]
        width = max(
            bead_at(scene, feed, travel).width,
            *(s.bead.width for s in settings(scene, like.radius)),
        )
        starts = np.array([scene.layer[-1].start_at + 0.5 * math.pi * k for k in range(4)])
        margin = 2.5 * width + 1.5 + 60.0
        search = cls(
            scene,
            allowed,
            by,
            like,
            ManyDraws.of(
                like,
                Clock.even(SEARCH_COLUMNS, np.concatenate([starts, clock_marks(scene)])),
                SEARCHED,
                held=(-margin, scene.bore.length + margin),
            ),
            whole=whole,
            at=at,
        )
        if not search.kept:
            return search
        laid = replace(scene, layer=tuple(search.kept))
        search.bench.hold(laid)
        passed = figures(laid, SEARCH_COLUMNS).tip_clear  # the torch has passed over these humps
        return replace(search, allowed=replace(allowed, tip_clear=min(allowed.tip_clear, passed)))

    @property
    def template(self) -> LayerPlan:
        """The layer whose direction, start clock and ends the plan keeps."""
        return self.scene.layer[-1]

    @property
    def kept(self) -> list[LayerPlan]:
        """Layers already laid."""
        return (
            self.scene.layers[: self.scene.job.layers_done]
            if self.scene.job.stage == BETWEEN
            else []
        )

    def bead(self, kind: Kind) -> Bead:
        """The bead of a kind on a flat."""
        return bead_at(self.scene, kind.wire_feed, kind.travel)

    def span(self, kind: Kind) -> float:
        """Depth [mm] from the first to the last bead centre."""
        low, high = layer_ends(self.scene, self.template, self.bead(kind).width)
        return high - low

    def pitch_range(self, kind: Kind) -> tuple[float, float]:
        """Closest and widest pitch [mm] within bead overlap and the machine."""
        width = self.bead(kind).width
        least, most = self.allowed.overlap
        return max(width * (1.0 - most), self.allowed.pitch[0]), min(
            width * (1.0 - least), self.allowed.pitch[1]
        )

    def pitch(self, kind: Kind, turns: float) -> float:
        """Pitch [mm] of so many turns, as a machine is set: a little long, so that no sliver is
        left over.
        """
        return math.ceil(self.span(kind) / turns * 1000.0 - 1e-6) / 1000.0

    def as_laid(self, kind: Kind, turns: float) -> tuple[Kind, float]:
        """A kind and its turns as they can be laid: rings are whole, and travel makes up for the
        part of a ring that is missing or too much, within its range.
        """
        if kind.advance != "step" or turns == round(turns):
            return kind, turns
        low, high = self.allowed.travel
        rings = float(round(turns))
        if kind.travel * rings / turns > high + 1e-9:
            rings = float(math.floor(turns))
        elif kind.travel * rings / turns < low - 1e-9:
            rings = float(math.ceil(turns))
        travel = min(max(kind.travel * rings / turns, low), high)
        return replace(kind, travel=whole_speed(travel, low, high)), rings

    def planned(self, kind: Kind, turns: float) -> Scene:
        """The scene with the layers of a kind at so many turns."""
        kept, (kind, turns) = self.kept, self.as_laid(kind, turns)
        start = next_start(kept, self.template.shift) if kept else self.template.start_at
        layer = replace(
            self.template, repeat=kind.layers, pitch=self.pitch(kind, turns), bead_overlap=None,
            wire_feed=kind.wire_feed,
            travel=kind.travel, rotation=None, turn_time=None, advance=kind.advance, shift=kind.shift, stagger=0.0,
            start_at=start, closing_start=kind.closing[0], closing_end=kind.closing[1],
            only_from=None, only_to=None,
        )  # fmt: skip
        if not kind.lean:
            return replace(self.scene, layer=(*kept, layer))
        first = replace(layer, repeat=1, pitch=self.pitch(kind, kind.lean))
        others = replace(
            layer, repeat=kind.layers - 1, start_at=(start + kind.shift) % (2.0 * math.pi)
        )
        return replace(self.scene, layer=(*kept, first, others))

    def in_all(self, kind: Kind, turns: float) -> Scene:
        """The job with the layers of a kind, at the pitch of so many turns, in every bore."""
        planned, done, first = self.planned(kind, turns), len(self.kept), self.whole.layer[-1]
        if not self.whole.bore_on_bar:
            return planned
        new = [
            replace(one, start_depth=first.start_depth, end_depth=first.end_depth)
            for one in planned.layer[done:]
        ]
        return replace(self.whole, layer=(*self.whole.layers[:done], *new))

    def price(self, wire: float, arc_time: float, layers: int) -> float:
        """What is to be least: wire [mm3], time [s] with what passes between layers, or cost."""
        hours = arc_time + layers * self.scene.plan.layer_time
        if self.by == METAL:
            return wire
        if self.by == TIME:
            return hours
        p = self.scene.plan
        return wire * self.scene.wire.density / 1000.0 * (p.wire_price or 0.0) + hours / 3600.0 * (
            p.hour_price or 0.0
        )


def whole_speed(speed: float, low: float, high: float) -> float:
    """A speed [mm/s] to whole mm/min, where that stays within its range.

    >>> round(60.0 * whole_speed(7.504, 7.0, 7.51), 3), whole_speed(7.504, 7.504, 7.504)
    (450.0, 7.504)
    """
    whole = round(speed * 60.0) / 60.0
    return whole if low <= whole <= high else speed


def next_start(kept: Sequence[LayerPlan], shift: float) -> float:
    """Start clock [rad] of the next layer: a quarter turn on from the last or more, where the
    fewest started, so that humps do not pile up.

    >>> layers = [LayerPlan(wire_feed=1.0, pitch=3.0, travel=7.0, start_at=a) for a in (0.0, math.pi, 0.0)]
    >>> round(next_start(layers, math.pi), 3)
    4.712
    """
    places = [(kept[-1].start_at + shift + k * 0.5 * math.pi) % (2.0 * math.pi) for k in range(4)]

    def there(place: float) -> int:
        return sum(math.cos(place - plan.start_at) > 0.75 for plan in kept)

    return min(places, key=there)


def kinds(search: Search) -> list[Kind]:
    """Kinds worth a look: layers from the fewest that could do, both advances, a few settings
    within the limits.
    """
    out: list[Kind] = []
    feed, travel = settings_known(search.scene)
    for wire_feed in _values(search.allowed.wire_feed, feed, 3):
        for speed in _values(search.allowed.travel, travel, 3):
            kind = Kind(1, "step", wire_feed, speed, search.template.shift or 0.5 * math.pi)
            fewest = _fewest_layers(search, kind)
            for n in range(fewest, min(fewest + EXTRA_LAYERS, search.allowed.layers_most) + 1):
                out.append(replace(kind, layers=n))
                out += [
                    replace(kind, layers=n, advance="spiral", closing=c)
                    for c in _closings(search.scene)
                ]
    return out


def _closings(scene: Scene) -> list[tuple[int, int]]:
    """Closing turns worth a look: one at either end, two where the free edge needs them, none over
    a run-off ring.
    """
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
    """Fewest layers whose metal, at the closest pitch, could bring the mean wall past the finish
    and the cut.
    """
    bead, closest = search.bead(kind), search.pitch_range(kind)[0]
    target = search.like.finish.radius - search.scene.cut.minimum_cut
    radius, count = radius_now(search), 0
    while radius > target and count < 60:
        radius, count = radius_after(radius, bead.area * radius, closest), count + 1
    return max(count, 1)


def radius_now(search: Search) -> float:
    """Mean wall radius [mm] after the layers already laid."""
    radius = search.like.radius
    if not search.kept:
        return radius
    for s in settings(replace(search.scene, layer=tuple(search.kept)), radius):
        radius = radius_after(s.radius, s.q, s.path.pitch)
    return radius


def enough_draws(asked: float, draws: int) -> int:
    """Draws that must clean up: the part asked and one standard error of it more, so that the truth
    is rarely less.

    >>> enough_draws(0.95, 200)
    194
    """
    return min(math.ceil(draws * asked + math.sqrt(draws * asked * (1.0 - asked)) - 1e-9), draws)


def variations(search: Search, kind: Kind) -> list[Kind]:
    """The same kind with another start shift."""
    if kind.layers == 1:
        return []
    return [
        replace(kind, shift=shift) for shift in (0.0, 0.5 * math.pi, math.pi) if shift != kind.shift
    ]


def with_one_layer(scene: Scene) -> Scene:
    """The scene with one plain layer, to know the wall it starts from."""
    feed, travel = settings_known(scene)
    layer = replace(
        scene.layer[-1],
        repeat=1,
        wire_feed=feed,
        travel=travel,
        rotation=None,
        turn_time=None,
        only_from=None,
        only_to=None,
    )
    return replace(scene, layer=(layer,), job=replace(scene.job, layers_done=0))


def neighbours(search: Search, kind: Kind) -> list[Kind]:
    """The same kind with a start shift or a travel speed in between."""
    out = variations(search, kind)
    low, high = search.allowed.travel
    if high > low:
        ratio = (high / low) ** 0.25
        out += [
            replace(kind, travel=round(min(max(kind.travel * f, low), high) * 60.0) / 60.0)
            for f in (1.0 / ratio, ratio)
        ]
    return out
