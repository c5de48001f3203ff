"""Result in, 2-D figures out; the only door to plotly. Figures are returned, never shown.

Every picture is a `Drawn`: the figure, what it shows in a sentence (for those who do not see it),
and its data as a table. Sizes are in the job's units; stock is per side, positive to bore off.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from sim.bore.stock import stock_along
from sim.bore.wall import Wall
from sim.pictures.colours import stock_scale
from sim.reference.arrays import Array
from sim.reference.units import INCH
from sim.shop.result import Result

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


def framed(figure: go.Figure, x: str, y: str, *, legend: bool = True) -> go.Figure:
    """The figure with titles on its axes."""
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


def section_of(wall: Wall, result: Result, clock: float) -> tuple[Array, Array]:
    """Depth and stock per side [mm] along one clock [rad], at the knots and between: what `section`
    draws.
    """
    return stock_along(wall, result.finish, result.axes.torch, clock, result.scene.bore.length)


def add_line(columns: dict[str, list[float | str]], name: str, x: Array, y: Array) -> None:
    """Add a line to the columns that are told beside a figure: its name, x and y."""
    names, first, second = columns.values()
    names.extend([name] * len(x))
    first.extend(np.round(x, 5).tolist())
    second.extend(np.round(y, 5).tolist())


def plain_value(value: float | str | bool) -> float | str:
    """A varied value as it stands on an axis."""
    return ("yes" if value else "no") if isinstance(value, bool) else value


def same_scale(drawn: Sequence[Drawn]) -> None:
    """Give pictures of one kind the same vertical range, and maps the same colours."""
    heat = [trace for one in drawn for trace in one.figure.data if trace.type == "heatmap"]
    if heat:
        low, high = min(t.zmin for t in heat), max(t.zmax for t in heat)
        for trace in heat:
            trace.update(zmin=low, zmax=high, colorscale=stock_scale(low, high))
        return
    values = [
        v
        for one in drawn
        for trace in one.figure.data
        for v in (trace.y if trace.y is not None else [])
    ]
    low, high = min(values), max(values)
    for one in drawn:
        one.figure.update_yaxes(range=[low - 0.05 * (high - low), high + 0.05 * (high - low)])


TALLER = 3.0
"""Heights on the bench are drawn this many times enlarged."""


def scale_and_unit(units: str) -> tuple[float, str]:
    """What mm are multiplied by, and the unit they are then in."""
    return (1.0 / INCH, "in") if units == "in" else (1.0, "mm")


def enlarge(drawn: Drawn, size: int) -> None:
    """Words and numbers of a picture at this size [px], and the picture as much taller, for a
    projector.
    """
    layout = drawn.figure.layout
    more = size / layout.font.size
    layout.update(
        height=layout.height * more, font=dict(size=size), legend=dict(font=dict(size=size))
    )
    layout.margin.update(
        l=layout.margin.l * more, b=layout.margin.b * more, t=layout.margin.t * more
    )
    drawn.figure.update_xaxes(title_font_size=size, tickfont_size=size)
    drawn.figure.update_yaxes(title_font_size=size, tickfont_size=size)
    drawn.figure.update_annotations(font_size=size)
