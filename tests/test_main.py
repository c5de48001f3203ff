"""The command line, as a person runs it: exit codes, JSON, CSV, one sentence for nonsense."""

import csv
import json
import subprocess
import sys

import jsonschema
import pytest

from sim import report
from sim.__main__ import main
from sim.scene import save, shipped
from tests.conftest import ROOT, SMALL


def run(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "sim", *map(str, arguments)], capture_output=True, text=True, cwd=ROOT, check=False
    )


def test_exit_codes_follow_the_verdict():
    assert run("simulate", "cleans_up").returncode == 0
    assert run("simulate", "coarse_pitch").returncode == 3
    assert run("simulate", "no_such_scene").returncode == 2


@pytest.mark.parametrize("path", shipped(), ids=lambda p: p.stem)
def test_json_keeps_the_contract(path, capsys):
    code = main(["simulate", str(path), "--json"])
    told = json.loads(capsys.readouterr().out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    jsonschema.validate(told, report.schema())
    assert (code == 0) == (told["verdict"] == "cleans up")
    assert told["low_spots"] == [] or told["minimum_stock_mm"] < 0
    assert told["pessimist_minimum_stock_mm"] <= told["minimum_stock_mm"] + 1e-9
    assert all(row["how_known"] and row["source"] for row in told["assumptions"])


def test_same_file_gives_the_same_bytes(capsys):
    told = []
    for _ in range(2):
        main(["simulate", "scenes/low_side.toml", "--json"])
        told.append(capsys.readouterr().out)
    assert told[0] == told[1]


def test_note_reads_aloud(capsys):
    main(["simulate", "scenes/coarse_pitch.toml"])
    text = capsys.readouterr().out
    assert "On the numbers given: FALLS SHORT" in text
    assert "climbing side" in text
    assert "not a welding procedure" in text
    for line in text.splitlines()[2:]:
        if " mm" in line and any(word in line for word in ("stock", "gauge", "valley", "short", "thick")):
            assert "per side" in line or "on diameter" in line, line


def test_inch_job_is_told_in_inches(capsys):
    main(["simulate", "scenes/inch_vertical.toml"])
    text = capsys.readouterr().out
    body = text.split("Estimates, not")[0].split("entry up")[1]
    assert " in per side" in body and " mm" not in body.split("Look at")[0]


def test_csv_opens_in_the_library_made_for_it(tmp_path, small):
    save(small, tmp_path / "job.toml")
    assert main(["simulate", str(tmp_path / "job.toml"), "--csv", str(tmp_path / "out")]) == 0
    rows = list(csv.reader((tmp_path / "out" / "stock_map.csv").open()))
    assert len(rows[0]) == len(rows[1]) == 82
    layers = list(csv.DictReader((tmp_path / "out" / "layers.csv").open()))
    assert len(layers) == 2 and float(layers[0]["pitch_mm"]) == 3.5


def test_unwritable_csv_folder_is_one_sentence(tmp_path, small, capsys):
    save(small, tmp_path / "job.toml")
    (tmp_path / "out").write_text("in the way")
    assert main(["simulate", str(tmp_path / "job.toml"), "--csv", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("arguments", [[], ["weld"], ["simulate"], ["simulate", "a", "b"], ["schema", "both"]])
def test_wrong_words_end_with_two(arguments, capsys):
    with pytest.raises(SystemExit) as stop:
        main(arguments)
    assert stop.value.code == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("data", [b"", b"\x00\x01", b"\xff\xfe", b"schema = 1", b"[[[", b"x" * 2_000_000])
def test_nonsense_files_end_with_two_and_one_sentence(data, tmp_path, capsys):
    (tmp_path / "n.toml").write_bytes(data)
    assert main(["simulate", str(tmp_path / "n.toml")]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.count("\n") == 1 and "Traceback" not in told.err


def test_a_pipe_is_not_waited_for(tmp_path, capsys):
    import os

    os.mkfifo(tmp_path / "pipe.toml")
    assert main(["simulate", str(tmp_path / "pipe.toml")]) == 2
    assert "not a plain file" in capsys.readouterr().err


def test_head_too_large_as_the_bore_fills_ends_with_two(tmp_path, capsys):
    (tmp_path / "n.toml").write_text(SMALL + "\n[head]\nsmallest_bore_mm = 78\n")
    assert main(["simulate", str(tmp_path / "n.toml")]) == 2
    assert "the head would not pass" in capsys.readouterr().err


def test_schema_command_prints_both(capsys):
    assert main(["schema"]) == 0
    both = json.loads(capsys.readouterr().out)
    assert set(both) == {"scene", "result"}


def test_scenes_command_names_every_scene(capsys):
    assert main(["scenes"]) == 0
    text = capsys.readouterr().out
    assert all(path.stem in text for path in shipped())
