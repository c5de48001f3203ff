"""The job screen in a real browser: one screen without scrolling, a handle that is live, three views that are linked."""

from __future__ import annotations

import pytest

from sim.job.change import changed
from sim.job.read import load
from sim.plan.odds.verdict import decide
from sim.shop.run import simulate
from tests.conftest import ROOT

SCENE = load(ROOT / "scenes" / "not_sure_yet.toml")

OVERFLOW = """() => [...document.querySelectorAll(
  '[data-testid=stMain], .st-key-bench, .st-key-bench > *')].filter(e => e.scrollHeight > e.clientHeight + 1
  || e.scrollWidth > e.clientWidth + 1).map(e => [e.outerHTML.slice(0, 90), e.scrollHeight, e.clientHeight])"""


@pytest.fixture
def job(visit):
    """The job screen of a scene, its picture in place."""

    def opened(name="not_sure_yet", **size):
        page = visit(name, **size)
        page.wait_for_selector("iframe[data-stamp]", timeout=90_000)
        return page

    return opened


def slide(page):
    return page.get_by_label("Pitch and bead overlap")


def section(page):
    return page.locator("svg.section")


def view(page):
    """The 3-D view's own window."""
    return next(f for f in page.frames[1:] if f.evaluate("typeof window.boreView") == "object")


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768)])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_to_scroll_in_the_first_view(job, width, height, scheme):
    page = job(width=width, height=height, scheme=scheme)
    assert page.evaluate(OVERFLOW) == []
    for place in (".st-key-verdict .verdict", "iframe[data-stamp]", "svg.section", "canvas.map"):
        box = page.locator(place).first.bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= height, place
        assert box["x"] >= 0 and box["x"] + box["width"] <= width, place


def test_the_section_follows_while_the_hand_is_on_the_pitch(job):
    page = job()
    box = slide(page).bounding_box()
    y, x = box["y"] + box["height"] / 2, box["x"] + box["width"] * 0.4
    page.mouse.move(x, y)
    page.mouse.down()
    before = section(page).inner_html()
    for step in (0.45, 0.5, 0.55, 0.6):
        page.mouse.move(box["x"] + box["width"] * step, y)
        page.wait_for_timeout(120)
    page.wait_for_function(
        "([old]) => document.querySelector('.st-key-above') && "
        "[...document.querySelectorAll('*')].some(e => e.shadowRoot?.querySelector('svg.section')"
        " && e.shadowRoot.querySelector('svg.section').innerHTML !== old)",
        arg=[before],
        timeout=30_000,
    )
    assert "CHECKING" in page.locator(".verdict").inner_text()  # the hand is still on it
    pitch = float(slide(page).input_value())
    assert pitch > 3.3
    page.mouse.up()
    page.wait_for_selector(".verdict:not(:has-text('CHECKING'))", timeout=90_000)
    told = decide(changed(SCENE, {"layer.pitch_mm": pitch}))
    assert told.verdict.upper() in page.locator(".verdict").inner_text()
    assert page.get_by_label("Pitch [mm]").input_value() == f"{pitch:.2f}"
    assert page.get_by_label("Bead overlap [%]").input_value() == str(round(100 * (1 - pitch / 5)))
    page.get_by_role("button", name="↶").click()
    page.wait_for_selector(".verdict:has-text('66')", timeout=60_000)


def test_pitch_by_keyboard_and_by_number(job):
    page = job()
    slide(page).focus()
    slide(page).press("ArrowLeft")
    slide(page).press("ArrowLeft")
    page.wait_for_selector(".verdict:has-text('CHECKING')", timeout=30_000)
    planned = simulate(changed(SCENE, {"layer.pitch_mm": 3.2})).stock.spot.value
    page.wait_for_selector(
        f".verdict .three div:first-child:has-text('{planned:.2f}')", timeout=60_000
    )
    overlap = page.get_by_label("Bead overlap [%]")
    overlap.fill("42")
    overlap.press("Enter")
    page.wait_for_selector(".verdict:has-text('CLEANS UP')", timeout=120_000)
    assert slide(page).input_value() == "2.9"


def test_a_click_in_any_of_the_three_moves_the_other_two(job):
    page = job()
    box = page.locator("canvas.map").bounding_box()
    page.mouse.click(box["x"] + 22 + (box["width"] - 30) * 0.25, box["y"] + box["height"] / 2)
    page.wait_for_selector("text=Section at 3:0", timeout=30_000)
    page.wait_for_selector(".place:has-text('3:0'):has-text('layer 2')", timeout=30_000)
    theta = view(page).evaluate("boreView.placed().theta")
    assert theta == pytest.approx(1.571, abs=0.05)
    box = section(page).bounding_box()
    page.mouse.click(box["x"] + 30 + (box["width"] - 36) * 0.8, box["y"] + 40)
    page.wait_for_selector(".place:has-text('80 mm deep')", timeout=30_000)
    assert view(page).evaluate("boreView.placed().depth") == pytest.approx(80, abs=1.5)
    frame = page.locator("iframe[data-stamp]").bounding_box()
    at = view(page).evaluate("boreView.project(1.5 * Math.PI + 0.2, 40, 1.5)")
    page.mouse.click(frame["x"] + at[0], frame["y"] + 0)  # outside the canvas nothing happens
    canvas = view(page).evaluate(
        "(() => { const b = document.getElementById('scene').getBoundingClientRect(); return [b.left, b.top]; })()"
    )
    page.mouse.click(frame["x"] + canvas[0] + at[0], frame["y"] + canvas[1] + at[1])
    page.wait_for_function(
        "() => window.borePlace === undefined || true", timeout=1000
    )  # the frame has told its page
    page.wait_for_selector("text=/Section at (8|9):/", timeout=30_000)


def test_what_the_person_set_survives_a_change_of_pitch(job):
    page = job()
    page.get_by_role("button", name="layer 1", exact=True).click()
    view(page).evaluate("boreView.act('in')")
    kept = view(page).evaluate("boreView.state.away")
    stamp = page.locator("iframe[data-stamp]").get_attribute("data-stamp")
    box = page.get_by_label("Bead overlap [%]")
    box.fill("36")
    box.press("Enter")
    page.wait_for_function(
        "([old]) => [...document.querySelectorAll('*')].some(e => { const f = e.shadowRoot?.querySelectorAll"
        "('iframe'); return f?.length === 1 && f[0].dataset.stamp && f[0].dataset.stamp !== old; })",
        arg=[stamp],
        timeout=90_000,
    )
    assert view(page).evaluate("boreView.state.away") == pytest.approx(kept)
    assert view(page).evaluate("boreView.state.stage") == view(page).evaluate("boreView.last - 1")
    pressed = page.get_by_role("button", name="layer 1", exact=True).get_attribute("aria-pressed")
    assert pressed == "true"


def test_the_picture_shows_the_bad_run_and_how_often(job):
    page = job()
    shows = page.get_by_label("What the picture shows")
    shows.select_option("often")
    page.wait_for_selector("text=/Unrolled: left under/", timeout=90_000)
    page.wait_for_selector(".place:has-text('of 100')", timeout=30_000)
    shows.select_option("bad")
    bad = f"{abs(decide(SCENE).least_stock.bad):.2f}"
    page.wait_for_selector(f"canvas.map[aria-label*='{bad[:3]}']", timeout=120_000)


def test_an_accessibility_engine_finds_nothing_serious(job):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    for scheme in ("light", "dark"):
        page = job(width=1440, height=900, scheme=scheme)
        found = [
            (f["id"], [n["html"][:120] for n in f["nodes"]][:3])
            for f in axe.Axe().run(page).response["violations"]
            if f["impact"] in ("serious", "critical")
        ]
        assert found == []


def test_on_a_phone_the_verdict_comes_first_and_the_pitch_stays_in_sight(job):
    page = job(width=390, height=844)
    assert page.evaluate("document.documentElement.scrollWidth") <= 391
    order = [
        page.locator(place).first.bounding_box()["y"]
        for place in (".st-key-verdict", "iframe[data-stamp]", ".st-key-step-1")
    ]
    assert order == sorted(order)
    for down in (0, 600, 1200):
        page.mouse.wheel(0, down)
        page.wait_for_timeout(200)
        box = slide(page).bounding_box()
        assert box["y"] >= 0 and box["y"] + box["height"] <= 844
