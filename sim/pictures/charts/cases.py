"""Figures of cases side by side and of draws."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from sim.pictures.charts.drawn import CLOCK_NAMES, CLOCK_TICKS, Drawn, framed, plain_value
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    FINISH,
    NEUTRAL,
    PESSIMIST,
    STOCK_MUCH,
    THIN,
    layer_colour,
)
from sim.plan.compare import Table, title
from sim.plan.odds.chance import Chance
from sim.reference.arrays import TURN
from sim.reference.units import INCH, clock_text


def cases_stock(table: Table, units: str) -> Drawn:
    """Least stock per side of every case: as planned, and with the poorest tie-in of the last layer
    dotted; below zero stays black.
    """
    drawn = cases_figure(table, "minimum_stock_mm", units)
    other = cases_figure(table, "poorest_tie_in_minimum_stock_mm", units)
    for trace in other.figure.data:
        trace.update(
            line=dict(color=PESSIMIST, dash="dot"),
            marker=dict(symbol="circle-open", color=PESSIMIST),
            name=f"with poor tie-in {trace.name}".strip(),
        )
        drawn.figure.add_trace(trace)
    for trace in drawn.figure.data[: len(other.figure.data)]:
        trace.update(name=trace.name or "model")
    drawn.figure.add_hline(y=0.0, line=dict(color=FINISH, width=3, dash="dash"))
    drawn.figure.update_yaxes(title=title("minimum_stock_mm", units)[0])
    drawn.figure.update_layout(showlegend=True)
    words = (
        drawn.words + " Dotted: with poor tie-in of the last layer. Below the dashed line black "
        "metal stays."
    )
    return Drawn(
        drawn.figure,
        words,
        drawn.columns | {k: v for k, v in other.columns.items() if k not in drawn.columns},
    )


def cases_figure(table: Table, column: str, units: str) -> Drawn:
    """One column of a comparison over the first varied quantity, a line for each value of the
    second.
    """
    name, factor = title(column, units)
    first, second = table.varied[0], table.varied[1] if len(table.varied) > 1 else None
    figure = go.Figure()
    rows = [row for row in table.rows if row["fault"] is None and row[column] is not None]
    groups = list(dict.fromkeys(row[second] for row in rows)) if second else [None]
    for number, group in enumerate(groups, 1):
        mine = [row for row in rows if second is None or row[second] == group]
        label = "" if second is None else f"{title(second, units)[0]} {group}"
        style = dict(color=layer_colour(number), width=3)
        figure.add_scatter(
            x=[plain_value(row[first]) for row in mine], y=[row[column] * factor for row in mine],
            name=label, mode="lines+markers", line=style,
            marker=dict(size=9),
        )  # fmt: skip
    framed(figure, title(first, units)[0], name, legend=second is not None)
    values = [row[column] * factor for row in rows]
    span = f"from {min(values):.3f} to {max(values):.3f}" if values else "no case can be laid"
    columns: dict[str, Sequence[float | str]] = {
        title(v, units)[0]: [plain_value(row[v]) for row in rows] for v in table.varied
    }
    return Drawn(figure, f"{name}, {len(rows)} cases: {span}.", columns | {name: values})


def minima_figure(chance: Chance, units: str) -> Drawn:
    """How many draws left how much at their least place; draws short of the minimum cut are marked."""
    unit, scale = ("in", 1.0 / INCH) if units == "in" else ("mm", 1.0)
    least, cut = chance.minima[~np.isnan(chance.minima)], chance.scene.cut.minimum_cut
    edges = np.linspace(min(float(least.min()), 0.0), max(float(least.max()), cut + 0.1), 41)
    edges = np.unique(np.append(edges, [0.0, cut]))
    figure = go.Figure()
    middle, width = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges)
    count = np.histogram(least, edges)[0]
    parts = (
        ("stays black", middle < 0.0, BLACK_LEFT, "/"),
        ("thin", (middle >= 0.0) & (middle < cut), THIN, "."),
        ("cleans up", middle >= cut, STOCK_MUCH, ""),
    )
    for name, mine, shade, pattern in parts:
        marker = dict(
            color=shade,
            line=dict(color=BLACK_EDGE if name == "stays black" else shade, width=1),
            pattern=dict(shape=pattern, fgcolor=BLACK_EDGE),
        )
        figure.add_bar(
            x=middle[mine] * scale,
            y=count[mine],
            width=width[mine] * scale,
            name=name,
            marker=marker,
        )
    framed(figure, f"least stock per side [{unit}]", "jobs")
    figure.update_layout(bargap=0.0, barmode="overlay")
    short = int((least < cut).sum()) + int(np.isnan(chance.minima).sum())
    columns: dict[str, Sequence[float | str]] = {
        f"from_{unit}": (edges[:-1] * scale).tolist(),
        f"to_{unit}": (edges[1:] * scale).tolist(),
        "draws": count.tolist(),
    }
    return Drawn(
        figure,
        f"Least stock per side of {chance.draws} jobs allowing for normal shop variation; {short} leave "
        f"less than the minimum cut of {cut * scale:.3f} {unit} somewhere.",
        columns,
    )


def chance_map(chance: Chance, units: str) -> Drawn:
    """Unrolled map of how often each place is left with less than the minimum cut."""
    unit, scale = ("in", 1.0 / INCH) if units == "in" else ("mm", 1.0)
    cells = chance.below_cut
    shades = [(0.0, NEUTRAL), (0.05, THIN), (0.5, BLACK_EDGE), (1.0, BLACK_LEFT)]
    clock, depth = (
        (np.arange(len(cells)) + 0.5) * (12.0 / len(cells)),
        0.5 * (chance.edges[1:] + chance.edges[:-1]) * scale,
    )
    bar = dict(title="of 100<br>jobs", thickness=14)
    figure = go.Figure(
        go.Heatmap(
            x=clock,
            y=depth,
            z=np.round(100.0 * cells.T, 2),
            zmin=0,
            zmax=100,
            colorscale=shades,
            colorbar=bar,
            hovertemplate="%{x:.1f} o'clock<br>%{y:.1f} deep<br>low in %{z:.1f} of 100<extra></extra>",
        )
    )
    framed(
        figure,
        "o'clock, seen from the entry face",
        f"depth from the entry face [{unit}]",
        legend=False,
    )
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[float(chance.edges[-1]) * scale, float(chance.edges[0]) * scale])
    worst = np.unravel_index(int(cells.argmax()), cells.shape)
    place = (
        f"at {clock_text(float(clock[worst[0]]) * TURN / 12.0)} o'clock, {depth[worst[1]]:.1f} "
        f"{unit} deep: {100 * cells[worst]:.1f} of 100"
    )
    words = (
        f"How often each place is left with less than the minimum cut; most often {place}."
        if cells.max() > 0
        else "No draw left less than the minimum cut anywhere."
    )
    columns: dict[str, Sequence[float | str]] = {
        "oclock": np.round(np.tile(clock, len(depth)), 3).tolist(),
        f"depth_{unit}": np.round(np.repeat(depth, len(clock)), 4).tolist(),
        "part_of_draws": cells.T.ravel().tolist(),
    }  # fmt: skip
    return Drawn(figure, words, columns)


def shares_figure(chance: Chance, units: str) -> Drawn:
    """Which spread matters most: shares of the variance of the least stock."""
    unit, scale = ("in", 1.0 / INCH) if units == "in" else ("mm", 1.0)
    shares = [one for one in chance.shares if one.share >= 0.005][::-1]
    figure = go.Figure(
        go.Bar(
            x=[100.0 * one.share for one in shares],
            y=[one.name for one in shares],
            orientation="h",
            marker=dict(color=STOCK_MUCH),
        )
    )
    framed(figure, "share of the variance of the least stock [%]", "", legend=False)
    words = "; ".join(f"{one.name} {100.0 * one.share:.0f} %" for one in shares[::-1]) + "."
    columns: dict[str, Sequence[float | str]] = {
        "spread": [one.name for one in chance.shares],
        "share": [one.share for one in chance.shares],
        f"alone_{unit}": [one.sd * scale for one in chance.shares],
    }  # fmt: skip
    return Drawn(figure, words, columns)
