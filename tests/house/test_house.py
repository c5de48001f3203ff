"""The house stands as drawn: import direction, one door per library, defaults and inches in one
place.
"""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT

SIM = sorted((ROOT / "sim").rglob("*.py"))


def test_import_direction_and_one_door_per_library():
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_app_imports_only_screens():
    tree = ast.parse((ROOT / "app.py").read_text())
    modules = [n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
    assert modules and all(m.startswith("sim.screens") for m in modules)
    assert not [n for n in ast.walk(tree) if isinstance(n, ast.Import)]


def test_the_inch_is_known_in_one_place():
    for path in SIM:
        if path.name != "units.py" and "evidence" not in path.parts:  # there as the source has it
            assert not re.search(r"\b25\.4\b|\b0?\.0393", path.read_text()), path


def test_no_file_takes_a_private_name_from_another():
    """But the kernels: their parts are one loop, cut for reading."""
    for path in SIM:
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and "kernels" not in path.parts:
                private = [a.name for a in node.names if re.match(r"_[^_]", a.name)]
                assert not (node.module or "").startswith("sim") or not private, (path, private)


def test_no_assert_in_library_code():
    for path in SIM:
        assert not [
            n for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.Assert)
        ], path


def test_defaults_of_the_scene_stand_in_the_sources():
    """A numeric default in a scene section comes from sim.sources or is nothing at all."""
    trees = [ast.parse(p.read_text()) for p in (ROOT / "sim" / "job" / "sections").glob("*.py")]
    for call in (
        n
        for tree in trees
        for n in ast.walk(tree)
        if isinstance(n, ast.Call) and getattr(n.func, "id", "") == "key"
    ):
        assert "default" not in {k.arg for k in call.keywords}
    from sim.reference.defaults import DEFAULTS

    for name, known in DEFAULTS.items():
        assert known.low <= known.value <= known.high or name in ("bore.location_zone",), name
        assert known.basis and known.source, name


def test_simulate_command_loads_neither_vtk_nor_trimesh():
    code = (
        "import sys, sim.__main__ as m; m.main(['simulate','cleans_up']); print([x for x in "
        "('vtk','vtkmodules','pyvista','trimesh','streamlit','plotly') if x in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.rstrip().endswith("[]")


def test_nothing_loads_from_outside():
    for path in [*SIM, ROOT / "app.py"]:
        text = path.read_text()
        # XML namespaces are names and load nothing
        for name in (
            "http://www.w3.org",
            "http://schemas.openxmlformats.org",
            "http://schemas.microsoft.com",
            "https://json-schema.org",
            "http://{given.address}",  # where the page stands, said to who started it
        ):
            text = text.replace(name, "")
        assert "http://" not in text and "https://" not in text, path


@pytest.mark.parametrize("command", [["ruff", "check", "."], ["mypy"]])
def test_lint(command):
    done = subprocess.run(
        [Path(sys.executable).parent / command[0], *command[1:]],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
