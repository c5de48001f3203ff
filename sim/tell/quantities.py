"""What the cuts and an estimate say: JSON, and a note that can be read aloud."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from sim.job.change import digest
from sim.machine.quantities.guess import Guess
from sim.machine.quantities.line import WAIT, Line, Quantities
from sim.machine.quantities.metal import spool_of
from sim.machine.quantities.quick import Estimate
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH, said
from sim.reference.version import VERSION
from sim.tell.remarks import lines, told
from sim.tell.result_json import SCHEMA, decided_json
from sim.tell.verdict import verdict_lines
from sim.tell.where_from import assumptions

LITRE = 1e6  # mm3


LINES = {
    "wire": "wire fed",
    "gas": "shielding gas",
    "set_up": "set up and line up bar and head",
    "clean": "degrease, clean, make safe",
    "measure": "measure cold and look for cracks",
    "preheat": "preheat",
    "arc": "arc on",
    "between": "brush, measure, set again after a layer",
    "interpass": "wait for the interpass temperature",
    "pre_bore": "pre-boring, in the cut",
    "bore": "boring, in the cut",
    "tool": "set the tool and gauge between passes",
    "cool": "cool slowly",
    "fixed": "a job whatever its size",
}
"""What the lines are, by name; spools say how much each holds."""


def line_words(row: Line, found: Quantities) -> str:
    """What a line is."""
    if row.name != "spools":
        return LINES[row.name]
    spool = spool_of(found.scene)
    held = (
        said(spool, "mass", "in", 0) if found.scene.job.units == "in" else f"{spool / 1000.0:g} kg"
    )
    return f"spools of {held}"


def quantities_json(found: Quantities) -> dict[str, Any]:
    """An estimate as plain values: g, s, litres; money in the user's own currency, null where there
    is no rate.
    """
    say = Say(found.scene.job.units)
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(found.scene),
        "holes": found.holes,
        "rows": [_row(row, found) for row in found.rows],
        "work_s": dataclasses.asdict(found.work),
        "elapsed_s": dataclasses.asdict(found.elapsed),
        "money": None if found.money is None else dataclasses.asdict(found.money),
        "currency": found.currency,
        "short": found.short,
        "draws": found.draws,
        "not_priced": lines(found.missing, say),
        "notes": lines(found.notes, say),
    }


def _row(row: Line, found: Quantities) -> dict[str, Any]:
    amount, unit = (
        (row.amount.times(1.0 / LITRE), "l") if row.unit == "mm3" else (row.amount, row.unit)
    )
    return {
        "name": row.name,
        "what": line_words(row, found),
        "kind": row.kind,
        f"amount_{unit}": dataclasses.asdict(amount),
        "basis": told(row.basis, Say(found.scene.job.units)),
        "money": None if row.money is None else dataclasses.asdict(row.money),
    }


def estimate_json(found: Estimate) -> dict[str, Any]:
    """A quick estimate: quantities, the engine's verdict, and all it assumed."""
    say = Say(found.scene.job.units)
    return quantities_json(found.quantities) | {
        **decided_json(found.decided),
        "minimum_stock_mm": found.result.stock.spot.value,
        "layers": len(found.result.layers),
        "assumed": lines(found.assumed, say),
        "assumptions": assumptions(found.result),
        "boring_assumptions": lines(found.cuts.assumed, say),
    }


def quantities_note(found: Quantities) -> str:
    """The estimate in words: every line low, likely, high and where it comes from."""
    return (
        "\n".join(
            [*_head(found), *_table(found), "", *sum_lines(found), "", *_foot(found), "", CAUTION]
        )
        + "\n"
    )


def estimate_note(found: Estimate) -> str:
    """A quick estimate in words, with all that it assumed."""
    say, result = Say(found.scene.job.units), found.result
    parts = [
        *_head(found.quantities),
        f"{len(result.layers)} layers; {verdict_lines(result, found.decided)[0]}",
        "",
        *_table(found.quantities),
        "",
        *sum_lines(found.quantities),
        "",
        *_foot(found.quantities),
        "",
        "Assumed, because only sizes were given:",
        *(f"- {line}" for line in lines(found.assumed, say)),
        *(f"- boring: {line}" for line in lines(found.cuts.assumed, say)),
        f"- and {len(assumptions(result))} values of the welding, listed with their sources "
        "by --json",
        "Measured bead, readings and limits of size change these figures; least stock now "
        f"{say.size(result.stock.spot.value)} per side.",
        "",
        CAUTION,
    ]
    return "\n".join(parts) + "\n"


def _head(found: Quantities) -> list[str]:
    bores = f", {found.holes} bores alike" if found.holes > 1 else ""
    return [
        f"{found.scene.job.name or 'Unnamed job'}{bores}",
        "",
        "What it takes: low, likely, high, and where each figure comes from.",
    ]


def _table(found: Quantities) -> list[str]:
    return [f"- {row_line(row, found)}" for row in found.rows]


def row_line(row: Line, found: Quantities) -> str:
    """One line of the estimate in words."""
    waits = " (waiting)" if row.kind == WAIT else ""
    cost = "" if row.money is None else f"; {money(row.money, found.currency)}"
    basis = told(row.basis, Say(found.scene.job.units))
    return (
        f"{line_words(row, found)}{waits}: "
        f"{amount(row.amount, row.unit, found.scene.job.units)}{cost}. "
        f"{basis[:1].upper()}{basis[1:]}."
    )


def amount(value: Guess, unit: str, units: str) -> str:
    """Low, likely, high of a line in the job's units.

    >>> amount(Guess(900.0, 1000.0, 1200.0), "g", "mm")
    '0.90 - 1.00 - 1.20 kg'
    >>> amount(Guess(60.0, 3600.0, 5400.0), "s", "mm")
    '1 min - 1 h 00 min - 1 h 30 min'
    """
    three = (value.low, value.likely, value.high)
    if unit == "s":
        return " - ".join(map(in_time, three))
    if unit == "g":
        masses = [Say(units).mass(one).split() for one in three]
        return " - ".join(one[0] for one in masses) + f" {masses[0][1]}"
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
    three = " - ".join(map(_three_figures, (value.low, value.likely, value.high)))
    return f"{currency} {three}".strip()


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
    part = " (not all of it priced)" if found.missing else ""
    return [*out, f"Money: {money(found.money, found.currency)}{part}."]


def _foot(found: Quantities) -> list[str]:
    say = Say(found.scene.job.units)
    return [
        *(f"- not priced: {line}" for line in lines(found.missing, say)),
        *(f"- {line}" for line in lines(found.notes, say)),
    ]


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
