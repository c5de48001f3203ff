"""The seven exercises that come with the tool."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.job.read import from_mapping
from sim.job.values import nearest
from sim.reference.errors import SceneError
from sim.shop.low_spot_causes import AXIS, CLIMBING, END_WEDGE, TOO_FEW, VALLEY
from sim.teach.questions import deepest_valley, gauge_least
from sim.teach.truth import Exercise, Truth, truth


@dataclass(frozen=True)
class ExerciseKind:
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


def _raw(
    random: np.random.Generator | None, pitch: float, layers: int, deeper: float, **layer: Any
) -> dict[str, Any]:
    """A scene as in a file: an invented eye, pre-bored `deeper` [mm on diameter] past its final
    size.
    """
    final = _pick(random, 80.0, SIZES)
    turning = _pick(random, "clockwise", ("clockwise", "counter-clockwise"))
    return {
        "schema": 1,
        "job": {"name": _pick(random, NAMES[0], NAMES)},
        "bore": {
            "final_diameter_mm": final,
            "length_mm": _pick(random, 80.0, LENGTHS),
            "location_zone_mm": 0.3,
        },
        "worn": {
            "diameter_mm": final + deeper - 1.2,
            "out_of_round_mm": 0.8,
            "out_of_round_at_oclock": 6.0,
        },
        "pre_bore": {"diameter_mm": final + deeper},
        "wire": {"diameter_mm": 1.0, "feed_measured": True},
        "bead": {
            "width_mm": 5.0,
            "height_mm": 1.8,
            "wire_feed_m_per_min": 3.5,
            "travel_mm_per_min": 440.0,
        },
        "layer": [
            {
                "repeat": layers,
                "pitch_mm": round(pitch, 2),
                "wire_feed_m_per_min": 3.5,
                "travel_mm_per_min": 440.0,
                "turning": turning,
                **layer,
            }
        ],
    }


NAMES = (
    "Ferry ramp hinge eye (invented)",
    "Lock gate pintle bush seat (invented)",
    "Harbour crane slew pin bore (invented)",
    "Mooring winch drum eye (invented)",
)


def _coarse(random: np.random.Generator | None) -> dict[str, Any]:
    raw = _raw(
        random, _pick(random, 4.5, (4.3, 4.4, 4.5, 4.6)), 1, _pick(random, 2.2, (2.0, 2.2, 2.4))
    )
    raw["bore"]["inclination_deg"] = 90.0
    return raw


def _wedge(random: np.random.Generator | None) -> dict[str, Any]:
    start = _pick(random, 12.0, (1.0, 2.0, 4.0, 5.0, 7.0, 8.0, 10.0, 11.0))
    return _raw(
        random,
        _pick(random, 3.3, (3.2, 3.3, 3.4)),
        2,
        3.4,
        closing_start=0,
        closing_end=0,
        shift_deg=0.0,
        start_at_oclock=start,
    )


def _low_side(random: np.random.Generator | None) -> dict[str, Any]:
    raw = _raw(random, _pick(random, 3.3, (3.2, 3.3)), 2, 3.6)
    off, clock = (
        _pick(random, 1.6, (1.5, 1.6, 1.8)),
        _pick(random, 4.0, (1.0, 2.0, 4.0, 5.0, 7.0, 8.0, 10.0, 11.0)),
    )
    raw["axes"] = {
        "finish_entry_mm": off, "finish_entry_at_oclock": clock, "finish_far_mm": off,
        "finish_far_at_oclock": clock,
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
    return _raw(random, _pick(random, 3.2, (3.1, 3.2, 3.3)), _pick(random, 4, (4, 5)), 3.4)


PLAIN = 0.15
"""Shortfall [mm per side] from which nobody can overlook it."""


def _shows(told: Truth, why: str) -> bool:
    spots = told.result.low_spots
    return bool(spots) and spots[0].cause == why and -spots[0].stock > PLAIN


SEVEN: dict[str, ExerciseKind] = {
    "pitch too coarse": ExerciseKind(
        "1. An eye that stands upright",
        "The bore stands upright, so no side climbs. One layer, and somebody wound the pitch "
            "up to save time.",
        ("verdict", "where", "layers", "pitch"), _coarse,
        lambda t: _shows(t, VALLEY) and t.planned > 0 and t.pitch > 0.0,
    ),
    "end wedge": ExerciseKind(
        "2. From face to face",
        "A spiral from face to face, close pitch, every layer started at the same clock, no "
            "closing turns.",
        ("verdict", "where", "layers", "cure"), _wedge,
        lambda t: _shows(t, END_WEDGE) and t.best_cure is not None,
    ),
    "low side": ExerciseKind(
        "3. The bar set up again",
        "The bar was taken down after welding and set up again for the last cut. Look where "
            "the finish axis is now.",
        ("verdict", "where", "short", "cure"), _low_side,
        lambda t: _shows(t, AXIS) and t.best_cure is not None,
    ),
    "climbing side": ExerciseKind(
        "4. An eye that lies level",
        "The bore lies level and the torch goes round at one speed. Which way does it turn, "
            "and where does it climb?",
        ("verdict", "where", "layers", "cure"), _climbing,
        lambda t: _shows(t, CLIMBING) and t.best_cure is not None,
    ),
    "the gauge that lies": ExerciseKind(
        "5. What the gauge sees",
        "One layer is on and you gauge it. What will the gauge read, how large is the bore "
            "in the valley, and is one layer enough?",
        ("verdict", "gauge", "valley", "layers"), _lying,
        lambda t: gauge_least(t) < t.scene.bore.final_diameter < deepest_valley(t) and t.planned > 1,
    ),
    "one layer too few": ExerciseKind(
        "6. Turns closed, pitch close",
        "The pitch is close and the turns are closed. Is there enough metal?",
        ("verdict", "where", "layers", "short"), _few,
        lambda t: _shows(t, TOO_FEW) and t.planned == len(t.result.layers) + 1,
    ),
    "too much metal": ExerciseKind(
        "7. Laid once and for all",
        "Nobody wants to weld twice, so they laid plenty. How many layers would have done, "
            "and what went to chips?",
        ("verdict", "where", "layers", "chips"), _much, lambda t: 0 < t.planned < len(t.result.layers) - 1,
    ),
}  # fmt: skip


MOST_VARIATIONS = 9999


def made(name: str, variation: int = 0) -> Truth:
    """One of the seven, laid: as it usually is, or a numbered variation of it; every one shows what
    it is there for.

    Raises SceneError for a name that is none of them.

    >>> told = made("end wedge")
    >>> told.result.low_spots[0].cause, told.planned
    ('end wedge', 0)
    """
    if name not in SEVEN:
        raise SceneError(f"the exercise: '{name}'{nearest(name, SEVEN)}")
    if not 0 <= variation <= MOST_VARIATIONS:
        raise SceneError(
            f"the exercise: variation = {variation}: must be from 0 to {MOST_VARIATIONS}."
        )
    kind = SEVEN[name]
    for attempt in range(40):
        random = np.random.default_rng((variation, attempt)) if variation else None
        scene = from_mapping(kind.drawn(random), name=name)
        told = truth(Exercise(kind.title, kind.task, kind.questions, scene))
        if kind.shows(told):
            return told
    raise SceneError(
        f"the exercise: variation = {variation}: none found that shows it; take another number."
    )
