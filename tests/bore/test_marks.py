"""Gouges, holes and keyways have clock columns of their own: checked by dense sampling of what the
job says of the wall.
"""

import math

import numpy as np
import pytest

from sim.bore.wall import Clock
from sim.job.change import changed
from sim.job.read import load, parse
from sim.plan.odds.many_draws import NOMINAL, ManyDraws
from sim.plan.odds.one_draw import outcome
from sim.plan.odds.spreads_of_job import spreads_of, ways_of
from sim.set_up.axes_and_areas import axes_of
from sim.shop import ready_to_lay
from sim.shop.as_worn import shape_of
from sim.shop.as_worn_form import describe
from sim.shop.ready_to_lay import all_events, clock_marks, made_ready
from sim.shop.run import simulate
from tests.conftest import SMALL

NARROW = (
    "\n[[gouge]]\nat_oclock = 4.6217\ndepth_mm = 20\nlength_mm = 12\nwidth_mm = {}\ndeep_mm = {}\n"
)
COARSE = SMALL.replace("columns = 96", "columns = 16") + NARROW.format(3, 4)
LARGE = (
    SMALL.replace("final_diameter_mm = 80", "final_diameter_mm = 500").replace("[grid]\ncolumns = 96\n", "")
    .replace("diameter_mm = 82.2", "diameter_mm = 502.2").replace("diameter_mm = 83.0", "diameter_mm = 503")
    + NARROW.format(1.3, 20)
)  # fmt: skip
OFF = {
    "axes.torch_entry_mm": 2.0,
    "axes.torch_entry_at_oclock": 8.0,
    "axes.torch_far_mm": 2.0,
    "axes.torch_far_at_oclock": 8.0,
}


def deepest(scene):
    """Largest radius [mm] about the drawing axis, by a hundred thousand clocks of what the job
    says.
    """
    clock = np.linspace(0.0, 2.0 * math.pi, 100001)
    return float(shape_of(scene).radius(clock, np.full(clock.shape, scene.gouge[0].depth)).max())


def seen(wall, torch, depth):
    """Largest distance [mm] from the drawing axis at a depth over the columns of a wall about the
    torch axis.
    """
    x0, y0 = torch.at(depth)
    r = wall.radius(np.array([depth]))[:, 0]
    return float(
        np.hypot(x0 + r * np.sin(wall.clock.angle), y0 - r * np.cos(wall.clock.angle)).max()
    )


@pytest.mark.parametrize("change", [{}, OFF], ids=["centred", "torch off"])
@pytest.mark.parametrize(
    "text", [COARSE, LARGE], ids=["3 mm at 16 columns", "1.3 mm in a 500 bore"]
)
def test_the_floor_of_a_narrow_gouge_is_seen_in_the_job_and_in_the_draws(text, change):
    scene = changed(parse(text), change)
    torch, job = axes_of(scene).torch, made_ready(scene, scene.grid.columns)
    assert seen(job.start, torch, 20.0) == pytest.approx(deepest(scene), abs=0.03)
    clock = Clock.even(16, all_events(scene, job.settings))
    many = ManyDraws.of(job, clock, [0], held=job.held)
    wall = many._start(np.array([NOMINAL]))
    assert seen(wall, torch, 20.0) == pytest.approx(deepest(scene), abs=0.03)


def test_a_gouge_between_two_columns_is_no_yes(monkeypatch):
    # Sixteen columns without any of the gouge's own walk past it to a yes; 2400 columns, 0.1 mm
    # wide along the
    # wall, come upon it by themselves.
    found = simulate(parse(COARSE)).stock.spot.value
    monkeypatch.setattr(ready_to_lay, "clock_marks", lambda scene: np.zeros(0))
    blind, fine = (
        simulate(changed(parse(COARSE), {"grid.columns": n})).stock.spot.value for n in (16, 2400)
    )
    assert blind > 0.8 and found < -1.0
    assert found == pytest.approx(fine, abs=0.03)


def test_a_draw_sees_what_the_job_sees():
    from sim.plan.odds.draws import draw

    job = made_ready(parse(COARSE), 16)
    quiet = spreads_of(job.scene, job.settings).off()
    drawn = draw(quiet, ways_of(job.settings), 1, 0)
    moved = drawn.__class__(
        **{**drawn.__dict__, "size": 1e-9}
    )  # not nominal: the draw makes its own start wall
    assert outcome(job, moved).least.spot.value == pytest.approx(
        outcome(job, drawn).least.spot.value, abs=0.01
    )


def test_the_pre_bore_that_cleans_up_reaches_the_floor_of_a_narrow_gouge():
    scene = parse(COARSE)
    assert describe(scene).pre_bore == pytest.approx(2.0 * deepest(scene), abs=1e-3)


@pytest.mark.parametrize("name", ["oil_hole", "oil_hole_plugged"])
def test_edges_and_middles_of_holes_and_keyways_have_columns(name):
    scene = load(f"scenes/{name}.toml")
    clock = Clock.even(16, clock_marks(scene))
    radius = 0.5 * scene.bore.final_diameter
    wanted = [
        hole.at + k * (0.5 * hole.diameter + hole.clear) / radius
        for hole in scene.oil_hole
        for k in (-1, 0, 1)
    ]
    wanted += [
        way.at + k * (0.5 * way.width + way.clear) / radius
        for way in scene.keyway
        for k in (-1, 0, 1)
    ]
    for angle in wanted:
        away = np.abs((clock.angle - angle + math.pi) % (2.0 * math.pi) - math.pi)
        assert np.sort(away)[:2].max() < math.radians(0.002)
