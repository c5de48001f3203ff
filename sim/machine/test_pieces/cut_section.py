"""A cut section, photographed or traced, against the engine's section of the same beads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar

from sim.bore.side_by_side import on_flat
from sim.job.readings_csv import ReadingsError
from sim.laws.bead_shape import Bead
from sim.machine.test_pieces.table import Column, Filled
from sim.reference.arrays import Array, frozen
from sim.reference.errors import SceneError

SECTION = {"x": Column("length", -500.0, 500.0), "y": Column("length", -5.0, 40.0)}
FEWEST = 5
OTHER_UNIT = 4.0  # times as high as it can be: measured in another unit
ON_PLATE = 0.15  # of the height: an end of the outline higher than this stands on no plate


@dataclass(frozen=True)
class Sections:
    """A cut section and the engine's, in one frame [mm]: across the beads, height above the plate.

    rms over the points; crest, valley: highest and lowest between crests, ours less as cut (valley
    nan of one bead); area: ours over as cut; mirrored: the section was seen from the other side.
    """

    cut: Array
    ours: Array
    rms: float
    crest: float
    valley: float
    area: float
    mirrored: bool


def outline(told: Filled) -> Array:
    """Points (n, 2) [mm] of an outline from toe to toe. Raises ReadingsError where it is none."""
    points = np.column_stack([told.numbers["x"], told.numbers["y"]])
    if len(points) < FEWEST:
        raise ReadingsError(
            f"{told.name}: {len(points)} points: at least {FEWEST}; trace more of the outline, "
            "toe to toe."
        )
    if (crossing := _crossing(points)) is not None:
        first, second = (told.rows[k] for k in crossing)
        raise ReadingsError(
            f"{told.name}: the outline crosses itself between rows {first} and {second}; write "
            "the points in order, from toe to toe."
        )
    high = float(points[:, 1].max())
    for k, which in ((0, "first"), (-1, "last")):
        if points[k, 1] > ON_PLATE * high:
            above = "above the crest" if points[k, 1] >= high else "not on the plate"
            raise ReadingsError(
                f"{told.name}: row {told.rows[k]}: the {which} point lies {points[k, 1]:.2f} mm "
                f"high, {above}: begin and end at the toes, with y measured up from the plate."
            )
    return points


def _crossing(points: Array) -> tuple[int, int] | None:
    """The first two pieces of an outline that cross, by the points they begin at."""
    a, b = points[:-1], points[1:]

    def side(p: Array, q: Array, r: Array) -> Array:
        return np.asarray(
            (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1])
            - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
        )

    for i in range(len(a) - 2):
        c, d = a[i + 2 :], b[i + 2 :]
        apart = side(a[i], b[i], c) * side(a[i], b[i], d)
        across = side(c, d, a[i]) * side(c, d, b[i])
        found = np.flatnonzero((apart < 0.0) & (across < 0.0))
        if len(found):
            return i, i + 2 + int(found[0])
    return None


def against(
    points: Array, bead: Bead, pitch: float, beads: int, *, tie_in: float, fusion: float
) -> Sections:
    """An outline laid on the engine's section of so many beads, moved along and turned over so
    that they lie closest.
    """
    across, height = on_flat(bead, pitch, beads, tie_in=tie_in, fusion=fusion)
    high, told = float(height.max()), float(points[:, 1].max())
    if not 1.0 / OTHER_UNIT < told / high < OTHER_UNIT:
        raise SceneError(
            f"the cut section is {told:.2f} mm high where the shop's own beads are {high:.2f} mm; "
            "look whether millimetres and inches are mixed up."
        )
    tried = []
    for mirrored in (False, True):
        cut = points * np.array([-1.0, 1.0]) if mirrored else points
        shift, rms = _moved(cut, across, height)
        tried.append((rms, mirrored, cut + np.array([shift, 0.0])))
    rms, mirrored, cut = min(tried, key=lambda one: one[0])
    cut = cut[np.argsort(cut[:, 0], kind="stable")]
    there = np.interp(cut[:, 0], across, height)
    valley = _valley(there) - _valley(cut[:, 1]) if beads > 1 else np.nan
    return Sections(
        frozen(cut),
        frozen(np.column_stack([across, height])),
        rms,
        float(height.max() - cut[:, 1].max()),
        float(valley),
        float(np.trapezoid(height, across) / np.trapezoid(cut[:, 1], cut[:, 0])),
        mirrored,
    )


def _moved(cut: Array, across: Array, height: Array) -> tuple[float, float]:
    """How far along the outline is moved to lie closest, and what is left, rms [mm]."""

    def left(shift: float) -> float:
        off = cut[:, 1] - np.interp(cut[:, 0] + shift, across, height)
        return float(np.sqrt(np.mean(off**2)))

    middle = 0.5 * (across[0] + across[-1]) - 0.5 * (cut[:, 0].min() + cut[:, 0].max())
    reach = 0.25 * float(across[-1] - across[0])
    coarse = middle + np.linspace(-reach, reach, 241)
    best = coarse[int(np.argmin([left(float(one)) for one in coarse]))]
    step = float(coarse[1] - coarse[0])
    found = minimize_scalar(left, bounds=(best - step, best + step), method="bounded")
    return float(found.x), left(float(found.x))


def _valley(height: Array) -> float:
    """The lowest between the first and the last crest: peaks that rise above both neighbours."""
    high = np.flatnonzero((height[1:-1] >= height[:-2]) & (height[1:-1] > height[2:])) + 1
    high = high[height[high] > 0.8 * height.max()]
    if len(high) < 2:
        return float("nan")
    return float(height[high[0] : high[-1] + 1].min())
