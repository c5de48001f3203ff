"""Where each figure comes from: formula, inputs, source; what was assumed."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from sim.job.scene import SECTIONS, SHOP
from sim.reference.defaults import ASSUMED, DEFAULTS, DERIVED, MEASURED, PUBLISHED, default
from sim.reference.sizes_in_words import Explained, Say
from sim.reference.units import INCH, clock_text
from sim.set_up.bead import area_factor
from sim.set_up.layers import arc_time, wire_used
from sim.shop.result import Result
from sim.tell.verdict import band


def assumptions(result: Result) -> list[dict[str, Any]]:
    """Everything the answer rests on besides the scene's own figures: what, value, unit, how known,
    source.
    """
    out = [_assumption(name) for name in _defaults_used(result)]
    scene = result.scene
    speeds = [60.0 * s.travel for s in result.settings]
    if scene.process.gravity is None:
        out.append(
            _row(
                "gravity coefficient of bead height",
                result.settings[-1].gravity,
                "1",
                PUBLISHED,
                (
                    "fit to the table behind a published bead-height model (Krinke 2023), 400 to "
                    "640 mm/min; 69 % of the clock extrapolated"
                )
                if min(speeds) >= 399.5 and max(speeds) <= 640.5
                else (
                    "run on from a published table (Krinke 2023) outside its 400 to 640 mm/min: "
                    "extrapolated"
                ),
            )
        )
    if scene.bead is None:
        known = DEFAULTS["bead.aspect"]
        out.append(
            _row(
                "bead width over height",
                known.value,
                "1",
                ASSUMED,
                f"nobody measured the bead; {known.low:g} to {known.high:g} is usual",
            )
        )
    else:
        out.append(
            _row(
                "bead width at the plate's settings",
                scene.bead.width,
                "mm",
                MEASURED,
                "bead on plate, in the scene",
            )
        )
        out.append(
            _row(
                "bead height away from the plate's settings",
                0.0,
                "1",
                PUBLISHED,
                "(wire feed)^0.48 (travel)^-0.30, 16 published ER70S-6 settings, rms 5.6 %",
            )
        )
    out.append(
        _row(
            "tie-in of the last layer, as the pessimist lays it",
            result.tie_in.pessimist,
            "1",
            MEASURED if result.tie_in.measured else ASSUMED,
            "low end of what the pad says"
            if result.tie_in.measured
            else "worst of the possible range",
        )
    )
    out.append(_row("weld shrinkage and distortion", 0.0, "mm", ASSUMED, "not computed"))
    out.append(
        _row(
            "build-up law inside a bore",
            0.0,
            "1",
            DERIVED,
            "conservation of volume; never measured inside a bore",
        )
    )
    return out


def _row(what: str, value: float, unit: str, how: str, source: str) -> dict[str, Any]:
    return {"what": what, "value": value, "unit": unit, "how_known": how, "source": source}


def _assumption(name: str) -> dict[str, Any]:
    known = DEFAULTS[name]
    return _row(
        name,
        known.value,
        known.unit,
        known.basis,
        f"{known.source}; {known.low:g} to {known.high:g}",
    )


def _defaults_used(result: Result) -> list[str]:
    """Defaults whose value stands in the scene unchanged."""
    out = []
    for section in SECTIONS:
        if section in (
            "spread",
            "confidence",
            "plan",
            "reading_after",
            "update",
            *SHOP,
        ):  # said with what they rule
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
    out |= (
        set()
        if any(plan.advance == "spiral" for plan in layers)
        else {"layer.closing_start", "layer.closing_end"}
    )
    return out


def explain(result: Result) -> list[Explained]:
    """Every kind of number shown, with formula, inputs and how it is known; layer figures are those
    of the last layer.
    """
    return [*_explain_verdict(result), *_explain_bead(result), *_explain_layer(result)]


def _explain_verdict(result: Result) -> list[Explained]:
    say, spot, off = Say(result.scene.job.units), result.stock.spot, band(result)
    size = result.finish.radius
    thickness = sum(layer.mean_thickness for layer in result.layers)
    return [
        Explained(
            "least stock per side", say.size(spot.value, 3),
            "stock = finish radius - distance of the wall from the finish axis, least over "
                "the judged wall",
            f"{say.size(size, 3)} - {say.size(size - spot.value, 3)} at "
                f"{clock_text(spot.clock)}, {say.size(spot.depth, 1)} deep",
            DERIVED, "exact sections of the built-up wall; the clock step leaves " + say.size(result.stock_error, 3),
        ),
        Explained(
            "give or take", say.size(off),
            "2 sqrt((common cause x thickness)^2 + (bead to bead x bead height)^2)",
            f"2 sqrt(({result.scene.spread.common:g} x {say.size(thickness)})^2 + "
                f"({result.scene.spread.height:g} x "
                f"{say.size(result.layers[-1].setting.bead.height)})^2)",
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
            f"at {clock_text(result.weld_left.spot.clock)}, "
                f"{say.size(result.weld_left.spot.depth, 1)} deep", DERIVED, "geometry",
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
            f"{wire.efficiency:g} x pi/4 x {wire.diameter:g}^2 x {60 * s.wire_feed:.0f} / "
                f"{60 * s.travel:.0f} (mm, mm/min)"
            + (f" x {area_factor(scene):.3f}" if area_factor(scene) != 1.0 else ""),
            DERIVED, "mass balance; efficiency: " + DEFAULTS["wire.efficiency"].source,
        ),
        Explained(
            "bead width and height", f"{say.size(s.bead.width)} wide, {say.size(s.bead.height)} high",
            "h = h0 (wire feed / wire feed0)^0.48 (travel / travel0)^-0.30, w = 1.5 A / h" if scene.bead else "w = sqrt(1.5 A x aspect), h = w / aspect",
            (f"bead on plate {say.size(scene.bead.width)} wide at "
                f"{say.wire(scene.bead.wire_feed)}, {say.travel(scene.bead.travel)}") if scene.bead else f"aspect {default('bead.aspect'):g}",
            MEASURED if scene.bead else ASSUMED, "parabola: Ding et al. 2015; exponents: 16 published ER70S-6 settings, rms 5.6 %",
        ),
        Explained(
            "volume per radian q", _worked(s.q, 3, say, "/rad"), "q = A x mean wall radius before the layer",
            f"{s.bead.area:.3f} x {s.radius:.3f} (mm)", DERIVED, "conservation of metal; what is conserved in every clock column",
        ),
        Explained(
            "gravity around the clock", f"c = {s.gravity:.3f}", "bead height / flat height = exp(c x climb), width the inverse",
            f"travel {say.travel(s.travel)}; climb 1 straight up, -1 straight down, times "
                f"cos {math.degrees(scene.bore.inclination):.0f} deg",
            PUBLISHED, "fit to the table behind Krinke 2023, 400 to 640 mm/min; 69 % of the clock "
                "extrapolated",
        ),
    ]  # fmt: skip
    return out


def _explain_layer(result: Result) -> list[Explained]:
    say, layer = Say(result.scene.job.units), result.layers[-1]
    s = layer.setting
    return [
        Explained(
            "mean thickness of the last layer", say.size(layer.mean_thickness, 3) + " per side", "t = R - sqrt(R^2 - 2 q / pitch)",
            f"R {s.radius:.3f}, q {s.q:.1f}, pitch {s.path.pitch:.3f} (mm): "
                f"{s.radius - math.sqrt(max(s.radius**2 - 2 * s.q / s.path.pitch, 0.0)):.3f} in "
                "the steady part",
            DERIVED, "conservation of metal; the figure shown is measured on the built-up wall",
        ),
        Explained(
            "ripple", "too few turns" if math.isnan(layer.ripple) else say.size(layer.ripple, 3),
            "crest less the deeper neighbouring valley, mean over the turns, largest over "
                "the clock",
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
            "wire", say.mass(sum(wire_used(result.scene, one) for one in result.settings) * result.scene.wire.density),
            "pi/4 d^2 x wire feed x arc time x density", f"arc time {sum(arc_time(one) for one in result.settings) / 60:.1f} min in all",
            DERIVED, "density: " + DEFAULTS["wire.density"].source,
        ),
    ]  # fmt: skip
