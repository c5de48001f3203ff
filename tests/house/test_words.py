"""Facts below, words above: no size is told in mm below the room that knows the job's units."""

import ast
import re

import pytest

from tests.conftest import BELOW_TELL, ROOT

FILES = [p for room in BELOW_TELL for p in sorted((ROOT / "sim" / room).rglob("*.py"))]
SIZE = re.compile(r"\d ?(mm[23]?|mm/min|m/min|kJ/mm|N/mm2|C)\b(?![.:])")

DECLARED = ("key", "figure", "Known")
"""Calls whose words stand beside a figure of the declared unit."""

SAYS_IT = {
    "sizes_in_words.py": {"Say"},  # the one place that says a size
    "plausible.py": {"far_off"},  # the why of an error
    "hole_limits.py": {"_refuse_undefined"},  # the rule of an error
    "gravity.py": {"SOURCE"},  # what was measured, in the units it was
}


def sizes(node, spared):
    """Sizes in mm in the strings under a node: line and words. Docstrings, errors and declarations
    are passed over.
    """
    named = {getattr(node, "name", "")} | {
        getattr(t, "id", "") for t in getattr(node, "targets", ())
    }
    if named & spared or isinstance(node, ast.Raise):
        return
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return
    if isinstance(node, ast.Call):
        called = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if called.endswith("Error") or called in DECLARED:
            return
    words = ""
    if isinstance(node, ast.JoinedStr):
        words = "".join(v.value if isinstance(v, ast.Constant) else "0" for v in node.values)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        words = node.value
    if SIZE.search(words):
        yield node.lineno, words
    elif not words:
        for child in ast.iter_child_nodes(node):
            yield from sizes(child, spared)


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_size_is_told_in_mm_below_the_words(path):
    told = list(sizes(ast.parse(path.read_text()), SAYS_IT.get(path.name, set())))
    assert not told, f"{path}: make it a Remark and put its words into sim/tell: {told}"


@pytest.mark.parametrize(
    "made",
    [
        'said = f"the pitch {pitch:.2f} mm is wide"',
        'said = ("at 20 C " + more)',
        "f(f'{v} mm2 may not hold')",
    ],
)
def test_such_a_size_is_seen(made):
    assert list(sizes(ast.parse(made), set()))
    assert not list(sizes(ast.parse(f"raise SceneError({made.partition('= ')[2] or made})"), set()))


def test_what_is_spared_is_there():
    for name, spared in SAYS_IT.items():
        (path,) = (p for p in FILES if p.name == name)
        tops = ast.parse(path.read_text()).body
        there = {getattr(one, "name", "") for one in tops}
        there |= {getattr(t, "id", "") for one in tops for t in getattr(one, "targets", ())}
        assert spared <= there
