"""Bead and tie-in from measurements, and settings per layer."""

import math

import pytest

from sim.bore.ripple import steady_ripple
from sim.job.change import changed
from sim.job.read import parse
from sim.set_up.bead import bead_at, contradiction, feed_factor, feed_measured, tie_in_of
from sim.set_up.layers import settings
from sim.shop.run import simulate
from tests.conftest import SMALL, looks


def with_bead(**keys):
    return changed(parse(SMALL), {f"bead.{k}": v for k, v in keys.items()})


def test_weighed_wire_sets_the_feed():
    # Derived: 1.0 mm wire at 7850 kg/m3 weighs 6.1654 g/m (pi/4 d^2 rho), so 20 g in 60 s is 3.2439
    # m/min.
    scene = with_bead(weighed_g=20.0, wire_time_s=60.0)
    assert feed_factor(scene) * 3.5 == pytest.approx(20.0 / 6.16538, rel=1e-5)
    assert feed_measured(scene)
    assert settings(scene, 41.5)[0].wire_feed * 0.06 == pytest.approx(3.2439, abs=1e-3)


def test_counted_wire_sets_the_feed():
    scene = with_bead(counted_mm=1600.0, wire_time_s=30.0)
    assert feed_factor(scene) == pytest.approx(3.2 / 3.5)


def test_mass_balance_against_the_measured_bead():
    # Derived: 0.96 x pi/4 x 1.0^2 x 3500 / 440 = 5.9976 mm2; 2/3 x 5 x 1.8 = 6.
    assert contradiction(parse(SMALL)) == pytest.approx(6.0 / 5.99757, rel=1e-5)


def test_contradiction_is_said_and_the_measured_wire_rules():
    scene = with_bead(height_mm=1.5)
    result = simulate(scene)
    assert any("83 % of the metal" in line and "so it rules" in line for line in looks(result))
    assert result.layers[0].setting.bead.area == pytest.approx(5.9976, abs=1e-3)


def test_without_a_measured_wire_the_smaller_area_is_used():
    scene = changed(with_bead(height_mm=1.5), {"wire.feed_measured": False})
    assert settings(scene, 41.5)[0].bead.area == pytest.approx(5.0, abs=1e-6)


def test_pad_sets_tie_in_and_proves_it():
    ripple = steady_ripple(0.85, 0.3) * 1.8
    text = (
        f"\n[pad]\npitch_mm = 4.25\ncrest_mm = 2.0\nvalley_mm = {2.0 - ripple}\nerror_mm = 0.02\n"
    )
    told = tie_in_of(parse(SMALL + text))
    assert told.measured
    assert told.nominal == pytest.approx(0.3, abs=1e-3)
    assert told.poorest < told.nominal


def test_pad_welded_on_the_climbing_side_counts_with_its_own_width():
    flat = "\n[pad]\npitch_mm = 4.0\ncrest_mm = 2.0\nvalley_mm = 1.2\nerror_mm = 0.02\n"
    one, two = tie_in_of(parse(SMALL + flat)), tie_in_of(parse(SMALL + flat + "at_oclock = 9\n"))
    assert one.nominal != two.nominal


def test_pad_too_close_to_tell_leaves_tie_in_unmeasured():
    text = "\n[pad]\npitch_mm = 2.5\ncrest_mm = 3.2\nvalley_mm = 2.9\n"
    assert not tie_in_of(parse(SMALL + text)).measured


def test_rotation_travel_and_turn_time_say_the_same():
    # v = omega r, so 440 mm/min on a radius of 41.5 mm is 1.6874 rpm and 35.557 s a turn.
    scene = parse(SMALL)
    by_rpm = changed(scene, {"layer.rotation_rpm": 440 / (2 * math.pi * 41.5)})
    by_time = changed(scene, {"layer.turn_time_s": 60 * 2 * math.pi * 41.5 / 440})
    for other in (by_rpm, by_time):
        assert settings(other, 41.5)[0].travel == pytest.approx(440 / 60)


def test_mean_radius_before_each_layer_follows_the_wall():
    result = simulate(changed(parse(SMALL), {"layer.repeat": 3, "bore.length_mm": 80.0}))
    for before, layer in zip(result.layers, result.layers[1:], strict=False):
        measured = before.wall.mean_radius(20.0, 60.0)
        assert layer.setting.radius == pytest.approx(measured, abs=0.06)


@pytest.mark.parametrize(("feed", "way"), [("in", 1.0), ("out", -1.0)])
def test_stagger_moves_every_other_start_along_the_feed(feed, way):
    # "Start moved along the bore by this part of a pitch, every other layer": 0.5 of 3.5 mm the way
    # it is fed.
    scene = changed(parse(SMALL), {"layer.stagger": 0.5, "layer.feed": feed})
    one, two = (setting.path.depth for setting in settings(scene, 41.5))
    assert two[0] - one[0] == pytest.approx(way * 1.75, abs=1e-9)
    assert two[-1] == pytest.approx(one[-1], abs=1e-9)


def test_bead_area_away_from_the_plate_goes_by_the_wire():
    scene = parse(SMALL)
    plate = bead_at(scene, 3500.0 / 60.0, 440.0 / 60.0)
    fed, faster = (
        bead_at(scene, 7000.0 / 60.0, 440.0 / 60.0),
        bead_at(scene, 3500.0 / 60.0, 880.0 / 60.0),
    )
    # mass balance: twice the wire is twice the metal, twice the travel half of it
    assert (fed.area / plate.area, faster.area / plate.area) == pytest.approx((2.0, 0.5), rel=1e-12)
