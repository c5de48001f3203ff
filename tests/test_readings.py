"""Gauge readings: files good and bad, sizes at 20 C, the wall through readings and its form.

Planted bores are written here by formulas of their own; the thick ring is checked against its equilibrium equation
solved by scipy, and against a worked example of the National Physical Laboratory.
"""

import itertools
import math
import os

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from sim import readings as module
from sim.form import Axis
from sim.readings import (
    LARGEST_FILE,
    ReadingsError,
    at_20,
    check,
    form,
    is_warm,
    outside_share,
    read,
    to_20,
    wall_from,
)
from sim.sources import default
from sim.wall import Clock, Wall

HEAD = "depth_mm,oclock,diameter_mm"
CLOCK = np.arange(720) * (2.0 * np.pi / 720)
DEPTH = np.linspace(5.0, 95.0, 91)


def file(*rows, head=HEAD):
    return "\n".join([head, *rows]).encode()


def got(*rows, head=HEAD):
    return read(file(*rows, head=head), name="lug.csv")


def refused(data, *parts):
    """Refused in one sentence that names the file and every one of the parts."""
    with pytest.raises(ReadingsError) as fault:
        read(data, name="lug.csv")
    text = str(fault.value)
    assert text.startswith("lug.csv: ") and text[-1] in ".?" and text.isprintable(), text
    for part in parts:
        assert part in text, (part, text)
    return text


# --- the file ---

VALUES = [(5.0, 9.5, 80.125, 21.5), (5.0, 0.0, 80.05, 21.0), (52.75, 3.25, 80.5, 20.0), (52.75, 6.0, 80.0, 19.5)]


def variant(separator, sign, *, bom="", end="\n", quote="", order=(0, 1, 2, 3)):
    names = ["depth_mm", "oclock", "radius_mm", "bore_c"]
    lines = [separator.join(names[i] for i in order)]
    for row in VALUES:
        cells = [quote + str(row[i]).replace(".", sign) + quote for i in order]
        lines.append(separator.join(cells))
    return (bom + end.join(lines) + end).encode()


VARIANTS = [
    variant(",", "."),
    variant(";", "."),
    variant("\t", "."),
    variant(";", ","),
    variant("\t", ","),
    variant(";", ",", bom="\ufeff", end="\r\n"),
    variant(",", ".", end="\r"),
    variant(",", ".", quote='"'),
    variant(";", ",", order=(3, 1, 0, 2)),
    b"# invented\n\n" + variant(";", ",").replace(b"\n", b"\n;;;\n").replace(b"oclock", b" OClock "),
    variant(",", ".").replace(b",9.5,", b",9:30,").replace(b"3.25", b"3:15:00").replace(b",0.0", b",12"),
    variant(";", ",").replace(b"\n", b";\n"),  # a separator too many at every row's end, as spreadsheets leave it
]


@pytest.mark.parametrize("data", VARIANTS)
def test_one_file_in_any_locale_gives_the_same_readings(data):
    r = read(data, name="lug.csv")
    assert not r.two_point
    expected = np.array(VALUES)
    np.testing.assert_array_equal(r.depth, expected[:, 0])
    np.testing.assert_allclose(r.clock, expected[:, 1] * np.pi / 6, rtol=1e-15)
    np.testing.assert_array_equal(r.value, expected[:, 2])
    np.testing.assert_array_equal(r.bore, expected[:, 3])
    assert np.isnan(r.gauge).all() and np.isnan(r.outside).all()


def test_inches_and_fahrenheit_become_mm_and_c():
    r = got("0.5,9.5,3.15,212,-40,32,0.001", head="depth_in,oclock,diameter_in,bore_f,outside_f,gauge_f,error_in")
    # 1 in = 25.4 mm by definition; 212 F, 32 F and -40 F are 100, 0 and -40 C
    np.testing.assert_allclose([r.depth[0], r.value[0], r.error[0]], [12.7, 80.01, 0.0254], rtol=1e-14)
    np.testing.assert_allclose([r.bore[0], r.outside[0], r.gauge[0]], [100.0, -40.0, 0.0], atol=1e-12)


def test_how_the_file_was_read_is_said():
    assert read(VARIANTS[3], name="a.csv").how_read == (
        "a.csv: semicolon between cells, decimal comma; radii about the bar, clock in decimal hours (9,5 is 9:30), 4 rows"
    )
    assert got("5,9:30,80").how_read == "lug.csv: comma between cells, no decimals; two-point diameters, 1 row"
    assert "tab between cells, decimal point" in read(VARIANTS[2], name="a.csv").how_read


def test_the_clock_is_a_dial():
    r = got("5,12,80", "5,1:30,80", "5,2.5,80", "5,3,80", "5,0:40,80", "7,12:30,80")
    np.testing.assert_allclose(r.clock * 6 / np.pi, [0.0, 1.5, 2.5, 3.0, 2 / 3, 0.5], atol=1e-12)


def test_row_numbers_are_those_of_the_file():
    r = read(b"\n# punch mark on top\ndepth_mm;oclock;radius_mm\n\n5;3;40,1\n\n5;6;40,2", name="lug.csv")
    assert r.row.tolist() == [5, 7]


def test_an_error_not_given_is_taken_and_said():
    r = got("5,12,80,0.05", "5,3,80,", head=HEAD + ",error_mm")
    assert r.error.tolist() == [0.05, default("readings.error")]
    assert len(r.said) == 1 and "1 of 2 readings" in r.said[0] and "0.02 mm" in r.said[0]
    assert got("5,12,80,0.05", head=HEAD + ",error_mm").said == ()


def test_values_cannot_be_changed():
    r = got("5,12,80", "5,12,80")
    for part in ("row", "depth", "clock", "value", "error", "bore"):
        with pytest.raises(ValueError, match="read-only"):
            getattr(r, part)[0] = 1


# --- what is refused ---

R, T = "depth_mm,oclock,radius_mm", "depth_mm;oclock;diameter_mm"
BAD = {
    "empty": (b"", "empty"),
    "blank": (b" \n\n", "empty"),
    "mark only": (b"\xef\xbb\xbf", "empty"),
    "header only": (HEAD.encode(), "no rows"),
    "png": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary"),
    "control": (b"depth_mm\x07,oclock", "row 1", "control code"),
    "utf-16": ("\ufeff" + HEAD).encode("utf-16-le"),
    "latin-1": (HEAD.encode() + b"\n5,12,80\n5,3,80 \xb5m", "row 3", "0xb5", "UTF-8"),
    "no header": (b"5,12,80\n5,3,80", "row 1", "'5'", "unknown column"),
    "near name": (file("5,12,80", head="depth_mm,oclock,diametre_mm"), "row 1", "'diametre_mm'", "did you mean diameter_mm?"),
    "unit missing": (file("5,12,80", head="depth,oclock,diameter_mm"), "'depth'", "did you mean depth_"),
    "cm": (file("5,12,8", head="depth_mm,oclock,radius_cm"), "'radius_cm'", "did you mean radius_"),
    "no depth": (file("12,80", head="oclock,diameter_mm"), "row 1", "missing", "depth_mm or depth_in"),
    "no clock": (file("5,80", head="depth_mm,diameter_mm"), "missing", "oclock"),
    "no size": (file("5,12", head="depth_mm,oclock"), "missing", "diameter_mm", "radius_in"),
    "both sizes": (file("5,12,80,40", head=HEAD + ",radius_mm"), "both", "radius_mm"),
    "both units": (file("5,12,80,3.1", head=HEAD + ",diameter_in"), "diameter_mm and diameter_in", "keep one"),
    "twice": (file("5,12,80,5", head=HEAD + ",depth_mm"), "depth_mm and depth_mm"),
    "unnamed": (file("5,12,80,5", head=HEAD + ","), "give column 4 a name"),
    "two separators": (file("5;12;80", head="depth_mm;oclock,diameter_mm"), "row 1", "comma and semicolon"),
    "no separator": (file("5", head="depth_mm"), "row 1", "'depth_mm'", "comma"),
    "1,234 bare": (file("5,12,80", "5,3,1,234"), "row 3", "4 cells", "header has 3", "ambiguous"),
    "1,234 quoted": (file("5,12,80", '5,3,"1,234"'), "row 3", "diameter_mm = '1,234'", "ambiguous"),
    "few cells": (file("5,12,80", "5,3"), "row 3", "2 cells", "header has 3"),
    "two signs": (file("5;12;80,5", "5;3;80.5", head=T), "row 3", "'80.5'", "row 2", "80,5"),
    "thousands": (file("5;12;1.234,5", head=T), "row 2", "'1.234,5'", "thousands"),
    "text": (file("5,12,80", "5,3,eighty"), "row 3", "diameter_mm = 'eighty'", "number"),
    "unit in cell": (file("5,12,80 mm"), "row 2", "'80 mm'", "column name"),
    "nan": (file("5,12,nan"), "row 2", "'nan'", "finite"),
    "inf": (file("5,12,inf"), "row 2", "'inf'", "finite"),
    "1e999": (file("5,12,1e999"), "row 2", "'1e999'", "finite"),
    "digits of another script": (file("5,12,٨٠"), "row 2", "number"),
    "no cell": (file("5,,80"), "row 2", "oclock = ''", "empty"),
    "above the face": (file("-1.5,12,80"), "row 2", "depth_mm = '-1.5'", "at least -1"),
    "too deep": (file("1001,12,80"), "row 2", "depth_mm = '1001'", "at most 1000 mm"),
    "in inches": (file("5,12,80", head="depth_mm,oclock,diameter_in"), "row 2", "diameter_in = '80'", "at most 78.7402 in"),
    "zero": (file("5,12,0"), "row 2", "'0'", "at least 1 and at most 2000 mm"),
    "no one bore": (file("5,12,80.1", "5,3,8.01", "5,2,80.2"), "rows 3 and 4", "8.01 and 80.2 mm", "1.5 times", "units"),
    "error as large": (file("5,12,8,0.9", head=HEAD + ",error_mm"), "row 2", "error = 0.9 mm", "a tenth", "8 mm"),
    "hot": (file("5,12,80,501", head=HEAD + ",bore_c"), "row 2", "bore_c = '501'", "500 C"),
    "error 0": (file("5,12,80,0", head=HEAD + ",error_mm"), "row 2", "error_mm = '0'", "at least"),
    "13 o'clock": (file("5,13,80"), "row 2", "oclock = '13'", "9:30"),
    "12.5 hours": (file("5,12.5,80"), "row 2", "oclock = '12.5'", "0 to 12"),
    "9:75": (file("5,9:75,80"), "row 2", "oclock = '9:75'", "9:30"),
    "13:00": (file("5,13:00,80"), "row 2", "oclock = '13:00'", "9:30"),
    "minus hours": (file("5,-3,80"), "row 2", "oclock = '-3'", "0 to 12"),
    "open quote": (file('5,12,"80'), "row 2", "quotes"),
    "endless cell": (file('5,12,"' + "8" * 200_000 + '"'), "row 2", "quotes"),
    "station moves": (file("5,12,80,A", "7,3,80,A", head=HEAD + ",station"), "row 3", "'A'", "7 mm", "5 mm", "row 2"),
    "two stations": (file("5,12,80,A", "5,3,80,B", head=HEAD + ",station"), "row 3", "'B'", "'A'", "row 2"),
    "10 001 rows": (file(*["5,12,80"] * 10_001), "10001 rows", "at most 10000"),
}  # fmt: skip
FORMULAS = ["=1+1", "+80", "@SUM(A1)", "-cmd", '"=HYPERLINK(""x"")"']


@pytest.mark.parametrize("case", BAD)
def test_refused_in_one_sentence(case):
    data, *parts = BAD[case] if isinstance(BAD[case], tuple) else (BAD[case], "UTF-16", "CSV UTF-8")
    refused(data, *parts)


@pytest.mark.parametrize("cell", FORMULAS)
@pytest.mark.parametrize("place", ["{},12,80,a", "5,{},80,a", "5,12,{},a", "5,12,80,{}"])
def test_formulas_are_refused_anywhere(cell, place):
    refused(file(place.format(cell), head=HEAD + ",station"), "row 2", "formula", cell.strip('"')[:4])


def test_a_minus_before_a_digit_is_no_formula():
    assert got("-0.5,12,80").depth.tolist() == [-0.5]


def test_a_large_file_is_refused_before_it_is_opened(tmp_path, monkeypatch):
    path = tmp_path / "large.csv"
    with path.open("wb") as out:
        out.truncate(100_000_000)

    def opened(*_):
        raise AssertionError("opened")

    monkeypatch.setattr(module, "open", opened, raising=False)
    with pytest.raises(ReadingsError, match="100000000 bytes is too large"):
        read(path, name="large.csv")
    refused(b"a" * (LARGEST_FILE + 1), "5000001 bytes", "too large")


def test_paths(tmp_path):
    path = tmp_path / "lug.csv"
    path.write_bytes(file("5,12,80.5"))
    assert read(path, name="lug.csv").value.tolist() == read(str(path), name="lug.csv").value.tolist() == [80.5]
    os.mkfifo(tmp_path / "pipe")
    for other, part in (("none.csv", "no such file"), (".", "folder"), ("pipe", "device"), ("a\0b", "no file name")):
        with pytest.raises(ReadingsError, match=rf"^lug\.csv: .*{part}.*\.$"):
            read(f"{tmp_path}/{other}", name="lug.csv")
    with pytest.raises(ReadingsError, match="cannot be read"):
        read(f"{tmp_path}/{'x' * 300}", name="lug.csv")


# --- readings repeated ---


def test_readings_that_agree_are_averaged_and_said():
    r = got("5,3,80.02,0.02", "5,12,80.10,0.02", "5,12,80.12,0.03", head=HEAD + ",error_mm")
    assert r.value.round(9).tolist() == [80.02, 80.11] and r.error.tolist() == [0.02, 0.03] and r.row.tolist() == [2, 3]
    assert len(r.said) == 1 and "rows 3 and 4" in r.said[0] and "80.1100 mm" in r.said[0] and "12:00" in r.said[0]


def test_readings_that_contradict_each_other_are_refused_by_row():
    data = file("5,3,80.02,0.02", "5,12,80.10,0.02", "5,12,80.13,0.02", head=HEAD + ",error_mm")
    refused(data, "rows 3 and 4", "80.1000", "80.1300", "differ by 0.0300", "allow 0.0283")
    # E_n = 0.0283 / sqrt(0.02^2 + 0.02^2) is 1: as far apart as two readings with these errors may be
    assert len(got("5,12,80.10,0.02", "5,12,80.1282,0.02", head=HEAD + ",error_mm").row) == 1


def test_a_two_point_gauge_turned_end_for_end_reads_the_same_place():
    assert len(got("5,3,80", "5,9,80").row) == 1
    refused(file("5,3,80.0", "5,9,80.5"), "rows 2 and 3")
    assert len(got("5,3,40", "5,9,40.5", head=R).row) == 2


def test_temperatures_not_read_do_not_count_in_the_average():
    r = got("5,12,80,20,", "5,12,80,,", head=HEAD + ",bore_c,gauge_c")
    assert r.bore.tolist() == [20.0] and np.isnan(r.gauge).all()


# --- against the job ---

JOB = dict(length=60.0, smallest=79.0, largest=84.0)


def test_nothing_is_said_of_good_readings():
    assert check(got(*(f"{z},{h},80.2" for z in (5, 30, 55) for h in (0, 1.5, 3, 4.5))), **JOB) == []


def test_readings_outside_the_bore_are_named():
    told = check(got("5,0,80", "5,2,80", "5,4,80", "60.5,0,80", "60.5,2,85", "60.5,4,80"), **JOB)
    assert sum("outside the bore" in t for t in told) == 3 and "row 5: depth 60.5 mm" in told[0]
    assert sum("row 6: 85.000 mm on diameter is outside 79 to 84 mm" in t for t in told) == 1
    assert len(told) == 4


def test_one_station_is_said():
    told = check(got("30,0,80", "30,2,80", "30,4,80"), **JOB)
    assert "one station only" in told[0] and sum("no reading for 30 mm" in t for t in told) == 2


@pytest.mark.parametrize(
    ("head", "hours", "gap"),
    [
        (HEAD, (0, 3), "3.0 hours of the clock, 12:00 to 3:00"),  # four feet, 90 degrees apart: an oval at 45 is unseen
        (HEAD, (0, 2, 4), None),
        (HEAD, (0, 7, 10), "3.0 hours of the clock, 1:00 to 4:00"),  # feet at 12, 6, 7, 1, 10, 4
        (R, (0, 3, 6, 9), "3.0 hours of the clock, 12:00 to 3:00"),
        (R, (0, 2.4, 4.8, 7.2, 9.6), None),
        (R, (6, 7, 8, 9, 10, 11), "7.0 hours of the clock, 11:00 to 6:00"),
    ],
)
def test_clock_not_covered_is_said(head, hours, gap):
    value = 80 if head == HEAD else 40
    rows = [f"{z},{h},{value}" for z in (5, 55) for h in hours]
    told = check(got(*rows, head=head), **JOB)
    assert [gap in t and "2 of 2" in t for t in told] == ([True] if gap else [])


def test_the_job_must_make_sense():
    with pytest.raises(ValueError, match="smallest"):
        check(got("5,0,80"), length=60.0, smallest=84.0, largest=79.0)


# --- temperature ---

RING = dict(a_gauge=11.5e-6, a_work=11.5e-6, bore_diameter=80.0, outside_diameter=160.0)


@pytest.mark.parametrize(("inner", "outer"), [(40.0, 80.0), (40.0, 40.4), (10.0, 500.0), (40.0, 40.0 + 1e-6)])
def test_area_mean_temperature_is_that_of_the_integral(inner, outer):
    """Against the integral of the logarithmic profile over the ring's area, by scipy's quadrature."""
    hot, cool = 120.0, 70.0

    def profile(r):
        return hot + (cool - hot) * math.log1p((r - inner) / inner) / math.log1p((outer - inner) / inner)

    heat = quad(lambda s: profile(inner + s) * 2.0 * (inner + s), 0.0, outer - inner, epsabs=0, epsrel=1e-12)[0]
    mean = heat / ((outer - inner) * (outer + inner))
    assert hot + (cool - hot) * outside_share(2 * inner, 2 * outer) == pytest.approx(mean, abs=1e-6)


def test_a_warm_ring_grows_as_thermoelasticity_says():
    """Radial equilibrium of a free ring, u'' + u'/r - u/r^2 = (1 + nu) a T', solved with traction-free faces."""
    inner, outer, hot, cool, a, nu = 40.0, 80.0, 120.0, 70.0, 11.5e-6, 0.3
    k = (cool - hot) / math.log(outer / inner)

    def rise(r):
        return hot + k * np.log(r / inner) - 20.0

    def slope(r, y):
        return np.array([y[1], (1.0 + nu) * a * k / r - y[1] / r + y[0] / r**2])

    def free(ya, yb):
        return np.array([y[1] + nu * y[0] / r - (1.0 + nu) * a * rise(r) for y, r in ((ya, inner), (yb, outer))])

    r = np.linspace(inner, outer, 200)
    solved = solve_bvp(slope, free, r, np.zeros((2, 200)), tol=1e-10)
    grown = 2.0 * float(solved.sol(inner)[0])
    assert grown == pytest.approx(0.064, abs=5e-4)  # 0.092 if the whole ring were at the bore's 120 C
    warm = at_20(80.0 + grown, 20.0, hot, cool, **RING)
    np.testing.assert_allclose(np.array(warm), 80.0, atol=1e-6)


@pytest.mark.parametrize(
    ("read_warm", "celsius", "expansion", "at_reference"),
    [
        (500.035, 23.7, 11.7e-6, 500.013),  # NPL worked example for ISO 1, memory
        (80.060, 35.0, 11.5e-6, 80.04619),  # derived: 80.060 / (1 + 11.5e-6 * 15)
    ],
)
def test_even_temperature(read_warm, celsius, expansion, at_reference):
    ring = dict(a_gauge=11.5e-6, a_work=expansion, bore_diameter=read_warm, outside_diameter=2 * read_warm)
    low, likely, high = at_20(read_warm, 20.0, celsius, celsius, **ring)
    assert low == likely == high
    assert likely == pytest.approx(at_reference, abs=5e-4 if at_reference == 500.013 else 5e-6)


def test_gauge_and_part_of_one_steel_at_one_temperature_cancel():
    assert at_20(80.0, 33.0, 33.0, 33.0, **RING)[1] == pytest.approx(80.0, abs=1e-12)


def test_missing_temperatures_widen_the_range_to_hold_the_truth():
    def truth(gauge, bore, outside):
        return float(at_20(80.0, gauge, bore, outside, **RING)[1])

    held = [
        ((20.0, 60.0, None), [(20.0, 60.0, t) for t in (20.0, 45.0, 60.0, 100.0)]),
        ((20.0, None, 60.0), [(20.0, t, 60.0) for t in (20.0, 75.0, 100.0)]),
        ((20.0, 21.0, None), [(20.0, 21.0, t) for t in (16.0, 26.0)]),
        ((None, 60.0, 60.0), [(t, 60.0, 60.0) for t in (15.0, 20.0, 40.0)]),
        ((None, 30.0, 30.0), [(t, 30.0, 30.0) for t in (15.0, 30.0)]),
        ((None, 5.0, 5.0), [(t, 5.0, 5.0) for t in (5.0, 25.0)]),
        ((None, None, None), list(itertools.product((15.0, 25.0), repeat=3))),
    ]
    for given_temperatures, cases in held:
        low, likely, high = map(float, at_20(80.0, *given_temperatures, **RING))
        assert low < likely < high
        sizes = [truth(*case) for case in cases]
        assert low - 1e-9 <= min(sizes) and max(sizes) <= high + 1e-9
        # and no wider than what those temperatures can do
        assert low == pytest.approx(min(sizes), abs=1e-9) or high == pytest.approx(max(sizes), abs=1e-9)


def test_an_outside_diameter_not_known_widens_the_range():
    low, likely, high = at_20(80.0, 20.0, 120.0, 70.0, **{**RING, "outside_diameter": None})
    for outside in (81.0, 100.0, 160.0, 1000.0):
        assert low <= at_20(80.0, 20.0, 120.0, 70.0, **{**RING, "outside_diameter": outside})[1] <= high
    assert likely == at_20(80.0, 20.0, 120.0, 70.0, **RING)[1]


def test_rows_are_taken_each_with_its_own_temperatures():
    low, likely, high = at_20(np.full(3, 80.0), np.full(3, 20.0), [20.0, 30.0, np.nan], [20.0, 30.0, 30.0], **RING)
    assert likely.round(6).tolist() == [80.0, round(80.0 / (1 + 11.5e-5), 6), round(80.0 / (1 + 11.5e-5), 6)]
    assert (high - low > 0).tolist() == [False, False, True]


@pytest.mark.parametrize(
    ("bore", "outside", "warm"),
    [
        (40.0, 40.0, False), (40.01, 40.0, True), (30.0, 25.0, False), (30.01, 25.0, True), (25.0, 30.01, True),
        (41.0, None, True), (None, 41.0, True), (39.0, None, False), (None, None, False),
        ([20.0, 41.0], [20.0, 41.0], True), ([20.0, np.nan], [np.nan, 30.0], False),
    ],
)  # fmt: skip
def test_no_verdict_from_a_warm_part(bore, outside, warm):
    assert is_warm(bore, outside) is warm


def test_readings_at_20():
    head = HEAD + ",bore_c,outside_c,gauge_c"
    cold = to_20(
        got("5,12,80.0637,120,70,20", "5,3,80.0637,120,70,20", head=head),
        a_gauge=11.5e-6,
        a_work=11.5e-6,
        outside_diameter=160.0,
    )
    assert cold.warm and len(cold.said) == 1 and "120 C" in cold.said[0] and "no verdict" in cold.said[0]
    np.testing.assert_allclose(cold.likely.value, 80.0, atol=3e-4)
    cold = to_20(
        got("5,12,80,,,", " 5,3,80,22,22,22", head=head), a_gauge=11.5e-6, a_work=11.5e-6, outside_diameter=None
    )
    assert not cold.warm and len(cold.said) == 1 and "bore (1 rows), outside (1 rows), gauge (1 rows)" in cold.said[0]
    # a cold part and gauge, each 20 C give or take 5 C
    reach = 80.0 * 11.5e-6 * 5.0 * 2.0
    assert cold.low.value[0] == pytest.approx(80.0 - reach, abs=1e-5)
    assert cold.high.value[0] == pytest.approx(80.0 + reach, abs=1e-5)


@pytest.mark.parametrize(
    "wrong", [{"a_work": 11.5}, {"a_gauge": -1e-6}, {"outside_diameter": 80.0}, {"bore_diameter": 0.0}]
)
def test_temperature_arguments_are_checked(wrong):
    with pytest.raises(ValueError, match=next(iter(wrong))):
        at_20(80.0, 20.0, 20.0, 20.0, **{**RING, **wrong})


# --- the wall ---

NEW = 80.0
HOURS = {"even": np.arange(12) * 0.5, "uneven": np.array([0.0, 0.4, 1.3, 1.7, 2.9, 3.3, 4.1, 4.6, 5.5])}


def worn(clock, depth, *, odd=0.12):
    """Radius [mm] of a planted bore, 100 long: tapered, two lobes growing with depth, worn to one side, three lobes."""
    r = NEW / 2.0 + 0.75 + 0.002 * depth
    r = r + (0.15 + 0.001 * depth) * np.cos(2.0 * (clock - 0.7))
    return r + odd * (np.cos(clock - 2.0) + 0.5 * np.cos(3.0 * (clock - 1.1)))


def even_part(clock, depth):
    return 0.5 * (worn(clock, depth) + worn(clock + np.pi, depth))


def gauged(hours, depths, *, error, seed, two_point=True):
    """Simulated readings, their errors normal with k = 2, as a file would give them."""
    rng = np.random.default_rng(seed)
    rows = []
    for z in depths:
        for h in np.asarray(hours):
            c = h * np.pi / 6.0
            value = worn(c, z) + (worn(c + np.pi, z) if two_point else 0.0)
            rows.append(f"{z},{h},{value + 0.5 * error * rng.standard_normal():.5f},{max(error, 0.001)}")
    return got(*rows, head=(HEAD if two_point else R) + ",error_mm")


STATIONS = (5, 20, 35, 50, 65, 80, 95)


@pytest.mark.parametrize("hours", HOURS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_planted_bore_comes_back_from_two_point_readings(hours, seed):
    error = 0.03  # on diameter: half of it per side
    wall = wall_from(gauged(HOURS[hours], STATIONS, error=error, seed=seed))
    off = np.abs(wall.radius(CLOCK[:, None], DEPTH[None, :]) - even_part(CLOCK[:, None], DEPTH[None, :]))
    assert np.quantile(off, 0.95) <= 0.5 * error and off.max() <= error  # k = 2 and k = 4
    assert np.all(np.abs(wall.residual) <= error)


@pytest.mark.parametrize("hours", [np.arange(16) * 0.75, np.sort(np.random.default_rng(5).permutation(48)[:24]) * 0.25])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_planted_bore_comes_back_from_radii(hours, seed):
    error = 0.03
    wall = wall_from(gauged(hours, STATIONS, error=error, seed=seed, two_point=False))
    off = np.abs(wall.radius(CLOCK[:, None], DEPTH[None, :]) - worn(CLOCK[:, None], DEPTH[None, :]))
    assert np.quantile(off, 0.95) <= error and off.max() <= 2.0 * error
    assert np.all(np.abs(wall.residual) <= error)


def test_without_reading_error_it_comes_back_closer():
    for two_point, truth in ((True, even_part), (False, worn)):
        readings = gauged(np.arange(12) * (0.5 if two_point else 1.0), STATIONS, error=0.0, seed=0, two_point=two_point)
        wall = wall_from(readings)
        off = wall.radius(CLOCK[:, None], DEPTH[None, :]) - truth(CLOCK[:, None], DEPTH[None, :])
        assert np.abs(off).max() < 0.001


def test_stations_with_few_positions_take_their_shape_from_the_others():
    """Two positions a station, turned from one to the next: no station alone shows the oval, all together do."""
    turned = [(z, (h0, h0 + 3.0)) for z, h0 in zip(STATIONS, (0, 1.5, 0.75, 2.25, 0, 1.5, 0.75), strict=True)]
    rows = [f"{z},{h},{2.0 * even_part(h * np.pi / 6, 50.0):.4f},0.01" for z, hours in turned for h in hours]
    wall = wall_from(got(*rows, head=HEAD + ",error_mm"))
    off = wall.radius(CLOCK[:, None], DEPTH[None, :]) - even_part(CLOCK[:, None], 50.0)
    assert np.abs(off).max() < 0.01
    single = wall_from(got(*rows, "99,1,82.5,0.01", head=HEAD + ",error_mm"))
    assert any("one clock position only at 99 mm" in told for told in single.said)
    ends = single.radius(CLOCK[:, None], np.array([[95.0, 99.0]]))
    np.testing.assert_allclose(ends[:, 0] - ends[:, 0].mean(), ends[:, 1] - ends[:, 1].mean(), atol=0.01)
    assert single.radius(np.array(np.pi / 6), np.array(99.0)) == pytest.approx(41.25, abs=0.005)


def test_a_local_gouge_is_met_and_its_neighbours_too():
    rows = [
        f"{z},{h / 3:.4f},{41.0 + (0.8 if (h, z) == (20, 50) else 0.0)},0.02" for z in (10, 50, 90) for h in range(36)
    ]
    wall = wall_from(got(*rows, head=R + ",error_mm"))
    assert np.all(np.abs(wall.residual) <= 0.02)
    assert not any("row" in told for told in wall.said)
    far = np.abs(np.mod(CLOCK - 20 * np.pi / 18 + np.pi, 2 * np.pi) - np.pi) > np.radians(25.0)
    assert np.abs(wall.radius(CLOCK[far][:, None], np.array([[50.0]])) - 41.0).max() < 0.05  # no ringing


def test_readings_the_wall_cannot_meet_are_reported_by_row():
    rows = [f"{z},{h},{41.0 + 0.2 * math.cos(h * math.pi / 3):.4f},0.02" for z in (10, 50, 90) for h in range(12)]
    wall = wall_from(got(*rows, "50,3.05,41.6,0.02", head=R + ",error_mm"))
    told = [text for text in wall.said if ": row " in text]
    over = wall.row[np.abs(wall.residual) > wall.error]
    assert {17, 38} <= set(over.tolist()) and len(told) == len(over)
    for row in over:
        off = wall.residual[wall.row == row][0]
        assert any(
            f"row {row}: the reading lies {abs(off):.3f} mm per side {'outside' if off > 0 else 'inside'}" in t
            for t in told
        )
    # the wall is where the residuals say it is
    clock, depth = np.array([r * np.pi / 6 for r in (3.0, 3.05)]), np.array([50.0, 50.0])
    read_there = np.array([41.0 + 0.2 * math.cos(math.pi), 41.6])
    np.testing.assert_allclose(read_there - wall.radius(clock, depth), wall.residual[[15, 36]], atol=1e-9)


def test_many_missed_rows_are_all_named():
    """Steps finer than any series held: 360 positions, every other one 1 mm off."""
    rows = [f"10,{h / 30:.4f},{41 + h % 2},0.02" for h in range(360)]
    wall = wall_from(got(*rows, head=R + ",error_mm"))
    named = [text for text in wall.said if ": row " in text]
    rest = next(text for text in wall.said if "more rows" in text).split("error: ")[1].rstrip(".").split(", ")
    over = wall.row[np.abs(wall.residual) > wall.error * (1 + 1e-9)]
    assert len(named) == 20 and len(named) + len(rest) == len(over)
    assert {int(text.split("row ")[1].split(":")[0]) for text in named} | set(map(int, rest)) == set(over.tolist())


def test_the_wall_is_periodic_and_runs_on_past_the_last_stations():
    wall = wall_from(gauged(HOURS["uneven"], STATIONS, error=0.01, seed=1))
    depth = np.array([[-20.0, 0.0, 5.0, 50.0, 95.0, 130.0]])
    r = wall.radius(CLOCK[:, None], depth)
    np.testing.assert_allclose(wall.radius(CLOCK[:, None] + 2 * np.pi, depth), r, atol=1e-11)
    np.testing.assert_allclose(wall.radius(CLOCK[:, None] + np.pi, depth), r, atol=1e-11)  # two-point: even lobes only
    np.testing.assert_array_equal(r[:, 0], r[:, 2])
    np.testing.assert_array_equal(r[:, 5], r[:, 4])
    assert any("first station at 5 mm and past the last at 95 mm" in told for told in wall.said)
    lone = wall_from(got("30,0,80", "30,2,80.3", "30,4,80.1"))
    np.testing.assert_array_equal(lone.radius(CLOCK, np.array(0.0)), lone.radius(CLOCK, np.array(99.0)))
    assert any("one station at 30 mm" in told for told in lone.said)


@pytest.mark.parametrize("two_point", [True, False])
def test_all_ways_to_ask_for_the_radius_agree(two_point):
    wall = wall_from(
        gauged(np.arange(9) * (0.6 if two_point else 1.3), STATIONS, error=0.02, seed=4, two_point=two_point)
    )
    depth = np.linspace(-10, 110, 37)
    fast = wall.radius(CLOCK[:, None], depth[None, :])
    assert fast.shape == (720, 37)
    whole = np.broadcast_arrays(CLOCK[:, None], depth[None, :])
    np.testing.assert_allclose(wall.radius(*whole), fast, atol=1e-10)
    np.testing.assert_allclose(wall.radius(whole[0], depth[None, :]), fast, atol=1e-10)
    np.testing.assert_allclose(wall.radius(CLOCK, np.array(50.0)), fast[:, np.argmin(abs(depth - 50))], atol=1e-10)
    assert float(wall.radius(np.array(CLOCK[100]), np.array(depth[7]))) == pytest.approx(fast[100, 7], abs=1e-10)


def test_between_stations_it_is_a_monotone_cubic_of_each_coefficient():
    """Slow twin: a Fourier sum over stations, each coefficient run by scipy's PCHIP."""
    wall = wall_from(gauged(np.arange(9) * 1.3, STATIONS, error=0.02, seed=4, two_point=False))
    even = np.arange(256) * (2 * np.pi / 256)
    shape = np.fft.rfft(wall.radius(even[:, None], np.array(STATIONS, dtype=float)[None, :]), axis=0)
    along = PchipInterpolator(STATIONS, np.concatenate([shape.real, shape.imag]).T, axis=0)(DEPTH)
    twin = np.fft.irfft((along[:, :129] + 1j * along[:, 129:]).T, 256, axis=0)
    np.testing.assert_allclose(wall.radius(even[:, None], DEPTH[None, :]), twin, atol=1e-9)


def test_between_nodes_the_wall_is_straight():
    rows = [
        f"{z},{h},{41 + b * (0.6 + 0.4 * math.cos(h))},0.01"
        for z, b in ((4, 1.0), (9, 0.2), (60, 0.0), (96, 0.7))
        for h in range(12)
    ]
    shape = wall_from(got(*rows, head=R + ",error_mm"))
    nodes = shape.nodes
    assert np.all(np.diff(nodes) > 0) and {4.0, 9.0, 60.0, 96.0} <= set(nodes.tolist()) and len(nodes) < 1000
    clock = Clock.even(90)
    wall = Wall.from_radius(clock, nodes, shape.radius(clock.angle[:, None], nodes[None, :]), tolerance=1e-9)
    depth = np.linspace(4.0, 96.0, 4001)
    off = np.abs(wall.radius(depth) - shape.radius(clock.angle[:, None], depth[None, :])).max()
    assert 1e-6 < off < 1.2e-4


@pytest.mark.parametrize("bar", [Axis((0.4, -0.3), (0.4, -0.3), 100.0), Axis((0.6, 0.2), (-0.5, 0.9), 100.0)])
def test_radii_from_a_bar_off_the_drawing_axis_come_back_about_the_drawing_axis(bar):
    """The planted wall, met by rays from the bar; found by scipy's bracketing root finder."""
    rows = []
    for z in STATIONS:
        x0, y0 = map(float, bar.at(float(z)))
        for h in np.arange(16) * 0.75:
            c = h * np.pi / 6

            def gap(reach, x0=x0, y0=y0, c=c, z=z):
                x, y = x0 + reach * np.sin(c), y0 - reach * np.cos(c)
                return np.hypot(x, y) - worn(np.arctan2(x, -y), z)

            rows.append(f"{z},{h},{brentq(gap, 30.0, 50.0, xtol=1e-12):.6f},0.005")
    readings = got(*rows, head=R + ",error_mm")
    wall = wall_from(readings, bar=bar)
    off = wall.radius(CLOCK[:, None], DEPTH[None, :]) - worn(CLOCK[:, None], DEPTH[None, :])
    assert np.abs(off).max() < 0.005
    assert (
        np.abs(wall_from(readings).radius(CLOCK[:, None], DEPTH[None, :]) - worn(CLOCK[:, None], DEPTH[None, :])).max()
        > 0.3
    )


def test_a_bar_is_no_place_for_two_point_readings():
    with pytest.raises(ValueError, match="two-point"):
        wall_from(got("5,0,80"), bar=Axis.straight(100.0))
    with pytest.raises(ValueError, match="farther"):
        wall_from(got("5,0,40", head=R), bar=Axis((50.0, 0.0), (50.0, 0.0), 100.0))


# --- what two-point readings cannot see ---


def test_the_unseen_part_of_a_planted_bore_is_within_the_bound():
    """Metal nowhere inside the new size; worn to one side and three-lobed."""
    assert worn(CLOCK[:, None], DEPTH[None, :]).min() > NEW / 2
    error = 0.03
    wall = wall_from(gauged(HOURS["even"], STATIONS, error=error, seed=7))
    found = wall.unseen_bound(CLOCK[:, None], DEPTH[None, :], NEW)
    unseen = np.abs(worn(CLOCK[:, None], DEPTH[None, :]) - even_part(CLOCK[:, None], DEPTH[None, :]))
    assert unseen.max() > 0.14
    assert np.all(unseen <= found.bound + 0.5 * error)
    assert f"{found.bound.max():.3f} mm per side" in found.said
    np.testing.assert_allclose(found.bound, wall.radius(CLOCK[:, None], DEPTH[None, :]) - NEW / 2, atol=1e-12)


def test_the_bound_is_reached_where_all_wear_is_on_one_side():
    wear = 0.8 * np.maximum(np.cos(CLOCK), 0.0) ** 2
    diameter = NEW + wear + np.roll(wear, 360)
    rows = [f"{z},{h},{diameter[round(h * 60)]:.5f},0.001" for z in (5, 95) for h in np.arange(24) * 0.25]
    found = wall_from(got(*rows, head=HEAD + ",error_mm")).unseen_bound(CLOCK, np.array(50.0), NEW)
    unseen = 0.5 * np.abs(wear - np.roll(wear, 360))
    np.testing.assert_allclose(found.bound, unseen, atol=0.002)


def test_without_the_new_size_nothing_bounds_what_is_unseen():
    wall = wall_from(got("5,0,80.5", "5,2,80.5", "5,4,80.5"))
    found = wall.unseen_bound(CLOCK, np.array(5.0), None)
    assert found.bound is None and "give the bore's size when new" in found.said


def test_a_wall_under_the_new_size_is_said():
    wall = wall_from(got("5,0,79.9", "5,2,79.9", "5,4,79.9"))
    found = wall.unseen_bound(CLOCK, np.array(5.0), NEW)
    assert found.bound.max() == 0.0 and "0.100 mm under the size when new" in found.said


def test_radii_leave_nothing_unseen():
    found = wall_from(got("5,0,40", "5,4,40.1", "5,8,40", head=R)).unseen_bound(CLOCK[:, None], DEPTH[None, :], None)
    assert found.bound.shape == (720, 91) and not found.bound.any()


# --- form ---


def swept(shape, depths=(10.0, 50.0, 90.0), *, n=36):
    rows = [f"{z},{12 * i / n:.6f},{shape(2 * np.pi * i / n, z):.6f},0.001" for z in depths for i in range(n)]
    return got(*rows, head=R + ",error_mm")


def test_form_of_an_oval_tapered_bore():
    found = form(swept(lambda c, z: 40.5 + 0.004 * z + 0.2 * np.cos(2 * (c - 1.0))))
    assert [s.depth for s in found.sections] == [10.0, 50.0, 90.0]
    for s in found.sections:
        assert s.size == pytest.approx(2 * (40.5 + 0.004 * s.depth), abs=0.002)
        assert s.out_of_round == pytest.approx(0.8, abs=0.004) and s.along == pytest.approx(1.0, abs=0.02)
        for circle in (s.least_squares, s.minimum_zone, s.circumscribed, s.inscribed):
            assert circle.form_error == pytest.approx(0.4, abs=0.004)
            assert np.hypot(circle.x, circle.y) < 0.005
        assert s.circumscribed.radius - s.inscribed.radius == pytest.approx(0.4, abs=0.004)
        assert s.clean_up == pytest.approx(s.size + 0.4, abs=0.004)
    assert found.taper == pytest.approx(2 * 0.004 * 80, abs=0.002)
    assert found.tilt == pytest.approx(0.0, abs=0.003)
    assert found.clean_up == found.clean_up_most == pytest.approx(2 * (40.5 + 0.36 + 0.2), abs=0.004)
    assert found.said == ()


def test_form_of_a_round_bore_off_its_axis_and_tilted():
    def round_off(c, z):
        x, y = 0.3 + 0.005 * z, -0.2
        along = x * np.sin(c) - y * np.cos(c)
        return along + np.sqrt(41.0**2 - (x * np.cos(c) + y * np.sin(c)) ** 2)

    found = form(swept(round_off))
    for s in found.sections:
        assert (s.least_squares.x, s.least_squares.y) == pytest.approx((0.3 + 0.005 * s.depth, -0.2), abs=0.002)
        assert s.minimum_zone.form_error < 0.003 and s.out_of_round < 0.004
        reach = np.hypot(0.3 + 0.005 * s.depth, 0.2)
        assert s.clean_up == pytest.approx(2 * (41.0 + reach), abs=0.003)
    assert found.tilt == pytest.approx(0.4, abs=0.003) and found.tilt_at == pytest.approx(np.pi / 2, abs=0.01)
    assert found.cylinder.axis.at(0.0)[0] == pytest.approx(0.3, abs=0.003)
    assert found.taper == pytest.approx(0.0, abs=0.002)


def test_three_lobes_show_to_an_indicator_and_not_to_a_two_point_gauge():
    def lobed(c, z):
        return 40.6 + 0.1 * np.cos(3 * c)

    seen = form(swept(lobed)).sections[0]
    assert seen.minimum_zone.form_error == pytest.approx(0.2, abs=0.003) and seen.out_of_round < 0.005
    rows = [
        f"{z},{h},{lobed(h * np.pi / 6, z) + lobed(h * np.pi / 6 + np.pi, z):.5f}"
        for z in (10, 90)
        for h in np.arange(8) * 0.75
    ]
    found = form(got(*rows), original_diameter=80.4)
    assert found.sections[0].minimum_zone.form_error < 0.003 and found.tilt is None
    assert found.clean_up == pytest.approx(81.2, abs=0.003)
    assert found.clean_up_most == pytest.approx(2 * (40.6 + 0.4), abs=0.005)  # 2 D - D0, over the true 81.4
    assert "up to 82.00" in found.said[0]
    assert form(got(*rows)).clean_up_most is None and "not bounded" in form(got(*rows)).said[0]


def test_form_between_stations_and_of_one_station():
    wall = wall_from(swept(lambda c, z: 40.0 + 0.01 * z))
    found = form(wall, [20.0, 70.0])
    assert [s.depth for s in found.sections] == [20.0, 70.0] and found.taper == pytest.approx(1.0, abs=0.05)
    assert found.clean_up == pytest.approx(81.8, abs=0.002)  # of the whole wall, not of the depths asked for
    one = form(wall, 20.0)
    assert one.taper is one.tilt is one.cylinder is None and "one station" in one.said[0]
    with pytest.raises(ValueError, match="stations"):
        form(wall, [])


def test_a_section_far_from_round_has_no_circles_and_that_is_said(monkeypatch):
    def none(points):
        raise ValueError("inscribed_circle: points = 360 points: they do not go all round one bore")

    monkeypatch.setattr(module, "inscribed_circle", none)
    with pytest.raises(ReadingsError, match=r"lug\.csv: the section at 5 mm is too far from round"):
        form(got("5,0,80", "5,2,80.5", "5,4,80"))


# --- fuzz ---

TOKENS = [
    "5", "5.5", "5,5", "80", "80.1", "80,1", "1,234", "1.234,5", "40.2", "9:30", "12", "12:30", "25:00", "0", "-0.5", "-3",
    "", " ", "nan", "inf", "1e3", "1e999", "=A1", "+1", "@x", "-x", "#", '"', '"80,1"', "'", "A", "lug", "٨", "\ufeff", "—",
    "0.02", "0.00001", "20", "120", "1e-300", "79.8", "81", "9" * 400, "\x1a", "\0", "x" * 300,
]  # fmt: skip
NAMES = [
    "depth_mm", "depth_in", "oclock", "diameter_mm", "diameter_in", "radius_mm", "radius_in", "bore_c", "bore_f", "outside_c",
    "gauge_f", "error_mm", "error_in", "station", "depth", "DEPTH_MM", "", "diametre_mm", "=depth_mm",
]  # fmt: skip
ENDS = st.sampled_from(["\n", "\r\n", "\r"])
SEPARATORS = st.sampled_from([",", ";", "\t"])


def survives(data, *, wild=False):
    """Read, or refused in one sentence; what is read gives a wall and its form without a fault."""
    try:
        readings = read(data, name="fuzz.csv")
    except ReadingsError as fault:
        text = str(fault)
        assert text.startswith("fuzz.csv: ") and text[-1] in ".?" and "\n" not in text and len(text) < 600
        return None
    for values in (readings.depth, readings.clock, readings.value, readings.error):
        assert len(values) == len(readings.row) == len(readings.station) and np.isfinite(values).all()
    try:
        wall = wall_from(readings)
    except ReadingsError as fault:
        assert "would close in" in str(fault)
        return None
    assert wall.radius(CLOCK[::40, None], wall.nodes[None, :]).min() > 0.0
    if not wild:
        assert form(wall, wall.station[:2]).clean_up > 0.0
    check(readings, length=100.0, smallest=70.0, largest=90.0)
    to_20(readings, a_gauge=11.5e-6, a_work=11.5e-6, outside_diameter=None)
    return readings


SETTINGS = settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))


@SETTINGS
@given(st.one_of(st.binary(max_size=400), st.text(max_size=400).map(lambda t: t.encode("utf-8", "surrogatepass"))))
def test_no_bytes_end_in_a_traceback(data):
    survives(data)


@SETTINGS
@given(st.data())
def test_no_table_ends_in_a_traceback(data):
    sep, end = data.draw(SEPARATORS), data.draw(ENDS)
    core = data.draw(st.sampled_from([["depth_mm", "oclock", "diameter_mm"], ["depth_mm", "oclock", "radius_mm"]]))
    names = core + data.draw(st.lists(st.sampled_from(NAMES), max_size=2))
    rows = data.draw(st.lists(st.lists(st.sampled_from(TOKENS), min_size=len(names), max_size=len(names)), max_size=4))
    survives(end.join(sep.join(row) for row in [names, *rows]).encode())


@SETTINGS
@given(st.data())
def test_no_mutated_file_ends_in_a_traceback(data):
    whole = bytearray(data.draw(st.sampled_from(VARIANTS)))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(whole) - 1))
        what = data.draw(st.sampled_from(["change", "drop", "double", "insert"]))
        if what == "change":
            whole[at] = data.draw(st.integers(0, 255))
        elif what == "drop" and len(whole) > 1:
            del whole[at]
        elif what == "double":
            whole[at:at] = whole[at : at + data.draw(st.integers(1, 30))]
        else:
            whole[at:at] = data.draw(st.sampled_from(TOKENS)).encode()
    survives(bytes(whole))


@SETTINGS
@given(
    st.lists(
        st.tuples(st.floats(-1, 1000), st.floats(0, 12), st.floats(60, 85), st.floats(0.0001, 2)),
        min_size=1,
        max_size=12,
    ),
    st.sampled_from(["diameter_mm", "radius_mm"]),
)
def test_wild_bores_are_met_within_their_errors_or_named_by_row(rows, kind):
    text = "\n".join([f"depth_mm,oclock,{kind},error_mm", *(f"{z:.3f},{h:.6f},{v:.6f},{e:.6f}" for z, h, v, e in rows)])
    readings = survives(text.encode(), wild=True)
    if readings is None:
        return
    try:
        wall = wall_from(readings)
    except ReadingsError:
        return
    again = wall.radius(readings.clock, readings.depth) * (2.0 if readings.two_point else 1.0)
    off = np.abs(readings.value - again)
    told = " ".join(wall.said)
    for row, far, error in zip(readings.row, off, readings.error, strict=True):
        assert far <= error * (1 + 1e-6) or f"row {row}:" in told, (row, far, error)
