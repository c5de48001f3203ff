"""What stands over every tab: the name of the job and its verdict, or that it is still being checked."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from sim.pictures.colours import VERDICT_COLOURS
from sim.plan.odds.verdict import Decision
from sim.reference.sizes_in_words import Say
from sim.shop.result import Result
from sim.shop.several_bores import OnBar
from sim.tell.note import bore_lines
from sim.tell.remarks import lines
from sim.tell.verdict import (
    SIGNS,
    least_text,
    short_lines,
    spot_lines,
    verdict_lines,
)

STYLE = """<style>
.verdict { border-left: 0.6rem solid var(--own); padding: 0.1rem 0 0.1rem 0.8rem;
  min-height: 6.5rem; }
.verdict p { margin: 0.15rem 0; }
.verdict .word { display: inline-block; background: var(--own); color: var(--on); font-size: 1.35rem;
  font-weight: 700; padding: 0.15rem 0.7rem; border-radius: 0.3rem; }
.verdict.old, .stApp:has([data-testid="InputInstructions"]:not(:empty)) .verdict {
  --own: #8a8f94 !important; --on: #ffffff !important; opacity: 0.55; }
</style>"""

CHECKING = "… CHECKING"
OLD = "Of the job before the input that does not hold:"


def title(result: Result) -> None:
    """Name and note of the job."""
    job = result.scene.job
    st.subheader(job.name or "Unnamed job")
    if job.note:
        st.caption(job.note)


def panel(slot: DeltaGenerator, result: Result, decided: Decision | None, *, old: bool) -> None:
    """The verdict in its colour with its sign, or that it is being checked; old: greyed, an input
    since then does not hold.
    """
    if decided is None:
        least = least_text(result.stock.spot.value, Say(result.scene.job.units))
        lines = [CHECKING, f"Least stock per side {least} planned; the verdict comes by itself."]
    else:
        first, *more = short_lines(result, decided)
        lines = [f"{SIGNS[decided.verdict]} {first.removesuffix('.')}", *more]
    own, on = VERDICT_COLOURS.get(decided.verdict if decided else "", ("#565c63", "#ffffff"))
    word, *rest = [escape(line) for line in lines]
    before = [f"<p>{OLD}</p>"] if old else []
    slot.html(
        f'<div class="verdict{" old" if old else ""}" role="status" '
        f'style="--own: {own}; --on: {on}">{"".join(before)}<span class="word">{word}</span>'
        f"{''.join(f'<p>{line}</p>' for line in rest)}</div>"
    )


def details(found: Sequence[OnBar], result: Result, decided: Decision | None) -> None:
    """Why, low spots, every bore of a bar, and what to look at, folded away."""
    units = result.scene.job.units
    why = []
    if decided is not None:
        short = short_lines(result, decided)
        why = [f"- {line}" for line in verdict_lines(result, decided) if line not in short]
    spots = spot_lines(result.low_spots or result.thin_spots, Say(units))
    bores = bore_lines(found, decided)
    looks = [f"- {line}" for line in lines(result.warnings, Say(units))]
    more = (", low spots" if spots else "") + (", every bore" if bores else "")
    with st.expander(f"Why{more}, what to look at ({len(looks)})"):
        st.markdown("\n".join([*why, *spots, *looks]))
        if bores:
            st.text("\n".join(bores))
