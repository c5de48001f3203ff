"""Time worked and time waited: arc, shop, between layers, boring."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import reduce

from sim.job.scene import Scene
from sim.job.sections.machine import Rates
from sim.machine.boring.cuts import FINISH, PRE_BORE, Cuts, Pass
from sim.machine.layer_sheet import schedule
from sim.machine.quantities.guess import Guess, widened
from sim.machine.quantities.line import WAIT, WORK, Line
from sim.machine.quantities.metal import More, metal_spread
from sim.reference.defaults import DEFAULTS
from sim.reference.remarks import Remark
from sim.reference.units import KINDS
from sim.set_up.layers import arc_time
from sim.shop.result import Result


def hours(result: Result, cuts: Cuts, holes: int, more: More) -> list[Line]:
    """Every time of the job in shop order; lines that take no time are left out."""
    scene, rates = result.scene, result.scene.rates or Rates()
    arc = widened(holes * sum(map(arc_time, result.settings)), more.below, more.above)
    way = Remark("way of the torch over its speed", spread=metal_spread(result))
    rows = [
        _shop_time("set_up", rates.set_up_time, holes),
        _shop_time("clean", rates.clean_time, holes),
        _shop_time("measure", rates.measure_time, holes),
        _shop_time("preheat", rates.preheat_time, holes),
        Line("arc", WORK, arc, "s", way),
        _between(scene, len(result.settings), holes, more),
        *_interpass(result, holes),
        *_boring(cuts, holes, more),
        _shop_time("tool", rates.tool_time, holes * len(cuts.passes)),
        replace(_shop_time("cool", rates.cool_time, holes), kind=WAIT),
    ]
    return [row for row in rows if row.amount.high > 0.0]


def _shop_time(name: str, given: float | None, times: int) -> Line:
    """A time nobody computes: as the shop says, or common practice with its range."""
    if given is not None:
        amount = Guess(given, given, given).times(times)
        return Line(name, WORK, amount, "s", Remark("your own time", times=times))
    known = DEFAULTS[f"time.{name}"]
    amount = Guess(known.low, known.value, known.high).times(KINDS["shop time"][0].factor)
    basis = Remark("usual time", times=times, known=known)
    return Line(name, WORK, amount.times(times), "s", basis)


def _between(scene: Scene, layers: int, holes: int, more: More) -> Line:
    """Brush, measure, set again after each layer; high: a layer more where some draws need it."""
    given, known = scene.plan.layer_time, DEFAULTS["plan.layer_time"]
    usual = given == known.value
    one = Guess(known.low, given, known.high) if usual else Guess(given, given, given)
    amount = one.times(layers * holes)
    if more.layer:
        amount = replace(amount, high=amount.high + given * holes)
    how = known.basis if usual else "given in [plan]"
    basis = Remark("time between layers", times=layers * holes, time=given, how=how)
    return Line("between", WORK, amount, "s", basis)


def _interpass(result: Result, holes: int) -> list[Line]:
    waits = _waits(result)
    if waits is None:
        return []
    return [Line("interpass", WAIT, waits.times(holes), "s", Remark("part as one lump of metal"))]


def _waits(result: Result) -> Guess | None:
    """Waiting between layers for the interpass temperature, past the time taken there anyway [s];
    None where it is not known.
    """
    told = [row.warming for row in schedule(result).layers[:-1]]
    if not all(told) or any(one.until is None for one in told if one):
        return None
    taken = result.scene.plan.layer_time
    each = [
        Guess(*(max(wait - taken, 0.0) for wait in (one.waits[0], one.wait, one.waits[1])))
        for one in told
        if one
    ]
    whole = reduce(Guess.plus, each, Guess(0.0, 0.0, 0.0))
    return whole if math.isfinite(whole.high) else None


def _boring(cuts: Cuts, holes: int, more: More) -> list[Line]:
    """Time in the cut before welding and after."""
    before = [one for one in cuts.passes if one.kind == PRE_BORE]
    after = [one for one in cuts.passes if one.kind != PRE_BORE]
    return [
        _in_cut(name, held, below, more.above, holes)
        for name, held, below in (("pre_bore", before, 0.0), ("bore", after, more.below))
        if held
    ]


def _in_cut(name: str, held: Sequence[Pass], below: float, above: float, holes: int) -> Line:
    """Time in the cut; high: one roughing pass more, as many passes hang on the highest crest."""
    time = sum(one.time for one in held)
    rough = [one.time for one in held if one.kind != FINISH]
    amount = Guess(
        time - below * sum(rough), time, time + above * sum(rough) + max(rough, default=time)
    )
    basis = Remark("one pass" if len(held) == 1 else "several passes", count=len(held))
    return Line(name, WORK, amount.times(holes), "s", basis)
