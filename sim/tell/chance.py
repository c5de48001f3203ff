"""What the chance and a comparison say."""

from __future__ import annotations

import csv
import dataclasses
import io
from collections.abc import Mapping
from typing import Any

from sim.plan.compare import Table, title
from sim.plan.odds.chance import OPEN, Chance
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.tell.plan import _scaled, cell, spreads_known
from sim.tell.result_json import SCHEMA, VERSION


def table_json(table: Table) -> dict[str, Any]:
    """A comparison as plain values."""
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "varied": list(table.varied),
        "rows": list(table.rows),
    }


def table_csv(table: Table) -> str:
    """A comparison as CSV, a row a case."""
    out = io.StringIO()
    writer = csv.DictWriter(out, fieldnames=list(table.rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(table.rows)
    return out.getvalue()


def chance_json(chance: Chance) -> dict[str, Any]:
    """A probability of clean-up with what it rests on."""
    p5, p50, p95 = chance.percentiles
    return {
        "asked": chance.asked,
        "probability_of_clean_up": chance.probability,
        "probability_interval": [chance.interval.low, chance.interval.high],
        "draws": chance.draws,
        "decided": chance.decided,
        "stock_p5_mm": p5,
        "stock_p50_mm": p50,
        "stock_p95_mm": p95,
        "minimum_error_mm": chance.error,
        "depth_edges_mm": chance.edges.tolist(),
        "below_zero": chance.below_zero.tolist(),
        "below_cut": chance.below_cut.tolist(),
        "shares": [dataclasses.asdict(one) for one in chance.shares],
    }


def chance_lines(chance: Chance, units: str) -> list[str]:
    """How sure, in a few sentences; the first is the answer."""
    say, i = Say(units), chance.interval
    p5, p50, p95 = chance.percentiles
    decided = (
        "; more draws would be needed to say whether that is enough"
        if chance.decided == OPEN
        else ""
    )
    out = [
        f"Cleans up in {chance.cleans} of {chance.draws} draws: "
        f"{100 * chance.probability:.1f} in 100 (exact interval {100 * i.low:.1f} to "
        f"{100 * i.high:.1f}); asked {100 * chance.asked:g}{decided}.",
        f"Least stock per side: half the draws leave more than {say.size(p50)}, 19 in 20 "
        f"more than {say.size(p5)}, 1 in 20 more than {say.size(p95)}; "
        f"the clock step moves a draw by {say.size(chance.error, 3)} at most.",
    ]
    if chance.scene.bead is None:
        out.append(
            "Nobody measured the bead, so this is not proven: weld one on a plate and measure it."
        )
    if chance.shares:
        first = chance.shares[0]
        out.append(
            f"What matters most: {first.name} ({100 * first.share:.0f} % of the variance, "
            f"{say.size(first.sd)} by itself)."
        )
    out.append(
        "The build-up law has not been measured inside a bore; its own spread is assumed and "
        "is among those drawn."
    )
    if chance.scene.bore_on_bar:
        out.append("Drawn for the first bore alone; the other bores on the bar were not drawn.")
    return out


def chance_note(chance: Chance) -> str:
    """How sure, in words."""
    shares = [f"- {one.name}: {100 * one.share:.0f} %" for one in chance.shares]
    say = Say(chance.scene.job.units)
    known = [
        f"- {row['meaning']}: {_spread_value(row, say)} ({row['how_known']})"
        for row in spreads_known(chance.scene)
    ]
    parts = [
        chance.scene.job.name or "Unnamed job",
        "",
        *chance_lines(chance, chance.scene.job.units),
        "",
        "Shares of the variance:",
        *shares,
        "",
    ]
    return "\n".join([*parts, "Spreads drawn:", *known, "", CAUTION]) + "\n"


def _spread_value(row: Mapping[str, Any], say: Say) -> str:
    return say.size(row["value"]) if row["unit"] == "mm" else f"{row['value']:g}"


def table_note(table: Table, units: str = "mm") -> str:
    """A comparison as a table in plain text, in the job's units; a varied quantity keeps the unit
    it was varied in.
    """
    columns = [
        *table.varied,
        "verdict",
        "minimum_stock_mm",
        "pessimist_minimum_stock_mm",
        "mean_stock_mm",
        "ripple_mm",
        "weld_left_mm",
        "wire_g",
        "arc_time_s",
    ]
    if table.rows and "probability_of_clean_up" in table.rows[0]:
        columns.insert(len(table.varied), "probability_of_clean_up")
    heads = [title(c, units) for c in columns]
    titles = [name for name, _ in heads]
    cells = [
        [
            cell(_scaled(row[c], factor), 4 if "[in]" in name else 3)
            if row["fault"] is None or c in table.varied
            else "-"
            for c, (name, factor) in zip(columns, heads, strict=True)
        ]
        for row in table.rows
    ]
    wide = [max(len(line[k]) for line in [titles, *cells]) for k in range(len(columns))]
    lines = [
        "  ".join(text.rjust(w) for text, w in zip(line, wide, strict=True))
        for line in [titles, *cells]
    ]
    faults = [
        f"{', '.join(str(row[v]) for v in table.varied)}: {row['fault']}"
        for row in table.rows
        if row["fault"]
    ]
    return "\n".join([*lines, *faults]) + "\n"
