"""The estimate from sizes alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sim.job.change import changed
from sim.job.scene import Scene
from sim.machine.boring.cuts import Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.quantities.takes import Quantities, _refuse_holes, quantities
from sim.plan.odds.verdict import Decision, decide
from sim.reference.defaults import DEFAULTS
from sim.reference.errors import SceneError
from sim.reference.units import said
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
    assumed: tuple[str, ...]


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
    [mm] of a measured
    one; like: a scene whose rates, prices and boring bar are the shop's own; far: sizes far from
    the original are
    right. Raises SceneError.

    >>> found = quick_estimate(80.0, 81.5, 60.0, 2)
    >>> found.quantities.holes, found.quantities.money
    (2, None)
    """
    _refuse(original, worst, length)
    _refuse_holes(holes)
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
    return Estimate(
        scene, result, decide(scene, [result]), cuts, found, tuple(_quick_assumed(result, holes))
    )


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
    final size; each range
    taken as 19 in 20 and added by squares; derived.
    """
    worst = scene.worn.diameter + scene.worn.out_of_round
    pre, past = DEFAULTS["quick.pre_bore"], DEFAULTS["quick.allowance"]
    likely = 0.5 * (worst + pre.value - scene.bore.final_diameter) + past.value
    low = math.hypot(0.5 * (pre.value - pre.low), past.value - past.low)
    high = math.hypot(0.5 * (pre.high - pre.value), past.high - past.value)
    return low / likely, high / likely


def _quick_assumed(result: Result, holes: int) -> list[str]:
    """Everything a quick estimate took for granted, in words."""
    scene, units = result.scene, result.scene.job.units
    setting = result.settings[0]

    def line(what: str, name: str) -> str:
        known = DEFAULTS[name]
        return (
            f"{what} ({known.basis}: {known.source}; {known.low:g} to {known.high:g} {known.unit})"
        ).replace(" 1)", ")")

    size = 2.0 * result.finish.radius
    return [
        f"bored back to the original size, {said(size, 'length', units)} on diameter, no "
        "tolerance given",
        "worn oval from the original size to the worst, the same all along the bore",
        line(
            f"pre-bored to {said(scene.pre_bore.diameter, 'length', units)} on diameter"
            if scene.pre_bore
            else "not pre-bored",
            "quick.pre_bore",
        ),
        line(
            f"{len(result.layers)} layers, until the engine finds the minimum cut "
            "everywhere; mean build-up past the final size",
            "quick.allowance",
        ),
        line(f"pitch {said(setting.path.pitch, 'length', units)}", "quick.spacing"),
        line(f"wire {said(scene.wire.diameter, 'length', units, 1)}", "quick.wire"),
        line(f"wire feed {said(setting.wire_feed, 'feed', units, 1)}", "quick.wire_feed"),
        line(f"travel {said(setting.travel, 'speed', units, 0)}", "quick.travel"),
        "bead as measured" if scene.bead else line("bead not measured", "bead.aspect"),
        "all axes in line, bore horizontal, bare faces without run-off rings, no oil hole, "
        "no keyway",
        f"{holes} bores alike, each set up, cleaned, measured, heated and cooled by itself"
        if holes > 1
        else "one bore",
    ]
