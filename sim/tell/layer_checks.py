"""Settings against the qualified procedure in words."""

from __future__ import annotations

from sim.machine.layer_row import NOT_GIVEN, OUTSIDE, Check, LayerSettings
from sim.reference.sizes_in_words import Say
from sim.reference.units import KINDS
from sim.tell.remarks import told


def check_lines(r: LayerSettings, say: Say) -> list[str]:
    """What of a layer lies outside the procedure, then what lies within and what is not given, a
    line each.
    """
    out = [f"OUTSIDE the procedure: {_outside(c, say)}." for c in r.checks if c.verdict == OUTSIDE]
    within = [c.what for c in r.checks if c.verdict not in (OUTSIDE, NOT_GIVEN)]
    missing = [c for c in r.checks if c.verdict == NOT_GIVEN]
    if within:
        out.append(f"Within the procedure: {', '.join(within)}.")
    if missing and (within or out):
        out.append(f"Not checked: {', '.join(_named(c, say) for c in missing)}.")
    return out


def _outside(c: Check, say: Say) -> str:
    if c.run is None:
        return f"{c.what}: {_words(c, say)}"
    least, most = c.allowed
    allowed = " to ".join(
        ["least " + value_words(c.kind, least, say)] * (least is not None)
        + ["most " + value_words(c.kind, most, say)] * (most is not None)
    )
    low, high = (value_words(c.kind, v, say) for v in c.run)
    run = low if low == high else f"{low} to {high}"
    return f"{c.what} {run}, allowed {allowed}; off by {_least(_by(c, say))}"


def value_words(kind: str, value: float | None, say: Say) -> str:
    """A quantity of a check in the job's units."""
    if value is None:
        return "-"
    spoken = {
        "feed": say.wire,
        "speed": say.travel,
        "temperature": say.temperature,
        "energy": say.energy,
    }.get(kind)
    if spoken is not None:
        return spoken(value)
    unit = KINDS[kind][0]
    return f"{unit.outside(value):.4g} {unit.label}"


def _least(words: str) -> str:
    """What is lost in rounding, said so.

    >>> _least("0.00 kJ/mm"), _least("0.01 kJ/mm"), _least("0 mm/min")
    ('less than 0.01 kJ/mm', '0.01 kJ/mm', 'less than 1 mm/min')
    """
    number, _, unit = words.partition(" ")
    return f"less than {number[:-1]}1 {unit}" if float(number) == 0.0 else words


def _by(c: Check, say: Say) -> str:
    if c.kind == "temperature":
        return f"{c.by * 1.8:.0f} F" if say.units == "in" else f"{c.by:.0f} C"
    return value_words(c.kind, c.by, say)


def _named(c: Check, say: Say) -> str:
    return f"{c.what} ({_words(c, say)})"


def _words(c: Check, say: Say) -> str:
    return "" if c.words is None else told(c.words, say)
