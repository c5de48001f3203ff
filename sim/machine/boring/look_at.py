"""What to look at before a pass, and what is taken for granted: remarks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.job.key import keys_of
from sim.job.scene import Scene
from sim.job.sections.machine import BoringBar
from sim.laws.bar_deflection import OVERHUNG
from sim.machine.boring.bar_and_metal import Boring, usual_cutting_speed
from sim.machine.boring.cuts import FINISH, MOST_PASSES, ROUGH, Cuts, Pass
from sim.reference.defaults import DEFAULTS, default
from sim.reference.remarks import Remark


def look_at(cuts: Cuts) -> list[Remark]:
    """What a careful person would look at before the passes still to come."""
    coming = [one for one in cuts.passes if not one.done]
    kinds = [
        [one for one in coming if one.kind == kind]
        for kind in dict.fromkeys(one.kind for one in coming)
    ]
    last = [held[-1] for held in kinds]
    return [
        *_of_speeds(last),
        *(one for held in kinds for one in _of_depths(cuts, held)),
        *_of_bar(cuts),
    ]


def _of_speeds(last: Sequence[Pass]) -> list[Remark]:
    """What the bar cannot run or feed, and the nearest it can, by the last pass of each kind."""
    off, out = default("limit.speed_off"), []
    slow = tuple(
        Remark(
            "speed of a pass",
            kind=one.kind,
            size=one.size,
            wished=one.wished,
            wished_cut=one.wished * 0.5 * one.size,
            turning=one.turning,
            cut=one.cutting_speed,
        )
        for one in last
        if abs(one.turning / one.wished - 1.0) > off
    )
    if slow:
        out.append(Remark("bar cannot run", passes=slow))
    coarse = tuple(
        Remark("feed of a pass", kind=one.kind, wished=one.wished_feed, feed=one.feed)
        for one in last
        if abs(one.feed / one.wished_feed - 1.0) > off
    )
    if coarse:
        out.append(Remark("bar cannot feed", passes=coarse))
    return out + [
        Remark("feed wider than nose", kind=one.kind, feed=one.feed)
        for one in last
        if math.isnan(one.roughness)
    ]


def _of_depths(cuts: Cuts, held: Sequence[Pass]) -> list[Remark]:
    """What the passes of one kind take, against what the tool and the drive can."""
    last, kind, least, out = held[-1], held[0].kind, cuts.smallest, []
    most = max(one.depth.most for one in held)
    if last.kind == FINISH and most < least - 1e-9:
        out.append(Remark("cut thinner than the tool can take", kind=kind, most=most, least=least))
    elif last.kind != ROUGH and last.thin > 0.005:
        out.append(Remark("cut thin in places", kind=kind, thin=last.thin, least=least))
    if last.kind == FINISH and last.interrupted > 0.005:
        out.append(Remark("cut meets no metal in places", kind=kind, interrupted=last.interrupted))
    out += _of_power(cuts.given.power, held)
    if len(held) >= MOST_PASSES:
        out.append(Remark("too many passes", kind=kind, most=MOST_PASSES))
    return out


def _of_power(power: float | None, held: Sequence[Pass]) -> list[Remark]:
    worst = max(held, key=lambda one: one.power.most)
    needed = worst.power.most
    if power is None or needed <= power * (1.0 + 1e-6):
        return []
    fits = worst.depth.most * power / needed
    return [Remark("drive too weak", kind=held[0].kind, needed=needed, power=power, fits=fits)]


def _of_bar(cuts: Cuts) -> list[Remark]:
    """How far the bar stands out, and its bending against the tolerance."""
    bore, diameter, out = cuts.bore, cuts.bar.diameter, []
    reach, most = cuts.bar.before + cuts.scene.bore.length, default("limit.overhang")
    if cuts.bar.held == OVERHUNG and reach > most * diameter:
        out.append(Remark("bar stands out", reach=reach, ratio=reach / diameter, most=most))
    if bore.tolerance is None:
        return out
    bend = cuts.passes[-1].bend.most
    if 2.0 * bend > bore.tolerance:
        out.append(Remark("bar bends", bend=bend, across=2.0 * bend, tolerance=bore.tolerance))
    if bore.change > bore.tolerance:
        out.append(
            Remark(
                "bending changes the bore",
                change=bore.change,
                tolerance=bore.tolerance,
                after=bore.after_spring,
            )
        )
    return out


def taken_for_granted(scene: Scene, shop: Boring) -> list[Remark]:
    """What was not given, each with how it is known."""
    tool, out = shop.tool, []
    if scene.boring_bar is None:
        out.append(Remark("no bar given"))
    if tool.diameter is None:
        out.append(_taken("bar diameter", shop.bar.diameter, "bar.share", digits=1))
    if tool.held == OVERHUNG and tool.overhang is None:
        out.append(_taken("bearing to entry face", shop.bar.before, "bar.clearance", digits=0))
    if tool.held != OVERHUNG and tool.span is None:
        name = "span from bearing to bearing"
        out.append(_taken(name, shop.bar.span, "bar.clearance", digits=0))
    out += _without_limit(tool)
    if tool.cutting_speed is None:
        known = usual_cutting_speed(tool)
        out.append(_taken("cutting speed", shop.cutting_speed, known, "cutting speed", 0))
    out += _usual_of(tool)
    out.append(_taken("bar's modulus", shop.bar.modulus, "bar.modulus", "pressure", 0))
    return [*out, Remark("nothing else gives")]


def _without_limit(tool: BoringBar) -> list[Remark]:
    """Speeds, feeds and power that nothing limits."""
    speeds = (tool.speeds or None, tool.speed_least, tool.speed_most)
    feeds = (tool.feeds or None, tool.feed_least, tool.feed_most)
    out = []
    if all(one is None for one in speeds):
        out.append(Remark("any speed"))
    if all(one is None for one in feeds):
        out.append(Remark("any feed"))
    if tool.power is None:
        out.append(Remark("power not checked"))
    return out


def _usual_of(tool: BoringBar) -> list[Remark]:
    """Keys of the bar left at their usual values."""
    usual, out = BoringBar(), []
    for f in keys_of(BoringBar):
        value, known, kind = getattr(tool, f.name), f.metadata["known"], f.metadata["kind"]
        if known and value == getattr(usual, f.name):
            digits = 3 if kind == "length" else 2
            out.append(_taken(f.name.replace("_", " "), value, known, kind, digits))
    return out


def _taken(name: str, value: float, known: str, kind: str = "length", digits: int = 2) -> Remark:
    return Remark(
        "taken for the bar", name=name, value=value, kind=kind, digits=digits, known=DEFAULTS[known]
    )
