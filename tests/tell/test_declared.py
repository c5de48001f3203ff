"""Settings as JSON against their declarations: every figure there, nothing beside it, in its unit."""

import dataclasses
import json
import math

import jsonschema
import pytest

from sim.job.key import RANGE, figure, keys_of, names, outward
from sim.job.read import load
from sim.machine.boring.cuts import BoreAfter, Pass
from sim.machine.boring.passes import boring_cuts
from sim.machine.layer_row import Kept, LayerSettings, Restart, TurnRow, Warming
from sim.machine.layer_sheet import schedule
from sim.reference.sizes_in_words import Say
from sim.shop.run import simulate
from sim.tell.boring import cuts_json
from sim.tell.declared import as_json, schema_of
from sim.tell.layer_sheet_json import layer_schema, schedule_json


@pytest.fixture(scope="module", params=["filled_in", "oil_hole_plugged", "inch_vertical"])
def result(request):
    return simulate(load(f"scenes/{request.param}.toml"))


@pytest.fixture(scope="module")
def told(result):
    return schedule(result)


def test_every_layer_keeps_the_schema_made_of_the_declarations(told):
    schema = layer_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    for layer in json.loads(json.dumps(schedule_json(told), allow_nan=False))["layers"]:
        jsonschema.validate(layer, schema)
        assert list(layer) == schema["required"]


def test_passes_and_bore_keep_the_schema_made_of_the_declarations(result):
    cuts = json.loads(json.dumps(cuts_json(boring_cuts(result)), allow_nan=False))
    for one in cuts["passes"]:
        jsonschema.validate(one, schema_of(Pass, {}))
    jsonschema.validate(cuts["bore"], schema_of(BoreAfter, {}))
    assert list(cuts["bore"]) == schema_of(BoreAfter, {})["required"]


def test_a_key_too_many_or_too_few_is_noticed(told):
    layer = schedule_json(told)["layers"][0]
    for wrong in (layer | {"more": 1}, {k: v for k, v in layer.items() if k != "turns"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(wrong, layer_schema())


def test_no_name_stands_twice():
    for kind in (LayerSettings, Kept, Restart, Warming, TurnRow, Pass, BoreAfter):
        every = [name for f in keys_of(kind) for name in names(f)]
        assert len(every) == len(set(every)), kind


def test_a_figure_stands_in_the_first_unit_of_its_kind(told):
    # 1 rpm = 2 pi / 60 rad/s; 1 m/min = 1000/60 mm/s; 12 hours a turn
    one = told.layers[0]
    layer = schedule_json(told)["layers"][0]
    assert layer["rotation_rpm"] == pytest.approx(one.rotation * 60.0 / (2.0 * math.pi))
    assert layer["wire_feed_m_per_min"] == pytest.approx(one.wire_feed * 60.0 / 1000.0)
    assert layer["travel_mm_per_min_range"] == pytest.approx([60.0 * v for v in one.travels])
    assert layer["start_oclock"] == pytest.approx(one.start_clock / (2.0 * math.pi) * 12.0)
    assert layer["gauge_diameter_mm"] is None  # no card was asked for


def test_what_never_ends_stands_as_null():
    never = Warming(20.0, 120.0, 100.0, math.inf, math.inf, (60.0, math.inf))
    assert as_json(never, Say("mm"), {}) == {
        "start_c": 20.0,
        "end_c": 120.0,
        "interpass_c": 100.0,
        "passes_interpass_after_s": None,
        "wait_s": None,
        "wait_s_range": [60.0, None],
    }
    assert outward("time", math.nan) is None


def test_a_new_figure_is_one_line():
    @dataclasses.dataclass(frozen=True)
    class More:
        gap: float = figure("length", "between torch and wall")
        warm: tuple[float, float] | None = figure("temperature", "least and most", form=RANGE)

    assert as_json(More(1.5, (20.0, 30.0)), Say("mm"), {}) == {
        "gap_mm": 1.5,
        "warm_c_range": [20.0, 30.0],
    }
    assert as_json(More(1.5, None), Say("mm"), {}) == {"gap_mm": 1.5, "warm_c_range": None}
