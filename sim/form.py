"""Straight axes, the four reference circles of roundness and the least-squares cylinder.

Frame: z in mm from the entry face into the bore, x to 3 o'clock, y to 6 o'clock; the drawing axis
is x = y = 0. Clock angles are in rad from 12 o'clock, clockwise as seen looking into the bore from the entry.

The four circles answer four questions about one section (ISO 12181-1): least squares (the steady mean),
minimum zone (the smallest roundness error), maximum inscribed (the largest plug that goes in) and minimum
circumscribed (the smallest bore that cleans up the whole section).
"""

import math
from dataclasses import dataclass
from itertools import combinations
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

# Round-off allowed on a length, as a share of the size of the section: some thousand steps of a float.
_ROUND_OFF = 1e-12

# Closed sections settle in 1 to 5 exchanges (a smooth oval, inscribed: 12); points that need this many do not
# go round.
_MOST_RINGS, _MOST_HELD = 20, 60
_NOT_ROUND = "they do not go all round one bore; take one closed section"


@dataclass(frozen=True)
class Axis:
    """A straight axis, by its offset from the drawing axis at the two faces.

    Attributes:
        entry: (x, y) [mm] at the entry face, z = 0.
        far: (x, y) [mm] at the far face, z = length.
        length: depth of the bore [mm], greater than 0.

    Raises:
        ValueError: a number is not finite, or length is not greater than 0.

    >>> Axis(entry=(0.0, 0.0), far=(1.0, -2.0), length=100.0).at([0.0, 50.0, 150.0])
    (array([0. , 0.5, 1.5]), array([ 0., -1., -3.]))

    """

    entry: tuple[float, float]
    far: tuple[float, float]
    length: float

    def __post_init__(self) -> None:
        """Refuse numbers that give no line."""
        if not all(map(math.isfinite, (*self.entry, *self.far))):
            raise ValueError(f"Axis: entry = {self.entry}, far = {self.far}: offsets must be finite numbers of mm")
        if not (math.isfinite(self.length) and self.length > 0):
            raise ValueError(f"Axis: length = {self.length}: must be a finite number of mm greater than 0")

    @classmethod
    def straight(cls, length: float) -> "Axis":
        """The drawing axis itself, for a bore of `length` [mm].

        >>> Axis.straight(50.0)
        Axis(entry=(0.0, 0.0), far=(0.0, 0.0), length=50.0)
        """
        return cls((0.0, 0.0), (0.0, 0.0), length)

    def at(self, z: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """(x, y) [mm] of the axis at depth z [mm]; each has the shape of z, and runs on past both faces."""
        share = np.asarray(z, dtype=np.float64) / self.length
        x = (1.0 - share) * self.entry[0] + share * self.far[0]
        y = (1.0 - share) * self.entry[1] + share * self.far[1]
        return x, y


@dataclass(frozen=True)
class Circle:
    """A reference circle: centre (x, y) [mm], radius [mm] and the form error about it [mm].

    The form error is peak to valley: the largest less the smallest distance of the points from the centre.
    """

    x: float
    y: float
    radius: float
    form_error: float


@dataclass(frozen=True)
class Cylinder:
    """A reference cylinder: axis, radius [mm] and the form error about it, peak to valley [mm]."""

    axis: Axis
    radius: float
    form_error: float


def polar(size: float, theta: float) -> tuple[float, float]:
    """(x, y) [mm] of an offset given by its size [mm] and its clock angle theta [rad].

    >>> x, y = polar(2.0, math.pi / 2)  # 3 o'clock
    >>> round(x, 12), abs(round(y, 12))
    (2.0, 0.0)
    """
    return size * math.sin(theta), -size * math.cos(theta)


def least_squares_circle(points: ArrayLike) -> Circle:
    """The circle with the least sum of squared radial distances (LSCI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, not all on one line, in any order.

    Returns:
        The circle, its radius the mean distance. Distances are fitted, not the algebraic residuals that draw
        short arcs small.

    Raises:
        ValueError: the points give no circle.

    Source: ISO 12181-1; found by the Levenberg-Marquardt method from the algebraic circle, to about 1e-7 of
    the form error.

    >>> least_squares_circle([(3, 0), (0, 3), (-3, 0), (0, -3)]).radius
    3.0

    """
    flat, middle = _section(points, "least_squares_circle")
    return _circle(flat, _least_squares_centre(flat), middle)


def minimum_zone_circle(points: ArrayLike) -> Circle:
    """The centre about which the points lie in the narrowest ring (MZCI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, all round one closed section, in any order.

    Returns:
        The circle in the middle of the ring; its form error is the width of the ring, the roundness error.

    Raises:
        ValueError: the points give no circle, or do not go round one.

    Source: ISO 12181-1. The ring has four contacts: two outside and two inside, or three and one. Found by
    exchange: the narrowest ring of a few points, by trying every choice of contacts, is the answer as soon as
    it holds all points, for a part of the points never needs a wider ring than all; until then the points
    farthest out of it join the few.

    >>> round(minimum_zone_circle([(3, 0), (0, 3), (-3, 0), (0, -3.1)]).form_error, 6)
    0.049583

    """
    flat, middle = _section(points, "minimum_zone_circle")
    slack = _ROUND_OFF * float(np.abs(flat).max())
    few = _extremes_by_sector(flat)
    for _ in range(_MOST_RINGS):
        centre, width = _narrowest_ring(flat[few])
        distance = _distance(flat, centre)
        if np.ptp(distance) <= width + slack:
            return _circle(flat, centre, middle, radius=float(distance.max() + distance.min()) / 2.0)
        few = sorted({*few, int(distance.argmax()), int(distance.argmin())})
    raise ValueError(f"minimum_zone_circle: points = {len(flat)} points: {_NOT_ROUND}")


def circumscribed_circle(points: ArrayLike) -> Circle:
    """The smallest circle with all points in or on it (MCCI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, not all on one line, in any order.

    Returns:
        The circle; its radius is the largest distance of a point from its centre.

    Raises:
        ValueError: the points give no circle.

    Source: ISO 12181-1. Exchange of contacts (Elzinga and Hearn, Transportation Science 6 (1972) 379-394;
    memory): the smallest circle about the two or three contacts and the farthest point, until no point is
    outside.

    >>> circumscribed_circle([(-5, 0), (5, 0), (0, 3)])
    Circle(x=0.0, y=0.0, radius=5.0, form_error=2.0)

    """
    flat, middle = _section(points, "circumscribed_circle")
    slack = _ROUND_OFF * float(np.abs(flat).max())
    contacts, centre, radius = [0], flat[0], 0.0
    best, seen = (math.inf, centre), set[tuple[int, ...]]()
    while tuple(contacts) not in seen:  # met twice only where round-off decides between equal circles
        seen.add(tuple(contacts))
        distance = _distance(flat, centre)
        farthest = int(distance.argmax())
        best = min(best, (float(distance[farthest]), centre), key=lambda reach: reach[0])
        if distance[farthest] <= radius + slack:
            break
        contacts, centre, radius = _smallest_about(flat, sorted({*contacts, farthest}))
    return _circle(flat, best[1], middle, radius=best[0])


def inscribed_circle(points: ArrayLike) -> Circle:
    """The largest circle with no point inside it, held all round by its contacts (MICI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, all round one closed section, in any order.

    Returns:
        The circle, one of them if several are equally large; its radius is the smallest distance of a point
        from its centre.

    Raises:
        ValueError: the points give no circle, or hold none (they lie on less than half a turn).

    Source: ISO 12181-1. Three contacts with no half turn free between them. Found by exchange: the largest
    circle that a few points hold, by trying every three of them, is the answer as soon as no point is inside;
    until then the point deepest inside joins the few.

    >>> inscribed_circle([(3, 0), (0, 3), (-3, 0), (0, -3), (3, 3)]).radius
    3.0

    """
    flat, middle = _section(points, "inscribed_circle")
    slack = _ROUND_OFF * float(np.abs(flat).max())
    few = _extremes_by_sector(flat)
    for _ in range(_MOST_HELD):
        centre, radius = _largest_held(flat[few])
        distance = _distance(flat, centre)
        if distance.min() >= radius - slack:
            return _circle(flat, centre, middle, radius=float(distance.min()))
        few = sorted({*few, int(distance.argmin())})
    raise ValueError(f"inscribed_circle: points = {len(flat)} points: {_NOT_ROUND}")


def least_squares_axis(
    points: ArrayLike,
    *,
    length: float,
    loss: Literal["linear", "soft_l1"] = "linear",
    knee: float | None = None,
) -> Cylinder:
    """The cylinder with the least sum of squared distances of points from its wall (LSCY of ISO 12180-1).

    Args:
        points: shape (n, 3): x, y, z [mm], n at least 6, z along the bore and not all the same.
        length: depth of the bore [mm]: where `far` of the axis is given.
        loss: "linear" for the plain sum of squares; "soft_l1" counts a distance beyond the knee by its first
            power, not its square, so that a worn pocket or a few wild points pull the axis less.
        knee: distance [mm] at which soft_l1 turns; None takes the spread of the plain fit and renews it twice
            from the soft_l1 fit (median absolute deviation, scaled to the standard deviation of normal
            errors). Not used by "linear".

    Returns:
        Axis, radius and form error, the form error peak to valley over all points [mm], wild ones included.

    Raises:
        ValueError: the points give no cylinder along z, loss is neither, or knee is not greater than 0.

    Source: ISO 12180-1; soft_l1 as in scipy.optimize.least_squares: 2 (sqrt(1 + (d/knee)^2) - 1) knee^2.

    >>> corners = [(x, y, z) for x, y in ((3, 0), (0, 3), (-3, 0), (0, -3)) for z in (0, 10)]
    >>> round(least_squares_axis(corners, length=10.0).radius, 9)
    3.0

    """
    cloud = _bore_points(points)
    if loss not in ("linear", "soft_l1"):
        raise ValueError(f"least_squares_axis: loss = {loss!r}: must be 'linear' or 'soft_l1'")
    if knee is not None and not (math.isfinite(knee) and knee > 0):
        raise ValueError(f"least_squares_axis: knee = {knee}: must be a number of mm greater than 0")
    section, middle = _section(cloud[:, :2], "least_squares_axis")
    low, high = float(cloud[:, 2].min()), float(cloud[:, 2].max())
    depth = (2.0 * cloud[:, 2] - low - high) / (high - low)  # -1 to 1
    half = (high - low) / 2.0
    start = np.zeros(5)
    start[:2] = _algebraic_centre(section)
    start[4] = _distance(section, start[:2]).mean()
    fit, distance = _fit_cylinder(section, depth, half, start)
    for _ in range(0 if loss == "linear" else 3 if knee is None else 1):
        bend = _spread(distance) if knee is None else knee
        if bend > _ROUND_OFF * abs(fit[4]):
            fit, distance = _fit_cylinder(section, depth, half, fit, knee=bend)
    axis = _axis_at_faces(fit, middle, (low + high) / 2.0, half, length)
    return Cylinder(axis, float(fit[4]), float(distance.max() - distance.min()))


def _section(points: ArrayLike, where: str) -> tuple[FloatArray, FloatArray]:
    """Points of one section about their own mean: (points shape (n, 2), mean shape (2,)) [mm].

    Raises ValueError naming the function `where` if the points give no circle.
    """
    flat = np.asarray(points, dtype=np.float64)
    if flat.ndim != 2 or flat.shape[1] != 2 or len(flat) < 3:
        raise ValueError(f"{where}: points have shape {flat.shape}: must be (n, 2) with n at least 3")
    if not np.isfinite(flat).all():
        raise ValueError(f"{where}: points hold a value that is not finite: leave such points out")
    middle = flat.mean(axis=0)
    flat = flat - middle
    thickness = np.linalg.svd(flat, compute_uv=False)
    if thickness[1] <= 1e-9 * thickness[0]:
        raise ValueError(f"{where}: points = {len(flat)} points on one line: a circle needs three that are not")
    return flat, middle


def _circle(flat: FloatArray, centre: FloatArray, middle: FloatArray, radius: float | None = None) -> Circle:
    """Circle about `centre`, both in the frame of `middle`; radius None is the mean distance [mm]."""
    distance = _distance(flat, centre)
    x, y = (centre + middle).tolist()
    return Circle(x, y, float(distance.mean()) if radius is None else radius, float(np.ptp(distance)))


def _distance(points: FloatArray, centre: FloatArray) -> FloatArray:
    """Distance [mm] of points, shape (..., 2), from a centre or centres of a matching shape."""
    gap = points - centre
    return np.hypot(gap[..., 0], gap[..., 1])


def _equidistant(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray:
    """Centres as far from a as from b, and as far from c as from d; all shape (m, 2) [mm].

    Infinite where the two lines of such centres are parallel.
    """
    ab, cd = b - a, d - c
    ab_middle, cd_middle = ((b + a) * ab).sum(axis=1) / 2.0, ((d + c) * cd).sum(axis=1) / 2.0
    det = ab[:, 0] * cd[:, 1] - ab[:, 1] * cd[:, 0]
    x = ab_middle * cd[:, 1] - cd_middle * ab[:, 1]
    y = cd_middle * ab[:, 0] - ab_middle * cd[:, 0]
    parallel = np.abs(det) <= np.finfo(float).eps * np.abs(ab).max(axis=1) * np.abs(cd).max(axis=1)
    centres = np.column_stack([x, y]) / np.where(parallel, 1.0, det)[:, None]
    centres[parallel] = np.inf
    return centres


def _algebraic_centre(flat: FloatArray) -> FloatArray:
    """Centre [mm], shape (2,), of the least algebraic residual x^2 + y^2 - 2 x cx - 2 y cy - k: the start."""
    terms = np.column_stack([2.0 * flat, np.ones(len(flat))])
    solution: FloatArray = np.linalg.lstsq(terms, (flat**2).sum(axis=1), rcond=None)[0]
    return solution[:2]


def _least_squares_centre(flat: FloatArray) -> FloatArray:
    """Centre [mm], shape (2,), about which the distances of the points have the least variance."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped, unused-ignore]

    def residual(centre: FloatArray) -> FloatArray:
        distance = _distance(flat, centre)
        return distance - float(distance.mean())

    def slope(centre: FloatArray) -> FloatArray:
        distance = np.maximum(_distance(flat, centre), np.finfo(float).tiny)
        away = (centre - flat) / distance[:, None]
        offset: FloatArray = away - away.mean(axis=0)
        return offset

    fit = least_squares(residual, _algebraic_centre(flat), slope, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    centre: FloatArray = fit.x
    return centre


def _extremes_by_sector(flat: FloatArray) -> list[int]:
    """Numbers of the farthest and the nearest point in each eighth of a turn, sorted, none twice."""
    gap = flat - _least_squares_centre(flat)
    distance = np.hypot(gap[:, 0], gap[:, 1])
    sector = np.floor(np.arctan2(gap[:, 1], gap[:, 0]) * (4.0 / math.pi))
    chosen = {0, 1, 2}
    for number in np.unique(sector):
        members = np.flatnonzero(sector == number)
        chosen |= {int(members[distance[members].argmax()]), int(members[distance[members].argmin()])}
    return sorted(chosen)


def _narrowest_ring(few: FloatArray) -> tuple[FloatArray, float]:
    """Centre and width of the narrowest ring that holds all of a few points, shape (m, 2) [mm].

    Tries every centre as far from a as from b and as far from c as from d; a may be c: three contacts. Raises
    ValueError if there is no such centre.
    """
    first, second = np.triu_indices(len(few), 1)
    one, other = np.triu_indices(len(first), 1)
    centres = _equidistant(few[first[one]], few[second[one]], few[first[other]], few[second[other]])
    centres = centres[np.isfinite(centres).all(axis=1)]
    if not len(centres):
        raise ValueError(f"minimum_zone_circle: points = {len(few)} points: {_NOT_ROUND}")
    outer, inner = np.zeros(len(centres)), np.full(len(centres), np.inf)
    for point in few:
        distance = _distance(centres, point)
        np.maximum(outer, distance, out=outer)
        np.minimum(inner, distance, out=inner)
    best = int((outer - inner).argmin())
    return centres[best], float(outer[best] - inner[best])


def _smallest_about(flat: FloatArray, few: list[int]) -> tuple[list[int], FloatArray, float]:
    """Contacts, centre [mm] and radius [mm] of the smallest circle about two to four of the points.

    Tries every two contacts as a diameter and every three. `few` numbers points of `flat`, shape (n, 2).
    """
    choices = [*combinations(few, 2), *combinations(few, 3)]
    ends = flat[np.array([(choice[0], choice[1], choice[0], choice[-1]) for choice in choices])]
    centres = _equidistant(ends[:, 0], ends[:, 1], ends[:, 2], ends[:, 3])
    pairs = [len(choice) == 2 for choice in choices]
    centres[pairs] = (ends[pairs, 0] + ends[pairs, 1]) / 2.0
    radius = _distance(flat[few][:, None, :], centres[None, :, :]).max(axis=0)
    best = int(radius.argmin())
    return list(choices[best]), centres[best], float(radius[best])


def _largest_held(few: FloatArray) -> tuple[FloatArray, float]:
    """Centre and radius [mm] of the largest circle held and left empty by a few points, shape (m, 2) [mm].

    Three points hold the circle through them if no angle between them is obtuse; ValueError if none do.
    """
    corners = few[np.array(list(combinations(range(len(few)), 3)))]
    sides = np.sort(((corners - np.roll(corners, 1, axis=1)) ** 2).sum(axis=2), axis=1)
    corners = corners[(sides[:, 0] > 0.0) & (sides[:, 0] + sides[:, 1] >= sides[:, 2] * (1.0 - 1e-9))]
    centres = _equidistant(corners[:, 0], corners[:, 1], corners[:, 0], corners[:, 2])
    radius = _distance(few[:, None, :], centres[None, :, :]).min(axis=0)
    empty = np.flatnonzero(radius >= _distance(corners[:, 0], centres) * (1.0 - 10.0 * _ROUND_OFF))
    if not len(empty):
        raise ValueError(f"inscribed_circle: points = {len(few)} points: {_NOT_ROUND}")
    best = empty[radius[empty].argmax()]
    return centres[best], float(radius[best])


def _bore_points(points: ArrayLike) -> FloatArray:
    """Points of a bore wall, shape (n, 3) [mm]; raises ValueError if they give no cylinder along z."""
    where = "least_squares_axis"
    cloud = np.asarray(points, dtype=np.float64)
    if cloud.ndim != 2 or cloud.shape[1] != 3 or len(cloud) < 6:
        raise ValueError(f"{where}: points have shape {cloud.shape}: must be (n, 3) with n at least 6")
    if not np.isfinite(cloud).all():
        raise ValueError(f"{where}: points hold a value that is not finite: leave such points out")
    if not np.ptp(cloud[:, 2]) > 0.0:
        raise ValueError(f"{where}: all points are at z = {cloud[0, 2]} mm: add points at another depth")
    return cloud


def _fit_cylinder(
    section: FloatArray, depth: FloatArray, half: float, start: FloatArray, *, knee: float | None = None
) -> tuple[FloatArray, FloatArray]:
    """Fitted (cx, cy, tx, ty, radius) [mm] and the distances of the points from the axis [mm], shape (n,).

    The axis runs through (cx, cy) + depth (tx, ty), depth -1 to 1 standing for `half` [mm] either way; knee
    None is plain least squares. Raises ValueError if the points leave the cylinder loose.
    """
    from scipy.optimize import least_squares  # type: ignore[import-untyped, unused-ignore]

    def residual(fit: FloatArray) -> FloatArray:
        return _from_axis(section, depth, half, fit)[0] - float(fit[4])

    def slopes(fit: FloatArray) -> FloatArray:
        distance, square, along = _from_axis(section, depth, half, fit)
        away = -square / np.maximum(distance, np.finfo(float).tiny)[:, None]
        return np.column_stack([away, (depth + along / half)[:, None] * away, -np.ones(len(section))])

    if knee is None:
        result = least_squares(residual, start, slopes, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    else:
        fine = {"xtol": 1e-13, "ftol": 1e-13, "gtol": 1e-13}
        result = least_squares(residual, start, slopes, loss="soft_l1", f_scale=knee, **fine)
    fit: FloatArray = result.x
    if np.linalg.matrix_rank(slopes(fit)) < len(start):
        raise ValueError(f"least_squares_axis: points = {len(section)}: many cylinders fit them alike; add points")
    return fit, _from_axis(section, depth, half, fit)[0]


def _from_axis(
    section: FloatArray, depth: FloatArray, half: float, fit: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distances of points from an axis [mm], shape (n,); the gaps square to it, (n, 2), and along it, (n,)
    [mm].

    With u the gap at the same depth and t the slope of the axis, the distance square to the axis is exactly
    d^2 = u.u - (u.t)^2 / (1 + t.t) (derived).
    """
    gap = section - fit[:2] - depth[:, None] * fit[2:4]
    slope = fit[2:4] / half
    along: FloatArray = gap @ slope / (1.0 + slope @ slope)
    square: FloatArray = gap - along[:, None] * slope
    return np.sqrt((gap * square).sum(axis=1)), square, along


def _spread(distance: FloatArray) -> float:
    """Standard deviation [mm] of a normal law with the same median absolute deviation as the distances."""
    return float(np.median(np.abs(distance - np.median(distance)))) / NormalDist().inv_cdf(0.75)


def _axis_at_faces(fit: FloatArray, middle: FloatArray, centre_z: float, half: float, length: float) -> Axis:
    """The axis of a fit (cx, cy, tx, ty, radius) about `centre_z`, given at z = 0 and z = length [mm]."""
    entry = middle + fit[:2] - fit[2:4] * centre_z / half
    far = middle + fit[:2] + fit[2:4] * (length - centre_z) / half
    return Axis((float(entry[0]), float(entry[1])), (float(far[0]), float(far[1])), length)
