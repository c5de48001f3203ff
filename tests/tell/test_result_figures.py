"""The result against its declarations: JSON, schema and CSV heads say the same, and a figure that is
declared must be filled in.
"""

import csv
import dataclasses
import json

import jsonschema
import pytest

from sim.job.change import changed
from sim.job.key import figure, keys_of, names
from sim.job.read import load
from sim.plan.compare import SHOWN, CaseDrawn, CasePlanned, columns_of, compare, title
from sim.plan.odds.chance import chance
from sim.plan.odds.verdict import decide
from sim.shop.run import simulate
from sim.shop.several_bores import simulate_bar
from sim.tell import result_figures, result_json
from sim.tell.chance import chance_json
from sim.tell.csv_files import write_csv
from sim.tell.declared import schema_of
from sim.tell.result_figures import AdviceTold, ChanceTold
from sim.tell.result_json import as_json, bar_as_json, schema

TOLD = [
    kind
    for kind in vars(result_figures).values()
    if dataclasses.is_dataclass(kind) and kind.__module__ == result_figures.__name__
]
FILLED_FOR_COARSE_PITCH = [
    "ResultTold", "PlannedTold", "DecidedTold", "AdviceTold", "LayerTold", "SpotTold", "PlaceTold", "GaugeTold",
    "WavinessTold", "WeldLeftTold", "AssumptionTold", "LeastStockTold", "OutOf100Told",
]  # fmt: skip


def names_of(kind):
    return [name for f in keys_of(kind) for name in names(f)]


@pytest.fixture(scope="module")
def coarse():
    return simulate(load("scenes/coarse_pitch.toml"))


@pytest.fixture(scope="module")
def decided(coarse):
    return decide(coarse.scene, [coarse], draws=200)


@pytest.mark.parametrize("name", FILLED_FOR_COARSE_PITCH)
def test_a_figure_that_is_declared_and_not_filled_in_fails(coarse, decided, name, monkeypatch):
    more = dataclasses.make_dataclass(
        "More",
        [("gap", float, figure("length", "between torch and wall"))],
        bases=(getattr(result_figures, name),),
        frozen=True,
    )
    monkeypatch.setattr(result_json, name, more)
    with pytest.raises(TypeError, match="gap"):
        as_json(coarse, decided)


@pytest.mark.parametrize("kind", TOLD, ids=lambda kind: kind.__name__)
def test_no_figure_is_filled_in_by_itself_and_no_name_stands_twice(kind):
    told = dataclasses.fields(kind)
    assert keys_of(kind) == list(told)
    assert all(
        f.default is dataclasses.MISSING and f.default_factory is dataclasses.MISSING for f in told
    )
    every = names_of(kind)
    assert len(every) == len(set(every))


def test_a_bar_keeps_the_schema_in_its_order_with_a_verdict_and_without():
    scene = load("scenes/three_lugs.toml")
    on_bar = simulate_bar(scene)
    drawn = decide(scene, [one.result for one in on_bar], draws=200)
    whole = schema()
    jsonschema.Draft202012Validator.check_schema(whole)
    for known in (drawn, None):
        told = json.loads(json.dumps(bar_as_json(on_bar, known), allow_nan=False))
        jsonschema.validate(told, whole)
        there = [name for name in whole["properties"] if name not in names_of(AdviceTold)]
        assert list(told) == there and there[-1] == "bores"
        bore = whole["properties"]["bores"]["items"]
        assert [list(one) for one in told["bores"]] == 3 * [bore["required"]]


@pytest.mark.parametrize(("file", "part"), [("layers", "layers"), ("low_spots", "low_spots")])
def test_heads_of_the_csv_are_the_names_of_the_schema(coarse, file, part, tmp_path):
    write_csv(coarse, tmp_path)
    with (tmp_path / f"{file}.csv").open(encoding="utf-8") as lines:
        heads = next(csv.reader(lines))
    inner = schema()["properties"][part]["items"]["properties"]
    expected = [
        "_".join((name, *end))
        for name, one in inner.items()
        for end in ([(k,) for k in one["properties"]] if "properties" in one else [()])
    ]
    assert heads == expected


def test_old_names_are_in_the_schema_and_say_what_to_use():
    inner = schema()["properties"]
    old = {name for name, one in inner.items() if one.get("deprecated")}
    assert old == {
        "minimum_stock_mm",
        "minimum_stock_band_mm",
        "pessimist_minimum_stock_mm",
        "pessimist_minimum_stock_at",
    }
    for name in old:
        now = inner[name]["description"].split("; use ")[1]
        assert now.split(".")[0] in inner, name


def test_a_chance_keeps_its_schema_and_names_no_figure_that_is_not_declared(small):
    found = chance(changed(small, {"grid.columns": 60}), 6)
    told = json.loads(json.dumps(chance_json(found), allow_nan=False))
    whole = schema_of(ChanceTold, {})
    jsonschema.validate(told, whole)
    assert list(told) == list(whole["properties"])
    assert len(told["depth_edges_mm"]) == len(told["below_cut"][0]) + 1


def test_columns_of_a_comparison_are_those_declared(small):
    key = "layer.repeat"
    drawn = compare(small, {key: [2]}, columns=60, draws=3).rows[0]
    assert list(drawn) == [key, "verdict", *columns_of(CasePlanned), *columns_of(CaseDrawn)]
    planned = compare(small, {key: [2]}, columns=60, nominal=True).rows[0]
    assert list(planned) == [key, "verdict", *columns_of(CasePlanned)]
    assert set(SHOWN) <= set(drawn) and all(title(name, "in")[0] for name in SHOWN)
    # 25.4 mm = 1 in
    assert title("mean_stock_mm", "in") == ("mean stock to bore off, per side [in]", 1.0 / 25.4)
