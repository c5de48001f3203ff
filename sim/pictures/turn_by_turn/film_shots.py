"""Shots of the film, chosen."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.bore.stock import stock_cells
from sim.bore.wall import Wall
from sim.pictures.bore_3d.page import Lengths
from sim.pictures.bore_3d.picture import Levels, Picture
from sim.pictures.turn_by_turn.growth import GrownLayer, Growth, columns_of, wall_at, wall_before
from sim.reference.arrays import TURN, Array
from sim.reference.units import clock_text
from sim.shop.result import Result

FRAMES, SECONDS = 60, 12.0


MOST_FRAMES = 150


SHORTEST = 0.02
"""Shortest time [s] of a frame: viewers slow down what is shorter. Common practice."""


HOLD = 1.5
"""How long [s] the finished job stands before it starts again, at most a fifth of the film."""


KINDS = {"GIF": "image/gif", "WebP": "image/webp"}


FINE = 2
"""Drawn so many times larger, then reduced."""


SECTION_POINTS = 900


class FilmFault(Exception):
    """The film was not made; the message is one sentence."""


@dataclass(frozen=True)
class Shot:
    """One frame: where the torch is, the map of stock, and the section's stock [mm] (layers + 1,
    points): the wall before welding, after each layer so far, the last of them growing. layers:
    number of each.
    """

    words: str
    clock: float
    depth: float
    on: bool
    level: Levels
    section: Array
    layers: tuple[int, ...]


@dataclass(frozen=True)
class Film:
    """What is to be drawn: depth (points,) [mm] and clock `at` [rad] of the section, the stock [mm]
    its scale spans.
    """

    picture: Picture
    shots: tuple[Shot, ...]
    seconds: float
    kind: str
    depth: Array
    at: float
    low: float
    high: float


def film(
    result: Result,
    growth: Growth,
    *,
    frames: int = FRAMES,
    seconds: float = SECONDS,
    kind: str = "GIF",
) -> Film:
    """The film of a judged job, ready to be drawn. Raises ValueError for frames or seconds nobody
    could watch.
    """
    if not 2 <= frames <= MOST_FRAMES:
        raise ValueError(f"frames = {frames}: must be from 2 to {MOST_FRAMES}")
    if not (frames * SHORTEST + HOLD <= seconds <= 120.0):
        raise ValueError(f"seconds = {seconds}: must be from {frames * SHORTEST + HOLD:.1f} to 120")
    if kind not in KINDS:
        raise ValueError(f"kind = {kind!r}: must be one of {', '.join(KINDS)}")
    seen = growth.picture
    column = int(seen.worst[0] / TURN * len(growth.clock)) % len(growth.clock)
    depth = np.linspace(0.0, seen.length, SECTION_POINTS)
    whole = sum(layer.angle for layer in growth.layers)
    shots = _shots(result, growth, np.linspace(0.0, whole, frames), column, depth)
    every = np.stack([shot.level for shot in (shots[0], shots[-1])]) * seen.step
    at = float(growth.clock[column])
    return Film(
        seen,
        shots,
        seconds,
        kind,
        depth,
        at,
        float(min(every.min(), 0.0)),
        float(every.max()) + 1.0,
    )


def durations(frames: int, seconds: float) -> list[int]:
    """How long each frame stands [ms], whole hundredths of a second; together exactly `seconds`.

    >>> durations(4, 2.0), sum(durations(7, 3.0))
    ([400, 400, 400, 800], 3000)
    """
    hold = min(HOLD, 0.2 * seconds)
    ends = np.rint(np.linspace(0.0, 100.0 * (seconds - hold), frames + 1)).astype(int)
    out = [10 * int(k) for k in np.diff(ends)]
    out[-1] += round(1000 * seconds) // 10 * 10 - sum(out)
    return out


def _shots(
    result: Result, growth: Growth, places: Array, column: int, depth: Array
) -> tuple[Shot, ...]:
    columns, ends = columns_of(result), np.cumsum([layer.angle for layer in growth.layers])
    finished: list[Array] = []
    out, begun = [], -1
    for place in places:
        k = min(int(np.searchsorted(ends, place - 1e-9)), len(ends) - 1)
        layer, turned = growth.layers[k], float(place - (ends[k] - growth.layers[k].angle))
        while begun < k:
            begun += 1
            finished.append(
                _line(result, growth, wall_before(result, begun + 1).only(columns), column, depth)
            )
        wall = wall_at(result, layer.number, turned, columns)
        lines = np.stack([*finished, _line(result, growth, wall, column, depth)])
        level = np.floor(
            stock_cells(wall, result.finish, result.axes.torch, growth.picture.edges, len(columns))
            / growth.picture.step
        ).astype(np.int16)
        numbers = tuple(one.number for one in growth.layers[: k + 1])
        clock = (layer.path.start_clock + layer.path.turning * turned) % TURN
        z = float(layer.path.depth_at(np.array([turned]))[0])
        on = bool(((layer.path.arcs[:, 0] <= turned) & (turned <= layer.path.arcs[:, 1])).any())
        out.append(Shot(_words(growth, layer, turned, on), clock, z, on, level, lines, numbers))
    return tuple(out)


def _line(result: Result, growth: Growth, wall: Wall, column: int, depth: Array) -> Array:
    """Stock per side [mm] along one column at `depth` [mm]."""
    seen, angle = growth.picture, float(growth.clock[column])
    r = wall.only(np.array([column])).radius(depth)[0]
    off = seen.axis_at(seen.torch, depth) - seen.axis_at(seen.finish, depth)
    return np.asarray(
        seen.radius - np.hypot(r * math.sin(angle) + off[0], r * math.cos(angle) + off[1])
    )


def _words(growth: Growth, layer: GrownLayer, turned: float, on: bool) -> str:
    say = Lengths(growth.picture.units)
    turns = math.ceil(layer.angle / TURN - 1e-6)
    clock = clock_text(layer.path.start_clock + layer.path.turning * turned)
    depth = float(layer.path.depth_at(np.array([turned]))[0])
    turn = min(int(turned / TURN + 1e-9) + 1, turns)
    done = turned / layer.rotation + sum(one.seconds for one in growth.layers[: layer.number - 1])
    return (
        f"layer {layer.number} of {len(growth.layers)}   turn {turn} of {turns}   "
        f"{say.depth(depth)} deep   "
        f"{clock}   arc {'on' if on else 'off'}   {int(done // 60)}:{int(done % 60):02d} min"
    )
