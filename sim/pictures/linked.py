"""Section and unrolled map for a page that draws them itself: plain numbers, small enough to follow a hand."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.bore.stock import judged_cells, stock_along, stock_cells
from sim.bore.wall import Wall
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    FINISH,
    NEUTRAL,
    NOT_JUDGED,
    PESSIMIST,
    THIN,
    WORN,
    Stops,
    layer_colour,
    stock_scale,
)
from sim.reference.arrays import Array
from sim.shop.result import Result

MAP_CLOCK, MAP_DEPTH = 120, 160  # cells of the unrolled map

STEP = 0.001  # mm, one level of the map

NONE = -32768  # a cell that is not judged

OFTEN: Stops = [(0.0, NEUTRAL), (0.35, THIN), (0.7, BLACK_EDGE), (1.0, BLACK_LEFT)]


def section_lines(result: Result, clock: float) -> list[dict[str, Any]]:
    """Worn or pre-bored wall, each layer and the last with poor tie-in along one clock [rad]: name,
    colour, depths `z` and stock per side `s` [mm].
    """
    names = ["before welding", *(f"layer {k}" for k in range(1, len(result.walls)))]
    out = [
        _line(name, layer_colour(k) if k else WORN, wall, result, clock)
        for k, (name, wall) in enumerate(zip(names, result.walls, strict=True))
    ]
    poor = _line("with poor tie-in", PESSIMIST, result.poorest_tie_in_wall, result, clock)
    return [*out, poor | {"poor": True}]


def _line(name: str, colour: str, wall: Wall, result: Result, clock: float) -> dict[str, Any]:
    z, s = stock_along(wall, result.finish, result.axes.torch, clock, result.scene.bore.length)
    return {"name": name, "colour": colour, "z": _short(z), "s": _short(s)}


def _short(values: Array) -> list[float]:
    return [float(v) for v in np.round(values, 3)]


def stock_levels(result: Result) -> NDArray[np.int16]:
    """Least stock per side of every cell in steps, NONE where nothing is judged, (MAP_CLOCK,
    MAP_DEPTH).
    """
    edges = np.linspace(0.0, result.scene.bore.length, MAP_DEPTH + 1)
    last = result.layers[-1].wall
    stock = stock_cells(last, result.finish, result.axes.torch, edges, MAP_CLOCK)
    level = np.clip(np.floor(stock / STEP), NONE + 1, -NONE - 1)
    judged = judged_cells(result.spans, result.start.clock, edges, MAP_CLOCK)
    return np.asarray(np.where(judged, level, NONE), dtype=np.int16)


def scale_of_levels(levels: NDArray[np.int16], least_cut: float) -> tuple[float, Stops]:
    """Upper end [mm] of the colour scale of a map of stock, and its colours from nothing left up."""
    held = levels[levels != NONE]
    top = float(np.percentile(held, 98)) * STEP if held.size else 1.0
    return math.ceil(max(top, 2.0 * least_cut, 0.2) / 0.5) * 0.5, stock_scale(0.0, 1.0)


def stock_at(line: dict[str, Any], depth: float) -> float:
    """Stock per side [mm] of a section line at a depth [mm]."""
    return float(np.interp(depth, line["z"], line["s"]))


def colours() -> dict[str, Any]:
    """Colours a page needs to draw section and map."""
    return {
        "black": BLACK_LEFT,
        "edge": BLACK_EDGE,
        "finish": FINISH,
        "not": NOT_JUDGED,
        "often": OFTEN,
    }


def block(head: dict[str, Any], levels: NDArray[np.int16]) -> bytes:
    """One block of bytes: length of the head, the head as JSON, the levels little-endian.

    >>> block({"a": 1}, np.array([[2, -1]], dtype=np.int16)).hex()
    '080000007b2261223a20317d0200ffff'
    """
    told = json.dumps(head, allow_nan=False).encode()
    told += b" " * (-len(told) % 4)
    return len(told).to_bytes(4, "little") + told + levels.astype("<i2").tobytes()
