"""What the cuts and an estimate say: JSON, and a note that can be read aloud."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from typing import Any

from sim import report
from sim.cuts import BoreAfter, Cuts, Over, Pass
from sim.quantities import WAIT, Estimate, Guess, Quantities, Row
from sim.report import CAUTION, SCHEMA, VERSION, Say
from sim.scene import digest
from sim.units import INCH, POUND_FORCE, said

LITRE = 1e6  # mm3

# ---- JSON -----------------------------------------------------------------------------------------------------------


def cuts_json(cuts: Cuts) -> dict[str, Any]:
    """The passes as plain values: mm, s, N, W; depth of cut per side, sizes on diameter."""
    bar = cuts.bar
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(cuts.scene),
        "bar_given": cuts.bar_given,
        "bar": {"diameter_mm": bar.diameter, "held": bar.held, "before_mm": bar.before, "span_mm": bar.span or None},
        "smallest_useful_cut_mm": cuts.smallest,
        "finish_allowance_mm": cuts.allowance,
        "nose_radius_mm": cuts.scene.cut.nose_radius,
        "time_s": cuts.time,
        "passes": [_pass(one) for one in cuts.passes],
        "bore": _bore(cuts.bore),
        "warnings": list(cuts.warnings),
        "assumptions": list(cuts.assumed),
    }


def bar_cuts_json(found: Sequence[tuple[str, Cuts]]) -> dict[str, Any]:
    """The passes of every bore of a bar; of one bore alone, just its own."""
    first = cuts_json(found[0][1])
    return first if len(found) == 1 else first | {"bores": [{"name": name} | cuts_json(one) for name, one in found]}


def _pass(one: Pass) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "done": one.done,
        "met_diameter_mm": one.met,
        "set_diameter_mm": one.size,
        "depth_mm": _over(one.depth),
        "depth_change_round_mm": one.round_change,
        "depth_change_along_mm": one.along_change,
        "interrupted": one.interrupted,
        "thin": one.thin,
        "rotation_rpm": one.turning * 30.0 / math.pi,
        "rotation_wished_rpm": one.wished * 30.0 / math.pi,
        "feed_mm": one.feed,
        "feed_wished_mm": one.wished_feed,
        "cutting_speed_m_per_min": 0.06 * one.cutting_speed,
        "time_s": one.time,
        "force_n": _over(one.force),
        "power_w": _over(one.power),
        "bend_mm": _over(one.bend),
        "roughness_mm": _number(one.roughness),
        "mean_roughness_mm": _number(one.mean_roughness),
    }


def _over(over: Over) -> dict[str, float]:
    return {"min": over.least, "mean": over.mean, "max": over.most}


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _bore(bore: BoreAfter) -> dict[str, Any]:
    return {
        "size_error_mm": bore.size,
        "taper_mm": bore.taper,
        "waist_mm": bore.waist,
        "out_of_round_mm": bore.out_of_round,
        "change_mm": bore.change,
        "change_after_spring_pass_mm": bore.after_spring,
        "tolerance_mm": bore.tolerance,
        "black": bore.black,
    }


def quantities_json(found: Quantities) -> dict[str, Any]:
    """An estimate as plain values: g, s, litres; money in the user's own currency, null where there is no rate."""
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(found.scene),
        "holes": found.holes,
        "rows": [_row(row) for row in found.rows],
        "work_s": dataclasses.asdict(found.work),
        "elapsed_s": dataclasses.asdict(found.elapsed),
        "money": None if found.money is None else dataclasses.asdict(found.money),
        "currency": found.currency,
        "short": found.short,
        "draws": found.draws,
        "not_priced": list(found.missing),
        "notes": list(found.notes),
    }


def _row(row: Row) -> dict[str, Any]:
    amount, unit = (row.amount.times(1.0 / LITRE), "l") if row.unit == "mm3" else (row.amount, row.unit)
    return {
        "name": row.name,
        "what": row.what,
        "kind": row.kind,
        f"amount_{unit}": dataclasses.asdict(amount),
        "basis": row.basis,
        "money": None if row.money is None else dataclasses.asdict(row.money),
    }


def estimate_json(found: Estimate) -> dict[str, Any]:
    """A quick estimate: quantities, the engine's verdict, and all it assumed."""
    told = quantities_json(found.quantities)
    told |= {
        "verdict": found.result.verdict,
        "minimum_stock_mm": found.result.stock.spot.value,
        "layers": len(found.result.layers),
        "assumed": list(found.assumed),
        "assumptions": report.assumptions(found.result),
        "boring_assumptions": list(found.cuts.assumed),
    }
    return told


# ---- words ----------------------------------------------------------------------------------------------------------


def cuts_note(cuts: Cuts) -> str:
    """The passes in words: what to set, what to look at, what the bar does, what it rests on."""
    units, bar = cuts.scene.job.units, cuts.bar
    held = f"supported, {said(bar.span, 'length', units, 0)} between bearings" if bar.span else f"overhung, {said(bar.before, 'length', units, 0)} to the entry face"
    parts = [
        cuts.scene.job.name or "Unnamed job",
        "",
        f"Boring passes, bar {said(bar.diameter, 'length', units, 1)}, {held}; depths of cut per side, sizes on diameter:",
        *(line for number, one in enumerate(cuts.passes, 1) for line in pass_lines(number, one, units)),
        f"In the cut {in_time(cuts.time)} for the passes to come.",
        f"Finish allowance {said(cuts.allowance, 'length', units)} per side; the smallest cut a nose of {said(cuts.scene.cut.nose_radius, 'length', units)} radius takes is about {said(cuts.smallest, 'length', units)} per side (two thirds of it).",
        "",
        "What the bar does to the bore, from bending alone, on diameter:",
        *bore_lines(cuts),
    ]
    if cuts.warnings:
        parts += ["", "Look at:", *(f"- {line}" for line in cuts.warnings)]
    parts += ["", "Taken for granted:", *(f"- {line}" for line in cuts.assumed), "", CAUTION]
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
        f"{number:>3}. {one.kind}{done}: from {size(one.met)}{crests} to {size(one.size, 3)} on diameter; "
        f"cut {size(one.depth.least)} to {size(one.depth.most)}, mean {size(one.depth.mean)} per side; "
        f"changes {size(one.round_change)} within a turn, {size(one.along_change)} along.",
        f"     {said(one.turning, 'rotation', units, 0)} ({said(one.cutting_speed, 'cutting speed', units, 0)}), feed {size(one.feed, 3)} per turn, {in_time(one.time)}; "
        f"power {said(one.power.mean, 'power', units)}, most {said(one.power.most, 'power', units)}; force at most {newtons(one.force.most, units)}; "
        f"bar gives {size(one.bend.least, 3)} to {size(one.bend.most, 3)} per side; feed marks {marks(one.roughness, units)} high (Ra {marks(one.mean_roughness, units)}).",
    ]
    if one.interrupted > 0.005 or one.thin > 0.005:
        out.append(f"     {100 * one.interrupted:.0f} % of the way meets no metal, {100 * one.thin:.0f} % less than the tool can take.")
    return out


def bore_lines(cuts: Cuts) -> list[str]:
    """What bending does to the finished bore."""
    bore, units = cuts.bore, cuts.scene.job.units

    def size(mm: float) -> str:
        return said(abs(mm), "length", units, 4)

    far = "narrower" if bore.taper < 0.0 else "wider"
    middle = "narrower" if bore.waist < 0.0 else "wider"
    tolerance = "no tolerance given" if bore.tolerance is None else f"tolerance {said(bore.tolerance, 'length', units, 3)}"
    out = [
        f"- {size(bore.size)} smaller than set, on the mean: set it out by a trial cut.",
        f"- far end {size(bore.taper)} {far} than the entry end; the middle {size(bore.waist)} {middle} than the ends.",
        f"- out of round {size(bore.out_of_round)}; smallest to largest {size(bore.change)} ({tolerance}), {size(bore.after_spring)} after one more pass at the same setting.",
    ]
    return out if bore.black < 0.0005 else [*out, f"- {100 * bore.black:.1f} % of the judged wall stays black."]


def quantities_note(found: Quantities) -> str:
    """The estimate in words: every line low, likely, high and where it comes from."""
    return "\n".join([*_head(found), *_table(found), "", *sum_lines(found), "", *_foot(found), "", CAUTION]) + "\n"


def estimate_note(found: Estimate) -> str:
    """A quick estimate in words, with all that it assumed."""
    say, result = Say(found.scene.job.units), found.result
    parts = [
        *_head(found.quantities),
        f"{len(result.layers)} layers; {report.verdict_lines(result)[0]}",
        "",
        *_table(found.quantities),
        "",
        *sum_lines(found.quantities),
        "",
        *_foot(found.quantities),
        "",
        "Assumed, because only sizes were given:",
        *(f"- {line}" for line in found.assumed),
        *(f"- boring: {line}" for line in found.cuts.assumed),
        f"- and {len(report.assumptions(result))} values of the welding, listed with their sources by --json",
        f"Measured bead, readings and limits of size change these figures; least stock now {say.size(result.stock.spot.value)} per side.",
        "",
        CAUTION,
    ]
    return "\n".join(parts) + "\n"


def _head(found: Quantities) -> list[str]:
    bores = f", {found.holes} bores alike" if found.holes > 1 else ""
    return [f"{found.scene.job.name or 'Unnamed job'}{bores}", "", "What it takes: low, likely, high, and where each figure comes from."]


def _table(found: Quantities) -> list[str]:
    return [f"- {row_line(row, found)}" for row in found.rows]


def row_line(row: Row, found: Quantities) -> str:
    """One line of the estimate in words."""
    waits = " (waiting)" if row.kind == WAIT else ""
    cost = "" if row.money is None else f"; {money(row.money, found.currency)}"
    return f"{row.what}{waits}: {amount(row.amount, row.unit, found.scene.job.units)}{cost}. {row.basis[:1].upper()}{row.basis[1:]}."


def amount(value: Guess, unit: str, units: str) -> str:
    """Low, likely, high of a line in the job's units.

    >>> amount(Guess(900.0, 1000.0, 1200.0), "g", "mm"), amount(Guess(60.0, 3600.0, 5400.0), "s", "mm")
    ('0.90 - 1.00 - 1.20 kg', '1 min - 1 h 00 min - 1 h 30 min')
    """
    three = (value.low, value.likely, value.high)
    if unit == "s":
        return " - ".join(map(in_time, three))
    if unit == "g":
        told = [Say(units).mass(one).split() for one in three]
        return " - ".join(one[0] for one in told) + f" {told[0][1]}"
    if unit == "mm3":
        cubic_foot = (12.0 * INCH) ** 3
        factor, name = (cubic_foot, "ft3") if units == "in" else (LITRE, "l")
        return " - ".join(f"{one / factor:.0f}" for one in three) + f" {name}"
    return " - ".join(f"{one:.0f}" for one in three) + f" {unit}"


def money(value: Guess, currency: str) -> str:
    """Low, likely, high in the user's own money, to three figures: it is known no better.

    >>> money(Guess(1.0, 2.516, 12345.6), "crowns")
    'crowns 1.00 - 2.52 - 12300'
    """
    return f"{currency} {' - '.join(map(_three_figures, (value.low, value.likely, value.high)))}".strip()


def _three_figures(value: float) -> str:
    if value <= 0.0:
        return "0"
    digits = 2 - math.floor(math.log10(value))
    return f"{round(value, digits):.{min(max(digits, 0), 2)}f}"


def sum_lines(found: Quantities) -> list[str]:
    """Hours and money in all."""
    out = [
        f"Worked: {amount(found.work, 's', found.scene.job.units)}.",
        f"Worked and waited: {amount(found.elapsed, 's', found.scene.job.units)}.",
    ]
    if found.money is None:
        return [*out, "No money: no rates given."]
    return [*out, f"Money: {money(found.money, found.currency)}{' (not all of it priced)' if found.missing else ''}."]


def _foot(found: Quantities) -> list[str]:
    return [*(f"- not priced: {line}" for line in found.missing), *(f"- {line}" for line in found.notes)]


# ---- figures --------------------------------------------------------------------------------------------------------


def in_time(seconds: float) -> str:
    """A time as people say it.

    >>> in_time(45.0), in_time(600.0), in_time(5400.0)
    ('45 s', '10 min', '1 h 30 min')
    """
    if 0.0 < seconds < 59.5:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60.0)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


def marks(mm: float, units: str) -> str:
    """Height of feed marks: micrometres, or microinches.

    >>> marks(0.00625, "mm"), marks(0.00625, "in")
    ('6.2 um', '246 uin')
    """
    if math.isnan(mm):
        return "no figure"
    return f"{mm / INCH * 1e6:.0f} uin" if units == "in" else f"{1000.0 * mm:.1f} um"


def newtons(force: float, units: str) -> str:
    """A force: newtons, or pounds-force.

    >>> newtons(1000.0, "mm"), newtons(1000.0, "in")
    ('1000 N', '225 lbf')
    """
    return f"{force / POUND_FORCE:.0f} lbf" if units == "in" else f"{force:.0f} N"
