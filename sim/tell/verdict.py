"""The verdict in words."""

from __future__ import annotations

import math

from sim.bore.low_spots import LowSpot
from sim.job.checks import final_limits
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH, clock_text
from sim.shop.judge import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, THIN
from sim.shop.result import Result


def band(result: Result) -> float:
    """How far the minimum may well lie off [mm per side], about 95 times in 100, from metal laid
    alone.

    Twice the root of squares of: common-cause error on the whole thickness, bead-to-bead error on
    the last
    bead's height. Axes, readings and tie-in come on top. Derived from the spreads of the scene.
    """
    thickness = sum(layer.mean_thickness for layer in result.layers)
    common = result.scene.spread.common * thickness
    single = result.scene.spread.height * result.layers[-1].setting.bead.height
    return 2.0 * math.hypot(common, single)


def verdict_lines(result: Result) -> list[str]:
    """The verdict and why, in a few sentences that can be read aloud."""
    say, off = Say(result.scene.job.units), band(result)
    spot, verdict = result.stock.spot, result.verdict
    low, high = final_limits(result.scene.bore)
    size = (
        say.size(low, 3)
        if high - low < 1e-9
        else f"{say.size(low, 3)} (lower limit; upper {say.size(high, 3)})"
    )
    where = f"{clock_text(spot.clock)} o'clock, {say.size(spot.depth, 0)} from the entry face"
    least = say.estimate(abs(spot.value), off)
    opening = {
        CLEANS_UP: f"the cut to {size} finds metal everywhere. Least stock: {least}, at {where}.",
        THIN: f"there is metal everywhere for {size}, but not enough: {least}, at {where}; the "
        f"least cut asked for is {say.size(result.scene.cut.minimum_cut)} per side.",
        FALLS_SHORT: f"the cut to {size} leaves black metal. Worst at {where}: short by {least}.",
        NOT_PROVEN: f"for {size} the model finds a least stock of {least}, at {where}, but it cannot be "
        "promised.",
    }[verdict]
    lines = [f"On the numbers given: {verdict.upper()} - {opening}", _pessimist_line(result, say)]
    return [line for line in lines if line]


def _pessimist_line(result: Result, say: Say) -> str:
    p, verdict = result.pessimist.spot, result.verdict
    amount = (
        f"{say.size(p.value)} per side" if p.value >= 0 else f"{say.size(-p.value)} per side short"
    )
    figure = f"{amount} at {clock_text(p.clock)} o'clock, {say.size(p.depth, 0)} deep"
    if verdict == NOT_PROVEN and result.scene.bead is None:
        return (
            "Not proven because nobody measured the bead. With the poorest tie-in of the last "
            f"layer: {figure}."
        )
    if verdict == NOT_PROVEN and result.scene.readings is not None and result.scene.readings.warm:
        return (
            "Not proven because the part was warm when it was gauged. With the poorest tie-in "
            f"of the last layer: {figure}."
        )
    if verdict == NOT_PROVEN and result.unseen is not None and result.unseen < 0.0 <= p.value:
        return (
            "Not proven because the gauge cannot see wear to one side: at worst "
            f"{say.size(-result.unseen)} per side short."
        )
    if verdict == NOT_PROVEN:
        return (
            f"Not proven because with the poorest tie-in of the last layer it would be {figure}: "
            "weld a pad of five beads and measure it."
        )
    if p.value < result.scene.cut.minimum_cut <= result.stock.spot.value:
        return f"With the poorest tie-in of the last layer it is thin: {figure}."
    return f"With the poorest tie-in of the last layer: {figure}."


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
