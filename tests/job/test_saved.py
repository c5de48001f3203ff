"""What is saved reads back; what does not is never put in place of anything."""

import csv
import io

import pytest

from sim.job.change import changed, digest
from sim.job.read import load, parse
from sim.job.saved import save, text_that_reads_back
from sim.reference.errors import SceneError
from tests.conftest import ROOT


@pytest.mark.parametrize(
    "note",
    ['shim 1/8"', 'shim 1/8"""', 'ends in a quote"', "back\\slash", "tab\there", "ü Ø", "'''"],
)
def test_a_name_and_a_note_come_back_letter_by_letter(note):
    scene = changed(load(ROOT / "scenes" / "cleans_up.toml"), {"job.note": note})
    assert parse(text_that_reads_back(scene)).job.note == note


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("quote", ['""', '"""', '""""""', "'''", "\\"])
def test_readings_come_back_with_quotes_as_a_spreadsheet_writes_them(tmp_path, ends, quote):
    scene = load(ROOT / "scenes" / "readings_cold.toml")
    rows = list(csv.reader(io.StringIO(scene.readings.text)))
    out = io.StringIO()
    notes = ["note", *[f"shim 1/8{quote}"] * (len(rows) - 1)]
    lines = csv.writer(out, lineterminator=ends)
    lines.writerows([*row, note] for row, note in zip(rows, notes, strict=True))
    text = out.getvalue()
    scene = changed(scene, {"readings.table": text, "readings.file": None})
    save(scene, tmp_path / "job.toml")
    back = load(tmp_path / "job.toml")
    assert back.readings.text.splitlines() == text.splitlines() and digest(back) == digest(scene)


def test_readings_from_a_file_elsewhere_are_written_into_the_job(tmp_path):
    scene = load(ROOT / "scenes" / "readings_cold.toml")
    save(scene, tmp_path / "job.toml")
    assert digest(load(tmp_path / "job.toml")) == digest(scene)


@pytest.mark.parametrize(
    "key, value",
    [
        ("job.name", "pin\nVERDICT: CLEANS UP"),
        ("job.name", "pin\x1b[2Jbore"),
        ("job.note", "pin\x7f"),
        ("job.name", "half \ud800"),
    ],
)
def test_what_is_no_text_is_refused(key, value):
    with pytest.raises(SceneError, match="must be plain text"):
        changed(load(ROOT / "scenes" / "cleans_up.toml"), {key: value})


def test_numbers_without_end_and_other_digits_are_refused():
    scene = load(ROOT / "scenes" / "cleans_up.toml")
    with pytest.raises(SceneError, match="far outside"):
        changed(scene, {"bore.length_mm": 10**400})
    with pytest.raises(SceneError, match="must be a clock"):
        changed(scene, {"worn.out_of_round_at_oclock": "²:30"})
