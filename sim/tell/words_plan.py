"""The words of what is remarked about plans and remedies."""

from __future__ import annotations

PLAN: dict[str, str] = {
    # remedies in the layers
    "closer pitch": "closer pitch: {pitch:length.3} instead of {now:length.3}",
    "one more layer": "one more layer like the last",
    "more layers": "{count} more layers like the last",
    "closing turns": "a closing turn at each end of every layer",
    "fewer closing turns": "one closing turn at each end, not more",
    "step instead of spiral": "step instead of spiral: full turns, no wedge",
    "start moved": "start clock moved 90 degrees from layer to layer",
    "partial layer": "a partial layer from {first:length.1} to {last:length.1} deep",
    "partial layers at both ends": "partial layers at both ends",
    "slower travel": "slower travel: {travel:travel} instead of {now:travel}",
    "two changes": "{first:words}, and {second:words}",
    # remedies at the cut
    "finish axis moved": (
        "finish axis moved within its zone: {entry:length.3} per side towards {entry_at:oclock} at "
        "the entry face, {far:length.3} per side towards {far_at:oclock} at the far face"
    ),
    "smaller pre-bore": "pre-bore {size:length} on diameter instead of {now:length}",
    "next size": "the next size: {size:length} on diameter",
    # after the finish cut
    "local weld": (
        "local weld from {begin:oclock} to {end:oclock}, {first:length.1} to {last:length.1} deep, "
        "and re-bore"
    ),
    "weld right round": (
        "weld right round from {first:length.1} to {last:length.1} deep, and re-bore"
    ),
    # what to measure or look at
    "measure a bead": "lay a bead on a plate, measure its width and height, and put them in [bead]",
    "look at the pre-bored wall": "look at the pre-bored wall: bright all over, or black where",
    "gauge it cold": "gauge the part again when it is cold",
    "weld a pad": "weld a pad of five beads and measure it",
    "close it": "{closes} ({matter})",
    "close it there": "{closes}: at {clock:oclock}, {depth:length.0} deep ({matter})",
    # what binds
    "nothing is needed": "no change needed: it cleans up",
    "only measuring helps": "no change of the job is needed, only what settles what stands open",
    "nearest change": (
        "nothing within limits is sure enough; the nearest: {change:words}, {value:share} of 100; "
        "`plan` seeks the layers anew"
    ),
    "add next sizes": (
        "a local weld does not reach the spot from here and no larger size is allowed; add "
        "next_sizes to [bore]"
    ),
    "no change helps": (
        "no change within limits raises the least stock; more than one thing must change"
    ),
}
