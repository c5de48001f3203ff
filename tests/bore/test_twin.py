"""The slow twin: the same rule on a dense radius map, in plain numpy, against the exact sections of
the engine.

Written from the words in the docstring of `sim.bore.lay` alone: the section is sampled at equal
steps along depth, a bead replaces the samples of its pool by the chord less c times the parabola,
and c conserves the sum of r dr dz.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.bore.lay import Conditions, Laid, lay
from sim.bore.torch_way import Path, spiral
from sim.bore.wall import Clock, Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import TURN, Array

BEAD = Bead(5.0, 1.8)
LENGTH, PITCH, RADIUS, ENDS = 30.0, 3.5, 41.5, (-12.0, 42.0)
GRAVITY, RUN, TIE_IN = 0.23, 1.0, 0.5


@dataclass
class Dense:
    """One clock column as samples: radius `r` [mm] at the middles `z` [mm] of equal steps."""

    z: Array
    r: Array

    @property
    def step(self) -> float:
        return float(self.z[1] - self.z[0])

    def add(self, low: float, high: float, q: float, fusion: float = math.inf) -> None:
        """A bead of q [mm3/rad] with its contact points at depths low and high [mm]."""
        pool = (self.z > low) & (self.z < high)
        z, old = self.z[pool], self.r[pool]
        ends = np.interp([low, high], self.z, self.r)
        chord = ends[0] + (ends[1] - ends[0]) * (z - low) / (high - low)
        bow = (z - low) * (high - z)
        c = self._bow(chord, bow, old, q)
        if (chord - c * bow > old + fusion).any():
            c = self._limited(chord, bow, old, q, fusion)
        self.r[pool] = np.minimum(chord - c * bow, old + fusion)

    def _bow(self, chord: Array, bow: Array, old: Array, q: float) -> float:
        """c from sum((chord - c bow)^2) = sum(old^2) - 2 q / step, the smaller root."""
        a, b = float(bow @ bow), float(chord @ bow)
        return (b - math.sqrt(b * b - a * (chord @ chord - old @ old + 2.0 * q / self.step))) / a

    def _limited(self, chord: Array, bow: Array, old: Array, q: float, fusion: float) -> float:
        """c where the depth of fusion binds, by scipy's root finder."""

        def off(c: float) -> float:
            new = np.minimum(chord - c * bow, old + fusion)
            return 0.5 * self.step * float(old @ old - new @ new) - q

        return float(brentq(off, -3.0, 3.0, xtol=1e-15, rtol=1e-14))


def passes(clock: float, start_clock: float, closing: tuple[int, int]) -> Iterator[float]:
    """Depth [mm] of the torch each time it comes by a clock angle, turning clockwise: closing
    turns, spiral, closing turns.
    """
    begin, end = 1.25, LENGTH - 1.25
    lead, run = closing[0] * TURN, (end - begin) / PITCH * TURN
    phi = (clock - start_clock) % TURN
    while phi <= lead + run + closing[1] * TURN:
        yield begin + PITCH / TURN * min(max(phi - lead, 0.0), run)
        phi += TURN


def build_up(column: Dense, clock: float, mean_radii: list[float]) -> None:
    """All layers of the job on one dense column; `mean_radii` of the wall [mm] before each layer."""
    climbing = -math.sin(clock)  # clockwise: up from 6 past 9 to 12
    width = BEAD.width * math.exp(-GRAVITY * climbing)
    for number, radius in enumerate(mean_radii):
        q = BEAD.area * radius * (1.0 - RUN / radius * math.cos(clock))
        before = None
        for z in passes(clock, number * TURN / 4.0, (1, 1)):
            low = z - 0.5 * width
            if before is not None and 0.5 * width < z - before < width:
                reach = min(1.0, ((width - (z - before)) / (0.262 * width)) ** 2)
                low -= TIE_IN * (z - before - 0.5 * width) * reach
            column.add(low, z + 0.5 * width, q)
            before = z


def exact_job(layers: int) -> tuple[list[Wall], list[float]]:
    """The engine's walls of the same job, before and after every layer, and the mean radius before
    each.
    """
    walls, radii = [Wall.round(Clock.even(8), RADIUS, *ENDS)], []
    conditions = Conditions(tie_in=TIE_IN, fusion=50.0, gravity=GRAVITY, pool_run=RUN)
    for number in range(layers):
        way = spiral(1.25, LENGTH - 1.25, PITCH, closing=(1, 1), start_clock=number * TURN / 4.0)
        radii.append(walls[-1].mean_radius(*ENDS))
        walls.append(lay(walls[-1], way, BEAD, BEAD.area * radii[-1], conditions).wall)
    return walls, radii


STEPS = (0.2, 0.1, 0.05, 0.025)


@pytest.fixture(scope="module")
def compared() -> dict[str, Array]:
    """Per step and column, mean over four places of the grid: valley error, profile error [mm],
    volume ratio.
    """
    walls, radii = exact_job(4)
    wall, inside = walls[-1], (1.0, LENGTH - 1.0)
    knots = wall.knots[wall.knots > 0.0]
    depth = np.unique(np.concatenate([np.linspace(*inside, 8001), knots, knots + 1e-9]))
    depth = depth[(depth >= inside[0]) & (depth <= inside[1])]
    valley = wall.radius(depth).max(axis=1)
    laid = 0.5 * (walls[0].integrals(*ENDS) - wall.integrals(*ENDS))[:, 1]
    found: dict[str, list[float]] = {"valley": [], "profile": [], "volume": []}
    for step in STEPS:
        for shift in (-0.5, -0.25, 0.0, 0.25):
            z = np.arange(ENDS[0] + (1.0 + shift) * step, ENDS[1] - step, step)
            judged = (z >= inside[0]) & (z <= inside[1])
            exact = wall.radius(z)
            for i, clock in enumerate(wall.clock.angle):
                column = Dense(z, np.full(len(z), RADIUS))
                build_up(column, float(clock), radii)
                found["valley"].append(float(column.r[judged].max()) - valley[i])
                found["profile"].append(float(np.abs(column.r - exact[i])[judged].mean()))
                metal = 0.5 * column.step * float(RADIUS**2 * len(z) - column.r @ column.r)
                found["volume"].append(metal / laid[i])
    return {name: np.reshape(values, (len(STEPS), 4, -1)) for name, values in found.items()}


def test_volumes_agree(compared: dict[str, Array]) -> None:
    """The map conserves what it is given; so the sections hold the same metal, to rounding."""
    assert compared["volume"] == pytest.approx(np.ones_like(compared["volume"]), rel=1e-11)


def test_a_map_says_too_much_stock(compared: dict[str, Array]) -> None:
    """In every column and wherever the grid lies, a map's deepest valley is shallower than the
    sections say.
    """
    assert (compared["valley"] < 0.0).all()


def test_the_map_converges_to_the_sections(compared: dict[str, Array]) -> None:
    """As the step is halved the map's error in the valley and along the profile is halved: first
    order, to nothing.
    """
    for name in ("valley", "profile"):
        error = np.abs(compared[name]).mean(axis=(1, 2))
        assert (error[:-1] / error[1:] > 1.8).all() and (error[:-1] / error[1:] < 2.2).all()
        assert abs(2.0 * error[-1] - error[-2]) < 0.03 * error[0]


def grooved(clock: Clock, deep: float) -> Wall:
    """A groove 3 mm wide, `deep` [mm] per side, and a ridge half as high beside it; flanks steep."""
    depth = np.array([ENDS[0], 6.0, 6.2, 8.8, 9.0, 14.0, 14.3, 15.7, 16.0, ENDS[1]])
    shape = np.array([0.0, 0.0, 1.0, 1.0, 0.0, 0.0, -0.5, -0.5, 0.0, 0.0])
    return Wall.from_radius(clock, depth, np.tile(RADIUS + deep * shape, (len(clock.angle), 1)))


def limited(share: float, deep: float, fusion: float) -> tuple[Path, Wall, Laid]:
    """A layer of `share` of the usual metal over the grooved wall, in one column at 6 o'clock."""
    way, wall = spiral(3.0, 20.0, PITCH), grooved(Clock.even(1), deep)
    conditions = Conditions(tie_in=TIE_IN, fusion=fusion)
    return way, wall, lay(wall, way, BEAD, share * BEAD.area * RADIUS, conditions)


@pytest.mark.parametrize(
    "share, deep, fusion", [(1.0, 3.0, 0.3), (0.15, 1.5, 0.2), (0.05, 2.0, 0.1), (0.4, -3.0, 0.25)]
)
def test_where_the_depth_of_fusion_binds(share: float, deep: float, fusion: float) -> None:
    """The engine's own search for c against scipy's brentq on a dense map, bead after bead."""
    way, wall, laid = limited(share, deep, fusion)
    assert laid.remelted.sum() >= 1
    off = []
    for step in (0.004, 0.002):
        z = np.arange(ENDS[0] + 0.37 * step, ENDS[1], step)
        column = Dense(z, wall.radius(z)[0])
        before = None
        for depth in way.depth_at(np.arange(math.pi, way.phi[-1], TURN)):
            low = depth - 0.5 * BEAD.width
            if before is not None:
                reach = min(1.0, ((BEAD.width - PITCH) / (0.262 * BEAD.width)) ** 2)
                low -= TIE_IN * (PITCH - 0.5 * BEAD.width) * reach
            column.add(low, depth + 0.5 * BEAD.width, share * BEAD.area * RADIUS, fusion)
            before = depth
        off.append(np.abs(column.r - laid.wall.radius(z)[0]).max())
    assert off[1] < 0.004 and off[1] < 0.7 * off[0]


@pytest.mark.parametrize(
    "share, deep, fusion", [(1.0, 3.0, 0.3), (0.15, 1.5, 0.2), (0.05, 2.0, 0.1), (0.4, -3.0, 0.25)]
)
def test_volume_where_the_depth_of_fusion_binds(share: float, deep: float, fusion: float) -> None:
    """Mass balance of the search itself: the volume laid is q times the beads, to 1e-12."""
    _, wall, laid = limited(share, deep, fusion)
    beads = int((~np.isnan(laid.under)).sum())
    gone = 0.5 * (wall.integrals(*ENDS) - laid.wall.integrals(*ENDS))[0, 1]
    assert gone == pytest.approx(share * BEAD.area * RADIUS * beads, rel=1e-11)


def test_a_lone_bead_digs_no_deeper_than_the_depth_of_fusion() -> None:
    """One bead over a ridge: the new wall lies below the old by the depth of fusion at most, and
    reaches it.
    """
    wall = grooved(Clock.even(1), -3.0)
    way = spiral(7.5, 7.5 + 1e-9, 1e-9)
    laid = lay(wall, way, BEAD, 0.02 * BEAD.area * RADIUS, Conditions(tie_in=TIE_IN, fusion=0.25))
    z = np.linspace(4.0, 11.0, 20001)
    deeper = laid.wall.radius(z)[0] - wall.radius(z)[0]
    assert deeper.max() == pytest.approx(0.25, abs=1e-9)
