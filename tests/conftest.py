"""Shared by the tests: a job that lays quickly, and its variations."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import numpy as np
import pytest
from xdist.scheduler import LoadScopeScheduling

from sim.job.read import parse
from sim.reference.sizes_in_words import Say
from sim.tell.remarks import lines

ROOT = Path(__file__).resolve().parent.parent
LAYERS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"][
    0
]["layers"]
ROOMS = [name.removeprefix("sim.") for layer in LAYERS for name in layer.split(" | ")]
"""The rooms from the top of the house down, as the contract of their imports has them."""

BELOW_TELL = [
    room for room in ROOMS[ROOMS.index("tell") + 1 :] if room not in ("pictures", "evidence")
]
os.chdir(ROOT)
np.seterr(invalid="raise", over="raise")


class OneFile(LoadScopeScheduling):
    """Tests of one file run in one process, those in a browser all in one: they share a server."""

    def _split_scope(self, nodeid):
        path = nodeid.partition("::")[0]
        return "browser" if path.startswith("tests/browser/") else path


def pytest_xdist_make_scheduler(config, log):
    """How the tests are dealt out to several processes."""
    return OneFile(config, log)


SMALL = """
schema = 1
[bore]
final_diameter_mm = 80
length_mm = 40
[worn]
diameter_mm = 82.2
out_of_round_mm = 0.6
[pre_bore]
diameter_mm = 83.0
[wire]
diameter_mm = 1.0
feed_measured = true
[bead]
width_mm = 5.0
height_mm = 1.8
wire_feed_m_per_min = 3.5
travel_mm_per_min = 440
[grid]
columns = 96
[[layer]]
repeat = 2
pitch_mm = 3.5
wire_feed_m_per_min = 3.5
travel_mm_per_min = 440
"""


def looks(result, units="mm"):
    """What is to be looked at in a result, in words."""
    return lines(result.warnings, Say(units))


@pytest.fixture
def small():
    """A short bore with two layers on 96 columns."""
    return parse(SMALL)
