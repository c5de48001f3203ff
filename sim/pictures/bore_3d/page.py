"""Picture in, self-contained HTML page out: the 3-D view as the browser draws it.

The page carries the maps in 16 bits, packed, and a renderer of its own (`view*.js`, WebGL 2): the
wall is built from the map in the graphics card, so that a view weighs some hundred kilobytes, a
stage or a colouring is changed without a new export, and a colour is read from the map at every
pixel, where the least stock of what one pixel covers is kept. A general scene exporter sends
triangles: twenty times as much, with its own library on top, and loses a valley between two
corners. Everything that is not a map (outlines of low spots, finish cylinder, rings and ticks,
gravity arrow) comes from the pyvista scene in `view_worker`, which the still pictures are made of
too. Nothing in the page asks any host for anything; its content security policy forbids it.
"""

from __future__ import annotations

import base64
import json
import math
import re
import zlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.pictures.bore_3d.picture import CUT_OPEN, LAID, Levels, Mark, Picture
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    DARK,
    FINISH,
    LAYER_COLOURS,
    LIGHT,
    NOT_JUDGED,
    RIPPLE,
    THICKNESS,
    even_scale,
    stock_scale,
)
from sim.reference.units import INCH, clock_text

COLOURINGS = ("stock", "thickness", "ripple", "layer")


THEMES = ("auto", "light", "dark")


MEANINGS = {
    "stock": "metal to bore off, per side",
    "thickness": "metal this layer added, per side",
    "ripple": "how far each place lies below the crest beside it",
    "layer": "which layer shows",
}


SCRIPTS = ("view_numbers.js", "view_marks.js", "view_draw.js", "view_answer.js", "view.js")


LOOK_MARK = "__LOOK__"


POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:"
)


@dataclass(frozen=True)
class Furniture:
    """Lines and triangles of the scene that are no map: points (n, 3) [mm], and pairs or triples of
    them.
    """

    points: NDArray[np.float32]
    joined: NDArray[np.uint32]


@dataclass(frozen=True)
class Look:
    """How a view opens: colouring, stage (None: the last), theme, what the camera is kept under,
    and the upper ends of the scales [mm] where they differ from the picture's own (two views side
    by side).
    """

    colour_by: str = "stock"
    stage: int | None = None
    theme: str = "auto"
    keep: str = "bore"
    tops: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        """Refuse words nobody knows."""
        if self.colour_by not in COLOURINGS:
            raise ValueError(
                f"colour_by = {self.colour_by!r}: must be one of {', '.join(COLOURINGS)}"
            )
        if self.theme not in THEMES:
            raise ValueError(f"theme = {self.theme!r}: must be one of {', '.join(THEMES)}")


@dataclass(frozen=True)
class Lengths:
    """Lengths in the words of a picture, in mm or in.

    >>> Lengths("mm").size(0.4321), Lengths("in").depth(50.8)
    ('0.43 mm', '2.0 in')
    """

    units: str

    @property
    def each(self) -> float:
        """A unit in mm."""
        return INCH if self.units == "in" else 1.0

    @property
    def digits(self) -> int:
        """Decimals of a height."""
        return 3 if self.units == "in" else 2

    def size(self, mm: float) -> str:
        """A height of the wall."""
        return f"{mm / self.each:.{self.digits}f} {self.units}"

    def short(self, mm: float) -> str:
        """How much is missing, never said to be nothing.

        >>> Lengths("mm").short(0.002)
        'under 0.01 mm'
        """
        least = 10.0**-self.digits * self.each
        return self.size(mm) if mm > 0.5 * least else f"under {self.size(least)}"

    def depth(self, mm: float) -> str:
        """A depth in the bore."""
        return f"{mm / self.each:.{self.digits - 2}f} {self.units}"


def stage_text(picture: Picture, stage: int) -> str:
    """What a stage shows, in words."""
    if picture.layers[stage]:
        return f"After layer {picture.layers[stage]} of {max(picture.layers)}"
    return {"worn bore": "Worn bore", "pre-bored": "Pre-bored", "cut": "After the finish cut"}[
        picture.stages[stage]
    ]


def mark_text(mark: Mark, say: Lengths) -> str:
    """A low spot in words."""
    return (
        f"{say.short(-mark.stock)} short \u00b7 {clock_text(mark.clock)} \u00b7 "
        f"{say.depth(mark.depth)} deep"
    )


def packed(stock: Levels) -> bytes:
    """Maps (n_stage, n_clock, n_depth) as bytes: differences along the clock, low bytes first, then
    high ones.

    >>> packed(np.array([[[5, 5], [4, 6]]], dtype=np.int16)).hex()
    '0a0a010200000000'
    """
    step = np.diff(stock, axis=1, prepend=np.int16(0))
    folded = ((step << 1) ^ (step >> 15)).view(np.uint16)
    return bytes(
        (folded & 255).astype(np.uint8).tobytes() + (folded >> 8).astype(np.uint8).tobytes()
    )


def meta(picture: Picture) -> dict[str, Any]:
    """What the page needs besides maps and furniture, as plain values."""
    say = Lengths(picture.units)
    return {
        "name": picture.name,
        "unit": {"label": say.units, "each": say.each, "digits": say.digits},
        "said": [stage_text(picture, k) for k in range(len(picture.stages))],
        "meanings": MEANINGS,
        "black": "stays black",
        "length": picture.length,
        "radius": picture.radius,
        "body": picture.body,
        "leastCut": picture.least_cut,
        "stages": picture.stages,
        "before": picture.before,
        "layers": picture.layers,
        "windows": picture.windows,
        "shape": picture.stock.shape,
        "step": picture.step,
        "laid": LAID,
        "edges": [round(float(z), 5) for z in picture.edges],
        "torch": picture.torch.tolist(),
        "finish": picture.finish.tolist(),
        "down": picture.down.tolist(),
        "tops": picture.tops,
        "worst": picture.worst,
        "home": {
            "from": picture.home[0].tolist(),
            "at": round(math.degrees(picture.home[1])) % 360,
            "open": round(math.degrees(CUT_OPEN)),
        },
        "marks": [asdict(mark) | {"said": mark_text(mark, say)} for mark in picture.marks],
        "colours": _colours(),
    }


def _colours() -> dict[str, Any]:
    return {
        "stock": stock_scale(0.0, 1.0),
        "thickness": even_scale(THICKNESS),
        "ripple": even_scale(RIPPLE),
        "layers": LAYER_COLOURS,
        "black": BLACK_LEFT,
        "edge": BLACK_EDGE,
        "notJudged": NOT_JUDGED,
        "finish": FINISH,
        "light": asdict(LIGHT),
        "dark": asdict(DARK),
    }


def page(picture: Picture, furniture: Mapping[str, Furniture]) -> str:
    """The whole page, with LOOK_MARK where `with_look` says how it opens."""
    told, parts = contents(picture, furniture)
    return document(("view.html", "view.css", *SCRIPTS), told, parts)


def contents(
    picture: Picture, furniture: Mapping[str, Furniture]
) -> tuple[dict[str, Any], list[bytes]]:
    """What the page is told in words and numbers, and its parts in bytes: maps, judged cells,
    furniture.
    """
    told, parts = meta(picture), [packed(picture.stock), np.packbits(picture.judged).tobytes()]
    for name, item in furniture.items():
        parts += [item.points.astype("<f4").tobytes(), item.joined.astype("<u4").tobytes()]
        told.setdefault("furniture", []).append({"name": name, "each": item.joined.shape[1]})
    return told, parts


def document(assets: tuple[str, ...], told: dict[str, Any], parts: list[bytes]) -> str:
    """One self-contained page from its files (HTML first), what it is told and its parts, packed."""
    places, at = [], 0
    for part in parts:
        places.append((at, len(part)))
        at += len(part) + -len(part) % 4
    whole = b"".join(part + bytes(-len(part) % 4) for part in parts)
    return _filled(
        _asset(assets[0]),
        POLICY=POLICY,
        CSS="\n".join(_asset(name) for name in assets if name.endswith(".css")),
        SCRIPT="\n".join(_asset(name) for name in assets if name.endswith(".js")),
        META=_json(told | {"places": places}),
        MAPS=base64.b64encode(zlib.compress(whole, 6)).decode(),
    )


def with_look(html: str, look: Look) -> str:
    """The page of `page`, opening as `look` says."""
    told = {
        "colour_by": look.colour_by,
        "stage": look.stage,
        "theme": look.theme,
        "keep": look.keep,
    }
    return html.replace(LOOK_MARK, _json(told | {"tops": dict(look.tops)}), 1)


def _json(value: Any) -> str:
    """JSON that can stand inside a script element: no `<` in it."""
    return json.dumps(value, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c")


@cache
def _asset(name: str) -> str:
    folder = "turn_by_turn" if name.startswith("turns") else "bore_3d"
    return (Path(__file__).parents[1] / folder / "browser" / name).read_text(encoding="utf-8")


def _filled(text: str, **parts: str) -> str:
    return re.sub(
        "|".join(f"__{name}__" for name in parts), lambda found: parts[found[0].strip("_")], text
    )
