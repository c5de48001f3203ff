"""Spreads in, draws out: everything random lives here, and leaves as plain values before any
physics.

Draw k comes from the seed and k alone, so it is the same on any number of workers and in any order.
Every stream (a layer's turns, a layer's bead, the job's own values) has its own child of the seed,
so a longer bead begins like a shorter one, and switching one spread off leaves every other value as
it was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any

import numpy as np
from numpy.random import PCG64, Generator, SeedSequence

from sim.bore.axis import Axis
from sim.bore.lay import Noise
from sim.plan.odds.spreads import Spreads
from sim.plan.odds.strays import (
    BY_TURN,
    BY_TURNS,
    EVEN,
    EVENS,
    NORMAL,
    NORMALS,
    SEEN,
    column,
    columns,
)
from sim.reference.arrays import TURN, Array, frozen

NODES = 4  # nodes of the smooth bead noise per correlation length


LEAST = 0.05  # a factor on area or width is never below this, whatever is drawn


ODD_HARMONICS = (1, 3)


JOB, TURNS, BEAD, AFTER, READ, OWN = 0, 1, 2, 3, 4, 5


@dataclass(frozen=True)
class BeadNoise:
    """Factors of one layer: area and width by turn (k,), area along the bead at every `step` [mm]
    of arc length.
    """

    q_turn: Array
    w_turn: Array
    q_along: Array
    step: float

    def on(self, radius: float) -> Noise:
        """The same bead on a wall of this radius [mm]: arc length becomes angle turned.

        >>> BeadNoise(np.ones(2), np.ones(2), np.ones(9), 2.0).on(40.0).step
        0.05
        """
        return Noise(self.q_turn, self.w_turn, self.q_along, self.step / radius)


@dataclass(frozen=True)
class Draw:
    """One job as it might turn out; plain values.

    area, width (n_layers,): factors on bead area and width; beads: noise of each layer; tie_in;
    gravity: factor; pool_run, fusion [mm]; offsets (3, 4) [mm]: pre-bore, torch and finish axis, x
    and y at the entry and the far face; size: radius less radius read [mm]; odd (k, 2): size [mm
    per side] and clock [rad] of each of
    `ODD_HARMONICS`; law:
    stock per side that the engine finds too much [mm]; edge: the same more at a free edge, a layer
    [mm]; crest: how much farther out [mm] crests stand than the engine finds; shared: the part of
    `area` that all layers have in common, less 1; wide: standard deviations by which beads are
    wider than they were known to be.
    """

    index: int
    area: Array
    width: Array
    beads: tuple[BeadNoise, ...]
    tie_in: float
    gravity: float
    pool_run: float
    fusion: float
    offsets: Array
    size: float
    odd: Array
    law: float
    edge: float
    crest: float = 0.0
    shared: float = 0.0
    wide: float = 0.0

    @property
    def nominal(self) -> bool:
        """Tell whether the wall before welding is the scene's, and no bead wider than it is there."""
        as_set = (
            (self.width == 1.0).all()
            and self.gravity == 1.0
            and all((bead.w_turn == 1.0).all() for bead in self.beads)
        )
        return bool(as_set and not (self.offsets[:2].any() or self.size or self.odd[:, 0].any()))

    @property
    def torch(self) -> Array:
        """How far the torch axis is off, (4,) [mm]: x and y at the entry and the far face."""
        return np.asarray(self.offsets[1])

    def moved(self, which: int, axis: Axis, follows: tuple[bool, bool] = (False, False)) -> Axis:
        """An axis (0 pre-bore, 1 torch, 2 finish) set up a little off; `follows`: the pre-bore
        axis, at either face.
        """
        off = (
            self.offsets[which].reshape(2, 2)
            + self.offsets[0].reshape(2, 2) * np.array(follows)[:, None]
        )
        if not off.any():
            return axis
        (x0, y0), (x1, y1) = off.tolist()
        return Axis(
            (axis.entry[0] + x0, axis.entry[1] + y0),
            (axis.far[0] + x1, axis.far[1] + y1),
            axis.length,
        )

    def grown(self, clock: Array) -> Array:
        """How much larger [mm per side] the worn wall really is than read, at clock [rad]: all
        round, and the odd part.

        >>> quiet = draw(Spreads(), [Way(1.0, 1.0)], 1, 0)
        >>> quiet.grown(np.zeros(2)).tolist()
        [0.0, 0.0]
        """
        out = np.full(clock.shape, self.size)
        for n, (amplitude, at) in zip(ODD_HARMONICS, self.odd, strict=True):
            if amplitude:
                out += amplitude * np.cos(n * (clock - at))
        return out


@dataclass(frozen=True)
class Way:
    """What a layer's bead is drawn for: turns, and length [mm] along the bead."""

    turns: float
    length: float


def draw(spreads: Spreads, ways: Sequence[Way], seed: int, index: int) -> Draw:
    """Draw number `index`: the same for the same seed and index, whoever asks.

    Bores on one bar share their axes, the common cause and what is known of wire, bead, gauge and
    law; beads, what a layer strays by itself and the wear no gauge sees are each bore's own.

    >>> s = Spreads(common=0.03, height=0.04, along=0.04, along_length=7.5)
    >>> one, again = (draw(s, [Way(20.0, 5000.0)], 1, 7) for _ in range(2))
    >>> bool((one.beads[0].q_along == again.beads[0].q_along).all())
    True
    """
    beads = tuple(bead_noise(spreads, way, seed, index, number) for number, way in enumerate(ways))
    return draw_without_beads(spreads, len(ways), seed, index, beads)


def draw_without_beads(
    spreads: Spreads, layers: int, seed: int, index: int, beads: tuple[BeadNoise, ...] = ()
) -> Draw:
    """As `draw`, without the noise of its beads, or with that given."""
    plain, even, own = _values(seed, index, layers)
    if spreads.place.number:  # what no two bores have in common
        alone = _stream(seed, index, OWN, spreads.place.number)
        own, even = alone.standard_normal((layers, 2)), even.copy()
        even[EVEN["odd"]] = alone.random(len(even[EVEN["odd"]]))
    area = (
        math.sqrt(spreads.shared) * plain[NORMAL["common"]]
        + math.sqrt(1.0 - spreads.shared) * own[:, 0]
    )
    low, high = spreads.aspect
    wide = float(plain[NORMAL["width"]])
    width = (low + (high - low) * even[EVEN["aspect"]]) * (
        1.0 + np.asarray(spreads.bead_width) * wide
    )
    offsets = spreads.place.offsets(
        np.asarray(spreads.axes)[:, None] * plain[NORMAL["axes"]].reshape(3, 4)
    )
    drawn = Draw(
        index=index,
        area=_factor(1.0 + spreads.common * area),
        width=_factor(np.broadcast_to(width, (layers,)).copy()),
        beads=beads,
        tie_in=_tie_in(spreads, plain[NORMAL["tie_in"]], even[EVEN["tie_in"]]),
        gravity=max(1.0 + spreads.gravity * plain[NORMAL["gravity"]], 0.0),
        pool_run=spreads.pool_run[0] + spreads.pool_run[1] * (2.0 * even[EVEN["pool_run"]] - 1.0),
        fusion=max(
            spreads.fusion[0] + spreads.fusion[1] * plain[NORMAL["fusion"]],
            min(spreads.fusion[0], 0.3),
        ),
        offsets=frozen(offsets),
        size=0.5 * spreads.reading * plain[NORMAL["reading"]],
        odd=frozen(_odd(spreads.odd, even[EVEN["odd"]])),
        law=spreads.law * float(plain[NORMAL["law"]]),
        edge=spreads.edge * float(even[EVEN["edge"]]),
        crest=spreads.crest * float(plain[NORMAL["crest"]]),
        wide=wide,
        shared=spreads.common * math.sqrt(spreads.shared) * float(plain[NORMAL["common"]]),
    )
    if spreads.seen is None:
        return drawn
    return _as_seen(drawn, spreads, _stream(seed, index, AFTER).standard_normal(SEEN), own[:, 0])


def _as_seen(drawn: Draw, spreads: Spreads, plain: Array, own: Array) -> Draw:
    """A draw with what readings after layers told: the wall as it was read, and what is left of the
    rest.
    """
    seen = spreads.seen
    if seen is None:
        return drawn
    known, off = seen.known, seen.strayed(plain)
    laid, to_come = float(off[column("laid")]), float(off[column("area")])
    still = spreads.common * math.sqrt(1.0 - spreads.shared) * own
    area = np.where(np.arange(len(own)) < known.layers, 1.0 + laid, 1.0 + to_come + still)
    changed: dict[str, Any] = dict(area=_factor(area), shared=to_come)
    if known.layers:  # this bore was read
        changed["size"] = 0.0
    if known.width is not None:
        bead, wide = np.asarray(spreads.bead_width), known.width + off[column("width")]
        known_as = np.maximum(1.0 + bead * drawn.wide, LEAST)
        changed["width"] = _factor(drawn.width * (1.0 + bead * wide) / known_as)
    if known.torch:
        offsets = drawn.offsets.copy()
        offsets[1] = off[columns("torch")]
        changed["offsets"] = frozen(offsets)
        changed["pool_run"] = spreads.pool_run[0] + float(off[column("pool_run")])
    if known.tie_in is not None:
        changed["tie_in"] = min(max(spreads.tie_in + float(off[column("tie_in")]), 0.0), 1.0)
    if known.law is not None:
        changed["law"] = known.law + float(off[column("law")])
    if known.edge is not None:
        changed["edge"] = max(known.edge + float(off[column("edge")]), 0.0)
    if known.gravity is not None:
        changed["gravity"] = max(known.gravity + float(off[column("gravity")]), 0.0)
    return replace(drawn, **changed)


def reading_errors(seed: int, number: int, shape: tuple[int, int]) -> Array:
    """Errors of gauge readings as plain normal values, of the `number`-th table of readings; shape
    (draws, values).
    """
    return _stream(seed, 0, READ, number).standard_normal(shape)


@lru_cache(8192)
def _values(seed: int, index: int, layers: int) -> tuple[Array, Array, Array]:
    """What a draw is made of: normal values, even ones 0..1, normal ones of each layer (layers, 2).

    Kept, since a search asks for the same draws plan after plan.
    """
    rng = _stream(seed, index, JOB)
    plain, even = rng.standard_normal(NORMALS), rng.random(EVENS)
    return frozen(plain), frozen(even), frozen(rng.standard_normal((layers, 2)))


def _stream(seed: int, *where: int) -> Generator:
    """The random numbers of one place of one draw."""
    return Generator(PCG64(SeedSequence(seed, spawn_key=where)))


def _factor(values: Array) -> Array:
    return frozen(np.maximum(values, LEAST))


def _tie_in(spreads: Spreads, plain: float, even: float) -> float:
    if spreads.tie_in_spread is None:
        return float(even)
    return min(max(spreads.tie_in + spreads.tie_in_spread * float(plain), 0.0), 1.0)


def _odd(largest: float, even: Array) -> Array:
    """Harmonics whose sum is nowhere more than `largest` [mm]."""
    size = largest * even[0]
    return np.array([[size * even[1], TURN * even[2]], [size * (1.0 - even[1]), TURN * even[3]]])


def bead_noise(spreads: Spreads, way: Way, seed: int, index: int, number: int) -> BeadNoise:
    """The noise of one layer (`number` from 0) of one draw; a longer way begins like a shorter one."""
    turns, bore = int(way.turns) + 2, (spreads.place.number,) if spreads.place.number else ()
    if spreads.height or spreads.width:
        by_turn = _stream(seed, index, TURNS, number, *bore).standard_normal((turns, BY_TURNS))
        q_turn = 1.0 + spreads.height * by_turn[:, BY_TURN["height"]]
        w_turn = 1.0 + spreads.width * by_turn[:, BY_TURN["width"]]
    else:
        q_turn = w_turn = np.ones(turns)
    step = spreads.along_length / NODES
    along = np.ones(1)
    if spreads.along:
        count = nodes_along(spreads, way)
        along = _factor(
            1.0 + spreads.along * smooth(_stream(seed, index, BEAD, number, *bore), count)
        )
    return BeadNoise(_factor(q_turn), _factor(w_turn), along, step)


def nodes_along(spreads: Spreads, way: Way) -> int:
    """How many nodes the noise along a bead has."""
    return math.ceil(way.length * NODES / spreads.along_length) + 3


def smooth(rng: Generator, count: int) -> Array:
    """`count` normal values (0, 1) at nodes a quarter of the correlation length apart, smooth from
    node to node.

    White noise under a bell of half the correlation length, so that the correlation falls to 1/e at
    that length:
    exp(-(d/length)^2), derived. Longer runs begin like shorter ones.
    """
    bell = _bell()
    return np.convolve(rng.standard_normal(count + len(bell) - 1), bell, "valid")


@cache
def _bell() -> Array:
    """A bell of half the correlation length, three standard deviations either way, in nodes."""
    reach = 3 * NODES // 2
    bell = np.exp(-0.5 * (np.arange(-reach, reach + 1) / (0.5 * NODES)) ** 2)
    return frozen(bell / math.sqrt(float((bell**2).sum())))
