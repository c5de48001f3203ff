"""The three people's errands in a real browser, with no internet."""

import io
import json
import re
import zipfile

import pytest

from sim.job.change import changed
from sim.job.read import load, parse
from sim.plan.odds.verdict import decide
from sim.screens.page import PARTS
from sim.shop.run import simulate
from sim.tell.verdict import headline, place_line
from sim.tell.where_from import explain
from tests.conftest import ROOT


def tab(page, name):
    chosen = next(part for part, names in PARTS.items() if name in names)
    page.get_by_role("radio", name=chosen).click()
    page.get_by_role("tab", name=name).click(timeout=60_000)
    page.wait_for_timeout(300)


def words(page):
    return page.locator("section.stMain, [data-testid=stMain]").first.inner_text()


def settled(page):
    page.wait_for_function(
        "() => document.querySelector('[data-testid=stApp]').dataset.testScriptState !== 'running'",
        timeout=180_000,
    )
    page.wait_for_timeout(1500)  # what is being replaced fades out first


def test_verdict_and_numbers_equal_the_command_line(visit):
    page = visit("coarse_pitch")
    result = simulate(load(ROOT / "scenes" / "coarse_pitch.toml"))
    assert place_line(result, decide(result.scene)) in words(page)
    tab(page, "Where it comes from")
    page.wait_for_selector("text=least stock per side", timeout=30_000)
    for line in (headline(decide(result.scene)), place_line(result, decide(result.scene))):
        assert line in words(page)
    for one in explain(result, decide(result.scene)):
        assert f"{one.what}: {one.value}" in words(page)


def test_engineer_changes_the_pitch_and_sees_the_verdict_change(visit):
    page = visit("cleans_up")
    tab(page, "All fields")
    page.get_by_text("Layers (1)").click()
    field = page.get_by_label("pitch [mm]").last
    field.fill("4.1")
    field.press("Enter")
    page.wait_for_selector("text=FALLS SHORT", timeout=30_000)
    expected = simulate(changed(load(ROOT / "scenes" / "cleans_up.toml"), {"layer.pitch_mm": 4.1}))
    assert headline(decide(expected.scene)) in words(page)


def test_estimator_answers_five_questions(visit):
    page = visit()
    page.get_by_role("button", name="Open a job").click()
    page.get_by_label("Worst size measured").fill("3,2 in")
    page.get_by_label("Worst size measured").press("Tab")
    page.get_by_role("button", name="First verdict").click()
    page.wait_for_selector("text=From five answers", timeout=60_000)
    page.wait_for_selector("text=/NOT PROVEN|FALLS SHORT/", timeout=30_000)


def test_trainer_takes_a_remedy_and_goes_back(visit):
    page = visit("coarse_pitch")
    tab(page, "What would fix it")
    page.get_by_role("button", name="Apply").first.click(timeout=180_000)  # each one is drawn
    page.wait_for_selector("text=CLEANS UP", timeout=30_000)
    page.get_by_role("button", name="Go back to the job before").click()
    page.wait_for_selector("text=FALLS SHORT", timeout=30_000)


def test_a_click_on_the_map_moves_the_section(visit):
    page = visit("coarse_pitch")
    tab(page, "Maps and sections")
    page.wait_for_selector("text=Axial section at 9:06", timeout=60_000)
    settled(page)
    drag = page.locator(".js-plotly-plot .nsewdrag").first
    for _ in range(20):  # pictures below are still taking their place
        drag.evaluate("e => e.scrollIntoView({block: 'center'})")
        page.wait_for_timeout(500)
        box = drag.bounding_box()
        if 0 < box["y"] < 500:
            break
    for off in (4, 0):  # plotly takes a click where the pointer has rested
        page.mouse.move(box["x"] + 0.25 * box["width"] - off, box["y"] + 0.5 * box["height"] - off)
        page.wait_for_timeout(600)
    page.mouse.click(box["x"] + 0.25 * box["width"], box["y"] + 0.5 * box["height"])
    page.wait_for_selector("h3:has-text('Axial section at') >> text=/at [23]:/", timeout=30_000)


def test_bad_input_is_said_beside_its_field(visit):
    page = visit()
    tab(page, "All fields")
    page.get_by_text("Layers (1)").click()
    field = page.get_by_label("pitch [mm]").last
    field.fill("-3")
    field.press("Enter")
    page.wait_for_selector("text=must be at least 0.2 and at most 60 mm", timeout=30_000)
    assert "last job that held" in words(page)


def test_downloads_open_in_the_library_made_for_them(visit):
    import trimesh

    page = visit("end_wedge")
    tab(page, "Take away")
    page.wait_for_selector("text=Words and numbers", timeout=30_000)

    def taken(name):
        with page.expect_download(timeout=60_000) as waiting:
            page.get_by_role("button", name=name).click()
        return open(waiting.value.path(), "rb").read()

    assert parse(taken("Scene file (TOML)").decode()) == load(ROOT / "scenes" / "end_wedge.toml")
    told = json.loads(taken("Result (JSON)"))
    assert (
        told["minimum_stock_mm"]
        == simulate(load(ROOT / "scenes" / "end_wedge.toml")).stock.spot.value
    )
    with zipfile.ZipFile(io.BytesIO(taken("Maps, layers, low spots"))) as archive:
        assert {"layers.csv", "stock_map.csv", "low_spots.csv"} == set(archive.namelist())
    page.get_by_role("button", name="Make the meshes").click()
    page.wait_for_selector("text=zipped,", timeout=60_000)
    with zipfile.ZipFile(io.BytesIO(taken("Meshes (STL"))) as archive:
        solid = trimesh.load(io.BytesIO(archive.read("layer_1.stl")), file_type="stl")
    assert solid.is_watertight


def test_units_switch_round_trip(visit):
    page = visit("cleans_up")
    settled(page)
    before = words(page)
    page.locator("label", has_text=re.compile("^in$")).first.click()
    page.wait_for_selector("text=in from the entry face", timeout=30_000)
    page.locator("label", has_text=re.compile("^mm$")).first.click()
    page.wait_for_selector("text=mm from the entry face", timeout=30_000)
    settled(page)
    assert words(page) == before


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_phone_width_shows_the_verdict_without_sideways_scroll(visit, scheme):
    page = visit("low_side", width=390, height=844, scheme=scheme)
    for name in ("Maps and sections", "What would fix it"):
        tab(page, name)
        settled(page)
        wide = page.evaluate(
            "() => document.querySelector('[data-testid=stMain]').scrollWidth - window.innerWidth"
        )
        assert wide <= 1


def test_an_accessibility_engine_finds_nothing_serious(visit):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page = visit("coarse_pitch")
    serious = []
    for name in ("What would fix it", "Where it comes from", "Take away"):
        tab(page, name)
        settled(page)
        for fault in axe.Axe().run(page).response["violations"]:
            if fault["impact"] in ("serious", "critical"):
                serious.append((name, fault["id"], [n["html"][:120] for n in fault["nodes"]][:3]))
    assert serious == []


def test_reload_in_the_middle_brings_the_page_back(visit):
    page = visit("low_side")
    tab(page, "Maps and sections")
    page.reload()
    page.wait_for_selector("text=FALLS SHORT", timeout=60_000)


def test_two_browsers_do_not_disturb_each_other(visit):
    one, two = visit("cleans_up"), visit("coarse_pitch")
    tab(one, "All fields")
    one.get_by_text("Layers (1)").click()
    field = one.get_by_label("pitch [mm]").last
    field.fill("3.8")
    field.press("Enter")
    planned = changed(load(ROOT / "scenes" / "cleans_up.toml"), {"layer.pitch_mm": 3.8})
    one.wait_for_selector(f"text={decide(planned).verdict.upper()}", timeout=90_000)
    two.reload()
    two.wait_for_selector("text=FALLS SHORT", timeout=60_000)


def test_wrong_upload_is_one_sentence(visit, tmp_path):
    page = visit()
    bad = tmp_path / "photo.toml"
    bad.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(200))
    page.get_by_role("button", name="Open a job").click()
    page.locator("input[type=file]").first.set_input_files(str(bad))
    page.wait_for_selector("text=photo.toml: not UTF-8 text", timeout=30_000)
    assert "CLEANS UP" in words(page)


def test_the_3d_view_stands_in_the_components_frame_and_is_not_blank(visit):
    # Holds the private name of stpyvista that takes ready-made HTML: without it there is no such
    # frame.
    page = visit("coarse_pitch")
    tab(page, "In the round")
    page.wait_for_selector("#stpyvistaframe", timeout=60_000)
    page.wait_for_timeout(500)
    page.wait_for_selector(".st-key-bench", state="detached", timeout=60_000)  # its frame with it
    page.wait_for_timeout(1000)
    for _ in range(200):
        ready = [
            f
            for f in page.frames[1:]
            if f.evaluate("() => document.documentElement.hasAttribute('data-ready')")
        ]
        if ready:
            break
        page.wait_for_timeout(100)
    assert ready
    assert ready[0].evaluate("() => window.boreView.frames") > 0


def part(page, name):
    page.get_by_role("radio", name=name).click()
    page.wait_for_timeout(300)


def test_engineer_finds_a_plan_and_takes_it(visit):
    page = visit("coarse_pitch")
    tab(page, "Layers to lay")
    page.get_by_role("button", name="Find the plan").click()
    page.wait_for_selector("text=Plan for the least metal", timeout=120_000)
    page.get_by_role("button", name="Apply this plan").click()
    page.wait_for_selector("text=CLEANS UP", timeout=30_000)


def test_engineer_compares_pitches_on_a_phone(visit):
    page = visit("cleans_up", width=390, height=800)
    tab(page, "Cases in a table")
    page.get_by_label("Values: Layers: pitch [mm]").fill("3.0:4.2:0.4")
    page.get_by_label("Values: Layers: pitch [mm]").press("Enter")
    page.get_by_role("button", name="Simulate the cases").click()
    page.wait_for_selector("text=Two cases side by side", timeout=60_000)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 391


def test_an_accessibility_engine_finds_nothing_serious_in_a_plan(visit):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page = visit("coarse_pitch")
    part(page, "Plan it")
    tab(page, "Layers to lay")
    settled(page)
    faults = [
        f
        for f in axe.Axe().run(page).response["violations"]
        if f["impact"] in ("serious", "critical")
    ]
    assert [(f["id"], [n["html"][:120] for n in f["nodes"]][:3]) for f in faults] == []
