"""What readings do not cover, and which to take next: by hand, and against the ovals they would
miss.
"""

import math

import numpy as np
import pytest

from sim.bore.read_wall import wall_from
from sim.job.looked import look
from sim.job.read import load
from sim.job.readings_csv import read
from sim.shop.uncovered import gaps_of, uncovered
from tests.shop.test_looked import BRIGHT, told


def readings(kind, depths, hours, wall=lambda theta: 41.0):
    two = 2.0 if kind == "diameter" else 1.0
    rows = "".join(f"{z},{h},{two * wall(h * math.pi / 6):.6f}\n" for z in depths for h in hours)
    return read(f"depth_mm,oclock,{kind}_mm\n{rows}".encode(), name="r")


def test_two_readings_at_one_clock_near_the_entry_cover_next_to_nothing():
    # "Cleans up", exit 0, it once was. By hand: from 6 mm on there is nothing, and before it 37.5
    # degrees either side.
    found = gaps_of(readings("diameter", (5, 6), (12,)), 100.0)
    assert found.gaps[0].depth == (6.0, 100.0) and found.gaps[0].clock == (0.0, math.pi)
    assert found.gaps[1].depth == (0.0, 31.0)
    assert [math.degrees(angle) for angle in found.gaps[1].clock] == [
        pytest.approx(37.5),
        pytest.approx(142.5),
    ]
    assert found.share == pytest.approx(0.69 + 0.31 * 105 / 180, abs=0.011)
    assert found.next_depth == pytest.approx(
        65.0, abs=10.0
    )  # as much of the bare part in reach as can be


@pytest.mark.parametrize(
    "kind, hours", [("diameter", (0, 2, 4)), ("radius", (0, 2.4, 4.8, 7.2, 9.6))]
)
def test_three_stations_with_enough_clocks_cover_the_bore(kind, hours):
    assert gaps_of(readings(kind, (20, 50, 80), hours), 100.0).share == 0.0
    fewer = gaps_of(readings(kind, (20, 50, 80), hours[:-1]), 100.0)
    assert fewer.share > 0.0 and fewer.gaps[0].depth == (0.0, 100.0)


def test_what_is_called_covered_does_not_miss_an_oval():
    # Two clocks square to each other read an oval at 45 degrees as round, and are not called
    # covered; three find it.
    oval = lambda theta: 41.0 + 0.3 * math.cos(2.0 * (theta - math.pi / 4.0))  # noqa: E731
    theta = np.linspace(0.0, math.pi, 60)
    for hours, covered in (((0, 3), False), ((0, 2, 4), True)):
        found = readings("diameter", (20, 50, 80), hours, oval)
        off = np.abs(
            wall_from(found).radius(theta, np.full(60, 50.0)) - [oval(t) for t in theta]
        ).max()
        assert (gaps_of(found, 100.0).share == 0.0) == covered == (off < 0.01)


def test_the_next_reading_settles_what_it_says_and_all_of_them_everything():
    rows, length = [(5.0, 0.0), (6.0, 0.0)], 100.0
    for _ in range(40):
        text = "depth_mm,oclock,diameter_mm\n" + "".join(f"{z},{h},82\n" for z, h in rows)
        found = gaps_of(read(text.encode(), name="r"), length)
        if found.next_depth is None:
            break
        rows.append((found.next_depth, found.next_clock * 6.0 / math.pi))
        text = "depth_mm,oclock,diameter_mm\n" + "".join(f"{z},{h},82\n" for z, h in rows)
        after = gaps_of(read(text.encode(), name="r"), length)
        assert (
            found.share - after.share == pytest.approx(found.settles, abs=1e-9)
            and found.settles > 0.0
        )
    assert found.share == 0.0 and len(rows) <= 14


def test_a_gap_across_twelve_is_one():
    found = gaps_of(readings("radius", (20, 50, 80), (3, 5, 7, 9)), 100.0)
    assert len(found.gaps) == 1
    begin, end = (math.degrees(angle) for angle in found.gaps[0].clock)
    assert (begin, end) == (pytest.approx(307.5), pytest.approx(52.5))
    assert found.next_clock == pytest.approx(0.0)


@pytest.mark.parametrize("name", ["readings_cold", "readings_radius", "cleans_up"])
def test_shipped_scenes_are_covered(name):
    assert uncovered(load(f"scenes/{name}.toml")).gaps == ()


def test_a_wall_that_came_out_bright_needs_no_reading():
    wall = lambda theta: 40.95 + 0.0 * np.asarray(theta)  # noqa: E731
    assert look(told(wall, look=BRIGHT)).bright and uncovered(told(wall, look=BRIGHT)).share == 0.0
