"""Rows on limits of size: ISO 286, by letter, over its bands."""

from __future__ import annotations

from collections.abc import Sequence

from sim.evidence.row import Row, Source
from sim.evidence.sources import (
    BS_4500,
    CHART,
    DEVIATIONS,
    INSIDE,
    ISO_286_1,
    ISO_286_2,
    ISO_286_COR,
    MACHINERY,
    METRICMECH,
)
from sim.laws.hole_limits import hole_limits

UP_TO_500 = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
OVER_500 = (630, 800, 1000, 1250, 1600, 2000, 2500, 3150)
TO_400 = UP_TO_500[1:12]
TO_250 = UP_TO_500[1:10]


def lower(code: str, size: float) -> float:
    """Lower deviation [um]."""
    return round(1000.0 * (hole_limits(code, size)[0] - size), 1)


def upper(code: str, size: float) -> float:
    """Upper deviation [um]."""
    return round(1000.0 * (hole_limits(code, size)[1] - size), 1)


def uppers(codes: Sequence[str], sizes: Sequence[float]) -> list[float]:
    """Upper deviations [um], code by code over the bands."""
    return [upper(code, size) for code in codes for size in sizes]


def _row(
    quantity: str, source: Source, told: tuple[float, ...], codes: str, sizes: Sequence[float]
) -> Row:
    return Row(
        "hole_limits",
        quantity,
        source,
        told,
        "um",
        1e-6,
        "the standard's whole micrometres",
        lambda: uppers(codes.split(), sizes),
    )


K678 = (
    2, 2, 2, 2, 3, 4, 4, 4, 5, 5, 7, 3, 5, 6, 6, 7, 9, 10, 12, 13, 16, 17, 5, 6, 8, 10, 12, 14,
    16, 20, 22, 25, 28,
)  # fmt: skip
M678 = (
    -1, -3, -4, -4, -4, -5, -6, -8, -8, -9, -10, *[0] * 11, 2, 1, 2, 4, 5, 5, 6, 8, 9, 9, 11,
)  # fmt: skip
N678 = (
    -5, -7, -9, -11, -12, -14, -16, -20, -22, -25, -26, -4, -4, -5, -7, -8, -9, -10, -12, -14,
    -14, -16, -2, -3, -3, -3, -3, -4, -4, -4, -5, -5, -5,
)  # fmt: skip
P678 = (
    -9, -12, -15, -18, -21, -26, -30, -36, -41, -47, -51, -8, -9, -11, -14, -17, -21, -24, -28,
    -33, -36, -41, -12, -15, -18, -22, -26, -32, -37, -43, -50, -56, -62,
)  # fmt: skip
IT_LARGE = (
    32, 36, 40, 47, 55, 65, 78, 96, 44, 50, 56, 66, 78, 92, 110, 135, 70, 80, 90, 105, 125, 150,
    175, 210, 110, 125, 140, 165, 195, 230, 280, 330, 175, 200, 230, 260, 310, 370, 440, 540,
    280, 320, 360, 420, 500, 600, 700, 860, 440, 500, 560, 660, 780, 920, 1100, 1350, 700, 800,
    900, 1050, 1250, 1500, 1750, 2100,
)  # fmt: skip
LOWERS_LARGE = (
    260, 290, 320, 350, 390, 430, 480, 520, 145, 160, 170, 195, 220, 240, 260, 290, 76, 80, 86,
    98, 110, 120, 130, 145, 22, 24, 26, 28, 30, 32, 34, 38,
)  # fmt: skip

H12 = (
    100, 120, 150, 180, 210, 250, 300, 350, 400, 460, 520, 570, 630,
)  # fmt: skip
M_N_P = (
    -26, -30, -34, -40, -48, -58, -68, -76, -44, -50, -56, -66, -78, -92, -110, -135, -78, -88,
    -100, -120, -140, -170, -195, -240,
)  # fmt: skip
E6_E7_E11 = (
    28, 34, 43, 53, 66, 79, 94, 110, 129, 142, 161, 32, 40, 50, 61, 75, 90, 107, 125, 146, 162,
    182, 95, 115, 142, 170, 210, 250, 292, 335, 390, 430, 485,
)  # fmt: skip
F6_F8_G6_G8 = (
    18, 22, 27, 33, 41, 49, 58, 68, 79, 88, 98, 28, 35, 43, 53, 64, 76, 90, 106, 122, 137, 151,
    12, 14, 17, 20, 25, 29, 34, 39, 44, 49, 54, 22, 27, 33, 40, 48, 56, 66, 77, 87, 98, 107,
)  # fmt: skip
H11_K7_JS8 = (
    75, 90, 110, 130, 160, 190, 220, 250, 290, 3, 5, 6, 6, 7, 9, 10, 12, 13, 9, 11, 13.5, 16.5,
    19.5, 23, 27, 31.5, 36,
)  # fmt: skip
K7 = (
    3, 5, 6, 6, 7, 9, 10, 12, 13, 16, 17, 18,
)  # fmt: skip

ROWS: tuple[Row, ...] = (
    _row(
        "H7 over 18 up to 315 mm",
        ISO_286_2,
        (21, 25, 30, 35, 40, 46, 52),
        "H7",
        (30, 50, 80, 120, 180, 250, 315),
    ),
    _row(
        "H8 over 18 up to 315 mm",
        ISO_286_2,
        (33, 39, 46, 54, 63, 72, 81),
        "H8",
        (30, 50, 80, 120, 180, 250, 315),
    ),
    _row("H7 at 80 and just over", ISO_286_2, (30, 35), "H7", (80.0, 80.001)),
    Row(
        "hole_limits",
        "F7 and G7 at 100 mm, lower",
        ISO_286_2,
        (36, 12),
        "um",
        1e-6,
        "whole micrometres",
        lambda: [lower("F7", 100.0), lower("G7", 100.0)],
    ),
    _row("F7 and G7 at 100 mm, upper", ISO_286_2, (71, 47), "F7 G7", (100.0,)),
    _row("E8 over 80 up to 120 mm, as put right", ISO_286_COR, (126,), "E8", (100.0,)),
    _row("H12 up to 500 mm", ISO_286_1, H12, "H12", UP_TO_500),
    _row(
        "H5 to H12 over 500 up to 3150 mm",
        ISO_286_1,
        IT_LARGE,
        "H5 H6 H7 H8 H9 H10 H11 H12",
        OVER_500,
    ),
    Row(
        "hole_limits",
        "D, E, F, G over 500 up to 3150 mm, lower",
        DEVIATIONS,
        LOWERS_LARGE,
        "um",
        1e-6,
        "whole micrometres",
        lambda: [lower(f"{letter}7", size) for letter in "DEFG" for size in OVER_500],
    ),
    _row("M, N, P over 500 up to 3150 mm", DEVIATIONS, M_N_P, "M7 N7 P7", OVER_500),
    _row("K6, K7, K8 over 3 up to 400 mm", CHART, K678, "K6 K7 K8", TO_400),
    _row("M6, M7, M8 over 3 up to 400 mm", CHART, M678, "M6 M7 M8", TO_400),
    _row("N6, N7, N8 over 3 up to 400 mm", CHART, N678, "N6 N7 N8", TO_400),
    _row("P6, P7, P8 over 3 up to 400 mm", CHART, P678, "P6 P7 P8", TO_400),
    _row("E6, E7, E11 over 3 up to 400 mm", CHART, E6_E7_E11, "E6 E7 E11", TO_400),
    _row("F6, F8, G6, G8 over 3 up to 400 mm", CHART, F6_F8_G6_G8, "F6 F8 G6 G8", TO_400),
    _row("H11, K7, JS8 over 3 up to 250 mm", INSIDE, H11_K7_JS8, "H11 K7 JS8", TO_250),
    _row("D9 from 3 up to 120 mm", BS_4500, (45, 60, 76, 93, 117, 142, 174), "D9", UP_TO_500[:7]),
    _row(
        "D11 from 3 up to 120 mm", BS_4500, (80, 105, 130, 160, 195, 240, 290), "D11", UP_TO_500[:7]
    ),
    _row("K7 over 3 up to 500 mm, by deltas", MACHINERY, K7, "K7", UP_TO_500[1:]),
    _row("H7 at 25 mm", METRICMECH, (21,), "H7", (25.0,)),
)
