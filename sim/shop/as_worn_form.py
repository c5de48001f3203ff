"""The form of the worn bore: circles per station, taper, tilt, cylindricity, and the pre-bore that
just cleans up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.bore.axis import Axis, Bores, best_axis
from sim.bore.circles import (
    Circle,
    circumscribed_circle,
    inscribed_circle,
    least_squares_circle,
    minimum_zone_circle,
)
from sim.bore.cylinders import Shape, least_squares_axis
from sim.job.scene import Scene
from sim.reference.arrays import TURN, Array
from sim.reference.remarks import Remark
from sim.set_up.axes_and_areas import axes_of
from sim.shop.as_worn import shape_of, worst_unseen
from sim.shop.ready_to_lay import marks

POINTS = 360


STATIONS = 5


@dataclass(frozen=True)
class Station:
    """Form of one station: depth [mm]; the four reference circles of ISO 12181 [mm]; two-point
    diameters least and most [mm], and the clock [rad] where the largest points.
    """

    depth: float
    least_squares: Circle
    minimum_zone: Circle
    circumscribed: Circle
    inscribed: Circle
    smallest: float
    largest: float
    largest_at: float

    @property
    def out_of_round(self) -> float:
        """Largest less smallest two-point diameter [mm]."""
        return self.largest - self.smallest


@dataclass(frozen=True)
class Form:
    """Form of the worn bore; lengths mm.

    taper: far less entry, on diameter, by least squares over the stations; tilt: how far the
    least-squares axis runs off from entry to far face; cylindricity: peak to valley about the
    least-squares cylinder. pre_bore: diameter that just cleans up about the axis given;
    best_pre_bore: about the best axis within the location
    zone, best_axis; worst_pre_bore:
    if all wear a two-point gauge cannot see were on one side, None where nothing is unseen.
    """

    stations: tuple[Station, ...]
    taper: float
    tilt: float
    cylindricity: float
    axis: Axis
    pre_bore: float
    best_pre_bore: float
    best_axis: Axis
    worst_pre_bore: float | None
    said: tuple[Remark, ...]


def describe(scene: Scene) -> Form:
    """Form of the worn bore of a scene, by parameters or readings.

    >>> from sim.job.read import load
    >>> told = describe(load("scenes/cleans_up.toml"))
    >>> round(told.stations[2].out_of_round, 3)
    0.9
    """
    shape, length = shape_of(scene), scene.bore.length
    depths = _depths(scene)
    theta = (np.arange(POINTS) + 0.5) * TURN / POINTS
    radius = shape.radius(theta[:, None], depths[None, :])
    stations = tuple(_station(float(z), theta, radius[:, k]) for k, z in enumerate(depths))
    mean = np.array([s.least_squares.radius for s in stations])
    slope = float(np.polyfit(depths, mean, 1)[0]) if len(depths) > 1 else 0.0
    points = np.stack(
        [
            (radius * np.sin(theta)[:, None]).ravel(),
            (-radius * np.cos(theta)[:, None]).ravel(),
            np.tile(depths, POINTS),
        ],
        axis=1,
    )
    cylinder = least_squares_axis(points, length=length)
    (x0, y0), (x1, y1) = cylinder.axis.entry, cylinder.axis.far
    best, best_size = _best(scene, shape)
    worst = worst_unseen(scene)
    return Form(
        stations=stations,
        taper=2.0 * slope * length,
        tilt=math.hypot(x1 - x0, y1 - y0),
        cylindricity=cylinder.form_error,
        axis=cylinder.axis,
        pre_bore=cleans_at(scene, shape, axes_of(scene).pre_bore),
        best_pre_bore=best_size,
        best_axis=best,
        worst_pre_bore=None if worst is None else cleans_at(scene, worst, axes_of(scene).pre_bore),
        said=() if scene.readings is None else scene.readings.said,
    )


def _depths(scene: Scene) -> Array:
    """Depths [mm] of the stations: where it was gauged, or evenly."""
    if scene.readings is not None:
        found = scene.readings.found
        return np.array([float(found.depth[members].mean()) for members in found.stations])
    return np.linspace(0.05, 0.95, STATIONS) * scene.bore.length


def _station(depth: float, theta: Array, radius: Array) -> Station:
    points = np.stack([radius * np.sin(theta), -radius * np.cos(theta)], axis=1)
    across = radius + np.roll(radius, POINTS // 2)
    most = int(np.argmax(across))
    return Station(
        depth=depth,
        least_squares=least_squares_circle(points),
        minimum_zone=minimum_zone_circle(points),
        circumscribed=circumscribed_circle(points),
        inscribed=inscribed_circle(points),
        smallest=float(across.min()),
        largest=float(across[most]),
        largest_at=float(theta[most]),
    )


def _fine(scene: Scene, shape: Shape) -> tuple[Array, Array, Array]:
    """Clock (k,), depth and radius (k, n) [mm] of the worn wall between the mouth chamfers, fine
    enough to bore to.
    """
    bore = scene.bore
    nodes = np.clip(shape.nodes, bore.chamfer_entry, bore.length - bore.chamfer_far)
    depth = np.unique(
        np.concatenate(
            [nodes, np.linspace(bore.chamfer_entry, bore.length - bore.chamfer_far, 101)]
        )
    )
    even = (np.arange(360) + 0.5) * TURN / 360
    theta = np.concatenate([even, [one.clock % TURN for one in marks(scene)]])
    return theta, depth, shape.radius(theta[:, None], depth[None, :])


def cleans_at(scene: Scene, shape: Shape, axis: Axis) -> float:
    """Diameter [mm] that just cleans the worn wall up about an axis, mouth chamfers left out."""
    theta, depth, radius = _fine(scene, shape)
    x, y = axis.at(depth)
    return 2.0 * float(
        np.hypot(radius * np.sin(theta)[:, None] - x, -radius * np.cos(theta)[:, None] - y).max()
    )


def _best(scene: Scene, shape: Shape) -> tuple[Axis, float]:
    """The axis within the location zone about which the smallest diameter [mm] cleans up, and that
    diameter.
    """
    theta, depth, radius = _fine(scene, shape)
    length = scene.bore.length
    blocks = np.linspace(depth[0], depth[-1], 25)
    cell = np.clip(np.searchsorted(blocks, depth, side="right") - 1, 0, len(blocks) - 2)
    cells = np.full((72, len(blocks) - 1), np.inf)
    around = np.minimum((theta * (72 / TURN)).astype(int), 71)
    np.minimum.at(
        cells, (np.repeat(around, len(depth)), np.tile(cell, len(theta))), -radius.ravel()
    )
    entry, far, _ = best_axis(
        [Bores(cells, blocks, 0.5 * scene.bore.location_zone, (0.0, length))], length
    )
    axis = Axis(entry, far, length)
    return axis, cleans_at(scene, shape, axis)
