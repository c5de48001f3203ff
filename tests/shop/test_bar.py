"""Several bores on one bar: shared axes, and the one straight line that suits them all."""

import math

import numpy as np
import pytest

from sim.job.change import changed
from sim.job.read import load
from sim.set_up.axes_and_areas import axes_of
from sim.shop.run import simulate
from sim.shop.several_bores import best_line, bores, simulate_bar


@pytest.fixture(scope="module")
def lugs():
    return simulate_bar(changed(load("scenes/three_lugs.toml"), {"grid.columns": 180}))


def test_axes_of_every_bore_lie_on_one_line():
    scene = changed(
        load("scenes/three_lugs.toml"),
        {
            "axes.finish_entry_mm": 0.2,
            "axes.finish_entry_at_oclock": 1.0,
            "axes.finish_far_mm": 0.1,
            "axes.finish_far_at_oclock": 8.0,
        },
    )
    points = []
    for _, along, one in bores(scene):
        axis = axes_of(one).finish
        points += [(along, *axis.entry), (along + one.bore.length, *axis.far)]
    points = np.array(points)
    for column in (1, 2):
        line = np.polyval(np.polyfit(points[:, 0], points[:, column], 1), points[:, 0])
        np.testing.assert_allclose(points[:, column], line, atol=1e-9)


def test_first_bore_is_the_scene_alone(lugs):
    alone = simulate(changed(load("scenes/three_lugs.toml"), {"grid.columns": 180}))
    assert lugs[0].result.stock.spot.value == alone.stock.spot.value


def test_best_line_lifts_the_worst_bore_and_keeps_every_zone(lugs):
    axis, least = best_line(lugs)
    now = min(one.result.stock.spot.value for one in lugs)
    assert least > now
    for one in lugs:
        radius = 0.5 * one.result.scene.bore.location_zone
        for z in (one.along, one.along + one.result.scene.bore.length):
            assert math.hypot(*(float(v) for v in axis.at(z))) <= radius + 1e-9


def test_best_line_is_what_a_fresh_run_gives(lugs):
    # The linear programme is first order on the least of each cell; a fresh exact run of the moved
    # bar must agree.
    axis, least = best_line(lugs)
    scene = changed(load("scenes/three_lugs.toml"), {"grid.columns": 180})
    length = scene.bore.length
    change = {}
    for end, z in (("entry", 0.0), ("far", length)):
        x, y = (float(v) for v in axis.at(z))
        change |= {
            f"axes.finish_{end}_mm": math.hypot(x, y),
            f"axes.finish_{end}_at_oclock": math.atan2(x, -y) % (2 * math.pi) * 6 / math.pi,
        }
    again = simulate_bar(changed(scene, change))
    assert min(one.result.stock.spot.value for one in again) == pytest.approx(least, abs=0.02)
