"""What the sheet is made from."""

from __future__ import annotations

from dataclasses import dataclass

from sim.machine.between.card import Card
from sim.machine.boring.cuts import Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.layer_row import Schedule
from sim.machine.layer_sheet import schedule
from sim.machine.quantities.line import Quantities
from sim.machine.quantities.takes import quantities
from sim.plan.odds.verdict import Decision
from sim.reference.errors import SceneError
from sim.shop.result import Result

NAME_MOST, NOTE_MOST = 110, 260


@dataclass(frozen=True)
class Work:
    """Everything a sheet is made from; decided: the whole job; cuts None: no bar goes in, why in
    `no_cuts`.
    """

    result: Result
    decided: Decision
    told: Schedule
    cuts: Cuts | None
    no_cuts: str
    takes: Quantities | None
    cards: tuple[Card, ...]


def work_of(result: Result, decided: Decision, cards: tuple[Card, ...]) -> Work:
    """Settings, cuts and quantities of a result, with its cards. Raises SceneError when a dial
    cannot give what is asked.
    """
    told = schedule(result, cards)
    try:
        cuts = boring_cuts(result)
    except SceneError as fault:
        return Work(result, decided, told, None, str(fault), None, cards)
    return Work(result, decided, told, cuts, "", quantities(result, cuts), cards)


def cut_short(text: str, most: int) -> str:
    """A text on one line, its end left out with a mark where it is too long for the sheet.

    >>> cut_short("a  long  name", 8)
    'a long …'
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return plain if len(plain) <= most else plain[: most - 1] + "…"
