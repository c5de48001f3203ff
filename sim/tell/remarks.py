"""Remarks of the engine in words, in the job's units.

The words of a remark are one line of a table, under its `what`, with its figures in braces. After
the colon stands how a figure is said: a kind of `sim.reference.units` with decimals of its first
unit (`{pitch:length.3}`; `g`: no more than it takes), a way of `Say` (`{travel:travel}`), or one of
those below; two values are said as from one to the other (`400 to 640 mm/min`).

    share     a part of the whole as so many of a hundred (`{thin:share} %`, `{f:share.1} %`)
    oclock    a clock angle as people say it
    label ... a figure in the unit that bears this label, said in the job's
    range     from the least to the most of a default
    of ...    so many of a thing (`{count:of layer}`: 1 layer, 2 layers)
    often     how many times, nothing for once (`{times:often}10 min`)
    Begin     words with a capital letter
    words     a remark, or several with commas between, in words
    apart     likewise, with semicolons between

else as Python formats it (`{count:.0f}`).
"""

from __future__ import annotations

import string
from collections.abc import Callable, Iterable
from typing import Any

from sim.reference.remarks import Remark
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, clock_text, said, usual_unit
from sim.tell.words_machine import MACHINE
from sim.tell.words_plan import PLAN
from sim.tell.words_shop import SHOP

WORDS: dict[str, str] = {**SHOP, **PLAN, **MACHINE}
"""The words of every remark: a table a room, none in two."""


def told(remark: Remark, say: Say) -> str:
    """A remark in words; one without figures may speak for itself.

    >>> told(Remark("valleys give a tie-in", value=0.6, spread=0.1), Say("mm"))
    'valleys give a tie-in of 0.60 (one standard deviation 0.10)'
    """
    figures = {"layer": remark.layer, "bore": remark.bore, **dict(remark.figures)}
    return _Words(say).vformat(WORDS.get(remark.what, remark.what), (), figures)


def lines(remarks: Iterable[Remark], say: Say) -> list[str]:
    """Remarks in words, one each."""
    return [told(one, say) for one in remarks]


WAYS: dict[str, Callable[[Any, str], str]] = {
    "of": lambda count, thing: f"{count} {thing}{'' if count == 1 else 's'}",
    "Begin": lambda words, _: f"{words[:1].upper()}{words[1:]}",
    "share": lambda part, digits: f"{100.0 * part:.{digits or 0}f}",
    "oclock": lambda angle, _: clock_text(angle),
    "often": lambda times, _: "" if times == 1 else f"{times} times ",
}
"""Ways to say a figure in which units have no part: from it and what stands beside the way."""


class _Words(string.Formatter):
    def __init__(self, say: Say) -> None:
        self.say = say

    def format_field(self, value: Any, format_spec: str) -> str:
        how, _, digits = format_spec.partition(".")
        if how in ("words", "apart"):
            several = (value,) if isinstance(value, Remark) else value
            return (", " if how == "words" else "; ").join(lines(several, self.say))
        if how == "range":
            return self.format_field((value.low, value.high), f"label {value.unit}")
        if isinstance(value, tuple):
            low, high = (self.format_field(one, format_spec) for one in value)
            return high if low == high else f"{low.rpartition(' ')[0]} to {high}"
        if how in ("travel", "wire", "temperature", "energy", "mass"):
            return str(getattr(self.say, how)(value))
        if how in KINDS:
            return self._of_kind(value, how, digits)
        way, _, beside = how.partition(" ")
        if way == "label":
            return _labelled(value, beside, self.say.units)
        if way in WAYS:
            return WAYS[way](value, beside or digits)
        return str(super().format_field(value, format_spec))

    def _of_kind(self, value: float, kind: str, digits: str) -> str:
        if digits != "g":
            return said(value, kind, self.say.units, int(digits or 2))
        unit = usual_unit(kind, self.say.units)
        number = unit.outside(value)
        return f"{number if unit is KINDS[kind][0] else round(number, 3):g} {unit.label}"


def _labelled(value: float, label: str, units: str) -> str:
    """A value in the unit of a label, in that of the job.

    >>> _labelled(640.0, "mm/min", "mm"), _labelled(640.0, "mm/min", "in"), _labelled(0.7, "1", "in")
    ('640 mm/min', '25.2 in/min', '0.7 1')
    """
    kind = next((k for k, choices in KINDS.items() if choices[0].label == label), None)
    if kind is None or usual_unit(kind, units) is KINDS[kind][0]:
        return f"{value:.4g} {label}"
    unit = usual_unit(kind, units)
    return f"{unit.outside(KINDS[kind][0].inside(value)):.3g} {unit.label}"
