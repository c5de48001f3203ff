"""The map in DEVELOPERS.md shows the house as it stands: every package, in the order of its layers,
in its own words; every file it names is there.
"""

import ast
import re

from tests.conftest import ROOMS, ROOT

SIM = ROOT / "sim"


def packages():
    """Name and first line of every package: layers from the top, what is inside each below it."""
    found = sorted(
        (path.parent for path in SIM.rglob("__init__.py") if path.parent != SIM),
        key=lambda folder: (ROOMS.index(folder.relative_to(SIM).parts[0]), folder),
    )
    return [(str(folder.relative_to(SIM)), words(folder / "__init__.py")) for folder in found]


def words(path):
    """The first line of a file's docstring."""
    return (ast.get_docstring(ast.parse(path.read_text())) or "").splitlines()[0]


def test_the_map_names_every_package_in_the_order_of_the_layers():
    text = (ROOT / "DEVELOPERS.md").read_text()
    assert re.findall(r"^\| `(\S+)/` \| (.*) \|$", text, re.M) == packages()


def test_every_file_the_map_names_is_there():
    text = (ROOT / "DEVELOPERS.md").read_text()
    named = re.findall(r"`((?:[a-z_0-9]+/)+[a-z_0-9]*(?:\.(?:py|toml|html|js))?)", text)
    assert named
    for name in named:
        assert any((top / name).exists() for top in (SIM, ROOT)), name
