"""Maps of clock and depth; figures by layer."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from sim.bore.stock import stock_cells, weld_left_cells
from sim.pictures.charts.drawn import CLOCK_NAMES, CLOCK_TICKS, Drawn, add_line, framed, scale_of
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    FINISH,
    STOCK_MUCH,
    Stops,
    layer_colour,
    stock_scale,
)
from sim.reference.arrays import TURN, Array
from sim.reference.units import oclock
from sim.shop.result import Result


def stock_figure(result: Result, *, n_clock: int = 240, n_depth: int = 200) -> Drawn:
    """Unrolled map of stock per side, clock across, depth down; a cell shows its least stock."""
    scale, unit = scale_of(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, edges, n_clock)
    low, high = float(min(cells.min(), 0.0)), float(max(cells.max(), 0.1))
    figure, columns = _map(
        cells, edges * scale, scale, (low, high), stock_scale(low, high), unit, "stock"
    )
    for spot in result.low_spots:
        _outline(
            figure, spot.clock_from, spot.clock_to, spot.depth_from * scale, spot.depth_to * scale
        )
    worst = result.stock.spot
    figure.add_scatter(
        x=[oclock(worst.clock)],
        y=[worst.depth * scale],
        mode="markers",
        marker=dict(symbol="x", size=12, color=FINISH, line=dict(width=2, color="white")),
        hovertemplate="least stock<extra></extra>",
    )
    words = (
        f"Unrolled map of stock per side: least {worst.value * scale:.3f} {unit} at the "
        f"cross, most {cells.max() * scale:.3f} {unit}; "
        f"low spots: {len(result.low_spots)}. Chamfers, holes and areas left out are drawn "
        "but not judged."
    )
    return Drawn(figure, words, columns)


def weld_figure(result: Result, *, n_clock: int = 120, n_depth: int = 80) -> Drawn:
    """Unrolled map of the weld left under the finished surface; below zero the cut runs into base
    metal.
    """
    scale, unit = scale_of(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = weld_left_cells(result.start, result.finish, result.axes.torch, edges, n_clock)
    low, high = float(min(cells.min(), 0.0)), float(max(cells.max(), 0.1))
    figure, columns = _map(
        cells, edges * scale, scale, (low, high), stock_scale(low, high), unit, "weld_left"
    )
    words = (
        "Unrolled map of the weld left under the finished surface: at least "
        f"{cells.min() * scale:.3f} {unit} per side."
    )
    return Drawn(figure, words, columns)


def _map(
    cells: Array,
    edges: Array,
    scale: float,
    span: tuple[float, float],
    colours: Stops,
    unit: str,
    what: str,
) -> tuple[go.Figure, dict[str, Sequence[float | str]]]:
    n_clock = len(cells)
    clock = (np.arange(n_clock) + 0.5) * (12.0 / n_clock)
    depth = 0.5 * (edges[1:] + edges[:-1])
    z = np.round(cells.T * scale, 4)
    figure = go.Figure(
        go.Heatmap(
            x=clock,
            y=depth,
            z=z,
            zmin=span[0] * scale,
            zmax=span[1] * scale,
            colorscale=colours,
            colorbar=dict(title=f"per side<br>[{unit}]", thickness=14),
            hovertemplate="%{x:.2f} o'clock<br>%{y:.2f} deep<br>%{z:.3f} per side<extra></extra>",
        )
    )
    framed(
        figure,
        "o'clock, seen from the entry face",
        f"depth from the entry face [{unit}]",
        legend=False,
    )
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[float(edges[-1]), float(edges[0])])
    columns: dict[str, Sequence[float | str]] = {
        "oclock": np.round(np.tile(clock, len(depth)), 4).tolist()
    }
    columns[f"depth_{unit}"] = np.round(np.repeat(depth, n_clock), 4).tolist()
    columns[f"{what}_per_side_{unit}"] = z.ravel().tolist()
    return figure, columns


def _outline(figure: go.Figure, begin: float, end: float, low: float, high: float) -> None:
    """A frame round a low spot, in two parts where it crosses 12 o'clock."""
    begin, end = begin * 12.0 / TURN, end * 12.0 / TURN
    parts = [(begin, end)] if begin <= end else [(begin, 12.0), (0.0, end)]
    for x0, x1 in parts:
        line = dict(color=BLACK_EDGE, width=1.5, dash="dot")
        figure.add_shape(type="rect", x0=x0, x1=x1, y0=low, y1=high, line=line)


def add_touch_points(drawn: Drawn, result: Result, *, n_clock: int = 72, n_depth: int = 36) -> None:
    """Invisible points over a map, so that a click on it tells where; each tells the least stock of
    its patch.
    """
    scale, unit = scale_of(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, edges, n_clock)
    clock = (np.arange(n_clock) + 0.5) * (12.0 / n_clock)
    depth = 0.5 * (edges[1:] + edges[:-1]) * scale
    drawn.figure.update_traces(hoverinfo="skip", hovertemplate=None, selector=dict(type="heatmap"))
    drawn.figure.add_scatter(
        x=np.tile(clock, n_depth),
        y=np.repeat(depth, n_clock),
        customdata=np.round(cells.T.ravel() * scale, 3),
        mode="markers",
        marker=dict(size=12, opacity=0.0, color=FINISH),
        selected=dict(marker=dict(opacity=0.0)),
        unselected=dict(marker=dict(opacity=0.0)),
        hovertemplate=f"%{{x:.1f}} o'clock<br>%{{y:.1f}} {unit} deep<br>least stock %{{customdata:.3f}} "
        f"{unit} per side<extra></extra>",
        name="touch",
    )


def ripple_figure(result: Result) -> Drawn:
    """Ripple of each layer around the clock: crest less deeper valley, mean over the turns."""
    scale, unit = scale_of(result)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {"layer": [], "oclock": [], f"ripple_{unit}": []}
    for number, layer in enumerate(result.layers, 1):
        known = ~np.isnan(layer.ripples)
        clock, ripple = layer.wall.clock.angle[known] * 12.0 / TURN, layer.ripples[known] * scale
        line = dict(color=layer_colour(number), width=3)
        figure.add_scatter(x=clock, y=ripple, name=f"layer {number}", mode="lines", line=line)
        add_line(columns, f"layer {number}", clock, ripple)
    framed(figure, "o'clock, seen from the entry face", f"ripple per side [{unit}]")
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(rangemode="tozero")
    worst = max(
        (layer.ripple for layer in result.layers if not math.isnan(layer.ripple)), default=math.nan
    )
    words = (
        "Too few turns to say a ripple."
        if math.isnan(worst)
        else f"Ripple around the clock: at most {worst * scale:.3f} {unit}."
    )
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def gauge_figure(result: Result) -> Drawn:
    """What the two-point gauge reads after each layer, beside the deepest valley, on diameter."""
    scale, unit = scale_of(result)
    names = [f"after layer {k}" for k in range(1, len(result.layers) + 1)]
    low = [layer.gauge[0] * scale for layer in result.layers]
    high = [layer.gauge[1] * scale for layer in result.layers]
    valley = [layer.valley * scale for layer in result.layers]
    figure = go.Figure()
    grey = dict(color=STOCK_MUCH, width=12)
    for name, a, b in zip(names, low, high, strict=True):
        figure.add_scatter(
            x=[a, b],
            y=[name, name],
            mode="lines",
            line=grey,
            name="gauge reads",
            showlegend=name == names[0],
        )
    mark = dict(symbol="diamond", size=16, color=BLACK_LEFT, line=dict(color=BLACK_EDGE, width=2))
    figure.add_scatter(x=valley, y=names, mode="markers", marker=mark, name="deepest valley")
    size = 2.0 * result.finish.radius * scale
    figure.add_vline(
        x=size, line=dict(color=FINISH, width=3, dash="dash"), name="final size", showlegend=True
    )
    framed(figure, f"on diameter [{unit}]", "")
    last = result.layers[-1]
    words = (
        f"After the last layer the gauge reads {last.gauge[0] * scale:.3f} to "
        f"{last.gauge[1] * scale:.3f} {unit} while the "
        f"deepest valley is {last.valley * scale:.3f} {unit}, on diameter."
    )
    columns: dict[str, Sequence[float | str]] = {
        "wall": names,
        f"gauge_least_{unit}": low,
        f"gauge_most_{unit}": high,
    }
    columns[f"valley_{unit}"] = valley
    return Drawn(figure, words, columns)
