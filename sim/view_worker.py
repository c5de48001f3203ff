"""The 3-D worker: `python -m sim.view_worker` builds the pyvista scene of a picture, in a process of its own.

The only place that imports pyvista. One scene serves both: the still pictures are rendered from it here, and what
is no map in it (outlines, rings, finish cylinder, arrow) goes into the page. The page needs no graphics library;
the still does, and a missing one ends this process without a word, which `sim.viewer` turns into a sentence.

Requests and answers are pickles on the standard streams, each after its length in 8 bytes: (name, arguments) in,
(True, value) or (False, sentence) out. The end of the input ends the worker.
"""

from __future__ import annotations

import io
import math
import os
import pickle
import struct
import sys
import time
from collections.abc import Callable
from typing import Any, BinaryIO

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from sim import colour, turns_page
from sim.turns import Growth
from sim.view import CUT_OPEN, Picture
from sim.view_page import MEANINGS, Furniture, Lengths, Look, mark_text, page, stage_text
from sim.wall import TURN, Array

MOST_LABELS = 4


# ---- the scene ----------------------------------------------------------------------------------------------


def wall_mesh(
    picture: Picture, stage: int, *, after: int | None = None, begin: float = 0.0, sweep: float = TURN
) -> pv.StructuredGrid:
    """The wall at a stage as a surface, from clock angle `begin` over `sweep` [rad]; carries "stock" [mm].

    after: what is left of it at a later stage.
    """
    rows = _rows(picture, begin, sweep)
    level = picture.stock[stage] if after is None else picture.left(stage, after)
    points, stock = picture.points_at(level)[rows], (level[rows] + 0.5) * picture.step
    ends = [points[:, [k]] * [1.0, 1.0, 0.0] - [0.0, 0.0, z] for k, z in ((0, 0.0), (-1, picture.length))]
    points = np.concatenate([ends[0], points, ends[1]], axis=1)
    mesh = pv.StructuredGrid(*(np.ascontiguousarray(points[..., k : k + 1]) for k in range(3)))
    mesh["stock"] = np.pad(stock, ((0, 0), (1, 1)), mode="edge").ravel(order="F")
    mesh["judged"] = np.pad(picture.judged[rows], ((0, 0), (1, 1)), mode="edge").ravel(order="F")
    return mesh


def _rows(picture: Picture, begin: float, sweep: float) -> NDArray[np.int64]:
    """Clock cells from `begin` over `sweep` [rad], the first again at the end of a whole turn."""
    n = picture.stock.shape[1]
    first = math.ceil(begin / TURN * n - 0.5)
    count = n + 1 if sweep >= TURN - 1e-9 else math.floor(sweep / TURN * n)
    return np.asarray(np.arange(first, first + count) % n)


def low_outlines(picture: Picture) -> pv.PolyData:
    """Lines round everything that stays black after the last layer; empty where nothing does."""
    if not ((picture.stock[-1] < 0) & picture.judged).any():
        return pv.PolyData()
    mesh = wall_mesh(picture, picture.last)
    level = np.where(mesh["judged"], mesh["stock"], np.maximum(mesh["stock"], 0.5 * picture.step))
    mesh["stock"] = level
    return mesh.contour([0.0], scalars="stock").strip(join=True, max_length=100_000).decimate_polyline(0.7)


def finish_mesh(picture: Picture, *, begin: float = 0.0, sweep: float = TURN) -> pv.StructuredGrid:
    """The finish cylinder as a surface, from clock angle `begin` over `sweep` [rad]."""
    theta = begin + np.linspace(0.0, sweep, 97)
    depth = np.array([0.0, picture.length])
    axis = picture.axis_at(picture.finish, depth)
    x = axis[0] + picture.radius * np.sin(theta)[:, None]
    y = axis[1] + picture.radius * np.cos(theta)[:, None]
    z = np.broadcast_to(-depth, x.shape)
    return pv.StructuredGrid(*(np.ascontiguousarray(v[..., None]) for v in (x, y, z)))


def ring(radius: float, depth: float, centre: tuple[float, float] = (0.0, 0.0)) -> pv.PolyData:
    """A circle across the bore."""
    theta = np.linspace(0.0, TURN, 121)
    x, y = centre[0] + radius * np.sin(theta), centre[1] + radius * np.cos(theta)
    return pv.lines_from_points(np.stack([x, y, np.full_like(x, -depth)], axis=1))


def rings(picture: Picture) -> pv.PolyData:
    """The rim of both faces with a tick at every hour, longer at 12, 3, 6 and 9."""
    out = []
    for depth in (0.0, picture.length):
        out.append(ring(picture.body, depth))
        for hour in range(12):
            u = np.array([math.sin(TURN * hour / 12), math.cos(TURN * hour / 12), 0.0])
            foot = picture.body * u - [0.0, 0.0, depth]
            out.append(pv.Line(foot, foot + (0.07 if hour % 3 == 0 else 0.035) * picture.body * u))
    return pv.merge(out)


def finish_rims(picture: Picture) -> pv.PolyData:
    """Where the finish cylinder leaves the two faces."""
    ends = np.array([0.0, picture.length])
    x, y = picture.axis_at(picture.finish, ends)
    return pv.merge([ring(picture.radius, z, (float(a), float(b))) for z, a, b in zip(ends, x, y, strict=True)])


def arrow(picture: Picture) -> pv.PolyData:
    """An arrow the way gravity pulls: under the entry face, or beside the bore where it stands steep."""
    down, body = np.asarray(picture.down), picture.body
    if abs(down[2]) > 0.7:
        side = math.copysign(0.75, down[2])
        foot = np.array([side * 1.36 * body, -0.66 * 1.36 * body, -0.5 * picture.length]) - 0.18 * body * down
    else:
        foot = np.array([0.0, 0.0, 0.3 * body]) + body * down
    return pv.Arrow(start=foot, direction=down, scale=0.36 * body, shaft_radius=0.03, tip_radius=0.1, tip_length=0.4)


def furniture(picture: Picture, *, low: bool = True) -> dict[str, Furniture]:
    """Everything in the scene that is no map, as lines (pairs of points) or triangles; `low` spots outlined or not."""
    return {
        "low": _lines(low_outlines(picture) if low else pv.PolyData()),
        "ring": _lines(rings(picture)),
        "faces": _lines(finish_rims(picture)),
        "finish": _triangles(finish_mesh(picture)),
        "arrow": _triangles(arrow(picture)),
    }


def _lines(mesh: pv.PolyData) -> Furniture:
    """Every line of a mesh as its pairs of points."""
    if mesh.n_points == 0:
        return Furniture(np.zeros((0, 3), np.float32), np.zeros((0, 2), np.uint32))
    mesh = mesh if isinstance(mesh, pv.PolyData) else mesh.extract_surface(algorithm=None)
    cells = np.asarray(mesh.lines)
    pairs, at = [], 0
    while at < len(cells):
        line = cells[at + 1 : at + 1 + cells[at]]
        pairs.append(np.stack([line[:-1], line[1:]], axis=1))
        at += 1 + int(cells[at])
    return Furniture(np.asarray(mesh.points, np.float32), np.concatenate(pairs).astype(np.uint32))


def _triangles(mesh: Any) -> Furniture:
    surface = (mesh if isinstance(mesh, pv.PolyData) else mesh.extract_surface(algorithm=None)).triangulate()
    return Furniture(np.asarray(surface.points, np.float32), surface.regular_faces.astype(np.uint32))


# ---- the still picture -----------------------------------------------------------------------------------------


def still(picture: Picture, look: Look, size: tuple[int, int] = (1200, 760)) -> bytes:
    """The bore cut open as it is seen first, as a PNG: needs a graphics library."""
    stage = picture.last if look.stage is None else min(look.stage, picture.last)
    surface = colour.DARK if look.theme == "dark" else colour.LIGHT
    plotter = pv.Plotter(off_screen=True, window_size=list(size), lighting="none")
    try:
        plotter.set_background(surface.background)
        _add_metal(plotter, picture, stage, look, surface)
        _add_marks(plotter, picture, stage, surface)
        _set_eye(plotter, picture, size)
        plotter.enable_anti_aliasing("ssaa")
        plotter.render()
        image = plotter.screenshot(None, return_img=True)
    finally:
        plotter.close()
    return _titled(image, picture, stage, look, surface)


def _metal_range(picture: Picture) -> tuple[float, float]:
    """Where the metal begins and how far it runs round [rad]: the rest is cut away."""
    return picture.home[1] + 0.5 * CUT_OPEN, TURN - CUT_OPEN


def _add_metal(plotter: pv.Plotter, picture: Picture, stage: int, look: Look, surface: colour.Surface) -> None:
    begin, sweep = _metal_range(picture)
    wall = wall_mesh(picture, stage, begin=begin, sweep=sweep)
    wall["paint"] = painted(picture, stage, look, begin, sweep)
    light = dict(ambient=0.42, diffuse=0.58, specular=0.0)
    plotter.add_mesh(wall, scalars="paint", rgb=True, smooth_shading=False, **light)
    for mesh, tint in bands(picture, stage, surface.metal):
        plotter.add_mesh(mesh, color=tint, smooth_shading=False, **light)
    up, eye = picture.upright[0], picture.home[0]
    towards = eye + 0.55 * up - 0.45 * np.cross(up, eye)
    plotter.add_light(pv.Light(position=tuple(1000.0 * towards), light_type="scene light", intensity=1.0))


def bands(picture: Picture, stage: int, metal: str) -> list[tuple[pv.StructuredGrid, str]]:
    """Everything of the cut part but the wall: its outside, and each band of metal on faces and section."""
    begin, sweep = _metal_range(picture)
    theta = begin + np.linspace(0.0, sweep, 181)
    ends = np.array([0.0, picture.length])
    out = [(_between(_cylinder(picture, theta, ends[:1]), _cylinder(picture, theta, ends[1:])), metal)]
    first = min(picture.before, stage)
    for k in range(first, stage + 1):
        tint = metal if k == first else colour.layer_colour(picture.layers[k])
        mesh = wall_mesh(picture, k, after=stage, begin=begin, sweep=sweep)
        grid = np.asarray(mesh.points).reshape((*mesh.dimensions[:2], 3), order="F")
        outer = wall_mesh(picture, k - 1, after=stage, begin=begin, sweep=sweep) if k > first else None
        for cut in (np.s_[:, 0], np.s_[:, -1], np.s_[0], np.s_[-1]):
            inner = grid[cut]
            if outer is None:
                away = inner * [1.0, 1.0, 0.0]
                beyond = away / np.linalg.norm(away, axis=1)[:, None] * picture.body + inner * [0.0, 0.0, 1.0]
            else:
                beyond = np.asarray(outer.points).reshape(grid.shape, order="F")[cut]
            out.append((_between(inner, beyond), tint))
    return out


def _cylinder(picture: Picture, theta: Array, depth: Array) -> Array:
    z = np.full_like(theta, -float(depth[0]))
    return np.stack([picture.body * np.sin(theta), picture.body * np.cos(theta), z], axis=1)


def _between(one: Array, other: Array) -> pv.StructuredGrid:
    """The surface between two lines of points, each (n, 3)."""
    both = np.stack([one, other], axis=1)
    return pv.StructuredGrid(*(np.ascontiguousarray(both[..., k : k + 1]) for k in range(3)))


def _add_marks(plotter: pv.Plotter, picture: Picture, stage: int, surface: colour.Surface) -> None:
    """Lines, arrow, finish cylinder and words."""
    begin, sweep = _metal_range(picture)
    plotter.add_mesh(rings(picture), color=surface.quiet, line_width=1.5, lighting=False)
    plotter.add_mesh(arrow(picture), color=surface.quiet, lighting=False)
    plotter.add_mesh(finish_rims(picture), color=colour.FINISH, line_width=3, lighting=False)
    plotter.add_mesh(finish_mesh(picture), color=colour.FINISH, opacity=0.08, lighting=False)
    for theta in (begin, begin + sweep):
        edge = finish_mesh(picture, begin=theta, sweep=1e-6)
        plotter.add_mesh(edge.extract_feature_edges(), color=colour.FINISH, line_width=3, lighting=False)
    low = low_outlines(picture) if stage == picture.last else pv.PolyData()
    if low.n_points:
        plotter.add_mesh(low, color=colour.BLACK_EDGE, line_width=1.5, lighting=False)
    words = {name: place for name, place in _words(picture).items() if not hidden(picture, place)}
    plotter.add_point_labels(
        np.array(list(words.values())), [word.strip() for word in words], font_size=20, text_color=surface.ink,
        shape=None, show_points=False, always_visible=True, bold=False,
        justification_horizontal="center", justification_vertical="center",
    )  # fmt: skip
    if stage == picture.last:
        _add_spots(plotter, picture)


def hidden(picture: Picture, place: Array) -> bool:
    """Whether metal stands between a place [mm] and the eye where the view opens; its wall is taken as a cylinder."""
    eye, cut = picture.home
    x, y, z = (place + np.linspace(0.02, 3.0, 300)[:, None] * picture.body * eye).T
    r = np.hypot(x, y)
    away = np.mod(np.arctan2(x, y) - cut + 0.5 * TURN, TURN) - 0.5 * TURN
    metal = (z < 0.0) & (z > -picture.length) & (r > picture.radius) & (r < picture.body)
    return bool((metal & (np.abs(away) > 0.5 * CUT_OPEN)).any())


def _words(picture: Picture) -> dict[str, Array]:
    """Words and their places [mm]: clock marks of both faces, the entry face, depths, down."""

    def at(theta: float, share: float, depth: float) -> Array:
        r = share * picture.body
        return np.array([r * math.sin(theta), r * math.cos(theta), -depth])

    say, up, length = Lengths(picture.units), picture.upright[0], picture.length
    edges = [picture.home[1] + half * CUT_OPEN for half in (-0.5, 0.5)]
    low = min(edges, key=lambda theta: float(at(theta, 1.0, 0.0) @ up))
    near = {str(h): at(TURN * h / 12, 1.15, 0.0) for h in (12, 3, 6, 9)}
    near |= {"entry face": at(-TURN / 8, 1.3, 0.0), "down": _foot(picture)}
    near |= {say.depth(z).split()[0]: at(low, 1.12, z) for z in np.linspace(0.0, length, 5)[:-1]}
    near[f"{say.depth(length)} deep"] = at(low, 1.14, length)
    return near | {f"{h} ": at(TURN * h / 12, 1.15, length) for h in (12, 3, 6, 9)}


def _foot(picture: Picture) -> Array:
    points = np.asarray(arrow(picture).points)
    tip = points[int((points @ picture.down).argmax())]
    return np.asarray(tip + 0.1 * picture.body * picture.down)


def _add_spots(plotter: pv.Plotter, picture: Picture) -> None:
    """Name the deepest low spots that can be seen and do not stand in each other's way."""
    say, up = Lengths(picture.units), picture.upright[0]
    words: list[str] = []
    places: list[Array] = []
    for m in picture.marks:
        x, y = picture.axis_at(picture.torch, np.array([m.depth]))[:, 0]
        r = picture.radius - 1.5
        place = np.array([x + r * math.sin(m.ray), y + r * math.cos(m.ray), -m.depth])
        clear = all(abs(float((place - other) @ up)) > 0.12 * picture.body for other in places)
        if clear and not hidden(picture, place) and len(words) < MOST_LABELS:
            words.append(mark_text(m, say))
            places.append(place)
    if words:
        plotter.add_point_labels(
            np.array(places), words, font_size=18, text_color="#ffffff", shape="rect", shape_color=colour.BLACK_LEFT,
            shape_opacity=1.0, point_color=colour.BLACK_EDGE, point_size=10, render_points_as_spheres=True,
            always_visible=True,
        )  # fmt: skip


def _set_eye(plotter: pv.Plotter, picture: Picture, size: tuple[int, int]) -> None:
    """Put the camera where the view opens, so far off that everything is in the picture."""
    eye, up = picture.home[0], picture.upright[0]
    middle = np.array([0.0, 0.0, -0.5 * picture.length])
    side = np.cross(up, eye) / np.linalg.norm(np.cross(up, eye))
    above = np.cross(eye, side)
    theta = np.linspace(0.0, TURN, 25)
    rim = 1.25 * picture.body * np.stack([np.sin(theta), np.cos(theta), np.zeros_like(theta)], axis=1)
    points = np.concatenate([rim - middle, rim + middle, [_foot(picture) - middle]])
    raised = 0.5 * float((points @ above).min() + (points @ above).max())
    middle, points = middle + raised * up, points - raised * up
    half = math.tan(0.25)
    need = np.maximum(np.abs(points @ side) * size[1] / size[0], np.abs(points @ above) / 0.86) / (0.94 * half)
    distance = float((points @ eye + need).max())
    plotter.camera.position = tuple(middle + distance * eye)
    plotter.camera.focal_point = tuple(middle)
    plotter.camera.up = tuple(up)
    plotter.camera.view_angle = math.degrees(0.5)
    plotter.reset_camera_clipping_range()


def painted(picture: Picture, stage: int, look: Look, begin: float, sweep: float) -> Array:
    """Colours 0..255 of the points of `wall_mesh`, shape (n, 3): hatched where the metal stays black."""
    colour_by, tops = look.colour_by, picture.tops | dict(look.tops)
    values = {
        "stock": picture.least,
        "thickness": lambda k: picture.thickness(k) * picture.step,
        "ripple": lambda k: picture.ripple(k) * picture.step,
        "layer": picture.uppermost,
    }[colour_by](stage)
    rows, table = _rows(picture, begin, sweep), _table(colour_by)
    if colour_by == "layer":
        out = np.where((values > 0)[..., None], table[(values - 1) % len(table)], colour.rgb(colour.LIGHT.metal))
    else:
        share = np.clip(values / tops[colour_by], 0.0, 1.0)
        out = table[(share * (len(table) - 1)).round().astype(int)]
    if colour_by == "stock":
        i, j = np.indices(values.shape)
        hatch = np.where(((i + j) % 9 < 3)[..., None], colour.rgb(colour.BLACK_EDGE), colour.rgb(colour.BLACK_LEFT))
        out = np.where((picture.stock[stage] < 0)[..., None], hatch, out)
    out = np.where(picture.judged[..., None], out, colour.rgb(colour.NOT_JUDGED))
    out = np.pad(out[rows], ((0, 0), (1, 1), (0, 0)), mode="edge").astype(np.uint8)
    return np.asarray(out.reshape(-1, 3, order="F"))


def _table(colour_by: str) -> Array:
    """Colours of a scale, shape (n, 3)."""
    if colour_by == "layer":
        return np.array([colour.rgb(c) for c in colour.LAYER_COLOURS])
    stops = {
        "stock": colour.stock_scale(0.0, 1.0),
        "thickness": colour.even_scale(colour.THICKNESS),
        "ripple": colour.even_scale(colour.RIPPLE),
    }[colour_by]
    return np.array([colour.mixed(stops, k / 255) for k in range(256)])


def _titled(image: Array, picture: Picture, stage: int, look: Look, surface: colour.Surface) -> bytes:
    """The picture with its caption and legend, as a PNG."""
    drawing = Image.fromarray(image)
    pen, font, small = ImageDraw.Draw(drawing), ImageFont.load_default(24), ImageFont.load_default(18)
    pen.text((18, 12), stage_text(picture, stage), fill=surface.ink, font=font)
    pen.text((18, 44), MEANINGS[look.colour_by], fill=surface.quiet, font=small)
    right = drawing.width - 18
    for name, tint in reversed(_swatches(picture, look, surface)):
        right -= round(pen.textlength(name, font=small))
        pen.text((right, 12), name, fill=surface.ink, font=small)
        pen.rectangle((right - 32, 15, right - 8, 31), fill=tint, outline=surface.quiet)
        if tint == colour.BLACK_LEFT:
            for x in range(right - 30, right - 9, 6):
                pen.line((x, 31, min(x + 10, right - 8), 15), fill=colour.BLACK_EDGE, width=2)
        right -= 48
    if look.colour_by != "layer":
        _scale(pen, small, picture, look, surface, right)
    out = io.BytesIO()
    drawing.save(out, "PNG")
    return out.getvalue()


def _swatches(picture: Picture, look: Look, surface: colour.Surface) -> list[tuple[str, str]]:
    out = [("finish", colour.FINISH)]
    if not picture.judged.all():
        out.insert(0, ("not judged", colour.NOT_JUDGED))
    if look.colour_by == "stock":
        out.insert(0, ("stays black", colour.BLACK_LEFT))
    if look.colour_by == "layer":
        layers = range(1, min(max(picture.layers), 6) + 1)
        out = [("base", surface.metal), *((f"layer {k}", colour.layer_colour(k)) for k in layers), *out]
    return out


def _scale(
    pen: ImageDraw.ImageDraw, font: Any, picture: Picture, look: Look, surface: colour.Surface, right: int
) -> None:
    table, say = _table(look.colour_by), Lengths(picture.units)
    top = (picture.tops | dict(look.tops))[look.colour_by]
    for k, tint in enumerate(table):
        pen.line((right - 256 + k, 15, right - 256 + k, 31), fill=tuple(int(v) for v in tint))
    pen.rectangle((right - 257, 15, right, 31), outline=surface.quiet)
    pen.text((right - 257, 36), "0", fill=surface.ink, font=font)
    pen.text((right, 36), say.size(top), fill=surface.ink, font=font, anchor="ra")


# ---- requests and answers ----------------------------------------------------------------------------------------


def _page(picture: Picture) -> str:
    return page(picture, furniture(picture))


def _turns(growth: Growth) -> str:
    return turns_page.page(growth, furniture(growth.picture, low=False))


def _sleep(seconds: float) -> None:
    time.sleep(seconds)


WORK: dict[str, Callable[..., Any]] = {"page": _page, "still": still, "turns": _turns}
if os.environ.get("BORE_VIEW_TEST") == "1":
    WORK["sleep"] = _sleep
    WORK["die"] = os._exit


def send(stream: BinaryIO, value: Any) -> None:
    """Write one pickle after its length."""
    data = pickle.dumps(value, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(struct.pack("<Q", len(data)))
    stream.write(data)
    stream.flush()


def receive(stream: BinaryIO) -> Any:
    """Read one pickle; raises EOFError at the end of the stream."""
    head = stream.read(8)
    if len(head) < 8:
        raise EOFError
    return pickle.loads(stream.read(struct.unpack("<Q", head)[0]))


def main() -> None:
    """Answer requests until the input ends."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints must not mix with the answers
    send(answers, (True, "ready"))
    while True:
        try:
            name, arguments = receive(sys.stdin.buffer)
        except EOFError:
            return
        try:
            send(answers, (True, WORK[name](*arguments)))
        except Exception as fault:
            send(answers, (False, f"{type(fault).__name__}: {fault}"))


if __name__ == "__main__":
    main()
