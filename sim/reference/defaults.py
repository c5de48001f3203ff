"""Every default: its value, unit, likely range, and how it is known. A test refuses numeric defaults elsewhere.

Names are `section.key` of the scene file. Values are in the unit named here, which is the file's unit.
"""

from __future__ import annotations

from dataclasses import dataclass

# fmt: off
# one declaration a line

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
    "readings.error": Known(0.02, "mm", 0.01, 0.05, ASSUMED, "bore gauge or indicator, two standard deviations"),
    "readings.gauge_expansion": Known(11.5, "um/(m C)", 11.0, 12.0, PUBLISHED, "steel, handbook value; reference 20 C by ISO 1"),
    "readings.work_expansion": Known(11.5, "um/(m C)", 11.0, 12.5, PUBLISHED, "steel, handbook value; reference 20 C by ISO 1"),
    "readings.temperature_error": Known(2.0, "C", 1.0, 5.0, ASSUMED, "contact thermometer on a rough wall"),
    "readings.ratio": Known(2.0, "1", 1.5, 3.0, ASSUMED, "outside over bore diameter where the outside is not given"),
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
    "limit.overlap": Known(0.5, "1", 0.5, 0.6, COMMON, "closer a bead swallows its neighbour's crest; the law of tie-in was compared with others from half a width up"),
    "limit.area": Known(10.0, "mm2", 8.0, 12.0, COMMON, "largest bead that holds on the climbing side"),
    "limit.contradiction": Known(0.10, "1", 0.05, 0.15, COMMON, "mass balance against 2/3 w h of a measured bead"),
    "limit.clock_error": Known(0.02, "mm", 0.005, 0.02, CHOSEN, "error of the minimum from the clock step"),
    "limit.cell": Known(1.4, "mm", 0.5, 2.0, CHOSEN, "widest clock column along the wall"),
    "limit.far": Known(0.15, "1", 0.1, 0.25, CHOSEN, "a bore worn or bored farther from its size than this is asked about"),
    "limit.reach_depth": Known(0.25, "bore lengths", 0.1, 0.35, CHOSEN, "a reading speaks for this much of the bore either way: three stations do for a bore"),
    "limit.reach_clock": Known(37.5, "deg", 30.0, 45.0, CHOSEN, "a reading speaks for this much clock either way: three two-point readings, or five radii, tell an oval from a round bore"),
    "limit.cases": Known(20000, "cases", 1000, 100000, CHOSEN, "most cases of one comparison"),
    "limit.beads": Known(4e7, "beads x columns", 1e7, 1e8, CHOSEN, "largest job held in memory"),
    "spread.common": Known(0.035, "1", 0.02, 0.05, COMMON, "wire feed, dial and efficiency, on all beads of a layer together; efficiency has no spread of its own"),
    "spread.shared": Known(0.75, "1", 0.5, 1.0, ASSUMED, "the same wire, dial and gas serve all layers; what is set again differs"),
    "spread.height": Known(0.04, "1", 0.025, 0.063, PUBLISHED, "bead-to-bead height, 71 replicate groups of published ER70S-6 beads"),
    "spread.along": Known(0.04, "1", 0.02, 0.06, ASSUMED, "along a bead as much as from bead to bead"),
    "spread.along_length": Known(7.5, "mm", 5.0, 10.0, ASSUMED, "length of a pool or two"),
    "spread.width": Known(0.05, "1", 0.04, 0.08, COMMON, "bead width from turn to turn"),
    "spread.width_law": Known(0.056, "1", 0.03, 0.08, PUBLISHED, "power law of bead height, 16 published ER70S-6 settings, rms 5.6 %"),
    "spread.tie_in": Known(0.15, "1", 0.05, 0.3, ASSUMED, "tie-in measured once, on a pad or after a layer"),
    "spread.gravity": Known(0.2, "1", 0.1, 0.3, ASSUMED, "69 % of the clock and every other wire and gas are extrapolated"),
    "spread.pool_run": Known(1.0, "mm", 0.5, 2.0, ASSUMED, "derived law, its length never measured in a bore"),
    "spread.fusion": Known(0.4, "mm", 0.2, 0.8, COMMON, "re-melting under a bead"),
    "spread.pre_bore_axis": Known(0.1, "mm", 0.02, 0.3, COMMON, "bar set up by indicator"),
    "spread.torch_axis": Known(0.15, "mm", 0.05, 0.5, COMMON, "head centred on the bar"),
    "spread.finish_axis": Known(0.05, "mm", 0.0, 0.2, COMMON, "bar left in place between the cuts"),
    "spread.reading": Known(0.03, "mm", 0.01, 0.1, COMMON, "bore gauge on a bored or worn wall"),
    "spread.law": Known(0.1, "mm", 0.0, 0.2, ASSUMED, "a valley of another law, as of round sections instead of parabolas, lies about this far off"),
    "spread.edge": Known(0.07, "mm", 0.0, 0.3, ASSUMED, "a bead over a free edge is held on one side only; laws that melt nothing away leave about this much less"),
    "spread.crest": Known(0.04, "mm", 0.02, 0.08, ASSUMED, "crests of round sections stand about this much off those of parabolas of the same metal and width"),
    "confidence.asked": Known(0.95, "1", 0.8, 0.99, CHOSEN, "19 jobs in 20"),
    "confidence.seed": Known(1, "1", 0, 1e9, CHOSEN, "any number"),
    "confidence.draws_most": Known(2000, "draws", 100, 1e5, CHOSEN, "enough to tell 95 from 97 in 100"),
    "plan.overlap_least": Known(0.15, "1", 0.1, 0.3, COMMON, "wider pitches leave valleys to the plate"),
    "plan.overlap_most": Known(0.6, "1", 0.5, 0.65, COMMON, "closer pitches pile beads up and fuse poorly"),
    "plan.layers_most": Known(10, "layers", 1, 20, CHOSEN, "more than a shop wants to lay"),
    "plan.weld_left": Known(0.5, "mm", 0.3, 1.0, COMMON, "no seat half weld, half base metal"),
    "plan.slower": Known(0.8, "1", 0.7, 1.0, CHOSEN, "travel tried down to this part of the measured bead's"),
    "plan.faster": Known(1.35, "1", 1.0, 1.5, CHOSEN, "travel tried up to this part of the measured bead's"),
    "plan.away": Known(0.01, "1", 0.0, 0.05, CHOSEN, "what settings away from the measured bead must save to be taken"),
    "plan.layer_time": Known(600.0, "s", 300.0, 1800.0, COMMON, "brush, measure, set again"),
    "quick.pre_bore": Known(0.5, "mm", 0.3, 1.0, COMMON, "on diameter, bored past the worst wear to clean round metal"),
    "quick.allowance": Known(1.2, "mm", 0.8, 2.0, COMMON, "per side, mean build-up past the final size"),
    "quick.spacing": Known(0.65, "1", 0.6, 0.7, COMMON, "pitch over bead width"),
    "quick.wire": Known(1.0, "mm", 0.8, 1.2, COMMON, "wire for a bore of this size"),
    "quick.wire_feed": Known(3.5, "m/min", 3.0, 5.0, COMMON, "wire feed for beads of about 6 mm2"),
    "quick.travel": Known(440.0, "mm/min", 400.0, 640.0, COMMON, "travel speed inside the range gravity was measured for"),
    "bench.width": Known(5.0, "mm", 3.0, 10.0, CHOSEN, "an ordinary bead of 1.0 mm wire, to begin with on the overlap bench"),
    "bench.height": Known(1.8, "mm", 1.0, 3.5, CHOSEN, "an ordinary bead of 1.0 mm wire, to begin with on the overlap bench"),
    "bench.pitch": Known(3.5, "mm", 2.5, 5.0, CHOSEN, "0.7 of the bead width, to begin with on the overlap bench"),
    "bench.beads": Known(3, "beads", 2, 5, CHOSEN, "the fewest that show a bead with a neighbour on either side"),
    "bench.gravity": Known(0.23, "1", 0.22, 0.28, PUBLISHED, "fit to the table behind a published bead-height model (Krinke 2023), at 450 mm/min"),
    "bench.cut": Known(1.5, "mm", 0.5, 3.0, CHOSEN, "a last cut that leaves black where the pitch is coarse, per side"),
    "electrical.thermal_efficiency": Known(0.8, "1", 0.6, 1.0, PUBLISHED, "EN 1011-1, gas-metal-arc (process 135): 0.8; TWI lists 1.0 submerged arc, 0.8 metal arc, 0.6 tungsten arc"),
    "heat.air": Known(20.0, "C", 0.0, 35.0, ASSUMED, "air round the part"),
    "heat.film": Known(20.0, "W/(m2 K)", 10.0, 30.0, ASSUMED, "still air and radiation at 100 to 200 C; an arm or plate on the boss draws more"),
    "heat.specific_heat": Known(500.0, "J/(kg K)", 460.0, 560.0, PUBLISHED, "carbon steel at 100 to 250 C, handbook value"),
    "limit.travel_spread": Known(0.02, "1", 0.01, 0.05, CHOSEN, "a bore whose radius differs by less, crest to low, is called round here"),
    "boring_bar.efficiency": Known(0.8, "1", 0.7, 0.9, PUBLISHED, "drive of a machine tool, turning handbooks 0.7 to 0.8"),
    "boring_bar.rough_feed": Known(0.2, "mm", 0.1, 0.3, COMMON, "per turn, roughing with a bar"),
    "boring_bar.finish_feed": Known(0.1, "mm", 0.05, 0.15, COMMON, "per turn, finishing with a bar"),
    "boring_bar.depth_most": Known(2.0, "mm", 1.0, 3.0, COMMON, "per side, roughing with a bar"),
    "boring_bar.entering_angle": Known(90.0, "deg", 75.0, 95.0, COMMON, "edge square to the bore"),
    "boring_bar.specific_force": Known(1990.0, "N/mm2", 1500.0, 2400.0, PUBLISHED, "kc1.1 of steel of 500 to 600 N/mm2, as the weld metal of mild wire: fit to two handbook tables"),
    "boring_bar.force_exponent": Known(0.26, "1", 0.15, 0.30, PUBLISHED, "mc of the same steel, fit to the same tables"),
    "boring_bar.push_off": Known(0.5, "1", 0.25, 1.0, PUBLISHED, "0.25 to 0.30 in the trade press for a deep cut; more where the cut is not deeper than the nose"),
    "bar.carbide": Known(80.0, "m/min", 50.0, 120.0, COMMON, "carbide in weld metal, interrupted"),
    "bar.high_speed_steel": Known(20.0, "m/min", 12.0, 28.0, COMMON, "high-speed steel in mild steel and weld metal"),
    "bar.share": Known(0.5, "1", 0.4, 0.7, COMMON, "bar diameter over final bore"),
    "bar.thinnest": Known(20.0, "mm", 16.0, 25.0, COMMON, "thinnest bar taken"),
    "bar.thickest": Known(60.0, "mm", 45.0, 90.0, COMMON, "thickest bar carried to the work"),
    "bar.clearance": Known(150.0, "mm", 75.0, 300.0, COMMON, "from a face to the bearing on that side"),
    "bar.modulus": Known(206000.0, "N/mm2", 200000.0, 210000.0, PUBLISHED, "steel, handbook value"),
    "bar.run_out": Known(5.0, "mm", 2.0, 10.0, COMMON, "feed before and past the bore, together"),
    "bar.smallest": Known(2.0 / 3.0, "nose radii", 0.3, 1.0, PUBLISHED, "smallest useful cut, insert handbook"),
    "limit.overhang": Known(4.0, "bar diameters", 3.0, 5.0, PUBLISHED, "steel boring bar, tool handbooks: farther out it chatters"),
    "limit.speed_off": Known(0.2, "1", 0.1, 0.3, COMMON, "speed or feed this far from the one wished is said"),
    "rates.spool": Known(15000.0, "g", 5000.0, 18000.0, COMMON, "wire on a spool"),
    "time.gas_flow": Known(10.0, "l/min for a mm of wire", 7.0, 13.0, PUBLISHED, "power-source manual: ten to twelve times the wire diameter"),
    "time.set_up": Known(60.0, "min", 30.0, 150.0, COMMON, "set up and line up bar and head, a bore"),
    "time.clean": Known(20.0, "min", 10.0, 60.0, COMMON, "degrease, clean and make safe, a bore"),
    "time.measure": Known(25.0, "min", 15.0, 60.0, COMMON, "measure cold and look for cracks, before and after, a bore"),
    "time.tool": Known(6.0, "min", 3.0, 12.0, COMMON, "set the tool and gauge, a boring pass"),
    "time.preheat": Known(20.0, "min", 0.0, 60.0, COMMON, "preheat, by steel and section; a bore"),
    "time.cool": Known(120.0, "min", 60.0, 480.0, COMMON, "cool slowly under a blanket, a bore"),
    "shop_values.extrapolated": Known(1.0 - 110.0 / 360.0, "1", 0.0, 1.0, PUBLISHED, "the published table goes to 55 degrees either side of 6 o'clock (Krinke 2023)"),
    "ligament.least": Known(6.0, "mm", 4.0, 10.0, COMMON, "wall left to the outside against burning through"),
}


def default(name: str) -> float:
    """The value of a default.

    >>> default("wire.efficiency")
    0.96
    """
    return DEFAULTS[name].value
