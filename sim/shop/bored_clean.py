"""2 The pre-bore: the wall before the first layer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, Shape, about, ray_to
from sim.bore.wall import Clock, Wall
from sim.job.looked import read_after
from sim.job.scene import Scene
from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import axes_of


@dataclass(frozen=True)
class StartMap:
    """A worn wall about the torch axis: radius (n_clock, n_depth) [mm] at columns and depths [mm].

    stands: where worn metal may stand outside the pre-bore, None everywhere; room: how far [mm] a
    draw may move the wall by what a two-point gauge cannot see, None as far as it draws.
    """

    clock: Clock
    depth: Array
    radius: Array
    stands: NDArray[np.bool_] | None = None
    room: Array | None = None


@dataclass(frozen=True)
class Mark:
    """A place on the wall that needs a clock column of its own: clock [rad] about the drawing axis,
    radius and depth [mm].
    """

    clock: float
    radius: float
    depth: float


def start_wall(
    shape: Shape,
    clock: Clock,
    torch: Axis,
    bored: Bored | None,
    *,
    start: float,
    end: float,
    nodes: Array | None = None,
) -> Wall:
    """The wall about the torch axis [mm] from depth `start` to `end`, worn and then pre-bored.

    Boring turns the wall to at least its radius; where the worn wall is already larger it stays.
    nodes: depths [mm] to use instead of the shape's own, see `few_nodes`.
    """
    nodes = np.concatenate([shape.nodes if nodes is None else nodes, [start, end]])
    depth = np.unique(np.round(nodes[(nodes >= start) & (nodes <= end)], 9))
    radius = about(shape, clock.angle, depth, torch)
    if bored is not None:
        radius = np.maximum(radius, ray_to(bored, clock.angle, depth, torch))
    return Wall.from_radius(clock, depth, radius)


def few_nodes(
    shape: Shape,
    bored: Bored | None,
    length: float,
    *,
    marks: Sequence[Mark] = (),
    tolerance: float = 1e-3,
    spacing: float = 8.0,
) -> Array:
    """Depths [mm] of a few nodes between which worn and bored wall are straight to `tolerance`
    [mm]; for draws.

    Nodes are put in where the error is largest until none is larger, at least one each `spacing`
    [mm]. Looked at on 48 clocks and at every mark.
    """
    even = (np.arange(48) + 0.5) * (2.0 * math.pi / 48)
    clock = np.concatenate([even, [one.clock for one in marks]])
    depth = np.unique(np.round(shape.nodes, 9))
    worn = shape.radius(clock[:, None], depth[None, :])
    maps = [worn] if bored is None else [worn, np.maximum(worn, bored.radius)]
    rows = np.concatenate(maps)
    kept = set(
        np.searchsorted(
            depth, np.linspace(depth[0], depth[-1], math.ceil(length / spacing) + 1)[1:-1]
        )
    )
    kept |= {0, len(depth) - 1}
    while len(kept) < len(depth):
        at = np.array(sorted(kept))
        share = np.interp(
            np.arange(len(depth)), at, np.arange(len(at))
        )  # index between the nodes kept
        left = np.minimum(share.astype(int), len(at) - 2)
        part = (depth - depth[at[left]]) / (depth[at[left + 1]] - depth[at[left]])
        off = np.abs(rows[:, at[left]] * (1.0 - part) + rows[:, at[left + 1]] * part - rows).max(
            axis=0
        )
        if off.max() <= tolerance:
            break
        kept.add(int(np.argmax(off)))
    return np.asarray(depth[sorted(kept)])


def pre_bored(scene: Scene) -> Bored | None:
    """The cut that makes the wall before welding; None when nothing is bored first, or the wall was
    read after it.
    """
    if scene.pre_bore is None or read_after(scene):
        return None
    return Bored(axes_of(scene).pre_bore, 0.5 * scene.pre_bore.diameter)
