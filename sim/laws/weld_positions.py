"""Law of weld positions: the name of a stretch of clock by slope and facing of the weld."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from sim.reference.arrays import TURN

FORMULA = "slope = asin(|climb|); face = 180 - acos(-cos(clock) x cos(inclination) / cos(slope))"
SOURCE = "ISO 6947 Table 1; AWS D1.1:2020 Figure 6.1; ASME QW-461.4"
RANGE = {"inclination": (-90.0, 90.0, "deg")}
HOW_KNOWN = "published"


NAMES = {
    "flat": ("PA", "1G"),
    "horizontal": ("PC", "2G"),
    "overhead": ("PE", "4G"),
    "vertical up": ("PF", "3G up"),
    "vertical down": ("PG", "3G down"),
}


QUALIFIES: dict[str, tuple[str, ...]] = {
    "PA": ("PA",), "PB": (), "PC": ("PC",), "PD": (), "PE": ("PE",), "PF": ("PF",), "PG": ("PG",),
    "PH": ("PA", "PE", "PF"), "PJ": ("PA", "PE", "PG"), "PK": ("PA", "PE", "PF", "PG"),
    "H-L045": ("PA", "PC", "PE", "PF"), "J-L045": ("PA", "PC", "PE", "PG"),
    "1G": ("PA",), "2G": ("PC",), "4G": ("PE",), "3G": ("PF",), "3G UP": ("PF",),
    "3G DOWN": ("PG",),
    "5G": ("PA", "PE", "PF"), "5G UP": ("PA", "PE", "PF"), "5G DOWN": ("PA", "PE", "PG"),
    "6G": ("PA", "PC", "PE", "PF"), "6G UP": ("PA", "PC", "PE", "PF"),
    "6G DOWN": ("PA", "PC", "PE", "PG"),
}  # fmt: skip
"""Main positions that a name on a procedure stands for: a fixed pipe by what its turn passes
through. A vertical AWS name without a way means up; PB and PD are for fillets only. What a test
piece qualifies besides is for the procedure to list."""


@dataclass(frozen=True)
class Position:
    """A stretch of the gravity clock welded in one position, from..to [rad] clockwise; whole turn:
    from 0 to 2 pi.

    iso: ISO 6947 main position; aws: groove position of AWS A3.0, with the way it goes where that
    is vertical; way in words.
    """

    iso: str
    aws: str
    way: str
    start: float
    end: float


def way_at(clock: float, inclination: float, turning: int) -> str:
    """Which way a bead goes at a gravity clock [rad], in a bore inclined [rad] to the horizontal;
    turning +1 clockwise.

    Groove-weld positions by slope of the weld axis and rotation of the weld face (AWS D1.1:2020
    Figure 6.1; ISO 6947 Table 1 gives the same ranges): flat to 15 degrees of slope with the face
    150 to 210; horizontal to 15 with the face 80 to 150; overhead to 80 with the face within 80 of
    straight down; vertical otherwise.

    >>> [way_at(hour * math.pi / 6.0, 0.0, 1) for hour in (6, 9, 12, 3)]
    ['flat', 'vertical up', 'overhead', 'vertical down']
    """
    sin, cos = math.sin(clock), math.cos(clock)
    climb = -turning * sin * math.cos(inclination)
    slope = math.degrees(math.asin(min(abs(climb), 1.0)))
    level = math.sqrt(max(1.0 - climb**2, 0.0))
    facing = -cos * math.cos(inclination) / level if level > 1e-12 else 0.0
    face = 180.0 - math.degrees(math.acos(min(max(facing, -1.0), 1.0)))
    hair = 1e-7
    if slope <= 15.0 + hair and face >= 150.0 - hair:
        return "flat"
    if slope <= 15.0 + hair and face >= 80.0 - hair:
        return "horizontal"
    if slope <= 80.0 + hair and face < 80.0 - hair:
        return "overhead"
    return "vertical up" if climb > 0.0 else "vertical down"


def positions(inclination: float, turning: int) -> tuple[Position, ...]:
    """Weld positions round the gravity clock, from the top on; see `way_at`.

    >>> [(p.iso, round(p.start * 6 / math.pi, 2), round(p.end * 6 / math.pi, 2)) for p in positions(0.0, 1)][:3]
    [('PG', 2.67, 5.5), ('PA', 5.5, 6.5), ('PF', 6.5, 9.33)]
    >>> [(p.iso, p.aws) for p in positions(math.pi / 2, 1)]
    [('PC', '2G')]
    """
    cells = 1440
    middles = (np.arange(cells) + 0.5) * (TURN / cells)
    ways = [way_at(float(angle), inclination, turning) for angle in middles]
    turns = [k for k in range(cells) if ways[k] != ways[k - 1]]
    if not turns:
        return (Position(*NAMES[ways[0]], ways[0], 0.0, TURN),)
    edges = [
        _between(float(middles[k]) - TURN / cells, float(middles[k]), inclination, turning) % TURN
        for k in turns
    ]
    return tuple(
        Position(*NAMES[ways[k]], ways[k], begin, end)
        for k, begin, end in zip(turns, edges, [*edges[1:], edges[0]], strict=True)
    )


def _between(low: float, high: float, inclination: float, turning: int) -> float:
    """Clock [rad] between two at which the position changes, halved down."""
    first = way_at(low, inclination, turning)
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (
            (middle, high) if way_at(middle, inclination, turning) == first else (low, middle)
        )
    return 0.5 * (low + high)


def whole_turn(inclination: float) -> tuple[str, str]:
    """ISO 6947 and AWS name of a whole turn: pipe fixed, as a test piece would be called.

    Horizontal to 15 degrees: orbital, 5G; vertical to 15 degrees: 2G; between: 45 degrees fixed, 6G
    (ASME QW-461.4 tolerances of 15 degrees; the inclined test piece stands at 45).

    >>> whole_turn(0.0), whole_turn(math.pi / 2), whole_turn(math.pi / 4)
    (('PK', '5G'), ('PC', '2G'), ('H-L045 and J-L045', '6G'))
    """
    tilt = abs(math.degrees(inclination))
    if tilt <= 15.0:
        return "PK", "5G"
    return ("PC", "2G") if tilt >= 75.0 else ("H-L045 and J-L045", "6G")


def main_positions(text: str) -> set[str]:
    """ISO main positions that a list such as 'PA, PF' or '1G; 3G down' stands for. Raises
    ValueError at an unknown name.

    >>> sorted(main_positions("PH, 3g down"))
    ['PA', 'PE', 'PF', 'PG']
    """
    found: set[str] = set()
    for name in _names(text):
        if name not in QUALIFIES:
            raise ValueError(f"'{name}': not a weld position; known are {', '.join(QUALIFIES)}")
        found.update(QUALIFIES[name])
    return found


def _names(text: str) -> Iterable[str]:
    return (
        " ".join(name.upper().split()) for name in text.replace(";", ",").split(",") if name.strip()
    )


def in_group(group: str, listed: str) -> bool:
    """Tell whether a steel group of ISO/TR 15608 is among those listed; a whole group takes in its
    parts.

    >>> in_group("1.2", "1, 3"), in_group("1", "1.1, 1.2"), in_group("11", "1")
    (True, False, False)
    """
    mine = group.strip()
    return any(mine == one or mine.startswith(one + ".") for one in _names(listed))
