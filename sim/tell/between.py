"""What readings after layers say: JSON, and words for the person at the bore."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from sim.job.change import digest
from sim.machine.between.card import Card
from sim.machine.between.told import Found, ReadingAgainst, Update
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text, oclock
from sim.reference.version import VERSION
from sim.tell.card import card_json, card_lines
from sim.tell.plan import offer_words, plan_json
from sim.tell.remarks import lines
from sim.tell.result_json import SCHEMA, decided_json
from sim.tell.verdict import of_100


def update_json(found: Update, cards: Sequence[Card] = ()) -> dict[str, Any]:
    """What readings told, as plain values: mm, s, o'clock as hours; None where nothing that was
    read can see it.
    """
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(found.scene),
        "layer": found.layer,
        **_told_json(found),
        "contradictory": [reading_json(row) for row in found.contradictory],
        "said": [
            *(line for one in found.each for line in lines(one.warm, Say(found.scene.job.units))),
            *(line for one in found.each for line in unknown_lines(one)),
        ],
        "other_bores": [_told_json(one) for one in found.others],
        **_as_it_is(found),
        "plan": None if found.plan is None else plan_json(found.plan),
        "cards": [card_json(one) for one in cards],
    }


def _told_json(found: Update) -> dict[str, Any]:
    """What the readings of one bore told, as plain values."""
    return {
        "bore": found.bore,
        "laid_factor": _estimate(found.laid),
        "area_factor": _estimate(found.area),
        "layer_factors": [_estimate(one) for one in found.by_layer],
        "tie_in": found.tie_in and _estimate(found.tie_in),
        "law_mm": found.law and _estimate(found.law),
        "edge_mm": found.edge and _estimate(found.edge),
        "bead_width_sd": found.width and _estimate(found.width),
        "gravity_factor": found.gravity and _estimate(found.gravity),
        "pool_run_mm": found.pool_run and _estimate(found.pool_run),
        "torch_axis_mm": dict(
            zip(("entry_x", "entry_y", "far_x", "far_y"), map(_estimate, found.torch), strict=True)
        )
        if found.torch
        else None,
        "readings": [reading_json(row) for row in found.rows],
    }


def _as_it_is(found: Update) -> dict[str, Any]:
    """How likely it cleans up with no more layers, None where that was not asked."""
    if found.as_is is None:
        keys = ("probability_as_it_is", "probability_as_it_is_interval", "as_it_is", "enough")
        return dict.fromkeys(keys)
    n = found.as_is.clean_up_of_100
    return {
        "probability_as_it_is": n.value / 100.0,
        "probability_as_it_is_interval": [n.low / 100.0, n.high / 100.0],
        "as_it_is": decided_json(found.as_is),
        "enough": found.enough,
    }


def _estimate(one: Found) -> dict[str, float]:
    return {
        "value": one.value,
        "spread": one.spread,
        "before": one.before,
        "spread_before": one.spread_before,
    }


def reading_json(row: ReadingAgainst) -> dict[str, Any]:
    """A reading against what was expected, as plain values."""
    return {
        "layer": row.layer,
        **({"bore": row.bore} if row.bore else {}),
        "row": row.row,
        "depth_mm": row.depth,
        "oclock": oclock(row.clock),
        "touched": row.touched,
        "kind": row.kind,
        "read_mm": row.read,
        "expected_mm": row.expected,
        "off_mm": row.off,
        "sd_mm": row.sd,
        "contradicts": row.contradicts,
    }


def update_lines(found: Update) -> list[str]:
    """What the readings say, in sentences."""
    say = Say(found.scene.job.units)
    told = [_bore_lines(one, say) for one in found.each]
    return [*(line for some in told for line in some), *contradictory_lines(found)]


def _bore_lines(found: Update, say: Say) -> list[str]:
    """What the readings of one bore say."""
    used = sum(not row.contradicts for row in found.rows)
    of = f"{found.bore[:1].upper()}{found.bore[1:]}: " if found.bore else ""
    last = max(row.layer for row in found.rows)
    return [
        f"{of}{used} of {len(found.rows)} readings used, up to layer {last}.",
        f"Metal laid so far: {percent(found.laid)} of what was planned (measured; before "
        f"the readings {_percent_before(found.laid)}).",
        f"Bead area for the layers to come: {percent(found.area)} of what wire and travel "
        f"say (measured; before {_percent_before(found.area)}).",
        *_by_valleys(found, say),
        *_by_radii(found, say),
        *lines(found.warm, say),
        *unknown_lines(found),
    ]


def _by_valleys(found: Update, say: Say) -> list[str]:
    """What valleys show: tie-in, build-up law, bead width and gravity, free edges."""
    out = []
    if found.tie_in is not None:
        out.append(
            f"Tie-in {found.tie_in.value:.2f}, give or take {2 * found.tie_in.spread:.2f} "
            f"(from valleys; before {found.tie_in.before:.2f}, give or take "
            f"{2 * found.tie_in.spread_before:.2f})."
        )
    if found.law is not None:
        out.append(
            f"Valleys lie {say.size(abs(found.law.value))} per side "
            f"{'deeper' if found.law.value > 0 else 'less deep'} than the build-up law says, "
            f"give or take {say.size(2 * found.law.spread)} (measured)."
        )
    if found.width is not None and found.gravity is not None:
        out.append(
            f"Beads {abs(found.width.value):.1f} standard deviations "
            f"{'wider' if found.width.value > 0 else 'narrower'} than was known (give or "
            f"take {2 * found.width.spread:.1f}); gravity works "
            f"{100 * found.gravity.value:.0f} % as much (give or take "
            f"{200 * found.gravity.spread:.0f} %)."
        )
    if found.edge is not None:
        out.append(
            f"A free edge slumps {say.size(found.edge.value)} per side a layer, give or take "
            f"{say.size(2 * found.edge.spread)} (measured)."
        )
    return out


def _by_radii(found: Update, say: Say) -> list[str]:
    """What radii show: pool run and torch axis."""
    out = []
    if found.pool_run is not None:
        out.append(
            f"Pool run {say.size(found.pool_run.value)}, give or take "
            f"{say.size(2 * found.pool_run.spread)} along the wall (from radii)."
        )
    if found.torch:
        faces = (("entry", found.torch[:2]), ("far", found.torch[2:]))
        out += [f"Torch axis at the {face} face: {_towards(x, y, say)}." for face, (x, y) in faces]
    return out


def percent(one: Found) -> str:
    """A factor as so much of a hundred, with what is left unknown."""
    return f"{100 * one.value:.1f} %, give or take {200 * one.spread:.1f} %,"


def _percent_before(one: Found) -> str:
    return f"give or take {200 * one.spread_before:.1f} %"


def _towards(x: Found, y: Found, say: Say) -> str:
    off, clock = math.hypot(x.value, y.value), math.atan2(x.value, -y.value) % (2.0 * math.pi)
    return (
        f"{say.size(off)} per side towards {clock_text(clock)}, give or take "
        f"{say.size(2.0 * max(x.spread, y.spread))} (from radii)"
    )


def contradictory_lines(found: Update) -> list[str]:
    """Readings the others contradict: which, and by how much."""
    say = Say(found.scene.job.units)
    return [
        f"Row {row.row} after layer {row.layer}{f', {row.bore}' if row.bore else ''} ({clock_text(row.clock)}, "
        f"{say.size(row.depth, 0)} deep, {row.touched}) reads {say.size(row.read, 3)} "
        f"{'on diameter' if row.kind == 'diameter' else 'radius'}, "
        f"{say.size(abs(row.off), 3)} {'more' if row.off > 0 else 'less'} than the others "
        "lead to expect "
        f"(give or take {say.size(2 * row.sd, 3)}): it was not used; measure it again."
        for row in found.contradictory
    ]


def unknown_lines(found: Update) -> list[str]:
    """What stays unknown, and why."""
    out = []
    if found.tie_in is None:
        out.append(
            "Tie-in stays as it was: crest readings do not show how deep the valleys are; "
            "measure a valley beside a crest."
        )
    if found.pool_run is None:
        out.append(
            "Pool run and torch axis stay as they were: a two-point gauge cannot see metal "
            "that lies thicker on one side; "
            "sweep radii from a bar on the finish axis at three clocks or more."
        )
    elif found.pool_run.spread > 0.8 * found.pool_run.spread_before:
        out.append(
            "Pool run is hardly better known than before: the layers so far are too thin for "
            "it to show."
        )
    if found.torch and all(one.spread > 0.9 * one.spread_before for one in found.torch):
        out.append(
            "The torch axis is hardly better known than before: off-axis torches move little metal."
        )
    return out


def rest_lines(found: Update) -> list[str]:
    """What to do next: bore it, or the layers left as planned again."""
    if found.as_is is None:
        return []
    say = Say(found.scene.job.units)
    n = found.as_is.clean_up_of_100
    chance = f"{of_100(n.value)} of 100 (between {of_100(n.low)} and {of_100(n.high)})"
    if len(found.as_is.bores) > 1:
        chance += (
            f", all bores of the bar judged together; {found.as_is.worst} cleans up least often"
        )
    if found.enough:
        return [
            f"With no more layers it cleans up in {chance}: no more metal is needed for the "
            f"{n.asked:g} asked; bore it."
        ]
    if found.plan is None or found.plan.winner is None:
        return [f"With no more layers it cleans up in {chance}.", _binds(found, say)]
    w = found.plan.winner
    return [
        f"With no more layers it cleans up in {chance}.",
        f"The rest planned again: {offer_words(w, say)}. Cleans up in "
        f"{of_100(100 * w.probability)} of 100 (asked {100 * found.plan.asked:g}); wire "
        f"{say.mass(w.wire * w.scene.wire.density)}.",
    ]


def _binds(found: Update, say: Say) -> str:
    """What to say where no plan for the rest is sure enough."""
    binds = found.plan.binds if found.plan is not None else ()
    which = (
        f" Any one of these limits taken away gives one: {', '.join(lines(binds, say))}."
        if binds
        else ""
    )
    return (
        "No plan for the rest within the limits is as sure as asked: the layers left stay as "
        f"they were planned.{which}"
    )


def update_note(found: Update, cards: Sequence[Card] = ()) -> str:
    """Readings after a layer in words: what they say, what stays unknown, what to do next, the
    cards.
    """
    title = found.scene.job.name or "Unnamed job"
    parts = [
        title,
        "",
        "What the readings say:",
        *(f"- {line}" for line in update_lines(found)),
        "",
        *rest_lines(found),
        "",
    ]
    for card in cards:
        parts += [*card_lines(card, found.scene.job.units), ""]
    return "\n".join([*parts, CAUTION]) + "\n"
