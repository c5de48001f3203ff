"""The list of wrong changes fits the tree: each is found once, changes something, and names tests
there are.
"""

import ast

import pytest

from tests.conftest import ROOT
from tests.mutants import ALL
from tests.mutants.__main__ import main
from tests.mutants.wrong import Wrong, places, sources

TEXT = sources(ROOT / "sim")
NAMES = {path.name for path in (ROOT / "tests").rglob("test_*.py")}


@pytest.mark.parametrize("wrong", ALL, ids=lambda wrong: wrong.name)
def test_every_wrong_change_can_still_be_made(wrong):
    found = places(wrong, TEXT)
    assert len(found) == 1, f"'{wrong.find}' stands {len(found)} times in sim/: {found}"
    changed = wrong.pattern.sub(lambda _: wrong.put, TEXT[found[0]])
    assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(TEXT[found[0]]))
    assert wrong.tests and set(wrong.tests) <= NAMES


def test_there_are_enough_of_them_and_each_has_a_name_of_its_own():
    assert len(ALL) >= 65 and len({wrong.name for wrong in ALL}) == len(ALL)


def test_line_breaks_do_not_hide_it_and_longer_words_do_not_show_it():
    pattern = Wrong("", "a + b(c)", "", ()).pattern
    assert pattern.search("x = (\n    a\n    + b(\n        c\n    )\n)")
    assert not pattern.search("aa + b(c)") and not pattern.search("a + b(c + d)")


def test_a_command_lists_them(capsys):
    assert main(["--list", "--only", "stagger"]) == 0
    assert capsys.readouterr().out.startswith("stagger's sign")
    with pytest.raises(SystemExit):
        main(["--only", "no such change"])
