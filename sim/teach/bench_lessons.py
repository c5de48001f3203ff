"""What the overlap bench teaches: ready set-ups, each with what there is to see, and every number
with its formula.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from sim.laws.bead_shape import AREA
from sim.laws.gravity import HOW_KNOWN, SOURCE, WIDTH
from sim.laws.layer_thickness import FORMULA
from sim.laws.mass_balance import PER_RADIAN
from sim.reference.defaults import ASSUMED, DERIVED, PUBLISHED
from sim.reference.sizes_in_words import Explained, Say, shown
from sim.reference.units import clock_text
from sim.teach.bench import FLAT_TOP, TANGENT, Coupon, Section, carried_on


@dataclass(frozen=True)
class Lesson:
    """One thing to see on the bench: title, what to look at in plain words, the set-up, and what
    must hold of it.
    """

    title: str
    see: str
    coupon: Coupon
    holds: Callable[[Section], bool]


EYE = 83.0
"""Bore before welding of the invented eye used in the lessons [mm on diameter]."""


LESSONS = (
    Lesson(
        "Two beads leave a valley",
        "Each bead is round on top. Side by side they meet low down, and between them stays "
        "a valley. Bring the pitch down and watch it fill.",
        Coupon(beads=2, pitch=4.0),
        lambda s: s.crest - s.valley > 0.3,
    ),
    Lesson(
        "What a closer pitch costs",
        "A closer pitch lifts the valley a little and the mean a lot: more turns, more wire, "
        "more to bore off. Compare 3.0 with 4.0.",
        Coupon(beads=5, pitch=3.0),
        lambda s: s.valley > 1.7 and s.mean > 1.9,
    ),
    Lesson(
        "The climbing side is worse",
        "Going uphill the metal hangs back: the bead gets narrow and tall. At the same pitch "
        "the valleys are deeper. Turn the clock and see.",
        Coupon(beads=4, pitch=3.7, diameter=EYE, clock=1.5 * math.pi),
        lambda s: s.width < 4.1 and s.valley < 1.0,
    ),
    Lesson(
        "The gauge rides the crests",
        "The gauge foot is flat and stands on the crests: it reads about 79.2, as if there "
        "were plenty. The valley beside it is already past 80, and black.",
        Coupon(beads=5, pitch=3.5, diameter=EYE, cut=0.5 * (EYE - 80.0), gravity=0.0, pool_run=0.0),
        lambda s: (
            abs(s.diameter_at(s.foot_height) - 79.2) < 0.05 and s.diameter_at(s.valley) > 80.05
        ),
    ),
    Lesson(
        "Why stock is left for the last cut",
        "Set the cut at the mean line and half the wall stays black. Only below the deepest "
        "valley is there sound metal everywhere.",
        Coupon(beads=5, pitch=3.5, cut=1.72),
        lambda s: 0.25 < s.black_width / float(s.torch[-1]) < 0.75,
    ),
    Lesson(
        "Too wide: bare wall",
        "Wider than the bead itself the beads do not touch, and bare wall stays between "
        "them. No number of passes of the tool will find metal there.",
        Coupon(beads=3, pitch=5.6),
        lambda s: abs(s.valley) < 1e-6,
    ),
)


def readings(found: Section, units: str) -> list[tuple[str, str]]:
    """The few figures an apprentice reads off the bench: name and value in words."""
    say = Say(units)
    return [
        ("Crest", say.size(found.crest)),
        ("Valley", say.size(found.valley)),
        ("Mean line", say.size(found.mean)),
        ("Gauge reads", gauge_words(found, say)),
        ("Left black", say.size(found.black_width)),
    ]


OPENS = {
    "Crest": "crest and valley", "Valley": "crest and valley", "Mean line": "mean line",
    "Gauge reads": "gauge",
    "Left black": "left black by the last cut",
}  # fmt: skip
"""Which formula each figure of `readings` opens to."""


def gauge_words(found: Section, say: Say) -> str:
    """What the gauge reads on diameter in a bore, or the height its foot stands at on a coupon."""
    if found.coupon.diameter is None:
        return say.size(found.foot_height)
    return say.size(found.diameter_at(found.foot_height))


def told(found: Section, units: str) -> str:
    """The bench in two or three sentences that can be read aloud."""
    say, c = Say(units), found.coupon
    words = [
        f"Crests {say.size(found.crest)} and valleys {say.size(found.valley)} above the bare "
        "wall, per side: "
        f"the ripple is {say.size(found.crest - found.valley)}."
    ]
    if c.diameter is not None:
        words.append(
            f"The gauge will read {gauge_words(found, say)} on diameter; the valley is "
            f"{say.size(found.diameter_at(found.valley))} on diameter."
        )
    if found.black_width > 0.0:
        words.append(
            f"The last cut leaves {say.size(found.black_width)} of "
            f"{say.size(float(found.torch[-1]))} black, "
            f"{say.size(c.cut - found.valley)} per side short at the deepest."
        )
    else:
        words.append(
            f"The last cut finds metal everywhere, {say.size(found.valley - c.cut)} per side "
            "at the thinnest."
        )
    return " ".join(words)


def explain(found: Section, units: str) -> list[Explained]:
    """Every number of the bench: formula, the formula with the numbers in it, how it is known,
    source.
    """
    say = Say(units)
    return [
        *_explain_bead(found, say),
        *_explain_section(found, say),
        *_explain_reading(found, say),
    ]


def _explain_bead(found: Section, say: Say) -> list[Explained]:
    c, x = found.coupon, found.spacing
    where = (
        "a flat coupon, no gravity"
        if c.diameter is None
        else f"{clock_text(c.clock)} o'clock, climb {c.climbing:+.2f}"
    )
    return [
        Explained(
            "bead area", say.area(c.bead.area), AREA,
            shown({"w": c.width, "h": c.height}, "mm"), PUBLISHED,
            "parabola fits measured beads: Ding et al. 2015",
        ),
        Explained(
            "bead width here", say.size(found.width), WIDTH,
            shown({"flat w": c.width, "c": 0.0 if c.diameter is None else c.gravity, "climb": c.climbing}, "mm")
            + f": {where}; the height goes the other way",
            HOW_KNOWN, SOURCE,
        ),
        Explained(
            "pitch over width, bead overlap", f"{x:.2f}, {100 * (1 - x):.0f} %",
            "bead overlap = (width - pitch) / width",
            f"({say.size(found.width)} - {say.size(c.pitch)}) / {say.size(found.width)}", DERIVED,
            "definition",
        ),
        Explained(
            "flat-top and tangent pitch",
            f"{say.size(FLAT_TOP * found.width)} and {say.size(TANGENT * found.width)}",
            "flat-top = 2/3 x width: the mean height is the bead height; tangent = 0.738 x width",
            f"2/3 x {say.size(found.width)}; 0.738 x {say.size(found.width)}", PUBLISHED,
            "flat-top: equal areas, Suryakumar et al. 2011; tangent model: Ding et al. 2015",
        ),
    ]  # fmt: skip


def _explain_section(found: Section, say: Say) -> list[Explained]:
    c, layer = found.coupon, carried_on(found.coupon)
    formula = "t = A / pitch" if c.diameter is None else f"{PER_RADIAN}; {FORMULA}"
    known = f"tie-in {c.tie_in:.2f} " + "is assumed until a pad is measured: 0 to 1"
    e = found.setback - 0.5 * found.width + 0.5 * c.pitch
    x = found.spacing
    return [
        Explained(
            "crest and valley",
            f"{say.size(found.crest)} and {say.size(found.valley)} per side above the bare "
                "wall",
            "between its two contact points a bead is the chord less a parabola that holds "
                "its metal",
            "valleys are the contact points, half a width plus tie-in from the torch line; "
                f"carried on for {40} turns: "
            f"{say.size(layer.crest, 3)} and {say.size(layer.valley, 3)}", ASSUMED, known,
        ),
        Explained(
            "mean line", f"{say.size(found.mean)} per side above the bare wall",
            f"carried on for many turns: {formula}",
            f"{say.area(found.area)} and pitch {say.size(c.pitch)}: "
                f"{say.size(layer.mean, 3)}; here between the outer torch lines",
            DERIVED, "conservation of metal; the same for every tie-in",
        ),
        Explained(
            "crest behind the torch line", say.size(found.setback),
            "width/2 + e - pitch/2, e how much farther the pool washes up the last bead",
            f"{say.size(found.width)}/2 + {say.size(e)} - {say.size(c.pitch)}/2, read off "
                "the last bead but one", DERIVED,
            "what stays of a bead is one pitch wide, its crest in the middle; a cut section "
                "can refute it",
        ),
        Explained(
            "metal moved from overlap to valley", f"{say.area(found.moved)} for each pair",
            "width x height x (2/3 - x + x^3/3), x pitch over width: what two parabolas "
                "would both claim",
            f"x = {x:.3f}; read off the beads laid one by one and together", DERIVED,
            "conservation of metal",
        ),
    ]  # fmt: skip


def _explain_reading(found: Section, say: Say) -> list[Explained]:
    c = found.coupon
    foot = f"foot {say.size(c.foot, 1)} long, on the last beads"
    if c.diameter is not None:
        foot += (
            f": {say.size(c.diameter)} - 2 x {say.size(found.foot_height, 3)}, the opposite side "
            "taken as the same"
        )
    return [
        Explained(
            "gauge",
            gauge_words(found, say) + (" on diameter" if c.diameter is not None else " above the bare wall"),
            "smallest radius under a flat foot, twice", foot, DERIVED,
            "a flat foot rides the crests and never sees the valley",
        ),
        Explained(
            "left black by the last cut",
            f"{say.size(found.black_width)} of {say.size(float(found.torch[-1]))}",
            "where the wall is lower than the cut, between the outer torch lines",
            f"cut {say.size(c.cut)} per side above the bare wall, deepest valley "
                f"{say.size(found.valley)}", DERIVED,
            "exact sections of the built-up wall",
        ),
        Explained(
            "with poor tie-in",
            f"valley {say.size(found.pessimist_valley)} per side above the bare wall",
            "the same beads with tie-in 0",
            f"instead of {c.tie_in:.2f}", ASSUMED,
            "the worst of the possible range; nobody has measured tie-in on this job",
        ),
    ]  # fmt: skip
