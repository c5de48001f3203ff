"""The JSON contract of a result: `sim.tell.result_figures` filled in, and its schema."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from sim.bore.low_spots import LowSpot
from sim.bore.ripple import waviness_at
from sim.bore.stock import Spot
from sim.job.change import digest
from sim.job.checks import final_limits
from sim.plan.odds.verdict import BoreDecided, Decision, LeastStock, OutOf100, worst_bore
from sim.plan.remedies.advice import Advice, Remedy
from sim.reference.arrays import TURN
from sim.reference.sizes_in_words import Say
from sim.reference.units import oclock
from sim.reference.version import VERSION
from sim.set_up.layers import arc_time, wire_used
from sim.shop.finish import interior
from sim.shop.judge import Open
from sim.shop.result import Layer, Result
from sim.shop.several_bores import OnBar
from sim.tell import declared
from sim.tell.remarks import told as in_words
from sim.tell.result_figures import (
    SCHEMA,
    AdviceTold,
    AssumptionTold,
    BoreTold,
    DecidedTold,
    GaugeTold,
    LayerTold,
    LeastStockTold,
    OpenTold,
    OutOf100Told,
    PlaceTold,
    PlannedTold,
    RemedyTold,
    ResultTold,
    SettleTold,
    SpotTold,
    WavinessTold,
    WeldLeftTold,
)
from sim.tell.verdict import band
from sim.tell.where_from import assumptions

__all__ = [
    "MM",
    "SCHEMA",
    "as_json",
    "bar_as_json",
    "decided_json",
    "decided_told",
    "plain",
    "schema",
]


MM = Say("mm")


def as_json(
    result: Result, decided: Decision | None = None, advice: Advice | None = None
) -> dict[str, Any]:
    """The result as plain values: mm, s, o'clock as hours; None where there is no number. See
    `schema`.

    Without `decided` it is nominal only: no verdict. With `advice` what to measure or look
    at stands under `to_settle`, changes as sure as asked under `remedies`, and `remedies_bind` says
    why there is none.
    """
    return plain(_result(result, decided, advice, None))


def bar_as_json(
    on_bar: Sequence[OnBar], decided: Decision | None = None, advice: Advice | None = None
) -> dict[str, Any]:
    """The job with the figures of its worst bore, and under `bores` a line for each; the verdict is
    that of all together.
    """
    bores = None
    if len(on_bar) > 1:
        each = decided.bores if decided is not None else [None] * len(on_bar)
        bores = tuple(_bore(one, alone) for one, alone in zip(on_bar, each, strict=True))
    return plain(_result(worst_bore(on_bar, decided).result, decided, advice, bores))


def decided_json(decided: Decision | None) -> dict[str, Any]:
    """The verdict on a whole job as plain values; None for each where nothing was drawn."""
    return plain(decided_told(decided))


def schema() -> dict[str, Any]:
    """JSON Schema of the result."""
    return declared.schema_of(ResultTold, {})


def plain(figures: Any) -> dict[str, Any]:
    """What is told of a result as plain values; what is remarked in it speaks in mm."""
    return declared.as_json(figures, MM, {})


def _result(
    result: Result,
    decided: Decision | None,
    advice: Advice | None,
    bores: tuple[BoreTold, ...] | None,
) -> ResultTold:
    return ResultTold(
        **vars(_planned(result)),
        **vars(decided_told(decided)),
        **vars(_advice(advice)),
        bores=bores,
    )


def _planned(result: Result) -> PlannedTold:
    least, poorest, left = result.stock.spot, result.poorest_tie_in.spot, result.weld_left.spot
    p5, p50, p95 = result.percentiles
    return PlannedTold(
        schema=SCHEMA,
        version=VERSION,
        digest=digest(result.scene),
        minimum=least.value,
        error=result.stock_error,
        at=_at(least),
        band=band(result),
        poorest=poorest.value,
        poorest_at=_at(poorest),
        pessimist=poorest.value,
        pessimist_at=_at(poorest),
        unseen=_or_nan(result.unseen),
        minimum_cut=result.scene.cut.minimum_cut,
        limits=final_limits(result.scene.bore),
        mean_stock=result.mean_stock,
        p5=p5,
        p50=p50,
        p95=p95,
        weld_left=WeldLeftTold(left.value, _at(left)),
        layers=tuple(_layer(result, layer) for layer in result.layers),
        low_spots=tuple(_spot(spot) for spot in result.low_spots),
        thin_spots=tuple(_spot(spot) for spot in result.thin_spots),
        warnings=result.warnings,
        assumptions=tuple(AssumptionTold(**row) for row in assumptions(result)),
    )


def _at(spot: Spot) -> PlaceTold:
    return PlaceTold(spot.depth, spot.clock)


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def _layer(result: Result, layer: Layer) -> LayerTold:
    s, scene = layer.setting, result.scene
    spiral = s.plan.advance == "spiral"
    return LayerTold(
        pitch=s.path.pitch,
        advance=s.plan.advance,
        turning=s.plan.turning,
        feed=s.plan.feed,
        rotation=s.rotation,
        turn_time=TURN / s.rotation,
        travel=s.travel,
        wire_feed=s.plan.wire_feed,
        bead_width=s.bead.width,
        bead_height=s.bead.height,
        turns=s.path.turns,
        start_depth=float(s.path.depth[0]),
        end_depth=float(s.path.depth[-1]),
        start_clock=s.path.start_clock,
        closing_start=s.plan.closing_start if spiral else 0,
        closing_end=s.plan.closing_end if spiral else 0,
        q=s.q,
        radius=s.radius,
        mean_thickness=layer.mean_thickness,
        ripple=layer.ripple,
        ripple_clock=layer.ripple_clock,
        waviness=_waviness(result, layer),
        gauge=GaugeTold(*layer.gauge),
        valley=layer.valley,
        volume=layer.volume,
        lost=layer.lost,
        wire=wire_used(scene, s),
        mass=layer.volume * scene.wire.density,
        arc_time=arc_time(s),
    )


def _waviness(result: Result, layer: Layer) -> WavinessTold:
    """Profile parameters along the clock of the largest ripple, or of the least stock where there
    are few turns.
    """
    clock = result.stock.spot.clock if math.isnan(layer.ripple_clock) else layer.ripple_clock
    told = waviness_at(layer.wall, clock, *interior(layer.setting, result.scene.bore.length))
    return WavinessTold(told.wa, told.wq, told.wt)


def _spot(spot: LowSpot) -> SpotTold:
    whole = spot.clock_to - spot.clock_from >= TURN - 1e-9
    return SpotTold(
        area=spot.area,
        deepest=-spot.stock,
        at=PlaceTold(spot.at_depth, spot.at_clock),
        clock_from=oclock(spot.clock_from),
        clock_to=12.0 if whole else oclock(spot.clock_to),
        depth_from=spot.depth_from,
        depth_to=spot.depth_to,
        cause=spot.cause,
    )


def decided_told(decided: Decision | None) -> DecidedTold:
    """The verdict on a whole job; None for each where nothing was drawn."""
    if decided is None:
        return DecidedTold(
            verdict=None, clean_up_of_100=None, least_stock=None, open=None, rests_on=None
        )
    return DecidedTold(
        verdict=decided.verdict,
        clean_up_of_100=_of_100(decided.clean_up_of_100),
        least_stock=_least(decided.least_stock),
        open=_open(decided.open),
        rests_on=decided.rests_on,
    )


def _of_100(n: OutOf100) -> OutOf100Told:
    return OutOf100Told(n.value, n.low, n.high, n.asked, n.draws)


def _least(least: LeastStock) -> LeastStockTold:
    return LeastStockTold(least.planned, least.typical, least.bad)


def _open(stands: Sequence[Open]) -> tuple[OpenTold, ...]:
    return tuple(OpenTold(one.what, one.closes) for one in stands)


def _advice(advice: Advice | None) -> AdviceTold:
    if advice is None:
        return AdviceTold(settle=None, remedies=None, binds=None)
    return AdviceTold(
        settle=tuple(SettleTold(one.what, one.decides) for one in advice.settle),
        remedies=tuple(_remedy(one) for one in advice.remedies),
        binds="" if advice.binds is None else in_words(advice.binds, MM),
    )


def _remedy(remedy: Remedy) -> RemedyTold:
    after = remedy.result
    return RemedyTold(
        words=remedy.words,
        change=dict(remedy.change),
        works=True,
        **vars(decided_told(remedy.decided)),
        minimum=after.stock.spot.value,
        pessimist=after.poorest_tie_in.spot.value,
        extra_wire=remedy.extra_wire,
        extra_time=remedy.extra_time,
        extra_cost=_or_nan(remedy.extra_cost),
    )


def _bore(one: OnBar, alone: BoreDecided | None) -> BoreTold:
    least = one.result.stock.spot
    return BoreTold(
        name=one.name,
        along=one.along,
        verdict=None if alone is None else alone.verdict,
        clean_up_of_100=math.nan if alone is None else alone.clean_up_of_100,
        least_stock=None if alone is None else _least(alone.least_stock),
        open=None if alone is None else _open(alone.open),
        minimum=least.value,
        at=_at(least),
    )
