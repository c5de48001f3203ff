"""Limits of size of holes against the package pressfit, formulae and deltas; published tables are
rows of `sim.evidence`."""

import doctest
import math
from decimal import Decimal

import pressfit
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.laws import hole_limits as limits
from sim.laws.hole_limits import hole_limits

UP_TO_500 = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500)
OVER_500 = (630, 800, 1000, 1250, 1600, 2000, 2500, 3150)
BANDS = tuple(zip((0, *UP_TO_500, *OVER_500), (*UP_TO_500, *OVER_500), strict=False))
LETTERS = ("D", "E", "F", "G", "H", "JS", "K", "M", "N", "P")


def deviations(code: str, size: float) -> tuple[float, float]:
    """Lower and upper deviation in micrometres, as exact decimals."""
    lower, upper = (
        Decimal(repr(limit)) - Decimal(repr(float(size))) for limit in hole_limits(code, size)
    )
    return float(lower * 1000), float(upper * 1000)


def defined(code_letter: str, grade: int, size: float) -> bool:
    try:
        hole_limits(f"{code_letter}{grade}", size)
    except ValueError:
        return False
    return True


# ISO 286-1: from IT6 on, tolerances grow tenfold every fifth grade. The exception, read: IT11 over
# 3 mm up to
# 6 mm is 75, not 80.
def test_tenfold_every_fifth_grade() -> None:
    for _, to in BANDS:
        if to != 6:
            assert deviations("H11", to)[1] == 10 * deviations("H6", to)[1], to
        assert deviations("H12", to)[1] == 10 * deviations("H7", to)[1], to


# Formulae behind the tables over 500 mm, D the geometric mean of the band (ISO 286-1:1988 Annex A;
# memory).
# The standard rounds them by up to 5 %, so this is a guard against slips only; the values were
# read.
@pytest.mark.parametrize("band", BANDS[13:])
def test_formulae_over_500_mm(band: tuple[int, int]) -> None:
    d = math.sqrt(band[0] * band[1])
    unit = 0.004 * d + 2.1
    for grade, steps in {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160}.items():
        assert deviations(f"H{grade}", band[1])[1] == pytest.approx(steps * unit, rel=0.055), grade
    lower = {"D": 16 * d**0.44, "E": 11 * d**0.41, "F": 5.5 * d**0.41, "G": 2.5 * d**0.34}
    for letter, value in lower.items():
        assert deviations(f"{letter}7", band[1])[0] == pytest.approx(value, rel=0.055), letter
    upper = {"M": 0.024 * d + 12.6, "N": 0.04 * d + 21, "P": 0.072 * d + 37.8}
    for letter, value in upper.items():
        assert deviations(f"{letter}7", band[1])[1] == pytest.approx(-value, rel=0.055), letter
    assert deviations("K7", band[1])[1] == 0


SWEEP = [
    size for over, to in BANDS[:13] for size in (max(over + 0.001, 0.5), (over + to) / 2, float(to))
]


# pressfit 0.1.0 (PyPI): holes H in grades 5 to 11 and shafts, up to 500 mm. It agrees everywhere it
# covers;
# the one hole that its shafts do not lead to is named below.
@pytest.mark.parametrize("grade", range(5, 12))
def test_h_and_js_against_pressfit(grade: int) -> None:
    for size in SWEEP:
        fit = pressfit.fit(f"H{grade}/js{grade}", size)
        assert deviations(f"H{grade}", size) == (fit.hole_ei_um, fit.hole_es_um)
        assert deviations(f"JS{grade}", size) == (fit.shaft_ei_um, fit.shaft_es_um)
        assert hole_limits(f"H{grade}", round(size, 3)) == pytest.approx(
            fit.hole_limits_mm, abs=1e-9
        )


@pytest.mark.parametrize("letter", ["D", "E", "F", "G"])
def test_clearance_holes_are_the_shafts_of_pressfit_mirrored(letter: str) -> None:
    for grade in range(5, 12):
        for size in SWEEP:
            fit = pressfit.fit(f"H7/{letter.lower()}{grade}", size)
            assert deviations(f"{letter}{grade}", size) == (-fit.shaft_es_um, -fit.shaft_ei_um)


# ISO 286-1: with the delta, over 3 mm up to 500 mm, hole K7 on shaft h6 has the clearances of H7 on
# k6.
@pytest.mark.parametrize(
    ("letter", "grades"), [("K", (6, 7, 8)), ("M", (6, 7, 8)), ("N", (6, 7, 8)), ("P", (6, 7))]
)
def test_delta_holes_give_the_fits_of_pressfit(letter: str, grades: tuple[int, ...]) -> None:
    for grade in grades:
        for size in SWEEP:
            if size <= 3:
                continue
            hole_basis = pressfit.fit(f"H{grade}/{letter.lower()}{grade - 1}", size).clearance_um
            shaft = pressfit.fit(f"H{grade}/h{grade - 1}", size)
            lower, upper = deviations(f"{letter}{grade}", size)
            shaft_basis = (lower - shaft.shaft_es_um, upper - shaft.shaft_ei_um)
            # M6 over 250 mm up to 315 mm: from shaft m5 follows ES = -11, the standard prints -9
            # (chart
            # above, and a machine drawing textbook: "M6, ES = -9 instead of -11"). The print is
            # right.
            special = 2 if (letter, grade) == ("M", 6) and 250 < size <= 315 else 0
            assert shaft_basis == (hole_basis[0] + special, hole_basis[1] + special), (
                letter,
                grade,
                size,
            )


# ISO 286-1: up to 3 mm, and for P coarser than grade 7, the hole mirrors the shaft without a delta.
@pytest.mark.parametrize(
    ("letter", "grades", "sizes"),
    [
        ("K", (6, 7), (0.5, 3)),
        ("M", range(5, 12), (0.5, 3)),
        ("N", (5, 6, 7, 8), (0.5, 3)),
        ("P", range(8, 12), SWEEP),
    ],
)
def test_holes_without_delta_mirror_the_shafts_of_pressfit(
    letter: str, grades: range, sizes: tuple[float]
) -> None:
    for grade in grades:
        for size in sizes:
            fit = pressfit.fit(f"H7/{letter.lower()}{grade}", size)
            assert deviations(f"{letter}{grade}", size) == (-fit.shaft_es_um, -fit.shaft_ei_um), (
                grade,
                size,
            )


# ISO 286-2:2010, N9 (read in a handbook for sizes to 3 mm: -4/-29; above, ES = 0).
def test_n_coarser_than_grade_8() -> None:
    assert deviations("N9", 3) == (-29, -4)
    assert deviations("N9", 40) == (-62, 0)
    assert deviations("N11", 500) == (-400, 0)
    assert deviations("N9", 630) == (-219, -44)


# Deltas of ISO 286-1, grades 5 to 8, over 3 mm up to 500 mm, read in Machinery's Handbook and in a
# textbook.
def test_deltas() -> None:
    published = {
        5: (1, 2, 3, 3, 4, 5, 5, 6, 6, 7, 7, 7),
        6: (3, 3, 3, 4, 5, 6, 7, 7, 9, 9, 11, 13),
        7: (4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23),
        8: (6, 7, 9, 12, 14, 16, 19, 23, 26, 29, 32, 34),
    }
    k_before_delta = (-1, -1, -1, -2, -2, -2, -3, -3, -4, -4, -4, -5)
    for grade, row in published.items():
        for size, delta, upper in zip(UP_TO_500[1:], row, k_before_delta, strict=True):
            assert deviations(f"K{grade}", size)[1] == upper + delta, (grade, size)


@given(
    st.sampled_from(LETTERS),
    st.integers(5, 12),
    st.decimals("1.001", 3150, allow_nan=False, places=3),
)
def test_no_float_dust(letter: str, grade: int, size: Decimal) -> None:
    if not defined(letter, grade, float(size)):
        return
    lower, upper = (Decimal(repr(value)) for value in hole_limits(f"{letter}{grade}", float(size)))
    assert lower < upper
    for limit in (lower, upper):
        assert ((limit - size) * 2000) % 1 == 0  # whole half micrometres, exactly
    if letter != "JS":
        assert ((upper - size) * 1000) % 1 == 0


@given(st.sampled_from(LETTERS), st.integers(5, 12), st.sampled_from(BANDS))
def test_tolerance_is_the_same_for_every_letter(
    letter: str, grade: int, band: tuple[int, int]
) -> None:
    if defined(letter, grade, band[1]):
        lower, upper = deviations(f"{letter}{grade}", band[1])
        assert upper - lower == deviations(f"H{grade}", band[1])[1]


def test_hole_codes() -> None:
    for letter in LETTERS:
        for grade in range(5, 13):
            hole_limits(f"{letter}{grade}", 3.0)
    for code in (
        "",
        "H",
        "7",
        "h7",
        "js7",
        "Js7",
        "H4",
        "H13",
        "H07",
        "H7.0",
        "A9",
        "J7",
        "H7/g6",
        "80 H7",
        "H-7",
    ):
        with pytest.raises(ValueError, match="hole_limits: code ="):
            hole_limits(code, 3.0)


@pytest.mark.parametrize(
    ("code", "size", "words"),
    [
        ("h7", 80, "'h7': lower-case letters are shafts"),
        ("Q7", 80, "'Q7': must be a letter D, E, F"),
        ("H13", 80, "'H13': must be a letter.*grade 5 to 12"),
        ("seven", 80, "'seven': must be"),
        ("H7", 0, "size = 0 mm: must be over 0"),
        ("H7", -80, "size = -80 mm"),
        ("H7", 3150.001, "up to and including 3150 mm"),
        ("H7", math.nan, "size = nan mm"),
        ("H7", math.inf, "size = inf mm"),
        ("K9", 80, "'K9' at size = 80 mm: K over 3 mm has grades up to 8"),
        ("N9", 0.9, "'N9' at size = 0.9 mm: N of grade 9"),
        ("N11", 0.05, "'N11' at size = 0.05 mm: N of grade 9"),
        (
            "P12",
            0.1,
            "'P12' at size = 0.1 mm: the lower limit would be -0.006 mm; choose a finer grade",
        ),
        ("P5", 600, "'P5' at size = 600 mm: P over 500 mm starts at grade 6; choose P6"),
    ],
)
def test_refusals(code: str, size: float, words: str) -> None:
    with pytest.raises(ValueError, match=words) as error:
        hole_limits(code, size)
    assert "\n" not in str(error.value)


def test_doctests() -> None:
    assert doctest.testmod(limits).failed == 0
