"""The settings as JSON, and the basis of every figure."""

from __future__ import annotations

import math
from typing import Any

from sim.job.change import digest
from sim.job.scene import Scene
from sim.laws.weld_positions import Position
from sim.machine.layer_row import Check, Kept, Row, Schedule, SteelFacts, TurnTable, Warming
from sim.reference.arrays import TURN
from sim.reference.cautions import CAUTIONS
from sim.reference.defaults import ASSUMED, COMMON, DEFAULTS, DERIVED, MEASURED, PUBLISHED
from sim.reference.units import KINDS, oclock
from sim.tell.result_json import SCHEMA, VERSION

STAMP = "NOT A WELDING PROCEDURE"


def schedule_json(told: Schedule) -> dict[str, Any]:
    """The settings as plain values: mm, s, C, kJ/mm, o'clock as hours; None where the job does not
    say enough.
    """
    scene = told.scene
    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(scene),
        "procedure": scene.procedure.number,
        "steel": scene.steel.name,
        "stamp": STAMP if told.open_points else "",
        "open_points": list(told.open_points),
        "against_procedure": told.verdict,
        "whole_turn": {"iso_6947": told.whole_turn[0], "aws": told.whole_turn[1]},
        "layers": [_row(scene, row) for row in told.layers],
        "rotation_tables": [_table(one) for one in told.tables],
        "no_weld_areas": [_kept(one) for one in told.areas],
        "heat_and_steel": _steel(told.steel),
        "basis": [{"what": what, "how_known": how} for what, how in basis(told)],
        "cautions": [{"title": title, "words": words} for title, words in CAUTIONS],
    }


def bar_json(bores: list[tuple[str, float, Schedule]]) -> dict[str, Any]:
    """The settings of the first bore on the bar, and of the others under `other_bores` with name
    and place along it [mm].
    """
    told = schedule_json(bores[0][2])
    if len(bores) > 1:
        told["other_bores"] = [
            {"name": name, "along_mm": along, **schedule_json(one)}
            for name, along, one in bores[1:]
        ]
    return told


def _row(scene: Scene, r: Row) -> dict[str, Any]:
    return {
        "layer": r.number,
        "done": r.done,
        "rotation_rpm": _rpm(r.rotation),
        "rotation_rpm_range": [_rpm(v) for v in r.rotations],
        "seconds_per_turn": r.turn_time,
        "seconds_per_turn_range": list(r.turn_times),
        "travel_mm_per_min": 60.0 * r.travel,
        "travel_mm_per_min_range": [60.0 * v for v in r.travels],
        "bore_before_mm": r.diameter,
        "bore_before_mm_range": list(r.diameters),
        "round": r.round,
        "rotation_dial": r.rotation_dial,
        "wire_dial": r.wire_dial,
        "wire_feed_m_per_min": 0.06 * r.wire_feed,
        "wire_fed_m_per_min": 0.06 * r.fed,
        "feed_per_turn_mm": r.pitch,
        "advance": r.advance,
        "step_over_deg": None if r.step_over is None else math.degrees(r.step_over),
        "turning": r.turning,
        "feed": r.feed,
        "start_depth_mm": r.start_depth,
        "end_depth_mm": r.end_depth,
        "start_oclock": oclock(r.start_clock),
        "closing_turns_start": r.closing_start,
        "closing_turns_end": r.closing_end,
        "turns": r.turns,
        "arc_starts": r.arcs,
        "arc_time_s": r.arc_time,
        "wire_g": r.wire,
        "wire_mm": r.wire_length,
        "contact_tip_mm": r.tip,
        "contact_tip_from_axis_mm": r.tip_radius,
        "contact_tip_mm_range": list(r.tips),
        "contact_tip_least_over_hump_mm": r.tip_clear,
        "torch_reach_mm": r.reach,
        "arc_off": [_kept(one) for one in r.kept if not one.plugged],
        "positions": [_position(one) for one in r.positions],
        "gauge_diameter_mm": {"min": r.gauge[0], "max": r.gauge[1]},
        "valley_diameter_mm": r.valley,
        "mean_diameter_after_mm": r.mean_after,
        "restart": {
            "back_mm": r.restart.length,
            "back_deg": math.degrees(r.restart.angle),
            "rule": r.restart.rule,
        },
        "arc_energy_kj_per_mm": r.arc_energy,
        "heat_input_kj_per_mm": r.heat_input,
        "heat_input_kj_per_mm_range": None if r.heat_inputs is None else list(r.heat_inputs),
        "voltage_v": scene.electrical.voltage,
        "current_a": scene.electrical.current,
        "cooling_time_s": None if r.cooling is None else r.cooling.time,
        "cooling_flow": None if r.cooling is None else r.cooling.flow,
        "transition_thickness_mm": None if r.cooling is None else r.cooling.transition,
        "warming": None if r.warming is None else _warming(r.warming),
        "against_procedure": r.verdict,
        "checks": [_check(one) for one in r.checks],
    }


def _rpm(rotation: float) -> float:
    return rotation * 30.0 / math.pi


def rpm_words(rotation: float) -> str:
    """A rotation [rad/s] in rpm, to about a part in 300."""
    rpm = _rpm(rotation)
    return f"{rpm:.3f}" if rpm < 1.0 else f"{rpm:.2f}"


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _warming(w: Warming) -> dict[str, Any]:
    return {
        "start_c": w.start,
        "end_c": w.end,
        "interpass_c": w.until,
        "passes_interpass_after_s": _finite(w.passes),
        "wait_s": _finite(w.wait),
        "wait_s_range": [_finite(v) for v in w.waits],
    }


def _position(p: Position) -> dict[str, Any]:
    whole = p.end - p.start >= TURN - 1e-9
    ends = {"from_oclock": oclock(p.start), "to_oclock": 12.0 if whole else oclock(p.end)}
    return {"iso_6947": p.iso, "aws": p.aws, "way": p.way, **ends}


def _kept(k: Kept) -> dict[str, Any]:
    return {
        "what": k.what,
        "plugged": k.plugged,
        "from_oclock": oclock(k.clock[0]),
        "to_oclock": oclock(k.clock[1]),
        "from_depth_mm": k.depth[0],
        "to_depth_mm": k.depth[1],
    }


def _check(c: Check) -> dict[str, Any]:
    """A check; numbers in the first unit of its kind, which stands beside them."""
    unit = KINDS[c.kind][0] if c.kind in KINDS else None

    def out(value: float | None) -> float | None:
        return None if value is None or unit is None else unit.outside(value)

    return {
        "what": c.what,
        "verdict": c.verdict,
        "unit": "" if unit is None else unit.label,
        "run": None if c.run is None else [out(v) for v in c.run],
        "least": out(c.allowed[0]),
        "most": out(c.allowed[1]),
        "outside_by": 0.0 if unit is None else c.by / unit.factor,
        "words": c.words,
    }


def _table(one: TurnTable) -> dict[str, Any]:
    return {
        "travel_mm_per_min": 60.0 * one.travel,
        "layers": list(one.layers),
        "rows": [
            {
                "diameter_mm": r.diameter,
                "rotation_rpm": _rpm(r.rotation),
                "seconds_per_turn": r.turn_time,
                "rotation_dial": r.dial,
            }
            for r in one.rows
        ],
    }


def _steel(s: SteelFacts) -> dict[str, Any]:
    return {
        "thickness_mm": s.thickness,
        "thickness_known": s.thickness_known,
        "ce_iiw_percent": s.ce,
        "cet_percent": s.cet,
        "pcm_percent": s.pcm,
        "preheat_by_cet_c": None if s.preheat is None else s.preheat.temperature,
        "preheat_by_cet_outside": [] if s.preheat is None else list(s.preheat.outside),
        "preheat_aws_d1_1_c": s.preheat_aws,
        "measure_preheat_at_mm": s.measure_at,
        "said": list(s.said),
    }


def basis(told: Schedule) -> list[tuple[str, str]]:
    """Every figure of the settings, and how it is known."""
    scene = told.scene
    bead = (
        "bead measured on a plate"
        if scene.bead is not None
        else "bead not measured: its width is assumed"
    )
    wire = (
        MEASURED
        if scene.wire.feed_measured or (scene.bead is not None and scene.bead.wire_time is not None)
        else "as set, not measured"
    )
    out = [
        (
            "rotation, seconds a turn",
            f"{DERIVED}: travel over the mean radius of the bore before the layer; ranges "
            "from the wall as computed",
        ),
        (
            "bore before and after, gauge, valley",
            f"{DERIVED}: conservation of metal, {bead}; never measured inside a bore",
        ),
        ("wire feed", wire),
        (
            "dial marks",
            f"{MEASURED}: the shop's own table, straight between its points"
            if scene.dial
            else "no dial table given",
        ),
        (
            "contact-tip distance and its range",
            f"{COMMON if scene.head.contact_tip == DEFAULTS['head.contact_tip'].value else 'given in the scene'}; "
            f"range {DERIVED} from the wall as computed",
        ),
        ("restart", f"{COMMON}: back by the run-out of the stop"),
        (
            "weld positions",
            f"{PUBLISHED}: slope and rotation ranges of AWS D1.1 and ISO 6947 for groove "
            "welds, on the geometry of the bore",
        ),
    ]
    if told.layers[0].heat_input is not None:
        k = scene.electrical.thermal_efficiency
        outside = (
            "of its outside as given"
            if scene.bore.outside_diameter
            else f"{DEFAULTS['readings.ratio'].value:g} times as wide outside as inside, not given"
        )
        out += [
            (
                "arc energy and heat input",
                f"{PUBLISHED}: U I / v, and k = {k:g} of it by EN 1011-1; volts and amps as given",
            ),
            (
                "cooling time t8/5",
                f"{PUBLISHED}: EN 1011-2 Annex D, run on plate, at the preheat given (its "
                "annex counts 0.85 of the arc for gas-metal-arc: 6 % longer); on a bore "
                "wall an estimate",
            ),
            (
                "how warm the part gets, waiting",
                f"{ASSUMED}: the boss as one ring {outside}, at one temperature, losing "
                f"{DEFAULTS['heat.film'].low:g} to {DEFAULTS['heat.film'].high:g} W/(m2 K); "
                "measure, do not count on it",
            ),
        ]
    if told.steel.cet is not None:
        out.append(
            (
                "carbon equivalents, preheat by CET",
                f"{PUBLISHED}: EN 1011-2 C.2 and C.3 on the analysis given; holds where the "
                "part's CET is 0.03 or more above the weld metal's",
            )
        )
    if told.steel.preheat_aws is not None:
        out.append(
            (
                "least preheat of AWS D1.1",
                f"{PUBLISHED}: D1.1:2015 Table 3.3, category {scene.steel.aws_category} as given",
            )
        )
    if told.steel.measure_at is not None:
        out.append(("where to measure preheat", f"{PUBLISHED}: ISO 13916"))
    return out
