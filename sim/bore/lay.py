"""Wall and layer in, welded wall out: beads laid one by one beside and on top of each other.

In an axial section the pool of a bead reaches half a width to either side, and towards a neighbour
already laid this layer it ties in further up that neighbour's flank. Between the two contact
points, which stay, the new wall is the chord less c times the parabola that vanishes at both; c
follows from conserving q, the volume per radian. The new wall is nowhere deeper than the old by
more than the depth of fusion.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bore.kernels.lay import CLOSED, OVERFLOW, lay_columns
from sim.bore.torch_way import Path
from sim.bore.wall import Wall, over_columns
from sim.laws.bead_shape import Bead
from sim.laws.gravity import climb, wider
from sim.laws.pool_run import share
from sim.reference.arrays import Array, Counts, frozen


@dataclass(frozen=True)
class Conditions:
    """What rules every bead of a layer.

    tie_in 0..1; fusion: depth of fusion [mm]; gravity: coefficient c; pool_run: how far metal
    freezes below the arc [mm]; inclination [rad]; gravity_turn: gravity clock less bore clock
    [rad]; hump: extra height at an arc start [mm] over hump_length [mm]; taper_length [mm] before
    an arc stop.
    """

    tie_in: float
    fusion: float
    gravity: float = 0.0
    pool_run: float = 0.0
    inclination: float = 0.0
    gravity_turn: float = 0.0
    hump: float = 0.0
    hump_length: float = 1.0
    taper_length: float = 0.0

    def rules(self, height: float, radius: float) -> Array:
        """What the lay kernel takes, (5,): tie-in, fusion [mm], hump over bead height, hump and
        taper as angles [rad].
        """
        hump, taper = self.hump_length / radius, self.taper_length / radius
        return np.array([self.tie_in, self.fusion, self.hump / height, hump, taper])

    def volume(self, clock: Array, radius: float) -> Array:
        """Volume per radian over its mean at bore clocks [rad], by pool run."""
        return share(clock + self.gravity_turn, self.pool_run, radius, self.inclination)

    def width(self, clock: Array, turning: int) -> Array:
        """Bead width over its flat width at bore clocks [rad], by gravity."""
        return wider(self.gravity, climb(clock + self.gravity_turn, turning, self.inclination))


@dataclass(frozen=True)
class Noise:
    """Factors on volume and width by turn (k,), and on volume along the bead at steps of `step`
    [rad].
    """

    q_turn: Array
    w_turn: Array
    q_along: Array
    step: float = 1.0

    @classmethod
    def none(cls, path: Path) -> Noise:
        """Every bead as nominal."""
        ones = np.ones(int(path.turns) + 2)
        return cls(ones, ones, np.ones(1))


@dataclass(frozen=True)
class Laid:
    """A layer laid: the wall after it; `under` (n_clock, passes) wall radius [mm] met by the torch,
    nan where the arc was off; q [mm3/rad]; `remelted`: beads held back by the depth of fusion, per
    column.
    """

    wall: Wall
    under: Array
    q: float
    remelted: Counts


@dataclass(frozen=True)
class Passes:
    """What every pass of a layer changed: pass k of column i put rows first[i, k] up to first[i, k
    + 1] in the wall.

    rows (n_clock, room, 5): depths from and to, radius there and in the middle between [mm], a
    parabola each; what stood between the first depth of a pass and its last is gone. first
    (n_clock, passes + 1): equal where the arc was off.
    """

    rows: Array
    first: Counts


class BoreClosed(ValueError):
    """The metal laid does not fit into what is left of the bore."""


def around(
    wall: Wall, bead: Bead, q: float, conditions: Conditions, turning: int
) -> tuple[Array, Array, float]:
    """Volume per radian [mm3/rad] and width [mm] per column (n_clock,), and the mean radius [mm].

    By the laws of pool run and of gravity.
    """
    clock, radius = wall.clock.angle, wall.mean_radius(wall.start, wall.end)
    return (
        q * conditions.volume(clock, radius),
        bead.width * conditions.width(clock, turning),
        radius,
    )


def lay(
    wall: Wall,
    path: Path,
    bead: Bead,
    q: float,
    conditions: Conditions,
    *,
    noise: Noise | None = None,
) -> Laid:
    """Lay one layer of `q` [mm3/rad] on the wall along the path.

    Raises BoreClosed when the metal does not fit, ValueError when the path runs off the wall held.

    >>> from sim.bore.wall import Clock
    >>> from sim.bore.torch_way import spiral
    >>> wall = Wall.round(Clock.even(4), 41.0, -10.0, 60.0)
    >>> way = spiral(5.0, 45.0, 3.5)
    >>> laid = lay(wall, way, Bead(5.0, 1.8), 246.0, Conditions(tie_in=0.5, fusion=1.5))
    >>> abs(wall.volume_to(laid.wall, -10.0, 60.0) / (246.0 * 2 * np.pi * way.turns) - 1) < 0.05
    True
    """
    return _laid(
        wall, path, q, _settings(wall, path, bead, q, conditions, noise), noise or Noise.none(path)
    )[0]


def grow(
    wall: Wall, columns: Counts, path: Path, bead: Bead, q: float, conditions: Conditions
) -> tuple[Laid, Passes]:
    """Lay one layer as `lay` does, on some columns of the wall only, and keep what every pass
    changed there.

    >>> from sim.bore.wall import Clock
    >>> from sim.bore.torch_way import spiral
    >>> wall = Wall.round(Clock.even(8), 41.0, -10.0, 60.0)
    >>> laid, passes = grow(wall, np.array([1, 5]), spiral(5.0, 45.0, 3.5), Bead(5.0, 1.8), 246.0, Conditions(0.5, 1.5))
    >>> laid.wall.count.shape, passes.first.shape
    ((2,), (2, 13))
    """
    settings = _settings(wall, path, bead, q, conditions, None)
    few = (
        np.ascontiguousarray(settings[0][columns]),
        np.ascontiguousarray(settings[1][columns]),
        settings[2],
    )
    laid, passes = _laid(wall.only(columns), path, q, few, Noise.none(path), watched=True)
    return laid, passes


Settings = tuple[Array, Array, Array]


def _settings(
    wall: Wall, path: Path, bead: Bead, q: float, conditions: Conditions, noise: Noise | None
) -> Settings:
    """What the lay kernel takes of bead and conditions. Raises ValueError when the path runs off
    the wall held.
    """
    volume, width, radius = around(wall, bead, q, conditions, path.turning)
    reach = 1.0 + float(width.max()) * (1.0 if noise is None else float(noise.w_turn.max()))
    if path.depth.min() - reach < wall.start or path.depth.max() + reach > wall.end:
        raise ValueError(
            f"path {path.depth.min():.3f}..{path.depth.max():.3f} mm runs off the wall"
        )
    rules = conditions.rules(max(bead.height, 1e-9), radius)
    return np.ascontiguousarray(volume), np.ascontiguousarray(width), rules


def _laid(
    wall: Wall, path: Path, q: float, settings: Settings, noise: Noise, *, watched: bool = False
) -> tuple[Laid, Passes]:
    """Run the lay kernel, with more room for pieces until they fit. Raises BoreClosed."""
    n, passes = len(wall.count), int(path.turns) + 1
    room = wall.coef.shape[1] + 2 * passes + 16
    while True:
        out = _space(n, room, passes)
        log = (np.empty((n, room if watched else 0, 5)), np.zeros((n, passes + 1), dtype=np.int64))
        over_columns(
            lay_columns,
            n,
            wall.clock.angle,
            *wall.pieces,
            path.kernel,
            settings,
            (noise.q_turn, noise.w_turn, noise.q_along, noise.step),
            out,
            log,
        )
        knots, coef, count, under, status, remelted = out
        if (status == CLOSED).any():
            raise BoreClosed("the layer does not fit into the bore")
        if not (status == OVERFLOW).any():
            break
        room *= 2
    most = int(count.max())
    after = Wall(
        wall.clock,
        frozen(knots[:, : most + 1].copy()),
        frozen(coef[:, :most].copy()),
        frozen(count),
    )
    return Laid(after, frozen(under), q, frozen(remelted)), Passes(frozen(log[0]), frozen(log[1]))


def _space(n: int, room: int, passes: int) -> tuple[Array, Array, Counts, Array, Counts, Counts]:
    """Empty output of the lay kernel for n columns."""
    return (
        np.zeros((n, room + 1)),
        np.zeros((n, room, 3)),
        np.zeros(n, dtype=np.int64),
        np.empty((n, passes)),
        np.zeros(n, dtype=np.int64),
        np.zeros(n, dtype=np.int64),
    )
