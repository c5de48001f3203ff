"""Result in, named solids out: worn part, each layer's metal, finished bore."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from trimesh import Trimesh

from sim.bore.cylinders import shift
from sim.bore.solids import deposit_solid, finished_bore, worn_part
from sim.shop.result import Result

BESIDE = (
    1.25  # outside radius over the widest wall where the job does not give one: only for drawing
)


def outside_radius(result: Result) -> float:
    """Outside radius [mm] of the part: as given, or a quarter more than the widest wall."""
    if result.scene.bore.outside_diameter is not None:
        return 0.5 * result.scene.bore.outside_diameter
    return BESIDE * float(
        result.start.radius(np.linspace(0.0, result.scene.bore.length, 101)).max()
    )


def solids_of(result: Result, n_clock: int, n_depth: int) -> Iterator[tuple[str, Trimesh]]:
    """Name and closed solid [mm], one after the other, on n_clock x n_depth facets."""
    length, outside = result.scene.bore.length, outside_radius(result)
    yield "worn_part", worn_part(result.start, length, outside, n_clock, n_depth)
    walls = result.walls
    for number, (outer, inner) in enumerate(zip(walls, walls[1:], strict=False), 1):
        yield f"layer_{number}", deposit_solid(outer, inner, length, n_clock, n_depth)
    yield (
        "finished_bore",
        finished_bore(
            walls[-1],
            length,
            outside,
            result.finish.radius,
            shift(result.axes.torch, result.finish.axis),
            n_clock=n_clock,
            n_depth=n_depth,
        ),
    )
