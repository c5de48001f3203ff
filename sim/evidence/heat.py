"""Rows on heat and steel: arc, cooling, preheat, carbon equivalents, waiting, weld positions."""

from __future__ import annotations

import math

from sim.evidence.row import Row
from sim.evidence.sources import (
    AWS_FORM,
    CENGEL,
    D1_1,
    EN_1011_1,
    EN_1011_2_C,
    EN_1011_2_D,
    EN_1993,
    FATSKILLS,
    INTEGRATOR,
    ISO_6947,
    ISO_13916,
    KRINKE,
    MACHINECALCS,
    QW_461,
    TI_809,
    WELDING_UTILS,
)
from sim.laws.arc_heat import arc_energy, heat_input
from sim.laws.cooling import cooling_time
from sim.laws.interpass import Ring
from sim.laws.preheat import minimum_preheat, preheat_by_cet, where_to_measure
from sim.laws.steel_composition import Composition
from sim.laws.weld_positions import main_positions, positions, whole_turn
from sim.reference.units import INCH

STEEL = Composition(
    carbon=1.0,
    manganese=1.3,
    chromium=0.4,
    molybdenum=2.0,
    vanadium=2.1,
    nickel=0.8,
    copper=1.1,
    silicon=2.8,
    boron=3.0,
)
RING = Ring.of(80.0, 150.0, 100.0, density=7.85e-3, specific_heat=500.0, film=20.0, air=20.0)
ARCS = (
    (12.8, 170.0, 640.0), (12.5, 165.0, 600.0), (11.9, 152.0, 530.0), (11.7, 130.0, 450.0),
    (11.5, 120.0, 400.0),
)  # fmt: skip
"""Volts, amps, mm/min of the beads of Krinke."""


def conductivity() -> float:
    """Conductivity of hot steel [W/(m K)] that the cooling time of a thick plate stands for."""
    heat, warm = 1.0, 100.0
    time = cooling_time(heat, warm, None).time
    return heat * 1e6 / (math.tau * time) * (1.0 / (500.0 - warm) - 1.0 / (800.0 - warm))


def junction() -> float:
    """Time [s] for a sphere of 1 mm to come within 1 % of the gas around it."""
    volume, area = math.pi / 6.0 * 1e-9, math.pi * 1e-6
    lump = Ring(mass=8500.0 * volume, area=area, specific_heat=320.0, film=210.0, air=0.0)
    return lump.wait(100.0, 1.0)


def clock(iso: str) -> list[float]:
    """From and to on the clock [h] of a position in a horizontal bore, torch turning clockwise."""
    found = next(one for one in positions(0.0, 1) if one.iso == iso)
    return [found.start * 6.0 / math.pi, found.end * 6.0 / math.pi]


def preheats(category: str, thick: tuple[float, ...]) -> list[float]:
    """Least preheat [C] by thickness [mm]."""
    return [minimum_preheat(category, one) for one in thick]


ROWS: tuple[Row, ...] = (
    Row(
        "arc_heat",
        "325 A, 29 V, 25 in in 2 min, arc energy",
        AWS_FORM,
        (45.24,),
        "kJ/in",
        1e-9,
        "exact",
        lambda: arc_energy(29.0, 325.0, 12.5 * INCH / 60.0) * INCH,
    ),
    Row(
        "arc_heat",
        "24 V, 200 A, 6 mm/s, k 0.8",
        EN_1011_1,
        (0.640,),
        "kJ/mm",
        1e-9,
        "exact",
        lambda: heat_input(24.0, 200.0, 6.0, 0.8),
    ),
    Row(
        "arc_heat",
        "24 V, 180 A, 300 mm/min, k 0.8",
        MACHINECALCS,
        (0.691,),
        "kJ/mm",
        5e-4,
        "as printed",
        lambda: heat_input(24.0, 180.0, 5.0, 0.8),
    ),
    Row(
        "arc_heat",
        "the same in kJ/in",
        MACHINECALCS,
        (17.6,),
        "kJ/in",
        0.05,
        "as printed",
        lambda: heat_input(24.0, 180.0, 5.0, 0.8) * INCH,
    ),
    Row(
        "arc_heat",
        "24 V, 120 A, 10 in/min, arc energy",
        FATSKILLS,
        (17280.0,),
        "J/in",
        1e-6,
        "exact",
        lambda: 1000.0 * INCH * arc_energy(24.0, 120.0, 10.0 * INCH / 60.0),
    ),
    Row(
        "arc_heat",
        "200 V, 32 A, 20 mm in 11 s, k 0.8",
        WELDING_UTILS,
        (2.816,),
        "kJ/mm",
        1e-9,
        "exact",
        lambda: heat_input(200.0, 32.0, 20.0 / 11.0, 0.8),
    ),
    Row(
        "arc_heat",
        "heat into the beads at 400 to 640 mm/min",
        KRINKE,
        (163.2, 165.0, 163.816, 162.24, 165.6),
        "J/mm",
        1e-3,
        "as printed",
        lambda: [1000.0 * heat_input(u, i, v / 60.0, 0.8) for u, i, v in ARCS],
    ),
    Row(
        "cooling",
        "t8/5, 2 kJ/mm, 200 C, thick",
        EN_1011_2_D,
        (19.0,),
        "s",
        1e-6,
        "arithmetic",
        lambda: cooling_time(2.0, 200.0, 60.0).time,
    ),
    Row(
        "cooling",
        "t8/5, 2 kJ/mm, 200 C, 20 mm",
        EN_1011_2_D,
        (28.667,),
        "s",
        1e-3,
        "arithmetic",
        lambda: cooling_time(2.0, 200.0, 20.0).time,
    ),
    Row(
        "cooling",
        "conductivity of hot steel behind the cooling time of a thick plate",
        EN_1993,
        (32.35,),
        "W/(m K)",
        8.1,
        "5.05 from middle to either end, and up to a quarter of the heat does not arrive",
        conductivity,
    ),
    Row(
        "preheat",
        "CET .30, 25 mm, 5 ml/100 g, 1 kJ/mm",
        EN_1011_2_C,
        (72.0,),
        "C",
        0.1,
        "arithmetic",
        lambda: preheat_by_cet(0.30, 25.0, 5.0, 1.0).temperature,
    ),
    Row(
        "preheat",
        "least, category B, 12, 20, 25, 38, 50, 65, 70 mm",
        D1_1,
        (0.0, 0.0, 10.0, 10.0, 65.0, 65.0, 110.0),
        "C",
        0.0,
        "exact",
        lambda: preheats("B", (12.0, 20.0, 25.0, 38.0, 50.0, 65.0, 70.0)),
    ),
    Row(
        "preheat",
        "least, category A, 20, 21, 40, 66 mm",
        D1_1,
        (0.0, 65.0, 110.0, 150.0),
        "C",
        0.0,
        "exact",
        lambda: preheats("A", (20.0, 21.0, 40.0, 66.0)),
    ),
    Row(
        "preheat",
        "least, category B, 19, 38.1, 63.5 mm and over",
        TI_809,
        (0.0, 10.0, 66.0, 107.0),
        "C",
        3.0,
        "D1.1 rounds to 5 C",
        lambda: preheats("B", (19.0, 38.1, 63.5, 66.0)),
    ),
    Row(
        "preheat",
        "where it is measured, 10, 20, 50 mm thick and over",
        ISO_13916,
        (40.0, 50.0, 50.0, 75.0),
        "mm",
        0.0,
        "exact",
        lambda: [where_to_measure(t) for t in (10.0, 20.0, 50.0, 50.1)],
    ),
    Row(
        "steel_composition",
        "carbon equivalent of an alloy",
        WELDING_UTILS,
        (2.243333,),
        "%",
        1e-6,
        "as printed",
        lambda: STEEL.ce,
    ),
    Row(
        "steel_composition",
        "CET of the same",
        WELDING_UTILS,
        (1.425,),
        "%",
        1e-9,
        "as printed",
        lambda: STEEL.cet,
    ),
    Row(
        "steel_composition",
        "Pcm of the same",
        WELDING_UTILS,
        (16.59,),
        "%",
        1e-9,
        "as printed",
        lambda: STEEL.pcm,
    ),
    Row(
        "interpass",
        "a sphere of 1 mm within 1 % of the gas",
        CENGEL,
        (10.0,),
        "s",
        0.5,
        "whole seconds",
        junction,
    ),
    Row(
        "interpass",
        "a ring of 80 by 150 by 100 mm from 100 C, 20 min at 1500 W",
        INTEGRATOR,
        (359.05457,),
        "C",
        1e-4,
        "as integrated",
        lambda: RING.heated(100.0, 1500.0, 1200.0),
    ),
    Row(
        "weld_positions",
        "flat in a horizontal bore, to 15 degrees either way of 6 o'clock",
        QW_461,
        (5.5, 6.5),
        "h",
        1e-6,
        "exact",
        lambda: clock("PA"),
    ),
    Row(
        "weld_positions",
        "vertical up in a horizontal bore, slope 15 to 80 degrees",
        QW_461,
        (6.5, 12.0 - 80.0 / 30.0),
        "h",
        1e-6,
        "exact",
        lambda: clock("PF"),
    ),
    Row(
        "weld_positions",
        "main positions of 1G, 2G, 3G up, 3G down, 4G",
        ISO_6947,
        ("PA", "PC", "PF", "PG", "PE"),
        "",
        0.0,
        "names",
        lambda: ["".join(main_positions(one)) for one in ("1G", "2G", "3G up", "3G down", "4G")],
    ),
    Row(
        "weld_positions",
        "a pipe upright, and one fixed at 45 degrees",
        QW_461,
        ("2G", "6G"),
        "",
        0.0,
        "names",
        lambda: [whole_turn(0.5 * math.pi)[1], whole_turn(0.25 * math.pi)[1]],
    ),
)
