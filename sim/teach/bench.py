"""The overlap bench: a few beads side by side on a flat coupon or on a bore wall, laid and read by
the engine itself.

Nothing here lays metal: every section is a wall of `sim.bore.lay`, and crests, valleys, gauge foot
and black are read off that wall. Heights are above the bare wall [mm per side], growing inwards; z
runs along the bore, the first torch line at 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored
from sim.bore.lay import BoreClosed, Conditions, around, lay
from sim.bore.stock import beyond
from sim.bore.torch_way import Path, spiral
from sim.bore.wall import Clock, Wall
from sim.job.scene import Scene
from sim.laws.bead_shape import Bead
from sim.laws.gravity import climb
from sim.reference.arrays import TURN, Array, frozen
from sim.reference.defaults import default
from sim.reference.errors import SceneError

FLAT_RADIUS = 1e6
"""Radius [mm] of a wall that is flat to the eye and to the figures."""


FLAT_TOP, TANGENT = 2.0 / 3.0, 0.7378433
"""Pitch over bead width. Flat-top: the mean height is the bead height (equal areas, parabola).
Tangent: a line from the next bead's toe on the last bead, tangent to the next bead, shuts off a
valley as large as the overlap (Ding et al. 2015, who print 0.738).
"""


MANY, MIDDLE = 40, 20
"""Turns of a layer that is carried on, and the turn it is read at: the ends are no longer felt
there.
"""


JUST_BEFORE = 1e-3


CLOSEST = 0.51
"""Pitch over bead width below which a bead swallows the crest before it, and there is no valley to
read.
"""


@dataclass(frozen=True, kw_only=True)
class Coupon:
    """What lies on the bench: bead on a flat, pitch, number of beads and where they are laid.

    diameter: bore before welding [mm], None for a flat coupon (no gravity then); clock [rad] on the
    gravity clock; turning +1 clockwise; cut: the last cut, height above the bare wall [mm per
    side]; foot: gauge foot [mm]; closest: pitch over bead width from which beads are drawn, closer
    than `CLOSEST` where a qualified procedure allows it.

    >>> section(Coupon(pitch=3.5)).crests.shape
    (3, 2)
    """

    width: float = default("bench.width")
    height: float = default("bench.height")
    pitch: float = default("bench.pitch")
    beads: int = int(default("bench.beads"))
    tie_in: float = default("process.tie_in")
    fusion: float = default("process.depth_of_fusion")
    diameter: float | None = None
    clock: float = math.pi
    turning: int = 1
    gravity: float = default("bench.gravity")
    pool_run: float = default("process.pool_run")
    cut: float = default("bench.cut")
    foot: float = default("gauge.foot")
    closest: float = CLOSEST

    @property
    def bead(self) -> Bead:
        """The bead on a flat."""
        return Bead(self.width, self.height)

    @property
    def radius(self) -> float:
        """Radius of the bare wall [mm]."""
        return FLAT_RADIUS if self.diameter is None else 0.5 * self.diameter

    @property
    def q(self) -> float:
        """Volume per radian [mm3/rad]: bead area times wall radius, conservation of metal."""
        return self.bead.area * self.radius

    @property
    def climbing(self) -> float:
        """How far the torch climbs here, from +1 straight up to -1 straight down; 0 on a flat
        coupon.
        """
        if self.diameter is None:
            return 0.0
        return float(climb(np.array([self.clock]), self.turning, 0.0)[0])

    def conditions(self, tie_in: float | None = None) -> Conditions:
        """What rules the beads; on a flat coupon gravity does nothing."""
        on = 0.0 if self.diameter is None else 1.0
        tie = self.tie_in if tie_in is None else tie_in
        return Conditions(
            tie_in=tie, fusion=self.fusion, gravity=on * self.gravity, pool_run=on * self.pool_run
        )

    def bare(self, clocks: Array | None = None) -> Wall:
        """The wall before the first bead, one column at the clock of the coupon, or columns at
        `clocks` (n,) [rad].
        """
        angle = np.array([self.clock]) if clocks is None else clocks
        clock = Clock(frozen(angle), frozen(np.full(len(angle), TURN / len(angle))))
        room = 3.0 * self.width + 2.0
        return Wall.round(clock, self.radius, -room, MANY * self.pitch + room)

    def way(self, first: int, beads: int) -> Path:
        """The torch's way past the clock of the coupon: `beads` of them, one pitch apart, from
        number `first` on.
        """
        start = (first - JUST_BEFORE) * self.pitch
        way = spiral(
            start,
            start + (beads - 1 + 2 * JUST_BEFORE) * self.pitch,
            self.pitch,
            turning=self.turning,
        )
        return replace(way, start_clock=(self.clock - self.turning * JUST_BEFORE * TURN) % TURN)


@dataclass(frozen=True)
class Section:
    """Beads laid side by side and read; arrays of points are (k, 2): z and height [mm].

    walls[k]: the wall after bead k + 1; alone[k]: bead k + 1 laid by itself; pessimist: all of them
    with tie-in 0; torch (n,): torch lines [mm]; width, area: of one bead here, gravity included
    [mm, mm2]; crests and valleys in order along z; black (k, 2): from..to [mm] where the last cut
    finds no metal between the outer torch lines.
    """

    coupon: Coupon
    before: Wall
    walls: tuple[Wall, ...]
    alone: tuple[Wall, ...]
    pessimist: Wall
    torch: Array
    width: float
    area: float
    crests: Array
    valleys: Array
    black: Array

    def line(self, wall: Wall) -> tuple[Array, Array]:
        """Distance z and height [mm] of a wall of this bench, as drawn: its knots and points
        between, a little past the beads.
        """
        z, r = wall.section(self.coupon.clock)
        edge = 0.75 * self.width
        inside = (z >= self.torch[0] - edge) & (z <= self.torch[-1] + edge)
        return z[inside], self.coupon.radius - r[inside]

    @property
    def last(self) -> Wall:
        """The wall after the last bead."""
        return self.walls[-1]

    @property
    def crest(self) -> float:
        """Highest crest [mm per side above the bare wall]."""
        return float(self.crests[:, 1].max())

    @property
    def valley(self) -> float:
        """Deepest valley between the beads [mm per side above the bare wall]."""
        return float(self.valleys[:, 1].min())

    @property
    def pessimist_valley(self) -> float:
        """Deepest valley with tie-in 0."""
        return float(_points(self.pessimist, self.coupon.radius, self.width)[1][:, 1].min())

    @cached_property
    def mean(self) -> float:
        """Mean height between the outer torch lines [mm per side]: of the round wall that holds the
        same metal.
        """
        return _mean(self.last, self.coupon, float(self.torch[0]), float(self.torch[-1]))

    @property
    def setback(self) -> float:
        """How far the crest of the last bead but one lies behind its torch line [mm], towards the
        bead before it.
        """
        return float(self.torch[-2] - self.crests[-2, 0])

    @cached_property
    def apart(self) -> Array:
        """Distance z and height [mm], (k, 2), of the beads if each lay by itself and none knew of
        the others.
        """
        z = np.linspace(self.torch[0] - 0.75 * self.width, self.torch[-1] + 0.75 * self.width, 4001)
        radius = np.min([wall.radius(z)[0] for wall in self.alone], axis=0)
        return frozen(np.stack([z, self.coupon.radius - radius], axis=1))

    @cached_property
    def moved(self) -> float:
        """Metal [mm2 of section] that two neighbours would both claim, and that goes into the
        valley instead; each pair.
        """
        z, h = self.apart.T
        filled = float(np.trapezoid(h * (1.0 - 0.5 * h / self.coupon.radius), z))
        return (len(self.torch) * self.area - filled) / (len(self.torch) - 1)

    @cached_property
    def foot_height(self) -> float:
        """Height [mm per side] at which a flat gauge foot comes to rest: it rides the crests."""
        return self.coupon.radius - float(
            self.last.under_foot(np.array([self.foot_middle]), self.coupon.foot)[0, 0]
        )

    @property
    def foot_middle(self) -> float:
        """Where the gauge foot stands, z of its middle [mm]: on the last beads, or amid all where
        it is longer.
        """
        end = float(self.torch[-1])
        return max(end - 0.5 * self.coupon.foot, 0.5 * end)

    @property
    def black_width(self) -> float:
        """Width of wall left black between the outer torch lines [mm]."""
        return float((self.black[:, 1] - self.black[:, 0]).sum())

    @property
    def spacing(self) -> float:
        """Pitch over the bead width here."""
        return self.coupon.pitch / self.width

    def diameter_at(self, height: float) -> float:
        """Bore diameter [mm] at a height above the bare wall, if the opposite side were the same."""
        return 2.0 * (self.coupon.radius - height)


@dataclass(frozen=True)
class Layer:
    """The same pitch carried on for many turns, read amid them [mm per side above the bare wall]."""

    crest: float
    valley: float
    mean: float

    @property
    def ripple(self) -> float:
        """Crest less valley [mm]."""
        return self.crest - self.valley


def section(coupon: Coupon) -> Section:
    """Lay the beads of a coupon and read them. Raises SceneError when they do not fit or cover one
    another.

    >>> flat = section(Coupon(pitch=3.5, beads=5))
    >>> round(flat.crest, 2), round(flat.valley, 2)
    (1.98, 1.44)
    """
    before, c = coupon.bare(), coupon
    volume, width, radius = around(before, c.bead, c.q, c.conditions(), c.turning)
    if c.pitch < c.closest * float(width[0]) * (1.0 - 1e-9):
        raise _covered(c, float(width[0]))
    walls = tuple(_laid(c, before, c.way(0, n)) for n in range(1, c.beads + 1))
    alone = tuple(_laid(c, before, c.way(n, 1)) for n in range(c.beads))
    pessimist = _laid(c, before, c.way(0, c.beads), tie_in=0.0)
    torch = np.arange(c.beads) * c.pitch
    crests, valleys = _points(walls[-1], c.radius, float(width[0]))
    if len(crests) < 2 or not len(valleys):
        raise _covered(c, float(width[0]))
    return Section(
        c, before, walls, alone, pessimist, frozen(torch), float(width[0]),
        float(volume[0]) / radius,
        frozen(crests), frozen(valleys), frozen(_black(walls[-1], c, float(torch[-1]))),
    )  # fmt: skip


def _covered(c: Coupon, width: float) -> SceneError:
    """What to say of beads so close that there is no valley to read."""
    return SceneError(
        f"the bench: pitch = {c.pitch / width:.2f} of the bead width here: at least "
        f"{c.closest:.2f}, or a bead covers the crest of the last one; take a wider pitch or a "
        "narrower bead."
    )


def closest_of(scene: Scene | None) -> float:
    """Pitch over bead width from which a job's beads are drawn: closer than half where its
    qualified procedure allows more bead overlap.
    """
    qualified = None if scene is None else scene.procedure.overlap_most
    return CLOSEST if qualified is None else min(CLOSEST, 1.0 - qualified)


def carried_on(coupon: Coupon) -> Layer:
    """The coupon's pitch carried on for many turns at the same clock. Raises SceneError when the
    metal does not fit.
    """
    return around_the_clock(coupon, np.array([coupon.clock]))[0]


def around_the_clock(coupon: Coupon, clocks: Array) -> list[Layer]:
    """The layer carried on, read at each of `clocks` (n,) [rad] on the gravity clock."""
    before = coupon.bare(clocks)
    after = _laid(
        coupon, before, spiral(0.0, (MANY - 1) * coupon.pitch, coupon.pitch, turning=coupon.turning)
    )
    low, high = MIDDLE * coupon.pitch, (MIDDLE + 4) * coupon.pitch
    out = []
    for k in range(len(clocks)):
        z, r = _extremes(after, k)
        inside = (z >= low) & (z <= high)
        square = float(after.integrals(low, high)[k, 1]) / (high - low)
        mean = (coupon.radius**2 - square) / (coupon.radius + math.sqrt(square))
        out.append(
            Layer(
                coupon.radius - float(r[inside].min()), coupon.radius - float(r[inside].max()), mean
            )
        )
    return out


def pitches(coupon: Coupon, spacings: Array) -> list[Layer]:
    """The layer carried on at each pitch over local bead width in `spacings` (n,): what a closer
    pitch buys.
    """
    _, width, _ = around(coupon.bare(), coupon.bead, coupon.q, coupon.conditions(), coupon.turning)
    return [carried_on(replace(coupon, pitch=float(x) * float(width[0]))) for x in spacings]


def _laid(coupon: Coupon, before: Wall, way: Path, *, tie_in: float | None = None) -> Wall:
    try:
        return lay(before, way, coupon.bead, coupon.q, coupon.conditions(tie_in)).wall
    except BoreClosed:
        raise SceneError(
            f"the bench: bore = {coupon.diameter:g} mm on diameter: the beads do not fit; "
            "take a larger bore or a smaller bead."
        ) from None


def _mean(wall: Wall, coupon: Coupon, low: float, high: float) -> float:
    square = float(wall.integrals(low, high)[0, 1]) / (high - low)
    return (coupon.radius**2 - square) / (coupon.radius + math.sqrt(square))


def _extremes(wall: Wall, column: int) -> tuple[Array, Array]:
    """Distance z and radius [mm] at every knot and at the vertex of every piece that has one inside
    it; exact.
    """
    n = int(wall.count[column])
    z0, step = wall.knots[column, :n], np.diff(wall.knots[column, : n + 1])
    a, b, c = wall.coef[column, :n].T
    top = np.where(np.abs(c) > 1e-12, -b / np.where(np.abs(c) > 1e-12, 2.0 * c, 1.0), -1.0)
    inside = (top > 0.0) & (top < step)
    z = np.concatenate([z0, [wall.knots[column, n]], (z0 + top)[inside]])
    end = a[-1] + step[-1] * (b[-1] + step[-1] * c[-1])
    r = np.concatenate([a, [end], (a + top * (b + top * c))[inside]])
    order = np.argsort(z, kind="stable")
    return z[order], r[order]


def _points(wall: Wall, radius: float, width: float) -> tuple[Array, Array]:
    """Crests and valleys between them, (k, 2): z and height [mm]; of bare wall between beads the
    middle.
    """
    z, r = _extremes(wall, 0)
    height = radius - r
    new = np.concatenate([[True], np.abs(np.diff(height)) > 1e-7 * width])
    first = np.flatnonzero(new)
    last = np.append(first[1:], len(z)) - 1
    z, height = 0.5 * (z[first] + z[last]), height[first]
    rise = np.sign(np.diff(height))
    crests = np.flatnonzero((rise[:-1] > 0) & (rise[1:] < 0)) + 1
    valleys = np.flatnonzero((rise[:-1] < 0) & (rise[1:] > 0)) + 1
    at = np.stack([z, height], axis=1)
    return at[crests], at[valleys]


def _black(wall: Wall, coupon: Coupon, end: float) -> Array:
    """Where the last cut finds no metal between z = 0 and `end`: the engine's own reading, (k, 2)
    [mm].
    """
    axis = Axis.straight(1.0)
    spans = np.array([[[0.0, end]]])
    found = beyond(wall, Bored(axis, coupon.radius - coupon.cut), axis, spans, 0.0)
    return np.asarray(found[:, 1:])
