"""What would fix it, in words."""

from __future__ import annotations

from sim.plan.remedies.advice import Advice, Remedy
from sim.reference.sizes_in_words import Say
from sim.tell.remarks import told
from sim.tell.verdict import least_words, of_100


def advice_lines(advice: Advice, say: Say) -> list[str]:
    """What settles what stands open, what decides first; then what would fix it, cheapest first; or
    why nothing does.
    """
    return [*settle_lines(advice, say), *remedy_lines(advice, say), *binds_lines(advice, say)]


def settle_lines(advice: Advice, say: Say) -> list[str]:
    """What to measure or look at."""
    return [
        f"- {told(one.what, say)}"
        + (": it settles the matter, up or down." if one.decides else ".")
        for one in advice.settle
    ]


def remedy_lines(advice: Advice, say: Say) -> list[str]:
    """Each remedy with the verdict, stock, wire and time it gives."""
    return [f"- {_remedy_line(one, say)}" for one in advice.remedies]


def binds_lines(advice: Advice, say: Say) -> list[str]:
    """Why there is no remedy; nothing where there is one."""
    return [] if advice.binds is None else [f"- {told(advice.binds, say)}."]


def _remedy_line(one: Remedy, say: Say) -> str:
    more = "more" if one.extra_wire >= 0 else "less"
    wire = (
        f"{say.mass(abs(one.extra_wire) * one.on_bar[0].result.scene.wire.density)} {more} wire, "
        f"{abs(one.extra_time) / 60:.0f} min {more} arc"
    )
    base = " (the cut then runs into base metal in places)" if one.into_base else ""
    still = f", but for what stands open: {', '.join(o.what for o in one.open)}" if one.open else ""
    return (
        f"{told(one.words, say)}{base}: {one.decided.verdict}, "
        f"{of_100(one.decided.clean_up_of_100.value)} of 100{still}; least stock per side "
        f"{least_words(one.decided.least_stock, say)}; {wire if one.extra_wire else 'no more wire'}."
    )
