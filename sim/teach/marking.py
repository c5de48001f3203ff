"""Answers marked against what was laid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.job.values import nearest
from sim.plan.odds.verdict import Decision
from sim.reference.defaults import DERIVED
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Explained, Say
from sim.reference.units import clock_text
from sim.shop.judge import CLEANS_UP, VERDICTS
from sim.shop.low_spot_causes import AXIS, CLIMBING, END_WEDGE, NO_WELD, POCKET, TOO_FEW, VALLEY
from sim.teach.questions import NOWHERE, QUESTIONS, Answer, why_short
from sim.teach.truth import CURES, Truth


@dataclass(frozen=True)
class Marked:
    """One question marked: what was asked, given and found, points from 0 to 1, why, and how the
    points come about.
    """

    question: str
    asked: str
    given: str
    found: str
    points: float
    why: str
    explained: Explained


HOURS_OFF = math.pi / 3.0
"""A mark this far off round the clock [rad], or as far along the bore, earns nothing."""


def mark(told: Truth, answer: Answer) -> list[Marked]:
    """Every question marked. Raises SceneError for an answer that is missing or nonsense."""
    out = []
    for name in told.exercise.questions:
        if name not in answer:
            raise SceneError(
                f"the answer: {name} is missing; answer every question before you look."
            )
        if answer[name] is None:
            raise SceneError(f"the answer: {name} is blank; answer every question before you look.")
        if name == "verdict":
            out.append(_mark_verdict(told, answer[name]))
            continue
        marking = {"place": _mark_place, "layers": _mark_layers, "choice": _mark_cure}.get(
            QUESTIONS[name].kind, _mark_number
        )
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
    return (
        "nearly: read why, then try another one"
        if points >= 60
        else "look at the pictures, then try another one"
    )


def _mark_verdict(told: Truth, given: Any) -> Marked:
    """All for the right one, half for its neighbour on the scale, nothing for a false yes."""
    if given not in VERDICTS:
        raise SceneError(
            f"the answer: verdict = '{given}'{nearest(str(given), dict.fromkeys(VERDICTS))}"
        )
    found = told.decided.verdict
    off = abs(VERDICTS.index(given) - VERDICTS.index(found))
    points = {0: 1.0, 1: 0.5}.get(off, 0.0)
    if given == CLEANS_UP != found:
        points = 0.0
    rule = Explained(
        "points for the verdict", f"{100 * points:.0f} of 100",
        "all for the right one, half for the next to it; a false 'cleans up' earns nothing",
        f"{given} given, {found} found", DERIVED, "drawn, as every verdict is",
    )  # fmt: skip
    n = told.decided.clean_up_of_100
    why = f"{n.value:.0f} of 100 such jobs clean up; asked for were {n.asked:g}."
    return Marked("verdict", QUESTIONS["verdict"].asks, str(given), found, points, why, rule)


def _mark_place(told: Truth, name: str, given: Any) -> Marked:
    say, length = Say(told.scene.job.units), told.scene.bore.length
    if given != NOWHERE and not 0.0 <= given[1] <= length:
        raise SceneError(
            f"the answer: where = {say.size(given[1])} deep: must lie in the bore (0 to "
            f"{say.size(length)})."
        )
    reach, away = told.result.finish.radius * HOURS_OFF, math.inf
    if given == NOWHERE:
        points = 0.0 if len(told.black) else 1.0
        inputs = "nothing stays black" if points else "something stays black"
    else:
        away = told.away(*given)
        points = max(0.0, 1.0 - away / reach) if math.isfinite(away) else 0.0
        inputs = (
            f"1 - {say.size(away, 1)} / {say.size(reach, 1)}"
            if math.isfinite(away)
            else "nothing stays black"
        )
    spot = told.result.stock.spot
    found = "nowhere: metal everywhere"
    if len(told.black):
        found = f"worst at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} deep"
        if math.isfinite(away):
            found += (
                "; your mark is on black"
                if away < 0.05
                else f"; your mark is {say.size(away, 1)} from the nearest black"
            )
    shown = (
        NOWHERE
        if given == NOWHERE
        else f"{clock_text(given[0])} o'clock, {say.size(given[1], 0)} deep"
    )
    rule = Explained(
        "points for the place", f"{100 * points:.0f} of 100",
        "1 - distance along the wall to the nearest black / two hours of the clock",
        inputs, DERIVED, "distance from the engine's own stock, exact along depth",
    )  # fmt: skip
    return Marked(name, QUESTIONS[name].asks, shown, found, points, why_there(told), rule)


def _mark_layers(told: Truth, name: str, given: Any) -> Marked:
    if isinstance(given, bool) or given != int(given) or not 0 <= given <= 40:
        raise SceneError(f"the answer: layers = {given}: must be a whole number from 0 to 40.")
    off = (
        abs(int(given) - told.needed)
        if given and told.needed
        else (0 if given == told.needed else 9)
    )
    points = {0: 1.0, 1: 0.5}.get(off, 0.0)
    rule = Explained(
        "points for the layers", f"{100 * points:.0f} of 100", "all when right, half when one off",
        f"{int(given)} given, {told.needed} found", DERIVED,
        "the job laid and drawn with one layer, two, and so on, until as many clean up as asked",
    )  # fmt: skip
    return Marked(
        name,
        QUESTIONS[name].asks,
        _layers(int(given)),
        _layers(told.needed),
        points,
        _why_layers(told),
        rule,
    )


def _layers(count: int) -> str:
    return "no number of layers" if count == 0 else f"{count} layer{'s' if count > 1 else ''}"


def _why_layers(told: Truth) -> str:
    say = Say(told.scene.job.units)
    most = max(told.needed, len(told.result.layers)) + 1
    parts = [
        f"- {_layers(n)}: {say.size(one.minimum)} as planned{_of_100(told.drawn.get(n))}"
        for n, one in enumerate(told.tried[:most], 1)
        if one is not None
    ]
    return "\n".join(
        [
            f"Least stock per side; asked for is {say.size(told.scene.cut.minimum_cut)} "
            f"everywhere, in {100 * told.scene.confidence.asked:g} of 100 such jobs:",
            "",
            *parts,
        ]
    )


def _of_100(drawn: Decision | None) -> str:
    """How many of 100 clean up, where that was drawn."""
    return "" if drawn is None else f", {drawn.clean_up_of_100.value:.0f} of 100: {drawn.verdict}"


def _mark_number(told: Truth, name: str, given: Any) -> Marked:
    asked = QUESTIONS[name]
    if (
        not isinstance(given, (int, float))
        or not math.isfinite(given)
        or not 0.0 <= given <= 3000.0
    ):
        raise SceneError(f"the answer: {name} = {given}: must be a number from 0 on.")
    right = asked.value(told)
    off = abs(float(given) - right)
    points = min(max((asked.far - off) / (asked.far - asked.near), 0.0), 1.0)
    say = Say(told.scene.job.units)

    def shown(value: float) -> str:
        return f"{value:.0f} %" if asked.kind == "number" else say.size(value)

    rule = Explained(
        f"points for {name}", f"{100 * points:.0f} of 100",
        f"all within {shown(asked.near) if asked.kind != 'number' else '5 %'}, none from "
            f"{shown(asked.far)} off",
        f"{shown(float(given))} given, {shown(right)} found", DERIVED, "simulated",
    )  # fmt: skip
    return Marked(
        name, asked.asks, shown(float(given)), shown(right), points, asked.why(told), rule
    )


def _mark_cure(told: Truth, name: str, given: Any) -> Marked:
    if given not in CURES:
        raise SceneError(f"the answer: cure = '{given}'{nearest(str(given), CURES)}")
    chosen, best = next(one for one in told.cures if one.name == given), told.best_cure
    points = 0.0
    if chosen.works and best is not None:
        points = 1.0 if chosen.wire <= 1.02 * best.wire else 0.6
    found = "none of these does" if best is None else best.words
    rule = Explained(
        "points for the cure", f"{100 * points:.0f} of 100",
        "all for the one with the least wire, 60 for another that does as planned",
        f"{chosen.words}: {'does' if chosen.works else 'does not'}", DERIVED,
        "every change on offer simulated",
    )  # fmt: skip
    return Marked(name, QUESTIONS[name].asks, chosen.words, found, points, _why_cure(told), rule)


def _why_cure(told: Truth) -> str:
    say = Say(told.scene.job.units)
    density = told.scene.wire.density
    parts = []
    for one in told.cures:
        if math.isfinite(one.least):
            amount = (
                f"{say.size(one.least)} least"
                if one.least >= 0
                else f"{say.size(-one.least)} short"
            )
            parts.append(
                f"- {one.words}: {'does' if one.works else 'no'}, {amount} per side, "
                f"{say.mass(one.wire * density)} of wire"
            )
        else:
            parts.append(f"- {one.words}: the metal does not fit")
    best, drawn = told.best_cure, told.cured
    sure = f"\nAllowing for normal shop variation, {best.words}{_of_100(drawn)}." if best else ""
    return "\n".join(["Every change laid as planned:", "", *parts, sure])


WHY = {
    VALLEY: "Beads are round on top: where two meet stays a valley, and the wider the pitch the "
    "deeper it is. The mean looks fine; the valley does not.",
    CLIMBING: "Where the torch climbs the metal hangs back: the bead gets narrow and tall, the pitch "
    "is too wide for it, and the valleys there are the deepest.",
    END_WEDGE: "A spiral begins and ends at one clock: over its first and last turn a wedge one pitch "
    "long gets no metal. A closing turn with the feed off fills it.",
    AXIS: "The finish cut runs about another axis than the build-up: one side gets more stock, the "
    "other as much less. That side stays low.",
    TOO_FEW: "The layers together are thinner than what is needed: not a valley is short but the "
    "whole wall.",
    POCKET: "The wall was worn deeper here before welding, and the weld follows the wall it lies on.",
    NO_WELD: "The arc was off here: no metal, nothing to bore.",
}


def why_there(told: Truth) -> str:
    """Why it is low where it is, in plain words."""
    spots = told.result.low_spots
    if not spots:
        return why_short(told)
    return f"{spots[0].cause.capitalize()}. {WHY[spots[0].cause]}"
