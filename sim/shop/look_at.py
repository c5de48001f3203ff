"""What a careful person would point at."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, ray_to
from sim.job.looked import look, read_after
from sim.job.scene import Scene
from sim.laws.gravity import TRAVEL_KNOWN, run_on
from sim.reference.defaults import default
from sim.reference.remarks import Remark
from sim.set_up.axes_and_areas import pre_bore_axis
from sim.set_up.bead import contradiction, feed_measured
from sim.shop.as_worn import shape_of
from sim.shop.bored_clean import Mark
from sim.shop.ready_to_lay import marks
from sim.shop.result import Result, tip_clear


def beyond_look(scene: Scene) -> Mark | None:
    """Where the worn wall by the sizes given stands farthest outside a pre-bore that is bright
    there: radius is by how much [mm], more than a reading's error; None nowhere.
    """
    known, cut = look(scene), scene.pre_bore
    if known is None or cut is None or read_after(scene):
        return None
    shape, axis = shape_of(scene), pre_bore_axis(scene)
    clock = np.concatenate(
        [np.arange(360) * (math.pi / 180.0), [one.clock for one in marks(scene)]]
    )
    depth = np.unique(np.concatenate([shape.nodes, known.nodes]))
    radius = shape.radius(clock[:, None], depth[None, :])
    off = radius - ray_to(
        Bored(axis, 0.5 * cut.diameter), clock, depth, Axis.straight(scene.bore.length)
    )
    off = np.where(known.black(clock[:, None], depth[None, :]), -np.inf, off)
    i, k = np.unravel_index(int(np.argmax(off)), off.shape)
    if off[i, k] <= default("readings.error"):
        return None
    return Mark(float(clock[i]), float(off[i, k]), float(depth[k]))


def beside_unseen(result: Result) -> list[Remark]:
    """What is to be said of wear that a two-point gauge cannot see, where it could be the worst."""
    if result.unseen is None or result.unseen > result.stock.spot.value - 0.005:
        return []
    given = result.scene.bore.original_diameter or read_after(result.scene)
    whose = () if given else (Remark("final size for the original"),)
    return [Remark("wear the gauge cannot see", least=result.unseen, whose=whose)]


def warnings(result: Result) -> list[Remark]:
    """What a careful person would point at."""
    said = [] if result.scene.readings is None else list(result.scene.readings.said)
    layers = [
        one for number in range(len(result.layers)) for one in _layer_warnings(result, number)
    ]
    return [
        *said,
        *_bead_warnings(result),
        *_stagger_warnings(result.scene),
        *layers,
        *_look_warnings(result.scene),
        *_gravity_warnings(result),
        *_part_warnings(result),
    ]


def _bead_warnings(result: Result) -> Iterator[Remark]:
    scene = result.scene
    ratio = contradiction(scene)
    if ratio is None:
        yield Remark("bead not measured")
    elif abs(ratio - 1.0) > default("limit.contradiction"):
        believed = Remark("wire rules" if feed_measured(scene) else "smaller of the two")
        yield Remark("bead against wire", ratio=ratio, believed=believed)
    if not result.tie_in.measured:
        yield Remark("tie-in not measured")
    if scene.pad is not None and not result.tie_in.measured:
        yield Remark("pad undecided")


def _stagger_warnings(scene: Scene) -> Iterator[Remark]:
    for number, plan in enumerate(scene.layer, 1):
        if plan.stagger and plan.repeat == 1:
            yield Remark("stagger moves nothing", layer=number, stagger=plan.stagger)


def _layer_warnings(result: Result, number: int) -> Iterator[Remark]:
    """Of one layer, counted from 0."""
    s, scene = result.layers[number].setting, result.scene
    bead, layer = s.bead, number + 1
    if s.path.pitch > bead.width:
        yield Remark("pitch wider than bead", layer=layer, pitch=s.path.pitch, width=bead.width)
    most = default("limit.area")
    if bead.area > most:
        yield Remark("bead too large to climb", layer=layer, area=bead.area, most=most)
    inside = default("layer.inside") * bead.width - 1e-6
    low, high = float(s.path.depth.min()), float(s.path.depth.max())
    if (low < inside and not scene.run_off.entry) or (
        high > scene.bore.length - inside and not scene.run_off.far
    ):
        yield Remark("bead near a free face", layer=layer)
    yield from _torch_warnings(result, number)


def _torch_warnings(result: Result, number: int) -> Iterator[Remark]:
    """How the contact tip comes over what one layer, counted from 0, is laid on."""
    under, layer = result.layers[number].under, number + 1
    turns = under[:, ~np.isnan(under).all(axis=0)]
    if not turns.size:
        return
    middle = turns[:, 2:-2] if turns.shape[1] > 5 else turns
    swing = float(np.max(np.nanmax(middle, axis=0) - np.nanmin(middle, axis=0)))
    usual = default("limit.tip_swing")
    if swing > usual:
        yield Remark("contact tip swings", layer=layer, swing=swing, usual=usual)
    clear = tip_clear(result.scene, result.layers[number].setting, turns)
    if clear < default("limit.tip_clear"):
        hit = (
            Remark("torch touches") if clear <= 0 else Remark("little left to the tip", clear=clear)
        )
        yield Remark("metal high under the torch", layer=layer, hit=hit)


def _look_warnings(scene: Scene) -> Iterator[Remark]:
    """What was seen of the pre-bored wall against the sizes given."""
    beyond = beyond_look(scene)
    if beyond is not None and look(scene) is not None:
        yield Remark(
            "said bright, but worn", depth=beyond.depth, clock=beyond.clock, beyond=beyond.radius
        )
    source = scene.readings
    if not read_after(scene) or source is None or scene.pre_bore is None:
        return
    found = source.found
    under = 0.5 * scene.pre_bore.diameter - found.radii - found.error
    if float(under.max()) > 0.0:
        i = int(np.argmax(under))
        yield Remark(
            "row less than the pre-bore",
            row=float(found.row[i]),
            across=2.0 * float(found.radii[i]),
            size=scene.pre_bore.diameter,
        )


def _gravity_warnings(result: Result) -> Iterator[Remark]:
    if abs(math.cos(result.scene.bore.inclination)) <= 1e-6:
        return
    travel = [s.travel for s in result.settings]
    if any(map(run_on, travel)):
        yield Remark(
            "travel outside gravity's table", travel=(min(travel), max(travel)), table=TRAVEL_KNOWN
        )
    known = result.scene.shop_values
    if not known.clock_read:
        yield Remark("gravity measured near 6")
    elif known.extrapolated >= 0.005:
        yield Remark("clock test", places=known.clock_read, extrapolated=known.extrapolated)


def _part_warnings(result: Result) -> Iterator[Remark]:
    scene, cut = result.scene, result.scene.cut
    if (
        scene.pre_bore is not None
        and not read_after(scene)
        and 0.5 * scene.pre_bore.diameter
        <= float(result.start.radius(np.array([0.0])).min()) - 1e-6
    ):
        yield Remark("pre-bore cuts nothing")
    if scene.bore.outside_diameter is not None:
        widest = 2.0 * float(result.start.radius(np.linspace(0.0, scene.bore.length, 201)).max())
        ligament = 0.5 * (scene.bore.outside_diameter - widest)
        if ligament < default("ligament.least"):
            yield Remark(
                "little wall to the outside",
                ligament=ligament,
                fusion=scene.process.depth_of_fusion,
            )
    if result.stock_error > default("limit.clock_error"):
        yield Remark("clock step coarse", error=result.stock_error)
    if result.weld_left.spot.value < 0.0:
        yield Remark("cut runs into base metal")
    if 2.0 / 3.0 * cut.nose_radius > cut.finish_allowance:
        yield Remark(
            "finish pass thinner than the nose",
            allowance=cut.finish_allowance,
            nose=cut.nose_radius,
        )
