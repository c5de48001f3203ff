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
    # the layers to lay: what a plan is called
    "plan": "{layers:words}, {advance}, {pitch:words}, travel {travel:travel}",
    "layers to lay": "{count:of layer}",
    "layers more to lay": "{count:of more layer}",
    "one pitch": "pitch {pitch:length}",
    "pitch, the first wider": "pitch {pitch:length} (the first {first:length})",
    "rule of thumb": "two thirds of the bead width: {plan:words}",
    # why it lost
    "more wire": "{by:share.1} % more wire",
    "less wire": "{by:share.1} % less wire",
    "more arc time": "{by:share.1} % more arc time",
    "less arc time": "{by:share.1} % less arc time",
    "more layers to lay": "{by:of layer} more",
    "fewer layers to lay": "{by:of layer} fewer",
    "other cost": "{percent:+.1f} % cost",
    "not often enough": "does not clean up often enough",
    "farther from the measured bead": "settings farther from the measured bead's",
    # what in it nobody measured
    "plan on an assumed bead": (
        "the bead was not measured: its width is assumed, so the plan is not proven"
    ),
    "plan away from the measured bead": (
        "wire feed or travel differ from the measured bead's: width and height come from a power "
        "law (rms 5.6 %)"
    ),
    "gravity run on past its table": (
        "gravity on the bead at {travel:travel} is run on past its table ({table:travel})"
    ),
    "gravity measured near 6, plan": (
        "gravity on the bead was measured to 55 degrees from 6 o'clock: 69 % of the clock is "
        "extrapolated"
    ),
    "bead may not hold": (
        "a bead of {area:area.1} may not hold on the climbing side (about {most:area.0})"
    ),
    "beads closer than half a width": (
        "beads lie closer than half a width: the law of tie-in was compared with others from half "
        "a width up"
    ),
    "any tie-in was drawn": "tie-in was not measured: anything from none to full was drawn",
    # limits of a plan
    "most bead overlap": "most bead overlap",
    "least bead overlap": "least bead overlap",
    "most layers": "most layers",
    "travel speed": "travel speed",
    "wire feed": "wire feed",
    "rotation of the machine": "rotation of the machine",
    "feed per turn of the machine": "feed per turn of the machine",
    "contact-tip distance over humps": "contact-tip distance over humps",
    "smallest bore of the head": "smallest bore of the head",
    "start and end depth of the layer": "start and end depth of the layer",
    "reach of the head": "reach of the head, {reach:length.g}",
    "breaks only": "breaks only: {limit:words}",
    # what is going on
    "searching in a bore": "searching in the {bore}",
    "without the limit": "without the limit: {limit:words}",
    "which kinds of plan could do": "which kinds of plan could do",
    "settling the best of them": "settling the best of them",
    "confirming by the draws that decide": "confirming by the draws that decide",
}
