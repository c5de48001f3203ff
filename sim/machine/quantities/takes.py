"""What a job takes: wire, gas, arc time, shop time and, at the shop's own rates, money; each low,
likely and high.

Low and high hold about 19 jobs in 20. Wire, gas and arc time spread as the scene's own spreads do,
in closed form (no draws); where some of a few draws of the whole job fall short, high holds one
layer more. Times nobody gave spread as common practice does, alike on every bore and layer. Sums
add likely values, and the distances to low and to high by the root of their squares: lines that
hang on the metal laid stray together, the others independently.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import reduce

from sim.machine.boring.cuts import Cuts
from sim.machine.boring.passes import boring_cuts
from sim.machine.quantities.guess import Guess, added
from sim.machine.quantities.hours import hours
from sim.machine.quantities.line import METAL, WAIT, WORK, Line, Quantities
from sim.machine.quantities.metal import RARE, More, material, spools
from sim.machine.quantities.money import fixed, money, not_priced
from sim.plan.odds.verdict import Decision, decide
from sim.reference.errors import SceneError
from sim.reference.remarks import Remark
from sim.shop.judge import FALLS_SHORT, THIN
from sim.shop.result import Result
from sim.shop.several_bores import OnBar

MOST_HOLES = 1000


def quantities(
    result: Result, cuts: Cuts, *, holes: int = 1, wear: tuple[float, float] = (0.0, 0.0)
) -> Quantities:
    """What the whole job takes, layers already laid included, for `holes` bores alike.

    wear: how much less and more metal there may be to lay than the result has, relative, on top of
    the scene's spreads. Raises SceneError for a number of holes that cannot be.
    """
    refuse_holes(holes)
    decided = decide(result.scene, [result])
    more = More.of(result, wear, _short(decided))
    rows = [
        *material(result, holes, more),
        *hours(result, cuts, holes, more),
        *fixed(result.scene),
    ]
    return _priced(result, rows, holes, decided)


def bar_quantities(on_bar: Sequence[OnBar], *, holes: int = 1) -> Quantities:
    """What all bores of a bar take together, `holes` such bars; bar and head are set up once for
    all bores of a bar.

    Figures of one kind stray together from bore to bore. Raises SceneError as `quantities` does.
    """
    if len(on_bar) == 1:
        return quantities(on_bar[0].result, boring_cuts(on_bar[0].result), holes=holes)
    parts = [quantities(one.result, boring_cuts(one.result), holes=holes) for one in on_bar]
    rows: dict[str, Line] = {}
    for row in (row for part in parts for row in part.rows):
        held = rows.get(row.name)
        if held is None:
            rows[row.name] = row
        elif row.name not in ("set_up", "fixed"):
            rows[row.name] = replace(
                held,
                amount=held.amount.plus(row.amount),
                basis=Remark("bores together", bores=len(on_bar), each=row.basis),
            )
    rows["spools"] = spools(on_bar[0].result.scene, rows["wire"].amount)
    worst = min((one.result for one in on_bar), key=lambda result: result.stock.spot.value)
    return _priced(worst, list(rows.values()), holes, decide(worst.scene, [worst]))


def refuse_holes(holes: int) -> None:
    """Raises SceneError for a number of bores alike that cannot be."""
    if not 1 <= holes <= MOST_HOLES:
        raise SceneError(f"holes = {holes}: must be a whole number from 1 to {MOST_HOLES}.")


def _priced(result: Result, rows: Sequence[Line], holes: int, decided: Decision) -> Quantities:
    """Lines priced and added up."""
    scene = result.scene
    priced = [replace(row, money=money(scene, row)) for row in rows]
    sums = {row.name: row.money for row in priced if row.money is not None}
    return Quantities(
        scene=scene,
        holes=holes,
        rows=tuple(priced),
        work=_summed({row.name: row.amount for row in priced if row.kind == WORK}),
        elapsed=_summed({row.name: row.amount for row in priced if row.kind in (WORK, WAIT)}),
        money=_summed(sums) if sums else None,
        currency=scene.rates.currency if scene.rates else "",
        short=_short(decided),
        draws=decided.clean_up_of_100.draws,
        missing=tuple(not_priced(scene)),
        notes=tuple(_notes(result, rows, decided)),
    )


def _summed(parts: Mapping[str, Guess]) -> Guess:
    """The sum of lines by name: those that hang on the metal laid stray together, the others
    independently.
    """
    metal = [one for name, one in parts.items() if name in METAL]
    together = [reduce(Guess.plus, metal)] if metal else []
    return added(together + [one for name, one in parts.items() if name not in METAL])


def _short(decided: Decision) -> float:
    """Part of the draws that leave less than the minimum cut somewhere, or close the bore."""
    return 1.0 - decided.clean_up_of_100.value / 100.0


def _notes(result: Result, rows: Sequence[Line], decided: Decision) -> list[Remark]:
    """How the figures are meant."""
    done, short = result.scene.job.layers_done, _short(decided)
    out = [
        Remark("low to high"),
        Remark(
            "draws ask for a layer more" if short > RARE else "draws ask for no layer more",
            draws=decided.clean_up_of_100.draws,
            short=short,
        ),
        Remark("waiting not priced"),
    ]
    if len(result.layers) > 1 and "interpass" not in {row.name for row in rows}:
        out.append(Remark("waiting not counted"))
    if done:
        out.append(Remark("layers laid counted", done=done, layers=len(result.layers)))
    if decided.verdict in (FALLS_SHORT, THIN):
        out.append(Remark("mending not counted", verdict=decided.verdict))
    return out
