"""Law of limits of size: holes by tolerance code, ISO 286-1:2010 and ISO 286-2:2010.

Sizes are in mm; the numbers of the standard below are whole micrometres, as the standard prints them. A size
band runs from over its lower edge up to and including its upper edge: 80 mm lies in 50-80, 80.001 in 80-120.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal

FORMULA = "lower = size + EI; upper = lower + IT"
SOURCE = "ISO 286-1:2010 Tables 1 to 3, ISO 286-2:2010"
RANGE = {"size": (0.0, 3150.0, "mm")}
HOW_KNOWN = "published"


# ISO 286-1:2010 Tables 1 to 3. to: upper edges of the main size bands [mm]; IT: standard tolerances
# [um] (IT4
# serves only the delta of grade 5); D to H: lower deviation EI [um], every grade; K to P: upper
# deviation ES
# [um] before the delta is added.
_TABLE = """
to     3   6  10  18  30  50  80 120 180 250 315 400 500 630 800 1000 1250 1600 2000 2500 3150
IT4    3   4   4   5   6   7   8  10  12  14  16  18  20  22  25   28   33   39   46   55   68
IT5    4   5   6   8   9  11  13  15  18  20  23  25  27  32  36   40   47   55   65   78   96
IT6    6   8   9  11  13  16  19  22  25  29  32  36  40  44  50   56   66   78   92  110  135
IT7   10  12  15  18  21  25  30  35  40  46  52  57  63  70  80   90  105  125  150  175  210
IT8   14  18  22  27  33  39  46  54  63  72  81  89  97 110 125  140  165  195  230  280  330
IT9   25  30  36  43  52  62  74  87 100 115 130 140 155 175 200  230  260  310  370  440  540
IT10  40  48  58  70  84 100 120 140 160 185 210 230 250 280 320  360  420  500  600  700  860
IT11  60  75  90 110 130 160 190 220 250 290 320 360 400 440 500  560  660  780  920 1100 1350
IT12 100 120 150 180 210 250 300 350 400 460 520 570 630 700 800  900 1050 1250 1500 1750 2100
D     20  30  40  50  65  80 100 120 145 170 190 210 230 260 290  320  350  390  430  480  520
E     14  20  25  32  40  50  60  72  85 100 110 125 135 145 160  170  195  220  240  260  290
F      6  10  13  16  20  25  30  36  43  50  56  62  68  76  80   86   98  110  120  130  145
G      2   4   5   6   7   9  10  12  14  15  17  18  20  22  24   26   28   30   32   34   38
H      0   0   0   0   0   0   0   0   0   0   0   0   0   0   0    0    0    0    0    0    0
K      0  -1  -1  -1  -2  -2  -2  -3  -3  -4  -4  -4  -5   0   0    0    0    0    0    0    0
M     -2  -4  -6  -7  -8  -9 -11 -13 -15 -17 -20 -21 -23 -26 -30  -34  -40  -48  -58  -68  -76
N     -4  -8 -10 -12 -15 -17 -20 -23 -27 -31 -34 -37 -40 -44 -50  -56  -66  -78  -92 -110 -135
P     -6 -12 -15 -18 -22 -26 -32 -37 -43 -50 -56 -62 -68 -78 -88 -100 -120 -140 -170 -195 -240
"""


_ROWS = {
    name: tuple(map(int, numbers)) for name, *numbers in map(str.split, _TABLE.strip().splitlines())
}


_BANDS = _ROWS["to"]


_LOWER_KNOWN = ("D", "E", "F", "G", "H")


# The coarsest grade that gets the delta; the delta exists over 3 mm up to 500 mm.
_DELTA_UP_TO = {"K": 8, "M": 8, "N": 8, "P": 7}


_DELTA_SIZES = (3, 500)


_LETTERS = (*_LOWER_KNOWN, "JS", *_DELTA_UP_TO)


_GRADES = range(5, 13)


_CODE = re.compile(r"([A-Za-z]{1,2})([0-9]{1,2})")


_ALLOWED = "a letter D, E, F, G, H, JS, K, M, N or P and a grade 5 to 12, such as H7"


def hole_limits(code: str, size: float) -> tuple[float, float]:
    """Lower and upper limit of size [mm] of a hole.

    Args:
        code: tolerance code of the hole, letter and grade: D, E, F, G, H, JS, K, M, N, P with 5 to
        12.
        size: nominal size [mm], over 0 up to and including 3150.

    Returns:
        (lower, upper) limit of size [mm], the floats nearest to the decimal numbers. JS is plus and
        minus
        half the tolerance; the half micrometre of an odd tolerance is kept, not rounded away.

    Raises:
        ValueError: not a hole code (lower-case letters are shafts), or no such limits at this size.

    Source: ISO 286-1:2010 Tables 1 to 3 (tolerances, fundamental deviations, deltas), ISO
    286-2:2010.

    >>> hole_limits("H7", 80)
    (80.0, 80.03)
    >>> hole_limits("H7", 80.001)
    (80.001, 80.036)
    >>> hole_limits("N7", 100)
    (99.955, 99.99)

    """
    letter, grade = _split(code)
    if not (math.isfinite(size) and 0 < size <= _BANDS[-1]):
        raise ValueError(
            f"hole_limits: size = {size} mm: must be over 0 up to and including {_BANDS[-1]} "
            "mm as in ISO 286"
        )
    _refuse_undefined(letter, grade, size)
    lower, upper = _half_micrometres(letter, grade, size)
    nominal = Decimal(repr(float(size)))
    smallest, largest = nominal + Decimal(lower) / 2000, nominal + Decimal(upper) / 2000
    if smallest <= 0:
        raise ValueError(
            f"hole_limits: code = {code!r} at size = {size} mm: the lower limit would be "
            f"{smallest} mm; "
            "choose a finer grade"
        )
    return float(smallest), float(largest)


def _split(code: str) -> tuple[str, int]:
    """Letter and grade of a hole code. Raises ValueError with the way out."""
    match = _CODE.fullmatch(code.strip())
    if match is None or match[2].startswith("0"):
        raise ValueError(f"hole_limits: code = {code!r}: must be {_ALLOWED}")
    letter, grade = match[1], int(match[2])
    if letter.islower():
        raise ValueError(
            f"hole_limits: code = {code!r}: lower-case letters are shafts; a hole has "
            "capitals, such as H7"
        )
    if letter not in _LETTERS or grade not in _GRADES:
        raise ValueError(f"hole_limits: code = {code!r}: must be {_ALLOWED}")
    return letter, grade


def _refuse_undefined(letter: str, grade: int, size: float) -> None:
    """Raise ValueError for a code that ISO 286 leaves empty at this size [mm]."""
    rule = ""
    if letter == "K" and grade > 8 and size > 3:
        rule = "K over 3 mm has grades up to 8 only; choose K8 or finer, or JS"
    elif letter == "N" and grade > 8 and size <= 1:
        rule = "N of grade 9 and coarser is not for sizes up to 1 mm; choose N8 or finer"
    elif letter in _DELTA_UP_TO and grade < 6 and size > 500:
        rule = f"{letter} over 500 mm starts at grade 6; choose {letter}6"
    if rule:
        raise ValueError(f"hole_limits: code = '{letter}{grade}' at size = {size} mm: {rule}")


def _half_micrometres(letter: str, grade: int, size: float) -> tuple[int, int]:
    """Deviations (EI, ES) in half micrometres: whole numbers even for JS of an odd tolerance."""
    band = next(i for i, edge in enumerate(_BANDS) if size <= edge)
    tolerance = _ROWS[f"IT{grade}"][band]
    if letter == "JS":
        return -tolerance, tolerance
    if letter in _LOWER_KNOWN:
        lower = _ROWS[letter][band]
        return 2 * lower, 2 * (lower + tolerance)
    upper = _upper_deviation(letter, grade, band)
    return 2 * (upper - tolerance), 2 * upper


def _upper_deviation(letter: str, grade: int, band: int) -> int:
    """Upper deviation ES [um] of K, M, N, P with the delta rule of ISO 286-1.

    The delta is IT(n) - IT(n-1), so that K7/h6 sits as H7/k6 does. Two exceptions of the standard:
    N of grade 9 and coarser has ES = 0 over 3 mm up to 500 mm; M6 over 250 mm up to 315 mm has ES =
    -9, not -11.
    """
    edge = _BANDS[band]
    with_delta = _DELTA_SIZES[0] < edge <= _DELTA_SIZES[1]
    if letter == "M" and grade == 6 and edge == 315:
        return -9
    if not with_delta:
        return _ROWS[letter][band]
    if grade <= _DELTA_UP_TO[letter]:
        return _ROWS[letter][band] + _ROWS[f"IT{grade}"][band] - _ROWS[f"IT{grade - 1}"][band]
    return 0 if letter == "N" else _ROWS[letter][band]
