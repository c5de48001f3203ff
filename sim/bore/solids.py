"""Walls to triangles: closed solids of a job.

All coordinates mm about the torch axis: x to 3 o'clock (r sin clock), y to 6 o'clock (-r cos
clock), z into the bore; right-handed, normals outward. Walls are sampled on vertex columns at clock
cell centres and on rings at equal depths, both end faces included. Between them the facets are
flat.
"""

from __future__ import annotations

import numpy as np
from trimesh import Trimesh

from sim.bore.solid_skin import SINGLE_STEPS, STILL, Indices, Skin, flat_end
from sim.bore.wall import Wall
from sim.reference.arrays import TURN, Array


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
    outside is straight from face to face along each clock ray. Raises ValueError where the outside
    does not lie beyond the wall.

    >>> from sim.bore.wall import Clock
    >>> import math
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
    `sim.bore.cylinders.shift`. Raises ValueError where the outside does not lie beyond the bore.

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
    metal a pool took from ridges below it. The volume added less the volume taken is
    Wall.volume_to.

    Thickness is that at the vertices. Facets without any are left out, and a body runs out to
    nothing at the first vertices without metal, where both its skins share their vertices: no
    thickness is made up. A vertex counts as without metal below four steps of single precision at
    the largest radius (1.5e-5 mm at 40 mm), which files of 32-bit numbers cannot tell apart. Where
    bodies would meet in a line or a point, each border is drawn back from it by a twentieth of a
    cell, so that every edge has exactly two faces. Without any metal the mesh is empty.

    >>> from sim.bore.wall import Clock
    >>> before, after = (Wall.round(Clock.even(8), r, 0.0, 10.0) for r in (40.0, 38.0))
    >>> import math
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
    skin = Skin.of(points, faces, metal.ravel())
    caps = [flat_end(skin, ends[0], (0, 1)), flat_end(skin, ends[1], (1, 2))]
    return _solid(skin.points, np.concatenate([skin.outer, skin.inner[:, ::-1], *caps]))


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
    + 1, k), c = (i + 1, k + 1), d = (i, k + 1). Also the facets on the first ring (edge a b) and on
    the last (edge c d).
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
