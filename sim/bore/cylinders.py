"""Bored surfaces about an axis, the wall bored to one, and the least-squares cylinder of readings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal, Protocol

import numpy as np
from numpy.typing import ArrayLike

from sim.bore.axis import Axis
from sim.bore.circles import ROUND_OFF, FloatArray, about_its_mean, algebraic_centre, distance_from
from sim.bore.kernels.distance import bore_columns
from sim.bore.wall import Wall, over_columns
from sim.reference.arrays import Array, frozen


@dataclass(frozen=True)
class Cylinder:
    """A reference cylinder: axis, radius [mm] and the form error about it, peak to valley [mm]."""

    axis: Axis
    radius: float
    form_error: float


def least_squares_axis(
    points: ArrayLike,
    *,
    length: float,
    loss: Literal["linear", "soft_l1"] = "linear",
    knee: float | None = None,
) -> Cylinder:
    """The cylinder with the least sum of squared distances of points from its wall (LSCY of ISO
    12180-1).

    Args:
        points: shape (n, 3): x, y, z [mm], n at least 6, z along the bore and not all the same.
        length: depth of the bore [mm]: where `far` of the axis is given.
        loss: "linear" for the plain sum of squares; "soft_l1" counts a distance beyond the knee by
        its first
            power, not its square, so that a worn pocket or a few wild points pull the axis less.
        knee: distance [mm] at which soft_l1 turns; None takes the spread of the plain fit and
        renews it twice
            from the soft_l1 fit (median absolute deviation, scaled to the standard deviation of
            normal
            errors). Not used by "linear".

    Returns:
        Axis, radius and form error, the form error peak to valley over all points [mm], wild ones
        included.

    Raises:
        ValueError: the points give no cylinder along z, loss is neither, or knee is not greater
        than 0.

    Source: ISO 12180-1; soft_l1 as in scipy.optimize.least_squares: 2 (sqrt(1 + (d/knee)^2) - 1)
    knee^2.

    >>> corners = [(x, y, z) for x, y in ((3, 0), (0, 3), (-3, 0), (0, -3)) for z in (0, 10)]
    >>> round(least_squares_axis(corners, length=10.0).radius, 9)
    3.0

    """
    cloud = _bore_points(points)
    if loss not in ("linear", "soft_l1"):
        raise ValueError(f"least_squares_axis: loss = {loss!r}: must be 'linear' or 'soft_l1'")
    if knee is not None and not (math.isfinite(knee) and knee > 0):
        raise ValueError(
            f"least_squares_axis: knee = {knee}: must be a number of mm greater than 0"
        )
    section, middle = about_its_mean(cloud[:, :2], "least_squares_axis")
    low, high = float(cloud[:, 2].min()), float(cloud[:, 2].max())
    depth = (2.0 * cloud[:, 2] - low - high) / (high - low)  # -1 to 1
    half = (high - low) / 2.0
    start = np.zeros(5)
    start[:2] = algebraic_centre(section)
    start[4] = distance_from(section, start[:2]).mean()
    fit, distance = _fit_cylinder(section, depth, half, start)
    for _ in range(0 if loss == "linear" else 3 if knee is None else 1):
        bend = _spread(distance) if knee is None else knee
        if bend > ROUND_OFF * abs(fit[4]):
            fit, distance = _fit_cylinder(section, depth, half, fit, knee=bend)
    axis = _axis_at_faces(fit, middle, (low + high) / 2.0, half, length)
    return Cylinder(axis, float(fit[4]), float(distance.max() - distance.min()))


def _bore_points(points: ArrayLike) -> FloatArray:
    """Points of a bore wall, shape (n, 3) [mm]; raises ValueError if they give no cylinder along z."""
    where = "least_squares_axis"
    cloud = np.asarray(points, dtype=np.float64)
    if cloud.ndim != 2 or cloud.shape[1] != 3 or len(cloud) < 6:
        raise ValueError(
            f"{where}: points have shape {cloud.shape}: must be (n, 3) with n at least 6"
        )
    if not np.isfinite(cloud).all():
        raise ValueError(f"{where}: points hold a value that is not finite: leave such points out")
    if not np.ptp(cloud[:, 2]) > 0.0:
        raise ValueError(
            f"{where}: all points are at z = {cloud[0, 2]} mm: add points at another depth"
        )
    return cloud


def _fit_cylinder(
    section: FloatArray,
    depth: FloatArray,
    half: float,
    start: FloatArray,
    *,
    knee: float | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Fitted (cx, cy, tx, ty, radius) [mm] and the distances of the points from the axis [mm],
    shape (n,).

    The axis runs through (cx, cy) + depth (tx, ty), depth -1 to 1 standing for `half` [mm] either
    way; knee None is plain least squares. Raises ValueError if the points leave the cylinder loose.
    """
    from scipy.optimize import least_squares  # type: ignore[import-untyped, unused-ignore]

    def residual(fit: FloatArray) -> FloatArray:
        return _from_axis(section, depth, half, fit)[0] - float(fit[4])

    def slopes(fit: FloatArray) -> FloatArray:
        distance, square, along = _from_axis(section, depth, half, fit)
        away = -square / np.maximum(distance, np.finfo(float).tiny)[:, None]
        return np.column_stack(
            [away, (depth + along / half)[:, None] * away, -np.ones(len(section))]
        )

    if knee is None:
        result = least_squares(
            residual, start, slopes, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15
        )
    else:
        fine = {"xtol": 1e-13, "ftol": 1e-13, "gtol": 1e-13}
        result = least_squares(residual, start, slopes, loss="soft_l1", f_scale=knee, **fine)
    fit: FloatArray = result.x
    if np.linalg.matrix_rank(slopes(fit)) < len(start):
        raise ValueError(
            f"least_squares_axis: points = {len(section)}: many cylinders fit them alike; "
            "add points"
        )
    return fit, _from_axis(section, depth, half, fit)[0]


def _from_axis(
    section: FloatArray, depth: FloatArray, half: float, fit: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distances of points from an axis [mm], shape (n,); the gaps square to it, (n, 2), and along
    it, (n,) [mm].

    With u the gap at the same depth and t the slope of the axis, the distance square to the axis is
    exactly d^2 = u.u - (u.t)^2 / (1 + t.t) (derived).
    """
    gap = section - fit[:2] - depth[:, None] * fit[2:4]
    slope = fit[2:4] / half
    along: FloatArray = gap @ slope / (1.0 + slope @ slope)
    square: FloatArray = gap - along[:, None] * slope
    return np.sqrt((gap * square).sum(axis=1)), square, along


def _spread(distance: FloatArray) -> float:
    """Standard deviation [mm] of a normal law with the same median absolute deviation as the
    distances.
    """
    return float(np.median(np.abs(distance - np.median(distance)))) / NormalDist().inv_cdf(0.75)


def _axis_at_faces(
    fit: FloatArray, middle: FloatArray, centre_z: float, half: float, length: float
) -> Axis:
    """The axis of a fit (cx, cy, tx, ty, radius) about `centre_z`, given at z = 0 and z = length
    [mm].
    """
    entry = middle + fit[:2] - fit[2:4] * centre_z / half
    far = middle + fit[:2] + fit[2:4] * (length - centre_z) / half
    return Axis((float(entry[0]), float(entry[1])), (float(far[0]), float(far[1])), length)


class Shape(Protocol):
    """A worn wall about the drawing axis."""

    def radius(self, clock: Array, depth: Array) -> Array:
        """Radius [mm] at clock [rad] and depth [mm], broadcast together."""

    @property
    def nodes(self) -> Array:
        """Depths [mm] between which the wall is straight, or near enough."""


@dataclass(frozen=True)
class Bored:
    """A bored or finished surface: radius [mm] about a straight axis."""

    axis: Axis
    radius: float


def about(shape: Shape, clock: Array, depth: Array, torch: Axis) -> Array:
    """Radius [mm] of a worn shape about the torch axis, shape (n_clock, n_depth).

    Solved along each ray by fixed point: the offset of the axes is small beside the radius.
    """
    x0, y0 = torch.at(depth)
    sin, cos = np.sin(clock)[:, None], np.cos(clock)[:, None]
    wanted = shape.radius(clock[:, None], depth[None, :])
    if not (np.any(x0) or np.any(y0)):
        return wanted
    r = wanted.copy()
    for _ in range(30):
        x, y = x0 + r * sin, y0 - r * cos
        off = shape.radius(np.arctan2(x, -y), depth[None, :]) - np.hypot(x, y)
        r += off
        if float(np.abs(off).max()) < 1e-10:
            break
    return r


def ray_to(cylinder: Bored, clock: Array, depth: Array, torch: Axis) -> Array:
    """Distance [mm] from the torch axis to a cylinder along each clock ray, shape (n_clock,
    n_depth).
    """
    xt, yt = torch.at(depth)
    xc, yc = cylinder.axis.at(depth)
    dx, dy = xt - xc, yt - yc
    sin, cos = np.sin(clock)[:, None], np.cos(clock)[:, None]
    along = dx * sin - dy * cos
    across = dx * cos + dy * sin
    return np.asarray(np.sqrt(cylinder.radius**2 - across**2) - along)


def shift(torch: Axis, other: Axis) -> Array:
    """Torch axis less another axis: x, y at depth 0 [mm] and their slopes [mm/mm], shape (4,)."""
    x, y = (
        a - b
        for a, b in zip(torch.at(np.array([0.0, 1.0])), other.at(np.array([0.0, 1.0])), strict=True)
    )
    return frozen(np.array([x[0], y[0], x[1] - x[0], y[1] - y[0]]))


def bored(wall: Wall, finish: Bored, torch: Axis) -> Wall:
    """The wall after a cut: turned to at least the finish cylinder; where it was already larger it
    stays black.
    """
    room = 2 * wall.coef.shape[1] + 8
    while True:
        knots, coef = np.zeros((len(wall.count), room + 1)), np.zeros((len(wall.count), room, 3))
        count = np.zeros(len(wall.count), dtype=np.int64)
        over_columns(
            bore_columns,
            len(count),
            wall.clock.angle,
            *wall.pieces,
            shift(torch, finish.axis),
            finish.radius,
            knots,
            coef,
            count,
        )
        if (count > 0).all():
            most = int(count.max())
            return Wall(
                wall.clock, frozen(knots[:, : most + 1]), frozen(coef[:, :most]), frozen(count)
            )
        room *= 2
