"""The after-layer card: what the gauge after a layer says to do next, from draws of the job and not
from habit.

Every draw gives a mean gauge reading after the layer and what the plan left at the end. The line
between them and what scatters about it give the largest reading with which the rest cleans up as
surely as asked.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np

from sim.bore.wall import Clock
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER, BETWEEN
from sim.machine.between.gauge_on_draws import Places, readings
from sim.plan.many_cases import in_order, threads
from sim.plan.odds.many_draws import ManyDraws
from sim.plan.odds.verdict import decide
from sim.plan.search.allowed import Allowed
from sim.reference.arrays import TURN, Array
from sim.reference.errors import SceneError
from sim.set_up.axes_and_areas import Place, not_gauged
from sim.set_up.layers import Setting
from sim.set_up.layers import settings as layers_settings
from sim.shop.ready_to_lay import clock_marks, made_ready
from sim.shop.several_bores import OnBar, bores, places, places_between

DRAWS, COLUMNS, CHUNK = 300, 60, 75


FEWEST = 20  # draws without a closed bore that a line is drawn through


LEVEL = 0.02  # mm; a line that falls less over all readings is level


IN_REACH = 5.0  # standard deviations from the mean reading within which a threshold is told


GO_ON, ASK, ANOTHER = "go on", "ask", "lay another"
"""What a reading says: on as set (after the last layer: bore it); ask before the next layer; lay another."""


LEAST_BAND = 0.005  # mm; a narrower band of readings is none


@dataclass(frozen=True)
class Band:
    """Readings from..to [mm on diameter] (-inf, inf: no end) at which one thing is to be done."""

    least: float
    most: float
    do: str


@dataclass(frozen=True)
class Card:
    """What to do after a layer, by the mean of the gauge's crest readings; all on diameter [mm].

    layer of layers planned; expected: reading of 9 jobs in 10 (5 % to 95 %); leave_out_under: a
    layer may be left out; go_on_to: up to here the layers left, as set, clean up as surely as
    asked; another_over: past this not even the closest pitch (`closest` [mm]) in the layers left
    does, lay another layer; each None where no reading of this job is small enough. next: the next
    layer as set, None after the last; turn_time: seconds a turn of it at the expected readings
    (small bore, large bore), at the travel set; asked, draws: what the thresholds rest on; hangs:
    whether the least stock hangs on the reading at all, or lies where the gauge does not reach;
    bore: of a bar, which is gauged: its readings, and what they leave in all bores.
    """

    layer: int
    layers: int
    expected: tuple[float, float]
    leave_out_under: float | None
    go_on_to: float | None
    another_over: float | None
    closest: float | None
    next: Setting | None
    turn_time: tuple[float, float] | None
    asked: float
    draws: int
    hangs: bool = True
    bore: str = ""

    @property
    def bands(self) -> tuple[Band, ...]:
        """Every reading with the one thing to do at it, smallest readings first."""
        if self.go_on_to is None and self.another_over is None:
            return (Band(-math.inf, math.inf, ANOTHER if self.next is None else ASK),)
        edges = [
            (self.leave_out_under, ASK),
            (self.go_on_to, GO_ON),
            (self.another_over, ASK),
            (None, ANOTHER),
        ]
        out, begin = list[Band](), -math.inf
        for end, do in edges:
            if do == ANOTHER:
                end = math.inf
            if end is not None and end - begin > LEAST_BAND:
                out.append(Band(begin, end, do))
                begin = end
        return tuple(out)


def after_layer_cards(
    scene: Scene, executor: Executor | None = None, *, only: Sequence[int] = ()
) -> tuple[Card, ...]:
    """The cards for after every layer still to be read after, or only some; of a bar those of the
    bore that cleans up least often. Raises SceneError.
    """
    worst = decide(scene).worst_at if scene.bore_on_bar else 0
    parts = [
        (name, one, place)
        for (name, _, one), place in zip(bores(scene), places(scene), strict=True)
    ]
    return bar_cards(parts, executor, only=only, of=[worst])[0]


def cards_of(on_bar: Sequence[OnBar]) -> tuple[tuple[Card, ...], ...]:
    """The after-layer cards of layers still to come, of every bore; none after the finish cut."""
    scenes = [one.result.scene for one in on_bar]
    if scenes[0].job.stage == AFTER:
        return ((),) * len(on_bar)
    ends = [
        (one.along, one.along + scene.bore.length)
        for one, scene in zip(on_bar, scenes, strict=True)
    ]
    places = places_between(ends)
    return bar_cards(
        [(one.name, scene, place) for one, scene, place in zip(on_bar, scenes, places, strict=True)]
    )


def bar_cards(
    parts: Sequence[tuple[str, Scene, Place]],
    executor: Executor | None = None,
    *,
    only: Sequence[int] = (),
    of: Sequence[int] = (),
) -> tuple[tuple[Card, ...], ...]:
    """The cards of every bore of a bar, or only some: its gauge, and whether all bores then clean up
    as surely as asked.

    parts: name, scene and place of every bore. Raises SceneError.
    """
    scene = parts[0][1]
    if scene.job.stage == AFTER:
        raise SceneError(
            "after-layer card: the finish cut is taken: no layer is left to read after."
        )
    if executor is None:
        with threads() as own:
            return bar_cards(parts, own, only=only, of=of)
    done = scene.job.layers_done if scene.job.stage == BETWEEN else 0
    wanted = list(only) or list(range(max(done, 1), len(scene.layers) + 1))
    each = [_Bore.of(name, one, place, wanted, executor) for name, one, place in parts]
    of = list(of) or list(range(len(parts)))
    return tuple(tuple(_card(each, number, k) for k in wanted) for number in of)


@dataclass(frozen=True)
class _Bore:
    """One bore drawn: mean gauge reading after every layer (draws, layers) and least stock per side
    at the end (draws,) [mm], nan: closed; likewise with a layer fewer, and with the layers after
    each one wanted at the closest pitch.
    """

    name: str
    scene: Scene
    settings: list[Setting]
    read: Array
    least: Array
    fewer: Array | None
    closer: Mapping[int, tuple[float | None, Array]]

    @classmethod
    def of(
        cls, name: str, scene: Scene, place: Place, wanted: Sequence[int], executor: Executor
    ) -> _Bore:
        """Lay a bore in every way that a card asks for."""
        job = made_ready(scene, COLUMNS, place=place)
        events = np.concatenate([[plan.start_at for plan in scene.layers], clock_marks(scene)])
        margin = 2.5 * max(s.bead.width for s in job.settings) + 61.5
        bench = ManyDraws.of(
            job,
            Clock.even(COLUMNS, events),
            range(DRAWS),
            held=(-margin, scene.bore.length + margin),
        )
        read, least = _laid(bench, scene, executor)
        layers = tuple(scene.layers)
        less = dataclasses.replace(scene, layer=layers[:-1])
        fewer = _laid(bench, less, executor)[1] if len(layers) > 1 else None
        settings = layers_settings(scene, job.radius)
        closer = {}
        for k in wanted:
            closest, then = _closest(scene, settings[k:]), least
            if closest is not None and closest < min(s.path.pitch for s in settings[k:]) - 1e-3:
                rest = [
                    dataclasses.replace(plan, pitch=closest, bead_overlap=None)
                    for plan in layers[k:]
                ]
                then = _laid(
                    bench, dataclasses.replace(scene, layer=(*layers[:k], *rest)), executor
                )[1]
            closer[k] = closest, then
        return cls(name, scene, settings, read, least, fewer, closer)


def _card(each: Sequence[_Bore], number: int, k: int) -> Card:
    """The card of one bore after layer k: its reading against the least stock of all bores."""
    bore, count = each[number], len(each[number].settings)
    g, cut, asked = bore.read[:, k - 1], bore.scene.cut.minimum_cut, bore.scene.confidence.asked
    least = np.min([one.least for one in each], axis=0)
    go_on = _threshold(g, least - cut, asked)
    another = _threshold(g, np.min([one.closer[k][1] for one in each], axis=0) - cut, asked)
    low, high = (float(v) for v in np.nanpercentile(g, (5.0, 95.0)))
    fewer = [one.fewer for one in each if one.fewer is not None]
    leave = _threshold(g, np.min(fewer, axis=0) - cut, asked) if fewer and k < count else None
    following = bore.settings[k] if k < count else None
    return Card(
        k,
        count,
        (low, high),
        _least_of(leave, go_on),
        go_on,
        another,
        bore.closer[k][0],
        following,
        None if following is None else _turn_times(following, g, (low, high)),
        asked,
        len(g),
        _line(g, least)[0] < 0.0,
        bore.name if len(each) > 1 else "",
    )


def _turn_times(setting: Setting, read: Array, ends: tuple[float, float]) -> tuple[float, float]:
    """Seconds a turn at the travel set, where the gauge reads low and high."""
    small, large = (
        TURN * (setting.radius + 0.5 * (v - float(np.nanmean(read)))) / setting.travel for v in ends
    )
    return small, large


def _least_of(one: float | None, other: float | None) -> float | None:
    return one if one is None or other is None else min(one, other)


def _closest(scene: Scene, settings: Sequence[Setting]) -> float | None:
    """Closest pitch [mm] that the bead overlap range and the machine allow the layers left."""
    if not settings:
        return None
    allowed = Allowed.of(scene)
    return max(allowed.pitch[0], max(s.bead.width for s in settings) * (1.0 - allowed.overlap[1]))


def _threshold(read: Array, over: Array, asked: float) -> float | None:
    """Largest reading with which `over` (n,) is not below zero as surely as asked; None where no
    reading is small enough.

    No larger than readings of this job can be: past that they are of another job, or of another
    process. Where the least stock does not hang on the reading (at free ends, which a gauge does
    not reach) it is all or nothing.

    The line of `over` on the reading, lowered by what as many draws as may fall short lie below it.

    >>> reading = np.linspace(79.0, 80.0, 101)
    >>> round(_threshold(reading, 79.6 - reading, 0.95), 3)
    79.6
    """
    slope, start, rest = _line(read, over)
    if not len(rest):
        return None
    middle, reach = float(np.nanmean(read)), IN_REACH * float(np.nanstd(read))
    spare = start + float(np.quantile(rest, 1.0 - asked))
    if slope == 0.0:
        return middle + reach if spare >= 0.0 else None
    at = middle - spare / slope
    return None if at < middle - reach else min(at, middle + reach)


def _line(read: Array, over: Array) -> tuple[float, float, Array]:
    """The line of `over` on the reading about its mean: slope, value there, what scatters about it;
    slope 0 where it is level.
    """
    fine = np.isfinite(read) & np.isfinite(over)
    if fine.sum() < FEWEST:
        return 0.0, 0.0, np.zeros(0)
    x, y = read[fine] - np.nanmean(read), over[fine]
    slope, start = (float(v) for v in np.polyfit(x, y, 1))
    if slope * IN_REACH * x.std() > -LEVEL:
        slope, start = 0.0, float(y.mean())
    return slope, start, y - start - slope * x


def _laid(bench: ManyDraws, scene: Scene, executor: Executor) -> tuple[Array, Array]:
    """Mean gauge reading after every layer (draws, layers) and least stock per side at the end
    (draws,) [mm], nan: closed.
    """
    cases = [(bench, scene, list(range(k, min(k + CHUNK, DRAWS)))) for k in range(0, DRAWS, CHUNK)]
    parts = list(in_order(_block, cases, executor))
    return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])


def _block(bench: ManyDraws, scene: Scene, indices: list[int]) -> tuple[Array, Array]:
    settings = layers_settings(scene, bench.job.radius)
    read, least = np.full((len(indices), len(settings)), math.nan), np.full(len(indices), math.nan)
    for standing in bench.after_layers(scene, indices):
        places = Places.usual(
            scene.bore.length,
            scene.gauge.foot,
            settings[standing.layers - 1].path.pitch,
            not_gauged(scene),
        )
        crest = 2.0 * np.array([one.crest for one in standing.drawn])
        read[standing.place, standing.layers - 1] = (
            readings(bench, standing, places).mean(axis=1) + crest
        )
        if standing.layers == len(settings):
            least = bench.judged(scene, standing, len(indices))
    return read, least
