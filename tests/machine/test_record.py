"""The record of a job: one file that comes back whole, what is refused, planned against come out,
what is offered.
"""

import dataclasses
import json
import os

import numpy as np
import pytest

from sim.commands.main import main
from sim.job.change import changed
from sim.job.read import parse
from sim.job.write import to_text
from sim.machine.between import record
from sim.machine.between.card import after_layer_cards
from sim.machine.between.fit import Fit
from sim.machine.between.readings_after import told, with_readings
from sim.machine.between.record import Offered, Record, as_mapping, came_out, parsed, read, write
from sim.machine.between.told import Update
from sim.machine.layer_sheet import schedule
from sim.plan.odds.strays import SEEN
from sim.reference.errors import SceneError
from sim.reference.version import VERSION
from sim.shop.run import simulate
from sim.tell.between import unknown_lines
from sim.tell.layer_sheet import schedule_note
from sim.tell.layer_sheet_json import schedule_json
from sim.tell.record import came_json, record_note
from tests.conftest import SMALL
from tests.machine.test_update import held, written

FINISHED = "depth_mm,oclock,diameter_mm\n5,0,80.01\n5,3,80.02\n35,0,80.015\n35,3,80.02\n"


@pytest.fixture(scope="module")
def read_twice():
    """A job read after both layers, as it came out in a draw that laid less than planned; and what
    it truly laid.
    """
    scene = held(parse(SMALL), "diameter", (1, 2))
    truth = Fit.of(scene, 60, begin=500)
    one = int(np.argmin(truth.x[:, 1]))
    scene = dataclasses.replace(scene, reading_after=())
    for number, values in zip(truth.sets, truth.y, strict=True):
        scene = with_readings(
            scene, written(number, values[one]), layer=number.layer, taken="invented"
        )
    return told(scene, replan=False).scene, truth.x[one]


@pytest.fixture(scope="module")
def came(read_twice):
    return came_out(Record(read_twice[0], "2026-11-25", "Invented.", FINISHED))


def test_a_record_comes_back_whole(read_twice, came, tmp_path):
    held_record = Record(read_twice[0], "2026-11-25", "Rain all day; invented.", FINISHED)
    write(tmp_path / "r.json", as_mapping(held_record, VERSION, came_json(came)))
    assert read(tmp_path / "r.json") == held_record
    raw = json.loads(
        (tmp_path / "r.json").read_text(), parse_constant=lambda name: pytest.fail(name)
    )
    assert (
        raw["record"] == 1
        and raw["tool_version"] == VERSION
        and raw["scene"] == to_text(held_record.scene, whole=True)
    )
    assert len(raw["came_out"]["layers"]) == 2
    assert os.listdir(tmp_path) == ["r.json"]  # nothing left beside it


def test_planned_against_come_out_layer_by_layer(read_twice, came):
    scene, truth = read_twice
    assert [one.layer for one in came.layers] == [1, 2]
    for one, table in zip(came.layers, scene.reading_after, strict=True):
        rows = [float(line.split(",")[2]) for line in table.table.splitlines()[1:]]
        assert one.read == pytest.approx(np.mean(rows), abs=0.02) and one.rows >= 11
        assert abs(one.metal.value - 1.0 - truth[SEEN + one.layer - 1]) < 3.0 * one.metal.spread
        assert one.read > one.planned  # less metal than planned: a larger bore
    assert (
        came.finished == (80.01, 80.02) and came.in_limits is False
    )  # plain size 80.00: nothing over it is allowed
    words = record_note(Record(scene, "2026-11-25", "Invented.", FINISHED), came)
    assert "NOT within" in words and words.count("on diameter") >= 3


def test_values_are_offered_and_never_applied(read_twice, came):
    scene, _ = read_twice
    before = to_text(scene)
    f = came.update.area
    assert came.offered.changes["wire.efficiency"] == pytest.approx(
        scene.wire.efficiency * f.value, abs=1e-4
    )
    assert to_text(scene) == before and came.update.scene.wire == scene.wire
    # mass balance: the wire and the measured bead are both to hold that much less
    taken = changed(parse(SMALL), came.offered.changes)
    assert taken.bead.height / scene.bead.height == pytest.approx(
        taken.wire.efficiency / scene.wire.efficiency, abs=1e-3
    )


def test_more_metal_than_the_wire_holds_is_not_offered(came):
    f = dataclasses.replace(came.update.area, value=1.08)
    offered = record.offered(dataclasses.replace(came.update, area=f))
    assert offered.changes == {} and any(
        one.what == "more than all the wire fed" for one in offered.why
    )


def test_nothing_is_offered_within_what_is_left_unknown(came):
    f = dataclasses.replace(came.update.area, value=1.005, spread=0.02)
    assert record.offered(dataclasses.replace(came.update, area=f)) == Offered({}, ())


def test_record_settings_and_card_say_one_range_and_one_rule(read_twice, came):
    """Of the layers as they were set: the same figures on the card, in the settings, in the record."""
    plain = parse(SMALL)
    cards = after_layer_cards(plain)
    told = schedule_json(schedule(simulate(plain), cards))
    words = schedule_note(schedule(simulate(plain), cards))
    noted = record_note(Record(read_twice[0], "2026-11-25"), came)
    for card, row, one, line in zip(
        cards, told["layers"], came_json(came)["layers"], told["cards"], strict=True
    ):
        low, high = card.expected
        assert one["card_expected_mm"] == line["gauge_expected_mm"] == [low, high]
        assert row["gauge_diameter_mm"] == {"min": low, "max": high}
        span = f"{low:.2f} mm to {high:.2f} mm"
        assert span in words and span in noted
        (band,) = (b for b in card.bands if b.least < one["read_mm"] <= b.most)
        assert one["card_says"] == band.do and f"by the card: {band.do}" in noted


def test_a_job_without_readings_has_a_record_too():
    came = came_out(Record(parse(SMALL), "2026-11-25"))
    assert came.layers == () and came.update is None and came.in_limits is None
    assert "nothing to compare" in record_note(Record(parse(SMALL), ""), came)


def test_finished_readings_of_another_bore_are_refused():
    with pytest.raises(SceneError, match=r"they lie 20\.\d\d mm on diameter from the final size"):
        came_out(Record(parse(SMALL), "", "", FINISHED.replace("80.", "100.")))


@pytest.mark.parametrize("data, told_so", [
    (b'{"record": 2, "scene": "x"}', "record = 2: written by a newer version than this one reads (1)"), (b"{", "not a record (JSON)"), (b"[1]", "not a record"), (b'{"record": true}', "not a record"),
    (b'{"record": 1, "scene": 5}', "damaged"), (b'{"record": 1}', "damaged"), (b'{"record": 1, "scene": "schema = 9"}', "newer than this version reads"), (b"\xff\xfe", "not a record (JSON)"),
])  # fmt: skip
def test_what_is_no_record_is_refused_in_one_sentence(data, told_so):
    with pytest.raises(SceneError) as fault:
        parsed(data, name="r.json")
    assert told_so in str(fault.value) and "\n" not in str(fault.value)


# ---- the command
# ----------------------------------------------------------------------------------------------------------


def test_record_command_writes_and_tells(tmp_path, capsys):
    (tmp_path / "job.toml").write_text(SMALL)
    (tmp_path / "f.csv").write_text(FINISHED)
    arguments = [
        "record",
        str(tmp_path / "job.toml"),
        "--out",
        str(tmp_path / "r.json"),
        "--date",
        "2026-11-25",
        "--note",
        "invented",
        "--finished",
        str(tmp_path / "f.csv"),
    ]
    assert main([*arguments, "--report"]) == 0
    assert "nothing to compare" in capsys.readouterr().out
    first = (tmp_path / "r.json").read_bytes()
    assert main(arguments) == 0 and capsys.readouterr().out == ""
    assert (tmp_path / "r.json").read_bytes() == first  # same input, same bytes
    # a record can be taken up again, with another note
    assert (
        main(
            [
                "record",
                str(tmp_path / "r.json"),
                "--out",
                str(tmp_path / "s.json"),
                "--note",
                "measured again",
            ]
        )
        == 0
    )
    again = read(tmp_path / "s.json")
    assert (
        again.notes == "invented\nmeasured again"
        and again.date == "2026-11-25"
        and again.finished == FINISHED
    )


def test_a_file_that_cannot_be_written_is_one_sentence(tmp_path, capsys):
    (tmp_path / "job.toml").write_text(SMALL)
    (tmp_path / "folder").mkdir()
    for out in (tmp_path / "no" / "such" / "r.json", tmp_path / "folder"):
        assert main(["record", str(tmp_path / "job.toml"), "--out", str(out)]) == 2
        said = capsys.readouterr()
        assert "cannot be written" in said.err and said.err.count("\n") == 1
    assert sorted(os.listdir(tmp_path)) == ["folder", "job.toml"]  # nothing half written


def test_a_newer_record_is_refused_by_the_command(tmp_path, capsys):
    (tmp_path / "r.json").write_text('{"record": 7, "scene": ""}')
    assert main(["record", str(tmp_path / "r.json"), "--report"]) == 2
    said = capsys.readouterr()
    assert "written by a newer version" in said.err and said.err.count("\n") == 1 and said.out == ""


def test_update_says_what_stays_unknown(came):
    found = came.update
    assert isinstance(found, Update)
    lines = unknown_lines(found)
    assert any(line.startswith("Tie-in stays as it was") for line in lines) and any(
        line.startswith("Pool run and torch axis stay as they were") for line in lines
    )
