"""Solids and their files: volumes against elementary geometry and the exact sections, closedness by
trimesh and manifold3d, a layer of swept beads united by manifold3d against the closed form."""

import math
from dataclasses import replace

import manifold3d
import numpy as np
import pytest
import trimesh

from sim.bore import solid_files as mesh
from sim.bore.lay import Conditions, lay
from sim.bore.solid_files import WRITERS, _facet_lines, export
from sim.bore.solid_skin import DRAWN_BACK
from sim.bore.solids import deposit_solid, finished_bore, worn_part
from sim.bore.torch_way import Area, rings, spiral
from sim.bore.wall import Clock, Wall
from sim.laws.bead_shape import Bead
from sim.reference.arrays import TURN
from sim.reference.whole_files import LISTED
from tests.bore.facets import facet_error, swept_bead

STILL = (0.0, 0.0, 0.0, 0.0)
LENGTH = 30.0


def ngon(n):
    """Area of a regular n-gon over that of its circle: elementary geometry."""
    return n / TURN * math.sin(TURN / n)


def round_wall(radius, n=24):
    return Wall.round(Clock.even(n), radius, -10.0, LENGTH + 10.0)


def wall_of(radius_at, n=48, depth=None):
    clock = Clock.even(n)
    depth = np.linspace(-2.0, LENGTH + 2.0, 137) if depth is None else depth
    return Wall.from_radius(clock, depth, radius_at(clock.angle[:, None], depth[None, :]))


@pytest.fixture(scope="module")
def walls():
    """A worn wall and two layers on it, arcs off over a no-weld area; both layers end short of the
    far face.
    """
    clock = Clock.even(96)
    depth = np.array([-12.0, 10.0, 42.0])
    worn = 41.0 + 0.2 * np.cos(2 * clock.angle)[:, None] + 0.003 * depth
    out = [Wall.from_radius(clock, depth, worn)]
    conditions = Conditions(
        tie_in=0.5, fusion=1.5, gravity=0.2, hump=1.0, hump_length=11.0, taper_length=7.5
    )
    off = [Area(clock=(1.0, 2.2), depth=(8.0, 16.0))]
    for way in (
        spiral(0.0, 24.0, 3.5, closing=(1, 1)).without(off),
        rings(1.0, 22.0, 3.0, step_over=0.35, turning=-1).without(off),
    ):
        out.append(lay(out[-1], way, Bead(5.0, 1.8), 246.0, conditions).wall)
    return out


def closed(solid):
    """Every edge between exactly two facets that run it in opposite directions, and none without
    area.
    """
    edges = np.sort(solid.edges, axis=1)
    _, times = np.unique(edges, axis=0, return_counts=True)
    directed = len(np.unique(solid.edges, axis=0)) == len(solid.edges)
    return (
        bool((times == 2).all())
        and directed
        and solid.is_watertight
        and solid.is_winding_consistent
    )


def to_manifold(solid):
    made = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(solid.vertices, np.float32), np.asarray(solid.faces, np.uint32))
    )
    assert made.status() == manifold3d.Error.NoError
    return made


# ---- frame, ring
# ---------------------------------------------------------------------------------------------


def test_round_ring_has_the_volume_of_the_ngon():
    part = worn_part(round_wall(40.0), LENGTH, 60.0, 36, 5)
    assert closed(part)
    assert part.volume == pytest.approx(
        ngon(36) * math.pi * (60.0**2 - 40.0**2) * LENGTH, rel=1e-12
    )
    assert part.bounds[:, 2].tolist() == [0.0, LENGTH]
    # Pappus' theorem on the area of the hole: circumference of the polygon times length.
    inner = part.area_faces[np.hypot(*part.triangles_center[:, :2].T) < 40.0].sum()
    assert inner == pytest.approx(36 * 2 * 40.0 * math.sin(math.pi / 36) * LENGTH, rel=1e-12)


def test_three_oclock_is_x_and_six_oclock_is_y():
    pit = wall_of(
        lambda clock, z: 40.0 + 3.0 * (np.abs(clock - math.pi / 2) < 0.2) * (np.abs(z - 20.0) < 3.0)
    )
    part = worn_part(pit, LENGTH, 60.0, 48, 61)
    inside = part.vertices[np.hypot(part.vertices[:, 0], part.vertices[:, 1]) < 59.0]
    deepest = inside[np.argmax(np.hypot(inside[:, 0], inside[:, 1]))]
    assert deepest[0] > 42.0 and abs(deepest[2] - 20.0) <= 3.0
    down = wall_of(lambda clock, z: 40.0 + 2.0 * np.cos(clock - math.pi) + 0.0 * z)
    assert (
        worn_part(down, LENGTH, 60.0, 48, 5).center_mass[1] < 0.0
    )  # metal is missing at 6 o'clock


def test_outside_about_another_axis():
    part = worn_part(
        round_wall(40.0), LENGTH, 60.0, 180, 3, outside_shift=(2.0, -1.0, 0.005, 0.002)
    )
    assert closed(part)
    assert part.volume == pytest.approx(
        math.pi * (60.0**2 - 40.0**2) * LENGTH, rel=1.5 * (1.0 - ngon(180))
    )
    # Centre of a solid less a hole: the outside lies 2 + 0.005 z mm to -x of the torch axis, so on
    # average 2.075.
    assert part.center_mass[0] == pytest.approx(-2.075 * 60.0**2 / (60.0**2 - 40.0**2), rel=2e-3)


def test_wall_beyond_the_outside_is_refused():
    with pytest.raises(ValueError, match=r"outside_radius = 39 mm: must lie beyond the wall"):
        worn_part(round_wall(40.0), LENGTH, 39.0, 12, 3)
    with pytest.raises(ValueError, match=r"length = 99 mm"):
        worn_part(round_wall(40.0), 99.0, 60.0, 12, 3)
    with pytest.raises(ValueError, match=r"n_clock = 2, n_depth = 3"):
        worn_part(round_wall(40.0), LENGTH, 60.0, 2, 3)


# ---- layers
# --------------------------------------------------------------------------------------------------


def test_volumes_are_those_of_the_sections_within_the_shown_facet_error(walls):
    part = worn_part(walls[0], LENGTH, 60.0, 96, 121)
    error = facet_error(round_wall(60.0), walls[0], LENGTH, 96, 121)
    exact = round_wall(60.0, 96).volume_to(walls[0], 0.0, LENGTH)
    assert closed(part)
    assert part.volume - exact == pytest.approx(error.difference, abs=1e-9 * exact)
    assert abs(error.difference) <= error.volume < 0.001 * exact
    total = part.volume
    for before, after in zip(walls, walls[1:], strict=False):
        error = facet_error(before, after, LENGTH, 96, 121)
        exact = before.volume_to(after, 0.0, LENGTH)
        added = deposit_solid(before, after, LENGTH, 96, 121)
        taken = deposit_solid(after, before, LENGTH, 96, 121)
        volume = added.volume - (taken.volume if len(taken.faces) else 0.0)
        assert closed(added) and (closed(taken) or not len(taken.faces))
        assert abs(volume - exact) <= error.volume < 0.004 * exact
        assert volume - exact == pytest.approx(error.difference, abs=1e-7 * exact)
        total += volume
    whole = worn_part(walls[2], LENGTH, 60.0, 96, 121).volume
    assert total == pytest.approx(whole, rel=1e-6)  # the part and its layers fill the welded part


def test_facet_error_falls_with_the_square_of_the_facet():
    outer = wall_of(lambda clock, z: 41.0 + 0.3 * np.cos(2 * clock) + 0.0 * z, n=720)
    inner = wall_of(lambda clock, z: 39.0 + 0.2 * np.sin(3 * clock) + 0.4 * np.sin(z / 3.0), n=720)
    shown = [facet_error(outer, inner, LENGTH, n, n) for n in (30, 60, 120)]
    for coarse, fine in zip(shown, shown[1:], strict=False):
        assert coarse.volume / fine.volume == pytest.approx(4.0, rel=0.05)
        assert coarse.deviation / fine.deviation == pytest.approx(4.0, rel=0.1)
        assert abs(coarse.difference) <= coarse.volume


def test_facet_error_of_round_walls_is_that_of_the_ngon():
    error = facet_error(round_wall(60.0), round_wall(40.0), LENGTH, 36, 4)
    assert error.ngon == pytest.approx(ngon(36) - 1.0, rel=1e-12)
    assert error.sag == pytest.approx(60.0 - 60.0 * math.cos(math.pi / 36), rel=1e-12)
    # The chord at an eighth of a cell from its middle, along the radius.
    nearest = 60.0 * (1.0 - math.cos(math.pi / 36) / math.cos(math.pi / 36 / 4))
    assert error.deviation == pytest.approx(nearest, rel=1e-9)
    assert error.volume == pytest.approx(-error.difference, rel=0.05)


def test_layer_with_bare_wall_is_closed_and_keeps_off_it(walls):
    layer = deposit_solid(walls[0], walls[1], LENGTH, 96, 121)
    clock = np.mod(np.arctan2(layer.vertices[:, 0], -layer.vertices[:, 1]), TURN)
    bare = (np.abs(clock - 1.6) < 0.2) & (np.abs(layer.vertices[:, 2] - 12.0) < 0.5)
    assert not bare.any()
    assert layer.vertices[:, 2].max() < LENGTH  # the layer ends short of the far face
    assert layer.vertices[:, 2].min() == 0.0  # and runs past the entry face, where it is cut flat
    to_manifold(layer)


def test_no_layer_gives_an_empty_mesh():
    assert len(deposit_solid(round_wall(40.0), round_wall(40.0), LENGTH, 12, 4).faces) == 0


def test_metal_taken_from_ridges_is_the_layer_with_the_walls_exchanged():
    ridged = wall_of(lambda clock, z: 40.0 + 0.5 * np.sin(z) + 0.0 * clock)
    level = wall_of(lambda clock, z: 39.8 + 0.2 * np.cos(clock) + 0.0 * z)
    added = deposit_solid(ridged, level, LENGTH, 48, 301)
    taken = deposit_solid(level, ridged, LENGTH, 48, 301)
    assert closed(added) and closed(taken) and taken.volume > 500.0
    error = facet_error(ridged, level, LENGTH, 48, 301)
    assert added.volume - taken.volume == pytest.approx(
        ridged.volume_to(level, 0.0, LENGTH), abs=error.volume
    )
    assert added.volume - taken.volume == pytest.approx(
        ridged.volume_to(level, 0.0, LENGTH) + error.difference, abs=1.0
    )


@pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 0.97])
def test_scattered_metal_is_closed_also_after_a_file_of_single_numbers(share, tmp_path):
    rng = np.random.default_rng(7)
    for _ in range(12):
        n, m = int(rng.integers(3, 14)), int(rng.integers(2, 11))
        clock, depth = (
            Clock.even(n),
            np.concatenate([[-1.0], np.linspace(0.0, LENGTH, m), [LENGTH + 1.0]]),
        )
        radius = 40.0 + 0.3 * rng.random((n, m + 2))
        thick = np.where(rng.random((n, m + 2)) < share, 0.01 + 2.0 * rng.random((n, m + 2)), 0.0)
        outer = Wall.from_radius(clock, depth, radius, tolerance=0.0)
        inner = Wall.from_radius(clock, depth, radius - thick, tolerance=0.0)
        layer = deposit_solid(outer, inner, LENGTH, n, m)
        if not (thick[:, 1:-1] > 0.0).any():
            assert not len(layer.faces)
            continue
        (file,) = export({"layer": layer}, tmp_path, "stl")
        again = trimesh.load(file)  # trimesh unites points in the same place
        assert closed(layer) and closed(again)
        want = (
            outer.volume_to(inner, 0.0, LENGTH) + facet_error(outer, inner, LENGTH, n, m).difference
        )
        assert layer.volume == pytest.approx(want, rel=2.0 * DRAWN_BACK)
        assert to_manifold(layer).volume() == pytest.approx(layer.volume, rel=1e-4)


# A chequered wall meets itself in every corner; a slit of one edge lies inside one body; a line
# splits a layer.
@pytest.mark.parametrize(
    ("bare", "bodies"),
    [
        (lambda i, k: (i + k) % 2 == 0, None),
        (lambda i, k: (i == 5) & ((k == 4) | (k == 5)), 1),
        (lambda i, k: (k == 4) & ((i == 5) | (i == 6)), 1),
        (lambda i, k: (i == 5) & (k == 4), 1),
        (lambda i, k: k == 4, 2),
        (lambda i, k: (i == 3) | (i == 9), 2),
    ],
)
def test_bodies_that_would_touch_are_drawn_apart(bare, bodies):
    n, m = 12, 9
    depth = np.linspace(0.0, LENGTH, m)
    i, k = np.arange(n)[:, None], np.arange(m)[None, :]
    outer = Wall.from_radius(Clock.even(n), depth, np.full((n, m), 40.0), tolerance=0.0)
    inner = Wall.from_radius(
        Clock.even(n), depth, np.where(bare(i + 0 * k, k + 0 * i), 40.0, 38.0), tolerance=0.0
    )
    layer = deposit_solid(outer, inner, LENGTH, n, m)
    assert closed(layer)
    assert layer.vertices[:, 2].min() == 0.0 and layer.vertices[:, 2].max() == LENGTH
    if bodies is not None:
        assert layer.body_count == bodies
        assert len(to_manifold(layer).decompose()) == bodies


# ---- finished bore
# -------------------------------------------------------------------------------------------


def union_of_circles(a, b, apart):
    """Area of the union of two circles: elementary geometry (circular segments)."""
    u = (apart**2 + a**2 - b**2) / (2 * apart * a)
    v = (apart**2 + b**2 - a**2) / (2 * apart * b)
    kite = 0.5 * math.sqrt((-apart + a + b) * (apart + a - b) * (apart - a + b) * (apart + a + b))
    return math.pi * (a**2 + b**2) - (a**2 * math.acos(u) + b**2 * math.acos(v) - kite)


def test_finished_bore_keeps_the_black_side():
    bored = finished_bore(
        round_wall(40.0), LENGTH, 60.0, 40.2, (0.9, -0.4, 0.0, 0.0), n_clock=720, n_depth=3
    )
    hole = union_of_circles(40.0, 40.2, math.hypot(0.9, 0.4))
    assert closed(bored)
    assert bored.volume == pytest.approx(ngon(720) * (math.pi * 60.0**2 - hole) * LENGTH, rel=1e-6)


def test_finished_bore_that_cleans_up_is_a_cylinder_about_its_own_axis():
    tilted = (0.6, 0.3, -0.03, 0.01)
    bored = finished_bore(round_wall(38.0), LENGTH, 60.0, 40.0, tilted, n_clock=90, n_depth=21)
    assert closed(bored)
    inside = bored.vertices[: 90 * 21]
    x, y = (inside[:, c] + tilted[c] + tilted[c + 2] * inside[:, 2] for c in (0, 1))
    np.testing.assert_allclose(np.hypot(x, y), 40.0, rtol=1e-12)
    exact = math.pi * (60.0**2 - 40.0**2) * LENGTH  # Cavalieri: a leaning cylinder holds as much
    assert bored.volume == pytest.approx(exact, rel=1.5 * (1.0 - ngon(90)))


def test_finished_bore_smaller_than_the_wall_cuts_nothing():
    black = finished_bore(round_wall(40.0), LENGTH, 60.0, 39.0, STILL, n_clock=36, n_depth=3)
    assert black.volume == pytest.approx(
        worn_part(round_wall(40.0), LENGTH, 60.0, 36, 3).volume, rel=1e-12
    )


# ---- swept beads
# ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("turning", [1, -1])
@pytest.mark.parametrize(
    "way",
    [spiral(3.0, 10.0, 3.5, closing=(1, 0)), rings(3.0, 10.0, 3.5, step_over=0.5)],
    ids=["spiral", "rings"],
)
def test_swept_bead_has_the_volume_of_pappus(way, turning):
    bead, radius, foot = Bead(5.0, 2.0), 40.0, 0.1
    solid = swept_bead(
        replace(way, turning=turning), bead, radius, overlap=foot, n_clock=120, n_width=60
    )
    assert closed(solid)
    # Pappus: area times the way of its centroid; a parabola's lies at 2/5 of its height
    # (Archimedes). The axial
    # section of a screw sweep counts by its turn alone: the lead shears it.
    moment = 2.0 / 3.0 * 5.0 * 2.0 * (radius - 0.4 * 2.0) + 5.0 * foot * (radius + 0.5 * foot)
    assert solid.volume == pytest.approx(ngon(120) * moment * way.angle_on, rel=3e-4)


def test_swept_bead_starts_where_the_path_does_and_stops_where_the_arc_does():
    way = replace(
        spiral(5.0, 12.0, 3.5, start_clock=math.pi / 2), arcs=np.array([[0.0, 1.0], [2.0, 4.0]])
    )
    solid = swept_bead(way, Bead(5.0, 2.0), 40.0, overlap=0.1, n_clock=90, n_width=8)
    assert closed(solid) and solid.body_count == 2
    first, second = solid.split()
    assert second.volume / first.volume == pytest.approx(2.0, rel=1e-3)
    start = first.vertices[
        np.argmin(np.abs(np.arctan2(first.vertices[:, 0], -first.vertices[:, 1]) - math.pi / 2))
    ]
    assert start[0] > 37.0 and abs(start[2] - 5.0) <= 2.5
    with pytest.raises(ValueError, match="overlap = 0 mm"):
        swept_bead(way, Bead(5.0, 2.0), 40.0, overlap=0.0, n_clock=90, n_width=8)


@pytest.mark.parametrize("spacing", [0.5, 0.7, 0.9])
def test_united_beads_have_the_closed_form_of_separate_parabolas(spacing):
    """manifold3d's union of rings side by side: mean h (1 - x^2 / 3), ripple x^2 h over the wall
    (derived).
    """
    bead, radius, foot, n, turns = Bead(5.0, 2.0), 40.0, 0.1, 60, 6
    w, h, pitch = bead.width, bead.height, spacing * bead.width
    pieces = []
    for k in range(turns):
        ring = spiral(10.0 + k * pitch, 10.0 + k * pitch, pitch, closing=(1, 1))
        for begin, end in (
            (0.0, 0.6 * TURN),
            (0.5 * TURN, 1.1 * TURN),
        ):  # halves that overlap: no seam is left
            half = replace(ring, arcs=np.array([[begin, end]]))
            pieces.append(swept_bead(half, bead, radius, overlap=foot, n_clock=n, n_width=80))
    layer = manifold3d.Manifold.batch_boolean(
        [to_manifold(p) for p in pieces], manifold3d.OpType.Add
    )
    assert layer.status() == manifold3d.Error.NoError
    x2 = spacing**2
    mean, square = h * (1.0 - x2 / 3.0), h**2 * (1.0 - 2.0 * x2 / 3.0 + x2**2 / 5.0)
    ends, ends_square = (
        2.0 / 3.0 * w * h,
        8.0 / 15.0 * w * h**2,
    )  # the outer halves of the outermost beads
    between = (turns - 1) * pitch
    above = radius * (between * mean + ends) - 0.5 * (between * square + ends_square)
    below = (between + w) * foot * (radius + 0.5 * foot)
    exact = ngon(n) * TURN * (above + below)
    assert layer.volume() == pytest.approx(exact, rel=4e-4)
    points = layer.to_mesh().vert_properties[:, :3].astype(float)
    depth, r = points[:, 2], np.hypot(points[:, 0], points[:, 1])
    steady = r[(depth > 10.0 + pitch) & (depth < 10.0 + (turns - 2) * pitch) & (r < radius)]
    assert steady.max() - steady.min() == pytest.approx(x2 * h, rel=2e-3)


# ---- files
# ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("format", ["stl", "ply", "obj", "3mf"])
def test_files_read_back_as_they_were(format, walls, tmp_path):
    solids = {
        "worn part": worn_part(walls[0], LENGTH, 60.0, 48, 31),
        "layer-1": deposit_solid(walls[0], walls[1], LENGTH, 48, 31),
        "finished": finished_bore(
            walls[2], LENGTH, 60.0, 40.0, (0.2, 0.1, 0.0, 0.0), n_clock=48, n_depth=31
        ),
    }
    files = export(solids, tmp_path / "made" / "here", format)
    assert [f.name for f in files] == [f"{name}.{format}" for name in solids]
    beside = {p.name for p in files[0].parent.iterdir()}
    assert beside == {LISTED, *(f.name for f in files)}
    for solid, file in zip(solids.values(), files, strict=True):
        again = trimesh.load(file, force="mesh")
        assert closed(again) and len(again.faces) == len(solid.faces)
        assert again.volume == pytest.approx(solid.volume, rel=1e-6)
        np.testing.assert_allclose(again.bounds, solid.bounds, atol=4e-6)


def test_3mf_says_millimetres(tmp_path):
    part = worn_part(round_wall(40.0), LENGTH, 60.0, 12, 3)
    (file,) = export({"part": part}, tmp_path, "3mf")
    assert trimesh.load(file).units == "millimeter"


@pytest.mark.parametrize("format", ["obj", "3mf"])
def test_text_numbers_of_every_size(format, tmp_path):
    values = [
        0.0,
        -0.0,
        1e-6,
        -1e-6,
        4e-7,
        -4e-7,
        0.5,
        -0.5,
        9.999999,
        10.0,
        99.9999996,
        -1234.000001,
        9999.5,
    ]
    points = np.array(
        [
            (a, b, c)
            for a, b, c in zip(
                values, values[3:] + values[:3], values[7:] + values[:7], strict=True
            )
        ]
    )
    faces = np.array(
        [(k, (k + 1) % len(points), (k + 2) % len(points)) for k in range(len(points))]
    )
    odd = trimesh.Trimesh(points, faces, process=False)
    (file,) = export({"odd": odd}, tmp_path, format)
    again = trimesh.load(file, force="mesh", process=False, maintain_order=True)
    np.testing.assert_allclose(again.vertices, points, atol=5.1e-7, rtol=0)
    assert again.faces.tolist() == faces.tolist()


def test_whole_numbers_across_the_ten_thousands():
    faces = np.array(
        [
            [0, 9, 10],
            [9_999, 10_000, 10_001],
            [19_999, 20_000, 1_000_000],
            [10_000_000, 99_999_999, 123],
        ]
    )
    (text,) = _facet_lines(faces, b"f ", (b" ", b" "), b"\n")
    assert [
        [int(word) for word in line.split()[1:]] for line in text.decode().splitlines()
    ] == faces.tolist()
    assert b"\0" not in text and b"f 0 9 10\n" in text and b" 10001\n" in text


def test_long_files_are_written_in_parts(tmp_path, monkeypatch):
    part = worn_part(round_wall(40.0), LENGTH, 60.0, 12, 5)
    whole = {f: export({"whole": part}, tmp_path, f)[0].read_bytes() for f in ("stl", "ply", "obj")}
    monkeypatch.setattr(mesh, "CHUNK", 7)
    for format, data in whole.items():
        assert export({"parts": part}, tmp_path, format)[0].read_bytes() == data


def test_export_refuses_in_one_sentence_and_leaves_nothing(tmp_path, monkeypatch):
    part = worn_part(round_wall(40.0), LENGTH, 60.0, 12, 3)
    with pytest.raises(ValueError, match="format = 'step': must be one of stl, ply, obj, 3mf"):
        export({"part": part}, tmp_path, "step")
    for name in ("", "../part", "a/b", ".hidden", "a\0b"):
        with pytest.raises(ValueError, match="name = "):
            export({name: part}, tmp_path, "stl")
    with pytest.raises(ValueError, match="none: has no facets"):
        export(
            {"none": deposit_solid(round_wall(40.0), round_wall(40.0), LENGTH, 12, 3)},
            tmp_path,
            "stl",
        )
    (tmp_path / "file").write_text("a file, not a folder")
    with pytest.raises(ValueError, match=r"cannot be written to \(.+\); choose another folder"):
        export({"part": part}, tmp_path / "file", "stl")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_a_full_disk_keeps_the_old_files_whole(tmp_path, monkeypatch):
    part = worn_part(round_wall(40.0), LENGTH, 60.0, 12, 3)
    (old,) = export({"part": part}, tmp_path, "stl")
    before = old.read_bytes()

    def full(out, points, faces):
        out.write(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setitem(WRITERS, "stl", full)
    with pytest.raises(ValueError, match="No space left on device"):
        export({"other": part, "part": part}, tmp_path, "stl")
    assert {p.name for p in tmp_path.iterdir()} == {"part.stl", LISTED}
    assert old.read_bytes() == before
