"""The settings as JSON: the layers as they are declared, and the whole they stand in."""

from __future__ import annotations

from typing import Any

from sim.job.change import digest
from sim.job.key import rpm
from sim.laws.weld_positions import Position
from sim.machine.layer_row import Check, LayerSettings, Schedule
from sim.reference.arrays import TURN
from sim.reference.cautions import CAUTIONS
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, oclock
from sim.reference.version import VERSION
from sim.tell.card import card_json
from sim.tell.declared import Own, as_json, schema_of
from sim.tell.layer_sheet_basis import basis
from sim.tell.remarks import told as words_of
from sim.tell.result_json import SCHEMA

STAMP = "NOT A WELDING PROCEDURE"


def schedule_json(told: Schedule) -> dict[str, Any]:
    """The settings as plain values: mm, s, C, kJ/mm, o'clock as hours; None where the job does not
    say enough.
    """
    scene, say = told.scene, Say(told.scene.job.units)
    own: Own = {Check: lambda one: _check(one, say), Position: _position}
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(scene),
        "procedure": scene.procedure.number,
        "steel": scene.steel.name,
        "stamp": STAMP if told.open_points else "",
        "open_points": list(told.open_points),
        "against_procedure": told.verdict,
        "whole_turn": {"iso_6947": told.whole_turn[0], "aws": told.whole_turn[1]},
        "layers": [as_json(row, say, own) for row in told.layers],
        "cards": [card_json(one) for one in told.cards],
        "rotation_tables": [as_json(one, say, own) for one in told.tables],
        "no_weld_areas": [as_json(one, say, own) for one in told.areas],
        "heat_and_steel": as_json(told.steel, say, own),
        "basis": [{"what": what, "how_known": how} for what, how in basis(told)],
        "cautions": [{"title": title, "words": words} for title, words in CAUTIONS],
    }


def bar_json(bores: list[tuple[str, float, Schedule]]) -> dict[str, Any]:
    """The settings of the first bore on the bar, and of the others under `other_bores` with name
    and place along it [mm].
    """
    told = schedule_json(bores[0][2])
    if len(bores) > 1:
        told["other_bores"] = [
            {"name": name, "along_mm": along, **schedule_json(one)}
            for name, along, one in bores[1:]
        ]
    return told


def layer_schema() -> dict[str, Any]:
    """JSON Schema of a layer, as it stands under `layers`."""
    check = ("what", "verdict", "unit", "run", "least", "most", "outside_by", "words")
    position = ("iso_6947", "aws", "way", "from_oclock", "to_oclock")
    return schema_of(LayerSettings, {Check: _object(check), Position: _object(position)})


def _object(names: tuple[str, ...]) -> dict[str, Any]:
    return {"type": "object", "required": list(names), "properties": dict.fromkeys(names, True)}


def rpm_words(rotation: float) -> str:
    """A rotation [rad/s] in rpm, to about a part in 300."""
    turns = rpm(rotation)
    return f"{turns:.3f}" if turns < 1.0 else f"{turns:.2f}"


def _position(p: Position) -> dict[str, Any]:
    whole = p.end - p.start >= TURN - 1e-9
    ends = {"from_oclock": oclock(p.start), "to_oclock": 12.0 if whole else oclock(p.end)}
    return {"iso_6947": p.iso, "aws": p.aws, "way": p.way, **ends}


def _check(c: Check, say: Say) -> dict[str, Any]:
    """A check; numbers in the first unit of its kind, which stands beside them."""
    unit = KINDS[c.kind][0] if c.kind in KINDS else None

    def out(value: float | None) -> float | None:
        return None if value is None or unit is None else unit.outside(value)

    return {
        "what": c.what,
        "verdict": c.verdict,
        "unit": "" if unit is None else unit.label,
        "run": None if c.run is None else [out(v) for v in c.run],
        "least": out(c.allowed[0]),
        "most": out(c.allowed[1]),
        "outside_by": 0.0 if unit is None else c.by / unit.factor,
        "words": "" if c.words is None else words_of(c.words, say),
    }
