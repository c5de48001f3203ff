"""One layer of the engine against the solid union of separate beads, by the library manifold3d.

The union of parabolas side by side counts the metal where two beads overlap once only, so it loses
metal; a section of the engine keeps it. Where beads do not touch, both are the same thing.
"""

from __future__ import annotations

import math

import manifold3d
import numpy as np
import pytest

from sim.bore.lay import Conditions, lay
from sim.bore.torch_way import Path, spiral
from sim.bore.wall import Clock, Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import TURN
from tests.speed import solid

RADIUS, WIDTH, HEIGHT, CELLS, STEP, TURNS = 41.5, 5.0, 1.8, 180, 0.1, 6
BEAD = Bead(WIDTH, HEIGHT)


def ring(below: float, above: float) -> float:
    """Volume per radian [mm3] of metal as thick as the bead's parabola from offset `below` to
    `above` [mm].

    Integral of R t - t^2/2, t = h (1 - (2u/w)^2): derived.
    """

    def upto(u: float) -> float:
        s = 4.0 / WIDTH**2
        first = u - s * u**3 / 3.0
        second = u - 2.0 * s * u**3 / 3.0 + s**2 * u**5 / 5.0
        return RADIUS * HEIGHT * first - HEIGHT**2 * second / 2.0

    return upto(above) - upto(below)


Q = ring(-0.5 * WIDTH, 0.5 * WIDTH)
ANGLE = TURN / CELLS


def cut_off(volume: float, width: float) -> float:
    """Metal [mm3] that a solid with flat facets is short of: derived.

    (sin a)/a of the angle, on a `volume` [mm3]; chords for arcs of the parabola, over `width` [mm
    rad] of bead.
    """
    return (
        ANGLE**2 / 6.0 * volume
        + (RADIUS - HEIGHT) * (4.0 * HEIGHT / WIDTH**2) * STEP**2 / 6.0 * width
    )


def layer(pitch: float, clock: Clock) -> tuple[Path, Wall, Wall]:
    """The way, and the engine's wall before and after a layer of `Q` with no tie-in."""
    way = spiral(0.0, TURNS * pitch, pitch)
    base = Wall.round(clock, RADIUS, -10.0, TURNS * pitch + 10.0)
    return way, base, lay(base, way, BEAD, Q, Conditions(tie_in=0.0, fusion=HEIGHT)).wall


def united(way: Path) -> manifold3d.Manifold:
    """The solid union of the beads along the way."""
    return solid.union(solid.turns(way, BEAD, RADIUS, cells=CELLS, step=STEP))


def at_facet_edges(*cells: int) -> Clock:
    """Clock columns where the solid has a row of vertices, a hair beside it."""
    angle = np.array(cells) * ANGLE + 1e-7
    return Clock(angle, np.full(len(cells), ANGLE))


def section(union: manifold3d.Manifold, clock: float) -> list[np.ndarray]:
    """Contours (k, 2) of depth and radius [mm] of the union cut along a clock ray, by depth."""
    cut = union.rotate((0.0, 0.0, -math.degrees(clock))).rotate((0.0, 90.0, 0.0)).slice(0.0)
    contours = [np.asarray(one) * [1.0, -1.0] for one in cut.to_polygons()]
    return sorted(
        (one for one in contours if one[:, 1].min() > 0.0), key=lambda one: one[:, 0].min()
    )


def area(contours: list[np.ndarray]) -> float:
    """Area [mm2] of closed contours (shoelace formula)."""
    ends = [(one, np.roll(one, -1, axis=0)) for one in contours]
    return sum(abs(float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))) / 2.0 for a, b in ends)


@pytest.mark.parametrize("spacing", [1.0, 1.15])
def test_beads_apart_are_the_union(spacing: float) -> None:
    """Pitch at least the width: the engine's volume is the solid's, but for what its facets cut off
    (derived).
    """
    way, base, wall = layer(spacing * WIDTH, Clock.even(CELLS))
    turned = float(way.phi[-1])
    short = base.volume_to(wall, base.start, base.end) - united(way).volume()
    assert short == pytest.approx(cut_off(Q * turned, WIDTH * turned), rel=0.02)


def test_beads_apart_have_the_section_of_the_union() -> None:
    """Same bead sections, same crests, same bare wall between them at every clock cut."""
    clock = at_facet_edges(11, 60, 133)
    way, _, wall = layer(1.15 * WIDTH, clock)
    union = united(way)
    for i, angle in enumerate(clock.angle):
        beads = section(union, float(angle))
        assert len(beads) == TURNS
        for before, after in zip(beads, beads[1:], strict=False):
            bare = np.array([before[:, 0].max(), after[:, 0].min()])
            assert bare[1] - bare[0] == pytest.approx(0.15 * WIDTH, abs=1e-6)
            inside = np.linspace(bare[0] + 1e-6, bare[1] - 1e-6, 9)
            assert wall.radius(inside)[i] == pytest.approx(RADIUS, abs=1e-9)
        for bead in beads:
            order = np.argsort(bead[:, 0])
            engine = wall.radius(bead[order, 0])[i]
            assert engine == pytest.approx(bead[order, 1], abs=5e-5)


@pytest.mark.parametrize("spacing", [0.6, 2.0 / 3.0, 0.8])
def test_overlapped_union_loses_what_the_engine_keeps(spacing: float) -> None:
    """Engine less union is the overlap of neighbours, counted once too often, and the facets
    (derived).
    """
    pitch = spacing * WIDTH
    way, base, wall = layer(pitch, Clock.even(CELLS))
    turned = float(way.phi[-1])
    overlap = 2.0 * ring(0.5 * pitch, 0.5 * WIDTH) * (turned - TURN)
    laid = base.volume_to(wall, base.start, base.end)
    assert laid == pytest.approx(Q * turned, rel=1e-12)
    facets = cut_off(laid - overlap, WIDTH * turned - (WIDTH - pitch) * (turned - TURN))
    assert laid - overlap - united(way).volume() == pytest.approx(facets, rel=0.02)


@pytest.mark.parametrize("spacing", [0.6, 2.0 / 3.0, 0.8])
def test_overlapped_union_against_closed_form(spacing: float) -> None:
    """Union of separate parabolas: mean h (1 - x^2/3), ripple x^2 h (derived); the engine's valley
    is shallower.
    """
    clock, pitch = at_facet_edges(45), spacing * WIDTH
    way, _, wall = layer(pitch, clock)
    (contour,) = section(united(way), float(clock.angle[0]))
    mean = HEIGHT * (1.0 - spacing**2 / 3.0)
    bead, lost = BEAD.area, WIDTH * HEIGHT * (2.0 / 3.0 - spacing + spacing**3 / 3.0)
    assert area([contour]) == pytest.approx(TURNS * bead - (TURNS - 1) * lost, rel=1e-3)
    assert bead - lost == pytest.approx(mean * pitch, rel=1e-12)
    torch = way.depth_at(np.array([clock.angle[0] + k * TURN for k in range(TURNS)]))
    between = (
        (contour[:, 0] > torch[1])
        & (contour[:, 0] < torch[-2])
        & (contour[:, 1] < RADIUS - 0.1 * HEIGHT)
    )
    surface = contour[between]
    valley, crest = surface[:, 1].max(), surface[:, 1].min()
    assert valley - crest == pytest.approx(spacing**2 * HEIGHT, abs=2e-3)
    deepest = wall.radius(np.linspace(torch[1], torch[-2], 4001))[0].max()
    assert crest < deepest < valley - 0.1 * HEIGHT
