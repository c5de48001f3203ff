"""Hours and money of the job, for the job screen: from the same estimate as What it takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sim.job.change import digest
from sim.job.scene import Scene
from sim.machine.quantities.line import Quantities
from sim.machine.quantities.takes import bar_quantities
from sim.reference.errors import SceneError
from sim.screens.job.checking import waited
from sim.shop.several_bores import OnBar
from sim.tell.quantities import money

NOT_YET = (("Hours", "…"), ("At your rates", "…"))


def hours_and_money(
    scene: Scene, found: Sequence[OnBar], tick: Callable[[], None]
) -> list[tuple[str, str]]:
    """Hours worked, and money at the shop's own rates, as (name, figure)."""
    try:
        made: Quantities = waited(("takes", digest(scene)), lambda: bar_quantities(found), tick)
    except SceneError:
        return [("Hours", "—"), ("At your rates", "—")]
    minutes = round(made.work.likely / 60.0)
    cost = "—" if made.money is None else money(made.money, made.currency)
    return [("Hours", f"{minutes // 60} h {minutes % 60:02d}"), ("At your rates", cost)]
