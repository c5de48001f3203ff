"""Straight axes through a bore, and the one that suits several bores best."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sim.bore.circles import FloatArray
from sim.reference.arrays import TURN, Array

CORNERS = 64


@dataclass(frozen=True)
class Bores:
    """What an axis is sought for: least stock per side [mm] about the drawing axis in cells
    (n_clock, n_depth), equal clock cells from 12 o'clock and depth cells `edges` [mm]; zone: radius
    of the location zone [mm]; faces: depths [mm] of the two faces.
    """

    cells: Array
    edges: Array
    zone: float
    faces: tuple[float, float]


def best_axis(
    bores: Sequence[Bores], length: float
) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Offsets (x, y) [mm] at depth 0 and at `length` that make the least stock of all bores
    largest, and that least.

    A linear programme: stock rises by the move along each clock direction (first order); the axis
    stays within each bore's zone at both its faces, the disc taken as a polygon of 64 sides inside
    it.
    """
    from scipy.optimize import linprog

    rows, limits = [], []
    corner = np.arange(CORNERS) * TURN / CORNERS
    disc = np.stack([np.cos(corner), np.sin(corner)], axis=1)
    for bore in bores:
        n_clock, n_depth = bore.cells.shape
        angle = np.repeat((np.arange(n_clock) + 0.5) * TURN / n_clock, n_depth)
        z = np.tile(0.5 * (bore.edges[1:] + bore.edges[:-1]) / length, n_clock)
        sin, cos = np.sin(angle), np.cos(angle)
        stock = np.stack(
            [-(1 - z) * sin, (1 - z) * cos, -z * sin, z * cos, np.ones(len(z))], axis=1
        )
        usable = np.isfinite(bore.cells.ravel())
        rows.append(stock[usable])
        limits.append(bore.cells.ravel()[usable])
        for face in bore.faces:
            share = face / length
            rows.append(np.hstack([(1 - share) * disc, share * disc, np.zeros((CORNERS, 1))]))
            limits.append(np.full(CORNERS, bore.zone * math.cos(math.pi / CORNERS)))
    answer = linprog(
        [0.0, 0.0, 0.0, 0.0, -1.0],
        A_ub=np.vstack(rows),
        b_ub=np.concatenate(limits),
        bounds=[(None, None)] * 5,
        method="highs",
    )
    x = answer.x
    return (float(x[0]), float(x[1])), (float(x[2]), float(x[3])), float(x[4])


@dataclass(frozen=True)
class Axis:
    """A straight axis, by its offset from the drawing axis at the two faces.

    Attributes:
        entry: (x, y) [mm] at the entry face, z = 0.
        far: (x, y) [mm] at the far face, z = length.
        length: depth of the bore [mm], greater than 0.

    Raises:
        ValueError: a number is not finite, or length is not greater than 0.

    >>> Axis(entry=(0.0, 0.0), far=(1.0, -2.0), length=100.0).at([0.0, 50.0, 150.0])
    (array([0. , 0.5, 1.5]), array([ 0., -1., -3.]))

    """

    entry: tuple[float, float]
    far: tuple[float, float]
    length: float

    def __post_init__(self) -> None:
        """Refuse numbers that give no line."""
        if not all(map(math.isfinite, (*self.entry, *self.far))):
            raise ValueError(
                f"Axis: entry = {self.entry}, far = {self.far}: offsets must be finite "
                "numbers of mm"
            )
        if not (math.isfinite(self.length) and self.length > 0):
            raise ValueError(
                f"Axis: length = {self.length}: must be a finite number of mm greater than 0"
            )

    def less(self, other: Axis) -> Axis:
        """The same line as offsets from another one of the same length.

        >>> Axis((1.0, 0.0), (1.0, 0.0), 10.0).less(Axis((0.25, 0.0), (0.0, 0.0), 10.0)).entry
        (0.75, 0.0)
        """
        entry = (self.entry[0] - other.entry[0], self.entry[1] - other.entry[1])
        far = (self.far[0] - other.far[0], self.far[1] - other.far[1])
        return Axis(entry, far, self.length)

    @classmethod
    def straight(cls, length: float) -> Axis:
        """The drawing axis itself, for a bore of `length` [mm].

        >>> Axis.straight(50.0)
        Axis(entry=(0.0, 0.0), far=(0.0, 0.0), length=50.0)
        """
        return cls((0.0, 0.0), (0.0, 0.0), length)

    def at(self, z: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """(x, y) [mm] of the axis at depth z [mm]; each has the shape of z, and runs on past both
        faces.
        """
        share = np.asarray(z, dtype=np.float64) / self.length
        x = (1.0 - share) * self.entry[0] + share * self.far[0]
        y = (1.0 - share) * self.entry[1] + share * self.far[1]
        return x, y


def polar(size: float, theta: float) -> tuple[float, float]:
    """(x, y) [mm] of an offset given by its size [mm] and its clock angle theta [rad].

    >>> x, y = polar(2.0, math.pi / 2)  # 3 o'clock
    >>> round(x, 12), abs(round(y, 12))
    (2.0, 0.0)
    """
    return size * math.sin(theta), -size * math.cos(theta)
