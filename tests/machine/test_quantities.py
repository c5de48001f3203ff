"""What a job takes, low, likely and high; money only at the user's own rates; a quick estimate;
commands and screens.
"""

import json
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binomtest
from streamlit.testing.v1 import AppTest

from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import load, parse
from sim.machine.boring.passes import boring_cuts
from sim.machine.layer_sheet import schedule
from sim.machine.quantities.guess import Guess, added
from sim.machine.quantities.metal import metal_spread
from sim.machine.quantities.money import with_rates
from sim.machine.quantities.quick import quick_estimate
from sim.machine.quantities.takes import bar_quantities, quantities
from sim.plan.odds.draws import Way, draw
from sim.plan.odds.spreads_of_job import spreads_of
from sim.reference.errors import SceneError
from sim.reference.sizes_in_words import Say
from sim.set_up.layers import wire_used
from sim.shop.ready_to_lay import made_ready
from sim.shop.run import simulate
from sim.shop.several_bores import simulate_bar
from sim.tell.quantities import estimate_note, quantities_note
from sim.tell.remarks import lines
from tests.conftest import ROOT, SMALL

RATES = """
[rates]
currency = "crowns"
gas_price = 90.0
fixed_price = 500
set_up_time_min = 45
[plan]
wire_price = 30
hour_price = 800
"""


@pytest.fixture(scope="module")
def plain():
    return simulate(parse(SMALL))


@pytest.fixture(scope="module")
def found(plain):
    return quantities(plain, boring_cuts(plain))


def at_rates(result, **keys):
    scene = changed(
        result.scene,
        {
            "plan.wire_price": 10.0,
            "plan.hour_price": 60.0,
            "rates.gas_price": 40.0,
            "rates.currency": "crowns",
        }
        | keys,
    )
    return replace(result, scene=scene)


# ---- how much
# -----------------------------------------------------------------------------------------------------------


def test_wire_gas_and_arc_time_by_hand(plain, found):
    # Wire: feed x time x pi/4 d^2 x 7.85; gas: 10 l/min for a mm of wire x time; time: turns x
    # circumference / travel.
    seconds = sum(s.path.angle_on * s.radius / s.travel for s in plain.settings)
    assert found.of("arc").amount.likely == pytest.approx(seconds, rel=1e-9)
    wire = 3500.0 / 60.0 * seconds * math.pi / 4.0 * 7.85e-3
    assert found.of("wire").amount.likely == pytest.approx(wire, rel=1e-9)
    assert found.of("gas").amount.likely / 1e6 == pytest.approx(10.0 * seconds / 60.0, rel=1e-9)
    assert found.of("spools").amount == Guess(1.0, 1.0, 1.0)


def test_metal_laid_over_wire_fed_is_the_efficiency(plain, found):
    # Deposition efficiency of solid wire by handbook tables 0.93 to 0.98: what the engine laid over
    # the wire of the estimate.
    laid = sum(layer.volume for layer in plain.layers) * 7.85e-3
    assert 0.93 <= laid / found.of("wire").amount.likely <= 0.98


def test_spread_of_the_wire_is_that_of_the_draws(plain):
    # Closed form against 4000 draws of the area factors that the engine itself is given.
    job = made_ready(plain.scene, 24)
    spreads = spreads_of(plain.scene, job.settings)
    ways = [Way(1.0, 1.0) for _ in job.settings]
    area = np.array([draw(spreads, ways, 3, k).area for k in range(4000)])
    wire = np.array([wire_used(plain.scene, s) for s in plain.settings])
    assert metal_spread(plain) == pytest.approx(float((area @ wire / wire.sum()).std()), rel=0.04)


def test_low_and_high_lie_about_the_likely(found):
    assert {row.name for row in found.rows} >= {
        "wire",
        "gas",
        "arc",
        "set_up",
        "clean",
        "measure",
        "between",
        "bore",
        "tool",
        "pre_bore",
        "cool",
    }
    for row in found.rows:
        assert 0.0 <= row.amount.low <= row.amount.likely <= row.amount.high, row.name
        assert row.basis
    worked = sum(row.amount.likely for row in found.rows if row.kind == "work")
    assert found.work.likely == pytest.approx(worked)
    assert found.work.high < sum(row.amount.high for row in found.rows if row.kind == "work")


def test_a_plan_that_falls_short_in_some_draws_holds_a_layer_more_in_its_high():
    thick = simulate(changed(parse(SMALL), {"layer.repeat": 3}))
    sure, unsure = (
        quantities(thick, boring_cuts(thick)),
        quantities(simulate(parse(SMALL)), boring_cuts(simulate(parse(SMALL)))),
    )
    assert sure.short <= 0.02 < 0.1 < unsure.short
    for one, share in ((sure, 0.0), (unsure, 0.45)):
        wire = one.of("wire").amount
        assert (wire.high / wire.likely - 1.0 > share) and (
            share > 0.0 or wire.high / wire.likely < 1.1
        )


def test_boring_time_is_that_of_the_cuts(plain, found):
    cuts = boring_cuts(plain)
    assert found.of("bore").amount.likely + found.of("pre_bore").amount.likely == pytest.approx(
        cuts.time
    )
    assert found.of("tool").amount.likely == pytest.approx(360.0 * len(cuts.passes))


def test_times_of_ones_own_have_no_spread(plain):
    result = replace(
        plain,
        scene=changed(
            plain.scene,
            {"rates.set_up_time_min": 45.0, "rates.cool_time_min": 0.0, "plan.layer_time_s": 300.0},
        ),
    )
    own = quantities(result, boring_cuts(result), holes=2)
    assert own.of("set_up").amount == Guess(5400.0, 5400.0, 5400.0)
    assert own.of("cool") is None
    assert own.of("between").amount.likely == 1200.0


def test_waiting_between_layers_is_what_the_schedule_says(plain, found):
    assert found.of("interpass") is None and "waiting not counted" in {
        one.what for one in found.notes
    }
    result = replace(
        plain,
        scene=changed(
            plain.scene,
            {
                "electrical.voltage_v": 18.0,
                "electrical.current_a": 120.0,
                "heat.interpass_c": 150.0,
            },
        ),
    )
    told = quantities(result, boring_cuts(result), holes=2).of("interpass").amount
    warming = schedule(result).layers[0].warming
    assert (
        told.likely == pytest.approx(2.0 * max(warming.wait - result.scene.plan.layer_time, 0.0))
        and told.likely > 0.0
    )
    assert told.low < told.likely < told.high


def test_alike_bores_take_as_many_times(plain, found):
    cuts = boring_cuts(plain)
    four = quantities(plain, cuts, holes=4)
    for name in ("wire", "gas", "arc", "set_up", "bore"):
        assert four.of(name).amount.likely == pytest.approx(4.0 * found.of(name).amount.likely)
    with pytest.raises(SceneError, match="holes = 0"):
        quantities(plain, cuts, holes=0)


def test_bores_on_a_bar_are_added_and_set_up_once():
    on_bar = simulate_bar(load("scenes/three_lugs.toml"))
    one, all_three = bar_quantities(on_bar[:1]), bar_quantities(on_bar)
    wires = [sum(wire_used(o.result.scene, s) for s in o.result.settings) * 7.85e-3 for o in on_bar]
    assert all_three.of("wire").amount.likely == pytest.approx(sum(wires))
    assert all_three.of("set_up").amount == one.of("set_up").amount
    assert all_three.of("clean").amount.likely == pytest.approx(3.0 * one.of("clean").amount.likely)


def test_sums_of_independent_lines_against_draws():
    # Root of squares against draws of independent normal values, 2 standard deviations either way.
    rng = np.random.default_rng(5)
    parts = [Guess(8.0, 10.0, 12.0), Guess(15.0, 20.0, 25.0), Guess(4.0, 5.0, 6.0)]
    total = sum(rng.normal(g.likely, (g.high - g.low) / 4.0, 200_000) for g in parts)
    low, high = np.percentile(total, [2.28, 97.72])
    assert (added(parts).low, added(parts).high) == (
        pytest.approx(low, abs=0.05),
        pytest.approx(high, abs=0.05),
    )


# ---- money
# --------------------------------------------------------------------------------------------------------------


def test_no_rates_no_money_and_that_is_said(found):
    assert found.money is None and all(row.money is None for row in found.rows)
    assert len(found.missing) == 3
    note = quantities_note(found)
    assert (
        "No money: no rates given." in note
        and "wire_price" in note
        and not re.search(r"[$€£]", note)
    )


def test_money_by_hand(plain):
    told = quantities(at_rates(plain), boring_cuts(plain))
    wire, gas = told.of("wire"), told.of("gas")
    assert wire.money.likely == pytest.approx(wire.amount.likely / 1000.0 * 10.0)
    assert gas.money.likely == pytest.approx(gas.amount.likely / 1e9 * 40.0)
    assert told.money.likely == pytest.approx(
        wire.money.likely + gas.money.likely + told.work.likely / 3600.0 * 60.0
    )
    assert told.of("cool").money is None and told.missing == ()
    assert "crowns" in quantities_note(told)


def test_what_has_no_rate_is_left_out_and_said(plain):
    told = quantities(at_rates(plain, **{"plan.hour_price": None}), boring_cuts(plain))
    assert told.money is not None and [one.what for one in told.missing] == ["hours not priced"]
    assert "not all of it priced" in quantities_note(told)


def test_gas_cost_of_a_published_worksheet(plain):
    # Weld Metal Cost Worksheet: 40 ft3/h x 0.02 = 0.8 an hour of arc; at its 10.2 lb/h 0.08 a pound.
    cubic_foot = 304.8**3
    result = at_rates(
        plain, **{"rates.gas_flow_ft3_per_h": 40.0, "rates.gas_price": 0.02 * 1e9 / cubic_foot}
    )
    told = quantities(result, boring_cuts(plain))
    an_hour = told.of("gas").money.likely / (told.of("arc").amount.likely / 3600.0)
    assert an_hour == pytest.approx(0.8, abs=1e-9)
    assert an_hour / 10.2 == pytest.approx(0.08, abs=0.005)


def test_rates_file(plain, tmp_path):
    path = tmp_path / "rates.toml"
    path.write_text(RATES)
    scene = with_rates(plain.scene, path)
    assert (
        scene.plan.wire_price,
        scene.plan.hour_price,
        scene.rates.gas_price,
        scene.rates.set_up_time,
    ) == (30.0, 800.0, 90.0, 2700.0)
    told = quantities(replace(plain, scene=scene), boring_cuts(plain))
    assert told.currency == "crowns" and told.of("fixed").money == Guess(500.0, 500.0, 500.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[bore]\nlength_mm = 3", "takes|holds"),
        ("[plan]\nlayers_most = 3", "wire_price and hour_price only"),
        ("[rates]\ngas_prize = 3", "did you mean gas_price"),
        ("[rates]\ngas_price = -3", "at least 0"),
        ("[rates]\ngas_price = 'x'", "must be a number"),
        ("[rates", "not valid TOML"),
        ("", "empty"),
        ("rates = 3", "holds"),
    ],
)
def test_bad_rates_file(plain, tmp_path, text, words):
    path = tmp_path / "rates.toml"
    path.write_text(text)
    with pytest.raises(SceneError, match=words) as fault:
        with_rates(plain.scene, path)
    assert "\n" not in str(fault.value)


# ---- the quick estimate
# -------------------------------------------------------------------------------------------------


def test_quick_estimate_says_all_it_assumed():
    made = quick_estimate(80.0, 82.0, 60.0, 3)
    said = lines(made.assumed, Say(made.scene.job.units))
    words = " ".join(said)
    for what in (
        "original size",
        "oval",
        "pre-bored",
        "layers",
        "pitch",
        "wire",
        "travel",
        "bead not measured",
        "3 bores alike",
    ):
        assert what in words, what
    assert made.result.stock.spot.value >= made.scene.cut.minimum_cut
    note = estimate_note(made)
    assert all(line in note for line in said)


def test_quick_estimate_holds_the_metal_of_the_ring():
    # Conservation: the ring from the pre-bore to the mean wall that is left, over the efficiency,
    # is the wire (metal past the
    # faces and closing turns are the rest).
    made = quick_estimate(80.0, 82.0, 100.0)
    mean = made.result.layers[-1].wall.mean_radius(0.0, 100.0)
    ring = math.pi * (41.25**2 - mean**2) * 100.0 * 7.85e-3 / 0.96
    wire = made.quantities.of("wire").amount
    assert ring == pytest.approx(wire.likely, rel=0.03)
    assert (
        wire.low < 0.9 * wire.likely and wire.high > 1.15 * wire.likely
    )  # wider than one planned: the wear is a guess


def test_more_wear_takes_more():
    small, large = (quick_estimate(80.0, worst, 60.0).quantities for worst in (81.0, 85.0))
    for name in ("wire", "gas", "arc"):
        assert large.of(name).amount.likely > small.of(name).amount.likely


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ((80.0, 79.0, 100.0), "must be larger than the original"),
        ((0.0, 79.0, 100.0), "greater than 0"),
        ((80.0, 82.0, math.nan), "greater than 0"),
        ((80.0, 82.0, 1e6), "at most 1000"),
        ((30.0, 31.0, 50.0), "head"),
        ((80.0, 95.0, 50.0), "worst size = 95 mm: more than 15 %"),
    ],
)
def test_quick_estimate_of_nonsense(sizes, words):
    with pytest.raises(SceneError, match=words) as fault:
        quick_estimate(*sizes)
    assert "\n" not in str(fault.value)


# ---- commands
# -----------------------------------------------------------------------------------------------------------


def finite(text):
    return json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))


def test_cuts_command(tmp_path, capsys):
    path = tmp_path / "job.toml"
    path.write_text(SMALL)
    code = main(["cuts", str(path), "--json"])
    told = finite(capsys.readouterr().out)
    assert (code == 0) == (told["warnings"] == [])
    assert told["passes"][-1]["kind"] == "finish" and told["bar_given"] is False
    assert main(["cuts", str(path)]) == code
    note = capsys.readouterr().out
    assert (
        "per side" in note
        and "on diameter" in note
        and "Estimates, not a welding procedure" in note
    )
    path.write_text(SMALL + '[boring_bar]\nheld = "overhung"\nspan_mm = 100\n')
    assert main(["cuts", str(path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_cuts_of_a_bar_with_several_bores(capsys):
    main(["cuts", "three_lugs", "--json"])
    assert len(finite(capsys.readouterr().out)["bores"]) == 3


def test_estimate_command(tmp_path, capsys):
    scene, rates = tmp_path / "job.toml", tmp_path / "rates.toml"
    scene.write_text(SMALL)
    rates.write_text(RATES)
    assert main(["estimate", str(scene), "--json"]) == 0
    bare = finite(capsys.readouterr().out)
    assert bare["money"] is None and len(bare["not_priced"]) == 3
    assert main(["estimate", str(scene), "--rates", str(rates), "--json"]) == 0
    priced = finite(capsys.readouterr().out)
    assert (
        priced["currency"] == "crowns"
        and priced["money"]["low"] < priced["money"]["likely"] < priced["money"]["high"]
    )


def test_estimate_command_from_sizes(capsys):
    assert (
        main(
            [
                "estimate",
                "--original",
                "3 1/8 in",
                "--worst",
                "3.2in",
                "--length",
                "60",
                "--holes",
                "2",
                "--json",
            ]
        )
        == 0
    )
    told = finite(capsys.readouterr().out)
    assert told["holes"] == 2 and told["assumed"] and told["assumptions"]
    assert (
        main(
            [
                "estimate",
                "--original",
                "3.125",
                "--worst",
                "3.2",
                "--length",
                "2.4",
                "--units",
                "in",
            ]
        )
        == 0
    )
    note = capsys.readouterr().out
    assert "lb" in note and "ft3" in note and " mm on diameter" not in note


@pytest.mark.parametrize(
    "arguments",
    [
        ["--original", "80"],
        ["cleans_up", "--original", "80"],
        ["--original", "x", "--worst", "82", "--length", "100"],
        ["--original", "80", "--worst", "82", "--length", "100", "--holes", "0"],
        ["--original", "80", "--worst", "82", "--length", "100", "--rates", "no_such.toml"],
        ["no_such_scene"],
        [],
    ],
)
def test_estimate_of_nonsense_ends_with_2(arguments, capsys):
    assert main(["estimate", *arguments]) == 2
    assert capsys.readouterr().err.count("\n") == 1


# ---- screens
# ------------------------------------------------------------------------------------------------------------


def page(part, tab):
    """A page with one of the two tabs alone, on a small job."""
    source = f"""
import sys
sys.path.insert(0, {str(ROOT)!r})
import streamlit as st
from sim.job.read import parse
from sim.screens import memory
from sim.screens.{part} import {tab}
from sim.plan.odds.verdict import worst_bore
from tests.conftest import SMALL
if "scene" not in st.session_state:
    memory.put(parse(SMALL), remember=False)
{tab}.show(worst_bore(memory.on_bar(memory.job())).result)
"""
    return AppTest.from_string(source, default_timeout=90)


def test_boring_tab():
    tab = page("machine", "boring_cuts").run()
    assert not tab.exception
    table = tab.dataframe[0].value
    assert list(table["pass"]) == [
        f"{k} {one.kind}" for k, one in enumerate(boring_cuts(simulate(parse(SMALL))).passes, 1)
    ]
    assert any("narrower" in box.value for box in tab.markdown)


def test_boring_tab_says_why_a_bar_does_not_fit():
    tab = page("machine", "boring_cuts")
    tab.session_state["scene"] = changed(parse(SMALL), {"boring_bar.diameter_mm": 79.0})
    tab.session_state["round"], tab.session_state["faults"] = 1, {}
    tab.run()
    assert not tab.exception and "does not go into the bore" in tab.error[0].value


def test_estimate_tab_and_its_form():
    tab = page("plan", "what_it_takes").run()
    assert not tab.exception
    assert "wire fed" in list(tab.dataframe[0].value["what"])
    assert "No money: no rates given." in [box.value for box in tab.markdown]
    for key, text in (("original", "80"), ("worst", "82"), ("length", "60")):
        tab.text_input(key=f"quick {key}").set_value(text)
    tab.button[0].click().run()
    assert not tab.exception and len(tab.dataframe) == 2
    assert any("bead not measured" in box.value for box in tab.markdown)
    tab.session_state["units"] = "in"
    tab.run()
    assert any(
        "3.150 in" in box.value for box in tab.markdown
    )  # what was estimated in mm is told in inches: 80 / 25.4
    tab.session_state["units"] = "mm"
    tab.run()
    tab.text_input(key="quick worst").set_value("79")
    tab.button[0].click().run()
    assert (
        not tab.exception
        and "must be larger than the original" in tab.error[0].value
        and len(tab.dataframe) == 1
    )


@pytest.mark.parametrize(
    "name",
    [
        "readings_radius",
        "oil_hole",
        "small_bore",
        "after_first_layer",
        "inch_vertical",
        "bead_not_measured",
    ],
)
def test_every_kind_of_scene_has_cuts_and_an_estimate(name, capsys):
    assert main(["cuts", name, "--json"]) in (0, 3)
    told = finite(capsys.readouterr().out)
    assert told["passes"][-1]["set_diameter_mm"] == pytest.approx(
        load(f"scenes/{name}.toml").bore.final_diameter, abs=0.1
    )
    assert main(["estimate", name, "--json"]) == 0
    assert all(row["basis"] for row in finite(capsys.readouterr().out)["rows"])


def test_low_to_high_of_the_wire_holds_19_jobs_in_20():
    # Coverage on draws of the area factors the engine itself is given; two standard deviations of a
    # normal value hold 0.9545.
    result = simulate(changed(parse(SMALL), {"layer.repeat": 3}))
    wire = quantities(result, boring_cuts(result)).of("wire").amount
    job = made_ready(result.scene, 24)
    spreads, ways = spreads_of(result.scene, job.settings), [Way(1.0, 1.0) for _ in job.settings]
    fed = np.array([wire_used(result.scene, s) for s in result.settings])
    area = np.array([draw(spreads, ways, 7, k).area for k in range(4000)])
    metal = area @ fed / fed.sum() * wire.likely
    held = int(((metal >= wire.low) & (metal <= wire.high)).sum())
    assert binomtest(held, 4000, 0.9545).pvalue > 1e-3
