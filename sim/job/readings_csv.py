"""Gauge readings from a CSV of two-point diameters or radii."""

from __future__ import annotations

import csv
import difflib
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.bore.read_wall import Readings
from sim.laws.thermal_expansion import REFERENCE, is_warm, mean_wall_temperature, to_20
from sim.reference.arrays import TURN, Array, frozen
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.reference.units import KINDS, Unit

LARGEST = 5_000_000


MOST_ROWS = 20_000


QUANTITIES = {
    "depth": "length", "oclock": "clock", "diameter": "length", "radius": "length",
    "error": "length",
    "bore": "temperature", "outside": "temperature", "gauge": "temperature",
}  # fmt: skip


SEPARATORS = {";": "semicolons", ",": "commas", "\t": "tabs"}


SAME_CLOCK = math.radians(1.0)


class ReadingsError(SceneError):
    """Something in a file of readings is wrong; one sentence with file, row, value, rule and way
    out.
    """


def read(data: bytes, *, name: str, error: float = 0.02, welded: bool = False) -> Readings:
    r"""Readings from CSV bytes; `error` [mm, k = 2] where the file gives none. Raises
    ReadingsError.

    welded: of a welded bore, where a place read twice is two readings, and a column `touched` may
    say crest or valley.

    >>> read(b"depth_mm;oclock;diameter_mm\n10;12;80,2\n", name="r.csv").value.tolist()
    [80.2]
    """
    separator, rows = rows_of(data, name)
    columns = _columns(rows[0][1], name, welded)
    under = body_of(rows, name)
    numbers, body = [n for n, _ in under], [cells for _, cells in under]
    comma = _decimal_comma(body, separator, name)
    table = {key: np.full(len(body), np.nan) for key in QUANTITIES}
    valley = np.zeros(len(body), dtype=bool)
    for k, (number, cells) in enumerate(zip(numbers, body, strict=True)):
        for cell, (key, unit) in zip(cells, columns, strict=True):
            if unit is not None:
                table[key][k] = _number(cell.strip(), key, unit, comma, f"{name}: row {number}")
            elif key == "touched":
                valley[k] = _in_valley(cell, f"{name}: row {number}")
    how = f"separated by {SEPARATORS[separator]}, decimal {'comma' if comma else 'point'}"
    found = _checked(table, numbers, how, error)
    return replace(found, valley=frozen(valley)) if welded else _without_doubles(found, name)


Rows = list[tuple[int, list[str]]]
"""Number of a row in its file, and its cells."""


def rows_of(data: bytes, name: str, *, remark: str = "") -> tuple[str, Rows]:
    """The separator of a CSV and its rows that hold something, the header first; lines that begin
    with `remark` are left out. Raises ReadingsError.
    """
    lines = [
        (n, line)
        for n, line in enumerate(decoded(data, name).splitlines(), 1)
        if line.strip() and not (remark and line.startswith(remark))
    ]
    if not lines:
        raise ReadingsError(f"{name}: no header; write one, and one line for each reading.")
    separator = max(SEPARATORS, key=lambda c: (lines[0][1].count(c), c == ";"))
    try:
        return separator, [(n, next(csv.reader([line], delimiter=separator))) for n, line in lines]
    except csv.Error as fault:
        raise ReadingsError(f"{name}: not a CSV: {fault}; save it as CSV UTF-8.") from None


def body_of(rows: Rows, name: str) -> Rows:
    """The rows under the header, each as wide as it. Raises ReadingsError."""
    (_, header), *body = rows
    if not body:
        raise ReadingsError(f"{name}: a header and no readings; write one line for each reading.")
    if len(body) > MOST_ROWS:
        raise ReadingsError(f"{name}: {len(body)} rows: at most {MOST_ROWS}; give fewer stations.")
    for number, cells in body:
        if len(cells) != len(header):
            raise ReadingsError(
                f"{name}: row {number} has {len(cells)} cells where the header has {len(header)}; "
                "with decimal commas separate by semicolons."
            )
    return body


def decoded(data: bytes, name: str) -> str:
    """Bytes of a CSV as text. Raises ReadingsError for empty, binary or wrongly encoded ones."""
    if len(data) > LARGEST:
        raise ReadingsError(
            f"{name}: {len(data)} bytes: at most {LARGEST}; give the readings only."
        )
    if not data.strip():
        raise ReadingsError(
            f"{name}: the file is empty; write a header and one line for each reading."
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise ReadingsError(
            f"{name}: not UTF-8 text at byte {fault.start}; save it as CSV UTF-8."
        ) from None
    if any(ord(c) < 32 and c not in "\t\r\n" for c in text):
        raise ReadingsError(f"{name}: a binary file, not text; save it as CSV UTF-8.")
    if not text.strip():
        raise ReadingsError(
            f"{name}: the file is empty; write a header and one line for each reading."
        )
    return text


def _in_valley(cell: str, where: str) -> bool:
    """Tell whether a reading was taken in a valley; an empty cell means crests."""
    word = cell.strip().lower()
    if word not in ("", "crest", "valley"):
        raise ReadingsError(
            f"{where}: touched = {cell[:30]!r}: must be crest or valley; leave it empty for crests."
        )
    return word == "valley"


def _columns(header: Sequence[str], name: str, welded: bool) -> list[tuple[str, Unit | None]]:
    """What each column holds, and its unit; columns named `station` or `note` are passed over."""
    known: dict[str, tuple[str, Unit | None]] = {
        "station": ("station", None),
        "note": ("note", None),
    }
    if welded:
        known["touched"] = ("touched", None)
    for key, kind in QUANTITIES.items():
        for unit in KINDS[kind]:
            known["oclock" if key == "oclock" else key + unit.suffix] = (key, unit)
    out: list[tuple[str, Unit | None]] = []
    seen: dict[str, str] = {}
    for title in (cell.strip().lower() for cell in header):
        if title not in known:
            near = difflib.get_close_matches(title, list(known), 1, 0.5)
            hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(known)}."
            raise ReadingsError(f"{name}: unknown column {title[:40]!r}; {hint}")
        key = known[title][0]
        if key in seen:
            raise ReadingsError(f"{name}: both {seen[key]} and {title} given; keep one of them.")
        seen[key] = title
        out.append(known[title])
    for need, how in (("depth", "depth_mm or depth_in"), ("oclock", "oclock")):
        if need not in seen:
            raise ReadingsError(f"{name}: no column {how}; add it to the header.")
    if ("diameter" in seen) == ("radius" in seen):
        both = "both are given" if "radius" in seen else "neither is given"
        raise ReadingsError(
            f"{name}: give diameter_mm (two-point gauge) or radius_mm (indicator on a bar); {both}."
        )
    return out


def _decimal_comma(body: Sequence[Sequence[str]], separator: str, name: str) -> bool:
    """Decide once per file whether the decimal mark is a comma."""
    cells = [cell for row in body for cell in row]
    comma = any("," in cell for cell in cells)
    if comma and separator == ",":
        bad = next(cell for cell in cells if "," in cell)
        raise ReadingsError(
            f"{name}: {bad[:20]!r} in a comma-separated file: a decimal comma or two cells? "
            "separate by semicolons."
        )
    if comma and any("." in cell and any(c.isdigit() for c in cell) for cell in cells):
        raise ReadingsError(
            f"{name}: decimal points and decimal commas in one file; use one of them throughout."
        )
    return comma


def _number(cell: str, key: str, unit: Unit, comma: bool, where: str) -> float:
    if not cell and key not in ("depth", "oclock", "diameter", "radius"):
        return math.nan
    told = f"{where}: {key} = {cell[:30]!r}"
    if cell[:1] in ("=", "@") or (cell[:1] in ("+", "-") and cell[1:2].isalpha()):
        raise ReadingsError(f"{told}: looks like a formula; save the values, not the formulas.")
    if key == "oclock" and ":" in cell:
        number = _hours(cell, told)
    else:
        try:
            number = float(cell.replace(",", ".") if comma else cell)
        except ValueError:
            raise ReadingsError(f"{told}: must be a number.") from None
    _check_number(number, key, told)
    inside = unit.inside(number)
    if QUANTITIES[key] == "temperature" and not -60.0 <= inside <= 700.0:
        raise ReadingsError(f"{told}: must be from -60 to 700 C.")
    return inside


def _hours(cell: str, told: str) -> float:
    """'9:30' as 9.5 hours."""
    hours, _, minutes = cell.partition(":")
    if not (hours.isdecimal() and minutes.isdecimal() and len(hours) < 3 and len(minutes) == 2):
        raise ReadingsError(f"{told}: must be a clock such as 9.5 or 9:30.")
    return int(hours) + int(minutes) / 60.0


def _check_number(number: float, key: str, told: str) -> None:
    """Whether a number as written can be what its column says."""
    if not math.isfinite(number) or abs(number) > 1e6:
        raise ReadingsError(f"{told}: must be a finite number of the size of a bore.")
    if key == "oclock" and not 0.0 <= number <= 12.0:
        raise ReadingsError(f"{told}: must be from 0 to 12 o'clock.")
    if key in ("diameter", "radius") and number <= 0.0:
        raise ReadingsError(f"{told}: must be greater than 0.")
    if key == "error" and number < 0.0:
        raise ReadingsError(f"{told}: must not be negative.")


def _checked(table: dict[str, Array], numbers: list[int], how: str, error: float) -> Readings:
    kind = "diameter" if np.isfinite(table["diameter"]).any() else "radius"
    stated = table["error"]
    return Readings(
        kind=kind,
        depth=table["depth"],
        clock=np.mod(table["oclock"], TURN),
        value=table[kind],
        error=np.where(np.isnan(stated), error, stated),
        bore_c=table["bore"],
        outside_c=table["outside"],
        gauge_c=table["gauge"],
        row=np.array(numbers, dtype=float),
        how_read=how,
    )


def _without_doubles(found: Readings, name: str) -> Readings:
    """Readings of one place made one: within their errors averaged and said, else refused by row."""
    keep, value, notes = np.ones(len(found.value), dtype=bool), found.value.copy(), []
    for members in found.stations:
        angle = np.mod(found.clock[members], found.period)
        order = np.argsort(angle)
        for a, b in zip(order, np.roll(order, -1), strict=True):
            i, j = int(members[a]), int(members[b])
            if (
                i == j
                or not (keep[i] and keep[j])
                or (angle[b] - angle[a]) % found.period > SAME_CLOCK
            ):
                continue
            if abs(value[i] - value[j]) > math.hypot(found.error[i], found.error[j]) + 1e-9:
                raise ReadingsError(
                    f"{name}: rows {found.row[i]:.0f} and {found.row[j]:.0f} read "
                    f"{found.value[i]:.3f} and "
                    f"{found.value[j]:.3f} mm at the same place, farther apart than their "
                    "errors; measure it again."
                )
            value[j], keep[i] = 0.5 * (value[i] + value[j]), False
            notes.append(Remark("read twice", row=float(found.row[i]), again=float(found.row[j])))
    names = ("depth", "clock", "error", "bore_c", "outside_c", "gauge_c", "row")
    arrays = {key: frozen(getattr(found, key)[keep]) for key in names}
    return Readings(
        kind=found.kind,
        value=frozen(value[keep]),
        how_read=found.how_read,
        notes=tuple(notes),
        **arrays,
    )


def check(found: Readings, *, name: str, length: float) -> list[Remark]:
    """What cannot be used is refused (ReadingsError); what is thin is remarked."""
    outside = np.flatnonzero((found.depth < -1e-9) | (found.depth > length + 1e-9))
    if len(outside):
        i = int(outside[0])
        raise ReadingsError(
            f"{name}: row {found.row[i]:.0f}: depth {found.depth[i]:.2f} mm lies outside the "
            f"bore (0 to {length:g} mm); "
            "measure from the entry face."
        )
    if len(found.stations) < 2:
        raise ReadingsError(
            f"{name}: one station only; measure at two depths at least, near either face."
        )
    middle = float(np.median(found.value))
    odd = np.flatnonzero(np.abs(found.value - middle) > 0.25 * middle)
    if len(odd):
        i = int(odd[0])
        raise ReadingsError(
            f"{name}: row {found.row[i]:.0f} reads {found.value[i]:.2f} mm where the others "
            f"read about {middle:.2f} mm; "
            "check that row and its unit."
        )
    return [*found.notes, *_gaps(found), *_ends(found, length)]


def _gaps(found: Readings) -> list[Remark]:
    said = []
    for members in found.stations:
        angle = np.sort(np.mod(found.clock[members], found.period))
        gap = float(np.diff(angle, append=angle[0] + found.period).max())
        if gap > 2.0 * math.radians(default("limit.reach_clock")) + 1e-9:
            depth = float(found.depth[members[0]])
            said.append(Remark("clock not covered", depth=depth, degrees=math.degrees(gap)))
    return said


def _ends(found: Readings, length: float) -> list[Remark]:
    entry, far = float(found.depth.min()), length - float(found.depth.max())
    if max(entry, far) <= default("limit.reach_depth") * length:
        return []
    return [Remark("ends not read", entry=entry, far=far)]


def at_20(
    found: Readings, *, gauge: float, work: float, ratio: float, unsure: float = 0.0
) -> tuple[Readings, Remark | None]:
    """The readings at 20 C with their errors widened by what is not known, and a remark when the
    part is warm.

    gauge, work: linear expansion [1/K]; ratio: outside over bore diameter. D20 = D (1 + a_g (T_g -
    20)) / (1 + a_w (T_m - 20)), ISO 1. unsure: error of the mean temperature [C] beside what the
    bore and outside leave open. A missing outside temperature leaves the mean anywhere between bore
    and 20 C.
    """
    if np.isnan(found.bore_c).all():
        return found, None
    bore = np.where(np.isnan(found.bore_c), np.nanmedian(found.bore_c), found.bore_c)
    gauge_c = np.where(np.isnan(found.gauge_c), REFERENCE, found.gauge_c)
    known = ~np.isnan(found.outside_c)
    outside = np.where(known, found.outside_c, 0.5 * (bore + REFERENCE))
    mean = mean_wall_temperature(bore, outside, ratio)
    half = np.where(known, 0.1 * np.abs(bore - outside), 0.5 * np.abs(bore - REFERENCE)) + unsure
    grown = to_20(gauge, gauge_c, work, mean)
    widened = found.value * work * half
    warm = None
    if is_warm(bore, found.outside_c):
        warm = Remark(
            "part warm",
            part=(float(bore.min()), float(bore.max())),
            reference=REFERENCE,
            error=float(widened.max()),
            kind=found.kind,
        )
    error = frozen(np.hypot(found.error, widened))
    return replace(found, value=frozen(found.value * grown), error=error), warm
