"""Frames of the film, drawn."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from sim.pictures.bore_3d.page import Lengths
from sim.pictures.bore_3d.picture import Levels
from sim.pictures.colours import (
    BLACK_EDGE,
    BLACK_LEFT,
    FINISH,
    LIGHT,
    NOT_JUDGED,
    layer_colour,
    mixed,
    rgb,
    stock_scale,
)
from sim.pictures.turn_by_turn.film_shots import FINE, Film, Shot, durations
from sim.reference.arrays import TURN, Array
from sim.reference.units import clock_text

SIZE = (800, 560)


Colours = NDArray[np.uint8]


DIAL, MAP, SECTION = (10, 50, 270, 310), (310, 56, 784, 300), (16, 346, 784, 530)


class Frame:
    """A frame as it is drawn, FINE times as large."""

    def __init__(self, film: Film) -> None:
        """An empty frame."""
        self.film = film
        self.image = Image.new("RGB", (SIZE[0] * FINE, SIZE[1] * FINE), LIGHT.background)
        self.pen = ImageDraw.Draw(self.image)
        self.font = ImageFont.load_default(15 * FINE)

    def text(
        self, x: float, y: float, words: str, anchor: str = "la", tint: str = LIGHT.ink
    ) -> None:
        """Words at a place of the frame."""
        self.pen.text((x * FINE, y * FINE), words, fill=tint, font=self.font, anchor=anchor)

    def line(self, points: Array, tint: str, width: float) -> None:
        """A line through points (n, 2) of the frame."""
        self.pen.line(
            [tuple(p) for p in points * FINE], fill=tint, width=round(width * FINE), joint="curve"
        )

    def area(self, points: Array, tint: str) -> None:
        """A filled outline (n, 2) of the frame."""
        self.pen.polygon([tuple(p) for p in points * FINE], fill=tint)

    def hatched(
        self, box: tuple[float, float, float, float], where: Image.Image | None = None
    ) -> None:
        """Metal missing in a box, or in that part of it where a mask is set."""
        x0, y0, x1, y1 = (round(v * FINE) for v in box)
        self.image.paste(Image.fromarray(_hatch(x1 - x0, y1 - y0)), (x0, y0), where)


@lru_cache(8)
def _hatch(wide: int, high: int) -> Colours:
    x, y = np.meshgrid(np.arange(wide), np.arange(high))
    stripe = ((x + y) % (7 * FINE) < 2 * FINE)[..., None]
    return np.where(stripe, rgb(BLACK_EDGE), rgb(BLACK_LEFT)).astype(np.uint8)


def drawn(film: Film, shot: Shot) -> Image.Image:
    """One frame."""
    frame = Frame(film)
    frame.text(16, 10, film.picture.name or "the job turn by turn")
    frame.text(16, 30, shot.words)
    _draw_end_view(frame, shot)
    _draw_map(frame, shot)
    _draw_section(frame, shot)
    return frame.image.reduce(FINE)


@dataclass(frozen=True)
class Disc:
    """The end view on a frame: its middle, outer radius, radius of the finish circle, and length of
    a mm of stock.
    """

    middle: Array
    outer: float
    zero: float
    each: float

    @classmethod
    def of(cls, film: Film) -> Disc:
        """As large as its box, with heights enlarged so that the whole job stays in it."""
        x0, y0, x1, y1 = DIAL
        outer = 0.5 * (x1 - x0) - 20.0
        each = 0.4 * outer / (film.high - film.low)
        return cls(
            np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)]), outer, outer - 4.0 + each * film.low, each
        )

    def wall(self, level: Levels, step: float) -> Array:
        """Radius on the frame of a wall with these levels of stock."""
        return np.asarray(self.zero - self.each * (level + 0.5) * step, dtype=float)

    def ring(self, radius: Array | float, angle: Array) -> Array:
        """Points (n, 2) of the frame at clock angles [rad]."""
        return np.asarray(
            self.middle + np.stack([radius * np.sin(angle), -radius * np.cos(angle)], axis=1)
        )


def _draw_end_view(frame: Frame, shot: Shot) -> None:
    """The wall at the torch's depth seen from the entry face, heights enlarged, with the hand."""
    seen, disc = frame.film.picture, Disc.of(frame.film)
    j = int(np.clip(np.searchsorted(seen.edges, shot.depth) - 1, 0, len(seen.edges) - 2))
    round_ = np.linspace(0.0, TURN, 181)
    wall = disc.wall(shot.level[:, j], seen.step)
    frame.area(disc.ring(disc.outer, round_), LIGHT.metal)
    for number in shot.layers:
        before = disc.wall(seen.stock[seen.layers.index(number) - 1, :, j], seen.step)
        frame.area(disc.ring(before, seen.clock), layer_colour(number))
    frame.area(disc.ring(wall, seen.clock), LIGHT.background)
    frame.hatched(DIAL, _missing(disc.ring(wall, seen.clock), disc.ring(disc.zero, round_)))
    frame.line(disc.ring(disc.zero, round_), FINISH, 2)
    for hour in range(12):
        angle = np.array([TURN * hour / 12])
        tick = np.concatenate([disc.ring(disc.outer, angle), disc.ring(disc.outer + 5.0, angle)])
        frame.line(tick, LIGHT.quiet, 1.5)
        if hour % 3 == 0:
            x, y = disc.ring(disc.outer + 13.0, angle)[0]
            frame.text(float(x), float(y), str(hour or 12), "mm", LIGHT.quiet)
    tip = disc.ring(
        float(wall[int(shot.clock / TURN * len(wall)) % len(wall)]) - 2.0, np.array([shot.clock])
    )
    frame.line(np.concatenate([[disc.middle], tip]), LIGHT.ink, 4 if shot.on else 1.5)


def _missing(wall: Array, finish: Array) -> Image.Image:
    """Mask over the end view: inside the wall but outside the finish circle, both outlines (n, 2)
    of the frame.
    """
    x0, y0, x1, y1 = DIAL
    mask = Image.new("1", ((x1 - x0) * FINE, (y1 - y0) * FINE))
    pen = ImageDraw.Draw(mask)
    for points, fill in ((wall, 1), (finish, 0)):
        pen.polygon([tuple(p) for p in (points - [x0, y0]) * FINE], fill=fill)
    return mask


def _draw_map(frame: Frame, shot: Shot) -> None:
    """The wall unrolled, coloured by stock: depth to the right, the clock down from 12."""
    seen = frame.film.picture
    x0, y0, x1, y1 = MAP
    wide, high = (x1 - x0) * FINE, (y1 - y0) * FINE
    places = np.arange(wide) * seen.length / wide
    first = np.clip(
        np.searchsorted(seen.edges, places, side="right") - 1, 0, shot.level.shape[1] - 1
    )
    rows = np.arange(high) * shot.level.shape[0] // high
    level = np.minimum.reduceat(shot.level, first, axis=1)[rows]
    judged = seen.judged[:, first][rows]
    table = np.array([mixed(stock_scale(0.0, 1.0), k / 255) for k in range(256)], dtype=np.uint8)
    share = np.clip((level + 0.5) * seen.step / seen.tops["stock"], 0.0, 1.0)
    painted = table[(255 * share).astype(np.uint8)]
    painted = np.where((level < 0)[..., None], _hatch(wide, high), painted)
    painted = np.where(judged[..., None], painted, np.array(rgb(NOT_JUDGED), np.uint8))
    frame.image.paste(Image.fromarray(painted), (x0 * FINE, y0 * FINE))
    for hour in (12, 3, 6, 9):
        y = y0 + (hour % 12) / 12 * (y1 - y0)
        frame.text(x0 - 8, y, str(hour), "rm", LIGHT.quiet)
    frame.text(x0, y1 + 4, "unrolled; dashed: where the section is cut", tint=LIGHT.quiet)
    y = y0 + frame.film.at / TURN * (y1 - y0)
    for x in range(x0, x1, 12):
        frame.line(np.array([[x, y], [x + 6, y]]), LIGHT.ink, 1.2)
    at = np.array([x0 + shot.depth / seen.length * (x1 - x0), y0 + shot.clock / TURN * (y1 - y0)])
    for radius, tint in ((7.0, LIGHT.panel), (5.0, LIGHT.ink if shot.on else LIGHT.faint)):
        frame.pen.ellipse([*((at - radius) * FINE), *((at + radius) * FINE)], fill=tint)


def _draw_section(frame: Frame, shot: Shot) -> None:
    """The axial section at one clock: base metal, each layer, the finish line, and what is still
    short of it.
    """
    film = frame.film
    x0, y0, x1, y1 = SECTION
    x = x0 + film.depth / film.depth[-1] * (x1 - x0)
    each = (y1 - 10 - y0) / (film.high - film.low)
    y, zero = y1 - 10 - each * (shot.section - film.low), y1 - 10 + each * film.low
    frame.hatched((x0, zero, x1, y1))
    _grey_unjudged(frame, zero)

    def under(line: Array) -> Array:
        return np.concatenate([np.stack([x, line], axis=1), [[x1, y1], [x0, y1]]])

    for k in range(len(shot.layers), 0, -1):
        frame.area(under(y[k:].max(axis=0)), layer_colour(shot.layers[k - 1]))
    frame.area(under(y.max(axis=0)), LIGHT.metal)
    frame.line(np.stack([x, y[-1]], axis=1), LIGHT.ink, 1.2)
    frame.line(np.array([[x0, zero], [x1, zero]]), FINISH, 2)
    at = x0 + shot.depth / film.depth[-1] * (x1 - x0)
    frame.area(np.array([[at - 6, y0 - 8], [at + 6, y0 - 8], [at, y0 + 2]]), LIGHT.ink)
    for place in np.linspace(0.0, 1.0, 6):
        words = Lengths(film.picture.units).depth(place * film.picture.length)
        anchor = "la" if place == 0.0 else "ra" if place == 1.0 else "ma"
        frame.text(x0 + place * (x1 - x0), y1 + 5, words, anchor, LIGHT.quiet)
    frame.text(x0, y0 - 14, f"section at {clock_text(film.at)}", tint=LIGHT.quiet)


def _grey_unjudged(frame: Frame, zero: float) -> None:
    """Depths of the section that are not judged: no metal is missed there."""
    seen = frame.film.picture
    x0, _, x1, y1 = SECTION
    judged = seen.judged[int(frame.film.at / TURN * len(seen.judged))]
    for ends in np.stack([seen.edges[:-1], seen.edges[1:]], axis=1)[~judged]:
        low, high = x0 + ends / seen.length * (x1 - x0)
        frame.pen.rectangle([low * FINE, zero * FINE, high * FINE, y1 * FINE], fill=NOT_JUDGED)


def pictures(film: Film) -> Iterator[Image.Image]:
    """Every frame in turn."""
    for shot in film.shots:
        yield drawn(film, shot)


def encoded(film: Film, frames: list[Image.Image]) -> bytes:
    """The frames as one file, each standing its time, over and over."""
    out = io.BytesIO()
    how: dict[str, Any] = dict(quality=70, method=2)
    if film.kind == "GIF":
        sample = Image.new("RGB", (SIZE[0], 3 * SIZE[1]))
        for k, at in enumerate((0, len(frames) // 2, len(frames) - 1)):
            sample.paste(frames[at], (0, k * SIZE[1]))
        palette = sample.quantize(160, dither=Image.Dither.NONE)
        frames = [one.quantize(palette=palette, dither=Image.Dither.NONE) for one in frames]
        how = dict(optimize=False)
    how |= dict(duration=durations(len(frames), film.seconds), loop=0)
    frames[0].save(out, film.kind.upper(), save_all=True, append_images=frames[1:], **how)
    return out.getvalue()
