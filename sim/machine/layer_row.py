"""The settings of one layer as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sim.job.key import FROM_TO, LEAST_MOST, PARTS, RANGE, REMARKS, figure
from sim.job.scene import Scene
from sim.laws.weld_positions import Position
from sim.machine.between.card import Card
from sim.reference.remarks import Remark

WITHIN, OUTSIDE, NOT_GIVEN = "within", "outside", "not given"


Range = tuple[float, float]


@dataclass(frozen=True)
class Check:
    """One quantity of a layer against the qualified procedure.

    what; kind (see sim.units, or text); run: least and most that is run, None when the job does not
    give it; allowed:
    least and most of the procedure, None where it gives none; verdict: within, outside, not given;
    by: how far outside
    (same unit, a difference), 0 otherwise; words: what is missing or, for text, what lies outside.
    """

    what: str
    kind: str
    run: Range | None
    allowed: tuple[float | None, float | None]
    verdict: str
    by: float = 0.0
    words: Remark | None = None


# fmt: off
# one declaration a line


@dataclass(frozen=True)
class Kept:
    """Where the arc is off, or a plug is welded over."""

    what: str = figure("text", "what is there")
    plugged: bool = figure("flag", "a plug is welded over and cut again; else the arc is off")
    clock: Range = figure("clock", "on the part's clock", name="", form=FROM_TO)
    depth: Range = figure("length", "from the entry face", form=FROM_TO)


@dataclass(frozen=True)
class Restart:
    """Where to strike again after a stop: back along the bead, against the turning."""

    length: float = figure("length", "back along the wall", name="back")
    angle: float = figure("angle", "back round the bore", name="back")
    rule: Remark = figure(REMARKS, "what to do")


@dataclass(frozen=True)
class Warming:
    """The part as one lump of metal round the bore, an estimate; inf for never."""

    start: float = figure("temperature", "before the layer")
    end: float = figure("temperature", "after the layer")
    until: float | None = figure("temperature", "the interpass temperature, None when none is given", name="interpass")
    passes: float | None = figure("time", "arc time after which it passes that, None when it does not", name="passes_interpass_after", endless=True)
    wait: float = figure("time", "before the next layer, likely; 0 when none", endless=True)
    waits: Range = figure("time", "least and most, from how much heat the surface loses", name="wait", form=RANGE, endless=True)


@dataclass(frozen=True, kw_only=True)
class LayerSettings:
    """One layer as it is set and what it should come to."""

    number: int = figure("integer", "from 1", name="layer")
    done: bool = figure("flag", "already laid")
    rotation: float = figure("rotation", "that gives the travel at the mean radius")
    rotations: Range = figure("rotation", "that would hold the travel at the largest and at the smallest diameter", name="rotation", form=RANGE)
    turn_time: float = figure("number", "seconds a turn on the mean", name="seconds_per_turn")
    turn_times: Range = figure("number", "seconds a turn that would hold the travel", name="seconds_per_turn", form=RANGE)
    travel: float = figure("speed", "on the mean radius")
    travels: Range = figure("speed", "at the rotation set", name="travel", form=RANGE)
    diameter: float = figure("length", "bore before the layer, mean on diameter", name="bore_before")
    diameters: Range = figure("length", "smallest and largest met, mean along a clock or a turn", name="bore_before", form=RANGE)
    round: bool = figure("flag", "diameters differ by less than the travel spread allowed")
    rotation_dial: float | None = figure("number", "mark, None without a dial table")
    wire_dial: float | None = figure("number", "mark, None without a dial table")
    wire_feed: float = figure("feed", "as set")
    fed: float = figure("feed", "as weighed or counted", name="wire_fed")
    pitch: float = figure("length", "feed per turn", name="feed_per_turn")
    advance: str = figure("text", "spiral, or full turns with a step between")
    step_over: float | None = figure("angle", "within which a step is made; None for a spiral")
    turning: str = figure("text", "seen from the entry face")
    feed: str = figure("text", "in or out")
    start_depth: float = figure("length", "from the entry face")
    end_depth: float = figure("length", "from the entry face")
    start_clock: float = figure("clock", "where the arc is struck", name="start")
    closing_start: int = figure("integer", "turns with the feed off at the start", name="closing_turns_start")
    closing_end: int = figure("integer", "turns with the feed off at the end", name="closing_turns_end")
    turns: float = figure("number", "in all")
    arcs: int = figure("integer", "how often the arc is struck", name="arc_starts")
    arc_time: float = figure("time", "arc on")
    wire: float = figure("mass", "wire fed")
    wire_length: float = figure("length", "wire fed", name="wire")
    tip: float = figure("length", "contact-tip distance set", name="contact_tip")
    tip_radius: float = figure("length", "where the contact tip then stands from the torch axis", name="contact_tip_from_axis")
    tips: Range = figure("length", "least and most over a turn", name="contact_tip", form=RANGE)
    tip_clear: float = figure("length", "least over a hump", name="contact_tip_least_over_hump")
    reach: float = figure("length", "deepest the torch goes from the entry face", name="torch_reach")
    arc_off: tuple[Kept, ...] = figure(PARTS, "where the arc is off")
    positions: tuple[Position, ...] = figure(PARTS, "weld positions on the part's clock")
    gauge: Range | None = figure("length", "mean of a dozen crests that 9 jobs in 10 read after it, on diameter, as on the after-layer card; None where no card was worked out", name="gauge_diameter", form=LEAST_MOST)
    valley: float = figure("length", "deepest after it, on diameter", name="valley_diameter")
    mean_after: float = figure("length", "mean after it, on diameter", name="mean_diameter_after")
    restart: Restart = figure(PARTS, "after a stop")
    arc_energy: float | None = figure("energy", "no efficiency in it (AWS); None without volts and amps")
    heat_input: float | None = figure("energy", "EN 1011-1, at the mean travel; None without volts and amps")
    heat_inputs: Range | None = figure("energy", "least and most over the turn", name="heat_input", form=RANGE)
    voltage: float | None = figure("voltage", "as given")
    current: float | None = figure("current", "as given")
    cooling_time: float | None = figure("time", "800 to 500 C; None without volts and amps")
    cooling_flow: str | None = figure("text", "2-D or 3-D")
    transition_thickness: float | None = figure("length", "2-D under this")
    warming: Warming | None = figure(PARTS, "how warm the part gets; None without volts and amps")
    verdict: str = figure("text", "outside if any check is, within if at least one is, else not given", name="against_procedure")
    checks: tuple[Check, ...] = figure(PARTS, "against the procedure, one by one")
    kept: tuple[Kept, ...]
    """Everything in the way: where the arc is off, and plugs that are welded over."""


@dataclass(frozen=True)
class TurnRow:
    """A line of a rotation table."""

    diameter: float = figure("length", "bore on diameter")
    rotation: float = figure("rotation", "that gives the travel there")
    turn_time: float = figure("number", "seconds a turn", name="seconds_per_turn")
    dial: float | None = figure("number", "mark, None without a dial table", name="rotation_dial")


@dataclass(frozen=True)
class TurnTable:
    """Rotation against diameter at one travel speed, for the layers named."""

    travel: float = figure("speed", "at the wall")
    layers: tuple[int, ...] = figure("integers", "layers it is for")
    rows: tuple[TurnRow, ...] = figure(PARTS, "from the largest diameter to the smallest")


@dataclass(frozen=True, kw_only=True)
class SteelFacts:
    """What follows from the steel: None where the scene does not say enough."""

    thickness: float | None = figure("length", "that draws the heat off")
    thickness_known: Remark = figure(REMARKS, "how it is known")
    ce: float | None = figure("percent", "carbon equivalent of the IIW", name="ce_iiw")
    cet: float | None = figure("percent", "carbon equivalent CET")
    pcm: float | None = figure("percent", "carbon equivalent Pcm")
    preheat: float | None = figure("temperature", "by CET (EN 1011-2 C.3), the highest any layer asks for", name="preheat_by_cet")
    preheat_outside: tuple[Remark, ...] = figure(REMARKS, "where that lies outside what the formula was made for", name="preheat_by_cet_outside")
    preheat_aws: float | None = figure("temperature", "least by AWS D1.1 Table 3.3", name="preheat_aws_d1_1")
    measure_at: float | None = figure("length", "from the bore, where the preheat is measured", name="measure_preheat_at")
    said: tuple[Remark, ...] = figure(REMARKS, "what is missing or too cold")


# fmt: on


@dataclass(frozen=True)
class Schedule:
    """The settings of a whole job.

    scene; layers; tables of rotation; areas: no-weld areas and plugs; whole_turn: ISO and AWS name
    of a whole turn; steel;
    open_points: what must still be filled in before the settings may be called anything but
    figures; verdict against the
    procedure (within, outside, not given); cards: what the gauge says to do after each layer.
    """

    scene: Scene
    layers: tuple[LayerSettings, ...]
    tables: tuple[TurnTable, ...]
    areas: tuple[Kept, ...]
    whole_turn: tuple[str, str]
    steel: SteelFacts
    open_points: tuple[str, ...]
    cards: tuple[Card, ...] = ()

    def carded(self, cards: Sequence[Card]) -> Schedule:
        """The same settings with these cards, and what they expect the gauge to read."""
        expected = {card.layer: card.expected for card in cards}
        layers = tuple(replace(row, gauge=expected.get(row.number)) for row in self.layers)
        return replace(self, layers=layers, cards=tuple(cards))

    @property
    def verdict(self) -> str:
        """Against the procedure, of all layers together."""
        return worst([check for row in self.layers for check in row.checks])


def worst(checks: Sequence[Check]) -> str:
    """Outside the procedure if any check is, within if at least one is, else not given."""
    told = {check.verdict for check in checks}
    return OUTSIDE if OUTSIDE in told else WITHIN if WITHIN in told else NOT_GIVEN
