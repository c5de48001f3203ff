"""Readings: files as shops write them, warm parts, and what a two-point gauge cannot see."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from sim.bore.read_wall import WorstUnseen, unmet, wall_from
from sim.job.change import changed, digest
from sim.job.read import load, parse
from sim.job.readings_csv import LARGEST, ReadingsError, at_20, read
from sim.job.readings_csv import check as check_readings
from sim.job.saved import save
from sim.job.write import to_text
from sim.laws.thermal_expansion import is_warm, mean_wall_temperature
from sim.plan.odds.verdict import decide
from sim.reference.errors import SceneError
from sim.shop.as_worn import AboutBar, shape_of, worst_unseen
from sim.shop.judge import open_of
from sim.shop.run import simulate
from tests.conftest import SMALL, looks

POINTS = "depth_mm,oclock,diameter_mm\n5,12,82.41\n5,3,82.15\n35,12,82.52\n35,3,82.20\n"
SAME = {
    "semicolons": POINTS.replace(",", ";"),
    "tabs": POINTS.replace(",", "\t"),
    "decimal comma": POINTS.replace(",", ";").replace(".", ","),
    "bom": "\ufeff" + POINTS,
    "crlf": POINTS.replace("\n", "\r\n"),
    "clock": POINTS.replace(",3,", ",3:00,"),
}


@pytest.mark.parametrize("how", SAME)
def test_files_written_in_other_ways_give_the_same_readings(how):
    one, two = read(POINTS.encode(), name="a"), read(SAME[how].encode(), name="b")
    np.testing.assert_array_equal(one.value, two.value)
    np.testing.assert_allclose(one.clock, two.clock)


def test_inches_are_read_as_inches():
    inches = "depth_in,oclock,diameter_in\n0.2,12,3.25\n1.2,3,3.25\n"
    assert read(inches.encode(), name="a").value.tolist() == pytest.approx([82.55, 82.55])


BAD = {
    "empty": (b"", "empty"),
    "binary": (b"\x00\x01\x02", "binary"),
    "encoding": ("depth_mm,oclock,diameter_mm\n5,12,82é".encode("latin-1"), "UTF-8"),
    "huge": (b"x" * (LARGEST + 1), "at most"),
    "header only": (b"depth_mm,oclock,diameter_mm\n", "no readings"),
    "unknown column": (b"depth_mm,oclock,diametre_mm\n5,12,82\n", "did you mean diameter_mm?"),
    "both units": (
        b"depth_mm,depth_in,oclock,diameter_mm\n5,1,12,82\n",
        "both depth_mm and depth_in",
    ),
    "neither": (b"depth_mm,oclock\n5,12\n", "neither is given"),
    "both kinds": (b"depth_mm,oclock,diameter_mm,radius_mm\n5,12,82,41\n", "both are given"),
    "thousand": (b'depth_mm,oclock,diameter_mm\n5,12,"1,234"\n', "decimal comma or two cells"),
    "cells": (b"depth_mm,oclock,diameter_mm\n5,12,82,3\n", "row 2 has 4 cells"),
    "mixed": (b"depth_mm;oclock;diameter_mm\n5,5;12;82.1\n", "decimal points and decimal commas"),
    "formula": (
        b"depth_mm;oclock;diameter_mm\n5;12;=A1\n",
        "row 2: diameter = '=A1': looks like a formula",
    ),
    "text": (
        b"depth_mm;oclock;diameter_mm\n5;12;big\n",
        "row 2: diameter = 'big': must be a number",
    ),
    "nan": (b"depth_mm;oclock;diameter_mm\n5;12;nan\n", "finite"),
    "zero": (b"depth_mm;oclock;diameter_mm\n5;12;0\n", "greater than 0"),
    "clock": (b"depth_mm;oclock;diameter_mm\n5;13;82\n", "from 0 to 12"),
    "contradictory": (
        b"depth_mm,oclock,diameter_mm\n5,12,82.4\n5,12,82.9\n5,3,82\n",
        "rows 2 and 3",
    ),
    "opposite feet": (
        b"depth_mm,oclock,diameter_mm\n5,12,82.4\n5,6,82.9\n5,3,82\n",
        "rows 2 and 3",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files_get_one_sentence(name):
    data, says = BAD[name]
    with pytest.raises(ReadingsError) as fault:
        read(data, name="r.csv")
    assert (
        says in str(fault.value)
        and str(fault.value).startswith("r.csv")
        and "\n" not in str(fault.value)
    )


def test_readings_outside_the_bore_one_station_and_another_bore_are_refused():
    found = read(POINTS.encode(), name="r.csv")
    with pytest.raises(ReadingsError, match=r"row 4: depth 35\.00 mm lies outside the bore"):
        check_readings(found, name="r.csv", length=30.0)
    with pytest.raises(ReadingsError, match="one station only"):
        check_readings(
            read(b"depth_mm,oclock,diameter_mm\n5,12,82\n5,3,82\n", name="r.csv"),
            name="r.csv",
            length=40.0,
        )
    with pytest.raises(ReadingsError, match="row 3 reads 8"):
        check_readings(
            read(POINTS.replace("82.15", "8.215").encode(), name="r.csv"), name="r.csv", length=40.0
        )


def test_clock_not_covered_is_said_not_invented():
    said = check_readings(
        read(b"depth_mm,oclock,diameter_mm\n5,12,82\n35,12,82\n", name="r"), name="r", length=40.0
    )
    assert sum(one.what == "clock not covered" for one in said) == 2


def test_rows_are_counted_as_the_file_has_them():
    with pytest.raises(ReadingsError, match="row 5:"):
        read(b"\ndepth_mm,oclock,diameter_mm\n\n5,12,82\n5,3,no\n", name="r.csv")


def test_doubles_within_their_error_are_averaged_and_said():
    found = read(b"depth_mm,oclock,diameter_mm\n5,12,82.40\n5,6,82.41\n5,3,82\n", name="r")
    assert len(found.value) == 2 and 82.405 in found.value
    (said,) = found.notes
    assert said.what == "read twice" and {said["row"], said["again"]} == {2.0, 3.0}


@given(
    st.binary(max_size=400)
    | st.text(alphabet="depth_mmoclockdiameter;,.\n\t0123456789=-: ", max_size=400).map(str.encode)
)
@settings(max_examples=500, deadline=None)
def test_no_bytes_raise_anything_but_a_readings_error(data):
    try:
        read(data, name="f")
    except ReadingsError as fault:
        assert str(fault).startswith("f: ")


# ---- planted bore
# ------------------------------------------------------------------------------------------------


def planted(theta, z):
    """Radius of an invented worn bore: oval, three-lobed, tapered, worn to one side; nowhere below
    40.9.
    """
    oval = 0.25 * (1 + np.cos(2 * (theta - 0.4)))
    side = 0.3 * (1 + np.cos(theta - 2.0))
    lobes = 0.05 * (1 + np.cos(3 * theta))
    return 41.0 + oval + side + lobes + 0.002 * z


def gauged(kind, clocks, depths, noise):
    rng = np.random.default_rng(5)
    rows = [f"depth_mm,oclock,{kind}_mm"]
    for z in depths:
        for hour in clocks:
            theta = hour * np.pi / 6
            value = planted(theta, z) + (planted(theta + np.pi, z) if kind == "diameter" else 0.0)
            rows.append(f"{z},{hour},{value + rng.uniform(-noise, noise):.4f}")
    return read("\n".join(rows).encode(), name="planted")


def test_radii_bring_the_planted_bore_back_within_their_error():
    wall = wall_from(gauged("radius", range(12), (5, 50, 95), 0.005))
    theta, z = np.meshgrid(np.linspace(0, 2 * np.pi, 90), np.linspace(5, 95, 30), indexing="ij")
    assert np.abs(wall.radius(theta, z) - planted(theta, z)).max() < 0.02


def test_diameters_bring_back_the_even_part_and_bound_the_rest():
    found = gauged("diameter", (0, 1, 2, 3, 4, 5), (5, 50, 95), 0.003)
    wall = wall_from(found)
    theta, z = np.meshgrid(np.linspace(0, 2 * np.pi, 90), np.linspace(5, 95, 30), indexing="ij")
    even = 0.5 * (planted(theta, z) + planted(theta + np.pi, z))
    assert np.abs(wall.radius(theta, z) - even).max() < 0.01
    # The original bore was 81.8 across: metal does not grow, so nowhere is the wall beyond the
    # bound.
    bound = WorstUnseen(wall, 81.8).radius(theta, z)
    assert (planted(theta, z) <= bound + 0.01).all()
    assert planted(theta, z).min() >= 40.9


def test_wall_goes_through_every_reading():
    found = gauged("diameter", (0, 1.5, 3, 4.5), (5, 30, 70, 95), 0.01)
    assert unmet(found, wall_from(found)) == []


@given(st.lists(st.floats(-0.4, 0.4), min_size=8, max_size=8), st.integers(0, 1000))
@settings(max_examples=60, deadline=None)
def test_uneven_clocks_stay_near_the_readings(shifts, seed):
    rng = np.random.default_rng(seed)
    hours = [(1.5 * k + shift) % 12.0 for k, shift in enumerate(shifts)]
    rows = ["depth_mm,oclock,radius_mm"] + [
        f"{z},{h},{41 + rng.uniform(0, 0.5):.3f}" for z in (5, 60) for h in hours
    ]
    found = read("\n".join(rows).encode(), name="r")
    wall = wall_from(found)
    assert unmet(found, wall) == []
    assert (
        np.abs(wall.radius(np.linspace(0, 2 * np.pi, 200), np.full(200, 30.0)) - 41.25).max() < 1.0
    )


def test_bar_off_the_drawing_axis_is_taken_into_account():
    # A round bore of 40.5 about the drawing axis, swept from a bar 0.4 mm towards 3 o'clock: law of
    # cosines.
    from sim.bore.axis import Axis

    class FromBar:
        nodes = np.array([0.0, 100.0])

        def radius(self, clock, depth):
            return (
                -0.4 * np.sin(clock) + np.sqrt(40.5**2 - (0.4 * np.cos(clock)) ** 2) + 0.0 * depth
            )

    seen = AboutBar(FromBar(), Axis((0.4, 0.0), (0.4, 0.0), 100.0))
    theta = np.linspace(0, 2 * np.pi, 50)
    np.testing.assert_allclose(seen.radius(theta, np.full(50, 20.0)), 40.5, atol=1e-8)


# ---- warm parts
# --------------------------------------------------------------------------------------------------


def test_ring_temperature_against_numerical_integration():
    # Thick ring, steady radial conduction: area mean of a logarithmic profile (Timoshenko and
    # Goodier, Theory of
    # Elasticity, thick cylinder under radial heat flow; from memory), integrated here by
    # quadrature.
    for bore, outside, ratio in ((120.0, 70.0, 2.0), (60.0, 25.0, 1.4), (40.0, 90.0, 3.0)):
        profile = lambda r: outside + (bore - outside) * math.log(ratio / r) / math.log(ratio)  # noqa: B023, E731
        mean = quad(lambda r: profile(r) * r, 1.0, ratio)[0] / quad(lambda r: r, 1.0, ratio)[0]  # noqa: B023
        assert float(
            mean_wall_temperature(np.array(bore), np.array(outside), ratio)
        ) == pytest.approx(mean, abs=1e-9)
    grown = 80 * 11.5e-6 * (float(mean_wall_temperature(np.array(120.0), np.array(70.0), 2.0)) - 20)
    assert grown == pytest.approx(0.064, abs=0.002)


def brought(value, bore, outside, expansion):
    text = f"depth_mm,oclock,diameter_mm,bore_c,outside_c\n1,12,{value},{bore},{outside}\n9,12,{value},{bore},{outside}\n"
    return at_20(read(text.encode(), name="r"), gauge=expansion, work=expansion, ratio=2.0)


def test_sizes_are_brought_to_20_degrees():
    # NPL worked example for ISO 1: 500.035 mm at 23.7 C, 11.7e-6 /K, is 500.013 mm at 20 C.
    assert brought(500.035, 23.7, 23.7, 11.7e-6)[0].value[0] == pytest.approx(500.013, abs=1e-3)
    # ISO 1, derived: 80.060 at 35 C, 11.5e-6 /K, is 80.04619.
    assert brought(80.060, 35.0, 35.0, 11.5e-6)[0].value[0] == pytest.approx(80.04619, abs=1e-5)


def test_missing_outside_temperature_widens_the_error():
    text = "depth_mm,oclock,diameter_mm,bore_c\n1,12,80,60\n9,12,80,60\n"
    found, said = at_20(read(text.encode(), name="r"), gauge=11.5e-6, work=11.5e-6, ratio=2.0)
    assert found.error[0] > 80 * 11.5e-6 * 19 and said.what == "part warm"


def test_warm_rule():
    assert is_warm(np.array([41.0]), np.array([40.0]))
    assert is_warm(np.array([30.0]), np.array([24.0]))
    assert not is_warm(np.array([30.0]), np.array([26.0]))


# ---- in a scene
# --------------------------------------------------------------------------------------------------


def with_table(table, more=""):
    text = SMALL.replace(
        "[worn]\ndiameter_mm = 82.2\nout_of_round_mm = 0.6", f'[readings]\ntable = """\n{table}"""'
    )
    return parse(text + more)


def test_warm_readings_are_never_a_plain_yes():
    cold, warm = load("scenes/readings_cold.toml"), load("scenes/readings_warm.toml")
    assert open_of(simulate(cold)) == ()
    result = simulate(changed(warm, {"layer.repeat": 4}))
    assert decide(result.scene, [result]).verdict == "not proven" and any(
        "warm" in line for line in looks(result)
    )
    assert [one.what for one in open_of(result)] == ["part warm when gauged"]


def test_verdict_hangs_on_what_the_gauge_cannot_see():
    # Diameters of 85 in a bore that was 80: all 5 mm may be on one side, beyond the pre-bore.
    table = "depth_mm,oclock,diameter_mm\n2,12,83\n2,3,85\n38,12,83\n38,3,85\n"
    scene = with_table(table, "\n[head]\nsmallest_bore_mm = 30\n")
    scene = changed(
        scene, {"pre_bore.diameter_mm": 85.2, "layer.repeat": 3, "bore.original_diameter_mm": 80.0}
    )
    result = simulate(scene)
    assert result.unseen < result.stock.spot.value - 0.5
    assert any("cannot see wear to one side" in line for line in looks(result))


GOUGE = "\n[[gouge]]\nat_oclock = 3\ndepth_mm = 50\nlength_mm = 20\nwidth_mm = 20\ndeep_mm = 6\n"
GROOVE = "\n[[groove]]\ndepth_mm = 50\nwidth_mm = 14\ndeep_mm = 6\n"


@pytest.mark.parametrize("cut", [GOUGE, GROOVE], ids=["gouge", "groove"])
def test_gouges_and_grooves_are_cut_into_a_read_wall(cut):
    # Readings dropped them: 1.12 mm of stock with a gouge 6 mm deep as without it. By the inputs 6
    # mm more at its floor.
    scene = load("scenes/readings_cold.toml")
    torn = parse(to_text(scene, whole=True) + cut)
    floor = np.array([math.pi / 2]), np.array([50.0])
    assert shape_of(torn).radius(*floor) - shape_of(scene).radius(*floor) == pytest.approx(
        6.0, abs=1e-12
    )
    assert worst_unseen(torn).radius(*floor) - worst_unseen(scene).radius(*floor) == pytest.approx(
        6.0, abs=1e-12
    )
    assert simulate(torn).stock.spot.value < 0.0


def test_both_worn_and_readings_are_refused():
    with pytest.raises(SceneError, match=r"both \[worn\] and \[readings\]"):
        parse(SMALL + '\n[readings]\ntable = "x"\n')


def test_missing_file_is_one_sentence(tmp_path):
    text = to_text(load("scenes/readings_cold.toml"))
    with pytest.raises(SceneError, match=r"two_point_cold\.csv.*not found beside the scene"):
        parse(text, beside=tmp_path)
    with pytest.raises(SceneError, match="a plain file name"):
        parse(text.replace("two_point_cold.csv", "../x.csv"), beside=tmp_path)


def test_readings_saved_whole_give_the_same_job(tmp_path):
    scene = load("scenes/readings_warm.toml")
    whole = parse(to_text(scene, whole=True))
    assert digest(whole) == digest(scene)
    (tmp_path / "two_point_warm.csv").write_text(scene.readings.text)
    save(scene, tmp_path / "job.toml")
    assert digest(load(tmp_path / "job.toml")) == digest(scene)


def test_changed_keeps_the_readings():
    scene = load("scenes/readings_radius.toml")
    other = changed(scene, {"layer.pitch_mm": 3.0})
    theta = np.linspace(0, 6, 20)
    np.testing.assert_array_equal(
        shape_of(other).radius(theta, np.full(20, 30.0)),
        shape_of(scene).radius(theta, np.full(20, 30.0)),
    )


def test_all_the_wear_on_one_side_is_the_worst_there_can_be():
    # Geometry: 81 mm across where the bore was 80 when new: the side that wore lies at most 81 - 40
    # = 41 mm from the middle.
    found = read(b"depth_mm,oclock,diameter_mm\n0,12,81\n0,3,80.4\n40,12,81\n40,3,80.4\n", name="r")
    worst = WorstUnseen(wall_from(found), 80.0).radius(
        np.array([0.0, np.pi / 2, np.pi]), np.full(3, 20.0)
    )
    assert worst == pytest.approx([41.0, 40.4, 41.0], abs=1e-9)
    # and where it reads less than the original size nothing is unseen: metal does not grow
    assert WorstUnseen(wall_from(found), 82.0).radius(
        np.array([0.0]), np.array([20.0])
    ) == pytest.approx([40.5], abs=1e-9)


def test_no_other_wall_through_the_same_readings_bends_less():
    # Calculus of variations: where readings leave a series open, the one chosen has the least sum
    # of (order^2 x part)^2, so that
    # it stands square, in that measure, on every change that moves no reading (the mean is held
    # loosely, by a hundredth).
    clock, value = np.array([0.3, 1.9, 3.0, 5.1]), np.array([40.2, 40.0, 40.5, 40.1])
    rows = "".join(
        f"{z},{c * 6 / np.pi:.9f},{v}\n" for z in (0, 40) for c, v in zip(clock, value, strict=True)
    )
    wall = wall_from(read(f"depth_mm,oclock,radius_mm\n{rows}".encode(), name="r"))
    at = np.column_stack([np.ones(4), *(f(k * clock) for k in (1, 2) for f in (np.cos, np.sin))])
    parts = wall.series[0]
    assert at @ parts == pytest.approx(value, abs=1e-6)
    (free,) = np.linalg.svd(at)[2][4:]
    cost = np.array([0.01, 1.0, 1.0, 16.0, 16.0])
    off = parts - np.array([value.mean(), 0.0, 0.0, 0.0, 0.0])
    assert abs(float((cost * off) @ free)) < 1e-6 < abs(float(off @ free))
