"""Several bores on one bar: each judged about the axes they share, and the axis that suits them
all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.bore.axis import Axis, Bores, best_axis, polar
from sim.bore.cylinders import Bored
from sim.bore.stock import stock_cells
from sim.job.on_bar import alone, names, number_of, own, unnamed
from sim.job.read import worn_of
from sim.job.scene import Scene
from sim.job.sections.bore import BAR_SIZES, Axes, ReadingsSource
from sim.job.sections.plan import FromReadings
from sim.reference.remarks import Remark, Tell
from sim.set_up.axes_and_areas import ALONE, Place, axes_of
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
    another bore's faces follow from the first bore's.
    """
    first, called, told = alone(scene), names(scene), _told(scene)
    out = [(called[0], 0.0, replace(first, update=told[0]))]
    for number, other in enumerate(scene.bore_on_bar, 1):
        length = other.length or scene.bore.length
        given = {key: getattr(other, key) for key in BAR_SIZES if getattr(other, key) is not None}
        worn, read = replace(scene.worn, **given), other.readings
        if read is not None:
            worn, read = worn_of(read), _bar_at(scene, read, other.along, length)
        cut = scene.pre_bore and replace(scene.pre_bore, looked=other.looked)
        layers = tuple(replace(plan, start_depth=None, end_depth=None) for plan in scene.layer)
        one = replace(
            first,
            update=told[number],
            bore=replace(scene.bore, length=length),
            worn=worn,
            readings=read,
            pre_bore=cut,
            axes=_axes_at(scene, other.along, length),
            layer=layers,
            **own(scene, number),
        )
        out.append((called[number], other.along, one))
    return out


def _told(scene: Scene) -> list[FromReadings | None]:
    """What readings after layers told of every bore: of one that was not read what those of another
    told of all, the first that was read.
    """
    read: list[FromReadings | None] = [None] * (1 + len(scene.bore_on_bar))
    read[0] = scene.update
    for known in scene.update_on_bar:
        read[number_of(scene, known.bore, "[[update_on_bar]]")] = replace(known, bore="")
    first = next((known for known in read if known is not None), None)
    elsewhere = None if first is None else first.elsewhere
    return [elsewhere if known is None else known for known in read]


def places(scene: Scene) -> list[Place]:
    """Where every bore lies on the bar, in the order of `bores`, for draws.

    An axis drawn wrong is a straight line through all bores, off by its spread at the two ends of
    the bar's work: run on from the faces of the first bore the same error would grow with the
    length of the bar.
    """
    others = [(o.along, o.along + (o.length or scene.bore.length)) for o in scene.bore_on_bar]
    return places_between([(0.0, scene.bore.length), *others])


def places_between(faces: Sequence[tuple[float, float]]) -> list[Place]:
    """Where bores with these entry and far faces along the bar [mm] lie on it.

    >>> places_between([(0.0, 100.0), (300.0, 400.0)])[1].entry
    0.75
    """
    if len(faces) == 1:
        return [ALONE]
    end = max(far for _, far in faces)
    return [Place(number, entry / end, far / end) for number, (entry, far) in enumerate(faces)]


def _bar_at(scene: Scene, read: ReadingsSource, along: float, length: float) -> ReadingsSource:
    """Readings of a bore farther along the bar, with the bar they were taken from as it passes that
    bore's faces.
    """
    entry, far = polar(read.bar_entry, read.bar_entry_at), polar(read.bar_far, read.bar_far_at)
    return replace(read, **_offsets("bar", Axis(entry, far, scene.bore.length), along, length))


def _axes_at(scene: Scene, along: float, length: float) -> Axes:
    """The shared axes as offsets at the faces of a bore farther along the bar.

    A finish axis that is not given follows the pre-bore axis there too, and strays with it.
    """
    axes = axes_of(replace(scene, update=None))
    values: dict[str, Any] = {}
    follows = scene.axes.finish_entry is None and scene.axes.finish_far is None
    given = [("pre_bore", axes.pre_bore), ("torch", axes.torch), ("finish", axes.finish)]
    for name, axis in given[:2] if follows else given:
        values |= _offsets(name, axis, along, length)
    return Axes(**values)


def _offsets(name: str, axis: Axis, along: float, length: float) -> dict[str, Any]:
    """An axis as a scene gives it at the faces of a bore farther along the bar."""
    values: dict[str, Any] = {}
    for end, z in (("entry", along), ("far", along + length)):
        x, y = (float(v) for v in axis.at(z))
        values[f"{name}_{end}"] = float(np.hypot(x, y))
        values[f"{name}_{end}_at"] = float(np.arctan2(x, -y) % (2.0 * np.pi))
    return values


def simulate_bar(scene: Scene, *, progress: Tell | None = None) -> list[OnBar]:
    """Every bore on the bar as planned. Raises SceneError when one cannot be done."""
    said = _taken_as_first(scene)
    out = []
    for name, along, one in bores(scene):
        result = simulate(one, progress=progress)
        result = replace(result, warnings=(*said, *result.warnings)) if said else result
        out.append(OnBar(name, along, result))
    return out


def _taken_as_first(scene: Scene) -> list[Remark]:
    """That what names no bore of the bar is taken to be in the first."""
    bare = unnamed(scene)
    if not bare:
        return []
    return [Remark("no bore named", bare=", ".join(bare), second=names(scene)[1])]


def best_line(on_bar: Sequence[OnBar]) -> tuple[Axis, float]:
    """The straight finish axis within every bore's location zone that makes the least stock of all
    largest.

    Returned as offsets [mm] at depth 0 of the first bore and at the far face of the last, with that
    least stock [mm per side] to first order.
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
