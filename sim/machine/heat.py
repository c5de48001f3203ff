"""Heat of a layer, waiting between layers, the steel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sim.job.scene import Scene
from sim.job.sections.machine import HYDROGEN
from sim.laws.arc_heat import heat_input
from sim.laws.interpass import Ring
from sim.laws.preheat import Preheat, minimum_preheat, preheat_by_cet, where_to_measure
from sim.laws.steel_composition import Composition, outside_cet
from sim.machine.layer_row import Range, SteelFacts, Warming
from sim.reference.defaults import DEFAULTS, default
from sim.reference.units import KINDS
from sim.set_up.layers import arc_time
from sim.shop.result import Result


def _heats(scene: Scene, travels: Range) -> Range | None:
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


def _coldest(scene: Scene) -> float:
    """The coldest [C] the part may be when a bead is laid."""
    return scene.heat.air if scene.heat.preheat is None else scene.heat.preheat


def _told(scene: Scene, celsius: float) -> str:
    """A temperature in the job's units."""
    unit = KINDS["temperature"][1 if scene.job.units == "in" else 0]
    return f"{unit.outside(celsius):.0f} {unit.label}"


def _thickness(scene: Scene) -> tuple[float | None, str]:
    """Thickness [mm] that draws the heat off, and how it is known."""
    if scene.steel.thickness is not None:
        return scene.steel.thickness, "given in the scene"
    if scene.bore.outside_diameter is None:
        return None, "not given"
    bore = scene.worn.diameter if scene.pre_bore is None else scene.pre_bore.diameter
    return 0.5 * (
        scene.bore.outside_diameter - bore
    ), "wall from the bore to the outside of the boss"


def _warmings(result: Result) -> list[Warming] | list[None]:
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
        _chain(_ring(result, film), power, times, _coldest(scene), until)
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


def _steel(result: Result) -> SteelFacts:
    """Carbon equivalents and preheat of the part, as far as the scene says enough."""
    scene, said = result.scene, []
    thickness, known = _thickness(scene)
    held = scene.steel
    metals = None
    if held.carbon is not None:
        metals = Composition(
            carbon=held.carbon, silicon=held.silicon, manganese=held.manganese, chromium=held.chromium,
            molybdenum=held.molybdenum, vanadium=held.vanadium, nickel=held.nickel, copper=held.copper, boron=held.boron,
        )  # fmt: skip
    asked = _asked_preheat(result, metals, thickness)
    table = None
    if held.aws_category != "not given" and thickness is not None and thickness >= 3.0:
        table = minimum_preheat(held.aws_category, thickness)
    if metals is None:
        said.append("no analysis of the steel: no carbon equivalent and no preheat by it")
    elif asked is None:
        said.append("preheat by CET needs thickness, hydrogen class, volts and amps")
    cold = max(
        [one for one in (None if asked is None else asked.temperature, table) if one is not None],
        default=None,
    )
    if cold is not None and _coldest(scene) < cold - 0.5:
        part, asks = (_told(scene, one) for one in (_coldest(scene), cold))
        said.append(
            f"the part at {part} is colder than the preheat of {asks} these formulas ask for"
        )
    return SteelFacts(
        thickness=thickness,
        thickness_known=known,
        ce=None if metals is None else metals.ce,
        cet=None if metals is None else metals.cet,
        pcm=None if metals is None else metals.pcm,
        preheat=asked,
        preheat_aws=table,
        measure_at=None if thickness is None else where_to_measure(thickness),
        said=tuple(said),
    )


def _asked_preheat(
    result: Result, metals: Composition | None, thickness: float | None
) -> Preheat | None:
    """The highest preheat by CET that any layer asks for."""
    hydrogen = HYDROGEN[result.scene.heat.hydrogen]
    if metals is None or thickness is None or hydrogen is None:
        return None
    found = []
    for s in result.settings:
        heats = _heats(result.scene, (s.travel, s.travel))
        if heats is not None:
            one = preheat_by_cet(metals.cet, thickness, hydrogen, heats[0])
            found.append(Preheat(one.temperature, one.outside + outside_cet(metals)))
    return max(found, key=lambda one: one.temperature, default=None)
