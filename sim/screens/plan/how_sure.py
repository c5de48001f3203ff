"""How sure: the job drawn again and again with everything straying as it may; how often it cleans
up, and what matters.
"""

from __future__ import annotations

import json

import streamlit as st

from sim.job.change import digest
from sim.job.key import keys_of
from sim.job.scene import Scene
from sim.job.sections.plan import Spread
from sim.machine.quantities.takes import COLUMNS, DRAWS
from sim.pictures.charts.cases import chance_map, minima_figure, shares_figure
from sim.plan.odds.chance import Chance, chance
from sim.reference.errors import SceneError
from sim.screens import fields, memory
from sim.screens.clean_up.maps_and_sections import picture
from sim.shop.result import Result
from sim.shop.several_bores import bores, worst_bore
from sim.tell.chance import chance_json, chance_lines


def show(result: Result) -> None:
    """Draw until the interval is narrow enough for the verdict; show the chance, where it falls
    short, and why.
    """
    st.write(
        "Wire feed, beads, tie-in, gravity, axes and readings are never quite what was set. "
        "Each draw lays the whole job with all of them "
        "straying at once, and looks whether the last cut finds metal everywhere."
    )
    with st.expander("How sure the shop wants to be, and how far things stray"):
        st.caption(
            "One standard deviation each unless it says otherwise; every default says how it "
            "is known."
        )
        fields.chosen("confidence", ("asked", "seed", "draws_most"))
        fields.chosen("spread", tuple(f.name for f in keys_of(Spread)))
    drawn = _bore(memory.job())
    stamp = digest(drawn)
    if memory.job().bore_on_bar:
        st.caption(
            "Drawn for the bore with the least stock alone; all bores of the bar together "
            "clean up less often."
        )
    if st.button("Draw", key="draw chance", type="primary"):
        _drawn(stamp, drawn)
    found = memory.kept(
        "chance",
        stamp,
        "What follows is of the job as it was before the last change; draw again for this one.",
    )
    if found is not None:
        _told(found)


@st.cache_resource(max_entries=24, show_spinner=False, hash_funcs={Scene: digest})  # type: ignore[untyped-decorator]
def _quick(scene: Scene) -> Chance | None:
    """A few draws on a coarse clock; None where they cannot be made."""
    try:
        return chance(scene, DRAWS, columns=COLUMNS)  # those the job sheet speaks of
    except SceneError:
        return None


def _bore(scene: Scene) -> Scene:
    """The bore that is drawn: of several on a bar the one with the least stock. Raises SceneError."""
    if not scene.bore_on_bar:
        return scene
    worst = worst_bore(memory.on_bar(scene)).name
    return next(one for name, _, one in bores(scene) if name == worst)


def _known(scene: Scene) -> tuple[Chance | None, bool]:
    """How sure the verdict is, and whether the user had it drawn (else by a few quick draws)."""
    try:
        scene = _bore(scene)
    except SceneError:
        return None, False
    kept = st.session_state.get("chance")
    drawn = kept is not None and kept[0] == digest(scene)
    return (kept[1] if drawn else _quick(scene)), drawn


def enough(scene: Scene) -> bool:
    """Tell whether it cleans up as often as asked."""
    found, _ = _known(scene)
    return found is not None and found.probability >= found.asked


def in_short(scene: Scene) -> str:
    """How sure the verdict is, in a sentence or two for beside it."""
    found, drawn = _known(scene)
    if found is None:
        return ""
    i, asked = found.interval, f"asked {100 * found.asked:g}"
    said = (
        f"cleans up in {100 * found.probability:.0f} of 100 draws (exact interval "
        f"{100 * i.low:.0f} to {100 * i.high:.0f}; {asked})"
    )
    short = "" if found.probability >= found.asked else " **That is less than asked.**"
    more = "" if drawn else " Few draws on a coarse clock: more under *Plan it*, *How sure*."
    if scene.bore_on_bar:
        more = " Of the bore with the least stock; all together clean up less often." + more
    return f"With beads, tie-in, readings and axes straying as they may it {said}.{short}{more}"


def _drawn(stamp: str, scene: Scene) -> None:
    bar = st.progress(0.0, "drawing ...")

    def tell(done: int, most: int, left: float) -> None:
        bar.progress(
            done / most,
            f"{done} draws, at most {most}; about {left:.0f} s at most; it stops when the "
            "verdict is plain",
        )

    memory.worked_out("chance", stamp, lambda: chance(scene, shares=True, progress=tell))
    st.rerun()  # the line beside the verdict speaks of it


def _told(found: Chance) -> None:
    box = (
        st.success
        if found.probability >= found.asked and found.scene.bead is not None
        else st.warning
    )
    first, *more = chance_lines(found, memory.units())
    box(first)
    for line in more:
        st.write(line)
    left, right = st.columns(2)
    with left:
        st.subheader("Least stock of the draws")
        picture(minima_figure(found, memory.units()), "least stock of the draws")
    with right:
        st.subheader("How often each place is low")
        picture(chance_map(found, memory.units()), "chance of a low spot")
    st.subheader("Which spread matters most")
    picture(shares_figure(found, memory.units()), "shares of the variance")
    st.download_button(
        "How sure (JSON, mm)",
        json.dumps(chance_json(found), indent=1),
        "how_sure.json",
        "application/json",
        on_click="ignore",
        key="take chance",
    )
