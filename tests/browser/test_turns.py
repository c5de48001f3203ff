"""The job turn by turn in a real browser: the player, its section and its map against the engine's
wall.
"""

from __future__ import annotations

import html as markup
import io

import numpy as np
import pytest
from PIL import Image

from sim.bore.stock import stock_cells
from sim.job.change import changed
from sim.job.read import load, parse
from sim.pictures.bore_3d.page import Look, with_look
from sim.pictures.process.worker import _turns
from sim.pictures.turn_by_turn.growth import columns_of, growth, wall_at
from sim.shop.run import simulate
from tests.browser.conftest import guarded, serving
from tests.conftest import ROOT, SMALL

HOME = "http://127.0.0.1:7/"
TURN = 2 * np.pi
NO_WEBGL = """const real = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
  return kind === "webgl2" ? null : real.call(this, kind, ...more);
};"""
STEP = {"layer.advance": "step", "layer.turning": "counter-clockwise", "layer.step_over_deg": 20}
CUT = {
    "layer.1.repeat": 3,
    "layer.1.pitch_mm": 4.7,
    "job.stage": "after the finish cut",
    "job.layers_done": 2,
}
JOBS = {
    "spiral": parse(SMALL),
    "step": changed(parse(SMALL), STEP),
    "cut": changed(parse(SMALL), CUT),
    "low side": changed(load(ROOT / "scenes" / "low_side.toml"), {"grid.columns": 96}),
    "hole": changed(load(ROOT / "scenes" / "oil_hole.toml"), {"grid.columns": 96}),
}
_made = {}


def job(name):
    if name not in _made:
        result = simulate(JOBS[name])
        grown = growth(result)
        _made[name] = result, grown, _turns(grown)
    return _made[name]


@pytest.fixture
def opened(browser):
    """Open a job in a frame; every request but for the framing page is listed, and none is allowed."""
    contexts, outside, faults = [], [], []
    served = {"page": ""}

    def guard(route):
        if route.request.url == HOME:
            route.fulfill(body=served["page"], content_type="text/html")
        else:
            outside.append(route.request.url)
            route.abort()

    def opening(name, *, width=1280, height=760, scheme="light", script="", motion="no-preference"):
        text = markup.escape(with_look(job(name)[2], Look()))
        served["page"] = (
            '<!doctype html><html lang="en"><title>t</title><body '
            'style="margin:0"><main><h1 '
            'style="position:absolute;font-size:1px">t</h1><iframe id="f" title="turns" '
            f'style="border:0;width:100%;height:99vh" srcdoc="{text}"></iframe></main>'
        )
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            reduced_motion=motion,
            has_touch=width < 500,
        )
        contexts.append(context)
        context.route("**/*", guard)
        if script:
            context.add_init_script(script)
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto(HOME)
        page.frame_locator("#f").locator("html[data-ready]").wait_for(timeout=60_000)
        return page, page.frames[1]

    yield opening
    for context in contexts:
        context.close()
    assert outside == [] and faults == []


def place(frame):
    """Layer from 0 and turns made in it."""
    layer, phi = frame.evaluate("(() => { const { l, phi } = turns.where(); return [l, phi]; })()")
    return layer, phi / TURN


# ---- what is drawn is the engine's wall
# -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", JOBS)
def test_section_and_map_are_the_engine_s_wall_at_that_time(opened, name):
    """Forward, backward, over layers: radius of three sections to 2e-5 mm; every cell of the map to
    one step of it.
    """
    result, grown, _ = job(name)
    _, frame = opened(name)
    columns, z = columns_of(result), np.linspace(0.01, result.scene.bore.length - 0.01, 150)
    last = len(grown.layers)
    for number, share in (
        (1, 0.31),
        (1, 0.9),
        (last, 0.42),
        (1, 0.57),
        (last, 0.2),
        (last, 1.0),
        (1, 0.02),
    ):
        turned = share * grown.layers[number - 1].angle
        frame.evaluate(f"turns.goTo({number - 1}, {turned!r})")
        wall = wall_at(result, number, turned, columns)
        radius = wall.radius(z)
        for i in (0, 37, len(columns) - 1):
            assert frame.evaluate(f"turns.section({i}, {z.tolist()})") == pytest.approx(
                radius[i], abs=2e-5
            ), (number, share, i)
        stock = stock_cells(
            wall, result.finish, result.axes.torch, grown.picture.edges, len(columns)
        )
        level = np.array(frame.evaluate("[...turns.map()]")).reshape(stock.shape)
        off = level - np.floor(stock / grown.picture.step)
        assert np.abs(off).max() <= 1 and (off != 0).mean() < 0.02, (number, share)


def test_map_at_the_end_is_the_one_sent_with_the_picture(opened):
    _, grown, _ = job("hole")
    _, frame = opened("hole")
    for k, layer in enumerate(grown.layers):
        frame.evaluate(f"turns.goTo({k}, {layer.angle + 1.0!r} - 1)")
        level = np.array(frame.evaluate("[...turns.map()]")).reshape(grown.picture.stock.shape[1:])
        off = level - grown.picture.stock[layer.stage]
        assert np.abs(off).max() <= 1 and (off != 0).mean() < 0.02


def test_section_of_the_torch_follows_it(opened):
    _, grown, _ = job("step")
    page, frame = opened("step")
    page.frame_locator("#f").get_by_label("follow the torch").check()
    for turns in (0.3, 1.77, 4.2):
        frame.evaluate(f"turns.goTo(0, {turns * TURN})")
        clock = (grown.layers[0].path.start_clock - turns * TURN) % TURN
        assert (
            abs((grown.clock[frame.evaluate("turns.column()")] - clock + np.pi) % TURN - np.pi)
            <= TURN / 96
        )


# ---- the player
# ------------------------------------------------------------------------------------------------------


def until_it_stands(page, frame):
    """The player has stopped; asked again and again from here, because the page lets no script be
    made from words.
    """
    for _ in range(200):
        if not frame.evaluate("turns.player.playing"):
            return
        page.wait_for_timeout(100)
    raise AssertionError("the player still plays after 20 s")


def test_play_and_pause_without_a_new_page(opened):
    page, frame = opened("spiral")
    inside = page.frame_locator("#f")
    frame.evaluate("window.same = true")
    assert place(frame) == (0, 0)
    inside.locator("#speed").select_option("0.2")
    inside.get_by_role("button", name="Play").click()
    page.wait_for_timeout(1500)
    inside.get_by_role("button", name="Pause").click()
    until_it_stands(page, frame)
    stopped = place(frame)
    assert stopped[1] > 1.0 or stopped[0] > 0
    assert frame.evaluate("turns.player.shown") >= 4  # it moved in steps of its own, not at one go
    page.wait_for_timeout(500)
    assert place(frame) == stopped and frame.evaluate("window.same") is True
    assert inside.get_by_role("button", name="Play").count() == 1


def test_plays_to_the_end_stops_and_begins_again(opened):
    page, frame = opened("spiral")
    _, grown, _ = job("spiral")
    end = grown.layers[-1].angle
    frame.evaluate(f"turns.goTo(1, {end - 1.0})")
    page.frame_locator("#f").get_by_role("button", name="Play").click()
    until_it_stands(page, frame)
    assert place(frame) == (1, pytest.approx(end / TURN))
    assert page.frame_locator("#f").locator("#said-arc").inner_text() == "done"
    page.frame_locator("#f").get_by_role("button", name="Play").click()
    page.wait_for_timeout(300)
    assert place(frame)[0] == 0


def test_steps_by_turn_and_by_layer_with_buttons_and_keys(opened):
    page, frame = opened("spiral")
    inside = page.frame_locator("#f")
    turns = job("spiral")[1].layers[0].angle / TURN
    inside.get_by_role("button", name="On a turn").click()
    inside.get_by_role("button", name="On a turn").click()
    assert place(frame) == (0, pytest.approx(2.0))
    assert inside.locator("#said-turn").inner_text().startswith("3 of ")
    assert "turn 3 of" in inside.locator("#announce").inner_text()
    inside.get_by_role("button", name="Back a turn").click()
    assert place(frame) == (0, pytest.approx(1.0))
    inside.get_by_role("button", name="On a layer").click()
    assert place(frame) == (1, 0)
    inside.get_by_role("button", name="Back a turn").click()
    assert place(frame)[0] == 0 and place(frame)[1] == pytest.approx(turns, abs=1e-3)
    inside.get_by_role("button", name="Back a layer").click()
    assert place(frame) == (0, 0)
    slider = inside.get_by_label("Place in the job")
    slider.focus()
    for key, there in (
        ("ArrowRight", (0, 1.0)),
        ("ArrowRight", (0, 2.0)),
        ("ArrowLeft", (0, 1.0)),
        ("PageDown", (1, 0.0)),
        ("Home", (0, 0.0)),
        ("End", (1, turns)),
    ):
        slider.press(key)
        assert place(frame) == (there[0], pytest.approx(there[1])), key
    slider.press("Home")
    slider.press(" ")
    assert frame.evaluate("turns.player.playing")
    slider.press(" ")
    assert not frame.evaluate("turns.player.playing")


def test_slider_goes_anywhere_and_says_where(opened):
    page, frame = opened("spiral")
    result, grown, _ = job("spiral")
    slider = page.frame_locator("#f").get_by_label("Place in the job")
    whole = sum(layer.angle for layer in grown.layers) / TURN
    assert float(slider.get_attribute("max")) == pytest.approx(whole)
    for to in (0.75 * whole, 3.3):
        slider.evaluate(
            "(e, to) => { e.value = to; e.dispatchEvent(new Event('input', { bubbles: true })); }",
            to,
        )
        k, turn = place(frame)
        assert k * grown.layers[0].angle / TURN + turn == pytest.approx(to)
        way = grown.layers[k].path
        depth = np.interp(turn * TURN, way.phi, way.depth)
        told = page.frame_locator("#f").locator("#said-depth").inner_text()
        assert float(told.split()[0]) == pytest.approx(depth, abs=0.051)
        minutes = round((way.start_clock + turn * TURN) / np.pi * 360) % 720
        assert (
            page.frame_locator("#f").locator("#said-torch").inner_text()
            == f"{minutes // 60 or 12}:{minutes % 60:02d}"
        )
        assert told in slider.get_attribute("aria-valuetext")
    elapsed = 3.3 * TURN / result.layers[0].setting.rotation
    assert (
        page.frame_locator("#f")
        .locator("#said-time")
        .inner_text()
        .startswith(f"{int(elapsed // 60)}:{int(elapsed % 60):02d} of ")
    )


def test_arc_off_feed_off_and_counter_clockwise_are_said(opened):
    page, frame = opened("hole")
    inside, layer = page.frame_locator("#f"), job("hole")[1].layers[0]
    off = float(layer.path.arcs[0, 1] + 0.5 * (layer.path.arcs[1, 0] - layer.path.arcs[0, 1]))
    frame.evaluate(f"turns.goTo(0, {off})")
    assert (
        inside.locator("#said-arc").inner_text().startswith("off")
        and inside.locator("#arc-lamp").get_attribute("data-on") == "false"
    )
    frame.evaluate(f"turns.goTo(0, {layer.path.arcs[1, 0] + 0.01})")
    assert (
        inside.locator("#said-arc").inner_text() == "on"
        and inside.locator("#said-feed").inner_text() == "on"
    )
    assert layer.path.depth[0] == layer.path.depth[1]  # a closing turn first
    frame.evaluate("turns.goTo(0, 1.0)")
    assert inside.locator("#said-feed").inner_text() == "off, closing turn"
    page, frame = opened("step")
    inside, way = page.frame_locator("#f"), job("step")[1].layers[0].path
    frame.evaluate("turns.goTo(0, 2.0)")
    assert (
        inside.locator("#said-turning").inner_text() == "counter-clockwise"
        and inside.locator("#said-feed").inner_text() == "off, full turn"
    )
    frame.evaluate(f"turns.goTo(0, {0.5 * (way.phi[1] + way.phi[2])})")
    assert inside.locator("#said-feed").inner_text() == "stepping over"


def test_less_motion_means_whole_turns(opened):
    page, frame = opened("spiral", motion="reduce")
    page.frame_locator("#f").locator("#speed").select_option("0.2")
    page.frame_locator("#f").get_by_role("button", name="Play").click()
    seen = set()
    for _ in range(12):
        page.wait_for_timeout(150)
        seen.add(round(place(frame)[1], 6))
    assert len(seen) > 2 and all(abs(turn - round(turn)) < 1e-5 for turn in seen)


# ---- how it looks
# ----------------------------------------------------------------------------------------------------


def picture_of(page, name):
    return np.asarray(
        Image.open(io.BytesIO(page.frame_locator("#f").locator(name).screenshot())).convert("RGB")
    ).astype(int)


@pytest.mark.parametrize(
    ("width", "scheme"), [(390, "dark"), (390, "light"), (1280, "light"), (1920, "dark")]
)
def test_every_panel_changes_with_the_torch_and_fits(opened, width, scheme):
    page, frame = opened("spiral", width=width, height=860 if width < 500 else 780, scheme=scheme)
    before = {}
    for turns in (1.2, 6.6):
        frame.evaluate(f"turns.goTo(0, {turns * TURN})")
        page.wait_for_timeout(900)
        for name in ("#scene", "#section", "#dial"):
            image = picture_of(page, name)
            if name in before:
                assert (np.abs(image - before[name]).max(axis=-1) > 20).mean() > 0.01, name
            before[name] = image
    assert frame.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for name in (
        "#play",
        "#turn-on",
        "#layer-on",
        "#turn-back",
        "#layer-back",
        "#whole",
        "#said-time",
    ):
        box = page.frame_locator("#f").locator(name).bounding_box()
        assert box and box["x"] >= 0 and box["x"] + box["width"] <= width + 1, name


def test_without_webgl_the_same_is_drawn_plainly(opened):
    page, frame = opened("spiral", script=NO_WEBGL, width=700)
    assert frame.evaluate("boreView.how") == "still"
    frame.evaluate(f"turns.goTo(0, {1.5 * TURN})")
    page.wait_for_timeout(1500)
    one = picture_of(page, "#scene")
    frame.evaluate(f"turns.goTo(0, {7.5 * TURN})")
    page.wait_for_timeout(1500)
    assert (np.abs(one - picture_of(page, "#scene")).max(axis=-1) > 20).mean() > 0.01


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_accessibility_engine_finds_nothing(opened, scheme):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page, frame = opened("spiral", scheme=scheme)
    frame.evaluate("turns.goTo(0, 20)")
    found = axe.Axe().run(page).response["violations"]
    assert [(v["id"], [n["html"][:90] for n in v["nodes"]]) for v in found] == []


# ---- in the page
# -----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def alone():
    """Address of the screen served on its own."""
    yield from serving("tests/browser/turns_page.py")


def test_in_the_app_it_plays_and_the_film_can_be_taken_away(browser, alone):
    with guarded(browser) as new_page:
        page = new_page(1280, 900)
        page.goto(alone)
        frame = None
        for _ in range(180):
            frame = next(
                (f for f in page.frames if f.evaluate("typeof window.turns") == "object"), None
            )
            if frame:
                break
            page.wait_for_timeout(500)
        assert frame is not None
        frame.locator("#turn-on").click()
        assert place(frame) == (0, pytest.approx(1.0))
        page.get_by_role("button", name="Make the film").click()
        with page.expect_download(timeout=90_000) as taken:
            page.get_by_role("button", name="Film (GIF)").click(timeout=90_000)
        film = Image.open(taken.value.path())
        assert film.n_frames == 60 and taken.value.suggested_filename == "turns.gif"
        times = []
        for k in range(60):
            film.seek(k)
            times.append(film.info["duration"])
        assert sum(times) == 12_000
        assert place(frame) == (0, pytest.approx(1.0))  # the player was not built anew
