"""What a job takes: wire, gas, arc time, shop time and, at the shop's own rates, money; each low, likely and high.

Low and high hold about 19 jobs in 20. Wire, gas and arc time spread as the scene's own spreads do, in closed form (no
draws); where some of a few draws of the whole job fall short, high holds one layer more. Times nobody gave spread as
common practice does, alike on every bore and layer. Sums add likely values, and the distances to low and to high by the
root of their squares: lines that hang on the metal laid stray together, the others independently.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Any

import numpy as np

from sim import layup
from sim.bar import OnBar
from sim.chance import minima
from sim.cuts import FINISH, PRE_BORE, Cuts, boring_cuts
from sim.job import Rates, Scene, SceneError
from sim.quick import quick_scene
from sim.scene import changed, read_toml
from sim.schedule import schedule
from sim.simulate import FALLS_SHORT, THIN, Result, simulate
from sim.sources import DEFAULTS, default
from sim.units import KINDS, said

METAL = ("wire", "gas", "arc", "between", "bore")  # lines that hang on how much metal is laid
MATERIAL, WORK, WAIT = "material", "work", "waiting"
TWO_SIDED = 2.0  # standard deviations either way: about 19 in 20
MOST_HOLES = 1000
PRICES = ("wire_price", "hour_price")
RATES_MAY = ("rates", "boring_bar", "plan")
LAYERS_MORE = 4
DRAWS, COLUMNS = 100, 90  # of the whole job, to see how often a layer more is needed
RARE = 0.025  # part of the draws that high leaves out


@dataclass(frozen=True)
class Guess:
    """A figure as low, likely and high.

    >>> Guess(1.0, 2.0, 4.0).times(3)
    Guess(low=3.0, likely=6.0, high=12.0)
    """

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Guess:
        """All three times a factor."""
        return Guess(self.low * factor, self.likely * factor, self.high * factor)

    def plus(self, other: Guess) -> Guess:
        """The sum of two figures that stray together."""
        return Guess(self.low + other.low, self.likely + other.likely, self.high + other.high)


def added(parts: Sequence[Guess]) -> Guess:
    """The sum of figures that stray independently: distances to low and high by the root of their squares.

    >>> added([Guess(7.0, 10.0, 13.0), Guess(6.0, 10.0, 14.0)])
    Guess(low=15.0, likely=20.0, high=25.0)
    """
    likely = sum(one.likely for one in parts)
    below = math.sqrt(sum((one.likely - one.low) ** 2 for one in parts))
    above = math.sqrt(sum((one.high - one.likely) ** 2 for one in parts))
    return Guess(likely - below, likely, likely + above)


def _summed(parts: Mapping[str, Guess]) -> Guess:
    """The sum of lines by name: those that hang on the metal laid stray together, the others independently."""
    metal = [one for name, one in parts.items() if name in METAL]
    together = [reduce(Guess.plus, metal)] if metal else []
    return added(together + [one for name, one in parts.items() if name not in METAL])


def widened(likely: float, low: float, high: float) -> Guess:
    """A figure with relative distances below and above it.

    >>> widened(10.0, 0.1, 0.2)
    Guess(low=9.0, likely=10.0, high=12.0)
    """
    return Guess(likely * (1.0 - low), likely, likely * (1.0 + high))


@dataclass(frozen=True)
class Row:
    """One line of the estimate, for the whole job.

    name: wire, spools, gas, arc, between, interpass, set_up, clean, measure, preheat, cool, pre_bore, bore, tool, fixed; what: in
    words; kind: a quantity of material, time worked or time waited; amount in `unit`: g, mm3, s, spools or job;
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

    work: hours that somebody works [s]; elapsed: work and waiting [s]; money: sum of what has a rate, None when nothing
    has; short: part of the draws (of `draws`) that leave less than the minimum cut somewhere, which a layer more mends;
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
class Estimate:
    """A quick estimate: the scene it was made from, its result and cuts, the quantities, and all it assumed."""

    scene: Scene
    result: Result
    cuts: Cuts
    quantities: Quantities
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class _More:
    """What the likely figures leave out, relative to them: metal below and above, and one layer more where some draws need it."""

    below: float
    above: float
    layer: float

    @classmethod
    def of(cls, result: Result, wear: tuple[float, float], short: float) -> _More:
        scatter = TWO_SIDED * metal_spread(result)
        layer = 0.0
        if short > RARE:
            wire = [layup.wire_used(result.scene, s) for s in result.settings]
            layer = wire[-1] / sum(wire)
        return cls(math.hypot(scatter, wear[0]), math.hypot(scatter, wear[1], layer), layer)


def quantities(result: Result, cuts: Cuts, *, holes: int = 1, wear: tuple[float, float] = (0.0, 0.0)) -> Quantities:
    """What the whole job takes, layers already laid included, for `holes` bores alike.

    wear: how much less and more metal there may be to lay than the result has, relative, on top of the scene's spreads.
    Raises SceneError for a number of holes that cannot be.
    """
    _refuse_holes(holes)
    short = _short(result.scene)
    more = _More.of(result, wear, short)
    rows = [*_material(result, holes, more), *_work(result, cuts, holes, more), *_fixed(result.scene)]
    return _told(result, rows, holes, short)


def bar_quantities(on_bar: Sequence[OnBar], *, holes: int = 1) -> Quantities:
    """What all bores of a bar take together, `holes` such bars; bar and head are set up once for all bores of a bar.

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
            rows[row.name] = replace(held, amount=held.amount.plus(row.amount), basis=f"{len(on_bar)} bores together; each: {row.basis}")
    rows["spools"] = _spools(on_bar[0].result.scene, rows["wire"].amount)
    worst = _worst(on_bar)
    return _told(worst, list(rows.values()), holes, max(part.short for part in parts))


def _worst(on_bar: Sequence[OnBar]) -> Result:
    """The result of the bore with the least stock per side."""
    return min((one.result for one in on_bar), key=lambda result: result.stock.spot.value)


def _refuse_holes(holes: int) -> None:
    if not 1 <= holes <= MOST_HOLES:
        raise SceneError(f"holes = {holes}: must be a whole number from 1 to {MOST_HOLES}.")


def _told(result: Result, rows: Sequence[Row], holes: int, short: float) -> Quantities:
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
        short=short,
        draws=DRAWS,
        missing=tuple(_missing(scene)),
        notes=tuple(_notes(result, rows, short)),
    )


def _short(scene: Scene) -> float:
    """Part of the draws that leave less than the minimum cut somewhere, or close the bore."""
    least = minima(scene, COLUMNS, 0, DRAWS)
    return float(np.mean(~(least >= scene.cut.minimum_cut)))


# ---- what goes in ---------------------------------------------------------------------------------------------------


def metal_spread(result: Result) -> float:
    """Relative standard deviation of the wire and the arc time of all layers: the common cause, partly shared by layers.

    sqrt(shared + (1 - shared) sum(share of each layer^2)) times the spread of one layer; derived.
    """
    spread = result.scene.spread
    wire = [layup.wire_used(result.scene, s) for s in result.settings]
    alone = sum((one / sum(wire)) ** 2 for one in wire)
    return spread.common * math.sqrt(spread.shared + (1.0 - spread.shared) * alone)


def _material(result: Result, holes: int, more: _More) -> list[Row]:
    scene, arc = result.scene, sum(map(layup.arc_time, result.settings))
    grams = holes * scene.wire.density * sum(layup.wire_used(scene, s) for s in result.settings)
    wire = widened(grams, more.below, more.above)
    flow, near = _flow(scene)
    gas = widened(holes * flow * arc, math.hypot(more.below, near), math.hypot(more.above, near))
    units = scene.job.units
    how = f"wire feed times arc time, {100 * metal_spread(result):.1f} % spread (derived)"
    given = scene.rates is not None and scene.rates.gas_flow is not None
    known = DEFAULTS["time.gas_flow"]
    litres = f"{said(flow, 'flow', units, 0)} while the arc burns ({'given' if given else known.basis + ': ' + known.source})"
    return [
        Row("wire", "wire fed", MATERIAL, wire, "g", how),
        _spools(scene, wire),
        Row("gas", "shielding gas", MATERIAL, gas, "mm3", litres),
    ]


def _spools(scene: Scene, wire: Guess) -> Row:
    """Whole spools that hold the wire [g]."""
    spool = scene.rates.spool if scene.rates else default("rates.spool")
    whole = Guess(*(float(math.ceil(one / spool - 1e-9)) for one in (wire.low, wire.likely, wire.high)))
    held = said(spool, "mass", "in", 0) if scene.job.units == "in" else f"{spool / 1000.0:g} kg"
    how = DEFAULTS["rates.spool"].basis if spool == default("rates.spool") else "given"
    return Row("spools", f"spools of {held}", MATERIAL, whole, "spools", f"wire over what a spool holds ({how}), whole spools")


def _flow(scene: Scene) -> tuple[float, float]:
    """Gas flow [mm3/s] and how far it may be off, relative."""
    if scene.rates is not None and scene.rates.gas_flow is not None:
        return scene.rates.gas_flow, 0.0
    known = DEFAULTS["time.gas_flow"]
    return KINDS["flow"][0].inside(known.value * scene.wire.diameter), (known.high - known.low) / (2.0 * known.value)


# ---- how long it takes ----------------------------------------------------------------------------------------------


def _work(result: Result, cuts: Cuts, holes: int, more: _More) -> list[Row]:
    scene, rates = result.scene, result.scene.rates or Rates()
    arc = widened(holes * sum(map(layup.arc_time, result.settings)), more.below, more.above)
    rows = [
        _shop_time("set_up", "set up and line up bar and head", rates.set_up_time, holes),
        _shop_time("clean", "degrease, clean, make safe", rates.clean_time, holes),
        _shop_time("measure", "measure cold and look for cracks", rates.measure_time, holes),
        _shop_time("preheat", "preheat", rates.preheat_time, holes),
        Row("arc", "arc on", WORK, arc, "s", f"way of the torch over its speed, {100 * metal_spread(result):.1f} % spread (derived)"),
        _between(scene, len(result.settings), holes, more),
        *_interpass(result, holes),
        *_boring(cuts, holes, more),
        _shop_time("tool", "set the tool and gauge between passes", rates.tool_time, holes * len(cuts.passes)),
        replace(_shop_time("cool", "cool slowly", rates.cool_time, holes), kind=WAIT),
    ]
    return [row for row in rows if row.amount.high > 0.0]


def _shop_time(name: str, what: str, given: float | None, times: int) -> Row:
    """A time nobody computes: as the shop says, or common practice with its range."""
    if given is not None:
        return Row(name, what, WORK, Guess(given, given, given).times(times), "s", f"{_often(times)}your own figure (given)")
    known = DEFAULTS[f"time.{name}"]
    minute = KINDS["shop time"][0].factor
    amount = Guess(known.low, known.value, known.high).times(minute)
    return Row(name, what, WORK, amount.times(times), "s", f"{_often(times)}{known.value:g} min, {known.low:g} to {known.high:g} ({known.basis})")


def _between(scene: Scene, layers: int, holes: int, more: _More) -> Row:
    """Brush, measure, set again after each layer; high: a layer more where some draws need it."""
    given, known = scene.plan.layer_time, DEFAULTS["plan.layer_time"]
    usual = given == known.value
    one = Guess(known.low, given, known.high) if usual else Guess(given, given, given)
    amount = one.times(layers * holes)
    if more.layer:
        amount = replace(amount, high=amount.high + given * holes)
    how = known.basis if usual else "given in [plan]"
    return Row("between", "brush, measure, set again after a layer", WORK, amount, "s", f"{_often(layers * holes)}{given / 60.0:g} min ({how})")


def _waits(result: Result) -> Guess | None:
    """Waiting between layers for the interpass temperature, past the time taken there anyway [s]; None where it is not known."""
    told = [row.warming for row in schedule(result).layers[:-1]]
    if not all(told) or any(one.until is None for one in told if one):
        return None
    taken = result.scene.plan.layer_time
    each = [Guess(*(max(wait - taken, 0.0) for wait in (one.waits[0], one.wait, one.waits[1]))) for one in told if one]
    whole = reduce(Guess.plus, each, Guess(0.0, 0.0, 0.0))
    return whole if math.isfinite(whole.high) else None


def _interpass(result: Result, holes: int) -> list[Row]:
    waits = _waits(result)
    if waits is None:
        return []
    return [Row("interpass", "wait for the interpass temperature", WAIT, waits.times(holes), "s", "the part as one lump of metal, past the time between layers (an estimate, derived)")]


def _boring(cuts: Cuts, holes: int, more: _More) -> list[Row]:
    """Time in the cut before welding and after; high: one roughing pass more, as many passes hang on the highest crest."""
    out = []
    for name, what, held in (
        ("pre_bore", "pre-boring, in the cut", [one for one in cuts.passes if one.kind == PRE_BORE]),
        ("bore", "boring, in the cut", [one for one in cuts.passes if one.kind != PRE_BORE]),
    ):
        if held:
            time, rough = sum(one.time for one in held), [one.time for one in held if one.kind != FINISH]
            below = more.below if name == "bore" else 0.0
            amount = Guess(time - below * sum(rough), time, time + more.above * sum(rough) + max(rough, default=time))
            out.append(Row(name, what, WORK, amount.times(holes), "s", f"{len(held)} pass{'es' if len(held) > 1 else ''}, length over feed and speed (derived); high: one pass more"))
    return out


def _often(times: int) -> str:
    return "" if times == 1 else f"{times} times "


# ---- money ----------------------------------------------------------------------------------------------------------


def _fixed(scene: Scene) -> list[Row]:
    if scene.rates is None or scene.rates.fixed_price is None:
        return []
    return [Row("fixed", "a job whatever its size", MATERIAL, Guess(1.0, 1.0, 1.0), "job", "given in [rates]")]


def _money(scene: Scene, row: Row) -> Guess | None:
    """What a line costs at the shop's own rates."""
    rates, plan = scene.rates or Rates(), scene.plan
    price = {"wire": plan.wire_price, "gas": rates.gas_price, "fixed": rates.fixed_price}.get(row.name)
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


def _notes(result: Result, rows: Sequence[Row], short: float) -> list[str]:
    out = [
        "Low to high holds about 19 jobs in 20; wire, gas and arc time by the scene's own spreads in closed form.",
        f"Of {DRAWS} draws of the job {round(100 * short)} in 100 leave less than the minimum cut somewhere"
        + (": high holds one layer more." if short > RARE else ": no layer more is counted."),
        "Waiting is not priced.",
    ]
    if len(result.layers) > 1 and "interpass" not in {row.name for row in rows}:
        out.append("Waiting between layers is not counted: give [electrical] voltage and current, and [heat] interpass.")
    if result.scene.job.layers_done:
        out.append(f"The whole job: {result.scene.job.layers_done} of {len(result.layers)} layers are laid already and counted with the rest.")
    if result.verdict in (FALLS_SHORT, THIN):
        out.append(f"The plan {result.verdict}: what it takes to mend it is not counted.")
    return out


def with_rates(scene: Scene, path: Path) -> Scene:
    """The scene with the shop's own figures from a file beside it: [rates], [boring_bar], and the prices of [plan].

    What the file gives replaces the scene's. Raises SceneError with one sentence.
    """
    raw = read_toml(path)
    wanted: dict[str, Any] = {}
    for section, keys in raw.items():
        if section == "schema":
            continue
        if section not in RATES_MAY or not isinstance(keys, Mapping):
            raise SceneError(f"{path}: {section}: a rates file holds [rates], [boring_bar] and the prices of [plan] only; take it out.")
        for key, value in keys.items():
            if section == "plan" and key not in PRICES:
                raise SceneError(f"{path}: [plan] {key}: of [plan] a rates file holds {' and '.join(PRICES)} only; take it out.")
            wanted[f"{section}.{key}"] = value
    return changed(scene, wanted, name=str(path))


# ---- the quick estimate ---------------------------------------------------------------------------------------------


WORN_MOST = 50.0  # mm on diameter: as far out of round as a scene takes


def quick_estimate(
    original: float, worst: float, length: float, holes: int = 1, *, bead: tuple[float, float] | None = None, like: Scene | None = None, units: str = "mm"
) -> Estimate:
    """An estimate from the original and the worst diameter, the length [mm] and the number of bores alike.

    Layers are added to the quick scene until the engine finds metal enough. bead: width and height [mm] of a measured
    one; like: a scene whose rates, prices and boring bar are the shop's own. Raises SceneError.

    >>> found = quick_estimate(80.0, 81.5, 60.0, 2)
    >>> found.quantities.holes, found.quantities.money
    (2, None)
    """
    _refuse(original, worst, length)
    _refuse_holes(holes)
    scene = _as_shop(quick_scene(original, worst, length, original, bead=bead, units=units), like)
    first = scene.layer[0].repeat
    result = simulate(scene)
    while result.verdict in (FALLS_SHORT, THIN) and scene.layer[0].repeat < first + LAYERS_MORE:
        scene = changed(scene, {"layer.repeat": scene.layer[0].repeat + 1})
        result = simulate(scene)
    cuts = boring_cuts(result)
    found = quantities(result, cuts, holes=holes, wear=_unknown_wear(scene))
    return Estimate(scene, result, cuts, found, tuple(_quick_assumed(result, holes)))


def _as_shop(scene: Scene, like: Scene | None) -> Scene:
    """The scene with the money, times and bar of another."""
    if like is None:
        return scene
    plan = replace(scene.plan, wire_price=like.plan.wire_price, hour_price=like.plan.hour_price, layer_time=like.plan.layer_time)
    return replace(scene, rates=like.rates, plan=plan, boring_bar=like.boring_bar)


def _refuse(original: float, worst: float, length: float) -> None:
    for name, value, most in (("original size", original, 2000.0), ("worst size", worst, 2000.0), ("length", length, 1000.0)):
        if not (math.isfinite(value) and 0.0 < value <= most):
            raise SceneError(f"{name} = {value:g} mm: must be greater than 0 and at most {most:g} mm.")
    if worst - original > WORN_MOST:
        raise SceneError(f"worst size = {worst:g} mm: {worst - original:g} mm over the original {original:g} mm on diameter; an estimate from sizes holds to {WORN_MOST:g} mm of wear, check the sizes and their units.")


def _unknown_wear(scene: Scene) -> tuple[float, float]:
    """How much less and more metal a quick estimate may need, relative, by the ranges of what it assumed.

    Metal per side: half of worst size and pre-bore less final size, and the allowance past the final size; each range
    taken as 19 in 20 and added by squares; derived.
    """
    worst = scene.worn.diameter + scene.worn.out_of_round
    pre, past = DEFAULTS["quick.pre_bore"], DEFAULTS["quick.allowance"]
    likely = 0.5 * (worst + pre.value - scene.bore.final_diameter) + past.value
    low = math.hypot(0.5 * (pre.value - pre.low), past.value - past.low)
    high = math.hypot(0.5 * (pre.high - pre.value), past.high - past.value)
    return low / likely, high / likely


def _quick_assumed(result: Result, holes: int) -> list[str]:
    """Everything a quick estimate took for granted, in words."""
    scene, units = result.scene, result.scene.job.units
    setting = result.settings[0]

    def line(what: str, name: str) -> str:
        known = DEFAULTS[name]
        return f"{what} ({known.basis}: {known.source}; {known.low:g} to {known.high:g} {known.unit})".replace(" 1)", ")")

    size = 2.0 * result.finish.radius
    return [
        f"bored back to the original size, {said(size, 'length', units)} on diameter, no tolerance given",
        "worn oval from the original size to the worst, the same all along the bore",
        line(f"pre-bored to {said(scene.pre_bore.diameter, 'length', units)} on diameter" if scene.pre_bore else "not pre-bored", "quick.pre_bore"),
        line(f"{len(result.layers)} layers, until the engine finds the minimum cut everywhere; mean build-up past the final size", "quick.allowance"),
        line(f"pitch {said(setting.path.pitch, 'length', units)}", "quick.spacing"),
        line(f"wire {said(scene.wire.diameter, 'length', units, 1)}", "quick.wire"),
        line(f"wire feed {said(setting.wire_feed, 'feed', units, 1)}", "quick.wire_feed"),
        line(f"travel {said(setting.travel, 'speed', units, 0)}", "quick.travel"),
        "bead as measured" if scene.bead else line("bead not measured", "bead.aspect"),
        "all axes in line, bore horizontal, bare faces without run-off rings, no oil hole, no keyway",
        f"{holes} bores alike, each set up, cleaned, measured, heated and cooled by itself" if holes > 1 else "one bore",
    ]
