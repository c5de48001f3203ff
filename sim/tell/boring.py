"""What the cuts say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sim.job.change import digest
from sim.machine.boring.cuts import Cuts, Pass
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.reference.units import POUND_FORCE, said
from sim.reference.version import VERSION
from sim.tell.declared import as_json
from sim.tell.quantities import in_time, marks
from sim.tell.remarks import lines
from sim.tell.result_json import SCHEMA


def cuts_json(cuts: Cuts) -> dict[str, Any]:
    """The passes as plain values: mm, s, N, W; depth of cut per side, sizes on diameter."""
    bar, say = cuts.bar, Say(cuts.scene.job.units)
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(cuts.scene),
        "bar_given": cuts.bar_given,
        "bar": {
            "diameter_mm": bar.diameter,
            "held": bar.held,
            "before_mm": bar.before,
            "span_mm": bar.span or None,
        },
        "smallest_useful_cut_mm": cuts.smallest,
        "finish_allowance_mm": cuts.allowance,
        "nose_radius_mm": cuts.scene.cut.nose_radius,
        "time_s": cuts.time,
        "passes": [as_json(one, say, {}) for one in cuts.passes],
        "bore": as_json(cuts.bore, say, {}),
        "warnings": lines(cuts.warnings, say),
        "assumptions": lines(cuts.assumed, say),
    }


def bar_cuts_json(found: Sequence[tuple[str, Cuts]]) -> dict[str, Any]:
    """The passes of every bore of a bar; of one bore alone, just its own."""
    first = cuts_json(found[0][1])
    return (
        first
        if len(found) == 1
        else first | {"bores": [{"name": name} | cuts_json(one) for name, one in found]}
    )


def cuts_note(cuts: Cuts) -> str:
    """The passes in words: what to set, what to look at, what the bar does, what it rests on."""
    units, bar = cuts.scene.job.units, cuts.bar
    held = (
        f"supported, {said(bar.span, 'length', units, 0)} between bearings"
        if bar.span
        else f"overhung, {said(bar.before, 'length', units, 0)} to the entry face"
    )
    parts = [
        cuts.scene.job.name or "Unnamed job",
        "",
        f"Boring passes, bar {said(bar.diameter, 'length', units, 1)}, {held}; depths of cut "
        "per side, sizes on diameter:",
        *(
            line
            for number, one in enumerate(cuts.passes, 1)
            for line in pass_lines(number, one, units)
        ),
        f"In the cut {in_time(cuts.time)} for the passes to come.",
        f"Finish allowance {said(cuts.allowance, 'length', units)} per side; the smallest "
        f"cut a nose of {said(cuts.scene.cut.nose_radius, 'length', units)} radius takes is "
        f"about {said(cuts.smallest, 'length', units)} per side (two thirds of it).",
        "",
        "What the bar does to the bore, from bending alone, on diameter:",
        *bore_lines(cuts),
    ]
    say = Say(units)
    if cuts.warnings:
        parts += ["", "Look at:", *(f"- {line}" for line in lines(cuts.warnings, say))]
    granted = (f"- {line}" for line in lines(cuts.assumed, say))
    parts += ["", "Taken for granted:", *granted, "", CAUTION]
    return "\n".join(parts) + "\n"


def bar_cuts_note(found: Sequence[tuple[str, Cuts]]) -> str:
    """The passes of every bore of a bar in words, one after the other."""
    if len(found) == 1:
        return cuts_note(found[0][1])
    return "\n".join(f"== {name} ==\n{cuts_note(one)}" for name, one in found)


def pass_lines(number: int, one: Pass, units: str) -> list[str]:
    """One pass in two or three lines."""

    def size(mm: float, digits: int = 2) -> str:
        return said(mm, "length", units, digits)

    crests = " (crests)" if one.round_change > 0.1 or one.along_change > 0.1 else ""
    done = ", done" if one.done else ""
    out = [
        f"{number:>3}. {one.kind}{done}: from {size(one.met)}{crests} to {size(one.size, 3)} "
        "on diameter; "
        f"cut {size(one.depth.least)} to {size(one.depth.most)}, mean {size(one.depth.mean)} "
        "per side; "
        f"changes {size(one.round_change)} within a turn, {size(one.along_change)} along.",
        f"     {said(one.turning, 'rotation', units, 0)} "
        f"({said(one.cutting_speed, 'cutting speed', units, 0)}), feed {size(one.feed, 3)} "
        f"per turn, {in_time(one.time)}; "
        f"power {said(one.power.mean, 'power', units)}, most "
        f"{said(one.power.most, 'power', units)}; force at most "
        f"{newtons(one.force.most, units)}; "
        f"bar gives {size(one.bend.least, 3)} to {size(one.bend.most, 3)} per side; feed "
        f"marks {marks(one.roughness, units)} high (Ra {marks(one.mean_roughness, units)}).",
    ]
    if one.interrupted > 0.005 or one.thin > 0.005:
        out.append(
            f"     {100 * one.interrupted:.0f} % of the way meets no metal, "
            f"{100 * one.thin:.0f} % less than the tool can take."
        )
    return out


def bore_lines(cuts: Cuts) -> list[str]:
    """What bending does to the finished bore."""
    bore, units = cuts.bore, cuts.scene.job.units

    def size(mm: float) -> str:
        return said(abs(mm), "length", units, 4)

    far = "narrower" if bore.taper < 0.0 else "wider"
    middle = "narrower" if bore.waist < 0.0 else "wider"
    tolerance = (
        "no tolerance given"
        if bore.tolerance is None
        else f"tolerance {said(bore.tolerance, 'length', units, 3)}"
    )
    out = [
        f"- {size(bore.size)} smaller than set, on the mean: set it out by a trial cut.",
        f"- far end {size(bore.taper)} {far} than the entry end; the middle "
        f"{size(bore.waist)} {middle} than the ends.",
        f"- out of round {size(bore.out_of_round)}; smallest to largest {size(bore.change)} "
        f"({tolerance}), {size(bore.after_spring)} after one more pass at the same setting.",
    ]
    return (
        out
        if bore.black < 0.0005
        else [*out, f"- {100 * bore.black:.1f} % of the judged wall stays black."]
    )


def newtons(force: float, units: str) -> str:
    """A force: newtons, or pounds-force.

    >>> newtons(1000.0, "mm"), newtons(1000.0, "in")
    ('1000 N', '225 lbf')
    """
    return f"{force / POUND_FORCE:.0f} lbf" if units == "in" else f"{force:.0f} N"
