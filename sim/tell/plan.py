"""What a comparison and a plan say: JSON, CSV, and a note that can be read aloud."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

from sim.job.change import digest
from sim.job.scene import Scene
from sim.job.values import file_keys
from sim.plan.compare import SHOWN, Table, title
from sim.plan.search.kinds import COST
from sim.plan.search.offers import Offer, Plan, layers_of
from sim.reference.cautions import CAUTION
from sim.reference.defaults import DEFAULTS
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS
from sim.reference.version import VERSION
from sim.set_up.layers import Setting
from sim.tell.remarks import lines, told
from sim.tell.result_json import MM, SCHEMA, decided_json
from sim.tell.verdict import decided_lines


def plan_json(plan: Plan) -> dict[str, Any]:
    """A plan as plain values: mm, s, o'clock as hours; `found` is false, and `layers` empty, when
    there is none.
    """
    out: dict[str, Any] = {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(plan.scene),
        "by": plan.by,
        "asked": plan.asked,
        "found": plan.winner is not None,
        **({"searched_in": plan.bore} if plan.bore else {}),
    }
    out |= offer_json(plan.winner, plan) if plan.winner is not None else {"layers": []}
    out["runners_up"] = [offer_json(one, plan) for one in plan.runners_up]
    out["rule_of_thumb"] = (
        None if plan.rule_of_thumb is None else offer_json(plan.rule_of_thumb, plan)
    )
    out["binding_limits"] = lines(plan.binds, MM)
    out["nearest"] = None if plan.nearest is None else offer_json(plan.nearest, plan)
    out["spreads"] = spreads_known(plan.scene)
    return out


def offer_json(offer: Offer, plan: Plan) -> dict[str, Any]:
    """One plan of those on offer."""
    f, pre_bore = offer.figures, offer.scene.pre_bore
    p5, p50, p95 = offer.percentiles
    return {
        "name": told(offer.name, MM),
        "layers": layers_of(offer),
        "probability_of_clean_up": offer.probability,
        "probability_interval": list(offer.interval),
        "draws": offer.draws,
        **decided_json(offer.decided),
        "stock_mm": {
            "minimum": f.minimum, "poorest_tie_in_minimum": f.poorest_tie_in,
            "pessimist_minimum": f.poorest_tie_in, "mean": f.mean_stock, "p5": p5, "p50": p50,
            "p95": p95,
        },
        "ripple_mm": None if math.isnan(f.ripple) else f.ripple,
        "weld_left_mm": f.weld_left,
        "wire_mm3": offer.wire,
        "wire_g": offer.wire * offer.scene.wire.density,
        "arc_time_s": offer.arc_time,
        "cost": offer.price if plan.by == COST else None,
        "pre_bore_diameter_mm": None if pre_bore is None else pre_bore.diameter,
        "extrapolated": lines(offer.flags, MM),
        "why": _why(offer, MM),
    }  # fmt: skip


def spreads_known(scene: Scene) -> list[dict[str, Any]]:
    """Every spread of a scene with how it is known."""
    rows = []
    for f in dataclasses.fields(scene.spread):
        if f.metadata["kind"] == "text":
            continue
        value, known = getattr(scene.spread, f.name), DEFAULTS.get(f.metadata["known"])
        unit = KINDS[f.metadata["kind"]][0]
        given = known is None or value != f.default
        how = (
            scene.spread.known or "given in the scene"
            if given
            else f"{known.basis}: {known.source}"
            if known
            else ""
        )
        rows.append(
            {
                "what": f"spread.{next(iter(file_keys(f)))}",
                "meaning": f.metadata["meaning"],
                "value": unit.outside(value),
                "unit": unit.label,
                "how_known": how,
            }
        )
    return rows


def plan_note(plan: Plan) -> str:
    """The plan in words: what to set, how sure, what it rests on, what was beside it."""
    say = Say(plan.scene.job.units)
    head = [plan.scene.job.name or "Unnamed job", ""]
    if plan.winner is None:
        return "\n".join([*head, *none_lines(plan, plan.scene.job.units), "", CAUTION]) + "\n"
    layers = [
        f"{k:>3}. {_layer_line(s, say)}" for k, s in enumerate(plan.winner.figures.settings, 1)
    ]
    parts = [
        *head,
        *winner_lines(plan, plan.scene.job.units),
        "",
        f"Layer by layer{f' in the {plan.bore}' if plan.bore else ''}:",
        *layers,
        "",
    ]
    if plan.runners_up:
        parts += [
            "Other plans considered:",
            *(f"- {_offer_line(one, say)}: {_why(one, say)}." for one in plan.runners_up),
            "",
        ]
    if plan.rule_of_thumb is not None:
        parts += [
            "Rule of thumb:",
            f"- {_offer_line(plan.rule_of_thumb, say)}: {_why(plan.rule_of_thumb, say)}.",
            "",
        ]
    if plan.winner.flags:
        parts += [
            "Not measured:",
            *(f"- {flag}" for flag in lines(plan.winner.flags, say)),
            "",
        ]
    return "\n".join([*parts, CAUTION]) + "\n"


def winner_lines(plan: Plan, units: str) -> list[str]:
    """The plan in a few sentences. Raises ValueError when there is none."""
    winner, say = plan.winner, Say(units)
    if winner is None or winner.decided is None:
        raise ValueError("winner_lines: the plan has no winner")
    out = [
        f"Plan for the least {plan.by}: {told(winner.name, say)}.",
        *(
            [f"Searched in the {plan.bore}; every bore of the bar is laid so, and all are judged."]
            if plan.bore
            else []
        ),
        *decided_lines(winner.decided, say, plan.scene.cut.minimum_cut),
        f"Wire {say.mass(winner.wire * winner.scene.wire.density)}, arc on "
        f"{winner.arc_time / 60.0:.0f} min.",
    ]
    if plan.scene.plan.pre_bore_free and winner.scene.pre_bore is not None:
        out.append(f"Pre-bore {say.size(winner.scene.pre_bore.diameter)} on diameter.")
    return out


def _layer_line(s: Setting, say: Say) -> str:
    closing = (
        f", closing turns {s.plan.closing_start} and {s.plan.closing_end}"
        if s.plan.advance == "spiral"
        else ""
    )
    clock = (s.path.start_clock * 6.0 / math.pi) % 12.0 or 12.0
    return (
        f"{s.plan.advance}, pitch {say.size(s.path.pitch)}, {2.0 * math.pi / s.rotation:.1f} "
        f"s a turn ({s.rotation * 30.0 / math.pi:.2f} rpm), "
        f"travel {say.travel(s.travel)}, wire {say.wire(s.plan.wire_feed)}, from "
        f"{say.size(float(s.path.depth[0]))} to "
        f"{say.size(float(s.path.depth[-1]))} deep, start at {clock:.1f} o'clock{closing}."
    )


def offer_words(offer: Offer, say: Say) -> str:
    """What a plan lays, in a few words."""
    return told(offer.name, say)


def _offer_line(offer: Offer, say: Say) -> str:
    wire = say.mass(offer.wire * offer.scene.wire.density)
    return (
        f"{told(offer.name, say)}: {100 * offer.probability:.0f} of 100, wire {wire}, "
        f"arc on {offer.arc_time / 60.0:.0f} min"
    )


def _why(offer: Offer, say: Say) -> str:
    return ", ".join(lines(offer.why, say))


def none_lines(plan: Plan, units: str) -> list[str]:
    """Why there is no plan, and the nearest that breaks only one limit."""
    say = Say(units)
    asked = f"No plan within the limits cleans up in {100 * plan.asked:g} of 100."
    if not plan.binds:
        return [
            asked,
            "No limit taken away by itself gives one either; more than one must give way.",
        ]
    which = "This limit" if len(plan.binds) == 1 else "Any one of these limits"
    out = [asked, f"{which} taken away gives a plan: {', '.join(lines(plan.binds, say))}."]
    if plan.nearest is not None:
        out.append(f"The nearest: {_offer_line(plan.nearest, say)}; it {_why(plan.nearest, say)}.")
    return out


def layers_shown(offer: Offer, units: str) -> dict[str, list[Any]]:
    """The layers of a plan as columns for a table on the page, in the page's units."""
    say, rows = Say(units), []
    for number, s in enumerate(offer.figures.settings, 1):
        spiral = s.plan.advance == "spiral"
        rows.append(
            {
                "layer": number,
                "turns": f"{s.path.turns:.1f}",
                "seconds a turn": f"{2.0 * math.pi / s.rotation:.1f}",
                "rpm": f"{s.rotation * 30.0 / math.pi:.3f}",
                "pitch": say.size(s.path.pitch, 3),
                "travel": say.travel(s.travel),
                "wire feed": say.wire(s.plan.wire_feed),
                "from": say.size(float(s.path.depth[0])),
                "to": say.size(float(s.path.depth[-1])),
                "advance": s.plan.advance,
                "closing turns": f"{s.plan.closing_start} and {s.plan.closing_end}"
                if spiral
                else "-",
                "start at": f"{(s.path.start_clock * 6.0 / math.pi) % 12.0 or 12.0:.1f} o'clock",
            }
        )
    return {key: [row[key] for row in rows] for key in rows[0]}


def offers_shown(offers: Mapping[str, Offer], units: str) -> dict[str, list[Any]]:
    """Plans as columns for a table on the page, in the page's units."""
    say = Say(units)
    rows = [
        {
            "": name,
            "plan": told(one.name, say),
            "of 100 clean up": f"{100 * one.probability:.1f}",
            "between, of 100": f"{100 * one.interval[0]:.1f} to {100 * one.interval[1]:.1f}",
            "least stock, per side": say.size(one.figures.minimum),
            "wire": say.mass(one.wire * one.scene.wire.density),
            "arc on": f"{one.arc_time / 60.0:.0f} min",
            "why not": _why(one, say) or "-",
        }
        for name, one in offers.items()
    ]
    return {key: [row[key] for row in rows] for key in rows[0]}


def quantities(table: Table) -> list[str]:
    """Columns of a comparison that a chart can show."""
    first = ("clean_up_of_100", "mean_stock_mm")
    found = [
        c
        for c in SHOWN
        if c in table.rows[0] and c not in ("minimum_stock_mm", "poorest_tie_in_minimum_stock_mm")
    ]
    return sorted(found, key=lambda c: first.index(c) if c in first else len(first))


def valued(key: str, value: Any) -> str:
    """A varied quantity with its value.

    >>> valued("layer.pitch_mm", 3.3), valued("run_off.entry", True)
    ('layer pitch 3.3 mm', 'run off entry yes')
    """
    name, _, unit = title(key, "mm")[0].partition(" [")
    said = (
        ("yes" if value else "no")
        if isinstance(value, bool)
        else f"{value:.6g}"
        if isinstance(value, float)
        else value
    )
    return f"{name} {said} {unit.rstrip(']')}".rstrip()


def shown(table: Table, units: str) -> dict[str, list[Any]]:
    """A comparison as columns for a table on the page, in the page's units; what cannot be laid
    says why.
    """
    columns = [
        *table.varied,
        *(["verdict"] if "draws" in table.rows[0] else []),
        *(c for c in SHOWN if c in table.rows[0]),
    ]
    out: dict[str, list[Any]] = {}
    for column in columns:
        name, factor = title(column, units)
        out[name] = [scaled(row[column], factor) for row in table.rows]
    if any(row["fault"] for row in table.rows):
        out["why it cannot be laid"] = [row["fault"] or "" for row in table.rows]
    return out


def scaled(value: Any, factor: float) -> Any:
    """A value of a comparison in the unit shown."""
    return round(value * factor, 4) if isinstance(value, float) else value


def cell(value: Any, digits: int = 3) -> str:
    """A value of a comparison as text."""
    if isinstance(value, float):
        return f"{value:.{digits}f}" if abs(value) < 100.0 else f"{value:.0f}"
    return "-" if value is None else str(value)
