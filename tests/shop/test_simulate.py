"""The whole job: what must not change when nothing real changes, and what must."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, bored
from sim.bore.low_spots import low_spots
from sim.bore.stock import Spot, Worst, clock_error, least_stock, stock_cells, stock_map
from sim.bore.wall import Clock, Wall
from sim.job.change import changed
from sim.job.files import shipped
from sim.job.read import load, parse
from sim.plan.odds.many_draws import ManyDraws
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.set_up.layers import wire_used
from sim.shop.finish import gauge_range
from sim.shop.ready_to_lay import made_ready
from sim.shop.run import simulate
from sim.shop.several_bores import simulate_bar
from tests.conftest import SMALL, looks

SHOWS = {
    "cleans_up": ("cleans up", None),
    "coarse_pitch": ("falls short", "climbing side"),
    "low_side": ("falls short", "axis set over"),
    "end_wedge": ("falls short", "end wedge"),
    "end_wedge_closed": ("cleans up", None),
    "inch_vertical": ("cleans up", None),
    "three_lugs": ("not sure enough", None),
    "small_bore": ("thin", None),
    "bead_not_measured": ("not proven", None),
    "oil_hole": ("cleans up", None),
    "oil_hole_plugged": ("cleans up", None),
    "readings_cold": ("cleans up", None),
    "readings_warm": ("not proven", None),
    "not_sure_yet": ("not sure enough", None),
    "pre_bore_bright": ("cleans up", None),
    "readings_radius": ("thin", None),
    "after_first_layer": ("falls short", "climbing side"),
    "filled_in": ("cleans up", None),
}


@pytest.mark.parametrize("name", SHOWS)
def test_each_scene_shows_what_it_is_there_to_show(name):
    scene = load(f"scenes/{name}.toml")
    results = [one.result for one in simulate_bar(scene)]
    verdict, cause = SHOWS[name]
    assert decide(scene, results).verdict == verdict
    for result in results:
        if cause:
            assert {spot.cause for spot in result.low_spots} == {cause}
        assert result.stock_error <= 0.02


def test_every_shipped_scene_is_in_a_test():
    assert {p.stem for p in shipped()} == set(SHOWS)


def test_a_closer_pitch_cures_the_scene_that_is_not_sure_yet():
    scene = load("scenes/not_sure_yet.toml")
    assert decide(changed(scene, {"layer.pitch_mm": 2.9})).verdict == "cleans up"


def test_without_the_look_the_bright_pre_bore_is_left_open():
    scene = changed(load("scenes/pre_bore_bright.toml"), {"pre_bore.looked": "not looked"})
    told = decide(scene)
    assert told.verdict != "cleans up"
    assert "wear the gauge cannot see" in [one.what for one in told.open]


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
    scene = changed(load("scenes/not_sure_yet.toml"), {"bore.inclination_deg": 90.0})
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


AREA = (
    "\n[[no_weld]]\nfrom_at_oclock = {}\nto_at_oclock = {}\nfrom_depth_mm = -10\nto_depth_mm = "
    "60\nnot_judged = {}\n"
)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            SMALL + AREA.format(3, 3, "false"),
            r"\[no_weld 1\] from_at = to_at: no area, or all round",
        ),
        (SMALL + AREA.format(0, 12, "false"), r"\[no_weld 1\] from_at = to_at"),
        (
            SMALL + "only_from_oclock = 4\nonly_to_oclock = 4\n",
            r"\[layer 1\] only_from = only_to: nothing to lay",
        ),
        (
            SMALL + AREA.format(0, 6, "true") + AREA.format(6, 0, "true"),
            "nothing of the bore is judged",
        ),
    ],
)
def test_a_job_without_anything_to_lay_or_judge_is_refused_in_a_sentence(text, says):
    # Each ended as a fault of ours.
    with pytest.raises(SceneError, match=says):
        simulate(parse(text))


def test_an_arc_off_all_over_leaves_the_wall_as_it_was():
    result = simulate(parse(SMALL + AREA.format(0, 6, "false") + AREA.format(6, 0, "false")))
    assert decide(result.scene, [result]).verdict == "falls short"
    assert result.stock.spot.value == pytest.approx(-1.5, abs=1e-9)
    assert result.layers[0].valley == pytest.approx(83.0, abs=1e-9)


def test_stagger_of_a_single_layer_moves_nothing_and_is_said(small):
    alone, two = (
        simulate(changed(small, {"layer.repeat": n, "layer.stagger": 0.5})) for n in (1, 2)
    )
    assert sum("stagger = 0.5: moves every other layer" in line for line in looks(alone)) == 1
    assert not any("stagger" in line for line in looks(two))


def test_a_wall_that_is_not_finite_is_a_fault_of_ours_and_never_a_verdict(small):
    # Columns that were not finite were passed over, one piece or the whole column: the rest still
    # "cleaned up".
    result = simulate(small)
    wall, torch = result.layers[-1].wall, result.axes.torch
    for piece in (slice(3, 4), slice(None)):
        coef = wall.coef.copy()
        coef[7, piece, 0] = math.nan
        with pytest.raises(RuntimeError, match=r"a fault of ours.* in 1 of"):
            least_stock(
                Wall(wall.clock, wall.knots, coef, wall.count), result.finish, torch, result.spans
            )


def test_a_draw_that_is_not_finite_is_a_fault_of_ours(small):
    job = made_ready(small, 24)
    many = ManyDraws.of(job, job.start.clock, [0, 1], held=job.held)
    many.starts[1].setflags(write=True)
    many.starts[1][5] = math.nan
    with pytest.raises(RuntimeError, match="a fault of ours"):
        many._as_laid(many._start(np.array([0, 1])), many.scalars(small, [0, 1]), many.spans)


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
    told = decide(changed(dataclasses.replace(scene, bead=None), {"layer.repeat": 3}))
    assert told.verdict == "not proven" and [one.what for one in told.open] == ["bead not measured"]


def test_pitch_wider_than_the_bead_is_allowed_and_warned(small):
    result = simulate(changed(small, {"layer.pitch_mm": 6.5}))
    assert any("bare wall" in line for line in looks(result))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"layer.repeat": 25}, "at most half the diameter"),
        ({"head.reach_mm": 30.0}, "past the head's reach"),
        ({"layer.repeat": 4, "layer.pitch_mm": 0.6}, "closes the bore"),
        ({"head.smallest_bore_mm": 78.0}, "the head would not pass"),
        ({"grid.columns": 20000, "layer.pitch_mm": 0.2, "layer.repeat": 10, "layer.wire_feed_m_per_min": 0.5, "layer.travel_mm_per_min": 3000, "bore.length_mm": 1000.0, "worn.diameter_mm": 150.0, "pre_bore.diameter_mm": 150.0, "bore.far_from_original": True}, "GB"),
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


def after_the_cut(scene, **more):
    """Two layers laid and bored to size, a third laid as a local weld."""
    local = {
        "job.stage": "after the finish cut",
        "job.layers_done": 2,
        "layer.repeat": 3,
        "layer.closing_start": 0,
        "layer.closing_end": 0,
    }
    return changed(scene, local | more)


def test_the_torch_of_a_local_weld_meets_no_metal_inside_the_bored_size(small):
    # Geometry: the bar has passed, so nothing stands inside the 80 mm it was set to; beads of the
    # two layers before do.
    result = simulate(after_the_cut(small))
    assert np.nanmin(result.layers[1].under) < 40.0 - 0.5
    assert np.nanmin(result.layers[2].under) == pytest.approx(40.0, abs=1e-9)


def test_a_local_weld_is_judged_only_where_black_had_stayed(small):
    # What the first cut cleaned up is in question no more: the judged wall is the low spots that
    # stood before the weld.
    coarse = changed(
        small, {"layer.pitch_mm": 4.3, "layer.closing_start": 0, "layer.closing_end": 0}
    )
    before, after = simulate(coarse), simulate(after_the_cut(coarse))
    deep = after.spans[..., 1] - after.spans[..., 0]
    judged = float((deep.sum(axis=1) * after.start.clock.span).sum()) * after.finish.radius
    assert before.stock.spot.value < 0.0
    # other columns stand at the ends of the third layer, hence the tolerance
    assert judged == pytest.approx(sum(spot.area for spot in before.low_spots), rel=2e-3)


def test_a_gauge_foot_bridges_what_is_narrower_than_itself():
    # Geometry: a groove 6 mm wide in an 80 mm bore; a foot of 8 mm stands across it, one of 5 mm
    # goes in: 82 mm.
    depth = np.array([0.0, 16.9, 17.0, 23.0, 23.1, 40.0])
    wall = Wall.from_radius(
        Clock.even(8), depth, np.tile([40.0, 40.0, 41.0, 41.0, 40.0, 40.0], (8, 1))
    )
    assert gauge_range(wall, 0.0, 40.0, 8.0) == pytest.approx((80.0, 80.0), abs=1e-9)
    assert gauge_range(wall, 0.0, 40.0, 5.0) == pytest.approx((80.0, 82.0), abs=1e-9)


def test_a_foot_as_long_as_the_pitch_always_stands_on_a_crest(small):
    # Geometry: in a vertical bore all crests of a layer are alike, so every reading is the same;
    # half as long it is not.
    scene = changed(
        small,
        {
            "bore.inclination_deg": 90.0,
            "layer.repeat": 1,
            "layer.pitch_mm": 4.4,
            "worn.out_of_round_mm": 0.0,
        },
    )
    spread = {}
    for foot in (4.5, 2.25):
        low, high = simulate(changed(scene, {"gauge.foot_mm": foot})).layers[0].gauge
        spread[foot] = high - low
    assert spread[4.5] < 0.02 and spread[2.25] > 0.1


def test_thickness_laid_is_the_metal_over_the_wall(small):
    # Conservation: t = R - sqrt(R^2 - 2 q/p), q = 0.96 pi/4 1.0^2 3500/440 x 41.5 = 248.9 mm3/rad
    # at 3.5 mm a turn: 1.7504 mm.
    scene = changed(small, {"bore.length_mm": 80.0, "bore.inclination_deg": 90.0})
    q = 0.96 * math.pi / 4.0 * 3500.0 / 440.0 * 41.5
    assert simulate(scene).layers[0].mean_thickness == pytest.approx(
        41.5 - math.sqrt(41.5**2 - 2.0 * q / 3.5), abs=5e-3
    )


def test_weld_left_is_the_ring_between_pre_bore_and_finish(small):
    # Geometry: 83 mm pre-bored, 80 mm finished, one axis: 1.5 mm of weld per side; set over by 0.4
    # mm, 1.1 mm on one side.
    assert simulate(small).weld_left.spot.value == pytest.approx(1.5, abs=1e-6)
    moved = changed(small, {"axes.finish_entry_mm": 0.4, "axes.finish_far_mm": 0.4})
    assert simulate(moved).weld_left.spot.value == pytest.approx(1.1, abs=1e-3)


def test_a_two_point_gauge_does_not_see_one_side_from_the_other():
    # Algebra: r = 40 + 0.3 cos(theta) + 0.1 cos(3 theta) adds up to 80 mm across every clock; an
    # oval of 0.2 does not.
    clock = Clock.even(72)
    odd = 0.3 * np.cos(clock.angle) + 0.1 * np.cos(3.0 * clock.angle)
    for extra, wanted in (
        (odd, (80.0, 80.0)),
        (odd + 0.1 * np.cos(2.0 * (clock.angle - clock.angle[0])), (79.8, 80.2)),
    ):
        wall = Wall.from_radius(
            clock, np.array([0.0, 40.0]), np.tile((40.0 + extra)[:, None], (1, 2))
        )
        assert gauge_range(wall, 0.0, 40.0, 6.0) == pytest.approx(wanted, abs=1e-9)


def set_over(entry, far):
    """A welded wall and a finish cylinder whose axis runs at a slant across the torch's."""
    result = simulate(changed(parse(SMALL), {"layer.pitch_mm": 4.3}))
    finish = Bored(Axis(entry, far, 40.0), result.finish.radius)
    return result, finish, bored(result.layers[-1].wall, finish, result.axes.torch)


def test_a_bored_wall_lies_on_its_cylinder_wherever_the_tool_cut():
    # Geometry: after the cut no metal is left inside the cylinder about its own axis, slanted; what
    # was larger has stayed.
    result, finish, wall = set_over((0.3, -0.2), (-0.1, 0.4))
    depth = np.linspace(1.0, 39.0, 400)
    before, after = (
        stock_map(one, finish, result.axes.torch, depth) for one in (result.layers[-1].wall, wall)
    )
    assert (before > 0.05).mean() > 0.9 and before.min() < -0.05
    assert np.abs(after[before > 1e-3]).max() < 2e-3  # straight between knots on a slant
    assert np.abs(after - before)[before < 0.0].max() < 1e-9


def test_least_stock_lies_between_knots_where_the_wall_bends():
    # Calculus: on r = 40 + 0.2 - 0.01 (z - 7)^2 about an axis that slants by 0.02 mm/mm towards 6
    # o'clock, distance at 12 is
    # r + 0.02 z, largest at z = 7 + 0.02/0.02 = 8: 40.35; at 6 o'clock r - 0.02 z, at z = 6: 40.07.
    clock = Clock.even(2, np.array([0.0, math.pi]))
    n = len(clock.angle)
    knots, coef = np.tile([0.0, 14.0], (n, 1)), np.tile([40.0 + 0.2 - 0.49, 0.14, -0.01], (n, 1, 1))
    wall = Wall(clock, knots, coef, np.ones(n, dtype=np.int64))
    spans = np.tile([0.0, 14.0], (n, 1, 1))
    worst = least_stock(
        wall, Bored(Axis((0.0, 0.0), (0.0, 0.28), 14.0), 41.0), Axis.straight(14.0), spans
    )
    for angle, depth, distance in ((0.0, 8.0, 40.35), (math.pi, 6.0, 40.07)):
        i = clock.nearest(angle)
        assert worst.depth[i] == pytest.approx(depth, abs=1e-3) and 41.0 - worst.value[
            i
        ] == pytest.approx(distance, abs=1e-5)


@pytest.mark.parametrize("off", [0.0, 0.25, 0.5, 0.75])
def test_error_of_the_clock_step_covers_a_smooth_valley_between_columns(off):
    # Calculus: the columns of a valley 1 - cos stand at most h^2/8 above it, midway between two;
    # what is said covers that and
    # is not more than the second difference itself.
    clock = Clock.even(36)
    step = 2.0 * math.pi / 36
    value = 1.0 - np.cos(clock.angle - (clock.angle[12] + off * step))
    i = int(np.argmin(value))
    worst = Worst(value, np.zeros(36), Spot(float(value[i]), 0.0, float(clock.angle[i]), i))
    said = clock_error(worst, clock, np.zeros(0))
    assert value.min() <= said + 1e-12 and said <= 0.5 * step**2
