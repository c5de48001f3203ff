"""A quick look: the job as planned on few clock columns, for what moves under the hand; no verdict."""

from __future__ import annotations

from sim.job.scene import Scene
from sim.shop.deposit import built_up
from sim.shop.result import Result
from sim.shop.run import judged

QUICK_COLUMNS = 180


def quick_look(scene: Scene) -> Result:
    """The job as planned on few clock columns and once only: a few micrometres off `simulate`.

    Raises SceneError as `simulate` does.

    >>> from sim.job.read import load
    >>> round(quick_look(load("scenes/cleans_up.toml")).stock.spot.value, 1)
    1.8
    """
    return judged(built_up(scene, QUICK_COLUMNS, lambda _: None))
