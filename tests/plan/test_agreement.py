"""Every place that speaks of a job says the same: ten shipped scenes on few clock columns.

All scenes, random jobs, and every plan and remedy simulated again: `python -m tests.speed.agreement`.
"""

import pytest

from sim.job.read import load
from tests.agreement import differ, few, read_again

TEN = (
    "cleans_up",
    "coarse_pitch",
    "end_wedge",
    "three_lugs",
    "small_bore",
    "bead_not_measured",
    "oil_hole",
    "readings_warm",
    "readings_radius",
    "not_sure_yet",
)


@pytest.mark.parametrize("name", TEN)
def test_every_place_says_the_same(name, tmp_path):
    scene = few(load(f"scenes/{name}.toml"))
    assert list(differ(scene, tmp_path, plans=name == "coarse_pitch")) == []


def test_readings_after_a_layer_change_nothing_by_being_worked_out_again(tmp_path):
    assert list(read_again(few(load("scenes/cleans_up.toml")), tmp_path)) == []
