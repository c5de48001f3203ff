"""Boring passes on real results: what they meet, what they take, what the bar does, and what is
refused.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from sim.bore.stock import stock_map
from sim.job.change import changed
from sim.job.read import load, parse
from sim.job.sections.machine import BoringBar
from sim.job.write import to_text
from sim.machine.boring.bar_and_metal import nearest
from sim.machine.boring.cuts import FINISH, PRE_BORE, ROUGH
from sim.machine.boring.passes import boring_cuts
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.shop.run import simulate
from sim.tell.remarks import lines
from sim.tell.result_json import as_json
from tests.conftest import ROOT, SMALL

BAR = {
    "boring_bar.diameter_mm": 40.0,
    "boring_bar.span_mm": 400.0,
    "boring_bar.power_kw": 1.5,
    "boring_bar.speeds_rpm": [40.0, 80.0, 160.0, 320.0],
}


@pytest.fixture(scope="module")
def plain():
    """A short bore with two layers and no limits of size."""
    return simulate(parse(SMALL))


def with_bar(result, **keys):
    """The same result with another bar; the wall does not hang on it."""
    return boring_cuts(replace(result, scene=replace(result.scene, boring_bar=BoringBar(**keys))))


def said(cuts):
    return " ".join(lines(cuts.warnings, Say(cuts.scene.job.units)))


def kinds(remarks):
    return {one.what for one in remarks}


# ---- what the passes take
# -----------------------------------------------------------------------------------------------


def test_the_passes_take_all_the_metal_there_is(plain):
    # Telescoping: what each pass takes on the mean adds up to the mean distance from the welded
    # wall to the bored one.
    cuts = boring_cuts(plain)
    taken = sum(
        (one.depth.mean - one.bend.mean) * (1.0 - one.interrupted)
        for one in cuts.passes
        if one.kind != PRE_BORE
    )
    depth = (np.arange(3000) + 0.5) * 40.0 / 3000
    stock = stock_map(plain.layers[-1].wall, plain.finish, plain.axes.torch, depth)
    mean = float((stock.mean(axis=1) * plain.start.clock.span).sum() / (2.0 * math.pi))
    left = cuts.passes[-1].bend.mean
    assert taken == pytest.approx(mean - left, rel=2e-3)


def test_pre_bore_of_an_oval_bell_mouthed_wall_by_hand():
    # Worn 82.2 oval by 0.6 on diameter, pre-bored to 83.0: cut 0.4 per side across the short axis,
    # 0.1 across the long.
    one = boring_cuts(simulate(parse(SMALL))).passes[0]
    assert one.kind == PRE_BORE and one.size == 83.0
    assert one.met == pytest.approx(82.2, abs=1e-3)
    assert one.depth.least == pytest.approx(0.1, abs=1e-4) and one.depth.most == pytest.approx(
        0.4, abs=1e-3
    )
    assert one.round_change == pytest.approx(0.3, abs=1e-4) and one.along_change == 0.0
    assert one.depth.mean == pytest.approx(0.25, abs=1e-4) and one.interrupted == 0.0


def test_first_cut_takes_the_crests_and_is_interrupted(plain):
    rough = [one for one in boring_cuts(plain).passes if one.kind == ROUGH]
    assert rough[0].interrupted > rough[-1].interrupted
    assert rough[0].met < 2.0 * (plain.finish.radius - plain.percentiles[2])
    met = [one.met for one in rough]
    assert met == sorted(met)


def test_what_stays_black_is_the_area_of_the_low_spots():
    scene = changed(
        load("scenes/coarse_pitch.toml"), {"bore.hole_code": ""}
    )  # set to the size that is judged
    result = simulate(scene)
    low, high = result.spans[..., 0].min(), result.spans[..., 1].max()
    area = sum(spot.area for spot in result.low_spots) / (
        2.0 * math.pi * result.finish.radius * (high - low)
    )
    assert area > 0.001
    assert boring_cuts(result).bore.black == pytest.approx(area, rel=1e-6)


def test_a_bar_that_does_not_bend_leaves_the_size_set(plain):
    stiff = with_bar(plain, diameter=60.0, span=41.0)
    assert abs(stiff.bore.size) < 1e-3
    slim = with_bar(plain, diameter=20.0, span=400.0)
    assert slim.bore.size < -0.02


def test_deep_cuts_round_the_clock_leave_the_bore_out_of_round():
    # Finish axis 1 mm off: the finishing pass of one cut meets a depth that changes round the clock
    # by about what the roughing
    # bar left; by hand: out of round on diameter = give/(1 + give) of the difference, here against
    # the pass's own range.
    scene = changed(
        load("scenes/low_side.toml"),
        {
            "cut.finish_allowance_mm": 5.0,
            "boring_bar.diameter_mm": 25.0,
            "boring_bar.depth_most_mm": 10.0,
            "layer.closing_start": 0,
            "layer.closing_end": 0,
        },
    )
    cuts = boring_cuts(simulate(scene))
    assert [one.kind for one in cuts.passes if one.kind != PRE_BORE] == [FINISH]
    finish = cuts.passes[-1]
    # two-point diameters add opposite sides: a change once round the clock cancels, what is left is
    # less than the change
    assert 0.0 < cuts.bore.out_of_round < cuts.bore.change
    assert cuts.bore.change <= 2.0 * (finish.bend.most - finish.bend.least) + 1e-12


def test_overhung_bar_bores_narrower_the_deeper_it_goes(plain):
    cuts = with_bar(plain, diameter=40.0, held="overhung", overhang=60.0)
    finish = cuts.passes[-1]
    # F x^3/(3 E I) at the middle of the entry and the far tenth of the bore, radial force from the
    # mean of the last pass
    radial = 0.5 * finish.force.mean
    stiffness = 3.0 * 206000.0 * math.pi * 40.0**4 / 64.0
    expected = -2.0 * radial * ((60.0 + 37.1) ** 3 - (60.0 + 2.9) ** 3) / stiffness
    assert cuts.bore.taper == pytest.approx(expected, rel=0.1)
    supported = with_bar(plain, diameter=40.0, span=80.0)
    assert abs(supported.bore.taper) < 0.1 * abs(cuts.bore.taper)
    assert supported.bore.waist < 0.0  # narrower in the middle, where the bar gives most


def test_another_pass_at_the_same_setting_takes_most_of_it_out(plain):
    bore = with_bar(plain, diameter=20.0, span=400.0).bore
    assert 0.0 < bore.after_spring < 0.5 * bore.change


# ---- speeds, feeds, power
# -----------------------------------------------------------------------------------------------


def test_speeds_and_feeds_are_the_bars_own():
    cuts = boring_cuts(simulate(changed(parse(SMALL), BAR)))
    assert {round(one.turning * 30.0 / math.pi) for one in cuts.passes} <= {40, 80, 160, 320}
    for one in cuts.passes:
        assert one.cutting_speed == pytest.approx(0.5 * one.size * one.turning)
        assert one.time == pytest.approx(
            (40.0 + default("bar.run_out")) / one.feed * 2.0 * math.pi / one.turning
        )


def test_power_by_kienzle_by_hand(plain):
    # 80 m/min, feed 0.2, kc = 1990 x 0.2^-0.26: most power = kc a f vc / (60e6 x 0.8) of the
    # deepest cut taken.
    one = boring_cuts(plain).passes[1]
    taken = one.depth.most - one.bend.most
    assert one.power.most == pytest.approx(
        1990.0 * 0.2**-0.26 * taken * 0.2 * 80.0 / 60.0 / 0.8, rel=0.01
    )


def test_passes_are_no_deeper_than_the_drive_can_take(plain):
    free = boring_cuts(plain)
    weak = with_bar(plain, power=500.0)
    assert len(weak.passes) > len(free.passes)
    assert all(one.power.most <= 500.0 * 1.0001 for one in weak.passes)
    assert "needs" not in said(weak)


def test_a_cut_outside_the_power_is_said(plain):
    cuts = with_bar(plain, power=60.0)
    assert "needs" in said(cuts) and "0.06 kW" in said(cuts)
    worst = max(cuts.passes, key=lambda one: one.power.most)
    assert worst.power.most > 60.0


def test_nearest_the_bar_can_is_said(plain):
    cuts = with_bar(plain, speeds=(4.0, 8.0))
    assert "cannot run" in said(cuts) and "76 rpm" in said(cuts)
    assert "cannot run" not in said(with_bar(plain, speeds=(30.0, 36.0)))
    feeds = with_bar(plain, feed_least=0.3, feed_most=0.4)
    assert feeds.passes[-1].feed == 0.3 and "cannot feed" in said(feeds)


def test_nearest_by_ratio():
    assert nearest(200.0, (100.0, 330.0), None, None) == 330.0
    assert nearest(5.0, (), 10.0, None) == 10.0 and nearest(50.0, (), 10.0, 20.0) == 20.0


def test_a_finishing_pass_thinner_than_the_nose_takes_is_said(plain):
    scene = replace(plain.scene, cut=replace(plain.scene.cut, nose_radius=1.2))
    cuts = boring_cuts(replace(plain, scene=scene))
    assert cuts.smallest == pytest.approx(0.8)  # two thirds of the nose radius, insert handbook
    assert "thinner than the tool can take" in said(cuts)
    assert "cut thinner than the tool can take" not in kinds(boring_cuts(plain).warnings)


def test_bending_more_than_the_tolerance_is_said():
    result = simulate(changed(parse(SMALL), {"bore.hole_code": "H6"}))
    assert "more than the tolerance" not in said(with_bar(result, diameter=60.0, span=60.0))
    assert "more than the tolerance" in said(with_bar(result, diameter=16.0, span=500.0))


def test_feed_wider_than_the_nose_leaves_a_thread(plain):
    cuts = with_bar(plain, finish_feed=1.0)
    assert "leaves a thread" in said(cuts) and math.isnan(cuts.passes[-1].roughness)


def test_a_long_overhang_chatters(plain):
    assert "chatters" in said(with_bar(plain, diameter=25.0, held="overhung", overhang=80.0))
    assert "chatters" not in said(with_bar(plain, diameter=50.0, held="overhung", overhang=80.0))


# ---- the job
# ------------------------------------------------------------------------------------------------------------


def test_no_bar_given_is_said(plain):
    assert boring_cuts(plain).assumed[0].what == "no bar given"
    assert "no bar given" not in kinds(with_bar(plain, diameter=40.0).assumed)


def test_pre_boring_is_behind_us_once_a_layer_is_laid():
    cuts = boring_cuts(simulate(load("scenes/after_first_layer.toml")))
    assert [one.done for one in cuts.passes if one.kind == PRE_BORE] == [True]
    assert cuts.time == pytest.approx(sum(one.time for one in cuts.passes[1:]))
    assert "Pre-bore" not in said(cuts)


def test_a_bar_changes_nothing_of_the_verdict():
    before, after = (simulate(s) for s in (parse(SMALL), changed(parse(SMALL), BAR)))
    told = [as_json(one) for one in (before, after)]
    assert told[0].pop("scene_digest") != told[1].pop("scene_digest")
    assert told[0] == told[1]


def test_a_scene_with_a_bar_is_kept_whole():
    scene = changed(
        parse(SMALL),
        BAR | {"job.units": "in", "boring_bar.feeds_mm": [0.1, 0.254], "rates.currency": "crowns"},
    )
    assert parse(to_text(scene)) == scene
    assert scene.boring_bar.speeds[0] == pytest.approx(40.0 * math.pi / 30.0)


def test_words_are_in_the_jobs_units():
    cuts = boring_cuts(
        simulate(
            changed(
                parse(SMALL),
                {"job.units": "in", "boring_bar.speeds_rpm": [160.0], "boring_bar.power_hp": 0.1},
            )
        )
    )
    assert "ft/min" in said(cuts) and "hp" in said(cuts) and " mm" not in said(cuts)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"boring_bar.diameter_mm": 79.0}, "does not go into the bore"),
        ({"boring_bar.span_mm": 30.0}, "does not lie between the bearings"),
        (
            {"boring_bar.span_mm": 300.0, "boring_bar.before_mm": 290.0},
            "does not lie between the bearings",
        ),
        (
            {"boring_bar.speeds_rpm": [40.0], "boring_bar.speed_most_rpm": 80.0},
            "keep the list, or the range",
        ),
        ({"boring_bar.feed_least_mm": 0.3, "boring_bar.feed_most_mm": 0.2}, "swap them"),
        ({"boring_bar.held": "overhung", "boring_bar.span_mm": 300.0}, "give overhang"),
        ({"boring_bar.overhang_mm": 50.0}, "give span"),
        ({"boring_bar.speeds_rpm": [0.0]}, "at least 0.1"),
        ({"boring_bar.speeds_rpm": ["fast"]}, "must be a number"),
        ({"boring_bar.power_kw": -1.0}, "at least 0.05"),
        ({"boring_bar.power_kw": 1.0, "boring_bar.power_hp": 1.0}, ""),
        ({"boring_bar.diametre_mm": 40.0}, "did you mean diameter"),
        ({"boring_bar.cutting_speed_m_per_min": float("nan")}, "finite"),
    ],
)
def test_nonsense_is_refused_in_one_sentence(changes, words):
    if not words:  # the later of two units of one quantity replaces the earlier
        assert changed(parse(SMALL), changes).boring_bar.power == pytest.approx(745.7, abs=0.1)
        return
    with pytest.raises(SceneError, match=words) as fault:
        boring_cuts(simulate(changed(parse(SMALL), changes)))
    assert "\n" not in str(fault.value)


def test_speeds_and_feeds_are_typed_as_lists_on_the_page():
    source = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
import streamlit as st
from sim.screens import fields, memory
if "scene" not in st.session_state:
    memory.begin()
fields.show()
"""
    page = AppTest.from_string(source, default_timeout=60).run()
    next(button for button in page.button if button.key == "add boring_bar").click().run()
    for key, text in (("speeds", "40; 80 rpm"), ("feeds", "5 thou; 10 thou")):
        next(
            field for field in page.text_input if (field.key or "").startswith(f"boring_bar.{key} ")
        ).set_value(text).run()
    assert not page.exception and not page.session_state["faults"]
    bar = page.session_state["scene"].boring_bar
    assert bar.speeds == pytest.approx((40.0 * math.pi / 30.0, 80.0 * math.pi / 30.0))
    assert bar.feeds == pytest.approx((0.127, 0.254))


@pytest.mark.parametrize(
    ("code", "middle"), [("H7", 80.015), ("H8", 80.023), ("F7", 80.045), ("", 80.0)]
)
def test_the_last_cut_is_set_to_the_middle_of_the_limits(code, middle):
    # ISO 286-2:2010 for 80 mm: H7 0 to +30, H8 0 to +46, F7 +30 to +60 um (F7 from memory).
    cuts = boring_cuts(simulate(changed(parse(SMALL), {"bore.hole_code": code})))
    assert cuts.passes[-1].kind == FINISH and cuts.passes[-1].size == pytest.approx(
        middle, abs=1e-9
    )
