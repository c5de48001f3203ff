"""What the chance and a comparison say."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

from sim.plan.compare import Table, title
from sim.plan.odds.chance import Chance
from sim.reference.cautions import CAUTION
from sim.reference.sizes_in_words import Say
from sim.reference.version import VERSION
from sim.tell.plan import cell, scaled, spreads_known
from sim.tell.result_figures import SCHEMA, ChanceTold, ShareTold
from sim.tell.result_json import decided_told, plain
from sim.tell.verdict import NOMINAL_ONLY, decided_lines, of_100


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
    """How often the job cleans up with what it rests on; the probabilities are told a second time
    under their old names.
    """
    p5, p50, p95 = chance.percentiles
    return plain(
        ChanceTold(
            **vars(decided_told(chance.decided)),
            asked=chance.asked,
            probability=chance.probability,
            interval=(chance.interval.low, chance.interval.high),
            draws=chance.draws,
            decided=chance.decided.settled,
            p5=p5,
            p50=p50,
            p95=p95,
            worst_bore=chance.decided.worst,
            edges=tuple(chance.edges.tolist()),
            below_zero=chance.below_zero.tolist(),
            below_cut=chance.below_cut.tolist(),
            shares=tuple(ShareTold(one.name, one.share, one.sd) for one in chance.shares),
        )
    )


def chance_lines(chance: Chance, units: str) -> list[str]:
    """How sure, in a few sentences; the first is the answer."""
    say, told = Say(units), chance.decided
    out = [
        *decided_lines(told, say, chance.scene.cut.minimum_cut),
        f"1 in 20 leave more than {say.size(chance.percentiles[2])} per side.",
    ]
    if chance.shares:
        first = chance.shares[0]
        out.append(
            f"What matters most: {first.name} ({100 * first.share:.0f} % of the variance, "
            f"{say.size(first.sd)} by itself)."
        )
    out.append(
        "The build-up law has not been measured inside a bore; its own spread is a guess and "
        "is allowed for."
    )
    if chance.scene.bore_on_bar:
        alone = [f"{one.name} {of_100(one.clean_up_of_100)}" for one in told.bores]
        out.append(
            "All bores of the bar are judged together; each by itself, of 100: "
            f"{', '.join(alone)}. What follows is of {told.worst}."
        )
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
        "What matters, of the variance:",
        *shares,
        "",
    ]
    return "\n".join([*parts, "Normal shop variation:", *known, "", CAUTION]) + "\n"


def _spread_value(row: Mapping[str, Any], say: Say) -> str:
    return say.size(row["value"]) if row["unit"] == "mm" else f"{row['value']:g}"


def table_note(table: Table, units: str = "mm") -> str:
    """A comparison as a table in plain text, in the job's units; a varied quantity keeps the unit
    it was varied in.
    """
    drawn = bool(table.rows) and "clean_up_of_100" in table.rows[0]
    sure = (
        ["verdict", "clean_up_of_100", "minimum_stock_mm", "typical_stock_mm", "bad_stock_mm"]
        if drawn
        else ["minimum_stock_mm"]
    )
    columns = [
        *table.varied,
        *sure,
        "mean_stock_mm",
        "ripple_mm",
        "weld_left_mm",
        "wire_g",
        "arc_time_s",
    ]
    heads = [title(c, units) for c in columns]
    titles = [name for name, _ in heads]
    cells = [
        [
            cell(scaled(row[c], factor), 4 if "[in]" in name else 3)
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
    quick = [] if drawn else [f"{NOMINAL_ONLY}."]
    return "\n".join([*quick, *lines, *faults]) + "\n"
