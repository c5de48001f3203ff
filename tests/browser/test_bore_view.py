"""The 3-D view in a real browser, in a frame of a page of its own, with nothing else to reach."""

from __future__ import annotations

import dataclasses
import html as markup
import io
import json

import numpy as np
import pytest
from PIL import Image

from sim.bore.wall import Wall
from sim.job.change import changed
from sim.job.read import load, parse
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.page import Look, with_look
from sim.pictures.colours import BLACK_EDGE, BLACK_LEFT, DARK, LIGHT, rgb
from sim.pictures.process.worker import _page
from sim.shop.run import simulate
from tests.conftest import ROOT, SMALL

HOME = "http://127.0.0.1:7/"
COLOURINGS = ("stock", "thickness", "ripple", "layer")
NO_WEBGL = """const real = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
  return kind === "webgl2" ? null : real.call(this, kind, ...more);
};"""


@pytest.fixture(scope="module")
def sound():
    return picture(simulate(parse(SMALL)))


@pytest.fixture(scope="module")
def short():
    return picture(simulate(changed(parse(SMALL), {"layer.pitch_mm": 4.7})))


def framed(seen, **look):
    text = with_look(_page(seen), Look(**look))
    return (
        '<!doctype html><body style="margin:0"><iframe id="f" '
        f'style="border:0;width:100%;height:99vh" srcdoc="{markup.escape(text)}"></iframe>'
    )


@pytest.fixture
def opened(browser):
    """Open a picture in a frame; every request but for the framing page is listed, and none is
    allowed.
    """
    contexts, outside, faults = [], [], []
    served = {"page": ""}

    def guard(route):
        if route.request.url == HOME:
            route.fulfill(body=served["page"], content_type="text/html")
        else:
            outside.append(route.request.url)
            route.abort()

    def opening(seen, *, width=1000, height=620, scheme="light", script="", page=None, **look):
        served["page"] = framed(seen, **look)
        if page is None:
            context = browser.new_context(
                viewport={"width": width, "height": height},
                color_scheme=scheme,
                has_touch=width < 500,
            )
            contexts.append(context)
            context.route("**/*", guard)
            if script:
                context.add_init_script(script)
            page = context.new_page()
            page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto(HOME)
        frame = page.frame_locator("#f")
        frame.locator("html[data-ready]").wait_for(timeout=60_000)
        return page, page.frames[1]

    yield opening
    for context in contexts:
        context.close()
    assert outside == [] and faults == []


def choose(frame, name, value):
    frame.evaluate(
        "([id, value]) => { const e = document.getElementById(id); if (e.type === "
        "'checkbox') e.checked = value; else e.value = value;"
        " e.dispatchEvent(new Event('input', { bubbles: true })); }",
        [name, value],
    )


def settled(page):
    """The canvas as it is seen once it has come to rest."""
    page.wait_for_timeout(700)
    canvas = page.frame_locator("#f").locator("#scene")
    return np.asarray(Image.open(io.BytesIO(canvas.screenshot())).convert("RGB")).astype(int)


def filled(image):
    """Share of the canvas that is not its commonest colour, and the number of colours in it."""
    shades, counts = np.unique((image // 4).reshape(-1, 3), axis=0, return_counts=True)
    return 1.0 - counts.max() / counts.sum(), len(shades)


def near(image, name, reach=24):
    return np.abs(image - np.array(rgb(name))).max(axis=-1) <= reach


# ---- what is drawn
# --------------------------------------------------------------------------------------------------


def test_numbers_in_the_browser_are_the_picture_s(opened, short):
    _, frame = opened(short)
    shape = short.stock.shape
    assert (np.array(frame.evaluate("[...boreView.stock()]")).reshape(shape) == short.stock).all()
    assert (
        np.array(frame.evaluate("[...boreView.judged()]")).reshape(shape[1:]) == short.judged
    ).all()
    for name, twin in (
        ("thickness", short.thickness),
        ("ripple", short.ripple),
        ("layer", short.uppermost),
    ):
        got = np.array(frame.evaluate(f"[...boreView.field('{name}')]")).reshape(shape)
        assert all((got[k] == twin(k)).all() for k in range(shape[0])), name


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_colouring_draws_a_picture_of_its_own(opened, short, scheme):
    page, frame = opened(short, scheme=scheme)
    drawn = {}
    for name in COLOURINGS:
        choose(frame, "colour", name)
        drawn[name] = settled(page)
        share, shades = filled(drawn[name])
        assert share > 0.1 and shades > 100, name
    for a in COLOURINGS:
        for b in COLOURINGS:
            assert a == b or (np.abs(drawn[a] - drawn[b]).max(axis=-1) > 20).mean() > 0.02, (a, b)
    ground = DARK if scheme == "dark" else LIGHT
    assert near(drawn["stock"][:3], ground.background, 3).all()
    assert (
        near(drawn["stock"], BLACK_LEFT).sum() > 200
        and near(drawn["stock"], BLACK_EDGE).sum() > 200
    )


def test_layer_slider_changes_the_picture_without_a_new_page(opened, sound):
    page, frame = opened(sound)
    frame.evaluate("window.same = true")
    drawn = [settled(page)]
    slider = page.frame_locator("#f").get_by_label("Shown")
    slider.focus()
    for said in ("After layer 1 of 2", "Pre-bored", "Worn bore"):
        slider.press("ArrowLeft")
        assert page.frame_locator("#f").locator("#caption").inner_text().startswith(said)
        drawn.append(settled(page))
    for one, other in zip(drawn, drawn[1:], strict=False):
        assert (np.abs(one - other).max(axis=-1) > 20).mean() > 0.01
    assert frame.evaluate("window.same") is True


def test_cut_marks_and_cylinder_follow_their_controls(opened, short):
    page, frame = opened(short)
    before = settled(page)
    for name, value in (
        ("open", 0),
        ("open", 200),
        ("at", 180),
        ("finish", False),
        ("spots", False),
        ("heights", True),
    ):
        choose(frame, name, value)
        after = settled(page)
        assert (np.abs(before - after).max(axis=-1) > 12).mean() > 0.003, name
        before = after


def test_a_scratch_narrower_than_a_cell_is_black_however_far_the_eye(opened):
    """The least stock under a pixel decides, at every distance and size of canvas."""
    result = simulate(parse(SMALL))
    wall, depth, column = result.layers[-1].wall, 21.37, 41
    z = np.unique(np.concatenate([np.linspace(0, 40, 2001), depth + np.array([-0.01, 0.0, 0.01])]))
    r = wall.radius(z)
    r[column, np.abs(z - depth) < 1e-9] += 3.0
    last = dataclasses.replace(result.layers[-1], wall=Wall.from_radius(wall.clock, z, r))
    scratched = picture(dataclasses.replace(result, layers=(*result.layers[:-1], last)))
    ray = float(wall.clock.angle[column])
    for width in (1000, 360):
        placed = ""
        for seen, expected in ((scratched, True), (picture(result), False)):
            page, frame = opened(seen, width=width)
            frame.evaluate(
                f"Object.assign(boreView.state, {placed})" if placed else "boreView.act('worst')"
            )
            placed = placed or frame.evaluate("JSON.stringify(boreView.state)")
            choose(frame, "finish", False)
            choose(frame, "spots", False)
            for away in (0.4, 1.0, 3.0):
                frame.evaluate(f"boreView.state.away = {away}")
                choose(frame, "spots", False)
                image = settled(page)
                x, y, _ = frame.evaluate(f"boreView.project({ray}, {depth}, 0.5)")
                spot = image[int(y) - 4 : int(y) + 5, int(x) - 4 : int(x) + 5]
                black = near(spot, BLACK_LEFT, 40) | near(spot, BLACK_EDGE, 60)
                assert spot.size and black.any() == expected, (width, away)
            page.context.close()


def test_low_spots_are_named_with_clock_and_depth(opened, short):
    page, _ = opened(short)
    labels = page.frame_locator("#f").locator("#labels .spot").all_inner_texts()
    assert labels
    told = page.frame_locator("#f").locator("#list li").all_inner_texts()
    assert len(told) == len(short.marks)
    assert all(any(line.startswith(label) for line in told) for label in labels)
    worst = short.marks[0]
    minutes = round(worst.clock / np.pi * 360) % 720  # 720 minutes to a turn
    assert (
        told[0] == f"{-worst.stock:.2f} mm short · {minutes // 60 or 12}:{minutes % 60:02d} · "
        f"{worst.depth:.0f} mm deep: {worst.cause}"
    )


def test_clock_depth_faces_and_gravity_are_marked(opened, sound):
    page, frame = opened(sound)
    labels = page.frame_locator("#f").locator("#labels span").all_inner_texts()
    for word in ("12", "3", "6", "9", "entry face", "down", "0", "40 mm deep"):
        assert word in labels, word
    height = {
        w: frame.evaluate(f"boreView.project({hour} * Math.PI / 6, 0, -5)")[1]
        for w, hour in (("12", 12), ("6", 6))
    }
    assert height["12"] < height["6"]


def test_readout_tells_the_engine_s_stock(opened, sound):
    """Pointed at places of known clock and depth: what is said there is the cell's own least stock."""
    _, frame = opened(sound)
    told = 0
    for ray in np.linspace(0.2, 6.1, 24):
        i, j = int(ray / (2 * np.pi) * sound.stock.shape[1]), sound.stock.shape[2] // 2
        depth, level = float(sound.depth[j]), float(sound.least(sound.last)[i, j])
        angle = float(sound.clock[i])
        if not frame.evaluate(f"boreView.seen({angle}, {depth}, {level})"):
            continue
        x, y, _ = frame.evaluate(f"boreView.project({angle}, {depth}, {level})")
        said = frame.evaluate(f"boreView.readout({x}, {y})")
        if (
            "stock" not in said
            or abs(float(said.split(", ")[1].split(" mm deep")[0]) - depth) > 0.3
        ):
            continue  # a crest stands in front of it
        around = sound.least(sound.last)[
            np.arange(i - 1, i + 2) % sound.stock.shape[1], j - 1 : j + 2
        ]
        value = float(said.split("stock ")[1].split()[0])
        assert around.min() - 0.006 <= value <= around.max() + 0.006, said
        told += 1
    assert told >= 5


def test_inches(opened):
    seen = picture(simulate(load(ROOT / "scenes" / "inch_vertical.toml")))
    page, _ = opened(seen)
    frame = page.frame_locator("#f")
    assert (
        "in on diameter" in frame.locator("#caption").inner_text()
        and " in" in frame.locator("#legend").inner_text()
    )
    assert any(
        text.endswith("in deep") for text in frame.locator("#labels .depth").all_inner_texts()
    )


# ---- what stays and what is reached
# -------------------------------------------------------------------------------


def test_camera_and_choices_stay_over_a_new_export(opened, sound, short):
    page, frame = opened(sound)
    frame.evaluate("boreView.act('left'); boreView.act('left'); boreView.act('in')")
    choose(frame, "colour", "ripple")
    choose(frame, "open", 60)
    choose(frame, "stage", 2)
    before = frame.evaluate("JSON.stringify(boreView.state)")
    page, frame = opened(short, page=page)
    after = frame.evaluate("JSON.stringify(boreView.state)")
    kept = json.loads(before)
    assert json.loads(after) == kept and kept["colour"] == "ripple" and kept["stage"] == 2
    page, frame = opened(short, page=page, keep="another job")
    assert (
        frame.evaluate("boreView.state.colour") == "stock"
        and frame.evaluate("boreView.state.stage") == 3
    )
    assert frame.evaluate("boreView.state.away") == 1


def test_what_the_app_asks_for_anew_wins_over_what_was_kept(opened, sound):
    page, frame = opened(sound, colour_by="stock")
    choose(frame, "colour", "ripple")
    page, frame = opened(sound, page=page, colour_by="thickness", stage=1)
    assert frame.evaluate("[boreView.state.colour, boreView.state.stage]") == ["thickness", 1]
    assert page.frame_locator("#f").locator("#caption").inner_text().startswith("Pre-bored")


def test_a_view_kept_at_the_last_layer_stays_at_the_last(opened, sound):
    page, _ = opened(sound)
    three = picture(simulate(changed(parse(SMALL), {"layer.1.repeat": 3})))
    _, frame = opened(three, page=page)
    assert frame.evaluate("boreView.state.stage") == 4


def test_keys_turn_and_zoom(opened, sound):
    page, frame = opened(sound)
    page.frame_locator("#f").locator("#scene").focus()
    start = frame.evaluate("({...boreView.state})")
    for key, name in (("ArrowLeft", "round"), ("ArrowUp", "up"), ("+", "away")):
        was = frame.evaluate(f"boreView.state.{name}")
        page.keyboard.press(key)
        assert frame.evaluate(f"boreView.state.{name}") != was, key
    page.keyboard.press("Home")
    end = frame.evaluate("({...boreView.state})")
    assert {k: end[k] for k in ("round", "up", "away")} == {
        k: start[k] for k in ("round", "up", "away")
    }


def test_every_control_is_reached_by_tab_and_has_a_name(opened, sound):
    page, frame = opened(sound)
    reached = []
    page.frame_locator("#f").locator("#scene").focus()
    for _ in range(20):
        page.keyboard.press("Tab")
        told = frame.evaluate(
            "() => { const e = document.activeElement; return e === document.body ? '' :"
            " (e.getAttribute('aria-label') || (e.labels && e.labels[0] && "
            "e.labels[0].textContent) || e.textContent).trim(); }"
        )
        reached.append(told)
    for name in (
        "Turn left",
        "Zoom in",
        "Shown",
        "Colour",
        "Worst place",
        "Reset view",
        "Cut open",
        "Cut at",
        "finish cylinder",
        "low spots",
    ):
        assert name in reached, name


def test_mouse_turns_and_wheel_is_left_to_the_page_until_the_view_is_entered(opened, sound):
    page, frame = opened(sound)
    round_, away = frame.evaluate("[boreView.state.round, boreView.state.away]")
    page.mouse.move(500, 300)
    page.mouse.wheel(0, 200)
    assert frame.evaluate("boreView.state.away") == away
    page.mouse.down()
    page.mouse.move(560, 300, steps=4)
    page.mouse.up()
    assert frame.evaluate("boreView.state.round") == pytest.approx(round_ - 0.48, abs=0.02)
    page.frame_locator("#f").locator("#scene").focus()
    page.mouse.wheel(0, 200)
    page.wait_for_function(
        "() => document.getElementById('f').contentWindow.boreView.state.away > 1"
    )


@pytest.mark.parametrize(("width", "height"), [(360, 560), (390, 620)])
def test_phone_width(opened, short, width, height):
    page, frame = opened(short, width=width, height=height)
    wide = frame.evaluate(
        "[document.documentElement.scrollWidth, innerWidth, "
        "document.querySelector('main').scrollWidth]"
    )
    assert max(wide) == wide[1] <= width
    box = page.frame_locator("#f").locator("#picture").bounding_box()
    assert box["width"] >= width - 2 and box["height"] > 200
    assert filled(settled(page))[0] > 0.15
    page.frame_locator("#f").get_by_role("button", name="Cut and marks").click()
    assert page.frame_locator("#f").get_by_label("Cut open").is_visible()
    for button in page.frame_locator("#f").locator("#turn button").all():
        size = button.bounding_box()
        assert size["width"] >= 24 and size["height"] >= 24 and size["x"] + size["width"] <= width


def test_words_twice_as_large_still_leave_a_picture(opened, short):
    page, frame = opened(short)
    frame.evaluate("document.documentElement.style.fontSize = '200%'")
    page.wait_for_timeout(300)
    assert page.frame_locator("#f").locator("#picture").bounding_box()["height"] > 200
    page.frame_locator("#f").get_by_label("finish cylinder").scroll_into_view_if_needed()
    assert page.frame_locator("#f").get_by_label("finish cylinder").is_visible()


# ---- without graphics
# --------------------------------------------------------------------------------------------


def test_without_webgl_a_plain_drawing_stands_in_and_says_why(opened, short):
    page, frame = opened(short, script=NO_WEBGL)
    assert frame.evaluate("boreView.how") == "still"
    reason = page.frame_locator("#f").locator("#reason")
    assert reason.is_visible() and "WebGL 2" in reason.inner_text()
    drawn = settled(page)
    assert filled(drawn)[0] > 0.1
    choose(frame, "stage", 0)
    assert (np.abs(drawn - settled(page)).max(axis=-1) > 20).mean() > 0.01


def test_graphics_taken_away_and_given_back(opened, sound):
    page, frame = opened(sound)
    before = settled(page)
    frame.evaluate(
        "window.lost = "
        "document.getElementById('scene').getContext('webgl2').getExtension('WEBGL_lose_context'); "
        "lost.loseContext()"
    )
    page.frame_locator("#f").locator("#reason").wait_for(state="visible")
    frame.evaluate("lost.restoreContext()")
    page.frame_locator("#f").locator("#reason").wait_for(state="hidden")
    assert (np.abs(before - settled(page)).max(axis=-1) > 20).mean() < 0.02
