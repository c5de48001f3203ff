"""Draws: plain values from a seed, the same for everybody; their moments against the spreads they
were made from.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from sim.job.change import changed
from sim.plan.odds.draws import NODES, BeadNoise, Way, bead_noise, draw, smooth
from sim.plan.odds.many_draws import NOMINAL, ManyDraws
from sim.plan.odds.one_draw import outcome
from sim.plan.odds.spreads import Spreads
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.plan.odds.strays import GROUPS
from sim.shop.ready_to_lay import made_ready
from sim.shop.run import least_of, simulate

FULL = Spreads(
    common=0.03, shared=0.75, height=0.04, along=0.05, along_length=8.0, width=0.05, bead_width=(0.04, 0.02), aspect=(0.8, 1.15),
    tie_in=0.4, tie_in_spread=None, gravity=0.2, pool_run=(1.0, 0.7), fusion=(1.5, 0.4), axes=(0.1, 0.2, 0.05), reading=0.04, odd=0.3, law=0.1, edge=0.2,
)  # fmt: skip
WAYS = [Way(12.3, 3000.0), Way(14.0, 3400.0)]


def same(one, two):
    return all(
        np.array_equal(getattr(a, n), getattr(b, n))
        for a, b in zip(one.beads, two.beads, strict=True)
        for n in ("q_turn", "w_turn", "q_along")
    ) and all(
        np.array_equal(getattr(one, n), getattr(two, n))
        for n in (
            "area",
            "width",
            "tie_in",
            "gravity",
            "pool_run",
            "fusion",
            "offsets",
            "size",
            "odd",
            "law",
            "edge",
        )
    )


def test_a_draw_hangs_on_seed_and_index_alone():
    assert same(draw(FULL, WAYS, 5, 17), draw(FULL, WAYS, 5, 17))
    assert not same(draw(FULL, WAYS, 5, 17), draw(FULL, WAYS, 5, 18))
    assert not same(draw(FULL, WAYS, 5, 17), draw(FULL, WAYS, 6, 17))


def test_a_longer_bead_begins_like_a_shorter_one():
    short, long = (bead_noise(FULL, Way(turns, 250.0 * turns), 1, 3, 0) for turns in (10.0, 25.0))
    for name in ("q_turn", "w_turn", "q_along"):
        a, b = getattr(short, name), getattr(long, name)
        assert np.array_equal(a, b[: len(a)])


def test_more_layers_leave_the_first_as_they_were():
    one, two = draw(replace(FULL, bead_width=(0.04,)), WAYS[:1], 1, 3), draw(FULL, WAYS, 1, 3)
    assert one.area[0] == two.area[0] and np.array_equal(one.beads[0].q_along, two.beads[0].q_along)


@pytest.mark.parametrize("name", GROUPS)
def test_switching_one_off_leaves_the_others(name):
    on, off = draw(FULL, WAYS, 1, 9), draw(FULL.without(name), WAYS, 1, 9)
    moved = {
        n
        for n in (
            "area",
            "width",
            "tie_in",
            "gravity",
            "pool_run",
            "fusion",
            "offsets",
            "size",
            "odd",
            "law",
            "edge",
        )
        if not np.array_equal(getattr(on, n), getattr(off, n))
    }
    moved |= {
        n
        for n in ("q_turn", "w_turn", "q_along")
        if not np.array_equal(getattr(on.beads[0], n), getattr(off.beads[0], n))
    }
    assert moved == {
        "common cause": {"area"}, "bead to bead": {"q_turn"}, "along the bead": {"q_along"}, "bead width": {"width", "w_turn"}, "tie-in": {"tie_in"},
        "gravity": {"gravity"}, "pool run": {"pool_run"}, "depth of fusion": {"fusion"}, "axes": {"offsets"}, "readings": {"size", "odd"}, "build-up law": {"law", "edge"},
    }[name]  # fmt: skip


def test_moments_of_the_job_s_own_values():
    # Means, deviations and shapes asked for, against scipy.stats at 1 in 1000: 4000 draws.
    draws = [draw(replace(FULL, height=0.0, along=0.0, width=0.0), WAYS, 2, k) for k in range(4000)]
    area = np.array([d.area for d in draws])
    assert stats.kstest((area[:, 0] - 1.0) / 0.03, "norm").pvalue > 1e-3
    assert np.corrcoef(area.T)[0, 1] == pytest.approx(0.75, abs=0.03)  # the part all layers share
    assert stats.kstest([d.tie_in for d in draws], "uniform").pvalue > 1e-3
    assert stats.kstest([d.pool_run for d in draws], stats.uniform(0.3, 1.4).cdf).pvalue > 1e-3
    assert stats.kstest([d.size for d in draws], stats.norm(0.0, 0.02).cdf).pvalue > 1e-3
    assert stats.kstest([d.offsets[1, 2] for d in draws], stats.norm(0.0, 0.2).cdf).pvalue > 1e-3
    assert np.std([d.gravity for d in draws]) == pytest.approx(0.2, rel=0.05)
    assert np.abs([d.odd[:, 0].sum() for d in draws]).max() <= 0.3


def test_bead_noise_is_as_rough_as_said():
    # Autocorrelation exp(-(d/L)^2), derived: white noise under a bell of half the length.
    x = smooth(np.random.default_rng(3), 200_000)
    assert x.std() == pytest.approx(1.0, abs=0.01)
    for nodes in (1, 2, 4, 6):
        wanted = math.exp(-((nodes / NODES) ** 2))
        assert np.corrcoef(x[:-nodes], x[nodes:])[0, 1] == pytest.approx(wanted, abs=0.01)
    by_turn = bead_noise(FULL, Way(20_000.0, 10.0), 1, 0, 0)
    assert by_turn.q_turn.std() == pytest.approx(
        0.04, rel=0.03
    ) and by_turn.w_turn.std() == pytest.approx(0.05, rel=0.03)


def test_same_bead_at_any_clock_step(small):
    # Columns that 45 and 135 of them have in common stand on the same bead: drawn along its length
    # before any map exists.
    scene = changed(small, {"layer.start_at_oclock": 1.0})
    walls = []
    for columns in (45, 135):
        job = made_ready(scene, columns)
        drawn = draw(spreads_of(scene, job.settings), ways_of(job.settings), 1, 4)
        out = outcome(job, drawn)
        at = np.round(out.wall.clock.angle, 9)
        walls.append(dict(zip(at, out.wall.radius(np.linspace(2.0, 38.0, 200)), strict=True)))
    common = sorted(set(walls[0]) & set(walls[1]))
    assert len(common) >= 36
    walls = [np.array([wall[a] for a in common]) for wall in walls]
    assert np.abs(walls[0] - walls[1]).max() < 2e-3
    assert (
        np.abs(walls[0] - walls[0].mean(axis=0)).max() > 0.05
    )  # it is rough: the agreement above is not of flat walls


def test_nothing_strays_when_everything_is_off(small):
    job = made_ready(small, 96)
    drawn = draw(spreads_of(small, job.settings).off(), ways_of(job.settings), 1, 4)
    assert outcome(job, drawn).least.spot.value == pytest.approx(least_of(small, 96), abs=1e-12)


def test_arc_length_becomes_angle_on_the_wall_it_is_laid_on():
    noise = BeadNoise(np.ones(3), np.ones(3), np.arange(9.0), 2.0).on(50.0)
    assert noise.step == 0.04 and noise.q_along is not None


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"layer.advance": "step", "bore.inclination_deg": 30},
        {"axes.finish_entry_mm": 0.4, "layer.repeat": 3},
    ],
)
def test_many_draws_at_once_are_the_draws_one_by_one(small, changes):
    # The slow twin of the searches' engine: each draw by itself, on the same clock but for slivers
    # at arc ends.
    scene = changed(small, changes)
    job = made_ready(scene, 60)
    bench = ManyDraws.of(job, job.start.clock, range(12), held=job.held)
    spreads, ways = spreads_of(scene, job.settings), ways_of(job.settings)
    alone = [
        outcome(job, draw(spreads, ways, scene.confidence.seed, k)).least.spot.value
        for k in range(12)
    ]
    assert bench.least(scene, range(12)) == pytest.approx(alone, abs=1e-9)
    assert bench.least(scene, [7, 2]) == pytest.approx([alone[7], alone[2]], abs=1e-9)
    assert bench.least(scene, [NOMINAL])[0] == pytest.approx(least_of(scene, 60), abs=2e-3)


def test_a_draw_of_a_local_weld_is_laid_on_the_cut_bore(small):
    # Invariance: the draw in which nothing strays is the job itself, also where the finish cut came
    # before the last layer.
    scene = changed(
        small,
        {
            "job.stage": "after the finish cut",
            "job.layers_done": 2,
            "layer.repeat": 3,
            "layer.pitch_mm": 4.3,
        },
    )
    job = made_ready(scene, 96)
    quiet = draw(spreads_of(scene, job.settings).off(), ways_of(job.settings), 1, 0)
    found, wanted = outcome(job, quiet), simulate(scene)
    depth = np.linspace(0.0, 40.0, 400)
    assert found.least.spot.value == pytest.approx(least_of(scene, 96), abs=1e-12)
    assert np.abs(found.wall.radius(depth) - wanted.layers[-1].wall.radius(depth)).max() < 1e-9


EDGES = {
    "run_off.entry": False, "run_off.far": False, "bore.chamfer_entry_mm": 0.5, "bore.chamfer_far_mm": 0.5,
    "layer.closing_start": 0, "layer.closing_end": 0, "layer.pitch_mm": 2.4,
}  # fmt: skip


def slumped(scene, edge):
    """Least stock per side of the nominal job but for free edges that slump this much [mm] a layer."""
    job = made_ready(scene, 60)
    quiet = draw(spreads_of(scene, job.settings).off(), ways_of(job.settings), 1, 0)
    return outcome(job, replace(quiet, edge=edge)).least


def test_a_free_edge_slumps_by_so_much_a_layer(small):
    # Two layers, the least stock at a free edge: it falls by twice what a layer slumps, and nowhere
    # does metal appear.
    scene = changed(small, EDGES)
    firm, soft = slumped(scene, 0.0), slumped(scene, 0.2)
    half = 0.5 * made_ready(scene, 60).settings[-1].bead.width
    assert min(firm.spot.depth, 40.0 - firm.spot.depth) < half
    assert firm.spot.value - soft.spot.value == pytest.approx(0.4, abs=1e-9)
    assert (soft.value <= firm.value + 1e-12).all()
    ringed = changed(scene, {"run_off.entry": True, "run_off.far": True})
    assert slumped(ringed, 0.2).spot.value == slumped(ringed, 0.0).spot.value


def test_many_draws_slump_at_free_edges_as_one_by_one(small):
    # The slow twin again, where the least stock is at a free edge that slumps up to half a
    # millimetre a layer.
    scene = changed(small, EDGES | {"spread.edge_mm": 0.5})
    job = made_ready(scene, 60)
    bench = ManyDraws.of(job, job.start.clock, range(8), held=job.held)
    spreads, ways = spreads_of(scene, job.settings), ways_of(job.settings)
    drawn = [draw(spreads, ways, scene.confidence.seed, k) for k in range(8)]
    alone = [outcome(job, one).least.spot.value for one in drawn]
    firm = [outcome(job, replace(one, edge=0.0)).least.spot.value for one in drawn]
    assert max(np.subtract(firm, alone)) > 0.3
    assert bench.least(scene, range(8)) == pytest.approx(alone, abs=1e-3)


def test_a_torch_drawn_off_its_axis_is_a_job_with_the_torch_set_over(small):
    # Invariance: a draw whose torch axis strays by 0.2 mm is the job set up so, by its scene; to
    # first order in the offset.
    scene = replace(
        changed(small, {"worn.out_of_round_mm": 0.4, "worn.diameter_mm": 82.6}), pre_bore=None
    )
    job = made_ready(scene, 60)
    quiet = draw(spreads_of(scene, job.settings).off(), ways_of(job.settings), 1, 0)
    offsets = np.zeros((3, 4))
    offsets[1] = (0.2, 0.0, 0.2, 0.0)  # towards 3 o'clock at either face
    drawn = outcome(job, replace(quiet, offsets=offsets))
    so = {
        f"axes.torch_{end}_{unit}": value
        for end in ("entry", "far")
        for unit, value in (("mm", 0.2), ("at_oclock", 3.0))
    }
    still = outcome(made_ready(changed(scene, so), 60), quiet)
    assert np.abs(drawn.least.value - still.least.value).max() < 5e-3
    depth = np.linspace(5.0, 35.0, 50)
    assert np.abs(drawn.wall.radius(depth) - outcome(job, quiet).wall.radius(depth)).max() > 0.15
