"""Result in, pictures of the bored surface out (PNG): bright where the cut found metal, black weld
skin where it did not.

Every pixel asks the engine's own stock map at its place; nothing is painted by hand. Needs no
graphics library.
"""

from __future__ import annotations

import io
import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from sim.bore.stock import stock_map
from sim.pictures.colours import BLACK_EDGE, BLACK_LEFT, LIGHT, NOT_JUDGED, rgb
from sim.reference.arrays import TURN, Array
from sim.shop.result import Result

Pixels = NDArray[np.uint8]


Flags = NDArray[np.bool_]


FINE = 2
"""Pixels are made this many times finer, then brought together."""


STEEL = (206.0, 209.0, 212.0)


STEP = 0.2
"""Depth between two samples of the stock [mm]."""


INK, FACE, THROUGH = (31, 35, 40), (150, 148, 143), (236, 238, 240)


def finished(result: Result, clock: Array, depth: Array) -> tuple[Array, Flags]:
    """Stock per side [mm] under every place of the finished bore, (n_clock, n_depth), and whether
    it is judged.

    clock (n_clock,): [rad] about the finish axis; depth (n_depth,): ascending [mm].
    """
    wall, finish, torch = result.layers[-1].wall, result.finish, result.axes.torch
    stock = stock_map(wall, finish, torch, depth)
    low, high = result.spans[:, :, :1], result.spans[:, :, 1:]
    judged = np.asarray(((depth >= low) & (depth <= high)).any(axis=1))
    (xf, yf), (xt, yt) = (
        finish.axis.at(np.array([0.5 * result.scene.bore.length])),
        torch.at(np.array([0.5 * result.scene.bore.length])),
    )
    x = finish.radius * np.sin(clock) + float(xf[0] - xt[0])
    y = -finish.radius * np.cos(clock) + float(yf[0] - yt[0])
    ray = np.arctan2(x, -y)
    nearest = np.array([wall.clock.nearest(float(angle)) for angle in ray])
    return wall.clock.interpolate(stock, ray), judged[nearest]


def rolled_out(result: Result, *, width: int = 900) -> bytes:
    """The finished surface rolled out flat, clock across from 12 to 12 and depth down, both to one
    scale; PNG.
    """
    around, length = TURN * result.finish.radius, result.scene.bore.length
    across = width * FINE
    down = max(int(across * length / around), 8)
    clock, depth = _middles(TURN, across), _middles(length, down)
    stock, judged = finished(result, clock, depth)
    sheen = 0.92 + 0.08 * np.cos(2.0 * clock)[:, None] + 0.03 * np.cos(TURN * depth / 0.8)[None, :]
    pixels = _coloured(stock, judged, sheen).transpose(1, 0, 2)
    image = Image.fromarray(pixels).resize((width, max(down // FINE, 4)), Image.Resampling.BOX)
    return _png(_with_hours(image))


def _middles(whole: float, count: int) -> Array:
    return np.asarray((np.arange(count) + 0.5) * (whole / count), dtype=np.float64)


def _with_hours(image: Image.Image) -> Image.Image:
    """A strip under the picture that names the hours."""
    strip = 26
    out = Image.new("RGB", (image.width, image.height + strip), LIGHT.panel)
    out.paste(image, (0, 0))
    draw, font = ImageDraw.Draw(out), ImageFont.load_default(18)
    for k, name in enumerate(("12", "3", "6", "9", "12")):
        x = image.width * k / 4
        anchor = "lm" if k == 0 else "rm" if k == 4 else "mm"
        draw.text((x, image.height + strip / 2), name, fill=INK, font=font, anchor=anchor)
    return out


def looking_in(result: Result, *, size: int = 560) -> bytes:
    """The finished bore as the eye sees it before the entry face, 12 o'clock up; PNG."""
    n, radius, length = size * FINE, result.finish.radius, result.scene.bore.length
    away = 0.55 * length
    across = (np.arange(n) + 0.5) / n * 2.0 - 1.0
    x, up = np.meshgrid(across, -across)
    rim = 0.86
    off = np.hypot(x, up)
    depth = away * (rim / np.maximum(off, 1e-9) - 1.0)
    clock = np.mod(np.arctan2(x, up), TURN)
    n_clock = 1440
    n_depth = math.ceil(length / STEP)
    stock, judged = finished(result, _middles(TURN, n_clock), _middles(length, n_depth))
    i = np.minimum((clock * (n_clock / TURN)).astype(int), n_clock - 1)
    j = np.clip((depth * (n_depth / length)).astype(int), 0, n_depth - 1)
    light = 1.12 / (1.0 + (np.clip(depth, 0.0, length) / (1.6 * length + radius)) * 1.6)
    sheen = light * (0.94 + 0.06 * np.cos(2.0 * clock) + 0.03 * np.cos(TURN * depth / 0.8))
    steep = _coloured(stock, judged, np.ones_like(stock))
    pixels = np.clip(steep[i, j] * sheen[..., None], 0, 255).astype(np.uint8)
    pixels[depth < 0.0] = FACE
    pixels[(depth < 0.0) & (off > 1.0)] = rgb(LIGHT.background)
    pixels[depth > length] = THROUGH
    image = Image.fromarray(pixels).resize((size, size), Image.Resampling.BOX)
    draw, font = ImageDraw.Draw(image), ImageFont.load_default(max(size // 26, 12))
    for k, name in enumerate(("12", "3", "6", "9")):
        angle = k * math.pi / 2.0
        place = (
            0.5 * size * (1.0 + 0.93 * math.sin(angle)),
            0.5 * size * (1.0 - 0.93 * math.cos(angle)),
        )
        draw.text(place, name, fill=INK, font=font, anchor="mm")
    return _png(image)


def _coloured(stock: Array, judged: Flags, sheen: Array) -> Pixels:
    """Colours (n_clock, n_depth, 3): bright metal, black skin with its ripple in relief and an edge
    round it.
    """
    black = stock < 0.0
    pixels = sheen[..., None] * np.array(STEEL)
    rise = np.gradient(stock, axis=1) if stock.shape[1] > 1 else np.zeros_like(stock)
    relief = np.clip(1.0 + 2.5 * rise / max(float(np.abs(rise).max()), 1e-9), 0.5, 2.6)
    skin = np.array(rgb(BLACK_LEFT), dtype=np.float64)
    pixels[black] = (relief[black])[:, None] * skin
    rim = _rim(black)
    pixels[rim] = 0.5 * pixels[rim] + 0.5 * np.array(rgb(BLACK_EDGE))
    pixels[black & ~judged] = rgb(NOT_JUDGED)
    return np.asarray(np.clip(pixels, 0, 255), dtype=np.uint8)


def _rim(black: Flags) -> Flags:
    """Bright places that touch black ones, round the clock and along the depth."""
    near = np.roll(black, 1, axis=0) | np.roll(black, -1, axis=0)
    near[:, 1:] |= black[:, :-1]
    near[:, :-1] |= black[:, 1:]
    return np.asarray(near & ~black)


def _png(image: Image.Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG", optimize=False)
    return out.getvalue()
