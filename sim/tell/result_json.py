"""The JSON contract of a result, and its schema."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from sim.bore.low_spots import LowSpot
from sim.bore.ripple import waviness_at
from sim.bore.stock import Spot
from sim.job.change import digest
from sim.job.checks import final_limits
from sim.plan.remedies.advice import Advice, Remedy
from sim.reference.units import oclock
from sim.set_up.layers import arc_time, wire_used
from sim.shop.finish import interior
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, THIN
from sim.shop.result import Layer, Result
from sim.shop.several_bores import OnBar, worst_bore, worst_verdict
from sim.tell.verdict import band
from sim.tell.where_from import assumptions

SCHEMA = 1


VERSION = "0.1.0"


def as_json(result: Result, advice: Advice | None = None) -> dict[str, Any]:
    """The result as plain values: mm, s, o'clock as hours; None where there is no number. See
    `schema`.

    With `advice` the remedies stand under `remedies`, and `remedies_bind` says why when none works.
    """
    told = _as_json(result)
    if advice is not None:
        told["remedies"] = [_remedy(one) for one in advice.remedies]
        told["remedies_bind"] = advice.binds
    return told


def bar_as_json(on_bar: Sequence[OnBar], advice: Advice | None = None) -> dict[str, Any]:
    """The result of the worst bore on the bar, and under `bores` a line for each; `verdict` is the
    bar's.
    """
    told = as_json(worst_bore(on_bar).result, advice)
    told["verdict"] = worst_verdict(on_bar)
    if len(on_bar) > 1:
        told["bores"] = [
            {
                "name": one.name,
                "along_mm": one.along,
                "verdict": one.result.verdict,
                "minimum_stock_mm": one.result.stock.spot.value,
                "minimum_stock_at": _at(one.result.stock.spot),
            }
            for one in on_bar
        ]
    return told


def _remedy(remedy: Remedy) -> dict[str, Any]:
    after = remedy.result
    return {
        "words": remedy.words,
        "change": dict(remedy.change),
        "works": remedy.works,
        "verdict": after.verdict,
        "minimum_stock_mm": after.stock.spot.value,
        "pessimist_minimum_stock_mm": after.pessimist.spot.value,
        "extra_wire_mm3": remedy.extra_wire,
        "extra_arc_time_s": remedy.extra_time,
    }


def _as_json(result: Result) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(result.scene),
        "verdict": result.verdict,
        "minimum_stock_mm": result.stock.spot.value,
        "minimum_stock_error_mm": result.stock_error,
        "minimum_stock_at": _at(result.stock.spot),
        "minimum_stock_band_mm": band(result),
        "pessimist_minimum_stock_mm": result.pessimist.spot.value,
        "pessimist_minimum_stock_at": _at(result.pessimist.spot),
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


def schema() -> dict[str, Any]:
    """JSON Schema of the result."""
    number, text = {"type": "number"}, {"type": "string"}
    maybe = {"type": ["number", "null"]}
    place = _object(depth_mm=number, oclock=number)
    spot = _object(
        area_mm2=number,
        deepest_mm=number,
        deepest_at=place,
        oclock_from=number,
        oclock_to=number,
        depth_from_mm=number,
        depth_to_mm=number,
        cause=text,
    )
    layer = _object(
        **dict.fromkeys(("advance", "turning", "feed"), text),
        **dict.fromkeys(("ripple_mm", "ripple_at_oclock"), maybe),
        gauge_diameter_mm=_object(min=number, max=number),
        waviness_mm=_object(wa=number, wq=number, wt=number),
        **dict.fromkeys((
            "pitch_mm", "rotation_rpm", "seconds_per_turn", "travel_mm_per_min", "wire_feed_m_per_min", "bead_width_mm",
            "bead_height_mm", "turns", "start_depth_mm", "end_depth_mm", "start_oclock", "closing_turns_start", "closing_turns_end",
            "q_mm3_per_rad", "mean_radius_before_mm", "mean_thickness_mm", "valley_diameter_mm", "volume_mm3", "lost_volume_mm3",
            "wire_mm3", "mass_g", "arc_time_s",
        ), number),
    )  # fmt: skip
    figures = (
        "minimum_stock_mm", "minimum_stock_error_mm", "minimum_stock_band_mm", "pessimist_minimum_stock_mm", "minimum_cut_mm",
        "mean_stock_mm", "stock_p5_mm", "stock_p50_mm", "stock_p95_mm",
    )  # fmt: skip
    remedy = _object(
        change={"type": "object"},
        works={"type": "boolean"},
        **dict.fromkeys(("words", "verdict"), text),
        **dict.fromkeys(
            (
                "minimum_stock_mm",
                "pessimist_minimum_stock_mm",
                "extra_wire_mm3",
                "extra_arc_time_s",
            ),
            number,
        ),
    )
    told = _object(
        schema={"const": SCHEMA},
        **dict.fromkeys(("tool_version", "scene_digest"), text),
        verdict={"enum": [CLEANS_UP, THIN, FALLS_SHORT, NOT_PROVEN]},
        **dict.fromkeys(figures, number),
        **dict.fromkeys(("minimum_stock_at", "pessimist_minimum_stock_at"), place),
        unseen_minimum_stock_mm=maybe,
        final_diameter_limits_mm={"type": "array", "items": number, "minItems": 2, "maxItems": 2},
        weld_left_mm=_object(min=number, at=place),
        layers={"type": "array", "items": layer},
        low_spots={"type": "array", "items": spot},
        thin_spots={"type": "array", "items": spot},
        warnings={"type": "array", "items": text},
        assumptions={
            "type": "array",
            "items": _object(what=text, value=number, unit=text, how_known=text, source=text),
        },
    )
    bore = _object(
        name=text, along_mm=number, verdict=text, minimum_stock_mm=number, minimum_stock_at=place
    )
    told["properties"] |= {"bores": {"type": "array", "items": bore}}
    told["properties"] |= {"remedies": {"type": "array", "items": remedy}, "remedies_bind": text}
    return told


def _object(**properties: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }
