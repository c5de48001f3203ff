"""The words of what is remarked in the shop: readings as they were taken, and what a careful person
would point at.
"""

from __future__ import annotations

SHOP: dict[str, str] = {
    # what is going on
    "laying a layer": "layer {layer} of {layers}",
    "clock divided finer": "clock divided finer: {columns} columns",
    # bores of a bar
    "no bore named": (
        "No bore named: {bare}; taken to be in the first bore of the bar alone; say "
        'bore = "{second}" where it is in another.'
    ),
    # readings as they were taken
    "readings as written": "Readings: {how}.",
    "read twice": "Rows {row:.0f} and {again:.0f} read the same place and were averaged.",
    "clock not covered": (
        "At {depth:length.1} deep the clock is not covered: {degrees:.0f} degrees without a "
        "reading; what lies there is not known."
    ),
    "ends not read": (
        "The nearest readings are {entry:length.0} from the entry and {far:length.0} from the far "
        "face: the wall is taken to run on unchanged from there."
    ),
    "part warm": (
        "The part was warm ({part:temperature} in the bore): readings brought to "
        "{reference:temperature} are good to {error:length.3} on {kind} at best; measure again "
        "cold before any tolerance is judged."
    ),
    "row off the wall": (
        "Row {row:.0f} is off the wall by {off:length.3}, more than its error of {error:length.3}."
    ),
    "row less than the pre-bore": (
        "Row {row:.0f} reads {across:length} across, less than the pre-bore of {size:length} it "
        "was read after: check its size, or of which wall the readings are."
    ),
    "said bright, but worn": (
        "The pre-bored wall is said to be bright {depth:length.0} deep at {clock:oclock}, but by "
        "the sizes given the worn wall stands {beyond:length} outside it there: look again, or "
        "gauge it after the pre-bore."
    ),
    "wear the gauge cannot see": (
        "A two-point gauge cannot see wear to one side: at worst the least stock is "
        "{least:length} per side{whose:words}; sweep the bore with an indicator from a centred "
        "bar."
    ),
    "final size for the original": (
        " (the final size stands for the original one, which is not given)"
    ),
    # bead, wire and tie-in
    "bead not measured": (
        "The bead was not measured: its width is assumed, so nothing here is proven; lay one on a "
        "plate."
    ),
    "bead against wire": (
        "The measured bead holds {ratio:share} % of the metal that wire feed and travel give: "
        "{believed:words}; weigh or count a minute of wire and measure the bead again."
    ),
    "wire rules": "the wire was measured, so it rules",
    "smaller of the two": "nobody measured the wire feed, so the smaller of the two is used",
    "tie-in not measured": (
        "How far beads tie in was not measured: it is drawn from none to whole; weld a pad of five "
        "beads and measure it."
    ),
    "pad undecided": (
        "The pad's pitch or its error leaves tie-in undecided: weld one at 0.85 to 0.9 of the bead "
        "width."
    ),
    # layers
    "stagger moves nothing": (
        "[layer {layer}] stagger = {stagger:g}: moves every other layer of an entry, and this one "
        "lays a single layer: nothing is moved; repeat it, or give the next layer a start depth of "
        "its own."
    ),
    "pitch wider than bead": (
        "Layer {layer}: the pitch {pitch:length} is wider than the bead {width:length}: bare wall "
        "stays between the beads."
    ),
    "bead too large to climb": (
        "Layer {layer}: a bead of {area:area.1} is more than holds on the climbing side (about "
        "{most:area.0})."
    ),
    "bead near a free face": (
        "Layer {layer}: the bead centre comes nearer to a free face than a quarter of its width: "
        "metal is lost past the face; tack a run-off ring or start farther in."
    ),
    "contact tip swings": (
        "Layer {layer}: the contact-tip distance changes by {swing:length.1} within a turn (up to "
        "{usual:length.g} is usual)."
    ),
    "metal high under the torch": (
        "Layer {layer}: metal stands high where the torch passes: {hit:words}; fewer closing turns "
        "or another start clock."
    ),
    "torch touches": "the torch touches",
    "little left to the tip": "only {clear:length.1} is left to the contact tip",
    # the part
    "travel outside gravity's table": (
        "Travel of {travel:travel}: gravity on the bead was measured from {table:travel}; outside "
        "that it is extrapolated."
    ),
    "gravity measured near 6": (
        "Gravity on the bead was measured to 55 degrees either side of 6 o'clock: 69 % of the "
        "clock is extrapolated."
    ),
    "clock test": (
        "Gravity on the bead rests on a clock test of {places} places: {extrapolated:share} % of "
        "the clock is still extrapolated."
    ),
    "pre-bore cuts nothing": (
        "The pre-bore is smaller than the worn wall: it cuts nothing or not all round."
    ),
    "little wall to the outside": (
        "Only {ligament:length.1} of wall is left to the outside: it may burn through or draw; "
        "depth of fusion is about {fusion:length.1}."
    ),
    "clock step coarse": (
        "The clock step leaves an error of {error:length.3} in the minimum; ask for more [grid] "
        "columns."
    ),
    "cut runs into base metal": (
        "The finish cut runs into base metal in places: one side weld, the other base metal is a "
        "bad seat; see weld left."
    ),
    "finish pass thinner than the nose": (
        "A finishing pass of {allowance:length} per side is thinner than two thirds of the nose "
        "radius {nose:length}: the tool rubs."
    ),
}
