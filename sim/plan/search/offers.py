"""Plans offered, and what is said where there is none."""

from __future__ import annotations

import math
from collections.abc import Iterator
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sim.job.scene import Scene
from sim.job.sections.bore import BETWEEN
from sim.laws.exact_interval import clopper_pearson
from sim.laws.gravity import TRAVEL_KNOWN, run_on
from sim.plan.odds.spreads_of_job import away_from_plate
from sim.plan.odds.verdict import Decision
from sim.plan.search.allowed import ROTATION, SMALLEST_BORE, TIP_CLEAR, settings_known
from sim.plan.search.kinds import (
    COST,
    FINE_COLUMNS,
    SEARCH_COLUMNS,
    SEARCHED,
    Kind,
    Search,
    kinds,
    radius_now,
)
from sim.plan.search.settle import Settled, bounded, settled, sized_in_turn
from sim.plan.search.turns import Sized, costed, minima_of
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark, Tell
from sim.set_up.bead import tie_in_of
from sim.set_up.layers import arc_time, settings, wire_used
from sim.shop.ready_to_lay import made_ready
from sim.shop.run import Figures, figures
from sim.shop.several_bores import bores


@dataclass(frozen=True)
class Offer:
    """A plan simulated: the planned scene, its figures, and what the draws say.

    probability, interval (Clopper-Pearson, 95 %), draws and percentiles P5, P50, P95 of the least
    stock [mm]; price: what the plan was to make least; flags: what in it is extrapolated or
    unproven; why: how it compares; decided: the verdict on the whole job, of the plan that was
    confirmed.
    """

    name: Remark
    scene: Scene
    figures: Figures
    probability: float
    interval: tuple[float, float]
    draws: int
    percentiles: tuple[float, float, float]
    wire: float
    arc_time: float
    price: float
    flags: tuple[Remark, ...]
    why: tuple[Remark, ...] = ()
    decided: Decision | None = None


@dataclass(frozen=True)
class Plan:
    """The winner and those beside it; without a winner, `binds`: the limits of which any one taken
    away gives a plan, and `nearest`: such a plan. bore: of a bar, which was searched; the same
    settings are laid in all, and all are judged.
    """

    scene: Scene
    by: str
    asked: float
    winner: Offer | None
    runners_up: tuple[Offer, ...]
    rule_of_thumb: Offer | None
    binds: tuple[Remark, ...] = ()
    nearest: Offer | None = None
    bore: str = ""


def offered(search: Search, one: Settled) -> Offer:
    """A settled plan with its figures and what the search's draws say."""
    kind, turns = search.as_laid(one.sized.kind, one.sized.turns)
    scene, whole = search.planned(kind, turns), search.in_all(kind, turns)
    wire, arc_time = _of_all(whole) or (one.sized.wire, one.sized.arc_time)
    cleans = int((one.minima >= one.cut).sum())
    interval = clopper_pearson(cleans, len(one.minima))
    p5, p50, p95 = np.percentile(one.minima, (5.0, 50.0, 95.0))
    return Offer(
        name=_name(search, kind, turns),
        scene=whole,
        figures=figures(scene, FINE_COLUMNS),
        probability=cleans / len(one.minima),
        interval=(interval.low, interval.high),
        draws=len(one.minima),
        percentiles=(float(p5), float(p50), float(p95)),
        wire=wire,
        arc_time=arc_time,
        price=search.price(wire, arc_time, kind.layers),
        flags=tuple(_flags(search, scene, kind, turns)),
    )


def _of_all(whole: Scene) -> tuple[float, float] | None:
    """Wire [mm3] and arc time [s] of what is still to lay in every bore of a bar; None of one alone."""
    if not whole.bore_on_bar:
        return None
    done = whole.job.layers_done if whole.job.stage == BETWEEN else 0
    left = [
        (one, setting)
        for _, _, one in bores(whole)
        for setting in made_ready(one, SEARCH_COLUMNS).settings[done:]
    ]
    return sum(wire_used(*each) for each in left), sum(arc_time(s) for _, s in left)


def _name(search: Search, kind: Kind, turns: float) -> Remark:
    """What a plan is called: pitch to 0.01 mm, travel to whole mm/min."""
    pitch = round(search.pitch(kind, turns), 2)
    lean = round(search.pitch(kind, kind.lean), 2) if kind.lean else 0.0
    return Remark(
        "plan",
        layers=Remark("layers more to lay" if search.kept else "layers to lay", count=kind.layers),
        advance=kind.advance,
        pitch=Remark("pitch, the first wider", pitch=pitch, first=lean)
        if lean
        else Remark("one pitch", pitch=pitch),
        travel=round(60.0 * kind.travel) / 60.0,
    )


def distinct(search: Search, winner: Settled, best: list[Settled]) -> list[Settled]:
    """The plans that differ from the winner, and from each other, in what they are called."""
    seen = {_name(search, *search.as_laid(winner.sized.kind, winner.sized.turns))}
    out = []
    for one in best:
        name = _name(search, *search.as_laid(one.sized.kind, one.sized.turns))
        if name not in seen:
            seen.add(name)
            out.append(one)
    return out


def not_beaten(winner: Settled, others: list[Settled]) -> list[Settled]:
    """Those no other beats in both wire and time, best first; the winner is not among them."""

    def beaten(one: Settled) -> bool:
        s = one.sized
        return any(
            o.sized.wire <= s.wire
            and o.sized.arc_time <= s.arc_time
            and o.sized.kind.layers <= s.kind.layers
            for o in [winner, *others]
            if o is not one
        )

    return [one for one in others if not beaten(one)][:4] or others[:2]


def why_not(winner: Offer, other: Offer, by: str) -> tuple[Remark, ...]:
    """Why a plan lost to the winner."""
    return tuple(_reasons(winner, other, by))


def _reasons(winner: Offer, other: Offer, by: str) -> Iterator[Remark]:
    wire = other.wire / winner.wire - 1.0
    seconds = other.arc_time / winner.arc_time - 1.0
    layers = len(other.figures.settings) - len(winner.figures.settings)
    yield Remark("more wire" if wire >= 0 else "less wire", by=abs(wire))
    yield Remark("more arc time" if seconds >= 0 else "less arc time", by=abs(seconds))
    if layers:
        yield Remark("more layers to lay" if layers > 0 else "fewer layers to lay", by=abs(layers))
    if by == COST:
        yield Remark("other cost", percent=100.0 * (other.price / winner.price - 1.0))
    if other.probability < winner.scene.confidence.asked:
        yield Remark("not often enough")
    elif other.price < winner.price:
        yield Remark("farther from the measured bead")


def _flags(search: Search, scene: Scene, kind: Kind, turns: float) -> Iterator[Remark]:
    """What in a plan rests on a corner nobody measured."""
    bead, most = search.bead(kind), default("limit.area")
    new = settings(scene, search.like.radius)[len(search.kept) :]
    if scene.bead is None:
        yield Remark("plan on an assumed bead")
    elif max(away_from_plate(scene, s) for s in new) > 0.0:
        yield Remark("plan away from the measured bead")
    if math.cos(scene.bore.inclination) > 1e-6 and scene.process.gravity is None:
        if run_on(kind.travel):
            yield Remark(
                "gravity run on past its table",
                travel=round(60.0 * kind.travel) / 60.0,
                table=TRAVEL_KNOWN,
            )
        yield Remark("gravity measured near 6, plan")
    if bead.area > most:
        yield Remark("bead may not hold", area=bead.area, most=most)
    if search.pitch(kind, turns) < 0.5 * bead.width:
        yield Remark("beads closer than half a width")
    if not tie_in_of(scene).measured:
        yield Remark("any tie-in was drawn")


def two_thirds(search: Search, winner: Offer, executor: Executor) -> Offer | None:
    """What the two-thirds-of-width rule gives: pitch 2/3 of the bead width, as many layers as the
    mean needs.
    """
    feed, travel = settings_known(search.scene)
    kind = Kind(1, search.template.advance, feed, travel, search.template.shift, (1, 1))
    pitch = 2.0 / 3.0 * search.bead(kind).width
    thickness = search.bead(kind).area / pitch
    needed = radius_now(search) - search.like.finish.radius + search.scene.cut.minimum_cut
    kind = replace(kind, layers=max(math.ceil(needed / thickness - 1e-9), 1))
    turns = search.span(kind) / pitch
    if kind.advance == "step":
        turns = float(math.ceil(turns))
    try:
        minima = minima_of(search, kind, turns, SEARCHED, executor)
        one = Settled(costed(search, kind, turns), minima, search.scene.cut.minimum_cut)
        offer = offered(search, one)
    except SceneError:
        return None
    return replace(
        offer,
        name=Remark("rule of thumb", plan=offer.name),
        why=why_not(winner, offer, search.by),
    )


def _may_bind(search: Search, limit: Remark) -> bool:
    """Tell whether a limit of the machine or the head stopped any kind; the others always may."""
    return limit not in (ROTATION, TIP_CLEAR, SMALLEST_BORE) or limit.what in search.faults


def no_plan(search: Search, executor: Executor, tell: Tell) -> Plan:
    """Which limits bind: those of which one taken away gives a plan; and the cheapest plan that
    breaks only one.
    """
    beyond: list[tuple[Remark, Search, list[Sized]]] = []
    for limit, allowed in search.allowed.relaxed():
        if allowed != search.allowed and _may_bind(search, limit):
            tell(Remark("without the limit", limit=limit))
            other = Search.of(search.whole, allowed, search.by, search.at)
            pool, _ = sized_in_turn(other, bounded(other, kinds(other), executor), [], executor)
            beyond.append((limit, other, pool))
    if search.template.start_depth is not None or search.template.end_depth is not None:
        layers = (
            *search.whole.layer[:-1],
            replace(search.whole.layer[-1], start_depth=None, end_depth=None),
        )
        other = Search.of(replace(search.whole, layer=layers), search.allowed, search.by, search.at)
        pool, _ = sized_in_turn(other, bounded(other, kinds(other), executor), [], executor)
        beyond.append((Remark("start and end depth of the layer"), other, pool))
    ranked = sorted(
        ((pool[0].price, limit, other, pool[0]) for limit, other, pool in beyond if pool),
        key=lambda one: (one[0], one[1].what),
    )
    nearest = None
    for _, limit, other, one in ranked:
        now = settled(other, one, executor)
        if now is not None:
            nearest = replace(offered(other, now), why=(Remark("breaks only", limit=limit),))
            break
    binds = tuple(limit for limit, _, pool in beyond if pool)
    return Plan(
        search.whole, search.by, search.scene.confidence.asked, None, (), None, binds, nearest
    )


def layers_of(offer: Offer) -> list[dict[str, Any]]:
    """Each layer of a plan as a machine is set."""
    out = []
    done = offer.scene.job.layers_done if offer.scene.job.stage == BETWEEN else 0
    for number, s in enumerate(offer.figures.settings):
        spiral = s.plan.advance == "spiral"
        out.append(
            {
                "pitch_mm": s.path.pitch,
                "travel_mm_per_min": 60.0 * s.travel,
                "rotation_rpm": s.rotation * 30.0 / math.pi,
                "seconds_per_turn": 2.0 * math.pi / s.rotation,
                "wire_feed_m_per_min": 0.06 * s.plan.wire_feed,
                "start_depth_mm": float(s.path.depth[0]),
                "end_depth_mm": float(s.path.depth[-1]),
                "closing_turns_start": s.plan.closing_start if spiral else 0,
                "closing_turns_end": s.plan.closing_end if spiral else 0,
                "advance": s.plan.advance,
                "start_clock_h": (s.path.start_clock * 6.0 / math.pi) % 12.0,
                "turning": s.plan.turning,
                "turns": s.path.turns,
                "already_laid": number < done,
            }
        )
    return out
