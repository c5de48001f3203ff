"""Bore build-up: whether the weld build-up of a worn bore clean up at the final diameter, and where not.

>>> from sim import load, simulate
>>> simulate(load("scenes/low_side.toml")).low_spots[0].cause
'axis set over'
"""

from sim.job import Scene, SceneError
from sim.scene import changed, load, save
from sim.simulate import Result, simulate

__all__ = ["Result", "Scene", "SceneError", "changed", "load", "save", "simulate"]
