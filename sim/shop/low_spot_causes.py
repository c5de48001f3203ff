"""Why a low spot is low: each suspect's share of the shortfall, and the one without which it would
not be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.bore.cylinders import Bored
from sim.bore.low_spots import LowSpot
from sim.bore.stock import judged_spans, least_stock, stock_map
from sim.bore.torch_way import Area, Path
from sim.bore.wall import Wall
from sim.job.scene import Scene
from sim.reference.arrays import TURN, Array
from sim.set_up.axes_and_areas import AxesOf, no_weld_areas

NO_WELD, END_WEDGE, POCKET, AXIS, CLIMBING, VALLEY, TOO_FEW = (
    "no-weld area", "end wedge", "worn pocket", "axis set over", "climbing side", "valley", "too few layers"
)  # fmt: skip


@dataclass(frozen=True)
class Suspects:
    """What is needed to tell why a spot is low; lengths mm."""

    start: Wall
    after: Wall
    axes: AxesOf
    finish: Bored
    paths: Sequence[Path]
    areas: Sequence[Area]
    reach: float
    length: float
    valleys: Array

    @classmethod
    def of(
        cls,
        start: Wall,
        after: Wall,
        axes: AxesOf,
        finish: Bored,
        paths: Sequence[Path],
        scene: Scene,
    ) -> Suspects:
        """Suspects of a job built up."""
        length, pitch = scene.bore.length, max(p.pitch for p in paths)
        ends = (0.25 * length, 0.75 * length)
        spans = judged_spans(after.clock, *ends, ())
        round_axes = least_stock(after, Bored(axes.torch, finish.radius), axes.torch, spans)
        depth = np.linspace(*ends, 64)
        mean = stock_map(after, Bored(axes.torch, finish.radius), axes.torch, depth).mean(axis=1)
        return cls(
            start,
            after,
            axes,
            finish,
            paths,
            no_weld_areas(scene),
            pitch,
            length,
            mean - round_axes.value,
        )

    def of_spot(self, spot: LowSpot) -> str:
        """The cause of a low spot, in the words of the trade."""
        clock = float(self.after.clock.angle[spot.column])
        if any(_holds(area, clock, spot.at_depth, self.reach) for area in self.areas):
            return NO_WELD
        short = -spot.stock
        mean_short = -self._mean_stock(spot)
        if self._at_end(spot, mean_short):
            return END_WEDGE
        shares = {POCKET: self._pocket(spot), AXIS: self._set_over(spot, clock)}
        worst = max(shares, key=lambda name: shares[name])
        if shares[worst] > max(short, 0.0) and shares[worst] > 0.5 * self.valleys[spot.column]:
            return worst
        if mean_short > 0.0:
            return worst if shares[worst] > mean_short else TOO_FEW
        middle = float(np.median(self.valleys))
        return CLIMBING if self.valleys[spot.column] - middle > 0.1 * middle else VALLEY

    def _mean_stock(self, spot: LowSpot) -> float:
        """Stock per side [mm] averaged over two pitches of depth at the spot's clock."""
        depth = np.clip(spot.at_depth + np.linspace(-1.0, 1.0, 33) * self.reach, 0.0, self.length)
        return float(stock_map(self.after, self.finish, self.axes.torch, depth)[spot.column].mean())

    def _at_end(self, spot: LowSpot, mean_short: float) -> bool:
        """Tell whether the spot is where a layer begins or ends, and the same clock is better
        inside.
        """
        ends = [float(p.depth[k]) for p in self.paths for k in (0, -1)]
        if min(abs(spot.at_depth - e) for e in ends) > 1.6 * self.reach:
            return False
        low, high = sorted((min(ends), max(ends)))
        depth = np.linspace(low + 2.5 * self.reach, high - 2.5 * self.reach, 64)
        if high - low < 6.0 * self.reach:
            return True
        inside = stock_map(self.after, self.finish, self.axes.torch, depth)[spot.column]
        return (
            float(inside.mean()) + mean_short > 0.15 * abs(spot.stock)
            and float(inside.min()) > spot.stock + 0.05
        )

    def _pocket(self, spot: LowSpot) -> float:
        """How much deeper [mm] the wall before welding lies here than its usual radius."""
        depth = np.linspace(0.0, self.length, 65)
        usual = float(np.median(self.start.radius(depth)))
        return float(self.start.radius(np.array([spot.at_depth]))[spot.column, 0]) - usual

    def _set_over(self, spot: LowSpot, clock: float) -> float:
        """How far [mm] the finish axis lies away from this side, seen from the torch axis."""
        z = np.array([spot.at_depth])
        (xt, yt), (xf, yf) = self.axes.torch.at(z), self.axes.finish.at(z)
        return float((xt[0] - xf[0]) * math.sin(clock) - (yt[0] - yf[0]) * math.cos(clock))


def _holds(area: Area, clock: float, depth: float, margin: float) -> bool:
    width = float(np.mod(area.clock[1] - area.clock[0], TURN)) or TURN
    inside = float(np.mod(clock - area.clock[0] + 0.15, TURN)) <= width + 0.3
    return inside and area.depth[0] - margin <= depth <= area.depth[1] + margin
