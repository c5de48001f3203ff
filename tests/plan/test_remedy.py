"""Remedies: every promise is kept by a fresh run, and the best axis is the best."""

import json
import math
from dataclasses import replace
from functools import cache

import jsonschema
import numpy as np
import pytest

from sim.bore.axis import Bores, best_axis
from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import load
from sim.job.saved import save
from sim.job.sections.bore import AFTER, BEFORE
from sim.plan.odds.verdict import decide
from sim.plan.remedies.advice import listed, remedies
from sim.plan.remedies.axis_and_sizes import finish_axis
from sim.plan.remedies.search import Stands, smallest
from sim.reference.sizes_in_words import Say
from sim.set_up.layers import wire_used
from sim.shop.run import simulate
from sim.shop.several_bores import simulate_bar
from sim.tell.remarks import told
from sim.tell.result_json import schema as result_schema

QUICK = {"grid.columns": 72, "confidence.draws_most": 200}  # the same promises, sooner


def scene_of(name, **change):
    return changed(load(f"scenes/{name}.toml"), {**QUICK, **change})


@cache
def advice_on(name):
    return remedies(scene_of(name))


def advice_of(name, **change):
    return remedies(scene_of(name, **change)) if change else advice_on(name)


def named(advice, what):
    return next(one for one in advice.remedies if one.words.what == what)


@pytest.mark.parametrize("name", ["coarse_pitch", "end_wedge", "low_side", "small_bore"])
def test_every_promise_equals_a_fresh_run_of_the_changed_scene(name):
    advice = advice_on(name)
    assert bool(advice.remedies) == (advice.binds is None)
    for one in advice.remedies:
        fresh = changed(scene_of(name), one.change)
        on_bar = simulate_bar(fresh)
        assert on_bar[0].result.stock.spot.value == one.result.stock.spot.value
        # `draws` given: a decision of its own, not the one remembered
        again = decide(fresh, draws=one.decided.clean_up_of_100.draws)
        assert again.verdict == one.decided.verdict == "cleans up"
        assert again.least_stock == one.decided.least_stock
        assert again.clean_up_of_100.value == one.decided.clean_up_of_100.value
        wire = [
            sum(wire_used(b.result.scene, s) for b in bar for s in b.result.settings)
            for bar in (simulate_bar(scene_of(name)), on_bar)
        ]
        assert one.extra_wire == pytest.approx(wire[1] - wire[0], rel=1e-9)


def test_a_remedy_is_as_sure_as_asked_and_the_cheapest_comes_first():
    found = advice_on("coarse_pitch").remedies
    assert found
    for one in found:
        n = one.decided.clean_up_of_100
        p = n.value / 100.0
        assert p - math.sqrt(p * (1.0 - p) / n.draws) >= 0.95
    wire = [one.extra_wire for one in found]
    assert wire == sorted(wire)


def test_what_cleans_up_as_planned_but_not_as_surely_as_asked_is_no_remedy():
    # Pitch 3.45 leaves more than the minimum cut as planned; drawn it does not nearly clean up.
    scene, pitch = scene_of("coarse_pitch"), {"layer.1.pitch_mm": 3.45}
    trial = changed(scene, pitch)
    assert simulate(trial).stock.spot.value > trial.cut.minimum_cut
    assert decide(trial, draws=200).clean_up_of_100.value < 90.0
    told = named(advice_on("coarse_pitch"), "closer pitch")
    assert told.change["layer.1.pitch_mm"] < 3.45


def test_the_price_ranks_where_prices_are_given():
    # Arc time dear and wire free: the remedy with the least extra arc time comes first.
    dear = {"plan.hour_price": 1000.0, "plan.wire_price": 0.0}
    found = advice_of("coarse_pitch", **dear).remedies
    hours = [one.extra_time / 3600.0 for one in found]
    assert len(found) > 1 and hours == sorted(hours)
    assert [one.extra_cost for one in found] == pytest.approx([1000.0 * h for h in hours])


def test_closer_pitch_is_hardly_more_than_asked():
    told = named(advice_on("coarse_pitch"), "closer pitch")
    pitch = told.change["layer.1.pitch_mm"]
    wider = changed(scene_of("coarse_pitch"), {"layer.pitch_mm": pitch + 0.2})
    assert decide(wider, draws=200).verdict == "not sure enough"


def test_no_remedy_lays_beads_closer_than_half_their_width_unless_that_was_qualified():
    for name in ("coarse_pitch", "low_side", "end_wedge"):
        for one in advice_on(name).remedies:
            for layer in one.result.settings:
                assert layer.path.pitch >= 0.5 * layer.bead.width - 1e-9


def test_every_file_lists_its_own_finders():
    told = {find.__name__ for find in listed("FINDERS", BEFORE)}
    assert {"closer_pitch", "slower_travel", "finish_axis", "next_size"} <= told
    assert {find.__name__ for find in listed("FINDERS", AFTER)} == {"local_weld", "next_size"}
    assert {find.__name__ for find in listed("LOOKS")} >= {"bead", "pre_bored_wall", "cold"}


def test_measuring_a_bead_decides_where_only_that_stands_open():
    # The shipped scene laid with a pitch that is sure enough by the draws, its bead not measured.
    scene = replace(scene_of("coarse_pitch", **{"layer.repeat": 4}), bead=None)
    assert decide(scene).verdict == "not proven"
    advice = remedies(scene)
    assert not advice.remedies and advice.binds.what == "only measuring helps"
    assert advice.settle[0].what.what == "measure a bead" and advice.settle[0].decides


def test_a_bar_is_mended_as_a_whole():
    advice = advice_on("three_lugs")
    assert advice.remedies
    for one in advice.remedies:
        assert len(one.on_bar) == 3 and len(one.decided.bores) == 3
        assert decide(changed(scene_of("three_lugs"), one.change), draws=200).verdict in (
            "cleans up", "not sure enough",
        )  # fmt: skip


def test_smallest_is_found_not_stepped_to():
    asked = []
    assert smallest(lambda v: asked.append(v) or v >= 0.42, 0.0, 100.0, step=0.01) == 0.42
    assert len(asked) < 20
    assert smallest(lambda v: False, 0.0, 1.0, step=0.1) is None


def test_best_axis_equals_a_brute_force_search():
    # A made-up map: a tilted low side. Brute force over a fine polar grid of both ends.
    rng = np.random.default_rng(3)
    length, n_clock, n_depth, radius = 60.0, 24, 6, 0.4
    edges = np.linspace(0.0, length, n_depth + 1)
    angle = (np.arange(n_clock) + 0.5) * 2 * np.pi / n_clock
    share = 0.5 * (edges[1:] + edges[:-1]) / length
    cells = (
        0.5
        + 0.3 * np.cos(angle[:, None] - 1.0 - 2.0 * share[None, :])
        + 0.1 * rng.random((n_clock, n_depth))
    )
    entry, far, least = best_axis([Bores(cells, edges, radius, (0.0, length))], length)

    moves = [
        (r * math.sin(a), -r * math.cos(a))
        for r in np.linspace(0, radius, 9)
        for a in np.linspace(0, 2 * np.pi, 48, endpoint=False)
    ]
    sin, cos = np.sin(angle)[:, None], np.cos(angle)[:, None]
    ends = [x * sin - y * cos for x, y in moves]
    brute = max(float((cells + (1 - share) * e + share * f).min()) for e in ends for f in ends)
    # The polygon lies inside the disc by radius (1 - cos(pi / 64)); the brute grid is coarser
    # still.
    assert brute - 0.0013 * radius - 1e-9 <= least <= brute + 0.02
    assert math.hypot(*entry) <= radius + 1e-9 and math.hypot(*far) <= radius + 1e-9
    # and the axis told, moved there on the same map, leaves what is promised (geometry)
    at_entry, at_far = (x * sin - y * cos for x, y in (entry, far))
    moved = float((cells + (1 - share) * at_entry + share * at_far).min())
    assert moved == pytest.approx(least, abs=1e-9)


def test_axis_moved_stays_inside_its_zone():
    scene = scene_of("low_side")
    on_bar = tuple(simulate_bar(scene))
    (option,) = finish_axis(Stands(scene, on_bar, decide(scene, [on_bar[0].result])))
    keys = option(1.0).keys
    assert keys["axes.finish_entry_mm"] <= 0.15 + 5e-5
    assert keys["axes.finish_far_mm"] <= 0.15 + 5e-5


def test_after_a_layer_only_what_is_to_come_changes():
    found = advice_of("coarse_pitch", **{"job.stage": "after a layer", "job.layers_done": 1})
    assert found.remedies
    for one in found.remedies:
        assert "layer.1.pitch_mm" not in one.change
        assert not any(key.startswith("pre_bore") for key in one.change)
        laid = changed(scene_of("coarse_pitch"), one.change).layers[0]
        assert (laid.pitch, laid.travel) == (4.1, scene_of("coarse_pitch").layers[0].travel)


def test_after_the_cut_a_local_weld_or_the_next_size():
    cut = {"job.stage": "after the finish cut", "job.layers_done": 2}
    scene = scene_of("low_side", **cut, **{"bore.next_sizes_mm": [83.0, 85.0]})
    found = remedies(scene)
    assert {one.words.what for one in found.remedies} <= {
        "local weld",
        "weld right round",
        "next size",
    }
    size = named(found, "next size").change["bore.final_diameter_mm"]
    assert decide(changed(scene, {"bore.final_diameter_mm": size - 2.0}), draws=200).verdict != (
        "cleans up"
    )


def test_nothing_helps_says_what_binds():
    advice = advice_of("oil_hole_plugged")
    if decide(scene_of("oil_hole_plugged")).verdict == "cleans up":
        assert not advice.remedies and advice.binds.what == "nothing is needed"
    # welded again after a first cut, still black by millimetres, and no larger size allowed
    lost = advice_of(
        "coarse_pitch",
        **{
            "job.stage": "after the finish cut",
            "job.layers_done": 1,
            "layer.pitch_mm": 4.9,
            "bore.final_diameter_mm": 78.0,
        },
    )
    assert not lost.remedies and "add next_sizes" in told(lost.binds, Say("mm"))


def test_command_prints_remedies(capsys, tmp_path):
    path = tmp_path / "quick.toml"
    save(scene_of("coarse_pitch"), path)
    assert main(["simulate", str(path), "--remedies", "--json"]) == 3
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, result_schema())
    assert {one["verdict"] for one in found["remedies"]} == {"cleans up"}
    assert main(["simulate", str(path), "--remedies"]) == 3
    assert "What would fix it" in capsys.readouterr().out
