"""The words of what is remarked on the way to the machine: settings, boring, what the job
takes, between layers.
"""

from __future__ import annotations

MACHINE: dict[str, str] = {
    # settings: steel and preheat
    "thickness given": "given in the scene",
    "thickness not given": "not given",
    "thickness of the boss": "wall from the bore to the outside of the boss",
    "past a law": "{name} {value:label {unit}} (made for {made_for:label {unit}})",
    "no analysis of the steel": (
        "no analysis of the steel: no carbon equivalent and no preheat by it"
    ),
    "preheat by CET not known": ("preheat by CET needs thickness, hydrogen class, volts and amps"),
    "part colder than preheat": (
        "the part at {part:temperature} is colder than the preheat of {asked:temperature} these "
        "formulas ask for"
    ),
    # settings: after a stop
    "strike again": (
        "note clock and depth at the stop; brush, and dress crater and crack away; turn back "
        "{against} by this much along the bead, at the depth the torch had there, and strike on "
        "the run-out"
    ),
    # settings: against the procedure
    "procedure gives no range": "the procedure gives no range",
    "procedure lists no positions": "the procedure lists no positions",
    "procedure lists no steel groups": "the procedure lists no steel groups",
    "job gives no steel group": "the job gives no steel group",
    "job gives no volts": "the job gives no volts",
    "job gives no amps": "the job gives no amps",
    "job gives no volts and amps": "the job gives no volts and amps",
    "job gives no preheat": "the job gives no preheat",
    "job gives no interpass": "the job gives no interpass temperature",
    "not among": "{missing} not among {listed}",
    # test pieces
    "clock not read": "no bead was read at {clock:oclock}: the published law alone speaks there",
    "clock does not follow": (
        "at {clock:oclock} beads stand {taller:share} % off what gravity explains: the spread of "
        "the published law is kept"
    ),
    "fewer than three turns": (
        "{turns} turns read where three are asked for: one bead's scatter weighs more"
    ),
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
    "taken for the bar": "{name} {value:{kind}.{digits}} ({known.basis}: {known.source}).",
    "any speed": "speeds: the bar is taken to run any (assumed).",
    "any feed": "feeds: the bar is taken to have any (assumed).",
    "power not checked": "power: none given, so not checked.",
    "nothing else gives": "bearings and tool do not give; the cut is steady, no chatter (assumed).",
    # what the job takes: where a figure comes from
    "wire feed times arc time": ("wire feed times arc time, {spread:share.1} % spread (derived)"),
    "whole spools": "wire over what a spool holds ({how}), whole spools",
    "gas at the flow given": "{flow:flow.0} while the arc burns (given)",
    "gas at the usual flow": ("{flow:flow.0} while the arc burns ({known.basis}: {known.source})"),
    "way of the torch over its speed": (
        "way of the torch over its speed, {spread:share.1} % spread (derived)"
    ),
    "your own time": "{times:often}your own figure (given)",
    "usual time": (
        "{times:often}{known.value:g} min, {known.low:g} to {known.high:g} ({known.basis})"
    ),
    "time between layers": "{times:often}{time:shop time.g} ({how})",
    "part as one lump of metal": (
        "the part as one lump of metal, past the time between layers (an estimate, derived)"
    ),
    "one pass": "{count} pass, length over feed and speed (derived); high: one pass more",
    "several passes": "{count} passes, length over feed and speed (derived); high: one pass more",
    "given in the rates": "given in [rates]",
    "bores together": "{bores} bores together; each: {each:words}",
    # what the job takes: what is not priced, how the figures are meant
    "wire not priced": "wire: give [plan] wire_price, a kilogram",
    "hours not priced": "hours worked: give [plan] hour_price",
    "gas not priced": "gas: give [rates] gas_price, a cubic metre",
    "low to high": (
        "Low to high holds about 19 jobs in 20; wire, gas and arc time by the scene's own "
        "spreads in closed form."
    ),
    "draws ask for a layer more": (
        "Of {draws} draws of the job {short:share} in 100 leave less than the minimum cut "
        "somewhere: high holds one layer more."
    ),
    "draws ask for no layer more": (
        "Of {draws} draws of the job {short:share} in 100 leave less than the minimum cut "
        "somewhere: no layer more is counted."
    ),
    "waiting not priced": "Waiting is not priced.",
    "waiting not counted": (
        "Waiting between layers is not counted: give [electrical] voltage and current, and "
        "[heat] interpass."
    ),
    "layers laid counted": (
        "The whole job: {done} of {layers} layers are laid already and counted with the rest."
    ),
    "mending not counted": (
        "Verdict on the plan, {verdict}: what it takes to mend it is not counted."
    ),
    # the quick estimate: what it took for granted
    "bored back to the original size": (
        "bored back to the original size, {size:length} on diameter, no tolerance given"
    ),
    "worn oval all along": (
        "worn oval from the original size to the worst, the same all along the bore"
    ),
    "pre-bored": (
        "pre-bored to {size:length} on diameter ({known.basis}: {known.source}; {known:range})"
    ),
    "not pre-bored": ("not pre-bored ({known.basis}: {known.source}; {known:range})"),
    "layers until it cleans up": (
        "{layers} layers, until the engine finds the minimum cut everywhere; mean build-up past "
        "the final size ({known.basis}: {known.source}; {known:range})"
    ),
    "usual pitch": (
        "pitch {pitch:length} ({known.basis}: {known.source}; {known.low:g} to {known.high:g})"
    ),
    "usual wire": ("wire {wire:length.1} ({known.basis}: {known.source}; {known:range})"),
    "usual wire feed": ("wire feed {feed:feed.1} ({known.basis}: {known.source}; {known:range})"),
    "usual travel": ("travel {travel:speed.0} ({known.basis}: {known.source}; {known:range})"),
    "bead as measured": "bead as measured",
    "bead not measured, quick": (
        "bead not measured ({known.basis}: {known.source}; {known.low:g} to {known.high:g})"
    ),
    "a plain bore": (
        "all axes in line, bore horizontal, bare faces without run-off rings, no oil hole, no "
        "keyway"
    ),
    "bores alike": (
        "{holes} bores alike, each set up, cleaned, measured, heated and cooled by itself"
    ),
    "one bore": "one bore",
    # between layers
    "laying the layers as they may have come out": "laying the layers as they may have come out",
    "does it clean up as it is": "does it clean up as it is",
    "readings warm": "After layer {layer}: {said:words}",
    "metal against wire and travel": (
        "readings after layers give {value:share.1} % of the metal that wire and travel say (give "
        "or take {spread:share.1} %)"
    ),
    "more than all the wire fed": (
        "that is more than all the wire fed: weigh or count a minute of wire before changing "
        "anything"
    ),
    "valleys give a tie-in": (
        "valleys give a tie-in of {value:.2f} (one standard deviation {spread:.2f})"
    ),
    "radii give a pool run": (
        "radii give a pool run of {value:length} (one standard deviation {spread:length})"
    ),
}
