"""Pictures of the bored surface: every pixel against the engine's own black."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from sim.job.read import load
from sim.pictures.bored_surface import finished, looking_in, rolled_out
from sim.shop.run import simulate
from sim.teach.the_seven import made
from tests.conftest import ROOT


def pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


@pytest.fixture(scope="module")
def wedge():
    return made("end wedge").result


def test_black_pixels_are_the_low_spots(wedge):
    """Share of dark pixels on the surface rolled out = area of the low spots over that of the bore
    between the chamfers.
    """
    shown = pixels(rolled_out(wedge, width=1600))[:-26]
    area = sum(one.area for one in wedge.low_spots)
    whole = 2.0 * math.pi * wedge.finish.radius * wedge.scene.bore.length
    dark = float((shown.max(axis=2) < 110).mean())
    assert dark == pytest.approx(area / whole, rel=0.12)


def test_it_is_black_where_the_engine_says_so(wedge):
    shown = pixels(rolled_out(wedge, width=1600))[:-26]
    spot = wedge.low_spots[0]
    row, column = (
        int(spot.at_depth / wedge.scene.bore.length * len(shown)),
        int(spot.at_clock / (2 * math.pi) * shown.shape[1]),
    )
    assert shown[row, column].max() < 110
    assert shown[len(shown) // 2, column].min() > 140


def test_stock_asked_for_is_the_engines(wedge):
    """Straight from the wall: finish radius less the distance of the wall from the axis, all axes
    being one here.
    """
    wall, clock = wedge.layers[-1].wall, wedge.start.clock.angle[::60]
    depth = np.linspace(2.0, 70.0, 40)
    stock, judged = finished(wedge, clock, depth)
    assert stock == pytest.approx(wedge.finish.radius - wall.radius(depth)[::60], abs=1e-9)
    assert judged.all()


def test_a_bore_that_cleans_up_shows_no_black():
    result = simulate(load(ROOT / "scenes" / "cleans_up.toml"))
    assert pixels(rolled_out(result))[:-26].min() > 120


def test_looking_in_shows_black_on_its_side():
    """Climbing side, torch turning clockwise: black to the left of the middle, none to the right."""
    shown = pixels(looking_in(made("climbing side").result, size=400))
    inner = shown[120:280].max(axis=2)
    assert (inner[:, 40:195] < 110).sum() > 20 and (inner[:, 205:360] < 110).sum() == 0
