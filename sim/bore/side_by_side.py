"""Beads side by side on a flat, laid by the engine: what a pad or a cut section is held against."""

from __future__ import annotations

import numpy as np

from sim.bore.lay import Conditions, lay
from sim.bore.torch_way import spiral
from sim.bore.wall import Clock, Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import Array

FLAT = 1e6  # mm: so wide a bore that its wall is flat


def on_flat(
    bead: Bead, pitch: float, beads: int, *, tie_in: float, fusion: float, layers: int = 1
) -> tuple[Array, Array]:
    """Places [mm] across the beads, in the order they are laid, and height [mm] above the plate.

    >>> across, height = on_flat(Bead(5.0, 1.8), 5.0, 1, tie_in=0.5, fusion=1.5)
    >>> round(float(height.max()), 3)
    1.8
    """
    length, room = pitch * beads, 2.0 * bead.width
    way = spiral(0.0, length, pitch)
    wall = Wall.round(Clock.even(1), FLAT, -room - pitch, length + room + pitch)
    for _ in range(layers):
        wall = lay(wall, way, bead, bead.area * FLAT, Conditions(tie_in, fusion)).wall
    across = np.linspace(-room, length + room, 8001)
    return across, FLAT - wall.radius(across)[0]
