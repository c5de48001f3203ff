"""Rows on the hole as geometry: layers by volume, circles of form, waviness, sizes read warm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sim.bore.circles import (
    circumscribed_circle,
    inscribed_circle,
    least_squares_circle,
    minimum_zone_circle,
)
from sim.bore.lay import Conditions, lay
from sim.bore.torch_way import spiral
from sim.bore.wall import Clock, Wall
from sim.evidence.row import Row
from sim.evidence.sources import (
    CONSERVED,
    ISO_1,
    ISO_4291,
    ISO_12181,
    ISO_21920,
    NIST_MPC,
    NPL,
    SECTIONS,
    SURFACING,
    THICK_RING,
    VOLUME,
)
from sim.laws.bead_shape import Bead
from sim.laws.layer_thickness import thickness
from sim.laws.thermal_expansion import mean_wall_temperature, to_20
from sim.laws.waviness import waviness
from sim.reference.arrays import TURN, Array
from sim.reference.units import INCH

BEAD = Bead(5.0, 1.8)


def helix() -> list[float]:
    """Length [mm] of the torch's way on 82 mm at a pitch of 4 over 100, with lead and without."""
    way = spiral(0.0, 100.0, 4.0)
    with_lead = float(np.hypot(41.0 * np.diff(way.phi), np.diff(way.depth)).sum())
    return [with_lead, way.turns * math.pi * 82.0]


def ring(outer: float, inner: float, length: float) -> float:
    """Metal [mm3] between two round walls of these diameters [mm]."""
    clock = Clock.even(16)
    walls = [Wall.round(clock, 0.5 * d, -5.0, length + 5.0) for d in (outer, inner)]
    return walls[0].volume_to(walls[1], 0.0, length)


def surfacing(diameters: Sequence[float], thick: float) -> list[float]:
    """Weld metal [lb] on an inch of wall, of these diameters in the middle of it [in]."""
    return [ring((d + thick) * INCH, (d - thick) * INCH, INCH) / INCH**3 * 0.3 for d in diameters]


def one_layer(radius: float, pitch: float, bead: Bead, pool_run: float = 0.0) -> tuple[Wall, Wall]:
    """Wall before and after a layer in a round bore, as the engine lays it."""
    way = spiral(0.0, 40.0 * pitch, pitch)
    before = Wall.round(Clock.even(12), radius, -20.0, 40.0 * pitch + 20.0)
    fusion = Conditions(tie_in=0.5, fusion=bead.height, pool_run=pool_run)
    return before, lay(before, way, bead, bead.area * radius, fusion).wall


def layer(radius: float) -> float:
    """Mean thickness [mm] of a layer of 10 mm2 at a pitch of 4 mm, laid by the engine."""
    _, after = one_layer(radius, 4.0, Bead.of_area(10.0, width=6.0))
    return radius - after.mean_radius(60.0, 100.0)


def uneven() -> list[float]:
    """Volume laid at the clock columns over its mean, pool run 1.3 mm in a bore of 83 mm."""
    before, after = one_layer(41.5, 3.5, BEAD, pool_run=1.3)
    laid = before.integrals(52.5, 87.5)[:, 1] - after.integrals(52.5, 87.5)[:, 1]
    return [float(one) for one in laid / laid.mean()]


def edge() -> float:
    """Metal missing at a free edge [mm2] at 2/3 of the width, over w h."""
    flat, pitch = 1e6, 2.0 / 3.0 * BEAD.width
    before, after = one_layer(flat, pitch, BEAD)
    depth = np.linspace(before.start, before.end, 40001)
    welded = depth[flat - after.radius(depth)[0] > 1e-6]
    laid = float(before.integrals(before.start, before.end)[0, 0])
    laid -= float(after.integrals(before.start, before.end)[0, 0])
    whole = BEAD.height * float(welded[-1] - welded[0])
    return 0.5 * (whole - laid) / (BEAD.width * BEAD.height)


def section(radius: Array) -> Array:
    """Points (n, 2) [mm] of a section read at equal steps of clock."""
    theta = np.arange(len(radius)) * TURN / len(radius)
    return np.column_stack([radius * np.sin(theta), -radius * np.cos(theta)])


EIGHT = section(40.0 + np.array([0, 40, 10, -20, 30, 50, -10, 20]) / 1000.0)


def spike() -> list[float]:
    """How far [um] centre and radius move by a spike of 0.1 mm on one of 36 points."""
    radius = np.full(36, 40.0)
    radius[9] += 0.1
    found = least_squares_circle(section(radius))
    return [1000.0 * math.hypot(found.x, found.y), 1000.0 * (found.radius - 40.0)]


def fitted() -> list[float]:
    """Radius less 40 mm, and the centre's x and y [um] of the eight points."""
    found = least_squares_circle(EIGHT)
    return [1000.0 * (found.radius - 40.0), 1000.0 * found.x, 1000.0 * found.y]


def profile(height: Array) -> list[float]:
    """Wa, Wq and Wt of evenly spaced heights."""
    told = waviness(height)
    return [told.wa, told.wq, told.wt]


PHASE = (np.arange(100_000) + 0.5) / 1000.0


def at_20(read: float, celsius: float, expansion: float) -> float:
    """Size at 20 C [mm] of one read by a gauge at 20 C that did not warm."""
    return read * float(to_20(expansion, np.array(20.0), expansion, np.array(celsius)))


def ring_mean(bore: float, outside: float, ratio: float) -> float:
    """Mean temperature [C] of a ring, bore and outside held."""
    return float(mean_wall_temperature(np.array(bore), np.array(outside), ratio))


def rise(pitches: Sequence[float]) -> float:
    """Mean rise [mm] of layers of 11.4 mm2 at these pitches on a flat."""
    return float(np.mean([thickness(1e4, 11.4 * 1e4, pitch) for pitch in pitches]))


ROWS: tuple[Row, ...] = (
    Row(
        "layer_thickness",
        "mean rise of a layer over four layers of a groove, pitch 4.33 to 4.80 mm",
        SECTIONS,
        (2.54,),
        "mm",
        0.08,
        "bead area read from the scans to 3 %",
        lambda: rise((4.333, 4.8, 4.381, 4.667)),
    ),
    Row(
        "layer_thickness",
        "mean layer of 10 mm2 at a pitch of 4, in a bore of 82 mm and on a flat",
        CONSERVED,
        (2.58125, 2.5),
        "mm",
        1e-5,
        "R - sqrt(R^2 - 2 q/p)",
        lambda: [layer(41.0), layer(1e6)],
    ),
    Row(
        "torch_way",
        "length of a helix on 82 mm, pitch 4, over 100 mm, and without lead",
        VOLUME,
        (6441.04, 6440.26),
        "mm",
        0.01,
        "geometry",
        helix,
    ),
    Row(
        "wall",
        "ring of metal, 82 to 78 mm over 100 mm",
        VOLUME,
        (50265.48,),
        "mm3",
        0.05,
        "geometry, as printed",
        lambda: ring(82.0, 78.0, 100.0),
    ),
    Row(
        "wall",
        "weld metal 1/8 in thick on an inch of 4, 5, 6, 8, 10 in",
        SURFACING,
        (0.47, 0.59, 0.71, 0.94, 1.18),
        "lb",
        0.01,
        "as printed",
        lambda: surfacing((4.0, 5.0, 6.0, 8.0, 10.0), 0.125),
    ),
    Row(
        "wall",
        "weld metal 3/4 in thick on an inch of 4, 5, 6, 8, 10 in",
        SURFACING,
        (2.83, 3.53, 4.24, 5.65, 7.07),
        "lb",
        0.01,
        "as printed",
        lambda: surfacing((4.0, 5.0, 6.0, 8.0, 10.0), 0.75),
    ),
    Row(
        "pool_run",
        "volume laid round a horizontal bore over its mean, metal frozen 1.3 mm low",
        CONSERVED,
        tuple(1.0 - 1.3 / 41.5 * math.cos(t) for t in (np.arange(12) + 0.5) * TURN / 12),
        "1",
        1e-6,
        "conservation along the wall",
        uneven,
    ),
    Row(
        "edge_slump",
        "metal missing at a free edge at 2/3 of the width, over w h, without slump",
        CONSERVED,
        (1.0 / 6.0,),
        "1",
        0.0034,
        "algebra; step of the depths read",
        edge,
    ),
    Row(
        "circles",
        "roundness of eight points about the least-squares circle",
        ISO_12181,
        (64.5706,),
        "um",
        1e-3,
        "as enumerated",
        lambda: 1000.0 * least_squares_circle(EIGHT).form_error,
    ),
    Row(
        "circles",
        "least ring round the same points",
        ISO_12181,
        (61.2132,),
        "um",
        1e-3,
        "as enumerated",
        lambda: 1000.0 * minimum_zone_circle(EIGHT).form_error,
    ),
    Row(
        "circles",
        "radius round the same points",
        ISO_12181,
        (40.045000,),
        "mm",
        1e-6,
        "as enumerated",
        lambda: circumscribed_circle(EIGHT).radius,
    ),
    Row(
        "circles",
        "largest radius inside the same points",
        ISO_12181,
        (39.988788,),
        "mm",
        1e-6,
        "as enumerated",
        lambda: inscribed_circle(EIGHT).radius,
    ),
    Row(
        "circles",
        "centre and radius moved by a spike of 0.1 mm on one of 36 points",
        ISO_4291,
        (5.556, 2.778),
        "um",
        6e-3,
        "linear theory, to 0.1 %",
        spike,
    ),
    Row(
        "circles",
        "radius and centre of the same eight points by the published estimators",
        NIST_MPC,
        (15.0, -3.8388, 2.1967),
        "um",
        0.05,
        "the estimators leave out second order, 0.07^2/40 mm",
        fitted,
    ),
    Row(
        "waviness",
        "Wa, Wq, Wt of a sine of amplitude 10",
        ISO_21920,
        (6.36620, 7.07107, 20.0),
        "1",
        2e-3,
        "step of the trace",
        lambda: profile(np.asarray(10.0 * np.cos(TURN * PHASE))),
    ),
    Row(
        "waviness",
        "Wa, Wq of parabolic scallops of height 8",
        ISO_21920,
        (2.05280, 2.38514),
        "1",
        2e-3,
        "step of the trace",
        lambda: profile(np.asarray(8.0 * (2.0 * (PHASE % 1.0) - 1.0) ** 2))[:2],
    ),
    Row(
        "thermal_expansion",
        "500.035 mm read at 23.7 C, 11.7e-6 a degree, at 20 C",
        NPL,
        (500.013,),
        "mm",
        1e-3,
        "as printed",
        lambda: at_20(500.035, 23.7, 11.7e-6),
    ),
    Row(
        "thermal_expansion",
        "80.060 mm read at 35 C, 11.5e-6 a degree, at 20 C",
        ISO_1,
        (80.04619,),
        "mm",
        1e-5,
        "arithmetic",
        lambda: at_20(80.06, 35.0, 11.5e-6),
    ),
    Row(
        "thermal_expansion",
        "mean temperature of a ring twice as large outside, 120 C in the bore, 70 outside",
        THICK_RING,
        (89.40071,),
        "C",
        1e-4,
        "quadrature",
        lambda: ring_mean(120.0, 70.0, 2.0),
    ),
)
