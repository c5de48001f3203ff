"""What a picture shows is what the engine judged: minima, signs, places; and what the page holds is
the picture.
"""

import base64
import dataclasses
import json
import math
import re
import zlib

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from sim.bore.cylinders import Bored
from sim.bore.stock import stock_cells, stock_map
from sim.bore.wall import Wall
from sim.job.change import changed
from sim.job.read import load, parse
from sim.pictures.bore_3d.from_result import MOST_VALUES, _down, picture
from sim.pictures.bore_3d.page import (
    LOOK_MARK,
    Furniture,
    Look,
    packed,
    page,
    stage_text,
    with_look,
)
from sim.pictures.bore_3d.picture import nice
from sim.pictures.bore_3d.scene import _lines, furniture, low_outlines, wall_mesh
from sim.pictures.process.worker import _page
from sim.shop.run import simulate
from tests.conftest import ROOT, SMALL

SCENES = sorted((ROOT / "scenes").glob("*.toml"))
OFF_AXIS = (
    SMALL + "[axes]\ntorch_entry_mm = 0.6\ntorch_entry_at_oclock = 4\ntorch_far_mm = "
    "0.3\nfinish_entry_mm = 0.4\nfinish_far_mm = 0.9\nfinish_far_at_oclock = 8\n"
)
HOLE = SMALL + "[[oil_hole]]\nat_oclock = 5\ndepth_mm = 22.3\ndiameter_mm = 6\nclear_mm = 1.1\n"


def unpacked(data, shape):
    """What `packed` packed."""
    n = shape[0] * shape[1] * shape[2]
    low, high = (np.frombuffer(data, np.uint8, n, k * n).astype(np.int32) for k in (0, 1))
    folded = low | high << 8
    step = (folded >> 1) ^ -(folded & 1)
    return np.cumsum(step.reshape(shape), axis=1, dtype=np.int32).astype(np.int16)


@pytest.fixture(scope="module")
def result():
    return simulate(parse(SMALL))


@pytest.fixture(scope="module")
def seen(result):
    return picture(result)


def data_of(html):
    """Numbers and bytes of a page, read as any program would: JSON, base 64 and zlib."""
    meta = json.loads(re.search(r'id="meta">(.*?)</script>', html, re.S)[1])
    raw = zlib.decompress(base64.b64decode(re.search(r'id="maps">(.*?)</script>', html, re.S)[1]))
    return meta, [raw[at : at + size] for at, size in meta["places"]]


# ---- the picture
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_least_stock_of_the_picture_is_the_engine_s(path):
    result = simulate(load(path))
    seen = picture(result)
    level = np.where(seen.judged, seen.stock[-1], 32767)
    assert level.min() == math.floor(result.stock.spot.value / seen.step)
    assert seen.stock.size <= MOST_VALUES * 1.05
    for mark, spot in zip(seen.marks, result.low_spots, strict=True):
        i = int(mark.ray / (2 * math.pi) * seen.stock.shape[1])
        j = int(np.clip(np.searchsorted(seen.edges, mark.depth) - 1, 0, len(seen.edges) - 2))
        near = level[i, max(j - 1, 0) : j + 2].min() * seen.step
        assert near <= spot.stock + seen.step


def test_every_cell_is_the_least_of_a_fine_walk_over_the_wall(result, seen):
    """Against the wall read at 80 depths a cell at every column: as low, and lower by no more than
    one step of the walk.
    """
    cells = (result.start.clock.angle * (seen.stock.shape[1] / (2 * math.pi))).astype(int)
    rng = np.random.default_rng(4)
    for stage, wall in enumerate(result.walls, 1):
        for j in rng.choice(len(seen.edges) - 1, 12, replace=False):
            depth = np.linspace(seen.edges[j], seen.edges[j + 1], 80)
            heights = stock_map(wall, result.finish, result.axes.torch, depth)
            walk, missed = heights.min(axis=1), np.abs(np.diff(heights, axis=1)).max()
            shown = seen.stock[stage][cells, j] * seen.step
            alone = np.array([walk[cells == c].min() for c in cells])
            assert (shown <= alone + 1e-9).all()
            assert (shown >= alone - seen.step - missed - 1e-9).all() and missed < 0.015


def test_signs_survive_sixteen_bits():
    result = simulate(changed(parse(SMALL), {"layer.pitch_mm": 4.7}))
    seen = picture(result)
    exact = stock_cells(
        result.layers[-1].wall, result.finish, result.axes.torch, seen.edges, seen.stock.shape[1]
    )
    assert (exact < 0).any() and (exact > 0).any()
    assert ((seen.stock[-1] < 0) == (exact < 0)).all()
    assert np.abs(seen.least(seen.last) - exact).max() <= 0.5 * seen.step + 1e-12


def with_scratch(result, column, depth, width=0.02, deep=3.0):
    """The result with a scratch much narrower than a cell cut into one column of the last wall."""
    wall = result.layers[-1].wall
    z = np.unique(
        np.concatenate([np.linspace(0.0, 40.0, 2001), depth + np.array([-0.5, 0.0, 0.5]) * width])
    )
    r = wall.radius(z)
    r[column, np.abs(z - depth) < 1e-9] += deep
    last = dataclasses.replace(result.layers[-1], wall=Wall.from_radius(wall.clock, z, r))
    return dataclasses.replace(result, layers=(*result.layers[:-1], last))


@pytest.mark.parametrize("most", [MOST_VALUES, 60_000])
def test_a_valley_of_a_fiftieth_of_a_millimetre_is_kept(result, most):
    column, depth = 41, 21.37
    scratched = with_scratch(result, column, depth)
    before, after = picture(result, most=most), picture(scratched, most=most)
    bottom = stock_map(
        scratched.layers[-1].wall, result.finish, result.axes.torch, np.array([depth])
    )[column, 0]
    i = int(result.start.clock.angle[column] / (2 * math.pi) * after.stock.shape[1])
    j = int(np.searchsorted(after.edges, depth)) - 1
    assert after.stock[-1][i, j] == math.floor(bottom / after.step) < 0
    assert before.stock[-1][i, j] > 0
    assert after.worst == pytest.approx((result.start.clock.angle[column], depth), abs=0.5)


def test_radius_is_the_largest_of_each_cell(result, seen):
    """Against the engine asked for the largest distance from the torch axis: no axes apart, so the
    same figure.
    """
    torch = result.axes.torch
    for stage, wall in enumerate(result.walls, 1):
        largest = -stock_cells(wall, Bored(torch, 0.0), torch, seen.edges, seen.stock.shape[1])
        assert np.abs(seen.wall_radius(stage) - largest).max() <= 0.5 * seen.step + 1e-9


def test_points_stand_where_their_stock_says_when_no_two_axes_agree():
    """Distance from the finish axis, measured anew from the points, is the finish radius less the
    stock.
    """
    result = simulate(parse(OFF_AXIS))
    seen = picture(result)
    points = seen.points(seen.last)
    depth = -points[..., 2]
    x, y = result.finish.axis.at(depth)
    distance = np.hypot(points[..., 0] - x, points[..., 1] + y)
    assert np.abs(result.finish.radius - distance - seen.least(seen.last)).max() < 1e-9
    xt, yt = result.axes.torch.at(depth)
    clock = np.mod(np.arctan2(points[..., 0] - xt, points[..., 1] + yt), 2 * math.pi)
    assert np.abs(clock - seen.clock[:, None]).max() < 1e-9


def test_what_is_not_judged_is_marked_and_takes_no_part():
    result = simulate(parse(HOLE))
    seen = picture(result)
    angle, depth = np.radians(150.0), 22.3
    across = (np.mod(seen.clock - angle + np.pi, 2 * np.pi) - np.pi) * 40.0
    away = np.hypot(across[:, None], seen.depth[None, :] - depth)
    cell = math.hypot(2 * np.pi * 40.0 / len(seen.clock), float(np.diff(seen.edges).max()))
    assert not seen.judged[away < 4.1 - cell].any()
    inside = (seen.depth > 1.0) & (seen.depth < 39.0)
    assert seen.judged[(away > 4.1 + cell) & inside].all()
    assert not seen.judged[:, ~inside].any()
    assert seen.stock[-1][~seen.judged].min() < seen.stock[-1][seen.judged].min()
    assert seen.stock[-1][seen.judged].min() == math.floor(result.stock.spot.value / seen.step)


def test_stages_begin_with_the_worn_bore(result, seen):
    assert seen.stages == ("worn bore", "pre-bored", "layer 1", "layer 2") and seen.before == 1
    worn = seen.wall_radius(0)
    assert worn.min() == pytest.approx(41.1, abs=0.002) and worn.max() == pytest.approx(
        41.4, abs=0.002
    )
    assert seen.wall_radius(1) == pytest.approx(41.5, abs=0.001)
    plain = picture(simulate(parse(SMALL.replace("[pre_bore]\ndiameter_mm = 83.0\n", ""))))
    assert plain.stages[0] == "worn bore" and plain.before == 0 and len(plain.stages) == 3
    assert [stage_text(seen, k) for k in range(4)] == [
        "Worn bore",
        "Pre-bored",
        "After layer 1 of 2",
        "After layer 2 of 2",
    ]


def test_a_cut_between_layers_is_a_stage_and_takes_metal_away():
    sizes = {
        "layer.1.repeat": 3,
        "layer.1.pitch_mm": 4.7,
        "job.stage": "after the finish cut",
        "job.layers_done": 2,
    }
    result = simulate(changed(parse(SMALL), sizes))
    seen = picture(result)
    assert seen.stages == (
        "worn bore",
        "pre-bored",
        "layer 1",
        "layer 2",
        "cut",
        "layer 3",
    ) and seen.layers == (
        0,
        0,
        1,
        2,
        0,
        3,
    )
    assert (
        stage_text(seen, 4) == "After the finish cut"
        and stage_text(seen, 5) == "After layer 3 of 3"
    )
    cut = seen.least(4)
    assert (cut <= 0.5 * seen.step + 1e-9).all() and (seen.left(3, 4) == seen.stock[4]).all()
    metal = [seen.left(k, 5) for k in range(6)]
    assert all((b >= a).all() for a, b in zip(metal, metal[1:], strict=False))
    assert set(np.unique(seen.uppermost(4))) <= {0, 1, 2} and (seen.uppermost(5) == 3).any()


def test_many_layers_stay_small_and_keep_their_minimum():
    scene = changed(
        load(ROOT / "scenes" / "cleans_up.toml"),
        {
            "layer.1.repeat": 8,
            "bore.far_from_original": True,
            "worn.diameter_mm": 120.0,
            "pre_bore.diameter_mm": 121.0,
        },
    )
    result = simulate(scene)
    seen = picture(result, most=300_000)
    assert seen.stock.size <= 330_000 and seen.stock.shape[1] % 8 == 0
    assert np.where(seen.judged, seen.stock[-1], 32767).min() == math.floor(
        result.stock.spot.value / seen.step
    )


@pytest.mark.parametrize(
    ("inclination", "top", "expected"),
    [
        (0, 0, (0, -1, 0)),
        (90, 0, (0, 0, -1)),
        (-90, 5, (0, 0, 1)),
        (0, 3, (-1, 0, 0)),
        (30, 0, (0, -math.cos(math.pi / 6), -0.5)),
    ],
)
def test_gravity_points_down(inclination, top, expected):
    """By hand: with 3 o'clock on top the pull is towards 9; downhill from the entry face it pulls
    inwards, along -z.
    """
    assert _down(math.radians(inclination), math.radians(30 * top)) == pytest.approx(
        expected, abs=1e-12
    )


def test_ripple_thickness_and_layer_against_plain_loops(seen):
    for stage in (1, 2, 3):
        q, w = seen.stock[stage].astype(int), seen.windows[stage]
        for i, j in ((0, 0), (50, 57), (95, seen.stock.shape[2] - 1), (33, 90)):
            assert seen.ripple(stage)[i, j] == max(q[i, max(0, j - w) : j + w + 1]) - q[i, j]
            assert seen.thickness(stage)[i, j] == q[i, j] - int(seen.stock[stage - 1][i, j])
    assert set(np.unique(seen.uppermost(3))) <= {0, 1, 2} and (seen.uppermost(3) == 2).mean() > 0.95
    assert not seen.uppermost(1).any()


def test_ripple_in_the_middle_agrees_with_the_engine_s(result, seen):
    """Highest less lowest of the map within half a pitch reaches the engine's crest less valley,
    column by column.
    """
    j = np.searchsorted(seen.edges, [12.0, 28.0])
    for k, layer in enumerate(result.layers):
        drawn = (seen.ripple(2 + k)[:, j[0] : j[1]] * seen.step).max(axis=1).max()
        assert drawn == pytest.approx(layer.ripple, abs=0.12 * layer.ripple + 0.02)


def test_home_looks_at_the_worst_place_through_the_cut():
    for path in SCENES:
        seen = picture(simulate(load(path)))
        eye, cut = seen.home
        assert (
            np.linalg.norm(eye) == pytest.approx(1.0)
            and eye[:2] @ [math.sin(cut), math.cos(cut)] > 0
        )
        assert eye[2] * math.copysign(1.0, eye @ -seen.upright[1]) > -1e-9
        up, ahead, right = seen.upright
        assert np.stack([up, ahead, right]) @ np.stack([up, ahead, right]).T == pytest.approx(
            np.eye(3), abs=1e-12
        )


def test_digest_tells_every_difference(seen):
    level = seen.stock.copy()
    level[3, 11, 7] += 1
    others = [
        dataclasses.replace(seen, stock=level),
        dataclasses.replace(seen, name="another"),
        dataclasses.replace(seen, units="in"),
        dataclasses.replace(seen, down=seen.down + np.array([0, 0, 1e-9])),
        dataclasses.replace(seen, least_cut=0.3),
    ]
    assert len({one.digest for one in (seen, *others)}) == 6
    assert dataclasses.replace(seen).digest == seen.digest


def test_nice_ends_of_scales():
    assert [nice(v) for v in (0.051, 0.1, 0.79, 1.01, 9.1, 2.0)] == [0.06, 0.1, 0.8, 1.2, 10.0, 2.0]


# ---- the page
# -----------------------------------------------------------------------------------------------------


@given(arrays.arrays(np.int16, st.tuples(*[st.integers(1, 5)] * 3)))
def test_packing_loses_nothing(stock):
    assert (unpacked(packed(stock), stock.shape) == stock).all()


def test_page_holds_the_picture(seen):
    lines = Furniture(
        np.arange(9, dtype=np.float32).reshape(3, 3), np.array([[0, 1], [1, 2]], np.uint32)
    )
    meta, parts = data_of(page(seen, {"low": lines}))
    assert (unpacked(parts[0], tuple(meta["shape"])) == seen.stock).all()
    bits = np.unpackbits(np.frombuffer(parts[1], np.uint8))[: seen.judged.size]
    assert (bits.reshape(seen.judged.shape) == seen.judged).all()
    assert np.frombuffer(parts[2], "<f4").tolist() == list(range(9))
    assert np.frombuffer(parts[3], "<u4").tolist() == [0, 1, 1, 2]
    assert meta["edges"] == pytest.approx(seen.edges, abs=1e-5)
    assert meta["step"] == seen.step and meta["radius"] == seen.radius


def test_page_asks_no_host_and_is_small(seen):
    html = with_look(page(seen, {}), Look())
    assert not re.search(
        r"https?:|//[a-z0-9-]+\.[a-z]|@import|src=|href=|\bfetch\(|XMLHttpRequest|WebSocket|sendBeacon",
        html,
    )
    assert "default-src 'none'" in html and "connect-src" not in html
    assert len(html) < 1_000_000


def test_words_of_a_person_cannot_break_the_page(seen):
    name = "</script><script>alert(1)</script> __MAPS__ __LOOK__ & <b>"
    html = with_look(page(dataclasses.replace(seen, name=name), {}), Look(keep="</script>"))
    assert data_of(html)[0]["name"] == name
    assert json.loads(re.search(r'id="look">(.*?)</script>', html, re.S)[1])["keep"] == "</script>"
    assert "alert(1)</script>" not in html and html.count("<script") == 4
    assert LOOK_MARK in json.dumps(data_of(html)[0])


def test_looks_that_nobody_knows_are_refused():
    with pytest.raises(ValueError, match="colour_by = 'heat'"):
        Look(colour_by="heat")
    with pytest.raises(ValueError, match="theme = 'blue'"):
        Look(theme="blue")


# ---- the pyvista scene
# -------------------------------------------------------------------------------------------


def cylinder(radius=45.0, length=60.0):
    """A result-free picture of a plain cylinder, 5 mm wider than its finish, as every stage."""
    base = picture(simulate(parse(SMALL)))
    edges = np.linspace(0.0, length, 121)
    level = np.full((1, 720, 120), round((base.radius - radius) / base.step), np.int16)
    still = dict(
        stages=("worn bore",),
        layers=(0,),
        windows=(4,),
        before=0,
        judged=np.ones((720, 120), bool),
        marks=(),
    )
    return dataclasses.replace(base, stock=level, edges=edges, length=length, **still)


def test_wall_mesh_of_a_cylinder_has_its_area():
    """2 pi R L, measured by pyvista on the triangles; a 720-sided prism is smaller by 3e-6."""
    seen = cylinder()
    radius = float(seen.wall_radius(0)[0, 0])
    surface = wall_mesh(seen, 0).extract_surface(algorithm=None)
    assert surface.area == pytest.approx(2 * math.pi * radius * 60.0, rel=1e-5)
    half = wall_mesh(seen, 0, begin=1.0, sweep=math.pi).extract_surface(algorithm=None)
    assert half.area == pytest.approx(math.pi * radius * 60.0, rel=4e-3)
    assert surface.bounds == pytest.approx((-radius, radius, -radius, radius, -60.0, 0.0), abs=1e-2)


def test_outlines_lie_on_the_finish_surface_and_round_every_low_spot():
    """Area inside the outlines, unrolled and measured by shapely, against the engine's exact areas
    of the low spots.

    A cell counts as its lowest point, so the outlines run up to a cell outside: the area is larger
    by at most that rim.
    """
    result = simulate(changed(parse(SMALL), {"layer.pitch_mm": 4.7, "grid.columns": 720}))
    seen = picture(result)
    lines = _lines(low_outlines(seen))
    points = lines.points.astype(float)
    assert np.abs(np.hypot(points[:, 0], points[:, 1]) - 40.0).max() < 0.01
    theta = np.mod(np.arctan2(points[:, 0], points[:, 1]) - math.pi, 2 * math.pi)
    flat = np.stack([theta * 40.0, -points[:, 2]], axis=1)
    joined = [
        shapely.LineString(flat[pair])
        for pair in lines.joined
        if abs(flat[pair[0], 0] - flat[pair[1], 0]) < 60.0
    ]
    found = shapely.get_parts(shapely.polygonize(joined))
    exact = sum(spot.area for spot in result.low_spots)
    cell = max(float(np.diff(seen.edges).max()), 2 * math.pi * 40.0 / 720)
    inside = sum(p.area for p in found)
    assert exact < inside < exact + cell * sum(p.length for p in found)
    for spot in result.low_spots[:3]:
        at = shapely.Point(np.mod(spot.at_clock - math.pi, 2 * math.pi) * 40.0, spot.at_depth)
        assert any(p.buffer(cell).contains(at) for p in found)


def test_furniture_of_a_sound_bore_has_no_outlines(seen):
    made = furniture(seen)
    assert (seen.stock[-1][seen.judged] >= 0).all() and len(made["low"].joined) == 0
    tip = made["arrow"].points[(made["arrow"].points @ seen.down).argmax()]
    foot = made["arrow"].points[(made["arrow"].points @ seen.down).argmin()]
    along = (tip - foot) / np.linalg.norm(tip - foot)
    assert along @ seen.down > 0.95
    for item in made.values():
        assert np.isfinite(item.points).all()
        assert item.joined.size == 0 or item.joined.max() < len(item.points)


def test_default_job_weighs_less_than_three_megabytes():
    scene = load(ROOT / "scenes" / "cleans_up.toml")
    for repeat, worn in ((2, None), (4, 86.0)):
        sizes = {"layer.1.repeat": repeat} | (
            {
                "bore.far_from_original": True,
                "worn.diameter_mm": worn,
                "pre_bore.diameter_mm": worn + 1,
            }
            if worn
            else {}
        )
        html = _page(picture(simulate(changed(scene, sizes))))
        assert len(html.encode()) < 3_000_000
