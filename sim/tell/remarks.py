"""Remarks of the engine in words, in the job's units.

The words of a remark are one line of a table, under its `what`, with its figures in braces. After
the colon stands how a figure is said: a kind of `sim.reference.units` with decimals of its first
unit (`{pitch:length.3}`; `g`: no more than it takes), a way of `Say` (`{travel:travel}`), or one of

    share     a part of the whole as so many of a hundred (`{thin:share} %`, `{f:share.1} %`)
    oclock    a clock angle as people say it
    often     how many times, nothing for once (`{times:often}10 min`)
    Begin     words with a capital letter
    words     a remark, or several with commas between, in words
    apart     likewise, with semicolons between

else as Python formats it (`{count:.0f}`).
"""

from __future__ import annotations

import string
from collections.abc import Iterable
from typing import Any

from sim.reference.remarks import Remark
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS, Unit, clock_text, said
from sim.tell.words_machine import MACHINE
from sim.tell.words_plan import PLAN

WORDS: dict[str, str] = {**MACHINE, **PLAN}
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


class _Words(string.Formatter):
    def __init__(self, say: Say) -> None:
        self.say = say

    def format_field(self, value: Any, format_spec: str) -> str:
        how, _, digits = format_spec.partition(".")
        if how in ("words", "apart"):
            several = (value,) if isinstance(value, Remark) else value
            return (", " if how == "words" else "; ").join(lines(several, self.say))
        if how == "Begin":
            return f"{value[:1].upper()}{value[1:]}"
        if how == "share":
            return f"{100.0 * value:.{digits or 0}f}"
        if how == "oclock":
            return clock_text(value)
        if how == "often":
            return "" if value == 1 else f"{value} times "
        if how in ("travel", "wire", "temperature", "energy", "mass"):
            return str(getattr(self.say, how)(value))
        if how in KINDS and digits == "g":
            return _short(value, KINDS[how], self.say.units)
        if how in KINDS:
            return said(value, how, self.say.units, int(digits or 2))
        return str(super().format_field(value, format_spec))


def _short(value: float, choices: tuple[Unit, ...], units: str) -> str:
    unit = choices[1] if units == "in" and len(choices) > 1 else choices[0]
    return f"{unit.outside(value):g} {unit.label}"
