"""Walls to triangles: closed solids of a job, and files of them; the only door to trimesh.

All coordinates mm about the torch axis: x to 3 o'clock (r sin clock), y to 6 o'clock (-r cos clock), z into the
bore; right-handed, normals outward. Walls are sampled on vertex columns at clock cell centres and on rings at
equal depths, both end faces included. Between them the facets are flat: `facet_error` says what that costs.
"""

from __future__ import annotations

import math
import os
import re
import tempfile
import zipfile
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path as File
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray
from trimesh import Trimesh

from sim.bead import Bead
from sim.path import Path
from sim.wall import TURN, Array, Wall

Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]
Bytes = NDArray[np.uint8]

STILL = (0.0, 0.0, 0.0, 0.0)
DRAWN_BACK = 0.05
REFINED = 4
SINGLE_STEPS = 4
CHUNK = 1 << 13
LARGEST = 1e4
Writer = Callable[[IO[bytes], Array, Indices], None]


@dataclass(frozen=True)
class FacetError:
    """What flat facets cost between two walls.

    ngon: volume of a round solid drawn as an n-gon over its true volume, less 1; sag: how far inside a round
    wall the middle of a facet lies [mm]; deviation: largest distance of facets from either wall along the
    radius [mm], found on points between the vertices; volume: bound of the volume error [mm3], deviations
    summed without regard to sign; difference: volume between the faceted walls less Wall.volume_to [mm3].
    """

    ngon: float
    sag: float
    deviation: float
    volume: float
    difference: float


# ---- solids ----------------------------------------------------------------------------------------------


def worn_part(
    wall: Wall,
    length: float,
    outside_radius: float,
    n_clock: int,
    n_depth: int,
    *,
    outside_shift: Array | tuple[float, ...] = STILL,
) -> Trimesh:
    """The part around a wall: ring from the wall to the outside cylinder, flat faces at depth 0 and `length` [mm].

    outside_shift (4,): torch axis less the outside's axis, as `sim.finish.shift`. The outside is straight from
    face to face along each clock ray. Raises ValueError where the outside does not lie beyond the wall.

    >>> from sim.wall import Clock
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
    """The part after the finish cut; where the wall already lies beyond the finish cylinder it stays black.

    finish_shift (4,): torch axis less finish axis, x, y at depth 0 [mm] and slopes, as `sim.finish.shift`.
    Raises ValueError where the outside does not lie beyond the bore.

    >>> from sim.wall import Clock
    >>> welded = Wall.round(Clock.even(8), 38.0, 0.0, 10.0)
    >>> bored = finished_bore(welded, 10.0, 60.0, 40.0, STILL, n_clock=64, n_depth=3)
    >>> round(float(np.hypot(bored.vertices[:, 0], bored.vertices[:, 1]).min()), 9)
    40.0
    """
    depth, radius = _sampled(wall, length, n_clock, n_depth)
    finish = _ray(finish_radius, finish_shift, n_clock, depth, "finish_radius")
    return _ring(np.maximum(radius, finish), depth, outside_radius, outside_shift)


def deposit_solid(outer_wall: Wall, inner_wall: Wall, length: float, n_clock: int, n_depth: int) -> Trimesh:
    """What a layer adds: the space between the wall before it and the wall after it, as one or more closed bodies.

    Only where the wall after lies inside the wall before; call it with the walls exchanged for the metal a pool
    took from ridges below it. The volume added less the volume taken is Wall.volume_to.

    Thickness is that at the vertices. Facets without any are left out, and a body runs out to nothing at the
    first vertices without metal, where both its skins share their vertices: no thickness is made up. A vertex
    counts as without metal below four steps of single precision at the largest radius (1.5e-5 mm at 40 mm), which
    files of 32-bit numbers cannot tell apart. Where bodies would meet in a line or a point, each border is drawn
    back from it by a twentieth of a cell, so that every edge has exactly two faces. Without any metal the mesh
    is empty.

    >>> from sim.wall import Clock
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
    """One bead swept along a path on a round wall of this radius [mm]: a closed body, capped, for each arc.

    The section is the bead's parabola in `n_width` straight pieces, in the axial plane as the walls' sections
    are, on a foot as wide as the bead that reaches `overlap` [mm] into the wall. n_clock facets to a turn, and a
    vertex ring where the advance changes. Turns closer than a width overlap: unite them for the outer skin.

    >>> from sim.path import spiral
    >>> one = swept_bead(spiral(5.0, 8.0, 3.0), Bead(5.0, 2.0), 40.0, overlap=0.1, n_clock=90, n_width=8)
    >>> one.is_watertight
    True
    """
    if not (overlap > 0.0 and n_width >= 2 and n_clock >= 3 and bead.height < radius):
        raise ValueError(
            f"swept_bead: overlap = {overlap:g} mm, n_width = {n_width}, n_clock = {n_clock}, height = "
            f"{bead.height:g} mm: must be greater than 0, at least 2, at least 3, less than the radius; mend that one"
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


def facet_error(outer_wall: Wall, inner_wall: Wall, length: float, n_clock: int, n_depth: int) -> FacetError:
    """What facets cost between two walls over depth 0..`length` [mm] at this number of facets.

    An outside cylinder is `Wall.round` of its radius. n-gon of the circle: area (n / 2 pi) sin(2 pi / n) of it,
    elementary geometry. Walls are compared along the radius on 4 x 4 points in each cell, their own columns
    joined straight as in `Wall.sampled`; the wall beyond is what `volume` and `difference` count positive.

    >>> from sim.wall import Clock
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


# ---- points and facets -----------------------------------------------------------------------------------


def _sampled(wall: Wall, length: float, n_clock: int, n_depth: int) -> tuple[Array, Array]:
    """Depths (n_depth,) and radius (n_clock, n_depth) [mm] of the vertices."""
    if n_clock < 3 or n_depth < 2:
        raise ValueError(
            f"mesh: n_clock = {n_clock}, n_depth = {n_depth}: must be at least 3 and 2; ask for more facets"
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
    """Points (n_clock * n_depth, 3) of a sampled wall; that of column i, ring k is number i * n_depth + k."""
    return _placed(radius, _even(len(radius))[:, None], depth)


def _ray(radius: float, shift: Array | tuple[float, ...], n_clock: int, depth: Array, name: str) -> Array:
    """Distance [mm] from the torch axis to a cylinder about another axis along each clock ray (n_clock, n_depth)."""
    x, y = shift[0] + shift[2] * depth, shift[1] + shift[3] * depth
    sin, cos = np.sin(_even(n_clock))[:, None], np.cos(_even(n_clock))[:, None]
    if not radius > float(np.hypot(x, y).max()):
        raise ValueError(f"mesh: {name} = {radius:g} mm: the torch axis runs outside it; give radius and shift in mm")
    return np.asarray(np.sqrt(radius**2 - (x * cos + y * sin) ** 2) - (x * sin - y * cos))


def _facets(n: int, m: int) -> tuple[Indices, tuple[Indices, Indices]]:
    """Facets (2 n (m - 1), 3) of a wall of n columns and m rings, normals away from the axis.

    Cell (i, k) gives facets 2 (i (m - 1) + k): a b c, and the next: a c d, with a = (i, k), b = (i + 1, k),
    c = (i + 1, k + 1), d = (i, k + 1). Also the facets on the first ring (edge a b) and on the last (edge c d).
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
            f"mesh: outside_radius = {outside:g} mm: must lie beyond the wall ({radius[i].max():.3f} mm against "
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
    """Two facets across each span of a face between an inner and an outer rim, normals to depth 0 and before."""
    return np.concatenate(
        [np.stack([outer, inner, outer_next], axis=1), np.stack([inner, inner_next, outer_next], axis=1)]
    )


def _stations(path: Path, begin: float, end: float, n_clock: int) -> Array:
    """Angles turned [rad] from begin to end: even steps, and where the advance changes."""
    steps = max(math.ceil((end - begin) / TURN * n_clock - 1e-9), 1)
    bends = path.phi[(path.phi > begin + 1e-9) & (path.phi < end - 1e-9)]
    phi = np.sort(np.concatenate([np.linspace(begin, end, steps + 1), bends]))
    return np.asarray(phi[np.concatenate([[True], np.diff(phi) > 1e-9])])


def _tube(stations: int, n_width: int) -> Indices:
    """Facets of a closed section of 2 (n_width + 1) points swept through the stations, capped at both ends."""
    size = 2 * (n_width + 1)
    s, at = np.arange(stations - 1)[:, None] * size, np.arange(size)
    a, b = s + at, s + (at + 1) % size
    sides = np.stack([a, b, b + size, a, b + size, a + size], axis=-1).reshape(-1, 3)
    top = np.arange(n_width)
    foot = size - 1 - top
    cap = np.concatenate([np.stack([top, foot, top + 1], axis=1), np.stack([foot, foot - 1, top + 1], axis=1)])
    return np.concatenate([sides, cap, cap[:, ::-1] + (stations - 1) * size])


# ---- where a layer runs out to nothing -------------------------------------------------------------------


@dataclass(frozen=True)
class _Skin:
    """Both skins of a layer: points (p, 3), and the facets of the outer and inner skin (f, 3), row by row over
    the same ground, both with normals away from the axis; `row` (t,) of each facet of the wall, -1 if left out.
    """

    points: Array
    outer: Indices
    inner: Indices
    row: Indices

    @classmethod
    def of(cls, points: Array, faces: Indices, metal: Flags) -> _Skin:
        """From points of the outer wall (v, 3) followed by those of the inner, wall facets, and where metal is."""
        if metal.all():
            return cls(points, faces, faces + len(metal), np.arange(len(faces)))
        kept = metal[faces].any(axis=1)
        row = np.where(kept, np.cumsum(kept) - 1, -1)
        outer = faces[kept]
        inner = np.where(metal, np.arange(len(metal)) + len(metal), np.arange(len(metal)))[outer]
        whole = cls(points, outer, inner, row)
        return whole._parted(metal)._opened()

    def _parted(self, metal: Flags) -> _Skin:
        """A vertex without metal gets a point of its own for each fan of facets that meet in it, drawn back."""
        bare = np.flatnonzero(~metal[self.outer].all(axis=1))
        corner = self.outer[bare]
        away = np.stack([np.roll(corner, -1, axis=1), np.roll(corner, 1, axis=1)], axis=-1)
        empty = ~metal[corner]
        fan = _fans(corner, away, empty, metal)
        vertex = corner[empty]
        owner = np.zeros(int(fan.max(initial=-1)) + 1, dtype=np.int64)
        owner[fan] = vertex
        shared = np.bincount(owner, minlength=len(metal)) > 1
        split = shared[vertex]
        if not split.any():
            return self
        label, number = np.unique(fan[split], return_inverse=True)
        moved = _drawn_back(self.points, owner[label], number, away[empty][split], metal)
        vertex[split] = len(self.points) + number
        new = corner.copy()
        new[empty] = vertex
        outer, inner = self.outer.copy(), self.inner.copy()
        outer[bare] = new
        inner[bare] = np.where(empty, new, inner[bare])
        return _Skin(np.concatenate([self.points, moved]), outer, inner, self.row)

    def _opened(self) -> _Skin:
        """A slit of one edge, with metal all round it, gets a middle point on either side, drawn back."""
        empty = self.outer == self.inner
        bare = np.flatnonzero(empty.sum(axis=1) == 2)
        lead = np.argmin(empty[bare], axis=1)
        turn = (lead[:, None] + np.array([1, 2, 0])) % 3
        outer = np.take_along_axis(self.outer[bare], turn, axis=1)
        inner = np.take_along_axis(self.inner[bare], turn, axis=1)
        key = np.sort(outer[:, :2], axis=1) @ np.array([len(self.points), 1])
        _, which, times = np.unique(key, return_inverse=True, return_counts=True)
        slit = times[which] > 1
        if not slit.any():
            return self
        outer, inner = outer[slit], inner[slit]
        middle = self.points[outer[:, :2]].mean(axis=1)
        middle += DRAWN_BACK * (self.points[outer[:, 2]] - middle)
        new = len(self.points) + np.arange(len(outer))
        whole = []
        for skin, cut in ((self.outer, outer), (self.inner, inner)):
            one, other = _halved(cut, new)
            skin = skin.copy()
            skin[bare[slit]] = one
            whole.append(np.concatenate([skin, other]))
        return _Skin(np.concatenate([self.points, middle]), whole[0], whole[1], self.row)


def _halved(skin: Indices, middle: Indices) -> tuple[Indices, Indices]:
    """Facets (f, 3) cut in two from the middle of their first edge."""
    a, b, c = skin.T
    return np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)


def _fans(corner: Indices, away: Indices, empty: Flags, metal: Flags) -> Indices:
    """Number of its fan for every corner without metal: facets joined across edges that lead to metal."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    vertex, ends = corner[empty], away[empty]
    leads = metal[ends]
    who = np.broadcast_to(np.arange(len(vertex))[:, None], ends.shape)[leads]
    key = vertex[who] * len(metal) + ends[leads]
    order = np.argsort(key, kind="stable")
    pair = np.flatnonzero(np.diff(key[order]) == 0)
    rows, cols = who[order[pair]], who[order[pair + 1]]
    graph = coo_array((np.ones(len(rows)), (rows, cols)), shape=(len(vertex), len(vertex)))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _drawn_back(points: Array, vertex: Indices, number: Indices, ends: Indices, metal: Flags) -> Array:
    """Points (f, 3) of parted vertices (f,), each a little towards the metal of its own fan.

    number (c,): fan of each corner; ends (c, 2): the other vertices of the corner's facet. On an end face a
    point stays in the face when the fan has metal there.
    """
    at, towards = points[vertex], points[ends]
    in_face = (at[:, 2] == points[:, 2].min()) | (at[:, 2] == points[:, 2].max())
    leads = metal[ends]
    flat = leads & in_face[number][:, None] & (towards[..., 2] == at[number][:, None, 2])
    has_flat = np.zeros(len(vertex), dtype=bool)
    np.logical_or.at(has_flat, number, flat.any(axis=1))
    counted = np.where(has_flat[number][:, None], flat, leads)
    total = np.zeros((len(vertex), 3))
    np.add.at(total, number, (towards * counted[..., None]).sum(axis=1))
    times = np.bincount(number, counted.sum(axis=1), len(vertex))
    return np.asarray(at + DRAWN_BACK * (total / times[:, None] - at))


def _cap(skin: _Skin, facets: Indices, edge: tuple[int, int]) -> Indices:
    """Flat end of a layer: side facets under one edge of these wall facets, those without area left out."""
    row = skin.row[facets]
    row = row[row >= 0]
    one, other = (skin.outer[row, c] for c in edge), (skin.inner[row, c] for c in edge)
    (a, b), (p, q) = one, other
    both = np.concatenate([np.stack([a, p, b], axis=1), np.stack([p, q, b], axis=1)])
    flat = (both[:, 0] == both[:, 1]) | (both[:, 1] == both[:, 2]) | (both[:, 0] == both[:, 2])
    return np.asarray(both[~flat])


# ---- facet error -----------------------------------------------------------------------------------------


def _on_facets(radius: Array, share: Array) -> Array:
    """Radius [mm] on the facets at `share` (s,) of each cell in clock and depth, (n_clock s, (n_depth - 1) s).

    Straight along depth, then the chord between columns; the fold along a cell's diagonal is of higher order.
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
    """Volume [mm3] inside a faceted wall between flat ends at depth 0 and depth[-1]: divergence theorem."""
    p = _points(radius, depth).reshape(*radius.shape, 3)
    q = np.roll(p, -1, axis=0)
    a, b, c, d = p[:, :-1], q[:, :-1], q[:, 1:], p[:, 1:]
    sides = np.einsum("ijk,ijk->", a, np.cross(b, c)) + np.einsum("ijk,ijk->", a, np.cross(c, d))
    end = 0.5 * float((p[:, -1, 0] * q[:, -1, 1] - p[:, -1, 1] * q[:, -1, 0]).sum())
    return float(sides) / 6.0 + float(depth[-1]) * end / 3.0


# ---- files -----------------------------------------------------------------------------------------------


def export(meshes: Mapping[str, Trimesh], folder: str | os.PathLike[str], format: str) -> list[File]:
    """Write each mesh to `folder`/name.format, and give the files; formats stl (binary), ply (binary), obj, 3mf.

    Numbers are mm: 32-bit in stl and ply, to 1e-6 mm in obj and 3mf; only 3mf says so itself. Everything is
    written under temporary names first and renamed when all is there, so no half-written file is left; files of
    the same name are replaced; the folder is made when there is none. Raises ValueError with one sentence for
    another format, a name that is no file name, an empty mesh, or a folder that cannot be written to.

    >>> export({}, ".", "dwg")
    Traceback (most recent call last):
        ...
    ValueError: export: format = 'dwg': must be one of stl, ply, obj, 3mf; choose one of them
    """
    folder = File(folder)
    _check_export(meshes, format)
    temporary: list[File] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        temporary += [_placeholder(folder) for _ in meshes]
        with ThreadPoolExecutor(os.cpu_count() or 1, thread_name_prefix="export") as pool:
            list(pool.map(_written, temporary, meshes.values(), [WRITERS[format]] * len(meshes)))
        final = [folder / f"{name}.{format}" for name in meshes]
        for part, file in zip(temporary, final, strict=True):
            os.replace(part, file)
    except OSError as fault:
        raise ValueError(
            f"export: {folder}: cannot be written to ({fault.strerror or fault}); choose another folder or free it"
        ) from None
    finally:
        for part in temporary:
            part.unlink(missing_ok=True)
    return final


def _check_export(meshes: Mapping[str, Trimesh], format: str) -> None:
    if format not in WRITERS:
        raise ValueError(f"export: format = {format!r}: must be one of {', '.join(WRITERS)}; choose one of them")
    for name, mesh in meshes.items():
        if not re.fullmatch(r"[A-Za-z0-9_-][A-Za-z0-9_. -]{0,99}", name):
            raise ValueError(f"export: name = {name!r}: must be letters, digits, '_', '-', '.' or ' '; rename the mesh")
        if not len(mesh.faces):
            raise ValueError(f"export: {name}: has no facets; leave it out")
        if not float(np.abs(mesh.bounds).max()) < LARGEST:
            raise ValueError(f"export: {name}: must lie within {LARGEST:g} mm of the origin; check its sizes")


def _placeholder(folder: File) -> File:
    with tempfile.NamedTemporaryFile(dir=folder, prefix=".", suffix=".part", delete=False) as out:
        return File(out.name)


def _written(file: File, mesh: Trimesh, writer: Writer) -> None:
    with open(file, "wb") as out:
        writer(out, np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces))
    os.chmod(file, 0o644)


def _chunks(count: int) -> Iterator[slice]:
    """Slices of at most CHUNK rows: what is written at once."""
    for begin in range(0, count, CHUNK):
        yield slice(begin, min(begin + CHUNK, count))


def _write_stl(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Binary: 80 bytes, number of facets, then of each its normal, corners and two spare bytes."""
    axes = np.ascontiguousarray(points.T, dtype="<f4")
    out.write(b"binary, mm".ljust(80) + np.array(len(faces), dtype="<u4").tobytes())
    for part in _chunks(len(faces)):
        cells = np.empty((4, 3, part.stop - part.start), dtype="<f4")  # normal and three corners; x, y, z; facets
        for corner in range(3):
            for axis in range(3):
                np.take(axes[axis], faces[part, corner], out=cells[corner + 1, axis], mode="clip")
        (ux, uy, uz), (vx, vy, vz) = cells[2] - cells[1], cells[3] - cells[1]
        normal = cells[0]
        normal[:] = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        size = np.sqrt((normal * normal).sum(axis=0))
        normal /= np.where(size > 0.0, size, np.float32(1.0))
        rows = np.zeros((cells.shape[2], 25), dtype="<u2")
        rows[:, :24] = np.ascontiguousarray(cells.reshape(12, -1).T).view("<u2")
        out.write(rows.data)


def _write_ply(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Binary, little-endian."""
    axes = "".join(f"property float {axis}\n" for axis in "xyz")
    out.write(
        f"ply\nformat binary_little_endian 1.0\ncomment mm\nelement vertex {len(points)}\n{axes}"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n".encode()
    )
    out.write(points.astype("<f4").tobytes())
    kind = np.dtype([("count", "u1"), ("index", "<i4", (3,))])
    for part in _chunks(len(faces)):
        rows = np.full(part.stop - part.start, 3, dtype=kind)
        rows["index"] = faces[part]
        out.write(rows.tobytes())


def _write_obj(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Text; vertices are numbered from 1."""
    out.write(b"# mm\n")
    for text in _point_lines(points, b"v ", (b" ", b" "), b"\n"):
        out.write(text)
    for text in _facet_lines(faces + 1, b"f ", (b" ", b" "), b"\n"):
        out.write(text)


def _write_3mf(out: IO[bytes], points: Array, faces: Indices) -> None:
    """One object in a package, after the 3MF core specification."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=2) as package:
        package.writestr("[Content_Types].xml", CONTENT_TYPES)
        package.writestr("_rels/.rels", RELATIONS)
        with package.open("3D/3dmodel.model", "w", force_zip64=True) as model:
            model.write(MODEL_HEAD)
            for text in _point_lines(points, b'<vertex x="', (b'" y="', b'" z="'), b'"/>\n'):
                model.write(text)
            model.write(b"</vertices><triangles>\n")
            for text in _facet_lines(faces, b'<triangle v1="', (b'" v2="', b'" v3="'), b'"/>\n'):
                model.write(text)
            model.write(MODEL_TAIL)


XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
CONTENT_TYPES = (
    f'{XML}<Types xmlns="{PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATIONS = (
    f'{XML}<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="rel0" Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)
MODEL_HEAD = (
    f'{XML}<model unit="millimeter" xml:lang="en-US" '
    'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
    '<resources><object id="1" type="model"><mesh><vertices>\n'
).encode()
MODEL_TAIL = b'</triangles></mesh></object></resources><build><item objectid="1"/></build></model>\n'


def _point_lines(points: Array, head: bytes, between: tuple[bytes, bytes], tail: bytes) -> Iterator[bytes]:
    """Lines of text with three coordinates to 1e-6 mm, CHUNK lines at once."""
    blank = bytes(12)
    sample = head + blank + between[0] + blank + between[1] + blank + tail
    at = [len(head), len(head + blank + between[0]), len(head + blank + between[0] + blank + between[1])]
    whole, short, _ = _digits()
    for part in _chunks(len(points)):
        rows = _rows(sample, part)
        for axis, place in enumerate(at):
            value = np.rint(points[part, axis] * 1e6).astype(np.int64)
            millimetres, rest = np.divmod(np.abs(value), 1_000_000)
            thousands, last = np.divmod(rest, 100)
            _column(rows, place, "u1")[:] = np.where(value < 0, ord("-"), 0)
            _column(rows, place + 1, "u4")[:] = short[millimetres]
            _column(rows, place + 5, "u1")[:] = ord(".")
            _column(rows, place + 6, "u4")[:] = whole[thousands]
            _column(rows, place + 10, "u2")[:] = (whole[last].view("u2"))[1::2]
        yield rows.tobytes().translate(None, b"\0")


def _facet_lines(faces: Indices, head: bytes, between: tuple[bytes, bytes], tail: bytes) -> Iterator[bytes]:
    """Lines of text with three whole numbers below 1e8, CHUNK lines at once."""
    blank = bytes(8)
    sample = head + blank + between[0] + blank + between[1] + blank + tail
    at = [len(head), len(head + blank + between[0]), len(head + blank + between[0] + blank + between[1])]
    whole, short, none = _digits()
    for part in _chunks(len(faces)):
        rows = _rows(sample, part)
        for corner, place in enumerate(at):
            high, low = np.divmod(faces[part, corner], 10_000)
            _column(rows, place, "u4")[:] = none[high]
            _column(rows, place + 4, "u4")[:] = np.where(high > 0, whole[low], short[low])
        yield rows.tobytes().translate(None, b"\0")


def _rows(sample: bytes, part: slice) -> Bytes:
    """The sample line as bytes, once for each row of the part."""
    return np.tile(np.frombuffer(sample, dtype=np.uint8), (part.stop - part.start, 1))


def _column(rows: Bytes, at: int, kind: str) -> NDArray[Any]:
    """A view of `rows` from byte `at` of each line, as numbers of this kind."""
    return np.ndarray((len(rows),), kind, rows.data, at, (rows.shape[1],))


@cache
def _digits() -> tuple[NDArray[np.uint32], NDArray[np.uint32], NDArray[np.uint32]]:
    """Numbers 0..9999 as four letters: with leading zeros, with NUL for them, and with 0 all NUL."""
    plain = np.array([f"{k:04d}".encode() for k in range(10_000)]).view(np.uint8).reshape(-1, 4)
    void = np.where(np.cumsum(plain != ord("0"), axis=1) == 0, 0, plain).astype(np.uint8)
    short = void.copy()
    short[0, 3] = ord("0")
    whole, least, none = (np.ascontiguousarray(table).view(np.uint32).ravel() for table in (plain, short, void))
    return whole, least, none


WRITERS: dict[str, Writer] = {"stl": _write_stl, "ply": _write_ply, "obj": _write_obj, "3mf": _write_3mf}
