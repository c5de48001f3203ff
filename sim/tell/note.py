"""The foreman's note."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.bore.axis import Axis
from sim.plan.odds.verdict import Decision, worst_bore
from sim.plan.remedies.advice import Advice
from sim.reference.cautions import CAUTION
from sim.reference.defaults import ASSUMED, MEASURED
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text
from sim.set_up.layers import arc_time, wire_used
from sim.shop.result import Result
from sim.shop.several_bores import OnBar, best_line
from sim.tell.remarks import lines
from sim.tell.remedies import advice_lines
from sim.tell.verdict import final_words, least_text, of_100, spot_lines, verdict_lines
from sim.tell.where_from import assumptions

WORDS = 150  # of a note before its tables


def note(result: Result, decided: Decision | None = None, advice: Advice | None = None) -> str:
    """The whole report: verdict, where, what to look at, then the numbers; every size per side or
    on diameter.
    """
    return _note([], result, decided, advice)


def bar_note(
    on_bar: Sequence[OnBar], decided: Decision | None = None, advice: Advice | None = None
) -> str:
    """The report of a bar: the verdict on all of it, a line for each bore and the best common axis,
    then the numbers of the worst bore.
    """
    worst = worst_bore(on_bar, decided)
    return _note(bore_lines(on_bar, decided), worst.result, decided, advice)


def _note(
    bores: Sequence[str], result: Result, decided: Decision | None, advice: Advice | None
) -> str:
    """The report, with lines on the bores of a bar; what to look at stands before the numbers as
    far as `WORDS` reach, the rest after them.
    """
    scene, say = result.scene, Say(result.scene.job.units)
    head = [scene.job.name or "Unnamed job", *([scene.job.note] if scene.job.note else [])]
    parts = [*head, "", *verdict_lines(result, decided), ""]
    if advice is not None:
        parts += [
            "What would fix it, each one simulated and drawn:",
            *advice_lines(advice, say),
            "",
        ]
    warnings = [f"- {line}" for line in lines(result.warnings, say)]
    first = _that_fit(warnings, WORDS - len(" ".join(parts).split()) - 2)
    if first:
        parts += ["Look at:", *first, ""]
    if bores:
        parts += [*bores, ""]
    parts += _spots(result, say)
    parts += [*_figures(result, say), "", *_layer_lines(result, say), ""]
    if len(first) < len(warnings):
        parts += ["Look at as well:" if first else "Look at:", *warnings[len(first) :], ""]
    return "\n".join([*parts, *_rests_on(result), "", CAUTION]) + "\n"


def _spots(result: Result, say: Say) -> list[str]:
    spots = result.low_spots or result.thin_spots
    if not spots:
        return []
    head = "Low spots" if result.low_spots else "Thin spots"
    return [f"{head}, deepest first:", *spot_lines(spots, say), ""]


def _that_fit(lines: Sequence[str], words: int) -> list[str]:
    """The first lines that together have no more than so many words.

    >>> _that_fit(["one two", "three", "four"], 3)
    ['one two', 'three']
    """
    out: list[str] = []
    for line in lines:
        words -= len(line.split())
        if words < 0:
            break
        out.append(line)
    return out


def bore_lines(on_bar: Sequence[OnBar], decided: Decision | None) -> list[str]:
    """A line for each bore of a bar, and its best common axis; nothing for a bore alone."""
    if len(on_bar) == 1:
        return []
    say = Say(on_bar[0].result.scene.job.units)
    lines = [f"{len(on_bar)} bores on one bar, judged together; each by itself, stock per side:"]
    for number, one in enumerate(on_bar):
        spot = one.result.stock.spot
        place = f"- {one.name}, {say.size(one.along, 0)} along the bar"
        where = f"{clock_text(spot.clock)}, {say.size(spot.depth, 0)} deep"
        if decided is None:
            lines.append(f"{place}: {least_text(spot.value, say)} planned, at {where}.")
            continue
        alone = decided.bores[number]
        planned, typical, bad = (
            least_text(value, say)
            for value in (
                alone.least_stock.planned, alone.least_stock.typical, alone.least_stock.bad
            )
        )  # fmt: skip
        lines.append(
            f"{place}: {alone.verdict}, {of_100(alone.clean_up_of_100)} of 100; planned {planned}, "
            f"typical {typical}, bad {bad}; least at {where}."
        )
    if all(one.result.scene.bore.location_zone > 0.0 for one in on_bar):
        axis, least = best_line(on_bar)
        lines.append(
            f"Best straight axis for all of them, within their zones: {axis_words(axis, say)}; "
            f"least stock then about {say.size(least)} per side."
        )
    return [*lines, f"The numbers below are of {worst_bore(on_bar, decided).name}."]


def axis_words(axis: Axis, say: Say) -> str:
    """An axis in words: how far off at either face, and towards which clock."""
    ends = []
    for (x, y), where in ((axis.entry, "at the entry face"), (axis.far, "at the far face")):
        towards = clock_text(math.atan2(x, -y) % (2.0 * math.pi))
        ends.append(f"{say.size(math.hypot(x, y))} per side towards {towards} {where}")
    return ", ".join(ends)


def _figures(result: Result, say: Say) -> list[str]:
    p5, p50, p95 = result.percentiles
    weld, poorest = result.weld_left.spot, result.poorest_tie_in.spot
    return [
        f"Stock to bore off as planned, per side, at {final_words(result)}:",
        f"- least {say.size(result.stock.spot.value)} (error from the clock step "
        f"{say.size(result.stock_error, 3)}), mean {say.size(result.mean_stock)}",
        f"- with poor tie-in of the last layer {least_text(poorest.value, say)}, at "
        f"{clock_text(poorest.clock)} o'clock, {say.size(poorest.depth, 0)} deep",
        f"- 5 % of the wall has less than {say.size(p5)}, half less than {say.size(p50)}, 5 "
        f"% more than {say.size(p95)}",
        f"Weld left under the finished surface: at least {say.size(weld.value)} per side, "
        f"thinnest at {clock_text(weld.clock)} o'clock, {say.size(weld.depth, 0)} deep.",
    ]


def _layer_lines(result: Result, say: Say) -> list[str]:
    out = ["Layer by layer (diameters between the second turn from either end):"]
    for number, layer in enumerate(result.layers, 1):
        s = layer.setting
        ripple = (
            "too few turns to say"
            if math.isnan(layer.ripple)
            else f"{say.size(layer.ripple)} at {clock_text(layer.ripple_clock)}"
        )
        out.append(
            f"{number:>3}. {s.plan.advance}, pitch {say.size(s.path.pitch)}, travel "
            f"{say.travel(s.travel)}, wire {say.wire(s.plan.wire_feed)}, "
            f"{2 * math.pi / s.rotation:.1f} s a turn, {s.path.turns:.1f} turns: "
            f"{say.size(layer.mean_thickness)} thick per side, ripple {ripple}."
        )
        out.append(
            f"     As planned the gauge reads {say.size(layer.gauge[0])} to "
            f"{say.size(layer.gauge[1])} on diameter; the deepest valley is "
            f"{say.size(layer.valley)} on diameter."
        )
    wire = sum(wire_used(result.scene, s) for s in result.settings) * result.scene.wire.density
    lost = sum(layer.lost for layer in result.layers) / max(
        sum(layer.volume for layer in result.layers), 1e-9
    )
    minutes = sum(arc_time(s) for s in result.settings) / 60.0
    out.append(
        f"Wire fed {say.mass(wire)}, arc on {minutes:.0f} min, {100 * lost:.0f} % of the "
        "metal overhangs the faces."
    )
    return out


def _rests_on(result: Result) -> list[str]:
    """What is not measured, in one line, and where the whole list is."""
    rows = [row for row in assumptions(result) if row["how_known"] != MEASURED]
    names = ", ".join(plain(row["what"]) for row in rows if row["how_known"] == ASSUMED)
    known = result.scene.shop_values
    return [
        *([f"Rests on the test pieces of {known.whose}: {known.pieces}."] if known.whose else []),
        f"Rests on {len(rows)} assumed values (`--json` lists each with its source); a guess: {names}.",
    ]


def plain(what: str) -> str:
    """A scene key as people say it; other words as they are."""
    return (
        what
        if " " in what or "." not in what
        else what.split(".")[1].replace("_", " ") + f" ({what.split('.')[0]})"
    )


def differences(before: Result, after: Result, decided: tuple[Decision, Decision]) -> list[str]:
    """What a change did, in words: verdict, least stock, ripple, wire, time."""
    say = Say(after.scene.job.units)
    was, now = decided
    out = [
        f"verdict: {was.verdict} -> {now.verdict}",
        f"clean up: {of_100(was.clean_up_of_100.value)} -> "
        f"{of_100(now.clean_up_of_100.value)} of 100",
    ]
    change = after.stock.spot.value - before.stock.spot.value
    out.append(
        f"least stock per side: {say.size(before.stock.spot.value)} -> "
        f"{say.size(after.stock.spot.value)} ({say.size(abs(change))} "
        f"{'more' if change >= 0 else 'less'})"
    )
    out.append(
        f"mean stock per side to bore off: {say.size(before.mean_stock)} -> "
        f"{say.size(after.mean_stock)}"
    )
    out.append(
        f"layers: {len(before.layers)} -> {len(after.layers)}; worst ripple: "
        f"{_worst_ripple(before, say)} -> {_worst_ripple(after, say)}"
    )
    wire = [
        sum(wire_used(r.scene, s) for s in r.settings) * r.scene.wire.density
        for r in (before, after)
    ]
    out.append(
        f"wire: {say.mass(wire[0])} -> {say.mass(wire[1])} ({100 * (wire[1] / wire[0] - 1):+.0f} %)"
    )
    arc = [sum(map(arc_time, r.settings)) / 60 for r in (before, after)]
    out.append(f"arc on: {arc[0]:.0f} -> {arc[1]:.0f} min")
    return out


def _worst_ripple(result: Result, say: Say) -> str:
    known = [layer.ripple for layer in result.layers if not math.isnan(layer.ripple)]
    return say.size(max(known)) if known else "too few turns"
