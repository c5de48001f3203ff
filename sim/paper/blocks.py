"""Blocks of the sheet; sizes in both units."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sim.paper.pen import Drawing
from sim.reference.sizes_in_words import Say
from sim.reference.units import INCH
from sim.shop.result import Result

GOOD, DOUBTFUL, BAD = "good", "doubtful", "bad"


LETTER, A4 = (215.9, 279.4), (210.0, 297.0)


MARGIN = 11.0  # mm of paper


@dataclass(frozen=True)
class Stamp:
    """A band across the sheet with a verdict or a stamp; tone: good, doubtful or bad."""

    tone: str
    text: str


@dataclass(frozen=True)
class Lines:
    """A heading ('' for none) and sentences under it; small: not read at the machine."""

    title: str
    lines: tuple[str, ...]
    small: bool = False


@dataclass(frozen=True)
class Tick:
    """A step with a box to tick; hold: nobody goes past it unticked."""

    words: str
    hold: bool = False
    done: bool = False


@dataclass(frozen=True)
class Ticks:
    """Steps in order."""

    title: str
    steps: tuple[Tick, ...]


@dataclass(frozen=True)
class Cell:
    """A figure: in the job's units, then in the other ones ('' for none)."""

    first: str
    second: str = ""


@dataclass(frozen=True)
class Table:
    """Head and rows, the first cell of a row its name; big: figures to set on a machine; wide:
    widths of the columns against each other, () for even ones; '' is a blank to write in.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    big: bool = False
    wide: tuple[float, ...] = ()


@dataclass(frozen=True)
class Figure:
    """A drawing with its heading."""

    title: str
    drawing: Drawing


Block = Stamp | Lines | Ticks | Table | Figure


@dataclass(frozen=True)
class Sheet:
    """The sheet of one bore: paper width and height [mm], title, bore on the bar in words, foot;
    pages: the blocks of the first page, then the rest, which flows.
    """

    paper: tuple[float, float]
    title: str
    bore: str
    note: str
    foot: str
    pages: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True)
class Both:
    """Sizes in the job's units and in the other ones.

    >>> Both(Say("mm"), Say("in")).text(INCH), Both(Say("in"), Say("mm")).text(INCH)
    ('25.40 mm / 1.000 in', '1.000 in / 25.40 mm')
    """

    first: Say
    second: Say

    @classmethod
    def of(cls, result: Result) -> Both:
        """In the units of a result's job."""
        units = result.scene.job.units
        return cls(Say(units), Say("mm" if units == "in" else "in"))

    def text(self, mm: float, digits: int = 2) -> str:
        """A size in a sentence."""
        return f"{self.first.size(mm, digits)} / {self.second.size(mm, max(digits, 1))}"

    def cell(self, mm: float, digits: int = 2) -> Cell:
        """A size in a table."""
        return Cell(self.first.size(mm, digits), self.second.size(mm, max(digits, 1)))

    def span(self, low: float, high: float, digits: int = 2) -> Cell:
        """From one size to another in a table."""
        return Cell(
            *(
                _from_to(say.size(low, digits), say.size(high, digits))
                for say in (self.first, self.second)
            )
        )

    def other(self, what: str, value: float) -> Cell:
        """Another kind of quantity: `what` names the method of Say."""
        return Cell(getattr(self.first, what)(value), getattr(self.second, what)(value))


def _from_to(low: str, high: str) -> str:
    return high if low == high else f"{low.split()[0]} to {high}"


_SIZE = re.compile(r"(?<![\w.])(-?\d+(?:\.\d+)?) (mm|in)(?![\w/])")


def in_both(sentence: str) -> str:
    """A sentence with every size that stands in it told in the other unit as well.

    An inch without a decimal point is taken for the word "in".

    >>> in_both("2.54 mm per side in 3 in 10; 1.000 in deep, 440 mm/min")
    '2.54 mm / 0.100 in per side in 3 in 10; 1.000 in / 25.40 mm deep, 440 mm/min'
    """

    def more(found: re.Match[str]) -> str:
        number, unit = found[1], found[2]
        digits = len(number.partition(".")[2])
        if unit == "mm":
            return f"{found[0]} / {float(number) / INCH:.{max(digits + 1, 2)}f} in"
        return (
            f"{found[0]} / {float(number) * INCH:.{max(digits - 1, 0)}f} mm" if digits else found[0]
        )

    return _SIZE.sub(more, sentence)


def temperatures_in_both(sentence: str) -> str:
    """A sentence with every temperature [C] told in F as well."""
    return re.sub(
        r"(-?\d+) C\b", lambda found: f"{found[0]} / {1.8 * float(found[1]) + 32.0:.0f} F", sentence
    )


def temperature_in_both(celsius: float, both: Both) -> str:
    """A temperature [C] in the job's units and in the other ones."""
    return f"{both.first.temperature(celsius)} / {both.second.temperature(celsius)}"
