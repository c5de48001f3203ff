"""What was filled in: a CSV whose heads carry the units, row by row."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.job.readings_csv import ReadingsError, body_of, rows_of
from sim.reference.arrays import Array
from sim.reference.units import KINDS, Unit


@dataclass(frozen=True)
class Column:
    """A column: kind of its unit ('' for words), least and most in mm, mm/s, rad; may it be blank;
    carried: a setting, where blank as in the row above.
    """

    kind: str
    low: float = 0.0
    high: float = math.inf
    blank: bool = False
    words: tuple[str, ...] = ()
    carried: bool = False


Columns = Mapping[str, Column]


@dataclass(frozen=True)
class Filled:
    """What was filled in: numbers by column (rows,), nan where blank; words by column; row numbers
    of the file.
    """

    name: str
    numbers: Mapping[str, Array]
    words: Mapping[str, tuple[str, ...]]
    rows: tuple[int, ...]

    def one(self, column: str) -> float:
        """A setting that every row shares. Raises ReadingsError where they differ."""
        values = self.numbers[column]
        differing = np.flatnonzero(np.abs(values - values[0]) > 1e-9 * abs(values[0]))
        if len(differing):
            raise ReadingsError(
                f"{self.name}: row {self.rows[differing[0]]}: {column} differs from the row above "
                "it; one test piece is welded at one setting, write another file for the other."
            )
        return float(values[0])


def filled(data: bytes, columns: Columns, *, name: str) -> Filled:
    """A test piece from its CSV. Raises ReadingsError with one sentence."""
    _, rows = rows_of(data, name, remark="#")
    heads = [_head(cell.strip(), columns, name) for cell in rows[0][1]]
    _all_there([column for column, _ in heads], columns, name)
    body = body_of([rows[0], *(row for row in rows[1:] if any(map(str.strip, row[1])))], name)
    numbers = {c: np.full(len(body), np.nan) for c, held in columns.items() if held.kind}
    words = {c: [""] * len(body) for c, held in columns.items() if not held.kind}
    for k, (n, cells) in enumerate(body):
        for cell, (column, unit) in zip(cells, heads, strict=True):
            held, where = columns[column], f"{name}: row {n}: {column}"
            if unit is None:
                words[column][k] = _word(cell.strip().lower(), held, where)
            else:
                above = numbers[column][k - 1] if k and held.carried else math.nan
                numbers[column][k] = _number(cell.strip(), held, unit, where, above)
    told = {column: tuple(values) for column, values in words.items()}
    return Filled(name, numbers, told, tuple(n for n, _ in body))


def blank(columns: Columns, units: str, rows: Sequence[Mapping[str, str]]) -> str:
    """An empty CSV to fill in: heads with units, and rows with what is known already."""
    heads = [_named(column, _suffix(held, units)) for column, held in columns.items()]
    lines = [",".join(one.get(column, "") for column in columns) for one in rows]
    return "\n".join([",".join(heads), *lines]) + "\n"


def _named(column: str, suffix: str) -> str:
    """A column's head: its name and unit, the unit alone where that is its name."""
    return column if suffix == f"_{column}" else column + suffix


def _suffix(held: Column, units: str) -> str:
    if not held.kind:
        return ""
    known = KINDS[held.kind]
    return next(
        (u.suffix for u in known if ("_in" in u.suffix) == (units == "in")), known[0].suffix
    )


def _head(cell: str, columns: Columns, name: str) -> tuple[str, Unit | None]:
    for column, held in columns.items():
        for unit in KINDS[held.kind] if held.kind else ():
            if cell.lower() == _named(column, unit.suffix):
                return column, unit
        if not held.kind and cell.lower() == column:
            return column, None
    wanted = ", ".join(_named(column, _suffix(held, "mm")) for column, held in columns.items())
    raise ReadingsError(f"{name}: column {cell!r}: not one of this test piece; it has {wanted}.")


def _all_there(there: Sequence[str], columns: Columns, name: str) -> None:
    for column, held in columns.items():
        if there.count(column) > 1:
            raise ReadingsError(f"{name}: column {column} is there twice; keep one of them.")
        if column not in there and not held.blank:
            raise ReadingsError(
                f"{name}: no column {_named(column, _suffix(held, 'mm'))}; start from the blank CSV of "
                "this test piece."
            )


def _word(cell: str, held: Column, where: str) -> str:
    if held.words and cell not in held.words and not (held.blank and not cell):
        raise ReadingsError(f"{where} = {cell!r}: must be {' or '.join(held.words)}.")
    return cell


def _number(cell: str, held: Column, unit: Unit, where: str, above: float) -> float:
    if not cell:
        if held.blank or not math.isnan(above):
            return above
        raise ReadingsError(f"{where} is blank; write it in, or take the row out.")
    try:
        hours, colon, minutes = cell.partition(":") if held.kind == "clock" else (cell, "", "")
        number = float(hours.replace(",", ".")) + (int(minutes) / 60.0 if colon else 0.0)
    except ValueError:
        raise ReadingsError(f"{where} = {cell!r}: not a number; write it like 1.8.") from None
    value = unit.inside(number)
    if not (math.isfinite(value) and held.low <= value <= held.high):
        raise ReadingsError(f"{where} = {cell} {unit.label}: {_rule(value, number, held, unit)}")
    return value


def _rule(value: float, number: float, held: Column, unit: Unit) -> str:
    """The range, and the other unit where the number fits there."""
    low, high = (f"{unit.outside(one):.3g}" for one in (held.low, held.high))
    for other in KINDS[held.kind]:
        if other.suffix != unit.suffix and held.low <= other.inside(number) <= held.high:
            return (
                f"must be from {low} to {high}; it looks like {other.label}, then name the column "
                f"..{other.suffix}."
            )
    return f"must be from {low} to {high} {unit.label}; measure it again."
