"""The pre-bored wall as somebody looked at it: bright, or black patches left. Asked for here and nowhere else.

Where it is bright the wall is the cut itself, whatever the worn wall was; where black was left the worn wall stands
outside the cut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.job.scene import Scene
from sim.job.sections.bore import BLACK_LEFT, NOT_LOOKED, PRE_BORED, PreBoreBlack
from sim.reference.arrays import Array

EDGE = 0.01  # mm of depth within which a patch begins and ends


@dataclass(frozen=True)
class Look:
    """Where the pre-bored wall is known to be black: patches on a radius of `around` [mm]; none:
    bright all over.

    >>> Look((), 40.0).black(np.zeros(1), np.zeros(1)).tolist()
    [False]
    """

    patches: tuple[PreBoreBlack, ...]
    around: float

    @property
    def bright(self) -> bool:
        """Tell whether it is bright all over."""
        return not self.patches

    def _in(self, patch: PreBoreBlack, clock: Array, depth: Array) -> NDArray[np.bool_]:
        away = np.abs(np.mod(clock - patch.at + math.pi, 2.0 * math.pi) - math.pi)
        along = patch.across if patch.length is None else patch.length
        inside = (away * self.around <= 0.5 * patch.across) & (
            np.abs(depth - patch.depth) <= 0.5 * along
        )
        return np.asarray(inside)

    def black(self, clock: Array, depth: Array) -> NDArray[np.bool_]:
        """Where black was left, at clock [rad] and depth [mm], broadcast together."""
        out = np.zeros(np.broadcast(clock, depth).shape, dtype=bool)
        for patch in self.patches:
            out |= self._in(patch, clock, depth)
        return out

    def open(self, clock: Array, depth: Array) -> NDArray[np.bool_]:
        """Where black was left and nobody measured how deep."""
        out = np.zeros(np.broadcast(clock, depth).shape, dtype=bool)
        for patch in self.patches:
            if patch.deep is None:
                out |= self._in(patch, clock, depth)
        return out

    def deep(self, clock: Array, depth: Array) -> Array:
        """How far outside the cut the wall stands [mm per side] as measured; 0 elsewhere."""
        out = np.zeros(np.broadcast(clock, depth).shape)
        for patch in self.patches:
            if patch.deep is not None:
                out = np.maximum(out, np.where(self._in(patch, clock, depth), patch.deep, 0.0))
        return out

    @property
    def nodes(self) -> Array:
        """Depths [mm] just outside and inside the ends of every patch."""
        out = []
        for patch in self.patches:
            half = 0.5 * (patch.across if patch.length is None else patch.length)
            out += [
                patch.depth + end * half + part for end in (-1, 1) for part in (-EDGE, 0.0, EDGE)
            ]
        return np.array(out)


def state(scene: Scene) -> str:
    """What was seen of the pre-bored wall: one of NOT_LOOKED, BRIGHT, BLACK_LEFT."""
    return NOT_LOOKED if scene.pre_bore is None else scene.pre_bore.looked


def look(scene: Scene) -> Look | None:
    """What is known by looking; None where nobody looked, or black was left and nobody said where."""
    if scene.pre_bore is None or state(scene) == NOT_LOOKED:
        return None
    if state(scene) == BLACK_LEFT and not scene.pre_bore_black:
        return None
    return Look(scene.pre_bore_black, 0.5 * scene.pre_bore.diameter)


def read_after(scene: Scene) -> bool:
    """Tell whether the readings are of the pre-bored wall, so that no pre-bore is to be taken off
    them again.
    """
    return scene.readings is not None and scene.readings.of == PRE_BORED


def done(scene: Scene) -> bool:
    """Tell whether the pre-bore is done: somebody looked at it or gauged it. Its size is no longer
    free.
    """
    return state(scene) != NOT_LOOKED or read_after(scene)


def open_patches(scene: Scene) -> tuple[PreBoreBlack, ...]:
    """Black patches that nobody measured the depth of, of a wall whose radii nobody read."""
    known = look(scene)
    if known is None or (scene.readings is not None and scene.readings.found.kind == "radius"):
        return ()
    return tuple(patch for patch in known.patches if patch.deep is None)
