"""The verdict in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.bore.low_spots import LowSpot
from sim.job.checks import final_limits
from sim.plan.odds.verdict import ROUND_THE_CLOCK, TIE_IN, Decision, LeastStock
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH, clock_text
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, NOT_SURE, THIN, Open
from sim.shop.result import Result

NOMINAL_ONLY = "NOMINAL ONLY, not a verdict"


SIZE_ONLY = "Size only: look for cracks, pores and lack of fusion."


SIGNS = {CLEANS_UP: "✔", NOT_PROVEN: "?", NOT_SURE: "≈", THIN: "▽", FALLS_SHORT: "✖"}
"""A sign beside the word, so that nobody has to tell colours apart."""


_SURE = "Allowing for normal shop variation, {low} to {high} of 100 such jobs"


_LEAVE = f"{_SURE} leave the minimum cut of {{cut}} per side everywhere"


MEANS = {
    FALLS_SHORT: "Allowing for normal shop variation, black metal stays somewhere in more than half "
    "of such jobs.",
    THIN: f"{_LEAVE}: half of them or fewer.",
    NOT_SURE: f"{_LEAVE}: fewer than asked.",
    NOT_PROVEN: f"{_LEAVE}: as many as asked, but something stands open.",
    CLEANS_UP: f"{_LEAVE}.",
}


RESTS = {
    TIE_IN: "tie-in not measured",
    ROUND_THE_CLOCK: "bead shape measured only from about 4 to 8 o'clock",
}


def band(result: Result) -> float:
    """How far the minimum may well lie off [mm per side], about 95 times in 100, from metal laid
    alone; an old figure of the JSON, no verdict rests on it.

    Twice the root of squares of: common-cause error on the whole thickness, bead-to-bead error on
    the last bead's height. Axes, readings and tie-in come on top. Derived from the spreads of the
    scene.
    """
    thickness = sum(layer.mean_thickness for layer in result.layers)
    common = result.scene.spread.common * thickness
    single = result.scene.spread.height * result.layers[-1].setting.bead.height
    return 2.0 * math.hypot(common, single)


def headline(decided: Decision) -> str:
    """The verdict in one breath: the word, how many of 100, what was asked."""
    n = decided.clean_up_of_100
    return f"{decided.verdict.upper()}: {of_100(n.value)} of 100, you asked {n.asked:g}"


def verdict_lines(result: Result, decided: Decision | None) -> list[str]:
    """The verdict and why, in a few sentences that can be read aloud; `result` is of the job's
    worst bore.

    The verdict with how many of 100 clean up; least stock as planned, in a typical run, in a bad
    one; where; why.
    """
    say, spot = Say(result.scene.job.units), result.stock.spot
    if decided is None:
        least = f"least stock {least_text(spot.value, say)} per side planned"
        return [f"{NOMINAL_ONLY}: {least}, {_where(result)}."]
    first, three, *more = decided_lines(decided, say, result.scene.cut.minimum_cut)
    return [first, three, place_line(result, decided), *more]


def short_lines(result: Result, decided: Decision) -> list[str]:
    """Of `verdict_lines` what a panel has room for: all but why and what it rests on."""
    lines = verdict_lines(result, decided)
    says = (*open_lines(decided.open, Say(result.scene.job.units)), SIZE_ONLY)
    return [*lines[:3], *(line for line in lines[3:] if line in says)]


def decided_lines(decided: Decision, say: Say, cut: float) -> list[str]:
    """The verdict without its place: word and of 100; least stock; why; what stands open, or what
    a yes does not cover; what it rests on. cut: least cut asked for [mm per side].
    """
    n = decided.clean_up_of_100
    why = MEANS[decided.verdict].format(low=of_100(n.low), high=of_100(n.high), cut=say.size(cut))
    rests = [RESTS[one] for one in decided.rests_on]
    return [
        f"{headline(decided)}.",
        f"{least_words(decided.least_stock, say)}.",
        why if decided.settled else f"{why} It lies near the line: a longer check may move it.",
        *open_lines(decided.open, say),
        *([SIZE_ONLY] if decided.verdict == CLEANS_UP else []),
        *([f"Rests on: {'; '.join(rests)}."] if rests else []),
    ]


def place_line(result: Result, decided: Decision) -> str:
    """Where the least stock lies as planned, and what makes it low where that is known."""
    spots = result.low_spots or result.thin_spots
    cause = f": {spots[0].cause}" if spots else ""
    bore = f"in {decided.worst}, " if len(decided.bores) > 1 else ""
    return f"Least {bore}{_where(result)}{cause}."


def _where(result: Result) -> str:
    say, spot = Say(result.scene.job.units), result.stock.spot
    return f"at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} from the entry face"


def final_words(result: Result) -> str:
    """The size of the finish cut on diameter, with its limits."""
    say = Say(result.scene.job.units)
    low, high = final_limits(result.scene.bore)
    if high - low < 1e-9:
        return f"{say.size(low, 3)} on diameter"
    return f"{say.size(low, 3)} on diameter (lower limit; upper {say.size(high, 3)})"


def spot_lines(spots: tuple[LowSpot, ...], say: Say) -> list[str]:
    """Low spots in words, those of one cause together when there are many."""
    by_cause: dict[str, list[LowSpot]] = {}
    for spot in spots:
        by_cause.setdefault(spot.cause, []).append(spot)
    return [f"- {_spots_of(cause, members, say)}" for cause, members in by_cause.items()]


def _spots_of(cause: str, members: list[LowSpot], say: Say) -> str:
    worst = members[0]
    area = sum(s.area for s in members)
    size = f"{area / INCH**2:.2f} in2" if say.units == "in" else f"{area:.0f} mm2"
    depth = (
        f"{say.size(min(s.depth_from for s in members), 0)} to "
        f"{say.size(max(s.depth_to for s in members), 0)} deep"
    )
    clock = _clock_range(worst)
    many = f"{len(members)} strips, the worst" if len(members) > 1 else "one, "
    deep = f"{say.size(-worst.stock)} short" if worst.stock < 0 else f"{say.size(worst.stock)} left"
    return (
        f"{cause}: {many} {clock}, {deep} per side at {clock_text(worst.at_clock)}; {depth}, "
        f"{size} in all"
    )


def _clock_range(spot: LowSpot) -> str:
    if spot.clock_to - spot.clock_from >= 2.0 * math.pi - 1e-9:
        return "right round"
    return f"from {clock_text(spot.clock_from)} to {clock_text(spot.clock_to)}"


def of_100(value: float) -> str:
    """How many of 100, never rounded to none or to all.

    >>> of_100(66.0), of_100(99.5), of_100(99.99), of_100(100.0), of_100(0.2)
    ('66', '99.5', '99.9', '100', '0.2')
    """
    if 99.0 < value < 100.0 or 0.0 < value < 1.0:
        return f"{min(max(value, 0.1), 99.9):.1f}"
    return f"{value:.0f}"


def least_words(least: LeastStock, say: Say) -> str:
    """Least stock per side as planned, typical and bad, with what these words mean; below zero
    black metal stays.

    >>> least_words(LeastStock(1.0, 0.42, -0.2), Say("mm"))
    'Least stock per side, in mm: 1.00 planned, 0.42 in a typical run, -0.20 in a bad one (1 in 20)'
    """
    unit = "inches" if say.units == "in" else "mm"
    planned, typical, bad = (
        _bare(value, say) for value in (least.planned, least.typical, least.bad)
    )
    return (
        f"Least stock per side, in {unit}: {planned} planned, {typical} in a typical run, {bad} in "
        "a bad one (1 in 20)"
    )


def _bare(value: float, say: Say) -> str:
    return "closed" if math.isnan(value) else say.size(value).split()[0]


def least_text(value: float, say: Say) -> str:
    """A least stock per side; below zero black metal stays, nan: the metal closes the bore."""
    return "the bore closes" if math.isnan(value) else say.size(value)


def open_lines(stands_open: Sequence[Open], say: Say) -> list[str]:
    """What stands open, where, and what closes it, a sentence each.

    >>> open_lines((Open("part of the wall nobody read", "read it there", clock=0.0, depth=50.0),), Say("mm"))
    ['Open: part of the wall nobody read, at 12:00, 50 mm deep; to close it: read it there.']
    """
    out = []
    for one in stands_open:
        where = f" in layer {one.layer}" if one.layer else ""
        if one.clock is not None and one.depth is not None:
            where += f", at {clock_text(one.clock)}, {say.size(one.depth, 0)} deep"
        out.append(f"Open: {one.what}{where}; to close it: {one.closes}.")
    return out
