"""Settings to carry to the bore: each layer on the bore as it then is, and how it stands to the
qualified procedure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy.ndimage import maximum_filter

from sim.bore.cylinders import bored
from sim.bore.wall import Wall
from sim.job.dials import dial_of
from sim.job.scene import Scene
from sim.laws.cooling import cooling_time
from sim.laws.weld_positions import whole_turn
from sim.machine.between.card import Card
from sim.machine.heat import coldest, heat_at, heats_at, steel_facts, thickness_of, warmings
from sim.machine.kept_areas import areas_of, positions_of, restart_of, sector_of, tables_of
from sim.machine.layer_row import Kept, LayerSettings, Range, Schedule, Warming, worst
from sim.machine.procedure import checks_of
from sim.reference.arrays import TURN
from sim.reference.defaults import default
from sim.reference.errors import SceneError
from sim.reference.units import KINDS
from sim.set_up.layers import Setting, arc_time, wire_used
from sim.shop.finish import interior
from sim.shop.ready_to_lay import cut_before
from sim.shop.result import Result


def schedule(result: Result, cards: Sequence[Card] = ()) -> Schedule:
    """The settings of a job; cards: what the gauge says after each layer still to come.

    Raises SceneError when a dial cannot give a rotation or wire feed.

    >>> from sim import load, simulate
    >>> told = schedule(simulate(load("scenes/cleans_up.toml")))
    >>> [(row.number, round(row.turn_time, 1)) for row in told.layers]
    [(1, 35.8), (2, 34.0)]
    """
    scene = result.scene
    areas = tuple(areas_of(scene))
    rows = [
        _settings(result, number, areas, warming)
        for number, warming in enumerate(warmings(result), 1)
    ]
    return Schedule(
        scene=scene,
        layers=tuple(rows),
        tables=tuple(tables_of(scene, rows)),
        areas=areas,
        whole_turn=whole_turn(scene.bore.inclination),
        steel=steel_facts(result),
        open_points=open_points(scene),
    ).carded(cards)


def open_points(scene: Scene) -> tuple[str, ...]:
    """What is not filled in yet: while any is left, a sheet is stamped 'not a welding procedure'.

    >>> from sim.job.read import load
    >>> open_points(load("scenes/cleans_up.toml"))[:2]
    ('steel of the part', 'number of the welding procedure')
    """
    held = scene.hold_points
    points = (
        (bool(scene.steel.name.strip()), "steel of the part"),
        (bool(scene.procedure.number.strip()), "number of the welding procedure"),
        (held.cracks_checked, "bore checked for cracks"),
        (held.cavity_vented, "hollow sections open, clean and vented"),
        (held.work_lead_at_bore, "work lead at the bore"),
        (held.load_blocked, "load blocked, stored energy let off"),
    )
    return tuple(words for done, words in points if not done)


def _settings(
    result: Result, number: int, areas: tuple[Kept, ...], warming: Warming | None
) -> LayerSettings:
    scene, layer = result.scene, result.layers[number - 1]
    s, plan, (low, high) = layer.setting, layer.setting.plan, _met(result, number)
    travels = (s.rotation * low, s.rotation * high)
    checks, kept = tuple(checks_of(scene, s, travels, number)), areas + sector_of(s)
    spiral, centre = plan.advance == "spiral", scene.head.contact_tip - s.radius
    return LayerSettings(
        number=number,
        done=number <= scene.job.layers_done,
        diameter=2.0 * s.radius,
        diameters=(2.0 * low, 2.0 * high),
        round=high - low <= default("limit.travel_spread") * s.radius,
        rotation=s.rotation,
        rotations=(s.travel / high, s.travel / low),
        turn_time=TURN / s.rotation,
        turn_times=(TURN * low / s.travel, TURN * high / s.travel),
        travel=s.travel,
        travels=travels,
        rotation_dial=_mark(scene, "rotation", s.rotation, number, s),
        wire_dial=_mark(scene, "wire feed", s.wire_feed, number, s),
        wire_feed=plan.wire_feed,
        fed=s.wire_feed,
        pitch=s.path.pitch,
        advance=plan.advance,
        step_over=None if spiral else plan.step_over,
        turning=plan.turning,
        feed=plan.feed,
        start_depth=float(s.path.depth[0]),
        end_depth=float(s.path.depth[-1]),
        start_clock=s.path.start_clock,
        closing_start=plan.closing_start if spiral else 0,
        closing_end=plan.closing_end if spiral else 0,
        turns=s.path.turns,
        arcs=len(s.path.arcs),
        arc_time=arc_time(s),
        wire=wire_used(scene, s) * scene.wire.density,
        wire_length=s.wire_feed * arc_time(s),
        tip=scene.head.contact_tip,
        tip_radius=s.radius - scene.head.contact_tip,
        tips=(centre + low, centre + high),
        tip_clear=centre + (low if np.isnan(layer.under).all() else float(np.nanmin(layer.under))),
        reach=max(float(s.path.depth.max()), 0.0),
        arc_off=tuple(one for one in kept if not one.plugged),
        positions=positions_of(scene, s),
        gauge=None,
        valley=layer.valley,
        mean_after=2.0 * layer.wall.mean_radius(*interior(s, scene.bore.length)),
        restart=restart_of(scene, s),
        **_heat_figures(scene, s.travel, travels),
        warming=warming,
        verdict=worst(checks),
        checks=checks,
        kept=kept,
    )


def _heat_figures(scene: Scene, travel: float, travels: Range) -> dict[str, Any]:
    """Arc energy, heat input and cooling of a layer, by the names of `LayerSettings`."""
    e, heat = scene.electrical, heat_at(scene, travel)
    cooling = None if heat is None else cooling_time(heat, coldest(scene), thickness_of(scene))
    return dict(
        arc_energy=None if heat is None else heat / e.thermal_efficiency,
        heat_input=heat,
        heat_inputs=heats_at(scene, travels),
        voltage=e.voltage,
        current=e.current,
        cooling_time=None if cooling is None else cooling.time,
        cooling_flow=None if cooling is None else cooling.flow,
        transition_thickness=None if cooling is None else cooling.transition,
    )


SAMPLES = 8  # of the wall within a feed per turn


def _met(result: Result, number: int) -> Range:
    """Smallest and largest radius [mm] a layer's torch meets, ripple of the layer before averaged
    out over its pitch.

    Without the first and last three turns, where closing turns of the layer before stand on
    themselves, and without the edges of no-weld areas, where its humps and bare wall lie side by
    side.
    """
    under, s = result.layers[number - 1].under, result.settings[number - 1]
    wall, pitch = _before(result, number), result.settings[max(number - 2, 0)].path.pitch
    step = pitch / SAMPLES
    depth = np.arange(wall.start, wall.end, step)
    total = np.cumsum(np.pad(wall.radius(depth), ((0, 0), (1, 0))), axis=1)
    mean = (total[:, SAMPLES:] - total[:, :-SAMPLES]) / SAMPLES
    turned = np.mod(s.path.turning * (wall.clock.angle - s.path.start_clock), TURN)
    at = s.path.depth_at(turned[:, None] + TURN * np.arange(under.shape[1]))
    cell = np.rint((at - wall.start) / step - 0.5 * (SAMPLES - 1)).astype(int)
    radius = np.take_along_axis(mean, np.clip(cell, 0, mean.shape[1] - 1), axis=1)
    beside = math.ceil(len(wall.clock.angle) * result.scene.process.hump_length / (TURN * s.radius))
    off = maximum_filter(np.isnan(under), size=(2 * beside + 1, 3), mode=("wrap", "nearest"))
    radius = np.where(off if not off.all() else np.isnan(under), np.nan, radius)
    middle = (
        radius[:, 3:-3] if under.shape[1] > 7 and not np.isnan(radius[:, 3:-3]).all() else radius
    )
    if np.isnan(middle).all():
        return s.radius, s.radius
    return float(np.nanmin(middle)), float(np.nanmax(middle))


def _before(result: Result, number: int) -> Wall:
    """The wall a layer is laid on: that left by the layer before, or by the finish cut for a local
    weld.
    """
    wall = result.walls[number - 1]
    return (
        bored(wall, result.finish, result.axes.torch)
        if cut_before(result.scene) == number
        else wall
    )


def _mark(scene: Scene, what: str, value: float, number: int, s: Setting) -> float | None:
    """The dial mark for a rotation [rad/s] or wire feed [mm/s]; None without a table. Raises
    SceneError outside it.
    """
    table = dial_of(scene.dial, what)
    if table is None:
        return None
    mark = table.mark_for(value)
    if mark is not None:
        return mark
    choices = KINDS["rotation" if what == "rotation" else "feed"]
    unit = choices[-1] if scene.job.units == "in" else choices[0]
    low, high = (unit.outside(v) for v in table.ends)
    nearest = min(max(value, table.ends[0]), table.ends[1])
    why = ""
    if what == "rotation":
        pace = KINDS["speed"][1 if scene.job.units == "in" else 0]
        why = f", a travel of {pace.outside(nearest * s.radius):.4g} {pace.label} on this bore"
    raise SceneError(
        f"layer {number}: {what} = {unit.outside(value):.4g} {unit.label}: the dial table "
        f"gives {low:.4g} to {high:.4g}; "
        f"the nearest it can is {unit.outside(nearest):.4g} {unit.label}{why}: set that, or "
        "time the dial farther."
    )
