"""Heat and steel: arc energy, cooling time, carbon equivalents, preheat, waiting between layers, weld positions.

Formulas of published standards; every one of them an estimate, none a welding procedure.
Lengths mm, times s, temperatures C, travel mm/s, energies per length kJ/mm, composition in % of mass.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields

import numpy as np

from sim.wall import TURN

# ---- heat from the arc ------------------------------------------------------------------------------------------------


def arc_energy(volts: float, amps: float, travel: float) -> float:
    """Arc energy per length [kJ/mm], no efficiency in it: the AWS form 60 E I / S, travel [mm/s].

    >>> round(arc_energy(24.0, 200.0, 6.0), 9)
    0.8
    """
    return volts * amps / travel / 1000.0


def heat_input(volts: float, amps: float, travel: float, efficiency: float) -> float:
    """Heat input Q = k U I / v [kJ/mm] by EN 1011-1; `efficiency` is k of the process (0.8 gas-metal-arc).

    >>> round(heat_input(24.0, 200.0, 6.0, 0.8), 9)
    0.64
    """
    return efficiency * arc_energy(volts, amps, travel)


@dataclass(frozen=True)
class Cooling:
    """Time t8/5 [s] from 800 to 500 C, by which flow of heat (3-D or 2-D), and the transition thickness [mm]."""

    time: float
    flow: str
    transition: float


def cooling_time(heat: float, preheat: float, thickness: float | None) -> Cooling:
    """Cooling time t8/5 of a run on plate, unalloyed and low-alloy steel, by EN 1011-2 Annex D (shape factors 1).

    heat [kJ/mm]; preheat [C] below 500; thickness [mm], None for thick. The flow is 3-D from the transition
    thickness on, 2-D below it. Raises ValueError outside 0 < heat and preheat < 500.

    >>> cooled = cooling_time(2.0, 200.0, 50.0)
    >>> round(cooled.time, 6), cooled.flow, round(cooled.transition, 1)
    (19.0, '3-D', 24.6)
    """
    if not (heat > 0.0 and preheat < 500.0):
        raise ValueError(f"heat = {heat} kJ/mm, preheat = {preheat} C: heat must be above 0 and preheat below 500")
    near, far = 1.0 / (500.0 - preheat), 1.0 / (800.0 - preheat)
    three, two = 6700.0 - 5.0 * preheat, (4300.0 - 4.3 * preheat) * 1e5
    transition = math.sqrt(two / three * heat * (near + far))
    if thickness is None or thickness >= transition:
        return Cooling(three * heat * (near - far), "3-D", transition)
    return Cooling(two * (heat / thickness) ** 2 * (near**2 - far**2), "2-D", transition)


# ---- the steel -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Composition:
    """A steel by its elements [% of mass]; what is not given is zero."""

    carbon: float
    silicon: float = 0.0
    manganese: float = 0.0
    chromium: float = 0.0
    molybdenum: float = 0.0
    vanadium: float = 0.0
    nickel: float = 0.0
    copper: float = 0.0
    boron: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no share of a steel."""
        held = [getattr(self, f.name) for f in fields(self)]
        if not all(math.isfinite(v) and v >= 0.0 for v in held) or sum(held) > 100.0:
            raise ValueError(f"{self}: every element must be 0 or more, and all of them at most 100 %")

    @property
    def ce(self) -> float:
        """Carbon equivalent of the International Institute of Welding (EN 1011-2 C.2, method A) [%].

        >>> round(Composition(carbon=0.17, silicon=0.45, manganese=1.65, vanadium=0.17, nickel=0.29).ce, 2)
        0.5
        """
        metals = (self.chromium + self.molybdenum + self.vanadium) / 5.0
        return self.carbon + self.manganese / 6.0 + metals + (self.nickel + self.copper) / 15.0

    @property
    def cet(self) -> float:
        """Carbon equivalent CET of EN 1011-2 C.3 (method B) [%]."""
        light = (self.manganese + self.molybdenum) / 10.0
        return self.carbon + light + (self.chromium + self.copper) / 20.0 + self.nickel / 40.0

    @property
    def pcm(self) -> float:
        """Cracking parameter Pcm (Ito and Bessyo; AWS D1.1) [%]."""
        twentieths = (self.manganese + self.copper + self.chromium) / 20.0
        rest = self.nickel / 60.0 + self.molybdenum / 15.0 + self.vanadium / 10.0 + 5.0 * self.boron
        return self.carbon + self.silicon / 30.0 + twentieths + rest


CET_RANGES: tuple[tuple[str, float, float, str], ...] = (
    ("CET", 0.2, 0.5, "%"),
    ("thickness", 10.0, 90.0, "mm"),
    ("hydrogen", 1.0, 20.0, "ml/100 g"),
    ("heat input", 0.5, 4.0, "kJ/mm"),
)
"""Within what EN 1011-2 C.3 holds, besides a yield strength up to 1000 N/mm2 (as quoted in secondary copies)."""
CET_STEEL: tuple[tuple[str, float, float], ...] = (
    ("carbon", 0.05, 0.32), ("silicon", 0.0, 0.8), ("manganese", 0.5, 1.9), ("chromium", 0.0, 1.5), ("molybdenum", 0.0, 0.75),
    ("vanadium", 0.0, 0.18), ("nickel", 0.0, 2.5), ("copper", 0.0, 0.7), ("boron", 0.0, 0.005),
)  # fmt: skip
"""Steels it holds for, by element [%] (from memory)."""


@dataclass(frozen=True)
class Preheat:
    """Preheat [C] by a formula, and in which respects the case lies outside what the formula was made for."""

    temperature: float
    outside: tuple[str, ...]


def preheat_by_cet(cet: float, thickness: float, hydrogen: float, heat: float) -> Preheat:
    """Preheat [C] against cold cracks by EN 1011-2 C.3: CET [%], thickness [mm], hydrogen [ml/100 g], heat [kJ/mm].

    Tp = 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328. A figure at or below the air's means none.
    It holds where the part's CET is at least 0.03 above that of the weld metal; else take the weld metal's plus 0.03.

    >>> told = preheat_by_cet(0.30, 25.0, 5.0, 1.0)
    >>> round(told.temperature, 1), told.outside
    (72.0, ())
    """
    given = (cet, thickness, hydrogen, heat)
    outside = tuple(
        f"{name} {value:.3g} {unit} (made for {low:g} to {high:g})"
        for value, (name, low, high, unit) in zip(given, CET_RANGES, strict=True)
        if not low <= value <= high
    )
    told = 697.0 * cet + 160.0 * math.tanh(thickness / 35.0) + 62.0 * hydrogen**0.35 + (53.0 * cet - 32.0) * heat - 328.0
    return Preheat(told, outside)


def outside_cet(steel: Composition) -> tuple[str, ...]:
    """In which elements a steel lies outside those that EN 1011-2 C.3 was made for."""
    held = [(name, getattr(steel, name), low, high) for name, low, high in CET_STEEL]
    return tuple(f"{name} {value:.3g} % (made for {low:g} to {high:g})" for name, value, low, high in held if not low <= value <= high)


THICKNESSES = (20.0, 38.1, 65.0)
MINIMUM_PREHEAT: dict[str, tuple[float, float, float, float]] = {
    "A": (0.0, 65.0, 110.0, 150.0),
    "B": (0.0, 10.0, 65.0, 110.0),
    "C": (10.0, 65.0, 110.0, 150.0),
}
"""AWS D1.1:2015 Table 3.3 [C], up to and including 20, 38 (1 1/2 in), 65 mm and over; by steel and process; C from memory."""


def minimum_preheat(category: str, thickness: float) -> float:
    """Least preheat and interpass temperature [C] of AWS D1.1:2015 Table 3.3, thickness of the thickest part [mm].

    Category A: mild steels, electrodes that are not low-hydrogen; B: mild and 345 MPa steels with low-hydrogen
    processes (gas-metal-arc is one); C: stronger steels. Raises ValueError for another category or under 3 mm.

    >>> minimum_preheat("B", 25.0)
    10.0
    """
    if category not in MINIMUM_PREHEAT or thickness < 3.0:
        raise ValueError(f"category {category!r}, thickness {thickness:g} mm: the table has A, B, C from 3 mm on")
    return MINIMUM_PREHEAT[category][sum(thickness > limit for limit in THICKNESSES)]


def where_to_measure(thickness: float) -> float:
    """How far from the joint [mm] the preheat is measured, by ISO 13916: 4 t, at most 50; over 50 mm thick: 75.

    >>> where_to_measure(10.0), where_to_measure(20.0), where_to_measure(60.0)
    (40.0, 50.0, 75.0)
    """
    return 75.0 if thickness > 50.0 else min(4.0 * thickness, 50.0)


# ---- waiting between layers ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ring:
    """The metal round the bore as one lump at one temperature: an estimate.

    mass [kg], area [m2] that loses heat, specific heat [J/(kg K)], film: heat lost per area and degree [W/(m2 K)],
    air [C].
    """

    mass: float
    area: float
    specific_heat: float
    film: float
    air: float

    @classmethod
    def of(cls, inside: float, outside: float, length: float, *, density: float, specific_heat: float, film: float, air: float) -> Ring:
        """A ring of these diameters and length [mm], density [g/mm3]; it loses heat at all its surfaces."""
        section = math.pi / 4.0 * (outside**2 - inside**2)
        area = 2.0 * section + math.pi * (outside + inside) * length
        return cls(section * length * density / 1000.0, area * 1e-6, specific_heat, film, air)

    @property
    def time_constant(self) -> float:
        """Time [s] in which what it is above the air falls to 1/e."""
        return self.mass * self.specific_heat / (self.film * self.area)

    def heated(self, start: float, power: float, time: float) -> float:
        """Temperature [C] after `power` [W] for `time` [s] from `start` [C]: lumped balance, exact.

        >>> ring = Ring(mass=10.0, area=0.1, specific_heat=500.0, film=20.0, air=20.0)
        >>> round(ring.heated(20.0, 1000.0, 1e9), 6)
        520.0
        """
        settles = self.air + power / (self.film * self.area)
        return settles + (start - settles) * math.exp(-time / self.time_constant)

    def time_to(self, start: float, power: float, until: float) -> float:
        """Time [s] after which `power` [W] brings it from `start` to `until` [C]; inf when it never does, 0 when it is there."""
        if start >= until:
            return 0.0
        settles = self.air + power / (self.film * self.area)
        if settles <= until:
            return math.inf
        return self.time_constant * math.log((settles - start) / (settles - until))

    def wait(self, start: float, until: float) -> float:
        """Time [s] to fall from `start` to `until` [C]; inf when that is not above the air, 0 when already there."""
        if start <= until:
            return 0.0
        if until <= self.air:
            return math.inf
        return self.time_constant * math.log((start - self.air) / (until - self.air))


# ---- weld positions ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Position:
    """A stretch of the gravity clock welded in one position, from..to [rad] clockwise; whole turn: from 0 to 2 pi.

    iso: ISO 6947 main position; aws: groove position of AWS A3.0, with the way it goes where that is vertical; way in words.
    """

    iso: str
    aws: str
    way: str
    start: float
    end: float


NAMES = {
    "flat": ("PA", "1G"),
    "horizontal": ("PC", "2G"),
    "overhead": ("PE", "4G"),
    "vertical up": ("PF", "3G up"),
    "vertical down": ("PG", "3G down"),
}


def way_at(clock: float, inclination: float, turning: int) -> str:
    """Which way a bead goes at a gravity clock [rad], in a bore inclined [rad] to the horizontal; turning +1 clockwise.

    Groove-weld positions by slope of the weld axis and rotation of the weld face (AWS D1.1:2020 Figure 6.1; ISO 6947
    Table 1 gives the same ranges): flat to 15 degrees of slope with the face 150 to 210; horizontal to 15 with the face
    80 to 150; overhead to 80 with the face within 80 of straight down; vertical otherwise.

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
    edges = [_between(float(middles[k]) - TURN / cells, float(middles[k]), inclination, turning) % TURN for k in turns]
    return tuple(
        Position(*NAMES[ways[k]], ways[k], begin, end)
        for k, begin, end in zip(turns, edges, [*edges[1:], edges[0]], strict=True)
    )


def _between(low: float, high: float, inclination: float, turning: int) -> float:
    """Clock [rad] between two at which the position changes, halved down."""
    first = way_at(low, inclination, turning)
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if way_at(middle, inclination, turning) == first else (low, middle)
    return 0.5 * (low + high)


def whole_turn(inclination: float) -> tuple[str, str]:
    """ISO 6947 and AWS name of a whole turn: pipe fixed, as a test piece would be called.

    Horizontal to 15 degrees: orbital, 5G; vertical to 15 degrees: 2G; between: 45 degrees fixed, 6G (ASME QW-461.4
    tolerances of 15 degrees; the inclined test piece stands at 45).

    >>> whole_turn(0.0), whole_turn(math.pi / 2), whole_turn(math.pi / 4)
    (('PK', '5G'), ('PC', '2G'), ('H-L045 and J-L045', '6G'))
    """
    tilt = abs(math.degrees(inclination))
    if tilt <= 15.0:
        return "PK", "5G"
    return ("PC", "2G") if tilt >= 75.0 else ("H-L045 and J-L045", "6G")


QUALIFIES: dict[str, tuple[str, ...]] = {
    "PA": ("PA",), "PB": (), "PC": ("PC",), "PD": (), "PE": ("PE",), "PF": ("PF",), "PG": ("PG",),
    "PH": ("PA", "PE", "PF"), "PJ": ("PA", "PE", "PG"), "PK": ("PA", "PE", "PF", "PG"),
    "H-L045": ("PA", "PC", "PE", "PF"), "J-L045": ("PA", "PC", "PE", "PG"),
    "1G": ("PA",), "2G": ("PC",), "4G": ("PE",), "3G": ("PF",), "3G UP": ("PF",), "3G DOWN": ("PG",),
    "5G": ("PA", "PE", "PF"), "5G UP": ("PA", "PE", "PF"), "5G DOWN": ("PA", "PE", "PG"),
    "6G": ("PA", "PC", "PE", "PF"), "6G UP": ("PA", "PC", "PE", "PF"), "6G DOWN": ("PA", "PC", "PE", "PG"),
}  # fmt: skip
"""Main positions that a name on a procedure stands for: a fixed pipe by what its turn passes through. A vertical AWS
name without a way means up; PB and PD are for fillets only. What a test piece qualifies besides is for the procedure to list."""


def main_positions(text: str) -> set[str]:
    """ISO main positions that a list such as 'PA, PF' or '1G; 3G down' stands for. Raises ValueError at an unknown name.

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
    return (" ".join(name.upper().split()) for name in text.replace(";", ",").split(",") if name.strip())


def in_group(group: str, listed: str) -> bool:
    """Tell whether a steel group of ISO/TR 15608 is among those listed; a whole group takes in its parts.

    >>> in_group("1.2", "1, 3"), in_group("1", "1.1, 1.2"), in_group("11", "1")
    (True, False, False)
    """
    mine = group.strip()
    return any(mine == one or mine.startswith(one + ".") for one in _names(listed))
