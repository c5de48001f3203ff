"""The closed skin between two walls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.reference.arrays import Array

Indices = NDArray[np.int64]


Flags = NDArray[np.bool_]


STILL = (0.0, 0.0, 0.0, 0.0)


DRAWN_BACK = 0.05


SINGLE_STEPS = 4


@dataclass(frozen=True)
class Skin:
    """Both skins of a layer: points (p, 3), and the facets of the outer and inner skin (f, 3), row
    by row over the same ground, both with normals away from the axis; `row` (t,) of each facet of
    the wall, -1 if left out.
    """

    points: Array
    outer: Indices
    inner: Indices
    row: Indices

    @classmethod
    def of(cls, points: Array, faces: Indices, metal: Flags) -> Skin:
        """From points of the outer wall (v, 3) followed by those of the inner, wall facets, and
        where metal is.
        """
        if metal.all():
            return cls(points, faces, faces + len(metal), np.arange(len(faces)))
        kept = metal[faces].any(axis=1)
        row = np.where(kept, np.cumsum(kept) - 1, -1)
        outer = faces[kept]
        inner = np.where(metal, np.arange(len(metal)) + len(metal), np.arange(len(metal)))[outer]
        whole = cls(points, outer, inner, row)
        return whole._parted(metal)._opened()

    def _parted(self, metal: Flags) -> Skin:
        """A vertex without metal gets a point of its own for each fan of facets that meet in it,
        drawn back.
        """
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
        return Skin(np.concatenate([self.points, moved]), outer, inner, self.row)

    def _opened(self) -> Skin:
        """A slit of one edge, with metal all round it, gets a middle point on either side, drawn
        back.
        """
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
        return Skin(np.concatenate([self.points, middle]), whole[0], whole[1], self.row)


def _halved(skin: Indices, middle: Indices) -> tuple[Indices, Indices]:
    """Facets (f, 3) cut in two from the middle of their first edge."""
    a, b, c = skin.T
    return np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)


def _fans(corner: Indices, away: Indices, empty: Flags, metal: Flags) -> Indices:
    """Number of its fan for every corner without metal: facets joined across edges that lead to
    metal.
    """
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


def _drawn_back(
    points: Array, vertex: Indices, number: Indices, ends: Indices, metal: Flags
) -> Array:
    """Points (f, 3) of parted vertices (f,), each a little towards the metal of its own fan.

    number (c,): fan of each corner; ends (c, 2): the other vertices of the corner's facet. On an
    end face a point stays in the face when the fan has metal there.
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


def flat_end(skin: Skin, facets: Indices, edge: tuple[int, int]) -> Indices:
    """Flat end of a layer: side facets under one edge of these wall facets, those without area left
    out.
    """
    row = skin.row[facets]
    row = row[row >= 0]
    one, other = (skin.outer[row, c] for c in edge), (skin.inner[row, c] for c in edge)
    (a, b), (p, q) = one, other
    both = np.concatenate([np.stack([a, p, b], axis=1), np.stack([p, q, b], axis=1)])
    flat = (both[:, 0] == both[:, 1]) | (both[:, 1] == both[:, 2]) | (both[:, 0] == both[:, 2])
    return np.asarray(both[~flat])
