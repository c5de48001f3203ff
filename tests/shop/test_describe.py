"""The form of the worn bore: what was put in comes out, and the pre-bore that cleans up really
does.
"""

import json
import math

import numpy as np
import pytest

from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import load, parse
from sim.shop.as_worn_form import describe
from sim.shop.run import simulate
from tests.conftest import SMALL


def test_parameters_come_back():
    text = SMALL.replace(
        "out_of_round_mm = 0.6", "out_of_round_mm = 0.6\nout_of_round_at_oclock = 2\ntaper_mm = 0.5"
    )
    told = describe(parse(text))
    assert told.taper == pytest.approx(0.5, abs=1e-6)
    for station in told.stations:
        assert station.out_of_round == pytest.approx(0.6, abs=2e-3)
        assert station.largest_at % math.pi == pytest.approx(math.pi / 3, abs=0.05)
        # An oval a cos 2 theta is 2 a peak to valley about any centre of symmetry: derived.
        assert station.minimum_zone.form_error == pytest.approx(0.3, abs=1e-3)


def test_circles_are_ordered_as_iso_12181_has_them():
    for station in describe(load("scenes/readings_radius.toml")).stations:
        assert station.minimum_zone.form_error <= station.least_squares.form_error + 1e-12
        assert (
            station.inscribed.radius <= station.least_squares.radius <= station.circumscribed.radius
        )


def test_wear_to_one_side_moves_the_centre():
    # (1 + cos)/2 of 1.0 mm moves the least-squares centre by 0.5 mm towards the wear: derived,
    # first Fourier part.
    told = describe(
        changed(
            parse(SMALL),
            {
                "worn.out_of_round_mm": 0.0,
                "worn.eccentric_mm": 1.0,
                "worn.eccentric_at_oclock": 3.0,
            },
        )
    )
    assert told.stations[0].least_squares.x == pytest.approx(0.5, abs=5e-3)
    assert told.axis.entry[0] == pytest.approx(0.5, abs=5e-3)


def test_pre_bore_that_just_cleans_up_is_round_and_a_little_less_is_not():
    scene = load("scenes/readings_radius.toml")
    size = describe(scene).pre_bore

    def worst(diameter):
        wall = simulate(
            changed(scene, {"pre_bore.diameter_mm": diameter, "grid.columns": 180})
        ).start
        return float(np.ptp(wall.radius(np.linspace(2.0, 98.0, 60))))

    assert worst(size + 0.01) < 1e-4
    assert worst(size - 0.1) > 0.03


def test_best_axis_needs_no_larger_pre_bore():
    told = describe(load("scenes/readings_radius.toml"))
    assert told.best_pre_bore < told.pre_bore
    assert math.hypot(*told.best_axis.entry) <= 0.15 + 1e-9


def test_command_prints_and_tells_json(capsys):
    assert main(["describe", "readings_cold", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (
        len(told["stations"]) == 5
        and told["worst_unseen_pre_bore_mm"] > told["pre_bore_that_cleans_mm"]
    )
    assert main(["describe", "readings_cold"]) == 0
    assert "Pre-bore that just cleans up" in capsys.readouterr().out
