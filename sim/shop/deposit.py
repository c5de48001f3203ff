"""3 The layers, laid one on the other."""

from __future__ import annotations

from dataclasses import dataclass

from sim.bore.cylinders import Bored, Shape, bored
from sim.bore.lay import BoreClosed, Laid, lay
from sim.bore.wall import Wall
from sim.job.scene import Scene
from sim.reference.arrays import Array
from sim.reference.remarks import Remark, Tell
from sim.set_up.axes_and_areas import AxesOf
from sim.set_up.bead import TieIn
from sim.set_up.layers import Setting, conditions
from sim.shop.ready_to_lay import closed, cut_before, made_ready


@dataclass(frozen=True)
class BuiltUp:
    """The wall built up, not yet judged."""

    scene: Scene
    axes: AxesOf
    tie_in: TieIn
    start: Wall
    settings: list[Setting]
    before: list[Wall]
    laid: list[Laid]
    poorest: Wall
    cut: Wall | None
    finish: Bored
    spans: Array


def built_up(scene: Scene, columns: int, tell: Tell, *, worn: Shape | None = None) -> BuiltUp:
    """The wall built up layer by layer on so many clock columns. Raises SceneError."""
    job = made_ready(scene, columns, worn=worn)
    scene = job.scene
    wall, walls, laid, cut = job.start, [], [], None
    for number, setting in enumerate(job.settings, 1):
        tell(Remark("laying a layer", layer=number, layers=len(job.settings)))
        if cut_before(scene) == number:
            cut = wall
            wall = bored(wall, job.finish, job.axes.torch)
        walls.append(wall)
        laid.append(_lay(scene, wall, setting, job.tie_in.nominal, number))
        wall = laid[-1].wall
    poorest = _lay(scene, walls[-1], job.settings[-1], job.tie_in.poorest, len(job.settings)).wall
    return BuiltUp(
        scene,
        job.axes,
        job.tie_in,
        job.start,
        job.settings,
        walls,
        laid,
        poorest,
        cut,
        job.finish,
        job.spans,
    )


def _lay(scene: Scene, wall: Wall, setting: Setting, tie_in: float, number: int) -> Laid:
    try:
        return lay(wall, setting.path, setting.bead, setting.q, conditions(scene, setting, tie_in))
    except BoreClosed:
        raise closed(number) from None
