"""Makes wrong changes one at a time in a copy of the tree and says which the tests notice.

    python -m tests.mutants                     # all of them: an hour or two
    python -m tests.mutants --only "stagger"    # those whose name holds the word
    python -m tests.mutants --list

A change is noticed when one of its tests fails with it and passes without it. Ends with 1 when more
than three survive.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.mutants import ALL
from tests.mutants.wrong import Wrong, places, sources

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = shutil.ignore_patterns(".git", ".venv", ".*_cache", ".hypothesis", "*.egg-info")
LONGEST = 1800.0  # s: what runs longer hangs
MOST_SURVIVORS = 3
FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+?\.py(?:::[^\n]+?)?)(?: - .*)?$", re.MULTILINE)
NO_TESTS = 5  # exit code of pytest when none is chosen
HANGS = "(hangs)"


@dataclass(frozen=True)
class Copy:
    """A copy of the tree, with a folder of its own for what is compiled."""

    root: Path

    def failing(
        self, what: Sequence[str], *, every: bool = False, plain: bool = False
    ) -> list[str]:
        """The first test that fails of these, or all that do; plain: kernels run uncompiled."""
        command = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "--tb=no",
            "-p",
            "no:cacheprovider",
            "-n",
            "0",
            "--hypothesis-seed=0",
        ]
        command += [] if every else ["-x"]
        environment = os.environ | {
            "PYTHONPATH": str(self.root),
            "XDG_CACHE_HOME": str(self.root / "compiled"),
            "NUMBA_DISABLE_JIT": str(int(plain)),
        }
        try:
            done = subprocess.run(
                [*command, *what],
                cwd=self.root,
                env=environment,
                capture_output=True,
                text=True,
                timeout=LONGEST,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return [HANGS]
        if done.returncode in (0, NO_TESTS):
            return []
        return FAILED.findall(done.stdout) or [f"(pytest ended with {done.returncode})"]

    def files(self, names: Sequence[str]) -> list[str]:
        """The test files of these names, wherever they are. Raises ValueError for a name nothing
        has.
        """
        out = []
        for name in names:
            found = sorted(
                str(path.relative_to(self.root)) for path in (self.root / "tests").rglob(name)
            )
            if not found:
                raise ValueError(f"tests: no file is called {name}")
            out += found
        return out

    @contextmanager
    def changed(self, wrong: Wrong) -> Iterator[None]:
        """The copy with a wrong change in it; as it was afterwards, its time of writing included."""
        (path,) = places(wrong, sources(self.root / "sim"))
        before, stamp = path.read_text(encoding="utf-8"), path.stat()
        path.write_text(wrong.pattern.sub(lambda _: wrong.put, before), encoding="utf-8")
        try:
            yield
        finally:
            path.write_text(before, encoding="utf-8")
            os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))


def compiled(wrong: Wrong, root: Path) -> bool:
    """Tell whether a change lies in a file that numba compiles."""
    text = sources(root / "sim")
    return any("njit" in text[path] for path in places(wrong, text))


def noticed_by(copy: Copy, wrong: Wrong) -> str | None:
    """The test that fails with a wrong change, or nothing; the first look spares compiling."""
    files, plain = copy.files(wrong.tests), compiled(wrong, copy.root)
    with copy.changed(wrong):
        found = copy.failing([*files, "-k", wrong.first], plain=plain) if wrong.first else []
        found = found or copy.failing(files)
    return found[0] if found else None


def in_order(chosen: Sequence[Wrong]) -> list[Wrong]:
    """The changes in compiled kernels last: what the first look does not notice compiles anew."""
    return sorted(chosen, key=lambda wrong: compiled(wrong, ROOT))


def run(chosen: Sequence[Wrong]) -> int:
    """Make every change and report; how many survived."""
    noticed: dict[str, str] = {}
    with tempfile.TemporaryDirectory(prefix="mutants_") as folder:
        copy = Copy(Path(shutil.copytree(ROOT, Path(folder) / "tree", ignore=LEFT_OUT)))
        for wrong in in_order(chosen):
            began = time.monotonic()
            test = noticed_by(copy, wrong)
            noticed |= {wrong.name: test} if test else {}
            print(
                f"{'noticed ' if test else 'SURVIVED'} {time.monotonic() - began:5.0f} s  "
                f"{wrong.name}  {test or ''}",
                flush=True,
            )
        always = (
            set(copy.failing(sorted(set(noticed.values()) - {HANGS}), every=True))
            if noticed
            else set()
        )
    for name in [name for name, test in noticed.items() if test in always]:
        print(f"SURVIVED {name}: {noticed.pop(name)} fails without it as well")
    survived = [wrong.name for wrong in chosen if wrong.name not in noticed]
    print(f"{len(noticed)} of {len(chosen)} noticed; survived: {'; '.join(survived) or 'none'}")
    return len(survived)


def main(arguments: Sequence[str] | None = None) -> int:
    """The command."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutants",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--only", default="", metavar="NAME", help="changes whose name holds this")
    parser.add_argument("--list", action="store_true", help="name them and stop")
    told = parser.parse_args(arguments)
    chosen = [wrong for wrong in ALL if told.only in wrong.name]
    if told.list:
        print("\n".join(f"{wrong.name}  ({', '.join(wrong.tests)})" for wrong in chosen))
        return 0
    if not chosen:
        parser.error(f"no change is called '{told.only}'; see --list")
    return 1 if run(chosen) > MOST_SURVIVORS else 0


if __name__ == "__main__":
    sys.exit(main())
