"""The whole job: what must not change when nothing real changes, and what must."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bore.cylinders import Bored
from sim.bore.low_spots import low_spots
from sim.bore.stock import least_stock, stock_cells
from sim.bore.wall import Wall
from sim.job.change import changed
from sim.job.files import shipped
from sim.job.read import load, parse
from sim.reference.errors import SceneError
from sim.set_up.layers import wire_used
from sim.shop.run import simulate
from tests.conftest import SMALL

SHOWS = {
    "cleans_up": ("cleans up", None),
    "coarse_pitch": ("falls short", "climbing side"),
    "low_side": ("falls short", "axis set over"),
    "end_wedge": ("falls short", "end wedge"),
    "end_wedge_closed": ("cleans up", None),
    "inch_vertical": ("cleans up", None),
    "three_lugs": ("cleans up", None),
    "small_bore": ("cleans up", None),
    "bead_not_measured": ("not proven", None),
    "oil_hole": ("cleans up", None),
    "oil_hole_plugged": ("cleans up", None),
    "readings_cold": ("cleans up", None),
    "readings_warm": ("not proven", None),
    "readings_radius": ("cleans up", None),
    "after_first_layer": ("falls short", "climbing side"),
    "filled_in": ("cleans up", None),
}


@pytest.mark.parametrize("name", SHOWS)
def test_each_scene_shows_what_it_is_there_to_show(name):
    result = simulate(load(f"scenes/{name}.toml"))
    verdict, cause = SHOWS[name]
    assert result.verdict == verdict
    if cause:
        assert {spot.cause for spot in result.low_spots} == {cause}
    assert result.stock_error <= 0.02


def test_every_shipped_scene_is_in_a_test():
    assert {p.stem for p in shipped()} == set(SHOWS)


def test_climbing_side_is_where_the_torch_climbs():
    # Clockwise seen from the entry face climbs 6 > 9 > 12, so 9 o'clock is the worst; the other way
    # round it is 3.
    spots = simulate(load("scenes/coarse_pitch.toml")).low_spots
    assert all(7.0 < spot.at_clock * 6 / math.pi < 11.0 for spot in spots)
    turned = changed(load("scenes/coarse_pitch.toml"), {"layer.turning": "counter-clockwise"})
    assert all(1.0 < spot.at_clock * 6 / math.pi < 5.0 for spot in simulate(turned).low_spots)


def test_low_side_lies_opposite_to_where_the_bar_went():
    result = simulate(load("scenes/low_side.toml"))
    assert result.stock.spot.clock * 6 / math.pi == pytest.approx(10.0, abs=1.0)


def test_units_shown_change_no_number(small):
    # The same job written in inches.
    other = changed(
        small,
        {"job.units": "in", "bore.final_diameter_in": 80 / 25.4, "layer.pitch_in": 3.5 / 25.4},
    )
    assert simulate(other).stock.spot.value == pytest.approx(
        simulate(small).stock.spot.value, abs=1e-9
    )


def test_twice_the_columns_stay_within_the_error_said(small):
    coarse = simulate(small)
    fine = simulate(changed(small, {"grid.columns": 1536}))
    assert coarse.stock.spot.value - fine.stock.spot.value <= coarse.stock_error + 1e-9
    assert fine.stock_error < 1e-3


@pytest.mark.parametrize("name", ["coarse_pitch", "low_side"])
def test_error_said_covers_a_fine_clock(name):
    scene = load(f"scenes/{name}.toml")
    coarse, fine = (
        simulate(changed(scene, {"grid.columns": 180})),
        simulate(changed(scene, {"grid.columns": 2880})),
    )
    assert coarse.stock.spot.value - fine.stock.spot.value <= coarse.stock_error + 1e-6


def test_vertical_job_turned_on_its_clock_is_the_same_turned(small):
    # No gravity round a vertical bore: start, oval and all turned by one hour turns the answer by
    # one hour.
    upright = changed(
        small,
        {
            "bore.inclination_deg": 90.0,
            "worn.out_of_round_at_oclock": 2.0,
            "layer.start_at_oclock": 1.0,
        },
    )
    turned = changed(upright, {"worn.out_of_round_at_oclock": 3.0, "layer.start_at_oclock": 2.0})
    one, two = simulate(upright), simulate(turned)
    assert two.stock.spot.value == pytest.approx(one.stock.spot.value, abs=1e-9)
    assert two.layers[-1].volume == pytest.approx(one.layers[-1].volume, rel=1e-9)


def test_mirror_job_is_the_mirror(small):
    right = changed(
        small,
        {"worn.out_of_round_at_oclock": 2.0, "layer.start_at_oclock": 4.0, "layer.shift_deg": 90.0},
    )
    left = changed(
        small,
        {"worn.out_of_round_at_oclock": 10.0, "layer.start_at_oclock": 8.0, "layer.shift_deg": -90.0, "layer.turning": "counter-clockwise"},
    )  # fmt: skip
    one, two = simulate(right), simulate(left)
    assert two.stock.spot.value == pytest.approx(one.stock.spot.value, abs=1e-9)
    assert (two.stock.spot.clock + one.stock.spot.clock) % (2 * math.pi) == pytest.approx(
        0.0, abs=1e-6
    ) or (two.stock.spot.clock + one.stock.spot.clock) == pytest.approx(2 * math.pi, abs=1e-6)


def test_all_axes_shifted_together_move_the_stock_only_a_little():
    # Derived: 1 mm on all axes together moves a nominal 1.0 per side to between 0.9 and 1.1 (a cos
    # of wear, not of axes);
    # with a round pre-bore about the same axis nothing moves at all.
    scene = load("scenes/cleans_up.toml")
    shift = {
        f"axes.{a}_{e}_mm": 1.0 for a in ("pre_bore", "torch", "finish") for e in ("entry", "far")
    }
    shift |= {
        f"axes.{a}_{e}_at_oclock": 2.0
        for a in ("pre_bore", "torch", "finish")
        for e in ("entry", "far")
    }
    deep = changed(scene, {"pre_bore.diameter_mm": 86.0})
    one, two = simulate(deep), simulate(changed(deep, shift))
    assert two.stock.spot.value == pytest.approx(one.stock.spot.value, abs=1e-6)


def test_finish_axis_alone_moves_the_stock_by_its_offset():
    # Derived: 1 mm of finish axis alone takes 1 mm from one side and gives it to the other.
    scene = changed(load("scenes/cleans_up.toml"), {"bore.inclination_deg": 90.0})
    moved = changed(scene, {f"axes.finish_{e}": v for e, v in (("entry_mm", 1.0), ("far_mm", 1.0))})
    one, two = simulate(scene), simulate(moved)
    below, above = one.start.clock.nearest(math.pi), one.start.clock.nearest(0.0)
    assert one.stock.value[below] - two.stock.value[below] == pytest.approx(1.0, abs=1e-3)
    assert two.stock.value[above] - one.stock.value[above] == pytest.approx(1.0, abs=1e-3)


def test_torch_axis_alone_moves_little_of_the_stock():
    # q per radian does not care where the wall is: off by 1 mm, the layer is thinner far away by
    # about R/(R+1).
    scene = changed(load("scenes/cleans_up.toml"), {"bore.inclination_deg": 90.0})
    moved = changed(scene, {"axes.torch_entry_mm": 1.0, "axes.torch_far_mm": 1.0})
    one, two = simulate(scene), simulate(moved)
    assert 0.0 < one.stock.spot.value - two.stock.spot.value < 0.25


def test_low_spot_moved_across_the_seam_is_one_spot():
    base = changed(
        load("scenes/end_wedge_closed.toml"),
        {"bore.inclination_deg": 90.0, "layer.repeat": 1, "pre_bore.diameter_mm": 82.4},
    )
    text = (
        "\n[[gouge]]\nat_oclock = {}\ndepth_mm = 50\nlength_mm = 20\nwidth_mm = 30\ndeep_mm = 3\n"
    )
    from sim.job.write import to_text

    found, count = {}, {}
    for hour in (6.0, 12.0):
        # vertical, oval and start turned with the gouge: the same job, turned
        turned = changed(base, {"layer.start_at_oclock": hour, "worn.out_of_round_at_oclock": hour})
        result = simulate(parse(to_text(turned) + text.format(hour)))
        spots = [s for s in result.low_spots if s.cause == "worn pocket"]
        found[hour], count[hour] = spots[0], len(spots)
    assert count[12.0] == count[6.0]
    assert found[12.0].area == pytest.approx(found[6.0].area, rel=1e-6)
    assert found[12.0].clock_from > found[12.0].clock_to
    assert found[6.0].clock_from < found[6.0].clock_to


def test_larger_finish_radius_raises_all_stock_by_as_much(small):
    result = simulate(small)
    bigger = Bored(result.finish.axis, result.finish.radius + 0.37)
    more = least_stock(result.layers[-1].wall, bigger, result.axes.torch, result.spans)
    np.testing.assert_allclose(more.value, result.stock.value + 0.37, atol=1e-12)


def test_metal_taken_away_never_raises_the_minimum(small):
    result = simulate(small)
    wall = result.layers[-1].wall
    coef = wall.coef.copy()
    coef[10:40, :, 0] += 0.2
    less = least_stock(
        Wall(wall.clock, wall.knots, coef, wall.count),
        result.finish,
        result.axes.torch,
        result.spans,
    )
    assert (less.value <= result.stock.value + 1e-12).all()
    assert less.spot.value <= result.stock.spot.value


def test_stock_cells_keep_every_minimum(small):
    # A picture of 24 x 10 cells must not lose the worst valley: its least cell is the exact
    # minimum.
    result = simulate(small)
    edges = np.linspace(1.0, 39.0, 11)
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, edges, 24)
    assert cells.min() == pytest.approx(result.stock.spot.value, abs=1e-12)


def test_low_spot_areas_agree_with_a_fine_map():
    # Twin: count the cells of a dense sampled map that are below zero.
    from sim.bore.stock import stock_map

    result = simulate(load("scenes/coarse_pitch.toml"))
    depth = 1.0 + (np.arange(9800) + 0.5) * 0.01
    stock = stock_map(result.layers[-1].wall, result.finish, result.axes.torch, depth)
    area = float(
        ((stock < 0) * result.start.clock.span[:, None]).sum() * 0.01 * result.finish.radius
    )
    assert sum(s.area for s in result.low_spots) == pytest.approx(area, rel=0.01)


def test_percentiles_and_mean_of_a_plain_cylinder():
    # One thick round layer far away from the judged zone: stock is the same everywhere.
    scene = parse(
        SMALL.replace("repeat = 2", "repeat = 1\nstart_depth_mm = -30\nend_depth_mm = -20")
        .replace("[pre_bore]\ndiameter_mm = 83.0", "[pre_bore]\ndiameter_mm = 79.0")
        .replace("diameter_mm = 82.2", "diameter_mm = 78.0")
    )
    result = simulate(changed(scene, {"worn.out_of_round_mm": 0.0}))
    assert result.mean_stock == pytest.approx(0.5, abs=1e-9)
    assert result.percentiles == pytest.approx((0.5, 0.5, 0.5), abs=1e-9)


def test_volume_is_what_the_wire_gives(small):
    # Mass balance: metal laid is wire fed times efficiency, arc start humps and stop tapers apart.
    plain = changed(
        small,
        {"process.hump_mm": 0.0, "process.taper_length_mm": 0.0, "bore.inclination_deg": 90.0},
    )
    result = simulate(plain)
    for layer in result.layers:
        fed = wire_used(plain, layer.setting)
        assert layer.volume == pytest.approx(fed * plain.wire.efficiency, rel=2e-3)
        assert 0.0 < layer.lost < 0.1 * layer.volume


def test_run_off_rings_let_beads_pass_the_faces(small):
    ringed = changed(small, {"run_off.entry": True, "run_off.far": True})
    free, held = simulate(small), simulate(ringed)
    assert held.layers[0].setting.path.depth.min() < 0.0 < free.layers[0].setting.path.depth.min()
    assert held.layers[0].lost > free.layers[0].lost


def test_no_weld_area_stays_bare_and_is_named(small):
    from sim.job.write import to_text

    area = (
        "\n[[no_weld]]\nfrom_at_oclock = 2\nto_at_oclock = 4\nfrom_depth_mm = 15\nto_depth_mm = "
        "25\n"
    )
    result = simulate(parse(to_text(small) + area))
    middle = result.layers[-1].wall.radius(np.array([20.0]))[
        result.start.clock.nearest(math.pi / 2), 0
    ]
    assert middle == pytest.approx(41.5, abs=1e-6)
    assert result.low_spots[0].cause == "no-weld area"
    quiet = simulate(parse(to_text(small) + area + "not_judged = true\n"))
    assert sum(spot.area for spot in quiet.low_spots) < 0.3 * sum(
        spot.area for spot in result.low_spots
    )


def test_verdict_without_a_measured_bead_is_never_a_plain_yes():
    scene = load("scenes/cleans_up.toml")
    result = simulate(dataclasses.replace(scene, bead=None))
    assert result.verdict == "not proven"


def test_pitch_wider_than_the_bead_is_allowed_and_warned(small):
    result = simulate(changed(small, {"layer.pitch_mm": 6.5}))
    assert any("bare wall" in line for line in result.warnings)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"layer.repeat": 25}, "at most half the diameter"),
        ({"head.reach_mm": 30.0}, "past the head's reach"),
        ({"layer.repeat": 4, "layer.pitch_mm": 0.6}, "closes the bore"),
        ({"head.smallest_bore_mm": 78.0}, "the head would not pass"),
        ({"grid.columns": 20000, "layer.pitch_mm": 0.2, "layer.repeat": 10, "layer.wire_feed_m_per_min": 0.5, "layer.travel_mm_per_min": 3000, "bore.length_mm": 1000.0, "worn.diameter_mm": 150.0, "pre_bore.diameter_mm": 150.0}, "GB"),
        ({"bead.width_mm": 40.0, "bead.height_mm": 0.25, "bore.final_diameter_mm": 40.0, "worn.diameter_mm": 41.0, "pre_bore.diameter_mm": 42.0}, "at most half the diameter"),
    ],
)  # fmt: skip
def test_jobs_that_cannot_be_done_are_refused_in_a_sentence(small, change, says):
    with pytest.raises(SceneError, match=says):
        simulate(changed(small, change))


@given(
    st.floats(2.0, 6.0), st.floats(0.0, 1.0), st.floats(0.0, 90.0), st.sampled_from(["spiral", "step"]),
    st.sampled_from(["in", "out"]), st.integers(0, 2), st.floats(-1.0, 1.0),
)  # fmt: skip
@settings(max_examples=25, deadline=None)
def test_any_valid_job_gives_finite_figures(
    pitch, tie_in, incline, advance, feed, closing, stagger
):
    scene = changed(
        parse(SMALL),
        {
            "grid.columns": 16, "layer.pitch_mm": pitch, "process.tie_in": tie_in, "bore.inclination_deg": incline,
            "layer.advance": advance, "layer.feed": feed, "layer.closing_start": closing, "layer.stagger": stagger,
        },
    )  # fmt: skip
    result = simulate(scene)
    assert np.isfinite(result.stock.value).all()
    assert (result.layers[-1].wall.radius(np.linspace(0, 40, 200)) > 0).all()
    assert len(
        low_spots(result.layers[-1].wall, result.finish, result.axes.torch, result.spans)
    ) == len(result.low_spots)
