"""Result in, 2-D figures out; the only door to plotly. Figures are returned, never shown."""

from __future__ import annotations

import math

import numpy as np
import plotly.graph_objects as go

from sim import colour
from sim.finish import stock_cells
from sim.simulate import Result
from sim.units import INCH
from sim.wall import TURN, Array, Wall

CLOCK_TICKS = [0, 3, 6, 9, 12]
CLOCK_NAMES = ["12", "3", "6", "9", "12"]


def _scale(result: Result) -> tuple[float, str]:
    """Factor from mm to the job's unit, and its name."""
    return (1.0 / INCH, "in") if result.scene.job.units == "in" else (1.0, "mm")


def section_of(wall: Wall, result: Result, clock: float) -> tuple[Array, Array]:
    """Depth and stock per side [mm] along one clock [rad], at the knots and between: what `section` draws."""
    depth, radius = wall.section(clock)
    angle = float(wall.clock.angle[wall.clock.nearest(clock)])
    (xt, yt), (xf, yf) = result.axes.torch.at(depth), result.finish.axis.at(depth)
    x = radius * math.sin(angle) + xt - xf
    y = -radius * math.cos(angle) + yt - yf
    inside = (depth >= 0.0) & (depth <= result.scene.bore.length)
    return depth[inside], np.asarray(result.finish.radius - np.hypot(x, y))[inside]


def section(result: Result, clock: float) -> go.Figure:
    """Axial section at a clock [rad]: worn wall, each layer, the pessimist, finish line, what stays black."""
    scale, unit = _scale(result)
    figure = go.Figure()
    names = ["before welding", *(f"after layer {k}" for k in range(1, len(result.walls)))]
    for k, (wall, name) in enumerate(zip(result.walls, names, strict=True)):
        depth, stock = section_of(wall, result, clock)
        line = dict(color=colour.layer_colour(k) if k else colour.WORN, width=3 if k == len(result.layers) else 2)
        figure.add_scatter(x=depth * scale, y=stock * scale, name=name, mode="lines", line=line)
    depth, stock = section_of(result.pessimist_wall, result, clock)
    figure.add_scatter(
        x=depth * scale, y=stock * scale, name="pessimist, last layer", mode="lines",
        line=dict(color=colour.PESSIMIST, width=1.5, dash="dot"),
    )
    depth, stock = section_of(result.layers[-1].wall, result, clock)
    black = np.minimum(stock, 0.0)
    if black.min() < 0.0:
        figure.add_scatter(
            x=depth * scale, y=black * scale, name="stays black", mode="lines", fill="tozeroy",
            line=dict(color=colour.BLACK_EDGE, width=1),
            fillcolor=colour.BLACK_LEFT,
            fillpattern=dict(shape="/", fgcolor=colour.BLACK_EDGE, bgcolor=colour.BLACK_LEFT, size=6),
        )
    length = result.scene.bore.length * scale
    figure.add_scatter(
        x=[0, length], y=[0, 0], name="finish cut", mode="lines", line=dict(color=colour.FINISH, width=3, dash="dash")
    )
    figure.update_layout(
        xaxis_title=f"depth from the entry face [{unit}]",
        yaxis_title=f"stock per side [{unit}]: above the line is bored off",
        legend=dict(orientation="h", y=-0.25),
        margin=dict(l=60, r=10, t=10, b=10),
        height=420,
    )
    return figure


def stock_figure(result: Result, *, n_clock: int = 360, n_depth: int = 300) -> go.Figure:
    """Unrolled map of stock per side, clock across and depth down; every cell shows its least stock."""
    scale, unit = _scale(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, edges, n_clock)
    low, high = float(min(cells.min(), 0.0)), float(max(cells.max(), 0.1))
    clock = (np.arange(n_clock) + 0.5) * (12.0 / n_clock)
    depth = 0.5 * (edges[1:] + edges[:-1]) * scale
    figure = go.Figure(
        go.Heatmap(
            x=clock, y=depth, z=np.round(cells.T * scale, 4), zmin=low * scale, zmax=high * scale,
            colorscale=colour.stock_scale(low, high),
            colorbar=dict(title=f"per side [{unit}]"),
            hovertemplate="%{x:.2f} o'clock<br>%{y:.1f} deep<br>%{z:.3f} per side<extra></extra>",
        )
    )
    for spot in result.low_spots:
        _outline(figure, spot.clock_from, spot.clock_to, spot.depth_from * scale, spot.depth_to * scale)
    worst = result.stock.spot
    figure.add_scatter(
        x=[worst.clock * 12.0 / TURN], y=[worst.depth * scale], mode="markers", name="least stock",
        marker=dict(symbol="x", size=12, color=colour.FINISH, line=dict(width=2, color="white")),
        hovertemplate="least stock<extra></extra>",
    )
    figure.update_layout(
        xaxis=dict(title="o'clock, seen from the entry face", tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12]),
        yaxis=dict(title=f"depth from the entry face [{unit}]", autorange="reversed"),
        showlegend=False,
        margin=dict(l=60, r=10, t=10, b=10),
        height=420,
    )
    return figure


def _outline(figure: go.Figure, begin: float, end: float, low: float, high: float) -> None:
    """A frame round a low spot, in two parts where it crosses 12 o'clock."""
    begin, end = begin * 12.0 / TURN, end * 12.0 / TURN
    parts = [(begin, end)] if begin <= end else [(begin, 12.0), (0.0, end)]
    for x0, x1 in parts:
        figure.add_shape(
            type="rect", x0=x0, x1=x1, y0=low, y1=high, line=dict(color=colour.BLACK_EDGE, width=1.5, dash="dot")
        )
