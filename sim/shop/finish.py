"""4 The finish cut: where it is judged, and what stays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored
from sim.bore.stock import black_spans, judged_spans, least_weld_left, stock_map
from sim.bore.torch_way import Area
from sim.bore.wall import Wall
from sim.reference.arrays import TURN, Array
from sim.reference.errors import SceneError
from sim.set_up.layers import Setting
from sim.shop.result import Result

if TYPE_CHECKING:
    from sim.shop.deposit import BuiltUp


def mean_stock_of(
    wall: Wall, finish: Bored, torch: Axis, spans: Array, samples: int = 256
) -> float:
    """Mean stock per side [mm] over the judged area, sampled along depth."""
    low, high = float(spans[:, :, 0].min()), float(spans.max())
    depth = low + (np.arange(samples) + 0.5) * (high - low) / samples
    inside = ((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1)
    weight = np.where(inside, wall.clock.span[:, None], 0.0)
    return float((weight * stock_map(wall, finish, torch, depth)).sum() / weight.sum())


def narrowest_bore(wall: Wall, torch: Axis, length: float) -> float:
    """Smallest bore [mm on diameter] about the torch axis between the faces."""
    spans = judged_spans(wall.clock, 0.0, length, ())
    return 2.0 * least_weld_left(wall, Bored(torch, 0.0), torch, spans).spot.value


def judged_where(build: BuiltUp) -> tuple[Bored, Array]:
    """The finish cylinder, and the depth ranges judged per column (n_clock, k, 2) [mm]."""
    if build.cut is None:
        return build.finish, build.spans
    return build.finish, still_black(build.cut, build.finish, build.axes.torch, build.spans)


def still_black(wall: Wall, finish: Bored, torch: Axis, spans: Array) -> Array:
    """What stayed black after the first cut and is still in question; everything when nothing did."""
    black = black_spans(wall, finish, torch, spans)
    return black if (black[:, :, 1] > black[:, :, 0]).any() else spans


def stock_spread(
    wall: Wall, finish: Bored, build: BuiltUp, spans: Array
) -> tuple[float, tuple[float, float, float]]:
    """Mean stock per side and its 5th, 50th and 95th percentile over the judged area, sampled along
    depth.
    """
    low, high = float(spans[:, :, 0].min()), float(spans.max())
    n = int(min(max((high - low) / (0.05 * build.settings[-1].path.pitch), 200), 2000))
    depth = low + (np.arange(n) + 0.5) * (high - low) / n
    stock = stock_map(wall, finish, build.axes.torch, depth)
    inside = ((depth >= spans[:, :, :1]) & (depth <= spans[:, :, 1:])).any(axis=1)
    weight = np.where(inside, wall.clock.span[:, None], 0.0).ravel()
    order = np.argsort(stock, axis=None)
    share = np.cumsum(weight[order])
    at = np.searchsorted(share, np.array([0.05, 0.5, 0.95]) * share[-1])
    ranked = stock.ravel()[order[np.minimum(at, len(order) - 1)]]
    return float(weight @ stock.ravel() / share[-1]), (
        float(ranked[0]),
        float(ranked[1]),
        float(ranked[2]),
    )


def interior(setting: Setting, length: float) -> tuple[float, float]:
    """Depth range [mm] of a layer inside the bore without its first and last two turns."""
    low = max(float(setting.path.depth.min()), 0.0) + 2.0 * setting.path.pitch
    high = min(float(setting.path.depth.max()), length) - 2.0 * setting.path.pitch
    if high - low < setting.path.pitch:
        low, high = (
            max(float(setting.path.depth.min()), 0.0),
            min(float(setting.path.depth.max()), length),
        )
    if high - low < 1e-6:
        low, high = 0.0, length
    return low, high


def gauge_range(
    wall: Wall, low: float, high: float, foot: float, areas: Sequence[Area] = ()
) -> tuple[float, float]:
    """Smallest and largest reading [mm on diameter] of a two-point gauge with flat feet between two
    depths.

    The smallest radius under a foot at a clock plus the same opposite; the gauge cannot read nearer
    to the ends than half a foot. At a clock where a foot may stand over one of `areas` it reads
    nothing.
    """
    half = min(0.5 * foot, 0.5 * (high - low))
    n = int(min(max((high - low - 2 * half) / 1.0, 1), 200))
    depth = np.linspace(low + half, high - half, n)
    one = wall.under_foot(depth, 2 * half)
    other = wall.clock.interpolate(one, wall.clock.angle + math.pi)
    read = one + other
    bare = np.zeros(len(read), dtype=bool)
    for foot_at in (wall.clock.angle, wall.clock.angle + math.pi):
        for area in areas:
            bare |= foot_over(foot_at, area)
    read = read if bare.all() else read[~bare]
    return float(read.min()), float(read.max())


def foot_over(clock: Array, area: Area) -> NDArray[np.bool_]:
    """At which clocks [rad] a gauge foot may stand over an area."""
    wide = (area.clock[1] - area.clock[0]) % TURN
    return np.asarray(np.mod(clock - area.clock[0], TURN) <= wide)


def check_head(result: Result) -> None:
    """Refuse a head that does not go into the bore as it fills, or out again. Raises SceneError."""
    smallest = result.scene.head.smallest_bore
    for number, wall in enumerate(result.walls):
        narrow = narrowest_bore(wall, result.axes.torch, result.scene.bore.length)
        if narrow < smallest:
            when = "before the first layer" if number == 0 else f"after layer {number}"
            raise SceneError(
                f"[head] smallest_bore = {smallest:g} mm: the bore is {narrow:.1f} mm {when}; "
                "the head would not pass; take a smaller head, fewer layers or thinner ones."
            )
