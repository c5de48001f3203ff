"""Sizes that cannot be of this bore: what a slip of the pen would make of them, unless they are confirmed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from sim.job.scene import Scene
from sim.job.sections.bore import Bore, ReadingsSource
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.units import KINDS

INCH = KINDS["length"][1].factor


SLIPS = (
    (2.0, "a radius given as a diameter"),
    (0.5, "a diameter given as a radius"),
    (INCH, "inches given as mm"),
    (1.0 / INCH, "mm given as inches"),
    (2.0 * INCH, "a radius in inches given as a diameter in mm"),
)


def far_off(size: float, bore: Bore) -> str:
    """How a size [mm on diameter] lies too far from the bore as it was and shall be, and the likely
    slip; else empty.

    >>> far_off(42.55, Bore(final_diameter=80.0, length=100.0))
    'more than 15 % off the final size (80 mm), as a radius given as a diameter would be;'
    >>> far_off(83.6, Bore(final_diameter=80.0, length=100.0))
    ''
    """
    most, original = default("limit.far"), bore.original_diameter
    like = [bore.final_diameter] if original is None else [bore.final_diameter, original]
    if any(_near(size, one, most) for one in like):
        return ""
    slips = [said for times, said in SLIPS if any(_near(size * times, one, most) for one in like)]
    of = "the final size" if original is None else "the original and the final size"
    sizes = " and ".join(f"{one:g}" for one in reversed(like))
    slip = f", as {slips[0]} would be" if slips else ""
    return f"more than {100 * most:.0f} % off {of} ({sizes} mm){slip};"


def _near(size: float, like: float, most: float) -> bool:
    return abs(size - like) <= (most + 1e-9) * like


def check_sizes(scene: Scene, name: str) -> None:
    """Refuse sizes far from the original and the final size, unless they are confirmed. Raises
    SceneError.
    """
    if scene.bore.far_from_original:
        return
    sizes = [(where, size, scene.bore) for where, size in _sizes(scene)]
    if scene.bore.original_diameter is not None:
        alone = replace(scene.bore, original_diameter=None)
        sizes.insert(0, ("[bore] original_diameter", scene.bore.original_diameter, alone))
    for where, size, like in sizes:
        why = far_off(size, like)
        if why:
            raise SceneError(
                f"{name}: {where} = {size:.2f} mm: {why} correct it, or set "
                "far_from_original = true in [bore] "
                "if it is so."
            )


def _sizes(scene: Scene) -> Iterator[tuple[str, float]]:
    """Every size of the bores before welding, on diameter [mm], and where it stands."""
    if scene.readings is None:
        yield "[worn] diameter", scene.worn.diameter
    else:
        yield from _read(scene.readings, "[readings]")
    if scene.pre_bore is not None:
        yield "[pre_bore] diameter", scene.pre_bore.diameter
    for k, one in enumerate(scene.bore_on_bar, 1):
        if one.diameter is not None:
            yield f"[bore_on_bar {k}] diameter", one.diameter
        if one.readings is not None:
            yield from _read(one.readings, f"[bore_on_bar {k}]")


def _read(source: ReadingsSource, where: str) -> Iterator[tuple[str, float]]:
    """The smallest and the largest reading, as diameters."""
    found = source.found
    for i in (int(np.argmin(found.radii)), int(np.argmax(found.radii))):
        as_read = "diameter" if found.kind == "diameter" else "twice the radius"
        yield f"{where} row {found.row[i]:.0f}: {as_read}", 2.0 * float(found.radii[i])
