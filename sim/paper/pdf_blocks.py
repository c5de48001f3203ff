"""Blocks of the sheet as pieces of a PDF page: bands, lines, ticks, tables, drawings."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    Paragraph,
)
from reportlab.platypus import Table as Grid

from sim.paper.blocks import (
    BAD,
    DOUBTFUL,
    Block,
    Cell,
    Figure,
    Lines,
    Stamp,
    Table,
    Ticks,
)
from sim.paper.html import NUMBER, tick_words
from sim.paper.pen import INK, METAL, PAPER, QUIET, Drawing, Words
from sim.reference.errors import SceneError

PLAIN, BOLD = "Sheet", "Sheet-Bold"


SET = {1: 17, 2: 17, 3: 15, 4: 13}


SET_LEAST = 12  # pt, figures to set on a machine


@cache
def register_fonts() -> None:
    """Register DejaVu Sans, which matplotlib brings along. Raises SceneError when it is not there."""
    found = importlib.util.find_spec("matplotlib")
    folder = Path(str(found.origin)).parent / "mpl-data" / "fonts" / "ttf" if found else Path()
    for name, file in ((PLAIN, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
        if not (folder / file).is_file():
            raise SceneError(
                f"{file}: not found with matplotlib; install matplotlib again, or write the "
                "sheet as HTML."
            )
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def text_style(
    size: float, *, ink: str = INK, leading: float = 0.0, centred: bool = False, after: float = 0.0
) -> ParagraphStyle:
    """Type of a paragraph; size, leading and room after it in pt."""
    return ParagraphStyle(
        "", fontName=PLAIN, fontSize=size, leading=leading or 1.2 * size, textColor=HexColor(ink),
        spaceAfter=after, alignment=TA_CENTER if centred else 0,
    )  # fmt: skip


def flowables(block: Block, width: float) -> list[Flowable]:
    """A block as pieces of a page of this width [pt]."""
    made: dict[type, Callable[[Any, float], list[Flowable]]] = {
        Stamp: _stamp, Lines: _lines, Ticks: _ticks, Table: _table, Figure: _drawing,
    }  # fmt: skip
    return made[type(block)](block, width)


def _title(text: str) -> list[Flowable]:
    style = text_style(10, after=1.2)
    style.keepWithNext = 1
    return [Paragraph(f"<b>{escape(text)}</b>", style)] if text else []


def _stamp(block: Stamp, width: float) -> list[Flowable]:
    dark = block.tone == BAD
    words = Paragraph(
        f"<b>{escape(block.text)}</b>", text_style(16, ink=PAPER if dark else INK, centred=True)
    )
    thick = 2.5 if block.tone == DOUBTFUL else 1.2
    style: list[tuple[Any, ...]] = [
        ("BOX", (0, 0), (-1, -1), thick, HexColor(INK)),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
    ]
    shade = {BAD: INK, DOUBTFUL: METAL}.get(block.tone, PAPER)
    return [
        Grid(
            [[words]],
            colWidths=[width],
            style=[*style, ("BACKGROUND", (0, 0), (-1, -1), HexColor(shade))],
        )
    ]


def _lines(block: Lines, width: float) -> list[Flowable]:
    size = 7.6 if block.small else 9.5
    return [
        KeepTogether(
            [
                *_title(block.title),
                *(Paragraph(escape(line), text_style(size, after=0.8)) for line in block.lines),
            ]
        )
    ]


class _Box(Flowable):  # type: ignore[misc]
    """An empty box to tick."""

    def __init__(self, size: float) -> None:
        super().__init__()
        self.width = self.height = size

    def draw(self) -> None:
        self.canv.setLineWidth(1.1)
        self.canv.rect(0, 0, self.width, self.height)


def _ticks(block: Ticks, width: float) -> list[Flowable]:
    """Steps in two columns, down the left one first."""
    half = (len(block.steps) + 1) // 2
    numbered = list(enumerate(block.steps, 1))
    rows = []
    for k in range(half):
        pair = [numbered[k], *numbered[k + half : k + half + 1]]
        rows.append(
            [
                item
                for number, step in pair
                for item in (_Box(11), Paragraph(tick_words(number, step), text_style(8.8)))
            ]
            + [""] * (4 - 2 * len(pair))
        )
    style = [
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ]
    return [
        KeepTogether(
            [*_title(block.title), Grid(rows, colWidths=[17, 0.5 * width - 17] * 2, style=style)]
        )
    ]


def _table(block: Table, width: float) -> list[Flowable]:
    return _settings(block, width) if block.big else _plain_table(block, width)


def _settings(block: Table, width: float) -> list[Flowable]:
    """Figures to set: large, the other unit small below."""
    across = len(block.head) - 1
    size = SET.get(across, SET_LEAST)
    first = min(46.0 * mm, width - across * 23.5 * mm)
    head = [
        Paragraph(f"<b>{escape(h)}</b>", text_style(11, ink=PAPER, centred=k > 0))
        for k, h in enumerate(block.head)
    ]
    rows: list[list[Any]] = [head]
    for name, *cells in block.rows:
        label = Paragraph(
            f"<b>{escape(name.first)}</b><br/><font size=7>{escape(name.second)}</font>",
            text_style(9, leading=9.5),
        )
        rows.append(
            [
                label,
                *(
                    _figure(cell, size, one_line=across <= 2 and len(cell.second) <= 16)
                    for cell in cells
                ),
            ]
        )
    style = [
        ("GRID", (0, 0), (-1, -1), 0.6, HexColor(INK)), ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("BACKGROUND", (0, 0), (-1, 0), HexColor(INK)),
        ("TOPPADDING", (0, 0), (-1, -1), 1.0), ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
        ("LEFTPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ]  # fmt: skip
    return [
        *_title(block.title),
        Grid(
            rows, colWidths=[first] + [(width - first) / across] * across, style=style, repeatRows=1
        ),
    ]


def _figure(cell: Cell, size: float, *, one_line: bool) -> list[Paragraph]:
    """A figure large and bold with its unit smaller, and the other unit small beside or below it."""
    words = cell.first.replace("-clock", "- clock") if size <= SET_LEAST else cell.first
    parts = [
        f"<font size={size if NUMBER.match(word) else 0.68 * size:g}>{escape(word)}</font>"
        for word in words.split()
    ]
    figure, large = (
        f"<b>{(' ' if not one_line else '&nbsp;').join(parts)}</b>",
        text_style(size, leading=1.12 * size, centred=True),
    )
    if not cell.second:
        return [Paragraph(figure, large)]
    if one_line:
        other = escape(cell.second).replace(" ", "&nbsp;")
        return [Paragraph(f"{figure}&nbsp;&nbsp; <font size={0.5 * size:g}>{other}</font>", large)]
    return [
        Paragraph(figure, large),
        Paragraph(escape(cell.second), text_style(max(0.5 * size, 7.5), centred=True)),
    ]


def _plain_table(block: Table, width: float) -> list[Flowable]:
    """A table of figures, or of blanks to write in."""
    blank = any(not cell.first for row in block.rows for cell in row)
    head = [
        Paragraph(f"<b>{escape(h)}</b>", text_style(7.5, centred=k > 0))
        for k, h in enumerate(block.head)
    ]
    rows = [
        [
            Paragraph(_small_figure(cell, below=k > 0), text_style(8.5, leading=8.8, centred=k > 0))
            for k, cell in enumerate(row)
        ]
        for row in block.rows
    ]
    first = (52.0 if blank else 25.0) * mm
    even = [first] + [(width - first) / (len(head) - 1)] * (len(head) - 1)
    wide = [width * w / sum(block.wide) for w in block.wide] or even
    style = [
        ("GRID", (0, 0), (-1, -1), 0.5, HexColor(INK)), ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("BACKGROUND", (0, 0), (-1, 0), HexColor(METAL)),
        ("TOPPADDING", (0, 0), (-1, -1), 0.6), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("LEFTPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ]  # fmt: skip
    heights = [None] + [4.7 * mm if blank else None] * len(rows)
    return [
        KeepTogether(
            [
                *_title(block.title),
                Grid([head, *rows], colWidths=wide, rowHeights=heights, style=style),
            ]
        )
    ]


def _small_figure(cell: Cell, *, below: bool) -> str:
    other = escape(cell.second).replace(" ", "&nbsp;")
    return escape(cell.first) + (
        f"{'<br/>' if below else ' '}<font size=7 color={QUIET}>{other}</font>"
        if cell.second
        else ""
    )


class _Drawn(Flowable):  # type: ignore[misc]
    """A drawing on the page."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self.drawing, self.width, self.height = drawing, drawing.width * mm, drawing.height * mm

    def draw(self) -> None:
        for shape in self.drawing.shapes:
            _words(self.canv, shape, self.height) if isinstance(shape, Words) else _face(
                self.canv, shape, self.height
            )


def _words(canvas: Any, words: Words, height: float) -> None:
    canvas.setFont(BOLD if words.bold else PLAIN, words.size)
    canvas.setFillColor(HexColor(words.ink))
    put = {
        "start": canvas.drawString,
        "middle": canvas.drawCentredString,
        "end": canvas.drawRightString,
    }[words.anchor]
    put(words.x * mm, height - words.y * mm, words.text)


def _face(canvas: Any, face: Any, height: float) -> None:
    path = canvas.beginPath()
    for k, (x, y) in enumerate(face.points):
        (path.lineTo if k else path.moveTo)(x * mm, height - y * mm)
    if face.closed:
        path.close()
    canvas.setLineWidth(face.thick * mm)
    canvas.setDash([d * mm for d in face.dash])
    if face.ink:
        canvas.setStrokeColor(HexColor(face.ink))
    if face.fill:
        canvas.setFillColor(HexColor(face.fill))
    canvas.drawPath(path, stroke=1 if face.ink else 0, fill=1 if face.fill else 0)


def _drawing(block: Figure, width: float) -> list[Flowable]:
    caption = Paragraph(escape(block.drawing.words), text_style(7.8))
    return [KeepTogether([*_title(block.title), _Drawn(block.drawing), caption])]
