"""What stands on the job sheet: plain blocks of words, figures, blanks and drawings, in order, for
PDF and HTML alike.

Every size stands in both units and says on diameter or per side.
"""

from __future__ import annotations

from collections.abc import Sequence

from sim.job.change import digest
from sim.machine.between.card import cards_of
from sim.paper.blocks import A4, LETTER, Both, Sheet
from sim.paper.page_1 import first_page
from sim.paper.page_2 import second_page
from sim.paper.page_3 import third_page
from sim.paper.work import NAME_MOST, NOTE_MOST, Work, cut_short, work_of
from sim.plan.odds.verdict import Decision
from sim.reference.version import VERSION
from sim.shop.several_bores import OnBar


def sheets(on_bar: Sequence[OnBar], decided: Decision) -> tuple[Sheet, ...]:
    """The sheet of every bore on the bar. Raises SceneError."""
    count = len(on_bar)
    out = []
    for number, (one, cards) in enumerate(zip(on_bar, cards_of(on_bar), strict=True), 1):
        both = Both.of(one.result)
        where = (
            (
                f"Bore {number} of {count} on the bar: {one.name}, {both.text(one.along, 0)} "
                f"along the bar. The bar as a whole: {decided.verdict}; by itself this bore: "
                f"{decided.bores[number - 1].verdict}."
            )
            if count > 1
            else ""
        )
        out.append(sheet(work_of(one.result, decided, cards), where))
    return tuple(out)


def sheet(work: Work, bore: str = "") -> Sheet:
    """The sheet of one bore."""
    scene = work.result.scene
    paper = LETTER if scene.job.units == "in" else A4
    name = cut_short(scene.job.name or "Unnamed job", NAME_MOST)
    return Sheet(
        paper=paper,
        title=name,
        bore=bore,
        note=cut_short(scene.job.note, NOTE_MOST),
        foot=f"Job sheet, tool version {VERSION}, scene {digest(scene)}. Estimates, not a welding "
        "procedure.",
        pages=(first_page(work, paper), (*second_page(work), *third_page(work))),
    )
