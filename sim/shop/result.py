"""What a judged job holds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bore.cylinders import Bored
from sim.bore.low_spots import LowSpot
from sim.bore.stock import Worst
from sim.bore.wall import Wall
from sim.job.scene import Scene
from sim.reference.arrays import Array
from sim.reference.remarks import Remark
from sim.set_up.axes_and_areas import AxesOf
from sim.set_up.bead import TieIn
from sim.set_up.layers import Setting


@dataclass(frozen=True)
class Layer:
    """What one layer did; lengths mm, see the docstrings of the engine for each figure.

    ripple and ripple_clock: largest over the clock, nan when the layer has too few turns; gauge:
    smallest and largest two-point reading on diameter; valley: deepest valley on diameter; both
    between the second turn from either end. under: wall radius met by the torch (n_clock, passes).
    """

    setting: Setting
    wall: Wall
    under: Array
    remelted: int
    mean_thickness: float
    ripple: float
    ripple_clock: float
    ripples: Array
    gauge: tuple[float, float]
    valley: float
    volume: float
    lost: float


@dataclass(frozen=True)
class Result:
    """A job as planned. Stock is per side [mm]; `walls[0]` is the wall before welding, `walls[k]`
    after layer k.

    poorest_tie_in: least stock with the last layer laid as poorly tied in as is known, and that
    wall; no bound of anything.
    """

    scene: Scene
    axes: AxesOf
    finish: Bored
    tie_in: TieIn
    spans: Array
    start: Wall
    layers: tuple[Layer, ...]
    stock: Worst
    stock_error: float
    poorest_tie_in: Worst
    poorest_tie_in_wall: Wall
    weld_left: Worst
    mean_stock: float
    percentiles: tuple[float, float, float]
    low_spots: tuple[LowSpot, ...]
    thin_spots: tuple[LowSpot, ...]
    warnings: tuple[Remark, ...]
    unseen: float | None = None

    @property
    def walls(self) -> list[Wall]:
        """The wall before welding and after every layer."""
        return [self.start, *(layer.wall for layer in self.layers)]

    @property
    def settings(self) -> list[Setting]:
        """Every layer as the machine runs it."""
        return [layer.setting for layer in self.layers]

    @property
    def touches(self) -> tuple[int, ...]:
        """Numbers of the layers in which the contact tip meets metal."""
        clear = [tip_clear(self.scene, layer.setting, layer.under) for layer in self.layers]
        return tuple(number for number, left in enumerate(clear, 1) if left <= 0.0)


def tip_clear(scene: Scene, setting: Setting, under: Array) -> float:
    """Least distance left to the contact tip [mm] over the highest metal the torch passes in a
    layer.
    """
    if np.isnan(under).all():
        return scene.head.contact_tip
    return scene.head.contact_tip - (setting.radius - float(np.nanmin(under)))
