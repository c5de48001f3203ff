"""The wheel is whole: installed outside the checkout it has its scenes, its page and a verdict."""

import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from sim.reference.version import VERSION
from tests.conftest import ROOT


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A folder with a space in its name that holds the wheel's files and nothing of the checkout."""
    made = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(made)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = made.glob("*.whl")
    assert wheel.stat().st_size < 8e6
    site = made / "a folder"
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(site)
    return site


def run(site, *arguments, where):
    return subprocess.run(
        [sys.executable, "-m", "sim", *arguments],
        cwd=where,
        env={**os.environ, "PYTHONPATH": str(site), "LC_ALL": "C"},
        capture_output=True,
        encoding="utf-8",
    )


def test_it_carries_every_scene_the_page_and_its_settings(installed):
    for name in ("app.py", ".streamlit/config.toml", *(f"scenes/{p.name}" for p in SCENES)):
        assert (installed / "sim" / "shipped" / name).read_bytes() == (ROOT / name).read_bytes()
    beside = {p.suffix for p in (ROOT / "sim").rglob("browser/*")} - {".pyc", ""}
    assert beside == {".css", ".html", ".js"}
    for path in (ROOT / "sim").rglob("browser/*.*"):
        assert (installed / path.relative_to(ROOT)).is_file(), path


SCENES = [p for p in (ROOT / "scenes").iterdir() if p.suffix in (".toml", ".csv")]


def test_its_commands_answer_in_an_empty_folder(installed, tmp_path):
    told = run(installed, "scenes", where=tmp_path)
    assert told.returncode == 0, told.stderr
    assert {line.split()[0] for line in told.stdout.splitlines()} == {
        p.stem for p in SCENES if p.suffix == ".toml"
    }
    told = run(installed, "simulate", "coarse_pitch", "--nominal", where=tmp_path)
    assert told.returncode == 3 and "nominal" in told.stdout.lower(), told.stderr
    assert run(installed, "--version", where=tmp_path).stdout.split() == ["bore-buildup", VERSION]


def test_its_code_is_the_wheels(installed, tmp_path):
    told = subprocess.run(
        [sys.executable, "-c", "import sim; print(sim.__file__)"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert Path(told.stdout.strip()) == installed / "sim" / "__init__.py"


def test_what_is_asked_of_python_and_of_the_libraries_has_a_lower_bound():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["requires-python"] == ">=3.11"
    for need in project["dependencies"]:
        assert ">=" in need, need
