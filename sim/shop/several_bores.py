"""Several bores on one bar: each judged about the axes they share, and the axis that suits them
all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.bore.axis import Axis, Bores, best_axis
from sim.bore.cylinders import Bored
from sim.bore.stock import stock_cells
from sim.job.scene import Scene
from sim.job.sections.bore import Axes
from sim.set_up.axes_and_areas import axes_of
from sim.shop.deposit import Progress
from sim.shop.judge import FALLS_SHORT, NOT_PROVEN, THIN
from sim.shop.result import Result
from sim.shop.run import simulate


@dataclass(frozen=True)
class OnBar:
    """One bore of a bar: its name, where its entry face lies along the bar [mm], and its result."""

    name: str
    along: float
    result: Result


def bores(scene: Scene) -> list[tuple[str, float, Scene]]:
    """Every bore on the bar as a scene of its own: name, place along the bar [mm], scene. The first
    is the scene's own.

    Pre-bore, torch and finish axis are straight lines through all of them, so the offsets at
    another bore's faces
    follow from the first bore's.
    """
    first = replace(scene, bore_on_bar=())
    out = [("first bore", 0.0, first)]
    for number, other in enumerate(scene.bore_on_bar, 2):
        length = other.length or scene.bore.length
        given = {
            key: getattr(other, key)
            for key in ("diameter", "out_of_round", "out_of_round_at", "eccentric", "eccentric_at")
            if getattr(other, key) is not None
        }
        layers = tuple(replace(plan, start_depth=None, end_depth=None) for plan in scene.layer)
        one = replace(
            first,
            update=None,
            reading_after=(),
            bore=replace(scene.bore, length=length),
            worn=replace(scene.worn, **given),
            axes=_axes_at(scene, other.along, length),
            layer=layers,
        )
        out.append((other.name or f"bore {number}", other.along, one))
    return out


def _axes_at(scene: Scene, along: float, length: float) -> Axes:
    """The shared axes as offsets at the faces of a bore farther along the bar."""
    axes = axes_of(scene)
    values: dict[str, float] = {}
    for name, axis in (("pre_bore", axes.pre_bore), ("torch", axes.torch), ("finish", axes.finish)):
        for end, z in (("entry", along), ("far", along + length)):
            x, y = (float(v) for v in axis.at(z))
            values[f"{name}_{end}"] = float(np.hypot(x, y))
            values[f"{name}_{end}_at"] = float(np.arctan2(x, -y) % (2.0 * np.pi))
    return Axes(**values)


def simulate_bar(scene: Scene, *, progress: Progress | None = None) -> list[OnBar]:
    """Judge every bore on the bar. Raises SceneError when one cannot be done."""
    return [
        OnBar(name, along, simulate(one, progress=progress)) for name, along, one in bores(scene)
    ]


def worst_verdict(on_bar: Sequence[OnBar]) -> str:
    """The verdict of the bar: that of its worst bore."""
    order = (FALLS_SHORT, THIN, NOT_PROVEN)
    told = {one.result.verdict for one in on_bar}
    return next((v for v in order if v in told), on_bar[0].result.verdict)


def best_line(on_bar: Sequence[OnBar]) -> tuple[Axis, float]:
    """The straight finish axis within every bore's location zone that makes the least stock of all
    largest.

    Returned as offsets [mm] at depth 0 of the first bore and at the far face of the last, with that
    least stock [mm per
    side] to first order.
    """
    end = max(one.along + one.result.scene.bore.length for one in on_bar)
    sets = []
    for one in on_bar:
        bore = one.result.scene.bore
        edges = np.linspace(bore.chamfer_entry, bore.length - bore.chamfer_far, 41)
        about = Bored(Axis.straight(bore.length), one.result.finish.radius)
        cells = stock_cells(one.result.layers[-1].wall, about, one.result.axes.torch, edges, 72)
        sets.append(
            Bores(
                cells,
                edges + one.along,
                0.5 * bore.location_zone,
                (one.along, one.along + bore.length),
            )
        )
    entry, far, least = best_axis(sets, end)
    return Axis(entry, far, end), least


def worst_bore(on_bar: Sequence[OnBar]) -> OnBar:
    """The bore with the least stock per side."""
    return min(on_bar, key=lambda one: one.result.stock.spot.value)
