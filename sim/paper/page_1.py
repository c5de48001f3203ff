"""Page 1: verdict, sizes, what it rests on."""

from __future__ import annotations

import math

from sim.job.checks import final_limits
from sim.paper.blocks import (
    A4,
    BAD,
    DOUBTFUL,
    GOOD,
    MARGIN,
    Block,
    Both,
    Cell,
    Figure,
    Lines,
    Stamp,
    Table,
    in_both,
)
from sim.paper.bore_drawing import bore_drawing
from sim.paper.stock_drawings import map_drawing, section_drawing
from sim.paper.work import Work
from sim.reference.defaults import ASSUMED, MEASURED
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, NOT_SURE, THIN
from sim.shop.result import Result
from sim.tell.note import plain
from sim.tell.remarks import lines
from sim.tell.verdict import SIZE_ONLY, headline, least_words, verdict_lines
from sim.tell.where_from import assumptions

TONES = {
    CLEANS_UP: GOOD,
    NOT_PROVEN: DOUBTFUL,
    NOT_SURE: DOUBTFUL,
    THIN: DOUBTFUL,
    FALLS_SHORT: BAD,
}


def first_page(work: Work, paper: tuple[float, float]) -> tuple[Block, ...]:
    """Verdict, what it rests on, the bore, stock all round it; the drawings lower where there is
    less room.
    """
    result, wide = work.result, paper[0] - 2.0 * MARGIN
    verdict = _verdict_lines(work)
    rests = rests_on(result)
    rows = sum(math.ceil(len(line) / 95.0) for line in verdict) + sum(
        math.ceil(len(line) / 125.0) for line in rests
    )
    tall = (1.0 if paper == A4 else 0.88) - 0.024 * max(rows - 9, 0)
    return (
        Stamp(*stamp(work)),
        Lines("", tuple(verdict)),
        Lines("What it rests on", tuple(rests), small=True),
        Figure(
            "The bore, its clock and its depth", bore_drawing(result, work.told, wide, 58.0 * tall)
        ),
        sizes(work),
        Figure(
            "Stock to bore off, per side, after the last layer",
            map_drawing(result, wide, 50.0 * tall),
        ),
        Figure("", section_drawing(result, wide, 50.0 * tall)),
    )


def _verdict_lines(work: Work) -> list[str]:
    """The verdict under its stamp, sizes in both units."""
    _, least, *more = verdict_lines(work.result, work.decided)
    other = least_words(work.decided.least_stock, Both.of(work.result).second)
    return [least, f"{other}.", *(in_both(line) for line in more)]


def stamp(work: Work) -> tuple[str, str]:
    """What stands across the sheet: the verdict on the whole job."""
    verdict = work.decided.verdict
    beside = f"; {SIZE_ONLY[:1].lower()}{SIZE_ONLY[1:].rstrip('.')}" if verdict == CLEANS_UP else ""
    return TONES[verdict], f"{headline(work.decided)}{beside}"


def rests_on(result: Result) -> list[str]:
    """What was measured, and what nobody measured on this job, in short."""
    scene, rows = result.scene, assumptions(result)
    measured = ["bead on a plate"] if scene.bead is not None else []
    measured += ["pad of five beads (tie-in)"] if result.tie_in.measured else []
    measured += ["wire feed"] if scene.wire.feed_measured else []
    worn = (
        "by the sizes given in the scene"
        if scene.readings is None
        else "gauged warm"
        if scene.readings.warm
        else "gauged cold"
    )
    rest = [row for row in rows if row["how_known"] != MEASURED]
    assumed = [plain(row["what"]) for row in rest if row["how_known"] == ASSUMED]
    out = [
        f"Worn bore: {worn}. Measured: {', '.join(measured) or 'nothing else'}. Published, "
        f"derived or common practice: {len(rest) - len(assumed)} values. Assumed, nobody "
        f"knows: {', '.join(assumed)}."
    ]
    return out + [in_both(line) for line in lines(result.warnings[:4], Both.of(result).first)]


def sizes(work: Work) -> Table:
    """The sizes of the bore, on diameter."""
    scene, both = work.result.scene, Both.of(work.result)
    low, high = final_limits(scene.bore)
    named = {
        "smallest worn, on diameter": both.cell(scene.worn.diameter),
        "pre-bore, on diameter": both.cell(scene.pre_bore.diameter)
        if scene.pre_bore
        else Cell("none"),
        "finish, lower limit, on diameter": both.cell(low, 3),
        "finish, upper limit, on diameter": both.cell(high, 3)
        if high - low > 1e-9
        else Cell("not given"),
        "length, face to face": both.cell(scene.bore.length, 1),
        "outside of the boss, on diameter": both.cell(scene.bore.outside_diameter, 1)
        if scene.bore.outside_diameter
        else Cell("not given"),
    }
    return Table("", ("", *named), ((Cell("sizes"), *named.values()),))
