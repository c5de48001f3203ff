"""What a test piece told, in words."""

from __future__ import annotations

import math

from sim.machine.test_pieces.clock_test import ClockTest
from sim.machine.test_pieces.cut_section import Sections
from sim.machine.test_pieces.pieces import BeadOnPlate, FiveBeads, Mean
from sim.reference.sizes_in_words import Say
from sim.tell.remarks import lines


def _mean(one: Mean, say: Say) -> str:
    return f"{say.size(one.value)} (give or take {say.size(2.0 * one.error)}, {one.read} read)"


def bead_lines(told: BeadOnPlate, say: Say) -> list[str]:
    """A bead on plate."""
    return [
        f"Bead on plate: {_mean(told.width, say)} wide, {_mean(told.height, say)} high, "
        f"{told.width.value / told.height.value:.2f} times as wide as high."
    ]


def pad_lines(told: FiveBeads, say: Say) -> list[str]:
    """A pad of five beads."""
    return [
        f"Pad at a pitch of {say.size(told.pitch)}: crests {_mean(told.crest, say)}, valleys "
        f"{_mean(told.valley, say)}, ripple {say.size(told.crest.value - told.valley.value)}."
    ]


def clock_lines(told: ClockTest, say: Say) -> list[str]:
    """A clock test."""
    return [
        f"Gravity coefficient of bead height: {told.read[0]:.3f} as read at {told.places} places "
        f"(give or take {2.0 * told.read[1]:.3f}), {told.published[0]:.3f} published (give or take "
        f"{2.0 * told.published[1]:.3f}); together {told.pooled[0]:.3f} (give or take "
        f"{2.0 * told.pooled[1]:.3f}).",
        f"{100.0 * told.extrapolated:.0f} % of the clock is extrapolated, 69 % without the test.",
        *lines(told.said, say),
    ]


def section_lines(told: Sections, say: Say) -> list[str]:
    """A cut section against the engine's."""

    def off(value: float) -> str:
        return f"{say.size(abs(value))} too {'high' if value > 0.0 else 'low'}"

    valley = "" if math.isnan(told.valley) else f", its deepest valley {off(told.valley)}"
    seen = " The section was seen from the other side and turned over." if told.mirrored else ""
    return [
        f"The engine's section lies {say.size(told.rms)} off the cut one (rms of "
        f"{len(told.cut)} points): its crest {off(told.crest)}{valley}, its area "
        f"{100.0 * told.area:.0f} % of the cut one's.{seen}"
    ]
