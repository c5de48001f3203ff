"""The JSON contract of a result, and its schema."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from typing import Any

from sim.bore.low_spots import LowSpot
from sim.bore.ripple import waviness_at
from sim.bore.stock import Spot
from sim.job.change import digest
from sim.job.checks import final_limits
from sim.plan.odds.verdict import BoreDecided, Decision, LeastStock, worst_bore
from sim.plan.remedies.advice import Advice, Remedy
from sim.reference.sizes_in_words import Say
from sim.reference.units import oclock
from sim.set_up.layers import arc_time, wire_used
from sim.shop.finish import interior
from sim.shop.judge import CLEANS_UP, VERDICTS
from sim.shop.result import Layer, Result
from sim.shop.several_bores import OnBar
from sim.tell.remarks import told as in_words
from sim.tell.verdict import band
from sim.tell.where_from import assumptions

SCHEMA = 1


VERSION = "0.1.0"


def as_json(
    result: Result, decided: Decision | None = None, advice: Advice | None = None
) -> dict[str, Any]:
    """The result as plain values: mm, s, o'clock as hours; None where there is no number. See
    `schema`.

    Without `decided` it is nominal only: no verdict. With `advice` what to measure or look
    at stands under `to_settle`, changes as sure as asked under `remedies`, and `remedies_bind` says
    why there is none.
    """
    told = _as_json(result) | decided_json(decided)
    if advice is not None:
        told |= advice_json(advice)
    return told


def bar_as_json(
    on_bar: Sequence[OnBar], decided: Decision | None = None, advice: Advice | None = None
) -> dict[str, Any]:
    """The job with the figures of its worst bore, and under `bores` a line for each; the verdict is
    that of all together.
    """
    told = as_json(worst_bore(on_bar, decided).result, decided, advice)
    if len(on_bar) > 1:
        each = decided.bores if decided is not None else [None] * len(on_bar)
        told["bores"] = [_bore_json(one, alone) for one, alone in zip(on_bar, each, strict=True)]
    return told


def advice_json(advice: Advice) -> dict[str, Any]:
    """Remedies and what settles it as plain values; `remedies_bind` says why where there is none."""
    say = Say("mm")
    return {
        "to_settle": [
            {"words": in_words(one.what, say), "decides": one.decides} for one in advice.settle
        ],
        "remedies": [_remedy_json(one, say) for one in advice.remedies],
        "remedies_bind": "" if advice.binds is None else in_words(advice.binds, say),
    }


def _remedy_json(one: Remedy, say: Say) -> dict[str, Any]:
    after = one.result
    return {
        "words": in_words(one.words, say),
        "change": dict(one.change),
        "works": True,
        **decided_json(one.decided),
        "minimum_stock_mm": after.stock.spot.value,
        "pessimist_minimum_stock_mm": after.poorest_tie_in.spot.value,
        "extra_wire_mm3": one.extra_wire,
        "extra_arc_time_s": one.extra_time,
        "extra_cost": one.extra_cost,
    }


def _as_json(result: Result) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(result.scene),
        "minimum_stock_mm": result.stock.spot.value,
        "minimum_stock_error_mm": result.stock_error,
        "minimum_stock_at": _at(result.stock.spot),
        "minimum_stock_band_mm": band(result),
        "poorest_tie_in_minimum_stock_mm": result.poorest_tie_in.spot.value,
        "poorest_tie_in_minimum_stock_at": _at(result.poorest_tie_in.spot),
        "pessimist_minimum_stock_mm": result.poorest_tie_in.spot.value,
        "pessimist_minimum_stock_at": _at(result.poorest_tie_in.spot),
        "unseen_minimum_stock_mm": result.unseen,
        "minimum_cut_mm": result.scene.cut.minimum_cut,
        "final_diameter_limits_mm": list(final_limits(result.scene.bore)),
        "mean_stock_mm": result.mean_stock,
        "stock_p5_mm": result.percentiles[0],
        "stock_p50_mm": result.percentiles[1],
        "stock_p95_mm": result.percentiles[2],
        "weld_left_mm": {"min": result.weld_left.spot.value, "at": _at(result.weld_left.spot)},
        "layers": [_layer(result, layer) for layer in result.layers],
        "low_spots": [_low_spot(spot) for spot in result.low_spots],
        "thin_spots": [_low_spot(spot) for spot in result.thin_spots],
        "warnings": list(result.warnings),
        "assumptions": assumptions(result),
    }


def _at(spot: Spot) -> dict[str, float]:
    return {"depth_mm": spot.depth, "oclock": oclock(spot.clock)}


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _layer(result: Result, layer: Layer) -> dict[str, Any]:
    s, scene = layer.setting, result.scene
    return {
        "pitch_mm": s.path.pitch,
        "advance": s.plan.advance,
        "turning": s.plan.turning,
        "feed": s.plan.feed,
        "rotation_rpm": s.rotation * 30.0 / math.pi,
        "seconds_per_turn": 2.0 * math.pi / s.rotation,
        "travel_mm_per_min": 60.0 * s.travel,
        "wire_feed_m_per_min": 0.06 * s.plan.wire_feed,
        "bead_width_mm": s.bead.width,
        "bead_height_mm": s.bead.height,
        "turns": s.path.turns,
        "start_depth_mm": float(s.path.depth[0]),
        "end_depth_mm": float(s.path.depth[-1]),
        "start_oclock": oclock(s.path.start_clock),
        "closing_turns_start": s.plan.closing_start if s.plan.advance == "spiral" else 0,
        "closing_turns_end": s.plan.closing_end if s.plan.advance == "spiral" else 0,
        "q_mm3_per_rad": s.q,
        "mean_radius_before_mm": s.radius,
        "mean_thickness_mm": layer.mean_thickness,
        "ripple_mm": _number(layer.ripple),
        "ripple_at_oclock": None if math.isnan(layer.ripple_clock) else oclock(layer.ripple_clock),
        "waviness_mm": _waviness(result, layer),
        "gauge_diameter_mm": {"min": layer.gauge[0], "max": layer.gauge[1]},
        "valley_diameter_mm": layer.valley,
        "volume_mm3": layer.volume,
        "lost_volume_mm3": layer.lost,
        "wire_mm3": wire_used(scene, s),
        "mass_g": layer.volume * scene.wire.density,
        "arc_time_s": arc_time(s),
    }


def _waviness(result: Result, layer: Layer) -> dict[str, float]:
    """Profile parameters along the clock of the largest ripple, or of the least stock where there
    are few turns.
    """
    clock = result.stock.spot.clock if math.isnan(layer.ripple_clock) else layer.ripple_clock
    told = waviness_at(layer.wall, clock, *interior(layer.setting, result.scene.bore.length))
    return {"wa": told.wa, "wq": told.wq, "wt": told.wt}


def _low_spot(spot: LowSpot) -> dict[str, Any]:
    whole = spot.clock_to - spot.clock_from >= 2.0 * math.pi - 1e-9
    return {
        "area_mm2": spot.area,
        "deepest_mm": -spot.stock,
        "deepest_at": {"depth_mm": spot.at_depth, "oclock": oclock(spot.at_clock)},
        "oclock_from": oclock(spot.clock_from),
        "oclock_to": 12.0 if whole else oclock(spot.clock_to),
        "depth_from_mm": spot.depth_from,
        "depth_to_mm": spot.depth_to,
        "cause": spot.cause,
    }


NUMBER, TEXT, MAYBE = {"type": "number"}, {"type": "string"}, {"type": ["number", "null"]}


def schema() -> dict[str, Any]:
    """JSON Schema of the result."""
    figures = (
        "minimum_stock_error_mm", "poorest_tie_in_minimum_stock_mm", "minimum_cut_mm",
        "mean_stock_mm", "stock_p5_mm", "stock_p50_mm", "stock_p95_mm",
    )  # fmt: skip
    place = _place()
    told = _object(
        schema={"const": SCHEMA},
        **dict.fromkeys(("tool_version", "scene_digest"), TEXT),
        **_decided_schema(),
        **dict.fromkeys(figures, NUMBER),
        **dict.fromkeys(("minimum_stock_at", "poorest_tie_in_minimum_stock_at"), place),
        minimum_stock_mm=_old("number", "least_stock_mm.planned"),
        minimum_stock_band_mm=_old("number", "least_stock_mm.typical and .bad"),
        pessimist_minimum_stock_mm=_old("number", "poorest_tie_in_minimum_stock_mm"),
        pessimist_minimum_stock_at=place | _old("object", "poorest_tie_in_minimum_stock_at"),
        unseen_minimum_stock_mm=MAYBE,
        final_diameter_limits_mm={"type": "array", "items": NUMBER, "minItems": 2, "maxItems": 2},
        weld_left_mm=_object(min=NUMBER, at=place),
        layers={"type": "array", "items": _layer_schema()},
        low_spots={"type": "array", "items": _spot_schema()},
        thin_spots={"type": "array", "items": _spot_schema()},
        warnings={"type": "array", "items": TEXT},
        assumptions={
            "type": "array",
            "items": _object(what=TEXT, value=NUMBER, unit=TEXT, how_known=TEXT, source=TEXT),
        },
    )
    told["properties"] |= {"bores": {"type": "array", "items": _bore_schema()}}
    told["properties"] |= {
        "to_settle": {
            "type": "array",
            "items": _object(words=TEXT, decides={"type": "boolean"}),
        },
        "remedies": {"type": "array", "items": _remedy_schema()},
        "remedies_bind": TEXT,
    }
    return told


def _place() -> dict[str, Any]:
    return _object(depth_mm=NUMBER, oclock=NUMBER)


def _spot_schema() -> dict[str, Any]:
    """A low spot."""
    return _object(
        area_mm2=NUMBER,
        deepest_mm=NUMBER,
        deepest_at=_place(),
        oclock_from=NUMBER,
        oclock_to=NUMBER,
        depth_from_mm=NUMBER,
        depth_to_mm=NUMBER,
        cause=TEXT,
    )


def _layer_schema() -> dict[str, Any]:
    """A layer."""
    return _object(
        **dict.fromkeys(("advance", "turning", "feed"), TEXT),
        **dict.fromkeys(("ripple_mm", "ripple_at_oclock"), MAYBE),
        gauge_diameter_mm=_object(min=NUMBER, max=NUMBER),
        waviness_mm=_object(wa=NUMBER, wq=NUMBER, wt=NUMBER),
        **dict.fromkeys((
            "pitch_mm", "rotation_rpm", "seconds_per_turn", "travel_mm_per_min", "wire_feed_m_per_min", "bead_width_mm",
            "bead_height_mm", "turns", "start_depth_mm", "end_depth_mm", "start_oclock",
            "closing_turns_start", "closing_turns_end",
            "q_mm3_per_rad", "mean_radius_before_mm", "mean_thickness_mm", "valley_diameter_mm",
            "volume_mm3", "lost_volume_mm3",
            "wire_mm3", "mass_g", "arc_time_s",
        ), NUMBER),
    )  # fmt: skip


def _remedy_schema() -> dict[str, Any]:
    """A remedy."""
    return _object(
        change={"type": "object"},
        works={"const": True} | _old("boolean", "every remedy told works"),
        words=TEXT,
        extra_cost=MAYBE,
        **_decided_schema(),
        **dict.fromkeys(("minimum_stock_mm", "extra_wire_mm3", "extra_arc_time_s"), NUMBER),
        pessimist_minimum_stock_mm=_old("number", "no verdict rests on it"),
    )


def _bore_schema() -> dict[str, Any]:
    """One bore of a bar."""
    alone = _decided_schema() | {"clean_up_of_100": MAYBE}
    alone.pop("rests_on")
    return _object(
        name=TEXT,
        along_mm=NUMBER,
        **alone,
        minimum_stock_mm=_old("number", "least_stock_mm.planned"),
        minimum_stock_at=_place(),
    )


def _object(**properties: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def decided_json(decided: Decision | None) -> dict[str, Any]:
    """The verdict on a whole job as plain values; None for each where nothing was drawn."""
    if decided is None:
        return dict.fromkeys(("verdict", "clean_up_of_100", "least_stock_mm", "open", "rests_on"))
    return {
        "verdict": decided.verdict,
        "clean_up_of_100": dataclasses.asdict(decided.clean_up_of_100),
        "least_stock_mm": _least_json(decided.least_stock),
        "open": [{"what": one.what, "closes": one.closes} for one in decided.open],
        "rests_on": list(decided.rests_on),
    }


def _least_json(least: LeastStock) -> dict[str, float | None]:
    return {name: _number(value) for name, value in dataclasses.asdict(least).items()}


def _bore_json(one: OnBar, alone: BoreDecided | None) -> dict[str, Any]:
    return {
        "name": one.name,
        "along_mm": one.along,
        "verdict": None if alone is None else alone.verdict,
        "clean_up_of_100": None if alone is None else alone.clean_up_of_100,
        "least_stock_mm": None if alone is None else _least_json(alone.least_stock),
        "open": None
        if alone is None
        else [{"what": o.what, "closes": o.closes} for o in alone.open],
        "minimum_stock_mm": one.result.stock.spot.value,
        "minimum_stock_at": _at(one.result.stock.spot),
    }


def _decided_schema() -> dict[str, Any]:
    """What `decided_json` gives: null where nothing was drawn, so that there is no verdict."""
    number, text = {"type": "number"}, {"type": "string"}
    maybe = {"type": ["number", "null"]}
    stands = {"type": "array", "items": _object(what=text, closes=text)}
    return {
        "verdict": {
            "enum": [*VERDICTS, None],
            "description": "of the whole job: nobody but " + CLEANS_UP + " is a yes",
        },
        "clean_up_of_100": _or_null(
            _object(value=number, low=number, high=number, asked=number, draws=number)
        ),
        "least_stock_mm": _or_null(_object(planned=number, typical=maybe, bad=maybe)),
        "open": _or_null(stands),
        "rests_on": _or_null({"type": "array", "items": TEXT}),
    }


def _or_null(what: Mapping[str, Any]) -> dict[str, Any]:
    return {"anyOf": [dict(what), {"type": "null"}]}


def _old(kind: str, now: str) -> dict[str, Any]:
    """A key that stays for one release."""
    return {
        "type": kind,
        "deprecated": True,
        "description": f"goes with the next release; use {now}",
    }
