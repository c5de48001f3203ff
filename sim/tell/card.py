"""What an after-layer card says: JSON, and words for the person at the bore."""

from __future__ import annotations

import math
from typing import Any

from sim.machine.between.card import ANOTHER, GO_ON, Band, Card
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text, oclock


def card_json(card: Card) -> dict[str, Any]:
    """An after-layer card as plain values; sizes on diameter."""
    s = card.next
    return {
        **({"bore": card.bore} if card.bore else {}),
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
        f"After layer {card.layer} of {card.layers}{_where(card)}: mean of a dozen crest readings, on "
        f"diameter (expected {say.size(card.expected[0])} to {say.size(card.expected[1])}):"
    ]
    out += [f"- {band_words(band, say)}: {_do(card, band, say)}." for band in card.bands]
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


def _where(card: Card) -> str:
    """Which bore of a bar is gauged."""
    return f", gauge the {card.bore}, judged for all bores of the bar" if card.bore else ""


def band_words(band: Band, say: Say) -> str:
    """Readings of a band.

    >>> band_words(Band(79.1, math.inf, ANOTHER), Say("mm"))
    'over 79.10 mm'
    """
    if math.isinf(band.least):
        return "any size" if math.isinf(band.most) else f"up to {say.size(band.most)}"
    if math.isinf(band.most):
        return f"over {say.size(band.least)}"
    return f"{say.size(band.least)} to {say.size(band.most)}"


def _do(card: Card, band: Band, say: Say) -> str:
    """What to do at the readings of a band."""
    if band.do == GO_ON:
        return "bore it" if card.next is None else "go on as set"
    if band.do == ANOTHER:
        return "lay another layer"
    if card.leave_out_under is not None and band.most == card.leave_out_under:
        return "ask: a layer may be left out; run `update` before the next"
    closer = "" if card.closest is None else f" ({say.size(card.closest)} at the closest)"
    return f"ask: the rest at a closer pitch{closer}; run `update` and plan the rest again"
