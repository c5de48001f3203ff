"""What a careful person would point at."""

from __future__ import annotations

import math

import numpy as np

from sim.reference.defaults import default
from sim.set_up.bead import contradiction, feed_measured
from sim.shop.result import Result, tip_clear


def _unseen_warnings(result: Result) -> list[str]:
    if result.unseen is None or result.unseen > result.stock.spot.value - 0.005:
        return []
    whose = (
        ""
        if result.scene.bore.original_diameter
        else " (the final size stands for the original one, which is not given)"
    )
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
    out: list[str] = []
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


def _part_warnings(result: Result) -> list[str]:
    scene, out = result.scene, []
    if abs(math.cos(scene.bore.inclination)) > 1e-6:
        speeds = [60.0 * s.travel for s in result.settings]
        if min(speeds) < 399.5 or max(speeds) > 640.5:
            out.append(
                f"Travel of {min(speeds):.0f} to {max(speeds):.0f} mm/min: gravity on the "
                "bead was measured from 400 to 640 mm/min; outside that it is extrapolated."
            )
        out.append(
            "Gravity on the bead was measured to 55 degrees either side of 6 o'clock: 69 % "
            "of the clock is extrapolated."
        )
    if (
        scene.pre_bore is not None
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
