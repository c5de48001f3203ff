"""A first scene from five answers; everything else is a default that says how it is known."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from sim.job.plausible import far_off
from sim.job.read import from_mapping
from sim.job.scene import Scene
from sim.job.sections.bore import Bore
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.set_up.bead import bead_at


def quick_scene(
    original: float,
    worst: float,
    length: float,
    final: float,
    *,
    bead: tuple[float, float] | None = None,
    units: str = "mm",
    far: bool = False,
) -> Scene:
    """A scene from the original and worst diameter, length and final diameter [mm], and a bead's
    width and height [mm].

    The wear is taken as an oval from the original to the worst size, pre-bored just past it; layers
    are as many as bring the mean wall the usual allowance past the final size. far: sizes far from
    the original are right. Raises SceneError with one sentence.

    >>> quick_scene(80.0, 81.5, 100.0, 80.0, bead=(5.0, 1.8)).layer[0].repeat
    2
    """
    if worst < original:
        raise SceneError(
            f"worst size = {worst:g} mm: must be larger than the original, {original:g} mm; "
            "look which is which."
        )
    if not far:
        _refuse_far(original, worst, Bore(final_diameter=final, length=length))
    pre_bore = worst + default("quick.pre_bore")
    settings = {
        "wire_feed_m_per_min": default("quick.wire_feed"),
        "travel_mm_per_min": default("quick.travel"),
    }
    layer: dict[str, float] = {"pitch_mm": 1.0, "repeat": 1, **settings}
    raw: dict[str, Any] = {
        "schema": 1,
        "job": {
            "name": "From five answers",
            "note": "Everything but five sizes is a default.",
            "units": units,
        },
        "bore": {"final_diameter_mm": final, "length_mm": length, "original_diameter_mm": original},
        "worn": {"diameter_mm": original, "out_of_round_mm": worst - original},
        "pre_bore": {"diameter_mm": pre_bore},
        "wire": {"diameter_mm": default("quick.wire")},
        "layer": [layer],
    }
    raw["bore"]["far_from_original"] = far
    if bead is not None:
        raw["bead"] = {"width_mm": bead[0], "height_mm": bead[1], **settings}
    first = bead_at(from_mapping(raw, name="five answers"), *_speeds())
    layer["pitch_mm"] = round(default("quick.spacing") * first.width, 2)
    target = 0.5 * final - default("quick.allowance")
    layer["repeat"] = _layers_needed(0.5 * pre_bore, target, first.area / layer["pitch_mm"])
    return from_mapping(raw, name="five answers")


def _layers_needed(radius: float, target: float, thickness: float) -> int:
    """How many layers, 1 to 40, bring the mean wall from one radius to another [mm]; thickness: of
    a layer on a flat wall [mm].
    """
    count = 0
    while radius > target and count < 40:
        left = radius**2 - 2.0 * thickness * radius
        if left <= 0.0:
            break
        radius, count = math.sqrt(left), count + 1
    return max(count, 1)


def _refuse_far(original: float, worst: float, bore: Bore) -> None:
    """Refuse sizes far from what the bore was and shall be. Raises SceneError."""
    was = replace(bore, original_diameter=original)
    for what, size, like in (("original size", original, bore), ("worst size", worst, was)):
        why = far_off(size, like)
        if why:
            raise SceneError(
                f"{what} = {size:g} mm: {why} correct it, or say that it is far from the original."
            )


def _speeds() -> tuple[float, float]:
    """Usual wire feed and travel [mm/s]."""
    return default("quick.wire_feed") * 1000.0 / 60.0, default("quick.travel") / 60.0
