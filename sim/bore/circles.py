"""The four reference circles of roundness.

Frame: z in mm from the entry face into the bore, x to 3 o'clock, y to 6 o'clock; the drawing axis
is x = y = 0. Clock angles are in rad from 12 o'clock, clockwise as seen looking into the bore from
the entry.

The four circles answer four questions about one section (ISO 12181-1): least squares (the steady
mean), minimum zone (the smallest roundness error), maximum inscribed (the largest plug that goes
in) and minimum circumscribed (the smallest bore that cleans up the whole section).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


# Round-off allowed on a length, as a share of the size of the section: some thousand steps of a
# float.
ROUND_OFF = 1e-12


# Closed sections settle in 1 to 5 exchanges (a smooth oval, inscribed: 12); points that need this
# many do not
# go round.
_MOST_RINGS, _MOST_HELD = 20, 60


_NOT_ROUND = "they do not go all round one bore; take one closed section"


@dataclass(frozen=True)
class Circle:
    """A reference circle: centre (x, y) [mm], radius [mm] and the form error about it [mm].

    The form error is peak to valley: the largest less the smallest distance of the points from the
    centre.
    """

    x: float
    y: float
    radius: float
    form_error: float


def least_squares_circle(points: ArrayLike) -> Circle:
    """The circle with the least sum of squared radial distances (LSCI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, not all on one line, in any order.

    Returns:
        The circle, its radius the mean distance. Distances are fitted, not the algebraic residuals
        that draw
        short arcs small.

    Raises:
        ValueError: the points give no circle.

    Source: ISO 12181-1; found by the Levenberg-Marquardt method from the algebraic circle, to about
    1e-7 of the form error.

    >>> least_squares_circle([(3, 0), (0, 3), (-3, 0), (0, -3)]).radius
    3.0

    """
    flat, middle = about_its_mean(points, "least_squares_circle")
    return _circle(flat, _least_squares_centre(flat), middle)


def minimum_zone_circle(points: ArrayLike) -> Circle:
    """The centre about which the points lie in the narrowest ring (MZCI of ISO 12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, all round one closed section, in any order.

    Returns:
        The circle in the middle of the ring; its form error is the width of the ring, the roundness
        error.

    Raises:
        ValueError: the points give no circle, or do not go round one.

    Source: ISO 12181-1. The ring has four contacts: two outside and two inside, or three and one.
    Found by exchange: the narrowest ring of a few points, by trying every choice of contacts, is
    the answer as soon as it holds all points, for a part of the points never needs a wider ring
    than all; until then the points farthest out of it join the few.

    >>> round(minimum_zone_circle([(3, 0), (0, 3), (-3, 0), (0, -3.1)]).form_error, 6)
    0.049583

    """
    flat, middle = about_its_mean(points, "minimum_zone_circle")
    slack = ROUND_OFF * float(np.abs(flat).max())
    few = _extremes_by_sector(flat)
    for _ in range(_MOST_RINGS):
        centre, width = _narrowest_ring(flat[few])
        distance = distance_from(flat, centre)
        if np.ptp(distance) <= width + slack:
            return _circle(
                flat, centre, middle, radius=float(distance.max() + distance.min()) / 2.0
            )
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

    Source: ISO 12181-1. Exchange of contacts (Elzinga and Hearn, Transportation Science 6 (1972)
    379-394; memory): the smallest circle about the two or three contacts and the farthest point,
    until no point is outside.

    >>> circumscribed_circle([(-5, 0), (5, 0), (0, 3)])
    Circle(x=0.0, y=0.0, radius=5.0, form_error=2.0)

    """
    flat, middle = about_its_mean(points, "circumscribed_circle")
    slack = ROUND_OFF * float(np.abs(flat).max())
    contacts, centre, radius = [0], flat[0], 0.0
    best, seen = (math.inf, centre), set[tuple[int, ...]]()
    while (
        tuple(contacts) not in seen
    ):  # met twice only where round-off decides between equal circles
        seen.add(tuple(contacts))
        distance = distance_from(flat, centre)
        farthest = int(distance.argmax())
        best = min(best, (float(distance[farthest]), centre), key=lambda reach: reach[0])
        if distance[farthest] <= radius + slack:
            break
        contacts, centre, radius = _smallest_about(flat, sorted({*contacts, farthest}))
    return _circle(flat, best[1], middle, radius=best[0])


def inscribed_circle(points: ArrayLike) -> Circle:
    """The largest circle with no point inside it, held all round by its contacts (MICI of ISO
    12181-1).

    Args:
        points: shape (n, 2) [mm], n at least 3, all round one closed section, in any order.

    Returns:
        The circle, one of them if several are equally large; its radius is the smallest distance of
        a point
        from its centre.

    Raises:
        ValueError: the points give no circle, or hold none (they lie on less than half a turn).

    Source: ISO 12181-1. Three contacts with no half turn free between them. Found by exchange: the
    largest circle that a few points hold, by trying every three of them, is the answer as soon as
    no point is inside; until then the point deepest inside joins the few.

    >>> inscribed_circle([(3, 0), (0, 3), (-3, 0), (0, -3), (3, 3)]).radius
    3.0

    """
    flat, middle = about_its_mean(points, "inscribed_circle")
    slack = ROUND_OFF * float(np.abs(flat).max())
    few = _extremes_by_sector(flat)
    for _ in range(_MOST_HELD):
        centre, radius = _largest_held(flat[few])
        distance = distance_from(flat, centre)
        if distance.min() >= radius - slack:
            return _circle(flat, centre, middle, radius=float(distance.min()))
        few = sorted({*few, int(distance.argmin())})
    raise ValueError(f"inscribed_circle: points = {len(flat)} points: {_NOT_ROUND}")


def about_its_mean(points: ArrayLike, where: str) -> tuple[FloatArray, FloatArray]:
    """Points of one section about their own mean: (points shape (n, 2), mean shape (2,)) [mm].

    Raises ValueError naming the function `where` if the points give no circle.
    """
    flat = np.asarray(points, dtype=np.float64)
    if flat.ndim != 2 or flat.shape[1] != 2 or len(flat) < 3:
        raise ValueError(
            f"{where}: points have shape {flat.shape}: must be (n, 2) with n at least 3"
        )
    if not np.isfinite(flat).all():
        raise ValueError(f"{where}: points hold a value that is not finite: leave such points out")
    middle = flat.mean(axis=0)
    flat = flat - middle
    thickness = np.linalg.svd(flat, compute_uv=False)
    if thickness[1] <= 1e-9 * thickness[0]:
        raise ValueError(
            f"{where}: points = {len(flat)} points on one line: a circle needs three that are not"
        )
    return flat, middle


def _circle(
    flat: FloatArray, centre: FloatArray, middle: FloatArray, radius: float | None = None
) -> Circle:
    """Circle about `centre`, both in the frame of `middle`; radius None is the mean distance [mm]."""
    distance = distance_from(flat, centre)
    x, y = (centre + middle).tolist()
    return Circle(
        x, y, float(distance.mean()) if radius is None else radius, float(np.ptp(distance))
    )


def distance_from(points: FloatArray, centre: FloatArray) -> FloatArray:
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


def algebraic_centre(flat: FloatArray) -> FloatArray:
    """Centre [mm], shape (2,), of the least algebraic residual x^2 + y^2 - 2 x cx - 2 y cy - k: the
    start.
    """
    terms = np.column_stack([2.0 * flat, np.ones(len(flat))])
    solution: FloatArray = np.linalg.lstsq(terms, (flat**2).sum(axis=1), rcond=None)[0]
    return solution[:2]


def _least_squares_centre(flat: FloatArray) -> FloatArray:
    """Centre [mm], shape (2,), about which the distances of the points have the least variance."""
    from scipy.optimize import least_squares  # type: ignore[import-untyped, unused-ignore]

    def residual(centre: FloatArray) -> FloatArray:
        distance = distance_from(flat, centre)
        return distance - float(distance.mean())

    def slope(centre: FloatArray) -> FloatArray:
        distance = np.maximum(distance_from(flat, centre), np.finfo(float).tiny)
        away = (centre - flat) / distance[:, None]
        offset: FloatArray = away - away.mean(axis=0)
        return offset

    fit = least_squares(
        residual, algebraic_centre(flat), slope, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
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
        chosen |= {
            int(members[distance[members].argmax()]),
            int(members[distance[members].argmin()]),
        }
    return sorted(chosen)


def _narrowest_ring(few: FloatArray) -> tuple[FloatArray, float]:
    """Centre and width of the narrowest ring that holds all of a few points, shape (m, 2) [mm].

    Tries every centre as far from a as from b and as far from c as from d; a may be c: three
    contacts. Raises ValueError if there is no such centre.
    """
    first, second = np.triu_indices(len(few), 1)
    one, other = np.triu_indices(len(first), 1)
    centres = _equidistant(few[first[one]], few[second[one]], few[first[other]], few[second[other]])
    centres = centres[np.isfinite(centres).all(axis=1)]
    if not len(centres):
        raise ValueError(f"minimum_zone_circle: points = {len(few)} points: {_NOT_ROUND}")
    outer, inner = np.zeros(len(centres)), np.full(len(centres), np.inf)
    for point in few:
        distance = distance_from(centres, point)
        np.maximum(outer, distance, out=outer)
        np.minimum(inner, distance, out=inner)
    best = int((outer - inner).argmin())
    return centres[best], float(outer[best] - inner[best])


def _smallest_about(flat: FloatArray, few: list[int]) -> tuple[list[int], FloatArray, float]:
    """Contacts, centre [mm] and radius [mm] of the smallest circle about two to four of the points.

    Tries every two contacts as a diameter and every three. `few` numbers points of `flat`, shape
    (n, 2).
    """
    choices = [*combinations(few, 2), *combinations(few, 3)]
    ends = flat[np.array([(choice[0], choice[1], choice[0], choice[-1]) for choice in choices])]
    centres = _equidistant(ends[:, 0], ends[:, 1], ends[:, 2], ends[:, 3])
    pairs = [len(choice) == 2 for choice in choices]
    centres[pairs] = (ends[pairs, 0] + ends[pairs, 1]) / 2.0
    radius = distance_from(flat[few][:, None, :], centres[None, :, :]).max(axis=0)
    best = int(radius.argmin())
    return list(choices[best]), centres[best], float(radius[best])


def _largest_held(few: FloatArray) -> tuple[FloatArray, float]:
    """Centre and radius [mm] of the largest circle held and left empty by a few points, shape (m,
    2) [mm].

    Three points hold the circle through them if no angle between them is obtuse; ValueError if none
    do.
    """
    corners = few[np.array(list(combinations(range(len(few)), 3)))]
    sides = np.sort(((corners - np.roll(corners, 1, axis=1)) ** 2).sum(axis=2), axis=1)
    corners = corners[
        (sides[:, 0] > 0.0) & (sides[:, 0] + sides[:, 1] >= sides[:, 2] * (1.0 - 1e-9))
    ]
    centres = _equidistant(corners[:, 0], corners[:, 1], corners[:, 0], corners[:, 2])
    radius = distance_from(few[:, None, :], centres[None, :, :]).min(axis=0)
    empty = np.flatnonzero(
        radius >= distance_from(corners[:, 0], centres) * (1.0 - 10.0 * ROUND_OFF)
    )
    if not len(empty):
        raise ValueError(f"inscribed_circle: points = {len(few)} points: {_NOT_ROUND}")
    best = empty[radius[empty].argmax()]
    return centres[best], float(radius[best])
