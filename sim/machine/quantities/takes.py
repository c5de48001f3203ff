"""What a job takes: wire, gas, arc time, shop time and, at the shop's own rates, money; each low,
likely and high.

Low and high hold about 19 jobs in 20. Wire, gas and arc time spread as the scene's own spreads do,
in closed form (no
draws); where some of a few draws of the whole job fall short, high holds one layer more. Times
nobody gave spread as
common practice does, alike on every bore and layer. Sums add likely values, and the distances to
low and to high by the
root of their squares: lines that hang on the metal laid stray together, the others independently.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Any

from sim.job.change import changed
from sim.job.files import read_toml
from sim.job.scene import Scene
from sim.job.sections.machine import Rates
from sim.machine.boring.cuts import FINISH, PRE_BORE, Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.layer_sheet import schedule
from sim.machine.quantities.guess import Guess, added, widened
from sim.plan.odds.verdict import Decision, decide
from sim.reference.defaults import DEFAULTS, default
from sim.reference.errors import SceneError
from sim.reference.units import KINDS, said
from sim.set_up.layers import arc_time, wire_used
from sim.shop.judge import FALLS_SHORT, THIN
from sim.shop.result import Result
from sim.shop.several_bores import OnBar

METAL = ("wire", "gas", "arc", "between", "bore")  # lines that hang on how much metal is laid


MATERIAL, WORK, WAIT = "material", "work", "waiting"


TWO_SIDED = 2.0  # standard deviations either way: about 19 in 20


MOST_HOLES = 1000


PRICES = ("wire_price", "hour_price")


RATES_MAY = ("rates", "boring_bar", "plan")


RARE = 0.025  # part of the draws that high leaves out


def _summed(parts: Mapping[str, Guess]) -> Guess:
    """The sum of lines by name: those that hang on the metal laid stray together, the others
    independently.
    """
    metal = [one for name, one in parts.items() if name in METAL]
    together = [reduce(Guess.plus, metal)] if metal else []
    return added(together + [one for name, one in parts.items() if name not in METAL])


@dataclass(frozen=True)
class Row:
    """One line of the estimate, for the whole job.

    name: wire, spools, gas, arc, between, interpass, set_up, clean, measure, preheat, cool,
    pre_bore, bore, tool, fixed; what: in
    words; kind: a quantity of material, time worked or time waited; amount in `unit`: g, mm3, s,
    spools or job;
    basis: where the figure comes from; money: None where there is no rate for it.
    """

    name: str
    what: str
    kind: str
    amount: Guess
    unit: str
    basis: str
    money: Guess | None = None


@dataclass(frozen=True)
class Quantities:
    """An estimate, for `holes` bores alike.

    work: hours that somebody works [s]; elapsed: work and waiting [s]; money: sum of what has a
    rate, None when nothing
    has; short: part of the draws (of `draws`) that leave less than the minimum cut somewhere, which
    a layer more mends;
    missing: what could not be priced, in words; notes: how the figures are meant.
    """

    scene: Scene
    holes: int
    rows: tuple[Row, ...]
    work: Guess
    elapsed: Guess
    money: Guess | None
    currency: str
    short: float
    draws: int
    missing: tuple[str, ...]
    notes: tuple[str, ...]

    def of(self, name: str) -> Row | None:
        """The line of that name, None when the job has none."""
        return next((row for row in self.rows if row.name == name), None)


@dataclass(frozen=True)
class _More:
    """What the likely figures leave out, relative to them: metal below and above, and one layer
    more where some draws need it.
    """

    below: float
    above: float
    layer: float

    @classmethod
    def of(cls, result: Result, wear: tuple[float, float], short: float) -> _More:
        scatter = TWO_SIDED * metal_spread(result)
        layer = 0.0
        if short > RARE:
            wire = [wire_used(result.scene, s) for s in result.settings]
            layer = wire[-1] / sum(wire)
        return cls(math.hypot(scatter, wear[0]), math.hypot(scatter, wear[1], layer), layer)


def quantities(
    result: Result, cuts: Cuts, *, holes: int = 1, wear: tuple[float, float] = (0.0, 0.0)
) -> Quantities:
    """What the whole job takes, layers already laid included, for `holes` bores alike.

    wear: how much less and more metal there may be to lay than the result has, relative, on top of
    the scene's spreads.
    Raises SceneError for a number of holes that cannot be.
    """
    _refuse_holes(holes)
    decided = decide(result.scene, [result])
    short = 1.0 - decided.clean_up_of_100.value / 100.0
    more = _More.of(result, wear, short)
    rows = [
        *_material(result, holes, more),
        *_work(result, cuts, holes, more),
        *_fixed(result.scene),
    ]
    return _told(result, rows, holes, decided)


def bar_quantities(on_bar: Sequence[OnBar], *, holes: int = 1) -> Quantities:
    """What all bores of a bar take together, `holes` such bars; bar and head are set up once for
    all bores of a bar.

    Figures of one kind stray together from bore to bore. Raises SceneError as `quantities` does.
    """
    if len(on_bar) == 1:
        return quantities(on_bar[0].result, boring_cuts(on_bar[0].result), holes=holes)
    parts = [quantities(one.result, boring_cuts(one.result), holes=holes) for one in on_bar]
    rows: dict[str, Row] = {}
    for row in (row for part in parts for row in part.rows):
        held = rows.get(row.name)
        if held is None:
            rows[row.name] = row
        elif row.name not in ("set_up", "fixed"):
            rows[row.name] = replace(
                held,
                amount=held.amount.plus(row.amount),
                basis=f"{len(on_bar)} bores together; each: {row.basis}",
            )
    rows["spools"] = _spools(on_bar[0].result.scene, rows["wire"].amount)
    worst = _worst(on_bar)
    return _told(worst, list(rows.values()), holes, decide(worst.scene, [worst]))


def _worst(on_bar: Sequence[OnBar]) -> Result:
    """The result of the bore with the least stock per side."""
    return min((one.result for one in on_bar), key=lambda result: result.stock.spot.value)


def _refuse_holes(holes: int) -> None:
    if not 1 <= holes <= MOST_HOLES:
        raise SceneError(f"holes = {holes}: must be a whole number from 1 to {MOST_HOLES}.")


def _told(result: Result, rows: Sequence[Row], holes: int, decided: Decision) -> Quantities:
    """Lines priced and added up."""
    scene = result.scene
    priced = [replace(row, money=_money(scene, row)) for row in rows]
    sums = {row.name: row.money for row in priced if row.money is not None}
    return Quantities(
        scene=scene,
        holes=holes,
        rows=tuple(priced),
        work=_summed({row.name: row.amount for row in priced if row.kind == WORK}),
        elapsed=_summed({row.name: row.amount for row in priced if row.kind in (WORK, WAIT)}),
        money=_summed(sums) if sums else None,
        currency=scene.rates.currency if scene.rates else "",
        short=1.0 - decided.clean_up_of_100.value / 100.0,
        draws=decided.clean_up_of_100.draws,
        missing=tuple(_missing(scene)),
        notes=tuple(_notes(result, rows, decided)),
    )


def metal_spread(result: Result) -> float:
    """Relative standard deviation of the wire and the arc time of all layers: the common cause,
    partly shared by layers.

    sqrt(shared + (1 - shared) sum(share of each layer^2)) times the spread of one layer; derived.
    """
    spread = result.scene.spread
    wire = [wire_used(result.scene, s) for s in result.settings]
    alone = sum((one / sum(wire)) ** 2 for one in wire)
    return spread.common * math.sqrt(spread.shared + (1.0 - spread.shared) * alone)


def _material(result: Result, holes: int, more: _More) -> list[Row]:
    scene, arc = result.scene, sum(map(arc_time, result.settings))
    grams = holes * scene.wire.density * sum(wire_used(scene, s) for s in result.settings)
    wire = widened(grams, more.below, more.above)
    flow, near = _flow(scene)
    gas = widened(holes * flow * arc, math.hypot(more.below, near), math.hypot(more.above, near))
    units = scene.job.units
    how = f"wire feed times arc time, {100 * metal_spread(result):.1f} % spread (derived)"
    given = scene.rates is not None and scene.rates.gas_flow is not None
    known = DEFAULTS["time.gas_flow"]
    litres = (
        f"{said(flow, 'flow', units, 0)} while the arc burns "
        f"({'given' if given else known.basis + ': ' + known.source})"
    )
    return [
        Row("wire", "wire fed", MATERIAL, wire, "g", how),
        _spools(scene, wire),
        Row("gas", "shielding gas", MATERIAL, gas, "mm3", litres),
    ]


def _spools(scene: Scene, wire: Guess) -> Row:
    """Whole spools that hold the wire [g]."""
    spool = scene.rates.spool if scene.rates else default("rates.spool")
    whole = Guess(
        *(float(math.ceil(one / spool - 1e-9)) for one in (wire.low, wire.likely, wire.high))
    )
    held = said(spool, "mass", "in", 0) if scene.job.units == "in" else f"{spool / 1000.0:g} kg"
    how = DEFAULTS["rates.spool"].basis if spool == default("rates.spool") else "given"
    return Row(
        "spools",
        f"spools of {held}",
        MATERIAL,
        whole,
        "spools",
        f"wire over what a spool holds ({how}), whole spools",
    )


def _flow(scene: Scene) -> tuple[float, float]:
    """Gas flow [mm3/s] and how far it may be off, relative."""
    if scene.rates is not None and scene.rates.gas_flow is not None:
        return scene.rates.gas_flow, 0.0
    known = DEFAULTS["time.gas_flow"]
    return KINDS["flow"][0].inside(known.value * scene.wire.diameter), (known.high - known.low) / (
        2.0 * known.value
    )


def _work(result: Result, cuts: Cuts, holes: int, more: _More) -> list[Row]:
    scene, rates = result.scene, result.scene.rates or Rates()
    arc = widened(holes * sum(map(arc_time, result.settings)), more.below, more.above)
    rows = [
        _shop_time("set_up", "set up and line up bar and head", rates.set_up_time, holes),
        _shop_time("clean", "degrease, clean, make safe", rates.clean_time, holes),
        _shop_time("measure", "measure cold and look for cracks", rates.measure_time, holes),
        _shop_time("preheat", "preheat", rates.preheat_time, holes),
        Row(
            "arc",
            "arc on",
            WORK,
            arc,
            "s",
            f"way of the torch over its speed, {100 * metal_spread(result):.1f} % spread (derived)",
        ),
        _between(scene, len(result.settings), holes, more),
        *_interpass(result, holes),
        *_boring(cuts, holes, more),
        _shop_time(
            "tool",
            "set the tool and gauge between passes",
            rates.tool_time,
            holes * len(cuts.passes),
        ),
        replace(_shop_time("cool", "cool slowly", rates.cool_time, holes), kind=WAIT),
    ]
    return [row for row in rows if row.amount.high > 0.0]


def _shop_time(name: str, what: str, given: float | None, times: int) -> Row:
    """A time nobody computes: as the shop says, or common practice with its range."""
    if given is not None:
        return Row(
            name,
            what,
            WORK,
            Guess(given, given, given).times(times),
            "s",
            f"{_often(times)}your own figure (given)",
        )
    known = DEFAULTS[f"time.{name}"]
    minute = KINDS["shop time"][0].factor
    amount = Guess(known.low, known.value, known.high).times(minute)
    return Row(
        name,
        what,
        WORK,
        amount.times(times),
        "s",
        f"{_often(times)}{known.value:g} min, {known.low:g} to {known.high:g} ({known.basis})",
    )


def _between(scene: Scene, layers: int, holes: int, more: _More) -> Row:
    """Brush, measure, set again after each layer; high: a layer more where some draws need it."""
    given, known = scene.plan.layer_time, DEFAULTS["plan.layer_time"]
    usual = given == known.value
    one = Guess(known.low, given, known.high) if usual else Guess(given, given, given)
    amount = one.times(layers * holes)
    if more.layer:
        amount = replace(amount, high=amount.high + given * holes)
    how = known.basis if usual else "given in [plan]"
    return Row(
        "between",
        "brush, measure, set again after a layer",
        WORK,
        amount,
        "s",
        f"{_often(layers * holes)}{given / 60.0:g} min ({how})",
    )


def _waits(result: Result) -> Guess | None:
    """Waiting between layers for the interpass temperature, past the time taken there anyway [s];
    None where it is not known.
    """
    told = [row.warming for row in schedule(result).layers[:-1]]
    if not all(told) or any(one.until is None for one in told if one):
        return None
    taken = result.scene.plan.layer_time
    each = [
        Guess(*(max(wait - taken, 0.0) for wait in (one.waits[0], one.wait, one.waits[1])))
        for one in told
        if one
    ]
    whole = reduce(Guess.plus, each, Guess(0.0, 0.0, 0.0))
    return whole if math.isfinite(whole.high) else None


def _interpass(result: Result, holes: int) -> list[Row]:
    waits = _waits(result)
    if waits is None:
        return []
    return [
        Row(
            "interpass",
            "wait for the interpass temperature",
            WAIT,
            waits.times(holes),
            "s",
            "the part as one lump of metal, past the time between layers (an estimate, derived)",
        )
    ]


def _boring(cuts: Cuts, holes: int, more: _More) -> list[Row]:
    """Time in the cut before welding and after; high: one roughing pass more, as many passes hang
    on the highest crest.
    """
    out = []
    for name, what, held in (
        (
            "pre_bore",
            "pre-boring, in the cut",
            [one for one in cuts.passes if one.kind == PRE_BORE],
        ),
        ("bore", "boring, in the cut", [one for one in cuts.passes if one.kind != PRE_BORE]),
    ):
        if held:
            time, rough = (
                sum(one.time for one in held),
                [one.time for one in held if one.kind != FINISH],
            )
            below = more.below if name == "bore" else 0.0
            amount = Guess(
                time - below * sum(rough),
                time,
                time + more.above * sum(rough) + max(rough, default=time),
            )
            out.append(
                Row(
                    name,
                    what,
                    WORK,
                    amount.times(holes),
                    "s",
                    f"{len(held)} pass{'es' if len(held) > 1 else ''}, length over feed and "
                    "speed (derived); high: one pass more",
                )
            )
    return out


def _often(times: int) -> str:
    return "" if times == 1 else f"{times} times "


def _fixed(scene: Scene) -> list[Row]:
    if scene.rates is None or scene.rates.fixed_price is None:
        return []
    return [
        Row(
            "fixed",
            "a job whatever its size",
            MATERIAL,
            Guess(1.0, 1.0, 1.0),
            "job",
            "given in [rates]",
        )
    ]


def _money(scene: Scene, row: Row) -> Guess | None:
    """What a line costs at the shop's own rates."""
    rates, plan = scene.rates or Rates(), scene.plan
    price = {"wire": plan.wire_price, "gas": rates.gas_price, "fixed": rates.fixed_price}.get(
        row.name
    )
    per = {"wire": 1000.0, "gas": 1e9, "fixed": 1.0}.get(row.name, 1.0)
    if row.kind == WORK:
        price, per = plan.hour_price, 3600.0
    return None if price is None else row.amount.times(price / per)


def _missing(scene: Scene) -> list[str]:
    rates, plan = scene.rates or Rates(), scene.plan
    wanted = {
        "wire: give [plan] wire_price, a kilogram": plan.wire_price,
        "hours worked: give [plan] hour_price": plan.hour_price,
        "gas: give [rates] gas_price, a cubic metre": rates.gas_price,
    }
    return [what for what, price in wanted.items() if price is None]


def _notes(result: Result, rows: Sequence[Row], decided: Decision) -> list[str]:
    n = decided.clean_up_of_100
    short = 1.0 - n.value / 100.0
    out = [
        "Low to high holds about 19 jobs in 20; wire, gas and arc time by the scene's own "
        "spreads in closed form.",
        f"Of {n.draws} draws of the job {round(100 * short)} in 100 leave less than the "
        "minimum cut somewhere"
        + (": high holds one layer more." if short > RARE else ": no layer more is counted."),
        "Waiting is not priced.",
    ]
    if len(result.layers) > 1 and "interpass" not in {row.name for row in rows}:
        out.append(
            "Waiting between layers is not counted: give [electrical] voltage and current, "
            "and [heat] interpass."
        )
    if result.scene.job.layers_done:
        out.append(
            f"The whole job: {result.scene.job.layers_done} of {len(result.layers)} layers "
            "are laid already and counted with the rest."
        )
    if decided.verdict in (FALLS_SHORT, THIN):
        out.append(
            f"Verdict on the plan, {decided.verdict}: what it takes to mend it is not counted."
        )
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
