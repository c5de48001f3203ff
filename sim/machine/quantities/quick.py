"""The estimate from sizes alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sim.job.change import changed
from sim.job.scene import Scene
from sim.machine.boring.cuts import Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.quantities.line import Quantities
from sim.machine.quantities.takes import quantities, refuse_holes
from sim.plan.odds.verdict import Decision, decide
from sim.reference.defaults import DEFAULTS
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.set_up.five_answers import quick_scene
from sim.shop.result import Result
from sim.shop.run import simulate

LAYERS_MORE = 4


@dataclass(frozen=True)
class Estimate:
    """A quick estimate: the scene it was made from, its result, verdict and cuts, the quantities,
    and all it assumed.
    """

    scene: Scene
    result: Result
    decided: Decision
    cuts: Cuts
    quantities: Quantities
    assumed: tuple[Remark, ...]


WORN_MOST = 50.0  # mm on diameter: as far out of round as a scene takes


def quick_estimate(
    original: float,
    worst: float,
    length: float,
    holes: int = 1,
    *,
    bead: tuple[float, float] | None = None,
    like: Scene | None = None,
    units: str = "mm",
    far: bool = False,
) -> Estimate:
    """An estimate from the original and the worst diameter, the length [mm] and the number of bores
    alike.

    Layers are added to the quick scene until the engine finds metal enough. bead: width and height
    [mm] of a measured one; like: a scene whose rates, prices and boring bar are the shop's own;
    far: sizes far from the original are right. Raises SceneError.

    >>> found = quick_estimate(80.0, 81.5, 60.0, 2)
    >>> found.quantities.holes, found.quantities.money
    (2, None)
    """
    _refuse(original, worst, length)
    refuse_holes(holes)
    scene = _as_shop(
        quick_scene(original, worst, length, original, bead=bead, units=units, far=far), like
    )
    first = scene.layer[0].repeat
    result = simulate(scene)
    while (
        result.stock.spot.value - result.stock_error < scene.cut.minimum_cut
        and scene.layer[0].repeat < first + LAYERS_MORE
    ):
        scene = changed(scene, {"layer.repeat": scene.layer[0].repeat + 1})
        result = simulate(scene)
    cuts = boring_cuts(result)
    found = quantities(result, cuts, holes=holes, wear=_unknown_wear(scene))
    assumed = tuple(_quick_assumed(result, holes))
    return Estimate(scene, result, decide(scene, [result]), cuts, found, assumed)


def _as_shop(scene: Scene, like: Scene | None) -> Scene:
    """The scene with the money, times and bar of another."""
    if like is None:
        return scene
    plan = replace(
        scene.plan,
        wire_price=like.plan.wire_price,
        hour_price=like.plan.hour_price,
        layer_time=like.plan.layer_time,
    )
    return replace(scene, rates=like.rates, plan=plan, boring_bar=like.boring_bar)


def _refuse(original: float, worst: float, length: float) -> None:
    for name, value, most in (
        ("original size", original, 2000.0),
        ("worst size", worst, 2000.0),
        ("length", length, 1000.0),
    ):
        if not (math.isfinite(value) and 0.0 < value <= most):
            raise SceneError(
                f"{name} = {value:g} mm: must be greater than 0 and at most {most:g} mm."
            )
    if worst - original > WORN_MOST:
        raise SceneError(
            f"worst size = {worst:g} mm: {worst - original:g} mm over the original "
            f"{original:g} mm on diameter; an estimate from sizes holds to {WORN_MOST:g} mm "
            "of wear, check the sizes and their units."
        )


def _unknown_wear(scene: Scene) -> tuple[float, float]:
    """How much less and more metal a quick estimate may need, relative, by the ranges of what it
    assumed.

    Metal per side: half of worst size and pre-bore less final size, and the allowance past the
    final size; each range taken as 19 in 20 and added by squares; derived.
    """
    worst = scene.worn.diameter + scene.worn.out_of_round
    pre, past = DEFAULTS["quick.pre_bore"], DEFAULTS["quick.allowance"]
    likely = 0.5 * (worst + pre.value - scene.bore.final_diameter) + past.value
    low = math.hypot(0.5 * (pre.value - pre.low), past.value - past.low)
    high = math.hypot(0.5 * (pre.high - pre.value), past.high - past.value)
    return low / likely, high / likely


def _quick_assumed(result: Result, holes: int) -> list[Remark]:
    """Everything a quick estimate took for granted."""
    scene, setting = result.scene, result.settings[0]
    return [
        Remark("bored back to the original size", size=2.0 * result.finish.radius),
        Remark("worn oval all along"),
        _pre_bored(scene),
        Remark(
            "layers until it cleans up",
            layers=len(result.layers),
            known=DEFAULTS["quick.allowance"],
        ),
        Remark("usual pitch", pitch=setting.path.pitch, known=DEFAULTS["quick.spacing"]),
        Remark("usual wire", wire=scene.wire.diameter, known=DEFAULTS["quick.wire"]),
        Remark("usual wire feed", feed=setting.wire_feed, known=DEFAULTS["quick.wire_feed"]),
        Remark("usual travel", travel=setting.travel, known=DEFAULTS["quick.travel"]),
        Remark("bead as measured")
        if scene.bead
        else Remark("bead not measured, quick", known=DEFAULTS["bead.aspect"]),
        Remark("a plain bore"),
        Remark("bores alike", holes=holes) if holes > 1 else Remark("one bore"),
    ]


def _pre_bored(scene: Scene) -> Remark:
    known = DEFAULTS["quick.pre_bore"]
    if scene.pre_bore is None:
        return Remark("not pre-bored", known=known)
    return Remark("pre-bored", size=scene.pre_bore.diameter, known=known)
