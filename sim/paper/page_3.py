"""Page 3: order of work, boring, forms."""

from __future__ import annotations

from sim.job.checks import final_limits
from sim.job.sections.bore import AFTER, BEFORE
from sim.machine.boring.cuts import PRE_BORE, Pass
from sim.paper.blocks import (
    Block,
    Both,
    Cell,
    Lines,
    Table,
    Tick,
    Ticks,
    in_both,
    temperature_in_both,
)
from sim.paper.work import Work
from sim.reference.units import said
from sim.tell.quantities import amount, in_time
from sim.tell.remarks import lines


def third_page(work: Work) -> tuple[Block, ...]:
    """Steps in order, forms to fill in, cuts, and what the job takes."""
    return (
        order(work),
        *readings_forms(work),
        *cuts_blocks(work),
        *_takes(work),
        Table(
            "",
            ("Sign-off", "hold points seen", "welded", "bored and measured", "accepted"),
            tuple((Cell(what), *(Cell("") for _ in range(4))) for what in ("name", "date")),
        ),
    )


def order(work: Work) -> Ticks:
    """The job in order with its hold points, as common practice has it."""
    scene, both, held = work.result.scene, Both.of(work.result), work.result.scene.hold_points
    begun, cut = scene.job.stage != BEFORE, scene.job.stage == AFTER
    pre = (
        f"Pre-bore to {both.text(scene.pre_bore.diameter)} on diameter"
        if scene.pre_bore
        else "No pre-bore planned: bright metal everywhere"
    )
    warm = (
        f"Preheat to {temperature_in_both(scene.heat.preheat, both)}"
        if scene.heat.preheat is not None
        else "Preheat as the procedure says"
    )
    steps = [
        Tick("Load blocked, stored energy let off", True, held.load_blocked),
        Tick("Clean, degrease; hollow sections open, clean, vented", True, held.cavity_vented),
        Tick("Measure cold (form below)", done=begun),
        Tick(pre, done=begun),
        Tick("Crack check: none left", True, held.cracks_checked),
        Tick("Work lead at the bore; fire watch, extraction on", True, held.work_lead_at_bore),
        Tick(warm, done=begun),
        *(
            Tick(f"Layer {r.number}: lay, brush, measure", done=r.done)
            for r in work.told.layers[:8]
        ),
        Tick("Cool slowly, covered", done=cut),
        Tick("Measure cold", done=cut),
        *_boring_steps(work, both),
        Tick("Crack check of the finished bore", True),
        Tick("Chamfer both mouths"),
        Tick(
            "Oil hole and keyway open and deburred"
            if scene.oil_hole or scene.keyway
            else "Oil hole, if there is one: open and deburr"
        ),
        Tick("Trial fit", True),
    ]
    return Ticks("The job in order. HOLD: nobody goes past it unticked", tuple(steps))


def _boring_steps(work: Work, both: Both) -> list[Tick]:
    cut = work.result.scene.job.stage == AFTER
    low, high = final_limits(work.result.scene.bore)
    size = (
        both.text(low, 3) if high - low < 1e-9 else f"{both.text(low, 3)} to {both.text(high, 3)}"
    )
    return [
        Tick("Rough bore, by the cuts below", done=cut),
        Tick(f"Finish bore: {size} on diameter", done=cut),
    ]


PAIRS = ("12 - 6", "1:30 - 7:30", "3 - 9", "4:30 - 10:30")


def readings_forms(work: Work) -> list[Table]:
    """Blanks for two-point readings: three depths by four diameters, before, after each layer,
    after the finish cut.
    """
    result, both = work.result, Both.of(work.result)
    stages = [
        "before, cold",
        *(f"after layer {r.number}" for r in work.told.layers),
        "finished, cold",
    ]
    length, out = result.scene.bore.length, []
    for k in range(0, len(stages), 8):
        part = stages[k : k + 8]
        rows = [
            (
                Cell(
                    f"{both.first.size(share * length, 0)} deep, {pair}",
                    both.second.size(share * length, 1),
                ),
                *(Cell("") for _ in part),
            )
            for share in (0.25, 0.5, 0.75)
            for pair in PAIRS
        ]
        rows.append((Cell("temperature of the part"), *(Cell("") for _ in part)))
        title = (
            "Readings: two-point gauge, on diameter, on the crests. Unit used:  [  ] mm   [  ] in"
            if k == 0
            else ""
        )
        out.append(Table(title, ("depth from the entry face, clock", *part), tuple(rows)))
    return out


CUTS_HEAD = (
    "pass",
    "from (gauge), on diameter",
    "set to, on diameter",
    "cut per side",
    "rpm",
    "feed per turn",
    "time",
    "no metal",
)


CUTS_WIDE = (1.3, 1.7, 1.1, 1.4, 0.5, 0.8, 0.7, 0.7)


def cuts_blocks(work: Work) -> list[Block]:
    """The boring passes and what to look at."""
    if work.cuts is None:
        return [Lines("Boring cuts", (in_both(work.no_cuts),))]
    cuts, both = work.cuts, Both.of(work.result)
    bar = (
        f"bar {both.text(cuts.bar.diameter, 1)} on diameter, "
        f"{cuts.bar.held}{'' if cuts.bar_given else ', usual values: none was given'}"
    )
    rows = tuple(_cut_row(number, one, work, both) for number, one in enumerate(cuts.passes, 1))
    out: list[Block] = [Table(f"Boring cuts; {bar}", CUTS_HEAD, rows, wide=CUTS_WIDE)]
    return (
        [
            *out,
            Lines(
                "",
                tuple(in_both(line) for line in lines(cuts.warnings[:5], both.first)),
                small=True,
            ),
        ]
        if cuts.warnings
        else out
    )


def _first_cut(work: Work) -> int:
    """Number of the first cut into the weld that takes more than humps, by what the gauge reads on
    the last layer; 0 where that is not known.
    """
    last = next((card for card in work.cards if card.layer == card.layers), None)
    if last is None or work.cuts is None:
        return 0
    return next(
        (
            number
            for number, one in enumerate(work.cuts.passes, 1)
            if one.kind != PRE_BORE and one.size > last.expected[0]
        ),
        0,
    )


def _cut_row(number: int, one: Pass, work: Work, both: Both) -> tuple[Cell, ...]:
    first = _first_cut(work)
    humps = number < first and one.kind != PRE_BORE
    return (
        Cell(f"{number} {one.kind}", "done" if one.done else "humps" if humps else ""),
        both.span(*work.cards[-1].expected) if number == first else both.cell(one.met),
        both.cell(one.size, 3),
        both.span(one.depth.least, one.depth.most),
        Cell(said(one.turning, "rotation", "mm", 0).split()[0]),
        both.cell(one.feed, 3),
        Cell(in_time(one.time)),
        Cell(f"{100.0 * one.interrupted:.0f} %"),
    )


def _takes(work: Work) -> list[Block]:
    """Wire, gas and time, low - likely - high."""
    found = work.takes
    if found is None:
        return []
    both = Both.of(work.result)
    parts = []
    for name, what in (("wire", "wire"), ("gas", "gas"), ("arc", "arc on")):
        row = found.of(name)
        if row is not None:
            told = [amount(row.amount, row.unit, say.units) for say in (both.first, both.second)]
            parts.append(f"{what} {told[0]}" + (f" / {told[1]}" if told[1] != told[0] else ""))
    parts.append(f"worked {amount(found.work, 's', both.first.units)}")
    return [
        Lines(
            "What it takes, low - likely - high",
            (
                "; ".join(parts)
                + ". Estimates: common practice where your own times are not given.",
            ),
            small=True,
        )
    ]
