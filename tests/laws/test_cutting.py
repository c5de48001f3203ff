"""One cut: feed marks and the bar, against marks drawn and a beam solved here; named
published figures are rows of `sim.evidence`.
"""

import math

import numpy as np
import pytest
from scipy.optimize import curve_fit

from sim.laws.bar_deflection import OVERHUNG, SUPPORTED, Bar, left_standing
from sim.laws.cutting_force import cutting_time, rotation, specific_force
from sim.laws.roughness import exact_roughness, mean_roughness, roughness
from sim.reference.defaults import DEFAULTS


def beam(nodes, fixed, load_at, stiffness):
    """Deflection under a unit point load at a node of a straight beam, by the direct stiffness
    method (Hermite elements).

    nodes: ascending places; fixed: degrees of freedom held (2 k: deflection of node k, 2 k + 1: its
    slope).
    """
    n = len(nodes)
    whole = np.zeros((2 * n, 2 * n))
    for k, length in enumerate(np.diff(nodes)):
        a, b = 6.0 * length, 2.0 * length**2
        one = (
            np.array([[12, a, -12, a], [a, 2 * b, -a, b], [-12, -a, 12, -a], [a, b, -a, 2 * b]])
            * stiffness
            / length**3
        )
        whole[2 * k : 2 * k + 4, 2 * k : 2 * k + 4] += one
    free = [k for k in range(2 * n) if k not in fixed]
    force = np.zeros(2 * n)
    force[2 * load_at] = 1.0
    moved = np.zeros(2 * n)
    moved[free] = np.linalg.solve(whole[np.ix_(free, free)], force[free])
    return moved[2 * load_at]


@pytest.mark.parametrize("depth", [0.0, 20.0, 50.0, 77.0, 100.0])
def test_supported_bar_bends_as_a_beam_on_two_bearings(depth):
    bar = Bar(40.0, SUPPORTED, 120.0, 400.0, 206000.0)
    nodes = np.unique([0.0, 60.0, 120.0 + depth, 300.0, 400.0])
    at = int(np.searchsorted(nodes, 120.0 + depth))
    expected = beam(nodes, {0, 2 * (len(nodes) - 1)}, at, 206000.0 * math.pi * 40.0**4 / 64.0)
    assert bar.compliance(np.array([depth]))[0] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("depth", [0.0, 30.0, 90.0])
def test_overhung_bar_bends_as_a_beam_built_in_at_one_end(depth):
    bar = Bar(32.0, OVERHUNG, 80.0, 0.0, 206000.0)
    nodes = np.array([0.0, 35.0, 80.0 + depth])
    expected = beam(nodes, {0, 1}, 2, 206000.0 * math.pi * 32.0**4 / 64.0)
    assert bar.compliance(np.array([depth]))[0] == pytest.approx(expected, rel=1e-9)


def test_metal_left_standing_is_where_bar_and_cut_push_alike():
    # The bar pushes bend/compliance, the cut that is left pushes push x (depth - bend): equal,
    # solved here by bisection.
    depth, push, give = 1.7, 900.0, 3e-4
    low, high = 0.0, depth
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle / give < push * (depth - middle) else (low, middle)
    assert left_standing(np.array([depth]), push, np.array([give]))[0] == pytest.approx(
        low, abs=1e-12
    )


def test_feed_marks_are_those_of_circles_side_by_side():
    # The marks drawn: circles of the nose every feed, the lower envelope sampled; mean line and
    # heights read off it.
    feed, nose = 0.2, 0.8
    x = np.linspace(-0.5 * feed, 0.5 * feed, 200001)
    y = nose - np.sqrt(nose**2 - x**2)
    assert exact_roughness(feed, nose) == pytest.approx(y.max(), rel=1e-9)
    assert mean_roughness(feed, nose) == pytest.approx(np.abs(y - y.mean()).mean(), rel=5e-3)
    assert roughness(feed, nose) == pytest.approx(exact_roughness(feed, nose), rel=5e-3)


def test_a_feed_wider_than_the_nose_has_no_marks():
    with pytest.raises(ValueError, match="wider than the nose"):
        exact_roughness(1.0, 0.4)
    with pytest.raises(ValueError, match="greater than 0"):
        specific_force(0.0, 1990.0, 0.26)


def test_speed_and_time_of_textbooks():
    # Set problem of a machining course: 2.5 m/s on 140 mm is 341.22 rpm (with pi as 3.14).
    assert rotation(2500.0, 140.0) * 30.0 / math.pi == pytest.approx(341.22, rel=1e-3)
    # Groover, Fundamentals of Modern Manufacturing, turning example: 200 mm across, 700 long, 2.30
    # m/s, 0.32 mm per turn:
    # 9.96 min (the inputs read, the answer from memory).
    assert cutting_time(700.0, 0.32, rotation(2300.0, 200.0)) / 60.0 == pytest.approx(
        9.96, abs=0.005
    )


FEEDS_TOOL = (0.1, 0.2, 0.3, 0.4, 0.6)
MILD_STEEL = (3610.0, 3100.0, 2720.0, 2500.0, 2280.0)
FEEDS_CHUCK = (0.16, 0.25, 0.4, 0.63, 1.0, 1.6)
ST_50 = (3500.0, 3100.0, 2750.0, 2450.0, 2150.0, 1950.0)
ST_42 = (2600.0, 2400.0, 2200.0, 2050.0, 1900.0, 1800.0)


def test_ranges_of_the_specific_force_hold_the_published_steels():
    # Fits to the same tables: the softest steel of the manual (St 42) and the tool handbook's mild
    # steel lie in the ranges.
    for feeds, told, angle in (
        (FEEDS_CHUCK, ST_42, 45.0),
        (FEEDS_TOOL, MILD_STEEL, 90.0),
        (FEEDS_CHUCK, ST_50, 45.0),
    ):
        h = np.array(feeds) * math.sin(math.radians(angle))
        (kc, mc), _ = curve_fit(lambda h, kc, mc: kc * h**-mc, h, told, p0=(2000.0, 0.2))
        for name, value in (("specific_force", kc), ("force_exponent", mc)):
            known = DEFAULTS[f"boring_bar.{name}"]
            assert known.low <= value <= known.high, (name, value)
