"""The sheet into a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sim.paper.blocks import Sheet
from sim.paper.html import sheet_html
from sim.paper.job_sheet import sheets
from sim.paper.pdf import sheet_pdf
from sim.plan.odds.verdict import Decision
from sim.reference.errors import SceneError
from sim.reference.whole_files import write_whole
from sim.shop.several_bores import OnBar


def write_sheet(on_bar: Sequence[OnBar], decided: Decision, path: Path) -> None:
    """Write the sheet of every bore on a bar, PDF or HTML by the ending, whole or not at all.
    Raises SceneError.
    """
    write_whole(path, made(on_bar, decided, kind_of(path)))


def kind_of(path: Path) -> str:
    """The kind of a sheet by the ending of its file: pdf or html. Raises SceneError.

    >>> kind_of(Path("pin.PDF"))
    'pdf'
    """
    kind = {".pdf": "pdf", ".html": "html", ".htm": "html"}.get(path.suffix.lower())
    if kind is None:
        raise SceneError(f"{path}: the ending must be .pdf or .html; name the file so.")
    return kind


def made(on_bar: Sequence[OnBar], decided: Decision, kind: str) -> bytes:
    """The sheet of every bore on a bar as a file: pdf or html. Raises SceneError."""
    return as_file(sheets(on_bar, decided), kind)


def as_file(told: Sequence[Sheet], kind: str) -> bytes:
    """Sheets as a file: pdf or html. Raises SceneError."""
    return sheet_pdf(told) if kind == "pdf" else sheet_html(told).encode("utf-8")
