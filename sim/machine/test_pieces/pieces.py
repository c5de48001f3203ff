"""Bead on plate and pad: what the readings tell."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.job.readings_csv import ReadingsError
from sim.machine.test_pieces.table import Column, Filled
from sim.reference.arrays import Array
from sim.reference.defaults import default

WIRE = Column("length", 0.5, 4.0, carried=True)
FEED = Column("feed", 8.0, 500.0, carried=True)
TRAVEL = Column("speed", 0.3, 50.0, carried=True)
WIDTH, HEIGHT = Column("length", 1.0, 40.0), Column("length", 0.3, 20.0)

BEAD = {
    "wire": WIRE,
    "wire_feed": FEED,
    "travel": TRAVEL,
    "width": WIDTH,
    "height": HEIGHT,
}
PAD = {
    "pitch": Column("length", 0.5, 40.0, carried=True),
    "oclock": Column("clock", 0.0, math.tau, blank=True),
    "crest": Column("length", 0.3, 20.0),
    "valley": Column("length", 0.0, 20.0),
}

SURE = 0.25  # of a single reading's error: what no number of readings goes below, by one calliper


@dataclass(frozen=True)
class Mean:
    """A mean of so many readings and how far it may be off [mm, one standard deviation]."""

    value: float
    error: float
    read: int


def mean(values: Array, single: float) -> Mean:
    """The mean; its error by the readings' own scatter or that of a single one, whichever is more.

    The calliper is the same for all of them: never below a quarter of a single reading's error.

    >>> mean(np.array([5.0, 5.2, 5.1, 5.1]), 0.2)
    Mean(value=5.1, error=0.1, read=4)
    """
    count = len(values)
    scatter = float(values.std(ddof=1)) if count > 1 else 0.0
    error = max(max(scatter, single) / math.sqrt(count), SURE * single)
    return Mean(round(float(values.mean()), 4), round(error, 4), count)


@dataclass(frozen=True)
class BeadOnPlate:
    """A bead on a plate: width and height, at wire [mm], wire feed and travel [mm/s]."""

    width: Mean
    height: Mean
    wire: float
    wire_feed: float
    travel: float


def bead_on_plate(told: Filled) -> BeadOnPlate:
    """What a bead on plate tells. Raises ReadingsError."""
    n = told.numbers
    flat = np.flatnonzero(n["height"] >= n["width"])
    if len(flat):
        row = told.rows[flat[0]]
        raise ReadingsError(
            f"{told.name}: row {row}: height = {n['height'][flat[0]]:.2f} mm: a bead is wider than "
            "high; look whether width and height are swapped."
        )
    return BeadOnPlate(
        mean(n["width"], default("bead.width_error")),
        mean(n["height"], default("bead.height_error")),
        told.one("wire"),
        told.one("wire_feed"),
        told.one("travel"),
    )


@dataclass(frozen=True)
class FiveBeads:
    """A pad: crests and valleys above the plate at a pitch [mm], where it was welded [rad]."""

    crest: Mean
    valley: Mean
    pitch: float
    at: float | None


def five_beads(told: Filled) -> FiveBeads:
    """What a pad tells. Raises ReadingsError where a contact lies above its crest."""
    n = told.numbers
    above = np.flatnonzero(n["valley"] >= n["crest"])
    if len(above):
        k = above[0]
        raise ReadingsError(
            f"{told.name}: row {told.rows[k]}: valley = {n['valley'][k]:.2f} mm: above the crest "
            f"of {n['crest'][k]:.2f} mm; both are heights above the plate, look which is which."
        )
    at = None if np.isnan(n["oclock"]).all() else told.one("oclock")
    return FiveBeads(
        mean(n["crest"], default("pad.error")),
        mean(n["valley"], default("pad.error")),
        told.one("pitch"),
        at,
    )
