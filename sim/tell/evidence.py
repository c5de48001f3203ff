"""What the evidence says: what has none first, then what does not hold, then every check."""

from __future__ import annotations

from typing import Any

from sim.evidence.nothing import UNMEASURED
from sim.evidence.row import Compared, Values
from sim.evidence.table import Evidence


def in_one_line(held: Evidence) -> str:
    """How many hold and what nobody has measured.

    >>> in_one_line(Evidence(()))[:35]
    'Of 0 checks against 0 named sources'
    """
    nobody = "; ".join(one.what for one in UNMEASURED)
    return (
        f"Of {len(held.rows)} checks against {len(held.sources)} named sources "
        f"{len(held.holding)} hold and {len(held.missing)} do not; nobody has measured: {nobody}."
    )


def figure(value: float | str) -> str:
    """A value in up to six figures.

    >>> figure(1234567.0), figure(0.0363429), figure("PA")
    ('1.23457e+06', '0.0363429', 'PA')
    """
    return value if isinstance(value, str) else f"{value:.6g}"


def told(one: Compared) -> str:
    """A row in one line: published, ours, off, and whether it holds."""
    row, k = one.row, one.worst
    unit = f" {row.unit}" if row.unit not in ("", "1") else ""
    several = f"; worst of {len(row.published)}" if len(row.published) > 1 else ""
    fit = "; the law was fitted to it" if row.fitted else ""
    off = "alike" if isinstance(one.ours[k], str) else f"off by {one.differences[k]:+.2g}"
    allowed = f"may be {one.allowed[k]:.2g}, {row.why}" if one.allowed[k] else row.why
    return (
        f"{row.quantity}: published {figure(row.published[k])}{unit}, ours "
        f"{figure(one.ours[k])}, {off} ({allowed}{several}{fit}). {row.source.name}, "
        f"{row.source.kind}."
    )


def evidence_note(held: Evidence) -> str:
    """The whole of it to read."""
    out = [in_one_line(held), "", "Nobody has measured"]
    out += [f"  {one.what} ({one.law}); it takes {one.closed_by}" for one in UNMEASURED]
    out += ["", "Only mathematics stands behind", f"  {', '.join(held.only_mathematics)}"]
    out += ["", "Does not hold"]
    out += [f"  {one.row.law}: {told(one)} {_why(one)}" for one in held.missing]
    for law in held.laws:
        rows = held.of(law)
        count = sum(one.holds for one in rows)
        out += ["", f"{law}: {count} of {len(rows)} hold"]
        out += [f"  {'holds' if one.holds else 'NOT  '}  {told(one)}" for one in rows]
    out += ["", "Sources"]
    found = {one.row.source.name: one.row.source for one in held.rows}
    out += [f"  {name}: {s.kind}; {s.where}" for name, s in sorted(found.items())]
    return "\n".join(out) + "\n"


def _why(one: Compared) -> str:
    return f"Known: {one.row.known_miss}." if one.row.known_miss else "Not known before."


def evidence_as_json(held: Evidence) -> dict[str, Any]:
    """The same as plain values."""

    def plain(values: Values) -> list[float | str]:
        return [one if isinstance(one, str) else float(one) for one in values]

    return {
        "checks": len(held.rows),
        "hold": len(held.holding),
        "sources": list(held.sources),
        "nobody_measured": [
            {"what": one.what, "law": one.law, "closed_by": one.closed_by} for one in UNMEASURED
        ],
        "only_mathematics": list(held.only_mathematics),
        "rows": [
            {
                "law": one.row.law,
                "quantity": one.row.quantity,
                "source": one.row.source.name,
                "kind": one.row.source.kind,
                "where": one.row.source.where,
                "unit": one.row.unit,
                "published": plain(one.row.published),
                "ours": plain(one.ours),
                "off": list(one.differences),
                "may_be_off": list(one.allowed),
                "why": one.row.why,
                "fitted": one.row.fitted,
                "holds": one.holds,
                "known_miss": one.row.known_miss,
            }
            for one in held.rows
        ],
    }
