"""The teaching screens in a real browser: the bench, each of the seven exercises from start to
score, the words.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from sim.plan.odds.verdict import decide
from sim.teach import bench_lessons
from sim.teach.bench import section
from sim.teach.bench_lessons import LESSONS, explain
from sim.teach.exercise import read_exercise
from sim.teach.marking import mark, score
from sim.teach.questions import NOWHERE, QUESTIONS
from sim.teach.the_seven import SEVEN, made
from sim.teach.truth import CURES, truth
from tests.browser.conftest import guarded, serving
from tests.conftest import ROOT


@pytest.fixture(scope="module")
def taught():
    """Address of the teaching screens by themselves."""
    yield from serving("tests/browser/teach.py")


@pytest.fixture(scope="module")
def opened(browser, taught):
    """Open one of the screens at a size; nothing beyond this machine may be asked for."""

    def open_at(path="", width=1280, height=800, scheme="light"):
        page = new_page(width, height, scheme)
        page.goto(f"{taught}/{path}")
        page.wait_for_selector("h2", timeout=60_000)
        settled(page)
        return page

    with guarded(browser) as new_page:
        yield open_at


@pytest.fixture(scope="module")
def class_page(opened):
    """One page on which the exercises are done one after the other, as in class."""
    return opened("exercises")


def settled(page):
    """The script has run; what is being replaced fades out first."""
    page.wait_for_timeout(150)
    page.wait_for_function(
        "() => "
        "document.querySelector('[data-testid=stApp]').getAttribute('data-test-script-state') "
        "=== 'notRunning'",
        timeout=60_000,
    )
    page.wait_for_function("() => !document.querySelector('[data-stale=true]')", timeout=60_000)


def choose(page, name):
    page.get_by_role("radio", name=name, exact=True).click()
    settled(page)


def drawn(page, name):
    """x and y of a line of the first picture, as the browser holds it."""
    told = page.evaluate(
        """(name) => {
            const plot = document.querySelector('.js-plotly-plot');
            const trace = plot && plot._fullData && plot._fullData.find(t => t.name === name);
            return trace ? [Array.from(trace.x), Array.from(trace.y)] : null;
        }""",
        name,
    )
    return (np.empty(0), np.empty(0)) if told is None else (np.array(told[0]), np.array(told[1]))


def comes_to_be(page, name, x, y):
    """Whether the line of the picture becomes this one, in the time a page may take."""
    for _ in range(100):
        have = drawn(page, name)
        if (
            have[0].shape == x.shape
            and np.allclose(have[0], x, atol=1e-9, rtol=0)
            and np.allclose(have[1], y, atol=1e-9, rtol=0)
        ):
            return True
        page.wait_for_timeout(150)
    return False


def words(page):
    return page.locator("[data-testid=stMain]").inner_text()


# ---- the bench
# -----------------------------------------------------------------------------------------------------


def test_the_section_drawn_is_the_engines_wall(opened):
    """Data of the picture in the browser against the engine's wall, on a coupon, on a bore wall,
    and too wide.
    """
    page = opened()
    for one in LESSONS[1:6:2]:
        choose(page, one.title)
        found = section(one.coupon)
        z, height = found.line(found.last)
        assert comes_to_be(page, "wall", z, height)
        assert drawn(page, "wall")[1] == pytest.approx(
            one.coupon.radius - found.last.radius(drawn(page, "wall")[0])[0], abs=1e-6
        )
        assert comes_to_be(page, "with poor tie-in, 0", *found.line(found.pessimist))
        assert drawn(page, "last cut")[1] == pytest.approx([one.coupon.cut] * 2)
        settled(page)
        assert bench_lessons.told(found, "mm") in words(page)


def test_a_slider_moved_by_keys_lays_the_beads_anew(opened):
    page = opened()
    choose(page, "Two beads leave a valley")
    slider = page.get_by_role("slider", name="Pitch [mm]")
    slider.focus()
    for _ in range(3):
        page.keyboard.press("ArrowLeft")
    found = section(replace(LESSONS[0].coupon, pitch=3.85))
    assert comes_to_be(page, "wall", *found.line(found.last))
    page.wait_for_selector(f"text={bench_lessons.told(found, 'mm')}", timeout=30_000)


def test_every_number_of_the_bench_opens_to_its_formula(opened):
    page = opened()
    choose(page, "The climbing side is worse")
    page.get_by_role("tab", name="Where the numbers come from").click()
    settled(page)
    for one in explain(section(LESSONS[2].coupon), "mm"):
        fold = page.locator("details", has_text=f"{one.what}:")
        fold.wait_for(timeout=10_000)
        for _ in range(100):  # the formula comes a moment after its fold
            if one.formula in fold.text_content():
                break
            page.wait_for_timeout(100)
        assert one.formula in fold.text_content() and one.source in fold.text_content()
    page.locator("summary", has_text="metal moved from overlap to valley").click()
    page.wait_for_selector("text=x = ", timeout=10_000)


# ---- guess, then see
# --------------------------------------------------------------------------------------------------


def answered(page, told):
    """Answer with the keyboard and the mouse, near the truth but not on it; gives the answer."""
    answer, length = {}, told.scene.bore.length
    for name in told.exercise.questions:
        kind = QUESTIONS[name].kind
        if name == "where":
            steps = (
                0
                if told.result.stock.spot.value >= 0
                else round(told.result.stock.spot.clock * 12.0 / math.pi / 0.5 - 24)
            )
            slider = page.get_by_role("slider", name="Clock [o'clock]")
            slider.focus()
            for key in (
                ["ArrowRight" if steps > 0 else "ArrowLeft"] * abs(steps)
                or ["ArrowRight", "ArrowLeft"]  # a mark that nobody moved is no answer
            ):
                page.keyboard.press(key)
            answer[name] = ((6.0 + 0.25 * steps) % 12.0 * math.pi / 6.0, round(0.5 * length, 1))
            if told.result.stock.spot.value >= 0:
                page.get_by_text("Nowhere: there will be metal everywhere").click()
                answer[name] = NOWHERE
        elif kind == "layers":
            page.get_by_role("spinbutton", name=QUESTIONS[name].asks).fill(str(told.needed))
            page.keyboard.press("Enter")
            answer[name] = told.needed
        elif name == "verdict":
            answer[name] = decide(told.scene, [told.result]).verdict
            page.get_by_text(answer[name], exact=True).click()
        elif kind == "choice":
            page.get_by_text(CURES["one more layer"][0], exact=True).click()
            answer[name] = "one more layer"
        else:
            value = round(QUESTIONS[name].value(told) * 1.003 + 0.01, 2)
            page.get_by_role("spinbutton", name=re.compile(re.escape(QUESTIONS[name].asks))).fill(
                str(value)
            )
            page.keyboard.press("Enter")
            answer[name] = value
    return answer


@pytest.mark.parametrize("name", SEVEN)
def test_an_exercise_from_start_to_score(class_page, name):
    """Chosen, answered, laid, marked: the score on the page is that of the same answer given to the
    engine.
    """
    page, told = class_page, made(name)
    choose(page, SEVEN[name].title)
    page.wait_for_selector(f"text={told.exercise.task}", timeout=30_000)
    answer = answered(page, told)
    page.get_by_role("button", name="Lay it and see").click()
    marks = mark(told, answer)
    page.wait_for_selector(f"text=Score: {score(marks)} of 100", timeout=60_000)
    settled(page)
    seen = words(page)
    for one in marks:
        assert one.found in seen and f"Points: {100 * one.points:.0f} of 100" in seen
    assert (
        "1. What the gauge would read" in seen
        and "2. What the section shows" in seen
        and "3. What the bored surface looks like" in seen
    )
    page.locator("img[alt^='Looking in']").wait_for(timeout=60_000)
    page.locator("img[alt^='The same surface']").wait_for(timeout=60_000)
    assert score(marks) > 0


def test_a_click_on_the_wall_marks_it(class_page):
    page = class_page
    choose(page, SEVEN["low side"].title)
    drag = page.locator(".js-plotly-plot .nsewdrag").first
    drag.scroll_into_view_if_needed()
    box = drag.bounding_box()
    at = (box["x"] + 0.79 * box["width"], box["y"] + 0.31 * box["height"])
    for off in (6, 0):  # plotly takes a click where the pointer has rested
        page.mouse.move(at[0] - off, at[1] - off)
        page.wait_for_timeout(400)
    page.mouse.click(*at)
    slider = page.get_by_role("slider", name="Clock [o'clock]")
    for _ in range(60):
        if float(slider.evaluate("e => e.value || e.getAttribute('aria-valuenow')")) > 9.0:
            break
        page.wait_for_timeout(250)
    assert 9.0 < float(slider.evaluate("e => e.value || e.getAttribute('aria-valuenow')")) < 10.0


def test_a_trainer_hands_out_a_file_and_an_apprentice_opens_it(opened, tmp_path):
    page = opened("exercises")
    page.get_by_text("For the trainer: make an exercise from a scene").click()
    page.locator("input[type=file]").first.set_input_files(
        str(ROOT / "scenes" / "coarse_pitch.toml")
    )
    page.get_by_label("Title").fill("The hinge eye")
    page.keyboard.press("Enter")
    settled(page)
    with page.expect_download(timeout=30_000) as waiting:
        page.get_by_role("button", name="Exercise file (TOML)").click()
    assert waiting.value.suggested_filename == "the_hinge_eye.toml"
    path = tmp_path / "the_hinge_eye.toml"
    waiting.value.save_as(path)
    handed = read_exercise(path.read_bytes(), name=path.name)
    assert handed.title == "The hinge eye" and "climbing" not in path.read_text()

    choose(page, "From a file")
    page.locator("input[type=file]").first.set_input_files(str(path))
    page.wait_for_selector("h3:has-text('The hinge eye')", timeout=30_000)
    settled(page)
    told = truth(handed)
    answer = answered(page, told)
    page.get_by_role("button", name="Lay it and see").click()
    marks = mark(told, answer)
    page.wait_for_selector(f"text=Score: {score(marks)} of 100", timeout=60_000)

    page.locator("input[type=file]").first.set_input_files(str(ROOT / "scenes" / "low_side.toml"))
    page.wait_for_selector("text=no section [exercise]", timeout=30_000)


# ---- the words, and every screen
# ---------------------------------------------------------------------------------------


def test_a_word_is_looked_up(opened):
    page = opened("glossary")
    field = page.get_by_label("Look up a word")
    field.fill("wedge")
    field.press("Enter")
    page.wait_for_function("() => !document.body.innerText.includes('bell mouth')", timeout=20_000)
    settled(page)
    assert "end wedge" in words(page) and "bell mouth" not in words(page)


@pytest.mark.parametrize(
    "width, height, where",
    [(390, 844, ""), (390, 844, "exercises"), (390, 844, "glossary"), (1920, 1080, "?big=true")],
)
def test_no_sideways_scroll(opened, width, height, where):
    page = opened(where, width=width, height=height)
    size = 26 if "big" in where else 16
    page.wait_for_function(
        f"() => parseFloat(getComputedStyle(document.documentElement).fontSize) === {size}",
        timeout=20_000,
    )
    assert (
        page.evaluate(
            "() => document.querySelector('[data-testid=stMain]').scrollWidth - window.innerWidth"
        )
        <= 1
    )


@pytest.mark.parametrize(
    "scheme, screens", [("light", ("", "exercises", "glossary")), ("dark", ("exercises",))]
)
def test_an_accessibility_engine_finds_nothing_serious(opened, scheme, screens):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    serious = []
    for where in screens:
        page = opened(where, scheme=scheme)
        if where == "exercises":
            answered(page, made(next(iter(SEVEN))))
            page.get_by_role("button", name="Lay it and see").click()
            page.locator("img[alt^='The same surface']").wait_for(timeout=60_000)
            settled(page)
        for fault in axe.Axe().run(page).response["violations"]:
            if fault["impact"] in ("serious", "critical"):
                serious.append((where, fault["id"], [n["html"][:160] for n in fault["nodes"]][:3]))
    assert serious == []
