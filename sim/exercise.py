"""Guess, then see: an exercise is a scene and some questions; what is right is found by simulating, never written down.

An exercise file is a scene file with one more section, [exercise]. The seven that come with the tool are drawn from
parameters and a variation number; each draw is laid before it is handed out, to see that it shows what it is there for.
"""

from __future__ import annotations

import dataclasses
import math
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from sim import cause, layup
from sim.finish import beyond
from sim.job import AFTER, Axes, LayerPlan, Scene, SceneError
from sim.layup import AxesOf
from sim.report import Explained, Say
from sim.scene import decoded, from_mapping, nearest, to_text
from sim.simulate import Figures, Result, figures, simulate
from sim.sources import DERIVED, default
from sim.units import KINDS, clock_text, typed
from sim.wall import TURN, Array

COLUMNS = 360
"""Clock columns for trying changes; the job itself is judged on its own."""
NOWHERE = "nowhere"
LONGEST = 600
"""Letters of a title or task."""


@dataclass(frozen=True)
class Exercise:
    """A scene to be guessed at: `questions` name entries of QUESTIONS, in the order they are asked."""

    title: str
    task: str
    questions: tuple[str, ...]
    scene: Scene


# ---- what is right --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cure:
    """A change that might help, simulated: whether it cleans up, the least stock [mm per side] and the wire [mm3]."""

    name: str
    words: str
    works: bool
    least: float
    wire: float


@dataclass(frozen=True)
class Truth:
    """An exercise laid and judged, and what the questions ask of it, worked out when it is asked for."""

    exercise: Exercise
    result: Result

    @property
    def scene(self) -> Scene:
        """The job."""
        return self.result.scene

    @cached_property
    def black(self) -> Array:
        """Every strip of wall that stays black: column, depth from and to [mm], shape (k, 3)."""
        r = self.result
        return beyond(r.layers[-1].wall, r.finish, r.axes.torch, r.spans, 0.0)

    def away(self, clock: float, depth: float) -> float:
        """Distance along the wall [mm] from a place to the nearest wall that stays black; infinite where none does."""
        if not len(self.black):
            return math.inf
        radius, (x0, y0) = self.result.finish.radius, self.result.axes.torch.at(np.array([depth]))
        ray = math.atan2(radius * math.sin(clock) - float(x0[0]), radius * math.cos(clock) + float(y0[0]))
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
    def needed(self) -> int:
        """The fewest layers that clean up, laid in the same way; 0 when no number does."""
        return next((n for n, told in enumerate(self.tried, 1) if told is not None and _cleans(told, self.scene)), 0)

    @cached_property
    def chips(self) -> float:
        """Part of the wire that fewer layers would have saved [%]."""
        laid = len(self.result.layers)
        least = self.tried[self.needed - 1] if 0 < self.needed < laid else None
        return 0.0 if least is None else 100.0 * (1.0 - least.wire / self._wire)

    @cached_property
    def _wire(self) -> float:
        return sum(layup.wire_used(self.scene, s) for s in self.result.settings)

    @cached_property
    def pitch(self) -> float:
        """The coarsest pitch [mm] that cleans up with as many layers, to 0.01 mm; 0 when none does."""
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
        return tuple(_cure(name, words, change(self.scene)) for name, (words, change) in CURES.items())

    @property
    def best_cure(self) -> Cure | None:
        """The one that cleans up with the least wire; None when none does."""
        return min((one for one in self.cures if one.works), key=lambda one: one.wire, default=None)


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
    settings = layup.settings(scene, 0.5 * (scene.pre_bore.diameter if scene.pre_bore else scene.worn.diameter))
    pitch = settings[0].path.pitch - 0.1 * settings[0].bead.width
    return _with(scene, pitch=pitch, bead_overlap=None)


def _turned(plan: LayerPlan) -> str:
    return "counter-clockwise" if plan.turning == "clockwise" else "clockwise"


CURES: dict[str, tuple[str, Callable[[Scene], Scene]]] = {
    "as it is": ("leave it as it is", lambda scene: scene),
    "one more layer": ("one more layer", lambda scene: with_layers(scene, len(scene.layers) + 1)),
    "closer pitch": ("a pitch one tenth of the bead width closer", _closer),
    "closing turns": ("a closing turn at each end of every layer", lambda scene: _with(scene, advance="spiral", closing_start=1, closing_end=1)),
    "finish axis": ("the finish bar on the axis the bore was pre-bored on", lambda scene: replace(scene, axes=_finish_back(scene.axes))),
    "other way": ("the torch turning the other way", lambda scene: replace(scene, layer=tuple(replace(p, turning=_turned(p)) for p in scene.layer))),
}  # fmt: skip


def _finish_back(axes: Axes) -> Axes:
    return replace(axes, finish_entry=None, finish_far=None)


# ---- the questions ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Marked:
    """One question marked: what was asked, given and found, points from 0 to 1, why, and how the points come about."""

    question: str
    asked: str
    given: str
    found: str
    points: float
    why: str
    explained: Explained


@dataclass(frozen=True)
class Question:
    """A question: how it is asked, the kind of its answer (see sim.units; place, layers or choice), how it is marked.

    value: what is right, in mm or %; full marks up to `near` away from it, none from `far` on, in between in proportion.
    """

    asks: str
    kind: str
    value: Callable[[Truth], float] = lambda _: 0.0
    near: float = 0.0
    far: float = 1.0
    why: Callable[[Truth], str] = lambda _: ""


HOURS_OFF = math.pi / 3.0
"""A mark this far off round the clock [rad], or as far along the bore, earns nothing."""


def _gauge(told: Truth) -> float:
    return told.result.layers[-1].gauge[0]


def _valley(told: Truth) -> float:
    return told.result.layers[-1].valley


def _short(told: Truth) -> float:
    return max(-told.result.stock.spot.value, 0.0)


def _why_gauge(told: Truth) -> str:
    say, layer = Say(told.scene.job.units), told.result.layers[-1]
    return (
        f"A flat foot stands on the crests: it reads from {say.size(layer.gauge[0])} on diameter and never sees the valley at "
        f"{say.size(layer.valley)}. Never bore to a crest reading."
    )


def _why_short(told: Truth) -> str:
    say, spot = Say(told.scene.job.units), told.result.stock.spot
    where = f"at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} deep"
    if spot.value >= 0.0:
        return f"The thinnest place, {where}, still has {say.size(spot.value)} per side to bore off."
    return f"The worst place is {where}: the wall there lies {say.size(-spot.value)} per side outside the finished bore."


def _why_pitch(told: Truth) -> str:
    say, s = Say(told.scene.job.units), told.result.settings[-1]
    return (
        f"The bead is {say.size(s.bead.width)} wide: {say.size(told.pitch)} is {told.pitch / s.bead.width:.2f} of that. "
        "A closer pitch lifts the valleys and lays more metal; both help."
    )


def _why_chips(told: Truth) -> str:
    if not told.chips:
        return "Fewer layers would not clean up: no wire was wasted."
    return f"{told.needed} would have cleaned up; what the other {len(told.result.layers) - told.needed} laid goes to chips, and costs arc and boring time twice."


QUESTIONS: dict[str, Question] = {
    "where": Question("Where will it fall short? Mark clock and depth.", "place"),
    "layers": Question("How many layers are needed, laid in this way? 0 if no number would do.", "layers"),
    "short": Question("How much will be missing at the worst place, per side? 0 if nothing.", "length", _short, 0.1, 1.0, _why_short),
    "gauge": Question("What is the least the gauge will read after the last layer, on diameter?", "length", _gauge, 0.15, 1.5, _why_gauge),
    "valley": Question("How large is the bore at the deepest valley, on diameter?", "length", _valley, 0.15, 1.5, _why_gauge),
    "pitch": Question("What is the coarsest pitch that would clean up with as many layers?", "length", lambda t: t.pitch, 0.1, 1.0, _why_pitch),
    "chips": Question("What part of the wire could have stayed on the spool, in %? 0 if none.", "number", lambda t: t.chips, 5.0, 40.0, _why_chips),
    "cure": Question("Which change cleans it up with the least wire?", "choice"),
}  # fmt: skip

Answer = Mapping[str, Any]
"""By question: where (clock [rad], depth [mm]) or NOWHERE; layers a whole number; lengths [mm]; chips [%]; cure a name."""


def mark(told: Truth, answer: Answer) -> list[Marked]:
    """Every question marked. Raises SceneError for an answer that is missing or nonsense."""
    out = []
    for name in told.exercise.questions:
        if name not in answer:
            raise SceneError(f"the answer: {name} is missing; answer every question before you look.")
        marking = {"place": _mark_place, "layers": _mark_layers, "choice": _mark_cure}.get(QUESTIONS[name].kind, _mark_number)
        out.append(marking(told, name, answer[name]))
    return out


def score(marks: Sequence[Marked]) -> int:
    """Points out of 100: the mean over the questions."""
    return round(100.0 * sum(one.points for one in marks) / len(marks))


def grade(points: int) -> str:
    """What to say of a score, out loud.

    >>> grade(95), grade(40)
    ('you could set this up', 'look at the pictures, then try another one')
    """
    if points >= 85:
        return "you could set this up"
    return "nearly: read why, then try another one" if points >= 60 else "look at the pictures, then try another one"


def _mark_place(told: Truth, name: str, given: Any) -> Marked:
    say, length = Say(told.scene.job.units), told.scene.bore.length
    if given != NOWHERE and not 0.0 <= given[1] <= length:
        raise SceneError(f"the answer: where = {say.size(given[1])} deep: must lie in the bore (0 to {say.size(length)}).")
    reach, away = told.result.finish.radius * HOURS_OFF, math.inf
    if given == NOWHERE:
        points = 0.0 if len(told.black) else 1.0
        inputs = "nothing stays black" if points else "something stays black"
    else:
        away = told.away(*given)
        points = max(0.0, 1.0 - away / reach) if math.isfinite(away) else 0.0
        inputs = f"1 - {say.size(away, 1)} / {say.size(reach, 1)}" if math.isfinite(away) else "nothing stays black"
    spot = told.result.stock.spot
    found = "nowhere: metal everywhere"
    if len(told.black):
        found = f"worst at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} deep"
        if math.isfinite(away):
            found += "; your mark is on black" if away < 0.05 else f"; your mark is {say.size(away, 1)} from the nearest black"
    shown = NOWHERE if given == NOWHERE else f"{clock_text(given[0])} o'clock, {say.size(given[1], 0)} deep"
    rule = Explained(
        "points for the place", f"{100 * points:.0f} of 100", "1 - distance along the wall to the nearest black / two hours of the clock",
        inputs, DERIVED, "distance from the engine's own stock, exact along depth",
    )  # fmt: skip
    return Marked(name, QUESTIONS[name].asks, shown, found, points, why_there(told), rule)


def _mark_layers(told: Truth, name: str, given: Any) -> Marked:
    if isinstance(given, bool) or given != int(given) or not 0 <= given <= 40:
        raise SceneError(f"the answer: layers = {given}: must be a whole number from 0 to 40.")
    off = abs(int(given) - told.needed) if given and told.needed else (0 if given == told.needed else 9)
    points = {0: 1.0, 1: 0.5}.get(off, 0.0)
    rule = Explained(
        "points for the layers", f"{100 * points:.0f} of 100", "all when right, half when one off",
        f"{int(given)} given, {told.needed} found", DERIVED, "the job laid with one layer, two, and so on, until the least stock reaches the minimum cut",
    )  # fmt: skip
    return Marked(name, QUESTIONS[name].asks, _layers(int(given)), _layers(told.needed), points, _why_layers(told), rule)


def _layers(count: int) -> str:
    return "no number of layers" if count == 0 else f"{count} layer{'s' if count > 1 else ''}"


def _why_layers(told: Truth) -> str:
    say = Say(told.scene.job.units)
    most = max(told.needed, len(told.result.layers)) + 1
    parts = [f"- {_layers(n)}: {say.size(one.minimum)}" for n, one in enumerate(told.tried[:most], 1) if one is not None]
    return "\n".join([f"Least stock per side; asked for is {say.size(told.scene.cut.minimum_cut)} everywhere:", "", *parts])


def _mark_number(told: Truth, name: str, given: Any) -> Marked:
    asked = QUESTIONS[name]
    if not isinstance(given, (int, float)) or not math.isfinite(given) or not 0.0 <= given <= 3000.0:
        raise SceneError(f"the answer: {name} = {given}: must be a number from 0 on.")
    right = asked.value(told)
    off = abs(float(given) - right)
    points = min(max((asked.far - off) / (asked.far - asked.near), 0.0), 1.0)
    say = Say(told.scene.job.units)

    def shown(value: float) -> str:
        return f"{value:.0f} %" if asked.kind == "number" else say.size(value)

    rule = Explained(
        f"points for {name}", f"{100 * points:.0f} of 100", f"all within {shown(asked.near) if asked.kind != 'number' else '5 %'}, none from {shown(asked.far)} off",
        f"{shown(float(given))} given, {shown(right)} found", DERIVED, "simulated",
    )  # fmt: skip
    return Marked(name, asked.asks, shown(float(given)), shown(right), points, asked.why(told), rule)


def _mark_cure(told: Truth, name: str, given: Any) -> Marked:
    if given not in CURES:
        raise SceneError(f"the answer: cure = '{given}'{nearest(str(given), CURES)}")
    chosen, best = next(one for one in told.cures if one.name == given), told.best_cure
    points = 0.0
    if chosen.works and best is not None:
        points = 1.0 if chosen.wire <= 1.02 * best.wire else 0.6
    found = "none of these cleans it up" if best is None else best.words
    rule = Explained(
        "points for the cure", f"{100 * points:.0f} of 100", "all for the one with the least wire, 60 for another that works",
        f"{chosen.words}: {'works' if chosen.works else 'does not work'}", DERIVED, "every change on offer simulated",
    )  # fmt: skip
    return Marked(name, QUESTIONS[name].asks, chosen.words, found, points, _why_cure(told), rule)


def _why_cure(told: Truth) -> str:
    say = Say(told.scene.job.units)
    density = told.scene.wire.density
    parts = []
    for one in told.cures:
        if math.isfinite(one.least):
            amount = f"{say.size(one.least)} least" if one.least >= 0 else f"{say.size(-one.least)} short"
            parts.append(f"- {one.words}: {'cleans up' if one.works else 'no'}, {amount} per side, {say.mass(one.wire * density)} of wire")
        else:
            parts.append(f"- {one.words}: the metal does not fit")
    return "\n".join(["Every change laid:", "", *parts])


WHY = {
    cause.VALLEY: "Beads are round on top: where two meet stays a valley, and the wider the pitch the deeper it is. The mean looks fine; the valley does not.",
    cause.CLIMBING: "Where the torch climbs the metal hangs back: the bead gets narrow and tall, the pitch is too wide for it, and the valleys there are the deepest.",
    cause.END_WEDGE: "A spiral begins and ends at one clock: over its first and last turn a wedge one pitch long gets no metal. A closing turn with the feed off fills it.",
    cause.AXIS: "The finish cut runs about another axis than the build-up: one side gets more stock, the other as much less. That side stays low.",
    cause.TOO_FEW: "The layers together are thinner than what is needed: not a valley is short but the whole wall.",
    cause.POCKET: "The wall was worn deeper here before welding, and the weld follows the wall it lies on.",
    cause.NO_WELD: "The arc was off here: no metal, nothing to bore.",
}


def why_there(told: Truth) -> str:
    """Why it is low where it is, in plain words."""
    spots = told.result.low_spots
    if not spots:
        return _why_short(told)
    return f"{spots[0].cause.capitalize()}. {WHY[spots[0].cause]}"


# ---- answers as text ---------------------------------------------------------------------------------------------


def parse_answer(scene: Scene, name: str, text: str) -> Any:
    """An answer typed by a person, such as 9:30@50, nowhere, 2, or 79.2. Raises SceneError with one sentence."""
    if name not in QUESTIONS:
        raise SceneError(f"the answer: unknown question '{name}'{nearest(name, QUESTIONS)}")
    kind, units = QUESTIONS[name].kind, scene.job.units
    if kind == "choice" or text.strip().lower() == NOWHERE:
        return text.strip()
    try:
        if kind == "place":
            clock, at, depth = text.partition("@")
            if not at:
                raise ValueError(f"'{text}': must be clock@depth such as 9:30@50, or nowhere")
            hours = typed(clock, "clock", units)[1]
            if not 0.0 <= hours <= 12.0:
                raise ValueError(f"'{text}': the clock must be from 0 to 12")
            return hours * math.pi / 6.0, _inside(depth, "length", units)
        return _inside(text, "number" if kind == "layers" else kind, units)
    except ValueError as fault:
        raise SceneError(f"the answer: {name} = {fault}.") from None


def _inside(text: str, kind: str, units: str) -> float:
    suffix, number = typed(text, kind, units)
    return next(unit for unit in KINDS[kind] if unit.suffix == suffix).inside(number)


# ---- exercise files ------------------------------------------------------------------------------------------------

USUAL = ("where", "layers", "short")


def of_scene(
    scene: Scene, *, title: str = "", task: str = "", questions: Sequence[str] = USUAL, name: str = "the exercise"
) -> Exercise:
    """An exercise from any scene; what the scene's own note gives away is left out. Raises SceneError."""
    if scene.job.stage == AFTER:
        raise SceneError(f"{name}: [job] stage = \"after the finish cut\": a guess comes before the cut; set an earlier stage.")
    if scene.readings is not None and scene.readings.file:
        held = scene.readings
        scene = replace(scene, readings=replace(held, file="", table=held.text))
    plain = replace(scene, job=replace(scene.job, note=""))
    told = Exercise(title or scene.job.name or "Guess, then see", task or USUAL_TASK, tuple(questions), plain)
    _check(told, name)
    return told


USUAL_TASK = "Look at the job, then say what will come of it before anybody strikes the arc."


def _check(exercise: Exercise, name: str) -> None:
    if not exercise.questions:
        raise SceneError(f"{name}: [exercise] questions = []: must name at least one of {', '.join(QUESTIONS)}.")
    for one in exercise.questions:
        if one not in QUESTIONS:
            raise SceneError(f"{name}: [exercise] questions: unknown question '{one}'{nearest(one, QUESTIONS)}")
    if len(set(exercise.questions)) < len(exercise.questions):
        raise SceneError(f"{name}: [exercise] questions: one of them twice; name each once.")


def exercise_text(exercise: Exercise) -> str:
    """The exercise as a file: the scene and one section more; no answer is in it."""
    import json

    lines = [
        "",
        "[exercise]  # guess, then see: the answer is not in this file, the tool lays the job and looks.",
        f"title = {json.dumps(exercise.title, ensure_ascii=False)}",
        f"task = {json.dumps(exercise.task, ensure_ascii=False)}",
        f"questions = {json.dumps(list(exercise.questions))}  # any of {', '.join(QUESTIONS)}",
    ]
    return to_text(exercise.scene, whole=True) + "\n".join(lines) + "\n"


def read_exercise(data: bytes, *, name: str) -> Exercise:
    """An exercise file checked. Raises SceneError with one sentence for anything else."""
    try:
        raw = tomllib.loads(decoded(data, name=name))
    except tomllib.TOMLDecodeError as fault:
        raise SceneError(f"{name}: not valid TOML: {fault}; mend that line.") from None
    except RecursionError:
        raise SceneError(f"{name}: nested too deeply to be an exercise; use flat sections.") from None
    asked = raw.pop("exercise", None)
    if not isinstance(asked, Mapping):
        raise SceneError(f"{name}: no section [exercise]; open a scene as a job, or make an exercise of it first.")
    fields = {f.name for f in dataclasses.fields(Exercise)} - {"scene"}
    for key, value in asked.items():
        if key not in fields:
            raise SceneError(f"{name}: [exercise] unknown key '{key}'{nearest(key, dict.fromkeys(fields))}")
        if key == "questions":
            if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
                raise SceneError(f"{name}: [exercise] questions: must be a list such as [\"where\", \"layers\"].")
        elif not isinstance(value, str) or len(value) > LONGEST:
            raise SceneError(f"{name}: [exercise] {key}: must be text in quotes, at most {LONGEST} letters.")
    scene = from_mapping(raw, name=name)
    return of_scene(scene, title=asked.get("title", ""), task=asked.get("task", ""), questions=asked.get("questions", USUAL), name=name)


# ---- the seven -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Kind:
    """One of the seven: title, task, questions, how a scene is drawn, and what must come of it."""

    title: str
    task: str
    questions: tuple[str, ...]
    drawn: Callable[[np.random.Generator | None], dict[str, Any]]
    shows: Callable[[Truth], bool]


def _pick(random: np.random.Generator | None, usual: Any, others: Sequence[Any]) -> Any:
    """The usual value, or one of the others where variations are asked for."""
    return usual if random is None else others[int(random.integers(len(others)))]


SIZES = (60.0, 65.0, 70.0, 75.0, 80.0, 90.0, 100.0)
LENGTHS = (60.0, 70.0, 80.0, 90.0)


def _raw(random: np.random.Generator | None, pitch: float, layers: int, deeper: float, **layer: Any) -> dict[str, Any]:
    """A scene as in a file: an invented eye, pre-bored `deeper` [mm on diameter] past its final size."""
    final = _pick(random, 80.0, SIZES)
    turning = _pick(random, "clockwise", ("clockwise", "counter-clockwise"))
    return {
        "schema": 1,
        "job": {"name": _pick(random, NAMES[0], NAMES)},
        "bore": {"final_diameter_mm": final, "length_mm": _pick(random, 80.0, LENGTHS), "location_zone_mm": 0.3},
        "worn": {"diameter_mm": final + deeper - 1.2, "out_of_round_mm": 0.8, "out_of_round_at_oclock": 6.0},
        "pre_bore": {"diameter_mm": final + deeper},
        "wire": {"diameter_mm": 1.0, "feed_measured": True},
        "bead": {"width_mm": 5.0, "height_mm": 1.8, "wire_feed_m_per_min": 3.5, "travel_mm_per_min": 440.0},
        "layer": [{"repeat": layers, "pitch_mm": round(pitch, 2), "wire_feed_m_per_min": 3.5, "travel_mm_per_min": 440.0, "turning": turning, **layer}],
    }


NAMES = (
    "Ferry ramp hinge eye (invented)",
    "Lock gate pintle bush seat (invented)",
    "Harbour crane slew pin bore (invented)",
    "Mooring winch drum eye (invented)",
)


def _coarse(random: np.random.Generator | None) -> dict[str, Any]:
    raw = _raw(random, _pick(random, 4.5, (4.3, 4.4, 4.5, 4.6)), 1, _pick(random, 2.2, (2.0, 2.2, 2.4)))
    raw["bore"]["inclination_deg"] = 90.0
    return raw


def _wedge(random: np.random.Generator | None) -> dict[str, Any]:
    start = _pick(random, 12.0, (1.0, 2.0, 4.0, 5.0, 7.0, 8.0, 10.0, 11.0))
    return _raw(random, _pick(random, 3.3, (3.2, 3.3, 3.4)), 2, 3.4, closing_start=0, closing_end=0, shift_deg=0.0, start_at_oclock=start)


def _low_side(random: np.random.Generator | None) -> dict[str, Any]:
    raw = _raw(random, _pick(random, 3.3, (3.2, 3.3)), 2, 3.6)
    off, clock = _pick(random, 1.6, (1.5, 1.6, 1.8)), _pick(random, 4.0, (1.0, 2.0, 4.0, 5.0, 7.0, 8.0, 10.0, 11.0))
    raw["axes"] = {
        "finish_entry_mm": off, "finish_entry_at_oclock": clock, "finish_far_mm": off, "finish_far_at_oclock": clock,
    }  # fmt: skip
    return raw


def _climbing(random: np.random.Generator | None) -> dict[str, Any]:
    return _raw(random, _pick(random, 4.0, (3.9, 4.0, 4.1)), 2, _pick(random, 3.6, (3.4, 3.6)))


def _lying(random: np.random.Generator | None) -> dict[str, Any]:
    return _raw(random, _pick(random, 3.5, (3.4, 3.5, 3.6)), 1, _pick(random, 3.0, (2.8, 3.0)))


def _few(random: np.random.Generator | None) -> dict[str, Any]:
    laid = _pick(random, 2, (1, 2))
    return _raw(random, _pick(random, 3.3, (3.2, 3.3, 3.4)), laid, 0.8 + 3.6 * laid)


def _much(random: np.random.Generator | None) -> dict[str, Any]:
    return _raw(random, _pick(random, 3.2, (3.1, 3.2, 3.3)), _pick(random, 4, (3, 4)), 3.4)


PLAIN = 0.15
"""Shortfall [mm per side] from which nobody can overlook it."""


def _shows(told: Truth, why: str) -> bool:
    spots = told.result.low_spots
    return bool(spots) and spots[0].cause == why and -spots[0].stock > PLAIN


SEVEN: dict[str, Kind] = {
    "pitch too coarse": Kind(
        "1. Pitch too coarse",
        "The bore stands upright, so no side climbs. One layer, and somebody wound the pitch up to save time.",
        ("where", "layers", "pitch"), _coarse, lambda t: _shows(t, cause.VALLEY) and t.needed > 0 and t.pitch > 0.0,
    ),
    "end wedge": Kind(
        "2. End wedge",
        "A spiral from face to face, close pitch, every layer started at the same clock, no closing turns.",
        ("where", "layers", "cure"), _wedge, lambda t: _shows(t, cause.END_WEDGE) and t.best_cure is not None,
    ),
    "low side": Kind(
        "3. Low side",
        "The bar was taken down after welding and set up again for the last cut. Look where the finish axis is now.",
        ("where", "short", "cure"), _low_side, lambda t: _shows(t, cause.AXIS) and t.best_cure is not None,
    ),
    "climbing side": Kind(
        "4. Climbing side",
        "The bore lies level and the torch goes round at one speed. Which way does it turn, and where does it climb?",
        ("where", "layers", "cure"), _climbing, lambda t: _shows(t, cause.CLIMBING) and t.best_cure is not None,
    ),
    "the gauge that lies": Kind(
        "5. The gauge that lies",
        "One layer is on and you gauge it. What will the gauge read, how large is the bore in the valley, and is one layer enough?",
        ("gauge", "valley", "layers"), _lying, lambda t: _gauge(t) < t.scene.bore.final_diameter < _valley(t) and t.needed > 1,
    ),
    "one layer too few": Kind(
        "6. One layer too few",
        "The pitch is close and the turns are closed. Is there enough metal?",
        ("where", "layers", "short"), _few, lambda t: _shows(t, cause.TOO_FEW) and t.needed == len(t.result.layers) + 1,
    ),
    "too much metal": Kind(
        "7. Too much metal",
        "Nobody wants to weld twice, so they laid plenty. How many layers would have done, and what went to chips?",
        ("where", "layers", "chips"), _much, lambda t: 0 < t.needed < len(t.result.layers),
    ),
}  # fmt: skip


MOST_VARIATIONS = 9999


def made(name: str, variation: int = 0) -> Truth:
    """One of the seven, laid: as it usually is, or a numbered variation of it; every one shows what it is there for.

    Raises SceneError for a name that is none of them.

    >>> told = made("end wedge")
    >>> told.result.low_spots[0].cause, told.needed
    ('end wedge', 0)
    """
    if name not in SEVEN:
        raise SceneError(f"the exercise: '{name}'{nearest(name, SEVEN)}")
    if not 0 <= variation <= MOST_VARIATIONS:
        raise SceneError(f"the exercise: variation = {variation}: must be from 0 to {MOST_VARIATIONS}.")
    kind = SEVEN[name]
    for attempt in range(40):
        random = np.random.default_rng((variation, attempt)) if variation else None
        scene = from_mapping(kind.drawn(random), name=name)
        told = truth(Exercise(kind.title, kind.task, kind.questions, scene))
        if kind.shows(told):
            return told
    raise SceneError(f"the exercise: variation = {variation}: none found that shows it; take another number.")


def job_lines(scene: Scene) -> list[tuple[str, str]]:
    """The job as an apprentice needs to see it: what and how much, in the job's units."""
    say, plan, axes = Say(scene.job.units), scene.layer[0], layup.axes_of(scene)
    before = scene.pre_bore.diameter if scene.pre_bore is not None else scene.worn.diameter
    lines = [
        ("Final size, on diameter", say.size(scene.bore.final_diameter)),
        ("Pre-bored to, on diameter" if scene.pre_bore is not None else "Smallest worn size, on diameter", say.size(before)),
        ("Length of the bore", say.size(scene.bore.length, 0)),
        ("The bore", _lies(scene)),
        ("Layers laid", str(len(scene.layers))),
        ("Pitch", say.size(plan.pitch) if plan.pitch is not None else f"bead overlap {100 * float(plan.bead_overlap or 0):.0f} %"),
        ("Bead on a plate", f"{say.size(scene.bead.width)} wide, {say.size(scene.bead.height)} high" if scene.bead else "not measured"),
        ("Torch turns", f"{plan.turning}, seen from the entry face"),
        ("Advance", _advance(plan)),
        ("Finish axis", _finish(axes, say)),
        ("Least cut asked for", f"{say.size(scene.cut.minimum_cut)} per side"),
    ]
    return lines


def _lies(scene: Scene) -> str:
    tilt = math.degrees(scene.bore.inclination)
    return "lies level" if abs(tilt) < 1.0 else "stands upright" if abs(tilt) > 89.0 else f"runs downhill by {tilt:.0f} degrees"


def _advance(plan: LayerPlan) -> str:
    start = f"start at {clock_text(plan.start_at)}, moved {math.degrees(plan.shift):.0f} degrees each layer"
    if plan.advance == "step":
        return f"full turns with a step between, {start}"
    turns = f"{plan.closing_start} closing turn(s) first, {plan.closing_end} last"
    return f"spiral, {turns if plan.closing_start or plan.closing_end else 'no closing turns'}, {start}"


def _finish(axes: AxesOf, say: Say) -> str:
    x, y = (f - p for f, p in zip(axes.finish.entry, axes.pre_bore.entry, strict=True))
    off = math.hypot(x, y)
    if off < 1e-9:
        return "that of the pre-bore"
    return f"{say.size(off)} off the pre-bore axis, towards {clock_text(math.atan2(x, -y) % TURN)}"


