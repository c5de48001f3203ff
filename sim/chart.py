"""Result in, 2-D figures out; the only door to plotly. Figures are returned, never shown.

Every picture is a `Drawn`: the figure, what it shows in a sentence (for those who do not see it), and its data as a
table. Sizes are in the job's units; stock is per side, positive to bore off.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from sim import colour
from sim.chance import Chance
from sim.compare import Table, title
from sim.coupon import FLAT_TOP, TANGENT, Coupon, Layer, Section
from sim.finish import stock_along, stock_cells, stock_map, weld_left_cells
from sim.simulate import Result
from sim.units import INCH, clock_text, oclock
from sim.wall import TURN, Array, Wall

CLOCK_TICKS = [0, 3, 6, 9, 12]
CLOCK_NAMES = ["12", "3", "6", "9", "12"]
TALL = 420


@dataclass(frozen=True)
class Drawn:
    """A picture: figure, its meaning in words, and its data as columns of equal length."""

    figure: go.Figure
    words: str
    columns: dict[str, Sequence[float | str]]

    @property
    def csv(self) -> str:
        """The data as CSV text."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(self.columns)
        writer.writerows(zip(*self.columns.values(), strict=True))
        return out.getvalue()


def scale_of(result: Result) -> tuple[float, str]:
    """Factor from mm to the job's unit, and its name."""
    return (1.0 / INCH, "in") if result.scene.job.units == "in" else (1.0, "mm")


def _framed(figure: go.Figure, x: str, y: str, *, legend: bool = True) -> go.Figure:
    figure.update_layout(
        xaxis_title=x,
        yaxis_title=y,
        showlegend=legend,
        legend=dict(orientation="h", yanchor="bottom", y=1.02, x=0),
        margin=dict(l=60, r=10, t=40, b=50),
        height=TALL,
        font=dict(size=14),
    )
    return figure


# ---- axial section ---------------------------------------------------------------------------------------------


def section_of(wall: Wall, result: Result, clock: float) -> tuple[Array, Array]:
    """Depth and stock per side [mm] along one clock [rad], at the knots and between: what `section` draws."""
    return stock_along(wall, result.finish, result.axes.torch, clock, result.scene.bore.length)


def _wall_names(result: Result) -> list[str]:
    return ["before welding", *(f"after layer {k}" for k in range(1, len(result.walls)))]


def section(result: Result, clock: float) -> Drawn:
    """Axial section at a clock [rad]: worn wall, each layer, the pessimist, finish line, what stays black."""
    scale, unit = scale_of(result)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {"wall": [], f"depth_{unit}": [], f"stock_per_side_{unit}": []}
    for k, (wall, name) in enumerate(zip(result.walls, _wall_names(result), strict=True)):
        depth, stock = section_of(wall, result, clock)
        line = dict(color=colour.layer_colour(k) if k else colour.WORN, width=3 if k == len(result.layers) else 2)
        figure.add_scatter(x=depth * scale, y=stock * scale, name=name, mode="lines", line=line)
        _add(columns, name, depth * scale, stock * scale)
    depth, stock = section_of(result.pessimist_wall, result, clock)
    dotted = dict(color=colour.PESSIMIST, width=2, dash="dot")
    figure.add_scatter(x=depth * scale, y=stock * scale, name="pessimist", mode="lines", line=dotted)
    _add(columns, "pessimist, last layer", depth * scale, stock * scale)
    depth, stock = section_of(result.layers[-1].wall, result, clock)
    judged = _judged_at(result, clock, depth)
    _black(figure, depth * scale, np.where(judged, np.minimum(stock, 0.0), 0.0) * scale)
    ends = [0.0, result.scene.bore.length * scale]
    line = dict(color=colour.FINISH, width=3, dash="dash")
    figure.add_scatter(x=ends, y=[0, 0], name="finish cut", mode="lines", line=line)
    _framed(figure, f"depth from the entry face [{unit}]", f"stock per side [{unit}]")
    words = f"Axial section at {clock_text(clock)} o'clock: {_found_here(stock, judged, result)}"
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def _judged_at(result: Result, clock: float, depth: Array) -> Array:
    """Which of the depths [mm] of the column nearest to a clock [rad] are judged: not chamfers, holes and areas left out."""
    spans = result.spans[result.layers[-1].wall.clock.nearest(clock)]
    return np.asarray(((depth[:, None] >= spans[:, 0]) & (depth[:, None] <= spans[:, 1])).any(axis=1))


def _found_here(stock: Array, judged: Array, result: Result) -> str:
    """What the cut finds along one clock, in words."""
    scale, unit = scale_of(result)
    if not judged.any():
        return "nothing is judged here."
    least = float(stock[judged].min())
    state = "leaves black metal" if least < 0 else "finds metal everywhere"
    end = "" if judged.all() else "; chamfers, holes and areas left out are drawn but not judged"
    return f"the cut {state} here; least stock {least * scale:.3f} {unit} per side{end}."


def _add(columns: dict[str, list[float | str]], name: str, x: Array, y: Array) -> None:
    names, first, second = columns.values()
    names.extend([name] * len(x))
    first.extend(np.round(x, 5).tolist())
    second.extend(np.round(y, 5).tolist())


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
        line=dict(color=colour.BLACK_EDGE, width=1),
        fillcolor=colour.BLACK_LEFT,
        fillpattern=dict(shape="/", fgcolor=colour.BLACK_EDGE, bgcolor=colour.BLACK_LEFT, size=6),
    )


# ---- unrolled maps -----------------------------------------------------------------------------------------------


def stock_figure(result: Result, *, n_clock: int = 240, n_depth: int = 200) -> Drawn:
    """Unrolled map of stock per side, clock across and depth down; every cell shows its least stock."""
    scale, unit = scale_of(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = stock_cells(result.layers[-1].wall, result.finish, result.axes.torch, edges, n_clock)
    low, high = float(min(cells.min(), 0.0)), float(max(cells.max(), 0.1))
    figure, columns = _map(cells, edges * scale, scale, (low, high), colour.stock_scale(low, high), unit, "stock")
    for spot in result.low_spots:
        _outline(figure, spot.clock_from, spot.clock_to, spot.depth_from * scale, spot.depth_to * scale)
    worst = result.stock.spot
    figure.add_scatter(
        x=[oclock(worst.clock)],
        y=[worst.depth * scale],
        mode="markers",
        marker=dict(symbol="x", size=12, color=colour.FINISH, line=dict(width=2, color="white")),
        hovertemplate="least stock<extra></extra>",
    )
    words = (
        f"Unrolled map of stock per side: least {worst.value * scale:.3f} {unit} at the cross, most {cells.max() * scale:.3f} {unit}; "
        f"low spots: {len(result.low_spots)}. Chamfers, holes and areas left out are drawn but not judged."
    )
    return Drawn(figure, words, columns)


def weld_figure(result: Result, *, n_clock: int = 120, n_depth: int = 80) -> Drawn:
    """Unrolled map of the weld left under the finished surface; below zero the cut runs into base metal."""
    scale, unit = scale_of(result)
    edges = np.linspace(0.0, result.scene.bore.length, n_depth + 1)
    cells = weld_left_cells(result.start, result.finish, result.axes.torch, edges, n_clock)
    low, high = float(min(cells.min(), 0.0)), float(max(cells.max(), 0.1))
    figure, columns = _map(cells, edges * scale, scale, (low, high), colour.stock_scale(low, high), unit, "weld_left")
    words = f"Unrolled map of the weld left under the finished surface: at least {cells.min() * scale:.3f} {unit} per side."
    return Drawn(figure, words, columns)


def _map(
    cells: Array, edges: Array, scale: float, span: tuple[float, float], colours: colour.Stops, unit: str, what: str
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
    _framed(figure, "o'clock, seen from the entry face", f"depth from the entry face [{unit}]", legend=False)
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[float(edges[-1]), float(edges[0])])
    columns: dict[str, Sequence[float | str]] = {"oclock": np.round(np.tile(clock, len(depth)), 4).tolist()}
    columns[f"depth_{unit}"] = np.round(np.repeat(depth, n_clock), 4).tolist()
    columns[f"{what}_per_side_{unit}"] = z.ravel().tolist()
    return figure, columns


def _outline(figure: go.Figure, begin: float, end: float, low: float, high: float) -> None:
    """A frame round a low spot, in two parts where it crosses 12 o'clock."""
    begin, end = begin * 12.0 / TURN, end * 12.0 / TURN
    parts = [(begin, end)] if begin <= end else [(begin, 12.0), (0.0, end)]
    for x0, x1 in parts:
        line = dict(color=colour.BLACK_EDGE, width=1.5, dash="dot")
        figure.add_shape(type="rect", x0=x0, x1=x1, y0=low, y1=high, line=line)


def add_touch_points(drawn: Drawn, result: Result, *, n_clock: int = 72, n_depth: int = 36) -> None:
    """Invisible points over a map, so that a click on it tells where; each tells the least stock of its patch."""
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
        marker=dict(size=12, opacity=0.0, color=colour.FINISH),
        selected=dict(marker=dict(opacity=0.0)),
        unselected=dict(marker=dict(opacity=0.0)),
        hovertemplate=f"%{{x:.1f}} o'clock<br>%{{y:.1f}} {unit} deep<br>least stock %{{customdata:.3f}} {unit} per side<extra></extra>",
        name="touch",
    )


# ---- round and round -----------------------------------------------------------------------------------------------


def cross_section(result: Result, depth: float) -> Drawn:
    """Cross-section at a depth [mm], seen from the entry face: stock per side round the clock, ten times enlarged.

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
        line = dict(color=colour.layer_colour(k) if k else colour.WORN, width=3 if k == len(result.layers) else 2)
        figure.add_scatter(x=r * np.sin(clock), y=r * np.cos(clock), name=name, mode="lines", line=line)
        _add(columns, name, clock[:-1] * 12.0 / TURN, stock[:-1] * scale)
    line = dict(color=colour.FINISH, width=3, dash="dash")
    figure.add_scatter(x=size * np.sin(angle), y=size * np.cos(angle), name="finish cut", mode="lines", line=line)
    for name, x, y in (("12", 0, 1), ("3", 1, 0), ("6", 0, -1), ("9", -1, 0)):
        figure.add_annotation(x=1.42 * size * x, y=1.42 * size * y, text=name, showarrow=False, font=dict(size=16))
    _framed(figure, "", "")
    figure.update_xaxes(visible=False, range=[-1.55 * size, 1.55 * size])
    figure.update_yaxes(visible=False, scaleanchor="x", range=[-1.55 * size, 1.55 * size])
    _, stock = round_at(result.layers[-1].wall, result, depth)
    words = (
        f"Cross-section {depth * scale:.2f} {unit} deep, wall enlarged {enlarge:.0f} times: "
        f"stock per side from {stock.min() * scale:.3f} to {stock.max() * scale:.3f} {unit}."
    )
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def _range(result: Result, depth: float) -> float:
    return max(float(np.abs(round_at(wall, result, depth)[1]).max()) for wall in (result.start, result.layers[-1].wall))


def round_at(wall: Wall, result: Result, depth: float) -> tuple[Array, Array]:
    """Clock on the drawing axis [rad] and stock per side [mm] round the bore at a depth [mm]; the first point again last."""
    at = np.array([depth])
    radius, angle = wall.radius(at)[:, 0], wall.clock.angle
    stock = stock_map(wall, result.finish, result.axes.torch, at)[:, 0]
    x0, y0 = (float(v[0]) for v in result.axes.torch.at(at))
    clock = np.mod(np.arctan2(x0 + radius * np.sin(angle), radius * np.cos(angle) - y0), TURN)
    order = np.argsort(clock)
    order = np.append(order, order[0])
    return clock[order], stock[order]


def ripple_figure(result: Result) -> Drawn:
    """Ripple of each layer around the clock: crest less deeper valley, mean over the turns."""
    scale, unit = scale_of(result)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {"layer": [], "oclock": [], f"ripple_{unit}": []}
    for number, layer in enumerate(result.layers, 1):
        known = ~np.isnan(layer.ripples)
        clock, ripple = layer.wall.clock.angle[known] * 12.0 / TURN, layer.ripples[known] * scale
        line = dict(color=colour.layer_colour(number), width=3)
        figure.add_scatter(x=clock, y=ripple, name=f"layer {number}", mode="lines", line=line)
        _add(columns, f"layer {number}", clock, ripple)
    _framed(figure, "o'clock, seen from the entry face", f"ripple per side [{unit}]")
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(rangemode="tozero")
    worst = max((layer.ripple for layer in result.layers if not math.isnan(layer.ripple)), default=math.nan)
    words = "Too few turns to say a ripple." if math.isnan(worst) else f"Ripple around the clock: at most {worst * scale:.3f} {unit}."
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def gauge_figure(result: Result) -> Drawn:
    """What the two-point gauge reads after each layer, beside the deepest valley, on diameter."""
    scale, unit = scale_of(result)
    names = [f"after layer {k}" for k in range(1, len(result.layers) + 1)]
    low = [layer.gauge[0] * scale for layer in result.layers]
    high = [layer.gauge[1] * scale for layer in result.layers]
    valley = [layer.valley * scale for layer in result.layers]
    figure = go.Figure()
    grey = dict(color=colour.STOCK_MUCH, width=12)
    for name, a, b in zip(names, low, high, strict=True):
        figure.add_scatter(
            x=[a, b], y=[name, name], mode="lines", line=grey, name="gauge reads", showlegend=name == names[0]
        )
    mark = dict(symbol="diamond", size=16, color=colour.BLACK_LEFT, line=dict(color=colour.BLACK_EDGE, width=2))
    figure.add_scatter(x=valley, y=names, mode="markers", marker=mark, name="deepest valley")
    size = 2.0 * result.finish.radius * scale
    figure.add_vline(x=size, line=dict(color=colour.FINISH, width=3, dash="dash"), name="final size", showlegend=True)
    _framed(figure, f"on diameter [{unit}]", "")
    last = result.layers[-1]
    words = (
        f"After the last layer the gauge reads {last.gauge[0] * scale:.3f} to {last.gauge[1] * scale:.3f} {unit} while the "
        f"deepest valley is {last.valley * scale:.3f} {unit}, on diameter."
    )
    columns: dict[str, Sequence[float | str]] = {"wall": names, f"gauge_least_{unit}": low, f"gauge_most_{unit}": high}
    columns[f"valley_{unit}"] = valley
    return Drawn(figure, words, columns)


# ---- cases and chances ---------------------------------------------------------------------------------------------


def cases_stock(table: Table, units: str) -> Drawn:
    """Least stock per side of every case: the model, and the pessimist dotted; below zero stays black."""
    drawn = cases_figure(table, "minimum_stock_mm", units)
    other = cases_figure(table, "pessimist_minimum_stock_mm", units)
    for trace in other.figure.data:
        trace.update(
            line=dict(color=colour.PESSIMIST, dash="dot"),
            marker=dict(symbol="circle-open", color=colour.PESSIMIST),
            name=f"pessimist {trace.name}".strip(),
        )
        drawn.figure.add_trace(trace)
    for trace in drawn.figure.data[: len(other.figure.data)]:
        trace.update(name=trace.name or "model")
    drawn.figure.add_hline(y=0.0, line=dict(color=colour.FINISH, width=3, dash="dash"))
    drawn.figure.update_yaxes(title=title("minimum_stock_mm", units)[0])
    drawn.figure.update_layout(showlegend=True)
    words = drawn.words + " Dotted: with the poorest tie-in of the last layer. Below the dashed line black metal stays."
    return Drawn(
        drawn.figure, words, drawn.columns | {k: v for k, v in other.columns.items() if k not in drawn.columns}
    )


def cases_figure(table: Table, column: str, units: str) -> Drawn:
    """One column of a comparison over the first varied quantity, a line for each value of the second."""
    name, factor = title(column, units)
    first, second = table.varied[0], table.varied[1] if len(table.varied) > 1 else None
    figure = go.Figure()
    rows = [row for row in table.rows if row["fault"] is None and row[column] is not None]
    groups = list(dict.fromkeys(row[second] for row in rows)) if second else [None]
    for number, group in enumerate(groups, 1):
        mine = [row for row in rows if second is None or row[second] == group]
        label = "" if second is None else f"{title(second, units)[0]} {group}"
        style = dict(color=colour.layer_colour(number), width=3)
        figure.add_scatter(
            x=[_plain(row[first]) for row in mine], y=[row[column] * factor for row in mine], name=label, mode="lines+markers", line=style,
            marker=dict(size=9),
        )  # fmt: skip
    _framed(figure, title(first, units)[0], name, legend=second is not None)
    values = [row[column] * factor for row in rows]
    span = f"from {min(values):.3f} to {max(values):.3f}" if values else "no case can be laid"
    columns: dict[str, Sequence[float | str]] = {
        title(v, units)[0]: [_plain(row[v]) for row in rows] for v in table.varied
    }
    return Drawn(figure, f"{name}, {len(rows)} cases: {span}.", columns | {name: values})


def _plain(value: float | str | bool) -> float | str:
    return ("yes" if value else "no") if isinstance(value, bool) else value


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
        ("stays black", middle < 0.0, colour.BLACK_LEFT, "/"),
        ("thin", (middle >= 0.0) & (middle < cut), colour.THIN, "."),
        ("cleans up", middle >= cut, colour.STOCK_MUCH, ""),
    )
    for name, mine, shade, pattern in parts:
        marker = dict(
            color=shade,
            line=dict(color=colour.BLACK_EDGE if name == "stays black" else shade, width=1),
            pattern=dict(shape=pattern, fgcolor=colour.BLACK_EDGE),
        )
        figure.add_bar(x=middle[mine] * scale, y=count[mine], width=width[mine] * scale, name=name, marker=marker)
    _framed(figure, f"least stock per side [{unit}]", "draws")
    figure.update_layout(bargap=0.0, barmode="overlay")
    short = int((least < cut).sum()) + int(np.isnan(chance.minima).sum())
    columns: dict[str, Sequence[float | str]] = {
        f"from_{unit}": (edges[:-1] * scale).tolist(),
        f"to_{unit}": (edges[1:] * scale).tolist(),
        "draws": count.tolist(),
    }
    return Drawn(
        figure,
        f"Least stock per side of {chance.draws} draws; {short} leave less than the minimum cut of {cut * scale:.3f} {unit} somewhere.",
        columns,
    )


def chance_map(chance: Chance, units: str) -> Drawn:
    """Unrolled map of how often each place is left with less than the minimum cut."""
    unit, scale = ("in", 1.0 / INCH) if units == "in" else ("mm", 1.0)
    cells = chance.below_cut
    shades = [(0.0, colour.NEUTRAL), (0.05, colour.THIN), (0.5, colour.BLACK_EDGE), (1.0, colour.BLACK_LEFT)]
    clock, depth = (
        (np.arange(len(cells)) + 0.5) * (12.0 / len(cells)),
        0.5 * (chance.edges[1:] + chance.edges[:-1]) * scale,
    )
    bar = dict(title="of 100<br>draws", thickness=14)
    figure = go.Figure(
        go.Heatmap(
            x=clock,
            y=depth,
            z=np.round(100.0 * cells.T, 2),
            zmin=0,
            zmax=100,
            colorscale=shades,
            colorbar=bar,
            hovertemplate="%{x:.1f} o'clock<br>%{y:.1f} deep<br>low in %{z:.1f} of 100 draws<extra></extra>",
        )
    )
    _framed(figure, "o'clock, seen from the entry face", f"depth from the entry face [{unit}]", legend=False)
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[float(chance.edges[-1]) * scale, float(chance.edges[0]) * scale])
    worst = np.unravel_index(int(cells.argmax()), cells.shape)
    place = f"at {clock_text(float(clock[worst[0]]) * TURN / 12.0)} o'clock, {depth[worst[1]]:.1f} {unit} deep: {100 * cells[worst]:.1f} of 100 draws"
    words = (
        f"How often each place is left with less than the minimum cut; most often {place}."
        if cells.max() > 0
        else "No draw left less than the minimum cut anywhere."
    )
    columns: dict[str, Sequence[float | str]] = {
        "oclock": np.round(np.tile(clock, len(depth)), 3).tolist(), f"depth_{unit}": np.round(np.repeat(depth, len(clock)), 4).tolist(), "part_of_draws": cells.T.ravel().tolist(),
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
            marker=dict(color=colour.STOCK_MUCH),
        )
    )
    _framed(figure, "share of the variance of the least stock [%]", "", legend=False)
    words = "; ".join(f"{one.name} {100.0 * one.share:.0f} %" for one in shares[::-1]) + "."
    columns: dict[str, Sequence[float | str]] = {
        "spread": [one.name for one in chance.shares], "share": [one.share for one in chance.shares], f"alone_{unit}": [one.sd * scale for one in chance.shares],
    }  # fmt: skip
    return Drawn(figure, words, columns)


def same_scale(drawn: Sequence[Drawn]) -> None:
    """Give pictures of one kind the same vertical range, and maps the same colours."""
    heat = [trace for one in drawn for trace in one.figure.data if trace.type == "heatmap"]
    if heat:
        low, high = min(t.zmin for t in heat), max(t.zmax for t in heat)
        for trace in heat:
            trace.update(zmin=low, zmax=high, colorscale=colour.stock_scale(low, high))
        return
    values = [v for one in drawn for trace in one.figure.data for v in (trace.y if trace.y is not None else [])]
    low, high = min(values), max(values)
    for one in drawn:
        one.figure.update_yaxes(range=[low - 0.05 * (high - low), high + 0.05 * (high - low)])


# ---- the overlap bench ---------------------------------------------------------------------------------------------

TALLER = 3.0
"""Heights on the bench are drawn this many times enlarged."""


def _unit(units: str) -> tuple[float, str]:
    return (1.0 / INCH, "in") if units == "in" else (1.0, "mm")


def bench_figure(found: Section, units: str) -> Drawn:
    """Section across the beads: each in its own colour, the last cut and the black under it, pessimist, gauge foot."""
    scale, unit = _unit(units)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {"line": [], f"along_{unit}": [], f"height_per_side_{unit}": []}
    _fill_beads(figure, found, scale)
    z, height = found.line(found.last)
    _add(columns, "wall", z * scale, height * scale)
    figure.add_scatter(x=z * scale, y=height * scale, mode="lines", line=dict(color=colour.WORN, width=3), name="wall")
    _bench_black(figure, found, scale)
    for name, points, dash, shade in (
        ("each bead by itself", tuple(found.apart.T), "dot", colour.WORN), ("pessimist, tie-in 0", found.line(found.pessimist), "dashdot", colour.PESSIMIST),
    ):  # fmt: skip
        figure.add_scatter(x=points[0] * scale, y=points[1] * scale, mode="lines", line=dict(color=shade, width=2, dash=dash), name=name)
        _add(columns, name, points[0] * scale, points[1] * scale)
    ends = np.array([z[0], z[-1]])
    for name, level, shade, dash in (("mean line", found.mean, colour.STOCK_MUCH, "longdash"), ("last cut", found.coupon.cut, colour.FINISH, "dash")):
        figure.add_scatter(x=ends * scale, y=np.full(2, level) * scale, mode="lines", line=dict(color=shade, width=3, dash=dash), name=name)
        _add(columns, name, ends * scale, np.full(2, level) * scale)
    _bench_marks(figure, found, scale)
    _framed(figure, f"along the bore [{unit}]", f"height, {TALLER:.0f} times enlarged [{unit}]")
    figure.update_layout(height=500, legend=dict(yref="container", y=0.0, yanchor="bottom"), margin=dict(l=60, r=10, t=10, b=175))
    top = 1.25 * max(found.crest, found.coupon.cut, found.foot_height) + 0.7
    figure.update_yaxes(range=[-0.5 * scale, top * scale], scaleanchor="x", scaleratio=TALLER, constrain="domain")
    figure.update_xaxes(range=list(ends * scale), constrain="domain")
    words = (
        f"Section across {found.coupon.beads} beads: crest {found.crest * scale:.3f}, valley {found.valley * scale:.3f}, mean line {found.mean * scale:.3f} "
        f"{unit} above the bare wall; the last cut at {found.coupon.cut * scale:.3f} leaves {found.black_width * scale:.3f} {unit} black."
    )
    return Drawn(figure, words, {k: tuple(v) for k, v in columns.items()})


def _fill_beads(figure: go.Figure, found: Section, scale: float) -> None:
    """What is left of each bead after the last one, in the colour of its number."""
    z = found.line(found.last)[0]
    heights = [found.coupon.radius - wall.radius(z)[0] for wall in found.walls]
    left = np.minimum.accumulate(np.array(heights[::-1]), axis=0)
    for k, height in enumerate(left):
        number = len(left) - k
        figure.add_scatter(
            x=z * scale, y=height * scale, mode="lines", fill="tozeroy", fillcolor=colour.layer_colour(number), line=dict(width=0),
            name=f"bead {number}", legendrank=number, hoverinfo="skip",
        )  # fmt: skip


def _bench_black(figure: go.Figure, found: Section, scale: float) -> None:
    """What the last cut leaves black: between the wall and the cut."""
    cut = found.coupon.cut
    for low, high in found.black:
        z = np.linspace(low, high, 41)
        wall = found.coupon.radius - found.last.radius(z)[0]
        figure.add_scatter(
            x=np.concatenate([z, z[::-1]]) * scale, y=np.concatenate([wall, np.full(len(z), cut)]) * scale, mode="lines", fill="toself",
            name="stays black", showlegend=bool(low == found.black[0, 0]), line=dict(color=colour.BLACK_EDGE, width=1), fillcolor=colour.BLACK_LEFT,
            fillpattern=dict(shape="/", fgcolor=colour.BLACK_EDGE, bgcolor=colour.BLACK_LEFT, size=6), hoverinfo="skip",
        )  # fmt: skip


def _bench_marks(figure: go.Figure, found: Section, scale: float) -> None:
    """Torch lines, the gauge foot on the crests, and how far a crest lies behind its torch line."""
    top = 1.25 * max(found.crest, found.coupon.cut, found.foot_height) + 0.45
    figure.add_scatter(
        x=found.torch * scale, y=np.full(len(found.torch), top) * scale, mode="markers", name="torch line",
        marker=dict(symbol="triangle-down", size=13, color=colour.FINISH), hovertemplate="torch line<extra></extra>",
    )  # fmt: skip
    for z in found.torch:
        figure.add_shape(type="line", x0=z * scale, x1=z * scale, y0=0, y1=top * scale, line=dict(color=colour.FINISH, width=1, dash="dot"))
    middle, foot, rest = found.foot_middle, found.coupon.foot, found.foot_height
    x = np.array([middle - 0.5 * foot, middle + 0.5 * foot, middle + 0.5 * foot, middle - 0.5 * foot, middle - 0.5 * foot])
    figure.add_scatter(
        x=x * scale, y=np.array([rest, rest, rest + 0.2, rest + 0.2, rest]) * scale, mode="lines", fill="toself", name="gauge foot",
        fillcolor=colour.NOT_JUDGED, line=dict(color=colour.WORN, width=1), hoverinfo="skip",
    )  # fmt: skip
    crest = found.crests[-2]
    figure.add_annotation(
        x=crest[0] * scale, y=crest[1] * scale, ax=float(found.torch[-2]) * scale, ay=crest[1] * scale, xref="x", yref="y", axref="x", ayref="y",
        showarrow=True, arrowhead=2, arrowwidth=2, arrowcolor=colour.WORN,
    )  # fmt: skip


def pitch_figure(coupon: Coupon, spacings: Array, layers: Sequence[Layer], *, width: float, units: str) -> Drawn:
    """Crest, valley and mean of the layer carried on against pitch; flat-top, tangent and the present pitch marked.

    spacings (n,): pitch over the bead width here; width: that width [mm].
    """
    scale, unit = _unit(units)
    pitch = spacings * width * scale
    figure = go.Figure()
    columns: dict[str, Sequence[float | str]] = {f"pitch_{unit}": np.round(pitch, 5).tolist()}
    for name, shade, dash in (("crest", colour.STOCK_SOME, "solid"), ("mean", colour.STOCK_MUCH, "longdash"), ("valley", colour.BLACK_EDGE, "solid")):
        values = np.array([getattr(layer, name) for layer in layers]) * scale
        figure.add_scatter(x=pitch, y=values, name=name, mode="lines", line=dict(color=shade, width=3, dash=dash))
        columns[f"{name}_per_side_{unit}"] = np.round(values, 5).tolist()
    for name, at, level in (("flat-top", FLAT_TOP * width, 1.0), ("tangent", TANGENT * width, 1.0), ("now", coupon.pitch, 0.1)):
        shade = colour.FINISH if name == "now" else colour.WORN
        figure.add_vline(x=at * scale, line=dict(color=shade, width=2, dash="solid" if name == "now" else "dot"))
        side = dict(xanchor="right", xshift=-4) if name == "flat-top" else dict(xanchor="left", xshift=4)
        figure.add_annotation(x=at * scale, y=level, yref="paper", text=name, showarrow=False, bgcolor=colour.LIGHT.panel, font=dict(color=colour.LIGHT.ink), **side)
    figure.add_hline(y=coupon.cut * scale, line=dict(color=colour.FINISH, width=2, dash="dash"))
    _framed(figure, f"pitch [{unit}]", f"above the bare wall, per side [{unit}]")
    figure.update_layout(height=360)
    figure.update_yaxes(rangemode="tozero")
    words = (
        f"The same beads carried on for many turns: flat-top pitch {FLAT_TOP * width * scale:.3f}, tangent pitch {TANGENT * width * scale:.3f}, "
        f"now {coupon.pitch * scale:.3f} {unit}. The dashed level is the last cut."
    )
    return Drawn(figure, words, columns)


def round_figure(coupon: Coupon, clocks: Array, layers: Sequence[Layer], *, units: str) -> Drawn:
    """Crest and valley of the layer carried on round the clock: where the torch climbs the valleys are deepest."""
    scale, unit = _unit(units)
    figure = go.Figure()
    hours = np.append(clocks * 12.0 / TURN, 12.0)
    columns: dict[str, Sequence[float | str]] = {"oclock": np.round(hours, 5).tolist()}
    for name, shade, dash in (("crest", colour.STOCK_SOME, "solid"), ("mean", colour.STOCK_MUCH, "longdash"), ("valley", colour.BLACK_EDGE, "solid")):
        values = np.array([getattr(layer, name) for layer in [*layers, layers[0]]]) * scale
        figure.add_scatter(x=hours, y=values, name=name, mode="lines", line=dict(color=shade, width=3, dash=dash))
        columns[f"{name}_per_side_{unit}"] = np.round(values, 5).tolist()
    figure.add_vline(x=oclock(coupon.clock), line=dict(color=colour.FINISH, width=2))
    figure.add_hline(y=coupon.cut * scale, line=dict(color=colour.FINISH, width=2, dash="dash"))
    uphill = 9.0 if coupon.turning > 0 else 3.0
    figure.add_annotation(x=uphill, y=0.0, yref="paper", text="climbing", showarrow=False, yanchor="bottom", bgcolor=colour.LIGHT.panel, font=dict(size=16, color=colour.LIGHT.ink))
    _framed(figure, "o'clock, seen from the entry face", f"above the bare wall, per side [{unit}]")
    figure.update_layout(height=360)
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(rangemode="tozero")
    worst = min(range(len(layers)), key=lambda k: layers[k].valley)
    words = (
        f"Round the clock at this pitch: the deepest valley is {layers[worst].valley * scale:.3f} {unit} above the bare wall at "
        f"{clock_text(float(clocks[worst]))} o'clock, where the torch climbs."
    )
    return Drawn(figure, words, columns)


# ---- guess, then see -----------------------------------------------------------------------------------------------


def blank_wall(length: float, units: str, *, n_clock: int = 48, n_depth: int = 24) -> Drawn:
    """The wall unrolled with nothing on it yet, to mark a place on; a click on it tells where."""
    scale, unit = _unit(units)
    figure = go.Figure()
    clock, depth = (np.arange(n_clock) + 0.5) * (12.0 / n_clock), (np.arange(n_depth) + 0.5) * (length * scale / n_depth)
    figure.add_scatter(
        x=np.tile(clock, n_depth), y=np.repeat(depth, n_clock), mode="markers", name="touch", showlegend=False,
        marker=dict(size=14, opacity=0.0, color=colour.FINISH), selected=dict(marker=dict(opacity=0.0)), unselected=dict(marker=dict(opacity=0.0)),
        hovertemplate=f"%{{x:.1f}} o'clock<br>%{{y:.0f}} {unit} deep<extra></extra>",
    )  # fmt: skip
    _framed(figure, "o'clock, seen from the entry face", f"depth from the entry face [{unit}]", legend=False)
    figure.update_layout(height=300, margin=dict(l=60, r=10, t=10, b=50))
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[length * scale, 0.0])
    return Drawn(figure, "The wall unrolled, clock across and depth down: mark where it will fall short.", {"oclock": (), f"depth_{unit}": ()})


def add_mark(drawn: Drawn, clock: float, depth: float, units: str, *, name: str = "your mark") -> None:
    """The place somebody marked, clock [rad] and depth [mm], on an unrolled picture."""
    scale, _ = _unit(units)
    ring = dict(symbol="circle-cross-open", size=24, color=colour.FINISH, line=dict(width=4, color=colour.FINISH))
    drawn.figure.add_scatter(x=[oclock(clock)], y=[depth * scale], mode="markers", marker=ring, name=name, showlegend=False, hoverinfo="name")
    drawn.figure.add_annotation(
        x=oclock(clock), y=depth * scale, text=name, showarrow=False, xanchor="left" if oclock(clock) < 8.0 else "right",
        xshift=18 if oclock(clock) < 8.0 else -18, bgcolor=colour.LIGHT.panel, font=dict(color=colour.LIGHT.ink, size=15),
    )  # fmt: skip


def enlarge(drawn: Drawn, size: int) -> None:
    """Words and numbers of a picture at this size [px], and the picture as much taller, for a projector."""
    layout = drawn.figure.layout
    more = size / layout.font.size
    layout.update(height=layout.height * more, font=dict(size=size), legend=dict(font=dict(size=size)))
    layout.margin.update(l=layout.margin.l * more, b=layout.margin.b * more, t=layout.margin.t * more)
    drawn.figure.update_xaxes(title_font_size=size, tickfont_size=size)
    drawn.figure.update_yaxes(title_font_size=size, tickfont_size=size)
    drawn.figure.update_annotations(font_size=size)
