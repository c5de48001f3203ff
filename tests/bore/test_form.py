"""Axes, reference circles and the least-squares cylinder against definitions, enumeration and
libraries.
"""

import doctest
import math
from collections.abc import Callable
from dataclasses import FrozenInstanceError
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import least_squares, linprog
from scipy.spatial import Voronoi
from scipy.stats import median_abs_deviation

from sim.bore import circles as form
from sim.bore.axis import Axis, polar
from sim.bore.circles import (
    Circle,
    circumscribed_circle,
    inscribed_circle,
    least_squares_circle,
    minimum_zone_circle,
)
from sim.bore.cylinders import Cylinder, least_squares_axis

Points = NDArray[np.float64]
CIRCLES: tuple[Callable[[Points], Circle], ...] = (
    least_squares_circle,
    minimum_zone_circle,
    circumscribed_circle,
    inscribed_circle,
)


def section(radius: Points) -> Points:
    """Points of one section at even clock angles, shape (n, 2) [mm]."""
    theta = np.arange(len(radius)) * 2.0 * np.pi / len(radius)
    return np.column_stack([radius * np.sin(theta), -radius * np.cos(theta)])


EIGHT = section(40.0 + np.array([0, 40, 10, -20, 30, 50, -10, 20]) / 1000.0)


# --- axis ---


def test_axis_is_a_straight_line_through_both_offsets() -> None:
    axis = Axis(entry=(0.3, -0.1), far=(-0.7, 0.9), length=80.0)
    x, y = axis.at([[0.0, 80.0], [40.0, 160.0]])
    assert x.shape == y.shape == (2, 2)
    assert (x[0, 0], y[0, 0], x[0, 1], y[0, 1]) == (0.3, -0.1, -0.7, 0.9)  # exact at the faces
    np.testing.assert_allclose(x[1], [-0.2, -1.7], atol=1e-15)
    np.testing.assert_allclose(y[1], [0.4, 1.9], atol=1e-15)
    assert float(axis.at(-80.0)[0]) == pytest.approx(1.3, abs=1e-15)


def test_straight_axis_is_the_drawing_axis() -> None:
    x, y = Axis.straight(120.0).at(np.linspace(-20.0, 140.0, 5))
    assert not x.any()
    assert not y.any()


# Clock: 0 at 12 o'clock, clockwise seen from the entry face; x to 3 o'clock, y to 6 o'clock.
@pytest.mark.parametrize(("hour", "x", "y"), [(12, 0, -1), (3, 1, 0), (6, 0, 1), (9, -1, 0)])
def test_polar_offsets(hour: int, x: float, y: float) -> None:
    assert polar(2.0, hour * math.pi / 6.0) == pytest.approx((2.0 * x, 2.0 * y), abs=1e-14)


@pytest.mark.parametrize(
    ("entry", "far", "length", "words"),
    [
        ((0.0, 0.0), (0.0, 0.0), 0.0, "length = 0.0: must be"),
        ((0.0, 0.0), (0.0, 0.0), -5.0, "length = -5.0: must be"),
        ((0.0, 0.0), (0.0, 0.0), math.inf, "length = inf: must be"),
        ((math.nan, 0.0), (0.0, 0.0), 5.0, "entry = .nan, 0.0.*finite"),
    ],
)
def test_axis_refusals(
    entry: tuple[float, float], far: tuple[float, float], length: float, words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        Axis(entry, far, length)


def test_results_are_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        Axis.straight(10.0).length = 20.0  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        least_squares_circle(EIGHT).radius = 20.0  # type: ignore[misc]


# --- reference circles: published definitions, exact numbers ---


# ISO 12181-1 definitions; the four numbers by exact enumeration of contacts, done outside this
# project.
def test_eight_points() -> None:
    assert least_squares_circle(EIGHT).form_error * 1e3 == pytest.approx(64.5706, abs=1e-3)
    assert minimum_zone_circle(EIGHT).form_error * 1e3 == pytest.approx(61.2132, abs=1e-3)
    assert circumscribed_circle(EIGHT).radius == pytest.approx(40.045000, abs=1e-6)
    assert inscribed_circle(EIGHT).radius == pytest.approx(39.988788, abs=1e-6)


# One spike of height h on N points moves the least-squares centre by 2h/N and the radius by h/N
# (ISO 4291).
def test_one_spike() -> None:
    radius = np.full(36, 40.0)
    radius[9] += 0.1  # 3 o'clock
    circle = least_squares_circle(section(radius))
    assert math.hypot(circle.x, circle.y) * 1e3 == pytest.approx(5.556, rel=1e-3)
    assert (circle.radius - 40.0) * 1e3 == pytest.approx(2.778, rel=1e-3)
    assert circle.x > 0.0
    assert circle.y == pytest.approx(0.0, abs=1e-9)


# An oval of semi-axes a > b: inscribed b, circumscribed a, ring a - b about its centre (geometry).
def test_oval() -> None:
    theta = np.arange(720) * np.pi / 360.0
    oval = np.column_stack([3.0 + 41.0 * np.cos(theta), -7.0 + 39.5 * np.sin(theta)])
    inscribed = inscribed_circle(oval)
    assert inscribed.radius == pytest.approx(
        39.5, abs=1e-5
    )  # slips by half a point along the flat sides
    assert inscribed.y == pytest.approx(-7.0, abs=1e-5)
    assert circumscribed_circle(oval).radius == pytest.approx(41.0, abs=1e-9)
    assert minimum_zone_circle(oval).form_error == pytest.approx(1.5, abs=1e-9)
    for fit in (least_squares_circle, minimum_zone_circle, circumscribed_circle):
        circle = fit(oval)
        assert (circle.x, circle.y) == pytest.approx((3.0, -7.0), abs=1e-7)


# Three lobes: every circle of the set is concentric, radii mean and extreme (geometry).
def test_three_lobes_share_one_centre() -> None:
    theta = np.arange(360) * np.pi / 180.0
    lobes = section(40.0 + 0.05 * np.cos(3.0 * theta))
    centre = pytest.approx((0.0, 0.0), abs=1e-9)
    found = {fit.__name__: fit(lobes) for fit in CIRCLES}
    for circle in found.values():
        assert (circle.x, circle.y) == centre
        assert circle.form_error == pytest.approx(0.1, abs=1e-9)
    assert found["circumscribed_circle"].radius == pytest.approx(40.05, abs=1e-9)
    assert found["inscribed_circle"].radius == pytest.approx(39.95, abs=1e-9)
    assert found["minimum_zone_circle"].radius == pytest.approx(40.0, abs=1e-9)


@pytest.mark.parametrize("count", [4, 7, 360, 5000])
@pytest.mark.parametrize("noise", [0.0, 1e-9])
def test_perfectly_round(count: int, noise: float) -> None:
    rng = np.random.default_rng(5)
    points = section(40.0 + noise * rng.uniform(-1.0, 1.0, count)) + np.array([500.0, -200.0])
    for fit in CIRCLES:
        circle = fit(points)
        assert circle.radius == pytest.approx(40.0, abs=noise * 1.5 + 1e-11)
        assert circle.form_error <= 4.0 * noise + 2e-12


# --- reference circles: slow twins by enumeration ---


def twin_equidistant(a: Points, b: Points, c: Points, d: Points) -> Points | None:
    matrix = 2.0 * np.array([b - a, d - c])
    if abs(np.linalg.det(matrix)) < 1e-12:
        return None
    return np.linalg.solve(matrix, np.array([b @ b - a @ a, d @ d - c @ c]))


def twin_ring(points: Points) -> float:
    """Width of the narrowest ring, by trying every three and every two pairs of contacts."""
    best = math.inf
    for pair, other in combinations(list(combinations(points, 2)), 2):
        centre = twin_equidistant(*pair, *other)
        if centre is not None:
            best = min(best, float(np.ptp(np.linalg.norm(points - centre, axis=1))))
    return best


def twin_circumscribed(points: Points) -> float:
    centres = [(a + b) / 2.0 for a, b in combinations(points, 2)]
    centres += [
        c
        for t in combinations(points, 3)
        if (c := twin_equidistant(t[0], t[1], t[0], t[2])) is not None
    ]
    return min(float(np.linalg.norm(points - centre, axis=1).max()) for centre in centres)


def twin_inscribed(points: Points) -> float:
    """Largest empty circle through three points that leave no half turn free, by trying every
    three.
    """
    best = 0.0
    for three in combinations(points, 3):
        centre = twin_equidistant(three[0], three[1], three[0], three[2])
        if centre is None:
            continue
        towards = np.array(three) - centre
        bearings = np.sort(np.arctan2(towards[:, 1], towards[:, 0]))
        gaps = np.diff(np.append(bearings, bearings[0] + 2.0 * np.pi))
        reach = np.linalg.norm(points - centre, axis=1).min()
        if gaps.max() <= np.pi + 1e-9 and reach >= np.linalg.norm(towards[0]) - 1e-9:
            best = max(best, float(reach))
    return best


@pytest.mark.parametrize("seed", range(40))
def test_twins_by_enumeration(seed: int) -> None:
    rng = np.random.default_rng(seed)
    roughness = [0.02, 0.5, 5.0][seed % 3]
    theta = (np.arange(13) + rng.uniform(-0.4, 0.4, 13)) * 2.0 * np.pi / 13
    radius = 40.0 + roughness * rng.standard_normal(13)
    points = np.column_stack([radius * np.sin(theta), -radius * np.cos(theta)]) + rng.uniform(
        -3.0, 3.0, 2
    )
    assert minimum_zone_circle(points).form_error == pytest.approx(twin_ring(points), abs=1e-9)
    assert circumscribed_circle(points).radius == pytest.approx(
        twin_circumscribed(points), abs=1e-9
    )
    assert inscribed_circle(points).radius == pytest.approx(twin_inscribed(points), abs=1e-9)


# --- reference circles: general libraries ---


def worn(seed: int, count: int, size: float) -> Points:
    """An invented worn section: a few lobes and roughness, about a centre off the drawing axis."""
    rng = np.random.default_rng(seed)
    theta = np.arange(count) * 2.0 * np.pi / count
    radius = 40.0 + 0.1 * size * rng.standard_normal(count)
    for lobes in range(2, 8):
        radius += (
            size / lobes * rng.standard_normal() * np.cos(lobes * theta + rng.uniform(0.0, 6.0))
        )
    return section(radius) + rng.uniform(-2.0, 2.0, 2)


# shapely 2: the minimum bounding circle, at GEOS's own precision.
@pytest.mark.parametrize("seed", range(10))
def test_circumscribed_against_shapely(seed: int) -> None:
    shapely = pytest.importorskip("shapely")
    points = worn(seed, 400, 0.8)
    expected = shapely.minimum_bounding_radius(shapely.MultiPoint(points))
    assert circumscribed_circle(points).radius == pytest.approx(expected, abs=1e-9)


# scipy's Voronoi diagram: the centre of the largest inscribed circle is its vertex farthest from
# the points,
# among those in the middle of the bore.
@pytest.mark.parametrize("seed", range(10))
def test_inscribed_against_scipy_voronoi(seed: int) -> None:
    points = worn(seed, 400, 0.8)
    vertices = Voronoi(points).vertices
    vertices = vertices[np.linalg.norm(vertices - points.mean(axis=0), axis=1) < 10.0]
    reach = np.linalg.norm(points[:, None, :] - vertices, axis=2).min(axis=0)
    assert inscribed_circle(points).radius == pytest.approx(reach.max(), abs=1e-9)


# scipy's linprog on the limacon, the section linear in the centre: right to second order, form
# error^2 /
# radius.
@pytest.mark.parametrize("seed", range(10))
def test_minimum_zone_against_linear_programme(seed: int) -> None:
    points = worn(seed, 300, 0.01)
    points -= points.mean(axis=0)
    radius, theta = np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0])
    terms = np.column_stack([np.cos(theta), np.sin(theta), np.ones_like(theta)])
    half = np.ones((len(theta), 1))
    table = np.vstack([np.hstack([terms, -half]), np.hstack([-terms, -half])])
    answer = linprog(
        [0, 0, 0, 1], table, np.concatenate([radius, -radius]), bounds=[(None, None)] * 4
    )
    second_order = np.ptp(radius) ** 2 / 40.0
    assert second_order < 1e-4
    assert minimum_zone_circle(points).form_error == pytest.approx(
        2.0 * answer.x[3], abs=second_order
    )


# scipy's least squares in the three unknowns, with numerical slopes, and the normal equations of
# the
# definition.
@pytest.mark.parametrize("seed", range(10))
def test_least_squares_against_scipy(seed: int) -> None:
    points = worn(seed, 200, 2.0)
    circle = least_squares_circle(points)
    answer = least_squares(
        lambda c: np.hypot(points[:, 0] - c[0], points[:, 1] - c[1]) - c[2],
        [0, 0, 30],
        "3-point",
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    )
    assert (circle.x, circle.y, circle.radius) == pytest.approx(answer.x, abs=1e-6)
    away = points - [circle.x, circle.y]
    distance = np.hypot(*away.T)
    assert circle.radius == pytest.approx(distance.mean(), abs=1e-12)
    np.testing.assert_allclose(
        ((distance - circle.radius) / distance) @ away / len(points), 0.0, atol=1e-7
    )


# A quarter turn only: the algebraic fit of a noisy arc comes out too small, the geometric one does
# not.
def test_short_arc_is_fitted_geometrically() -> None:
    rng = np.random.default_rng(3)
    theta = np.linspace(0.0, 0.5 * np.pi, 4000)
    radius = 40.0 + 2.0 * rng.standard_normal(4000)
    arc = np.column_stack([radius * np.cos(theta), radius * np.sin(theta)])
    terms = np.column_stack([2.0 * arc, np.ones(len(arc))])
    cx, cy, k = np.linalg.lstsq(terms, (arc**2).sum(axis=1), rcond=None)[0]
    assert math.sqrt(k + cx**2 + cy**2) < 39.0
    assert least_squares_circle(arc).radius == pytest.approx(40.0, abs=0.5)


# --- reference circles: properties ---


def thousandths(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers in steps of a thousandth, as a gauge reads them."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda number: number / 1000.0)


profiles = st.tuples(
    st.lists(thousandths(-1.0, 1.0), min_size=6, max_size=40),
    st.sampled_from([1e-3, 0.05, 2.0]),
    thousandths(5.0, 300.0),
    st.tuples(thousandths(-50.0, 50.0), thousandths(-50.0, 50.0)),
)
Profile = tuple[list[float], float, float, tuple[float, float]]


def profile_points(profile: Profile) -> Points:
    shape, size, radius, centre = profile
    return section(radius + size * np.array(shape)) + centre


def distances(points: Points, circle: Circle) -> Points:
    return np.hypot(points[:, 0] - circle.x, points[:, 1] - circle.y)


@settings(max_examples=150, deadline=None)
@given(profiles)
def test_contacts_and_order_of_the_circles(profile: Profile) -> None:
    points = profile_points(profile)
    dust = 1e-11 * (profile[2] + 100.0)
    ls, mz, mc, mi = (fit(points) for fit in CIRCLES)
    assert (distances(points, mc) <= mc.radius + dust).all()
    assert (distances(points, mi) >= mi.radius - dust).all()
    for circle in (ls, mz, mc, mi):
        assert circle.form_error == pytest.approx(np.ptp(distances(points, circle)), abs=dust)
        assert mz.form_error <= circle.form_error + dust
    assert np.abs(distances(points, mz) - mz.radius).max() == pytest.approx(
        mz.form_error / 2.0, abs=dust
    )
    # Each defining contact is really there: two at least outside, three at least inside, two and
    # two of the
    # ring.
    assert (distances(points, mc) >= mc.radius - dust).sum() >= 2
    assert (distances(points, mi) <= mi.radius + dust).sum() >= 3
    assert (
        np.abs(np.abs(distances(points, mz) - mz.radius) - mz.form_error / 2.0) <= dust
    ).sum() >= 4


@settings(max_examples=60, deadline=None)
@given(profiles, thousandths(-3.1, 3.1), thousandths(-80.0, 80.0), thousandths(-80.0, 80.0))
def test_turn_shift_mirror_and_order_change_nothing(
    profile: Profile, turn: float, dx: float, dy: float
) -> None:
    points = profile_points(profile)
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    moved = (points @ rotation.T + [dx, dy])[::-1]
    for fit in CIRCLES:
        close = (
            1e-7 if fit is least_squares_circle else 1e-9
        )  # the one that is found by steps, not exactly
        before, after, mirrored = fit(points), fit(moved), fit(points * [-1.0, 1.0])
        assert after.radius == pytest.approx(before.radius, abs=close)
        assert mirrored.radius == pytest.approx(before.radius, abs=close)
        if fit is not inscribed_circle:  # of that there may be two, equally large
            assert after.form_error == pytest.approx(before.form_error, abs=1e-6)
        if fit is least_squares_circle:
            expected = rotation @ [before.x, before.y] + [dx, dy]
            assert (after.x, after.y) == pytest.approx(tuple(expected), abs=1e-6)


def test_points_given_twice_change_only_the_least_squares_circle() -> None:
    doubled = np.vstack([EIGHT, EIGHT[2:5]])
    for fit in (minimum_zone_circle, circumscribed_circle, inscribed_circle):
        assert fit(doubled).radius == pytest.approx(fit(EIGHT).radius, abs=1e-12)
    assert least_squares_circle(doubled).x != pytest.approx(least_squares_circle(EIGHT).x, abs=1e-4)


@pytest.mark.parametrize("fit", CIRCLES)
@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(0.0, 0.0), (1.0, 1.0)], r"shape \(2, 2\): must be \(n, 2\) with n at least 3"),
        ([(0.0, 0.0, 1.0)] * 5, r"shape \(5, 3\)"),
        ([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (5.0, 5.0)], "4 points on one line"),
        ([(1.0, 1.0)] * 4, "4 points on one line"),
        ([(0.0, 0.0), (1.0, math.nan), (2.0, 2.0)], "not finite"),
    ],
)
def test_refused_points(
    fit: Callable[[object], Circle], points: list[tuple[float, ...]], words: str
) -> None:
    with pytest.raises(ValueError, match=words) as error:
        fit(points)
    assert str(error.value).startswith(fit.__name__ + ":")


def test_inscribed_circle_needs_more_than_half_a_turn() -> None:
    theta = np.linspace(0.0, 2.0, 30)
    arc = np.column_stack([40.0 * np.cos(theta), 40.0 * np.sin(theta)])
    with pytest.raises(
        ValueError, match=r"inscribed_circle: points = .*do not go all round one bore"
    ):
        inscribed_circle(arc)


# --- least-squares cylinder ---


def tube(
    entry: tuple[float, float], far: tuple[float, float], length: float, radius: Points
) -> Points:
    """Points square to a tilted axis at the distances `radius`, shape (n_turn, n_ring), by unit
    vectors.
    """
    n_turn, n_ring = radius.shape
    start, end = np.array([*entry, 0.0]), np.array([*far, length])
    along = (end - start) / np.linalg.norm(end - start)
    first = np.cross(along, [0.0, 1.0, 0.0])
    first /= np.linalg.norm(first)
    second = np.cross(along, first)
    theta = np.arange(n_turn) * 2.0 * np.pi / n_turn
    spoke = np.cos(theta)[:, None] * first + np.sin(theta)[:, None] * second
    depth = np.linspace(0.0, np.linalg.norm(end - start), n_ring)
    points = start + depth[None, :, None] * along + radius[:, :, None] * spoke[:, None, :]
    return points.reshape(-1, 3)


@pytest.mark.parametrize("loss", ["linear", "soft_l1"])
@pytest.mark.parametrize("far", [(0.4, -0.2), (-0.3, 0.5), (30.0, -20.0)])
def test_a_true_cylinder_is_found_again(loss: str, far: tuple[float, float]) -> None:
    points = tube((0.1, 0.2), far, 100.0, np.full((24, 9), 40.0))
    cylinder = least_squares_axis(points, length=100.0, loss=loss)  # type: ignore[arg-type]
    assert cylinder.axis.entry == pytest.approx((0.1, 0.2), abs=1e-9)
    assert cylinder.axis.far == pytest.approx(far, abs=1e-9)
    assert cylinder.radius == pytest.approx(40.0, abs=1e-9)
    assert cylinder.form_error == pytest.approx(0.0, abs=1e-9)
    assert cylinder.axis.length == 100.0


# The distance from the axis by the cross product, numerical slopes, scipy's other solver.
def test_cylinder_against_scipy_with_the_cross_product() -> None:
    rng = np.random.default_rng(8)
    points = tube((1.0, -0.5), (2.0, 3.0), 60.0, 40.0 + 0.3 * rng.standard_normal((36, 7)))

    def residual(fit: Points) -> Points:
        start, end = np.array([fit[0], fit[1], 0.0]), np.array([fit[2], fit[3], 60.0])
        direction = (end - start) / np.linalg.norm(end - start)
        return np.linalg.norm(np.cross(points - start, direction), axis=1) - fit[4]

    for loss in ("linear", "soft_l1"):
        answer = least_squares(
            residual, [0, 0, 0, 0, 35], "3-point", loss=loss, f_scale=0.1, xtol=1e-14, ftol=1e-14
        )
        cylinder = least_squares_axis(points, length=60.0, loss=loss, knee=0.1)  # type: ignore[arg-type]
        found = (*cylinder.axis.entry, *cylinder.axis.far, cylinder.radius)
        assert found == pytest.approx(answer.x, abs=1e-6)
        assert cylinder.form_error == pytest.approx(np.ptp(residual(answer.x)), abs=1e-6)


# The same section at every depth: the cylinder is the least-squares circle of the section, its axis
# parallel.
def test_cylinder_of_one_section_repeated_is_its_circle() -> None:
    flat = worn(4, 60, 0.5)
    depths = np.linspace(5.0, 45.0, 6)
    points = np.vstack([np.column_stack([flat, np.full(len(flat), z)]) for z in depths])
    circle, cylinder = least_squares_circle(flat), least_squares_axis(points, length=50.0)
    for offset in (cylinder.axis.entry, cylinder.axis.far):
        assert offset == pytest.approx((circle.x, circle.y), abs=1e-7)
    assert cylinder.radius == pytest.approx(circle.radius, abs=1e-9)
    assert cylinder.form_error == pytest.approx(circle.form_error, abs=1e-8)


# Wild points (5 % of them 3 mm deep, on one side) hardly move the robust axis and spoil the plain
# one.
def test_soft_l1_withstands_wild_points() -> None:
    rng = np.random.default_rng(2)
    radius = 40.0 + 0.01 * rng.standard_normal((40, 20))
    radius[:4, ::2] += 3.0
    points = tube((0.2, -0.1), (0.1, 0.3), 80.0, radius)

    def error(loss: str) -> float:
        axis = least_squares_axis(points, length=80.0, loss=loss).axis  # type: ignore[arg-type]
        return max(math.dist(axis.entry, (0.2, -0.1)), math.dist(axis.far, (0.1, 0.3)))

    assert error("linear") > 0.2
    assert error("soft_l1") < 0.01


@settings(max_examples=30, deadline=None)
@given(
    thousandths(-3.1, 3.1), thousandths(-20.0, 20.0), thousandths(-200.0, 200.0), st.integers(0, 99)
)
def test_turning_and_moving_the_cylinder(turn: float, shift: float, dz: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = tube((0.5, 0.1), (-0.5, 0.3), 70.0, 40.0 + 0.05 * rng.standard_normal((18, 5)))
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    moved = np.column_stack([points[:, :2] @ rotation.T + shift, points[:, 2] + dz])
    before, after = least_squares_axis(points, length=70.0), least_squares_axis(moved, length=70.0)
    assert after.radius == pytest.approx(before.radius, abs=1e-9)
    assert after.form_error == pytest.approx(before.form_error, abs=1e-7)
    x, y = after.axis.at([dz, dz + 70.0])
    expected = np.array([before.axis.entry, before.axis.far]) @ rotation.T + shift
    np.testing.assert_allclose(np.column_stack([x, y]), expected, atol=1e-7)


@pytest.mark.parametrize(
    ("points", "knee", "words"),
    [
        (np.zeros((5, 3)), None, r"shape \(5, 3\): must be \(n, 3\) with n at least 6"),
        (np.zeros((9, 2)), None, r"shape \(9, 2\)"),
        (np.column_stack([EIGHT, np.full(8, 7.0)]), None, "all points are at z = 7.0 mm"),
        (np.column_stack([EIGHT, [*range(7), math.inf]]), None, "not finite"),
        (
            np.column_stack([np.outer(np.arange(8.0), [1.0, 2.0]), np.arange(8.0)]),
            None,
            "on one line",
        ),
        (np.column_stack([EIGHT, np.arange(8.0)]), 0.0, "knee = 0.0: must be"),
    ],
)
def test_cylinder_refusals(points: Points, knee: float | None, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        least_squares_axis(points, length=50.0, loss="soft_l1", knee=knee)


# The knee that is taken from the points: scipy's normal-consistent median absolute deviation of the
# plain
# fit, then of each soft_l1 fit.
def test_knee_is_the_spread_of_the_fit() -> None:
    rng = np.random.default_rng(6)
    points = tube((0.0, 0.0), (0.0, 0.0), 50.0, 40.0 + 0.1 * rng.standard_t(2, (30, 10)))

    def spread(cylinder: Cylinder) -> float:
        x, y = cylinder.axis.at(points[:, 2])  # nearly square to z: the tilt counts 1e-6
        return float(
            median_abs_deviation(np.hypot(points[:, 0] - x, points[:, 1] - y), scale="normal")
        )

    step = least_squares_axis(points, length=50.0)
    for _ in range(3):
        step = least_squares_axis(points, length=50.0, loss="soft_l1", knee=spread(step))
    found = least_squares_axis(points, length=50.0, loss="soft_l1")
    assert (*found.axis.entry, *found.axis.far) == pytest.approx(
        (*step.axis.entry, *step.axis.far), abs=1e-6
    )
    assert found.radius == pytest.approx(step.radius, abs=1e-6)


def test_unknown_loss_is_refused() -> None:
    points = tube((0.0, 0.0), (0.0, 0.0), 10.0, np.full((6, 2), 5.0))
    with pytest.raises(ValueError, match="loss = 'huber': must be 'linear' or 'soft_l1'"):
        least_squares_axis(points, length=10.0, loss="huber")  # type: ignore[arg-type]


def test_cylinder_left_loose_by_its_points_is_refused() -> None:
    corners = section(np.full(3, 40.0))
    loose = np.vstack(
        [np.column_stack([corners[:2], [0.0, 0.0]]), np.column_stack([corners[:2], [50.0, 50.0]])]
    )
    with pytest.raises(ValueError, match="least_squares_axis"):
        least_squares_axis(np.vstack([loose, loose]), length=50.0)


def test_doctests() -> None:
    assert doctest.testmod(form).failed == 0
