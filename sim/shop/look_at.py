"""What a careful person would point at."""

from __future__ import annotations

import math

import numpy as np

from sim.bore.axis import Axis
from sim.bore.cylinders import Bored, ray_to
from sim.job.looked import look, read_after
from sim.job.scene import Scene
from sim.reference.defaults import default
from sim.reference.units import clock_text
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


def _unseen_warnings(result: Result) -> list[str]:
    if result.unseen is None or result.unseen > result.stock.spot.value - 0.005:
        return []
    given = result.scene.bore.original_diameter or read_after(result.scene)
    whose = "" if given else " (the final size stands for the original one, which is not given)"
    return [
        "A two-point gauge cannot see wear to one side: at worst the least stock is "
        f"{result.unseen:.2f} mm per side{whose}; "
        "sweep the bore with an indicator from a centred bar."
    ]


def warnings(result: Result) -> list[str]:
    """What a careful person would point at, one sentence each."""
    said = [] if result.scene.readings is None else list(result.scene.readings.said)
    return [*said, *_bead_warnings(result), *_layer_warnings(result), *_part_warnings(result)]


def _bead_warnings(result: Result) -> list[str]:
    scene, out = result.scene, []
    ratio = contradiction(scene)
    if ratio is None:
        out.append(
            "The bead was not measured: its width is assumed, so nothing here is proven; lay "
            "one on a plate."
        )
    elif abs(ratio - 1.0) > default("limit.contradiction"):
        believed = (
            "the wire was measured, so it rules"
            if feed_measured(scene)
            else ("nobody measured the wire feed, so the smaller of the two is used")
        )
        out.append(
            f"The measured bead holds {100 * ratio:.0f} % of the metal that wire feed and "
            "travel give: "
            f"{believed}; weigh or count a minute of wire and measure the bead again."
        )
    if not result.tie_in.measured:
        out.append(
            "How far beads tie in was not measured: it is drawn from none to whole; weld a "
            "pad of five beads and measure it."
        )
    if scene.pad is not None and not result.tie_in.measured:
        out.append(
            "The pad's pitch or its error leaves tie-in undecided: weld one at 0.85 to 0.9 "
            "of the bead width."
        )
    return out


def _layer_warnings(result: Result) -> list[str]:
    out: list[str] = [
        f"[layer {k}] stagger = {plan.stagger:g}: moves every other layer of an entry, and "
        "this one lays a single layer: "
        "nothing is moved; repeat it, or give the next layer a start depth of its own."
        for k, plan in enumerate(result.scene.layer, 1)
        if plan.stagger and plan.repeat == 1
    ]
    length = result.scene.bore.length
    for number, layer in enumerate(result.layers, 1):
        s = layer.setting
        if s.path.pitch > s.bead.width:
            out.append(
                f"Layer {number}: the pitch {s.path.pitch:.2f} mm is wider than the bead "
                f"{s.bead.width:.2f} mm: bare wall stays between the beads."
            )
        if s.bead.area > default("limit.area"):
            out.append(
                f"Layer {number}: a bead of {s.bead.area:.1f} mm2 is more than holds on the "
                f"climbing side (about {default('limit.area'):.0f} mm2)."
            )
        inside = default("layer.inside") * s.bead.width - 1e-6
        low, high = float(s.path.depth.min()), float(s.path.depth.max())
        if (low < inside and not result.scene.run_off.entry) or (
            high > length - inside and not result.scene.run_off.far
        ):
            out.append(
                f"Layer {number}: the bead centre comes nearer to a free face than a quarter "
                "of its width: metal is lost past the face; tack a run-off ring or start "
                "farther in."
            )
        turns = layer.under[:, ~np.isnan(layer.under).all(axis=0)]
        if turns.size:
            middle = turns[:, 2:-2] if turns.shape[1] > 5 else turns
            middle = middle[:, ~np.isnan(middle).all(axis=0)]
            swing = float(np.max(np.nanmax(middle, axis=0) - np.nanmin(middle, axis=0)))
            if swing > default("limit.tip_swing"):
                out.append(
                    f"Layer {number}: the contact-tip distance changes by {swing:.1f} mm "
                    f"within a turn (up to {default('limit.tip_swing'):.0f} mm is usual)."
                )
            clear = tip_clear(result.scene, s, turns)
            if clear < default("limit.tip_clear"):
                hit = (
                    "the torch touches"
                    if clear <= 0
                    else f"only {clear:.1f} mm is left to the contact tip"
                )
                out.append(
                    f"Layer {number}: metal stands high where the torch passes: {hit}; fewer "
                    "closing turns or another start clock."
                )
    return out


def _look_warnings(scene: Scene) -> list[str]:
    """What was seen of the pre-bored wall against the sizes given."""
    beyond, out = beyond_look(scene), []
    if beyond is not None and look(scene) is not None:
        out.append(
            f"The pre-bored wall is said to be bright {beyond.depth:.0f} mm deep at "
            f"{clock_text(beyond.clock)}, but by the "
            f"sizes given the worn wall stands {beyond.radius:.2f} mm outside it there: look "
            "again, or gauge it after the pre-bore."
        )
    source = scene.readings
    if read_after(scene) and source is not None and scene.pre_bore is not None:
        found = source.found
        under = 0.5 * scene.pre_bore.diameter - found.radii - found.error
        if float(under.max()) > 0.0:
            i = int(np.argmax(under))
            out.append(
                f"Row {found.row[i]:.0f} reads {2.0 * found.radii[i]:.2f} mm across, less "
                f"than the pre-bore of {scene.pre_bore.diameter:.2f} mm "
                "it was read after: check its size, or of which wall the readings are."
            )
    return out


def _clock_warnings(scene: Scene) -> list[str]:
    """How much of the clock no bead was measured at, by the table or the shop's clock test."""
    known = scene.shop_values
    if not known.clock_read:
        return [
            "Gravity on the bead was measured to 55 degrees either side of 6 o'clock: 69 % "
            "of the clock is extrapolated."
        ]
    if known.extrapolated < 0.005:
        return []
    return [
        f"Gravity on the bead rests on a clock test of {known.clock_read} places: "
        f"{100.0 * known.extrapolated:.0f} % of the clock is still extrapolated."
    ]


def _part_warnings(result: Result) -> list[str]:
    scene, out = result.scene, _look_warnings(result.scene)
    if abs(math.cos(scene.bore.inclination)) > 1e-6:
        speeds = [60.0 * s.travel for s in result.settings]
        if min(speeds) < 399.5 or max(speeds) > 640.5:
            out.append(
                f"Travel of {min(speeds):.0f} to {max(speeds):.0f} mm/min: gravity on the "
                "bead was measured from 400 to 640 mm/min; outside that it is extrapolated."
            )
        out += _clock_warnings(scene)
    if (
        scene.pre_bore is not None
        and not read_after(scene)
        and 0.5 * scene.pre_bore.diameter
        <= float(result.start.radius(np.array([0.0])).min()) - 1e-6
    ):
        out.append("The pre-bore is smaller than the worn wall: it cuts nothing or not all round.")
    if scene.bore.outside_diameter is not None:
        widest = 2.0 * float(result.start.radius(np.linspace(0.0, scene.bore.length, 201)).max())
        ligament = 0.5 * (scene.bore.outside_diameter - widest)
        if ligament < default("ligament.least"):
            out.append(
                f"Only {ligament:.1f} mm of wall is left to the outside: it may burn through "
                f"or draw; depth of fusion is about {scene.process.depth_of_fusion:.1f} mm."
            )
    if result.stock_error > default("limit.clock_error"):
        out.append(
            f"The clock step leaves an error of {result.stock_error:.3f} mm in the minimum; "
            "ask for more [grid] columns."
        )
    if result.weld_left.spot.value < 0.0:
        out.append(
            "The finish cut runs into base metal in places: one side weld, the other base "
            "metal is a bad seat; see weld left."
        )
    if 2.0 / 3.0 * scene.cut.nose_radius > scene.cut.finish_allowance:
        out.append(
            f"A finishing pass of {scene.cut.finish_allowance:.2f} mm per side is thinner "
            f"than two thirds of the nose radius {scene.cut.nose_radius:.2f} mm: the tool "
            "rubs."
        )
    return out
