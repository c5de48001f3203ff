"""The shape of the house in figures: lengths, branches, widths, circles. Read from the syntax tree
alone, nothing is run. Kernels are left out where a loop cannot be cut, declarations where a line is
a table's row.
"""

from __future__ import annotations

import ast
import re
import statistics
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
KERNELS = ("sim/bore/kernels/",)
DECLARATIONS = (
    "sim/job/sections/",
    "sim/machine/boring/cuts.py",
    "sim/tell/result_figures.py",
    "sim/machine/layer_row.py",
    "sim/reference/defaults.py",
    "sim/reference/glossary.py",
)
MEDIAN, NINE_IN_TEN, LONGEST, BRANCHES, FILE, WIDTH = 10, 28, 60, 15, 400, 120
PRAGMA = re.compile(r"  # type: ignore\S*$")  # the formatter does not count it either
ONE_EACH = (ast.If, ast.For, ast.While, ast.ExceptHandler, ast.IfExp, ast.Assert, ast.match_case)


class Function(NamedTuple):
    """A function: where it stands, its lines and its cyclomatic complexity."""

    place: str
    name: str
    lines: int
    branches: int


class Rule(NamedTuple):
    """One rule of the house: what was measured, what is allowed, and who breaks it."""

    name: str
    measured: str
    allowed: str
    broken: list[str]


def branches(function: ast.AST) -> int:
    """Cyclomatic complexity: one more than the places where the way forks.

    >>> branches(ast.parse("def f(x):\\n  return [a for a in x if a and 1 or 2] if x else 0"))
    5
    """
    count = 1
    for node in ast.walk(function):
        count += isinstance(node, ONE_EACH)
        if isinstance(node, ast.BoolOp):
            count += len(node.values) - 1
        elif isinstance(node, ast.comprehension):
            count += len(node.ifs)
    return count


def files() -> dict[str, str]:
    """Text of every Python file of sim/, by its path from the top."""
    return {str(p.relative_to(ROOT)): p.read_text() for p in sorted((ROOT / "sim").rglob("*.py"))}


def functions(texts: dict[str, str]) -> Iterator[Function]:
    """Every function and method; a function inside another counts with it and by itself."""
    for name, text in texts.items():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or node.lineno) - node.lineno + 1
                yield Function(f"{name}:{node.lineno}", node.name, lines, branches(node))


def imports(texts: dict[str, str]) -> dict[str, set[str]]:
    """Which file of sim/ imports which, imports inside functions too."""
    modules = {name.removesuffix(".py").removesuffix("/__init__").replace("/", "."): name
               for name in texts}  # fmt: skip
    found: dict[str, set[str]] = {name: set() for name in texts}
    for name, text in texts.items():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Import):
                wanted = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                inner = [f"{node.module}.{alias.name}" for alias in node.names]
                wanted = [i if i in modules else str(node.module) for i in inner]
            else:
                continue
            found[name] |= {modules[w] for w in wanted if w in modules} - {name}
    return found


def circles(arrows: dict[str, set[str]]) -> list[str]:
    """Files that come back to themselves along imports, each circle told once.

    >>> circles({"a": {"b"}, "b": {"c"}, "c": {"b"}})
    ['b, c']
    """

    def reached(start: str) -> set[str]:
        seen: set[str] = set()
        left = [start]
        while left:
            new = arrows[left.pop()] - seen
            seen |= new
            left += new
        return seen

    beyond = {name: reached(name) for name in arrows}
    rounds = {
        tuple(sorted(n for n in beyond[name] if name in beyond[n]))
        for name in arrows
        if name in beyond[name]
    }
    return [", ".join(names) for names in sorted(rounds)]


def rules() -> list[Rule]:
    """Every rule with today's figure."""
    texts = files()
    every = list(functions(texts))
    lengths = sorted(f.lines for f in every)
    ninth = lengths[int(len(lengths) * 0.9)]
    free = [f for f in every if not f.place.startswith(KERNELS)]
    long = [f"{f.place} {f.name}: {f.lines} lines" for f in free if f.lines > LONGEST]
    forked = [f"{f.place} {f.name}: {f.branches}" for f in free if f.branches > BRANCHES]
    tall = {name: text.count("\n") for name, text in texts.items()}
    wide = [
        f"{name}:{number} {len(line)} characters"
        for name, text in texts.items()
        if not name.startswith(DECLARATIONS)
        for number, line in enumerate(text.splitlines(), 1)
        if len(PRAGMA.sub("", line)) > WIDTH
    ]
    median = statistics.median(lengths)
    too_tall = [f"{name}: {lines} lines" for name, lines in tall.items() if lines > FILE]
    rounds = circles(imports(texts))
    return [
        Rule("lines of a function, median", f"{median:g}", f"{MEDIAN}",
             ["half of all functions"] * (median > MEDIAN)),
        Rule("nine functions in ten", f"{ninth} lines", f"{NINE_IN_TEN}",
             ["one in ten of all functions"] * (ninth > NINE_IN_TEN)),
        Rule("longest function outside kernels", f"{max(f.lines for f in free)} lines",
             f"{LONGEST}", long),
        Rule("cyclomatic complexity outside kernels", f"{max(f.branches for f in free)}",
             f"{BRANCHES}", forked),
        Rule("longest file", f"{max(tall.values())} lines", f"{FILE}", too_tall),
        Rule("circles of imports between files", f"{len(rounds)}", "0", rounds),
        Rule("lines wider than 120 outside declarations", f"{len(wide)}", "0", wide),
    ]  # fmt: skip
