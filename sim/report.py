"""What the result says: the JSON contract and the foreman's note. The one place that words a verdict."""

from __future__ import annotations

import csv
import dataclasses
import io
import math
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from sim import layup
from sim.bar import OnBar, best_line, worst_verdict
from sim.cautions import CAUTION as CAUTION
from sim.describe import Form
from sim.finish import LowSpot, Spot, stock_map
from sim.form import Axis, Circle
from sim.job import SECTIONS, SHOP, Scene, SceneError
from sim.remedy import Advice, Remedy
from sim.scene import digest, final_limits, write_whole
from sim.simulate import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, THIN, Layer, Result, interior
from sim.sources import ASSUMED, DEFAULTS, DERIVED, MEASURED, PUBLISHED, default
from sim.texture import waviness_at
from sim.units import INCH, clock_text, oclock

SCHEMA = 1
VERSION = "0.1.0"


# ---- the JSON contract --------------------------------------------------------------------------------------


def as_json(result: Result, advice: Advice | None = None) -> dict[str, Any]:
    """The result as plain values: mm, s, o'clock as hours; None where there is no number. See `schema`.

    With `advice` the remedies stand under `remedies`, and `remedies_bind` says why when none works.
    """
    told = _as_json(result)
    if advice is not None:
        told["remedies"] = [_remedy(one) for one in advice.remedies]
        told["remedies_bind"] = advice.binds
    return told


def bar_as_json(on_bar: Sequence[OnBar], advice: Advice | None = None) -> dict[str, Any]:
    """The result of the worst bore on the bar, and under `bores` a line for each; `verdict` is the bar's."""
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


def worst_bore(on_bar: Sequence[OnBar]) -> OnBar:
    """The bore with the least stock per side."""
    return min(on_bar, key=lambda one: one.result.stock.spot.value)


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
        "wire_mm3": layup.wire_used(scene, s),
        "mass_g": layer.volume * scene.wire.density,
        "arc_time_s": layup.arc_time(s),
    }


def _waviness(result: Result, layer: Layer) -> dict[str, float]:
    """Profile parameters along the clock of the largest ripple, or of the least stock where there are few turns."""
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


def band(result: Result) -> float:
    """How far the minimum may well lie off [mm per side], about 95 times in 100, from metal laid alone.

    Twice the root of squares of: common-cause error on the whole thickness, bead-to-bead error on the last
    bead's height. Axes, readings and tie-in come on top. Derived from the spreads of the scene.
    """
    thickness = sum(layer.mean_thickness for layer in result.layers)
    common = result.scene.spread.common * thickness
    single = result.scene.spread.height * result.layers[-1].setting.bead.height
    return 2.0 * math.hypot(common, single)


def assumptions(result: Result) -> list[dict[str, Any]]:
    """Everything the answer rests on besides the scene's own figures: what, value, unit, how known, source."""
    out = [_assumption(name) for name in _defaults_used(result)]
    scene = result.scene
    speeds = [60.0 * s.travel for s in result.settings]
    if scene.process.gravity is None:
        out.append(_row("gravity coefficient of bead height", result.settings[-1].gravity, "1", PUBLISHED, "fit to the table behind a published bead-height model (Krinke 2023), 400 to 640 mm/min; 69 % of the clock extrapolated" if min(speeds) >= 399.5 and max(speeds) <= 640.5 else "run on from a published table (Krinke 2023) outside its 400 to 640 mm/min: extrapolated"))
    if scene.bead is None:
        known = DEFAULTS["bead.aspect"]
        out.append(_row("bead width over height", known.value, "1", ASSUMED, f"nobody measured the bead; {known.low:g} to {known.high:g} is usual"))
    else:
        out.append(_row("bead width at the plate's settings", scene.bead.width, "mm", MEASURED, "bead on plate, in the scene"))
        out.append(_row("bead height away from the plate's settings", 0.0, "1", PUBLISHED, "(wire feed)^0.48 (travel)^-0.30, 16 published ER70S-6 settings, rms 5.6 %"))
    out.append(_row("tie-in of the last layer, as the pessimist lays it", result.tie_in.pessimist, "1", MEASURED if result.tie_in.measured else ASSUMED, "low end of what the pad says" if result.tie_in.measured else "worst of the possible range"))
    out.append(_row("weld shrinkage and distortion", 0.0, "mm", ASSUMED, "not computed"))
    out.append(_row("build-up law inside a bore", 0.0, "1", DERIVED, "conservation of volume; never measured inside a bore"))
    return out


def _row(what: str, value: float, unit: str, how: str, source: str) -> dict[str, Any]:
    return {"what": what, "value": value, "unit": unit, "how_known": how, "source": source}


def _assumption(name: str) -> dict[str, Any]:
    known = DEFAULTS[name]
    return _row(name, known.value, known.unit, known.basis, f"{known.source}; {known.low:g} to {known.high:g}")


def _defaults_used(result: Result) -> list[str]:
    """Defaults whose value stands in the scene unchanged."""
    out = []
    for section in SECTIONS:
        if section in ("spread", "confidence", "plan", "reading_after", "update", *SHOP):  # said with what they rule
            continue
        held = getattr(result.scene, section)
        for item in held if isinstance(held, tuple) else (() if held is None else (held,)):
            for f in dataclasses.fields(item):
                known = f.metadata.get("known")
                if known and known not in out and getattr(item, f.name) == f.default:
                    out.append(known)
    return [name for name in out if name not in _idle(result)]


def _idle(result: Result) -> set[str]:
    """Defaults that this job does not use."""
    worn, layers = result.scene.worn, result.scene.layer
    out = {"process.tie_in"} if result.tie_in.measured else set()
    out |= set() if worn.bell_entry else {"worn.bell_entry_length"}
    out |= set() if worn.bell_far else {"worn.bell_far_length"}
    out |= set() if any(plan.advance == "step" for plan in layers) else {"layer.step_over"}
    out |= set() if any(plan.advance == "spiral" for plan in layers) else {"layer.closing_start", "layer.closing_end"}
    return out


def schema() -> dict[str, Any]:
    """JSON Schema of the result."""
    number, text = {"type": "number"}, {"type": "string"}
    maybe = {"type": ["number", "null"]}
    place = _object(depth_mm=number, oclock=number)
    spot = _object(area_mm2=number, deepest_mm=number, deepest_at=place, oclock_from=number, oclock_to=number, depth_from_mm=number, depth_to_mm=number, cause=text)
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
        **dict.fromkeys(("minimum_stock_mm", "pessimist_minimum_stock_mm", "extra_wire_mm3", "extra_arc_time_s"), number),
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
        assumptions={"type": "array", "items": _object(what=text, value=number, unit=text, how_known=text, source=text)},
    )
    bore = _object(name=text, along_mm=number, verdict=text, minimum_stock_mm=number, minimum_stock_at=place)
    told["properties"] |= {"bores": {"type": "array", "items": bore}}
    told["properties"] |= {"remedies": {"type": "array", "items": remedy}, "remedies_bind": text}
    return told


def _object(**properties: Any) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(properties), "additionalProperties": False}


# ---- sizes in words -------------------------------------------------------------------------------------------


@dataclasses.dataclass(frozen=True)
class Say:
    """Sizes in the job's units.

    >>> Say("in").size(INCH), Say("mm").size(-0.304, 2)
    ('1.000 in', '-0.30 mm')
    """

    units: str

    def size(self, mm: float, digits: int = 2) -> str:
        """A length; `digits` decimals of a millimetre, one more of an inch."""
        if self.units == "in":
            return f"{mm / INCH:.{digits + 1}f} in"
        return f"{mm:.{digits}f} mm"

    def estimate(self, mm: float, off: float) -> str:
        """An estimate per side with its band, rounded so that it claims no more than is known."""
        step = 10.0 ** math.floor(math.log10(max(off, 0.01) / 2.0))
        digits = max(0, -round(math.log10(step)))
        if self.units == "in":
            return f"{mm / INCH:.{digits + 1}f} in per side (give or take {off / INCH:.{digits + 1}f} in)"
        return f"{mm:.{digits}f} mm per side (give or take {off:.{digits}f} mm)"

    def travel(self, mm_per_s: float) -> str:
        """A travel speed."""
        per_minute = 60.0 * mm_per_s
        return f"{per_minute / INCH:.1f} in/min" if self.units == "in" else f"{per_minute:.0f} mm/min"

    def wire(self, mm_per_s: float) -> str:
        """A wire feed."""
        per_minute = 60.0 * mm_per_s
        return f"{per_minute / INCH:.0f} in/min" if self.units == "in" else f"{per_minute / 1000:.2f} m/min"

    def temperature(self, celsius: float) -> str:
        """A temperature."""
        return f"{celsius * 1.8 + 32.0:.0f} F" if self.units == "in" else f"{celsius:.0f} C"

    def energy(self, kj_per_mm: float) -> str:
        """Heat input or arc energy per length."""
        return f"{kj_per_mm * INCH:.1f} kJ/in" if self.units == "in" else f"{kj_per_mm:.2f} kJ/mm"

    def mass(self, gram: float) -> str:
        """A mass."""
        return f"{gram / 453.59237:.2f} lb" if self.units == "in" else f"{gram / 1000:.2f} kg"


# ---- the foreman's note --------------------------------------------------------------------------------------------


_SIZE = re.compile(r"(?P<one>\d+(?:\.\d+)?)(?: to (?P<other>\d+(?:\.\d+)?))? (?P<unit>mm/min|mm2|mm)\b")
_INCHES = {"mm/min": (INCH, 1, "in/min"), "mm2": (INCH**2, 4, "in2"), "mm": (INCH, 3, "in")}


def told_in(words: str, units: str) -> str:
    """Words that were made with sizes in mm, in the units of the job.

    >>> told_in("pitch 2.01 mm, travel 400 to 440 mm/min", "in")
    'pitch 0.079 in, travel 15.7 to 17.3 in/min'
    """

    def inches(found: re.Match[str]) -> str:
        factor, digits, unit = _INCHES[found["unit"]]
        numbers = [f"{float(found[part]) / factor:.{digits}f}" for part in ("one", "other") if found[part] is not None]
        return f"{' to '.join(numbers)} {unit}"

    return _SIZE.sub(inches, words) if units == "in" else words


def verdict_lines(result: Result) -> list[str]:
    """The verdict and why, in a few sentences that can be read aloud."""
    say, off = Say(result.scene.job.units), band(result)
    spot, verdict = result.stock.spot, result.verdict
    low, high = final_limits(result.scene.bore)
    size = say.size(low, 3) if high - low < 1e-9 else f"{say.size(low, 3)} (lower limit; upper {say.size(high, 3)})"
    where = f"{clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} from the entry face"
    least = say.estimate(abs(spot.value), off)
    opening = {
        CLEANS_UP: f"the cut to {size} finds metal everywhere. Least stock: {least}, at {where}.",
        THIN: f"there is metal everywhere for {size}, but not enough: {least}, at {where}; the least cut asked for is {say.size(result.scene.cut.minimum_cut)} per side.",
        FALLS_SHORT: f"the cut to {size} leaves black metal. Worst at {where}: short by {least}.",
        NOT_PROVEN: f"for {size} the model finds a least stock of {least}, at {where}, but it cannot be promised.",
    }[verdict]
    lines = [f"On the numbers given: {verdict.upper()} - {opening}", _pessimist_line(result, say)]
    return [line for line in lines if line]


def _pessimist_line(result: Result, say: Say) -> str:
    p, verdict = result.pessimist.spot, result.verdict
    amount = f"{say.size(p.value)} per side" if p.value >= 0 else f"{say.size(-p.value)} per side short"
    figure = f"{amount} at {clock_text(p.clock)} o'clock, {say.size(p.depth, 0)} deep"
    if verdict == NOT_PROVEN and result.scene.bead is None:
        return f"Not proven because nobody measured the bead. With the poorest tie-in of the last layer: {figure}."
    if verdict == NOT_PROVEN and result.scene.readings is not None and result.scene.readings.warm:
        return f"Not proven because the part was warm when it was gauged. With the poorest tie-in of the last layer: {figure}."
    if verdict == NOT_PROVEN and result.unseen is not None and result.unseen < 0.0 <= p.value:
        return f"Not proven because the gauge cannot see wear to one side: at worst {say.size(-result.unseen)} per side short."
    if verdict == NOT_PROVEN:
        return f"Not proven because with the poorest tie-in of the last layer it would be {figure}: weld a pad of five beads and measure it."
    if p.value < result.scene.cut.minimum_cut <= result.stock.spot.value:
        return f"With the poorest tie-in of the last layer it is thin: {figure}."
    return f"With the poorest tie-in of the last layer: {figure}."


def remedy_lines(result: Result, advice: Advice) -> list[str]:
    """What would fix it, best first, each with the stock, wire and time it gives."""
    say, density = Say(result.scene.job.units), result.scene.wire.density
    out = [f"- {_remedy_line(one, say, density)}" for one in advice.remedies]
    return [*out, f"- {advice.binds}"] if advice.binds else out


def _remedy_line(one: Remedy, say: Say, density: float) -> str:
    more = "more" if one.extra_wire >= 0 else "less"
    wire = f"{say.mass(abs(one.extra_wire) * density)} {more} wire, {abs(one.extra_time) / 60:.0f} min {more} arc"
    value = one.result.stock.spot.value
    least = f"least stock {say.size(value)} per side" if value >= 0.0 else f"still {say.size(-value)} per side short"
    return f"{one.words}: {one.result.verdict}, {least}; {wire if one.extra_wire else 'no more wire'}."


def note(result: Result, advice: Advice | None = None) -> str:
    """The whole report: verdict, where, what to look at, then the numbers; every size per side or on diameter."""
    scene, say = result.scene, Say(result.scene.job.units)
    parts = [scene.job.name or "Unnamed job"]
    if scene.job.note:
        parts.append(scene.job.note)
    parts += ["", *verdict_lines(result), ""]
    spots = result.low_spots or result.thin_spots
    if spots:
        parts += [("Low spots" if result.low_spots else "Thin spots") + ", deepest first:", *spot_lines(spots, say), ""]
    if advice is not None:
        parts += ["What would fix it, each one simulated:", *remedy_lines(result, advice), ""]
    if result.warnings:
        parts += ["Look at:", *(f"- {told_in(line, result.scene.job.units)}" for line in result.warnings), ""]
    parts += [*_figures(result, say), "", *_layer_lines(result, say), "", *_rests_on(result), "", CAUTION]
    return "\n".join(parts) + "\n"


def bar_note(on_bar: Sequence[OnBar], advice: Advice | None = None) -> str:
    """The report of a bar: a line for each bore and the best common axis, then the whole note of the worst bore."""
    if len(on_bar) == 1:
        return note(on_bar[0].result, advice)
    say = Say(on_bar[0].result.scene.job.units)
    lines = [f"{len(on_bar)} bores on one bar: {worst_verdict(on_bar).upper()}, on the numbers given."]
    for one in on_bar:
        spot = one.result.stock.spot
        least = f"least stock {say.size(spot.value)} per side at {clock_text(spot.clock)}, {say.size(spot.depth, 0)} deep"
        lines.append(f"- {one.name}, {say.size(one.along, 0)} along the bar: {one.result.verdict}; {least}.")
    if all(one.result.scene.bore.location_zone > 0.0 for one in on_bar):
        axis, least_stock = best_line(on_bar)
        lines.append(f"Best straight axis for all of them, within their zones: {_axis_words(axis, say)}; least stock then about {say.size(least_stock)} per side.")
    worst = worst_bore(on_bar)
    return "\n".join([*lines, "", f"The worst of them, {worst.name}:", ""]) + "\n" + note(worst.result, advice)


def _axis_words(axis: Axis, say: Say) -> str:
    ends = []
    for (x, y), where in ((axis.entry, "at the entry face"), (axis.far, "at the far face")):
        towards = clock_text(math.atan2(x, -y) % (2.0 * math.pi))
        ends.append(f"{say.size(math.hypot(x, y))} per side towards {towards} {where}")
    return ", ".join(ends)


def spot_lines(spots: tuple[LowSpot, ...], say: Say) -> list[str]:
    """Low spots in words, those of one cause together when there are many."""
    by_cause: dict[str, list[LowSpot]] = {}
    for spot in spots:
        by_cause.setdefault(spot.cause, []).append(spot)
    return [f"- {_spots_of(cause, members, say)}" for cause, members in by_cause.items()]


def _spots_of(cause: str, members: list[LowSpot], say: Say) -> str:
    worst = members[0]
    area = sum(s.area for s in members)
    size = f"{area / INCH**2:.2f} in2" if say.units == "in" else f"{area:.0f} mm2"
    depth = f"{say.size(min(s.depth_from for s in members), 0)} to {say.size(max(s.depth_to for s in members), 0)} deep"
    clock = _clock_range(worst)
    many = f"{len(members)} strips, the worst" if len(members) > 1 else "one, "
    deep = f"{say.size(-worst.stock)} short" if worst.stock < 0 else f"{say.size(worst.stock)} left"
    return f"{cause}: {many} {clock}, {deep} per side at {clock_text(worst.at_clock)}; {depth}, {size} in all"


def _clock_range(spot: LowSpot) -> str:
    if spot.clock_to - spot.clock_from >= 2.0 * math.pi - 1e-9:
        return "right round"
    return f"from {clock_text(spot.clock_from)} to {clock_text(spot.clock_to)}"


def _figures(result: Result, say: Say) -> list[str]:
    p5, p50, p95 = result.percentiles
    weld = result.weld_left.spot
    return [
        "Stock to bore off, per side:",
        f"- least {say.size(result.stock.spot.value)} (error from the clock step {say.size(result.stock_error, 3)}), mean {say.size(result.mean_stock)}",
        f"- 5 % of the wall has less than {say.size(p5)}, half less than {say.size(p50)}, 5 % more than {say.size(p95)}",
        f"Weld left under the finished surface: at least {say.size(weld.value)} per side, thinnest at {clock_text(weld.clock)} o'clock, {say.size(weld.depth, 0)} deep.",
    ]


def _layer_lines(result: Result, say: Say) -> list[str]:
    out = ["Layer by layer (diameters between the second turn from either end):"]
    for number, layer in enumerate(result.layers, 1):
        s = layer.setting
        ripple = "too few turns to say" if math.isnan(layer.ripple) else f"{say.size(layer.ripple)} at {clock_text(layer.ripple_clock)}"
        out.append(
            f"{number:>3}. {s.plan.advance}, pitch {say.size(s.path.pitch)}, travel {say.travel(s.travel)}, wire {say.wire(s.plan.wire_feed)}, "
            f"{2 * math.pi / s.rotation:.1f} s a turn, {s.path.turns:.1f} turns: {say.size(layer.mean_thickness)} thick per side, ripple {ripple}."
        )
        out.append(
            f"     The gauge will read {say.size(layer.gauge[0])} to {say.size(layer.gauge[1])} on diameter; the deepest valley is {say.size(layer.valley)} on diameter."
        )
    wire = sum(layup.wire_used(result.scene, s) for s in result.settings) * result.scene.wire.density
    lost = sum(layer.lost for layer in result.layers) / max(sum(layer.volume for layer in result.layers), 1e-9)
    minutes = sum(layup.arc_time(s) for s in result.settings) / 60.0
    out.append(f"Wire fed {say.mass(wire)}, arc on {minutes:.0f} min, {100 * lost:.0f} % of the metal lands past the faces.")
    return out


def _rests_on(result: Result) -> list[str]:
    """What is not measured, in one line, and where the whole list is."""
    rows = [row for row in assumptions(result) if row["how_known"] != MEASURED]
    names = ", ".join(plain(row["what"]) for row in rows if row["how_known"] == ASSUMED)
    return [f"Rests on {len(rows)} values nobody measured on this job (`--json` lists each with its source); assumed outright: {names}."]


def plain(what: str) -> str:
    """A scene key as people say it; other words as they are."""
    return what if " " in what or "." not in what else what.split(".")[1].replace("_", " ") + f" ({what.split('.')[0]})"


# ---- the form of the worn bore ------------------------------------------------------------------------------


def form_as_json(scene: Scene, form: Form) -> dict[str, Any]:
    """The form of the worn bore as plain values: mm, o'clock as hours."""

    def circle(c: Circle) -> dict[str, float]:
        return {"x_mm": c.x, "y_mm": c.y, "diameter_mm": 2.0 * c.radius, "roundness_mm": c.form_error}

    def line(axis: Axis) -> dict[str, list[float]]:
        return {"entry_xy_mm": list(axis.entry), "far_xy_mm": list(axis.far)}

    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(scene),
        "stations": [
            {
                "depth_mm": s.depth,
                "smallest_diameter_mm": s.smallest,
                "largest_diameter_mm": s.largest,
                "out_of_round_mm": s.out_of_round,
                "largest_at_oclock": oclock(s.largest_at),
                "least_squares": circle(s.least_squares),
                "minimum_zone": circle(s.minimum_zone),
                "circumscribed": circle(s.circumscribed),
                "inscribed": circle(s.inscribed),
            }
            for s in form.stations
        ],
        "taper_mm": form.taper,
        "axis_tilt_mm": form.tilt,
        "cylindricity_mm": form.cylindricity,
        "least_squares_axis": line(form.axis),
        "pre_bore_that_cleans_mm": form.pre_bore,
        "best_axis_pre_bore_mm": form.best_pre_bore,
        "best_axis": line(form.best_axis),
        "worst_unseen_pre_bore_mm": form.worst_pre_bore,
        "said": list(form.said),
    }


def _shows_centre(scene: Scene) -> bool:
    """Tell whether the wall's centre is known: a two-point gauge does not see it."""
    return scene.readings is None or scene.readings.found.kind == "radius"


def form_note(scene: Scene, form: Form) -> str:
    """The form of the worn bore in words and a table, in the job's units."""
    say = Say(scene.job.units)
    lines = [scene.job.name or "Unnamed job", "", "Station by station, on diameter" + (":" if _shows_centre(scene) else " (a two-point gauge does not show the centre):")]
    for s in form.stations:
        c = s.least_squares
        seen = _shows_centre(scene)
        away = f", centre {say.size(math.hypot(c.x, c.y), 3)} from the drawing axis towards {clock_text(math.atan2(c.x, -c.y) % (2.0 * math.pi))}"
        lines.append(
            f"- {say.size(s.depth, 0)} deep: least squares {say.size(2 * c.radius, 3)}{away if seen else ''}; {say.size(s.smallest, 3)} to "
            f"{say.size(s.largest, 3)}, out of round {say.size(s.out_of_round, 3)}, widest at {clock_text(s.largest_at)}"
        )
        zone, outer, inner = s.minimum_zone, s.circumscribed, s.inscribed
        lines.append(
            f"  roundness {say.size(c.form_error, 3)} by least squares, {say.size(zone.form_error, 3)} minimum zone; "
            f"circumscribed {say.size(2 * outer.radius, 3)}, inscribed {say.size(2 * inner.radius, 3)} on diameter"
        )
    lines += [
        "",
        f"Taper {say.size(form.taper, 3)} on diameter from entry to far face; axis runs off {say.size(form.tilt, 3)}; "
        f"cylindricity {say.size(form.cylindricity, 3)} per side.",
        f"Pre-bore that just cleans up: {say.size(form.pre_bore, 2)} on diameter about the pre-bore axis of the job; "
        f"{say.size(form.best_pre_bore, 2)} about the best axis within the location zone ({_axis_words(form.best_axis, say)}).",
    ]
    if form.worst_pre_bore is not None:
        lines.append(
            f"If all wear the two-point gauge cannot see were on one side: {say.size(form.worst_pre_bore, 2)} on diameter."
        )
    return "\n".join([*lines, *(f"- {line}" for line in form.said)]) + "\n"


# ---- CSV -----------------------------------------------------------------------------------------------------


def write_csv(result: Result, folder: Path) -> list[Path]:
    """Write stock map, layers and low spots as CSV into an existing folder or a new one; each whole or not at all."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise SceneError(f"{folder}: cannot be made ({fault.strerror}); choose another folder.") from None
    told = as_json(result)
    files = {
        "layers.csv": _table([_flat(layer) for layer in told["layers"]]),
        "low_spots.csv": _table([_flat(spot) for spot in told["low_spots"] + told["thin_spots"]]),
        "stock_map.csv": _stock_csv(result),
    }
    out = []
    for name, text in files.items():
        write_whole(folder / name, text.encode("utf-8"))
        out.append(folder / name)
    return out


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, Mapping):
            flat |= {f"{key}_{inner}": v for inner, v in value.items()}
        else:
            flat[key] = value
    return flat


def _table(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, fieldnames=list(rows[0]) if rows else ["nothing"], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _stock_csv(result: Result, step: float = 0.5) -> str:
    """Stock per side [mm] at every column (rows) and depth (columns)."""
    depth = np.arange(0.0, result.scene.bore.length + 0.5 * step, step)
    stock = stock_map(result.layers[-1].wall, result.finish, result.axes.torch, depth)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["oclock\\depth_mm", *(f"{z:g}" for z in depth)])
    for angle, row in zip(result.start.clock.angle, stock, strict=True):
        writer.writerow([f"{oclock(angle):.4f}", *(f"{v:.4f}" for v in row)])
    return out.getvalue()


# ---- where the numbers come from -------------------------------------------------------------------------------


@dataclasses.dataclass(frozen=True)
class Explained:
    """A number on the page: its name, its value in words, the formula, the formula with its inputs, how known, source."""

    what: str
    value: str
    formula: str
    inputs: str
    how_known: str
    source: str


def explain(result: Result) -> list[Explained]:
    """Every kind of number shown, with formula, inputs and how it is known; layer figures are those of the last layer."""
    return [*_explain_verdict(result), *_explain_bead(result), *_explain_layer(result)]


def _explain_verdict(result: Result) -> list[Explained]:
    say, spot, off = Say(result.scene.job.units), result.stock.spot, band(result)
    size = result.finish.radius
    thickness = sum(layer.mean_thickness for layer in result.layers)
    return [
        Explained(
            "least stock per side", say.size(spot.value, 3),
            "stock = finish radius - distance of the wall from the finish axis, least over the judged wall",
            f"{say.size(size, 3)} - {say.size(size - spot.value, 3)} at {clock_text(spot.clock)}, {say.size(spot.depth, 1)} deep",
            DERIVED, "exact sections of the built-up wall; the clock step leaves " + say.size(result.stock_error, 3),
        ),
        Explained(
            "give or take", say.size(off),
            "2 sqrt((common cause x thickness)^2 + (bead to bead x bead height)^2)",
            f"2 sqrt(({result.scene.spread.common:g} x {say.size(thickness)})^2 + ({result.scene.spread.height:g} x {say.size(result.layers[-1].setting.bead.height)})^2)",
            DERIVED, "spreads: " + DEFAULTS["spread.common"].source + "; " + DEFAULTS["spread.height"].source,
        ),
        Explained(
            "the pessimist", say.size(result.pessimist.spot.value, 3) + " per side",
            "the last layer laid again with the poorest tie-in that is known",
            f"tie-in {result.tie_in.pessimist:.2f} instead of {result.tie_in.nominal:.2f}",
            MEASURED if result.tie_in.measured else ASSUMED, "0 to 1 until a pad was measured",
        ),
        Explained(
            "weld left under the finished surface", say.size(result.weld_left.spot.value, 3) + " per side",
            "distance of the wall before welding from the finish axis - finish radius, least",
            f"at {clock_text(result.weld_left.spot.clock)}, {say.size(result.weld_left.spot.depth, 1)} deep", DERIVED, "geometry",
        ),
    ]  # fmt: skip


def _worked(mm: float, power: int, say: Say, per: str = "") -> str:
    """An area or a volume in the units of the job, and in mm where its formula is worked in mm."""
    told = f"{mm:.2f} mm2" if power == 2 else f"{mm:.1f} mm{power}{per}"
    return f"{mm / INCH**power:.4f} in{power}{per} ({told})" if say.units == "in" else told


def _explain_bead(result: Result) -> list[Explained]:
    scene, s = result.scene, result.settings[-1]
    say, wire = Say(scene.job.units), scene.wire
    out = [
        Explained(
            "bead area", _worked(s.bead.area, 2, say), "A = efficiency x pi/4 d^2 x wire feed / travel",
            f"{wire.efficiency:g} x pi/4 x {wire.diameter:g}^2 x {60 * s.wire_feed:.0f} / {60 * s.travel:.0f} (mm, mm/min)"
            + (f" x {layup.area_factor(scene):.3f}" if layup.area_factor(scene) != 1.0 else ""),
            DERIVED, "mass balance; efficiency: " + DEFAULTS["wire.efficiency"].source,
        ),
        Explained(
            "bead width and height", f"{say.size(s.bead.width)} wide, {say.size(s.bead.height)} high",
            "h = h0 (wire feed / wire feed0)^0.48 (travel / travel0)^-0.30, w = 1.5 A / h" if scene.bead else "w = sqrt(1.5 A x aspect), h = w / aspect",
            f"bead on plate {say.size(scene.bead.width)} wide at {say.wire(scene.bead.wire_feed)}, {say.travel(scene.bead.travel)}" if scene.bead else f"aspect {default('bead.aspect'):g}",
            MEASURED if scene.bead else ASSUMED, "parabola: Ding et al. 2015; exponents: 16 published ER70S-6 settings, rms 5.6 %",
        ),
        Explained(
            "volume per radian q", _worked(s.q, 3, say, "/rad"), "q = A x mean wall radius before the layer",
            f"{s.bead.area:.3f} x {s.radius:.3f} (mm)", DERIVED, "conservation of metal; what is conserved in every clock column",
        ),
        Explained(
            "gravity around the clock", f"c = {s.gravity:.3f}", "bead height / flat height = exp(c x climb), width the inverse",
            f"travel {say.travel(s.travel)}; climb 1 straight up, -1 straight down, times cos {math.degrees(scene.bore.inclination):.0f} deg",
            PUBLISHED, "fit to the table behind Krinke 2023, 400 to 640 mm/min; 69 % of the clock extrapolated",
        ),
    ]  # fmt: skip
    return out


def _explain_layer(result: Result) -> list[Explained]:
    say, layer = Say(result.scene.job.units), result.layers[-1]
    s = layer.setting
    return [
        Explained(
            "mean thickness of the last layer", say.size(layer.mean_thickness, 3) + " per side", "t = R - sqrt(R^2 - 2 q / pitch)",
            f"R {s.radius:.3f}, q {s.q:.1f}, pitch {s.path.pitch:.3f} (mm): {s.radius - math.sqrt(max(s.radius**2 - 2 * s.q / s.path.pitch, 0.0)):.3f} in the steady part",
            DERIVED, "conservation of metal; the figure shown is measured on the built-up wall",
        ),
        Explained(
            "ripple", "too few turns" if math.isnan(layer.ripple) else say.size(layer.ripple, 3),
            "crest less the deeper neighbouring valley, mean over the turns, largest over the clock",
            f"pitch over width {s.spacing:.2f} on a flat", DERIVED, "the bead law of this tool; never measured inside a bore",
        ),
        Explained(
            "gauge reading", f"{say.size(layer.gauge[0])} to {say.size(layer.gauge[1])} on diameter",
            "smallest radius under a flat foot at a clock plus the same opposite", f"foot {say.size(result.scene.gauge.foot)}",
            DERIVED, "a gauge rides the crests: the valley is " + say.size(layer.valley) + " on diameter",
        ),
        Explained(
            "seconds per turn", f"{2 * math.pi / s.rotation:.1f} s", "2 pi R / travel", f"2 pi x {s.radius:.2f} / {s.travel:.3f} (mm, mm/s)",
            DERIVED, "the torch turns at a set speed",
        ),
        Explained(
            "wire", say.mass(sum(layup.wire_used(result.scene, one) for one in result.settings) * result.scene.wire.density),
            "pi/4 d^2 x wire feed x arc time x density", f"arc time {sum(layup.arc_time(one) for one in result.settings) / 60:.1f} min in all",
            DERIVED, "density: " + DEFAULTS["wire.density"].source,
        ),
    ]  # fmt: skip


def differences(before: Result, after: Result) -> list[str]:
    """What a change did, in words: verdict, least stock, ripple, wire, time."""
    say = Say(after.scene.job.units)
    out = [f"verdict: {before.verdict} -> {after.verdict}"]
    change = after.stock.spot.value - before.stock.spot.value
    out.append(f"least stock per side: {say.size(before.stock.spot.value)} -> {say.size(after.stock.spot.value)} ({say.size(abs(change))} {'more' if change >= 0 else 'less'})")
    out.append(f"mean stock per side to bore off: {say.size(before.mean_stock)} -> {say.size(after.mean_stock)}")
    out.append(f"layers: {len(before.layers)} -> {len(after.layers)}; worst ripple: {_worst_ripple(before, say)} -> {_worst_ripple(after, say)}")
    wire = [sum(layup.wire_used(r.scene, s) for s in r.settings) * r.scene.wire.density for r in (before, after)]
    out.append(f"wire: {say.mass(wire[0])} -> {say.mass(wire[1])} ({100 * (wire[1] / wire[0] - 1):+.0f} %)")
    arc = [sum(map(layup.arc_time, r.settings)) / 60 for r in (before, after)]
    out.append(f"arc on: {arc[0]:.0f} -> {arc[1]:.0f} min")
    return out


def _worst_ripple(result: Result, say: Say) -> str:
    known = [layer.ripple for layer in result.layers if not math.isnan(layer.ripple)]
    return say.size(max(known)) if known else "too few turns"
