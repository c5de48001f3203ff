"""Heat, steel and positions against values of others that have no name or no number: implementations, an
integrator, tabulated ranges. Named published values are rows of `sim.evidence`.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

from sim.laws.arc_heat import heat_input
from sim.laws.cooling import cooling_time
from sim.laws.interpass import Ring
from sim.laws.preheat import minimum_preheat, preheat_by_cet
from sim.laws.steel_composition import Composition
from sim.laws.weld_positions import positions, way_at


def test_heat_input():
    # Worked example in the tests of another implementation of EN 1011: 30 V, 200 A, 300 mm/min.
    assert heat_input(30.0, 200.0, 5.0, 0.85) == pytest.approx(1.020, abs=5e-4)


def test_cooling_time_of_another_implementation():
    # Hand arithmetic in the tests of another implementation: Q 1.2, 20 C: 6.3462 s thick, 16.3635 s
    # at 10 mm.
    assert cooling_time(1.2, 20.0, None).time == pytest.approx(6.3462, abs=1e-4)
    assert cooling_time(1.2, 20.0, 10.0).time == pytest.approx(16.3635, abs=1e-4)


def test_carbon_equivalents_of_a_plate():
    # Plate data sheet: C .17 Si .45 Mn 1.65 V .17 Ni .29 gives CE 0.50, CET 0.34, Pcm 0.29.
    steel = Composition(carbon=0.17, silicon=0.45, manganese=1.65, vanadium=0.17, nickel=0.29)
    assert (steel.ce, steel.cet, steel.pcm) == pytest.approx((0.50, 0.34, 0.29), abs=0.005)


def test_carbon_equivalents_of_another_implementation():
    # Hand arithmetic in its tests: CE 0.55, CET 0.3475, Pcm 0.20367, each of another steel.
    one = Composition(
        carbon=0.2,
        manganese=1.0,
        chromium=0.5,
        molybdenum=0.2,
        vanadium=0.05,
        nickel=0.3,
        copper=0.2,
    )
    two = Composition(
        carbon=0.18, manganese=1.2, molybdenum=0.1, chromium=0.3, copper=0.2, nickel=0.5
    )
    three = Composition(
        carbon=0.1,
        silicon=0.3,
        manganese=1.0,
        copper=0.2,
        chromium=0.3,
        nickel=0.3,
        molybdenum=0.1,
        vanadium=0.02,
        boron=0.001,
    )
    assert one.ce == pytest.approx(0.55, abs=1e-9)
    assert two.cet == pytest.approx(0.3475, abs=1e-9)
    assert three.pcm == pytest.approx(0.2036667, abs=1e-6)


def test_preheat_by_cet():
    # EN 1011-2 C.3: CET .30, 25 mm, 5 ml/100 g, 1 kJ/mm: 72.0 C; and CET .35, 20 mm, 5, 1.5:
    # 87.3011 C (hand arithmetic in the
    # tests of another implementation).
    assert preheat_by_cet(0.30, 25.0, 5.0, 1.0).temperature == pytest.approx(72.0, abs=0.1)
    assert preheat_by_cet(0.35, 20.0, 5.0, 1.5).temperature == pytest.approx(87.3011, abs=1e-3)


@pytest.mark.parametrize(
    ("given", "named"),
    [((0.19, 25.0, 5.0, 1.0), "CET"), ((0.51, 25.0, 5.0, 1.0), "CET"), ((0.3, 9.0, 5.0, 1.0), "thickness"), ((0.3, 91.0, 5.0, 1.0), "thickness"),
     ((0.3, 25.0, 21.0, 1.0), "hydrogen"), ((0.3, 25.0, 5.0, 0.4), "heat input"), ((0.3, 25.0, 5.0, 4.1), "heat input")],
)  # fmt: skip
def test_preheat_outside_its_range_says_so(given, named):
    # EN 1011-2 C.3 as quoted in secondary copies: CET 0.2-0.5 %, d 10-90 mm, HD 1-20 ml/100 g, Q
    # 0.5-4.0 kJ/mm.
    outside = preheat_by_cet(*given).outside
    assert len(outside) == 1 and outside[0]["name"].startswith(named)
    assert (
        preheat_by_cet(0.2, 10.0, 1.0, 0.5).outside
        == preheat_by_cet(0.5, 90.0, 20.0, 4.0).outside
        == ()
    )


@pytest.mark.parametrize(
    ("category", "thickness", "celsius"),
    [("B", 12, 0), ("B", 25, 10), ("B", 50, 65), ("B", 70, 110),  # A36, low hydrogen: AWS D1.1:2015 Table 3.3, read
     ("B", 20, 0), ("B", 38, 10), ("B", 65, 65), ("A", 20, 0), ("A", 21, 65), ("A", 40, 110), ("A", 66, 150),  # same table, read
     ("C", 20, 10), ("C", 38, 65), ("C", 65, 110), ("C", 66, 150)],  # category C: memory
)  # fmt: skip
def test_least_preheat_of_d1_1(category, thickness, celsius):
    assert minimum_preheat(category, float(thickness)) == celsius


def test_lumped_ring_against_an_integrator():
    # dT/dt = (P - h A (T - Ta)) / (m c), integrated by scipy.
    ring = Ring.of(80.0, 150.0, 100.0, density=7.85e-3, specific_heat=500.0, film=20.0, air=20.0)
    assert ring.mass == pytest.approx(math.pi / 4 * (0.15**2 - 0.08**2) * 0.1 * 7850.0, rel=1e-12)
    assert ring.area == pytest.approx(
        2 * math.pi / 4 * (0.15**2 - 0.08**2) + math.pi * 0.23 * 0.1, rel=1e-12
    )

    def slope(_, t):
        return (1500.0 - 20.0 * ring.area * (t - 20.0)) / (ring.mass * 500.0)

    solved = solve_ivp(slope, (0.0, 1200.0), [100.0], rtol=1e-10, atol=1e-10, dense_output=True)
    assert ring.heated(100.0, 1500.0, 1200.0) == pytest.approx(solved.y[0, -1], abs=1e-5)
    assert float(solved.sol(ring.time_to(100.0, 1500.0, 250.0))[0]) == pytest.approx(
        250.0, abs=1e-3
    )
    cooled = solve_ivp(
        lambda _, t: -20.0 * ring.area * (t - 20.0) / (ring.mass * 500.0),
        (0.0, ring.wait(300.0, 150.0)),
        [300.0],
        rtol=1e-10,
        atol=1e-10,
    )
    assert cooled.y[0, -1] == pytest.approx(150.0, abs=1e-5)


# Groove-weld positions, AWS D1.1 figure "Positions of groove welds": inclination of axis, rotation
# of face (0 straight down).
# Vertical 15-80 with 80-280, and 80-90 with any: read; flat 0-15 with 150-210, horizontal 0-15 with
# 80-150 and 210-280,
# overhead 0-80 with 0-80 and 280-360: memory.
TABULATED = (
    ("flat", (0.0, 15.0), (150.0, 210.0)), ("horizontal", (0.0, 15.0), (80.0, 150.0)), ("horizontal", (0.0, 15.0), (210.0, 280.0)),
    ("overhead", (0.0, 80.0), (0.0, 80.0)), ("overhead", (0.0, 80.0), (280.0, 360.0)),
    ("vertical", (15.0, 80.0), (80.0, 280.0)), ("vertical", (80.0, 90.0), (0.0, 360.0)),
)  # fmt: skip


def tabulated(clock, inclination, turning):
    """Position by the table, from vectors in space: x to 3 o'clock, y into the bore, z up; the bore
    tilted by a rotation.
    """
    tilt = Rotation.from_euler("x", -inclination)
    along = tilt.apply(turning * np.array([math.cos(clock), 0.0, -math.sin(clock)]))
    face = tilt.apply(np.array([-math.sin(clock), 0.0, -math.cos(clock)]))
    slope = math.degrees(math.asin(min(abs(along[2]), 1.0)))
    upright = np.array([0.0, 0.0, 1.0]) - along[2] * along
    turned = (
        math.degrees(
            math.atan2(
                float(np.dot(np.cross(-upright, face), along)), float(np.dot(-upright, face))
            )
        )
        % 360.0
    )
    found = [name for name, (a, b), (c, d) in TABULATED if a <= slope <= b and c <= turned <= d]
    ways = {
        ("vertical up" if along[2] > 0 else "vertical down") if name == "vertical" else name
        for name in found
    }
    return ways, slope, turned


@pytest.mark.parametrize("inclination", [-90, -60, -45, -20, -10, 0, 5, 12, 30, 45, 70, 80, 90])
@pytest.mark.parametrize("turning", [1, -1])
def test_positions_against_the_tabulated_ranges(inclination, turning):
    rad = math.radians(inclination)
    for clock in np.radians(np.arange(0.5, 360.0, 1.0)):
        ways, slope, turned = tabulated(float(clock), rad, turning)
        assert way_at(float(clock), rad, turning) in ways, (math.degrees(clock), slope, turned)


def test_positions_of_a_horizontal_bore_by_the_clock():
    # From the same table: slope at a clock is its angle from 6 or 12: flat within 15 degrees of 6,
    # overhead within 80 of 12.
    found = {p.iso: (p.start * 6 / math.pi, p.end * 6 / math.pi) for p in positions(0.0, 1)}
    assert found["PA"] == pytest.approx((5.5, 6.5), abs=1e-6)
    assert found["PE"] == pytest.approx((12 - 80 / 30, 80 / 30), abs=1e-6)
    assert found["PF"] == pytest.approx((6.5, 12 - 80 / 30), abs=1e-6)
    assert found["PG"] == pytest.approx((80 / 30, 5.5), abs=1e-6)
    turned = {p.iso: (p.start * 6 / math.pi, p.end * 6 / math.pi) for p in positions(0.0, -1)}
    assert turned["PF"] == pytest.approx(found["PG"], abs=1e-9)
