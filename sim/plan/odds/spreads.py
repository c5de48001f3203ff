"""How far each thing strays, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import ALONE, Place

LAID, TO_COME, TIE_IN, POOL_RUN, TORCH, LAW, EDGE, WIDTH, GRAVITY = (
    0,
    1,
    2,
    3,
    slice(4, 8),
    8,
    9,
    10,
    11,
)


SEEN = 12  # what readings after layers tell of, in that order


@dataclass(frozen=True)
class Seen:
    """What is left to stray of what readings after `layers` layers told: SEEN rows, a root of the
    covariance.

    Rows: metal laid and bead area to come (relative), tie-in, pool run [mm], torch axis x and y at
    the entry and far face
    [mm], build-up law, edge [mm], bead width [standard deviations of what was known of it], gravity
    (factor). tie_in,
    eccentric: whether tie-in, pool run and torch axis were seen at all; law, edge, width, gravity:
    what was found of them,
    None where not seen; unseen rows are zero.
    """

    layers: int
    rows: tuple[tuple[float, ...], ...]
    tie_in: bool = False
    eccentric: bool = False
    law: float | None = None
    edge: float | None = None
    width: float | None = None
    gravity: float | None = None

    def strayed(self, plain: Array) -> Array:
        """How far each strays (SEEN,), from as many plain normal values."""
        return np.asarray(np.asarray(self.rows) @ plain)

    def without(self, *rows: int) -> Seen:
        """The same with some of them held at what is known."""
        return replace(
            self, rows=tuple((0.0,) * SEEN if k in rows else row for k, row in enumerate(self.rows))
        )


@dataclass(frozen=True, kw_only=True)
class Spreads:
    """How far each thing strays: one standard deviation unless said, relative or mm.

    common, shared: bead area of a layer, and the part of that variance all layers share; height,
    along, width: per
    turn, along the bead over along_length [mm], per turn; bead_width: width of all beads together,
    by layer
    (n_layers,); aspect: (low, high) factors on the width of a bead nobody measured, even in
    between; tie_in: nominal,
    tie_in_spread: None when unmeasured (even between 0 and 1); gravity: relative; pool_run: nominal
    and half width
    [mm]; fusion: nominal and spread [mm]; axes: pre-bore, torch, finish [mm] in each direction at
    each face; reading:
    on diameter [mm]; odd: largest unseen odd part [mm per side]; law: of the engine itself, on the
    stock per side [mm]; edge: most that a
    free edge slumps a layer [mm], even from nothing; crest: crests against the law [mm]; seen: what
    readings after layers told;
    place: of the bore on its bar.
    """

    common: float = 0.0
    shared: float = 1.0
    height: float = 0.0
    along: float = 0.0
    along_length: float = 1.0
    width: float = 0.0
    bead_width: tuple[float, ...] = (0.0,)
    aspect: tuple[float, float] = (1.0, 1.0)
    tie_in: float = 0.5
    tie_in_spread: float | None = 0.0
    gravity: float = 0.0
    pool_run: tuple[float, float] = (0.0, 0.0)
    fusion: tuple[float, float] = (1.5, 0.0)
    axes: tuple[float, float, float] = (0.0, 0.0, 0.0)
    reading: float = 0.0
    odd: float = 0.0
    law: float = 0.0
    edge: float = 0.0
    crest: float = 0.0
    seen: Seen | None = None
    place: Place = ALONE

    def without(self, name: str) -> Spreads:
        """The same spreads with one of `GROUPS` switched off, at its nominal value.

        >>> Spreads(common=0.03, height=0.04).without("common cause").common
        0.0
        """
        off: dict[str, dict[str, object]] = {
            "common cause": {"common": 0.0},
            "bead to bead": {"height": 0.0},
            "along the bead": {"along": 0.0},
            "bead width": {
                "width": 0.0,
                "bead_width": (0.0,) * len(self.bead_width),
                "aspect": (1.0, 1.0),
            },
            "tie-in": {"tie_in_spread": 0.0},
            "gravity": {"gravity": 0.0},
            "pool run": {"pool_run": (self.pool_run[0], 0.0)},
            "depth of fusion": {"fusion": (self.fusion[0], 0.0)},
            "axes": {"axes": (0.0, 0.0, 0.0)},
            "readings": {"reading": 0.0, "odd": 0.0},
            "build-up law": {"law": 0.0, "edge": 0.0, "crest": 0.0},
        }
        if name not in off:
            raise ValueError(f"without: name = {name!r}: must be one of {', '.join(GROUPS)}")
        held = self.seen.without(*HELD.get(name, ())) if self.seen is not None else None
        return replace(self, **off[name], seen=held)  # type: ignore[arg-type]

    def off(self) -> Spreads:
        """Nothing strays: what is drawn from these is the nominal job."""
        out = self
        for name in GROUPS:
            out = out.without(name)
        return out


HELD = {
    "common cause": (LAID, TO_COME),
    "tie-in": (TIE_IN,),
    "pool run": (POOL_RUN,),
    "axes": (4, 5, 6, 7),
    "build-up law": (LAW, EDGE),
    "bead width": (WIDTH,),
    "gravity": (GRAVITY,),
}


GROUPS = (
    "common cause", "bead to bead", "along the bead", "bead width", "tie-in", "gravity", "pool run",
    "depth of fusion", "axes", "readings", "build-up law",
)  # fmt: skip
