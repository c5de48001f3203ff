"""What to look at before a pass."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.job.key import keys_of
from sim.job.scene import Scene
from sim.job.sections.machine import BoringBar
from sim.laws.bar_deflection import OVERHUNG
from sim.machine.boring.bar_and_metal import _Shop
from sim.machine.boring.cuts import FINISH, MOST_PASSES, ROUGH, Cuts, Pass
from sim.reference.defaults import DEFAULTS, default
from sim.reference.units import said


def _warnings(cuts: Cuts) -> list[str]:
    coming = [one for one in cuts.passes if not one.done]
    kinds = [
        [one for one in coming if one.kind == kind]
        for kind in dict.fromkeys(one.kind for one in coming)
    ]
    last = [held[-1] for held in kinds]
    return [
        *_speed_warnings(cuts, last),
        *(line for held in kinds for line in _depth_warnings(cuts, held)),
        *_bar_warnings(cuts),
    ]


def _speed_warnings(cuts: Cuts, last: Sequence[Pass]) -> list[str]:
    """What the bar cannot run or feed, and the nearest it can; `last`: the last pass of each kind."""
    units, off, out = cuts.scene.job.units, default("limit.speed_off"), []
    slow = [one for one in last if abs(one.turning / one.wished - 1.0) > off]
    if slow:
        told = (
            f"{said(one.wished, 'rotation', units, 0)} ({one.kind}, {said(one.wished * 0.5 * one.size, 'cutting speed', units, 0)} on {said(one.size, 'length', units)}; "
            f"nearest it can: {said(one.turning, 'rotation', units, 0)}, {said(one.cutting_speed, 'cutting speed', units, 0)})"
            for one in slow
        )
        out.append(f"The bar cannot run {', '.join(told)}.")
    coarse = [one for one in last if abs(one.feed / one.wished_feed - 1.0) > off]
    if coarse:
        told = (
            f"{said(one.wished_feed, 'length', units, 3)} ({one.kind}; nearest it can: {said(one.feed, 'length', units, 3)})"
            for one in coarse
        )
        out.append(f"The bar cannot feed, per turn, {', '.join(told)}.")
    for one in last:
        if math.isnan(one.roughness):
            out.append(
                f"{one.kind.capitalize()}: a feed of {said(one.feed, 'length', units, 3)} per turn is wider than the nose: it leaves a thread, not a bore; feed less or take a larger nose."
            )
    return out


def _depth_warnings(cuts: Cuts, held: Sequence[Pass]) -> list[str]:
    units, name, out = cuts.scene.job.units, held[0].kind.capitalize(), []
    least = said(cuts.smallest, "length", units)
    most = max(one.depth.most for one in held)
    if held[-1].kind == FINISH and most < cuts.smallest - 1e-9:
        out.append(
            f"{name}: {said(most, 'length', units)} per side is thinner than the tool can take ({least}, two thirds of its nose radius): it rubs; leave more or take a smaller nose."
        )
    elif held[-1].kind != ROUGH and held[-1].thin > 0.005:
        out.append(
            f"{name}: {100 * held[-1].thin:.0f} % of the last pass is thinner than the tool can take ({least} per side): it rubs there."
        )
    if held[-1].kind == FINISH and held[-1].interrupted > 0.005:
        out.append(
            f"{name}: {100 * held[-1].interrupted:.0f} % of the pass meets no metal: black wall, holes or keyways."
        )
    power = cuts.given.power
    worst = max(held, key=lambda one: one.power.most)
    if power is not None and worst.power.most > power * (1.0 + 1e-6):
        fits = worst.depth.most * power / worst.power.most
        out.append(
            f"{name}: needs {said(worst.power.most, 'power', units)}, the drive has {said(power, 'power', units)}: at most "
            f"{said(fits, 'length', units)} per side at this feed and speed; feed less or turn slower."
        )
    if len(held) >= MOST_PASSES:
        out.append(
            f"{name}: more than {MOST_PASSES} passes; the bar is too weak for this much metal."
        )
    return out


def _bar_warnings(cuts: Cuts) -> list[str]:
    units, bore, out = cuts.scene.job.units, cuts.bore, []
    reach = cuts.bar.before + cuts.scene.bore.length
    if cuts.bar.held == OVERHUNG and reach > default("limit.overhang") * cuts.bar.diameter:
        out.append(
            f"The bar stands out {said(reach, 'length', units, 0)} at the far face, {reach / cuts.bar.diameter:.1f} times its diameter: past about {default('limit.overhang'):.0f} it chatters; support it or take a thicker one."
        )
    if bore.tolerance is None:
        return out
    finish = cuts.passes[-1]
    if 2.0 * finish.bend.most > bore.tolerance:
        out.append(
            f"Finish: the bar bends {said(finish.bend.most, 'length', units, 3)} per side at most, {said(2.0 * finish.bend.most, 'length', units, 3)} on diameter, "
            f"more than the tolerance of {said(bore.tolerance, 'length', units, 3)} on diameter: set the size by a trial cut, take less, or run the pass again at the same setting."
        )
    if bore.change > bore.tolerance:
        out.append(
            f"Finish: bending alone changes the diameter by {said(bore.change, 'length', units, 3)} over the bore, more than the tolerance of "
            f"{said(bore.tolerance, 'length', units, 3)}; after one more pass at the same setting by {said(bore.after_spring, 'length', units, 3)}."
        )
    return out


def _assumed(scene: Scene, shop: _Shop) -> list[str]:
    """What was not given, one line each with how it is known."""
    tool, units, out = shop.tool, scene.job.units, []
    if scene.boring_bar is None:
        out.append("No boring bar given: usual values stand for it.")
    if tool.diameter is None:
        out.append(_line("bar diameter", said(shop.bar.diameter, "length", units, 1), "bar.share"))
    if (tool.overhang if tool.held == OVERHUNG else tool.span) is None:
        what = "bearing to entry face" if tool.held == OVERHUNG else "span from bearing to bearing"
        size = shop.bar.before if tool.held == OVERHUNG else shop.bar.span
        out.append(_line(what, said(size, "length", units, 0), "bar.clearance"))
    if not tool.speeds and tool.speed_least is None and tool.speed_most is None:
        out.append("speeds: the bar is taken to run any (assumed).")
    if not tool.feeds and tool.feed_least is None and tool.feed_most is None:
        out.append("feeds: the bar is taken to have any (assumed).")
    if tool.power is None:
        out.append("power: none given, so not checked.")
    if tool.cutting_speed is None:
        name = "bar.carbide" if tool.insert == "carbide" else "bar.high_speed_steel"
        out.append(
            _line("cutting speed", said(shop.cutting_speed, "cutting speed", units, 0), name)
        )
    usual = BoringBar()
    for f in keys_of(BoringBar):
        value = getattr(tool, f.name)
        if f.metadata["known"] and value == getattr(usual, f.name):
            digits = 3 if f.metadata["kind"] == "length" else 2
            out.append(
                _line(
                    f.name.replace("_", " "),
                    said(value, f.metadata["kind"], units, digits),
                    f.metadata["known"],
                )
            )
    out.append(_line("bar's modulus", said(shop.bar.modulus, "pressure", units, 0), "bar.modulus"))
    out.append("bearings and tool do not give; the cut is steady, no chatter (assumed).")
    return out


def _line(what: str, value: str, name: str) -> str:
    known = DEFAULTS[name]
    return f"{what} {value} ({known.basis}: {known.source})."
