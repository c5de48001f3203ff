"""Money at the shop's own rates, and the file that holds them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.job.change import changed
from sim.job.files import read_toml
from sim.job.scene import Scene
from sim.job.sections.machine import Rates
from sim.machine.quantities.guess import Guess
from sim.machine.quantities.line import MATERIAL, WORK, Line
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark

PRICES = ("wire_price", "hour_price")


RATES_MAY = ("rates", "boring_bar", "plan")


def fixed(scene: Scene) -> list[Line]:
    """What a job costs whatever its size, as a line; none where the shop has no such price."""
    if scene.rates is None or scene.rates.fixed_price is None:
        return []
    once = Guess(1.0, 1.0, 1.0)
    return [Line("fixed", MATERIAL, once, "job", Remark("given in the rates"))]


def money(scene: Scene, row: Line) -> Guess | None:
    """What a line costs at the shop's own rates."""
    rates, plan = scene.rates or Rates(), scene.plan
    price = {"wire": plan.wire_price, "gas": rates.gas_price, "fixed": rates.fixed_price}.get(
        row.name
    )
    per = {"wire": 1000.0, "gas": 1e9, "fixed": 1.0}.get(row.name, 1.0)
    if row.kind == WORK:
        price, per = plan.hour_price, 3600.0
    return None if price is None else row.amount.times(price / per)


def not_priced(scene: Scene) -> list[Remark]:
    """What has no rate."""
    rates, plan = scene.rates or Rates(), scene.plan
    out = []
    if plan.wire_price is None:
        out.append(Remark("wire not priced"))
    if plan.hour_price is None:
        out.append(Remark("hours not priced"))
    if rates.gas_price is None:
        out.append(Remark("gas not priced"))
    return out


def with_rates(scene: Scene, path: Path) -> Scene:
    """The scene with the shop's own figures from a file beside it: [rates], [boring_bar], and the
    prices of [plan].

    What the file gives replaces the scene's. Raises SceneError with one sentence.
    """
    raw = read_toml(path)
    wanted: dict[str, Any] = {}
    for section, keys in raw.items():
        if section == "schema":
            continue
        if section not in RATES_MAY or not isinstance(keys, Mapping):
            raise SceneError(
                f"{path}: {section}: a rates file holds [rates], [boring_bar] and the prices "
                "of [plan] only; take it out."
            )
        for key, value in keys.items():
            if section == "plan" and key not in PRICES:
                raise SceneError(
                    f"{path}: [plan] {key}: of [plan] a rates file holds "
                    f"{' and '.join(PRICES)} only; take it out."
                )
            wanted[f"{section}.{key}"] = value
    return changed(scene, wanted, name=str(path))
