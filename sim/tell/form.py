"""What the form of the worn bore says."""

from __future__ import annotations

import math
from typing import Any

from sim.bore.axis import Axis
from sim.bore.circles import Circle
from sim.job.change import digest
from sim.job.scene import Scene
from sim.reference.sizes_in_words import Say
from sim.reference.units import clock_text, oclock
from sim.reference.version import VERSION
from sim.shop.as_worn_form import Form
from sim.tell.note import axis_words
from sim.tell.remarks import lines as remarks
from sim.tell.result_json import SCHEMA


def form_as_json(scene: Scene, form: Form) -> dict[str, Any]:
    """The form of the worn bore as plain values: mm, o'clock as hours."""

    def circle(c: Circle) -> dict[str, float]:
        return {
            "x_mm": c.x,
            "y_mm": c.y,
            "diameter_mm": 2.0 * c.radius,
            "roundness_mm": c.form_error,
        }

    def line(axis: Axis) -> dict[str, list[float]]:
        return {"entry_xy_mm": list(axis.entry), "far_xy_mm": list(axis.far)}

    return {
        "schema": SCHEMA,
        "tool_version": VERSION,
        "scene_digest": digest(scene),
        "stations": [
            {
                "depth_mm": s.depth,
                "smallest_diameter_mm": s.smallest,
                "largest_diameter_mm": s.largest,
                "out_of_round_mm": s.out_of_round,
                "largest_at_oclock": oclock(s.largest_at),
                "least_squares": circle(s.least_squares),
                "minimum_zone": circle(s.minimum_zone),
                "circumscribed": circle(s.circumscribed),
                "inscribed": circle(s.inscribed),
            }
            for s in form.stations
        ],
        "taper_mm": form.taper,
        "axis_tilt_mm": form.tilt,
        "cylindricity_mm": form.cylindricity,
        "least_squares_axis": line(form.axis),
        "pre_bore_that_cleans_mm": form.pre_bore,
        "best_axis_pre_bore_mm": form.best_pre_bore,
        "best_axis": line(form.best_axis),
        "worst_unseen_pre_bore_mm": form.worst_pre_bore,
        "said": remarks(form.said, Say("mm")),
    }


def _shows_centre(scene: Scene) -> bool:
    """Tell whether the wall's centre is known: a two-point gauge does not see it."""
    return scene.readings is None or scene.readings.found.kind == "radius"


def form_note(scene: Scene, form: Form) -> str:
    """The form of the worn bore in words and a table, in the job's units."""
    say = Say(scene.job.units)
    lines = [
        scene.job.name or "Unnamed job",
        "",
        "Station by station, on diameter"
        + (":" if _shows_centre(scene) else " (a two-point gauge does not show the centre):"),
    ]
    for s in form.stations:
        c = s.least_squares
        seen = _shows_centre(scene)
        away = (
            f", centre {say.size(math.hypot(c.x, c.y), 3)} from the drawing axis towards "
            f"{clock_text(math.atan2(c.x, -c.y) % (2.0 * math.pi))}"
        )
        lines.append(
            f"- {say.size(s.depth, 0)} deep: least squares "
            f"{say.size(2 * c.radius, 3)}{away if seen else ''}; {say.size(s.smallest, 3)} "
            "to "
            f"{say.size(s.largest, 3)}, out of round {say.size(s.out_of_round, 3)}, widest "
            f"at {clock_text(s.largest_at)}"
        )
        zone, outer, inner = s.minimum_zone, s.circumscribed, s.inscribed
        lines.append(
            f"  roundness {say.size(c.form_error, 3)} by least squares, "
            f"{say.size(zone.form_error, 3)} minimum zone; "
            f"circumscribed {say.size(2 * outer.radius, 3)}, inscribed "
            f"{say.size(2 * inner.radius, 3)} on diameter"
        )
    lines += [
        "",
        f"Taper {say.size(form.taper, 3)} on diameter from entry to far face; axis runs off "
        f"{say.size(form.tilt, 3)}; "
        f"cylindricity {say.size(form.cylindricity, 3)} per side.",
        f"Pre-bore that just cleans up: {say.size(form.pre_bore, 2)} on diameter about the "
        "pre-bore axis of the job; "
        f"{say.size(form.best_pre_bore, 2)} about the best axis within the location zone "
        f"({axis_words(form.best_axis, say)}).",
    ]
    if form.worst_pre_bore is not None:
        lines.append(
            "If all wear the two-point gauge cannot see were on one side: "
            f"{say.size(form.worst_pre_bore, 2)} on diameter."
        )
    return "\n".join([*lines, *(f"- {line}" for line in remarks(form.said, say))]) + "\n"
