"""The verdict in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.bore.low_spots import LowSpot
from sim.job.checks import final_limits
from sim.plan.odds.verdict import Decision, LeastStock
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH, clock_text
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, NOT_SURE, THIN, Open
from sim.shop.result import Result

NOMINAL_ONLY = "NOMINAL ONLY, not a verdict"


SIZE_ONLY = "Size only: look for cracks, pores and lack of fusion."


MEANS = {
    FALLS_SHORT: "In more than half of such runs black metal stays somewhere.",
    THIN: "In at least half of such runs less than the minimum cut of {cut} per side is left "
    "somewhere.",
    NOT_SURE: "In {short} of 100 such runs less than the minimum cut of {cut} per side is left "
    "somewhere: more than asked for.",
    NOT_PROVEN: "What is drawn is sure enough, but something stands open:",
    CLEANS_UP: SIZE_ONLY,
}


def band(result: Result) -> float:
    """How far the minimum may well lie off [mm per side], about 95 times in 100, from metal laid
    alone; an old figure of the
    JSON, no verdict rests on it.

    Twice the root of squares of: common-cause error on the whole thickness, bead-to-bead error on
    the last
    bead's height. Axes, readings and tie-in come on top. Derived from the spreads of the scene.
    """
    thickness = sum(layer.mean_thickness for layer in result.layers)
    common = result.scene.spread.common * thickness
    single = result.scene.spread.height * result.layers[-1].setting.bead.height
    return 2.0 * math.hypot(common, single)


def verdict_lines(result: Result, decided: Decision | None) -> list[str]:
    """The verdict and why, in a few sentences that can be read aloud; `result` is of the job's
    worst bore.

    The verdict with how many of 100 clean up; least stock as planned, in a typical run, in a bad
    one; where; why.
    """
    say, spot = Say(result.scene.job.units), result.stock.spot
    low, high = final_limits(result.scene.bore)
    size = (
        say.size(low, 3)
        if high - low < 1e-9
        else f"{say.size(low, 3)} (lower limit; upper {say.size(high, 3)})"
    )
    where = f"at {clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} from the entry face"
    if decided is None:
        return [
            f"{NOMINAL_ONLY}: the cut to {size} as planned: {_per_side(spot.value, say)}, {where}."
        ]
    n = decided.clean_up_of_100
    sure = (
        f"{of_100(n.value)} of 100 clean up at the cut to {size}; between {of_100(n.low)} and "
        f"{of_100(n.high)}, asked {n.asked:g}"
    )
    on_bar = f" In {decided.worst}," if len(decided.bores) > 1 else " Least"
    lines = [
        f"{decided.verdict.upper()}: {sure}.",
        f"Least stock per side: {least_words(decided.least_stock, say)}.{on_bar} {where}.",
    ]
    why = MEANS[decided.verdict].format(
        cut=say.size(result.scene.cut.minimum_cut), short=of_100(100.0 - n.value)
    )
    lines += [why, *open_lines(decided.open)]
    return [*lines, f"It rests on: {', '.join(decided.rests_on)}."] if decided.rests_on else lines


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
    """Least stock per side as planned, typical and bad, with what these words mean."""
    named = (
        ("as planned", least.planned),
        ("in a typical run", least.typical),
        ("in a bad one (1 in 20)", least.bad),
    )
    return ", ".join(f"{_amount(value, say)} {name}" for name, value in named)


def _amount(value: float, say: Say) -> str:
    return (
        "the bore closes"
        if math.isnan(value)
        else say.size(value)
        if value >= 0.0
        else f"{say.size(-value)} short"
    )


def _per_side(value: float, say: Say) -> str:
    return (
        f"least stock {say.size(value)} per side"
        if value >= 0.0
        else f"{say.size(-value)} per side short"
    )


def open_lines(stands_open: Sequence[Open]) -> list[str]:
    """What stands open and what closes it, a sentence each."""
    return [
        (
            f"Open: {one.what}{f' in layer {one.layer}' if one.layer else ''}; to close it: "
            f"{one.closes}."
        )
        for one in stands_open
    ]


def sure_words(decided: Decision) -> str:
    """How many of 100 clean up, between which limits, and what was asked."""
    n = decided.clean_up_of_100
    return (
        f"{of_100(n.value)} of 100 clean up; between {of_100(n.low)} and {of_100(n.high)}, asked "
        f"{n.asked:g} ({n.draws} draws)"
    )
