"""5 The verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.job.scene import Scene

if TYPE_CHECKING:
    from sim.shop.result import Result


CLEANS_UP, THIN, FALLS_SHORT, NOT_PROVEN = "cleans up", "thin", "falls short", "not proven"


def judge(result: Result) -> str:
    """The verdict on the numbers given.

    Cleans up: the minimum less its error leaves at least the minimum cut; thin: metal everywhere
    but less than
    that; falls short: below zero. A plain yes also needs a measured bead, and metal everywhere even
    when the
    last layer's tie-in is the worst that is known, even when all wear a two-point gauge cannot see
    lies on the worst
    side, and readings of a cold part; else it is not proven.
    """
    least, pessimist = (
        one.spot.value - result.stock_error for one in (result.stock, result.pessimist)
    )
    told = verdict_of(result.scene, least, pessimist)
    unseen = result.unseen is not None and result.unseen - result.stock_error < 0.0
    warm = result.scene.readings is not None and result.scene.readings.warm
    return NOT_PROVEN if told == CLEANS_UP and (unseen or warm) else told


def verdict_of(scene: Scene, least: float, pessimist: float) -> str:
    """The verdict on least stock per side [mm], its error taken off, of the model and of the
    pessimist.
    """
    if least < 0.0:
        return FALLS_SHORT
    if least < scene.cut.minimum_cut:
        return THIN
    if scene.bead is None or pessimist < 0.0:
        return NOT_PROVEN
    return CLEANS_UP
