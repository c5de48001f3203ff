"""What is right in an exercise, found by simulating."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from sim.bore.stock import beyond
from sim.job.scene import Scene
from sim.job.sections.bore import Axes
from sim.job.sections.weld import LayerPlan
from sim.plan.odds.verdict import FIRST_LOOK, Decision, decide
from sim.plan.search.settle import SURE
from sim.reference.arrays import TURN, Array
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up import layers
from sim.set_up.layers import wire_used
from sim.shop.result import Result
from sim.shop.run import Figures, figures, simulate

COLUMNS = 360
"""Clock columns for trying changes; the job itself is judged on its own."""


FEW, DRAWN = 72, 5
"""Clock columns for verdicts on other numbers of layers; how many of these are drawn at most."""


@dataclass(frozen=True)
class Exercise:
    """A scene to be guessed at: `questions` name entries of QUESTIONS, in the order they are asked."""

    title: str
    task: str
    questions: tuple[str, ...]
    scene: Scene


@dataclass(frozen=True)
class Cure:
    """A change that might help, simulated: whether it leaves the minimum cut everywhere as planned,
    the least stock [mm per side] and the wire [mm3].
    """

    name: str
    words: str
    works: bool
    least: float
    wire: float


@dataclass(frozen=True)
class Truth:
    """An exercise laid and judged, and what the questions ask of it, worked out when it is asked
    for.
    """

    exercise: Exercise
    result: Result

    @property
    def scene(self) -> Scene:
        """The job."""
        return self.result.scene

    @cached_property
    def decided(self) -> Decision:
        """The verdict on the job: the one that everything else tells."""
        return decide(self.scene, [self.result])

    @cached_property
    def black(self) -> Array:
        """Every strip of wall that stays black: column, depth from and to [mm], shape (k, 3)."""
        r = self.result
        return beyond(r.layers[-1].wall, r.finish, r.axes.torch, r.spans, 0.0)

    def away(self, clock: float, depth: float) -> float:
        """Distance along the wall [mm] from a place to the nearest wall that stays black; infinite
        where none does.
        """
        if not len(self.black):
            return math.inf
        radius, (x0, y0) = self.result.finish.radius, self.result.axes.torch.at(np.array([depth]))
        ray = math.atan2(
            radius * math.sin(clock) - float(x0[0]), radius * math.cos(clock) + float(y0[0])
        )
        angle = self.result.start.clock.angle[self.black[:, 0].astype(int)]
        across = radius * (np.mod(angle - ray + math.pi, TURN) - math.pi)
        along = np.maximum(np.maximum(self.black[:, 1] - depth, depth - self.black[:, 2]), 0.0)
        cell = radius * 0.5 * float(self.result.start.clock.span.max())
        return float(np.hypot(np.maximum(np.abs(across) - cell, 0.0), along).min())

    @cached_property
    def tried(self) -> tuple[Figures | None, ...]:
        """The job with one layer, two, and so on; None where the metal no longer fits."""
        most = int(default("plan.layers_most"))
        return tuple(_figures(with_layers(self.scene, n)) for n in range(1, most + 1))

    @cached_property
    def planned(self) -> int:
        """The fewest layers that leave the minimum cut everywhere as planned, laid in the same way;
        0 when no number does.
        """
        return next(
            (
                n
                for n, told in enumerate(self.tried, 1)
                if told is not None and _cleans(told, self.scene)
            ),
            0,
        )

    @cached_property
    def drawn(self) -> dict[int, Decision]:
        """The verdict with so many layers, from the fewest as planned on until they clean up as
        surely as asked: on few columns, the job itself on its own.
        """
        out: dict[int, Decision] = {}
        for n in range(self.planned, self.planned + DRAWN) if self.planned else ():
            try:
                out[n] = self.decided if n == len(self.result.layers) else self._of(n)
            except SceneError:
                break
            if out[n].verdict in SURE:
                break
        return out

    def _of(self, layers: int) -> Decision:
        return decide(with_layers(few(self.scene), layers))

    @cached_property
    def needed(self) -> int:
        """The fewest layers that clean up as surely as asked, laid in the same way; 0 when no number
        does.
        """
        return next((n for n, told in self.drawn.items() if told.verdict in SURE), 0)

    @cached_property
    def chips(self) -> float:
        """Part of the wire that fewer layers would have saved [%]."""
        laid = len(self.result.layers)
        least = self.tried[self.needed - 1] if 0 < self.needed < laid else None
        return 0.0 if least is None else 100.0 * (1.0 - least.wire / self._wire)

    @cached_property
    def _wire(self) -> float:
        return sum(wire_used(self.scene, s) for s in self.result.settings)

    @cached_property
    def pitch(self) -> float:
        """The coarsest pitch [mm] that leaves the minimum cut everywhere as planned with as many
        layers, to 0.01 mm; 0 when none does.
        """
        width = self.result.settings[-1].bead.width
        low, high = 0.4 * width, 1.3 * width
        if not _works(_with(self.scene, pitch=low, bead_overlap=None)):
            return 0.0
        while high - low > 0.01:
            middle = 0.5 * (low + high)
            works = _works(_with(self.scene, pitch=middle, bead_overlap=None))
            low, high = (middle, high) if works else (low, middle)
        return low

    @cached_property
    def cures(self) -> tuple[Cure, ...]:
        """Every change on offer, simulated."""
        return tuple(
            _cure(name, words, change(self.scene)) for name, (words, change) in CURES.items()
        )

    @property
    def best_cure(self) -> Cure | None:
        """The one that does as planned with the least wire; None when none does."""
        return min((one for one in self.cures if one.works), key=lambda one: one.wire, default=None)

    @cached_property
    def cured(self) -> Decision | None:
        """The verdict on the job with that one, on few columns; None without one."""
        best = self.best_cure
        return None if best is None else decide(CURES[best.name][1](few(self.scene)))


def few(scene: Scene) -> Scene:
    """The job on few clock columns, for verdicts on what was not laid."""
    most = min(scene.confidence.draws_most, FIRST_LOOK)
    return replace(
        scene,
        grid=replace(scene.grid, columns=FEW),
        confidence=replace(scene.confidence, draws_most=most),
    )


def truth(exercise: Exercise) -> Truth:
    """Lay an exercise. Raises SceneError when the job cannot be laid."""
    return Truth(exercise, simulate(exercise.scene))


def with_layers(scene: Scene, count: int) -> Scene:
    """The scene with its first `count` layers, or more like its last."""
    each = scene.layers[:count]
    while len(each) < count:
        each.append(replace(each[-1], start_at=(each[-1].start_at + each[-1].shift) % TURN))
    return replace(scene, layer=tuple(each))


def _with(scene: Scene, **changes: Any) -> Scene:
    return replace(scene, layer=tuple(replace(plan, **changes) for plan in scene.layer))


def _figures(scene: Scene) -> Figures | None:
    try:
        return figures(scene, COLUMNS)
    except SceneError:
        return None


def _cleans(told: Figures, scene: Scene) -> bool:
    return told.minimum - told.error >= scene.cut.minimum_cut


def _works(scene: Scene) -> bool:
    told = _figures(scene)
    return told is not None and _cleans(told, scene)


def _cure(name: str, words: str, scene: Scene) -> Cure:
    told = _figures(scene)
    if told is None:
        return Cure(name, words, False, -math.inf, math.inf)
    return Cure(name, words, _cleans(told, scene), told.minimum, told.wire)


def _closer(scene: Scene) -> Scene:
    """A pitch a tenth of the bead width closer."""
    settings = layers.settings(
        scene, 0.5 * (scene.pre_bore.diameter if scene.pre_bore else scene.worn.diameter)
    )
    pitch = settings[0].path.pitch - 0.1 * settings[0].bead.width
    return _with(scene, pitch=pitch, bead_overlap=None)


def _turned(plan: LayerPlan) -> str:
    return "counter-clockwise" if plan.turning == "clockwise" else "clockwise"


CURES: dict[str, tuple[str, Callable[[Scene], Scene]]] = {
    "as it is": ("leave it as it is", lambda scene: scene),
    "one more layer": ("one more layer", lambda scene: with_layers(scene, len(scene.layers) + 1)),
    "closer pitch": ("a pitch one tenth of the bead width closer", _closer),
    "closing turns": (
        "a closing turn at each end of every layer",
        lambda scene: _with(scene, advance="spiral", closing_start=1, closing_end=1),
    ),
    "finish axis": (
        "the finish bar on the axis the bore was pre-bored on",
        lambda scene: replace(scene, axes=_finish_back(scene.axes)),
    ),
    "other way": (
        "the torch turning the other way",
        lambda scene: replace(
            scene, layer=tuple(replace(p, turning=_turned(p)) for p in scene.layer)
        ),
    ),
}  # fmt: skip


def _finish_back(axes: Axes) -> Axes:
    return replace(axes, finish_entry=None, finish_far=None)
