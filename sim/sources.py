"""Every default: its value, unit, likely range, and how it is known. A test refuses numeric defaults elsewhere.

Names are `section.key` of the scene file. Values are in the unit named here, which is the file's unit.
"""

from __future__ import annotations

from dataclasses import dataclass

MEASURED, PUBLISHED, DERIVED = "measured", "published", "derived"
COMMON, ASSUMED, CHOSEN = "common practice, no source", "assumed", "chosen"


@dataclass(frozen=True)
class Known:
    """A value with its unit, likely range low..high, how it is known, and the source in words."""

    value: float
    unit: str
    low: float
    high: float
    basis: str
    source: str


HANDBOOK = "deposition efficiency of solid wire, gas-metal-arc, in filler-metal handbook tables"

DEFAULTS: dict[str, Known] = {
    "bore.chamfer_entry": Known(1.0, "mm", 0.5, 3.0, COMMON, "mouth chamfer of a bushed bore"),
    "bore.chamfer_far": Known(1.0, "mm", 0.5, 3.0, COMMON, "mouth chamfer of a bushed bore"),
    "bore.location_zone": Known(0.0, "mm", 0.0, 0.5, CHOSEN, "no freedom to move the finish axis unless given"),
    "bore.inclination": Known(0.0, "deg", -90.0, 90.0, CHOSEN, "bore horizontal"),
    "bore.top": Known(12.0, "oclock", 0.0, 12.0, CHOSEN, "part welded with its punch mark on top"),
    "worn.bell_entry_length": Known(15.0, "mm", 5.0, 40.0, ASSUMED, "length of a bell mouth"),
    "worn.bell_far_length": Known(15.0, "mm", 5.0, 40.0, ASSUMED, "length of a bell mouth"),
    "wire.efficiency": Known(0.96, "1", 0.93, 0.98, PUBLISHED, HANDBOOK),
    "wire.density": Known(7850.0, "kg/m3", 7800.0, 7900.0, PUBLISHED, "carbon steel, handbook value"),
    "bead.aspect": Known(3.0, "1", 2.0, 4.0, COMMON, "width over height of a bead nobody measured"),
    "bead.width_error": Known(0.2, "mm", 0.1, 0.4, COMMON, "calliper across the toes of a bead"),
    "bead.height_error": Known(0.1, "mm", 0.05, 0.2, COMMON, "depth gauge over a bead"),
    "pad.error": Known(0.05, "mm", 0.02, 0.10, ASSUMED, "error of crest less valley on a pad"),
    "process.tie_in": Known(0.5, "1", 0.0, 1.0, ASSUMED, "near the tangent model at 0.738 w, Ding et al. 2015"),
    "process.depth_of_fusion": Known(1.5, "mm", 0.8, 2.5, COMMON, "re-melting under a bead"),
    "process.pool_run": Known(1.0, "mm", 0.0, 2.0, ASSUMED, "derived law, its length never measured in a bore"),
    "process.hump": Known(1.0, "mm", 0.8, 1.2, COMMON, "extra height at an arc start"),
    "process.hump_length": Known(11.0, "mm", 10.0, 12.0, COMMON, "length of the hump at an arc start"),
    "process.taper_length": Known(7.5, "mm", 5.0, 10.0, COMMON, "run-out before an arc stop"),
    "layer.repeat": Known(1, "1", 1, 40, CHOSEN, "each entry lays one layer"),
    "layer.step_over": Known(20.0, "deg", 5.0, 60.0, COMMON, "angle within which a step is made"),
    "layer.start_at": Known(12.0, "oclock", 0.0, 12.0, CHOSEN, "first layer starts on top"),
    "layer.shift": Known(90.0, "deg", 0.0, 360.0, COMMON, "humps of closing turns then do not pile up"),
    "layer.stagger": Known(0.0, "1", 0.0, 0.5, CHOSEN, "part of a pitch, worth little"),
    "layer.closing_start": Known(1, "turns", 0, 2, COMMON, "fills the wedge a spiral leaves at its start"),
    "layer.closing_end": Known(1, "turns", 0, 2, COMMON, "fills the wedge a spiral leaves at its end"),
    "layer.inside": Known(0.25, "bead widths", 0.2, 0.5, COMMON, "bead centre inside a free face"),
    "layer.overrun": Known(0.5, "bead widths", 0.25, 1.0, COMMON, "bead centre past a face with a run-off ring"),
    "cut.minimum_cut": Known(0.25, "mm", 0.1, 0.5, COMMON, "per side, sound metal under the skin"),
    "cut.finish_allowance": Known(0.3, "mm", 0.2, 0.6, COMMON, "per side, left for the finishing pass"),
    "cut.nose_radius": Known(0.4, "mm", 0.2, 0.8, COMMON, "insert nose radius of a finishing pass"),
    "head.contact_tip": Known(15.0, "mm", 10.0, 20.0, COMMON, "contact-tip distance"),
    "head.smallest_bore": Known(32.0, "mm", 25.0, 60.0, COMMON, "smallest bore a welding head enters"),
    "gauge.foot": Known(10.0, "mm", 5.0, 20.0, ASSUMED, "flat length of a two-point gauge's foot"),
    "grid.columns": Known(720, "columns", 360, 2880, CHOSEN, "half a degree; more on a large bore"),
    "limit.tip_swing": Known(2.0, "mm", 1.0, 3.0, COMMON, "contact-tip distance may vary this much in a turn"),
    "limit.tip_clear": Known(5.0, "mm", 3.0, 8.0, COMMON, "contact-tip distance left over a hump"),
    "limit.area": Known(10.0, "mm2", 8.0, 12.0, COMMON, "largest bead that holds on the climbing side"),
    "limit.contradiction": Known(0.10, "1", 0.05, 0.15, COMMON, "mass balance against 2/3 w h of a measured bead"),
    "limit.clock_error": Known(0.02, "mm", 0.005, 0.02, CHOSEN, "error of the minimum from the clock step"),
    "limit.cell": Known(1.4, "mm", 0.5, 2.0, CHOSEN, "widest clock column along the wall"),
    "limit.beads": Known(4e7, "beads x columns", 1e7, 1e8, CHOSEN, "largest job held in memory"),
    "spread.common": Known(0.035, "1", 0.02, 0.05, COMMON, "wire feed, dial and efficiency, on all beads of a layer together"),
    "spread.height": Known(0.04, "1", 0.025, 0.063, PUBLISHED, "bead-to-bead height, 71 replicate groups of published ER70S-6 beads"),
    "ligament.least": Known(6.0, "mm", 4.0, 10.0, COMMON, "wall left to the outside against burning through"),
}


def default(name: str) -> float:
    """The value of a default.

    >>> default("wire.efficiency")
    0.96
    """
    return DEFAULTS[name].value
