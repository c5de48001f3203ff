"""Remedies: every promise is kept by a fresh run, and the best axis is the best."""

import json
import math

import jsonschema
import numpy as np
import pytest

from sim.bore.axis import Bores, best_axis
from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import load
from sim.plan.odds.verdict import decide
from sim.plan.remedies.advice import remedies
from sim.plan.remedies.search import smallest
from sim.shop.run import simulate
from sim.tell.result_json import schema as result_schema


def advice_of(name, **change):
    return remedies(simulate(changed(load(f"scenes/{name}.toml"), {"grid.columns": 360, **change})))


@pytest.mark.parametrize("name", ["coarse_pitch", "low_side", "end_wedge"])
def test_every_promise_equals_a_fresh_run_of_the_changed_scene(name):
    scene = changed(load(f"scenes/{name}.toml"), {"grid.columns": 360})
    advice = remedies(simulate(scene))
    assert any(one.works for one in advice.remedies)
    for one in advice.remedies:
        fresh = simulate(changed(scene, one.change))
        assert fresh.stock.spot.value == one.result.stock.spot.value
        assert decide(fresh.scene, [fresh]) == one.decided


def test_best_comes_first():
    found = advice_of("coarse_pitch").remedies
    works = [one.works for one in found]
    assert works == sorted(works, reverse=True)
    wire = [one.extra_wire for one in found if one.works]
    assert wire == sorted(wire)


def test_closer_pitch_is_the_widest_that_works():
    scene = changed(load("scenes/coarse_pitch.toml"), {"grid.columns": 360})
    found = next(
        one for one in remedies(simulate(scene)).remedies if one.words.startswith("closer")
    )
    pitch = found.change["layer.1.pitch_mm"]
    wider = simulate(changed(scene, {"layer.pitch_mm": pitch + 0.05}))
    assert wider.stock.spot.value < scene.cut.minimum_cut + 0.004


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


def test_axis_remedy_keeps_the_finish_axis_inside_its_zone():
    found = next(one for one in advice_of("low_side").remedies if "finish axis" in one.words)
    assert found.change["axes.finish_entry_mm"] <= 0.15 + 5e-5
    assert found.change["axes.finish_far_mm"] <= 0.15 + 5e-5


def test_after_a_layer_only_what_is_to_come_changes():
    found = advice_of(
        "coarse_pitch", **{"job.stage": "after a layer", "job.layers_done": 1}
    ).remedies
    assert found
    for one in found:
        assert "layer.1.pitch_mm" not in one.change
        assert not any(key.startswith("pre_bore") for key in one.change)
    pitch = next(one for one in found if one.words.startswith("closer"))
    layers = changed(load("scenes/coarse_pitch.toml"), pitch.change).layers
    assert layers[0].pitch == 4.1 and layers[1].pitch < 4.1


def test_after_the_cut_a_local_weld_or_the_next_size():
    found = advice_of(
        "low_side",
        **{
            "job.stage": "after the finish cut",
            "job.layers_done": 2,
            "bore.next_sizes_mm": [80.5, 81.0, 81.5, 82.0],
        },
    ).remedies
    kinds = {one.words.split()[0] for one in found}
    assert {"local", "the"} <= kinds
    size = next(one for one in found if one.words.startswith("the next size"))
    smaller = changed(
        load("scenes/low_side.toml"),
        {"bore.final_diameter_mm": size.change["bore.final_diameter_mm"] - 0.5},
    )
    assert simulate(smaller).stock.spot.value < smaller.cut.minimum_cut + 0.004


def test_nothing_helps_says_what_binds():
    advice = advice_of("cleans_up")
    assert not advice.remedies and "no change needed" in advice.binds
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
    assert not lost.remedies and "add next_sizes" in lost.binds


def test_command_prints_remedies(capsys):
    assert main(["simulate", "end_wedge", "--remedies", "--json"]) == 3
    told = json.loads(capsys.readouterr().out)
    jsonschema.validate(told, result_schema())
    assert told["remedies"][0]["works"]
    assert main(["simulate", "end_wedge", "--remedies"]) == 3
    assert "What would fix it" in capsys.readouterr().out
