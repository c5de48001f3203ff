"""The job sheet as PDF: pages, heads and page numbers round the blocks.

Same input, same bytes: no clock, no random identifiers. Readable in black and white.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from html import escape
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)

from sim.paper.blocks import (
    MARGIN,
    Sheet,
)
from sim.paper.html import FOOT, HEAD
from sim.paper.pdf_blocks import BOLD, PLAIN, flowables, register_fonts, text_style


def sheet_pdf(told: Sequence[Sheet]) -> bytes:
    """The sheets as one PDF, a sheet of up to three pages for each bore; more where there are many
    layers.
    """
    register_fonts()
    out = io.BytesIO()
    width, height = (v * mm for v in told[0].paper)
    document = BaseDocTemplate(
        out,
        pagesize=(width, height),
        title=told[0].title,
        author="",
        subject="Job sheet",
        invariant=1,
    )
    frame = Frame(
        MARGIN * mm,
        FOOT * mm,
        width - 2 * MARGIN * mm,
        height - (HEAD + FOOT + 3.0) * mm,
        0,
        0,
        0,
        0,
    )
    document.addPageTemplates(
        [PageTemplate(str(k), frame, onPage=_framed(one)) for k, one in enumerate(told)]
    )
    story: list[Flowable] = []
    for k, one in enumerate(told):
        story += [NextPageTemplate(str(k)), PageBreak()] if k else []
        for number, page in enumerate(one.pages):
            story += [PageBreak()] if number else []
            story += [
                item
                for block in page
                for item in (Spacer(1, 1.5 * mm), *flowables(block, frame._width))
            ]
    document.build(story, canvasmaker=_Numbered)
    return out.getvalue()


class _Numbered(Canvas):  # type: ignore[misc]
    """A canvas that writes "page 1 of 3" once it knows how many there are."""

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self.kept: list[dict[str, Any]] = []

    def showPage(self) -> None:
        self.kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, state in enumerate(self.kept, 1):
            self.__dict__.update(state)
            self.setFont(PLAIN, 8)
            self.drawRightString(
                self._pagesize[0] - MARGIN * mm, 4.0 * mm, f"page {number} of {len(self.kept)}"
            )
            super().showPage()
        super().save()


def _framed(one: Sheet) -> Callable[[Any, Any], None]:
    """What stands on every page of a sheet: job and bore above, with the date to fill in, its
    origin below.
    """

    def on_page(canvas: Any, _: Any) -> None:
        width, height = (v * mm for v in one.paper)
        canvas.saveState()
        room = width - (2 * MARGIN + 52.0) * mm
        words = _fitted(one.title, room)
        words.wrapOn(canvas, room, 20 * mm)
        words.drawOn(canvas, MARGIN * mm, height - (HEAD - 4.0) * mm)
        canvas.setFont(PLAIN, 8)
        canvas.drawString(
            MARGIN * mm,
            height - (HEAD - 0.2) * mm,
            _in_room(one.bore or one.note, width - 2 * MARGIN * mm),
        )
        canvas.setFont(PLAIN, 9)
        canvas.drawRightString(
            width - MARGIN * mm, height - (HEAD - 4.5) * mm, "Date ________________"
        )
        canvas.setLineWidth(1.2)
        canvas.line(
            MARGIN * mm, height - (HEAD + 1.0) * mm, width - MARGIN * mm, height - (HEAD + 1.0) * mm
        )
        canvas.setFont(PLAIN, 8)
        canvas.drawString(MARGIN * mm, 4.0 * mm, one.foot)
        canvas.restoreState()

    return on_page


def _fitted(text: str, room: float) -> Paragraph:
    """A title on one line, smaller where it is long."""
    size = min(14.0, 14.0 * room / max(pdfmetrics.stringWidth(text, BOLD, 14.0), 1.0))
    return Paragraph(f"<b>{escape(text)}</b>", text_style(size))


def _in_room(text: str, room: float) -> str:
    """A line of small print, its end left out where it is too long."""
    whole = text
    while text and pdfmetrics.stringWidth(text + " …", PLAIN, 8) > room:
        text = text[:-1]
    return text if text == whole else text + " …"
