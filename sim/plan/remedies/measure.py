"""What to measure or look at: it settles the verdict, up or down, so nothing is promised of it.

Each gives the job as it would be if that came out as it is taken to be now: where the verdict would
then be a yes, this is what decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sim.job.looked import state
from sim.job.sections.bore import BRIGHT, NOT_LOOKED
from sim.plan.remedies.search import Stands
from sim.reference.remarks import Remark
from sim.set_up.bead import bead_at
from sim.shop.judge import NO_BEAD, UNSEEN, WARM


@dataclass(frozen=True)
class Look:
    """Something to measure or look at; keys: the job if it comes out as taken; open: whether that
    stands open now, or is only drawn wide.
    """

    what: Remark
    keys: dict[str, Any]
    open: bool


def bead(now: Stands) -> Iterator[Look]:
    """A bead laid on a plate and measured."""
    if now.scene.bead is None:
        layer = now.result.settings[-1]
        flat = bead_at(now.scene, layer.plan.wire_feed, layer.travel)
        keys = {
            "bead.width_mm": flat.width,
            "bead.height_mm": flat.height,
            "bead.wire_feed_m_per_min": 0.06 * layer.plan.wire_feed,
            "bead.travel_mm_per_min": 60.0 * layer.travel,
        }
        yield Look(Remark("measure a bead"), keys, _open(now, NO_BEAD))


def pre_bored_wall(now: Stands) -> Iterator[Look]:
    """The pre-bored wall looked at: where it came out bright no wear is left to one side."""
    scene = now.scene
    if scene.readings is not None and scene.pre_bore is not None and state(scene) == NOT_LOOKED:
        keys = {"pre_bore.looked": BRIGHT}
        keys |= {"bore_on_bar.looked": BRIGHT} if scene.bore_on_bar else {}
        yield Look(Remark("look at the pre-bored wall"), keys, _open(now, UNSEEN))


def cold(now: Stands) -> Iterator[Look]:
    """The part gauged again when it is cold."""
    if now.scene.readings is not None and now.scene.readings.warm:
        yield Look(Remark("gauge it cold"), {"readings.warm": False}, _open(now, WARM))


def tie_in(now: Stands) -> Iterator[Look]:
    """A pad of beads side by side, welded and measured: how far they tie in."""
    if not now.result.tie_in.measured:
        yield Look(Remark("weld a pad"), {"process.tie_in_measured": True}, False)


def _open(now: Stands, what: str) -> bool:
    return any(one.what == what for one in now.decided.open)


LOOKS = (bead, pre_bored_wall, cold, tie_in)
"""What this file can say to look at, whatever the stage."""
