"""Heat of a layer, waiting between layers, the steel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sim.job.scene import Scene
from sim.job.sections.machine import HYDROGEN, Steel
from sim.laws.arc_heat import heat_input
from sim.laws.interpass import Ring
from sim.laws.preheat import Preheat, minimum_preheat, preheat_by_cet, where_to_measure
from sim.laws.steel_composition import Composition, outside_cet
from sim.machine.layer_row import Range, SteelFacts, Warming
from sim.reference.defaults import DEFAULTS, default
from sim.reference.remarks import Remark
from sim.set_up.layers import arc_time
from sim.shop.result import Result


def heats_at(scene: Scene, travels: Range) -> Range | None:
    """Heat input [kJ/mm] by EN 1011-1 at the fastest and at the slowest travel [mm/s]; None without
    volts and amps.
    """
    e = scene.electrical
    if e.voltage is None or e.current is None:
        return None
    low, high = (
        heat_input(e.voltage, e.current, v, e.thermal_efficiency) for v in (travels[1], travels[0])
    )
    return low, high


def heat_at(scene: Scene, travel: float) -> float | None:
    """Heat input [kJ/mm] at one travel [mm/s]; None without volts and amps."""
    heats = heats_at(scene, (travel, travel))
    return None if heats is None else heats[0]


def coldest(scene: Scene) -> float:
    """The coldest [C] the part may be when a bead is laid."""
    return scene.heat.air if scene.heat.preheat is None else scene.heat.preheat


def thickness_of(scene: Scene) -> float | None:
    """Thickness [mm] that draws the heat off, None when it is not given."""
    if scene.steel.thickness is not None:
        return scene.steel.thickness
    if scene.bore.outside_diameter is None:
        return None
    bore = scene.worn.diameter if scene.pre_bore is None else scene.pre_bore.diameter
    return 0.5 * (scene.bore.outside_diameter - bore)


def _thickness_known(scene: Scene) -> Remark:
    if scene.steel.thickness is not None:
        return Remark("thickness given")
    return Remark(
        "thickness not given" if scene.bore.outside_diameter is None else "thickness of the boss"
    )


def warmings(result: Result) -> list[Warming] | list[None]:
    """How warm the part gets in each layer, and the wait after it; None where volts and amps are
    not given.
    """
    scene, known, e = result.scene, DEFAULTS["heat.film"], result.scene.electrical
    if e.voltage is None or e.current is None:
        return [None for _ in result.layers]
    until = (
        scene.heat.interpass if scene.heat.interpass is not None else scene.procedure.interpass_most
    )
    power = e.thermal_efficiency * e.voltage * e.current
    times = [arc_time(s) for s in result.settings]
    likely, slow, fast = (
        _chain(_ring(result, film), power, times, coldest(scene), until)
        for film in (known.value, known.low, known.high)
    )
    return [replace(a, waits=(c.wait, b.wait)) for a, b, c in zip(likely, slow, fast, strict=True)]


def _chain(
    ring: Ring, power: float, times: Sequence[float], start: float, until: float | None
) -> list[Warming]:
    """The layers of these arc times [s] one after the other at one power [W], each begun at `until`
    [C] at most.
    """
    out = []
    for time in times:
        end = ring.heated(start, power, time)
        passes = None if until is None or end <= until else ring.time_to(start, power, until)
        wait = 0.0 if until is None else ring.wait(end, until)
        out.append(Warming(start, end, until, passes, wait, (wait, wait)))
        start = end if until is None else min(end, until)
    return out


def _ring(result: Result, film: float) -> Ring:
    """The boss round the bore as a ring; its outside, where not given, by the usual ratio."""
    scene = result.scene
    inside = 2.0 * result.settings[0].radius
    return Ring.of(
        inside,
        scene.bore.outside_diameter or inside * default("readings.ratio"),
        scene.bore.length,
        density=scene.wire.density,
        specific_heat=default("heat.specific_heat"),
        film=film,
        air=scene.heat.air,
    )


def steel_facts(result: Result) -> SteelFacts:
    """Carbon equivalents and preheat of the part, as far as the scene says enough."""
    scene, thickness = result.scene, thickness_of(result.scene)
    metals = _composition(scene.steel)
    by_cet, by_table = _asked_preheat(result, metals, thickness), _table_preheat(scene, thickness)
    said = []
    if metals is None:
        said.append(Remark("no analysis of the steel"))
    elif by_cet is None:
        said.append(Remark("preheat by CET not known"))
    asked = [v for v in (None if by_cet is None else by_cet.temperature, by_table) if v is not None]
    if asked and coldest(scene) < max(asked) - 0.5:
        said.append(Remark("part colder than preheat", part=coldest(scene), asked=max(asked)))
    return SteelFacts(
        thickness=thickness,
        thickness_known=_thickness_known(scene),
        ce=None if metals is None else metals.ce,
        cet=None if metals is None else metals.cet,
        pcm=None if metals is None else metals.pcm,
        preheat=None if by_cet is None else by_cet.temperature,
        preheat_outside=() if by_cet is None else by_cet.outside,
        preheat_aws=by_table,
        measure_at=None if thickness is None else where_to_measure(thickness),
        said=tuple(said),
    )


def _composition(steel: Steel) -> Composition | None:
    """What the steel is made of; None where nobody knows."""
    if steel.carbon is None:
        return None
    return Composition(
        carbon=steel.carbon, silicon=steel.silicon, manganese=steel.manganese,
        chromium=steel.chromium, molybdenum=steel.molybdenum, vanadium=steel.vanadium,
        nickel=steel.nickel, copper=steel.copper, boron=steel.boron,
    )  # fmt: skip


def _table_preheat(scene: Scene, thickness: float | None) -> float | None:
    """Least preheat [C] by the table of AWS D1.1, where category and thickness are given."""
    category = scene.steel.aws_category
    if category == "not given" or thickness is None or thickness < 3.0:
        return None
    return minimum_preheat(category, thickness)


def _asked_preheat(
    result: Result, metals: Composition | None, thickness: float | None
) -> Preheat | None:
    """The highest preheat by CET that any layer asks for."""
    hydrogen = HYDROGEN[result.scene.heat.hydrogen]
    if metals is None or thickness is None or hydrogen is None:
        return None
    found = []
    for s in result.settings:
        heat = heat_at(result.scene, s.travel)
        if heat is not None:
            one = preheat_by_cet(metals.cet, thickness, hydrogen, heat)
            found.append(Preheat(one.temperature, one.outside + outside_cet(metals)))
    return max(found, key=lambda one: one.temperature, default=None)
