"""Walls to triangles: closed solids of a job, and files of them; the only door to trimesh.

All coordinates mm about the torch axis: x to 3 o'clock (r sin clock), y to 6 o'clock (-r cos
clock), z into the
bore; right-handed, normals outward. Walls are sampled on vertex columns at clock cell centres and
on rings at
equal depths, both end faces included. Between them the facets are flat: `facet_error` says what
that costs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from trimesh import Trimesh

from sim.bore.solid_skin import REFINED, SINGLE_STEPS, STILL, Indices, _cap, _Skin
from sim.bore.torch_way import Path
from sim.bore.wall import Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import TURN, Array


@dataclass(frozen=True)
class FacetError:
    """What flat facets cost between two walls.

    ngon: volume of a round solid drawn as an n-gon over its true volume, less 1; sag: how far
    inside a round
    wall the middle of a facet lies [mm]; deviation: largest distance of facets from either wall
    along the
    radius [mm], found on points between the vertices; volume: bound of the volume error [mm3],
    deviations
    summed without regard to sign; difference: volume between the faceted walls less Wall.volume_to
    [mm3].
    """

    ngon: float
    sag: float
    deviation: float
    volume: float
    difference: float


def worn_part(
    wall: Wall,
    length: float,
    outside_radius: float,
    n_clock: int,
    n_depth: int,
    *,
    outside_shift: Array | tuple[float, ...] = STILL,
) -> Trimesh:
    """The part around a wall: ring from the wall to the outside cylinder, flat faces at depth 0 and
    `length` [mm].

    outside_shift (4,): torch axis less the outside's axis, as `sim.bore.cylinders.shift`. The
    outside is straight from
    face to face along each clock ray. Raises ValueError where the outside does not lie beyond the
    wall.

    >>> from sim.bore.wall import Clock
    >>> part = worn_part(Wall.round(Clock.even(8), 40.0, 0.0, 10.0), 10.0, 60.0, 64, 3)
    >>> part.is_watertight, round(float(part.volume) / (math.pi * (60.0**2 - 40.0**2) * 10.0), 3)
    (True, 0.998)
    """
    depth, radius = _sampled(wall, length, n_clock, n_depth)
    return _ring(radius, depth, outside_radius, outside_shift)


def finished_bore(
    wall: Wall,
    length: float,
    outside_radius: float,
    finish_radius: float,
    finish_shift: Array | tuple[float, ...],
    *,
    n_clock: int,
    n_depth: int,
    outside_shift: Array | tuple[float, ...] = STILL,
) -> Trimesh:
    """The part after the finish cut; where the wall already lies beyond the finish cylinder it
    stays black.

    finish_shift (4,): torch axis less finish axis, x, y at depth 0 [mm] and slopes, as
    `sim.bore.cylinders.shift`.
    Raises ValueError where the outside does not lie beyond the bore.

    >>> from sim.bore.wall import Clock
    >>> welded = Wall.round(Clock.even(8), 38.0, 0.0, 10.0)
    >>> bored = finished_bore(welded, 10.0, 60.0, 40.0, STILL, n_clock=64, n_depth=3)
    >>> round(float(np.hypot(bored.vertices[:, 0], bored.vertices[:, 1]).min()), 9)
    40.0
    """
    depth, radius = _sampled(wall, length, n_clock, n_depth)
    finish = _ray(finish_radius, finish_shift, n_clock, depth, "finish_radius")
    return _ring(np.maximum(radius, finish), depth, outside_radius, outside_shift)


def deposit_solid(
    outer_wall: Wall, inner_wall: Wall, length: float, n_clock: int, n_depth: int
) -> Trimesh:
    """What a layer adds: the space between the wall before it and the wall after it, as one or more
    closed bodies.

    Only where the wall after lies inside the wall before; call it with the walls exchanged for the
    metal a pool
    took from ridges below it. The volume added less the volume taken is Wall.volume_to.

    Thickness is that at the vertices. Facets without any are left out, and a body runs out to
    nothing at the
    first vertices without metal, where both its skins share their vertices: no thickness is made
    up. A vertex
    counts as without metal below four steps of single precision at the largest radius (1.5e-5 mm at
    40 mm), which
    files of 32-bit numbers cannot tell apart. Where bodies would meet in a line or a point, each
    border is drawn
    back from it by a twentieth of a cell, so that every edge has exactly two faces. Without any
    metal the mesh
    is empty.

    >>> from sim.bore.wall import Clock
    >>> before, after = (Wall.round(Clock.even(8), r, 0.0, 10.0) for r in (40.0, 38.0))
    >>> layer = deposit_solid(before, after, 10.0, 64, 3)
    >>> layer.is_watertight, round(float(layer.volume) / (math.pi * (40.0**2 - 38.0**2) * 10.0), 3)
    (True, 0.998)
    """
    depth, outer = _sampled(outer_wall, length, n_clock, n_depth)
    _, inner = _sampled(inner_wall, length, n_clock, n_depth)
    least = SINGLE_STEPS * float(np.spacing(np.float32(outer.max())))
    metal = outer - inner > least
    points = np.concatenate([_points(outer, depth), _points(np.where(metal, inner, outer), depth)])
    faces, ends = _facets(n_clock, n_depth)
    skin = _Skin.of(points, faces, metal.ravel())
    caps = [_cap(skin, ends[0], (0, 1)), _cap(skin, ends[1], (1, 2))]
    return _solid(skin.points, np.concatenate([skin.outer, skin.inner[:, ::-1], *caps]))


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
    walls' sections
    are, on a foot as wide as the bead that reaches `overlap` [mm] into the wall. n_clock facets to
    a turn, and a
    vertex ring where the advance changes. Turns closer than a width overlap: unite them for the
    outer skin.

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
    / n) of it,
    elementary geometry. Walls are compared along the radius on 4 x 4 points in each cell, their own
    columns
    joined straight as in `Wall.sampled`; the wall beyond is what `volume` and `difference` count
    positive.

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


def _sampled(wall: Wall, length: float, n_clock: int, n_depth: int) -> tuple[Array, Array]:
    """Depths (n_depth,) and radius (n_clock, n_depth) [mm] of the vertices."""
    if n_clock < 3 or n_depth < 2:
        raise ValueError(
            f"mesh: n_clock = {n_clock}, n_depth = {n_depth}: must be at least 3 and 2; ask "
            "for more facets"
        )
    if not (length > 0.0 and wall.start <= 0.0 and wall.end >= length):
        raise ValueError(
            f"mesh: length = {length:g} mm: must be greater than 0 and within the wall held "
            f"({wall.start:g}..{wall.end:g} mm); give the length of the bore"
        )
    depth = np.linspace(0.0, length, n_depth)
    return depth, wall.sampled(n_clock, depth)


def _even(n_clock: int) -> Array:
    """Clock angles [rad] of the vertex columns."""
    return np.asarray((np.arange(n_clock) + 0.5) * (TURN / n_clock))


def _placed(radius: Array, clock: Array, depth: Array) -> Array:
    """Points (k, 3) [mm] of radius [mm], clock [rad] and depth [mm], broadcast together."""
    out = np.empty((*np.broadcast_shapes(radius.shape, clock.shape, depth.shape), 3))
    out[..., 0] = radius * np.sin(clock)
    out[..., 1] = -radius * np.cos(clock)
    out[..., 2] = depth
    return out.reshape(-1, 3)


def _points(radius: Array, depth: Array) -> Array:
    """Points (n_clock * n_depth, 3) of a sampled wall; that of column i, ring k is number i *
    n_depth + k.
    """
    return _placed(radius, _even(len(radius))[:, None], depth)


def _ray(
    radius: float, shift: Array | tuple[float, ...], n_clock: int, depth: Array, name: str
) -> Array:
    """Distance [mm] from the torch axis to a cylinder about another axis along each clock ray
    (n_clock, n_depth).
    """
    x, y = shift[0] + shift[2] * depth, shift[1] + shift[3] * depth
    sin, cos = np.sin(_even(n_clock))[:, None], np.cos(_even(n_clock))[:, None]
    if not radius > float(np.hypot(x, y).max()):
        raise ValueError(
            f"mesh: {name} = {radius:g} mm: the torch axis runs outside it; give radius and "
            "shift in mm"
        )
    return np.asarray(np.sqrt(radius**2 - (x * cos + y * sin) ** 2) - (x * sin - y * cos))


def _facets(n: int, m: int) -> tuple[Indices, tuple[Indices, Indices]]:
    """Facets (2 n (m - 1), 3) of a wall of n columns and m rings, normals away from the axis.

    Cell (i, k) gives facets 2 (i (m - 1) + k): a b c, and the next: a c d, with a = (i, k), b = (i
    + 1, k),
    c = (i + 1, k + 1), d = (i, k + 1). Also the facets on the first ring (edge a b) and on the last
    (edge c d).
    """
    i, k = np.arange(n)[:, None], np.arange(m - 1)
    a, b = i * m + k, (i + 1) % n * m + k
    faces = np.stack([a, b, b + 1, a, b + 1, a + 1], axis=-1).reshape(-1, 3)
    first = 2 * (m - 1) * np.arange(n)
    return faces, (first, first + 2 * (m - 2) + 1)


def _solid(points: Array, faces: Indices) -> Trimesh:
    """The mesh of these faces, points nobody uses left out."""
    used = np.zeros(len(points), dtype=bool)
    used[faces.ravel()] = True
    if not used.all():
        faces = (np.cumsum(used) - 1)[faces]
        points = points[used]
    return Trimesh(points, faces, process=False, validate=False)


def _ring(radius: Array, depth: Array, outside: float, shift: Array | tuple[float, ...]) -> Trimesh:
    """Closed ring between a sampled wall and an outside cylinder."""
    n, m = radius.shape
    ends = np.array([depth[0], depth[-1]])
    beyond = _ray(outside, shift, n, ends, "outside_radius")
    room = beyond.min(axis=1) - radius.max(axis=1)
    if room.min() <= 0.0:
        i = int(room.argmin())
        raise ValueError(
            f"mesh: outside_radius = {outside:g} mm: must lie beyond the wall "
            f"({radius[i].max():.3f} mm against "
            f"{beyond[i].min():.3f} mm along the same ray); give the radius of the boss"
        )
    skin = _facets(n, m)[0]
    here, there = np.arange(n) * m, np.roll(np.arange(n), -1) * m
    far_here, far_there = 2 * np.arange(n) + n * m, 2 * np.roll(np.arange(n), -1) + n * m
    entry = _strip(here, there, far_here, far_there)
    far = _strip(here + m - 1, there + m - 1, far_here + 1, far_there + 1)[:, ::-1]
    faces = np.concatenate([skin[:, ::-1], _facets(n, 2)[0] + n * m, entry, far])
    return _solid(np.concatenate([_points(radius, depth), _points(beyond, ends)]), faces)


def _strip(inner: Indices, inner_next: Indices, outer: Indices, outer_next: Indices) -> Indices:
    """Two facets across each span of a face between an inner and an outer rim, normals to depth 0
    and before.
    """
    return np.concatenate(
        [
            np.stack([outer, inner, outer_next], axis=1),
            np.stack([inner, inner_next, outer_next], axis=1),
        ]
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
