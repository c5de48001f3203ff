"""What is told of a result: every figure once, with its name, unit and meaning.

JSON, its schema and the heads of the CSV files follow from here; `sim.tell.result_json` fills it in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.job.key import PAIR, PARTS, REMARKS, figure, old
from sim.reference.remarks import Remark
from sim.shop.judge import CLEANS_UP, VERDICTS

SCHEMA = 1


WHOLE_JOB = {"description": "of the whole job: nobody but " + CLEANS_UP + " is a yes"}


# fmt: off
# one declaration a line


@dataclass(frozen=True)
class PlaceTold:
    """A place on the wall."""

    depth: float = figure("length", "from the entry face")
    clock: float = figure("clock", "on the part's clock", name="")


@dataclass(frozen=True)
class WeldLeftTold:
    """Where the finish cut leaves least weld."""

    least: float = figure("number", "per side", name="min")
    at: PlaceTold = figure(PARTS, "where")


@dataclass(frozen=True)
class GaugeTold:
    """What a two-point gauge reads."""

    least: float = figure("number", "smallest reading", name="min")
    most: float = figure("number", "largest reading", name="max")


@dataclass(frozen=True)
class WavinessTold:
    """Profile of the beads along the bore, unfiltered, about its line (ISO 21920-2)."""

    wa: float = figure("number", "arithmetic mean height")
    wq: float = figure("number", "root mean square height")
    wt: float = figure("number", "total height")


@dataclass(frozen=True, kw_only=True)
class LayerTold:
    """A layer: how it is run and what it did; gauge and valley between the second turn from either
    end.
    """

    pitch: float = figure("length", "feed per turn")
    advance: str = figure("text", "spiral, or full turns with a step between")
    turning: str = figure("text", "seen from the entry face")
    feed: str = figure("text", "in or out")
    rotation: float = figure("rotation", "as set")
    turn_time: float = figure("number", "seconds a turn", name="seconds_per_turn")
    travel: float = figure("speed", "on the mean radius")
    wire_feed: float = figure("feed", "as set")
    bead_width: float = figure("length", "of a bead by itself")
    bead_height: float = figure("length", "of a bead by itself")
    turns: float = figure("number", "in all")
    start_depth: float = figure("length", "from the entry face")
    end_depth: float = figure("length", "from the entry face")
    start_clock: float = figure("clock", "where the arc is struck", name="start")
    closing_start: int = figure("number", "turns with the feed off at the start", name="closing_turns_start")
    closing_end: int = figure("number", "turns with the feed off at the end", name="closing_turns_end")
    q: float = figure("number", "metal laid per radian of turning", name="q_mm3_per_rad")
    radius: float = figure("length", "of the wall it meets", name="mean_radius_before")
    mean_thickness: float = figure("length", "metal added, per side")
    ripple: float = figure("length", "largest over the clock, crest to valley; none with too few turns", endless=True)
    ripple_clock: float = figure("clock", "where that is", name="ripple_at", endless=True)
    waviness: WavinessTold = figure(PARTS, "along the clock of the largest ripple, or of the least stock", name="waviness_mm")
    gauge: GaugeTold = figure(PARTS, "two-point readings, on diameter", name="gauge_diameter_mm")
    valley: float = figure("length", "deepest valley, on diameter", name="valley_diameter")
    volume: float = figure("number", "metal laid", name="volume_mm3")
    lost: float = figure("number", "of that laid, outside the bore", name="lost_volume_mm3")
    wire: float = figure("number", "wire fed", name="wire_mm3")
    mass: float = figure("mass", "metal laid")
    arc_time: float = figure("time", "arc on")


@dataclass(frozen=True)
class SpotTold:
    """A patch of wall that lies too low."""

    area: float = figure("number", "of the patch", name="area_mm2")
    deepest: float = figure("length", "beyond the finish surface, per side; negative short of it")
    at: PlaceTold = figure(PARTS, "where it is deepest", name="deepest_at")
    clock_from: float = figure("number", "clockwise from, hours", name="oclock_from")
    clock_to: float = figure("number", "to, hours; 12 for a whole turn", name="oclock_to")
    depth_from: float = figure("length", "from the entry face")
    depth_to: float = figure("length", "from the entry face")
    cause: str = figure("text", "why")


@dataclass(frozen=True)
class AssumptionTold:
    """A value the answer rests on besides the scene's own."""

    what: str = figure("text", "what is taken for granted")
    value: float = figure("number", "in its unit")
    unit: str = figure("text", "of the value; 1 where it has none")
    how_known: str = figure("text", "measured, published, assumed and so on")
    source: str = figure("text", "where it is from")


@dataclass(frozen=True)
class OutOf100Told:
    """How many of 100 jobs like this clean up."""

    value: float = figure("number", "counted")
    low: float = figure("number", "least it may be, honest after stopping")
    high: float = figure("number", "most it may be")
    asked: float = figure("number", "how many of 100 shall")
    draws: int = figure("number", "draws made")


@dataclass(frozen=True)
class LeastStockTold:
    """Least stock per side."""

    planned: float = figure("number", "as planned")
    typical: float = figure("number", "half of the jobs leave more", endless=True)
    bad: float = figure("number", "19 in 20 leave more", endless=True)


@dataclass(frozen=True)
class OpenTold:
    """What no draw speaks for, so that a yes cannot be given."""

    what: str = figure("text", "what stands open")
    closes: str = figure("text", "what would close it")


@dataclass(frozen=True, kw_only=True)
class DecidedTold:
    """The verdict on a whole job: None for each where nothing was drawn, so that there is none."""

    verdict: str | None = figure("text", "on the whole job", choices=VERDICTS, also=WHOLE_JOB)
    clean_up_of_100: OutOf100Told | None = figure(PARTS, "how many of 100 jobs like this clean up")
    least_stock: LeastStockTold | None = figure(PARTS, "per side", name="least_stock_mm")
    open: tuple[OpenTold, ...] | None = figure(PARTS, "what stands open")
    rests_on: tuple[str, ...] | None = figure("texts", "what is taken for granted")


@dataclass(frozen=True, kw_only=True)
class ChangeTold:
    """What is changed in a job."""

    words: Remark = figure(REMARKS, "what to do")
    change: Mapping[str, Any] = figure("keys", "scene keys and their values")
    works: bool = figure("flag", "as sure as asked", choices=(True,), also={"type": "boolean"} | old("every remedy told works"))


@dataclass(frozen=True, kw_only=True)
class RemedyTold(DecidedTold, ChangeTold):
    """A change that was simulated and drawn: the change, its verdict, then these."""

    minimum: float = figure("length", "least stock as planned, per side", name="minimum_stock")
    pessimist: float = figure("length", "with the poorest tie-in", name="pessimist_minimum_stock", also=old("no verdict rests on it"))
    extra_wire: float = figure("number", "more wire than the job as it stands", name="extra_wire_mm3")
    extra_time: float = figure("time", "more arc time than the job as it stands", name="extra_arc_time")
    extra_cost: float = figure("number", "more money than the job as it stands; none without prices", endless=True)


@dataclass(frozen=True)
class SettleTold:
    """Something to measure or look at."""

    words: Remark = figure(REMARKS, "what to measure or look at")
    decides: bool = figure("flag", "it settles the matter, up or down")


@dataclass(frozen=True, kw_only=True)
class AdviceTold:
    """What would fix it; not there unless asked for."""

    settle: tuple[SettleTold, ...] | None = figure(PARTS, "what decides first", name="to_settle", left_out=True)
    remedies: tuple[RemedyTold, ...] | None = figure(PARTS, "as sure as asked, cheapest first", left_out=True)
    binds: str | None = figure("text", "why there is no remedy, empty where there is one", name="remedies_bind", left_out=True)


@dataclass(frozen=True, kw_only=True)
class BoreTold:
    """One bore of a bar by itself; None for each of the verdict where nothing was drawn."""

    name: str = figure("text", "as in the scene")
    along: float = figure("length", "its entry face, along the bar")
    verdict: str | None = figure("text", "on this bore", choices=VERDICTS, also=WHOLE_JOB)
    clean_up_of_100: float = figure("number", "how many of 100 clean up", endless=True)
    least_stock: LeastStockTold | None = figure(PARTS, "per side", name="least_stock_mm")
    open: tuple[OpenTold, ...] | None = figure(PARTS, "what stands open")
    minimum: float = figure("length", "least stock as planned", name="minimum_stock", also=old("least_stock_mm.planned"))
    at: PlaceTold = figure(PARTS, "where that is", name="minimum_stock_at")


@dataclass(frozen=True, kw_only=True)
class PlannedTold:
    """A job as planned; stock is per side."""

    schema: int = figure("number", "of this JSON", choices=(SCHEMA,))
    version: str = figure("text", "of this tool", name="tool_version")
    digest: str = figure("text", "of the scene", name="scene_digest")
    minimum: float = figure("length", "least stock", name="minimum_stock", also=old("least_stock_mm.planned"))
    error: float = figure("length", "of the least stock, from the cells", name="minimum_stock_error")
    at: PlaceTold = figure(PARTS, "where the least stock is", name="minimum_stock_at")
    band: float = figure("length", "how far the least stock may lie off", name="minimum_stock_band", also=old("least_stock_mm.typical and .bad"))
    poorest: float = figure("length", "least stock with the poorest tie-in", name="poorest_tie_in_minimum_stock")
    poorest_at: PlaceTold = figure(PARTS, "where that is", name="poorest_tie_in_minimum_stock_at")
    pessimist: float = figure("length", "the same", name="pessimist_minimum_stock", also=old("poorest_tie_in_minimum_stock_mm"))
    pessimist_at: PlaceTold = figure(PARTS, "the same", name="pessimist_minimum_stock_at", also=old("poorest_tie_in_minimum_stock_at"))
    unseen: float = figure("length", "least stock if all wear that a two-point gauge cannot see were on one side; none where nothing is unseen", name="unseen_minimum_stock", endless=True)
    minimum_cut: float = figure("length", "asked, per side")
    limits: tuple[float, float] = figure("length", "lower and upper limit of size", name="final_diameter_limits", form=PAIR)
    mean_stock: float = figure("length", "over the judged wall")
    p5: float = figure("length", "5 % of the judged wall have less", name="stock_p5")
    p50: float = figure("length", "half of the judged wall has less", name="stock_p50")
    p95: float = figure("length", "95 % of the judged wall have less", name="stock_p95")
    weld_left: WeldLeftTold = figure(PARTS, "least weld the finish cut leaves", name="weld_left_mm")
    layers: tuple[LayerTold, ...] = figure(PARTS, "in order")
    low_spots: tuple[SpotTold, ...] = figure(PARTS, "where no stock is left")
    thin_spots: tuple[SpotTold, ...] = figure(PARTS, "where less than the minimum cut is left")
    warnings: tuple[Remark, ...] = figure(REMARKS, "what to look at")
    assumptions: tuple[AssumptionTold, ...] = figure(PARTS, "what the answer rests on besides the scene")


@dataclass(frozen=True, kw_only=True)
class ResultTold(AdviceTold, DecidedTold, PlannedTold):
    """The result of a job: as planned, its verdict, what would fix it, then what is on the bar."""

    bores: tuple[BoreTold, ...] | None = figure(PARTS, "each bore of a bar by itself", left_out=True)


@dataclass(frozen=True)
class ShareTold:
    """How much one spread matters."""

    name: str = figure("text", "what strays")
    share: float = figure("number", "part in the variance of the least stock, 0 to 1")
    sd: float = figure("number", "standard deviation it causes alone, mm per side")


@dataclass(frozen=True, kw_only=True)
class ChanceTold(DecidedTold):
    """The draws that decide a job, looked at closer: the verdict, then these."""

    asked: float = figure("number", "part of the draws that shall clean up")
    probability: float = figure("number", "part that cleans up", name="probability_of_clean_up", also=old("clean_up_of_100"))
    interval: tuple[float, float] = figure("number", "of that, honest after stopping", name="probability_interval", form=PAIR, also=old("clean_up_of_100"))
    draws: int = figure("number", "draws made")
    decided: bool = figure("flag", "the draws settle the verdict")
    p5: float = figure("length", "5 % of the draws leave less at their least place", name="stock_p5", endless=True)
    p50: float = figure("length", "half of the draws leave less", name="stock_p50", endless=True)
    p95: float = figure("length", "95 % of the draws leave less", name="stock_p95", endless=True)
    worst_bore: str = figure("text", "the bore that cleans up least often")
    edges: tuple[float, ...] = figure("lengths", "of the cells of the maps, from the entry face", name="depth_edges")
    below_zero: list[list[float]] = figure("map", "part of the draws that stay black, by clock from 12 and depth")
    below_cut: list[list[float]] = figure("map", "part of the draws below the minimum cut, likewise")
    shares: tuple[ShareTold, ...] = figure(PARTS, "what matters most first")


# fmt: on
