"""Still pictures of the scene."""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pyvista as pv
from PIL import Image, ImageDraw, ImageFont

from sim.pictures.bore_3d.page import MEANINGS, Lengths, Look, mark_text, stage_text
from sim.pictures.bore_3d.picture import CUT_OPEN, Picture
from sim.pictures.bore_3d.scene import (
    arrow,
    clock_cells,
    finish_mesh,
    finish_rims,
    low_outlines,
    rings,
    wall_mesh,
)
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
    Surface,
    even_scale,
    layer_colour,
    mixed,
    rgb,
    stock_scale,
)
from sim.reference.arrays import TURN, Array

MOST_LABELS = 4


def still(picture: Picture, look: Look, size: tuple[int, int] = (1200, 760)) -> bytes:
    """The bore cut open as it is seen first, as a PNG: needs a graphics library."""
    stage = picture.last if look.stage is None else min(look.stage, picture.last)
    surface = DARK if look.theme == "dark" else LIGHT
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


def _add_metal(
    plotter: pv.Plotter, picture: Picture, stage: int, look: Look, surface: Surface
) -> None:
    begin, sweep = _metal_range(picture)
    wall = wall_mesh(picture, stage, begin=begin, sweep=sweep)
    wall["paint"] = painted(picture, stage, look, begin, sweep)
    light = dict(ambient=0.42, diffuse=0.58, specular=0.0)
    plotter.add_mesh(wall, scalars="paint", rgb=True, smooth_shading=False, **light)
    for mesh, tint in bands(picture, stage, surface.metal):
        plotter.add_mesh(mesh, color=tint, smooth_shading=False, **light)
    up, eye = picture.upright[0], picture.home[0]
    towards = eye + 0.55 * up - 0.45 * np.cross(up, eye)
    plotter.add_light(
        pv.Light(position=tuple(1000.0 * towards), light_type="scene light", intensity=1.0)
    )


def bands(picture: Picture, stage: int, metal: str) -> list[tuple[pv.StructuredGrid, str]]:
    """Everything of the cut part but the wall: its outside, and each band of metal on faces and
    section.
    """
    begin, sweep = _metal_range(picture)
    theta = begin + np.linspace(0.0, sweep, 181)
    ends = np.array([0.0, picture.length])
    out = [
        (_between(_cylinder(picture, theta, ends[:1]), _cylinder(picture, theta, ends[1:])), metal)
    ]
    first = min(picture.before, stage)
    for k in range(first, stage + 1):
        tint = metal if k == first else layer_colour(picture.layers[k])
        mesh = wall_mesh(picture, k, after=stage, begin=begin, sweep=sweep)
        grid = np.asarray(mesh.points).reshape((*mesh.dimensions[:2], 3), order="F")
        outer = (
            wall_mesh(picture, k - 1, after=stage, begin=begin, sweep=sweep) if k > first else None
        )
        for cut in (np.s_[:, 0], np.s_[:, -1], np.s_[0], np.s_[-1]):
            inner = grid[cut]
            if outer is None:
                away = inner * [1.0, 1.0, 0.0]
                beyond = away / np.linalg.norm(away, axis=1)[:, None] * picture.body + inner * [
                    0.0,
                    0.0,
                    1.0,
                ]
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


def _add_marks(plotter: pv.Plotter, picture: Picture, stage: int, surface: Surface) -> None:
    """Lines, arrow, finish cylinder and words."""
    begin, sweep = _metal_range(picture)
    plotter.add_mesh(rings(picture), color=surface.quiet, line_width=1.5, lighting=False)
    plotter.add_mesh(arrow(picture), color=surface.quiet, lighting=False)
    plotter.add_mesh(finish_rims(picture), color=FINISH, line_width=3, lighting=False)
    plotter.add_mesh(finish_mesh(picture), color=FINISH, opacity=0.08, lighting=False)
    for theta in (begin, begin + sweep):
        edge = finish_mesh(picture, begin=theta, sweep=1e-6)
        plotter.add_mesh(edge.extract_feature_edges(), color=FINISH, line_width=3, lighting=False)
    low = low_outlines(picture) if stage == picture.last else pv.PolyData()
    if low.n_points:
        plotter.add_mesh(low, color=BLACK_EDGE, line_width=1.5, lighting=False)
    words = {name: place for name, place in _words(picture).items() if not hidden(picture, place)}
    plotter.add_point_labels(
        np.array(list(words.values())), [word.strip() for word in words], font_size=20,
        text_color=surface.ink,
        shape=None, show_points=False, always_visible=True, bold=False,
        justification_horizontal="center", justification_vertical="center",
    )  # fmt: skip
    if stage == picture.last:
        _add_spots(plotter, picture)


def hidden(picture: Picture, place: Array) -> bool:
    """Whether metal stands between a place [mm] and the eye where the view opens; its wall is taken
    as a cylinder.
    """
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
            np.array(places), words, font_size=18, text_color="#ffffff", shape="rect",
            shape_color=BLACK_LEFT,
            shape_opacity=1.0, point_color=BLACK_EDGE, point_size=10, render_points_as_spheres=True,
            always_visible=True,
        )  # fmt: skip


def _set_eye(plotter: pv.Plotter, picture: Picture, size: tuple[int, int]) -> None:
    """Put the camera where the view opens, so far off that everything is in the picture."""
    eye, up = picture.home[0], picture.upright[0]
    middle = np.array([0.0, 0.0, -0.5 * picture.length])
    side = np.cross(up, eye) / np.linalg.norm(np.cross(up, eye))
    above = np.cross(eye, side)
    theta = np.linspace(0.0, TURN, 25)
    rim = (
        1.25 * picture.body * np.stack([np.sin(theta), np.cos(theta), np.zeros_like(theta)], axis=1)
    )
    points = np.concatenate([rim - middle, rim + middle, [_foot(picture) - middle]])
    raised = 0.5 * float((points @ above).min() + (points @ above).max())
    middle, points = middle + raised * up, points - raised * up
    half = math.tan(0.25)
    need = np.maximum(np.abs(points @ side) * size[1] / size[0], np.abs(points @ above) / 0.86) / (
        0.94 * half
    )
    distance = float((points @ eye + need).max())
    plotter.camera.position = tuple(middle + distance * eye)
    plotter.camera.focal_point = tuple(middle)
    plotter.camera.up = tuple(up)
    plotter.camera.view_angle = math.degrees(0.5)
    plotter.reset_camera_clipping_range()


def painted(picture: Picture, stage: int, look: Look, begin: float, sweep: float) -> Array:
    """Colours 0..255 of the points of `wall_mesh`, shape (n, 3): hatched where the metal stays
    black.
    """
    colour_by, tops = look.colour_by, picture.tops | dict(look.tops)
    values = {
        "stock": picture.least,
        "thickness": lambda k: picture.thickness(k) * picture.step,
        "ripple": lambda k: picture.ripple(k) * picture.step,
        "layer": picture.uppermost,
    }[colour_by](stage)
    rows, table = clock_cells(picture, begin, sweep), _table(colour_by)
    if colour_by == "layer":
        out = np.where((values > 0)[..., None], table[(values - 1) % len(table)], rgb(LIGHT.metal))
    else:
        share = np.clip(values / tops[colour_by], 0.0, 1.0)
        out = table[(share * (len(table) - 1)).round().astype(int)]
    if colour_by == "stock":
        i, j = np.indices(values.shape)
        hatch = np.where(((i + j) % 9 < 3)[..., None], rgb(BLACK_EDGE), rgb(BLACK_LEFT))
        out = np.where((picture.stock[stage] < 0)[..., None], hatch, out)
    out = np.where(picture.judged[..., None], out, rgb(NOT_JUDGED))
    out = np.pad(out[rows], ((0, 0), (1, 1), (0, 0)), mode="edge").astype(np.uint8)
    return np.asarray(out.reshape(-1, 3, order="F"))


def _table(colour_by: str) -> Array:
    """Colours of a scale, shape (n, 3)."""
    if colour_by == "layer":
        return np.array([rgb(c) for c in LAYER_COLOURS])
    stops = {
        "stock": stock_scale(0.0, 1.0),
        "thickness": even_scale(THICKNESS),
        "ripple": even_scale(RIPPLE),
    }[colour_by]
    return np.array([mixed(stops, k / 255) for k in range(256)])


def _titled(image: Array, picture: Picture, stage: int, look: Look, surface: Surface) -> bytes:
    """The picture with its caption and legend, as a PNG."""
    drawing = Image.fromarray(image)
    pen, font, small = (
        ImageDraw.Draw(drawing),
        ImageFont.load_default(24),
        ImageFont.load_default(18),
    )
    pen.text((18, 12), stage_text(picture, stage), fill=surface.ink, font=font)
    pen.text((18, 44), MEANINGS[look.colour_by], fill=surface.quiet, font=small)
    right = drawing.width - 18
    for name, tint in reversed(_swatches(picture, look, surface)):
        right -= round(pen.textlength(name, font=small))
        pen.text((right, 12), name, fill=surface.ink, font=small)
        pen.rectangle((right - 32, 15, right - 8, 31), fill=tint, outline=surface.quiet)
        if tint == BLACK_LEFT:
            for x in range(right - 30, right - 9, 6):
                pen.line((x, 31, min(x + 10, right - 8), 15), fill=BLACK_EDGE, width=2)
        right -= 48
    if look.colour_by != "layer":
        _scale(pen, small, picture, look, surface, right)
    out = io.BytesIO()
    drawing.save(out, "PNG")
    return out.getvalue()


def _swatches(picture: Picture, look: Look, surface: Surface) -> list[tuple[str, str]]:
    out = [("finish", FINISH)]
    if not picture.judged.all():
        out.insert(0, ("not judged", NOT_JUDGED))
    if look.colour_by == "stock":
        out.insert(0, ("stays black", BLACK_LEFT))
    if look.colour_by == "layer":
        layers = range(1, min(max(picture.layers), 6) + 1)
        out = [("base", surface.metal), *((f"layer {k}", layer_colour(k)) for k in layers), *out]
    return out


def _scale(
    pen: ImageDraw.ImageDraw, font: Any, picture: Picture, look: Look, surface: Surface, right: int
) -> None:
    table, say = _table(look.colour_by), Lengths(picture.units)
    top = (picture.tops | dict(look.tops))[look.colour_by]
    for k, tint in enumerate(table):
        pen.line((right - 256 + k, 15, right - 256 + k, 31), fill=tuple(int(v) for v in tint))
    pen.rectangle((right - 257, 15, right, 31), outline=surface.quiet)
    pen.text((right - 257, 36), "0", fill=surface.ink, font=font)
    pen.text((right, 36), say.size(top), fill=surface.ink, font=font, anchor="ra")
