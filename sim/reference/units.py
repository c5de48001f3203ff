"""Units at the edge: what suffixes a scene key may bear, and how its value becomes mm, rad, s or C.

The only place that knows the size of an inch.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

INCH = 25.4


POUND_KG = 0.45359237


POUND_FORCE = POUND_KG * 9.80665


@dataclass(frozen=True)
class Unit:
    """value inside = (value in the file + offset) * factor; `label` is how a person reads the unit."""

    suffix: str
    factor: float
    label: str
    offset: float = 0.0

    def inside(self, value: float) -> float:
        """From the file to mm, rad, s, C.

        >>> KINDS["length"][1].inside(2.0)
        50.8
        """
        return (value + self.offset) * self.factor

    def outside(self, value: float) -> float:
        """From mm, rad, s, C to the file, exact on the way back where a short number allows it.

        >>> KINDS["length"][1].outside(50.8)
        2.0
        """
        plain = value / self.factor - self.offset
        for digits in range(4, 17):
            short = round(plain, digits)
            if self.inside(short) == value:
                return short
        return plain


KINDS: dict[str, tuple[Unit, ...]] = {
    "length": (Unit("_mm", 1.0, "mm"), Unit("_in", INCH, "in")),
    "lengths": (Unit("_mm", 1.0, "mm"), Unit("_in", INCH, "in")),
    "area": (Unit("_mm2", 1.0, "mm2"), Unit("_in2", INCH**2, "in2")),
    "speed": (
        Unit("_mm_per_min", 1.0 / 60.0, "mm/min"),
        Unit("_in_per_min", INCH / 60.0, "in/min"),
    ),
    "feed": (
        Unit("_m_per_min", 1000.0 / 60.0, "m/min"),
        Unit("_in_per_min", INCH / 60.0, "in/min"),
    ),
    "temperature": (Unit("_c", 1.0, "C"), Unit("_f", 5.0 / 9.0, "F", -32.0)),
    "angle": (Unit("_deg", math.pi / 180.0, "deg"),),
    "clock": (Unit("_oclock", math.pi / 6.0, "o'clock"),),
    "mass": (Unit("_g", 1.0, "g"), Unit("_lb", POUND_KG * 1000.0, "lb")),
    "time": (Unit("_s", 1.0, "s"),),
    "shop time": (Unit("_min", 60.0, "min"),),
    "rotation": (Unit("_rpm", math.pi / 30.0, "rpm"),),
    "rotations": (Unit("_rpm", math.pi / 30.0, "rpm"),),
    "cutting speed": (
        Unit("_m_per_min", 1000.0 / 60.0, "m/min"),
        Unit("_ft_per_min", 12.0 * INCH / 60.0, "ft/min"),
    ),
    "power": (
        Unit("_kw", 1000.0, "kW"),
        Unit("_hp", 550.0 * 12.0 * INCH * POUND_FORCE / 1000.0, "hp"),
    ),
    "pressure": (
        Unit("_n_per_mm2", 1.0, "N/mm2"),
        Unit("_ksi", 1000.0 * POUND_FORCE / INCH**2, "ksi"),
    ),
    "flow": (
        Unit("_l_per_min", 1e6 / 60.0, "l/min"),
        Unit("_ft3_per_h", (12.0 * INCH) ** 3 / 3600.0, "ft3/h"),
    ),
    "density": (
        Unit("_kg_per_m3", 1e-6, "kg/m3"),
        Unit("_lb_per_in3", POUND_KG * 1e3 / INCH**3, "lb/in3"),
    ),
    "expansion": (
        Unit("_um_per_m_c", 1e-6, "um/(m C)"),
        Unit("_uin_per_in_f", 1.8e-6, "uin/(in F)"),
    ),
    "voltage": (Unit("_v", 1.0, "V"),),
    "current": (Unit("_a", 1.0, "A"),),
    "energy": (Unit("_kj_per_mm", 1.0, "kJ/mm"), Unit("_kj_per_in", 1.0 / INCH, "kJ/in")),
    "percent": (Unit("_percent", 1.0, "%"),),
    "number": (Unit("", 1.0, ""),),
    "numbers": (Unit("", 1.0, ""),),
    "integer": (Unit("", 1, ""),),
}
"""Kinds of quantity; the first unit of a kind is the one its range and default are given in.
Inside: density g/mm3, power W, pressure N/mm2, flow mm3/s."""


LISTS = {"lengths": "length", "rotations": "rotation", "numbers": "number"}
"""Kinds that are a list, each with the kind of its items."""


def usual_unit(kind: str, units: str) -> Unit:
    """The unit a kind of quantity is shown in: its first, or for `units` in its second.

    >>> usual_unit("length", "in").label, usual_unit("power", "in").label
    ('in', 'hp')
    """
    choices = KINDS[kind]
    return choices[1] if units == "in" and len(choices) > 1 else choices[0]


def said(value: float, kind: str, units: str, digits: int = 2) -> str:
    """A value in words, in the first unit of its kind or, for `units` in, the second; one decimal
    more of an inch, three more of a square inch.

    >>> said(50.8, "length", "in"), said(50.8, "length", "mm", 1), said(1000.0, "power", "mm")
    ('2.000 in', '50.8 mm', '1.00 kW')
    """
    unit = usual_unit(kind, units)
    more = {"_in": 1, "_in2": 3}.get(unit.suffix, 0)
    return f"{value / unit.factor - unit.offset:.{digits + more}f} {unit.label}".rstrip()


_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"


_TYPED = re.compile(
    r"^\s*(?:(?P<whole>[+-]?\d+)\s+)?"
    rf"(?:(?P<top>[+-]?\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>{_NUMBER}))"
    r"\s*(?P<unit>.*?)\s*$"
)


_WORDS = {
    "mm": "_mm",
    "in": "_in",
    "inch": "_in",
    "inches": "_in",
    '"': "_in",
    "\u2033": "_in",
    "''": "_in",
}


def typed(text: str, kind: str, units: str) -> tuple[str, float]:
    """What a person typed: suffix of its unit, and number. Raises ValueError with a sentence.

    Lengths may be `1/8 in`, `0.125"`, `5 thou`, `1 1/8 in`; a comma is a decimal comma; without a
    unit the page's (`units`: mm or in) is meant, for other kinds that of the same system. A clock
    may be `9:30`.

    >>> typed("1/8 in", "length", "mm"), typed("5 thou", "length", "mm"), typed("3,2", "length", "mm")
    (('_in', 0.125), ('_in', 0.005), ('_mm', 3.2))
    """
    choices, usual = KINDS[kind], usual_unit(kind, units)
    if kind == "clock" and (clock := re.fullmatch(r"\s*(\d{1,2}):([0-5]\d)\s*", text)):
        return usual.suffix, int(clock[1]) + int(clock[2]) / 60.0
    found = _TYPED.match(text)
    if found is None or (found["whole"] and not found["top"]):
        raise ValueError(f"'{text}': must be a number such as 3.2 or 1/8 in")
    number = _typed_number(found, text)
    word = found["unit"].strip().lower()
    if not word:
        return usual.suffix, number
    if kind == "length" and word == "thou":
        return "_in", round(number / 1000.0, 9)
    suffix = _WORDS.get(word) if kind == "length" else None
    for unit in choices:
        if unit.suffix == suffix or word == unit.label.lower():
            return unit.suffix, number
    allowed = ", ".join(unit.label for unit in choices if unit.label) or "no unit"
    raise ValueError(f"'{text}': '{word}' is not a unit here; use {allowed}")


def _typed_number(found: re.Match[str], text: str) -> float:
    """The number in what was typed: a fraction, or decimal with point or comma."""
    if found["top"]:
        if int(found["bottom"]) == 0:
            raise ValueError(f"'{text}': nothing divides by zero; write a fraction such as 1/8 in")
        return int(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])
    if re.fullmatch(r"[+-]?\d{1,3},\d{3}", found["number"]):
        raise ValueError(
            f"'{text}': one thousand or one point something? write it without the comma"
        )
    return float(found["number"].replace(",", "."))


def oclock(angle: float) -> float:
    """Clock angle [rad] as hours, 0 up to 12.

    >>> oclock(math.pi)
    6.0
    """
    hours = (angle * 6.0 / math.pi) % 12.0
    return 0.0 if round(hours, 9) == 12.0 else hours


def clock_text(angle: float) -> str:
    """A clock angle [rad] as people say it.

    >>> clock_text(math.pi * 1.55)
    '9:18'
    """
    minutes = round(oclock(angle) * 60.0) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"
