"""The sources by name. A value from memory is no evidence and has no source here."""

from __future__ import annotations

from sim.evidence.row import EXAMPLE, MATHEMATICS, MEASURED, STANDARD, Source

KRINKE = Source(
    "Krinke 2023, bead heights in WAAM",
    MEASURED,
    "table behind the model, github.com/MaximilianNast/WeldSim, output.xlsx; angles inferred",
)
SECTIONS = Source(
    "waam-e2e, scanned groove and beads", MEASURED, "github.com/mglasder/waam-e2e, e2e/"
)
ER70S = Source(
    "v2dh_loglog power laws, ER70S-6",
    MEASURED,
    "layer height by travel at 16 wire feeds, in public software for robots that build up by arc",
)
STAINLESS = Source(
    "v2dh_loglog power laws, 316L",
    MEASURED,
    "layer height by travel at 16 wire feeds, same software",
)
DING = Source(
    "Ding et al. 2015, multi-bead overlapping",
    MEASURED,
    "Robotics and Computer-Integrated Manufacturing 31, 101-110: beads fit a parabola",
)
SURYAKUMAR = Source(
    "Suryakumar et al. 2011, weld beads",
    MATHEMATICS,
    "Computer-Aided Design 43: equal areas, flat top at 2/3 w",
)

ISO_286_1 = Source("ISO 286-1:2010", STANDARD, "Table 1, tolerances")
ISO_286_2 = Source("ISO 286-2:2010", STANDARD, "limit deviations of holes")
ISO_286_COR = Source("ISO 286-2:1988/Cor.1:2006", STANDARD, "page 9, Table 3")
BS_4500 = Source("BS 4500:1969", STANDARD, "D9 and D11")
CHART = Source(
    "Chart 'ISO tolerances for holes (ISO 286-2)'",
    STANDARD,
    "two misprints of the copy put right from its own neighbours",
)
INSIDE = Source(
    "Tables for Determining Metric Tolerances, Table 6",
    STANDARD,
    "inside dimensions, online.flippingbook.com/view/962121",
)
DEVIATIONS = Source(
    "Fundamental deviations of holes and shafts, IT6 to IT16",
    STANDARD,
    "metric tolerance tables in a catalogue of standard parts, over 500 mm",
)
MACHINERY = Source("Machinery's Handbook", STANDARD, "deltas of ISO 286-1, grades 5 to 8")
METRICMECH = Source("metricmech.com, ISO 286 fits", EXAMPLE, "25 H7")
ISO_12181 = Source(
    "ISO 12181-1", STANDARD, "definitions; contacts enumerated exactly outside this project"
)
ISO_4291 = Source("ISO 4291", STANDARD, "linear least squares of a spike")
NIST_MPC = Source(
    "NIST/SEMATECH e-Handbook, roundness", STANDARD, "2.3.4.4: estimators at equally spaced angles"
)
ISO_21920 = Source("ISO 21920-2", STANDARD, "definitions, closed forms")
NPL = Source("NPL, correcting lengths to 20 C", EXAMPLE, "FAQ - Length: 500.035 mm at 23.7 C")
ISO_1 = Source("ISO 1", STANDARD, "reference temperature 20 C, arithmetic")

AWS_FORM = Source("weldinginspections.net, heat input calculation", EXAMPLE, "60 E I / S")
EN_1011_1 = Source("EN 1011-1", STANDARD, "Q = k U I / v, arithmetic")
MACHINECALCS = Source("machinecalcs.com", EXAMPLE, "welding heat input; surface finish")
FATSKILLS = Source("Trades Math Basics: Heat Input Calculations", EXAMPLE, "fatskills.com")
WELDING_UTILS = Source("welding-utils, its tests", EXAMPLE, "github.com/xxczaki/welding-utils")
EN_1011_2_D = Source("EN 1011-2 Annex D", STANDARD, "run on plate, arithmetic")
EN_1011_2_C = Source(
    "EN 1011-2 C.3", STANDARD, "preheat by CET, arithmetic; formula read in secondary copies"
)
EN_1993 = Source(
    "EN 1993-1-2", STANDARD, "conductivity of carbon steel, 37.4 at 500 C to 27.3 W/(m K) at 800 C"
)
D1_1 = Source("AWS D1.1:2015 Table 3.3", STANDARD, "categories A and B")
TI_809 = Source("TI 809-26 (2000) Table 3-1", STANDARD, "after AWS D1.1, category B")
ISO_13916 = Source("ISO 13916", STANDARD, "4.1 Point of measurement")
QW_461 = Source(
    "ASME QW-461.4",
    STANDARD,
    "flat to 15 degrees of slope, vertical from 15 to 80, as read at materialwelding.com",
)
ISO_6947 = Source("ISO 6947", STANDARD, "main positions; Annex B: US designations")
CENGEL = Source(
    "Cengel, Heat and Mass Transfer, example 4-1",
    EXAMPLE,
    "a junction of a thermocouple; inputs read at git.fossee.in",
)
INTEGRATOR = Source("scipy solve_ivp", MATHEMATICS, "heat balance of a lump, integrated to 1e-10")
THICK_RING = Source(
    "Steady conduction in a thick ring",
    MATHEMATICS,
    "area mean of a logarithmic profile, by quadrature",
)

ISAKOV = Source("Isakov 2019, Boring: calculating deflection", EXAMPLE, "ctemag.com")
TIMOSHENKO = Source(
    "Timoshenko 1955, Strength of Materials I",
    MATHEMATICS,
    "section 28, Roark Table 8 case 2: load at any place; quoted at solver-docs.pages.dev",
)
STIFFNESS = Source(
    "Direct stiffness method, beam elements", MATHEMATICS, "solved without this program's formula"
)
CUTTING_PAGE = Source(
    "'Cutting Power for Turning', problem and table", EXAMPLE, "mild steel of 520 MPa"
)
RN_1391 = Source(
    "RN-1391, Table 2",
    MEASURED,
    "specific cutting force by feed, St 50-2, entering angle 45 degrees",
)
TURNING = Source(
    "docs.steelcam.org, turning formulas", EXAMPLE, "page L030: 150 mm at 250 a minute"
)
FEEDING = Source("Cutting Technology courses, formulas", EXAMPLE, "100 mm at 20 mm a minute")
NOSE = Source("Circles of the nose side by side", MATHEMATICS, "drawn and measured")

WIRE_TABLE = Source(
    "MIG handbook, table of deposition rate", MEASURED, "inches of wire in a pound, mild steel"
)
DEPOSITION = Source(
    "'Deposition Rate', an article with an example",
    EXAMPLE,
    "13.1 D^2 WFS EE, scribd.com/document/395155915",
)
SURFACING = Source("Weight of Deposited Weld Metal, Table 2", EXAMPLE, "cylindrical components")
BARS = Source(
    "D^2 L / 162, weight of round bars",
    EXAMPLE,
    "civilfornepal.com: 100 m of 16 mm; civilatwork.blogspot.com: 8 mm",
)
VOLUME = Source(
    "Volume of rings and helices", MATHEMATICS, "pi/4 (D1^2 - D2^2) L; sqrt((pi D)^2 + p^2)"
)
CONSERVED = Source("Conservation of metal", MATHEMATICS, "algebra done twice without this program")

SINTERVALS = Source(
    "sintervals, Clopper-Pearson", EXAMPLE, "github.com/doomsuckle/sintervals: 8 of 10"
)
ALL_OR_NONE = Source(
    "Clopper and Pearson 1934", MATHEMATICS, "0 of n: up to 1 - (alpha/2)^(1/n), as in GenBinomApps"
)
