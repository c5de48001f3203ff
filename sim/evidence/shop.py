"""Rows on boring, wire, gas, money and on how sure a share of draws is."""

from __future__ import annotations

import math

import numpy as np

from sim.evidence.row import Row
from sim.evidence.sources import (
    ALL_OR_NONE,
    BARS,
    CUTTING_PAGE,
    DEPOSITION,
    FEEDING,
    ISAKOV,
    MACHINECALCS,
    NOSE,
    RN_1391,
    SINTERVALS,
    STIFFNESS,
    TIMOSHENKO,
    TURNING,
    WIRE_TABLE,
)
from sim.laws.bar_deflection import OVERHUNG, SUPPORTED, Bar, left_standing, second_moment
from sim.laws.cutting_force import cutting_force, cutting_time, power, rotation, specific_force
from sim.laws.exact_interval import clopper_pearson
from sim.laws.mass_balance import deposited_area, wire_area
from sim.laws.roughness import exact_roughness, mean_roughness, roughness
from sim.reference.defaults import default
from sim.reference.units import INCH, POUND_KG

POUND = 1000.0 * POUND_KG
STEEL = 7.85e-3  # g/mm3


def bends(bar: Bar, depth: float, force: float) -> float:
    """How far a bar bends [mm] under a force [N] at a depth."""
    return float(force * bar.compliance(np.array([depth]))[0])


def specific(feeds: tuple[float, ...], entering: float) -> list[float]:
    """Specific cutting force [N/mm2] by feed, from the pair that every job starts with."""
    kc, mc = default("boring_bar.specific_force"), default("boring_bar.force_exponent")
    return [specific_force(f * math.sin(math.radians(entering)), kc, mc) for f in feeds]


def pound_of_wire(inches: tuple[float, ...]) -> list[float]:
    """Length [in] of steel wire in a pound, by its diameter [in]."""
    return [POUND / (wire_area(d * INCH) * STEEL) / INCH for d in inches]


def deposition() -> float:
    """Weld metal [lb/h] of 0.052 in wire at 320 in/min, 98 %."""
    travel = 1.0
    area = deposited_area(0.052 * INCH, 320.0 * INCH / 60.0, travel, 0.98)
    return area * travel * 3600.0 * STEEL / POUND


def share(cleans: int, draws: int, level: float) -> list[float]:
    """From and to of an exact interval."""
    told = clopper_pearson(cleans, draws, level)
    return [told.low, told.high]


HELD = Bar(40.0, SUPPORTED, 120.0, 400.0, 206000.0)
OUT = Bar(25.4, OVERHUNG, 101.6, 0.0, 20.6e4)

ROWS: tuple[Row, ...] = (
    Row(
        "bar_deflection",
        "second moment of area of a 25.4 mm bar",
        ISAKOV,
        (20432.0,),
        "mm4",
        0.5,
        "as printed",
        lambda: second_moment(25.4),
    ),
    Row(
        "bar_deflection",
        "the same bar 101.6 mm out, 911.1 N",
        ISAKOV,
        (0.0757,),
        "mm",
        5e-5,
        "as printed",
        lambda: bends(OUT, 0.0, 911.1),
    ),
    Row(
        "bar_deflection",
        "40 mm bar between bearings 400 mm apart, 1000 N in the middle",
        TIMOSHENKO,
        (0.0515064,),
        "mm",
        1e-6,
        "P L^3 / 48 E I",
        lambda: bends(HELD, 80.0, 1000.0),
    ),
    Row(
        "bar_deflection",
        "the same bar, 1000 N 120 mm from a bearing",
        STIFFNESS,
        (0.0363429,),
        "mm",
        1e-6,
        "as solved",
        lambda: bends(HELD, 0.0, 1000.0),
    ),
    Row(
        "bar_deflection",
        "metal left by a bar of 0.3 um/N, 1.7 mm deep, 900 N/mm",
        STIFFNESS,
        (0.361417,),
        "mm",
        1e-6,
        "bar and cut push alike, by halving",
        lambda: float(left_standing(np.array([1.7]), 900.0, np.array([3e-4]))[0]),
    ),
    Row(
        "cutting_force",
        "power, 3 mm deep, 0.2 mm a turn, kc 3100, 120 m/min, 80 %",
        CUTTING_PAGE,
        (4.65,),
        "kW",
        1e-9,
        "exact",
        lambda: power(cutting_force(3.0, 0.2, 3100.0), 2000.0, 0.8) / 1000.0,
    ),
    Row(
        "cutting_force",
        "specific force of mild steel by feed, edge square",
        CUTTING_PAGE,
        (3610.0, 3100.0, 2720.0, 2500.0, 2280.0),
        "N/mm2",
        0.03,
        "3 %",
        lambda: specific((0.1, 0.2, 0.3, 0.4, 0.6), 90.0),
        fitted=True,
        relative=True,
    ),
    Row(
        "cutting_force",
        "specific force of St 50-2 by feed, edge at 45 degrees",
        RN_1391,
        (3500.0, 3100.0, 2750.0, 2450.0, 2150.0, 1950.0),
        "N/mm2",
        0.08,
        "8 %",
        lambda: specific((0.16, 0.25, 0.4, 0.63, 1.0, 1.6), 45.0),
        fitted=True,
        relative=True,
    ),
    Row(
        "cutting_force",
        "speed of 150 mm at 250 a minute",
        TURNING,
        (117.0,),
        "m/min",
        1.0,
        "pi as 3.14, whole metres",
        lambda: 250.0 * math.tau / 60.0 / rotation(1.0, 150.0) * 60.0 / 1000.0,
    ),
    Row(
        "cutting_force",
        "time for 100 mm at 20 mm a minute",
        FEEDING,
        (5.0,),
        "min",
        1e-9,
        "exact",
        lambda: cutting_time(100.0, 0.1, 200.0 * math.tau / 60.0) / 60.0,
    ),
    Row(
        "roughness",
        "Rz of feed 0.2, nose 0.8",
        MACHINECALCS,
        (6.25,),
        "um",
        5e-3,
        "as printed",
        lambda: 1000.0 * roughness(0.2, 0.8),
    ),
    Row(
        "roughness",
        "Ra of feed 0.2, nose 0.8",
        MACHINECALCS,
        (1.603,),
        "um",
        1e-3,
        "31.2 for 31.18, as printed",
        lambda: 1000.0 * mean_roughness(0.2, 0.8),
    ),
    Row(
        "roughness",
        "height of the same marks exactly",
        NOSE,
        (6.2746,),
        "um",
        5e-5,
        "as drawn",
        lambda: 1000.0 * exact_roughness(0.2, 0.8),
    ),
    Row(
        "mass_balance",
        "wire of 0.030, 0.035, 0.045, 1/16, 3/32 in in a pound",
        WIRE_TABLE,
        (4956.0, 3648.0, 2196.0, 1152.0, 516.0),
        "in",
        0.015,
        "1.5 %: the wire's own tolerance",
        lambda: pound_of_wire((0.030, 0.035, 0.045, 0.0625, 0.09375)),
        relative=True,
    ),
    Row(
        "mass_balance",
        "weld metal of 0.052 in wire at 320 in/min, 98 %",
        DEPOSITION,
        (11.1,),
        "lb/h",
        0.025,
        "2.5 %: 13.1 stands for 13.4",
        deposition,
        relative=True,
    ),
    Row(
        "mass_balance",
        "round steel, 8 and 16 mm, a metre of it",
        BARS,
        (0.395, 1.58),
        "kg",
        0.005,
        "as printed",
        lambda: [wire_area(d) * STEEL for d in (8.0, 16.0)],
    ),
    Row(
        "exact_interval",
        "8 of 10 at 99 %",
        SINTERVALS,
        (0.35180, 0.98915),
        "1",
        1e-5,
        "as printed",
        lambda: share(8, 10, 0.99),
    ),
    Row(
        "exact_interval",
        "8 of 10 at 95 %",
        SINTERVALS,
        (0.44390, 0.97479),
        "1",
        1e-5,
        "as printed",
        lambda: share(8, 10, 0.95),
    ),
    Row(
        "exact_interval",
        "8 of 10 at 90 %",
        SINTERVALS,
        (0.49310, 0.96323),
        "1",
        1e-5,
        "as printed",
        lambda: share(8, 10, 0.90),
    ),
    Row(
        "exact_interval",
        "none of 10, 50, 200 at 95 %, up to",
        ALL_OR_NONE,
        tuple(1.0 - 0.025 ** (1.0 / n) for n in (10, 50, 200)),
        "1",
        1e-9,
        "exact",
        lambda: [share(0, n, 0.95)[1] for n in (10, 50, 200)],
    ),
)
