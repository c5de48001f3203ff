"""What flat facets cost, and a bead swept by itself: for the tests of the solids."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from trimesh import Trimesh

from sim.bore.solid_skin import Indices
from sim.bore.solids import _even, _placed, _points, _sampled, _solid
from sim.bore.torch_way import Path
from sim.bore.wall import Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import TURN, Array

REFINED = 4  # points along each side of a facet at which it is compared with the wall


@dataclass(frozen=True)
class FacetError:
    """What flat facets cost between two walls.

    ngon: volume of a round solid drawn as an n-gon over its true volume, less 1; sag: how far
    inside a round wall the middle of a facet lies [mm]; deviation: largest distance of facets from
    either wall along the radius [mm], found on points between the vertices; volume: bound of the
    volume error [mm3], deviations summed without regard to sign; difference: volume between the
    faceted walls less Wall.volume_to [mm3].
    """

    ngon: float
    sag: float
    deviation: float
    volume: float
    difference: float


def swept_bead(
    path: Path,
    bead: Bead,
    radius: float,
    *,
    overlap: float,
    n_clock: int,
    n_width: int,
) -> Trimesh:
    """One bead swept along a path on a round wall of this radius [mm]: a closed body, capped, for
    each arc.

    The section is the bead's parabola in `n_width` straight pieces, in the axial plane as the
    walls' sections are, on a foot as wide as the bead that reaches `overlap` [mm] into the wall.
    n_clock facets to a turn, and a vertex ring where the advance changes. Turns closer than a width
    overlap: unite them for the outer skin.

    >>> from sim.bore.torch_way import spiral
    >>> one = swept_bead(spiral(5.0, 8.0, 3.0), Bead(5.0, 2.0), 40.0, overlap=0.1, n_clock=90, n_width=8)
    >>> one.is_watertight
    True
    """
    if not (overlap > 0.0 and n_width >= 2 and n_clock >= 3 and bead.height < radius):
        raise ValueError(
            f"swept_bead: overlap = {overlap:g} mm, n_width = {n_width}, n_clock = "
            f"{n_clock}, height = "
            f"{bead.height:g} mm: must be greater than 0, at least 2, at least 3, less than "
            "the radius; mend that one"
        )
    across = np.linspace(-0.5 * bead.width, 0.5 * bead.width, n_width + 1)
    top = radius - bead.height * (1.0 - (2.0 * across / bead.width) ** 2)
    loop_z = np.concatenate([across, across[::-1]])
    loop_r = np.concatenate([top, np.full(len(across), radius + overlap)])
    points, faces, held = [np.zeros((0, 3))], [np.zeros((0, 3), dtype=np.int64)], 0
    for begin, end in path.arcs:
        phi = _stations(path, float(begin), float(end), n_clock)
        clock = path.start_clock + path.turning * phi
        z = path.depth_at(phi)[:, None] + loop_z
        points.append(_placed(np.broadcast_to(loop_r, z.shape), clock[:, None], z))
        faces.append(_tube(len(phi), n_width) + held)
        held += len(points[-1])
    order = 1 if path.turning > 0 else -1
    return _solid(np.concatenate(points), np.concatenate(faces)[:, ::order])


def facet_error(
    outer_wall: Wall, inner_wall: Wall, length: float, n_clock: int, n_depth: int
) -> FacetError:
    """What facets cost between two walls over depth 0..`length` [mm] at this number of facets.

    An outside cylinder is `Wall.round` of its radius. n-gon of the circle: area (n / 2 pi) sin(2 pi
    / n) of it, elementary geometry. Walls are compared along the radius on 4 x 4 points in each
    cell, their own columns joined straight as in `Wall.sampled`; the wall beyond is what `volume`
    and `difference` count positive.

    >>> from sim.bore.wall import Clock
    >>> outer, inner = (Wall.round(Clock.even(8), r, 0.0, 10.0) for r in (60.0, 40.0))
    >>> error = facet_error(outer, inner, 10.0, 64, 3)
    >>> round(error.ngon, 6), round(error.sag, 4)
    (-0.001606, 0.0723)
    >>> abs(error.difference / outer.volume_to(inner, 0.0, 10.0) / error.ngon - 1.0) < 1e-9
    True
    """
    depth, outer = _sampled(outer_wall, length, n_clock, n_depth)
    _, inner = _sampled(inner_wall, length, n_clock, n_depth)
    between = (np.arange(REFINED) + 0.5) / REFINED
    finer = (depth[:-1, None] + between * np.diff(depth)[:, None]).ravel()
    half: Array = np.zeros((n_clock * REFINED, len(finer)))
    deviation = 0.0
    for wall, radius, sign in ((outer_wall, outer, 1.0), (inner_wall, inner, -1.0)):
        facets, true = _on_facets(radius, between), _between_columns(wall, n_clock, between, finer)
        deviation = max(deviation, float(np.abs(facets - true).max()))
        half += sign * 0.5 * (facets**2 - true**2)
    cell = TURN / len(half) * length / len(finer)
    step = TURN / n_clock
    exact = outer_wall.volume_inside(0.0, length) - inner_wall.volume_inside(0.0, length)
    return FacetError(
        ngon=math.sin(step) / step - 1.0,
        sag=float(outer.max()) * (1.0 - math.cos(0.5 * step)),
        deviation=deviation,
        volume=float(np.abs(half).sum()) * cell,
        difference=_enclosed(outer, depth) - _enclosed(inner, depth) - exact,
    )


def _stations(path: Path, begin: float, end: float, n_clock: int) -> Array:
    """Angles turned [rad] from begin to end: even steps, and where the advance changes."""
    steps = max(math.ceil((end - begin) / TURN * n_clock - 1e-9), 1)
    bends = path.phi[(path.phi > begin + 1e-9) & (path.phi < end - 1e-9)]
    phi = np.sort(np.concatenate([np.linspace(begin, end, steps + 1), bends]))
    return np.asarray(phi[np.concatenate([[True], np.diff(phi) > 1e-9])])


def _tube(stations: int, n_width: int) -> Indices:
    """Facets of a closed section of 2 (n_width + 1) points swept through the stations, capped at
    both ends.
    """
    size = 2 * (n_width + 1)
    s, at = np.arange(stations - 1)[:, None] * size, np.arange(size)
    a, b = s + at, s + (at + 1) % size
    sides = np.stack([a, b, b + size, a, b + size, a + size], axis=-1).reshape(-1, 3)
    top = np.arange(n_width)
    foot = size - 1 - top
    cap = np.concatenate(
        [np.stack([top, foot, top + 1], axis=1), np.stack([foot, foot - 1, top + 1], axis=1)]
    )
    return np.concatenate([sides, cap, cap[:, ::-1] + (stations - 1) * size])


def _on_facets(radius: Array, share: Array) -> Array:
    """Radius [mm] on the facets at `share` (s,) of each cell in clock and depth, (n_clock s,
    (n_depth - 1) s).

    Straight along depth, then the chord between columns; the fold along a cell's diagonal is of
    higher order.
    """
    n, s = len(radius), len(share)
    along = radius[:, :-1, None] + share * np.diff(radius, axis=1)[:, :, None]
    here = along.reshape(n, 1, -1)
    there = np.roll(here, -1, axis=0)
    step, part = TURN / n, share[:, None] * (TURN / n)
    chord = here * there * math.sin(step) / (here * np.sin(part) + there * np.sin(step - part))
    return np.asarray(chord.reshape(n * s, -1))


def _between_columns(wall: Wall, n_clock: int, share: Array, depth: Array) -> Array:
    """Radius [mm] of the wall itself at the same places, (n_clock s, len(depth))."""
    clock = (_even(n_clock)[:, None] + share * (TURN / n_clock)).ravel()
    return wall.clock.interpolate(wall.radius(depth), clock)


def _enclosed(radius: Array, depth: Array) -> float:
    """Volume [mm3] inside a faceted wall between flat ends at depth 0 and depth[-1]: divergence
    theorem.
    """
    p = _points(radius, depth).reshape(*radius.shape, 3)
    q = np.roll(p, -1, axis=0)
    a, b, c, d = p[:, :-1], q[:, :-1], q[:, 1:], p[:, 1:]
    sides = np.einsum("ijk,ijk->", a, np.cross(b, c)) + np.einsum("ijk,ijk->", a, np.cross(c, d))
    end = 0.5 * float((p[:, -1, 0] * q[:, -1, 1] - p[:, -1, 1] * q[:, -1, 0]).sum())
    return float(sides) / 6.0 + float(depth[-1]) * end / 3.0
