"""The job screen: the job in shop order, the bore with its section and map, the verdict; pitch, picture and
verdict move together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from sim.job.change import digest
from sim.job.scene import Scene
from sim.plan.odds.shown import HowOften, bad_draw, how_often, turned_out
from sim.plan.odds.verdict import Decision, decide, worst_bore
from sim.reference.cautions import CAUTION
from sim.reference.errors import SceneError
from sim.screens import memory
from sim.screens.job import answer, linked, make_sure, pitch, round, steps, takes
from sim.screens.job.checking import begun, waited
from sim.screens.job.checking import found as known
from sim.shop.quick_look import quick_look
from sim.shop.result import Result
from sim.shop.several_bores import OnBar, bores

STYLE = (Path(__file__).parent / "browser" / "screen.css").read_text(encoding="utf-8")

FIRST = CAUTION.split(". ")[0] + "."


@st.fragment  # type: ignore[untyped-decorator]
def show() -> None:
    """The whole screen below the top line. Reruns alone while the hand moves; when the job is another
    one, the whole page does.
    """
    scene = memory.job()
    if st.session_state.get("page shows") is not scene:
        st.rerun()
    found, why_not = memory.last_good(scene)
    if found is None:
        st.error(why_not)
        return
    held = memory.last_held()
    decided = memory.decided_before(held) or known(("verdict", digest(held)))
    number = _number(found, decided)
    with st.container(key="bench", gap=None):
        left, middle, verdict, rest = (
            st.container(key=k) for k in ("left", "middle", "verdict", "rest")
        )
    with verdict:
        if why_not:
            st.error(why_not)
        slot = st.empty()
    _Screen(held, found, number, decided, slot, bool(why_not or memory.faults())).draw(
        left, middle, rest
    )


def _number(found: Sequence[OnBar], decided: Decision | None) -> int:
    """Number of the bore shown: the one that cleans up least often, as far as it is known."""
    worst = worst_bore(found, decided)
    return next(k for k, one in enumerate(found) if one is worst)


class _Screen:
    """One pass over the screen: what it shows, and the slot of the verdict."""

    def __init__(
        self,
        scene: Scene,
        found: Sequence[OnBar],
        number: int,
        decided: Decision | None,
        slot: DeltaGenerator,
        old: bool,
    ) -> None:
        self.scene, self.found, self.number = scene, found, number
        self.decided, self.slot, self.old = decided, slot, old
        self.result = found[number].result
        self.quick = _under_the_hand(scene, self.result, number)
        self.seen = self.quick or self.result

    def draw(self, left: DeltaGenerator, middle: DeltaGenerator, rest: DeltaGenerator) -> None:
        """Everything, what answers the hand first, what takes long last."""
        held = self.quick is not None
        if not held and self.decided is None:
            begun(*self._deciding())
        self.card(None if held else self.decided)
        with middle:
            above, below = st.container(key="above"), st.container(key="below")
        if held:
            self._linked(below, self.seen, None)
        with left:
            steps.show(memory.job(), self.result)
        shown, often = self._chosen() if not held else (self.seen, None)
        if not held:
            self._linked(below, shown, often)
        with above:
            round.show(shown, often, self.tick, held=held)
        with rest:
            self._rest(held)

    def _linked(self, below: DeltaGenerator, shown: Result, often: HowOften | None) -> None:
        with below:
            linked.show(shown, often)

    def card(self, decided: Decision | None) -> None:
        answer.card(self.slot, self.seen, decided, old=self.old)

    def tick(self) -> None:
        """Say again how it stands, so that the page can leave when something else is wanted."""
        if self.decided is None and self.quick is None:
            self.decided = known(("verdict", digest(self.scene)))
        self.card(self.decided)

    def _deciding(self) -> tuple[tuple[str, str], Callable[[], Decision]]:
        scene, results = self.scene, [one.result for one in self.found]
        return ("verdict", digest(scene)), lambda: decide(scene, results)

    def _rest(self, held: bool) -> None:
        """Make it sure, what it takes, what it rests on; the verdict is waited for in between."""
        sure, amounts, below = st.container(key="make it sure"), st.empty(), st.container()
        bar = [
            replace(one, result=self.seen) if k == self.number else one
            for k, one in enumerate(self.found)
        ]
        amounts.html(answer.takes(bar, takes.NOT_YET))
        with below:
            self._foot(None if held else self.decided)
        with sure:
            if held or self.decided is None:
                make_sure.waiting()
        if held:
            return
        if self.decided is None:
            self.decided = waited(*self._deciding(), self.tick)
            self.card(self.decided)
            st.rerun()
        amounts.html(answer.takes(bar, takes.hours_and_money(self.scene, self.found, self.tick)))
        with sure:
            make_sure.show(self.scene, self.decided, self.tick)

    def _foot(self, decided: Decision | None) -> None:
        """What it rests on, where the least is, why, and the cautions."""
        st.html(answer.rests_on(self.found))
        with st.container(horizontal=True, gap="small", key="foot"):
            spot = self.result.stock.spot
            st.button(
                "Show me", key="show least", on_click=linked.put, args=(spot.clock, spot.depth)
            )
            answer.why(self.found, self.result, decided)
            with st.popover("Safety", key="safety"):
                st.write(CAUTION)
        st.html(f'<p class="caution">{FIRST}</p>')

    def _chosen(self) -> tuple[Result, HowOften | None]:
        """What the pictures show: the bore as planned, in the bad run, or how often it stays black."""
        wanted = round.kind()
        if wanted == round.PLANNED:
            return self.result, None
        scene, number, result = self.scene, self.number, self.result
        if wanted == round.OFTEN_BLACK:
            key = ("often", digest(scene), number)
            return result, waited(key, lambda: how_often(scene, number), self.tick)
        if self.decided is None:
            self.decided = waited(*self._deciding(), self.tick)
        index = bad_draw(self.decided)
        if index is None:
            return result, None
        key = ("bad run", digest(scene), number)
        shown: Result = waited(key, lambda: turned_out(scene, number, result, index), self.tick)
        return replace(shown, scene=memory.in_units(shown.scene)), None


def _under_the_hand(scene: Scene, result: Result, number: int) -> Result | None:
    """The bore at the pitch the hand holds; None where it holds none, or it cannot be laid."""
    live, handle = pitch.moving(scene), pitch.handle_of(scene, result)
    if live is None or handle is None:
        return None
    try:
        moved = pitch.pitched(scene, handle, float(live["pitch"]), memory.units())
        found = quick_look(bores(moved)[number][2])
    except SceneError:
        return None
    return replace(found, scene=memory.in_units(found.scene))
