"""What stands on the job sheet: plain blocks of words, figures, blanks and drawings, in order, for PDF and HTML alike.

All wording of the sheet is here; every size stands in both units and says on diameter or per side.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from sim import quantities_note, report, schedule_note
from sim.bar import OnBar, worst_verdict
from sim.card import Card, after_layer_cards
from sim.cautions import CAUTIONS
from sim.cuts import Cuts, Pass, boring_cuts
from sim.job import AFTER, BEFORE, Scene, SceneError
from sim.quantities import Quantities, quantities
from sim.report import VERSION, Say
from sim.scene import digest, final_limits
from sim.schedule import OUTSIDE, WITHIN, Row, Schedule, schedule
from sim.sheet_draw import Drawing, bore_drawing, map_drawing, section_drawing
from sim.simulate import CLEANS_UP, FALLS_SHORT, NOT_PROVEN, THIN, Result
from sim.sources import ASSUMED, MEASURED
from sim.units import INCH, clock_text, said
from sim.wall import TURN

GOOD, DOUBTFUL, BAD = "good", "doubtful", "bad"
STAMPS = {
    CLEANS_UP: (GOOD, "CLEANS UP on the numbers given"),
    THIN: (DOUBTFUL, "THIN: metal everywhere, but less than the least cut asked for"),
    NOT_PROVEN: (DOUBTFUL, "NOT PROVEN: not a promise that it cleans up"),
    FALLS_SHORT: (BAD, "FALLS SHORT: this plan leaves black metal"),
}
NOT_SURE = (DOUBTFUL, "CLEANS UP on the numbers given, but not as surely as asked")
LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
MARGIN = 11.0  # mm of paper
LAYERS_ACROSS = 6
NAME_MOST, NOTE_MOST = 110, 260


@dataclass(frozen=True)
class Stamp:
    """A band across the sheet with a verdict or a stamp; tone: good, doubtful or bad."""

    tone: str
    text: str


@dataclass(frozen=True)
class Lines:
    """A heading ('' for none) and sentences under it; small: not read at the machine."""

    title: str
    lines: tuple[str, ...]
    small: bool = False


@dataclass(frozen=True)
class Tick:
    """A step with a box to tick; hold: nobody goes past it unticked."""

    words: str
    hold: bool = False
    done: bool = False


@dataclass(frozen=True)
class Ticks:
    """Steps in order."""

    title: str
    steps: tuple[Tick, ...]


@dataclass(frozen=True)
class Cell:
    """A figure: in the job's units, then in the other ones ('' for none)."""

    first: str
    second: str = ""


@dataclass(frozen=True)
class Table:
    """Head and rows, the first cell of a row its name; big: figures to set on a machine; wide: widths of the
    columns against each other, () for even ones; '' is a blank to write in.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    big: bool = False
    wide: tuple[float, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A drawing with its heading."""

    title: str
    drawing: Drawing


Block = Stamp | Lines | Ticks | Table | Picture


@dataclass(frozen=True)
class Sheet:
    """The sheet of one bore: paper width and height [mm], title, bore on the bar in words, foot; pages: the blocks of the
    first page, then the rest, which flows.
    """

    paper: tuple[float, float]
    title: str
    bore: str
    note: str
    foot: str
    pages: tuple[tuple[Block, ...], ...]


@dataclass(frozen=True)
class Work:
    """Everything a sheet is made from; cuts None: no bar goes in, why in `no_cuts`."""

    result: Result
    told: Schedule
    cuts: Cuts | None
    no_cuts: str
    takes: Quantities | None
    cards: tuple[Card, ...]


def work_of(result: Result) -> Work:
    """Settings, cuts and quantities of a result. Raises SceneError when a dial cannot give what is asked."""
    told = schedule(result)
    try:
        cuts = boring_cuts(result)
    except SceneError as fault:
        return Work(result, told, None, str(fault), None, cards_of(result))
    return Work(result, told, cuts, "", quantities(result, cuts), cards_of(result))


def cards_of(result: Result) -> tuple[Card, ...]:
    """The after-layer cards of layers still to come; none after the finish cut."""
    if result.scene.job.stage == AFTER:
        return ()
    return after_layer_cards(result.scene)


def sheets(on_bar: Sequence[OnBar]) -> tuple[Sheet, ...]:
    """The sheet of every bore on the bar. Raises SceneError."""
    count, whole = len(on_bar), worst_verdict(on_bar)
    out = []
    for number, one in enumerate(on_bar, 1):
        both = Both.of(one.result)
        where = f"Bore {number} of {count} on the bar: {one.name}, {both.text(one.along, 0)} along the bar. The bar as a whole: {whole}." if count > 1 else ""
        out.append(sheet(work_of(one.result), where))
    return tuple(out)


def sheet(work: Work, bore: str = "") -> Sheet:
    """The sheet of one bore."""
    scene = work.result.scene
    paper = LETTER if scene.job.units == "in" else A4
    name = cut_short(scene.job.name or "Unnamed job", NAME_MOST)
    return Sheet(
        paper=paper,
        title=name,
        bore=bore,
        note=cut_short(scene.job.note, NOTE_MOST),
        foot=f"Job sheet, tool version {VERSION}, scene {digest(scene)}. Estimates, not a welding procedure.",
        pages=(_first(work, paper), (*_second(work), *_third(work))),
    )


def cut_short(text: str, most: int) -> str:
    """A text on one line, its end left out with a mark where it is too long for the sheet.

    >>> cut_short("a  long  name", 8)
    'a long …'
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return plain if len(plain) <= most else plain[: most - 1] + "…"


# ---- both units ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Both:
    """Sizes in the job's units and in the other ones.

    >>> Both(Say("mm"), Say("in")).text(INCH), Both(Say("in"), Say("mm")).text(INCH)
    ('25.40 mm / 1.000 in', '1.000 in / 25.40 mm')
    """

    first: Say
    second: Say

    @classmethod
    def of(cls, result: Result) -> Both:
        """In the units of a result's job."""
        units = result.scene.job.units
        return cls(Say(units), Say("mm" if units == "in" else "in"))

    def text(self, mm: float, digits: int = 2) -> str:
        """A size in a sentence."""
        return f"{self.first.size(mm, digits)} / {self.second.size(mm, max(digits, 1))}"

    def cell(self, mm: float, digits: int = 2) -> Cell:
        """A size in a table."""
        return Cell(self.first.size(mm, digits), self.second.size(mm, max(digits, 1)))

    def span(self, low: float, high: float, digits: int = 2) -> Cell:
        """From one size to another in a table."""
        return Cell(*(_from_to(say.size(low, digits), say.size(high, digits)) for say in (self.first, self.second)))

    def other(self, what: str, value: float) -> Cell:
        """Another kind of quantity: `what` names the method of Say."""
        return Cell(getattr(self.first, what)(value), getattr(self.second, what)(value))


def _from_to(low: str, high: str) -> str:
    return high if low == high else f"{low.split()[0]} to {high}"


_SIZE = re.compile(r"(?<![\w.])(-?\d+(?:\.\d+)?) (mm|in)(?![\w/])")


def in_both(sentence: str) -> str:
    """A sentence with every size that stands in it told in the other unit as well.

    An inch without a decimal point is taken for the word "in".

    >>> in_both("2.54 mm per side in 3 in 10; 1.000 in deep, 440 mm/min")
    '2.54 mm / 0.100 in per side in 3 in 10; 1.000 in / 25.40 mm deep, 440 mm/min'
    """

    def more(found: re.Match[str]) -> str:
        number, unit = found[1], found[2]
        digits = len(number.partition(".")[2])
        if unit == "mm":
            return f"{found[0]} / {float(number) / INCH:.{max(digits + 1, 2)}f} in"
        return f"{found[0]} / {float(number) * INCH:.{max(digits - 1, 0)}f} mm" if digits else found[0]

    return _SIZE.sub(more, sentence)


# ---- first page: the job -------------------------------------------------------------------------------------------


def _first(work: Work, paper: tuple[float, float]) -> tuple[Block, ...]:
    """Verdict, what it rests on, the bore, stock all round it; the drawings lower where there is less room."""
    result, wide = work.result, paper[0] - 2.0 * MARGIN
    verdict = [in_both(line) for line in report.verdict_lines(result)] + how_sure(work)
    rests = rests_on(result)
    rows = sum(math.ceil(len(line) / 95.0) for line in verdict) + sum(math.ceil(len(line) / 125.0) for line in rests)
    tall = (1.0 if paper == A4 else 0.88) - 0.024 * max(rows - 9, 0)
    return (
        Stamp(*stamp(work)),
        Lines("", tuple(verdict)),
        Lines("What it rests on", tuple(rests), small=True),
        Picture("The bore, its clock and its depth", bore_drawing(result, work.told, wide, 58.0 * tall)),
        sizes(work),
        Picture("Stock to bore off, per side, after the last layer", map_drawing(result, wide, 50.0 * tall)),
        Picture("", section_drawing(result, wide, 50.0 * tall)),
    )


def stamp(work: Work) -> tuple[str, str]:
    """What stands across the verdict; a yes that is not as sure as asked says so."""
    takes, verdict = work.takes, work.result.verdict
    unsure = verdict == CLEANS_UP and takes is not None and takes.short > 1.0 - work.result.scene.confidence.asked
    return NOT_SURE if unsure else STAMPS[verdict]


def how_sure(work: Work) -> list[str]:
    """How often the job cleans up when nothing turns out quite as set, where it was drawn."""
    if work.takes is None:
        return []
    cleans, asked = round(100.0 * (1.0 - work.takes.short)), 100.0 * work.result.scene.confidence.asked
    return [f"With beads, tie-in, readings and axes straying as they may it cleans up in {cleans} of 100 ({work.takes.draws} quick draws; asked {asked:g})."]


def rests_on(result: Result) -> list[str]:
    """What was measured, and what nobody measured on this job, in short."""
    scene, rows = result.scene, report.assumptions(result)
    measured = ["bead on a plate"] if scene.bead is not None else []
    measured += ["pad of five beads (tie-in)"] if result.tie_in.measured else []
    measured += ["wire feed"] if scene.wire.feed_measured else []
    worn = "by the sizes given in the scene" if scene.readings is None else "gauged warm" if scene.readings.warm else "gauged cold"
    rest = [row for row in rows if row["how_known"] != MEASURED]
    assumed = [report.plain(row["what"]) for row in rest if row["how_known"] == ASSUMED]
    out = [f"Worn bore: {worn}. Measured: {', '.join(measured) or 'nothing else'}. Published, derived or common practice: {len(rest) - len(assumed)} values. Assumed, nobody knows: {', '.join(assumed)}."]
    return out + [in_both(line) for line in result.warnings[:4]]


def sizes(work: Work) -> Table:
    """The sizes of the bore, on diameter."""
    scene, both = work.result.scene, Both.of(work.result)
    low, high = final_limits(scene.bore)
    named = {
        "smallest worn, on diameter": both.cell(scene.worn.diameter),
        "pre-bore, on diameter": both.cell(scene.pre_bore.diameter) if scene.pre_bore else Cell("none"),
        "finish, lower limit, on diameter": both.cell(low, 3),
        "finish, upper limit, on diameter": both.cell(high, 3) if high - low > 1e-9 else Cell("not given"),
        "length, face to face": both.cell(scene.bore.length, 1),
        "outside of the boss, on diameter": both.cell(scene.bore.outside_diameter, 1) if scene.bore.outside_diameter else Cell("not given"),
    }
    return Table("", ("", *named), ((Cell("sizes"), *named.values()),))


# ---- second page: settings -------------------------------------------------------------------------------------------


def _second(work: Work) -> tuple[Block, ...]:
    told = work.told
    return (
        Stamp(BAD, schedule_note.STAMP) if told.open_points else Stamp(GOOD, f"Settings to procedure {cut_short(told.scene.procedure.number, 40)}, steel {cut_short(told.scene.steel.name, 30)}"),
        *((Lines("", (f"Still to be filled in: {'; '.join(told.open_points)}.",)),) if told.open_points else ()),
        *_settings(work),
        *_cards(work),
        Lines("At the machine", tuple(_at_the_machine(work)), small=True),
        Lines("Mind", tuple(f"{title}: {words}" for title, words in CAUTIONS), small=True),
    )


def _settings(work: Work) -> list[Table]:
    """Figures to set, a column a layer, at most six beside each other."""
    both, rows = Both.of(work.result), work.told.layers
    out = []
    for k in range(0, len(rows), LAYERS_ACROSS):
        part = rows[k : k + LAYERS_ACROSS]
        head = ("", *(f"LAYER {r.number}{' (laid)' if r.done else ''}" for r in part))
        lines = _setting_lines(part, both, work.result.scene)
        out.append(Table("Settings, layer by layer" if k == 0 else "", head, tuple((Cell(name, more), *cells) for name, more, cells in lines), big=True))
    return out


def _cards(work: Work) -> list[Block]:
    """What the gauge says to do after each layer, a row a layer."""
    both, rows = Both.of(work.result), []
    for card in work.cards:
        last, seconds = card.layer == card.layers, card.turn_time
        turn = Cell("-") if seconds is None else Cell(f"{seconds[0]:.1f} to {seconds[1]:.1f} s" if seconds[1] - seconds[0] >= 0.05 else f"{seconds[1]:.1f} s")
        rows.append(
            (
                Cell(f"AFTER LAYER {card.layer}", "then bore" if last else f"then layer {card.layer + 1}"),
                both.span(*card.expected),
                _or_never(both, card.leave_out_under),
                _or_never(both, card.go_on_to),
                _or_never(both, card.another_over, "any size"),
                turn,
            )
        )
    if not rows:
        return []
    head = ("gauge, mean of a dozen crests, on diameter", "9 jobs in 10 read", "UNDER: a layer may be left out", "UP TO: go on", "OVER: lay another", "next layer: one turn takes")
    between = "Between go on and lay another: the layers left at a closer pitch. " if any(c.another_over != c.go_on_to for c in work.cards) else ""
    hangs = "" if all(c.hangs for c in work.cards) else "The least stock lies at a free end, where the gauge does not reach. "
    told = work.cards[0]
    return [
        Table("After-layer cards", head, tuple(rows), wide=(1.5, 1.3, 1.2, 1.0, 1.0, 1.0)),
        Lines("", (f"{between}{hangs}Crests that stray carry the gauge, so a job reads smaller than as set. Estimates from {told.draws} draws of this job, {100 * told.asked:g} of 100 to clean up. Restart after a stop: as in the settings.",), small=True),
    ]


def _or_never(both: Both, size: float | None, never: str = "no size") -> Cell:
    return Cell(never) if size is None else both.cell(size)


def _setting_lines(part: Sequence[Row], both: Both, scene: Scene) -> list[tuple[str, str, list[Cell]]]:
    """Name, small print and a cell for each layer, line by line; lines without any figure left out."""
    lines = [
        ("Bore before", "mean, on diameter", [both.cell(r.diameter) for r in part]),
        ("ROTATION", "turns a minute", [Cell(f"{schedule_note.rpm_words(r.rotation)} rpm") for r in part]),
        ("ONE TURN TAKES", "seconds; in brackets if not round", [Cell(f"{r.turn_time:.1f} s", "" if r.round else f"({r.turn_times[0]:.1f} to {r.turn_times[1]:.1f} s)") for r in part]),
        ("Rotation dial", "mark", [_mark(r.rotation_dial) for r in part]),
        ("WIRE FEED", "as set", [both.other("wire", r.wire_feed) for r in part]),
        ("Wire dial", "mark", [_mark(r.wire_dial) for r in part]),
        ("FEED PER TURN", "pitch", [both.cell(r.pitch) for r in part]),
        ("START", "depth from the entry face, clock", [_start(r, both) for r in part]),
        ("End", "depth from the entry face", [both.cell(r.end_depth, 1) for r in part]),
        ("Turning, feed", "seen from the entry face", [Cell(r.turning, f"feed {r.feed}, {r.advance}") for r in part]),
        ("Closing turns", "feed off, at start and end", [Cell(f"{r.closing_start} and {r.closing_end}") for r in part]),
        ("Turns in all", "arc on", [Cell(f"{r.turns:.1f}", f"{r.arc_time / 60.0:.0f} min") for r in part]),
        ("Contact tip to wall", "contact-tip distance", [both.cell(r.tip, 1) for r in part]),
        ("Torch reach needed", "from the entry face", [both.cell(r.reach, 0) for r in part]),
        ("RESTART: turn back", "along the wall, after a stop", [_back(r, both) for r in part]),
        *_heat_rows(part, both, scene),
        ("GAUGE SHOULD READ", "crests, on diameter, if as set", [both.span(*r.gauge) for r in part]),
        ("Deepest valley", "on diameter", [both.cell(r.valley) for r in part]),
    ]
    return [one for one in lines if any(cell.first for cell in one[2])]


def _mark(mark: float | None) -> Cell:
    return Cell("" if mark is None else f"{mark:.2f}")


def _start(r: Row, both: Both) -> Cell:
    first = f"{both.first.size(r.start_depth, 1)} at {clock_text(r.start_clock)}"
    return Cell(first, both.second.size(r.start_depth, 1))


def _back(r: Row, both: Both) -> Cell:
    minutes = r.restart.angle / TURN * 720.0
    return Cell(both.first.size(r.restart.length, 1), f"{both.second.size(r.restart.length, 1)}, {minutes:.0f} min of clock")


def _heat_rows(part: Sequence[Row], both: Both, scene: Scene) -> list[tuple[str, str, list[Cell]]]:
    """Volts, amps, heat input and the procedure, where given."""
    e, out = scene.electrical, []
    if e.voltage is not None and e.current is not None:
        heats = [" / ".join(say.energy(r.heat_input or 0.0) for say in (both.first, both.second)) for r in part]
        out.append(("Volts, amps", "heat input EN 1011-1, estimate", [Cell(f"{e.voltage:g} V {e.current:g} A", heat) for heat in heats]))
    if any(r.verdict in (WITHIN, OUTSIDE) for r in part):
        out.append(("Qualified procedure", "of the ranges given", [Cell(r.verdict.upper() if r.verdict == OUTSIDE else r.verdict) for r in part]))
    return out


def _at_the_machine(work: Work) -> list[str]:
    """Restart, areas without weld, positions, what lies outside the procedure."""
    told, both, scene = work.told, Both.of(work.result), work.result.scene
    out = [f"After a stop: {in_both(schedule_note.restart_words(told.layers[0], both.first))}"]
    for one in told.areas:
        where = f"{clock_text(one.clock[0])} to {clock_text(one.clock[1])}, {both.text(one.depth[0], 0)} to {both.text(one.depth[1], 0)} deep"
        out.append(f"{one.what.capitalize()} plugged, welded over and cut again: {where}." if one.plugged else f"ARC OFF at the {one.what}: {where}.")
    iso, aws = told.whole_turn
    round_clock = "; ".join(schedule_note.position_words(p) for p in told.layers[0].positions)
    out.append(f"Weld positions round the clock, layer 1 (whole turn ISO 6947 {iso}, AWS {aws}): {round_clock}.")
    for row in told.layers:
        lines = [line for line in schedule_note.check_lines(row, both.first) if line.startswith("OUTSIDE")]
        out += [f"Layer {row.number}: {in_both(line)}" for line in lines]
    out += _preheat(told, both, scene)
    return [*out, f"Brush every layer bright before the next. Gauge on the crests, cold or with the part's temperature written beside it. Travel {_pace(told, both)} at the wall."]


def _pace(told: Schedule, both: Both) -> str:
    """The travel speeds of the job, both units."""
    pairs = dict.fromkeys((both.first.travel(r.travel), both.second.travel(r.travel)) for r in told.layers)
    return ", ".join(f"{a} / {b}" for a, b in pairs)


def _preheat(told: Schedule, both: Both, scene: Scene) -> list[str]:
    """Preheat and interpass temperature, where given."""
    out, heat, steel = [], scene.heat, told.steel
    if heat.preheat is not None:
        where = "" if steel.measure_at is None else f", measured {both.text(steel.measure_at, 0)} from the bore"
        out.append(f"Preheat {_warm(heat.preheat, both)}{where}.")
    limit = heat.interpass if heat.interpass is not None else scene.procedure.interpass_most
    if limit is not None:
        out.append(f"Interpass: let it cool to {_warm(limit, both)} before the next layer.")
    return [*out, *(f"{line[:1].upper()}{line[1:]}." for line in map(_warm_in_both, steel.said))]


def _warm_in_both(sentence: str) -> str:
    """A sentence with every temperature [C] told in F as well."""
    return re.sub(r"(-?\d+) C\b", lambda found: f"{found[0]} / {1.8 * float(found[1]) + 32.0:.0f} F", sentence)


def _warm(celsius: float, both: Both) -> str:
    return f"{both.first.temperature(celsius)} / {both.second.temperature(celsius)}"


# ---- third page: order, readings, cuts, sign-off --------------------------------------------------------------------


def _third(work: Work) -> tuple[Block, ...]:
    return (
        order(work),
        *readings_forms(work),
        *cuts_blocks(work),
        *_takes(work),
        Table("", ("Sign-off", "hold points seen", "welded", "bored and measured", "accepted"), tuple((Cell(what), *(Cell("") for _ in range(4))) for what in ("name", "date"))),
    )


def order(work: Work) -> Ticks:
    """The job in order with its hold points, as common practice has it."""
    scene, both, held = work.result.scene, Both.of(work.result), work.result.scene.hold_points
    begun, cut = scene.job.stage != BEFORE, scene.job.stage == AFTER
    pre = f"Pre-bore to {both.text(scene.pre_bore.diameter)} on diameter" if scene.pre_bore else "No pre-bore planned: bright metal everywhere"
    warm = f"Preheat to {_warm(scene.heat.preheat, both)}" if scene.heat.preheat is not None else "Preheat as the procedure says"
    steps = [
        Tick("Load blocked, stored energy let off", True, held.load_blocked),
        Tick("Clean, degrease; hollow sections open, clean, vented", True, held.cavity_vented),
        Tick("Measure cold (form below)", done=begun),
        Tick(pre, done=begun),
        Tick("Crack check: none left", True, held.cracks_checked),
        Tick("Work lead at the bore; fire watch, extraction on", True, held.work_lead_at_bore),
        Tick(warm, done=begun),
        *(Tick(f"Layer {r.number}: lay, brush, measure", done=r.done) for r in work.told.layers[:8]),
        Tick("Cool slowly, covered", done=cut),
        Tick("Measure cold", done=cut),
        *_boring_steps(work, both),
        Tick("Crack check of the finished bore", True),
        Tick("Chamfer both mouths"),
        Tick("Oil hole and keyway open and deburred" if scene.oil_hole or scene.keyway else "Oil hole, if there is one: open and deburr"),
        Tick("Trial fit", True),
    ]
    return Ticks("The job in order. HOLD: nobody goes past it unticked", tuple(steps))


def _boring_steps(work: Work, both: Both) -> list[Tick]:
    cut = work.result.scene.job.stage == AFTER
    low, high = final_limits(work.result.scene.bore)
    size = both.text(low, 3) if high - low < 1e-9 else f"{both.text(low, 3)} to {both.text(high, 3)}"
    return [Tick("Rough bore, by the cuts below", done=cut), Tick(f"Finish bore: {size} on diameter", done=cut)]


PAIRS = ("12 - 6", "1:30 - 7:30", "3 - 9", "4:30 - 10:30")


def readings_forms(work: Work) -> list[Table]:
    """Blanks for two-point readings: three depths by four diameters, before, after each layer, after the finish cut."""
    result, both = work.result, Both.of(work.result)
    stages = ["before, cold", *(f"after layer {r.number}" for r in work.told.layers), "finished, cold"]
    length, out = result.scene.bore.length, []
    for k in range(0, len(stages), 8):
        part = stages[k : k + 8]
        rows = [
            (Cell(f"{both.first.size(share * length, 0)} deep, {pair}", both.second.size(share * length, 1)), *(Cell("") for _ in part))
            for share in (0.25, 0.5, 0.75)
            for pair in PAIRS
        ]
        rows.append((Cell("temperature of the part"), *(Cell("") for _ in part)))
        title = "Readings: two-point gauge, on diameter, on the crests. Unit used:  [  ] mm   [  ] in" if k == 0 else ""
        out.append(Table(title, ("depth from the entry face, clock", *part), tuple(rows)))
    return out


CUTS_HEAD = ("pass", "from (crests), on diameter", "set to, on diameter", "cut per side", "rpm", "feed per turn", "time", "no metal")
CUTS_WIDE = (1.1, 1.2, 1.2, 1.6, 0.6, 1.0, 0.8, 0.7)


def cuts_blocks(work: Work) -> list[Block]:
    """The boring passes and what to look at."""
    if work.cuts is None:
        return [Lines("Boring cuts", (in_both(work.no_cuts),))]
    cuts, both = work.cuts, Both.of(work.result)
    bar = f"bar {both.text(cuts.bar.diameter, 1)} on diameter, {cuts.bar.held}{'' if cuts.bar_given else ', usual values: none was given'}"
    rows = tuple(_cut_row(number, one, both) for number, one in enumerate(cuts.passes, 1))
    out: list[Block] = [Table(f"Boring cuts; {bar}", CUTS_HEAD, rows, wide=CUTS_WIDE)]
    return [*out, Lines("", tuple(in_both(line) for line in cuts.warnings[:5]), small=True)] if cuts.warnings else out


def _cut_row(number: int, one: Pass, both: Both) -> tuple[Cell, ...]:
    return (
        Cell(f"{number} {one.kind}", "done" if one.done else ""),
        both.cell(one.met),
        both.cell(one.size, 3),
        both.span(one.depth.least, one.depth.most),
        Cell(said(one.turning, "rotation", "mm", 0).split()[0]),
        both.cell(one.feed, 3),
        Cell(quantities_note.in_time(one.time)),
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
            told = [quantities_note.amount(row.amount, row.unit, say.units) for say in (both.first, both.second)]
            parts.append(f"{what} {told[0]}" + (f" / {told[1]}" if told[1] != told[0] else ""))
    parts.append(f"worked {quantities_note.amount(found.work, 's', both.first.units)}")
    return [Lines("What it takes, low - likely - high", ("; ".join(parts) + ". Estimates: common practice where your own times are not given.",), small=True)]
