"""The page without a browser: every shipped scene shows its verdict, and the numbers are the engine's."""

import pytest
from streamlit.testing.v1 import AppTest

from sim import chart
from sim.scene import load, shipped
from sim.simulate import simulate
from tests.conftest import ROOT


@pytest.fixture(scope="module")
def page():
    return AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()


def test_first_page_shows_a_verdict(page):
    assert not page.exception
    assert "CLEANS UP" in page.success[0].value


@pytest.mark.parametrize("name", [p.stem for p in shipped()])
def test_every_scene_shows_its_verdict(page, name):
    page.selectbox(key="job").select(name).run()
    assert not page.exception
    told = "".join(box.value for box in [*page.success, *page.error, *page.warning])
    assert simulate(load(f"scenes/{name}.toml")).verdict.upper() in told


def test_section_drawn_is_the_engines_wall():
    result = simulate(load("scenes/low_side.toml"))
    spot = result.stock.spot
    depth, stock = chart.section_of(result.layers[-1].wall, result, float(result.start.clock.angle[spot.column]))
    judged = (depth >= 1.0) & (depth <= 99.0)  # between the mouth chamfers
    depth, stock = depth[judged], stock[judged]
    assert stock.min() == pytest.approx(spot.value, abs=1e-9)
    assert depth[stock.argmin()] == pytest.approx(spot.depth, abs=1e-9)


def test_map_drawn_keeps_the_worst_valley():
    result = simulate(load("scenes/coarse_pitch.toml"))
    figure = chart.stock_figure(result, n_clock=60, n_depth=50)
    assert figure.data[0].z.min() == pytest.approx(result.stock.spot.value, abs=2e-3)


def test_zero_is_neutral_and_black_has_its_own_colour():
    from sim.colour import BLACK_LEFT, NEUTRAL, stock_scale

    scale = dict(stock_scale(-1.0, 3.0))
    assert scale[0.0] == BLACK_LEFT and scale[0.25] == NEUTRAL
