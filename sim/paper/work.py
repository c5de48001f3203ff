"""What the sheet is made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.job.sections.bore import AFTER
from sim.machine.between.card import Card, bar_cards
from sim.machine.boring.cuts import Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.layer_row import Schedule
from sim.machine.layer_sheet import schedule
from sim.machine.quantities.line import Quantities
from sim.machine.quantities.takes import quantities
from sim.plan.odds.verdict import Decision
from sim.reference.errors import SceneError
from sim.shop.result import Result
from sim.shop.several_bores import OnBar, places_between

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
    told = schedule(result)
    try:
        cuts = boring_cuts(result)
    except SceneError as fault:
        return Work(result, decided, told, None, str(fault), None, cards)
    return Work(result, decided, told, cuts, "", quantities(result, cuts), cards)


def cards_of(on_bar: Sequence[OnBar]) -> tuple[tuple[Card, ...], ...]:
    """The after-layer cards of layers still to come, of every bore; none after the finish cut."""
    scenes = [one.result.scene for one in on_bar]
    if scenes[0].job.stage == AFTER:
        return ((),) * len(on_bar)
    ends = [
        (one.along, one.along + scene.bore.length)
        for one, scene in zip(on_bar, scenes, strict=True)
    ]
    places = places_between(ends)
    return bar_cards(
        [(one.name, scene, place) for one, scene, place in zip(on_bar, scenes, places, strict=True)]
    )


def cut_short(text: str, most: int) -> str:
    """A text on one line, its end left out with a mark where it is too long for the sheet.

    >>> cut_short("a  long  name", 8)
    'a long …'
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return plain if len(plain) <= most else plain[: most - 1] + "…"
