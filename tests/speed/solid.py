"""Swept parabola beads as solids of manifold3d, one per turn: what the engine is measured against."""

from __future__ import annotations

import math

import manifold3d
import numpy as np

from sim.bore.torch_way import Path
from sim.laws.bead_shape import Bead

TURN = 2.0 * math.pi


def profile(bead: Bead, radius: float, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Depth from the bead centre and radius [mm] of a parabola on a wall of `radius`, sampled at
    `step` [mm].
    """
    offset = np.linspace(-0.5 * bead.width, 0.5 * bead.width, round(bead.width / step) + 1)
    return offset, radius - bead.height * (1.0 - (2.0 * offset / bead.width) ** 2)


def swept(
    phi: np.ndarray, depth: np.ndarray, offset: np.ndarray, radius: np.ndarray
) -> manifold3d.Manifold:
    """The solid of a profile (offset, radius) carried through angles phi [rad] and depths (k,)
    [mm].

    Clock angle 0 points to -y and grows towards +x; the profile is closed by the straight line
    between its ends.
    """
    k, m = len(offset), len(phi)
    x, y = np.sin(phi)[:, None] * radius, -np.cos(phi)[:, None] * radius
    vertices = np.stack([x, y, depth[:, None] + offset], axis=-1).reshape(-1, 3)
    here = np.arange(m - 1)[:, None] * k + np.arange(k)
    beside = np.arange(m - 1)[:, None] * k + (np.arange(k) + 1) % k
    sides = [
        np.stack(three, axis=-1).reshape(-1, 3)
        for three in ((here, beside, here + k), (beside, beside + k, here + k))
    ]
    cap = k - 1 - np.asarray(manifold3d.triangulate([np.stack([offset, radius], axis=-1)[::-1]]))
    triangles = np.concatenate([*sides, cap, cap[:, ::-1] + (m - 1) * k]).astype(np.uint64)
    return manifold3d.Manifold(manifold3d.Mesh64(vertices, triangles))


def turns(
    path: Path, bead: Bead, radius: float, *, cells: int, step: float
) -> list[manifold3d.Manifold]:
    """One solid per turn of a path on a round wall of `radius` [mm], `cells` angular steps a turn."""
    offset, r = profile(bead, radius, step)
    grid = np.arange(round(float(path.phi[-1]) * cells / TURN) + 1) * (TURN / cells)
    out = []
    for first in range(0, len(grid) - 1, cells):
        phi = grid[first : first + cells + 1]
        out.append(swept(phi, path.depth_at(phi), offset, r))
    return out


def union(solids: list[manifold3d.Manifold]) -> manifold3d.Manifold:
    """All of them made one; evaluated here, not later."""
    whole = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    whole.num_tri()
    return whole
