"""Figures of the overlap bench and of exercises."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from sim.pictures.charts.drawn import (
    CLOCK_NAMES,
    CLOCK_TICKS,
    TALLER,
    Drawn,
    add_line,
    framed,
    scale_and_unit,
)
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    FINISH,
    LIGHT,
    NOT_JUDGED,
    PESSIMIST,
    STOCK_MUCH,
    STOCK_SOME,
    WORN,
    layer_colour,
)
from sim.reference.arrays import TURN, Array
from sim.reference.units import clock_text, oclock
from sim.teach.bench import FLAT_TOP, TANGENT, Coupon, Layer, Section


def bench_figure(found: Section, units: str) -> Drawn:
    """Section across the beads: each in its own colour, the last cut and the black under it,
    with poor tie-in, gauge foot.
    """
    scale, unit = scale_and_unit(units)
    figure = go.Figure()
    columns: dict[str, list[float | str]] = {
        "line": [],
        f"along_{unit}": [],
        f"height_per_side_{unit}": [],
    }
    _fill_beads(figure, found, scale)
    z, height = found.line(found.last)
    add_line(columns, "wall", z * scale, height * scale)
    figure.add_scatter(
        x=z * scale, y=height * scale, mode="lines", line=dict(color=WORN, width=3), name="wall"
    )
    _bench_black(figure, found, scale)
    ends = np.array([z[0], z[-1]])
    for name, (along, up), line in (
        ("each bead by itself", found.apart.T, dict(color=WORN, width=2, dash="dot")),
        ("with poor tie-in, 0", found.line(found.pessimist),
         dict(color=PESSIMIST, width=2, dash="dashdot")),
        ("mean line", (ends, np.full(2, found.mean)),
         dict(color=STOCK_MUCH, width=3, dash="longdash")),
        ("last cut", (ends, np.full(2, found.coupon.cut)),
         dict(color=FINISH, width=3, dash="dash")),
    ):  # fmt: skip
        figure.add_scatter(x=along * scale, y=up * scale, mode="lines", line=line, name=name)
        add_line(columns, name, along * scale, up * scale)
    _bench_marks(figure, found, scale)
    framed(figure, f"along the bore [{unit}]", f"height, {TALLER:.0f} times enlarged [{unit}]")
    figure.update_layout(
        height=500,
        legend=dict(yref="container", y=0.0, yanchor="bottom"),
        margin=dict(l=60, r=10, t=10, b=175),
    )
    top = 1.25 * max(found.crest, found.coupon.cut, found.foot_height) + 0.7
    figure.update_yaxes(
        range=[-0.5 * scale, top * scale], scaleanchor="x", scaleratio=TALLER, constrain="domain"
    )
    figure.update_xaxes(range=list(ends * scale), constrain="domain")
    words = (
        f"Section across {found.coupon.beads} beads: crest {found.crest * scale:.3f}, valley "
        f"{found.valley * scale:.3f}, mean line {found.mean * scale:.3f} "
        f"{unit} above the bare wall; the last cut at {found.coupon.cut * scale:.3f} leaves "
        f"{found.black_width * scale:.3f} {unit} black."
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
            x=z * scale, y=height * scale, mode="lines", fill="tozeroy",
            fillcolor=layer_colour(number), line=dict(width=0),
            name=f"bead {number}", legendrank=number, hoverinfo="skip",
        )  # fmt: skip


def _bench_black(figure: go.Figure, found: Section, scale: float) -> None:
    """What the last cut leaves black: between the wall and the cut."""
    cut = found.coupon.cut
    for low, high in found.black:
        z = np.linspace(low, high, 41)
        wall = found.coupon.radius - found.last.radius(z)[0]
        figure.add_scatter(
            x=np.concatenate([z, z[::-1]]) * scale,
            y=np.concatenate([wall, np.full(len(z), cut)]) * scale, mode="lines", fill="toself",
            name="stays black", showlegend=bool(low == found.black[0, 0]),
            line=dict(color=BLACK_EDGE, width=1), fillcolor=BLACK_LEFT,
            fillpattern=dict(shape="/", fgcolor=BLACK_EDGE, bgcolor=BLACK_LEFT, size=6),
            hoverinfo="skip",
        )  # fmt: skip


def _bench_marks(figure: go.Figure, found: Section, scale: float) -> None:
    """Torch lines, the gauge foot on the crests, and how far a crest lies behind its torch line."""
    top = 1.25 * max(found.crest, found.coupon.cut, found.foot_height) + 0.45
    figure.add_scatter(
        x=found.torch * scale, y=np.full(len(found.torch), top) * scale, mode="markers",
        name="torch line",
        marker=dict(symbol="triangle-down", size=13, color=FINISH),
        hovertemplate="torch line<extra></extra>",
    )  # fmt: skip
    for z in found.torch:
        figure.add_shape(
            type="line",
            x0=z * scale,
            x1=z * scale,
            y0=0,
            y1=top * scale,
            line=dict(color=FINISH, width=1, dash="dot"),
        )
    middle, foot, rest = found.foot_middle, found.coupon.foot, found.foot_height
    x = np.array(
        [
            middle - 0.5 * foot,
            middle + 0.5 * foot,
            middle + 0.5 * foot,
            middle - 0.5 * foot,
            middle - 0.5 * foot,
        ]
    )
    figure.add_scatter(
        x=x * scale, y=np.array([rest, rest, rest + 0.2, rest + 0.2, rest]) * scale, mode="lines",
        fill="toself", name="gauge foot",
        fillcolor=NOT_JUDGED, line=dict(color=WORN, width=1), hoverinfo="skip",
    )  # fmt: skip
    crest = found.crests[-2]
    figure.add_annotation(
        x=crest[0] * scale, y=crest[1] * scale, ax=float(found.torch[-2]) * scale,
        ay=crest[1] * scale, xref="x", yref="y", axref="x", ayref="y",
        showarrow=True, arrowhead=2, arrowwidth=2, arrowcolor=WORN,
    )  # fmt: skip


def pitch_figure(
    coupon: Coupon, spacings: Array, layers: Sequence[Layer], *, width: float, units: str
) -> Drawn:
    """Crest, valley and mean of the layer carried on against pitch; flat-top, tangent and the
    present pitch marked.

    spacings (n,): pitch over the bead width here; width: that width [mm].
    """
    scale, unit = scale_and_unit(units)
    pitch = spacings * width * scale
    figure = go.Figure()
    columns: dict[str, Sequence[float | str]] = {f"pitch_{unit}": np.round(pitch, 5).tolist()}
    for name, shade, dash in (
        ("crest", STOCK_SOME, "solid"),
        ("mean", STOCK_MUCH, "longdash"),
        ("valley", BLACK_EDGE, "solid"),
    ):
        values = np.array([getattr(layer, name) for layer in layers]) * scale
        figure.add_scatter(
            x=pitch, y=values, name=name, mode="lines", line=dict(color=shade, width=3, dash=dash)
        )
        columns[f"{name}_per_side_{unit}"] = np.round(values, 5).tolist()
    for name, at, level in (
        ("flat-top", FLAT_TOP * width, 1.0),
        ("tangent", TANGENT * width, 1.0),
        ("now", coupon.pitch, 0.1),
    ):
        shade = FINISH if name == "now" else WORN
        figure.add_vline(
            x=at * scale, line=dict(color=shade, width=2, dash="solid" if name == "now" else "dot")
        )
        side = (
            dict(xanchor="right", xshift=-4)
            if name == "flat-top"
            else dict(xanchor="left", xshift=4)
        )
        figure.add_annotation(
            x=at * scale,
            y=level,
            yref="paper",
            text=name,
            showarrow=False,
            bgcolor=LIGHT.panel,
            font=dict(color=LIGHT.ink),
            **side,
        )
    figure.add_hline(y=coupon.cut * scale, line=dict(color=FINISH, width=2, dash="dash"))
    framed(figure, f"pitch [{unit}]", f"above the bare wall, per side [{unit}]")
    figure.update_layout(height=360)
    figure.update_yaxes(rangemode="tozero")
    words = (
        "The same beads carried on for many turns: flat-top pitch "
        f"{FLAT_TOP * width * scale:.3f}, tangent pitch {TANGENT * width * scale:.3f}, "
        f"now {coupon.pitch * scale:.3f} {unit}. The dashed level is the last cut."
    )
    return Drawn(figure, words, columns)


def round_figure(coupon: Coupon, clocks: Array, layers: Sequence[Layer], *, units: str) -> Drawn:
    """Crest and valley of the layer carried on round the clock: where the torch climbs the valleys
    are deepest.
    """
    scale, unit = scale_and_unit(units)
    figure = go.Figure()
    hours = np.append(clocks * 12.0 / TURN, 12.0)
    columns: dict[str, Sequence[float | str]] = {"oclock": np.round(hours, 5).tolist()}
    for name, shade, dash in (
        ("crest", STOCK_SOME, "solid"),
        ("mean", STOCK_MUCH, "longdash"),
        ("valley", BLACK_EDGE, "solid"),
    ):
        values = np.array([getattr(layer, name) for layer in [*layers, layers[0]]]) * scale
        figure.add_scatter(
            x=hours, y=values, name=name, mode="lines", line=dict(color=shade, width=3, dash=dash)
        )
        columns[f"{name}_per_side_{unit}"] = np.round(values, 5).tolist()
    figure.add_vline(x=oclock(coupon.clock), line=dict(color=FINISH, width=2))
    figure.add_hline(y=coupon.cut * scale, line=dict(color=FINISH, width=2, dash="dash"))
    uphill = 9.0 if coupon.turning > 0 else 3.0
    figure.add_annotation(
        x=uphill,
        y=0.0,
        yref="paper",
        text="climbing",
        showarrow=False,
        yanchor="bottom",
        bgcolor=LIGHT.panel,
        font=dict(size=16, color=LIGHT.ink),
    )
    framed(figure, "o'clock, seen from the entry face", f"above the bare wall, per side [{unit}]")
    figure.update_layout(height=360)
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(rangemode="tozero")
    worst = min(range(len(layers)), key=lambda k: layers[k].valley)
    words = (
        "Round the clock at this pitch: the deepest valley is "
        f"{layers[worst].valley * scale:.3f} {unit} above the bare wall at "
        f"{clock_text(float(clocks[worst]))} o'clock, where the torch climbs."
    )
    return Drawn(figure, words, columns)


def blank_wall(length: float, units: str, *, n_clock: int = 48, n_depth: int = 24) -> Drawn:
    """The wall unrolled with nothing on it yet, to mark a place on; a click on it tells where."""
    scale, unit = scale_and_unit(units)
    figure = go.Figure()
    clock = (np.arange(n_clock) + 0.5) * (12.0 / n_clock)
    depth = (np.arange(n_depth) + 0.5) * (length * scale / n_depth)
    figure.add_scatter(
        x=np.tile(clock, n_depth), y=np.repeat(depth, n_clock), mode="markers", name="touch",
        showlegend=False,
        marker=dict(size=14, opacity=0.0, color=FINISH), selected=dict(marker=dict(opacity=0.0)),
        unselected=dict(marker=dict(opacity=0.0)),
        hovertemplate=f"%{{x:.1f}} o'clock<br>%{{y:.0f}} {unit} deep<extra></extra>",
    )  # fmt: skip
    framed(
        figure,
        "o'clock, seen from the entry face",
        f"depth from the entry face [{unit}]",
        legend=False,
    )
    figure.update_layout(height=300, margin=dict(l=60, r=10, t=10, b=50))
    figure.update_xaxes(tickvals=CLOCK_TICKS, ticktext=CLOCK_NAMES, range=[0, 12])
    figure.update_yaxes(range=[length * scale, 0.0])
    return Drawn(
        figure,
        "The wall unrolled, clock across and depth down: mark where it will fall short.",
        {"oclock": (), f"depth_{unit}": ()},
    )


def add_mark(
    drawn: Drawn, clock: float, depth: float, units: str, *, name: str = "your mark"
) -> None:
    """The place somebody marked, clock [rad] and depth [mm], on an unrolled picture."""
    scale, _ = scale_and_unit(units)
    ring = dict(symbol="circle-cross-open", size=24, color=FINISH, line=dict(width=4, color=FINISH))
    drawn.figure.add_scatter(
        x=[oclock(clock)],
        y=[depth * scale],
        mode="markers",
        marker=ring,
        name=name,
        showlegend=False,
        hoverinfo="name",
    )
    drawn.figure.add_annotation(
        x=oclock(clock), y=depth * scale, text=name, showarrow=False,
        xanchor="left" if oclock(clock) < 8.0 else "right",
        xshift=18 if oclock(clock) < 8.0 else -18, bgcolor=LIGHT.panel,
        font=dict(color=LIGHT.ink, size=15),
    )  # fmt: skip
