"""Sections along and across the bore."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from sim.bore.stock import stock_map
from sim.bore.wall import Wall
from sim.pictures.charts.drawn import Drawn, add_line, framed, scale_of, section_of
from sim.pictures.colours import BLACK_EDGE, BLACK_LEFT, FINISH, PESSIMIST, WORN, layer_colour
from sim.reference.arrays import TURN, Array
from sim.reference.units import clock_text
from sim.shop.result import Result


def _wall_names(result: Result) -> list[str]:
    return ["before welding", *(f"after layer {k}" for k in range(1, len(result.walls)))]


def section(result: Result, clock: float) -> Drawn:
    """Axial section at a clock [rad]: worn wall, each layer, the poorest tie-in, finish line, what
    stays black.
    """
    scale, unit = scale_of(result)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {
        "wall": [],
        f"depth_{unit}": [],
        f"stock_per_side_{unit}": [],
    }
    for k, (wall, name) in enumerate(zip(result.walls, _wall_names(result), strict=True)):
        depth, stock = section_of(wall, result, clock)
        line = dict(color=layer_colour(k) if k else WORN, width=3 if k == len(result.layers) else 2)
        figure.add_scatter(x=depth * scale, y=stock * scale, name=name, mode="lines", line=line)
        add_line(columns, name, depth * scale, stock * scale)
    depth, stock = section_of(result.poorest_tie_in_wall, result, clock)
    dotted = dict(color=PESSIMIST, width=2, dash="dot")
    figure.add_scatter(
        x=depth * scale, y=stock * scale, name="with poor tie-in", mode="lines", line=dotted
    )
    add_line(columns, "with poor tie-in, last layer", depth * scale, stock * scale)
    depth, stock = _with_judged_ends(
        result, clock, *section_of(result.layers[-1].wall, result, clock)
    )
    judged = _judged_at(result, clock, depth)
    _black(figure, depth * scale, np.where(judged, np.minimum(stock, 0.0), 0.0) * scale)
    ends = [0.0, result.scene.bore.length * scale]
    line = dict(color=FINISH, width=3, dash="dash")
    figure.add_scatter(x=ends, y=[0, 0], name="finish cut", mode="lines", line=line)
    framed(figure, f"depth from the entry face [{unit}]", f"stock per side [{unit}]")
    words = f"Axial section at {clock_text(clock)} o'clock: {_found_here(stock, judged, result)}"
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def _with_judged_ends(
    result: Result, clock: float, depth: Array, stock: Array
) -> tuple[Array, Array]:
    """A section with the ends of what is judged in it: the least may stand just there."""
    wall = result.layers[-1].wall
    column = wall.clock.nearest(clock)
    ends = np.unique(result.spans[column])
    there = stock_map(wall, result.finish, result.axes.torch, ends)[column]
    order = np.argsort(np.concatenate([depth, ends]), kind="stable")
    return np.concatenate([depth, ends])[order], np.concatenate([stock, there])[order]


def _judged_at(result: Result, clock: float, depth: Array) -> Array:
    """Which of the depths [mm] of the column nearest to a clock [rad] are judged: not chamfers,
    holes and areas left out.
    """
    spans = result.spans[result.layers[-1].wall.clock.nearest(clock)]
    return np.asarray(
        ((depth[:, None] >= spans[:, 0]) & (depth[:, None] <= spans[:, 1])).any(axis=1)
    )


def _found_here(stock: Array, judged: Array, result: Result) -> str:
    """What the cut finds along one clock, in words."""
    scale, unit = scale_of(result)
    if not judged.any():
        return "nothing is judged here."
    least = float(stock[judged].min())
    state = "leaves black metal" if least < 0 else "finds metal everywhere"
    end = "" if judged.all() else "; chamfers, holes and areas left out are drawn but not judged"
    return f"the cut {state} here; least stock {least * scale:.3f} {unit} per side{end}."


def _black(figure: go.Figure, x: Array, below: Array) -> None:
    """What stays black: its own colour and hatching."""
    if below.min() >= 0.0:
        return
    figure.add_scatter(
        x=x,
        y=below,
        name="stays black",
        mode="lines",
        fill="tozeroy",
        line=dict(color=BLACK_EDGE, width=1),
        fillcolor=BLACK_LEFT,
        fillpattern=dict(shape="/", fgcolor=BLACK_EDGE, bgcolor=BLACK_LEFT, size=6),
    )


def cross_section(result: Result, depth: float) -> Drawn:
    """Cross-section at a depth [mm], seen from the entry face: stock per side round the clock, ten
    times enlarged.

    The finish cut is the circle; metal to bore off stands inside it, what stays black outside.
    """
    scale, unit = scale_of(result)
    figure = go.Figure()
    size = result.finish.radius
    enlarge = max(1.0, 0.25 * size / max(_range(result, depth), 0.1))
    angle = np.linspace(0.0, TURN, 721)
    columns: dict[str, list[float | str]] = {"wall": [], "oclock": [], f"stock_per_side_{unit}": []}
    for k, (wall, name) in enumerate(zip(result.walls, _wall_names(result), strict=True)):
        clock, stock = round_at(wall, result, depth)
        r = size - enlarge * stock
        line = dict(color=layer_colour(k) if k else WORN, width=3 if k == len(result.layers) else 2)
        figure.add_scatter(
            x=r * np.sin(clock), y=r * np.cos(clock), name=name, mode="lines", line=line
        )
        add_line(columns, name, clock[:-1] * 12.0 / TURN, stock[:-1] * scale)
    line = dict(color=FINISH, width=3, dash="dash")
    figure.add_scatter(
        x=size * np.sin(angle), y=size * np.cos(angle), name="finish cut", mode="lines", line=line
    )
    for name, x, y in (("12", 0, 1), ("3", 1, 0), ("6", 0, -1), ("9", -1, 0)):
        figure.add_annotation(
            x=1.42 * size * x, y=1.42 * size * y, text=name, showarrow=False, font=dict(size=16)
        )
    framed(figure, "", "")
    figure.update_xaxes(visible=False, range=[-1.55 * size, 1.55 * size])
    figure.update_yaxes(visible=False, scaleanchor="x", range=[-1.55 * size, 1.55 * size])
    _, stock = round_at(result.layers[-1].wall, result, depth)
    words = (
        f"Cross-section {depth * scale:.2f} {unit} deep, wall enlarged {enlarge:.0f} times: "
        f"stock per side from {stock.min() * scale:.3f} to {stock.max() * scale:.3f} {unit}."
    )
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def _range(result: Result, depth: float) -> float:
    return max(
        float(np.abs(round_at(wall, result, depth)[1]).max())
        for wall in (result.start, result.layers[-1].wall)
    )


def round_at(wall: Wall, result: Result, depth: float) -> tuple[Array, Array]:
    """Clock on the drawing axis [rad] and stock per side [mm] round the bore at a depth [mm]; the
    first point again last.
    """
    at = np.array([depth])
    radius, angle = wall.radius(at)[:, 0], wall.clock.angle
    stock = stock_map(wall, result.finish, result.axes.torch, at)[:, 0]
    x0, y0 = (float(v[0]) for v in result.axes.torch.at(at))
    clock = np.mod(np.arctan2(x0 + radius * np.sin(angle), radius * np.cos(angle) - y0), TURN)
    order = np.argsort(clock)
    order = np.append(order, order[0])
    return clock[order], stock[order]
