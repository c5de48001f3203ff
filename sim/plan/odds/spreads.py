"""How far each thing strays, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.job.sections.plan import FromReadings
from sim.plan.odds.strays import BY_NAME, GROUPS, SEEN, columns
from sim.reference.arrays import Array
from sim.set_up.axes_and_areas import ALONE, Place


@dataclass(frozen=True)
class Seen:
    """What is left to stray of what readings after layers told.

    known: what was found; rows (SEEN, SEEN): a root of the covariance left, its rows the values
    told as `sim.plan.odds.strays` has them; unseen rows are zero.
    """

    known: FromReadings
    rows: tuple[tuple[float, ...], ...]

    def strayed(self, plain: Array) -> Array:
        """How far each strays (SEEN,), from as many plain normal values."""
        return np.asarray(np.asarray(self.rows) @ plain)

    def without(self, *keys: str) -> Seen:
        """The same with what is told under some keys of [update] held at what is known."""
        held = columns(*keys)
        return replace(
            self, rows=tuple((0.0,) * SEEN if k in held else row for k, row in enumerate(self.rows))
        )


@dataclass(frozen=True, kw_only=True)
class Spreads:
    """How far each thing strays: one standard deviation unless said, relative or mm.

    common, shared: bead area of a layer, and the part of that variance all layers share; height,
    along, width: per turn, along the bead over along_length [mm], per turn; bead_width: width of
    all beads together, by layer (n_layers,); aspect: (low, high) factors on the width of a bead
    nobody measured, even in between; tie_in: nominal, tie_in_spread: None when unmeasured (even
    between 0 and 1); gravity: relative; pool_run: nominal and half width [mm]; fusion: nominal and
    spread [mm]; axes: pre-bore, torch, finish [mm] in each direction at
    each face; reading:
    on diameter [mm]; odd: largest unseen odd part [mm per side]; law: of the engine itself, on the
    stock per side [mm]; edge: most that a free edge slumps a layer [mm], even from nothing; crest:
    crests against the law [mm]; seen: what readings after layers told; place: of the bore on its
    bar.
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
        if name not in GROUPS:
            raise ValueError(f"without: name = {name!r}: must be one of {', '.join(GROUPS)}")
        row = BY_NAME[name]
        fields: dict[str, Any] = {at: quiet(getattr(self, at)) for at, quiet in row.quiet.items()}
        told = [column.key for column in row.columns]
        return replace(self, **fields, seen=self.seen and self.seen.without(*told))

    def off(self) -> Spreads:
        """Nothing strays: what is drawn from these is the nominal job."""
        out = self
        for name in GROUPS:
            out = out.without(name)
        return out
