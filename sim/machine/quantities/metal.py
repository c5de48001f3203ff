"""Wire, spools and gas, and how far all that hangs on the metal laid may stray."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.job.scene import Scene
from sim.machine.quantities.guess import Guess, widened
from sim.machine.quantities.line import MATERIAL, Line
from sim.reference.defaults import DEFAULTS, default
from sim.reference.remarks import Remark
from sim.reference.units import KINDS
from sim.set_up.layers import arc_time, wire_used
from sim.shop.result import Result

TWO_SIDED = 2.0  # standard deviations either way: about 19 in 20


RARE = 0.025  # part of the draws that high leaves out


@dataclass(frozen=True)
class More:
    """What the likely figures leave out, relative to them: metal below and above, and one layer
    more where some draws need it.
    """

    below: float
    above: float
    layer: float

    @classmethod
    def of(cls, result: Result, wear: tuple[float, float], short: float) -> More:
        """Of a job of which a part `short` of the draws falls short; wear: less and more metal."""
        scatter = TWO_SIDED * metal_spread(result)
        layer = 0.0
        if short > RARE:
            wire = [wire_used(result.scene, s) for s in result.settings]
            layer = wire[-1] / sum(wire)
        return cls(math.hypot(scatter, wear[0]), math.hypot(scatter, wear[1], layer), layer)


def metal_spread(result: Result) -> float:
    """Relative standard deviation of the wire and the arc time of all layers: the common cause,
    partly shared by layers.

    sqrt(shared + (1 - shared) sum(share of each layer^2)) times the spread of one layer; derived.
    """
    spread = result.scene.spread
    wire = [wire_used(result.scene, s) for s in result.settings]
    alone = sum((one / sum(wire)) ** 2 for one in wire)
    return spread.common * math.sqrt(spread.shared + (1.0 - spread.shared) * alone)


def material(result: Result, holes: int, more: More) -> list[Line]:
    """Wire, spools and gas of all layers."""
    scene, arc = result.scene, sum(map(arc_time, result.settings))
    grams = holes * scene.wire.density * sum(wire_used(scene, s) for s in result.settings)
    wire = widened(grams, more.below, more.above)
    basis = Remark("wire feed times arc time", spread=metal_spread(result))
    return [
        Line("wire", MATERIAL, wire, "g", basis),
        spools(scene, wire),
        _gas(scene, holes * arc, more),
    ]


def spool_of(scene: Scene) -> float:
    """Wire on a spool [g]."""
    return scene.rates.spool if scene.rates else default("rates.spool")


def spools(scene: Scene, wire: Guess) -> Line:
    """Whole spools that hold the wire [g]."""
    spool = spool_of(scene)
    whole = Guess(
        *(float(math.ceil(one / spool - 1e-9)) for one in (wire.low, wire.likely, wire.high))
    )
    usual = DEFAULTS["rates.spool"]
    how = usual.basis if spool == usual.value else "given"
    return Line("spools", MATERIAL, whole, "spools", Remark("whole spools", how=how))


def _gas(scene: Scene, arc: float, more: More) -> Line:
    """Gas for so much arc time [s]: as given, or by the wire's diameter with its range."""
    if scene.rates is not None and scene.rates.gas_flow is not None:
        flow, near = scene.rates.gas_flow, 0.0
        basis = Remark("gas at the flow given", flow=flow)
    else:
        known = DEFAULTS["time.gas_flow"]
        flow = KINDS["flow"][0].inside(known.value * scene.wire.diameter)
        near = (known.high - known.low) / (2.0 * known.value)
        basis = Remark("gas at the usual flow", flow=flow, known=known)
    amount = widened(flow * arc, math.hypot(more.below, near), math.hypot(more.above, near))
    return Line("gas", MATERIAL, amount, "mm3", basis)
