"""The settings of one layer as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.job.scene import Scene
from sim.laws.cooling import Cooling
from sim.laws.preheat import Preheat
from sim.laws.weld_positions import Position

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
    words: str = ""


@dataclass(frozen=True)
class Kept:
    """Where the arc is off, or a plug is welded over: clock from..to [rad], depth from..to [mm],
    and which it is.
    """

    what: str
    plugged: bool
    clock: Range
    depth: Range


@dataclass(frozen=True)
class Restart:
    """Where to strike again after a stop: back along the bead by `length` [mm] = `angle` [rad],
    against the turning.

    rule: in words.
    """

    length: float
    angle: float
    rule: str


@dataclass(frozen=True)
class Warming:
    """The part as one lump of metal round the bore, an estimate: temperatures [C], times [s], inf
    for never.

    start, end: before and after the layer; passes: arc time after which it passes `until`, the
    interpass temperature, None
    when it does not or none is given; wait: before the next layer, likely; waits: least and most,
    from how much heat the
    surface loses; 0 when none.
    """

    start: float
    end: float
    until: float | None
    passes: float | None
    wait: float
    waits: Range


@dataclass(frozen=True)
class Row:
    """One layer as it is set and what it should come to. Lengths mm, times s, angles rad, travel
    mm/s, kJ/mm.

    number; done: already laid; diameter: mean on diameter before it, diameters: smallest and
    largest met (mean along a
    clock or a turn); round: they differ by less than the travel spread allowed; rotation [rad/s]
    and turn_time on the
    mean; rotations, turn_times: that would hold the travel at the largest and at the smallest
    diameter; travel on the
    mean, travels: at the rotation set; rotation_dial, wire_dial: marks, None without a dial table;
    wire_feed as set, fed:
    as it is counted; pitch: feed per turn; advance, step_over [rad], turning, feed; start_depth,
    end_depth, start_clock;
    closing_start, closing_end [turns]; turns; arcs: number of arc starts; arc_time; wire [g];
    wire_length [mm];
    tip: contact-tip distance set, tip_radius: where the contact tip then stands from the torch
    axis, tips: least and most over a turn, tip_clear: least over a hump; reach: deepest the torch
    goes from the entry face; kept: where the arc is off; positions on the part's clock; gauge:
    smallest and largest
    reading expected on diameter (crests), valley: deepest on diameter, mean_after on diameter;
    restart; arc_energy,
    heat_input at the mean travel, heat_inputs least and most over the turn, cooling, warming: None
    without volts and amps;
    checks against the procedure.
    """

    number: int
    done: bool
    diameter: float
    diameters: Range
    round: bool
    rotation: float
    rotations: Range
    turn_time: float
    turn_times: Range
    travel: float
    travels: Range
    rotation_dial: float | None
    wire_dial: float | None
    wire_feed: float
    fed: float
    pitch: float
    advance: str
    step_over: float | None
    turning: str
    feed: str
    start_depth: float
    end_depth: float
    start_clock: float
    closing_start: int
    closing_end: int
    turns: float
    arcs: int
    arc_time: float
    wire: float
    wire_length: float
    tip: float
    tip_radius: float
    tips: Range
    tip_clear: float
    reach: float
    kept: tuple[Kept, ...]
    positions: tuple[Position, ...]
    gauge: Range
    valley: float
    mean_after: float
    restart: Restart
    arc_energy: float | None
    heat_input: float | None
    heat_inputs: Range | None
    cooling: Cooling | None
    warming: Warming | None
    checks: tuple[Check, ...]

    @property
    def verdict(self) -> str:
        """Against the procedure: outside if any check is, within if at least one is, else not
        given.
        """
        return _worst(self.checks)


@dataclass(frozen=True)
class TurnRow:
    """A line of a rotation table: bore on diameter [mm], rotation [rad/s], seconds per turn, dial
    mark or None.
    """

    diameter: float
    rotation: float
    turn_time: float
    dial: float | None


@dataclass(frozen=True)
class TurnTable:
    """Rotation against diameter at one travel speed [mm/s], for the layers named."""

    travel: float
    layers: tuple[int, ...]
    rows: tuple[TurnRow, ...]


@dataclass(frozen=True)
class SteelFacts:
    """What follows from the steel: None where the scene does not say enough.

    thickness [mm] and how it is known; carbon equivalents [%]; preheat by CET at the coldest layer,
    and by AWS D1.1 Table
    3.3 [C]; measure_at: how far from the bore the preheat is measured [mm]; said: what is missing
    or too cold.
    """

    thickness: float | None
    thickness_known: str
    ce: float | None
    cet: float | None
    pcm: float | None
    preheat: Preheat | None
    preheat_aws: float | None
    measure_at: float | None
    said: tuple[str, ...]


@dataclass(frozen=True)
class Schedule:
    """The settings of a whole job.

    scene; layers; tables of rotation; areas: no-weld areas and plugs; whole_turn: ISO and AWS name
    of a whole turn; steel;
    open_points: what must still be filled in before the settings may be called anything but
    figures; verdict against the
    procedure (within, outside, not given).
    """

    scene: Scene
    layers: tuple[Row, ...]
    tables: tuple[TurnTable, ...]
    areas: tuple[Kept, ...]
    whole_turn: tuple[str, str]
    steel: SteelFacts
    open_points: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """Against the procedure, of all layers together."""
        return _worst([check for row in self.layers for check in row.checks])


def _worst(checks: Sequence[Check]) -> str:
    told = {check.verdict for check in checks}
    return OUTSIDE if OUTSIDE in told else WITHIN if WITHIN in told else NOT_GIVEN
