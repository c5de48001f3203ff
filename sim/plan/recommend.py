"""The layers to lay: the plan that cleans up as surely as asked at the least metal, time or cost.

A plan has a kind (layers, advance, settings, closing turns, start clock shift) and a number of
turns. For each kind the fewest turns are sought with which enough draws clean up; all kinds see the
same draws (common random numbers). The search is coarse and quick; what it finds is laid again on a
finer clock with draws of its own.
"""

from __future__ import annotations

import math
from concurrent.futures import Executor
from dataclasses import replace

import numpy as np

from sim.bore.stock import least_weld_left
from sim.job.checks import final_limits
from sim.job.looked import done
from sim.job.on_bar import names
from sim.job.scene import Scene
from sim.job.sections.bore import AFTER, PreBore
from sim.plan.many_cases import threads
from sim.plan.odds.verdict import Decision, decide
from sim.plan.search.allowed import Allowed, settings_known
from sim.plan.search.kinds import AIMS, COST, METAL, SEARCH_COLUMNS, Search, with_one_layer
from sim.plan.search.offers import (
    Offer,
    Plan,
    distinct,
    no_plan,
    not_beaten,
    offered,
    two_thirds,
    why_not,
)
from sim.plan.search.settle import SURE, confirmed, found, lean_first
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark, Tell
from sim.set_up.bead import bead_at
from sim.set_up.layers import layer_ends
from sim.shop.ready_to_lay import made_ready
from sim.shop.several_bores import bores


def recommend(
    scene: Scene,
    by: str = METAL,
    executor: Executor | None = None,
    *,
    tell: Tell = lambda _: None,
    beside: bool = True,
) -> Plan:
    """The plan that cleans up with at least the asked confidence at the least metal, time or cost.

    beside: also the runners-up and the two-thirds rule. Raises SceneError for a job that cannot be
    planned.
    """
    if executor is None:
        with threads() as own:
            return recommend(scene, by, own, tell=tell, beside=beside)
    refuse(scene, by)
    if _past_reach(scene):
        return _without_reach(scene, by, executor, tell)
    scene = _with_pre_bore(scene)
    if not scene.bore_on_bar:
        return _searched(scene, 0, by, executor, tell, beside=beside)
    return _for_the_bar(scene, by, executor, tell, beside=beside)


def _for_the_bar(scene: Scene, by: str, executor: Executor, tell: Tell, *, beside: bool) -> Plan:
    """One setting for all bores of a bar: searched in the one that cleans up least often; where with
    that another one does, in that one too.
    """
    at, tried = decide(scene, executor=executor).worst_at, list[int]()
    while True:
        name = names(scene)[at]
        tell(Remark("searching in a bore", bore=name))
        tried.append(at)
        plan = replace(_searched(scene, at, by, executor, tell, beside=beside), bore=name)
        sure = plan.winner.decided if plan.winner is not None else None
        if sure is None or sure.verdict in SURE or sure.worst_at in tried:
            return plan
        at = sure.worst_at


def _searched(
    scene: Scene, at: int, by: str, executor: Executor, tell: Tell, *, beside: bool
) -> Plan:
    """The plan searched in one bore and confirmed for all of them."""
    search = Search.of(scene, Allowed.of(scene), by, at)
    best = found(search, executor, tell) or found(replace(search, spare=False), executor, tell)
    if not best:
        return no_plan(search, executor, tell)
    winner, sure, others = confirmed(search, best, executor, tell)
    if scene.plan.read_between and winner.sized.kind.layers > 1:
        winner, sure = lean_first(search, (winner, sure), executor, tell)
    first = _with_decision(offered(search, winner), sure)
    others = distinct(search, winner, others) if beside else []
    offers = [offered(search, one) for one in not_beaten(winner, others)]
    runners = tuple(replace(one, why=why_not(first, one, by)) for one in offers)
    return Plan(
        scene,
        by,
        scene.confidence.asked,
        first,
        runners,
        two_thirds(search, first, executor) if beside else None,
    )


def refuse(scene: Scene, by: str) -> None:
    """Refuse what cannot be planned. Raises SceneError with one sentence."""
    if by not in AIMS:
        raise SceneError(f"plan: by = {by}: must be one of {', '.join(AIMS)}.")
    if by == COST and scene.plan.wire_price is None and scene.plan.hour_price is None:
        raise SceneError(
            "plan: by = cost: needs your own rates; give [plan] wire_price and hour_price."
        )
    if scene.job.stage == AFTER:
        raise SceneError(
            "plan: the finish cut is taken: what is left is a local weld or the next size; "
            "run `simulate --remedies`."
        )


def _past_reach(scene: Scene) -> bool:
    """Tell whether the head cannot reach as deep as the layers go."""
    reach, (_, far) = (
        scene.head.reach,
        layer_ends(scene, scene.layer[-1], bead_at(scene, *settings_known(scene)).width),
    )
    return reach is not None and far > reach + 1e-9


def _without_reach(scene: Scene, by: str, executor: Executor, tell: Tell) -> Plan:
    """No plan, because of the head's reach; the nearest is what a longer head would lay."""
    longer = recommend(
        replace(scene, head=replace(scene.head, reach=None)), by, executor, tell=tell, beside=False
    )
    limit = Remark("reach of the head", reach=scene.head.reach)
    if longer.winner is None:
        return replace(longer, scene=scene, nearest=None, binds=())
    nearest = replace(longer.winner, why=(Remark("breaks only", limit=limit),))
    return Plan(scene, by, scene.confidence.asked, None, (), None, (limit,), nearest)


def _with_pre_bore(scene: Scene) -> Scene:
    """The scene with the smallest pre-bore that leaves weld enough under the finished surface,
    where it is free.

    A larger pre-bore never needs less metal: no point of the wall is nearer the axis for it. One
    that is done is not free.
    """
    if not scene.plan.pre_bore_free or done(scene):
        return scene
    least = final_limits(scene.bore)[1] + 2.0 * scene.plan.weld_left
    size = math.ceil(max(least, scene.bore.final_diameter) * 10.0 - 1e-9) / 10.0
    for _ in range(40):
        trial = replace(scene, pre_bore=PreBore(diameter=size))
        if all(_weld_left(one) >= scene.plan.weld_left - 1e-6 for _, _, one in bores(trial)):
            return trial
        size = round(size + 0.1, 3)
    raise SceneError(
        f"plan: no pre-bore up to {size:g} mm leaves {scene.plan.weld_left:g} mm of weld "
        "everywhere; check [axes]."
    )


def _weld_left(bore: Scene) -> float:
    """Least weld under the finished surface of a bore [mm per side]."""
    job = made_ready(with_one_layer(bore), SEARCH_COLUMNS)
    return least_weld_left(job.start, job.finish, job.axes.torch, job.spans).spot.value


def _with_decision(offer: Offer, sure: Decision) -> Offer:
    n, least = sure.clean_up_of_100, np.nan_to_num(sure.least, nan=-1e3)
    return replace(
        offer,
        decided=sure,
        probability=n.value / 100.0,
        interval=(n.low / 100.0, n.high / 100.0),
        draws=n.draws,
        percentiles=(
            sure.least_stock.bad,
            sure.least_stock.typical,
            float(np.percentile(least, 95.0)),
        ),
    )
