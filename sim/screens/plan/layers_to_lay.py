"""Layers to lay: the plan that cleans up as surely as asked at the least metal, time or cost, with
what was beside it.
"""

from __future__ import annotations

import json

import streamlit as st

from sim.job.change import digest
from sim.job.key import keys_of
from sim.job.saved import text_that_reads_back
from sim.job.sections.plan import PlanLimits
from sim.plan.odds.verdict import worst_bore
from sim.plan.recommend import recommend
from sim.plan.search.kinds import AIMS
from sim.plan.search.offers import Offer, Plan
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.reference.sizes_in_words import Say
from sim.screens import fields, memory
from sim.screens.clean_up.side_by_side import pair
from sim.shop.judge import CLEANS_UP
from sim.shop.result import Result
from sim.tell.plan import layers_shown, none_lines, offers_shown, plan_json, winner_lines
from sim.tell.remarks import lines, told


def show(result: Result) -> None:
    """Ask for a plan, show it layer by layer, other plans considered, and take it into the job."""
    left, right = st.columns([3, 2])
    with left:
        by = st.radio("What is to be least", AIMS, horizontal=True, key="plan by")
    with right:
        fields.chosen("confidence", ("asked",))
    with st.expander(
        "Limits the plan keeps: bead overlap, the qualified procedure, the machine, prices"
    ):
        st.caption(
            "A range left empty is no limit of its own; then travel and wire feed stay at or "
            "near those of the measured bead."
        )
        fields.chosen("plan", tuple(f.name for f in keys_of(PlanLimits)))
        fields.chosen("head", ("contact_tip", "smallest_bore", "reach"))
    stamp = (digest(memory.job()), by)
    if st.button("Find the plan", key="find plan", type="primary"):
        _found(by, stamp)
    plan = memory.kept(
        "plan",
        stamp,
        "What follows was planned for the job as it was, or for another aim; find the plan "
        "again for this one.",
    )
    if plan is not None:
        _told(plan)


def _found(by: str, stamp: tuple[str, str]) -> None:
    def tell(what: Remark) -> None:
        st.write(told(what, Say(memory.units())))

    with st.status("looking for the plan ...", expanded=True) as status:
        if memory.worked_out("plan", stamp, lambda: recommend(memory.job(), by, tell=tell)):
            status.update(label="done", state="complete", expanded=False)
        else:
            status.update(label="no plan", state="error", expanded=False)


def _told(plan: Plan) -> None:
    units = memory.units()
    if plan.winner is None:
        for line in none_lines(plan, units):
            st.warning(line)
        if plan.nearest is not None:
            _take("Apply the nearest plan, with its limit broken", plan.nearest, "nearest")
        return
    winner = plan.winner
    first, *more = winner_lines(plan, units)
    (
        st.success
        if winner.decided is not None and winner.decided.verdict == CLEANS_UP
        else st.warning
    )(first)
    for line in more:
        st.write(line)
    st.dataframe(layers_shown(winner, units), width="stretch", hide_index=True)
    for flag in lines(winner.flags, Say(units)):
        st.markdown(f"▸ {flag}")
    a, b, c = st.columns(3)
    with a:
        _take("Apply this plan", winner, "winner")
    b.download_button(
        "The plan (JSON, mm)",
        json.dumps(plan_json(plan), indent=1),
        "plan.json",
        "application/json",
        on_click="ignore",
        key="take plan",
    )
    c.download_button(
        "The planned scene (TOML)",
        text_that_reads_back(winner.scene, whole=True),
        "planned.toml",
        "application/toml",
        on_click="ignore",
        key="take planned",
    )
    _beside(plan, winner)


def _beside(plan: Plan, winner: Offer) -> None:
    """The plans that lost, and the rule of thumb, each with why; one of them drawn beside the
    winner.
    """
    others = {f"runner-up {k}": one for k, one in enumerate(plan.runners_up, 1)}
    if plan.rule_of_thumb is not None:
        others["rule of thumb"] = plan.rule_of_thumb
    if not others:
        return
    st.subheader("Other plans considered")
    st.dataframe(
        offers_shown({"the plan": winner} | others, memory.units()),
        width="stretch",
        hide_index=True,
    )
    name = st.selectbox("Draw beside the plan", list(others), key="beside plan")
    other = others[name]
    try:
        results = [worst_bore(memory.on_bar(one.scene)).result for one in (winner, other)]
        decided = (memory.decided(winner.scene), memory.decided(other.scene))
    except SceneError as fault:
        st.error(str(fault))
        return
    pair(
        (results[0], results[1]), decided, ("The plan", f"{name[:1].upper()}{name[1:]}"), key="plan"
    )
    _take(f"Apply the {name} instead", other, "other")


def _take(label: str, offer: Offer, key: str) -> None:
    st.button(label, key=f"take {key}", on_click=memory.put, args=(offer.scene,))
