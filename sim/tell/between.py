"""What readings after layers, cards and records say: JSON, and words for the person at the bore."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from sim.job.change import digest
from sim.machine.between.card import Card
from sim.machine.between.record import Came, Record
from sim.machine.between.told import Estimate, Row, Update
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say, told_in
from sim.reference.units import clock_text, oclock
from sim.tell.plan import plan_json
from sim.tell.result_json import SCHEMA, VERSION, decided_json
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
        "contradictory": [_row(row) for row in found.contradictory],
        "readings": [_row(row) for row in found.rows],
        "said": [*found.warm, *unknown_lines(found)],
        "probability_as_it_is": None
        if found.as_is is None
        else found.as_is.clean_up_of_100.value / 100.0,
        "probability_as_it_is_interval": None
        if found.as_is is None
        else [found.as_is.clean_up_of_100.low / 100.0, found.as_is.clean_up_of_100.high / 100.0],
        "as_it_is": None if found.as_is is None else decided_json(found.as_is),
        "enough": found.enough if found.as_is is not None else None,
        "plan": None if found.plan is None else plan_json(found.plan),
        "cards": [card_json(one) for one in cards],
    }


def _estimate(one: Estimate) -> dict[str, float]:
    return {
        "value": one.value,
        "spread": one.spread,
        "before": one.before,
        "spread_before": one.spread_before,
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "layer": row.layer, "row": row.row, "depth_mm": row.depth, "oclock": oclock(row.clock), "touched": row.touched, "kind": row.kind,
        "read_mm": row.read, "expected_mm": row.expected, "off_mm": row.off, "sd_mm": row.sd, "contradicts": row.contradicts,
    }  # fmt: skip


def card_json(card: Card) -> dict[str, Any]:
    """An after-layer card as plain values; sizes on diameter."""
    s = card.next
    return {
        "layer": card.layer,
        "layers": card.layers,
        "gauge_expected_mm": list(card.expected),
        "leave_out_under_mm": card.leave_out_under,
        "go_on_to_mm": card.go_on_to,
        "another_over_mm": card.another_over,
        "closest_pitch_mm": card.closest,
        "seconds_per_turn": None if card.turn_time is None else list(card.turn_time),
        "next_pitch_mm": None if s is None else s.path.pitch,
        "next_start_depth_mm": None if s is None else float(s.path.depth[0]),
        "next_start_oclock": None if s is None else oclock(s.path.start_clock),
        "asked": card.asked,
        "draws": card.draws,
        "least_stock_hangs_on_reading": card.hangs,
    }


def came_json(came: Came) -> dict[str, Any]:
    """Planned against come out as plain values."""
    return {
        "layers": [
            {
                "layer": one.layer, "kind": one.kind, "touched": one.touched, "readings": one.rows, "planned_mm": one.planned, "read_mm": one.read,
                "metal_over_planned": one.metal.value, "metal_spread": one.metal.spread,
            }
            for one in came.layers
        ],
        "finished_diameter_mm": None if came.finished is None else list(came.finished),
        "limits_diameter_mm": list(came.limits),
        "within_limits": came.in_limits,
        "contradictory": [] if came.update is None else [_row(row) for row in came.update.contradictory],
        "offered": dict(came.offered.changes),
        "offered_because": list(came.offered.why),
    }  # fmt: skip


def update_lines(found: Update) -> list[str]:
    """What the readings say, in sentences."""
    say, used = Say(found.scene.job.units), sum(not row.contradicts for row in found.rows)
    out = [
        f"{used} of {len(found.rows)} readings used, up to layer {found.layer}.",
        f"Metal laid so far: {_percent(found.laid)} of what was planned (measured; before "
        f"the readings {_percent_before(found.laid)}).",
        f"Bead area for the layers to come: {_percent(found.area)} of what wire and travel "
        f"say (measured; before {_percent_before(found.area)}).",
    ]
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
    if found.pool_run is not None:
        out.append(
            f"Pool run {say.size(found.pool_run.value)}, give or take "
            f"{say.size(2 * found.pool_run.spread)} along the wall (from radii)."
        )
    if found.torch:
        out += [
            f"Torch axis at the {face} face: {_towards(x, y, say)}."
            for face, (x, y) in zip(
                ("entry", "far"), (found.torch[:2], found.torch[2:]), strict=True
            )
        ]
    return [*out, *contradictory_lines(found), *found.warm, *unknown_lines(found)]


def _percent(one: Estimate) -> str:
    return f"{100 * one.value:.1f} %, give or take {200 * one.spread:.1f} %,"


def _percent_before(one: Estimate) -> str:
    return f"give or take {200 * one.spread_before:.1f} %"


def _towards(x: Estimate, y: Estimate, say: Say) -> str:
    off, clock = math.hypot(x.value, y.value), math.atan2(x.value, -y.value) % (2.0 * math.pi)
    return (
        f"{say.size(off)} per side towards {clock_text(clock)}, give or take "
        f"{say.size(2.0 * max(x.spread, y.spread))} (from radii)"
    )


def contradictory_lines(found: Update) -> list[str]:
    """Readings the others contradict: which, and by how much."""
    say = Say(found.scene.job.units)
    return [
        f"Row {row.row} after layer {row.layer} ({clock_text(row.clock)}, "
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
    n = found.as_is.clean_up_of_100
    chance = (
        f"{of_100(n.value)} of 100 ({n.draws} draws, between {of_100(n.low)} and {of_100(n.high)})"
    )
    if found.enough:
        return [
            f"With no more layers it cleans up in {chance}: no more metal is needed for the "
            f"{n.asked:g} asked; bore it."
        ]
    if found.plan is None or found.plan.winner is None:
        return [f"With no more layers it cleans up in {chance}.", _binds(found)]
    w = found.plan.winner
    say = Say(found.scene.job.units)
    return [
        f"With no more layers it cleans up in {chance}.",
        f"The rest planned again: {told_in(w.name, say.units)}. Cleans up in "
        f"{of_100(100 * w.probability)} of 100 (asked {100 * found.plan.asked:g}); wire "
        f"{say.mass(w.wire * w.scene.wire.density)}.",
    ]


def _binds(found: Update) -> str:
    """What to say where no plan for the rest is sure enough."""
    binds = found.plan.binds if found.plan is not None else ()
    which = f" Any one of these limits taken away gives one: {', '.join(binds)}." if binds else ""
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


def card_lines(card: Card, units: str) -> list[str]:
    """An after-layer card: every size on diameter."""
    say = Say(units)
    out = [
        f"After layer {card.layer} of {card.layers}: mean of a dozen crest readings, on "
        f"diameter (expected {say.size(card.expected[0])} to {say.size(card.expected[1])}):"
    ]
    if card.leave_out_under is not None:
        out.append(
            f"- under {say.size(card.leave_out_under)}: a layer may be left out; run "
            "`update` before the next."
        )
    out += _go_on_lines(card, say)
    if not card.hangs:
        out.append(
            "- the least stock lies where the gauge does not reach (a free end): a small "
            "reading does not show that it is there."
        )
    if card.next is not None and card.turn_time is not None:
        small, large = card.turn_time
        s = card.next
        out.append(
            f"- next layer: {small:.1f} to {large:.1f} s a turn as the gauge reads small to "
            f"large, pitch {say.size(s.path.pitch)}, start at "
            f"{clock_text(s.path.start_clock)} o'clock, {say.size(float(s.path.depth[0]))} deep."
        )
    out.append(
        "- after a stop: grind the crater and the last end, go back on the bead by its "
        "taper, start on it and go on in the same turn; never start beside it."
    )
    out.append(
        f"Thresholds are estimates from {card.draws} draws of this job, {100 * card.asked:g} "
        "of 100 to clean up; a single reading rides on its own crests, take the mean."
    )
    return out


def _go_on_lines(card: Card, say: Say) -> list[str]:
    last, do = card.next is None, "lay another layer"
    if card.go_on_to is None:
        closer = (
            (
                f"; pitch {say.size(card.closest)} at the closest does up to "
                f"{say.size(card.another_over)}"
            )
            if card.another_over is not None and card.closest
            else ""
        )
        return [
            f"- at any reading expected the plan is not sure enough{closer}; "
            f"{do if last else 'run `update` and plan the rest again'}."
        ]
    begin = (
        f"{say.size(card.leave_out_under)} to " if card.leave_out_under is not None else "up to "
    )
    out = [f"- {begin}{say.size(card.go_on_to)}: {'bore it' if last else 'go on as set'}."]
    if (
        not last
        and card.another_over is not None
        and card.another_over > card.go_on_to + 0.005
        and card.closest is not None
    ):
        out.append(
            f"- {say.size(card.go_on_to)} to {say.size(card.another_over)}: the rest closer, "
            f"{say.size(card.closest)} at the closest; run `update`."
        )
        out.append(f"- over {say.size(card.another_over)}: {do}.")
    else:
        out.append(f"- over {say.size(card.go_on_to)}: {do}{'' if last else ' or run `update`'}.")
    return out


def record_note(record: Record, came: Came) -> str:
    """Planned against come out, layer by layer, and what is offered for the next job."""
    scene, say = record.scene, Say(record.scene.job.units)
    parts = [
        scene.job.name or "Unnamed job",
        f"Record of {record.date}" if record.date else "Record",
        *([record.notes] if record.notes else []),
        "",
    ]
    parts.append(
        "Planned against come out, mean of the readings after each layer:"
        if came.layers
        else "No readings after a layer are in the job: nothing to compare."
    )
    for one in came.layers:
        where = "on diameter" if one.kind == "diameter" else "radius"
        parts.append(
            f"- layer {one.layer}, {one.touched}s, {one.rows} readings: planned "
            f"{say.size(one.planned, 3)}, read {say.size(one.read, 3)} {where} "
            f"({say.size(one.read - one.planned, 3)}); metal of the layer "
            f"{_percent(one.metal)} of planned."
        )
    if came.finished is not None:
        low, high = came.finished
        kept = "within" if came.in_limits else "NOT within"
        parts += [
            "",
            f"Finished bore {say.size(low, 3)} to {say.size(high, 3)} on diameter: {kept} "
            f"{say.size(came.limits[0], 3)} to {say.size(came.limits[1], 3)}.",
        ]
    if came.update is not None:
        parts += [f"- {line}" for line in contradictory_lines(came.update)]
    if came.offered.why:
        parts += ["", "Offered for the next job with this wire and bead; nothing was changed:"]
        parts += [f"- {line}" for line in came.offered.why]
        parts += [f"- {key} = {value}" for key, value in came.offered.changes.items()]
    elif came.layers:
        parts += [
            "",
            "The shop's bead values hold within what these readings can tell: nothing is offered.",
        ]
    return "\n".join([*parts, "", CAUTION]) + "\n"
