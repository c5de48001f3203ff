"""What an after-layer card says: JSON, and words for the person at the bore."""

from __future__ import annotations

from typing import Any

from sim.machine.between.card import Card
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text, oclock


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
        f"Estimates allowing for normal shop variation, {100 * card.asked:g} "
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
