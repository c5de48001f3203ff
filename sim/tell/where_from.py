"""Where each figure comes from: formula, inputs, source; what was assumed."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from sim.job.scene import SECTIONS, SHOP, Scene
from sim.laws import bead_shape, bow, gravity, layer_thickness, mass_balance, tie_in
from sim.laws.ranges import outside
from sim.plan.odds.verdict import Decision
from sim.reference.defaults import ASSUMED, DEFAULTS, DERIVED, MEASURED, default
from sim.reference.sizes_in_words import Explained, Say, shown
from sim.reference.units import INCH, clock_text
from sim.set_up.bead import area_factor, bead_at, told_factor
from sim.set_up.layers import arc_time, wire_used
from sim.shop.result import Result
from sim.tell.verdict import least_text, of_100


def assumptions(result: Result) -> list[dict[str, Any]]:
    """Everything the answer rests on besides the scene's own figures: what, value, unit, how known,
    source.
    """
    out = [_assumption(name) for name in _defaults_used(result)]
    out += _gravity_row(result) + _bead_rows(result)
    out.append(
        _row(
            "tie-in of the last layer at its poorest",
            result.tie_in.poorest,
            "1",
            MEASURED if result.tie_in.measured else ASSUMED,
            "low end of what the pad says"
            if result.tie_in.measured
            else "worst of the possible range",
        )
    )
    out.append(_row("weld shrinkage and distortion", 0.0, "mm", ASSUMED, "not computed"))
    out.append(_row("build-up law inside a bore", 0.0, "1", bow.HOW_KNOWN, bow.SOURCE))
    return out


def _gravity_row(result: Result) -> list[dict[str, Any]]:
    """Gravity on the bead, where it was taken from the travel speed."""
    known = result.scene.shop_values
    if known.clock_read:
        return [
            _row(
                "gravity coefficient of bead height",
                result.settings[-1].gravity,
                "1",
                MEASURED,
                f"clock test of {known.whose}, {known.clock_read} places, pooled with the "
                f"published table; {100.0 * known.extrapolated:.0f} % of the clock extrapolated",
            )
        ]
    if result.scene.process.gravity is not None:
        return []
    past = any(gravity.run_on(s.travel) for s in result.settings)
    source = (
        gravity.SOURCE
        if not past
        else (
            "run on from a published table (Krinke 2023) outside its 400 to 640 mm/min: "
            "extrapolated"
        )
    )
    return [
        _row(
            "gravity coefficient of bead height",
            result.settings[-1].gravity,
            "1",
            gravity.HOW_KNOWN,
            source,
        )
    ]


def _bead_rows(result: Result) -> list[dict[str, Any]]:
    """The bead: measured, or its usual shape."""
    scene, out = result.scene, []
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
                _whose(scene),
            )
        )
        out.append(
            _row(
                "bead height away from the plate's settings",
                0.0,
                "1",
                bead_shape.HOW_KNOWN,
                bead_shape.AWAY,
            )
        )
    return out


def _whose(scene: Scene) -> str:
    """Whose bead on plate it is."""
    whose = scene.shop_values.whose
    return f"bead on plate of {whose}" if whose else "bead on plate, in the scene"


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
            "update_on_bar",
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


def explain(result: Result, decided: Decision | None = None) -> list[Explained]:
    """Every kind of number shown, with formula, inputs and how it is known; layer figures are those
    of the last layer.
    """
    drawn = [] if decided is None else _explain_draws(result, decided)
    return [*drawn, *_explain_verdict(result), *_explain_bead(result), *_explain_layer(result)]


def _explain_verdict(result: Result) -> list[Explained]:
    say, spot = Say(result.scene.job.units), result.stock.spot
    size = result.finish.radius
    return [
        Explained(
            "least stock per side", _worked(spot.value, 1, say, digits=3), "stock = finish radius - distance",
            shown({"finish radius": size, "distance": size - spot.value}, "mm")
            + ": distance of the wall from the finish axis, least over the judged wall: "
            + f"at {clock_text(spot.clock)}, {say.size(spot.depth, 1)} deep",
            DERIVED, "exact sections of the built-up wall; the clock step leaves " + say.size(result.stock_error, 3),
        ),
        Explained(
            "least stock with poor tie-in", say.size(result.poorest_tie_in.spot.value, 3) + " per side",
            "the last layer laid again with the poorest tie-in that is known",
            f"tie-in {result.tie_in.poorest:.2f} instead of {result.tie_in.nominal:.2f}",
            MEASURED if result.tie_in.measured else ASSUMED, "0 to 1 until a pad was measured",
        ),
        Explained(
            "weld left under the finished surface", say.size(result.weld_left.spot.value, 3) + " per side",
            "distance of the wall before welding from the finish axis - finish radius, least",
            f"at {clock_text(result.weld_left.spot.clock)}, {say.size(result.weld_left.spot.depth, 1)} deep",
            DERIVED, "geometry",
        ),
    ]  # fmt: skip


def _worked(mm: float, power: int, say: Say, per: str = "", digits: int = 2) -> str:
    """A length, area or volume in the units of the job, and in mm where its formula is worked in mm."""
    unit = f"mm{power if power > 1 else ''}{per}"
    told = f"{mm:.{1 if power == 3 else digits}f} {unit}"
    if say.units != "in":
        return told
    return f"{mm / INCH**power:.{digits + 1 if power == 1 else 4}f} {unit.replace('mm', 'in')} ({told})"


def _times(formula: str, of: str, factors: Mapping[str, float]) -> tuple[str, dict[str, float]]:
    """A law's formula for `of` times what is known better in this job; factors of 1 are left out."""
    held = {name: factor for name, factor in factors.items() if factor != 1.0}
    return formula.replace(f"{of} = ", f"{of} = " + "".join(f"{name} x " for name in held), 1), held


def _explain_bead(result: Result) -> list[Explained]:
    scene, s = result.scene, result.settings[-1]
    say, wire = Say(scene.job.units), scene.wire
    told = {"read": told_factor(scene, len(result.settings))}
    formula, known = _times(mass_balance.FORMULA, "A", {"believed": area_factor(scene), **told})
    given = {
        "efficiency": wire.efficiency,
        "d": wire.diameter,
        "wire feed": 60 * s.wire_feed,
        "travel": 60 * s.travel,
    }
    out = [
        Explained(
            "bead area", _worked(s.bead.area, 2, say), formula, shown(given | known, "mm, mm/min"),
            mass_balance.HOW_KNOWN, mass_balance.SOURCE + "; efficiency: " + DEFAULTS["wire.efficiency"].source,
        ),
        _explain_shape(result, told),
        Explained(
            "volume per radian q", _worked(s.q, 3, say, "/rad"), mass_balance.PER_RADIAN,
            shown({"A": s.bead.area, "R": s.radius}, "mm2, mm") + ": R the mean wall radius before the layer",
            DERIVED, "conservation of metal; what is conserved in every clock column",
        ),
        _explain_gravity(result),
    ]  # fmt: skip
    return out


def _explain_shape(result: Result, told: Mapping[str, float]) -> Explained:
    scene, s, law = result.scene, result.settings[-1], bead_shape
    say, plate = Say(scene.job.units), scene.bead
    value = f"{_worked(s.bead.width, 1, say)} wide, {_worked(s.bead.height, 1, say)} high"
    if plate is None:
        formula, known = _times(law.BY_ASPECT, "h", told)
        given = {"A": s.bead.area / told["read"], "aspect": default("bead.aspect")}
        return Explained(
            "bead width and height",
            value,
            formula,
            shown(given | known, "mm2"),
            ASSUMED,
            law.SOURCE,
        )
    formula, known = _times(law.FORMULA, "h", told)
    height = bead_at(scene, plate.wire_feed, plate.travel).height
    given = {"h0": height, "wire feed": 60 * s.plan.wire_feed, "wire feed0": 60 * plate.wire_feed}
    given |= {"travel": 60 * s.travel, "travel0": 60 * plate.travel, "A": s.bead.area}
    ratios = {
        f"{name} / {name}0": given[name] / given[f"{name}0"] for name in ("wire feed", "travel")
    }
    past = "".join(f"; {one}" for one in outside(law.RANGE, ratios))
    return Explained(
        "bead width and height",
        value,
        formula,
        shown(given | known, "mm, mm/min, mm2"),
        MEASURED,
        law.SOURCE + past,
    )


def _explain_gravity(result: Result) -> Explained:
    scene, s, law = result.scene, result.settings[-1], gravity
    climb = math.cos(scene.bore.inclination)
    past = (
        f"; run on past its table at {Say(scene.job.units).travel(s.travel)}"
        if law.run_on(s.travel)
        else ""
    )
    own = scene.process.gravity is not None
    return Explained(
        "gravity around the clock",
        f"{float(law.taller(s.gravity, np.asarray(climb))):.3f} times the flat height where it climbs most",
        law.FORMULA,
        shown({"c": s.gravity, "climb": climb}, "climb 1 straight up, -1 straight down; width the inverse"),
        ASSUMED if own else law.HOW_KNOWN, "given in the job" if own else law.SOURCE + past,
    )  # fmt: skip


def _explain_layer(result: Result) -> list[Explained]:
    say, layer = Say(result.scene.job.units), result.layers[-1]
    s, law = layer.setting, layer_thickness
    fed = sum(s.wire_feed * arc_time(s) for s in result.settings)
    wire = {
        "d": result.scene.wire.diameter,
        "length": 1e-3 * fed,
        "density": 1e6 * result.scene.wire.density,
    }
    return [
        Explained(
            "mean thickness of the last layer",
            f"{_worked(law.thickness(s.radius, s.q, s.path.pitch), 1, say, digits=3)} per side in the steady part, "
            f"{say.size(layer.mean_thickness, 3)} over the whole bore as built up",
            law.FORMULA, shown({"R": s.radius, "q": s.q, "pitch": s.path.pitch}, "mm, mm3/rad"),
            law.HOW_KNOWN, law.SOURCE,
        ),
        Explained(
            "ripple", "too few turns" if math.isnan(layer.ripple) else say.size(layer.ripple, 3),
            "crest less the deeper neighbouring valley, mean over the turns, largest over the clock",
            f"pitch over width {s.spacing:.2f} on a flat; tie-in: {tie_in.FORMULA}", bow.HOW_KNOWN, bow.SOURCE,
        ),
        Explained(
            "gauge reading", f"{say.size(layer.gauge[0])} to {say.size(layer.gauge[1])} on diameter",
            "smallest radius under a flat foot at a clock plus the same opposite",
            f"foot {say.size(result.scene.gauge.foot)}",
            DERIVED, "a gauge rides the crests: the valley is " + say.size(layer.valley) + " on diameter",
        ),
        Explained(
            "seconds per turn", f"{2 * math.pi / s.rotation:.1f} s", "T = 2 x pi x R / travel",
            shown({"R": s.radius, "travel": s.travel}, "mm, mm/s"), DERIVED, "the torch turns at a set speed",
        ),
        Explained(
            "wire", say.mass(sum(wire_used(result.scene, one) for one in result.settings) * result.scene.wire.density),
            mass_balance.WIRE, shown(wire, "mm, m, kg/m3")
            + f": {sum(arc_time(one) for one in result.settings) / 60:.1f} min of arc in all",
            DERIVED, "density: " + DEFAULTS["wire.density"].source,
        ),
    ]  # fmt: skip


def _explain_draws(result: Result, decided: Decision) -> list[Explained]:
    say, n, least = Say(result.scene.job.units), decided.clean_up_of_100, decided.least_stock
    clean = round(n.value * n.draws / 100.0)
    said = "normal shop variation, each spread with its source under `chance`; drawn from the job's seed"
    return [
        Explained(
            "of 100 clean up", of_100(n.value),
            "jobs with at least the minimum cut everywhere / jobs laid; all bores of the bar in "
                "each",
            f"{clean} of {n.draws}; between {of_100(n.low)} and {of_100(n.high)}, the "
                "error spent over the looks taken", DERIVED, said,
        ),
        Explained(
            "least stock in a typical run and in a bad one",
            f"{least_text(least.typical, say)}; {least_text(least.bad, say)}",
            "half of such jobs leave more; 19 in 20 leave more", f"{n.draws} jobs laid", DERIVED, said,
        ),
    ]  # fmt: skip
