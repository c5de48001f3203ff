"""Which bore of a bar a thing is in. Holes, damage, areas and readings after layers name their bore;
without a name they are in the first one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sim.job.scene import Scene
from sim.reference.errors import SceneError

FIRST = "first bore"


PLACED = (
    "gouge", "groove", "oil_hole", "keyway", "no_weld", "pre_bore_black", "reading_after",
)  # fmt: skip
"""Sections of a scene whose entries are in one bore of the bar."""


DAMAGE = PLACED[:-1]


def names(scene: Scene) -> list[str]:
    """What every bore of the bar is called, the scene's own first.

    >>> from sim.job.read import load
    >>> names(load("scenes/three_lugs.toml"))
    ['first bore', 'middle lug', 'far lug']
    """
    others = enumerate(scene.bore_on_bar, 2)
    return [FIRST, *(other.name or f"bore {number}" for number, other in others)]


def number_of(scene: Scene, bore: str, where: str) -> int:
    """Number from 0 of the bore of this name, "" the first. Raises SceneError with one sentence."""
    known = names(scene)
    if not bore:
        return 0
    if known.count(bore) == 1:
        return known.index(bore)
    if bore in known:
        raise SceneError(
            f"{where} bore = '{bore}': {known.count(bore)} bores of the bar are called so; give "
            "each a name of its own."
        )
    if len(known) == 1:
        raise SceneError(
            f"{where} bore = '{bore}': there is no other bore on the bar; leave it out."
        )
    raise SceneError(f"{where} bore = '{bore}': must be one of {', '.join(known)}.")


def length_of(scene: Scene, number: int) -> float:
    """Length [mm] of a bore of the bar."""
    other = scene.bore_on_bar[number - 1] if number else None
    return (other.length if other is not None else None) or scene.bore.length


def own(scene: Scene, number: int) -> dict[str, Any]:
    """What is in one bore of the bar, by section, as a scene of its own has it."""
    called = names(scene)[number]
    mine = (called,) if number else ("", called)
    return {
        section: tuple(replace(one, bore="") for one in getattr(scene, section) if one.bore in mine)
        for section in PLACED
    }


def alone(scene: Scene) -> Scene:
    """The first bore of a bar as a scene of its own; a bore that is alone is itself."""
    if not scene.bore_on_bar:
        return scene
    return replace(scene, bore_on_bar=(), update_on_bar=(), **own(scene, 0))


def unnamed(scene: Scene) -> list[str]:
    """Holes, damage and areas of a bar that do not say which bore they are in, as `gouge 1`."""
    return [
        f"{section} {k}"
        for section in DAMAGE
        for k, one in enumerate(getattr(scene, section), 1)
        if scene.bore_on_bar and not one.bore
    ]
