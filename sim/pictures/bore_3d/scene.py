"""The pyvista scene of a picture."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from sim.pictures.bore_3d.page import Furniture
from sim.pictures.bore_3d.picture import Picture
from sim.reference.arrays import TURN


def wall_mesh(
    picture: Picture,
    stage: int,
    *,
    after: int | None = None,
    begin: float = 0.0,
    sweep: float = TURN,
) -> pv.StructuredGrid:
    """The wall at a stage as a surface, from clock angle `begin` over `sweep` [rad]; carries
    "stock" [mm].

    after: what is left of it at a later stage.
    """
    rows = clock_cells(picture, begin, sweep)
    level = picture.stock[stage] if after is None else picture.left(stage, after)
    points, stock = picture.points_at(level)[rows], (level[rows] + 0.5) * picture.step
    ends = [
        points[:, [k]] * [1.0, 1.0, 0.0] - [0.0, 0.0, z]
        for k, z in ((0, 0.0), (-1, picture.length))
    ]
    points = np.concatenate([ends[0], points, ends[1]], axis=1)
    mesh = pv.StructuredGrid(*(np.ascontiguousarray(points[..., k : k + 1]) for k in range(3)))
    mesh["stock"] = np.pad(stock, ((0, 0), (1, 1)), mode="edge").ravel(order="F")
    mesh["judged"] = np.pad(picture.judged[rows], ((0, 0), (1, 1)), mode="edge").ravel(order="F")
    return mesh


def clock_cells(picture: Picture, begin: float, sweep: float) -> NDArray[np.int64]:
    """Clock cells from `begin` over `sweep` [rad], the first again at the end of a whole turn."""
    n = picture.stock.shape[1]
    first = math.ceil(begin / TURN * n - 0.5)
    count = n + 1 if sweep >= TURN - 1e-9 else math.floor(sweep / TURN * n)
    return np.asarray(np.arange(first, first + count) % n)


def low_outlines(picture: Picture) -> pv.PolyData:
    """Lines round everything that stays black after the last layer; empty where nothing does."""
    if not ((picture.stock[-1] < 0) & picture.judged).any():
        return pv.PolyData()
    mesh = wall_mesh(picture, picture.last)
    level = np.where(mesh["judged"], mesh["stock"], np.maximum(mesh["stock"], 0.5 * picture.step))
    mesh["stock"] = level
    return (
        mesh.contour([0.0], scalars="stock")
        .strip(join=True, max_length=100_000)
        .decimate_polyline(0.7)
    )


def finish_mesh(picture: Picture, *, begin: float = 0.0, sweep: float = TURN) -> pv.StructuredGrid:
    """The finish cylinder as a surface, from clock angle `begin` over `sweep` [rad]."""
    theta = begin + np.linspace(0.0, sweep, 97)
    depth = np.array([0.0, picture.length])
    axis = picture.axis_at(picture.finish, depth)
    x = axis[0] + picture.radius * np.sin(theta)[:, None]
    y = axis[1] + picture.radius * np.cos(theta)[:, None]
    z = np.broadcast_to(-depth, x.shape)
    return pv.StructuredGrid(*(np.ascontiguousarray(v[..., None]) for v in (x, y, z)))


def ring(radius: float, depth: float, centre: tuple[float, float] = (0.0, 0.0)) -> pv.PolyData:
    """A circle across the bore."""
    theta = np.linspace(0.0, TURN, 121)
    x, y = centre[0] + radius * np.sin(theta), centre[1] + radius * np.cos(theta)
    return pv.lines_from_points(np.stack([x, y, np.full_like(x, -depth)], axis=1))


def rings(picture: Picture) -> pv.PolyData:
    """The rim of both faces with a tick at every hour, longer at 12, 3, 6 and 9."""
    out = []
    for depth in (0.0, picture.length):
        out.append(ring(picture.body, depth))
        for hour in range(12):
            u = np.array([math.sin(TURN * hour / 12), math.cos(TURN * hour / 12), 0.0])
            foot = picture.body * u - [0.0, 0.0, depth]
            out.append(pv.Line(foot, foot + (0.07 if hour % 3 == 0 else 0.035) * picture.body * u))
    return pv.merge(out)


def finish_rims(picture: Picture) -> pv.PolyData:
    """Where the finish cylinder leaves the two faces."""
    ends = np.array([0.0, picture.length])
    x, y = picture.axis_at(picture.finish, ends)
    return pv.merge(
        [ring(picture.radius, z, (float(a), float(b))) for z, a, b in zip(ends, x, y, strict=True)]
    )


def arrow(picture: Picture) -> pv.PolyData:
    """An arrow the way gravity pulls: under the entry face, or beside the bore where it stands
    steep.
    """
    down, body = np.asarray(picture.down), picture.body
    if abs(down[2]) > 0.7:
        side = math.copysign(0.75, down[2])
        foot = (
            np.array([side * 1.36 * body, -0.66 * 1.36 * body, -0.5 * picture.length])
            - 0.18 * body * down
        )
    else:
        foot = np.array([0.0, 0.0, 0.3 * body]) + body * down
    return pv.Arrow(
        start=foot,
        direction=down,
        scale=0.36 * body,
        shaft_radius=0.03,
        tip_radius=0.1,
        tip_length=0.4,
    )


def furniture(picture: Picture, *, low: bool = True) -> dict[str, Furniture]:
    """Everything in the scene that is no map, as lines (pairs of points) or triangles; `low` spots
    outlined or not.
    """
    return {
        "low": _lines(low_outlines(picture) if low else pv.PolyData()),
        "ring": _lines(rings(picture)),
        "faces": _lines(finish_rims(picture)),
        "finish": _triangles(finish_mesh(picture)),
        "arrow": _triangles(arrow(picture)),
    }


def _lines(mesh: pv.PolyData) -> Furniture:
    """Every line of a mesh as its pairs of points."""
    if mesh.n_points == 0:
        return Furniture(np.zeros((0, 3), np.float32), np.zeros((0, 2), np.uint32))
    mesh = mesh if isinstance(mesh, pv.PolyData) else mesh.extract_surface(algorithm=None)
    cells = np.asarray(mesh.lines)
    pairs, at = [], 0
    while at < len(cells):
        line = cells[at + 1 : at + 1 + cells[at]]
        pairs.append(np.stack([line[:-1], line[1:]], axis=1))
        at += 1 + int(cells[at])
    return Furniture(np.asarray(mesh.points, np.float32), np.concatenate(pairs).astype(np.uint32))


def _triangles(mesh: Any) -> Furniture:
    surface = (
        mesh if isinstance(mesh, pv.PolyData) else mesh.extract_surface(algorithm=None)
    ).triangulate()
    return Furniture(
        np.asarray(surface.points, np.float32), surface.regular_faces.astype(np.uint32)
    )
