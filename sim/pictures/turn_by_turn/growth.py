"""Result in, Growth out: the job turn by turn, held exactly, small enough to send to a browser.

Within a layer a clock column changes only where a pool passes it: once a turn. So a growing wall is
its sections before the first layer, and for every pass of every column the parabola pieces that
pass put in place of what stood there. They are what the engine itself did, written down as it laid;
the time of a pass is the angle at which the torch stands over the column. Nothing is interpolated
and no bead is laid a second way.

`wall_at` is the engine's wall when the torch has come so far: the same kernel on the way cut short.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bore.cylinders import bored
from sim.bore.lay import Passes, grow
from sim.bore.torch_way import Path
from sim.bore.wall import Wall
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.picture import Picture
from sim.reference.arrays import TURN, Array, Counts, frozen
from sim.set_up.layers import Setting
from sim.set_up.layers import conditions as layers_conditions
from sim.shop.ready_to_lay import cut_before
from sim.shop.result import Result

Nanometres = NDArray[np.int32]


Few = NDArray[np.uint16]


CLOCK_CELLS = 240


FEWEST = 48


MOST_ROWS = 200_000
"""Pieces of all passes together; a job of very many turns gets fewer clock columns."""


UNIT = 1e-5
"""Depths and radii of pieces are held in whole steps of this [mm]: a hundredth of a step of the
map.
"""


@dataclass(frozen=True)
class Pieces:
    """Parabola pieces of all columns: `rows` (k, 5) depth from, depth to, radius there and in the
    middle, in UNIT.

    count (groups, n_clock): how many rows each column has in each group; rows stand group by group,
    column by column.
    """

    rows: Nanometres
    count: Few


@dataclass(frozen=True)
class GrownLayer:
    """One layer as it grew: its way, the stage of the picture it ends in, its passes (group k: pass
    k of a column, laid when the torch has turned TURN k and the angle from the start clock to the
    column), and the sections it began on where those are not the end of the layer before. rotation
    [rad/s]; advance: spiral or step.
    """

    number: int
    stage: int
    path: Path
    rotation: float
    advance: str
    passes: Pieces
    begun_on: Pieces | None

    @property
    def angle(self) -> float:
        """Angle turned in all [rad]."""
        return float(self.path.phi[-1])

    @property
    def seconds(self) -> float:
        """Time the layer takes [s], arc on or off."""
        return self.angle / self.rotation


@dataclass(frozen=True)
class Growth:
    """A job as it grows. picture: its maps on `clock` columns, one a cell; clock (n_clock,) [rad]:
    where they stand.
    """

    picture: Picture
    clock: Array
    layers: tuple[GrownLayer, ...]

    @cached_property
    def digest(self) -> str:
        """A short name, equal for equal growths only."""
        told = hashlib.blake2b(self.picture.digest.encode(), digest_size=12)
        for layer in self.layers:
            way = layer.path
            told.update(
                repr(
                    (
                        layer.number,
                        layer.stage,
                        layer.rotation,
                        layer.advance,
                        way.start_clock,
                        way.turning,
                    )
                ).encode()
            )
            told.update(way.phi.tobytes() + way.depth.tobytes() + way.arcs.tobytes())
            for part in (layer.passes, layer.begun_on):
                if part is not None:
                    told.update(part.rows.tobytes() + part.count.tobytes())
        return told.hexdigest()

    @property
    def seconds(self) -> float:
        """Time all layers take [s], without the waits between them."""
        return sum(layer.seconds for layer in self.layers)


def growth(result: Result) -> Growth:
    """How a judged job grows.

    >>> from sim import load, simulate
    >>> grown = growth(simulate(load("scenes/cleans_up.toml")))
    >>> [layer.number for layer in grown.layers], len(grown.clock), grown.layers[0].passes.count.shape
    ([1, 2], 240, (36, 240))
    """
    columns = columns_of(result)
    seen = picture(_reduced(result, columns), clock=len(columns), whole=True)
    layers = []
    for number, layer in enumerate(result.layers, 1):
        setting = layer.setting
        before = wall_before(result, number)
        _, passes = _grown(result, setting, before, columns, setting.path)
        fresh = number == 1 or cut_before(result.scene) == number
        layers.append(
            GrownLayer(
                number=number,
                stage=seen.layers.index(number),
                path=setting.path,
                rotation=setting.rotation,
                advance=setting.plan.advance,
                passes=_pieces_of(passes),
                begun_on=_sections(before.only(columns)) if fresh else None,
            )
        )
    return Growth(seen, result.start.clock.angle[columns], tuple(layers))


def columns_of(result: Result) -> Counts:
    """The columns of the job that are shown: the nearest to the middle of every clock cell of the
    pictures.
    """
    clock = result.start.clock
    turns = sum(int(s.path.turns) + 1 for s in result.settings)
    n = min(max(MOST_ROWS // turns, FEWEST), CLOCK_CELLS, len(clock.angle)) // 8 * 8
    return np.array([clock.nearest((k + 0.5) * TURN / n) for k in range(n)])


def wall_before(result: Result, number: int) -> Wall:
    """The wall a layer is laid on."""
    wall = result.walls[number - 1]
    return (
        bored(wall, result.finish, result.axes.torch)
        if cut_before(result.scene) == number
        else wall
    )


def wall_at(result: Result, number: int, turned: float, columns: Counts) -> Wall:
    """The engine's wall on some columns when the torch has turned so far [rad] in a layer, arc
    still burning.
    """
    setting = result.layers[number - 1].setting
    if turned <= 0.0:
        return wall_before(result, number).only(columns)
    return _grown(
        result, setting, wall_before(result, number), columns, setting.path.until(turned)
    )[0]


def _grown(
    result: Result, setting: Setting, before: Wall, columns: Counts, path: Path
) -> tuple[Wall, Passes]:
    conditions = layers_conditions(result.scene, setting, result.tie_in.nominal)
    laid, passes = grow(before, columns, path, setting.bead, setting.q, conditions)
    return laid.wall, passes


def _reduced(result: Result, columns: Counts) -> Result:
    """The result on some of its columns only."""
    layers = tuple(replace(layer, wall=layer.wall.only(columns)) for layer in result.layers)
    return replace(
        result,
        start=result.start.only(columns),
        layers=layers,
        spans=result.spans[columns],
        low_spots=(),
    )


def _pieces_of(passes: Passes) -> Pieces:
    """Rows pass by pass, column by column."""
    count = np.diff(passes.first, axis=1).T
    column = np.tile(np.arange(count.shape[1]), count.shape[0])
    each = count.ravel()
    begin = passes.first[:, :-1].T.ravel()
    within = np.arange(each.sum()) - np.repeat(np.cumsum(each) - each, each)
    rows = passes.rows[np.repeat(column, each), np.repeat(begin, each) + within]
    return _held(rows, count)


def _sections(wall: Wall) -> Pieces:
    """Every piece of a wall, column by column."""
    used = np.arange(wall.coef.shape[1]) < wall.count[:, None]
    z0, z1 = wall.knots[:, :-1][used], wall.knots[:, 1:][used]
    a, b, c = wall.coef[used].T
    t = z1 - z0
    rows = np.stack([z0, z1, a, a + 0.5 * t * (b + 0.5 * t * c), a + t * (b + t * c)], axis=1)
    return _held(rows, wall.count[None, :])


def _held(rows: Array, count: Counts) -> Pieces:
    return Pieces(frozen(np.rint(rows / UNIT).astype(np.int32)), frozen(count.astype(np.uint16)))
