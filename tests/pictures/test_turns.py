"""The job turn by turn: what is sent against the engine's wall of a way cut short by hand, sizes,
and the film.
"""

from __future__ import annotations

import dataclasses
import io
import math
import re
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from PIL import Image
from streamlit.testing.v1 import AppTest

from sim.bore.cylinders import bored
from sim.bore.lay import lay
from sim.job.change import changed
from sim.job.files import shipped
from sim.job.read import load, parse
from sim.pictures.bore_3d.page import Look, with_look
from sim.pictures.colours import BLACK_LEFT, rgb
from sim.pictures.process.keeper import Viewer
from sim.pictures.process.worker import _turns
from sim.pictures.turn_by_turn import film
from sim.pictures.turn_by_turn.film_frames import SIZE
from sim.pictures.turn_by_turn.film_shots import KINDS, FilmFault, durations
from sim.pictures.turn_by_turn.film_shots import film as film_of
from sim.pictures.turn_by_turn.growth import UNIT, columns_of, growth
from sim.pictures.turn_by_turn.page import packed_rows
from sim.set_up import layers
from sim.shop.run import simulate
from tests.conftest import ROOT, SMALL

STEP = {"layer.advance": "step", "layer.turning": "counter-clockwise", "layer.step_over_deg": 20}
CUT = {
    "layer.1.repeat": 3,
    "layer.1.pitch_mm": 4.7,
    "job.stage": "after the finish cut",
    "job.layers_done": 2,
}
TIGHT = {"process.depth_of_fusion_mm": 0.1, "process.tie_in": 1.0, "layer.pitch_mm": 2.6}
JOBS = {
    "spiral": parse(SMALL),
    "steps counter-clockwise": changed(parse(SMALL), STEP),
    "cut between layers": changed(parse(SMALL), CUT),
    "re-melting held back": changed(parse(SMALL), TIGHT),
    "oil hole, keyway, closing turns": changed(
        load(ROOT / "scenes" / "oil_hole.toml"), {"grid.columns": 96}
    ),
}


@pytest.fixture(scope="module")
def small():
    return simulate(JOBS["spiral"])


@pytest.fixture(scope="module")
def small_growth(small):
    return growth(small)


def engine_at(result, number, turned):
    """The engine's wall on every column with the way cut off at an angle, all else as in the job:
    cut here by hand.
    """
    setting, wall = result.layers[number - 1].setting, result.walls[number - 1]
    if (
        result.scene.job.stage == "after the finish cut"
        and result.scene.job.layers_done == number - 1
    ):
        wall = bored(wall, result.finish, result.axes.torch)
    way, inner = setting.path, setting.path.phi[setting.path.phi < turned]
    phi = np.append(inner, turned)
    short = dataclasses.replace(way, phi=phi, depth=np.interp(phi, way.phi, way.depth))
    conditions = layers.conditions(result.scene, setting, result.tie_in.nominal)
    return lay(wall, short, setting.bead, setting.q, conditions).wall


def read(rows, z):
    """Radius [mm] at depths z from piece rows in mm, nan outside them."""
    out = np.full(len(z), np.nan)
    for z0, z1, first, middle, last in rows:
        here = (z >= z0) & (z <= z1)
        if z1 > z0 and here.any():
            s = (z[here] - z0) / (z1 - z0)
            out[here] = (
                first * (1 - s) * (1 - 2 * s) + 4 * middle * s * (1 - s) + last * s * (2 * s - 1)
            )
    return out


def replayed(grown, number, turned, i, z):
    """Radius [mm] of column i from what is sent, pass after pass, by plain loops: the slow twin of
    the page.
    """
    radius = None
    for layer in grown.layers[:number]:
        if layer.begun_on is not None:
            ends = np.cumsum(layer.begun_on.count[0])
            rows = layer.begun_on.rows * UNIT
            radius = read(rows[ends[i] - layer.begun_on.count[0, i] : ends[i]], z)
        count = layer.passes.count.astype(int)
        ends = np.cumsum(count.ravel()).reshape(count.shape)
        first = (layer.path.turning * (grown.clock[i] - layer.path.start_clock)) % (2 * math.pi)
        for k in range(len(count)):
            if layer.number == number and first + 2 * math.pi * k > turned:
                break
            now = read(layer.passes.rows[ends[k, i] - count[k, i] : ends[k, i]] * UNIT, z)
            radius = np.where(np.isnan(now), radius, now)
    return radius


@pytest.mark.parametrize("name", JOBS)
def test_what_is_sent_is_the_engine_s_wall_at_every_time(name):
    """Radius at 700 depths of every seventh column, at seven times in every layer, to two units of
    what is sent.
    """
    result = simulate(JOBS[name])
    grown, columns = growth(result), columns_of(result)
    assert (sum(layer.remelted for layer in result.layers) > 0) == name.startswith("re-melting")
    z = np.linspace(0.003, result.scene.bore.length - 0.003, 700)
    for layer in grown.layers:
        for share in (0.003, 0.11, 0.29, 0.5, 0.73, 0.97, 1.0):
            turned = share * layer.angle
            wall = engine_at(result, layer.number, turned).only(columns).radius(z)
            for i in range(0, len(columns), 7):
                assert replayed(grown, layer.number, turned, i, z) == pytest.approx(
                    wall[i], abs=2 * UNIT
                ), (share, i)


@pytest.mark.parametrize("name", JOBS)
def test_grown_to_the_end_it_is_the_wall_judged(name):
    result = simulate(JOBS[name])
    grown, columns = growth(result), columns_of(result)
    z = np.linspace(0.003, result.scene.bore.length - 0.003, 700)
    for k, layer in enumerate(result.layers, 1):
        assert engine_at(result, k, grown.layers[k - 1].angle).radius(z) == pytest.approx(
            layer.wall.radius(z), abs=1e-12
        )
        assert replayed(grown, k, math.inf, 5, z) == pytest.approx(
            layer.wall.radius(z)[columns[5]], abs=2 * UNIT
        )


def test_half_way_is_not_the_end(small, small_growth):
    """The comparison above can fail: half a turn of the torch is seen."""
    z = np.linspace(0.003, 39.997, 700)
    turned = 0.5 * small_growth.layers[0].angle
    now, later = (engine_at(small, 1, t).radius(z) for t in (turned, turned + math.pi))
    moved = np.abs(now - later).max(axis=1) > 0.5
    assert 0.45 < moved.mean() < 0.55


def test_a_column_changes_once_for_every_time_the_torch_passes_it_with_the_arc_on():
    """Counted from the way alone: angles at which the torch stands over the column, inside an arc."""
    result = simulate(JOBS["oil hole, keyway, closing turns"])
    grown = growth(result)
    for layer in grown.layers:
        way = layer.path
        for i, angle in enumerate(grown.clock):
            first = (way.turning * (angle - way.start_clock)) % (2 * math.pi)
            over = np.arange(first, layer.angle + 1e-12, 2 * math.pi)
            on = [bool(((way.arcs[:, 0] <= p) & (p <= way.arcs[:, 1])).any()) for p in over]
            assert (layer.passes.count[: len(on), i] > 0).tolist() == on
            assert not layer.passes.count[len(on) :, i].any()
    assert any((layer.passes.count == 0).any() for layer in grown.layers)


def test_a_place_in_the_middle_is_passed_by_as_many_pools_as_lie_over_it(small, small_growth):
    """Width over pitch lies between 1 and 2 here, a pool reaches at most half a width further: 1 to
    3 passes a place.
    """
    layer, setting = small_growth.layers[0], small.layers[0].setting
    assert 1.0 < 0.7 * setting.bead.width / setting.path.pitch * 1.3 < 2.0
    rows = layer.passes.rows * UNIT
    passes = np.zeros(200, dtype=int)
    column = np.tile(np.arange(len(small_growth.clock)), len(layer.passes.count))
    owner = np.repeat(column, layer.passes.count.ravel())
    for z0, z1, *_ in rows[owner == 30]:
        passes += (np.linspace(10.0, 30.0, 200) >= z0) & (np.linspace(10.0, 30.0, 200) <= z1)
    assert passes.min() >= 1 and passes.max() <= 3 and passes.max() >= 2


def test_times_follow_from_turns_and_rotation(small, small_growth):
    for layer, made in zip(small_growth.layers, small.layers, strict=True):
        assert layer.seconds == pytest.approx(
            made.setting.path.turns * 2 * math.pi / made.setting.rotation
        )
    assert small_growth.seconds == pytest.approx(
        sum(layer.seconds for layer in small_growth.layers)
    )


# ---- the page
# ------------------------------------------------------------------------------------------------------


@given(
    arrays(
        np.int32,
        st.tuples(st.integers(1, 6), st.just(5)),
        elements=st.integers(-(2**30), 2**30 - 1),
    )
)
def test_packed_rows_lose_nothing(rows):
    n = rows.size
    planes = np.frombuffer(packed_rows(rows), np.uint8).reshape(4, n).astype(np.uint64)
    folded = sum(planes[k] << np.uint64(8 * k) for k in range(4)).astype(np.int64)
    step = ((folded >> 1) ^ -(folded & 1)).reshape(5, -1)
    assert (rows == np.cumsum(step, axis=1).astype(np.int32).T).all()


def test_page_is_small_and_asks_no_host():
    """Every shipped job and one of 2000 turns: under 2.5 MB, the reference job under half a
    megabyte.
    """
    long = {
        "bore.length_mm": 900.0,
        "layer.1.repeat": 5,
        "layer.1.pitch_mm": 2.4,
        "bore.far_from_original": True,
        "worn.diameter_mm": 140.0,
        "pre_bore.diameter_mm": 141.0,
    }
    scenes = {path.stem: load(path) for path in shipped()}
    scenes["2000 turns"] = changed(scenes["cleans_up"], long)
    for name, scene in scenes.items():
        grown = growth(simulate(scene))
        assert grown.picture.stock.shape[1] == len(grown.clock) >= 96, name
        html = with_look(_turns(grown), Look())
        assert len(html) < (500_000 if name == "cleans_up" else 2_500_000), (name, len(html))
        assert not re.search(
            r"https?:|//[a-z0-9-]+\.[a-z]|@import|src=|href=|\bfetch\(|XMLHttpRequest|WebSocket|sendBeacon",
            html,
        )
        assert "default-src 'none'" in html and "connect-src" not in html


def test_words_of_a_person_cannot_break_the_page(small_growth):
    named = dataclasses.replace(small_growth.picture, name="</script><script>alert(1)</script>")
    html = _turns(dataclasses.replace(small_growth, picture=named))
    assert "alert(1)</script>" not in html and html.count("<script") == 4


def test_digest_tells_every_difference(small_growth):
    layer = small_growth.layers[0]
    rows = layer.passes.rows.copy()
    rows[3, 2] += 1
    other = dataclasses.replace(layer, passes=dataclasses.replace(layer.passes, rows=rows))
    faster = dataclasses.replace(layer, rotation=2 * layer.rotation)
    rest = small_growth.layers[1:]
    all_of = {
        small_growth.digest,
        *(dataclasses.replace(small_growth, layers=(one, *rest)).digest for one in (other, faster)),
    }
    assert len(all_of) == 3 and dataclasses.replace(small_growth).digest == small_growth.digest


def test_a_dead_worker_is_a_sentence(small_growth):
    keeper = Viewer(command=(sys.executable, "-c", "pass"), wait=5.0)
    shown = keeper.turns(small_growth, Look())
    assert shown.html is None and shown.reason.startswith("The 3-D worker")


# ---- the film
# ------------------------------------------------------------------------------------------------------


@given(st.integers(2, 150), st.integers(500, 6000))
def test_durations_add_up_to_the_length(frames, hundredths):
    seconds = hundredths / 100
    times = durations(frames, seconds)
    assert (
        len(times) == frames and sum(times) == 10 * hundredths and all(t % 10 == 0 for t in times)
    )


@pytest.fixture(scope="module")
def shots(small, small_growth):
    return film_of(small, small_growth, frames=9, seconds=4.0)


def test_frames_are_the_engine_s_walls(small, small_growth, shots):
    """First frame before the arc, last the wall judged, in between the way cut short by hand."""
    seen = small_growth.picture
    assert (shots.shots[0].level == seen.stock[seen.before]).all() and (
        shots.shots[-1].level == seen.stock[-1]
    ).all()
    whole = sum(layer.angle for layer in small_growth.layers)
    for k in (2, 6):
        place = whole * k / 8
        number = 1 if place <= small_growth.layers[0].angle else 2
        turned = place - (number - 1) * small_growth.layers[0].angle
        wall = engine_at(small, number, turned)
        column = columns_of(small)[int(np.argmin(np.abs(small_growth.clock - shots.at)))]
        stock = small.finish.radius - wall.radius(shots.depth)[column]
        assert shots.shots[k].section[-1] == pytest.approx(stock, abs=1e-9)
        way = small.layers[number - 1].setting.path
        assert shots.shots[k].depth == pytest.approx(np.interp(turned, way.phi, way.depth))
        assert shots.shots[k].clock == pytest.approx((way.start_clock + turned) % (2 * math.pi))


@pytest.mark.parametrize("kind", KINDS)
def test_film_has_its_frames_and_its_length(shots, kind):
    """Read back with Pillow; made in a process of its own, with its progress."""
    told = list(film.made(dataclasses.replace(shots, kind=kind)))
    shares, data = told[:-1], told[-1]
    assert shares == sorted(shares) and shares[-1] == 1.0 and len(shares) == 10
    image = Image.open(io.BytesIO(data))
    assert image.format == kind.upper() and image.n_frames == 9 and image.size == SIZE
    times, frames = [], []
    for k in range(9):
        image.seek(k)
        image.load()
        times.append(image.info["duration"])
        frames.append(np.asarray(image.convert("RGB")).astype(int))
    assert sum(times) == 4000 and times == durations(9, 4.0)
    assert all(
        (np.abs(a - b).max(axis=-1) > 20).mean() > 0.002
        for a, b in zip(frames, frames[1:], strict=False)
    )
    black = [(np.abs(f - np.array(rgb(BLACK_LEFT))).max(axis=-1) < 24).mean() for f in frames]
    assert black[0] > 0.1 and black[-1] < 0.2 * black[0]


def test_films_nobody_could_watch_are_refused(small, small_growth):
    for wrong in (
        {"frames": 1},
        {"frames": 151},
        {"seconds": 1.0},
        {"seconds": 500.0},
        {"kind": "MP4"},
    ):
        with pytest.raises(ValueError, match="must be"):
            film_of(small, small_growth, **wrong)


def test_a_process_that_ends_early_is_a_sentence_and_lets_the_next_one_in(shots):
    for _ in range(2):
        with pytest.raises(FilmFault, match="could not be made"):
            list(
                film.made(
                    shots, command=(sys.executable, "-c", "import sys; sys.stdin.buffer.read()")
                )
            )
    given_up = film.made(shots)
    next(given_up)
    given_up.close()  # the person has gone on
    assert isinstance(list(film.made(shots))[-1], bytes)


# ---- the screen
# ----------------------------------------------------------------------------------------------------


def page_of_its_own():
    from sim.screens.teach import turn_by_turn as turns
    from sim.shop.run import simulate
    from tests.conftest import SMALL, parse

    turns.show(simulate(parse(SMALL)))


def test_screen_shows_the_player_and_makes_a_film():
    app = AppTest.from_function(page_of_its_own, default_timeout=60).run()
    assert not app.exception and not app.warning
    app.selectbox(key="film frames").set_value(30).run()
    app.button(key="make film").click().run()
    assert not app.exception and not app.warning
    wanted, data = app.session_state["film"]
    assert wanted[1:] == ("GIF", 12, 30) and Image.open(io.BytesIO(data)).n_frames == 30
