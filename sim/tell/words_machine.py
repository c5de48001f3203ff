"""The words of what is remarked on the way to the machine: boring."""

from __future__ import annotations

MACHINE: dict[str, str] = {
    # boring: what to look at
    "bar cannot run": "The bar cannot run {passes:words}.",
    "speed of a pass": (
        "{wished:rotation.0} ({kind}, {wished_cut:cutting speed.0} on {size:length}; "
        "nearest it can: {turning:rotation.0}, {cut:cutting speed.0})"
    ),
    "bar cannot feed": "The bar cannot feed, per turn, {passes:words}.",
    "feed of a pass": "{wished:length.3} ({kind}; nearest it can: {feed:length.3})",
    "feed wider than nose": (
        "{kind:Begin}: a feed of {feed:length.3} per turn is wider than the nose: it leaves a "
        "thread, not a bore; feed less or take a larger nose."
    ),
    "cut thinner than the tool can take": (
        "{kind:Begin}: {most:length} per side is thinner than the tool can take ({least:length}, "
        "two thirds of its nose radius): it rubs; leave more or take a smaller nose."
    ),
    "cut thin in places": (
        "{kind:Begin}: {thin:share} % of the last pass is thinner than the tool can take "
        "({least:length} per side): it rubs there."
    ),
    "cut meets no metal in places": (
        "{kind:Begin}: {interrupted:share} % of the pass meets no metal: black wall, holes or "
        "keyways."
    ),
    "drive too weak": (
        "{kind:Begin}: needs {needed:power}, the drive has {power:power}: at most {fits:length} "
        "per side at this feed and speed; feed less or turn slower."
    ),
    "too many passes": (
        "{kind:Begin}: more than {most} passes; the bar is too weak for this much metal."
    ),
    "bar stands out": (
        "The bar stands out {reach:length.0} at the far face, {ratio:.1f} times its diameter: "
        "past about {most:.0f} it chatters; support it or take a thicker one."
    ),
    "bar bends": (
        "Finish: the bar bends {bend:length.3} per side at most, {across:length.3} on diameter, "
        "more than the tolerance of {tolerance:length.3} on diameter: set the size by a trial "
        "cut, take less, or run the pass again at the same setting."
    ),
    "bending changes the bore": (
        "Finish: bending alone changes the diameter by {change:length.3} over the bore, more "
        "than the tolerance of {tolerance:length.3}; after one more pass at the same setting by "
        "{after:length.3}."
    ),
    # boring: what is taken for granted
    "no bar given": "No boring bar given: usual values stand for it.",
    "taken for the bar": "{name} {value:{kind}.{digits}} ({known:source}).",
    "any speed": "speeds: the bar is taken to run any (assumed).",
    "any feed": "feeds: the bar is taken to have any (assumed).",
    "power not checked": "power: none given, so not checked.",
    "nothing else gives": "bearings and tool do not give; the cut is steady, no chatter (assumed).",
}
