"""Probability of clean-up: closed forms for one spread at a time, the exact interval, shares of the
variance.
"""

import math

import numpy as np
import pytest
from scipy import optimize, stats

from sim.bore.stock import clock_error
from sim.job.change import changed
from sim.laws.exact_interval import clopper_pearson
from sim.plan.odds.chance import CELLS, Share, chance, shares_of, variance_shares
from sim.plan.odds.draws import draw
from sim.plan.odds.one_draw import outcome
from sim.plan.odds.spreads import Spreads
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.reference.errors import SceneError
from sim.set_up.layers import clock_events
from sim.shop.ready_to_lay import made_ready

QUIET = {
    f"spread.{name}": 0.0
    for name in (
        "common",
        "height",
        "along",
        "width",
        "width_law",
        "gravity",
        "pool_run_mm",
        "fusion_mm",
        "pre_bore_axis_mm",
        "torch_axis_mm",
        "finish_axis_mm",
        "reading_mm",
        "law_mm",
        "edge_mm",
        "crest_mm",
    )
}
QUIET |= {"bead.width_error_mm": 0.0, "process.tie_in_measured": True, "spread.tie_in": 0.0}


def only(scene, **spreads):
    """The scene with nothing straying but what is named."""
    return changed(
        scene, QUIET | {"grid.columns": 60} | {f"spread.{k}": v for k, v in spreads.items()}
    )


def root(scene, columns, put):
    """Where the least stock, its clock-step error off, crosses the minimum cut, by scipy on the
    engine itself; `put`: value -> changes to a draw.
    """
    import dataclasses

    job = made_ready(scene, columns)
    nominal = draw(spreads_of(scene, job.settings).off(), ways_of(job.settings), 1, 0)

    def spare(x):
        out = outcome(job, dataclasses.replace(nominal, **put(x)))
        error = clock_error(out.least, out.wall.clock, clock_events(job.settings))
        return out.least.spot.value - error - scene.cut.minimum_cut

    return spare


def agrees(found, probability):
    """Counted against a closed form, as an exact binomial test that errs once in 1000."""
    return stats.binomtest(found.cleans, found.draws, probability).pvalue > 1e-3


@pytest.mark.parametrize(
    "cleans, draws", [(0, 1), (1, 1), (0, 50), (7, 50), (186, 200), (200, 200), (1234, 2000)]
)
def test_interval_is_scipy_s_exact_one(cleans, draws):
    for level in (0.9, 0.95, 0.999):
        wanted = stats.binomtest(cleans, draws).proportion_ci(level, method="exact")
        found = clopper_pearson(cleans, draws, level)
        assert (found.low, found.high) == pytest.approx((wanted.low, wanted.high), abs=1e-9)


def test_common_cause_alone_has_its_closed_form(small):
    # One normal spread, all of it shared: P = 1 - Phi((f - 1)/s), f the factor on area at which the
    # cut is just left.
    scene = only(small, common=0.05, shared=1.0)
    spare = root(scene, 60, lambda f: {"area": np.full(2, f)})
    scene = changed(scene, {"cut.minimum_cut_mm": round(spare(0.97) + scene.cut.minimum_cut, 3)})
    f = optimize.brentq(root(scene, 60, lambda f: {"area": np.full(2, f)}), 0.8, 1.2)
    found = chance(scene, 600)
    assert agrees(found, stats.norm.sf((f - 1.0) / 0.05))
    assert 0.6 < found.probability < 0.85


def test_reading_alone_has_its_closed_form(small):
    # The wall is larger than read by x on the radius, x normal with half the spread on diameter.
    scene = only(small, reading_mm=0.2)
    spare = root(scene, 60, lambda x: {"size": x})
    scene = changed(scene, {"cut.minimum_cut_mm": round(spare(0.05) + scene.cut.minimum_cut, 3)})
    x = optimize.brentq(root(scene, 60, lambda x: {"size": x}), -0.5, 0.5)
    assert agrees(chance(scene, 600), stats.norm.cdf(x / 0.1))


def test_law_alone_has_its_closed_form(small):
    # The stock is off by one normal value everywhere: P = Phi((least stock - cut)/sigma), exactly.
    scene = only(small, law_mm=0.5)
    spare = root(scene, 60, lambda _: {})(0.0)
    found = chance(scene, 600)
    assert agrees(found, stats.norm.cdf(spare / 0.5)) and 0.5 < found.probability < 1.0
    assert (
        stats.kstest(found.minima, stats.norm(spare + scene.cut.minimum_cut, 0.5).cdf).pvalue > 1e-3
    )


def test_axis_offset_alone_has_its_closed_form(small):
    # Vertical bore, judged only round its middle: the finish axis there is the mean of both faces,
    # off by a Rayleigh
    # distance of sigma/sqrt(2), and takes that much from the thin side. P = 1 - exp(-a^2/sigma^2),
    # derived.
    sigma = 0.3
    scene = only(small, finish_axis_mm=sigma)
    scene = changed(
        scene,
        {
            "grid.columns": 180,
            "bore.inclination_deg": 90,
            "bore.chamfer_entry_mm": 18,
            "bore.chamfer_far_mm": 18,
            "worn.out_of_round_mm": 0,
            "layer.pitch_mm": 2.0,
        },
    )
    a = root(scene, 180, lambda _: {})(0.0) - 0.25
    scene = changed(scene, {"cut.minimum_cut_mm": round(0.25 + a, 3)})
    spare = root(scene, 180, lambda _: {})(0.0)
    assert agrees(chance(scene, 600), 1.0 - math.exp(-((spare / sigma) ** 2)))
    assert spare == pytest.approx(0.25, abs=1e-3)


def test_no_spread_is_a_certainty_either_way(small):
    sure = chance(only(small), 5)
    assert sure.probability == 1.0 and sure.percentiles[0] == sure.percentiles[2]
    never = chance(changed(only(small), {"layer.repeat": 1}), 5)
    assert never.probability == 0.0 and never.below_cut.max() == 1.0


def test_draws_stop_when_the_verdict_is_plain(small):
    good = chance(changed(small, {"layer.pitch_mm": 2.5}))
    bad = chance(changed(small, {"layer.pitch_mm": 4.4}))
    assert good.decided.settled and good.draws < 2000 and good.interval.low > 0.95
    assert bad.decided.settled and bad.draws == 200 and bad.decided.verdict == "falls short"
    exactly = chance(changed(small, {"layer.pitch_mm": 4.4}), 30)
    assert exactly.draws == 30


def test_map_holds_the_low_spots_where_they_are(small):
    # Pitch far too coarse: black on the climbing side at 9 o'clock (the torch turns clockwise),
    # nothing at 3.
    found = chance(
        changed(only(small, common=0.02), {"grid.columns": 72, "layer.pitch_mm": 4.3}), 20
    )
    assert found.below_zero.shape == CELLS and found.edges[0] == small.bore.chamfer_entry
    assert (
        found.below_zero[54].mean() > 0.2
        and found.below_zero[54].max() == 1.0
        and found.below_zero[18, 5:-5].mean() < 0.05
    )
    assert (found.below_zero <= found.below_cut).all() and found.below_cut.max() <= 1.0


def test_shares_of_an_additive_case_are_exact():
    # Orthogonal contrasts: sample variances 9, 4 and 1 exactly, so shares 9/14, 4/14, 1/14.
    signs = np.array([[(-1.0) ** (k >> bit) for bit in range(3)] for k in range(8)])
    parts = {"a": 3.0 * signs[:, 0], "b": 2.0 * signs[:, 1], "c": 1.0 * signs[:, 2]}
    whole = sum(parts.values())
    found = shares_of(whole, {name: whole - part for name, part in parts.items()})
    assert [(s.name, s.sd) for s in found] == [("a", 3.0), ("b", 2.0), ("c", 1.0)]
    assert [s.share for s in found] == pytest.approx([9 / 14, 4 / 14, 1 / 14], abs=1e-15)
    assert shares_of(np.ones(3), {"a": np.ones(3)}) == (Share("a", 0.0, 0.0),)


def test_shares_of_a_nearly_additive_job(small):
    # Small readings error and common cause: the minimum is linear in both, slopes by scipy on the
    # engine.
    scene = only(small, common=0.01, shared=1.0, reading_mm=0.06)
    slope_area = optimize.approx_fprime(
        [1.0], lambda f: root(scene, 60, lambda f: {"area": np.full(2, f)})(float(f[0])), 1e-4
    )[0]
    slope_size = optimize.approx_fprime(
        [0.0], lambda x: root(scene, 60, lambda x: {"size": x})(float(x[0])), 1e-4
    )[0]
    parts = {"common cause": (0.01 * slope_area) ** 2, "readings": (0.03 * slope_size) ** 2}
    found = {s.name: s.share for s in variance_shares(scene, draws=400, columns=60)}
    assert set(found) == set(parts)
    assert found["readings"] == pytest.approx(
        parts["readings"] / sum(parts.values()), abs=0.05
    )  # 400 draws: about 3 %


def test_nonsense_is_refused(small):
    with pytest.raises(SceneError, match="at least 1"):
        chance(small, 0)
    with pytest.raises(SceneError, match="no plan is certain"):
        changed(small, {"confidence.asked": 1.0})
    with pytest.raises(SceneError, match="at most 1"):
        changed(small, {"confidence.asked": 95})
    with pytest.raises(ValueError, match="clopper_pearson"):
        clopper_pearson(3, 2)
    with pytest.raises(ValueError, match="without"):
        Spreads().without("luck")


@pytest.mark.parametrize(
    ("asked", "most", "draws"), [(0.95, 2000, 200), (0.98, 2000, 400), (0.98, 200, 200)]
)
def test_each_look_pays_for_all_the_looks_there_may_be(small, asked, most, draws):
    # Every draw cleans up: n of n prove p once p^n <= half of 0.05 over the looks there may be
    # (Clopper and Pearson, Bonferroni): at 0.98 and five looks ln(0.005)/ln(0.98) = 262.3 draws, so
    # at the look after 400; with one look 182.6 do.
    sure = changed(only(small), {"confidence.asked": asked, "confidence.draws_most": most})
    found = chance(sure)
    assert found.decided.settled and found.draws == draws and found.probability == 1.0
