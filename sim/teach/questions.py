"""The questions of an exercise."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from sim.job.scene import Scene
from sim.job.values import nearest
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, clock_text, typed
from sim.teach.truth import Truth

NOWHERE = "nowhere"


@dataclass(frozen=True)
class Question:
    """A question: how it is asked, the kind of its answer (see sim.units; place, layers or choice),
    how it is marked.

    value: what is right, in mm or %; full marks up to `near` away from it, none from `far` on, in
    between in proportion.
    """

    asks: str
    kind: str
    value: Callable[[Truth], float] = lambda _: 0.0
    near: float = 0.0
    far: float = 1.0
    why: Callable[[Truth], str] = lambda _: ""


def gauge_least(told: Truth) -> float:
    """Smallest two-point reading after the last layer [mm on diameter]."""
    return told.result.layers[-1].gauge[0]


def deepest_valley(told: Truth) -> float:
    """Deepest valley after the last layer [mm on diameter]."""
    return told.result.layers[-1].valley


def _short(told: Truth) -> float:
    return max(-told.result.stock.spot.value, 0.0)


def _why_gauge(told: Truth) -> str:
    say, layer = Say(told.scene.job.units), told.result.layers[-1]
    return (
        f"A flat foot stands on the crests: it reads from {say.size(layer.gauge[0])} on "
        "diameter and never sees the valley at "
        f"{say.size(layer.valley)}. Never bore to a crest reading."
    )


def why_short(told: Truth) -> str:
    """Where the job is thinnest, and by how much."""
    say, spot = Say(told.scene.job.units), told.result.stock.spot
    where = f"at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} deep"
    if spot.value >= 0.0:
        return (
            f"The thinnest place, {where}, still has {say.size(spot.value)} per side to bore off."
        )
    return (
        f"The worst place is {where}: the wall there lies {say.size(-spot.value)} per side "
        "outside the finished bore."
    )


def _why_pitch(told: Truth) -> str:
    say, s = Say(told.scene.job.units), told.result.settings[-1]
    return (
        f"As planned, nothing strays. The bead is {say.size(s.bead.width)} wide: {say.size(told.pitch)} is "
        f"{told.pitch / s.bead.width:.2f} of that. "
        "A closer pitch lifts the valleys and lays more metal; both help."
    )


def _why_chips(told: Truth) -> str:
    if not told.chips:
        return "Fewer layers would not clean up: no wire was wasted."
    return (
        f"{told.needed} would have cleaned up; what the other "
        f"{len(told.result.layers) - told.needed} laid goes to chips, and costs arc and boring "
        "time twice."
    )


QUESTIONS: dict[str, Question] = {
    "verdict": Question("What is the verdict?", "choice"),
    "where": Question("Where will it fall short? Mark clock and depth.", "place"),
    "layers": Question(
        "How many layers are needed to clean up, laid in this way? 0 if no number would do.", "layers"
    ),
    "short": Question(
        "How much will be missing at the worst place, per side? 0 if nothing.",
        "length", _short, 0.1, 1.0, why_short,
    ),
    "gauge": Question(
        "What is the least the gauge will read after the last layer, on diameter?",
        "length", gauge_least, 0.15, 1.5, _why_gauge,
    ),
    "valley": Question(
        "How large is the bore at the deepest valley, on diameter?",
        "length", deepest_valley, 0.15, 1.5, _why_gauge,
    ),
    "pitch": Question(
        "What is the coarsest pitch that would do as planned, with as many layers?",
        "length", lambda t: t.pitch, 0.1, 1.0, _why_pitch,
    ),
    "chips": Question(
        "What part of the wire could have stayed on the spool, in %? 0 if none.",
        "number", lambda t: t.chips, 5.0, 40.0, _why_chips,
    ),
    "cure": Question("Which change does as planned, with the least wire?", "choice"),
}  # fmt: skip


Answer = Mapping[str, Any]
"""By question: verdict in words; where (clock [rad], depth [mm]) or NOWHERE; layers a whole number; lengths [mm];
chips [%]; cure a name.
"""


def parse_answer(scene: Scene, name: str, text: str) -> Any:
    """An answer typed by a person, such as 9:30@50, nowhere, 2, or 79.2. Raises SceneError with one
    sentence.
    """
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
