"""The words of the trade as this tool uses them: term, meaning in plain words, and where it stands in the tool."""

from __future__ import annotations

from dataclasses import dataclass

# fmt: off
# one declaration a line


@dataclass(frozen=True)
class Term:
    """A word of the trade: what it means, where in the tool it is met, and words not to be used for it."""

    term: str
    meaning: str
    where: str
    not_called: str = ""


TERMS = (
    Term("base metal", "The metal the part is made of, as against the weld laid on it.", "weld left under the finished surface"),
    Term("bead", "The string of metal one pass of the torch lays; its section is rounded on top.", "[bead]; overlap bench"),
    Term("bead overlap", "How much of a bead's width the next one covers: (width - pitch) / width.", "[[layer]] bead_overlap; overlap bench", "overlap alone: that names a defect, metal lying on the wall without being fused to it"),
    Term("bell mouth", "A bore worn wider towards a face.", "[worn] bell_entry, bell_far"),
    Term("black", "Wall that the last cut did not touch: the weld skin, or worn metal, still shows.", "every map and picture"),
    Term("bore", "The hole in the part that carries a pin, bush or bearing; also: to cut it round and to size.", "[bore]"),
    Term("build-up", "Metal welded on to bring a worn wall back, to be bored to size afterwards.", "everywhere"),
    Term("chamfer", "The bevel at the mouth of the bore; what lies on it is not judged.", "[bore] chamfer_entry, chamfer_far"),
    Term("cleans up", "As surely as asked the last cut finds at least the minimum cut everywhere, and nothing stands open. Of size only: cracks, pores and lack of fusion are looked for by eye and test.", "the verdict"),
    Term("climbing side", "The side of a level bore where the torch goes uphill: 9 o'clock turning clockwise, 3 turning the other way. Beads are narrower and taller, valleys deeper.", "overlap bench; exercise 4"),
    Term("clock", "Direction round the bore in hours, seen from the entry face, 12 at the top.", "every map"),
    Term("closing turn", "A turn with the feed off at the start or end of a spiral: it fills the wedge.", "[[layer]] closing_start, closing_end; exercise 2"),
    Term("contact-tip distance", "From the end of the contact tip to the wall the arc meets.", "[head] contact_tip; warnings"),
    Term("crest", "The top of the build-up between two valleys: what a gauge foot stands on.", "overlap bench; gauge and valley"),
    Term("cure", "In an exercise: a change that makes the job clean up, tried by laying it.", "exercises", "a promise: each one is simulated"),
    Term("deposition efficiency", "Metal laid over wire fed; the rest is spatter and fume.", "[wire] efficiency"),
    Term("depth of fusion", "How deep a bead re-melts the metal it lies on.", "[process] depth_of_fusion"),
    Term("end wedge", "Missing metal over the first or last turn of a spiral, because the feed has already moved on.", "causes of low spots; exercise 2"),
    Term("entry face", "The face the head goes in at; depth is measured from it.", "every depth"),
    Term("falls short", "In more than half of such runs the wall somewhere lies outside the finished bore: it stays black.", "the verdict"),
    Term("feed", "How far the head moves along the bore; per turn it is the pitch.", "[[layer]] feed"),
    Term("finish allowance", "Metal left for the finishing pass, per side.", "[cut] finish_allowance"),
    Term("finish cut", "The last cut, to the final size; also called the last cut.", "[cut]; every picture"),
    Term("flat-top pitch", "Two thirds of the bead width: the mean height is then as high as one bead.", "overlap bench"),
    Term("gauge foot", "The flat end of a two-point gauge's leg. It rides the crests and cannot see a valley.", "[gauge] foot; overlap bench; exercise 5"),
    Term("hump", "Metal standing high at an arc start or under a closing turn.", "[process] hump; warnings"),
    Term("layer", "One build-up right round and from face to face.", "[[layer]]"),
    Term("low side", "The side with the least stock, because two axes do not agree.", "exercise 3"),
    Term("low spot", "A patch of wall that will stay black: where, how large, how deep, and why.", "the report; every map"),
    Term("mean line", "The height the wall would have if its ripple were pressed flat.", "overlap bench"),
    Term("minimum cut", "The least the finish cut must take everywhere, to get under the skin into sound metal; per side.", "[cut] minimum_cut"),
    Term("no-weld area", "Where the arc is off: an oil hole, a keyway.", "[[no_weld]], [[oil_hole]], [[keyway]]"),
    Term("not proven", "As sure as asked by what is drawn, but something stands open that nobody measured or looked at.", "the verdict"),
    Term("not sure enough", "More than half of such runs clean up, but fewer than asked.", "the verdict"),
    Term("on diameter", "A size across the bore. Twice as much as per side.", "every size"),
    Term("out-of-round", "Largest less smallest diameter of an oval bore.", "[worn] out_of_round"),
    Term("pad", "Five beads side by side, welded and measured, to learn the tie-in.", "[pad]"),
    Term("per side", "A size from the wall inwards, on one side of the bore. Half as much as on diameter.", "every size"),
    Term("pitch", "Feed in one turn: from one torch line to the next.", "[[layer]] pitch; overlap bench"),
    Term("pool", "The metal that is liquid under the arc.", "[process] pool_run"),
    Term("poor tie-in", "Beads washed up the flank of the one beside them as little as is known, or not at all: a figure beside the least stock, no bound of it.", "the report; section; overlap bench"),
    Term("pre-bore", "Boring to clean round metal before welding.", "[pre_bore]"),
    Term("ripple", "Crest less valley.", "overlap bench; ripple around the clock"),
    Term("run-off ring", "A ring tacked to a face so that beads may run past it.", "[run_off]"),
    Term("seam", "Where every turn of a stepped layer moves to the next; also where a map of the clock begins and ends.", "[[layer]] advance"),
    Term("spiral", "Feed all the way while turning. Leaves a wedge at each end unless turns are closed.", "[[layer]] advance"),
    Term("step", "A full turn with the feed off, then the feed within a few degrees. No wedge, one seam.", "[[layer]] advance"),
    Term("stock per side", "Metal from the wall to the finished bore, on one side: what there is to bore off.", "the report; every map", "stock alone: say per side or on diameter, every time"),
    Term("tangent pitch", "A pitch of 0.738 of the bead width: the widest at which a published model still lays a flat top.", "overlap bench"),
    Term("taper", "A bore wider at one face than at the other; also a bead running out before an arc stop.", "[worn] taper; [process] taper_length"),
    Term("thin", "In at least half of such runs less than the minimum cut is left somewhere.", "the verdict"),
    Term("tie-in", "How far a new bead washes up the flank of the one beside it: 0 not at all, 1 to its crest.", "[process] tie_in; [pad]; overlap bench"),
    Term("torch line", "The line the torch passed over. The crest of a bead lies behind it, towards the bead before.", "overlap bench"),
    Term("turn", "Once round.", "[[layer]]; overlap bench", "lap: a cold lap is a defect"),
    Term("two-point gauge", "A gauge that measures across the bore with two feet.", "[gauge]; readings"),
    Term("typical run, bad run", "Half of such runs leave more than the typical; 19 in 20 leave more than the bad one.", "the report"),
    Term("update from readings", "Correcting what is expected from what was gauged after a layer.", "after a layer"),
    Term("valley", "The lowest place between two crests. What a gauge does not show, and the last cut must get below.", "overlap bench; every minimum"),
    Term("weld left", "Weld that stays under the finished surface, per side; below zero the cut runs into base metal.", "the report; weld left"),
    Term("width", "Of a bead: across it, where it meets the wall.", "[bead] width"),
)  # fmt: skip


def found(words: str) -> tuple[Term, ...]:
    """The terms that hold these words in their name or meaning, those with it in the name first; all for nothing.

    >>> found("closing")[0].term
    'closing turn'
    """
    wanted = words.strip().lower()
    named = [term for term in TERMS if wanted in term.term.lower()]
    meant = [term for term in TERMS if term not in named and wanted in term.meaning.lower()]
    return tuple(named + meant)
