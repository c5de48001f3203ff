"""The job turn by turn as moving pictures to take away: GIF or WebP, a set number of frames and a set length.

Each frame is the engine's wall at that time (`turns.wall_at`), shown three ways: the end view at the depth of the
torch, the wall unrolled, the axial section at one clock. Frames are drawn in a process of its own, started for one
film and ended with it, so that no other session waits:

    python -m sim.film        a Shot list as a pickle in; a line per frame, then the file's length and the file out
"""

from __future__ import annotations

import io
import math
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Generator, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from sim import colour
from sim.finish import stock_cells
from sim.simulate import Result
from sim.turns import GrownLayer, Growth, columns_of, wall_at, wall_before
from sim.units import clock_text
from sim.view import Levels, Picture
from sim.view_page import Lengths
from sim.wall import TURN, Array, Wall

FRAMES, SECONDS = 60, 12.0
MOST_FRAMES = 150
SHORTEST = 0.02
"""Shortest time [s] of a frame: viewers slow down what is shorter. Common practice."""
HOLD = 1.5
"""How long [s] the finished job stands before it starts again, at most a fifth of the film."""
KINDS = {"GIF": "image/gif", "WebP": "image/webp"}
SIZE = (800, 560)
FINE = 2
"""Drawn so many times larger, then reduced."""
SECTION_POINTS = 900
COMMAND = (sys.executable, "-m", "sim.film")
_one_at_a_time = threading.Semaphore(1)


class FilmFault(Exception):
    """The film was not made; the message is one sentence."""


@dataclass(frozen=True)
class Shot:
    """One frame: where the torch is, the map of stock, and the section's stock [mm] (layers + 1, points): the wall
    before welding, after each layer so far, the last of them growing. layers: number of each.
    """

    words: str
    clock: float
    depth: float
    on: bool
    level: Levels
    section: Array
    layers: tuple[int, ...]


@dataclass(frozen=True)
class Film:
    """What is to be drawn: depth (points,) [mm] and clock `at` [rad] of the section, the stock [mm] its scale spans."""

    picture: Picture
    shots: tuple[Shot, ...]
    seconds: float
    kind: str
    depth: Array
    at: float
    low: float
    high: float


def film(
    result: Result, growth: Growth, *, frames: int = FRAMES, seconds: float = SECONDS, kind: str = "GIF"
) -> Film:
    """The film of a judged job, ready to be drawn. Raises ValueError for frames or seconds nobody could watch."""
    if not 2 <= frames <= MOST_FRAMES:
        raise ValueError(f"frames = {frames}: must be from 2 to {MOST_FRAMES}")
    if not (frames * SHORTEST + HOLD <= seconds <= 120.0):
        raise ValueError(f"seconds = {seconds}: must be from {frames * SHORTEST + HOLD:.1f} to 120")
    if kind not in KINDS:
        raise ValueError(f"kind = {kind!r}: must be one of {', '.join(KINDS)}")
    seen = growth.picture
    column = int(seen.worst[0] / TURN * len(growth.clock)) % len(growth.clock)
    depth = np.linspace(0.0, seen.length, SECTION_POINTS)
    whole = sum(layer.angle for layer in growth.layers)
    shots = _shots(result, growth, np.linspace(0.0, whole, frames), column, depth)
    every = np.stack([shot.level for shot in (shots[0], shots[-1])]) * seen.step
    at = float(growth.clock[column])
    return Film(seen, shots, seconds, kind, depth, at, float(min(every.min(), 0.0)), float(every.max()) + 1.0)


def durations(frames: int, seconds: float) -> list[int]:
    """How long each frame stands [ms], whole hundredths of a second; together exactly `seconds`.

    >>> durations(4, 2.0), sum(durations(7, 3.0))
    ([400, 400, 400, 800], 3000)
    """
    hold = min(HOLD, 0.2 * seconds)
    ends = np.rint(np.linspace(0.0, 100.0 * (seconds - hold), frames + 1)).astype(int)
    out = [10 * int(k) for k in np.diff(ends)]
    out[-1] += round(1000 * seconds) // 10 * 10 - sum(out)
    return out


def _shots(result: Result, growth: Growth, places: Array, column: int, depth: Array) -> tuple[Shot, ...]:
    columns, ends = columns_of(result), np.cumsum([layer.angle for layer in growth.layers])
    finished: list[Array] = []
    out, begun = [], -1
    for place in places:
        k = min(int(np.searchsorted(ends, place - 1e-9)), len(ends) - 1)
        layer, turned = growth.layers[k], float(place - (ends[k] - growth.layers[k].angle))
        while begun < k:
            begun += 1
            finished.append(_line(result, growth, wall_before(result, begun + 1).only(columns), column, depth))
        wall = wall_at(result, layer.number, turned, columns)
        lines = np.stack([*finished, _line(result, growth, wall, column, depth)])
        level = np.floor(
            stock_cells(wall, result.finish, result.axes.torch, growth.picture.edges, len(columns))
            / growth.picture.step
        ).astype(np.int16)
        numbers = tuple(one.number for one in growth.layers[: k + 1])
        clock = (layer.path.start_clock + layer.path.turning * turned) % TURN
        z = float(layer.path.depth_at(np.array([turned]))[0])
        on = bool(((layer.path.arcs[:, 0] <= turned) & (turned <= layer.path.arcs[:, 1])).any())
        out.append(Shot(_words(growth, layer, turned, on), clock, z, on, level, lines, numbers))
    return tuple(out)


def _line(result: Result, growth: Growth, wall: Wall, column: int, depth: Array) -> Array:
    """Stock per side [mm] along one column at `depth` [mm]."""
    seen, angle = growth.picture, float(growth.clock[column])
    r = wall.only(np.array([column])).radius(depth)[0]
    off = seen.axis_at(seen.torch, depth) - seen.axis_at(seen.finish, depth)
    return np.asarray(seen.radius - np.hypot(r * math.sin(angle) + off[0], r * math.cos(angle) + off[1]))


def _words(growth: Growth, layer: GrownLayer, turned: float, on: bool) -> str:
    say = Lengths(growth.picture.units)
    turns = math.ceil(layer.angle / TURN - 1e-6)
    clock = clock_text(layer.path.start_clock + layer.path.turning * turned)
    depth = float(layer.path.depth_at(np.array([turned]))[0])
    turn = min(int(turned / TURN + 1e-9) + 1, turns)
    done = turned / layer.rotation + sum(one.seconds for one in growth.layers[: layer.number - 1])
    return (
        f"layer {layer.number} of {len(growth.layers)}   turn {turn} of {turns}   {say.depth(depth)} deep   "
        f"{clock}   arc {'on' if on else 'off'}   {int(done // 60)}:{int(done % 60):02d} min"
    )


# ---- drawing --------------------------------------------------------------------------------------------------------

Colours = NDArray[np.uint8]
DIAL, MAP, SECTION = (10, 50, 270, 310), (310, 56, 784, 300), (16, 346, 784, 530)


class Sheet:
    """A frame as it is drawn, FINE times as large."""

    def __init__(self, film: Film) -> None:
        """An empty sheet."""
        self.film = film
        self.image = Image.new("RGB", (SIZE[0] * FINE, SIZE[1] * FINE), colour.LIGHT.background)
        self.pen = ImageDraw.Draw(self.image)
        self.font = ImageFont.load_default(15 * FINE)

    def text(self, x: float, y: float, words: str, anchor: str = "la", tint: str = colour.LIGHT.ink) -> None:
        """Words at a place of the frame."""
        self.pen.text((x * FINE, y * FINE), words, fill=tint, font=self.font, anchor=anchor)

    def line(self, points: Array, tint: str, width: float) -> None:
        """A line through points (n, 2) of the frame."""
        self.pen.line([tuple(p) for p in points * FINE], fill=tint, width=round(width * FINE), joint="curve")

    def area(self, points: Array, tint: str) -> None:
        """A filled outline (n, 2) of the frame."""
        self.pen.polygon([tuple(p) for p in points * FINE], fill=tint)

    def hatched(self, box: tuple[float, float, float, float], where: Image.Image | None = None) -> None:
        """Metal missing in a box, or in that part of it where a mask is set."""
        x0, y0, x1, y1 = (round(v * FINE) for v in box)
        self.image.paste(Image.fromarray(_hatch(x1 - x0, y1 - y0)), (x0, y0), where)


@lru_cache(8)
def _hatch(wide: int, high: int) -> Colours:
    x, y = np.meshgrid(np.arange(wide), np.arange(high))
    stripe = ((x + y) % (7 * FINE) < 2 * FINE)[..., None]
    return np.where(stripe, colour.rgb(colour.BLACK_EDGE), colour.rgb(colour.BLACK_LEFT)).astype(np.uint8)


def drawn(film: Film, shot: Shot) -> Image.Image:
    """One frame."""
    sheet = Sheet(film)
    sheet.text(16, 10, film.picture.name or "the job turn by turn")
    sheet.text(16, 30, shot.words)
    _draw_end_view(sheet, shot)
    _draw_map(sheet, shot)
    _draw_section(sheet, shot)
    return sheet.image.reduce(FINE)


@dataclass(frozen=True)
class Disc:
    """The end view on a frame: its middle, outer radius, radius of the finish circle, and length of a mm of stock."""

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
        return cls(np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1)]), outer, outer - 4.0 + each * film.low, each)

    def wall(self, level: Levels, step: float) -> Array:
        """Radius on the frame of a wall with these levels of stock."""
        return np.asarray(self.zero - self.each * (level + 0.5) * step, dtype=float)

    def ring(self, radius: Array | float, angle: Array) -> Array:
        """Points (n, 2) of the frame at clock angles [rad]."""
        return np.asarray(self.middle + np.stack([radius * np.sin(angle), -radius * np.cos(angle)], axis=1))


def _draw_end_view(sheet: Sheet, shot: Shot) -> None:
    """The wall at the torch's depth seen from the entry face, heights enlarged, with the hand."""
    seen, disc = sheet.film.picture, Disc.of(sheet.film)
    j = int(np.clip(np.searchsorted(seen.edges, shot.depth) - 1, 0, len(seen.edges) - 2))
    round_ = np.linspace(0.0, TURN, 181)
    wall = disc.wall(shot.level[:, j], seen.step)
    sheet.area(disc.ring(disc.outer, round_), colour.LIGHT.metal)
    for number in shot.layers:
        before = disc.wall(seen.stock[seen.layers.index(number) - 1, :, j], seen.step)
        sheet.area(disc.ring(before, seen.clock), colour.layer_colour(number))
    sheet.area(disc.ring(wall, seen.clock), colour.LIGHT.background)
    sheet.hatched(DIAL, _missing(disc.ring(wall, seen.clock), disc.ring(disc.zero, round_)))
    sheet.line(disc.ring(disc.zero, round_), colour.FINISH, 2)
    for hour in range(12):
        angle = np.array([TURN * hour / 12])
        tick = np.concatenate([disc.ring(disc.outer, angle), disc.ring(disc.outer + 5.0, angle)])
        sheet.line(tick, colour.LIGHT.quiet, 1.5)
        if hour % 3 == 0:
            x, y = disc.ring(disc.outer + 13.0, angle)[0]
            sheet.text(float(x), float(y), str(hour or 12), "mm", colour.LIGHT.quiet)
    tip = disc.ring(float(wall[int(shot.clock / TURN * len(wall)) % len(wall)]) - 2.0, np.array([shot.clock]))
    sheet.line(np.concatenate([[disc.middle], tip]), colour.LIGHT.ink, 4 if shot.on else 1.5)


def _missing(wall: Array, finish: Array) -> Image.Image:
    """Mask over the end view: inside the wall but outside the finish circle, both outlines (n, 2) of the frame."""
    x0, y0, x1, y1 = DIAL
    mask = Image.new("1", ((x1 - x0) * FINE, (y1 - y0) * FINE))
    pen = ImageDraw.Draw(mask)
    for points, fill in ((wall, 1), (finish, 0)):
        pen.polygon([tuple(p) for p in (points - [x0, y0]) * FINE], fill=fill)
    return mask


def _draw_map(sheet: Sheet, shot: Shot) -> None:
    """The wall unrolled, coloured by stock: depth to the right, the clock down from 12."""
    seen = sheet.film.picture
    x0, y0, x1, y1 = MAP
    wide, high = (x1 - x0) * FINE, (y1 - y0) * FINE
    places = np.arange(wide) * seen.length / wide
    first = np.clip(np.searchsorted(seen.edges, places, side="right") - 1, 0, shot.level.shape[1] - 1)
    rows = np.arange(high) * shot.level.shape[0] // high
    level = np.minimum.reduceat(shot.level, first, axis=1)[rows]
    judged = seen.judged[:, first][rows]
    table = np.array([colour.mixed(colour.stock_scale(0.0, 1.0), k / 255) for k in range(256)], dtype=np.uint8)
    share = np.clip((level + 0.5) * seen.step / seen.tops["stock"], 0.0, 1.0)
    painted = table[(255 * share).astype(np.uint8)]
    painted = np.where((level < 0)[..., None], _hatch(wide, high), painted)
    painted = np.where(judged[..., None], painted, np.array(colour.rgb(colour.NOT_JUDGED), np.uint8))
    sheet.image.paste(Image.fromarray(painted), (x0 * FINE, y0 * FINE))
    for hour in (12, 3, 6, 9):
        y = y0 + (hour % 12) / 12 * (y1 - y0)
        sheet.text(x0 - 8, y, str(hour), "rm", colour.LIGHT.quiet)
    sheet.text(x0, y1 + 4, "unrolled; dashed: where the section is cut", tint=colour.LIGHT.quiet)
    y = y0 + sheet.film.at / TURN * (y1 - y0)
    for x in range(x0, x1, 12):
        sheet.line(np.array([[x, y], [x + 6, y]]), colour.LIGHT.ink, 1.2)
    at = np.array([x0 + shot.depth / seen.length * (x1 - x0), y0 + shot.clock / TURN * (y1 - y0)])
    for radius, tint in ((7.0, colour.LIGHT.panel), (5.0, colour.LIGHT.ink if shot.on else colour.LIGHT.faint)):
        sheet.pen.ellipse([*((at - radius) * FINE), *((at + radius) * FINE)], fill=tint)


def _draw_section(sheet: Sheet, shot: Shot) -> None:
    """The axial section at one clock: base metal, each layer, the finish line, and what is still short of it."""
    film = sheet.film
    x0, y0, x1, y1 = SECTION
    x = x0 + film.depth / film.depth[-1] * (x1 - x0)
    each = (y1 - 10 - y0) / (film.high - film.low)
    y, zero = y1 - 10 - each * (shot.section - film.low), y1 - 10 + each * film.low
    sheet.hatched((x0, zero, x1, y1))
    _grey_unjudged(sheet, zero)

    def under(line: Array) -> Array:
        return np.concatenate([np.stack([x, line], axis=1), [[x1, y1], [x0, y1]]])

    for k in range(len(shot.layers), 0, -1):
        sheet.area(under(y[k:].max(axis=0)), colour.layer_colour(shot.layers[k - 1]))
    sheet.area(under(y.max(axis=0)), colour.LIGHT.metal)
    sheet.line(np.stack([x, y[-1]], axis=1), colour.LIGHT.ink, 1.2)
    sheet.line(np.array([[x0, zero], [x1, zero]]), colour.FINISH, 2)
    at = x0 + shot.depth / film.depth[-1] * (x1 - x0)
    sheet.area(np.array([[at - 6, y0 - 8], [at + 6, y0 - 8], [at, y0 + 2]]), colour.LIGHT.ink)
    for place in np.linspace(0.0, 1.0, 6):
        words = Lengths(film.picture.units).depth(place * film.picture.length)
        anchor = "la" if place == 0.0 else "ra" if place == 1.0 else "ma"
        sheet.text(x0 + place * (x1 - x0), y1 + 5, words, anchor, colour.LIGHT.quiet)
    sheet.text(x0, y0 - 14, f"section at {clock_text(film.at)}", tint=colour.LIGHT.quiet)


def _grey_unjudged(sheet: Sheet, zero: float) -> None:
    """Depths of the section that are not judged: no metal is missed there."""
    seen = sheet.film.picture
    x0, _, x1, y1 = SECTION
    judged = seen.judged[int(sheet.film.at / TURN * len(seen.judged))]
    for ends in np.stack([seen.edges[:-1], seen.edges[1:]], axis=1)[~judged]:
        low, high = x0 + ends / seen.length * (x1 - x0)
        sheet.pen.rectangle([low * FINE, zero * FINE, high * FINE, y1 * FINE], fill=colour.NOT_JUDGED)


def pictures(film: Film) -> Iterator[Image.Image]:
    """Every frame in turn."""
    for shot in film.shots:
        yield drawn(film, shot)


def encoded(film: Film, frames: list[Image.Image]) -> bytes:
    """The frames as one file, each standing its time, over and over."""
    out, times = io.BytesIO(), durations(len(frames), film.seconds)
    if film.kind == "GIF":
        sample = Image.new("RGB", (SIZE[0], 3 * SIZE[1]))
        for k, at in enumerate((0, len(frames) // 2, len(frames) - 1)):
            sample.paste(frames[at], (0, k * SIZE[1]))
        palette = sample.quantize(160, dither=Image.Dither.NONE)
        frames = [one.quantize(palette=palette, dither=Image.Dither.NONE) for one in frames]
        frames[0].save(out, "GIF", save_all=True, append_images=frames[1:], duration=times, loop=0, optimize=False)
    else:
        frames[0].save(out, "WEBP", save_all=True, append_images=frames[1:], duration=times, loop=0, quality=70, method=2)
    return out.getvalue()


# ---- the process ----------------------------------------------------------------------------------------------------


def made(film: Film, *, command: tuple[str, ...] = COMMAND) -> Generator[float | bytes]:
    """Make the film in a process of its own: shares done from 0 to 1, then the file. Raises FilmFault.

    One film at a time is made on this machine; while another is made the share stays 0.
    """
    while not _one_at_a_time.acquire(timeout=0.5):
        yield 0.0
    try:
        yield from _asked(film, command)
    finally:
        _one_at_a_time.release()


def _asked(film: Film, command: tuple[str, ...]) -> Generator[float | bytes]:
    paths = os.pathsep.join(p for p in (str(Path(__file__).resolve().parent.parent), os.environ.get("PYTHONPATH", "")) if p)
    process = subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": paths},
    )
    try:
        yield from _heard(process, film)
    except OSError as fault:
        raise FilmFault(f"The film could not be made ({fault.strerror}).") from None
    finally:
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None and not stream.closed:
                stream.close()


def _heard(process: subprocess.Popen[bytes], film: Film) -> Generator[float | bytes]:
    if process.stdin is None or process.stdout is None:
        raise FilmFault("The film could not be made (no pipe).")
    pickle.dump(film, process.stdin, protocol=pickle.HIGHEST_PROTOCOL)
    process.stdin.close()
    for k in range(1, len(film.shots) + 1):
        if not process.stdout.readline():
            raise FilmFault("The film could not be made: its process ended early; try again with fewer frames.")
        yield k / (len(film.shots) + 1)
    told = process.stdout.readline()
    data = process.stdout.read(int(told or b"0"))
    if not told or len(data) != int(told):
        raise FilmFault("The film could not be made: its process ended early; try again with fewer frames.")
    yield 1.0
    yield data


def work(source: BinaryIO, out: Any) -> None:
    """Draw the film read from `source`; a line a frame, the length, the file to `out`."""
    film = pickle.load(source)
    frames = []
    for frame in pictures(film):
        frames.append(frame)
        out.write(b".\n")
        out.flush()
    data = encoded(film, frames)
    out.write(b"%d\n" % len(data))
    out.write(data)
    out.flush()


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(5)
    work(sys.stdin.buffer, sys.stdout.buffer)
