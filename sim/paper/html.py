"""The sheet as HTML."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from typing import Any

from sim.paper.blocks import Block, Cell, Figure, Lines, Sheet, Stamp, Table, Tick, Ticks
from sim.paper.pen import Drawing, Words
from sim.reference.units import INCH

HEAD, FOOT = 13.0, 8.0  # mm of paper


def tick_words(number: int, step: Tick) -> str:
    """A step in marked-up words: its number, HOLD where nobody goes past it, and what the job file
    says of it.
    """
    hold = "<b>HOLD</b>  " if step.hold else ""
    done = "" if not step.done else " (seen to, says the job file)" if step.hold else " (done)"
    return f"{number}. {hold}{escape(step.words)}{done}"


NUMBER = re.compile(r"^[-+]?[\d.:]+$")


STYLE = """
@page { size: %s; margin: 11mm; }
* { box-sizing: border-box; }
body { font: 9pt/1.2 "DejaVu Sans", Verdana, sans-serif; color: #000; background: #fff;
  margin: 0 auto; max-width: %smm; padding: 4mm; }
@media print { body { max-width: none; padding: 0; font-size: 8.8pt; line-height: 1.15; } }
section { break-after: page; padding-top: 1mm; margin-bottom: 6mm; }
section:last-child { break-after: auto; }
header { display: flex; justify-content: space-between; gap: 6mm; }
header div:last-child { max-width: 62mm; text-align: right; }
header div:last-child .small { font-size: 6.5pt; }
h1 { font-size: 14pt; margin: 0; }
h2 { font-size: 10pt; margin: 1.5mm 0 .6mm; break-after: avoid; }
p { margin: 0 0 1mm; }
.small { font-size: 7.6pt; }
.stamp { border: 1.2pt solid #000; font: bold 15pt/1.2 "DejaVu Sans", Verdana, sans-serif;
  text-align: center; margin: 1mm 0 2mm; padding: 1mm; }
.bad { background: #000; color: #fff; print-color-adjust: exact;
  -webkit-print-color-adjust: exact; }
.doubtful { background: #dcdcdc; border-width: 2.5pt; }
table { border-collapse: collapse; width: 100%%; break-inside: avoid; }
td, th { border: .6pt solid #000; padding: .5mm 1mm; text-align: center; }
td:first-child, th:first-child { text-align: left; }
th { background: #dcdcdc; font-size: 8pt; }
.big th { background: #000; color: #fff; font-size: 11pt; print-color-adjust: exact;
  -webkit-print-color-adjust: exact; }
.big td b { font-size: 15pt; }
.big td:first-child b { font-size: 10pt; }
.other { font-size: 8pt; color: #4a4a4a; }
table:not(.big):not(.blank) td:not(:first-child) .other, .big td:first-child .other {
  display: block; }
.blank td { height: 6mm; }
.ticks { columns: 2; break-inside: avoid; list-style: none; margin: 0; padding: 0; }
.ticks li { break-inside: avoid; margin-bottom: 1.2mm; padding-left: 6mm; position: relative; }
.ticks i { position: absolute; left: 0; top: .3mm; width: 4mm; height: 4mm;
  border: 1.1pt solid #000; }
figure { margin: 0 0 1mm; break-inside: avoid; }
svg { width: 100%%; height: auto; }
"""


def sheet_html(told: Sequence[Sheet]) -> str:
    """The sheets as one page of HTML that needs nothing else; it prints a section to a page."""
    width, height = told[0].paper
    pages = [(one, page) for one in told for page in one.pages]
    body = "".join(_section(one, page) for one, page in pages)
    style = STYLE % (f"{width:g}mm {height:g}mm", f"{width:g}")
    head = f'<meta charset="utf-8"><title>{escape(told[0].title)}</title><style>{style}</style>'
    return f'<!doctype html>\n<html lang="en"><head>{head}</head><body>{body}</body></html>\n'


def _section(one: Sheet, page: tuple[Block, ...]) -> str:
    under = f'<p class="small">{escape(one.bore or one.note)}</p>'
    head = (
        f"<header><div><h1>{escape(one.title)}</h1>{under}</div><div>Date ________________<p "
        f"class='small'>{escape(one.foot)}</p></div></header>"
    )
    return f"<section>{head}{''.join(map(_html, page))}</section>\n"


def _html(block: Block) -> str:
    """A block as HTML."""
    if isinstance(block, Stamp):
        return f'<div class="stamp {block.tone}">{escape(block.text)}</div>'
    title = getattr(block, "title", "")
    head = f"<h2>{escape(title)}</h2>" if title else ""
    if isinstance(block, Lines):
        small = ' class="small"' if block.small else ""
        return head + "".join(f"<p{small}>{escape(line)}</p>" for line in block.lines)
    if isinstance(block, Ticks):
        steps = "".join(
            f"<li><i></i>{tick_words(k, step)}</li>" for k, step in enumerate(block.steps, 1)
        )
        return f'{head}<ul class="ticks">{steps}</ul>'
    if isinstance(block, Figure):
        return (
            f"{head}<figure>{_svg(block.drawing)}<figcaption "
            f"class='small'>{escape(block.drawing.words)}</figcaption></figure>"
        )
    return head + _html_table(block)


def _html_table(block: Table) -> str:
    blank = any(not cell.first for row in block.rows for cell in row)
    kind = "big" if block.big else "blank" if blank else ""
    head = "".join(f"<th>{escape(h)}</th>" for h in block.head)
    mark = ("<b>", "</b>") if block.big else ("", "")
    rows = "".join(
        "<tr>"
        + "".join(f"<td>{mark[0]}{escape(c.first)}{mark[1]}{_other(c)}</td>" for c in row)
        + "</tr>"
        for row in block.rows
    )
    return f'<table class="{kind}"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _other(cell: Cell) -> str:
    return f' <span class="other">{escape(cell.second)}</span>' if cell.second else ""


def _svg(drawing: Drawing) -> str:
    """A drawing as inline SVG, a unit a millimetre."""
    parts = [
        _svg_words(shape) if isinstance(shape, Words) else _svg_face(shape)
        for shape in drawing.shapes
    ]
    size = f"{drawing.width:g} {drawing.height:g}"
    return (
        f'<svg viewBox="0 0 {size}" role="img" '
        f'aria-label="{escape(drawing.words)}">{"".join(parts)}</svg>'
    )


def _svg_words(words: Words) -> str:
    weight = ' font-weight="bold"' if words.bold else ""
    return (
        f'<text x="{words.x:.2f}" y="{words.y:.2f}" font-size="{words.size * INCH / 72:.2f}" '
        f'text-anchor="{words.anchor}" fill="{words.ink}"{weight}>{escape(words.text)}</text>'
    )


def _svg_face(face: Any) -> str:
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in face.points)
    dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in face.dash)}"' if face.dash else ""
    line = f'stroke="{face.ink or "none"}" stroke-width="{face.thick:g}"{dash}'
    return (
        f'<{"polygon" if face.closed else "polyline"} points="{points}" '
        f'fill="{face.fill or "none"}" {line}/>'
    )
