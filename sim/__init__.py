"""Bore build-up: whether the weld build-up of a worn bore clean up at the final diameter, and where
not.

>>> from sim import load, simulate
>>> simulate(load("scenes/low_side.toml")).low_spots[0].cause
'axis set over'
"""

from sim.job.change import changed
from sim.job.read import load
from sim.job.saved import save
from sim.job.scene import Scene
from sim.plan.odds.verdict import Decision, decide
from sim.reference.errors import SceneError
from sim.shop.result import Result
from sim.shop.run import simulate

__all__ = [
    "Decision",
    "Result",
    "Scene",
    "SceneError",
    "changed",
    "decide",
    "load",
    "save",
    "simulate",
]
