"""The verdict on the job screen: word, of 100, the three figures, where; and what it rests on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from sim.pictures.colours import VERDICT_COLOURS
from sim.plan.odds.verdict import Decision, taken_for_granted
from sim.reference.sizes_in_words import Say
from sim.screens.heading import CHECKING, OLD
from sim.set_up.layers import arc_time, wire_used
from sim.shop.judge import CLEANS_UP
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.note import bore_lines
from sim.tell.remarks import lines as remark_lines
from sim.tell.verdict import (
    RESTS,
    SIGNS,
    SIZE_ONLY,
    of_100,
    open_lines,
    place_line,
    spot_lines,
    verdict_lines,
)


def card(slot: DeltaGenerator, result: Result, decided: Decision | None, *, old: bool) -> None:
    """The verdict in its colour with its sign; None: being checked, with the figures as planned."""
    own, on = VERDICT_COLOURS.get(decided.verdict if decided else "", ("#565c63", "#ffffff"))
    slot.html(
        f'<div class="verdict{" old" if old else ""}" role="status" style="--own: {own}; --on: {on}">'
        + (f"<p>{OLD}</p>" if old else "")
        + _word(decided)
        + _figures(result, decided)
        + "".join(f"<p>{escape(line)}</p>" for line in _lines(result, decided))
        + "</div>"
    )


def _word(decided: Decision | None) -> str:
    if decided is None:
        return f'<p><span class="word">{CHECKING}</span></p><p class="of"><b>…</b> of 100</p>'
    n = decided.clean_up_of_100
    word = escape(f"{SIGNS[decided.verdict]} {decided.verdict.upper()}")
    of = f"<b>{of_100(n.value)}</b> of 100, you asked {n.asked:g}"
    return f'<p><span class="word">{word}</span></p><p class="of">{of}</p>'


def _figures(result: Result, decided: Decision | None) -> str:
    """Least stock per side: planned, typical, bad."""
    say = Say(result.scene.job.units)
    least = None if decided is None else decided.least_stock
    planned = result.stock.spot.value if least is None else least.planned
    told = [
        (planned, "planned"),
        (least.typical if least else None, "typical run"),
        (least.bad if least else None, "bad run, 1 in 20"),
    ]
    cells = "".join(f"<div><b>{_bare(value, say)}</b>{name}</div>" for value, name in told)
    unit = "inches" if say.units == "in" else "mm"
    return f'<div class="three">{cells}</div><p class="small">least stock per side, {unit}</p>'


def _bare(value: float | None, say: Say) -> str:
    if value is None:
        return "…"
    return "closed" if math.isnan(value) else say.size(value).split()[0].replace("-", "−")


def _lines(result: Result, decided: Decision | None) -> list[str]:
    """Where, and what stands open or a yes does not cover."""
    if decided is None:
        return []
    out = [place_line(result, decided)]
    out += open_lines(decided.open, Say(result.scene.job.units))
    return [*out, SIZE_ONLY] if decided.verdict == CLEANS_UP else out


def why(found: Sequence[OnBar], result: Result, decided: Decision | None) -> None:
    """Why, low spots, every bore of a bar and what to look at, behind one button."""
    units, looks = result.scene.job.units, result.warnings
    with st.popover(f"Why ({len(looks)} to look at)", key="why", on_change="rerun") as rest:
        if not rest.open:
            return
        if decided is None:
            st.write("Being checked.")
            return
        short = _lines(result, decided)
        lines = [f"- {one}" for one in verdict_lines(result, decided) if one not in short]
        lines += spot_lines(result.low_spots or result.thin_spots, Say(units))
        lines += [f"- {line}" for line in remark_lines(looks, Say(units))]
        st.markdown("\n".join(lines))
        bores = bore_lines(found, decided)
        if bores:
            st.text("\n".join(bores))


def rests_on(found: Sequence[OnBar]) -> str:
    """What the figures rest on, a mark and a word each."""
    results = [one.result for one in found]
    marks = ["✓ bead measured" if results[0].scene.bead is not None else "○ bead not measured"]
    marks += ["✓ tie-in measured"] if all(one.tie_in.measured for one in results) else []
    marks += [f"○ {RESTS[one]}" for one in taken_for_granted(results)]
    items = "".join(f"<li>{escape(words)}</li>" for words in marks)
    return f'<div class="rests"><h3>What it rests on</h3><ul>{items}</ul></div>'


def takes(found: Sequence[OnBar], more: Sequence[tuple[str, str]] = ()) -> str:
    """Wire and arc time of the job as it is, and what else is known by now."""
    say = Say(found[0].result.scene.job.units)
    each = [(one.result.scene, s) for one in found for s in one.result.settings]
    grams = sum(wire_used(scene, s) * scene.wire.density for scene, s in each)
    rows = [
        ("Wire", say.mass(grams)),
        ("Arc on", f"{sum(arc_time(s) for _, s in each) / 60:.0f} min"),
    ]
    cells = "".join(f"<div>{escape(n)} <b>{escape(v)}</b></div>" for n, v in [*rows, *more])
    return f'<div class="takes">{cells}</div>'
