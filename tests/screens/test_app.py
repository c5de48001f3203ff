"""The page without a browser: every errand runs, and the numbers are the engine's."""

import json

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from sim.job.change import changed
from sim.job.files import shipped
from sim.job.read import load, parse
from sim.job.write import to_text
from sim.pictures.charts.drawn import section_of
from sim.pictures.charts.maps import gauge_figure, ripple_figure, stock_figure, weld_figure
from sim.pictures.charts.sections import cross_section, round_at, section
from sim.pictures.colours import VERDICT_COLOURS
from sim.plan.odds.chance import chance
from sim.plan.odds.verdict import decide
from sim.reference.sizes_in_words import Say
from sim.screens import heading
from sim.screens import page as page_of_all
from sim.shop.judge import CLEANS_UP
from sim.shop.run import simulate
from sim.tell import remarks
from sim.tell.note import of_100
from sim.tell.result_json import as_json
from sim.tell.where_from import explain
from tests.conftest import ROOT

PARTS = {part: list(tabs) for part, tabs in page_of_all.PARTS.items()}
TABS = [name for tabs in PARTS.values() for name in tabs]


@pytest.fixture
def page():
    return AppTest.from_file(str(ROOT / "app.py"), default_timeout=90).run()


def told(page):
    """What the panel over the tabs says."""
    return next(one.value for one in page.get("html") if 'class="verdict' in one.value)


def details(page):
    """What stands behind Why, and other words."""
    page.session_state["part"] = page_of_all.JOB
    page.run()
    page.session_state["why"] = True
    page.run()
    return "".join(one.value for one in page.markdown)


def open_scene(page, name):
    page.selectbox(key="choice").select(name)
    return page.button(key="open").click().run()


def field(page, dotted):
    """The widget of a scene field, whatever round the page is in."""
    kinds = [*page.text_input, *page.selectbox, *page.checkbox]
    return next(w for w in kinds if w.key and w.key.split(" #")[0] == dotted)


def tab(page, name):
    part = next(part for part, names in PARTS.items() if name in names)
    page.session_state["part"] = part
    page.session_state[f"tab {part}"] = name
    return page.run()


def test_first_page_shows_a_verdict(page):
    assert not page.exception
    assert "CLEANS UP" in told(page)


def test_a_yes_is_green_only_when_it_is_as_sure_as_asked(page):
    open_scene(page, "not_sure_yet")
    assert "NOT SURE ENOUGH" in told(page) and "fewer than asked" in details(page)
    assert VERDICT_COLOURS[CLEANS_UP][0] not in told(page) and "Size only" not in told(page)
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("2.9").run()
    assert "✔ CLEANS UP" in told(page) and VERDICT_COLOURS[CLEANS_UP][0] in told(page)
    assert "Size only" in told(page) and "fewer than asked" not in details(page)


def test_an_old_verdict_never_stands_beside_a_new_input(page):
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("rubbish").run()
    assert 'class="verdict old"' in told(page) and heading.OLD in told(page)
    field(page, "layer.1.pitch").set_value("3.0").run()
    assert 'class="verdict"' in told(page) and heading.OLD not in told(page)


def test_how_the_pre_bore_came_out_is_the_first_thing_asked(page):
    tab(page, "All fields")
    asked = next(one for one in page.radio if one.label == "How did the pre-bore come out?")
    assert asked.options == ["not looked yet", "came out bright", "black patches left"]
    asked.set_value("bright").run()
    assert page.session_state["scene"].pre_bore.looked == "bright" and not page.exception
    next(one for one in page.radio if one.label == asked.label).set_value("black left").run()
    button(page, "add pre bore black").click().run()
    assert len(page.session_state["scene"].pre_bore_black) == 1 and not page.exception
    assert field(page, "pre_bore_black.1.deep").value == "" and "Open: black left" in told(page)


def test_every_scene_shows_its_verdict(page):
    for path in shipped():
        open_scene(page, path.stem)
        assert not page.exception, path
        assert decide(load(path)).verdict.upper() in told(page)


@pytest.mark.parametrize("name", TABS)
def test_every_tab_draws_a_failing_job(page, name):
    open_scene(page, "coarse_pitch")
    tab(page, name)
    assert not page.exception


def test_a_changed_field_changes_the_verdict_and_undo_brings_it_back(page):
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("4.1").run()
    assert decide(
        changed(load("scenes/cleans_up.toml"), {"layer.pitch_mm": 4.1})
    ).verdict.upper() in told(page)
    page.button(key="undo").click().run()
    assert "CLEANS UP" in told(page)


def test_fields_take_what_people_type(page):
    tab(page, "All fields")
    for typed, mm in (("1/8 in", 3.175), ('0.125"', 3.175), ("3,2", 3.2), ("125 thou", 3.175)):
        field(page, "layer.1.pitch").set_value(typed).run()
        assert page.session_state["scene"].layer[0].pitch == pytest.approx(mm)


def test_sizes_say_on_diameter_or_per_side(page):
    tab(page, "All fields")
    assert field(page, "bore.final_diameter").label == "final diameter, on diameter [mm]"
    assert field(page, "cut.minimum_cut").label == "minimum cut, per side [mm]"


def test_a_bad_field_is_said_beside_it_and_the_last_picture_stays(page):
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("0").run()
    assert any("must be at least 0.2" in box.value for box in page.error)
    assert any("last job that held" in box.value for box in page.warning)
    assert "CLEANS UP" in told(page)
    field(page, "layer.1.pitch").set_value("rubbish").run()
    assert any("'rubbish': must be a number" in box.value for box in page.error)
    field(page, "layer.1.pitch").set_value("3.1").run()
    assert not page.error


def test_a_job_that_cannot_be_done_says_so_and_keeps_the_last_picture(page):
    tab(page, "All fields")
    field(page, "head.smallest_bore").set_value("79").run()
    assert any("the head would not pass" in box.value for box in page.error)
    assert "CLEANS UP" in told(page)


def test_units_switch_and_back_changes_no_number(page):
    before = to_text(page.session_state["scene"])
    page.radio(key="units").set_value("in").run()
    assert " in from the entry face" in told(page)
    page.radio(key="units").set_value("mm").run()
    assert to_text(page.session_state["scene"]) == before


def test_a_remedy_is_taken_with_one_click_and_put_back_with_one(page):
    open_scene(page, "coarse_pitch")
    tab(page, "What would fix it")
    page.button(key="take 0").click().run()
    assert "CLEANS UP" in told(page)
    page.button(key="fix back").click().run()
    assert "FALLS SHORT" in told(page)


def test_saved_job_runs_on_the_command_line_to_the_same_numbers(page):
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("0.13 in").run()
    saved = parse(to_text(page.session_state["scene"]))
    here = as_json(simulate(page.session_state["scene"]))
    assert json.dumps(as_json(simulate(saved))) == json.dumps(here)


def test_side_by_side_tells_the_differences(page):
    tab(page, "Side by side")
    page.button(key="keep").click().run()
    page.session_state["scene"] = changed(page.session_state["scene"], {"layer.pitch_mm": 3.8})
    page.run()
    after = decide(page.session_state["scene"]).verdict
    assert any(f"verdict: cleans up -> {after}" in m.value for m in page.markdown)


def test_five_answers_give_a_first_verdict(page):
    # Without a measured bead a plain yes is never given.
    button = next(b for b in page.button if b.label == "First verdict")
    button.click().run()
    assert not page.exception
    assert "NOT PROVEN" in told(page)


def test_pasted_readings_make_the_job(page):
    tab(page, "Readings")
    area = page.text_area[0]
    area.set_value((ROOT / "scenes" / "two_point_cold.csv").read_text()).run()
    page.button(key="use pasted").click().run()
    assert not page.exception
    assert page.session_state["scene"].readings is not None
    assert "decimal point" in details(page)


def test_bad_readings_are_one_sentence_and_the_job_stays(page):
    tab(page, "Readings")
    page.text_area[0].set_value("depth_mm,oclock,diameter_mm\n5,12,rubbish\n").run()
    page.button(key="use pasted").click().run()
    assert any("row 2: diameter = 'rubbish'" in box.value for box in page.error)
    assert page.session_state["scene"].readings is None


# ---- pictures
# -------------------------------------------------------------------------------------------------


def test_section_drawn_is_the_engines_wall():
    result = simulate(load("scenes/low_side.toml"))
    spot = result.stock.spot
    depth, stock = section_of(
        result.layers[-1].wall, result, float(result.start.clock.angle[spot.column])
    )
    judged = (depth >= 1.0) & (depth <= 99.0)  # between the mouth chamfers
    depth, stock = depth[judged], stock[judged]
    assert stock.min() == pytest.approx(spot.value, abs=1e-9)
    assert depth[stock.argmin()] == pytest.approx(spot.depth, abs=1e-9)


def test_map_drawn_keeps_the_worst_valley():
    result = simulate(load("scenes/coarse_pitch.toml"))
    drawn = stock_figure(result, n_clock=60, n_depth=50)
    assert np.min(drawn.figure.data[0].z) == pytest.approx(result.stock.spot.value, abs=2e-3)


def test_every_picture_carries_its_data_and_its_meaning():
    result = simulate(load("scenes/low_side.toml"))
    drawn = [
        section(result, 1.0), stock_figure(result, n_clock=24, n_depth=20), weld_figure(result),
        cross_section(result, 30.0), ripple_figure(result), gauge_figure(result),
    ]  # fmt: skip
    for one in drawn:
        assert len(one.words) > 20
        assert one.csv.count("\n") == 1 + len(next(iter(one.columns.values())))


def test_cross_section_is_the_stock_at_that_depth():
    result = simulate(load("scenes/low_side.toml"))
    spot = result.stock.spot
    _, stock = round_at(result.layers[-1].wall, result, spot.depth)
    assert stock.min() == pytest.approx(spot.value, abs=1e-6)


def test_zero_is_neutral_and_black_has_its_own_colour():
    from sim.pictures.colours import BLACK_LEFT, NEUTRAL, stock_scale

    scale = stock_scale(-1.0, 3.0)
    assert scale[0] == (0.0, BLACK_LEFT) and (0.25, NEUTRAL) in scale


# ---- plan it
# -------------------------------------------------------------------------------------------------------


def button(page, label):
    return next(b for b in page.button if b.label == label)


def test_cases_in_a_table_are_the_engine_s(page):
    tab(page, "Cases in a table")
    page.selectbox(key="vary Vary").select("layer.pitch").run()
    page.text_input(key="values Vary layer.pitch_mm").set_value("3.0, 3.3, 4.1").run()
    page.selectbox(key="case draws").select("the verdict on each").run()
    button(page, "Simulate the cases").click().run()
    assert not page.exception
    table = page.session_state["cases"][1][0]
    for row, pitch in zip(table.rows, (3.0, 3.3, 4.1), strict=True):
        assert (
            row["verdict"]
            == decide(changed(load("scenes/cleans_up.toml"), {"layer.pitch_mm": pitch})).verdict
        )
    shown = page.dataframe[0].value
    assert list(shown["verdict"]) == [row["verdict"] for row in table.rows]
    assert list(shown["least stock as planned, per side [mm]"]) == pytest.approx(
        [row["minimum_stock_mm"] for row in table.rows], abs=1e-4
    )


@pytest.mark.parametrize(
    "typed, told",
    [
        ("3.0:2.0:0.1", "empty range"),
        ("wide", "not a number"),
        ("", "no values"),
        ("1:9:0.0000001", "cases would take about"),
    ],
)
def test_values_that_cannot_be_varied_are_said(page, typed, told):
    tab(page, "Cases in a table")
    page.text_input(key="values Vary layer.pitch_mm").set_value(typed).run()
    if not page.error:
        button(page, "Simulate the cases").click().run()
    assert any(told in box.value for box in page.error) and not page.exception


def test_values_to_begin_with_are_about_what_the_job_has(page):
    tab(page, "Cases in a table")
    page.selectbox(key="vary Vary").select("layer.repeat").run()
    assert page.text_input(key="values Vary layer.repeat").value == "1,2,3,4"
    page.selectbox(key="vary Vary").select("layer.advance").run()
    assert page.text_input(key="values Vary layer.advance").value == "spiral,step"


def test_cases_in_inches(page):
    page.radio(key="units").set_value("in").run()
    tab(page, "Cases in a table")
    page.text_input(key="values Vary layer.pitch_in").set_value("0.125, 0.16").run()
    button(page, "Simulate the cases").click().run()
    assert not page.exception and not page.error
    assert list(page.dataframe[0].value["layer pitch [in]"]) == [0.125, 0.16]
    assert "least stock as planned, per side [in]" in page.dataframe[0].value


def test_how_sure_is_the_chance_of_the_engine(page):
    open_scene(page, "coarse_pitch")
    tab(page, "How sure")
    button(page, "Check").click().run()
    assert not page.exception
    found = chance(load("scenes/coarse_pitch.toml"))
    assert any(
        f"FALLS SHORT: {of_100(100 * found.probability)} of 100" in box.value
        for box in page.warning
    )


def test_a_plan_is_found_and_taken_into_the_job(page):
    open_scene(page, "coarse_pitch")
    tab(page, "Layers to lay")
    button(page, "Find the plan").click().run()
    assert not page.exception and "plan refused" not in page.session_state
    plan = page.session_state["plan"][1]
    assert any(
        remarks.told(plan.winner.name, Say("mm")) in box.value
        for box in [*page.success, *page.warning]
    )
    button(page, "Apply this plan").click().run()
    assert to_text(page.session_state["scene"]) == to_text(plan.winner.scene)


def test_a_plan_by_cost_without_rates_says_so(page):
    tab(page, "Layers to lay")
    page.radio(key="plan by").set_value("cost").run()
    button(page, "Find the plan").click().run()
    assert any("needs your own rates" in box.value for box in page.error)
    tab(page, "All fields")
    field(page, "layer.1.pitch").set_value("3.1").run()
    tab(page, "Layers to lay")
    assert not any(
        "needs your own rates" in box.value for box in page.error
    )  # it was said of the job as it was


def test_the_words_under_a_picture_agree_with_the_verdict():
    """Least stock of section and map is that of the judged wall: chamfers are drawn, not judged (as
    `least_stock` has it).
    """
    for name in ("cleans_up", "low_side"):
        result = simulate(load(f"scenes/{name}.toml"))
        spot = result.stock.spot
        told = section(result, spot.clock).words
        assert float(told.split("least stock ")[1].split(" ")[0]) == pytest.approx(
            spot.value, abs=6e-4
        )
        assert (
            f"least {spot.value:.3f} mm at the cross"
            in stock_figure(result, n_clock=60, n_depth=50).words
        )


def test_nothing_stays_black_in_a_section_of_a_job_that_cleans_up():
    result = simulate(load("scenes/cleans_up.toml"))
    for clock in np.linspace(0.0, 2 * np.pi, 24, endpoint=False):
        drawn = section(result, clock)
        assert "finds metal everywhere" in drawn.words
        assert "stays black" not in {trace.name for trace in drawn.figure.data}


def test_the_section_stays_where_it_was_put_while_another_tab_is_open(page):
    tab(page, "Maps and sections")
    page.slider(key="section clock").set_value(3.0).run()
    tab(page, "All fields")
    page.radio(key="units").set_value("in").run()
    tab(page, "Maps and sections")
    assert not page.exception
    assert page.slider(key="section clock").value == pytest.approx(3.0)


def test_what_would_not_do_is_forgotten_with_its_job(page):
    tab(page, "Readings")
    page.text_area[0].set_value("rubbish").run()
    page.button(key="use pasted").click().run()
    assert page.session_state["readings fault"]
    page.button(key="open").click().run()
    assert not page.session_state["readings fault"]


def test_worked_areas_are_in_the_units_of_the_job():
    result = simulate(load("scenes/inch_vertical.toml"))
    told = {one.what: one.value for one in explain(result)}
    area = result.settings[-1].bead.area
    assert told["bead area"] == f"{area / 25.4**2:.4f} in2 ({area:.2f} mm2)"
    assert told["volume per radian q"].startswith(
        f"{result.settings[-1].q / 25.4**3:.4f} in3/rad ("
    )


def test_several_bores_are_decided_together(page):
    """The verdict is of all bores of the bar drawn together; the least sure of them is named."""
    open_scene(page, "three_lugs")
    assert not page.exception
    decided = decide(load("scenes/three_lugs.toml"))
    assert decided.verdict.upper() in told(page)
    assert f"<b>{of_100(decided.clean_up_of_100.value)}</b> of 100" in told(page)
    assert decided.worst in told(page)


def test_the_first_visit_loads_pandas_whole_before_any_picture(monkeypatch):
    """Two first visits at once: plotly looks into `sys.modules` and would take a pandas another
    thread is still loading.
    """
    from sim.screens.clean_up import in_the_round as look

    loaded = []
    monkeypatch.setattr(look.importlib, "import_module", loaded.append)
    monkeypatch.setattr(look, "viewer", lambda: type("Warm", (), {"warm": lambda self: None})())
    look.ready.clear()
    look.ready()
    look.ready.clear()
    assert loaded == ["pandas"]
