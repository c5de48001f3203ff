"""What a judged job holds."""

from __future__ import annotations

from dataclasses import dataclass

from sim.bore.cylinders import Bored
from sim.bore.low_spots import LowSpot
from sim.bore.stock import Worst
from sim.bore.wall import Wall
from sim.job.scene import Scene
from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import AxesOf
from sim.set_up.bead import TieIn
from sim.set_up.layers import Setting
from sim.shop.judge import judge


@dataclass(frozen=True)
class Layer:
    """What one layer did; lengths mm, see the docstrings of the engine for each figure.

    ripple and ripple_clock: largest over the clock, nan when the layer has too few turns; gauge:
    smallest and
    largest two-point reading on diameter; valley: deepest valley on diameter; both between the
    second turn from
    either end. under: wall radius met by the torch (n_clock, passes).
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
    """A job judged. Stock is per side [mm]; `walls[0]` is the wall before welding, `walls[k]` after
    layer k.
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
    pessimist: Worst
    pessimist_wall: Wall
    weld_left: Worst
    mean_stock: float
    percentiles: tuple[float, float, float]
    low_spots: tuple[LowSpot, ...]
    thin_spots: tuple[LowSpot, ...]
    warnings: tuple[str, ...]
    unseen: float | None = None

    @property
    def walls(self) -> list[Wall]:
        """The wall before welding and after every layer."""
        return [self.start, *(layer.wall for layer in self.layers)]

    @property
    def verdict(self) -> str:
        """One of: cleans up, thin, falls short, not proven; see `judge`."""
        return judge(self)

    @property
    def settings(self) -> list[Setting]:
        """Every layer as the machine runs it."""
        return [layer.setting for layer in self.layers]
