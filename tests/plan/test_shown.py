"""Draws to be looked at are the draws the verdict counted."""

import numpy as np
import pytest

from sim.job.read import load
from sim.plan.odds.shown import bad_draw, how_often, turned_out
from sim.plan.odds.verdict import decide
from sim.shop.quick_look import quick_look
from sim.shop.run import simulate

DRAWS = 40


@pytest.fixture(scope="module")
def told():
    scene = load("scenes/not_sure_yet.toml")
    return scene, simulate(scene), decide(scene, draws=DRAWS)


def test_the_bad_run_shown_leaves_what_the_verdict_says_of_it(told):
    scene, planned, decided = told
    shown = turned_out(scene, 0, planned, bad_draw(decided))
    # the verdict takes the clock-step error off, the picture does not
    assert shown.stock.spot.value == pytest.approx(decided.least_stock.bad, abs=0.01)
    assert len(shown.walls) == len(planned.walls)
    assert bool(shown.low_spots) == (decided.least_stock.bad < 0.0)


def test_no_place_is_black_more_often_than_the_job(told):
    scene, _, decided = told
    often = how_often(scene, 0, draws=DRAWS)
    fails = (decided.least < scene.cut.minimum_cut).mean()
    black = (decided.least < 0.0).mean()
    # on the coarse clock a draw may lie a little higher: none of the shares may lie above
    assert 0.0 < np.nanmax(often.thin) <= fails
    assert np.nanmax(often.black) <= black
    assert (often.black[~np.isnan(often.black)] <= often.thin[~np.isnan(often.thin)]).all()
    chamfer = often.edges[1:] <= scene.bore.chamfer_entry
    assert np.isnan(often.thin[:, chamfer]).all()


def test_a_quick_look_is_the_job_on_fewer_columns(told):
    scene, planned, _ = told
    quick = quick_look(scene)
    assert quick.stock.spot.value == pytest.approx(planned.stock.spot.value, abs=1e-3)
    assert len(quick.start.clock.angle) < len(planned.start.clock.angle)
