"""Draws to be looked at: the bad run by itself, and how often each place stays black."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.bore.low_spots import low_spots
from sim.bore.stock import judged_cells, stock_cells
from sim.job.scene import Scene
from sim.plan.odds.drawn import BoreReady
from sim.plan.odds.draws import Draw, draw
from sim.plan.odds.one_draw import axes_drawn, came_out, outcome, walls
from sim.plan.odds.spreads_of_job import spreads_in, ways_of
from sim.plan.odds.verdict import Decision
from sim.reference.arrays import Array, frozen
from sim.reference.errors import SceneError
from sim.shop.ready_to_lay import Job
from sim.shop.result import Result
from sim.shop.several_bores import bores, places

LOOKED = 60  # draws behind a map of how often

MAP_CLOCK, MAP_DEPTH = 60, 100  # its cells


def bad_draw(decided: Decision) -> int | None:
    """Number of the draw that is the bad run: 19 in 20 leave more; None where it closes the bore."""
    if not np.isfinite(decided.least_stock.bad):
        return None
    return int(np.nanargmin(np.abs(decided.least - decided.least_stock.bad)))


def turned_out(scene: Scene, bore: int, planned: Result, index: int) -> Result:
    """A bore of the job as one draw has it, every layer of it: the planned result with the walls,
    axes, stock and low spots of the draw.

    The finish cylinder is smaller by what the engine is known to find too much. Raises SceneError
    where the metal drawn closes the bore.
    """
    job = _ready(scene, bore).fine
    drawn = _drawn(job, index)
    axes = axes_drawn(job, drawn)
    steps = list(walls(job, drawn, axes))
    end, laid = came_out(job, drawn, axes, *steps[-1]), [wall for wall, _ in steps]
    finish, spans = end.parts[0]
    black = low_spots(laid[-1], finish, end.torch, spans)
    layers = zip(planned.layers, laid[1:], strict=True)
    return replace(
        planned,
        axes=axes,
        finish=finish,
        spans=spans,
        start=laid[0],
        layers=tuple(replace(layer, wall=wall) for layer, wall in layers),
        stock=end.least,
        low_spots=tuple(black),
    )


@dataclass(frozen=True)
class HowOften:
    """Part of the draws in which each cell stays black, or leaves less than the minimum cut, nan
    where nothing is judged: (n_clock, n_depth), equal clock cells from 12 o'clock; edges: depths
    between cells [mm].
    """

    black: Array
    thin: Array
    edges: Array
    draws: int


def how_often(scene: Scene, bore: int, draws: int = LOOKED) -> HowOften:
    """How often each place of a bore stays black, from the first draws of the verdict."""
    job, cut = _ready(scene, bore).coarse, scene.cut.minimum_cut
    edges = np.linspace(0.0, job.scene.bore.length, MAP_DEPTH + 1)
    black, thin = np.zeros((MAP_CLOCK, MAP_DEPTH)), np.zeros((MAP_CLOCK, MAP_DEPTH))
    for index in range(draws):
        least = _least_cells(job, _drawn(job, index), edges)
        black += least < 0.0
        thin += least < cut
    judged = judged_cells(job.spans, job.start.clock, edges, MAP_CLOCK)
    out = [np.where(judged, counted / draws, np.nan) for counted in (black, thin)]
    return HowOften(frozen(out[0]), frozen(out[1]), frozen(edges), draws)


def _ready(scene: Scene, bore: int) -> BoreReady:
    return BoreReady(bores(scene)[bore][2], places(scene)[bore])


def _drawn(job: Job, index: int) -> Draw:
    return draw(spreads_in(job), ways_of(job.settings), job.scene.confidence.seed, index)


def _least_cells(job: Job, drawn: Draw, edges: Array) -> Array:
    """Least stock per side [mm] of every cell in one draw; a bore that closes is black all over."""
    try:
        end = outcome(job, drawn)
    except SceneError:
        return np.full((MAP_CLOCK, MAP_DEPTH), -np.inf)
    least = np.full((MAP_CLOCK, MAP_DEPTH), np.inf)
    for finish, spans in end.parts:
        here = stock_cells(end.wall, finish, end.torch, edges, MAP_CLOCK)
        inside = judged_cells(spans, end.wall.clock, edges, MAP_CLOCK)
        least = np.where(inside, np.minimum(least, here), least)
    return least
