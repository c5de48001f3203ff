"""What a wrong change is, and where it is found.

`find` stands exactly once in sim/, looked for token by token, so that neither the file it is in nor
its line breaks matter; `tests` are names of test files, any folder; `first` is a `-k` expression
that is run before the whole files, because it is likely to notice. A change in a compiled kernel is
the same as any other, only slower.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Wrong:
    """A wrong change: its name in plain words, what is found, what is put there, and who should
    notice.
    """

    name: str
    find: str
    put: str
    tests: tuple[str, ...]
    first: str = ""

    @property
    def pattern(self) -> re.Pattern[str]:
        """`find` with any white space between its tokens."""
        tokens = [
            rf"\b{token}\b" if re.match(r"\w", token) else re.escape(token)
            for token in re.findall(r"\w+|[^\w\s]", self.find)
        ]
        return re.compile(r"\s*".join(tokens))


def places(wrong: Wrong, sources: dict[Path, str]) -> list[Path]:
    """The files in which it is found, one for each time."""
    return [path for path, text in sources.items() for _ in wrong.pattern.finditer(text)]


def sources(folder: Path) -> dict[Path, str]:
    """Every Python file under a folder."""
    return {path: path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.py"))}
